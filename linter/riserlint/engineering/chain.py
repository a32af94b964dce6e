"""A tree of links without a port voltage of its own: a source, and nodes that draw power and pass on the rest.

Behind a switch that passes power through, the voltage at its ports follows from the load of the whole tree and
the load's current from the voltage, so no link can be solved alone. With the branch currents J as unknowns,

    J_i = P_i / V_i + sum of the J of the links below,   V_i = U_i − R_i J_i,   U_i = V of the node above − its drop

P / V bends upwards as V falls, hence Newton's steps from no load never pass the solution on the high-voltage
branch and end in it, if there is one: no guess and no continuation can lead to another. On that branch all
pivots of the elimination, 1 − B_i R_i, are positive; one reaches zero where the tree collapses.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

#: Steps of Newton's method; near the collapse each halves the error only.
_MOST_STEPS = 100
#: A step this small against the currents is rounding.
_ROUNDING = 1e-13


class ChainNode(NamedTuple):
    """One node of a tree: the link that feeds it and what it draws itself.

    ``above`` is the index of the node that feeds it, always less than its own; −1: the source. ``ohm`` is the
    resistance of its link over the powered pairs, out and back; ``watts`` what it draws itself at its input, at
    any voltage; ``drop_v`` the fixed volts lost between its input and its outlets.
    """

    above: int
    ohm: float
    watts: float
    drop_v: float = 0.0


class ChainFlow(NamedTuple):
    """The state of a tree, one entry a node.

    ``source_v`` at the upper end of each link, ``volts`` at the node's input, ``current_a`` over its link.
    """

    source_v: tuple[float, ...]
    volts: tuple[float, ...]
    current_a: tuple[float, ...]


class Collapse(NamedTuple):
    """How far a tree is from its collapse.

    ``share`` is the multiple of all its watts at which it collapses: above 1 it works, at 1.2 a load a fifth
    greater is its end; infinite without load or resistance. ``weakest`` is the index of the link over which
    voltage falls fastest as the loads of the tree grow together.
    """

    share: float
    weakest: int


def solve_chain(source_v: float, nodes: Sequence[ChainNode], share: float = 1.0) -> ChainFlow | None:
    """Return the state of a tree on its high-voltage branch, or None where it has none.

    :param source_v: volts held at the source
    :param nodes: the nodes, each after the one that feeds it
    :param share: multiple of all watts to solve for
    :raises ValueError: for a voltage that is not positive, a value below 0, or a node before the one above it

    Source: Kirchhoff's laws; convergence: Newton's method on a concave function with an inverse-positive
    derivative (Ortega and Rheinboldt, Iterative Solution of Nonlinear Equations, monotone Newton theorem; memory).
    """
    _check(source_v, nodes)
    currents = [0.0] * len(nodes)
    flow = _flow(source_v, nodes, currents)
    for _ in range(_MOST_STEPS):
        if flow is None:
            return None
        steps = _eliminated(nodes, flow, share)
        if steps is None:
            return None
        moved, _ = steps
        currents = [current + step for current, step in zip(currents, moved)]
        flow = _flow(source_v, nodes, currents)
        if max(map(abs, moved), default=0.0) <= _ROUNDING * max(currents, default=0.0):
            return flow
    return None


def collapse_of(source_v: float, nodes: Sequence[ChainNode]) -> Collapse:
    """Return the share of the load at which a tree collapses, and its weakest link.

    The share by doubling and halving, each trial being a solution from no load; to 1e-6 of itself.

    :raises ValueError: as :func:`solve_chain`
    """
    _check(source_v, nodes)
    if not any(node.watts and _ohm_to(nodes, place) for place, node in enumerate(nodes)):
        return Collapse(math.inf, 0)
    good, bad = 0.0, 1.0
    while solve_chain(source_v, nodes, bad) is not None:
        good, bad = bad, 2 * bad
    while bad - good > 1e-6 * bad:
        middle = 0.5 * (good + bad)
        if solve_chain(source_v, nodes, middle) is None:
            bad = middle
        else:
            good = middle
    flow = solve_chain(source_v, nodes, min(1.0, 0.99 * good))
    steps = None if flow is None else _eliminated(nodes, flow, min(1.0, 0.99 * good), growing=True)
    falls = [0.0] if steps is None else [node.ohm * step for node, step in zip(nodes, steps[0])]
    return Collapse(good, max(range(len(falls)), key=falls.__getitem__))


def _eliminated(
    nodes: Sequence[ChainNode], flow: ChainFlow, share: float, *, growing: bool = False
) -> tuple[list[float], tuple[float, ...]] | None:
    """Return Newton's step of all branch currents and the pivots, None where a pivot is not positive.

    Leaves to root: dJ_i = a_i − b_i dU_i with B_i = P_i / V_i² + sum of b below, pivot 1 − B_i R_i, b_i = B_i /
    pivot, a_i = (residual + sum of a below) / pivot; then root to leaves. With ``growing`` the change of the
    currents as the loads grow, dJ / d share, instead of the step.
    """
    count = len(nodes)
    slopes = [0.0] * count
    ahead = [0.0] * count
    below = [0.0] * count
    pivots = [1.0] * count
    for place in range(count - 1, -1, -1):
        node, volts, current = nodes[place], flow.volts[place], flow.current_a[place]
        own = share * node.watts / volts
        slope = own / volts + slopes[place]
        residual = node.watts / volts if growing else own + below[place] - current
        pivot = pivots[place] = 1.0 - slope * node.ohm
        if pivot <= 0:
            return None
        gain = (residual + ahead[place]) / pivot
        slopes_here = slope / pivot
        ahead[place] = gain
        slopes[place] = slopes_here
        if node.above >= 0:
            slopes[node.above] += slopes_here
            ahead[node.above] += gain
            below[node.above] += current
    moved = [0.0] * count
    falls = [0.0] * count
    for place, node in enumerate(nodes):
        fall = falls[node.above] if node.above >= 0 else 0.0
        moved[place] = ahead[place] - slopes[place] * fall
        falls[place] = fall - node.ohm * moved[place]
    return moved, tuple(pivots)


def _flow(source_v: float, nodes: Sequence[ChainNode], currents: Sequence[float]) -> ChainFlow | None:
    """Return the voltages that follow from branch currents, None where one is not positive."""
    upper: list[float] = []
    volts: list[float] = []
    for node, current in zip(nodes, currents):
        top = source_v if node.above < 0 else volts[node.above] - nodes[node.above].drop_v
        here = top - node.ohm * current
        if here <= 0:
            return None
        upper.append(top)
        volts.append(here)
    return ChainFlow(tuple(upper), tuple(volts), tuple(currents))


def _ohm_to(nodes: Sequence[ChainNode], place: int) -> float:
    """Return the resistance from the source to a node."""
    ohm = 0.0
    while place >= 0:
        ohm += nodes[place].ohm
        place = nodes[place].above
    return ohm


def _check(source_v: float, nodes: Sequence[ChainNode]) -> None:
    if not 0 < source_v < math.inf:
        msg = f"voltage {source_v} V is not a finite number above 0"
        raise ValueError(msg)
    for place, node in enumerate(nodes):
        if not -1 <= node.above < place:
            msg = f"node {place} comes before the one above it, {node.above}"
            raise ValueError(msg)
        if not (min(node.ohm, node.watts, node.drop_v) >= 0 and math.isfinite(sum(node[1:]))):
            msg = f"node {place} has {node.ohm} ohm, {node.watts} W, {node.drop_v} V: not finite or below 0"
            raise ValueError(msg)
