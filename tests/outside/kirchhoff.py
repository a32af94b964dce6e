"""The nodal equations of a whole cascade, solved by scipy: a second solution that shares no code with ours.

The unknowns are the voltage V at every load and the current J over every run, all at once:

    V + R J − U = 0                        Ohm's law; U: the volts held by the port above, or V above less its drop
    V J − P = 0                            a device
    V (J − sum of J below) − P = 0         a switch that passes power through: Kirchhoff's law of currents
    V J − P − sum of U J below / η = 0     a switch that converts: its balance of power

scipy's ``root`` (MINPACK's hybrid method of Powell) starts from no load; if that jump fails, the loads are raised
step by step. What it ends in is taken only where the inverse of d(watts)/d(currents), the voltages eliminated, has
no negative entry: on the high-voltage branch a watt more lowers no current. There is one such state at most. With
currents G(J) = J − (watts + what is asked from below) / V(J), whose second part grows and bends upwards, of two
solutions J ≤ J' the inverse at J' gives 0 = G(J) ≤ G'(J') (J − J'), so J ≥ J', and they are one.
"""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root

from outside.cascades import Cascade, Node

Numbers = NDArray[np.floating[Any]]

#: An IEEE 802.3 device is off at 30 V or less (IEEE Std 802.3-2022, off voltage of a powered device, memory).
OFF_V = 30.0


class Point(NamedTuple):
    """One run in operation: volts at its upper end and at the load, and its current."""

    source_v: float
    device_v: float
    amperes: float


class Circuit:
    """The equations of what hangs on some ports of held voltage."""

    def __init__(self, heads: list[tuple[float, Node]]) -> None:
        self.nodes = [node for _, head in heads for node in head.all()]
        count = len(self.nodes)
        place = {id(node): number for number, node in enumerate(self.nodes)}
        self.ohm = np.array([node.ohm for node in self.nodes])
        self.watts = np.array([node.watts for node in self.nodes])
        #: U = held + uplink V, uplink being 1 at the switch above that passes power through.
        self.held = np.zeros(count)
        self.uplink = np.zeros((count, count))
        #: What joins a node from below: currents, and watts per ampere.
        self.joined = np.zeros((count, count))
        self.asked = np.zeros((count, count))
        for volts, head in heads:
            self.held[place[id(head)]] = volts
        for here, node in enumerate(self.nodes):
            for below in (place[id(child)] for child in node.below):
                if node.kind == "passes":
                    self.held[below], self.uplink[below, here] = -node.drop_v, 1.0
                    self.joined[here, below] = 1.0
                else:
                    self.held[below] = node.port_v
                    self.asked[here, below] = node.port_v / node.efficiency

    def no_load(self) -> Numbers:
        """Every voltage that of the port above less the drops, and no current."""
        count = len(self.nodes)
        volts = np.linalg.solve(np.eye(count) - self.uplink, self.held)
        found: Numbers = np.concatenate([volts, np.zeros(count)])
        return found

    def equations(self, unknowns: Numbers, share: float) -> Numbers:
        """What is to be nothing, in volts and in watts."""
        volts, amperes = np.split(unknowns, 2)
        ohm = volts + self.ohm * amperes - self.uplink @ volts - self.held
        watts = volts * (amperes - self.joined @ amperes) - share * self.watts - self.asked @ amperes
        return np.concatenate([ohm, watts])

    def jacobian(self, unknowns: Numbers, share: float) -> Numbers:
        """The derivatives of the equations."""
        del share
        volts, amperes = np.split(unknowns, 2)
        count = len(volts)
        found = np.zeros((2 * count, 2 * count))
        found[:count, :count] = np.eye(count) - self.uplink
        found[:count, count:] = np.diag(self.ohm)
        found[count:, :count] = np.diag(amperes - self.joined @ amperes)
        found[count:, count:] = volts[:, None] * (np.eye(count) - self.joined) - self.asked
        return found

    def inverse(self, unknowns: Numbers) -> Numbers:
        """The inverse of d(watts)/d(currents) with the voltages eliminated: without a negative entry, or not."""
        count = len(self.nodes)
        whole = self.jacobian(unknowns, 1.0)
        falls = -np.linalg.solve(whole[:count, :count], whole[:count, count:])
        found: Numbers = np.linalg.inv(whole[count:, count:] + whole[count:, :count] @ falls)
        return found

    def at_once(self) -> Numbers | None:
        """The state at the whole load on the high-voltage branch, None where scipy does not find it from no load."""
        return self._from(self.no_load(), 1.0)

    def by_steps(self) -> Numbers | None:
        """The same with the loads raised step by step; None where they can't be raised to the whole."""
        start, share, step = self.no_load(), 0.0, 0.25
        while step > 1e-4:
            found = self._from(start, min(1.0, share + step))
            if found is None:
                step /= 2
            else:
                share, start = min(1.0, share + step), found
                if share == 1.0:
                    return found
        return None

    def _from(self, start: Numbers, share: float) -> Numbers | None:
        tried = root(self.equations, start, args=(share,), jac=self.jacobian, method="hybr", tol=1e-15)
        unknowns: Numbers = tried.x
        rest = np.abs(self.equations(unknowns, share))
        if not np.all(np.isfinite(rest)) or rest.max() > 1e-9 or unknowns[: len(self.nodes)].min() <= 0:
            return None
        try:
            inverse = self.inverse(unknowns)
        except np.linalg.LinAlgError:
            return None
        return unknowns if inverse.min() > -1e-12 * np.abs(inverse).max() else None


def by_scipy(cascade: Cascade) -> dict[str, Point | None]:
    """Return every run's operating point; None where it has none, or where its load or one below it is off."""
    found: dict[str, Point | None] = {}
    _settle([(cascade.volts, root) for root in cascade.roots], found)
    nodes = cascade.all()
    heads = [*cascade.roots, *(child for node in nodes if node.kind == "converts" for child in node.below)]
    for head in reversed(heads):  # an island after those that hang on it
        island = island_of(head)
        asked = (child for node in island if node.kind == "converts" for child in node.below)
        if any(found[child.name] is None for child in asked):
            found.update((node.name, None) for node in island)  # it is asked for what can't be given
        for node in reversed(island):
            if any(found[child.name] is None for child in node.below):
                found[node.name] = None
    return found


def _settle(heads: list[tuple[float, Node]], found: dict[str, Point | None]) -> None:
    circuit = Circuit(heads)
    state = circuit.at_once()
    if state is None and len(heads) == 1:
        state = circuit.by_steps()
    if state is not None:
        volts, amperes = np.split(state, 2)
        upper = circuit.uplink @ volts + circuit.held
        for node, source_v, device_v, current in zip(circuit.nodes, upper, volts, amperes):
            on = device_v > OFF_V or (node.watts == 0 and not node.below)
            found[node.name] = Point(float(source_v), float(device_v), float(current)) if on else None
    elif len(heads) > 1:
        for head in heads:  # the ports of one source hold their voltage whatever the others do
            _settle([head], found)
    else:
        island = island_of(heads[0][1])
        found.update((node.name, None) for node in island)
        for node in island:
            if node.kind == "converts" and node.below:
                _settle([(node.port_v, child) for child in node.below], found)


def island_of(head: Node) -> list[Node]:
    """Return what hangs on the voltage of one port: a node, and all below it that passes power through."""
    island = [head]
    for node in island:  # grows while it is walked
        if node.kind == "passes":
            island.extend(node.below)
    return island
