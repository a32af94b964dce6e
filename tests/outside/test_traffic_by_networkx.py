"""Streams over links against networkx: the path of each by itself, on random trees, and rings with each link idle.

Shares no code with the analysis: every stream follows the one simple path of the graph, and each link adds up, in each
direction, what goes over it. Links that are the only way are held against the library's bridges.
"""

import itertools
import tempfile
from pathlib import Path

import networkx as nx  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.analysis.bridges import forest_of, ring_of
from riserlint.analysis.built import Built
from riserlint.design.reading import read_basis, read_design


def built_of(text: str) -> Built:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder).resolve()
        file = root / "design.toml"
        file.write_text(text, encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
    built = Built(design)
    assert [problem.message for problem in (*problems, *built.problems)] == []
    return built


def text_of(
    links: list[tuple[int, int]], count: int, cameras: list[tuple[int, int]], recorders: list[int]
) -> str:
    """Return switches with links, cameras (at a switch, Mbit/s), each of which needs one recorder in turn."""
    lines = ['[design]\ntitle = "random"', "[switch]"]
    lines += [f"s{n} = {{}}" for n in range(count)]
    lines.append("[device]")
    lines += [f"rec{n} = {{ intake_mbps = 1000 }}" for n in range(len(recorders))]
    lines += [
        f'cam{n} = {{ needs = ["rec{n % len(recorders)}"], stream_mbps = {{ average = {mbps}, peak = {2 * mbps} }} }}'
        for n, (_, mbps) in enumerate(cameras)
    ]
    lines.append("[run]")
    ports = itertools.count(1)
    lines += [
        f'l{n} = {{ from = "s{one}/{next(ports)}", to = "s{other}/{next(ports)}", mbps = 100 }}'
        for n, (one, other) in enumerate(links)
    ]
    lines += [
        f'r{n} = {{ from = "s{at}/{next(ports)}", to = "rec{n}", mbps = 100 }}'
        for n, at in enumerate(recorders)
    ]
    lines += [
        f'c{n} = {{ from = "s{at}/{next(ports)}", to = "cam{n}", mbps = 100 }}'
        for n, (at, _) in enumerate(cameras)
    ]
    return "\n".join(lines) + "\n"


def paths(
    links: list[tuple[int, int]], count: int, cameras: list[tuple[int, int]], recorders: list[int]
) -> dict[tuple[str, str], float]:
    """Return by direction of each link what goes over it, each stream along its own path."""
    graph = nx.Graph()
    graph.add_nodes_from(f"s{n}" for n in range(count))
    graph.add_edges_from((f"s{one}", f"s{other}") for one, other in links)
    graph.add_edges_from((f"s{at}", f"rec{n}") for n, at in enumerate(recorders))
    graph.add_edges_from((f"s{at}", f"cam{n}") for n, (at, _) in enumerate(cameras))
    sums: dict[tuple[str, str], float] = {}
    for n, (_, mbps) in enumerate(cameras):
        way = nx.shortest_path(graph, f"cam{n}", f"rec{n % len(recorders)}")
        for step in itertools.pairwise(way):
            sums[step] = sums.get(step, 0.0) + mbps
    return sums


@st.composite
def trees(draw: st.DrawFn) -> tuple[list[tuple[int, int]], int, list[tuple[int, int]], list[int]]:
    count = draw(st.integers(1, 8))
    links = [(draw(st.integers(0, n - 1)), n) for n in range(1, count)]
    at = st.integers(0, count - 1)
    cameras = draw(st.lists(st.tuples(at, st.integers(1, 9)), min_size=1, max_size=12))
    return links, count, cameras, draw(st.lists(at, min_size=1, max_size=2))


@settings(max_examples=150, deadline=None)
@given(trees())
def test_on_a_tree_each_link_carries_the_streams_whose_path_goes_over_it(
    drawn: tuple[list[tuple[int, int]], int, list[tuple[int, int]], list[int]],
) -> None:
    built = built_of(text_of(*drawn))
    expected: dict[str, float] = {}
    for (start, end), mbps in paths(*drawn).items():
        run = next(
            run.id
            for run in built.runs.values()
            if {start, end} == {port.gear.id for port in (run.from_port, run.to_port) if port is not None}
        )
        expected[run] = max(expected.get(run, 0.0), mbps)
    found = {load.run.id: load.carried.average for load in built.traffic.links}
    assert {run: (span.low, span.high) for run, span in found.items()} == {
        run: (mbps, mbps) for run, mbps in expected.items()
    }
    assert all(load.carried.peak.high == 2 * load.carried.average.high for load in built.traffic.links)
    assert built.traffic.rings == ()


@settings(max_examples=150, deadline=None)
@given(st.integers(2, 6), st.data())
def test_in_a_ring_the_worst_link_is_that_of_each_tree_that_an_idle_link_leaves(
    size: int, data: st.DataObject
) -> None:
    links = [(n, (n + 1) % size) for n in range(size)]
    at = st.integers(0, size - 1)
    cameras = data.draw(st.lists(st.tuples(at, st.integers(1, 9)), min_size=1, max_size=12))
    recorders = [data.draw(at)]
    built = built_of(text_of(links, size, cameras, recorders))
    found = {idle.id: load.carried.average.high for ring in built.traffic.rings for idle, load in ring.worst}
    for idle in range(size):
        left = [link for n, link in enumerate(links) if n != idle]
        sums = paths(left, size, cameras, recorders)
        inner = [mbps for (start, end), mbps in sums.items() if start.startswith("s") and end.startswith("s")]
        assert found.get(f"l{idle}", 0.0) == max(inner, default=0.0)


@settings(max_examples=300, deadline=None)
@given(
    st.integers(1, 9).flatmap(
        lambda count: st.tuples(
            st.just(count),
            st.lists(st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)), max_size=14),
        )
    )
)
def test_links_between_parts_are_the_bridges_of_the_library(drawn: tuple[int, list[tuple[int, int]]]) -> None:
    count, links = drawn
    links = [link for link in links if link[0] != link[1]]
    graph = nx.MultiGraph()
    graph.add_nodes_from(range(count))
    graph.add_edges_from(links)
    simple = nx.Graph(graph)
    expected = {frozenset(edge) for edge in nx.bridges(simple) if graph.number_of_edges(*edge) == 1}
    forest = forest_of(count, links)
    found = {frozenset(links[link]) for link in forest.link if link >= 0}
    assert found == expected
    parts: dict[int, set[int]] = {}
    for node, part in enumerate(forest.part):
        parts.setdefault(part, set()).add(node)
    graph.remove_edges_from([edge for edge in list(graph.edges()) if frozenset(edge) in expected])
    assert {frozenset(nodes) for nodes in parts.values()} == {
        frozenset(nodes) for nodes in nx.connected_components(graph)
    }
    for part, nodes in parts.items():
        inner = {index: links[index] for index in forest.inner.get(part, [])}
        ring = ring_of(nodes, inner) if inner else None
        alone = all(degree == 2 for _, degree in graph.subgraph(nodes).degree()) and len(nodes) > 1
        assert (ring is not None) == alone
