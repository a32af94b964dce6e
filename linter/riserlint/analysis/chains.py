"""Chains of switches that pass power through, solved as one tree with all that hangs on them."""

import math
from typing import NamedTuple

from riserlint.analysis.loads import Draw, Grant
from riserlint.design.paths import Path
from riserlint.engineering.chain import ChainNode, collapse_of, solve_chain
from riserlint.engineering.loss import LinkState
from riserlint.engineering.span import Span
from riserlint.installation.things import Feed


class Link(NamedTuple):
    """A feed before its voltage is known.

    Attributes:
        feed, grant, draw: as in the power of a feed.
        load_w: what the load takes itself: of a switch that passes power through its own use alone.
        whole_w: the same if this feed carries all of gear with several.
        typical_w: the typical draw at the load, None where not stated.
        ohm: resistance over the powered pairs, out and back.
        off_v: the voltage at or below which the load is taken for off.
        drop_v: volts lost between its inlet and its ports where it passes power through, as a range.
        passes: whether it does.
        missing: values that are not known.
        modes: the share of the load that the heavier of two signatures' modes takes, None of one signature. Inside
            a chain its ``ohm`` stands for both, which puts no less on the cable than there is.
    """

    feed: Feed
    grant: Grant
    draw: Draw | None
    load_w: Span
    whole_w: Span
    typical_w: float | None
    ohm: Span
    off_v: float
    drop_v: Span
    passes: bool
    missing: tuple[Path, ...]
    modes: Span | None = None


class Chain(NamedTuple):
    """A tree of feeds whose voltages hang together, and the voltage held at its source.

    ``above`` is the place of the link that feeds each link, -1 for the first.
    """

    volts: Span
    links: tuple[Link, ...]
    above: tuple[int, ...]

    def nodes(self, *, worst: bool) -> tuple[ChainNode, ...] | None:
        """Return the tree in numbers at one end of its ranges, None where that end is not bounded."""
        found = []
        for above, link in zip(self.above, self.links):
            spans = (link.ohm, link.load_w, link.drop_v)
            ohm, watts, drop_v = (span.high if worst else span.low for span in spans)
            if not (math.isfinite(ohm) and math.isfinite(watts)):
                return None
            found.append(ChainNode(above, ohm, watts, drop_v))
        return tuple(found)

    def collapse(self, *, worst: bool) -> tuple[float, Feed | None]:
        """Return the multiple of its loads at which it collapses, and the feed where voltage falls fastest.

        At the worst end not less than 0, at the best not bounded, where that end is not known.
        """
        nodes = self.nodes(worst=worst)
        volts = self.volts.low if worst else self.volts.high
        if nodes is None or not 0 < volts < math.inf:
            return (0.0 if worst else math.inf), None
        found = collapse_of(volts, nodes)
        return found.share, self.links[found.weakest].feed


class ChainStates(NamedTuple):
    """One end of a chain's range, an entry a link.

    ``states`` are None where there is no operating point, where the load is off, or where that holds for
    something below; ``source_v`` at the upper end; ``device_w`` what the load takes, all below included.
    """

    states: tuple[LinkState | None, ...]
    source_v: tuple[float, ...]
    device_w: tuple[float, ...]


def chain_states(chain: Chain, *, worst: bool) -> ChainStates:
    """Return a chain's operating points at one end of its ranges."""
    nodes = chain.nodes(worst=worst)
    volts = chain.volts.low if worst else chain.volts.high
    flow = None
    if nodes is not None and 0 < volts < math.inf:
        flow = solve_chain(volts, nodes)
    elif nodes is not None and volts > 0:
        return _without_current(nodes)
    count = len(chain.links)
    if nodes is None or flow is None:
        # No voltage can be told but that of the source, which the first link has.
        none = 0.0 if worst else chain.volts.high
        source_v = tuple(volts if above < 0 else none for above in chain.above)
        return ChainStates((None,) * count, source_v, (math.inf,) * count)
    dark = [False] * count
    for place in range(count - 1, -1, -1):
        link = chain.links[place]
        below_off = flow.volts[place] <= link.off_v and flow.current_a[place] > 0
        dark[place] = dark[place] or below_off
        if dark[place] and chain.above[place] >= 0:
            dark[chain.above[place]] = True
    states: list[LinkState | None] = []
    device_w: list[float] = []
    for place, node in enumerate(nodes):
        upper, here, current = flow.source_v[place], flow.volts[place], flow.current_a[place]
        watts = here * current if chain.links[place].passes else node.watts
        device_w.append(math.inf if dark[place] and chain.links[place].passes else watts)
        state = LinkState(upper, current, here, watts, upper * current, current * current * node.ohm)
        states.append(None if dark[place] else state)
    return ChainStates(tuple(states), flow.source_v, tuple(device_w))


def _without_current(nodes: tuple[ChainNode, ...]) -> ChainStates:
    """Return the best of a source of which no voltage is known: as high as one likes, without current or loss."""
    watts = [node.watts for node in nodes]
    for place in range(len(nodes) - 1, 0, -1):
        if nodes[place].above >= 0:
            watts[nodes[place].above] += watts[place]
    states = tuple(LinkState(math.inf, 0.0, math.inf, here, here, 0.0) for here in watts)
    return ChainStates(states, (math.inf,) * len(nodes), tuple(watts))
