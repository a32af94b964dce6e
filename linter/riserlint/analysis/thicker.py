"""What is lost over a run, and what would be lost over the same run with a thicker gauge."""

import math
from collections.abc import Iterator
from typing import NamedTuple

from riserlint.analysis.metres import RunMetres
from riserlint.analysis.power import FeedPower, link_state
from riserlint.analysis.resistance import conductor_of, loop_ohm
from riserlint.engineering.conductors import awg_diameter_mm
from riserlint.engineering.loss import LinkState
from riserlint.engineering.span import Span
from riserlint.standards.conductors import GAUGES_IN_USE


class RunLoss(NamedTuple):
    """What a run loses: watts, and the share of the watts at its source; from the best to the worst."""

    loss_w: Span
    share: Span


def loss_of(power: FeedPower) -> RunLoss | None:
    """Return what is lost over a run, None where it carries nothing or has no operating point even at its best.

    I² R of I V: both grow with the load and the ohms and fall with the volts, so the ends are those of the feed.
    """
    if power.best is None or (power.worst is not None and not power.worst.source_w):
        return None
    return _between(power.best, power.worst)


def thicker_gauges(awg: int) -> Iterator[int]:
    """Yield the gauges in use that are thicker than one, the next first."""
    yield from (gauge for gauge in GAUGES_IN_USE.rows if gauge < awg)


def with_gauge(power: FeedPower, metres: RunMetres, conductor_c: Span, awg: int) -> RunLoss | None:
    """Return what would be lost with another gauge in the link, None where the gauge now is not known.

    The lengths, the temperature, the load and the volts at the source are kept, so that what is saved further up, by
    the smaller current, is not counted: with a thicker gauge the true loss is no higher than this.
    """
    run = power.feed.run
    now = None if run.cable is None else run.cable.value("conductor_awg").value
    if now is None or power.best is None:
        return None
    conductor = conductor_of(run.cable, (*run.at, "cable"), cord=False)
    ratio = (awg_diameter_mm(now) / awg_diameter_mm(awg)) ** 2  # ohms go with the section
    other = conductor._replace(per_m_20=conductor.per_m_20 * ratio)
    before = loop_ohm(run, metres.link, conductor, ()).at(conductor_c)
    after = loop_ohm(run, metres.link, other, ()).at(conductor_c)
    pairs = power.grant.pairs
    low, high = power.mode_links or (None, None)
    ohm = power.ohm.low - _seen(before.low - after.low, pairs.high, low)
    best = link_state(power.volts.high, max(0.0, ohm), power.load_w.low, 0.0, low)
    worst = None
    if power.worst is not None and math.isfinite(before.high):
        ohm = power.ohm.high - _seen(before.high - after.high, pairs.low, high)
        worst = link_state(power.volts.low, max(0.0, ohm), power.load_w.high, 0.0, high)
    return None if best is None else _between(best, worst)


def _seen(loop_ohm: float, pairs: float, heavier: float | None) -> float:
    """Return what a load, or the heavier of two modes, sees of the loop resistance of one pair."""
    return loop_ohm / pairs * (1.0 if heavier is None else 2.0 * heavier)


def _between(best: LinkState, worst: LinkState | None) -> RunLoss:
    low, high = _share(best), 1.0 if worst is None else _share(worst)
    loss_high = math.inf if worst is None else worst.loss_w
    return RunLoss(Span(best.loss_w, max(best.loss_w, loss_high)), Span(low, max(low, high)))


def _share(state: LinkState) -> float:
    return state.loss_w / state.source_w if state.source_w else 0.0
