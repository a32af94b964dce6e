"""The load of a branch circuit with the mains on: all that hangs on it, through UPSs too, and what recharges them.

Gear that something else may carry as well takes as little as nothing from a circuit while all is well, and the whole
once that has failed. Single-phase circuits alone: three-phase ones are not modelled.
"""

import math
from typing import NamedTuple

from riserlint.analysis.continuity import Continuity, Powered, Supplied, SupplyWay
from riserlint.analysis.ups_load import (
    ANY_FACTOR,
    Part,
    UpsLoads,
    apparent,
    can_carry,
    others_part,
    over_share,
    power_factor_of,
    share_of,
)
from riserlint.design.paths import Path
from riserlint.engineering.span import Span, exact, hull
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, Thing

_WHOLE = Span(1.0, 1.0)


class CircuitPart(NamedTuple):
    """What one thing takes from a circuit, whole: ``va`` = ``own_w`` / ``share`` / ``factor``.

    ``own_w`` are its watts: of a UPS what recharges its battery, of a circuit what else runs on it. ``share`` is the
    efficiency of the UPSs between, ``factor`` the power factor at the circuit. ``least_va`` is what it surely takes:
    nothing, where something else carries it as well. ``missing`` is what is not known of any of these.
    """

    thing: Thing
    own_w: Span
    share: Span
    factor: Span
    va: Span
    least_va: float
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]

    @property
    def shared(self) -> bool:
        """Whether something else may carry it, so that it is the whole only once that has failed."""
        return self.least_va < self.va.low


class CircuitLoad(NamedTuple):
    """The load of a circuit: the sum of its parts, with the whole of what it shares; ``least_va`` without."""

    parts: tuple[CircuitPart, ...]
    va: Span
    least_va: float


class _Place(NamedTuple):
    """A circuit on the way up from a thing: what the UPSs between take with them, and the nearest of them below it."""

    circuit: str
    share: Span
    ups: str | None
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]


class _Climb(NamedTuple):
    """The circuits above a thing, and what is not known of where that ends (None: it is known)."""

    places: tuple[_Place, ...]
    unknown: Path | None
    share: Span


class CircuitLoads:
    """The loads of all circuits of an installation, each by its id in ``by_circuit``."""

    def __init__(self, installation: Installation, loads: UpsLoads, continuity: Continuity) -> None:
        """Sum up all loads; ``loads`` are those with the mains on."""
        self._installation = installation
        self._loads = loads
        self._continuity = continuity
        self._parts: dict[str, list[CircuitPart]] = {name: [] for name in installation.circuits}
        #: What may hang on any circuit that it does not hang on for certain.
        self._perhaps: list[tuple[frozenset[str], CircuitPart]] = []
        self._hangs: dict[Path, frozenset[str]] = {}
        self._climbs: dict[Supplied, _Climb] = {}
        for thing in continuity.powered():
            self._add(thing)
        for ups in installation.ups.values():
            self._add_recharge(ups)
        for circuit in installation.circuits.values():
            self._add_others(circuit)
        self.by_circuit = {name: self._load_of(name) for name in installation.circuits}

    def _climb(self, supplied: Supplied) -> _Climb:
        found = self._climbs.get(supplied)
        if found is None:
            found = self._climbs[supplied] = self._climbed(supplied)
        return found

    def _climbed(self, supplied: Supplied) -> _Climb:
        places: list[_Place] = []
        share, below = _WHOLE, None
        missing: list[Path] = []
        rests_on: list[Path] = []
        seen: set[str] = set()
        here = supplied
        while True:
            for circuit in here.through:
                places.append(_Place(circuit, share, below, tuple(missing), tuple(rests_on)))
            if here.ups is None or here.ups in seen:
                unknown = here.missing if here.end == "unknown" else None
                return _Climb(tuple(places), unknown, share)
            seen.add(here.ups)
            below = here.ups
            efficiency = share_of(self._installation.ups[below].value("efficiency"), missing, rests_on)
            share = Span(share.low * efficiency.low, share.high * efficiency.high)
            here = self._continuity.ups_above[below]

    def _circuits_of(self, thing: Powered, below: tuple[Path, ...] = ()) -> frozenset[str]:
        """Return the circuits that a thing hangs on by any of its ways, over its sources too."""
        found = self._hangs.get(thing.at)
        if found is not None:
            return found
        names: set[str] = set()
        for way in self._continuity.ways[thing.at]:
            if way.supplied is not None:
                names.update(place.circuit for place in self._climb(way.supplied).places)
            elif way.feed is not None and way.feed.source is not None and way.feed.source.at not in below:
                names |= self._circuits_of(way.feed.source, (*below, thing.at))
        found = frozenset(names)
        if not below:
            self._hangs[thing.at] = found
        return found

    def _add(self, thing: Powered) -> None:
        ways = self._continuity.ways[thing.at]
        # What is fed over a run is in the load of its source.
        plugged = [way for way in ways if way.supplied is not None and way.feed is None and can_carry(way)]
        if not plugged:
            return
        part = self._loads.part(thing)
        by_circuit: dict[str, list[_Place]] = {}
        unknown: list[tuple[Path, Span]] = []
        for way in plugged:
            assert way.supplied is not None
            climb = self._climb(way.supplied)
            if climb.unknown is not None:
                unknown.append((climb.unknown, climb.share))
            for place in climb.places:
                by_circuit.setdefault(place.circuit, []).append(place)
        for circuit, places in by_circuit.items():
            if not self._fed_from_the_same(ways, circuit):
                self._parts[circuit].append(self._part(thing, part, places, ways, circuit))
        if unknown:
            share = hull(*(share for _, share in unknown))
            missing = (*(at for at, _ in unknown), *part.missing)
            self._may_hang(frozenset(by_circuit), thing, part.watts.high, share, missing, part.rests_on)

    def _may_hang(
        self,
        on: frozenset[str],
        thing: Thing,
        most_w: float,
        share: Span,
        missing: tuple[Path, ...],
        rests_on: tuple[Path, ...],
    ) -> None:
        """Note what may hang on any circuit beside those that it hangs on for certain."""
        perhaps = _taken(thing, Span(0.0, most_w), share, ANY_FACTOR, list(missing), list(rests_on))
        self._perhaps.append((on, perhaps))

    def _fed_from_the_same(self, ways: tuple[SupplyWay, ...], circuit: str) -> bool:
        """Return whether it is fed over a run from the same circuit: then it is counted there, with the loss."""
        return any(
            way.feed is not None
            and way.feed.source is not None
            and way.carries == "pass"
            and circuit in self._circuits_of(way.feed.source)
            for way in ways
        )

    def _part(
        self, thing: Powered, part: Part, places: list[_Place], ways: tuple[SupplyWay, ...], circuit: str
    ) -> CircuitPart:
        missing, rests_on = [*part.missing], [*part.rests_on]
        factors: list[Span] = []
        for place in places:
            missing.extend(place.missing)
            rests_on.extend(place.rests_on)
            if place.ups is None:
                missing.extend(part.va_missing)
                factors.append(part.factor)
            else:
                factors.append(self._input_factor(place.ups, missing, rests_on))
        share, factor, own_w = hull(*(place.share for place in places)), hull(*factors), part.watts
        if all(self._leads_to(way, circuit) for way in ways if can_carry(way)):
            return _taken(thing, own_w, share, factor, missing, rests_on)
        mode = thing.value("supply_mode") if isinstance(thing, Gear) and thing.is_switch else None
        if mode is not None and len(thing.supplies) > 1 and mode.value != "redundant":
            # It may never have to carry the whole: two that are combined share it at all times.
            own_w = Span(0.0, own_w.high)
            if mode.value is None:
                missing.append(mode.at)
        return _taken(thing, own_w, share, factor, missing, rests_on)._replace(least_va=0.0)

    def _leads_to(self, way: SupplyWay, circuit: str) -> bool:
        if way.supplied is not None:
            return any(place.circuit == circuit for place in self._climb(way.supplied).places)
        return (
            way.feed is not None
            and way.feed.source is not None
            and circuit in self._circuits_of(way.feed.source)
        )

    def _input_factor(self, ups: str, missing: list[Path], rests_on: list[Path]) -> Span:
        return power_factor_of(self._installation.ups[ups].value("input_power_factor"), missing, rests_on)

    def _add_recharge(self, ups: Thing) -> None:
        stated = ups.value("recharge_w")
        watts = Span(0.0, math.inf) if stated.value is None else exact(stated.value)
        if watts.high == 0:
            return
        climb = self._climb(self._continuity.ups_above[ups.id])
        known, unknown = ([], [stated.at]) if stated.value is None else ([stated.at], [])
        for place in climb.places:
            missing, rests_on = [*unknown, *place.missing], [*known, *place.rests_on]
            factor = self._input_factor(place.ups or ups.id, missing, rests_on)
            taken = _taken(ups, watts, place.share, factor, missing, rests_on)
            self._parts[place.circuit].append(taken)
        if climb.unknown is not None:
            on = frozenset(place.circuit for place in climb.places)
            self._may_hang(on, ups, watts.high, climb.share, (climb.unknown, *unknown), tuple(known))

    def _add_others(self, circuit: Thing) -> None:
        part = others_part(circuit)
        if part.watts.high == 0:
            return
        for place in self._climb(self._continuity.supplied(circuit.id, circuit.at)).places:
            missing, rests_on = [*part.missing, *place.missing], [*part.rests_on, *place.rests_on]
            factor = part.factor
            if place.ups is None:
                missing.extend(part.va_missing)
            else:
                factor = self._input_factor(place.ups, missing, rests_on)
            taken = _taken(circuit, part.watts, place.share, factor, missing, rests_on)
            self._parts[place.circuit].append(taken)

    def _load_of(self, name: str) -> CircuitLoad:
        parts = [*self._parts[name]]
        parts.extend(part for on, part in self._perhaps if name not in on)
        return CircuitLoad(
            tuple(parts),
            Span(sum(part.va.low for part in parts), sum(part.va.high for part in parts)),
            sum(part.least_va for part in parts),
        )


def _taken(
    thing: Thing, own_w: Span, share: Span, factor: Span, missing: list[Path], rests_on: list[Path]
) -> CircuitPart:
    watts = Span(over_share(own_w.low, share.high), over_share(own_w.high, share.low))
    va = apparent(watts, factor)
    return CircuitPart(
        thing,
        own_w,
        share,
        factor,
        va,
        va.low,
        tuple(dict.fromkeys(missing)),
        tuple(dict.fromkeys(rests_on)),
    )
