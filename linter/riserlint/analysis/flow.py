"""The watts that flow over one feed, bounded also where it is not known whether its load works."""

import math
from typing import NamedTuple

from riserlint.analysis.power import FeedPower
from riserlint.engineering.span import Span


class Flow(NamedTuple):
    """The watts of one feed: at the source, at the load, lost between."""

    source_w: Span
    load_w: Span
    loss_w: Span

    def perhaps(self) -> "Flow":
        """Return the same where nothing at all may flow, too."""
        return Flow(*(Span(0.0, watts.high) for watts in self))


def flow_of(power: FeedPower) -> Flow:
    """Return the watts of one feed, bounded also where its run is not known enough to be solved.

    On the branch on which a device works its voltage is at least half of the source's, so that no more is lost than
    arrives; and where the load keeps to its class a source of the standard gives no more than the watts of that.
    Where it is not known to work at the worst it may be off: it may take nothing at all.
    """
    best, worst = power.best, power.worst
    works = best is not None and worst is not None
    load_w = power.load_w if works else Span(0.0, power.load_w.high)
    low = (best.source_w, best.loss_w) if works and best is not None else (0.0, 0.0)
    if worst is not None:
        high = (worst.source_w, worst.loss_w)
    else:
        most = most_by_class(power)
        load_w = Span(load_w.low, max(load_w.low, min(load_w.high, most)))
        lost = load_w.high if math.isinf(most) else min(load_w.high, max(0.0, most - load_w.low))
        high = (min(most, load_w.high + lost), lost)
    return Flow(_between(low[0], high[0]), load_w, _between(low[1], high[1]))


def alone_of(power: FeedPower) -> Span:
    """Return the watts at the source if this feed alone carries its load, in the same bounds."""
    works = power.best is not None and power.worst is not None
    watts = power.alone_w
    high = most_by_class(power) if math.isinf(watts.high) else watts.high
    return _between(watts.low if works and math.isfinite(watts.low) else 0.0, high)


def most_by_class(power: FeedPower) -> float:
    """Return the most that a source of the standard gives a load that keeps to its class, else infinity."""
    grant = power.grant
    # A load that is off has no watts of its own; whatever it draws, its source cuts it off above its class.
    keeps = math.isinf(power.load_w.low) or power.load_w.low <= grant.device_w.high
    if keeps and "passive" not in (grant.scheme, grant.load_scheme) and grant.reserved_w.high > 0:
        return grant.reserved_w.high
    return math.inf


def _between(low: float, high: float) -> Span:
    """Return a range whose ends are those of two solutions, equal but for rounding or in order."""
    return Span(min(low, high), max(low, high))
