"""Where a VLAN is used, which links it has to cross for that, and what each of those links does with it."""

from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import Literal, NamedTuple

from riserlint.analysis.reach import Reach
from riserlint.analysis.vlan_breaks import Gap, breaks
from riserlint.design.paths import Path
from riserlint.installation.things import Gear, Port, Run

#: What a link does with a VLAN: carries it; an end lacks it; only one end tags it; not known.
LinkState = Literal["carried", "missing", "form", "unknown"]
#: In which order links are taken to join what hangs together: what may carry it, what lacks it, what changes its form.
_ORDER = {"unknown": 0, "missing": 1, "form": 2}


class VlanUser(NamedTuple):
    """What uses a VLAN at a switch: a device, the clients of a wireless name, an outlet, the router."""

    label: str
    gear: str
    role: str | None
    needs: tuple[str, ...]
    routes: bool = False


class VlanHop(NamedTuple):
    """A link that a VLAN has to cross and that does not surely carry it.

    ``lacking`` are the ends that lack it; ``loop`` says that the link is part of a loop; ``user`` who is
    behind it where it ends at a device; ``sides`` the users that hang together with either end. ``breaks`` says
    that it is one of those that have to be mended for all users to hang together, and ``or_at`` names the links
    of its loop of which one would do as well (where it does not break itself: the break in whose place it would do).
    """

    run: Run
    state: LinkState
    loop: bool
    lacking: tuple[Port, ...]
    missing: tuple[Path, ...]
    user: str
    sides: tuple[tuple[VlanUser, ...], ...]
    breaks: bool = False
    or_at: tuple[Run, ...] = ()


class OneVlan(NamedTuple):
    """One VLAN over the whole graph.

    ``parts`` are its users, those who hang together in one part; ``asked`` says that somebody needs what is in
    another part (its router, or a role).
    """

    vlan: str
    parts: tuple[tuple[VlanUser, ...], ...]
    hops: tuple[VlanHop, ...]
    asked: bool

    @property
    def users(self) -> tuple[VlanUser, ...]:
        """All its users."""
        return tuple(user for part in self.parts for user in part)


class _Block(NamedTuple):
    """Links of which every two lie on one loop, or a single link: its switches, the one nearest the root apart."""

    top: str
    others: tuple[str, ...]
    runs: tuple[Run, ...]
    tree: str


class Blocks:
    """The switches and their links, taken apart at the switches that alone hold two parts together."""

    def __init__(self, links: Iterable[tuple[Run, str, str]]) -> None:
        """Find the blocks of each part that hangs together (depth first, linear in the links)."""
        near: dict[str, list[tuple[Run, str]]] = {}
        for run, one, two in links:
            near.setdefault(one, []).append((run, two))
            near.setdefault(two, []).append((run, one))
        #: Those further from the root come first.
        self.blocks: list[_Block] = []
        self.tree: dict[str, str] = {}
        for start in near:
            if start not in self.tree:
                self._walk(start, near)

    def _walk(self, start: str, near: dict[str, list[tuple[Run, str]]]) -> None:
        number = {start: 0}
        lowest = {start: 0}
        self.tree[start] = start
        stack: list[tuple[str, Run | None, Iterator[tuple[Run, str]]]] = [(start, None, iter(near[start]))]
        walked: list[tuple[Run, str, str]] = []
        while stack:
            here, came, rest = stack[-1]
            step = next(rest, None)
            if step is not None:
                run, there = step
                if run is came:
                    continue
                if there not in number:
                    number[there] = lowest[there] = len(number)
                    self.tree[there] = start
                    walked.append((run, here, there))
                    stack.append((there, run, iter(near[there])))
                elif number[there] < number[here]:
                    walked.append((run, here, there))
                    lowest[here] = min(lowest[here], number[there])
                continue
            stack.pop()
            if came is None:
                continue
            above = stack[-1][0]
            lowest[above] = min(lowest[above], lowest[here])
            if lowest[here] >= number[above]:
                first = next(index for index in range(len(walked) - 1, -1, -1) if walked[index][0] is came)
                part = walked[first:]
                del walked[first:]
                others = {gear: None for _, one, two in part for gear in (one, two) if gear != above}
                self.blocks.append(_Block(above, tuple(others), tuple(run for run, _, _ in part), start))

    def needed(self, users: Iterable[str]) -> tuple[dict[str, Run], dict[str, Run]]:
        """Return the links on the ways between users: single links, and links of loops.

        A link is on a way if two of its block's switches have a user, or lead away from the block to one.
        """
        below = {gear: 1 for gear in users if gear in self.tree}
        total = Counter(self.tree[gear] for gear in below)
        single: dict[str, Run] = {}
        loops: dict[str, Run] = {}
        for block in self.blocks:
            counts = [below[gear] for gear in block.others if gear in below]
            if not counts:
                continue
            inside = sum(counts)
            if len(counts) + (inside < total[block.tree]) > 1:
                found = single if len(block.runs) == 1 else loops
                found.update((run.id, run) for run in block.runs)
            below[block.top] = below.get(block.top, 0) + inside
        return single, loops


class VlanSpread:
    """The VLANs of a design, each over the whole graph.

    Attributes:
        links: the runs between switches.
        users: by VLAN who uses it; spare: by VLAN the switches with a free port in it.
        access: by switch and VLAN the first of what is plugged into a port that sends the VLAN untagged.
        unclear: switches of which too little is known to say what uses them.
    """

    def __init__(self, reach: Reach) -> None:
        """Find the links between switches, and who uses which VLAN where."""
        self.reach = reach
        self.ports = reach.ports
        self.installation = reach.installation
        self.links: list[Run] = []
        ends: list[tuple[Run, str, str]] = []
        groups: dict[frozenset[tuple[str, str]], Run] = {}
        self._first: dict[str, str] = {}
        for run in self.installation.runs.values():
            one, two = run.from_port, run.to_port
            if one is not None and two is not None and self._switches(one.gear) and self._switches(two.gear):
                self.links.append(run)
                group = self.ports.one_link(run)
                first = run if group is None else groups.setdefault(group, run)
                self._first[run.id] = first.id  # runs of one aggregated link are no loop
                if first is run:
                    ends.append((run, one.gear.id, two.gear.id))
        self.blocks = Blocks(ends)
        self.users: dict[str, list[VlanUser]] = {vlan: [] for vlan in self.ports.named}
        self.spare: dict[str, set[str]] = {vlan: set() for vlan in self.ports.named}
        self.access: dict[str, dict[str, str]] = {}
        self.unclear: set[str] = set()
        self._leaves: dict[str, list[tuple[Run, str]]] = {vlan: [] for vlan in self.ports.named}
        self._find_users()

    def _switches(self, gear: Gear) -> bool:
        return self.ports.kind(gear) != "device"

    # -- users ----------------------------------------------------------------------------------------------

    def _find_users(self) -> None:
        for (gear_id, port_name), (entry, at) in self.installation.port_vlans.items():
            gear = self.installation.gear[gear_id]
            setting = self.ports.written(entry, at)
            if self.ports.kind(gear) != "managed" or setting.untagged is None:
                continue
            port = gear.ports.get(port_name)
            far = None if port is None or port.run is None else port.run.other_end(port)
            vlan = setting.untagged
            found: list[VlanUser] = []
            if entry.role is not None:
                found.append(
                    VlanUser(f"outlet {gear_id}/{port_name}", gear_id, entry.role, self._needs(entry.role))
                )
            if far is None:
                self.spare[vlan].add(gear_id)
            elif self.ports.kind(far.gear) == "device":
                own = self.ports.setting(far) if self.ports.has_own(far) else None
                if own is None or own.untagged is not None or not own.untagged_known:
                    found.append(self._device(far.gear, gear_id))
            elif self.ports.kind(far.gear) == "plain":
                found.extend(self._device(device, gear_id) for device in self._behind(far.gear))
            if found:
                self.users[vlan].extend(found)
                self.access.setdefault(gear_id, {}).setdefault(vlan, found[0].label)
        self._find_handed_on()
        for gear in self.installation.gear.values():
            kind = self.ports.kind(gear)
            unlisted = (
                not self.ports.setting(port).untagged_known
                for port in gear.ports.values()
                if port.run is not None
            )
            if kind == "unknown" or (kind == "managed" and any(unlisted)):
                self.unclear.add(gear.id)

    def _find_handed_on(self) -> None:
        for name, ssid in self.installation.design.model.ssid.items():
            if ssid.vlan in self.ports.same:
                for access_point in ssid.at:
                    label = f"clients of {name} at {access_point}"
                    self._hang(access_point, self.ports.same[ssid.vlan], label, ssid.role, routes=False)
        for gateway, vlans in self.ports.gateways.items():
            for vlan in vlans:
                self._hang(gateway, vlan, f"its gateway {gateway}", None, routes=True)
        for gear in self.installation.gear.values():
            if gear.id in self.ports.with_table and self.ports.kind(gear) == "device":
                role = gear.value("role").value
                served = self.ports.served.get(gear.id, ())
                for port in gear.ports.values():
                    for vlan in sorted(self.ports.setting(port).tagged):
                        if vlan not in served:
                            self._hang(gear.id, vlan, gear.id, role, routes=False, only=port)

    def _hang(
        self, name: str, vlan: str, label: str, role: str | None, *, routes: bool, only: Port | None = None
    ) -> None:
        """Hang what a device hands on at the switch that it is plugged into, and note the link in between."""
        gear = self.installation.gear.get(name)
        if gear is None:
            return
        if self._switches(gear):
            self.users[vlan].append(VlanUser(label, name, role, self._needs(role), routes))
            return
        plugged = [
            (port.run, far)
            for port in gear.ports.values()
            if port.run is not None and (only is None or port is only)
            for far in (port.run.other_end(port),)
            if far is not None and self._switches(far.gear)
        ]
        carrying = [(run, far) for run, far in plugged if self.state(run, vlan)[0] == "carried"]
        for run, far in carrying or plugged[:1]:
            self.users[vlan].append(VlanUser(label, far.gear.id, role, self._needs(role), routes))
            self._leaves[vlan].append((run, label))

    def _device(self, gear: Gear, at: str) -> VlanUser:
        role = gear.value("role").value
        return VlanUser(gear.id, at, role, (*self._needs(role), *(gear.value("needs").value or ())))

    def _needs(self, role: str | None) -> tuple[str, ...]:
        found = self.installation.design.model.role.get(role or "")
        return () if found is None else found.needs

    def _behind(self, switch: Gear) -> Iterator[Gear]:
        """Yield the devices that hang on a switch that knows no VLANs, and on others of its kind behind it."""
        seen = {switch.id}
        todo = [switch]
        while todo:
            here = todo.pop()
            for port in here.ports.values():
                far = None if port.run is None else port.run.other_end(port)
                if far is None or far.gear.id in seen:
                    continue
                if self.ports.kind(far.gear) == "device":
                    yield far.gear
                elif self.ports.kind(far.gear) == "plain":
                    seen.add(far.gear.id)
                    todo.append(far.gear)

    # -- links ----------------------------------------------------------------------------------------------

    def state(self, run: Run, vlan: str) -> tuple[LinkState, tuple[Port, ...]]:
        """Return what a link does with a VLAN, and which of its ends lack it."""
        forms: set[str] = set()
        lacking: list[Port] = []
        for port in (run.from_port, run.to_port):
            form = "unknown" if port is None else self._form(port, vlan)
            forms.add(form)
            if form == "none" and port is not None:
                lacking.append(port)
        if lacking:
            return "missing", tuple(lacking)
        if "unknown" in forms:
            return "unknown", ()
        return ("form" if {"tagged", "untagged"} <= forms else "carried"), ()

    def _form(self, port: Port, vlan: str) -> str:
        kind = self.ports.kind(port.gear)
        if kind == "plain" or (kind == "device" and not self.ports.has_own(port)):
            return "any"
        return "unknown" if kind == "unknown" else self.ports.setting(port).form(vlan)

    def joined(self, run: Run) -> frozenset[str]:
        """Return the two VLANs that a link joins, untagged at its ends; none where it joins none."""
        sent = [
            self.ports.setting(port).untagged
            for port in (run.from_port, run.to_port)
            if port is not None and (self.ports.kind(port.gear) == "managed" or self.ports.has_own(port))
        ]
        found = frozenset(vlan for vlan in sent if vlan is not None)
        return found if len(found) > 1 else frozenset()

    def needed(self, vlan: str) -> tuple[dict[str, Run], dict[str, Run]]:
        """Return the links that a VLAN has to cross: single ones, those to devices too, and those of loops."""
        single, loops = self.blocks.needed({user.gear for user in self.users[vlan]})
        for run, _ in self._leaves[vlan]:
            single[run.id] = run
        return single, loops

    @cached_property
    def crossing(self) -> dict[str, frozenset[str]]:
        """By VLAN the ids of the runs that it has to cross."""
        named = self.ports.named
        return {vlan: frozenset(key for part in self.needed(vlan) for key in part) for vlan in named}

    def spread(self, vlan: str) -> OneVlan:
        """Return how a VLAN gets to its users."""
        parts: dict[object, list[VlanUser]] = {}
        for user in self.users[vlan]:
            parts.setdefault(self._piece(user.gear, vlan), []).append(user)
        labels = {run.id: label for run, label in self._leaves[vlan]}
        hops: list[VlanHop] = []
        single, loops = self.needed(vlan)
        for run in (*single.values(), *loops.values()):
            state, lacking = self.state(run, vlan)
            if state == "carried":
                continue
            missing: tuple[Path, ...] = ()
            if state == "unknown":
                ends = (port for port in (run.from_port, run.to_port) if port is not None)
                missing = tuple(path for port in ends for path in self.ports.missing(port))
            sides = tuple(
                tuple(parts.get(self._piece(port.gear.id, vlan), ()))
                for port in (run.from_port, run.to_port)
                if port is not None
            )
            hops.append(VlanHop(run, state, run.id in loops, lacking, missing, labels.get(run.id, ""), sides))
        hops = self._with_breaks(vlan, hops, set(parts))
        piece_of = {user: piece for piece, users in parts.items() for user in users}
        asked = len(parts) > 1 and self._asked(piece_of)
        return OneVlan(vlan, tuple(tuple(users) for users in parts.values()), tuple(hops), asked)

    def _with_breaks(self, vlan: str, hops: list[VlanHop], used: set[object]) -> list[VlanHop]:
        """Return the links with where the VLAN breaks; unknown ones are taken to join, and in a loop may do so."""
        gaps: list[Gap] = []
        for hop in sorted(hops, key=lambda hop: _ORDER[hop.state]):
            ends = [port.gear.id for port in (hop.run.from_port, hop.run.to_port) if port is not None]
            if len(ends) == 2 and not hop.user:
                one, two = (self._piece(gear, vlan) for gear in ends)
                gaps.append(Gap(hop.run.id, one, two, hop.state == "missing"))
        found = breaks(gaps, used)
        or_at = {link: list(others) for link, others in found.items()}
        for link, others in found.items():
            for other in others:
                or_at[other] = [link]
        runs = self.installation.runs
        return [
            hop._replace(
                breaks=hop.run.id in found, or_at=tuple(runs[link] for link in or_at.get(hop.run.id, ()))
            )
            for hop in hops
        ]

    def _piece(self, gear: str, vlan: str) -> object:
        """Return the part of a VLAN that a switch is in: the same for all that surely hang together."""
        place = self.reach.graph.place_of(gear, vlan)
        return gear if place is None else self.reach.certain.root[place]

    def _asked(self, piece_of: dict[VlanUser, object]) -> bool:
        routed = {piece for user, piece in piece_of.items() if user.routes}
        present: dict[str, set[object]] = {}
        for user, piece in piece_of.items():
            for name in (user.role, user.label):
                if name is not None:
                    present.setdefault(name, set()).add(piece)
        return any(
            (routed and piece not in routed)
            or any(need in present and piece not in present[need] for need in user.needs)
            for user, piece in piece_of.items()
        )

    def idle(self, vlan: str) -> list[Run]:
        """Return the links that tag a VLAN at both ends though nothing behind one of their sides is in it.

        A port in the VLAN that is still free counts as a use, and so does gear of which too little is known.
        """
        users = {user.gear for user in self.users[vlan]} | self.spare[vlan] | self.unclear
        single, loops = self.blocks.needed(users)
        found: list[Run] = []
        for run in self._tagging.get(vlan, ()):
            first = self._first[run.id]
            if first not in single and first not in loops:
                found.append(run)
        return found

    @cached_property
    def _tagging(self) -> dict[str, list[Run]]:
        """By VLAN the links between switches that tag it at both ends."""
        found: dict[str, list[Run]] = {}
        for run in self.links:
            assert run.from_port is not None
            assert run.to_port is not None
            if {self.ports.kind(run.from_port.gear), self.ports.kind(run.to_port.gear)} == {"managed"}:
                tagged = self.ports.setting(run.from_port).tagged & self.ports.setting(run.to_port).tagged
                for vlan in sorted(tagged):
                    found.setdefault(vlan, []).append(run)
        return found
