"""What the links carry: streams to what needs them, and the traffic of wireless clients to their gateway.

A stream goes from a device to those of its needs that state what they take (``intake_mbps``), or where none does to
each of them. Over a link that is the only way goes all that has to pass; where one of several may be meant, it may
pass. In a ring one link is idle, and which one is not known: the loads are those of each choice.
"""

import math
from collections import Counter
from collections.abc import Hashable, Iterator
from functools import cached_property
from typing import NamedTuple

from riserlint.analysis.addresses import Addresses
from riserlint.analysis.bridges import Forest, forest_of, ring_of
from riserlint.analysis.needs import Needs
from riserlint.analysis.reach import Reach
from riserlint.design.paths import Path
from riserlint.engineering.span import Span, sum_of
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, Run
from riserlint.standards.traffic import LEAST_MBPS

_NOTHING = Span(0.0, 0.0)
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


class _Leg(NamedTuple):
    """Traffic from one piece of gear to one of some others."""

    source: str
    ends: frozenset[str]
    carried: Carried


class Traffic:
    """The traffic of a design; nothing is walked where no stream is stated."""

    def __init__(self, installation: Installation, reach: Reach, addresses: Addresses, needs: Needs) -> None:
        """Keep what it follows from."""
        self._installation = installation
        self._reach = reach
        self._addresses = addresses
        self._needs = needs

    @cached_property
    def stated(self) -> bool:
        """Whether any stream is stated."""
        return any(self._states(gear) for gear in self._installation.gear.values() if not gear.is_switch)

    def _states(self, gear: Gear) -> bool:
        return any(
            gear.value(key, inner).value is not None
            for key in ("stream_mbps", "clients_mbps")
            for inner in ("average", "peak")
        )

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
            for key in ("stream_mbps", "clients_mbps")
            if any(gear.value(key, inner).value is not None for inner in ("average", "peak"))
        }

    @cached_property
    def peaks_stated(self) -> bool:
        """Whether any peak is stated."""
        return any(
            gear.value(key, "peak").value is not None
            for gear in self._installation.gear.values()
            if not gear.is_switch
            for key in ("stream_mbps", "clients_mbps")
        )

    def _carried(self, stream: Stream) -> Carried:
        peak, missing = stream.peak, stream.missing
        if peak is None:
            peak = Span(stream.average.low, math.inf)
        return Carried(stream.average, peak, 1, missing)

    @cached_property
    def legs(self) -> tuple[_Leg, ...]:
        """All traffic, from gear to gear."""
        return tuple(self._find_legs())

    def _find_legs(self) -> Iterator[_Leg]:
        takers: dict[tuple[str, ...], list[frozenset[str]]] = {}
        for asker in self._needs.askers:
            for gear in asker.members:
                stream = self.stream(gear)
                if stream is None:
                    continue
                if asker.needs not in takers:
                    takers[asker.needs] = self._takers(asker.needs)
                carried = self._with_place(gear, self._carried(stream))
                for ends in takers[asker.needs]:
                    yield from self._routed(gear.id, ends, carried)
        gateways = {name: self._reach.ports.gateway(name)[0] for name in self._installation.design.model.vlan}
        for ssid in self._installation.design.model.ssid.values():
            end = gateways.get(ssid.vlan or "")
            if end is None or end == "none":
                continue
            for name in ssid.at:
                point = self._installation.gear.get(name)
                if point is None or name in self._clients_sent:
                    continue
                clients = self.stream(point, "clients_mbps")
                if clients is not None:
                    self._clients_sent.add(name)
                    yield _Leg(
                        name,
                        frozenset((end,)),
                        self._with_place(point, self._carried(clients), "clients_mbps"),
                    )

    @cached_property
    def _clients_sent(self) -> set[str]:
        return set()

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

    def _routed(self, source: str, ends: frozenset[str], carried: Carried) -> Iterator[_Leg]:
        """Yield the way to one of some ends: direct, or over the gateway where they are in other networks."""
        here = self._vlans(source)
        there = [self._vlans(end) for end in ends]
        if here and all(there) and not any(here & vlans for vlans in there):
            gateway = self._addresses.networks[min(here)].gateway
            if gateway not in {None, "none", source} and gateway not in ends:
                assert gateway is not None
                yield _Leg(source, frozenset((gateway,)), carried)
                yield _Leg(gateway, ends, carried)
                return
        yield _Leg(source, ends, carried)

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
        for leg in self.legs:
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
        for gear in self.homeless:
            stream = self.stream(gear) or self.stream(gear, "clients_mbps")
            nodes = self._at.get(gear.id, ())
            if stream is not None and nodes:
                carried = self._carried(stream).perhaps()._replace(missing=(self.needs_at(gear),))
                tree = forest.tree[forest.part[nodes[0]]]
                by_tree[tree] = by_tree.get(tree, Carried()).plus(carried)
        for key, carried in over.items():
            perhaps = by_tree.get(forest.tree[forest.part[self._links[key[0]][0]]])
            if perhaps is not None:
                over[key] = carried.plus(perhaps)._replace(sources=carried.sources)

    @staticmethod
    def needs_at(gear: Gear) -> Path:
        """Return where it would be written what a device needs: at its role, or where it has none at itself."""
        role = getattr(gear.model, "role", None)
        return (*gear.at, "needs") if role is None else ("role", role, "needs")

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
        found: list[Ring] = []
        for part, crossing in across.items():
            inner = self._forest.inner.get(part, [])
            links = {index: self._links[index] for index in inner}
            nodes = {node for pair in links.values() for node in pair}
            ordered = ring_of(nodes, links) if links else None
            if ordered is not None:
                found.append(self._ring(ordered, links, crossing))
        return tuple(found)

    @cached_property
    def meshes(self) -> tuple[tuple[Run, ...], ...]:
        """The links of parts that traffic crosses and that are more than a ring: what each carries can't be told."""
        _, across = self._passing
        found = []
        for part in across:
            inner = self._forest.inner.get(part, [])
            links = {index: self._links[index] for index in inner}
            if links and ring_of({node for pair in links.values() for node in pair}, links) is None:
                found.append(tuple(self._runs[index] for index in inner))
        return tuple(found)

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
        for leg in self.legs:
            for end in leg.ends:
                carried = leg.carried if len(leg.ends) == 1 else leg.carried.perhaps()
                sent[end] = sent.get(end, Carried()).plus(carried)
        found = []
        for name, carried in sent.items():
            limit = self._installation.gear[name].value("intake_mbps")
            if limit.value is not None:
                found.append(Intake(self._installation.gear[name], carried, float(limit.value), limit.at))
        return tuple(found)
