"""What goes down with one failure: dominators against each failure applied to the graph and walked by networkx."""

import tempfile
from pathlib import Path
from typing import NamedTuple

import networkx as nx  # type: ignore[import-untyped]
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from riserlint.analysis.built import Built
from riserlint.analysis.failures import GearFate
from riserlint.analysis.fates import common_to_all_ways
from riserlint.design.reading import read_basis, read_design

Thing = tuple[str | int, ...]


def built_of(text: str) -> Built:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder).resolve()
        file = root / "design.toml"
        file.write_text(text, encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
    built = Built(design)
    assert [problem.message for problem in (*problems, *built.problems)] == []
    return built


def lost_with(built: Built, gear: str) -> tuple[set[Thing], set[Thing], set[Thing] | None] | None:
    """Return the failures of gear's fate by name: those that darken it, the sure ones, the possible ones."""
    fate: GearFate | None = built.failures.fate(built.gear[gear])
    if fate is None:
        return None

    def named(places: frozenset[int]) -> set[Thing]:
        return {built.failures.things[place] for place in places}

    return named(fate.dark), named(fate.sure), None if fate.possible is None else named(fate.possible)


# -- random installations ------------------------------------------------------------------------------------------


class Site(NamedTuple):
    """A random installation: supplies, feeds, links, who needs a recorder, what is not known."""

    above: dict[str, str]
    supplies: list[list[str]]
    fed_by: list[int | None]
    links: list[tuple[int, int]]
    cameras: list[int]
    recorders: list[tuple[str, int]]
    bridges: list[tuple[str, str, int, int]]
    loose: list[int]
    bypass: dict[str, str]

    def text(self) -> str:
        lines = ['[design]\ntitle = "random"', "[cable]\nc = { conductor_awg = 23 }", "[circuit]"]
        lines += [f'{name} = {{ from = "{up}" }}' for name, up in self.above.items() if name.startswith("c")]
        lines.append("[ups]")
        lines += [
            f'{name} = {{ from = "{up}"{self.bypass[name]} }}'
            for name, up in self.above.items()
            if name.startswith("u")
        ]
        lines.append("[switch]")
        inlet = 'inlet = { port = "up", pd_class = 8, own_w = 0, efficiency = 1, passes_through = false }, '
        for index, supplies in enumerate(self.supplies):
            listed = ", ".join(f'{{ from = "{name}" }}' for name in supplies)
            lines.append(
                f"s{index} = {{ {inlet if self.fed_by[index] is not None else ''}supplies = [{listed}], "
                "pse = { type = 4, min_v = 52 }, ports = { 1-40 = { pse_class = 8 } } }"
            )
        lines.append("[device]")
        lines += [
            f'cam{n} = {{ role = "camera", pd = {{ pd_class = 1 }}, draw_w = {{ day = 0.01 }} }}'
            for n in range(len(self.cameras))
        ]
        lines += [
            f'rec{n} = {{ from = "{up}", role = "recorder" }}' for n, (up, _) in enumerate(self.recorders)
        ]
        for n, (up, joins, _, _) in enumerate(self.bridges):
            lines.append(f'ap{n} = {{ from = "{up}", joins = "{joins}" }}')
        lines.append('[role]\ncamera = { needs = ["recorder"] }\nrecorder = {}\n[run]')
        ports = [0] * len(self.supplies)

        def port(switch: int) -> str:
            ports[switch] += 1
            return f"s{switch}/{ports[switch]}"

        cable = 'cable = "c", link_m = 0, cords_m = [], connections = 0'
        for name, (one, other) in self.runs().items():
            first = port(int(one[1:]))
            kind = name[0]
            last = {"f": f"{other}/up", "l": port(int(other[1:])) if kind == "l" else ""}.get(kind, other)
            if kind == "b":
                last = f"{other}/{name[-1]}"
            lines.append(f'{name} = {{ from = "{first}", to = "{last}", {cable} }}')
        lines += [f'x{n} = {{ from = "{port(a)}", to = "unknown" }}' for n, a in enumerate(self.loose)]
        return "\n".join(lines) + "\n"

    def runs(self) -> dict[str, tuple[str, str]]:
        """Return the runs whose ends are known, by id."""
        found = {
            f"f{load}": (f"s{source}", f"s{load}")
            for load, source in enumerate(self.fed_by)
            if source is not None
        }
        found.update({f"l{n}": (f"s{a}", f"s{b}") for n, (a, b) in enumerate(self.links)})
        found.update({f"c{n}": (f"s{a}", f"cam{n}") for n, a in enumerate(self.cameras)})
        found.update({f"r{n}": (f"s{a}", f"rec{n}") for n, (_, a) in enumerate(self.recorders)})
        for n, (_, _, a, b) in enumerate(self.bridges):
            found[f"b{n}-1"] = (f"s{a}", f"ap{n}")
            found[f"b{n}-2"] = (f"s{b}", f"ap{n}")
        return found

    def without_run(self) -> set[str]:
        """Return the switches that no described run ends at: nobody knows where they are connected."""
        return {f"s{n}" for n in range(len(self.supplies))} - set().union(*self.runs().values())

    def down(self, failed: Thing | None, *, unknown_holds: bool) -> tuple[set[str], set[str]]:
        """Return the cameras without power, and those without power or recorder, after one failure."""
        power = nx.DiGraph()
        power.add_nodes_from(["source", *self.above])

        def feed(up: str, node: Thing | str) -> None:
            if up in self.above:
                power.add_edge(up, node)
            elif up != "unknown" or unknown_holds:
                power.add_edge("source", node)

        for name, up in self.above.items():
            feed(up, name)

        def plug(kind: str, gear: str, places: list[tuple[Thing, str]]) -> None:
            power.add_node(gear)
            for place, up in places:
                feed(up, place)
                power.add_edge(place, gear)

        for n, supplies in enumerate(self.supplies):
            plug(
                "switch",
                f"s{n}",
                [(("switch", f"s{n}", "supplies", i, "from"), up) for i, up in enumerate(supplies)],
            )
            if not supplies and self.fed_by[n] is None and unknown_holds:
                power.add_edge("source", f"s{n}")  # nothing is said of what feeds it
        for n, (up, _) in enumerate(self.recorders):
            plug("device", f"rec{n}", [(("device", f"rec{n}", "from"), up)])
        for n, (up, _, _, _) in enumerate(self.bridges):
            plug("device", f"ap{n}", [(("device", f"ap{n}", "from"), up)])
        for name, (one, other) in self.runs().items():
            if name[0] in "fc":
                power.add_edge(one, ("run", name))
                power.add_edge(("run", name), other)
        node_of: dict[Thing, str] = {("switch", f"s{n}"): f"s{n}" for n in range(len(self.supplies))}
        node_of |= {("circuit", name): name for name in self.above if name.startswith("c")}
        node_of |= {("ups", name): name for name in self.above if name.startswith("u")}
        kept = {", bypass = true", ', bypass = "unknown"'} if unknown_holds else {", bypass = true"}
        if failed is not None and not (failed[0] == "ups" and self.bypass[str(failed[1])] in kept):
            gone = node_of.get(failed, failed)
            if gone in power:
                power.remove_node(gone)
        alive = nx.descendants(power, "source")
        data = nx.Graph()
        for name, (one, other) in self.runs().items():
            if ("run", name) != failed:
                data.add_edge(one, other)
        if unknown_holds:
            for gear in {*(f"s{n}" for n in self.loose), *self.without_run()}:
                data.add_edge(gear, "anywhere")
        dark, useless = set(), set()
        for n in range(len(self.cameras)):
            camera = f"cam{n}"
            if camera not in alive:
                dark.add(camera)
                continue
            passing = {"anywhere", camera} | {f"s{n}" for n in range(len(self.supplies))}
            passing |= {
                f"ap{n}"
                for n, (_, joins, _, _) in enumerate(self.bridges)
                if joins == "bridge" or (joins == "unknown" and unknown_holds)
            }
            recorders = {f"rec{n}" for n in range(len(self.recorders))}
            ends = recorders & alive
            reached: set[str] = set()
            for end in ends:
                kept = data.subgraph(
                    node
                    for node in data
                    if node == end or (node in passing and (node in alive or node == "anywhere"))
                )
                if end in kept and camera in kept and nx.has_path(kept, camera, end):
                    reached.add(end)
            if not reached:
                useless.add(camera)
        return dark, dark | useless

    def failing(self) -> list[Thing]:
        found: list[Thing] = [("circuit" if name.startswith("c") else "ups", name) for name in self.above]
        for n, supplies in enumerate(self.supplies):
            found.append(("switch", f"s{n}"))
            found += [("switch", f"s{n}", "supplies", i, "from") for i in range(len(supplies))]
        found += [("device", f"rec{n}", "from") for n in range(len(self.recorders))]
        found += [("device", f"ap{n}", "from") for n in range(len(self.bridges))]
        return [*found, *(("run", name) for name in self.runs())]


@st.composite
def sites(draw: st.DrawFn, *, unknown: bool) -> Site:
    names = [
        "u0",
        *(f"c{n}" for n in range(draw(st.integers(0, 2)))),
        *(["u1"] if draw(st.booleans()) else []),
    ]
    ends = ["mains", *names, *(["unknown"] if unknown else [])]
    above = {name: draw(st.sampled_from(ends)) for name in names}
    bypasses = ["", ", bypass = false", ", bypass = true", *([', bypass = "unknown"'] if unknown else [])]
    count = draw(st.integers(1, 5))
    switch = st.integers(0, count - 1)
    least = 0 if unknown else 1
    supplies = [draw(st.lists(st.sampled_from(ends), min_size=0, max_size=2)) for _ in range(count)]
    fed_by: list[int | None] = []
    for index in range(count):
        source = draw(st.none() | switch)
        fed_by.append(None if source == index else source)
        if not supplies[index] and fed_by[index] is None and least:
            supplies[index] = [draw(st.sampled_from(ends))]
    links = draw(st.lists(st.tuples(switch, switch).filter(lambda pair: pair[0] != pair[1]), max_size=6))
    bridges = draw(
        st.lists(
            st.tuples(
                st.sampled_from(ends),
                st.sampled_from(["bridge", "none", *(["unknown"] if unknown else [])]),
                switch,
                switch,
            ),
            max_size=1,
        )
    )
    return Site(
        above,
        supplies,
        fed_by,
        links,
        draw(st.lists(switch, min_size=1, max_size=3)),
        draw(st.lists(st.tuples(st.sampled_from(ends), switch), min_size=1, max_size=2)),
        bridges,
        draw(st.lists(switch, max_size=2)) if unknown else [],
        {name: draw(st.sampled_from(bypasses)) for name in names if name.startswith("u")},
    )


def _all_carry(built: Built) -> bool:
    """Return whether each inlet carries its switch for certain; in a loop of power none is known to."""
    return all(way.carries == "pass" for ways in built.continuity.ways.values() for way in ways)


@settings(max_examples=400, deadline=None)
@given(sites(unknown=False))
def test_each_failure_applied_to_the_graph_takes_down_the_same(site: Site) -> None:
    built = built_of(site.text())
    assume(_all_carry(built))
    base_dark, base_down = site.down(None, unknown_holds=True)
    after = {thing: site.down(thing, unknown_holds=True) for thing in site.failing()}
    for n in range(len(site.cameras)):
        camera = f"cam{n}"
        found = lost_with(built, camera)
        if camera in base_dark:
            assert found is None
            continue
        assert found is not None
        dark, sure, possible = found
        assert dark == {thing for thing, (off, _) in after.items() if camera in off}
        # Without any failure it may not reach a recorder: then it can't lose it.
        at = 0 if camera in base_down else 1
        assert sure == {thing for thing, down in after.items() if camera in down[at]}
        assert possible == sure or built.failures.has_unknown


@settings(max_examples=400, deadline=None)
@given(sites(unknown=True))
def test_what_is_not_known_is_reckoned_at_its_best_and_at_its_worst(site: Site) -> None:
    built = built_of(site.text())
    assume(_all_carry(built))
    best_dark, best_down = site.down(None, unknown_holds=True)
    _, worst_down = site.down(None, unknown_holds=False)
    best = {thing: site.down(thing, unknown_holds=True) for thing in site.failing()}
    worst = {thing: site.down(thing, unknown_holds=False) for thing in site.failing()}
    for n in range(len(site.cameras)):
        camera = f"cam{n}"
        found = lost_with(built, camera)
        if camera in best_dark:
            assert found is None
            continue
        assert found is not None
        _, sure, possible = found
        at = 0 if camera in best_down else 1
        assert sure == {thing for thing, down in best.items() if camera in down[at]}
        worst_dark, _ = site.down(None, unknown_holds=False)
        no_way = at == 0 and (site.loose or site.without_run())
        if no_way or (camera in worst_down and (at == 1 or camera in worst_dark)):
            assert possible is None
        else:
            assert possible == {thing for thing, down in worst.items() if camera in down[at]}
            assert sure <= possible


@settings(max_examples=300, deadline=None)
@given(
    st.integers(2, 8).flatmap(
        lambda count: st.tuples(
            st.just(count),
            st.lists(st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)), max_size=20),
        )
    )
)
def test_common_marks_of_plain_nodes_are_their_dominators(drawn: tuple[int, list[tuple[int, int]]]) -> None:
    """Each node its own mark: then the sets are those of the dominator tree, as networkx finds it."""
    count, edges = drawn
    graph = nx.DiGraph()
    graph.add_nodes_from(range(count))
    graph.add_edges_from(edges)
    found = common_to_all_ways(
        {0: [frozenset()]},
        lambda node: [(other, frozenset()) for other in graph[node]],
        lambda node: frozenset((node,)),
    )
    parents = nx.immediate_dominators(graph, 0)
    assert set(found) == set(nx.descendants(graph, 0)) | {0}
    for node, marks in found.items():
        chain = {node}
        above = node
        while above != 0:
            above = parents[above]
            chain.add(above)
        assert marks == chain


# -- by hand -------------------------------------------------------------------------------------------------------

RING = """
[design]
title = "ring"
[circuit]
DB1 = { from = "mains" }
DB2 = { from = "mains" }
[switch]
core = { supplies = [{ from = "DB1" }, { from = "DB2" }], ports = { 1-9 = { pse_class = 4 } } }
east = { from = "DB1", ports = { 1-9 = { pse_class = 4 } } }
west = { from = "DB2", ports = { 1-9 = { pse_class = 4 } } }
[device]
cam = { role = "camera", pd = { pd_class = 3 } }
rec = { role = "recorder", from = "DB1" }
[run]
a = { from = "core/1", to = "east/1" }
b = { from = "core/2", to = "west/1" }
c = { from = "east/2", to = "west/2" }
d = { from = "west/3", to = "cam" }
e = { from = "core/3", to = "rec" }
[role]
camera = { needs = ["recorder"] }
recorder = {}
"""


def test_a_link_of_a_ring_may_fail_and_a_link_of_a_chain_may_not() -> None:
    found = lost_with(built_of(RING), "cam")
    assert found is not None
    dark, sure, possible = found
    assert dark == {("circuit", "DB2"), ("switch", "west"), ("switch", "west", "from"), ("run", "d")}
    # The core has two supplies on two circuits; the recorder hangs on one of them.
    more = {("switch", "core"), ("run", "e"), ("circuit", "DB1"), ("device", "rec", "from")}
    assert sure == dark | more
    assert possible == sure
    chain = lost_with(built_of(RING.replace('c = { from = "east/2", to = "west/2" }\n', "")), "cam")
    assert chain is not None
    assert chain[1] == sure | {("run", "b")}


def test_the_run_of_an_unknown_source_fails_for_certain() -> None:
    built = built_of(RING.replace('from = "west/3", to = "cam"', 'from = "unknown", to = "cam"'))
    found = lost_with(built, "cam")
    assert found is not None
    dark, sure, possible = found
    assert dark == {("run", "d")}
    # Nobody knows over what it reaches the recorder.
    assert sure == dark
    assert possible is None
    assert built.failures.missing(built.gear["cam"]) == (("run", "d", "from"),)


def test_what_is_needed_of_its_own_kind_needs_no_other() -> None:
    text = RING.replace(
        'rec = { role = "recorder", ',
        'rec2 = { role = "recorder", from = "DB2" }\nrec = { needs = ["recorder"], role = "recorder", ',
    )
    found = lost_with(built_of(text.replace("[role]", 'f = { from = "west/4", to = "rec2" }\n[role]')), "rec")
    assert found is not None
    assert found[1] == {("circuit", "DB1"), ("device", "rec", "from")}


@pytest.mark.parametrize("count", [1000, 4000])
def test_a_forest_is_walked_once(count: int) -> None:
    """Each node of a tree of eight children is taken up once, however large it is."""
    taken: list[int] = []

    def onward(node: int) -> list[tuple[int, frozenset[int]]]:
        taken.append(node)
        return [(child, frozenset()) for child in range(8 * node + 1, 8 * node + 9) if child < count]

    found = common_to_all_ways({0: [frozenset()]}, onward, lambda node: frozenset((node,)))
    assert len(found) == len(taken) == count
    assert (
        found[count - 1]
        == {count - 1, (count - 2) // 8, ((count - 2) // 8 - 1) // 8} | found[((count - 2) // 8 - 1) // 8]
    )


def test_a_ring_of_many_switches_is_walked_a_few_times() -> None:
    taken = 0

    def onward(node: int) -> list[tuple[int, frozenset[int]]]:
        nonlocal taken
        taken += 1
        return [
            ((node + 1) % 300, frozenset((1000 + node,))),
            ((node - 1) % 300, frozenset((1000 + (node - 1) % 300,))),
        ]

    found = common_to_all_ways({0: [frozenset()]}, onward, lambda node: frozenset((node,)))
    assert taken <= 2 * 300
    assert all(marks == {0, node} for node, marks in found.items())


def test_what_reaches_nothing_that_it_needs_cannot_lose_it_where_all_runs_are_known() -> None:
    built = built_of(RING.replace('b = { from = "core/2", to = "west/1" }\n', ""))
    cut = built_of(
        RING.replace('b = { from = "core/2", to = "west/1" }\n', "").replace(
            'c = { from = "east/2", to = "west/2" }\n', ""
        )
    )
    whole, alone = lost_with(built, "cam"), lost_with(cut, "cam")
    assert whole is not None
    assert alone is not None
    assert ("switch", "core") in whole[1]
    assert alone[0] == alone[1] == alone[2]
    assert ("switch", "core") not in alone[1]


def test_what_is_connected_nobody_knows_how_is_not_told() -> None:
    text = RING.replace(
        'cam = { role = "camera", pd = { pd_class = 3 } }', 'cam = { role = "camera", from = "DB2" }'
    )
    built = built_of(text.replace('from = "west/3", to = "cam"', 'from = "unknown", to = "cam"'))
    found = lost_with(built, "cam")
    assert found is not None
    assert found[0] == found[1] == {("circuit", "DB2"), ("device", "cam", "from")}
    assert found[2] is None
    assert built.failures.missing(built.gear["cam"]) == (("run", "d", "from"),)


def test_a_need_that_nothing_in_the_design_meets_is_not_lost() -> None:
    text = RING.replace('role = "recorder", from', "from") + "# no gear has the role\n"
    found = lost_with(
        built_of(text.replace('from = "core/3", to = "rec"', 'from = "core/3", to = "unknown"')), "cam"
    )
    assert found is not None
    assert found[0] == found[1] == found[2]
