"""How near a solved tree of links is to its collapse, written out for the tests: a tolerance for what they compare."""

from collections.abc import Sequence

from riserlint.engineering.chain import ChainFlow, ChainNode


def chain_pivots(nodes: Sequence[ChainNode], flow: ChainFlow) -> tuple[float, ...]:
    """Return 1 - B R of every link, B = P / V^2 + sum of B / (1 - B R) of the links below; 1 without load.

    The answer grows by about 1 / the least of them as a tolerance of the watts or ohms does.
    """
    slopes = [node.watts / volts**2 for node, volts in zip(nodes, flow.volts)]
    pivots = [1.0] * len(nodes)
    for place in range(len(nodes) - 1, -1, -1):
        node = nodes[place]
        pivots[place] = 1.0 - slopes[place] * node.ohm
        assert pivots[place] > 0, "the state is not on the high-voltage branch"
        if node.above >= 0:
            slopes[node.above] += slopes[place] / pivots[place]
    return tuple(pivots)
