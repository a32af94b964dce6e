"""Whole cascades against scipy: the nodal equations of every run at once, by a solver that is none of ours.

Every run's volts at both ends, its current and the watts at its source agree to 1e-9 of themselves, loosened by the
stated sensitivity alone: one over the least pivot of an island (1 / sqrt(1 − 4PR/V²), or up to twice that, for a
single run), times that of what hangs on it. Where scipy finds no state on the high-voltage branch we say so too.
"""

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outside.cascades import Cascade, Kind, Node, built, cascades, large, named, text_of
from outside.kirchhoff import Circuit, Point, by_scipy, island_of
from pivots import chain_pivots
from riserlint.analysis.power import Power
from riserlint.engineering.chain import ChainFlow, ChainNode

TOLERANCE = 1e-9
UNHURRIED = [HealthCheck.too_slow, HealthCheck.data_too_large]


def compare(cascade: Cascade) -> dict[str, Point | None]:
    """Hold our solution of a cascade against scipy's; return scipy's."""
    power, expected = built(text_of(cascade)).power, by_scipy(cascade)
    assert set(power.feeds) == set(expected)
    for head in reversed(heads_of(cascade)):
        for node in island_of(head):
            point, found = expected[node.name], power.feeds[node.name]
            if point is None:
                assert found.best is None, node
                assert found.worst is None, node
                assert math.isinf(found.source_w.low), node
        sensitive = sensitivity(head, expected)
        for node in island_of(head):
            point, found = expected[node.name], power.feeds[node.name]
            if point is None:
                continue
            assert found.missing == (), node
            assert found.best == found.worst, node
            assert found.worst is not None, node
            near = TOLERANCE * sensitive
            ours = (found.worst.volts, found.worst.device_v, found.worst.current_a, found.source_w.high)
            assert ours == pytest.approx(
                (point.source_v, point.device_v, point.amperes, point.source_v * point.amperes),
                rel=near,
                abs=1e-12,
            ), node
    if all(expected[root.name] is not None for root in cascade.roots):
        roots = [expected[root.name] for root in cascade.roots]
        total_w = sum(point.source_v * point.amperes for point in roots if point is not None)
        most = max(sensitivity(root, expected) for root in cascade.roots)
        assert power.sources["root"].source_w.high == pytest.approx(total_w, rel=TOLERANCE * most, abs=1e-12)
    return expected


def heads_of(cascade: Cascade) -> list[Node]:
    """Every node that is fed by a held voltage, after those above it."""
    return [
        *cascade.roots,
        *(child for node in cascade.all() if node.kind == "converts" for child in node.below),
    ]


def sensitivity(head: Node, points: dict[str, Point | None]) -> float:
    """How much more than a tolerance of the watts a result may be off; of the state that scipy found."""
    island = island_of(head)
    below = [child for node in island if node.kind == "converts" for child in node.below]
    states = [points[node.name] for node in island]
    if any(state is None for state in states):
        return math.inf
    known = [state for state in states if state is not None]
    above = {id(child): place for place, node in enumerate(island) for child in node.below}
    nodes = []
    for node, state in zip(island, known):
        watts = state.device_v * state.amperes if node.kind == "converts" else node.watts
        nodes.append(ChainNode(above.get(id(node), -1), node.ohm, watts, node.drop_v))
    columns = zip(*known)
    flow = ChainFlow(*columns)
    return max([1.0, *(sensitivity(child, points) for child in below)]) / min(chain_pivots(nodes, flow))


# -- the other solver itself --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("volts", "ohm", "watts", "device_v"),
    [(44.0, 20.0, 12.95, 37.0), (50.0, 12.5, 25.5, 42.5), (52.0, 6.25, 71.3, 41.18)],
)
def test_the_other_solver_knows_the_limits_of_the_standard(
    volts: float, ohm: float, watts: float, device_v: float
) -> None:
    """37 and 42.5 V: a maker's note that restates IEEE Std 802.3 for Types 1 and 2; 41.18 V worked by hand."""
    node = Node("device", watts, 1.0, wire=1, place=1)
    node.metres = ohm / node.ohm
    state = Circuit([(volts, node)]).at_once()
    assert state is not None
    assert state[0] == pytest.approx(device_v, abs=0.005)


def test_the_other_solver_tells_the_low_voltage_branch_from_the_high_one() -> None:
    """V = 50 V, R = 10 ohm, P = 40 W: V I − R I² = P at 1 A (40 V) and at 4 A (10 V)."""
    node = Node("device", 40.0, 1.0)
    node.metres = 10 / node.ohm
    circuit = Circuit([(50.0, node)])
    state = circuit.at_once()
    assert state == pytest.approx([40.0, 1.0], rel=1e-12)
    low = circuit.no_load() * 0 + [10.0, 4.0]
    assert circuit.equations(low, 1.0) == pytest.approx([0.0, 0.0], abs=1e-9)
    assert circuit.inverse(low).min() < 0


# -- random cascades ----------------------------------------------------------------------------------------

WAYS: list[tuple[Kind, ...]] = [("converts",), ("passes",), ("converts", "passes")]
ALL_WAYS = pytest.mark.parametrize("kinds", WAYS, ids=" and ".join)


@ALL_WAYS
@settings(max_examples=20, deadline=None, suppress_health_check=UNHURRIED)
@given(data=st.data())
def test_cascades(kinds: tuple[Kind, ...], data: st.DataObject) -> None:
    compare(data.draw(cascades(*kinds)))


@settings(max_examples=4, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), links=st.integers(100, 250), kinds=st.sampled_from(WAYS))
def test_cascades_of_hundreds_of_links(seed: int, links: int, kinds: tuple[Kind, ...]) -> None:
    compare(large(seed, links, kinds))


def test_one_cascade_of_350_links_that_works() -> None:
    expected = compare(large(9, 350, ("converts", "passes")))
    assert len(expected) >= 350
    assert all(point is not None for point in expected.values())


# -- the limit ----------------------------------------------------------------------------------------------


@settings(max_examples=8, deadline=None, suppress_health_check=UNHURRIED)
@given(cascades("passes"), st.integers(0, 2))
def test_a_chain_ends_for_scipy_where_it_ends_for_us(cascade: Cascade, which: int) -> None:
    """Just below the multiple of its loads at which a chain is said to collapse it has a state, just above none."""
    head = cascade.roots[which % len(cascade.roots)]
    power: Power = built(text_of(Cascade(cascade.volts, named([head])))).power
    chain = power.feeds[head.name].chain
    if chain is None:
        return  # a device by itself
    share, _ = chain.collapse(worst=True)
    if not math.isfinite(share):
        assert sum(node.watts for node in head.all()) == 0
        return
    watts = [node.watts for node in head.all()]
    for factor, works in ((0.999, True), (1.001, False)):
        for node, own in zip(head.all(), watts):
            node.watts = own * share * factor
        circuit = Circuit([(cascade.volts, head)])
        assert (circuit.by_steps() is not None) is works
    for node, own in zip(head.all(), watts):
        node.watts = own


def test_a_chain_that_collapses_while_each_of_its_runs_still_has_a_current() -> None:
    """Four switches in a row, the loads raised to the collapse: 4PR/V² of the worst run is still below 1."""

    def row(watts: float) -> Cascade:
        node = Node("device", watts, 60.0)
        for _ in range(4):
            node = Node("passes", watts, 60.0, below=[node])
        return Cascade(52.0, named([node]))

    low, high = 10.0, 100.0
    while high - low > 1e-3:
        middle = (low + high) / 2
        works = Circuit([(52.0, row(middle).roots[0])]).by_steps() is not None
        low, high = (middle, high) if works else (low, middle)
    assert compare(row(0.5 * low))["n5"] is not None
    assert set(compare(row(1.01 * high)).values()) == {None}
    state = Circuit([(52.0, row(low).roots[0])]).by_steps()
    assert state is not None
    upper = [52.0, *state[:4]]
    ohm = row(low).roots[0].ohm
    shares = [4 * ohm * volts * current / top**2 for volts, current, top in zip(state[:5], state[5:], upper)]
    assert max(shares) < 0.95
