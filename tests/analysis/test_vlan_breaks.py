"""The breaks of a VLAN against connectivity that networkx tells."""

import networkx  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.analysis.vlan_breaks import Gap, breaks


@st.composite
def meshes(draw: st.DrawFn) -> tuple[list[Gap], set[int]]:
    """Draw parts, the links that lack a VLAN between them (unknown ones first), and the parts that are used."""
    count = draw(st.integers(2, 7))
    part = st.integers(0, count - 1)
    ends = draw(st.lists(st.tuples(part, part), max_size=12))
    unknown = draw(st.integers(0, 3))
    gaps = [Gap(f"R-{index}", one, two, index >= unknown) for index, (one, two) in enumerate(ends)]
    return gaps, draw(st.sets(part, min_size=1))


def together(gaps: list[Gap], users: set[int], mended: set[str]) -> set[frozenset[int]]:
    """Return which users hang together with some links mended, and those carrying that may."""
    graph = networkx.Graph()
    graph.add_nodes_from(range(7))
    graph.add_edges_from((gap.one, gap.two) for gap in gaps if not gap.asks or gap.link in mended)
    found = (frozenset(part) & users for part in networkx.connected_components(graph))
    return {frozenset(part) for part in found if part}


@settings(max_examples=500, deadline=None)
@given(drawn=meshes())
def test_the_breaks_join_all_users_none_is_too_many_and_each_may_be_exchanged(
    drawn: tuple[list[Gap], set[int]],
) -> None:
    gaps, users = drawn
    found = breaks(gaps, users)
    whole = together(gaps, users, {gap.link for gap in gaps})
    assert together(gaps, users, set(found)) == whole
    for link, others in found.items():
        less = set(found) - {link}
        assert together(gaps, users, less) != whole
        for other in others:
            assert together(gaps, users, less | {other}) == whole
    named = [other for others in found.values() for other in others]
    assert len(named) == len(set(named))
    assert not set(named) & set(found)


def test_of_a_ring_with_two_gaps_the_first_is_the_break_and_the_other_would_do() -> None:
    gaps = [Gap("B", "two", "three", True), Gap("C", "two", "three", True)]
    assert breaks(gaps, ["two", "three"]) == {"B": ("C",)}


def test_a_branch_without_users_is_no_break() -> None:
    gaps = [Gap("A", 1, 2, True), Gap("B", 2, 3, True), Gap("C", 1, 4, True)]
    assert breaks(gaps, [1, 3]) == {"A": (), "B": ()}
