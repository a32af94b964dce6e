"""The checks of start-surge, with their formulas and limits."""

from riserlint import Check, poe_limits, supply_limits

BUDGET = Check(
    "budget",
    "a source can't start its ports as it is set to",
    "error",
    "worst sum over time of the ports that are on (the most by day or by night of those that have started, the "
    "start of those that have not, at the source) ≤ budget; all at once without staging (cascade-headroom)",
)
UPS = Check(
    "ups",
    "a UPS can't carry its load while it starts",
    "error",
    "sum of (own use at start + power at the ports at the source, by the staging stated, / efficiency) ≤ rated W, and "
    "that / power factor ≤ rated VA",
    (),
    (supply_limits.LOAD_POWER_FACTOR_LOW, supply_limits.LOAD_POWER_FACTOR_HIGH),
)
INRUSH = Check(
    "inrush",
    "the inrush of a device lasts longer than its source allows",
    "warning",
    "inrush time × max(1, inrush current / limit of the source) ≤ time that the source gives, 50 to 75 ms; a note for "
    "classes above 4, of which the limits are remembered weakly",
    (poe_limits.INRUSH_TABLE.citation,),
    (poe_limits.INRUSH_LEAST_MS, poe_limits.INRUSH_MOST_MS),
)
