"""The streams of a design: what each device sends, and to which gear it goes.

A stream goes from a device to those of its needs that state what they take (``intake_mbps``), or where none does to
each of them; what the clients of an access point send goes to the gateways of its wireless names.
"""

import math
from collections.abc import Iterator
from functools import cached_property
from typing import NamedTuple

from riserlint.analysis.addresses import Addresses
from riserlint.analysis.needs import Needs
from riserlint.analysis.reach import Reach
from riserlint.design.models import Written
from riserlint.design.paths import Path
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear

_NOTHING = Span(0.0, 0.0)
#: What a device states of what it sends: its own streams, and those of its wireless clients.
_KEYS = ("stream_mbps", "clients_mbps")
#: Of more missing values than so many the sum names no more.
_MOST_MISSING = 100


class Stream(NamedTuple):
    """What a device sends: on average and at most, Mbit/s, as ranges, and what is not known of it.

    ``peak`` is None where nobody states one.
    """

    average: Span
    peak: Span | None
    missing: tuple[Path, ...]


class Carried(NamedTuple):
    """What goes over a link in one direction: sums as ranges, the devices that send it, and what is not known."""

    average: Span = _NOTHING
    peak: Span = _NOTHING
    sources: int = 0
    missing: tuple[Path, ...] = ()

    def plus(self, other: "Carried") -> "Carried":
        """Return both together."""
        return Carried(
            self.average + other.average,
            self.peak + other.peak,
            self.sources + other.sources,
            (*self.missing, *other.missing)
            if other.missing and len(self.missing) < _MOST_MISSING
            else self.missing,
        )

    def perhaps(self) -> "Carried":
        """Return the same where nothing of it may go here."""
        return self._replace(average=Span(0.0, self.average.high), peak=Span(0.0, self.peak.high))


class Leg(NamedTuple):
    """Traffic from one piece of gear to one of some others."""

    source: str
    ends: frozenset[str]
    carried: Carried


class Streams:
    """What devices send, and to whom; nothing is looked up where no stream is stated."""

    def __init__(self, installation: Installation, reach: Reach, addresses: Addresses, needs: Needs) -> None:
        """Keep what they follow from."""
        self._installation = installation
        self._reach = reach
        self._addresses = addresses
        self._needs = needs

    @cached_property
    def stated(self) -> bool:
        """Whether any stream is stated."""
        parts = {name for name, part in self._installation.design.model.part.items() if _has(part, _KEYS)}
        return any(
            (_has(gear.model, _KEYS) or getattr(gear.model, "part", None) in parts) and self._states(gear)
            for gear in self._installation.gear.values()
            if not gear.is_switch
        )

    def _states(self, gear: Gear) -> bool:
        return any(_sends(gear, key) for key in _KEYS)

    @cached_property
    def homeless(self) -> tuple[Gear, ...]:
        """The devices that state a stream and need nothing that it could go to."""
        sending = {leg.source for leg in self.legs}
        return tuple(
            gear
            for gear in self._installation.gear.values()
            if not gear.is_switch and gear.id not in sending and self._states(gear)
        )

    # -- what is sent -------------------------------------------------------------------------------------------

    def stream(self, gear: Gear, key: str = "stream_mbps") -> Stream | None:
        """Return what a device sends; None where it states none and none of its kind does."""
        average, peak = gear.value(key, "average"), gear.value(key, "peak")
        if average.value is None and peak.value is None:
            role = getattr(gear.model, "role", None)
            if role is None or (role, key) not in self._roles_with:
                return None
            return Stream(Span(0.0, math.inf), Span(0.0, math.inf), (average.at,))
        least = average.value or 0.0
        usual = Span(least, float(peak.value or 0.0) if average.value is None else least)
        missing = () if average.value is not None else (average.at,)
        if peak.value is None:
            return Stream(usual, None, missing)
        return Stream(usual, Span(peak.value, peak.value), missing)

    @cached_property
    def _roles_with(self) -> set[tuple[str, str]]:
        return {
            (role, key)
            for gear in self._installation.gear.values()
            if not gear.is_switch and (role := getattr(gear.model, "role", None)) is not None
            for key in _KEYS
            if _sends(gear, key)
        }

    @cached_property
    def peaks_stated(self) -> bool:
        """Whether any peak is stated."""
        return any(
            gear.value(key, "peak").value is not None
            for gear in self._installation.gear.values()
            if not gear.is_switch
            for key in _KEYS
        )

    def carried(self, stream: Stream) -> Carried:
        """Return what a stream adds to a sum."""
        peak, missing = stream.peak, stream.missing
        if peak is None:
            peak = Span(stream.average.low, math.inf)
        return Carried(stream.average, peak, 1, missing)

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """All traffic, from gear to gear."""
        return tuple(self._find_legs())

    def _find_legs(self) -> Iterator[Leg]:
        takers: dict[tuple[str, ...], list[frozenset[str]]] = {}
        for asker in self._needs.askers:
            for gear in asker.members:
                stream = self.stream(gear)
                if stream is None:
                    continue
                if asker.needs not in takers:
                    takers[asker.needs] = self._takers(asker.needs)
                carried = self._with_place(gear, self.carried(stream))
                for ends in takers[asker.needs]:
                    yield from self._routed(gear.id, ends, carried)
        sent: set[str] = set()
        gateways = {name: self._reach.ports.gateway(name)[0] for name in self._installation.design.model.vlan}
        for ssid in self._installation.design.model.ssid.values():
            end = gateways.get(ssid.vlan or "")
            if end is None or end == "none":
                continue
            for name in ssid.at:
                point = self._installation.gear.get(name)
                if point is None or name in sent:
                    continue
                clients = self.stream(point, "clients_mbps")
                if clients is not None:
                    sent.add(name)
                    yield Leg(
                        name,
                        frozenset((end,)),
                        self._with_place(point, self.carried(clients), "clients_mbps"),
                    )

    def _with_place(self, gear: Gear, carried: Carried, key: str = "stream_mbps") -> Carried:
        if self.peaks_stated and math.isinf(carried.peak.high) and not carried.missing:
            return carried._replace(missing=(gear.value(key, "peak").at,))
        return carried

    def _takers(self, needs: tuple[str, ...]) -> list[frozenset[str]]:
        """Return where a stream goes: for each need that takes one, the gear of which one does."""
        providers = [self._needs.providers(need) for need in needs]
        stated = [
            found for found in providers if any(gear.value("intake_mbps").value is not None for gear in found)
        ]
        return [frozenset(gear.id for gear in found) for found in (stated or providers) if found]

    def _routed(self, source: str, ends: frozenset[str], carried: Carried) -> Iterator[Leg]:
        """Yield the way to one of some ends: direct, or over the gateway where they are in other networks."""
        here = self._vlans(source)
        there = [self._vlans(end) for end in ends]
        if here and all(there) and not any(here & vlans for vlans in there):
            gateway = self._addresses.networks[min(here)].gateway
            if gateway not in {None, "none", source} and gateway not in ends:
                assert gateway is not None
                yield Leg(source, frozenset((gateway,)), carried)
                yield Leg(gateway, ends, carried)
                return
        yield Leg(source, ends, carried)

    def _vlans(self, gear: str) -> frozenset[str]:
        return self._by_gear.get(gear, frozenset())

    @cached_property
    def _by_gear(self) -> dict[str, frozenset[str]]:
        found: dict[str, frozenset[str]] = {}
        if self._addresses.networks:
            for endpoint in self._reach.endpoints:
                if endpoint.at[0] == "device":
                    found[str(endpoint.at[1])] = self._addresses.vlans_of(endpoint)
        return found

    @staticmethod
    def needs_at(gear: Gear) -> Path:
        """Return where it would be written what a device needs: at its role, or where it has none at itself."""
        role = getattr(gear.model, "role", None)
        return (*gear.at, "needs") if role is None else ("role", role, "needs")


def _sends(gear: Gear, key: str) -> bool:
    """Return whether a device states what it sends, on average or at most."""
    return any(gear.value(key, inner).value is not None for inner in ("average", "peak"))


def _has(model: Written, keys: tuple[str, ...]) -> bool:
    """Return whether a model says anything under some keys."""
    return any(model.__dict__.get(key) is not None for key in keys)
