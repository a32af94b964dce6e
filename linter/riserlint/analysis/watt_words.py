"""Watts in words: ranges, and the sums of ports, sources and inlets with a design's own numbers."""

import math
from collections import Counter
from collections.abc import Callable
from typing import TYPE_CHECKING

from riserlint.analysis.power import FeedPower, InletPower, SourcePower
from riserlint.analysis.resistance import COLDEST_C, connections_of, fixed_ohm
from riserlint.engineering.loss import LinkState
from riserlint.engineering.span import Span
from riserlint.installation.things import Run
from riserlint.standards.conductors import CONTACT_OHM

if TYPE_CHECKING:
    from riserlint.analysis.built import Built

_MODES = {
    None: "how it reserves is not known",
    "measured": "as drawn, at the source",
    "class": "reserved by class",
    "negotiation": "reserved by negotiation",
    "cap": "reserved by cap",
}
_COUNTS = {
    None: "by what it reserves or measures, which is not known",
    "measured": "by what it measures",
    "class": "by what it reserves (by class)",
    "negotiation": "by what it reserves (by negotiation)",
    "cap": "by what it reserves (by cap)",
}
_STATES = {"day": "by day", "night": "at night", "start": "at start", "typical": "typically"}
#: More different watts than these are not written out one by one.
_FEW = 4
#: Less than what is shown of a watt: rounding, not a drop.
_LEAST_DROP_W = 0.05


def watts(value: Span | float, digits: int = 1) -> str:
    """Return watts for a reader: ``54.8 W``, ``12 to 15 W``, ``12 W or more``."""
    low, high = value if isinstance(value, Span) else (value, value)
    first, last = f"{round(low, digits):.10g}", f"{round(high, digits):.10g}"
    if math.isinf(low):
        return "no limit"
    if math.isinf(high):
        return f"{first} W or more" if low else "an unknown number of watts"
    return f"{first} W" if first == last else f"{first} to {last} W"


def at_least(value: float) -> str:
    """Return watts rounded up: so many have to go, and fewer would not do."""
    return watts(math.ceil(round(value * 10, 6)) / 10) if math.isfinite(value) else watts(value)


def with_reserve(share: float) -> str:
    """Return the head of an advice whose watts keep the reserve of the basis; empty where none is asked."""
    return f"with {share:.0%} kept free (reserve_share): " if share else ""


def told_apart(
    asked: Span | float, limit: Span | float, words: Callable[[Span | float, int], str] = watts
) -> tuple[str, str]:
    """Return two values in ``words`` with as many digits as it takes to tell them apart, one to three."""
    pair = words(asked, 1), words(limit, 1)
    for digits in (2, 3):
        if pair[0] == pair[1]:
            pair = words(asked, digits), words(limit, digits)
    return pair


def in_state(state: str) -> str:
    """Return the state in which a draw is the greatest, for a reader: ``at night``; empty where none is stated."""
    return _STATES.get(state, state)


def mode(source: SourcePower) -> str:
    """Return how the sum that a source counts comes about: ``reserved by class``."""
    return _MODES[source.gear.value("pse", "reserves").value]


def counts_by(source: SourcePower) -> str:
    """Return by which of its sums a source counts: ``by what it measures``."""
    return _COUNTS[source.gear.value("pse", "reserves").value]


def four_sums(source: SourcePower) -> str:
    """Return the four sums over a source's ports, the states of its loads, and how what is reserved adds up."""
    typical = "not stated" if source.typical_w is None else watts(source.typical_w)
    return (
        f"typical {typical}, maximum at the device {watts(source.device_w)}{_worst_states(source)}, "
        f"at the source {watts(source.source_w)}, reserved {watts(source.reserved_w)}{_reserved_one_by_one(source)}"
    )


def _worst_states(source: SourcePower) -> str:
    """Return in which states the loads draw most: each counts with its own, nothing is taken off for diversity."""
    draws = [power.draw for power in source.feeds if power.draw is not None and not power.unfed]
    counts = Counter(draw.state for draw in draws if draw.state)
    if not counts:
        return ""
    if len(counts) == 1 and counts.total() == len(source.feeds):
        return f" {in_state(next(iter(counts)))}"
    shares = [f"{counts[state]} {in_state(state)}" for state in _STATES if state in counts]
    return f" (each at its own worst: {', '.join(shares)})"


def _reserved_one_by_one(source: SourcePower) -> str:
    """Return how the sum of what is reserved is made up, where few different watts are."""
    counts = Counter(power.reserved_w for power in source.feeds if power.reserved_w.high)
    by_port = source.gear.value("pse", "reserves").value in ("class", "cap")
    if not by_port or counts.total() < 2 or len(counts) > _FEW or not all(each.known for each in counts):
        return ""
    return f" ({' + '.join(f'{count} × {watts(each)}' for each, count in sorted(counts.items()))})"


def inlet_sum(inlet: InletPower, source: SourcePower | None) -> str:
    """Return what an inlet can pass on, the four sums of its switch, and what it takes by what its ports draw."""
    text = (
        f"({watts(inlet.granted_w)} − {watts(inlet.own_w)}) × {_share(inlet)} = {watts(inlet.available_w)} "
        "at its ports"
    )
    if source is None:
        return text
    return f"{text}; {four_sums(source)}{_dropped(inlet, source)}; inlet {inlet_need(inlet)}"


def _dropped(inlet: InletPower, source: SourcePower) -> str:
    """Return what is lost between an inlet that passes power through and its ports, in words."""
    asked, at_ports = inlet.asked_draw_w, source.source_w
    if not asked.known or not at_ports.known or asked.low - at_ports.low < _LEAST_DROP_W:
        return ""
    return f", with the drop before its ports ({watts(asked.low - at_ports.low)}) {watts(asked)}"


def inlet_need(inlet: InletPower) -> str:
    """Return what an inlet takes with all that hangs on its switch: ``6 W + 18.7 W / 0.88 = 27.2 W``."""
    terms = _inlet_terms(inlet)
    return f"{terms} = {watts(inlet.inlet_w)}" if terms else watts(inlet.inlet_w)


def _inlet_terms(inlet: InletPower) -> str:
    drawn = inlet.asked_draw_w
    if not (inlet.own_w.known and inlet.efficiency.known and math.isfinite(drawn.high)) or not drawn.high:
        return ""
    return f"{watts(inlet.own_w)} + {watts(drawn)} / {_share(inlet)}"


def _share(inlet: InletPower) -> str:
    share = inlet.efficiency
    return f"{share.low:g}" if share.known else f"{share.low:g} to {share.high:g}"


def link_sum(built: "Built", power: FeedPower, source_w: float | None = None) -> str:
    """Return resistance, current and watts at the source of one feed at its best, in numbers; empty without loss.

    R = (loop of one pair + contacts and things in the run) / powered pairs; I = 2 P / (V + √(V² − 4 P R));
    watts at the source V I. ``source_w`` is for a feed that would carry something else than it does.
    """
    if source_w is None and power.chain is None and power.load_w.known:
        share = power.grant.second_share(power.load_w.low)
        if share is not None and power.best is not None:
            return _modes_sum(built, power, power.best, share)
    at_source = power.source_w.low if source_w is None else source_w
    volts, ohm = power.volts.high, power.ohm.low
    if not (0 < at_source < math.inf and 0 < volts < math.inf and ohm > 0):
        return ""
    current = at_source / volts
    load_w = at_source - current * current * ohm
    load = watts(load_w, 2)
    return (
        f"over {power.feed.run.id}: {load}{_of_load(built, power, load_w)}; {resistance(built, power)}; "
        f"I = 2 × {load} / ({volts:g} V + √({volts:g}² V² − 4 × {load} × {ohm:.4g} Ω)) = {current:.4g} A; "
        f"× {volts:g} V = {watts(at_source, 2)}"
    )


def _modes_sum(built: "Built", power: FeedPower, state: LinkState, share: float) -> str:
    """Return the same of two modes of known watts, each over a pairset of its own."""
    loads = (share * state.device_w, (1 - share) * state.device_w)
    ohm, volts = f"{power.ohm.low / share:.4g} Ω", f"{state.volts:g} V"
    heavier_a = loads[0] / state.device_v
    heavier, lighter = (watts(load, 2) for load in loads)
    return (
        f"over {power.feed.run.id}: {watts(state.device_w, 2)}{_of_load(built, power, state.device_w)}; "
        f"R = ({' + '.join(_loop_terms(built, power, 2 / share))}) / 2 pairs = {ohm}; I = 2 × {heavier} / ({volts} + "
        f"√({state.volts:g}² V² − 4 × {heavier} × {ohm})) = {heavier_a:.4g} A of the heavier mode, "
        f"{state.current_a - heavier_a:.4g} A by the same of {lighter}; × {volts} = {watts(state.source_w, 2)}"
    )


def largest_link(built: "Built", powers: tuple[FeedPower, ...]) -> str:
    """Return the sum of the feed that asks most of its source, and what the others add to it; empty without any."""
    told = [power for power in powers if math.isfinite(power.source_w.low)]
    if not told:
        return ""
    largest = max(told, key=lambda power: power.source_w.low)
    text = link_sum(built, largest)
    if not text or len(powers) == 1:
        return text
    others = sum(power.source_w.low for power in powers if power is not largest)
    total = watts(others + largest.source_w.low, 2)
    number = len(powers) - 1
    return f"the largest load, {text}; + {watts(others, 2)} over {number} other{'s' * (number > 1)} = {total}"


def _of_load(built: "Built", power: FeedPower, load_w: float) -> str:
    """Return where the watts of a load come from: the state of a device, or what hangs on a switch."""
    draw, inlet = power.draw, built.power.inlets.get(power.feed.load.id)
    if draw is not None and draw.state and math.isclose(draw.maximum.low, load_w, abs_tol=0.005):
        return f" {in_state(draw.state)}"
    if inlet is not None and math.isclose(inlet.inlet_w.low, load_w, abs_tol=0.005):
        terms = _inlet_terms(inlet)
        return f" ({terms})" if terms else ""
    return ""


def resistance(built: "Built", power: FeedPower) -> str:
    """Return the resistance over the powered pairs at its best, with what it is made of."""
    ohm, pairs = power.ohm.low, power.grant.pairs.high
    share = power.grant.second_share(power.load_w.low)
    if share is not None:
        terms = _loop_terms(built, power, 2 / share)
        return (
            f"R = ({' + '.join(terms)}) / 2 pairs × {share:.4g} of the load on the heavier mode = {ohm:.4g} Ω"
        )
    return f"R = ({' + '.join(_loop_terms(built, power, pairs))}) / {pairs:g} pairs = {ohm:.4g} Ω"


def _loop_terms(built: "Built", power: FeedPower, pairs: float) -> list[str]:
    """Return what the loop of one pair is made of, ``pairs`` times what the load sees."""
    run = power.feed.run
    fixed = fixed_ohm(run)[0].low
    wire = f"{power.ohm.low * pairs - fixed:.4g} Ω"
    if not any(inline.is_injector for inline in run.inlines):
        metres, celsius = built.metres(run), built.mean_celsius(run).celsius.low
        wire += f" in 2 × {metres.link.low + metres.cords.low:.4g} m of conductor"
        wire += f" at {max(celsius, COLDEST_C):.4g} °C"
    return [wire, *_fixed_terms(run, fixed)]


def _fixed_terms(run: Run, fixed: float) -> list[str]:
    """Return what contacts and things in a run add, with their numbers: ``2 × 0.4 Ω of contacts``."""
    each = 2 * CONTACT_OHM.value
    count = 0 if any(inline.is_injector for inline in run.inlines) else connections_of(run)[0].low
    terms = [f"{count:g} × {each:g} Ω of contacts"] if count else []
    rest = fixed - count * each
    if rest > 1e-9:
        terms.append(f"{rest:.4g} Ω of what is in the run")
    return terms
