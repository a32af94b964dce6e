"""The checks of start-surge, with their formulas and limits."""

from riserlint import Check, Limit, poe_limits, supply_limits

_TABLE = poe_limits.INRUSH_TABLE
_CLASSES = {
    (row.least_a, row.most_a): [
        other.pd_class for other in _TABLE.rows if (other.least_a, other.most_a) == (row.least_a, row.most_a)
    ]
    for row in _TABLE.rows
}
#: What a source limits to, by the classes that have it in common.
INRUSH_AMPERES = tuple(
    Limit(
        f"current that a source limits a starting device to, {which}, classes {classes[0]} to {classes[-1]}",
        amperes,
        "A",
        _TABLE.citation,
        _TABLE.known,
        _TABLE.source,
        _TABLE.note,
    )
    for (least_a, most_a), classes in _CLASSES.items()
    for which, amperes in (("least", least_a), ("most", most_a))
)

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
    (*INRUSH_AMPERES, poe_limits.INRUSH_LEAST_MS, poe_limits.INRUSH_MOST_MS),
)
