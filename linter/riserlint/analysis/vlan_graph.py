"""The graph of frames: places joined by runs, by gear and by routers, and the same places merged.

A place is gear with a VLAN in it (a switch that keeps VLANs apart), gear with a form of frame (one that
floods all frames unchanged), or a device's port with a form of frame. What is joined in both directions is
merged, so that the work grows with ports times the VLANs that they carry, and not with pairs of devices.
"""

from collections.abc import Iterable
from typing import Literal, NamedTuple

from riserlint.analysis.vlan_ports import UNNAMED, PortSetting, VlanPorts
from riserlint.design.paths import Path
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, Port, Run

#: The gear at all far ends that nobody found, and the router of VLANs of which nobody says what routes them.
SOMEWHERE = "\x00"
#: The form of a frame without a tag.
UNTAGGED = ""
#: The name of the port over which all isolated ones of a switch hear.
ISOLATED = "\x01"
PlaceKind = Literal["gear", "port", "out", "in", "router", "wire"]


class Place(NamedTuple):
    """A place of the graph: what kind, the gear, the port of a device, the VLAN or the form of frame."""

    kind: PlaceKind
    gear: str
    port: str
    vlan: str


class _Face(NamedTuple):
    """How a port joins forms of frame on the wire with places behind it."""

    pairs: dict[str, int]
    accepts: dict[str, int]
    maybe: dict[str, tuple[int, ...]]


class Edge(NamedTuple):
    """A joint of two places: where it is written, whether it is certain, whether frames go one way only."""

    start: int
    end: int
    at: Path
    certain: bool
    one_way: bool


class Merged:
    """Places merged where frames go both ways, with the one-way joints and the routers between them."""

    def __init__(self, count: int, edges: Iterable[Edge], routes: Iterable[Edge]) -> None:
        """Merge what is joined in both directions."""
        parent = list(range(count))

        def root(place: int) -> int:
            while parent[place] != place:
                parent[place] = parent[parent[place]]
                place = parent[place]
            return place

        one_way: list[Edge] = []
        for edge in edges:
            if edge.one_way:
                one_way.append(edge)
                continue
            start, end = root(edge.start), root(edge.end)
            if start != end:
                parent[max(start, end)] = min(start, end)
        self.root = [root(place) for place in range(count)]
        self.frames: dict[int, list[int]] = {}
        self.routed: dict[int, list[int]] = {}
        for edge in one_way:
            self.frames.setdefault(self.root[edge.start], []).append(self.root[edge.end])
        for edge in routes:
            start, end = self.root[edge.start], self.root[edge.end]
            self.routed.setdefault(start, []).append(end)
            self.routed.setdefault(end, []).append(start)

    def spread(self, places: Iterable[int], routed: bool, kept_from: int | None = None) -> set[int]:
        """Return all merged places that frames from some places get to, routed ones where asked.

        ``kept_from``: a place that these frames are not handed to.
        """
        seen = {self.root[place] for place in places}
        barred = -1 if kept_from is None else self.root[kept_from]
        todo = list(seen)
        while todo:
            here = todo.pop()
            for there in (*self.frames.get(here, ()), *(self.routed.get(here, ()) if routed else ())):
                if there not in seen and there != barred:
                    seen.add(there)
                    todo.append(there)
        return seen


class Graph:
    """Places and what joins them.

    Attributes:
        ports: the VLANs of the design and of its ports.
        places: the places by their number.
        edges: joints of frames; routes: joints of routers with the VLANs that they route.
        isolated: by the place of a device at an isolated port the place that isolated ports of the switch hear over,
            and whether it is certain that it is isolated.
    """

    def __init__(self, installation: Installation) -> None:
        """Join up the graph."""
        self.installation = installation
        self.ports = VlanPorts(installation)
        self.places: list[Place] = []
        self._ids: dict[tuple[str, str, str, str], int] = {}
        self.edges: list[Edge] = []
        self.routes: list[Edge] = []
        self._faces: dict[tuple[str, Path], _Face] = {}
        self._plain_faces: dict[str, _Face] = {}
        self._serving: dict[tuple[str, str], list[int]] = {}
        self._all = (*self.ports.named, UNNAMED)
        self.isolated: dict[int, tuple[int, bool]] = {}
        self._hearing: set[int] = set()
        for run in installation.runs.values():
            self._join(run)
        self._join_devices()
        self._join_routers()

    # -- places and faces -----------------------------------------------------------------------------------

    def place(self, kind: PlaceKind, gear: str, port: str = "", vlan: str = "") -> int:
        """Return the number of a place, a new one where it is not there yet."""
        key = (kind, gear, port, vlan)
        found = self._ids.get(key)
        if found is None:
            found = self._ids[key] = len(self.places)
            self.places.append(Place(*key))
        return found

    def place_of(self, gear: str, vlan: str) -> int | None:
        """Return the place of a VLAN in a switch, None where nothing joins it there."""
        return self._ids.get(("gear", gear, "", vlan))

    def _face(self, port: Port, other: Port | None) -> _Face:
        gear = port.gear
        kind = self.ports.kind(gear)
        if kind == "plain":
            return self._plain_face(gear.id)
        if kind == "device":
            return self._device_face(port, other)
        setting = self.ports.setting(port)
        key = (gear.id, setting.at)
        face = self._faces.get(key)
        if face is None:
            face = self._faces[key] = self._setting_face(setting, gear.id, None)
        return face

    def _plain_face(self, gear: str) -> _Face:
        face = self._plain_faces.get(gear)
        if face is None:
            forms = {form: self.place("gear", gear, "", form) for form in (UNTAGGED, *self._all)}
            face = self._plain_faces[gear] = _Face(forms, {}, {})
        return face

    def _setting_face(self, setting: PortSetting, gear: str, port: str | None) -> _Face:
        def place(vlan: str) -> int:
            if port is None:
                return self.place("gear", gear, "", vlan)
            return self.place("port", gear, port, vlan)

        pairs = {vlan: place(vlan) for vlan in sorted(setting.tagged)}
        accepts: dict[str, int] = {}
        maybe: dict[str, tuple[int, ...]] = {}
        if setting.untagged is not None:
            pairs[UNTAGGED] = place(setting.untagged)
            if setting.untagged not in pairs:
                accepts[setting.untagged] = pairs[UNTAGGED]
        if not setting.known:
            rest = [vlan for vlan in self._all if vlan not in pairs and vlan not in accepts]
            maybe = {vlan: (place(vlan),) for vlan in rest}
            if not setting.untagged_known:
                maybe[UNTAGGED] = tuple(place(vlan) for vlan in rest)
        return _Face(pairs, accepts, maybe)

    def _device_face(self, port: Port, other: Port | None) -> _Face:
        gear, served = port.gear.id, self.ports.served.get(port.gear.id, ())
        if self.ports.has_own(port):
            setting = self.ports.setting(port)
            for vlan in served:
                if setting.form(vlan) in {"tagged", "untagged"}:
                    self._serving.setdefault((gear, vlan), []).append(
                        self.place("port", gear, port.name, vlan)
                    )
            return self._setting_face(setting, gear, port.name)
        pairs = {UNTAGGED: self.place("port", gear, port.name, UNTAGGED)}
        untagged = None
        if other is not None and self.ports.kind(other.gear) == "managed":
            untagged = self.ports.setting(other).untagged
        for vlan in served:
            # Nothing is written at the device's end: it takes the VLAN in the form that the switch sends.
            if vlan != untagged:
                pairs[vlan] = self.place("port", gear, port.name, vlan)
            self._serving.setdefault((gear, vlan), []).append(pairs[UNTAGGED if vlan == untagged else vlan])
        return _Face(pairs, {}, {})

    # -- joints ---------------------------------------------------------------------------------------------

    def _edge(self, start: int, end: int, at: Path, certain: bool, one_way: bool = False) -> None:
        self.edges.append(Edge(start, end, at, certain, one_way))

    def _join(self, run: Run) -> None:
        first, last = run.from_port, run.to_port
        if first is None and last is None:
            return
        if first is None or last is None:
            here = first or last
            assert here is not None
            face = self._face(here, None)
            other = self._plain_face(SOMEWHERE)
            for form, place in face.pairs.items():
                self._edge(place, other.pairs[form], run.at, False)
            for form, places in face.maybe.items():
                for place in places:
                    self._edge(place, other.pairs[form], run.at, False)
            return
        for end, other_end in ((first, last), (last, first)):
            if not self.is_simple(end):
                continue
            kind = self.ports.kind(other_end.gear)
            if kind not in {"managed", "unknown"}:
                continue
            setting = self.ports.setting(other_end)
            if setting.untagged is not None and kind == "managed":
                device = self.place("port", end.gear.id, end.name, UNTAGGED)
                switch = self.place("gear", other_end.gear.id, "", setting.untagged)
                if setting.isolated == "no":
                    self._edge(device, switch, run.at, True)
                else:
                    self._isolate(device, switch, setting, run.at)
            elif not setting.untagged_known:
                self.any(other_end)
            return
        self._join_faces(self._face(first, last), self._face(last, first), run)

    def _isolate(self, device: int, switch: int, setting: PortSetting, at: Path) -> None:
        """Join a device at an isolated port: what it sends gets into the switch, what it hears comes over one place.

        All isolated ports of a switch in a VLAN hear over that place, so that whoever sends from one of them is kept
        from the others by being kept from it. Where it is not known whether a port is isolated that is so at the worst
        for a path that must be certain, and not for one that may be.
        """
        gear, vlan = self.places[switch].gear, self.places[switch].vlan
        hears = self.place("in", gear, ISOLATED, vlan)
        if hears not in self._hearing:
            self._hearing.add(hears)
            self._edge(switch, hears, at, True, one_way=True)
        self._edge(device, switch, at, True, one_way=True)
        self._edge(hears, device, at, True, one_way=True)
        self.isolated[device] = hears, setting.isolated == "yes"

    def is_simple(self, port: Port) -> bool:
        """Whether a port is the only one of a device that hears untagged frames alone."""
        gear = port.gear
        return (
            not gear.is_switch
            and len(gear.ports) == 1
            and gear.id not in self.ports.served
            and not self.ports.has_own(port)
        )

    def any(self, port: Port) -> tuple[int, int]:
        """Return places for what sends into, and hears from, a port whose untagged VLAN is not known.

        They are two, so that a device that may be in any VLAN does not seem to join them all.
        """
        face = self._face(port, None)
        entry = "" if not self.ports.setting(port).listed else str(self.ports.setting(port).at[-1])
        count = len(self.places)
        sends, hears = self.place("out", port.gear.id, entry), self.place("in", port.gear.id, entry)
        if len(self.places) > count:
            for place in face.maybe.get(UNTAGGED, ()):
                self._edge(sends, place, (), False, one_way=True)
                self._edge(place, hears, (), False, one_way=True)
        return sends, hears

    def _join_faces(self, one: _Face, two: _Face, run: Run) -> None:
        at = run.at
        for here, there in ((one, two), (two, one)):
            for form, place in here.pairs.items():
                if form in there.pairs:
                    if here is one:
                        self._edge(place, there.pairs[form], at, True)
                elif form in there.accepts:
                    self._edge(place, there.accepts[form], at, True, one_way=True)
                else:
                    for other in there.maybe.get(form, ()):
                        self._edge(place, other, at, False)
            for form, place in here.accepts.items():
                for other in there.maybe.get(form, ()):
                    self._edge(other, place, at, False, one_way=True)
        for form, places in one.maybe.items():
            others = two.maybe.get(form, ())
            if len(places) > 1 and len(others) > 1:
                wire = self.place("wire", run.id)
                for place in (*places, *others):
                    self._edge(place, wire, at, False)
            else:
                for place in places:
                    for other in others:
                        self._edge(place, other, at, False)

    def _join_devices(self) -> None:
        """Join, as what may be, the ports of devices that do not say whether they join them.

        A device without a run may hang on one of those whose far end nobody found.
        """
        for gear in self.installation.gear.values():
            if gear.is_switch or self.ports.kind(gear) != "device":
                continue
            if not gear.ports and SOMEWHERE in self._plain_faces:
                lone = self.place("port", gear.id, "", UNTAGGED)
                self._edge(lone, self._plain_faces[SOMEWHERE].pairs[UNTAGGED], (), False)
            if gear.id in self.ports.gateways:
                continue
            single = len(gear.ports) < 2 and gear.id not in self.ports.with_table
            if single or gear.value("joins").value is not None:
                continue
            first, *others = self.own_places(gear) or [0]
            for place in others:
                self._edge(first, place, (*gear.at, "joins"), False)

    def own_places(self, gear: Gear) -> list[int]:
        """Return the places of a device's ports, those of what it serves left out."""
        found: list[int] = []
        served = self.ports.served.get(gear.id, ())
        kind = self.ports.kind(gear)
        if kind == "plain":
            return [self.place("gear", gear.id, "", UNTAGGED)]
        lone = self._ids.get(("port", gear.id, "", UNTAGGED))
        if not gear.ports:
            return [] if lone is None else [lone]
        for port in gear.ports.values():
            forms = [UNTAGGED]
            if self.ports.has_own(port):
                setting = self.ports.setting(port)
                tagged = [vlan for vlan in sorted(setting.tagged) if vlan not in served]
                forms = [*([] if setting.untagged is None else [setting.untagged]), *tagged]
            for form in forms:
                place = ("port", gear.id, port.name, form)
                if kind == "managed":
                    place = ("gear", gear.id, "", form)
                if place in self._ids:
                    found.append(self._ids[place])
        return found

    def _join_routers(self) -> None:
        gear = self.installation.gear
        routers: dict[str, list[int]] = {}
        for name, vlans in self.ports.gateways.items():
            if name in gear:
                routers[name] = [place for vlan in vlans for place in self.serving(name, vlan)]
        for thing in gear.values():
            if thing.is_switch:
                continue
            joins = thing.value("joins").value
            if joins == "route" or (joins is None and thing.id in routers):
                own = self.own_places(thing)
                routers[thing.id] = [*routers.get(thing.id, ()), *own, *self._served_places(thing.id)]
        elsewhere = self._unknown_routers()
        for name, places in routers.items():
            policy, at = self.ports.policy(name)
            if policy == "deny":
                continue
            router = self.place("router", name)
            for place in dict.fromkeys(places):
                self.routes.append(Edge(place, router, at, policy == "permit", False))
            if elsewhere is not None:
                self.routes.append(Edge(elsewhere, router, at, False, False))

    def _unknown_routers(self) -> int | None:
        """Join, as what may be, all VLANs of which nobody says what routes them."""
        unrouted = {
            self.ports.same[name]: ("vlan", name, "gateway")
            for name in self.installation.design.model.vlan
            if self.ports.gateway(name)[0] is None
        }
        if not unrouted:
            return None
        router = self.place("router", SOMEWHERE)
        for number, place in enumerate(self.places):
            if place.kind == "gear" and place.vlan in unrouted:
                self.routes.append(Edge(number, router, unrouted[place.vlan], False, False))
        return router

    def serving(self, gear: str, vlan: str) -> tuple[int, ...]:
        """Return the places in which gear hands on a VLAN, as a router or as an access point."""
        if (
            self.installation.gear[gear].is_switch
            or self.ports.kind(self.installation.gear[gear]) != "device"
        ):
            place = self.place_of(gear, vlan)
            return () if place is None else (place,)
        return tuple(self._serving.get((gear, vlan), ()))

    def _served_places(self, gear: str) -> list[int]:
        return [place for vlan in self.ports.served.get(gear, ()) for place in self.serving(gear, vlan)]
