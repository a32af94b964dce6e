"""Where the watts go: what sources give, what loads take, what is lost on the way, and in which space it gets warm.

All electric power that is not sent out of a space ends as heat in it: gear releases what it takes and does not
pass on, cables what is lost along their metres in the space. Charging a battery is left out: it is over after hours.
"""

import math
from collections.abc import Mapping
from typing import NamedTuple

from riserlint.analysis.ambient import space_of_inline
from riserlint.analysis.flow import Flow, flow_of
from riserlint.analysis.loads import WORST, LoadState, mains_draw
from riserlint.analysis.power import FeedPower, InletPower, Power
from riserlint.analysis.ups_load import UpsLoad
from riserlint.design.paths import Path
from riserlint.engineering.span import Span, sum_of
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, InlineGear, Run, Thing, Value

_NONE = Span(0.0, 0.0)
_ANY = Span(0.0, math.inf)
_WHOLE = Span(1.0, 1.0)


class Released(NamedTuple):
    """Heat that one thing releases in one space.

    ``thing`` releases ``watts`` by ``how``: ``own use``, ``conversion``, ``drop``, ``load``, ``cable``, ``ups``.
    ``missing``: values that are not known and that widen it. ``place`` is where its space is, or would be, written.
    """

    thing: Path
    how: str
    watts: Span
    missing: tuple[Path, ...] = ()
    place: Path = ()


class SwitchBalance(NamedTuple):
    """One switch or injector: in = own use + conversion loss + drop + delivered at its ports, watts.

    ``inlet_w`` is what it takes from its feed or from the mains; ``drop_w`` what one that passes power through
    loses between inlet and ports; ``allocated_w`` what its management reserves.
    """

    gear: Gear | InlineGear
    inlet_w: Span
    own_w: Span
    conversion_w: Span
    drop_w: Span
    delivered_w: Span
    allocated_w: Span
    missing: tuple[Path, ...]


def equipment_spaces(installation: Installation) -> dict[str | None, list[tuple[Thing, Path]]]:
    """Return the spaces with a switch, an injector, a UPS or gear fed from the mains; None: a space is not known.

    Each thing comes with where its space is, or would be, written.
    """
    found: dict[str | None, list[tuple[Thing, Path]]] = {}
    things: list[tuple[Thing, Value[str]]] = [
        (gear, gear.value("space")) for gear in installation.gear.values() if gear.is_switch or gear.supplies
    ]
    things.extend((ups, ups.value("space")) for ups in installation.ups.values())
    things.extend(
        (inline, space_of_inline(inline)) for inline in installation.inlines.values() if inline.is_injector
    )
    for thing, space in things:
        found.setdefault(space.value, []).append((thing, space.at))
    return found


class Balance:
    """The balance of a solved installation.

    Attributes:
        switches: each source of power, by id.
        given_w: what all sources that take nothing from another cable deliver at their ports.
        loads_w: what devices take over cables; and switches that have a supply of their own beside.
        copper_w: what is lost in cables, cords and contacts.
        inner_w: own use and conversion loss of switches that are fed over a cable.
        spaces: what is released in each space, by its id; None: where the space is not known.
    """

    def __init__(
        self,
        installation: Installation,
        power: Power,
        ups: Mapping[str, UpsLoad],
        load: LoadState = WORST.load,
    ) -> None:
        """Sum up; ``ups`` is the load of each UPS, by its id, ``load`` the state that the power was solved for."""
        self._power = power
        self._load = load
        self._flows = self._find_flows()
        self.switches: dict[str, SwitchBalance] = {}
        self.spaces: dict[str | None, list[Released]] = {}
        self.inner_w = _NONE
        self._feeds()
        for gear in installation.gear.values():
            if gear.is_switch:
                self._gear(gear, gear.value("space"))
            elif not gear.feeds_in:
                self._release(gear.value("space"), gear.at, "load", *_mains_load(gear, self._load))
            elif gear.supplies:
                # What does not come over its runs it takes from its own supply.
                whole_w, missing = _mains_load(gear, self._load)
                over_runs = sum_of([self._flows[feed.run.id].load_w for feed in gear.feeds_in])
                rest_w = Span(max(0.0, whole_w.low - over_runs.high), max(0.0, whole_w.high - over_runs.low))
                self._release(gear.value("space"), gear.at, "load", rest_w, missing)
        for inline in installation.inlines.values():
            if inline.is_injector:
                self._gear(inline, space_of_inline(inline))
        for name, carried in ups.items():
            self._ups(installation.ups[name], carried)

    def loss_of(self, power: FeedPower) -> Span:
        """Return what is lost on one run, in watts."""
        return self._flows[power.feed.run.id].loss_w

    def released_w(self, space: str | None) -> Span:
        """Return the heat released in a space, in watts."""
        return sum_of(found.watts for found in self.spaces.get(space, ()))

    # -- parts ------------------------------------------------------------------------------------------------

    def _find_flows(self) -> dict[str, Flow]:
        """Return the flow of each feed; behind a switch that may be off nothing may flow."""
        flows: dict[str, Flow] = {}
        for name, power in reversed(self._power.feeds.items()):  # solved from the leaves: sources come last
            flow, source = flow_of(power), power.feed.source
            inlet = None if source is None else self._inlet(source)
            if inlet is not None:
                above = [flows[feed.run.id] for feed in inlet.gear.feeds_in if feed.run.id in flows]
                if above and not any(found.load_w.low for found in above):
                    flow = flow.perhaps()
            flows[name] = flow
        return flows

    def _inlet(self, gear: Gear | InlineGear) -> InletPower | None:
        """Return the inlet of a switch that lives of it alone."""
        return None if gear.supplies else self._power.inlets.get(gear.id)

    def _feeds(self) -> None:
        given_w, loads_w = [], []
        for name, power in self._power.feeds.items():
            load, source, flow = power.feed.load, power.feed.source, self._flows[name]
            if source is None or self._inlet(source) is None:
                given_w.append(flow.source_w)
            if self._inlet(load) is None:
                loads_w.append(flow.load_w)
            if not load.is_switch:
                self._release(load.value("space"), load.at, "load", flow.load_w, power.missing)
            run = power.feed.run
            for space, share in _shares(run):
                self._release(
                    space,
                    run.at,
                    "cable",
                    flow.loss_w if share is _WHOLE else flow.loss_w * share,
                    power.missing,
                )
        self.given_w, self.loads_w = sum_of(given_w), sum_of(loads_w)
        self.copper_w = sum_of(flow.loss_w for flow in self._flows.values())

    def _gear(self, gear: Gear | InlineGear, space: Value[str]) -> None:
        source = self._power.sources.get(gear.id)
        delivered_w = (
            _NONE
            if source is None
            else sum_of(self._flows[feed.feed.run.id].source_w for feed in source.feeds)
        )
        missing = [] if source is None else list(source.missing)
        conversion_w = drop_w = _NONE
        inlet = self._inlet(gear)
        if inlet is not None:
            own_w, inlet_w, lost_w = _fed(inlet, delivered_w, self._flows)
            if inlet.efficiency == _WHOLE:
                drop_w = lost_w
            else:
                conversion_w = lost_w
            missing.extend(inlet.missing)
            self.inner_w += own_w + lost_w
        else:
            own, share = _mains_keys(gear)
            own_w = _ANY if own.value is None else Span(own.value, own.value)
            known = Span(0.0, 1.0) if share.value is None else Span(share.value, share.value)
            conversion_w = _conversion(delivered_w, known)
            if own.value is None:
                missing.append(own.at)
            if share.value is None and delivered_w.high:
                missing.append(share.at)
            inlet_w = own_w + conversion_w + delivered_w
        gone = tuple(dict.fromkeys(missing))
        self._release(space, gear.at, "own use", own_w, gone)
        self._release(space, gear.at, "conversion", conversion_w, gone)
        self._release(space, gear.at, "drop", drop_w, gone)
        if source is not None:
            self.switches[gear.id] = SwitchBalance(
                gear, inlet_w, own_w, conversion_w, drop_w, delivered_w, source.reserved_w, gone
            )

    def _ups(self, ups: Thing, load: UpsLoad) -> None:
        share = ups.value("efficiency")
        known = Span(0.0, 1.0) if share.value is None else Span(float(share.value), float(share.value))
        missing = (*load.missing, share.at) if share.value is None else load.missing
        self._release(ups.value("space"), ups.at, "ups", _conversion(load.watts, known), missing)

    def _release(
        self, space: Value[str], thing: Path, how: str, watts: Span, missing: tuple[Path, ...]
    ) -> None:
        if watts != _NONE:
            gone = () if watts.known else missing
            self.spaces.setdefault(space.value, []).append(Released(thing, how, watts, gone, space.at))


def _mains_load(gear: Gear, load: LoadState) -> tuple[Span, tuple[Path, ...]]:
    """Return what a device that no run feeds takes in a state, and what is missing."""
    draw = mains_draw(gear, load)
    return draw.maximum, draw.missing


def _mains_keys(gear: Gear | InlineGear) -> tuple[Value[float], Value[float]]:
    """Return own use and efficiency on the mains side."""
    if isinstance(gear, Gear):
        return gear.value("ac", "own_w"), gear.value("ac", "efficiency")
    return gear.value("own_w"), gear.value("efficiency")


def _fed(inlet: InletPower, delivered_w: Span, flows: Mapping[str, Flow]) -> tuple[Span, Span, Span]:
    """Return own use, watts at the inlet and what is lost inside a switch that is fed over a cable.

    That is its conversion loss, or where it has no converter (efficiency 1) the drop between inlet and ports.
    """
    most = sum(flows[feed.run.id].load_w.high for feed in inlet.gear.feeds_in)
    least = sum(flows[feed.run.id].load_w.low for feed in inlet.gear.feeds_in)  # 0: it may be off
    inlet_w = Span(min(inlet.inlet_w.low, least), min(inlet.inlet_w.high, most))
    own_w = Span(min(inlet.own_w.low, least), min(inlet.own_w.high, most))
    if inlet.efficiency == _WHOLE:
        low = max(0.0, inlet_w.low - own_w.low - delivered_w.low)
        high = max(0.0, inlet_w.high - own_w.high - delivered_w.high)
        drop_v = inlet.gear.value("inlet", "drop_v")
        if not drop_v.value and not inlet.gear.asked(drop_v.at):
            low = high = 0.0
        return own_w, inlet_w, _between(low, high)
    conversion_w = _conversion(delivered_w, inlet.efficiency)
    high = min(conversion_w.high, max(0.0, inlet_w.high - own_w.low - delivered_w.low))
    return own_w, inlet_w, Span(conversion_w.low, max(conversion_w.low, high))


def _conversion(delivered_w: Span, share: Span) -> Span:
    """Return P (1 / efficiency − 1), as a range."""
    low = delivered_w.low * (1 / share.high - 1) if delivered_w.low else 0.0
    if delivered_w.high == 0 or share.low == 1:
        return Span(low, 0.0)
    return Span(low, math.inf if share.low == 0 else delivered_w.high * (1 / share.low - 1))


def _shares(run: Run) -> list[tuple[Value[str], Span]]:
    """Return the share of a run's metres that lies in each space, as a range."""
    if len(run.segments) == 1:
        return [(run.segments[0].space, _WHOLE)]
    lengths = [segment.metres.value for segment in run.segments]
    known = [length for length in lengths if length is not None]
    total = sum(known)
    found = []
    for segment, length in zip(run.segments, lengths):
        share = Span(0.0, 1.0)
        if length is not None and total and len(known) == len(lengths):
            share = Span(length / total, length / total)
        found.append((segment.space, share))
    return found


def _between(low: float, high: float) -> Span:
    """Return a range whose ends are those of two solutions, equal but for rounding or in order."""
    return Span(min(low, high), max(low, high))
