"""Constant-power loads on a tree of resistive links: the joint solution of a chain that passes power through.

A switch that passes power through holds no voltage of its own: what its ports give depends on what its inlet gets,
and that on all loads above and below it. Each link alone can look healthy while the chain as a whole has no
operating point left.
"""

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

#: Newton's steps double their right digits; more than this many means that it does not settle.
_MOST_STEPS: Final = 60
_SETTLED: Final = 1e-13
#: Halvings of the share at which a chain collapses: 2^-50 is beyond what a double holds of it.
_HALVINGS: Final = 50


class Node(NamedTuple):
    """The far end of a link: ``parent`` is the position of the node above (-1: the source), always a lower one.

    ``ohm`` is the resistance of the link out and back over its powered pairs, ``watts`` the constant power drawn at
    the node itself.
    """

    parent: int
    ohm: float
    watts: float


class TreeState(NamedTuple):
    """The operating point: volts at each node, amperes in the link to it, and the least pivot.

    ``least_pivot`` tells how far the chain is from its collapse: 1 without load, 0 at the collapse; ``weakest`` is
    the node whose link has it, where voltage falls fastest.
    """

    volts: tuple[float, ...]
    amperes: tuple[float, ...]
    least_pivot: float
    weakest: int


def solve_tree(source_v: float, nodes: Sequence[Node], share: float = 1.0) -> TreeState | None:
    """Return the operating point of a tree on its high-voltage branch, or None where there is none.

    For each node i with parent p: V_i = V_p − R_i I_i and I_i = share × P_i / V_i + sum of I of the links below.

    Newton's method from no load, each step solved along the tree in linear time: with I_i = a_i + b_i V_i in small
    changes, b_i = −share P_i / V_i² + sum of b_c / (1 + b_c R_c) over the links c below. The pivots 1 + b_i R_i are
    all positive on the high-voltage branch (its Jacobian is that of no load, continued), and 0 at the collapse.
    The loads' currents are convex in the voltages, so from no load the steps fall monotonically onto the highest
    solution where there is one, and lose a positive pivot where there is none.

    :param source_v: volts held at the source
    :param nodes: links with their far ends, parents before children
    :param share: share of all loads that is switched on
    :raises ValueError: for a voltage that is not positive, a resistance, power or share below 0, or a parent that
        does not come before its child
    """
    _check(source_v, nodes, share)
    count = len(nodes)
    volts = [source_v] * count
    amperes = [0.0] * count
    for _ in range(_MOST_STEPS):
        slopes, rests, pivots = _swept(nodes, volts, amperes, share)
        if min(pivots, default=1.0) <= 0:
            return None
        change_v = [0.0] * count
        largest = 0.0
        for index, node in enumerate(nodes):
            above = 0.0 if node.parent < 0 else change_v[node.parent]
            # V_i = V_p − R_i I_i must hold for the changed values too; amperes carry what is left of it.
            change_a = (rests[index] + slopes[index] * above) / pivots[index]
            change_v[index] = above - node.ohm * change_a
            amperes[index] += change_a
            largest = max(largest, abs(change_v[index]))
        for index, node in enumerate(nodes):
            above_v = source_v if node.parent < 0 else volts[node.parent]
            volts[index] = above_v - node.ohm * amperes[index]
            if not volts[index] > 0:
                return None
        if largest <= _SETTLED * source_v:
            slopes, _, pivots = _swept(nodes, volts, amperes, share)
            least = min(pivots, default=1.0)
            if least <= 0:
                return None
            weakest = pivots.index(least) if pivots else -1
            return TreeState(tuple(volts), tuple(amperes), least, weakest)
    return None


def collapse_share(source_v: float, nodes: Sequence[Node]) -> float:
    """Return the share of all loads at which a tree collapses: below 1 it can't carry them, infinite without load.

    Found by halving between a share that has an operating point and one that has none (:func:`solve_tree`).

    :raises ValueError: as :func:`solve_tree`
    """
    _check(source_v, nodes, 1.0)
    if not any(node.watts > 0 and _path_ohm(nodes, index) > 0 for index, node in enumerate(nodes)):
        return math.inf
    low, high = 0.0, 1.0
    while solve_tree(source_v, nodes, high) is not None:
        low, high = high, 2 * high
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if solve_tree(source_v, nodes, middle) is None:
            high = middle
        else:
            low = middle
    return low


def _swept(
    nodes: Sequence[Node], volts: Sequence[float], amperes: Sequence[float], share: float
) -> tuple[list[float], list[float], list[float]]:
    """Return slopes b, residuals a and pivots 1 + b R of all nodes, swept from the leaves to the source."""
    slopes = [0.0] * len(nodes)
    rests = [0.0] * len(nodes)
    pivots = [1.0] * len(nodes)
    for index in range(len(nodes) - 1, -1, -1):
        node = nodes[index]
        load_a = share * node.watts / volts[index]
        slopes[index] -= load_a / volts[index]
        rests[index] += load_a - amperes[index]
        pivot = 1.0 + slopes[index] * node.ohm
        pivots[index] = pivot
        if node.parent >= 0 and pivot > 0:
            slopes[node.parent] += slopes[index] / pivot
            rests[node.parent] += amperes[index] + rests[index] / pivot
    return slopes, rests, pivots


def _path_ohm(nodes: Sequence[Node], index: int) -> float:
    total = 0.0
    while index >= 0:
        total += nodes[index].ohm
        index = nodes[index].parent
    return total


def _check(source_v: float, nodes: Sequence[Node], share: float) -> None:
    if not (source_v > 0 and math.isfinite(source_v)):
        raise ValueError(f"source voltage {source_v} V is not a finite number above 0")
    if not share >= 0:
        raise ValueError(f"share {share} of the load is below 0")
    for index, node in enumerate(nodes):
        if not -1 <= node.parent < index:
            raise ValueError(f"node {index} has parent {node.parent}: parents come before their children")
        if not (node.ohm >= 0 and node.watts >= 0 and math.isfinite(node.ohm + node.watts)):
            raise ValueError(f"node {index}: {node.ohm} ohm and {node.watts} W must be finite and at least 0")
