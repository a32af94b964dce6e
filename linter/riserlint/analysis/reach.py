"""Who can talk to whom: frames over ports and VLANs, and routes between VLANs where a policy lets them.

Two graphs bound what is not written: what is joined whatever it turns out to be, and what may be joined. The
second takes each unknown by itself, so of two joints that exclude each other it holds both; it misses none.
"""

from collections import deque
from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import Literal, NamedTuple

from riserlint.analysis.vlan_graph import UNTAGGED, Edge, Graph, Merged, Place
from riserlint.design.paths import Path
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, Port, Run

#: Whether frames get there: whatever the unknown turns out to be, in no case, or it turns on it.
Talk = Literal["always", "never", "unknown"]


class Endpoint(NamedTuple):
    """What sends and hears: a device, the clients of a wireless name, an outlet.

    ``missing`` holds what is not known of where it is; ``anywhere`` says that no place stands for that.
    """

    label: str
    at: Path
    role: str | None
    sends: tuple[int, ...]
    hears: tuple[int, ...]
    port: Port | None = None
    missing: tuple[Path, ...] = ()
    anywhere: bool = False


class RouteStep(NamedTuple):
    """One step of a path: over a run from a port to a port, through a router, or inside gear.

    ``before`` and ``after`` are the places; ``missing`` what the step turns on, empty where it is certain.
    """

    before: Place
    after: Place
    run: Run | None
    leaves: Port | None
    enters: Port | None
    at: Path
    missing: tuple[Path, ...]


class Route(NamedTuple):
    """A path from an endpoint, in a place, to an endpoint."""

    first: Endpoint
    start: Place
    steps: tuple[RouteStep, ...]
    last: Endpoint

    @property
    def missing(self) -> tuple[Path, ...]:
        """What the path turns on, in its order."""
        found = [
            *self.first.missing,
            *(path for step in self.steps for path in step.missing),
            *self.last.missing,
        ]
        return tuple(dict.fromkeys(found))


class Reach:
    """The network of a design: its endpoints, and who reaches whom.

    Attributes:
        graph: places and what joins them.
        ports: the VLANs of the design and of its ports.
        endpoints: devices, clients of wireless names, outlets with a role.
    """

    def __init__(self, installation: Installation) -> None:
        """Build the graph, and find what sends and hears in it."""
        self.installation = installation
        self.graph = Graph(installation)
        self.ports = self.graph.ports
        self.endpoints = tuple(self._find_endpoints())
        self._spreads: dict[tuple[str, bool], tuple[set[int], set[int]]] = {}

    # -- endpoints ------------------------------------------------------------------------------------------

    def _find_endpoints(self) -> Iterator[Endpoint]:
        for gear in self.installation.gear.values():
            if not gear.is_switch:
                yield self._device_endpoint(gear)
        for name, ssid in self.installation.design.model.ssid.items():
            yield from self._client_endpoints(
                name, ssid.vlan, ssid.role, ssid.at, "at" in ssid.model_fields_set
            )
        for (gear_id, port_name), (entry, at) in self.installation.port_vlans.items():
            if entry.role is not None:
                yield self._outlet_endpoint(self.installation.gear[gear_id], port_name, entry.role, at)

    def _device_endpoint(self, gear: Gear) -> Endpoint:
        role: str | None = gear.value("role").value
        missing: list[Path] = []
        port: Port | None = None
        for own in gear.ports.values():
            if own.run is None:
                continue
            far = own.run.other_end(own)
            if far is None:
                missing.append((*own.run.at, "to" if own is own.run.from_port else "from"))
            elif self.graph.is_simple(own) and self.ports.kind(far.gear) in {"managed", "unknown"}:
                port = far
                setting = self.ports.setting(far)
                if not setting.untagged_known or self.ports.kind(far.gear) == "unknown":
                    sends, hears = self.graph.any(far)
                    return Endpoint(
                        gear.id, gear.at, role, (sends,), (hears,), far, self.ports.missing(far)[:1]
                    )
            elif port is None:
                port = far
        places = tuple(dict.fromkeys(self.graph.own_places(gear)))
        return Endpoint(gear.id, gear.at, role, places, places, port, tuple(missing), bool(missing))

    def _client_endpoints(
        self, name: str, vlan: str | None, role: str | None, at: tuple[str, ...], at_written: bool
    ) -> Iterator[Endpoint]:
        here: Path = ("ssid", name)
        if not at_written:
            yield Endpoint(f"clients of {name}", here, role, (), (), None, ((*here, "at"),), True)
        for access_point in at:
            label = f"clients of {name} at {access_point}"
            if vlan not in self.ports.same:
                yield Endpoint(label, here, role, (), (), None, ((*here, "vlan"),), True)
                continue
            places = (
                self.graph.serving(access_point, self.ports.same[vlan])
                if access_point in self.installation.gear
                else ()
            )
            yield Endpoint(label, here, role, places, places)

    def _outlet_endpoint(self, gear: Gear, port_name: str, role: str, at: Path) -> Endpoint:
        label = f"outlet {gear.id}/{port_name}"
        port = gear.ports.get(port_name)
        kind = self.ports.kind(gear)
        setting = self.ports.written(*self.installation.port_vlans[(gear.id, port_name)])
        if kind == "managed" and not setting.untagged_known:
            return Endpoint(label, at, role, (), (), port, ((*setting.at, "untagged"),), True)
        if kind == "plain":
            places: tuple[int, ...] = (self.graph.place("gear", gear.id, "", UNTAGGED),)
        elif kind == "managed" and setting.untagged is not None:
            places = (self.graph.place("gear", gear.id, "", setting.untagged),)
        else:
            places = ()
        return Endpoint(label, at, role, places, places, port)

    @cached_property
    def members(self) -> dict[str, tuple[Endpoint, ...]]:
        """By role its endpoints, one for each place: what is in the same place reaches the same."""
        found: dict[str, dict[tuple[object, ...], Endpoint]] = {}
        for endpoint in self.endpoints:
            if endpoint.role is not None:
                at_place = found.setdefault(endpoint.role, {})
                at_place.setdefault((endpoint.sends, endpoint.hears, endpoint.missing), endpoint)
        return {role: tuple(at_place.values()) for role, at_place in found.items()}

    # -- answers --------------------------------------------------------------------------------------------

    @cached_property
    def certain(self) -> Merged:
        """What is joined whatever is unknown turns out to be."""
        edges = (edge for edge in self.graph.edges if edge.certain)
        return Merged(len(self.graph.places), edges, (edge for edge in self.graph.routes if edge.certain))

    @cached_property
    def possible(self) -> Merged:
        """What is joined, and what may be."""
        return Merged(len(self.graph.places), self.graph.edges, self.graph.routes)

    def talk(self, senders: Iterable[Endpoint], hearers: Iterable[Endpoint], *, routed: bool = True) -> Talk:
        """Return whether frames of some sender get to some hearer, over routers unless asked otherwise."""
        senders, hearers = tuple(senders), tuple(hearers)
        sends = {place for endpoint in senders for place in endpoint.sends}
        hears = {place for endpoint in hearers for place in endpoint.hears}
        if self._meets(self.certain, sends, hears, routed):
            return "always"
        anywhere = any(endpoint.anywhere for endpoint in (*senders, *hearers)) and senders and hearers
        if anywhere or self._meets(self.possible, sends, hears, routed):
            return "unknown"
        return "never"

    def roles_talk(self, one: str, two: str) -> Talk:
        """Return whether frames of some member of a role get to some member of another, over routers too."""
        if not self.members.get(one) or not self.members.get(two):
            return "never"
        ends: tuple[tuple[bool, Talk], ...] = ((True, "always"), (False, "unknown"))
        for certain, talk in ends:
            sent, _ = self._role_spread(one, certain)
            _, heard = self._role_spread(two, certain)
            if not sent.isdisjoint(heard):
                return talk
        lost = any(endpoint.anywhere for role in (one, two) for endpoint in self.members[role])
        return "unknown" if lost else "never"

    def _role_spread(self, role: str, certain: bool) -> tuple[set[int], set[int]]:
        """Return where frames of a role get to, and where it hears, in merged places."""
        found = self._spreads.get((role, certain))
        if found is None:
            merged = self.certain if certain else self.possible
            members = self.members[role]
            sent = self.spread(merged, (place for endpoint in members for place in endpoint.sends))
            heard = {merged.root[place] for endpoint in members for place in endpoint.hears}
            found = self._spreads[(role, certain)] = sent, heard
        return found

    def roles_at(self, gear: str, vlan: str) -> frozenset[str]:
        """Return the roles that surely talk with a VLAN in a switch, in one direction at least."""
        place = self.graph.place_of(gear, vlan)
        if place is None:
            return frozenset()
        merged = self.certain
        spread = merged.spread((place,), True)
        found: set[str] = set()
        for role in self.members:
            sent, heard = self._role_spread(role, True)
            if merged.root[place] in sent or not heard.isdisjoint(spread):
                found.add(role)
        return frozenset(found)

    def spread(self, merged: Merged, places: Iterable[int], *, routed: bool = True) -> set[int]:
        """Return all merged places that frames from some places get to; those of isolated ports not to each other."""
        barred: dict[int | None, list[int]] = {}
        for place in places:
            barred.setdefault(self._kept_from(merged, place), []).append(place)
        return set().union(*(merged.spread(own, routed, kept) for kept, own in barred.items()))

    def _kept_from(self, merged: Merged, place: int) -> int | None:
        """Return the place that frames from an isolated port are not handed to."""
        hears, sure = self.graph.isolated.get(place, (None, True))
        return hears if sure or merged is self.certain else None

    def _meets(self, merged: Merged, sends: set[int], hears: set[int], routed: bool) -> bool:
        return not self.spread(merged, sends, routed=routed).isdisjoint(merged.root[place] for place in hears)

    def path(
        self, senders: Iterable[Endpoint], hearers: Iterable[Endpoint], *, certain: bool
    ) -> Route | None:
        """Return a shortest path from a sender to a hearer, over certain joints or over possible ones too."""
        first: dict[int, Endpoint] = {}
        for endpoint in senders:
            for place in endpoint.sends:
                first.setdefault(place, endpoint)
        last: dict[int, Endpoint] = {}
        for endpoint in hearers:
            for place in endpoint.hears:
                last.setdefault(place, endpoint)
        merged = self.certain if certain else self.possible
        barred: dict[int | None, dict[int, Endpoint]] = {}
        for place, endpoint in first.items():
            barred.setdefault(self._kept_from(merged, place), {})[place] = endpoint
        routes = [self._shortest(own, last, certain, kept) for kept, own in barred.items()]
        return min(
            (route for route in routes if route is not None), key=lambda route: len(route.steps), default=None
        )

    def _shortest(
        self, first: dict[int, Endpoint], last: dict[int, Endpoint], certain: bool, kept_from: int | None
    ) -> Route | None:
        came: dict[int, tuple[int, Edge] | None] = dict.fromkeys(first)
        todo = deque(first)
        onward = self._onward
        while todo:
            here = todo.popleft()
            if here in last:
                return self._route(here, came, first, last)
            for there, edge in onward.get(here, ()):
                if there not in came and there != kept_from and (edge.certain or not certain):
                    came[there] = (here, edge)
                    todo.append(there)
        return None

    @cached_property
    def _onward(self) -> dict[int, list[tuple[int, Edge]]]:
        onward: dict[int, list[tuple[int, Edge]]] = {}
        for edge in (*self.graph.edges, *self.graph.routes):
            onward.setdefault(edge.start, []).append((edge.end, edge))
            if not edge.one_way:
                onward.setdefault(edge.end, []).append((edge.start, edge))
        return onward

    def _route(
        self,
        end: int,
        came: dict[int, tuple[int, Edge] | None],
        first: dict[int, Endpoint],
        last: dict[int, Endpoint],
    ) -> Route:
        steps: list[RouteStep] = []
        here = end
        while (found := came[here]) is not None:
            before, edge = found
            steps.append(self._step(before, here, edge))
            here = before
        return Route(first[here], self.graph.places[here], tuple(reversed(steps)), last[end])

    def _step(self, start: int, end: int, edge: Edge) -> RouteStep:
        before, after = self.graph.places[start], self.graph.places[end]
        run = self.installation.runs[str(edge.at[1])] if edge.at[:1] == ("run",) else None
        if run is None:
            missing = () if edge.certain or not edge.at else (edge.at,)
            return RouteStep(before, after, None, None, None, edge.at, missing)
        leaves, enters = _ends(run, before, after)
        unknown: list[Path] = []
        if not edge.certain:
            for key, port in (("from", run.from_port), ("to", run.to_port)):
                unknown.extend(((*run.at, key),) if port is None else self.ports.missing(port))
        return RouteStep(before, after, run, leaves, enters, run.at, tuple(unknown))


def _ends(run: Run, before: Place, after: Place) -> tuple[Port | None, Port | None]:
    """Return the port at which a step over a run leaves, and the one at which it enters."""
    for leaves, enters in ((run.from_port, run.to_port), (run.to_port, run.from_port)):
        if before.kind == "wire":
            if enters is not None and enters.gear.id == after.gear:
                return leaves, enters
        elif leaves is not None and leaves.gear.id == before.gear:
            return leaves, enters
    return (None, run.to_port) if run.from_port is None else (None, run.from_port)
