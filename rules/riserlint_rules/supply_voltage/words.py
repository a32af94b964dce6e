"""Volts in words, and the sums behind them with a run's own numbers."""

import math

from riserlint import FeedPower, Span, poe_limits, voltages, watt_words


def volts(value: Span | float, digits: int = 1) -> str:
    """Return volts for a reader: ``45.9 V``, ``44.1 to 46 V``, ``up to 46 V``."""
    low, high = value if isinstance(value, Span) else (value, value)
    first, last = f"{round(low, digits):.10g}", f"{round(high, digits):.10g}"
    if math.isinf(high):
        return f"{first} V or more" if low else "an unknown number of volts"
    if not low and high:
        return f"at most {last} V"
    return f"{first} V" if first == last else f"{first} to {last} V"


def told_apart(value: Span | float, limit: Span | float) -> tuple[str, str]:
    """Return two voltages with as many digits as it takes to tell them apart."""
    return watt_words.told_apart(value, limit, volts)


def link_sum(power: FeedPower, arrives: Span) -> str:
    """Return the voltage at the load at its best in numbers; in a chain with what its upper end has."""
    source_v, ohm = power.volts.high, f"{power.ohm.low:.3g} Ω"
    if not math.isfinite(source_v):
        return ""
    if power.chain is not None:
        return f"{volts(source_v)} at its source's port, solved with the chain; {ohm}: {volts(arrives.high)}"
    load = watt_words.watts(power.load_w.low, 2)
    root = f"{source_v:g}² V² − 4 × {ohm} × {load}"
    if not arrives.high:
        return f"{root} is below 0: no current brings it"
    return f"({source_v:g} V + √({root})) / 2 = {volts(arrives.high, 2)}"


def against_assumed(power: FeedPower, way: voltages.Permitted) -> str:
    """Return a run's resistance against the one that the standard assumes, and its source's volts where too low."""
    assumed = poe_limits.assumed_loop_ohm(way.pse_type, way.pairs)
    ends = power.ohm
    ohm = f"{ends.low:.3g} Ω" if ends.known else f"{ends.low:.3g} Ω or more"
    text = f"{ohm} over its powered pairs, the standard assumes at most {assumed:g} Ω"
    least_v = poe_limits.type_min_volts(way.pse_type)
    return (
        text
        if power.volts.high >= least_v
        else f"{text}; its source has {volts(power.volts)} of {volts(least_v)}"
    )
