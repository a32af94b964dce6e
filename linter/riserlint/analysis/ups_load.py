"""The load of a UPS in an outage: the maximum at the source plus own use over efficiency, never the reserved.

A UPS that feeds one of two supplies carries the whole load when the other is off. A power budget bounds what the
ports take together only where it may be enough: one that is short for certain has to be mended first, and then it
bounds nothing.
"""

import math
from collections.abc import Callable, Sequence
from functools import cached_property
from typing import Any, NamedTuple, TypeVar

from riserlint.analysis.continuity import Continuity, Powered, SupplyWay
from riserlint.analysis.flow import alone_of, flow_of
from riserlint.analysis.loads import WORST, LoadState, mains_draw
from riserlint.analysis.power import FeedPower, Power
from riserlint.analysis.starting import StartLoads, StartOf, staging_of
from riserlint.analysis.supplies import group_budget, own_budget
from riserlint.design.paths import Path
from riserlint.engineering.span import Span, exact
from riserlint.engineering.supply_load import volt_amperes
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, InlineGear, Thing, Value
from riserlint.standards import supply

AnyPart = TypeVar("AnyPart")

_NOTHING = Span(0.0, 0.0)
#: The power factor of a load of which none is stated.
ANY_FACTOR = Span(supply.LOAD_POWER_FACTOR_LOW.value, supply.LOAD_POWER_FACTOR_HIGH.value)
#: The least efficiency that is reckoned with where none is stated: nothing is known of it.
_LEAST_EFFICIENCY = 1e-6


class ShortBudget(NamedTuple):
    """A power budget that is less than its ports ask for certain: where it is written, and its watts."""

    at: Path
    budget_w: float


class Part(NamedTuple):
    """What one thing takes from a UPS: watts and volt-amperes, whole.

    ``shared``: another supply may carry it too, so that this UPS may carry as little as nothing of it.
    ``missing`` is what is not known of the watts, ``va_missing`` of the power factor. ``short`` is its
    power budget where that is certain to be too small. ``least_w`` is the least of a part that shares some of its
    own load with another supply: a UPS behind this one.
    """

    thing: Thing
    watts: Span
    va: Span
    shared: bool
    missing: tuple[Path, ...]
    va_missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]
    short: ShortBudget | None = None
    factor: Span = ANY_FACTOR
    least_w: float | None = None

    @property
    def at_least_w(self) -> float:
        """The least that this UPS may have to carry of it: nothing of what it shares."""
        if self.least_w is not None:
            return self.least_w
        return 0.0 if self.shared else self.watts.low


class Carried(NamedTuple):
    """What a UPS carries: ``watts`` and ``va`` with the whole of what it shares with another UPS, ``least_w``
    without; nothing, where nothing is given.
    """

    watts: Span = _NOTHING
    va: Span = _NOTHING
    least_w: float = 0.0

    def plus(self, part: Part) -> "Carried":
        """Return the same with one more part."""
        return Carried(
            Span(self.watts.low + part.watts.low, self.watts.high + part.watts.high),
            Span(self.va.low + part.va.low, self.va.high + part.va.high),
            self.least_w + part.at_least_w,
        )


class UpsLoad(NamedTuple):
    """The load of a UPS in an outage: what it carries, and the parts of which that is the sum."""

    carried: Carried
    parts: tuple[Part, ...]
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]

    @property
    def watts(self) -> Span:
        """The watts, with the whole of what it shares."""
        return self.carried.watts

    @property
    def va(self) -> Span:
        """The volt-amperes, with the whole of what it shares."""
        return self.carried.va

    @property
    def least_w(self) -> float:
        """The least watts: without what it shares."""
        return self.carried.least_w


class UpsLoads:
    """The loads of all UPSs of an installation in an outage, or (``mains_on``) without one.

    ``starting``: while everything starts. Gear that states what it takes then takes that, and of a source that
    states how it starts its ports the worst sum counts; once they have started, as in an outage, the running most.
    """

    def __init__(
        self,
        installation: Installation,
        power: Power,
        continuity: Continuity,
        *,
        starting: bool = False,
        mains_on: bool = False,
        load: LoadState = WORST.load,
    ) -> None:
        """Keep what the loads follow from; ``load`` is the state of devices that the power was solved for."""
        self._load = load
        self._starting = starting
        self._mains_on = mains_on
        self._installation = installation
        self._power = power
        self._continuity = continuity
        self._found: dict[str, UpsLoad] = {}

    @cached_property
    def by_ups(self) -> dict[str, UpsLoad]:
        """The load of each UPS by its id."""
        for ups in self._installation.ups:
            self._load_of(ups, ())
        return self._found

    def part(self, thing: Powered) -> Part:
        """Return what a thing, with all that hangs on it, would take from a UPS."""
        return self._part(thing, shared=False, perhaps=False)

    @cached_property
    def _beside(self) -> dict[str, list[Thing]]:
        """The circuits behind each UPS of which it is stated what else runs on them."""
        found: dict[str, list[Thing]] = {}
        for circuit in self._installation.circuits.values():
            if circuit.value("others_w").value is not None:
                above = self._continuity.supplied(circuit.id, circuit.at).ups
                if above is not None:
                    found.setdefault(above, []).append(circuit)
        return found

    @cached_property
    def _plugged(self) -> tuple[dict[str, list[Powered]], list[Powered]]:
        """Return what is plugged into each UPS, and what may be plugged into any."""
        direct: dict[str, list[Powered]] = {ups: [] for ups in self._installation.ups}
        perhaps: list[Powered] = []
        for thing in self._continuity.powered():
            found = {
                way.supplied.ups
                for way in self._continuity.ways[thing.at]
                if way.supplied is not None and way.supplied.ups
            }
            for ups in sorted(found):
                direct[ups].append(thing)
            if any(
                way.supplied is not None and way.feed is None and way.supplied.end == "unknown"
                for way in self._continuity.ways[thing.at]
            ):
                perhaps.append(thing)
        return direct, perhaps

    def _load_of(self, ups: str, below: tuple[str, ...]) -> UpsLoad:
        found = self._found.get(ups)
        if found is not None:
            return found
        direct, perhaps = self._plugged
        parts = [
            self._part(thing, shared=bool(self._others(thing, ups)), perhaps=False)
            for thing in direct[ups]
            if not self._also_over_run(thing, ups)
        ]
        taken = {part.thing.at for part in parts}
        parts.extend(
            self._part(thing, shared=True, perhaps=True) for thing in perhaps if thing.at not in taken
        )
        parts.extend(others_part(circuit) for circuit in self._beside.get(ups, ()))
        for other, above in self._continuity.ups_above.items():
            if above.ups == ups and other != ups and other not in below:
                parts.append(self._ups_part(other, (*below, ups)))
        load = _summed(tuple(parts))
        if not below:
            self._found[ups] = load
        return load

    def _others(self, thing: Powered, ups: str) -> bool:
        """Return whether something else than this UPS may keep a thing alive."""
        return any(
            self._continuity.way_state(way) != "escapes"
            for way in self._continuity.ways[thing.at]
            if way.supplied is None or way.supplied.ups != ups
        )

    def _may_carry(self, way: SupplyWay) -> bool:
        """Return whether one of several ways may carry gear: in an outage, or with the mains on."""
        return can_carry(way) if self._mains_on else self._continuity.way_state(way) != "escapes"

    def _also_over_run(self, thing: Powered, ups: str) -> bool:
        """Return whether the same UPS feeds it over a run too: then it is counted there, with the loss."""
        return any(
            way.feed is not None
            and way.feed.source is not None
            and way.carries == "pass"
            and ups in self._continuity.holders.get(way.feed.source.at, ())
            for way in self._continuity.ways[thing.at]
        )

    def _part(self, thing: Powered, *, shared: bool, perhaps: bool) -> Part:
        missing: list[Path] = []
        rests_on: list[Path] = []
        short: ShortBudget | None = None
        if isinstance(thing, Gear) and not thing.is_switch:
            draw = mains_draw(thing, self._load)
            missing.extend(draw.missing)
            rests_on.extend(draw.rests_on)
            watts = draw.maximum
            if self._starting:
                watts = _at_start(thing, watts, rests_on)
        else:
            watts, short = self._source_watts(thing, missing, rests_on)
        if perhaps:
            watts = Span(0.0, watts.high)
            missing.extend(
                way.supplied.missing
                for way in self._continuity.ways[thing.at]
                if way.supplied is not None and way.supplied.missing is not None
            )
        of_factor: list[Path] = []
        factor = _power_factor(thing, of_factor, rests_on)
        return Part(
            thing,
            watts,
            apparent(watts, factor),
            shared,
            tuple(missing),
            tuple(of_factor),
            tuple(rests_on),
            short,
            factor,
        )

    def _ups_part(self, ups_id: str, below: tuple[str, ...]) -> Part:
        ups = self._installation.ups[ups_id]
        load = self._load_of(ups_id, below)
        missing, rests_on = list(load.missing), list(load.rests_on)
        share = share_of(ups.value("efficiency"), missing, rests_on)
        watts = Span(over_share(load.watts.low, share.high), over_share(load.watts.high, share.low))
        least_w = over_share(load.least_w, share.high)
        va = apparent(watts, ANY_FACTOR)
        return Part(ups, watts, va, False, tuple(missing), (), tuple(rests_on), least_w=least_w)

    def _source_watts(
        self, thing: Powered, missing: list[Path], rests_on: list[Path]
    ) -> tuple[Span, ShortBudget | None]:
        """Return what a switch or an injector takes: own use + power at its ports / efficiency."""
        keys: tuple[str, ...] = () if isinstance(thing, InlineGear) else ("ac",)
        own = thing.value(*keys, "own_w")
        if own.value is None:
            missing.append(own.at)
        else:
            rests_on.append(own.at)
        low, high = own.value or 0.0, math.inf if own.value is None else own.value
        if self._starting and isinstance(thing, Gear):
            low, high = _at_start(thing, Span(low, high), rests_on)
        ports_w, short = self._ports_watts(thing, missing, rests_on)
        if ports_w.high > 0:
            share = share_of(thing.value(*keys, "efficiency"), missing, rests_on)
            low += over_share(ports_w.low, share.high)
            high += over_share(ports_w.high, share.low)
        return Span(low, high), short

    def _ports_watts(
        self, source: Powered, missing: list[Path], rests_on: list[Path]
    ) -> tuple[Span, ShortBudget | None]:
        staging = staging_of(source, self._power.running)
        starting: list[StartOf] = []
        by_group: dict[int, Span] = {}
        groups = source.groups if isinstance(source, Gear) else ()
        for feed in source.feeds_out:
            power = self._power.feeds.get(feed.run.id)
            if power is None or power.unfed:
                continue
            watts = self._feed_watts(power)
            if staging is not None and self._power.running is not None:
                running = self._power.running.feeds[feed.run.id]
                starting.append(StartOf(power, self._feed_watts(running), watts))
                power, watts = running, starting[-1].running_w
            if not watts.known:
                missing.extend(power.missing)
            if power.draw is not None:
                rests_on.extend(path for path in power.draw.rests_on if path[0] == "basis")
            port = None if feed.port is None else feed.port.name
            place = next((at for at, group in enumerate(groups) if port in group.ports), -1)
            by_group[place] = by_group.get(place, _NOTHING) + watts
        total = _NOTHING
        short: ShortBudget | None = None
        for place, watts in by_group.items():
            if place >= 0 and isinstance(source, Gear) and groups[place].budget_w.value is not None:
                limit = group_budget(self._installation, source, groups[place])
                if watts.low > limit.watts.high:
                    short = ShortBudget(limit.at, limit.watts.high)
                    total += watts
                else:
                    total += _at_most(watts, limit.watts)
            else:
                total += watts
        if self._starting and staging is not None:
            staged = StartLoads(tuple(starting))
            total = Span(total.low, max(total.high, staged.worst_w(staging).high))
            missing.extend(staged.missing)
        budget = own_budget(self._installation, source)
        if budget is None:
            return total, short
        asked = self._power.sources.get(source.id)
        if max(total.low, 0.0 if asked is None else asked.enforced_w.low) > budget.watts.high:
            return total, ShortBudget(budget.at, budget.watts.high)
        return _at_most(total, budget.watts), short

    def _feed_watts(self, power: FeedPower) -> Span:
        """Return what one port gives in an outage: the whole where nothing else feeds the load then."""
        load = power.feed.load
        ways = self._continuity.ways[load.at]
        mine = next((way for way in ways if way.feed is power.feed), None)
        if mine is None:
            return _NOTHING
        others = any(self._may_carry(way) for way in ways if way is not mine)
        watts = alone_of(power)
        if others:
            watts = Span(min(flow_of(power).source_w.low, watts.low), watts.high)
        return watts if mine.carries == "pass" else Span(0.0, watts.high)


def can_carry(way: SupplyWay) -> bool:
    """Return whether a way may carry gear while the mains are on and nothing has failed."""
    end = None if way.supplied is None else way.supplied.end
    return way.carries != "fail" and end not in {"loop", "refused"}


def others_part(circuit: Thing) -> Part:
    """Return what else runs on a circuit, beside the gear of the design: unlimited where nobody states it."""
    missing: list[Path] = []
    rests_on: list[Path] = []
    stated = circuit.value("others_w")
    if stated.value is None:
        missing.append(stated.at)
    else:
        rests_on.append(stated.at)
    watts = Span(0.0, math.inf) if stated.value is None else exact(stated.value)
    of_factor: list[Path] = []
    factor = power_factor_of(circuit.value("others_power_factor"), of_factor, rests_on)
    if watts.high == 0:
        of_factor = []
    va = apparent(watts, factor)
    return Part(circuit, watts, va, False, tuple(missing), tuple(of_factor), tuple(rests_on), factor=factor)


def parts_that_turn(
    parts: Sequence[AnyPart], value: Callable[[AnyPart], Span], decided: Callable[[Span], bool]
) -> tuple[AnyPart, ...]:
    """Return the parts of a load of which one alone, were it known, could decide a question; all where none could.

    Args:
        parts: those of the load.
        value: what a part adds, at the ends of what is not known.
        decided: whether the question has an answer at a sum.
    """
    values = [value(part) for part in parts]
    low = sum(span.low for span in values)
    high = sum(span.high for span in values if math.isfinite(span.high))
    unbounded = sum(math.isinf(span.high) for span in values)
    found: list[AnyPart] = []
    for part, (least, most) in zip(parts, values):
        if least == most:
            continue
        others_high = math.inf if unbounded > math.isinf(most) else high - (0.0 if math.isinf(most) else most)
        ends = Span(low, others_high + least), Span(low - least + most, others_high + most)
        if any(decided(Span(min(end.low, end.high), end.high)) for end in ends):
            found.append(part)
    return tuple(found) or tuple(parts)


def _at_start(gear: Gear, watts: Span, rests_on: list[Path]) -> Span:
    start = gear.value("ac", "start_w")
    if start.value is None:
        return watts
    rests_on.append(start.at)
    return Span(max(watts.low, start.value), max(watts.high, start.value))


def _power_factor(thing: Powered, missing: list[Path], rests_on: list[Path]) -> Span:
    if isinstance(thing, InlineGear):
        return ANY_FACTOR
    return power_factor_of(thing.value("ac", "power_factor"), missing, rests_on)


def power_factor_of(factor: Value[Any], missing: list[Path], rests_on: list[Path]) -> Span:
    """Return a power factor as a range, and note whether it is missing or is rested on."""
    if factor.value is None:
        missing.append(factor.at)
        return ANY_FACTOR
    rests_on.append(factor.at)
    return exact(factor.value)


def share_of(value: Value[Any], missing: list[Path], rests_on: list[Path]) -> Span:
    """Return an efficiency as a range, and note whether it is missing or is rested on."""
    if value.value is None:
        missing.append(value.at)
        return Span(_LEAST_EFFICIENCY, 1.0)
    rests_on.append(value.at)
    return exact(value.value)


def _at_most(watts: Span, limit: Span) -> Span:
    return Span(min(watts.low, limit.low), min(watts.high, limit.high))


def over_share(watts: float, share: float) -> float:
    """Return watts over an efficiency: what has to go in for so much to come out."""
    # An efficiency of which nothing is known bounds nothing.
    return 0.0 if watts == 0 else math.inf if share <= _LEAST_EFFICIENCY else watts / share


def apparent(watts: Span, factor: Span) -> Span:
    """Return the volt-amperes of watts that may be without bound."""
    if math.isinf(watts.high):
        return Span(volt_amperes(watts.low, factor).low, math.inf)
    return volt_amperes(watts, factor)


def _summed(parts: tuple[Part, ...]) -> UpsLoad:
    carried = Carried()
    missing: list[Path] = []
    rests_on: list[Path] = []
    for part in parts:
        carried = carried.plus(part)
        missing.extend(part.missing)
        rests_on.extend(part.rests_on)
    return UpsLoad(
        carried,
        parts,
        tuple(dict.fromkeys(missing)),
        tuple(dict.fromkeys(rests_on)),
    )
