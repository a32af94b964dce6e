"""The breaks of a VLAN: at which of the links that lack it the ways between its users have to be mended.

In a loop one mended link may be enough where several lack the VLAN; in a chain each of them is needed.
"""

from collections.abc import Hashable, Iterable, Mapping
from typing import NamedTuple


class Gap(NamedTuple):
    """A link that does not surely carry a VLAN, between two parts of it that surely hang together.

    ``asks`` says whether it is to be mended: one of which it is not known what it carries joins its parts for all
    that is known.
    """

    link: str
    one: Hashable
    two: Hashable
    asks: bool


def breaks(gaps: Iterable[Gap], users: Iterable[Hashable]) -> dict[str, tuple[str, ...]]:
    """Return the links that have to be mended for all users to hang together, each with those that would do as well.

    A spanning forest in the order of the gaps, cut back to what leads to users: the same design gives the same
    breaks. A link would do as well where its loop leads over the break; it is named at one break only, since it
    mends no more than one.

    Args:
        gaps: what is preferred comes first.
        users: the parts that somebody uses.
    """
    found = tuple(gaps)
    forest, spare = _forest(found)
    near = _cut_back(forest, set(users))
    kept = {gap.link: gap for gaps_there in near.values() for gap in gaps_there}
    needed: dict[str, list[str]] = {gap.link: [] for gap in found if gap.asks and gap.link in kept}
    for gap in spare:
        if not gap.asks or gap.one not in near or gap.two not in near:
            continue
        way = _way(near, gap.one, gap.two)
        first = next((link for link in needed if link in way), None)
        if first is not None:
            needed[first].append(gap.link)
    return {link: tuple(others) for link, others in needed.items()}


def _forest(gaps: Iterable[Gap]) -> tuple[list[Gap], list[Gap]]:
    """Return the gaps that join two parts each, in their order, and the others."""
    root: dict[Hashable, Hashable] = {}

    def top(part: Hashable) -> Hashable:
        while root.setdefault(part, part) != part:
            root[part] = root[root[part]]
            part = root[part]
        return part

    forest: list[Gap] = []
    spare: list[Gap] = []
    for gap in gaps:
        one, two = top(gap.one), top(gap.two)
        (spare if one == two else forest).append(gap)
        root[one] = two
    return forest, spare


def _cut_back(forest: Iterable[Gap], users: set[Hashable]) -> dict[Hashable, list[Gap]]:
    """Return the gaps at each part of a forest, without the branches that lead to no user."""
    near: dict[Hashable, list[Gap]] = {}
    for gap in forest:
        near.setdefault(gap.one, []).append(gap)
        near.setdefault(gap.two, []).append(gap)
    idle = [part for part, gaps in near.items() if len(gaps) == 1 and part not in users]
    while idle:
        part = idle.pop()
        for gap in near.pop(part):
            other = gap.two if gap.one == part else gap.one
            near[other].remove(gap)
            if len(near[other]) == 1 and other not in users:
                idle.append(other)
    return near


def _way(near: Mapping[Hashable, list[Gap]], start: Hashable, end: Hashable) -> set[str]:
    """Return the links on the way between two parts of a forest; none where there is no way."""
    came: dict[Hashable, tuple[Hashable, str] | None] = {start: None}
    todo = [start]
    while todo and end not in came:
        here = todo.pop()
        for gap in near[here]:
            there = gap.two if gap.one == here else gap.one
            if there not in came:
                came[there] = (here, gap.link)
                todo.append(there)
    links: set[str] = set()
    step = came.get(end)
    while step is not None:
        links.add(step[1])
        step = came[step[0]]
    return links
