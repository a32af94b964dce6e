"""What the links carry: the streams of all devices, each along its way.

Over a link that is the only way goes all that has to pass; where one of several may be meant, it may pass. In a ring
one link is idle, and which one is not known: the loads are those of each choice.
"""

import math
from collections import Counter
from collections.abc import Hashable
from functools import cached_property
from typing import NamedTuple

from riserlint.analysis.bridges import Forest, forest_of, ring_of
from riserlint.analysis.needs import Needs
from riserlint.analysis.reach import Reach
from riserlint.analysis.streams import Carried, Streams
from riserlint.design.paths import Path
from riserlint.engineering.span import Span, sum_of
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, Run
from riserlint.standards.traffic import LEAST_MBPS


class LinkLoad(NamedTuple):
    """A run with what goes over it in the direction that carries more."""

    run: Run
    into: Gear
    carried: Carried
    rate: Span
    rate_missing: tuple[Path, ...]


class Ring(NamedTuple):
    """A ring of links: by the link that is idle, the link that then carries most of its rate, and how much."""

    runs: tuple[Run, ...]
    worst: tuple[tuple[Run, LinkLoad], ...]


class Intake(NamedTuple):
    """What is sent to a device that states what it takes."""

    gear: Gear
    carried: Carried
    limit_mbps: float
    at: Path


class Traffic:
    """The traffic of a design on its links; nothing is walked where no stream is stated.

    Attributes:
        streams: what is sent, and to whom.
    """

    def __init__(self, installation: Installation, reach: Reach, needs: Needs, streams: Streams) -> None:
        """Keep what it follows from."""
        self._installation = installation
        self._reach = reach
        self._needs = needs
        self.streams = streams

    # -- the graph ----------------------------------------------------------------------------------------------

    @cached_property
    def _nodes(self) -> dict[tuple[str, str], int]:
        """Nodes: gear that passes frames on, and of other gear each run that ends at it."""
        found: dict[tuple[str, str], int] = {}
        for run in self._runs:
            for port in (run.from_port, run.to_port):
                assert port is not None
                found.setdefault(self._key(port.gear, run), len(found))
        return found

    @cached_property
    def _runs(self) -> list[Run]:
        """The runs whose ends are known; of an aggregated link the first."""
        return [runs[0] for runs in self._aggregated.values()]

    @cached_property
    def _aggregated(self) -> dict[Hashable, list[Run]]:
        """The runs of each link, mostly one."""
        found: dict[Hashable, list[Run]] = {}
        for run in self._installation.runs.values():
            if (
                run.from_port is not None
                and run.to_port is not None
                and run.from_port.gear is not run.to_port.gear
            ):
                found.setdefault(self._reach.ports.one_link(run) or run.id, []).append(run)
        return found

    def together(self, run: Run) -> list[Run]:
        """Return the runs that are one link with a run, itself among them."""
        return self._aggregated.get(self._reach.ports.one_link(run) or run.id, [run])

    def _key(self, gear: Gear, run: Run) -> tuple[str, str]:
        return (gear.id, "" if self._needs.passes(gear.id) is not False else run.id)

    @cached_property
    def _at(self) -> dict[str, list[int]]:
        """By gear its nodes."""
        found: dict[str, list[int]] = {}
        for (gear, _), node in self._nodes.items():
            found.setdefault(gear, []).append(node)
        return found

    @cached_property
    def _links(self) -> list[tuple[int, int]]:
        found = []
        for run in self._runs:
            assert run.from_port is not None
            assert run.to_port is not None
            first, last = self._key(run.from_port.gear, run), self._key(run.to_port.gear, run)
            found.append((self._nodes[first], self._nodes[last]))
        return found

    @cached_property
    def _forest(self) -> Forest:
        return forest_of(len(self._nodes), self._links)

    # -- what passes --------------------------------------------------------------------------------------------

    @cached_property
    def _passing(self) -> tuple[dict[tuple[int, bool], Carried], dict[int, list[tuple[int, int, Carried]]]]:
        """Return what goes over each link between parts, upwards or down, and what crosses each part."""
        over: dict[tuple[int, bool], Carried] = {}
        across: dict[int, list[tuple[int, int, Carried]]] = {}
        for leg in self.streams.legs:
            ways = [
                self._way(node, end)
                for node in self._at.get(leg.source, ())
                for end in self._in_tree(node, leg.ends)
            ]
            counted = Counter(step for way in ways for step in way)
            for step, count in counted.items():
                carried = leg.carried if count == len(ways) else leg.carried.perhaps()
                if step[0] == "link":
                    key = step[1], bool(step[2])
                    over[key] = over.get(key, Carried()).plus(carried)
                else:
                    across.setdefault(step[1], []).append((step[2], step[3], carried))
        self._add_homeless(over)
        return over, across

    def _add_homeless(self, over: dict[tuple[int, bool], Carried]) -> None:
        """Add to all that is carried what may go there too: streams of which nobody says where they go."""
        forest = self._forest
        by_tree: dict[int, Carried] = {}
        for gear in self.streams.homeless:
            stream = self.streams.stream(gear) or self.streams.stream(gear, "clients_mbps")
            nodes = self._at.get(gear.id, ())
            if stream is not None and nodes:
                carried = (
                    self.streams.carried(stream).perhaps()._replace(missing=(self.streams.needs_at(gear),))
                )
                tree = forest.tree[forest.part[nodes[0]]]
                by_tree[tree] = by_tree.get(tree, Carried()).plus(carried)
        for key, carried in over.items():
            perhaps = by_tree.get(forest.tree[forest.part[self._links[key[0]][0]]])
            if perhaps is not None:
                over[key] = carried.plus(perhaps)._replace(sources=carried.sources)

    def _in_tree(self, node: int, ends: frozenset[str]) -> list[int]:
        forest = self._forest
        tree = forest.tree[forest.part[node]]
        return [
            other
            for end in sorted(ends)
            for other in self._at.get(end, ())
            if forest.tree[forest.part[other]] == tree and other != node
        ]

    def _way(self, start: int, end: int) -> list[tuple[str, int, int, int]]:
        """Return the steps of a way: links, upwards (1) or down (0), and parts that are crossed from node to node.

        Up to where the ways from both ends meet, and down again.
        """
        forest, links = self._forest, self._links
        up, down = forest.part[start], forest.part[end]
        here, there = start, end
        steps: list[tuple[str, int, int, int]] = []
        while up != down:
            rising = forest.depth[up] >= forest.depth[down]
            part = up if rising else down
            link = forest.link[part]
            near, far = links[link] if forest.part[links[link][0]] == part else links[link][::-1]
            enters, leaves = (here, near) if rising else (near, there)
            if enters != leaves:
                steps.append(("part", part, enters, leaves))
            if rising:
                up, here = forest.parent[part], far
            else:
                down, there = forest.parent[part], far
            steps.append(("link", link, int(rising), 0))
        if here != there:
            steps.append(("part", up, here, there))
        return steps

    # -- answers ------------------------------------------------------------------------------------------------

    def rate(self, run: Run) -> tuple[Span, tuple[Path, ...]]:
        """Return the rate of a link in Mbit/s, that of all runs of an aggregated one, and what is not known of it."""
        rates = [self._own_rate(one) for one in self.together(run)]
        missing = tuple(path for _, paths in rates for path in paths)
        return sum_of(rate for rate, _ in rates), missing

    def _own_rate(self, run: Run) -> tuple[Span, tuple[Path, ...]]:
        """Return the rate of a run: as both ends agree on, else what both have, and what is not known of it."""
        agreed = run.value("mbps")
        if agreed.value is not None:
            return Span(agreed.value, agreed.value), ()
        ends = [port.value("mbps") for port in (run.from_port, run.to_port) if port is not None]
        known = [float(value.value) for value in ends if value.value is not None]
        most = min(known, default=math.inf)
        if len(known) == 2:
            return Span(most, most), ()
        missing = [value.at for value in ends if value.value is None]
        return Span(min(LEAST_MBPS.value, most), most), tuple(missing[:1]) if not known else (agreed.at,)

    @cached_property
    def links(self) -> tuple[LinkLoad, ...]:
        """The links that are the only way between their sides, with what they carry; rings are apart."""
        found: dict[int, LinkLoad] = {}
        over, _ = self._passing
        forest = self._forest
        for (link, rising), carried in over.items():
            below = next(
                node
                for node in self._links[link]
                if forest.parent[forest.part[node]] >= 0 and forest.link[forest.part[node]] == link
            )
            above = self._links[link][0] if self._links[link][1] == below else self._links[link][1]
            load = self._load(link, above if rising else below, carried)
            other = found.get(link)
            if other is None or load.carried.average.high > other.carried.average.high:
                found[link] = load
        return tuple(found[link] for link in sorted(found))

    def _load(self, link: int, into: int, carried: Carried) -> LinkLoad:
        run = self._runs[link]
        rate, missing = self.rate(run)
        ports = [port for port in (run.from_port, run.to_port) if port is not None]
        gear = next(port.gear for port in ports if self._nodes[self._key(port.gear, run)] == into)
        return LinkLoad(run, gear, carried, rate, missing)

    @cached_property
    def rings(self) -> tuple[Ring, ...]:
        """The rings that traffic crosses, with the worst link for each link that may be idle."""
        _, across = self._passing
        return tuple(
            self._ring(ordered, links, across[part])
            for part, (ordered, links) in self._crossed.items()
            if ordered is not None
        )

    @cached_property
    def meshes(self) -> tuple[tuple[Run, ...], ...]:
        """The links of parts that traffic crosses and that are more than a ring: what each carries can't be told."""
        return tuple(
            tuple(self._runs[index] for index in links)
            for ordered, links in self._crossed.values()
            if ordered is None
        )

    @cached_property
    def _crossed(self) -> dict[int, tuple[list[int] | None, dict[int, tuple[int, int]]]]:
        """By part that traffic crosses its links, and their order if they are one ring."""
        _, across = self._passing
        found: dict[int, tuple[list[int] | None, dict[int, tuple[int, int]]]] = {}
        for part in across:
            links = {index: self._links[index] for index in self._forest.inner.get(part, ())}
            if links:
                found[part] = ring_of({node for pair in links.values() for node in pair}, links), links
        return found

    def _ring(
        self,
        ordered: list[int],
        links: dict[int, tuple[int, int]],
        crossing: list[tuple[int, int, Carried]],
    ) -> Ring:
        here = next(node for node in links[ordered[0]] if node not in links[ordered[1]] or len(ordered) == 2)
        places: list[int] = []
        for index in ordered:
            places.append(here)
            one, other = links[index]
            here = other if here == one else one
        at = {node: position for position, node in enumerate(places)}
        size = len(ordered)
        together: dict[tuple[int, int], Carried] = {}
        for enters, leaves, carried in crossing:
            key = at[enters], at[leaves]
            together[key] = together.get(key, Carried()).plus(carried)
        worst: list[tuple[Run, LinkLoad]] = []
        for idle in range(size):
            loads: dict[tuple[int, bool], Carried] = {}
            for (first, last), carried in together.items():
                forward = [(first + step) % size for step in range((last - first) % size)]
                ahead = idle not in forward
                steps = forward if ahead else [(last + step) % size for step in range((first - last) % size)]
                for step in steps:
                    loads[step, ahead] = loads.get((step, ahead), Carried()).plus(carried)
            found = [
                self._load(ordered[step], places[(step + 1) % size] if ahead else places[step], carried)
                for (step, ahead), carried in loads.items()
            ]
            if found:
                tightest = max(
                    found, key=lambda load: (load.carried.average.low / load.rate.high, load.run.id)
                )
                worst.append((self._runs[ordered[idle]], tightest))
        return Ring(tuple(self._runs[index] for index in ordered), tuple(worst))

    @cached_property
    def intakes(self) -> tuple[Intake, ...]:
        """What is sent to each device that states what it takes."""
        sent: dict[str, Carried] = {}
        for leg in self.streams.legs:
            for end in leg.ends:
                carried = leg.carried if len(leg.ends) == 1 else leg.carried.perhaps()
                sent[end] = sent.get(end, Carried()).plus(carried)
        found = []
        for name, carried in sent.items():
            limit = self._installation.gear[name].value("intake_mbps")
            if limit.value is not None:
                found.append(Intake(self._installation.gear[name], carried, float(limit.value), limit.at))
        return tuple(found)
