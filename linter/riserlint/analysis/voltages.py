"""The voltage at the far end of every fed run, what it has to be there, and which wire would bring it.

``FeedPower`` holds no operating point where the load is off; here the voltage is given as it would be, so that a
rule can say how far it is from what is needed.
"""

import math
from collections.abc import Callable
from functools import cache
from typing import NamedTuple

from riserlint.analysis.chains import Chain
from riserlint.analysis.loads import Grant
from riserlint.analysis.power import FeedPower, Ground
from riserlint.analysis.resistance import conductor_of, loop_ohm
from riserlint.design.models import Strand
from riserlint.design.paths import Path
from riserlint.engineering.chain import ChainNode, solve_chain
from riserlint.engineering.conductors import at_temperature, conductor_ohm_per_m
from riserlint.engineering.loss import (
    channel_least_volts,
    highest_device_watts,
    highest_ohm,
    least_device_volts,
    least_mode_volts,
    solve_link,
)
from riserlint.engineering.span import Span
from riserlint.installation.things import Cable, Run
from riserlint.standards import poe
from riserlint.standards.conductors import WIRE_TABLE

_ZERO = Span(0.0, 0.0)
_MODES = tuple(row.pd_class for row in poe.DUAL_SIGNATURE_TABLE.rows)
#: Halvings after which a resistance is found to a millionth of itself.
_HALVINGS = 24


class NeededVolts(NamedTuple):
    """The least voltage at which a load must work, as a range where its class is not known.

    ``volts`` is None where nothing says it: a passive device that states none. ``classes`` are those that it may
    work in, empty where it states its voltage.
    """

    volts: Span | None
    stated_at: Path | None
    classes: tuple[int, ...]
    missing: tuple[Path, ...]


class Permitted(NamedTuple):
    """A channel of the standard that a feed may be: class, type, pairs; what it leaves a load, and what arrives."""

    assigned: int
    pse_type: int
    pairs: int
    least_v: float
    arrives: Span


class Wire(NamedTuple):
    """What would bring a voltage: ohm over the powered pairs, the longest link, the thinnest copper.

    ``ohm`` is the most that still does, None where no wire does; ``link_m`` of the cable as it is and ``awg`` at the
    length as it is, None where there is none or where something that they turn on is not known.
    """

    ohm: float | None
    link_m: float | None
    awg: int | None


class Voltages:
    """Voltages of an installation whose power is solved; a chain is solved once, when one of its runs is asked."""

    def __init__(self, ground: Ground, celsius: Callable[[Run], Span]) -> None:
        """Keep what is known of the runs: resistance at 20 °C, and the temperature of their conductors."""
        self._ground = ground
        self._celsius = celsius
        self._chains: dict[int, tuple[Chain, dict[str, Span]]] = {}

    def at_load(self, power: FeedPower) -> Span:
        """Return the voltage at the load, 0 where the run (or its chain) has no operating point or no bound."""
        worst, best = power.worst, power.best
        if worst is not None and best is not None:
            return Span(worst.device_v, best.device_v)
        if power.chain is not None:
            return self._of_chain(power.chain)[power.feed.run.id]
        return Span(
            _volts(power.volts.low, power.ohm.high, power.load_w.high),
            _volts(power.volts.high, power.ohm.low, power.load_w.low),
        )

    def permitted(self, power: FeedPower) -> tuple[Permitted, ...]:
        """Return every channel of the standard that a feed may be; none where the standard sets none for it.

        More than one where its class, its type or its port's class is not known: each with the volts that arrive if
        it is that one, as a type that is not known also decides what the source holds, and a class what its device
        draws at most. A class below what the device draws for certain is none that it has.
        """
        grant = power.grant
        known = channel_volts(power)
        if known is not None and grant.assigned is not None and grant.pse_type is not None:
            return (
                Permitted(grant.assigned, grant.pse_type, int(grant.pairs.low), known, self.at_load(power)),
            )
        if (grant.assigned is not None and grant.pse_type is not None) or _has_no_channel(power):
            return ()
        classes = (grant.assigned,) if grant.assigned is not None else _classes_of(grant)
        types = _types_of(grant)
        written = power.feed.run.value("pairs").value
        found = []
        for pse_type in types:
            for pd_class in classes:
                pairs = poe.powered_pairs(pd_class) if written is None else int(written)
                least_v = _channel_volts(pd_class, pse_type, pairs)
                if least_v is not None and power.load_w.low <= poe.pd_watts(pd_class, pse_type):
                    arrives = self._arriving(power, pse_type, pd_class, pairs)
                    found.append(Permitted(pd_class, pse_type, pairs, least_v, arrives))
        return tuple(found)

    def _arriving(self, power: FeedPower, pse_type: int, pd_class: int, pairs: int) -> Span:
        """Return the voltage at a load if its source were of a type and it had a class over so many pairs."""
        if power.chain is not None:
            return self.at_load(power)
        source, volts = power.feed.source, power.volts
        if power.grant.pse_type is None and (source is None or source.value("pse", "min_v").value is None):
            least_v = poe.type_min_volts(pse_type)
            volts = Span(least_v, least_v)
        grant = power.grant
        ohm = Span(power.ohm.low * grant.pairs.high / pairs, power.ohm.high * grant.pairs.low / pairs)
        most_w = max(power.load_w.low, min(power.load_w.high, poe.pd_watts(pd_class, pse_type)))
        return Span(
            _volts(volts.low, ohm.high, most_w),
            _volts(volts.high, ohm.low, power.load_w.low),
        )

    def _of_chain(self, chain: Chain) -> dict[str, Span]:
        found = self._chains.get(id(chain))
        if found is None:  # the chain is kept with it, so that its identity is not given to another
            worst, best = _chain_volts(chain, worst=True), _chain_volts(chain, worst=False)
            runs = (link.feed.run.id for link in chain.links)
            found = self._chains[id(chain)] = (
                chain,
                {run: Span(*ends) for run, *ends in zip(runs, worst, best)},
            )
        return found[1]

    # -- what would do --------------------------------------------------------------------------------------

    @staticmethod
    def most_watts(power: FeedPower, least_v: float) -> float | None:
        """Return the most watts that a run brings to its load at best, None if its source is too low."""
        if not 0 < power.volts.high < math.inf:
            return None
        return highest_device_watts(power.volts.high, power.ohm.low, least_v or power.volts.high / 2)

    def wire(self, power: FeedPower, least_v: float) -> Wire:
        """Return which wire brings a voltage to a load at the worst end of its range."""
        ohm = self._highest_ohm(power, least_v)
        run, cable = power.feed.run, power.feed.run.cable
        if ohm is None or any(inline.is_injector for inline in run.inlines):
            return Wire(ohm, None, None)
        spare = self._spare_ohm(power, ohm)
        if cable is None or not 0 < spare < math.inf:
            return Wire(ohm, None, None)
        celsius = self._celsius(run).high
        per_m = at_temperature(conductor_of(cable, run.at, cord=False).per_m_20.high, celsius)
        link_m = self._ground.metres(run).link.high
        strand: Strand = cable.value("strand").value or "stranded"
        gauges = [
            row.awg
            for row in WIRE_TABLE.rows
            if 2 * link_m * conductor_ohm_per_m(row.awg, material="copper", strand=strand, celsius=celsius)
            <= spare
        ]
        return Wire(ohm, spare / (2 * per_m), max(gauges, default=None))

    def holds_with(self, power: FeedPower, cable: Cable, least_v: float) -> bool:
        """Return whether another kind of cable brings a voltage over the same run."""
        ohm = self._highest_ohm(power, least_v)
        run = power.feed.run
        if ohm is None or any(inline.is_injector for inline in run.inlines):
            return False
        spare, celsius = self._spare_ohm(power, ohm), self._celsius(run).high
        if not 0 < spare < math.inf:
            return False
        per_m = at_temperature(conductor_of(cable, run.at, cord=False).per_m_20.high, celsius)
        return 2 * self._ground.metres(run).link.high * per_m <= spare

    def _spare_ohm(self, power: FeedPower, ohm: float) -> float:
        """Return what cords and contacts leave to the two wires of a pair of the link; below 0 where nothing."""
        run = power.feed.run
        celsius = self._celsius(run)
        if not math.isfinite(celsius.high):
            return -math.inf
        rest = loop_ohm(run, _ZERO, conductor_of(None, run.at, cord=False), self._ground.cords(run))
        return ohm * power.grant.pairs.low - rest.at(celsius).high

    @staticmethod
    def _highest_ohm(power: FeedPower, least_v: float) -> float | None:
        watts = power.load_w.high
        if power.chain is not None:
            return _highest_in_chain(power.chain, power.feed.run, least_v)
        if not (0 < power.volts.low < math.inf and math.isfinite(watts)):
            return None
        return highest_ohm(power.volts.low, watts, least_v)


# -- what is needed -----------------------------------------------------------------------------------------------


def needed_volts(power: FeedPower) -> NeededVolts:
    """Return the least voltage at which a load must work: as it states, else by the class that it works in.

    The class is the one assigned, or asked for where that is the same; the lowest voltage that any source and
    channel of the standard leave that class.
    """
    load, grant = power.feed.load, power.grant
    stated = load.value(load.side, "min_v")
    if stated.value is not None:
        return NeededVolts(Span(stated.value, stated.value), stated.at, (), ())
    if is_passive(grant):
        return NeededVolts(None, stated.at, (), (stated.at,))
    if grant.dual:
        volts, classes = _by_modes(grant.requested, grant.second, _both_modes_granted(grant))
    else:
        volts, classes = _by_class(grant.requested, isinstance(grant.port_class, int), grant.cap)
    return NeededVolts(volts, None, classes, () if volts.known else grant.missing)


def is_passive(grant: Grant) -> bool:
    """Return whether a feed is live without a handshake, so that the standard's voltages do not hold for it."""
    return "passive" in (grant.scheme, grant.load_scheme)


@cache
def _by_class(requested: int | None, port_known: bool, cap: int) -> tuple[Span, tuple[int, ...]]:
    """Return the range over the classes that a device may work in, and those classes."""
    caps = (cap,) if port_known else range(cap + 1)
    asked = poe.PD_CLASSES if requested is None else (requested,)
    assigned = {poe.demoted_class(one, most) for one in asked for most in caps}
    classes = tuple(sorted(found for found in assigned if found is not None)) or tuple(
        asked
    )  # refused: as it asks
    volts = [least_device_volts(found) for found in classes]
    return Span(min(volts), max(volts)), classes


@cache
def _by_modes(first: int | None, second: int | None, granted: bool) -> tuple[Span, tuple[int, ...]]:
    """Return the range over the classes that two modes may work in, which both have to have their voltage."""
    modes = []
    for asked in (first, second):
        most = _MODES[-1] if asked is None else min(max(asked, _MODES[0]), _MODES[-1])
        modes.append((most,) if granted else tuple(mode for mode in _MODES if mode <= most))
    volts = [max(least_mode_volts(one), least_mode_volts(other)) for one in modes[0] for other in modes[1]]
    return Span(min(volts), max(volts)), tuple(sorted({*modes[0], *modes[1]}))


def _both_modes_granted(grant: Grant) -> bool:
    """Return whether both modes are certain to get the classes that they ask for."""
    if grant.requested not in _MODES or grant.second is None:
        return False
    return grant.device_w.low >= poe.dual_pd_watts(grant.requested) + poe.dual_pd_watts(grant.second)


def channel_volts(power: FeedPower) -> float | None:
    """Return what a permitted channel leaves a load at its full class, None where the standard says nothing.

    It speaks of a source that holds its own voltage, of a known type, and of one signature of a known class that
    this type grants over these pairs.
    """
    grant = power.grant
    if grant.assigned is None or grant.pse_type is None or not grant.pairs.known or _has_no_channel(power):
        return None
    return _channel_volts(grant.assigned, grant.pse_type, int(grant.pairs.low))


def _has_no_channel(power: FeedPower) -> bool:
    """Return whether no channel is set, whatever is not known: passive, two signatures, a passed-on voltage."""
    if is_passive(power.grant) or power.grant.dual:
        return True
    return power.chain is not None and power.chain.links[0].feed.run is not power.feed.run


def _types_of(grant: Grant) -> tuple[int, ...]:
    """Return the types that a source may be of: one that is not known has the class of its port."""
    if grant.pse_type is not None:
        return (grant.pse_type,)
    least = grant.port_class if isinstance(grant.port_class, int) else 0
    return tuple(pse_type for pse_type in poe.PSE_TYPES if poe.type_highest_class(pse_type) >= least)


def _classes_of(grant: Grant) -> tuple[int, ...]:
    return _by_class(grant.requested, isinstance(grant.port_class, int), grant.cap)[1]


@cache
def _channel_volts(assigned: int, pse_type: int, pairs: int) -> float | None:
    if assigned > poe.type_highest_class(pse_type) or pairs < poe.powered_pairs(assigned):
        return None
    if pairs > poe.MOST_PAIRS[pse_type].value:
        return None
    return channel_least_volts(assigned, pse_type, pairs)


# -- solutions ----------------------------------------------------------------------------------------------------


def _volts(source_v: float, ohm: float, watts: float) -> float:
    """Return the volts at the end of a link, 0 where it has no operating point or no bound."""
    if watts == 0 or math.isinf(source_v):
        return source_v
    if not (math.isfinite(ohm) and math.isfinite(watts) and source_v > 0):
        return 0.0
    state = solve_link(source_v, ohm, watts)
    return 0.0 if state is None else state.device_v


def _chain_volts(chain: Chain, *, worst: bool) -> tuple[float, ...]:
    nodes = chain.nodes(worst=worst)
    volts = chain.volts.low if worst else chain.volts.high
    if nodes is not None and math.isinf(volts):
        return (math.inf,) * len(nodes)
    flow = None if nodes is None or volts <= 0 else solve_chain(volts, nodes)
    if flow is not None:
        return flow.volts
    # An end that is not known bounds nothing: at worst there may be nothing, at best as much as the source has.
    return (volts if nodes is None and not worst else 0.0,) * len(chain.links)


def _highest_in_chain(chain: Chain, run: Run, least_v: float) -> float | None:
    """Return the highest resistance of one run of a chain with which its load keeps a voltage, else None."""
    nodes = chain.nodes(worst=True)
    if nodes is None or not 0 < chain.volts.low < math.inf:
        return None
    place = next(index for index, link in enumerate(chain.links) if link.feed.run is run)

    def holds(ohm: float) -> bool:
        tried: list[ChainNode] = list(nodes)
        tried[place] = nodes[place]._replace(ohm=ohm)
        flow = solve_chain(chain.volts.low, tried)
        return flow is not None and flow.volts[place] >= least_v

    if not holds(0.0):
        return None
    good, bad = 0.0, nodes[place].ohm
    if holds(bad):
        return bad
    for _ in range(_HALVINGS):
        middle = 0.5 * (good + bad)
        good, bad = (middle, bad) if holds(middle) else (good, middle)
    return good
