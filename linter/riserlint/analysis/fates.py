"""What all ways to a node have in common: the sets of dominators of a graph whose nodes have marks of their own."""

from collections import deque
from collections.abc import Callable, Hashable, Iterable, Mapping
from typing import TypeVar

Fate = frozenset[int]
Node = TypeVar("Node", bound=Hashable)


def common_to_all_ways(
    starts: Mapping[Node, Iterable[Fate]],
    onward: Callable[[Node], Iterable[tuple[Node, Fate]]],
    own: Callable[[Node], Fate | None],
) -> dict[Node, Fate]:
    """Return for each node that is reached the marks that every way from a start to it meets.

    ``L(n) = own(n) ∪ ⋂ over ways into n (L(m) ∪ the marks of the step)``: the greatest solution, which is what all ways
    have in common, since a union with what is constant distributes over the intersection. A set only shrinks, and a
    node is taken up again only when its set did: on a forest once.

    Args:
        starts: nodes where ways begin, with the marks of each way that begins there (none of them: it is met freely).
        onward: the steps from a node, each with its marks.
        own: the marks of a node; None for one that no way leads through.
    """
    found: dict[Node, Fate] = {}
    queue: deque[Node] = deque()
    for node, ways in starts.items():
        mine = own(node)
        if mine is None:
            continue
        for way in ways:
            before = found.get(node)
            reached = way | mine
            found[node] = reached if before is None else before & reached
        if node in found:
            queue.append(node)
    waiting = set(queue)
    while queue:
        here = queue.popleft()
        waiting.discard(here)
        marks = found[here]
        for other, step in onward(here):
            before = found.get(other)
            if before is None:
                mine = own(other)
                if mine is None:
                    continue
                found[other] = marks | step | mine
            elif before <= marks:
                continue
            else:
                mine = own(other)
                assert mine is not None
                shrunk = before & (marks | step | mine)
                if len(shrunk) == len(before):
                    continue
                found[other] = shrunk
            if other not in waiting:
                waiting.add(other)
                queue.append(other)
    return found
