"""Needs: whether gear that a UPS keeps alive reaches what it needs to be useful, over gear that is alive too.

The path is the physical one, over runs: what does not lead there over cables does not in any VLAN. Switches
pass frames on, other gear with several ports only as it states (``joins``).
"""

from collections import deque
from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from riserlint.analysis.continuity import Continuity
from riserlint.design.paths import Path
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, Run

#: *absent*: nothing in the design has the role that is needed.
NeedKind = Literal["met", "unmet", "open", "absent"]


class Asker(NamedTuple):
    """Gear that needs the same: a role's, or one device with needs of its own."""

    subject: Path
    at: Path
    needs: tuple[str, ...]
    members: tuple[Gear, ...]


class NeedAnswer(NamedTuple):
    """What becomes of one need of one asker.

    Attributes:
        need: the role, or the gear, that is needed.
        at: where the need is written.
        providers: the gear that has the role.
        node: the first gear on the way that is not backed (*unmet*), or at which it can't be told (*open*).
        members: the backed gear that asks and does not get there.
        asked: how much backed gear asks.
        missing: what is not known where it can't be told.
    """

    asker: Asker
    need: str
    at: Path
    kind: NeedKind
    providers: tuple[Gear, ...]
    node: Gear | None = None
    members: tuple[Gear, ...] = ()
    asked: int = 0
    missing: tuple[Path, ...] = ()


def written_needs(installation: Installation) -> Iterator[tuple[str, str, Path]]:
    """Yield who needs what and where that is written: roles first, then devices with needs of their own."""
    model = installation.design.model
    for kind, askers in (("role", model.role), ("device", model.device)):
        for name, asker in askers.items():
            for index, need in enumerate(asker.needs or ()):
                yield name, need, (kind, name, "needs", index)


class Needs:
    """The needs of a whole installation.

    Attributes:
        askers: who needs what.
        answers: what becomes of each need; several of one need where members fail at different gear.
        loose: gear that has no run, or one that leads nobody knows where.
    """

    def __init__(self, installation: Installation, continuity: Continuity) -> None:
        """Walk from the providers of every need, once each."""
        self._installation = installation
        self._continuity = continuity
        self._links, self.loose = _links(installation)
        gears = installation.gear.values()
        self._alive = frozenset(gear.id for gear in gears if gear.at in continuity.backed)
        self._may_live = frozenset(gear.id for gear in gears if gear.at in continuity.possible)
        self._by_role: dict[str, list[Gear]] = {}
        for gear in installation.gear.values():
            role = getattr(gear.model, "role", None)
            if role is not None:
                self._by_role.setdefault(role, []).append(gear)
        self._ways_to: dict[str, _WayTo] = {}
        self._passing: dict[str, bool | None] = {}
        self.askers = self._find_askers()
        self._asker_of = {gear.id: asker for asker in self.askers for gear in asker.members}
        self.answers = tuple(
            answer
            for asker in self.askers
            for index, need in enumerate(asker.needs)
            for answer in self._answers(asker, need, (*asker.at, index))
        )

    def providers(self, need: str) -> tuple[Gear, ...]:
        """Return the gear that a need names: all of a role, or one piece of gear."""
        if need in self._installation.design.model.role:
            return tuple(self._by_role.get(need, ()))
        gear = self._installation.gear.get(need)
        return () if gear is None else (gear,)

    def neighbours(self, name: str) -> Sequence[str]:
        """Return the gear at the other ends of gear's runs."""
        return self._links.get(name, ())

    def on_every_way(self, provider: Gear, askers: dict[str, float]) -> dict[str, float]:
        """Return the gear that every way from an asker to the provider passes, over backed gear.

        ``askers`` gives a figure to each asker by its id; each gear found is given the greatest figure of
        those that depend on it. Found by one depth-first walk (articulation points).
        """
        depth: dict[str, int] = {provider.id: 0}
        low: dict[str, int] = {provider.id: 0}
        figure: dict[str, float] = {}
        found: dict[str, float] = {}
        stack: list[tuple[str, str | None, int]] = [(provider.id, None, 0)]
        while stack:
            here, parent, index = stack.pop()
            links = self._links.get(here, ()) if parent is None or self.passes(here) is True else ()
            if index < len(links):
                stack.append((here, parent, index + 1))
                other = links[index]
                if other == parent or other not in self._alive:
                    continue
                if other in depth:
                    low[here] = min(low[here], depth[other])
                else:
                    depth[other] = low[other] = depth[here] + 1
                    stack.append((other, here, 0))
                continue
            below = max(figure.get(here, 0.0), askers.get(here, 0.0))
            figure[here] = below
            if parent is not None:
                low[parent] = min(low[parent], low[here])
                figure[parent] = max(figure.get(parent, 0.0), below)
                if low[here] >= depth[parent] and below > 0:
                    found[parent] = max(found.get(parent, 0.0), below)
        found.pop(provider.id, None)
        return found

    def would_be_met(self, group: Sequence[Gear]) -> bool:
        """Return whether gear that is not backed would reach all its needs if it were.

        ``group`` is what would become backed together; each need must be met from within it or from the
        backed gear around it.
        """
        members = {gear.id: gear for gear in group}
        asking: dict[Path, list[Gear]] = {}
        for gear in group:
            if gear.id in self._asker_of:
                asking.setdefault(self._asker_of[gear.id].subject, []).append(gear)
        for mine in asking.values():
            for need in self._asker_of[mine[0].id].needs:
                if need not in self._ways_to:
                    return False
                certain = self._ways_to[need].certain
                providers = {gear.id for gear in self.providers(need)}
                starts = [
                    name for name in members if name in providers or self._touches(name, certain, providers)
                ]
                reached = set(starts)
                queue = deque(starts)
                while queue:
                    here = queue.popleft()
                    if self.passes(here) is not True and here not in providers:
                        continue
                    for other in self._links.get(here, ()):
                        if other in members and other not in reached:
                            reached.add(other)
                            queue.append(other)
                if any(gear.id not in reached for gear in mine):
                    return False
        return True

    def _touches(self, name: str, certain: set[str], providers: set[str]) -> bool:
        return any(
            other in certain and (other in providers or self.passes(other) is True)
            for other in self._links.get(name, ())
        )

    # -- who asks -------------------------------------------------------------------------------------------

    def _find_askers(self) -> tuple[Asker, ...]:
        roles: dict[str, list[Gear]] = {}
        askers: list[Asker] = []
        for gear in self._installation.gear.values():
            own = getattr(gear.model, "needs", None)
            if own is not None:
                askers.append(Asker(gear.at, (*gear.at, "needs"), own, (gear,)))
                continue
            role = getattr(gear.model, "role", None)
            if role is not None:
                roles.setdefault(role, []).append(gear)
        for name, role in self._installation.design.model.role.items():
            if role.needs:
                at: Path = ("role", name)
                askers.append(Asker(at, (*at, "needs"), role.needs, tuple(roles.get(name, ()))))
        return tuple(askers)

    # -- what becomes of a need -----------------------------------------------------------------------------

    def _answers(self, asker: Asker, need: str, at: Path) -> list[NeedAnswer]:
        providers = self.providers(need)
        alive = tuple(gear for gear in asker.members if gear.at in self._continuity.backed)
        if not providers:
            if not asker.members:
                return [NeedAnswer(asker, need, at, "met", ())]
            return [NeedAnswer(asker, need, at, self._absent(need), (), None, alive, len(alive), (at,))]
        way = self._ways_to.get(need)
        if way is None:
            way = self._ways_to[need] = _WayTo(self, providers)
        failed: dict[tuple[str, str], list[Gear]] = {}
        for gear in alive:
            if gear.id in way.certain:
                continue
            kind = "open" if gear.id in way.possible else "unmet"
            node = way.first_not_backed(gear)
            if node is None and kind == "unmet":
                if any(provider.at in self._continuity.possible for provider in providers):
                    kind = "open"
                else:
                    node = providers[0]
            failed.setdefault((kind, "" if node is None else node.id), []).append(gear)
        answers: list[NeedAnswer] = []
        for (word, node_id), members in failed.items():
            found = self._installation.gear.get(node_id)
            missing = self._missing(found, providers, members) if word == "open" else ()
            kind_found: NeedKind = "open" if word == "open" else "unmet"
            answers.append(
                NeedAnswer(asker, need, at, kind_found, providers, found, tuple(members), len(alive), missing)
            )
        return answers or [NeedAnswer(asker, need, at, "met", providers, asked=len(alive))]

    def _absent(self, need: str) -> NeedKind:
        """Return *open* where a port or a wireless name has the role: who connects there isn't described."""
        model = self._installation.design.model
        on_port = any(written.role == need for table in model.port.values() for written in table.values())
        on_air = any(ssid.role == need for ssid in model.ssid.values())
        return "open" if on_port or on_air else "absent"

    def _missing(
        self, node: Gear | None, providers: Sequence[Gear], members: Sequence[Gear]
    ) -> tuple[Path, ...]:
        """Return what is not known at gear: what feeds it, else how it joins its ports, else a run."""
        if node is None:
            return self._missing_runs(providers, members)
        found = [
            way.supplied.missing
            for way in self._continuity.ways[node.at]
            if way.supplied is not None and way.supplied.missing is not None and way.supplied.end == "unknown"
        ]
        if node.at not in self._continuity.backed and found:
            return tuple(found)
        if node.at not in self._continuity.backed:
            source = next((way.feed.source for way in self._continuity.ways[node.at] if way.feed), None)
            if isinstance(source, Gear) and source.at not in self._continuity.backed:
                return self._missing(source, providers, members)
            return ((*node.at, "from"),)
        if self.passes(node.id) is None:
            return ((*node.at, "joins"),)
        return self._missing_runs(providers, members)

    def _missing_runs(self, providers: Sequence[Gear], members: Sequence[Gear]) -> tuple[Path, ...]:
        """Return the runs that nobody has followed to their end, else the gear to which none is described.

        Those of what is needed come first: one of them serves all that need it.
        """
        for group in (providers, members):
            runs = [port.run for gear in group for port in gear.ports.values() if port.run is not None]
            ends = [(*run.at, "to" if run.to_port is None else "from") for run in runs if _is_loose(run)]
            without = [(*gear.at, "run") for gear in group if not self._links.get(gear.id)]
            if ends or without:
                return tuple(dict.fromkeys(ends or without))
        return tuple((*gear.at, "run") for gear in providers)

    # -- steps over the network -----------------------------------------------------------------------------

    def passes(self, gear_id: str) -> bool | None:
        """Return whether gear passes frames from port to port, None where that is not stated."""
        if gear_id not in self._passing:
            gear = self._installation.gear[gear_id]
            joins = None if gear.is_switch else gear.value("joins").value
            if joins is None:
                several = None if len(self._links.get(gear_id, ())) > 1 else False
                self._passing[gear_id] = True if gear.is_switch else several
            else:
                self._passing[gear_id] = joins != "none"
        return self._passing[gear_id]


class _WayTo:
    """The ways to the providers of one need: over what is certain, over what is possible, over everything."""

    def __init__(self, needs: Needs, providers: Sequence[Gear]) -> None:
        self._needs = needs
        self._providers = providers
        self.certain = self._spread(certain=True)
        self.possible = self._spread(certain=False)
        self._parents: dict[str, str | None] | None = None

    def _spread(self, *, certain: bool) -> set[str]:
        needs = self._needs
        alive = needs._alive if certain else needs._may_live
        starts = {gear.id: None for gear in self._providers if gear.id in alive}  # a dict keeps their order
        reached = set(starts)
        queue = deque(starts)
        loose_reached = certain
        while queue:
            here = queue.popleft()
            passes = needs.passes(here)
            if not loose_reached and here in needs.loose and (passes is not False or here in starts):
                # A run whose far end nobody knows may lead to any other such run, and to gear without a run.
                loose_reached = True
                for other in needs.loose:
                    if other not in reached and other in alive:
                        reached.add(other)
                        queue.append(other)
            if here not in starts and not (passes or (passes is None and not certain)):
                continue
            for other in needs._links.get(here, ()):
                if other not in reached and other in alive:
                    reached.add(other)
                    queue.append(other)
        return reached

    def first_not_backed(self, gear: Gear) -> Gear | None:
        """Return the first gear on the way from an asker that stops it, on the way with the fewest such gear.

        None: no run in the design leads there.
        """
        if self._parents is None:
            self._parents = self._walk()
        here: str | None = gear.id
        if here not in self._parents:
            return None
        first = here
        while here is not None:
            at_an_end = here == first or self._parents[here] is None
            if here not in self._needs._alive or (not at_an_end and not self._needs.passes(here)):
                return self._needs._installation.gear[here]
            here = self._parents[here]
        return None

    def _walk(self) -> dict[str, str | None]:
        """Return for each gear the next one on its way to a provider: the way with the fewest obstacles."""
        needs = self._needs
        cost: dict[str, int] = {}
        parents: dict[str, str | None] = {}
        queue: deque[tuple[int, str, str | None]] = deque()
        for gear in self._providers:
            if gear.id in needs._alive:
                queue.appendleft((0, gear.id, None))
            else:
                queue.append((1, gear.id, None))
        while queue:
            here_cost, here, parent = queue.popleft()
            if here in cost:
                continue
            cost[here] = here_cost
            parents[here] = parent
            passes = needs.passes(here)
            if passes is False and parent is not None:
                continue
            onward = here_cost + (1 if passes is None and parent is not None else 0)
            for other in needs._links.get(here, ()):
                if other in cost:
                    continue
                if other in needs._alive and onward == here_cost:
                    queue.appendleft((onward, other, here))
                else:
                    queue.append((onward + (0 if other in needs._alive else 1), other, here))
        return parents


def _is_loose(run: Run) -> bool:
    return run.from_port is None or run.to_port is None


def _links(installation: Installation) -> tuple[dict[str, list[str]], frozenset[str]]:
    """Return the neighbours of each gear, and the gear that has no run or one that leads nobody knows where."""
    links: dict[str, list[str]] = {}
    loose: set[str] = set()
    for run in installation.runs.values():
        first, last = run.from_port, run.to_port
        if first is not None and last is not None:
            links.setdefault(first.gear.id, []).append(last.gear.id)
            links.setdefault(last.gear.id, []).append(first.gear.id)
        elif first is not None or last is not None:
            port = first or last
            assert port is not None
            loose.add(port.gear.id)
    loose.update(name for name in installation.gear if name not in links and name not in loose)
    return links, frozenset(loose)
