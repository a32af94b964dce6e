"""Where the watts go: what sources give, what loads take, what is lost on the way, and in which space it gets warm.

All electric power that is not sent out of a space ends as heat in it: gear releases what it takes and does not
pass on, cables what is lost along their metres in the space.
"""

import math
from collections.abc import Mapping
from typing import NamedTuple

from riserlint.analysis.loads import device_draw
from riserlint.analysis.power import FeedPower, InletPower, Power
from riserlint.design.paths import Path
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, InlineGear, Run

_NONE = Span(0.0, 0.0)


class Released(NamedTuple):
    """Heat that one thing releases in one space.

    ``thing`` releases ``watts`` by ``how``: ``own use``, ``conversion``, ``load``, ``cable``, ``ups``. ``missing``:
    values that are not known and that widen it.
    """

    thing: Path
    how: str
    watts: Span
    missing: tuple[Path, ...] = ()


class SwitchBalance(NamedTuple):
    """One switch or injector: in = own use + conversion loss + delivered at its ports, watts.

    ``inlet_w`` is what it takes from its feed or from the mains; ``allocated_w`` what its management reserves.
    """

    gear: Gear | InlineGear
    inlet_w: Span
    own_w: Span
    conversion_w: Span
    delivered_w: Span
    allocated_w: Span
    missing: tuple[Path, ...]


class Balance:
    """The balance of a solved installation.

    Attributes:
        switches: each source of power, by id.
        given_w: what all sources that take nothing from another cable deliver at their ports.
        loads_w: what devices take.
        copper_w: what is lost in cables, cords and contacts.
        inner_w: own use and conversion loss of switches that are fed over a cable.
        spaces: what is released in each space, by its id; None: where the space is not known.
    """

    def __init__(self, installation: Installation, power: Power, ups_w: Mapping[str, Span]) -> None:
        """Sum up; ``ups_w`` is the load of each UPS, by its id."""
        self._power = power
        self.switches: dict[str, SwitchBalance] = {}
        self.spaces: dict[str | None, list[Released]] = {}
        self.given_w = self.loads_w = self.copper_w = self.inner_w = _NONE
        for found in power.feeds.values():
            self._feed(found)
        for gear in installation.gear.values():
            if gear.is_switch:
                self._gear(gear)
            elif not gear.feeds_in:
                self._release(gear.space, Released(gear.at, "load", *_mains_load(gear)))
        for inline in installation.inlines.values():
            if inline.is_injector:
                self._gear(inline)
        for name, load in ups_w.items():
            self._ups(installation, name, load)

    def loss_of(self, power: FeedPower) -> Span:
        """Return what is lost on one run, in watts."""
        low = math.inf if power.best is None else power.best.loss_w
        return Span(low, max(low, math.inf if power.worst is None else power.worst.loss_w))

    def released_w(self, space: str | None) -> Span:
        """Return the heat released in a space, in watts."""
        return _sum([found.watts for found in self.spaces.get(space, ())])

    # -- parts ------------------------------------------------------------------------------------------------

    def _feed(self, power: FeedPower) -> None:
        load, run = power.feed.load, power.feed.run
        source = power.feed.source
        loss_w = self.loss_of(power)
        self.copper_w += loss_w
        if not (isinstance(source, Gear) and source.feeds_in):
            self.given_w += power.source_w
        if not load.is_switch:
            self.loads_w += power.load_w
            self._release(load.space, Released(load.at, "load", power.load_w, power.missing))
        for space, share in _shares(run):
            self._release(space, Released(run.at, "cable", loss_w * share, power.missing))

    def _gear(self, gear: Gear | InlineGear) -> None:
        source = self._power.sources.get(gear.id)
        delivered_w = _NONE if source is None else source.source_w
        missing = [] if source is None else list(source.missing)
        inlet = self._power.inlets.get(gear.id)
        if inlet is not None and not gear.supplies:
            own_w, conversion_w = inlet.own_w, _converted(inlet)
            inlet_w = inlet.inlet_w
            missing.extend(inlet.missing)
            self.inner_w += own_w + conversion_w
        else:
            group = "ac" if isinstance(gear, Gear) else ""
            own, share = _mains(gear, group)
            own_w, conversion_w = own, _conversion(delivered_w, share)
            keys = [gear.value(group, key) if group else gear.value(key) for key in ("own_w", "efficiency")]
            missing.extend(value.at for value in keys if value.value is None)
            inlet_w = own_w + conversion_w + delivered_w
        space = gear.space if isinstance(gear, Gear) else None
        gone = tuple(dict.fromkeys(missing))
        self._release(space, Released(gear.at, "own use", own_w, gone if not own_w.known else ()))
        if source is not None:
            self._release(
                space, Released(gear.at, "conversion", conversion_w, gone if not conversion_w.known else ())
            )
            allocated_w = source.reserved_w
            self.switches[gear.id] = SwitchBalance(
                gear, inlet_w, own_w, conversion_w, delivered_w, allocated_w, gone
            )

    def _ups(self, installation: Installation, name: str, load_w: Span) -> None:
        ups = installation.ups[name]
        share = ups.value("efficiency")
        known = Span(0.0, 1.0) if share.value is None else Span(float(share.value), float(share.value))
        missing = (share.at,) if share.value is None else ()
        self._release(ups.value("space").value, Released(ups.at, "ups", _conversion(load_w, known), missing))

    def _release(self, space: str | None, released: Released) -> None:
        if released.watts != _NONE:
            self.spaces.setdefault(space, []).append(released)


def _mains_load(gear: Gear) -> tuple[Span, tuple[Path, ...]]:
    """Return what a device that no run feeds takes, and what is missing."""
    own = gear.value("ac", "own_w")
    if own.value is not None:
        return Span(float(own.value), float(own.value)), ()
    draw = device_draw(gear, math.inf)
    return draw.maximum, draw.missing


def _mains(gear: Gear | InlineGear, group: str) -> tuple[Span, Span]:
    """Return own use and efficiency on the mains side, as ranges."""
    own = gear.value(group, "own_w").value if group else gear.value("own_w").value
    share = gear.value(group, "efficiency").value if group else gear.value("efficiency").value
    return (
        Span(0.0, math.inf) if own is None else Span(float(own), float(own)),
        Span(0.0, 1.0) if share is None else Span(float(share), float(share)),
    )


def _converted(inlet: InletPower) -> Span:
    """Return what a switch that is fed over a cable loses between inlet and ports, beside its own use."""
    if inlet.efficiency == Span(1.0, 1.0):
        lost = Span(
            inlet.inlet_w.low - inlet.own_w.low - inlet.asked_draw_w.low,
            inlet.inlet_w.high - inlet.own_w.high - inlet.asked_draw_w.high,
        )
        return Span(max(0.0, lost.low), max(0.0, lost.high)) if math.isfinite(lost.high) else _NONE
    return _conversion(inlet.asked_draw_w, inlet.efficiency)


def _conversion(delivered_w: Span, share: Span) -> Span:
    """Return P (1 / efficiency − 1), as a range."""
    low = 0.0 if share.high == 0 else delivered_w.low * (1 / share.high - 1) if delivered_w.low else 0.0
    if delivered_w.high == 0:
        return Span(low, 0.0)
    return Span(low, math.inf if share.low == 0 else delivered_w.high * (1 / share.low - 1))


def _shares(run: Run) -> list[tuple[str | None, Span]]:
    """Return the share of a run's metres that lies in each space, as a range."""
    if len(run.segments) <= 1:
        return [(run.segments[0].space.value if run.segments else None, Span(1.0, 1.0))]
    lengths = [segment.metres.value for segment in run.segments]
    known = [length for length in lengths if length is not None]
    total = sum(known)
    found = []
    for segment, length in zip(run.segments, lengths):
        share = Span(0.0, 1.0)
        if length is not None and total and len(known) == len(lengths):
            share = Span(length / total, length / total)
        found.append((segment.space.value, share))
    return found


def _sum(spans: list[Span]) -> Span:
    total = _NONE
    for span in spans:
        total += span
    return total
