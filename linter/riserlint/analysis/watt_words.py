"""Watts in words: ranges, and the sums of ports, sources and inlets with a design's own numbers."""

import math

from riserlint.analysis.power import FeedPower, InletPower, SourcePower
from riserlint.engineering.span import Span

_MODES = {
    None: "how it reserves is not known",
    "measured": "the maximum at the source, which it measures",
    "class": "reserved by class",
    "negotiation": "reserved by negotiation",
    "cap": "reserved by cap",
}


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


def told_apart(asked: Span, limit: Span) -> tuple[str, str]:
    """Return two ranges with as many digits as it takes to tell them apart, three at most."""
    pair = watts(asked), watts(limit)
    for digits in (2, 3):
        if pair[0] == pair[1]:
            pair = watts(asked, digits), watts(limit, digits)
    return pair


def mode(source: SourcePower) -> str:
    """Return by which sum a source goes."""
    return _MODES[source.gear.value("pse", "reserves").value]


def four_sums(source: SourcePower) -> str:
    """Return the four sums over a source's ports, and which of them it goes by."""
    typical = "not stated" if source.typical_w is None else watts(source.typical_w)
    at_source = watts(source.source_w)
    return (
        f"typical {typical}, maximum at the device {watts(source.device_w)}, at the source {at_source}, "
        f"reserved {watts(source.reserved_w)}; it goes by {watts(source.enforced_w)}, {mode(source)}"
    )


def inlet_sum(inlet: InletPower, source: SourcePower | None) -> str:
    """Return what an inlet can pass on, what its ports draw, and the four sums of its switch."""
    share = inlet.efficiency
    by = f"{share.low:g}" if share.known else f"{share.low:g} to {share.high:g}"
    text = (
        f"({watts(inlet.granted_w)} − {watts(inlet.own_w)}) × {by} = {watts(inlet.available_w)} at its ports"
    )
    return text if source is None else f"{text}; {four_sums(source)}; inlet {watts(inlet.inlet_w)}"


def link_sum(power: FeedPower) -> str:
    """Return current and watts at the source of one feed at its best, in numbers; empty without any."""
    state = power.best
    if state is None or not math.isfinite(state.volts):
        return ""
    volts, ohm, load = f"{state.volts:g} V", f"{power.ohm.low:.3g} Ω", watts(state.device_w, 2)
    return (
        f"2 × {load} / ({volts} + √({state.volts:g}² V² − 4 × {load} × {ohm})) = {state.current_a:.3f} A; "
        f"× {volts} = {watts(state.source_w, 2)}"
    )
