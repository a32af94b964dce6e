"""The joint solution of a tree of links without a port voltage of its own."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pivots import chain_pivots
from riserlint.engineering.chain import ChainNode, collapse_of, solve_chain
from riserlint.engineering.loss import solve_link


def test_one_link_is_solved_as_a_link() -> None:
    """IEEE Std 802.3-2022, class 8 over a channel of 6.25 ohm from 52 V: 41.18 V at 71.3 W (derived)."""
    flow = solve_chain(52, [ChainNode(-1, 6.25, 71.3)])
    link = solve_link(52, 6.25, 71.3)
    assert flow is not None
    assert link is not None
    assert flow.volts[0] == pytest.approx(link.device_v, rel=1e-12)
    assert flow.volts[0] == pytest.approx(41.18, abs=0.005)
    assert flow.current_a[0] == pytest.approx(link.current_a, rel=1e-12)


def test_a_drop_lowers_what_comes_after_it_alone() -> None:
    flow = solve_chain(52, [ChainNode(-1, 0, 0, drop_v=2), ChainNode(0, 5, 20)])
    link = solve_link(50, 5, 20)
    assert flow is not None
    assert link is not None
    assert flow.volts[0] == 52.0
    assert flow.volts[1] == pytest.approx(link.device_v, rel=1e-12)
    assert flow.source_v == (52.0, 50.0)


def test_a_link_collapses_at_a_quarter_of_the_square_of_its_voltage() -> None:
    """P = V² / 4R, the most that a source of V volts brings through R ohms (maximum power theorem)."""
    assert collapse_of(52, [ChainNode(-1, 6.25, 71.3)]).share == pytest.approx(
        52**2 / (4 * 6.25 * 71.3), rel=2e-6
    )


def test_a_chain_collapses_while_each_of_its_links_still_has_a_current() -> None:
    """Two equal links in a row: V³ and so on have no closed form here, so the fold is walked to by hand below.

    With 1 ohm links, source 10 V and a load of P at the end alone the two are one link of 2 ohms: P = 12.5 W.
    With P at each node the fold is where d(source V) / d(end V) = 0, worked from the end: J2 = P / V2,
    V1 = V2 + J2, J1 = J2 + P / V1, Vs = V1 + J1.
    """
    assert collapse_of(10, [ChainNode(-1, 1, 0), ChainNode(0, 1, 5)]).share == pytest.approx(2.5, rel=2e-6)

    def source_v(end_v: float, watts: float) -> float:
        second = watts / end_v
        upper = end_v + second
        return upper + second + watts / upper

    def least_source(watts: float) -> float:
        return min(source_v(0.001 * step, watts) for step in range(500, 12000))

    low, high = 1.0, 12.0
    while high - low > 1e-4:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if least_source(middle) < 10 else (low, middle)
    found = collapse_of(10, [ChainNode(-1, 1, 1), ChainNode(0, 1, 1)])
    assert found.share == pytest.approx(low, rel=1e-4)
    # The worst link, taken alone with the voltage that it has at the fold, is not yet at its own limit.
    flow = solve_chain(10, [ChainNode(-1, 1, 1), ChainNode(0, 1, 1)], 0.9999 * found.share)
    assert flow is not None
    assert 4 * 1 * found.share / flow.source_v[1] ** 2 < 0.9


def test_no_solution_is_told_beyond_the_collapse() -> None:
    nodes = [ChainNode(-1, 1, 1), ChainNode(0, 1, 1), ChainNode(0, 3, 1)]
    share = collapse_of(10, nodes).share
    assert solve_chain(10, nodes, 0.999 * share) is not None
    assert solve_chain(10, nodes, 1.001 * share) is None


def test_without_load_or_without_resistance_there_is_no_collapse() -> None:
    assert collapse_of(52, [ChainNode(-1, 5, 0)]).share == math.inf
    assert collapse_of(52, [ChainNode(-1, 0, 50), ChainNode(0, 0, 20)]).share == math.inf
    assert collapse_of(52, []).share == math.inf


def test_the_weakest_link_is_where_voltage_falls_fastest() -> None:
    nodes = [ChainNode(-1, 1, 5), ChainNode(0, 4, 10), ChainNode(0, 1, 10)]
    assert collapse_of(52, nodes).weakest == 1


@pytest.mark.parametrize(
    ("source_v", "nodes", "words"),
    [
        (0, [ChainNode(-1, 1, 1)], "voltage 0 V"),
        (math.inf, [ChainNode(-1, 1, 1)], "voltage inf V"),
        (52, [ChainNode(0, 1, 1)], "node 0 comes before"),
        (52, [ChainNode(-2, 1, 1)], "node 0 comes before"),
        (52, [ChainNode(-1, -1, 1)], "node 0 has -1 ohm"),
        (52, [ChainNode(-1, 1, math.inf)], "node 0 has 1 ohm, inf W"),
    ],
)
def test_values_without_meaning_are_refused(source_v: float, nodes: list[ChainNode], words: str) -> None:
    with pytest.raises(ValueError, match=words.replace("(", r"\(")):
        solve_chain(source_v, nodes)


@st.composite
def trees(draw: st.DrawFn) -> list[ChainNode]:
    count = draw(st.integers(1, 25))
    return [
        ChainNode(
            draw(st.integers(-1, place - 1)),
            draw(st.floats(0, 3)),
            draw(st.floats(0, 15)),
            draw(st.sampled_from([0.0, 0.0, 1.0])),
        )
        for place in range(count)
    ]


@settings(max_examples=200, deadline=None)
@given(trees())
def test_what_the_source_gives_is_what_the_loads_take_and_what_is_lost(nodes: list[ChainNode]) -> None:
    flow = solve_chain(54, nodes)
    if flow is None:
        assert collapse_of(54, nodes).share < 1
        return
    given_w = sum(54 * amps for node, amps in zip(nodes, flow.current_a) if node.above < 0)
    lost = sum(node.ohm * amps**2 for node, amps in zip(nodes, flow.current_a))
    dropped = sum(
        nodes[node.above].drop_v * amps for node, amps in zip(nodes, flow.current_a) if node.above >= 0
    )
    taken = sum(node.watts for node in nodes)
    sensitivity = 1 / min(chain_pivots(nodes, flow))
    assert given_w == pytest.approx(taken + lost + dropped, rel=1e-11 * sensitivity, abs=1e-12)


@settings(max_examples=100, deadline=None)
@given(trees(), st.data())
def test_more_load_or_more_ohms_lower_every_voltage(nodes: list[ChainNode], data: st.DataObject) -> None:
    flow = solve_chain(54, nodes)
    if flow is None:
        return
    place = data.draw(st.integers(0, len(nodes) - 1))
    node = nodes[place]
    worse = node._replace(
        ohm=node.ohm + data.draw(st.floats(0, 1)), watts=node.watts + data.draw(st.floats(0, 5))
    )
    after = solve_chain(54, [*nodes[:place], worse, *nodes[place + 1 :]])
    if after is not None:
        assert all(now <= before + 1e-9 for now, before in zip(after.volts, flow.volts))
