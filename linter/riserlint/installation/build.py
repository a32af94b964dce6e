"""From the design as written to the installation: references resolved, the graph of power and data joined up."""

from collections.abc import Iterable
from typing import Any

from riserlint.design.marks import pool_problem
from riserlint.design.models import PortVlans, RatedPoint
from riserlint.design.paths import Path, path_text
from riserlint.design.problems import Problem
from riserlint.design.reading import Design
from riserlint.design.wording import nearest_of
from riserlint.installation.ports import port_names
from riserlint.installation.things import (
    AssumedCordCable,
    Bundle,
    Cable,
    Cord,
    Feed,
    Gear,
    InlineGear,
    Member,
    Pathway,
    Port,
    PortGroup,
    Run,
    Segment,
    SpaceThing,
    SupplyFeed,
    Thing,
    Value,
)

_MAINS_WORDS = frozenset({"mains", "generator"})


class Installation:
    """What a design describes, as a graph.

    Attributes:
        design: what was written.
        gear: switches and devices by id (one name space: a run's end names either).
        cord_cable: the kind that the basis assumes for cords whose kind is not written, None where it assumes none.
        inlines, runs, cables, bundles, pathways, spaces, circuits, ups: by id.
        port_vlans: the VLANs written for a port, by (gear id, port name), with where they are written.
        feeds: power over runs, each from a source to a load.
        problems: references to what isn't there, two runs in one port, and their like.
    """

    def __init__(self, design: Design) -> None:
        """Resolve a design."""
        self.design = design
        self.problems: list[Problem] = []
        self.gear: dict[str, Gear] = {}
        self.inlines: dict[str, InlineGear] = {}
        self.runs: dict[str, Run] = {}
        self.port_vlans: dict[tuple[str, str], tuple[PortVlans, Path]] = {}
        self.feeds: list[Feed] = []
        #: Temperatures of spaces that analyses have looked up, by space and key.
        self.celsius_of: dict[tuple[str, str], tuple[float | None, Path]] = {}
        self._asked: set[Path] = set()
        for source in design.sources:
            self._asked |= source.asked
        model = design.model
        self.cables = self._things(Cable, "cable", model.cable)
        self.spaces = self._things(SpaceThing, "space", model.space)
        self.pathways = self._things(Pathway, "pathway", model.pathway)
        self.bundles = self._things(Bundle, "bundle", model.bundle)
        self.circuits = self._things(Thing, "circuit", model.circuit)
        self.ups = self._things(Thing, "ups", model.ups)
        self.cord_cable = self._assumed_cord_cable()
        self._build_gear()
        self._build_inlines()
        self._build_places()
        for run_id, written in model.run.items():
            self._build_run(run_id, written)
        self._build_feeds()
        self._build_network()
        self.problems.sort()

    # -- things ---------------------------------------------------------------------------------------------

    def _things(self, cls: Any, kind: str, models: dict[str, Any]) -> Any:
        assumed = self.design.basis.model.assume
        return {name: cls(kind, name, model, assumed, self._asked) for name, model in models.items()}

    def _assumed_cord_cable(self) -> Cable | None:
        written = self.design.basis.model.assume.cord_cable
        if written is None:
            return None
        # No cable of a file can have the empty id, so that it is never taken for one of them.
        return AssumedCordCable("cable", "", written, self.design.basis.model.assume, self._asked)

    def _problem(self, path: Path, message: str) -> None:
        location = self.design.locate(path)
        self.problems.append(Problem(location.file, location.line, location.column, path, message))

    def _problem_once(self, path: Path, message: str) -> None:
        """Add a problem of what many pieces of gear have in common only once."""
        if all((problem.path, problem.message) != (path, message) for problem in self.problems):
            self._problem(path, message)

    def _refer(self, name: str | None, kinds: tuple[str, ...], table: Iterable[str], path: Path) -> None:
        """Add a problem where a name that is written stands for nothing that is described."""
        if name is None or name in table:
            return
        if any((kind, name) in self.design.dropped for kind in kinds):
            return
        hint = nearest_of(name, list(table))
        self._problem(path, f'there is no {" or ".join(kinds)} "{name}"{hint}')

    def _build_gear(self) -> None:
        model = self.design.model
        assumed = self.design.basis.model.assume
        asking = {path[:2] for path in self._asked}
        shared_values: dict[tuple[str, str], dict[tuple[str, ...], Value[Any]]] = {}
        written: list[tuple[str, str, Any]] = [("switch", name, gear) for name, gear in model.switch.items()]
        written.extend(("device", name, gear) for name, gear in model.device.items())
        for kind, name, gear_model in written:
            at: Path = (kind, name)
            if name in self.gear:
                self._problem(at, f'"{name}" is already the id of a switch; a run\'s end must name one thing')
                continue
            self._refer(gear_model.part, ("part",), model.part, (*at, "part"))
            part = model.part.get(gear_model.part) if gear_model.part is not None else None
            part_at: Path = ("part", gear_model.part or "")
            shared = None
            if part is not None and at not in asking:
                shared = shared_values.setdefault((kind, gear_model.part), {})
            gear = Gear(kind, name, gear_model, assumed, self._asked, part, part_at, shared)
            self.gear[name] = gear
            self._refer(gear_model.space, ("space",), model.space, (*at, "space"))
            if kind == "device":
                self._refer(gear_model.role, ("role",), model.role, (*at, "role"))
            else:
                self._build_ports(gear)
                self._check_points(gear.value("pse", "budget_w"))
            self._build_supplies(gear)

    def _build_ports(self, gear: Gear) -> None:
        assumed = self.design.basis.model.assume
        for holder, base in ((gear.part, gear.part_at), (gear.model, gear.at)):
            table = getattr(holder, "ports", None)
            if table is None:
                continue
            gear.ports_known = True
            seen: dict[str, str] = {}
            for key, properties in table.items():
                at: Path = (*base, "ports", key)
                try:
                    names = port_names(key)
                except ValueError as error:
                    self._problem(at, str(error))
                    continue
                for name in names:
                    if name in seen:
                        self._problem(at, f'port {name} is described twice: in "{seen[name]}" and in "{key}"')
                        continue
                    seen[name] = key
                    gear.ports[name] = Port(gear, name, properties, at, assumed, gear.ports.get(name))
        inlet = gear.value("inlet", "port").value if gear.has_inlet else None
        if inlet is not None and inlet not in gear.ports:
            gear.ports[inlet] = Port(gear, inlet, None, (*gear.at, "inlet"), assumed)
        self._build_groups(gear)

    def _build_groups(self, gear: Gear) -> None:
        """Take up the groups of ports with a budget of their own; a port is in one of them at most."""
        written = gear.value("pse", "groups")
        groups: list[PortGroup] = []
        holder: dict[str, str] = {}
        for index, group in enumerate(written.value or ()):
            at: Path = (*written.at, index)
            try:
                names = port_names(group.ports)
            except ValueError as error:
                self._problem_once((*at, "ports"), str(error))
                continue
            missing = [name for name in names if gear.ports_known and name not in gear.ports]
            twice = [name for name in names if name in holder]
            if missing:
                self._problem_once((*at, "ports"), f'{gear.id} has no port "{missing[0]}"')
            if twice:
                message = f'port {twice[0]} is in two groups: "{holder[twice[0]]}" and "{group.ports}"'
                self._problem_once((*at, "ports"), message)
            holder.update((name, group.ports) for name in names)
            budget_w = Value(group.budget_w, (*at, "budget_w"), written.assumed)
            self._check_points(budget_w)
            groups.append(PortGroup(group.ports, frozenset(names), budget_w, at))
        gear.groups = tuple(groups)

    def _check_points(self, written: Value[Any]) -> None:
        """Add a problem where watts by points can't be read: their conditions differ in kind, or are the same."""
        points: Any = written.value
        if not isinstance(points, tuple):
            return
        seen: set[tuple[float | None, float | None]] = set()
        first: RatedPoint = points[0]
        for index, point in enumerate(points):
            at: Path = (*written.at, index)
            if (point.volts is None, point.max_c is None) != (first.volts is None, first.max_c is None):
                self._problem_once(at, "all points must state the same of `volts` and `max_c` as the first")
            elif (point.volts, point.max_c) in seen:
                self._problem_once(at, "two points hold for the same voltage and ambient")
            seen.add((point.volts, point.max_c))

    def _build_supplies(self, gear: Gear | InlineGear) -> None:
        model: Any = gear.model
        supplies: list[SupplyFeed] = []
        listed = getattr(model, "supplies", None)
        if model.from_ is not None and listed:
            self._problem(
                (*gear.at, "from"), "`from` and `supplies` both say what feeds it; write one of them"
            )
        if listed:
            for index, supply in enumerate(listed):
                at: Path = (*gear.at, "supplies", index)
                source = Value(supply.from_, (*at, "from"))
                poe_w = Value(supply.poe_w, (*at, "poe_w"))
                assumption = self.design.basis.model.assume.supply
                if poe_w.value is None and assumption is not None and assumption.poe_w is not None:
                    poe_w = Value(assumption.poe_w, ("basis", "assume", "supply", "poe_w"), True)
                self._check_points(poe_w)
                supplies.append(SupplyFeed(source, poe_w))
        elif model.from_ is not None:
            supplies.append(
                SupplyFeed(Value(model.from_, (*gear.at, "from")), Value(None, (*gear.at, "from")))
            )
        gear.supplies = tuple(supplies)
        for supply_feed in supplies:
            self._refer_supply(supply_feed.source.value, supply_feed.source.at)

    def _refer_supply(self, name: str | None, path: Path) -> None:
        if name is None or name in _MAINS_WORDS or name in self.circuits:
            return
        self._refer(name, ("circuit", "ups"), self.ups, path)

    def _build_inlines(self) -> None:
        assumed = self.design.basis.model.assume
        for name, model in self.design.model.inline.items():
            inline = InlineGear("inline", name, model, assumed, self._asked)
            self.inlines[name] = inline
            self._refer(model.space, ("space",), self.spaces, (*inline.at, "space"))
            self._build_supplies(inline)
            self._check_points(inline.value("pse", "budget_w"))
            if model.pse is not None and model.pse.groups:
                self._problem((*inline.at, "pse", "groups"), "an injector has one port, and so no groups")

    def _build_places(self) -> None:
        model = self.design.model
        for bundle in self.bundles.values():
            named = bundle.model.pathway
            self._refer(named, ("pathway",), model.pathway, (*bundle.at, "pathway"))
            bundle.pathway = self.pathways.get(named)
        for pathway in self.pathways.values():
            self._refer(pathway.model.space, ("space",), model.space, (*pathway.at, "space"))
        for circuit in self.circuits.values():
            self._refer_supply(circuit.model.from_, (*circuit.at, "from"))
        for ups in self.ups.values():
            if ups.id in self.circuits:
                self._problem(
                    ups.at, f'"{ups.id}" is already the id of a circuit; what feeds gear must be one thing'
                )
            self._refer_supply(ups.model.from_, (*ups.at, "from"))
            self._refer(ups.model.space, ("space",), model.space, (*ups.at, "space"))

    # -- runs -----------------------------------------------------------------------------------------------

    def _build_run(self, run_id: str, written: Any) -> None:
        model = self.design.model
        run = Run("run", run_id, written, self.design.basis.model.assume, self._asked)
        self.runs[run_id] = run
        run.from_port = self._end(run, "from", written.from_)
        run.to_port = self._end(run, "to", written.to)
        if run.from_port is not None and run.to_port is not None and run.from_port.gear is run.to_port.gear:
            self._problem((*run.at, "to"), f"both ends are at {run.to_port.gear.id}")
        cable_id = run.value("cable")
        if cable_id.value is not None:
            self._refer(cable_id.value, ("cable",), model.cable, cable_id.at)
            run.cable = self.cables.get(cable_id.value)
        run.cords = self._cords(run)
        run.segments = self._segments(run)
        for index, name in enumerate(written.through):
            at: Path = (*run.at, "through", index)
            self._refer(name, ("inline",), model.inline, at)
            inline = self.inlines.get(name)
            if inline is None:
                continue
            if inline.run is not None:
                self._problem(
                    at, f"inline {name} is already in run {inline.run.id}; it can be in one run only"
                )
                continue
            inline.run = run
            run.inlines = (*run.inlines, inline)

    def _end(self, run: Run, key: str, written: str | None) -> Port | None:
        if written is None:
            return None
        path: Path = (*run.at, key)
        gear_id, _, port_name = written.partition("/")
        gear = self.gear.get(gear_id)
        if gear is None:
            self._refer(gear_id, ("switch", "device"), self.gear, path)
            return None
        if not port_name and gear.is_switch:
            inlet = gear.value("inlet", "port").value if gear.has_inlet else None
            port_name = inlet or ""
            if not gear.has_inlet:
                self._problem(path, f'switch {gear_id} has many ports: write "{gear_id}/PORT"')
                return None
        port = gear.ports.get(port_name)
        if port is None:
            if gear.ports_known and port_name:
                names = list(gear.ports)
                few = (
                    ", ".join(names) if len(names) <= 12 else f"{len(names)} ports, {names[0]} to {names[-1]}"
                )
                self._problem(path, f'{gear_id} has no port "{port_name}"; it has {few}')
                return None
            at: Path = (*gear.at, "ports") if gear.is_switch else gear.at
            port = Port(gear, port_name, None, at, self.design.basis.model.assume)
            gear.ports[port_name] = port
        if port.run is not None:
            self._problem(
                path, f"{port.label} already holds run {port.run.id}; two runs can't end in one port"
            )
            return port
        port.run = run
        return port

    def _cords(self, run: Run) -> tuple[Cord, ...] | None:
        written = run.model
        if written.cords is not None and written.cords_m is not None:
            self._problem(
                (*run.at, "cords_m"), "`cords` and `cords_m` both say what the cords are; write one of them"
            )
        if written.cords is not None:
            cords: list[Cord] = []
            assumption = self.design.basis.model.assume.cord
            for index, cord in enumerate(written.cords):
                at: Path = (*run.at, "cords", index)
                self._refer(cord.cable, ("cable",), self.design.model.cable, (*at, "cable"))
                cable = self.cables.get(cord.cable) if cord.cable is not None else self.cord_cable
                metres = Value(cord.m, (*at, "m"))
                if cord.m is None and assumption is not None and assumption.m is not None:
                    metres = Value(assumption.m, ("basis", "assume", "cord", "m"), True)
                together = self._bundled_with((*at, "bundled_with"), cord.bundled_with)
                cords.append(Cord(metres, cable, at, together))
            return tuple(cords)
        lengths = run.value("cords_m")
        if lengths.value is None:
            return None
        together = self._bundled_with(lengths.at, None)
        places: list[Path] = [(*lengths.at, index) for index in range(len(lengths.value))]
        return tuple(
            Cord(Value(metres, at, lengths.assumed), self.cord_cable, at, together)
            for metres, at in zip(lengths.value, places)
        )

    def _bundled_with(self, at: Path, stated: int | None) -> Value[int]:
        assumption = self.design.basis.model.assume.cord
        if stated is None and assumption is not None and assumption.bundled_with is not None:
            return Value(assumption.bundled_with, ("basis", "assume", "cord", "bundled_with"), True)
        return Value(stated, at)

    def _segments(self, run: Run) -> tuple[Segment, ...]:
        written = run.model
        if written.route is None:
            space, bundle = run.value("space"), run.value("bundle")
            segment = Segment(space, Value(None, (*run.at, "route")), bundle)
            self._check_segment(run, segment)
            return (segment,)
        for key in ("space", "bundle"):
            if getattr(written, key) is not None:
                self._problem(
                    (*run.at, key), f"`{key}` and `route` both say where the run lies; write one of them"
                )
        segments: list[Segment] = []
        for index, part in enumerate(written.route):
            at: Path = (*run.at, "route", index)
            segment = Segment(
                Value(part.space, (*at, "space")),
                Value(part.m, (*at, "m")),
                self._route_bundle(run, part.bundle, at),
            )
            self._check_segment(run, segment)
            segments.append(segment)
        return tuple(segments)

    def _route_bundle(self, run: Run, bundle: str | None, at: Path) -> Value[str]:
        if bundle is None:
            assumed = run.value("bundle")
            if assumed.value is not None:
                return assumed
        return Value(bundle, (*at, "bundle"))

    def _check_segment(self, run: Run, segment: Segment) -> None:
        self._refer(segment.space.value, ("space",), self.spaces, segment.space.at)
        name = segment.bundle.value
        if name is None or name == "none":
            return
        self._refer(name, ("bundle",), self.bundles, segment.bundle.at)
        bundle = self.bundles.get(name)
        if bundle is not None:
            bundle.members.append(Member(run, segment))

    # -- power ----------------------------------------------------------------------------------------------

    def _build_feeds(self) -> None:
        for run in self.runs.values():
            load_port = self._load_end(run)
            if load_port is None:
                continue
            source_port = run.other_end(load_port)
            injector = next((inline for inline in run.inlines if inline.is_injector), None)
            feed = Feed(run, source_port, injector, load_port.gear)
            run.feed = feed
            self.feeds.append(feed)
            load_port.gear.feeds_in.append(feed)
            source = feed.source
            if source is not None:
                source.feeds_out.append(feed)

    def _load_end(self, run: Run) -> Port | None:
        """Return the end that takes power over this run, None where neither does."""
        for port, other in ((run.to_port, run.from_port), (run.from_port, run.to_port)):
            if port is None or not self._takes_power(port):
                continue
            if other is not None and not other.gear.is_switch and not run.inlines:
                continue
            return port
        return None

    def _takes_power(self, port: Port) -> bool:
        gear = port.gear
        if gear.is_switch:
            return gear.has_inlet and port.name == (gear.value("inlet", "port").value or "")
        if gear.has_inlet:
            return True
        return not gear.supplies

    # -- network --------------------------------------------------------------------------------------------

    def _build_network(self) -> None:
        model = self.design.model
        for role_id, role in model.role.items():
            at: Path = ("role", role_id)
            for index, need in enumerate(role.needs):
                if need not in model.role:
                    self._refer(need, ("role", "switch", "device"), self.gear, (*at, "needs", index))
        for gear in self.gear.values():
            for index, need in enumerate(getattr(gear.model, "needs", None) or ()):
                if need not in model.role:
                    self._refer(need, ("role", "switch", "device"), self.gear, (*gear.at, "needs", index))
            for index, other in enumerate(getattr(gear.model, "not_lost_with", ())):
                at = (*gear.at, "not_lost_with", index)
                self._refer(other, ("device",), model.device, at)
                if other == gear.id:
                    self._problem(at, f"{other} can't be apart from itself")
        for ups_id, ups in model.ups.items():
            for place, shed in enumerate(ups.sheds or ()):
                at = ("ups", ups_id, "sheds", place)
                for index, name in enumerate(shed.gear):
                    self._refer(name, ("switch", "device"), self.gear, (*at, "gear", index))
                for index, name in enumerate(shed.roles):
                    self._refer(name, ("role",), model.role, (*at, "roles", index))
        for vlan_id, vlan in model.vlan.items():
            at = ("vlan", vlan_id)
            if vlan.gateway != "none":
                self._refer(vlan.gateway, ("switch", "device"), self.gear, (*at, "gateway"))
            self._refer(vlan.relay, ("switch", "device"), self.gear, (*at, "relay"))
            for index, pool in enumerate(vlan.pools or ()):
                self._refer(pool.from_, ("switch", "device"), self.gear, (*at, "pools", index, "from"))
                wrong = pool_problem(pool.first, pool.last)
                if wrong:
                    self._problem((*at, "pools", index, "last"), wrong)
        for thing in (*self.gear.values(), *self.ups.values()):
            self._refer(
                getattr(thing.model, "managed_in", None), ("vlan",), model.vlan, (*thing.at, "managed_in")
            )
        for gateway_id in model.gateway:
            self._refer(gateway_id, ("switch", "device"), self.gear, ("gateway", gateway_id))
        for ssid_id, ssid in model.ssid.items():
            self._refer(ssid.vlan, ("vlan",), model.vlan, ("ssid", ssid_id, "vlan"))
            self._refer(ssid.role, ("role",), model.role, ("ssid", ssid_id, "role"))
            for index, name in enumerate(ssid.at):
                self._refer(name, ("device",), model.device, ("ssid", ssid_id, "at", index))
        for flow_id, flow in model.flow.items():
            self._refer(flow.from_, ("role",), model.role, ("flow", flow_id, "from"))
            self._refer(flow.to, ("role",), model.role, ("flow", flow_id, "to"))
        for gear_id, table in model.port.items():
            self._refer(gear_id, ("switch", "device"), self.gear, ("port", gear_id))
            if gear_id in self.gear:
                self._build_port_vlans(self.gear[gear_id], table)

    def _build_port_vlans(self, gear: Gear, table: dict[str, PortVlans]) -> None:
        model = self.design.model
        for key, written in table.items():
            at: Path = ("port", gear.id, key)
            if written.untagged != "none":
                self._refer(written.untagged, ("vlan",), model.vlan, (*at, "untagged"))
            for index, name in enumerate(written.tagged or ()):
                self._refer(name, ("vlan",), model.vlan, (*at, "tagged", index))
            self._refer(written.role, ("role",), model.role, (*at, "role"))
            try:
                names = port_names(key)
            except ValueError as error:
                self._problem(at, str(error))
                continue
            for name in names:
                if (gear.id, name) in self.port_vlans:
                    first = path_text(self.port_vlans[(gear.id, name)][1])
                    self._problem(at, f"the VLANs of {gear.id}/{name} are already written at {first}")
                    continue
                if gear.ports_known and name not in gear.ports:
                    self._problem(at, f'{gear.id} has no port "{name}"')
                    continue
                self.port_vlans[(gear.id, name)] = (written, at)
