"""The management of gear: in which VLAN it answers, and from which ports frames get there.

A port that ends at a device stands for all that can be plugged in there: whoever unplugs the device sends into the
untagged VLAN of the port, and with a tag into each that it carries tagged.
"""

from collections.abc import Iterator
from functools import cached_property
from typing import NamedTuple

from riserlint.analysis.places import first_and_number
from riserlint.analysis.reach import Endpoint, Reach, Route, Talk
from riserlint.design.paths import Path
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, Run, Thing


class Managed(NamedTuple):
    """Gear whose management answers in one VLAN, and the places of the graph where it hears."""

    vlan: str
    gear: tuple[Thing, ...]
    hears: Endpoint


class Exposed(NamedTuple):
    """Whether some endpoints reach a management, with the way where there is one.

    ``senders`` are those that do for certain, or may where none does.
    """

    talk: Talk
    senders: tuple[Endpoint, ...]
    route: Route | None
    missing: tuple[Path, ...]


class Management:
    """The management of all gear of a design.

    Attributes:
        unknown: where it is written that nobody knows in which VLAN gear answers.
    """

    def __init__(self, installation: Installation, reach: Reach) -> None:
        """Keep the graph."""
        self._installation = installation
        self._reach = reach
        asked = installation.design.asked
        self.unknown = tuple(
            at for thing in self._things() if asked(at := (*thing.at, "managed_in")) and not self._vlan(thing)
        )

    def _things(self) -> Iterator[Thing]:
        yield from self._installation.gear.values()
        yield from self._installation.ups.values()

    def _vlan(self, thing: Thing) -> str | None:
        """Return the VLAN in which gear is managed: its own, or the one that the basis assumes for its kind."""
        own: str | None = getattr(thing.model, "managed_in", None)
        if own is not None or thing.kind not in self._assumed:
            return own
        assumed: str | None = thing.value("managed_in").value
        return assumed

    @cached_property
    def _assumed(self) -> set[str]:
        """The kinds of gear for which the basis assumes in which VLAN they are managed."""
        assumed = self._installation.design.basis.model.assume
        kinds = {"switch": assumed.switch, "device": assumed.device, "ups": assumed.ups}
        return {kind for kind, model in kinds.items() if model is not None and model.managed_in is not None}

    @cached_property
    def managed(self) -> tuple[Managed, ...]:
        """The VLANs in which management answers, with the gear that does."""
        found: dict[str, list[Thing]] = {}
        for thing in self._things():
            vlan = self._vlan(thing)
            if vlan is not None:
                found.setdefault(self._reach.ports.same.get(vlan, vlan), []).append(thing)
        return tuple(self._answering(vlan, things) for vlan, things in found.items())

    def _answering(self, vlan: str, things: list[Thing]) -> Managed:
        """Return the places in which gear answers: in a switch where it has the VLAN, else wherever that is."""
        own = {thing.id for thing in things if isinstance(thing, Gear) and thing.is_switch}
        everywhere = len(own) < len(things)
        hears = tuple(
            number
            for number, place in enumerate(self._reach.graph.places)
            if place.vlan == vlan and place.kind == "gear" and (everywhere or place.gear in own)
        )
        label = f"the management of {first_and_number((thing.id for thing in things), 1)}"
        return Managed(vlan, tuple(things), Endpoint(label, things[0].at, None, (), hears))

    def plugged(self, endpoint: Endpoint) -> Endpoint:
        """Return an endpoint with all that can be sent into the port of a switch that it hangs on."""
        port = endpoint.port
        if port is None or self._reach.ports.kind(port.gear) != "managed":
            return endpoint
        setting = self._reach.ports.setting(port)
        vlans = [*sorted(setting.tagged), *([] if setting.untagged is None else [setting.untagged])]
        places = [self._reach.graph.place_of(port.gear.id, vlan) for vlan in vlans]
        sends = dict.fromkeys((*endpoint.sends, *(place for place in places if place is not None)))
        return endpoint._replace(sends=tuple(sends))

    def exposed(self, managed: Managed, senders: tuple[Endpoint, ...]) -> Exposed:
        """Return whether endpoints reach the management of gear, over routers that let them too."""
        merged = self._reach.certain
        heard = {merged.root[place] for place in managed.hears.hears}
        met: dict[frozenset[int], bool] = {}  # many ports send from the same places
        reaching: list[Endpoint] = []
        for endpoint in senders:
            places = frozenset(merged.root[place] for place in endpoint.sends)
            if places not in met:
                met[places] = not self._reach.spread(merged, endpoint.sends).isdisjoint(heard)
            if met[places]:
                reaching.append(endpoint)
        sure = tuple(reaching)
        if sure:
            return Exposed("always", sure, self._reach.path(sure, [managed.hears], certain=True), ())
        route = self._reach.path(senders, [managed.hears], certain=False)
        lost = [endpoint for endpoint in senders if endpoint.anywhere]
        if route is None and not lost:
            return Exposed("never", (), None, ())
        missing = () if route is None else route.missing
        missing = (*missing, *(path for endpoint in lost for path in endpoint.missing))
        return Exposed("unknown", senders, route, tuple(dict.fromkeys(missing)))

    def trunks_outdoors(self, vlan: str, outdoor: frozenset[str]) -> tuple[Run, ...]:
        """Return the links between switches that carry a VLAN to a switch in an outdoor space."""
        found = []
        for run in self._installation.runs.values():
            ends = (run.from_port, run.to_port)
            if any(port is None or not port.gear.is_switch for port in ends):
                continue
            carried = [
                port
                for port in ends
                if port is not None
                and self._reach.ports.kind(port.gear) == "managed"
                and self._reach.ports.setting(port).form(vlan) in {"tagged", "untagged"}
            ]
            spaces = {port.gear.value("space").value for port in ends if port is not None}
            if carried and not spaces.isdisjoint(outdoor):
                found.append(run)
        return tuple(found)
