"""Links of which each is the only way between its two sides, and the parts that such links join to a forest.

Within a part every two nodes are joined by two ways at least that share no link: a ring, or a mesh of rings.
"""

from collections import deque
from collections.abc import Sequence
from typing import NamedTuple


class Forest(NamedTuple):
    """The parts of a graph and the links between them, each tree with a root.

    Attributes:
        part: by node the part that it is in.
        parent: by part the part above it, -1 of a root.
        link: by part the link to the part above it, -1 of a root.
        depth: by part how many links it is below its root.
        order: the parts, each after the one above it.
        inner: by part the links within it.
        tree: by part the root of its tree.
    """

    part: list[int]
    parent: list[int]
    link: list[int]
    depth: list[int]
    order: list[int]
    inner: dict[int, list[int]]
    tree: list[int]


def forest_of(count: int, links: Sequence[tuple[int, int]]) -> Forest:
    """Return the parts of a graph of so many nodes; links are pairs of nodes, several between two of them are a ring.

    One depth-first walk finds the links that no other way goes round (Tarjan's low points), a second one the parts.
    """
    around: list[list[tuple[int, int]]] = [[] for _ in range(count)]
    for index, (one, other) in enumerate(links):
        around[one].append((other, index))
        around[other].append((one, index))
    alone = _only_ways(count, around)
    part = [-1] * count
    parts = 0
    for start in range(count):
        if part[start] >= 0:
            continue
        part[start] = parts
        todo = [start]
        while todo:
            here = todo.pop()
            for other, index in around[here]:
                if index not in alone and part[other] < 0:
                    part[other] = parts
                    todo.append(other)
        parts += 1
    inner: dict[int, list[int]] = {}
    between: list[list[tuple[int, int]]] = [[] for _ in range(parts)]
    for index, (one, other) in enumerate(links):
        if index in alone:
            between[part[one]].append((part[other], index))
            between[part[other]].append((part[one], index))
        elif one != other:
            inner.setdefault(part[one], []).append(index)
    parent, link, depth, tree = [-1] * parts, [-1] * parts, [0] * parts, [-1] * parts
    order: list[int] = []
    for root in range(parts):
        if tree[root] >= 0:
            continue
        tree[root] = root
        queue = deque([root])
        while queue:
            here = queue.popleft()
            order.append(here)
            for other, index in between[here]:
                if tree[other] < 0:
                    tree[other], parent[other], link[other], depth[other] = root, here, index, depth[here] + 1
                    queue.append(other)
    return Forest(part, parent, link, depth, order, inner, tree)


def _only_ways(count: int, around: list[list[tuple[int, int]]]) -> set[int]:
    """Return the links that are the only way between their two sides."""
    found: set[int] = set()
    entered = [-1] * count
    low = [0] * count
    clock = 0
    for start in range(count):
        if entered[start] >= 0:
            continue
        entered[start] = low[start] = clock
        clock += 1
        stack: list[tuple[int, int, int]] = [(start, -1, 0)]
        while stack:
            here, came, position = stack.pop()
            if position < len(around[here]):
                stack.append((here, came, position + 1))
                other, index = around[here][position]
                if index == came:
                    continue
                if entered[other] >= 0:
                    low[here] = min(low[here], entered[other])
                else:
                    entered[other] = low[other] = clock
                    clock += 1
                    stack.append((other, index, 0))
            elif stack:
                above = stack[-1][0]
                low[above] = min(low[above], low[here])
                if low[here] > entered[above]:
                    found.add(came)
    return found


def ring_of(nodes: set[int], links: dict[int, tuple[int, int]]) -> list[int] | None:
    """Return the links of a part in the order of the ring that they make; None where they are no single ring."""
    around: dict[int, list[int]] = {node: [] for node in nodes}
    for index, (one, other) in links.items():
        around[one].append(index)
        around[other].append(index)
    if any(len(found) != 2 for found in around.values()) or len(links) != len(nodes):
        return None
    here = min(nodes)
    came = around[here][1]
    ordered: list[int] = []
    for _ in links:
        came = next(index for index in around[here] if index != came)
        ordered.append(came)
        one, other = links[came]
        here = other if here == one else one
    return ordered
