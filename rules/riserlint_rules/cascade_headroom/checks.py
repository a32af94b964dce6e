"""The checks of cascade-headroom, with their formulas and limits."""

from riserlint import (
    Check,
    Limit,
    conductor_limits,
    poe_limits,
)

CLASS_TABLE = poe_limits.CLASS_TABLE
PORT_WATTS = tuple(
    Limit(
        f"watts that a port must be able to give, class {row.pd_class}",
        row.pse_w,
        "W",
        CLASS_TABLE.citation,
        CLASS_TABLE.known,
        CLASS_TABLE.source,
    )
    for row in CLASS_TABLE.rows
)
INLET_WATTS = tuple(
    Limit(
        f"watts that an inlet may take, class {row.pd_class}",
        row.pd_w_clause_145,
        "W",
        CLASS_TABLE.citation,
        CLASS_TABLE.known,
        CLASS_TABLE.source,
        "12.95 W for class 3 behind a source of Type 1 or 2",
    )
    for row in CLASS_TABLE.rows
)
CONVERSION = (
    "watts of the assigned class at the inlet, less own use, times efficiency, the last two as stated"
)

PORT = Check(
    "port",
    "a port cannot give what its run and its load ask",
    "error",
    "V I with I = 2 P / (V + √(V² − 4 P R)) ≤ watts of the assigned class, or the port's cap; "
    "R = the loop of one pair of link and cords at their mean temperature, with its contacts, / powered pairs",
    (),
    (*PORT_WATTS, *conductor_limits.LOOP_CONSTANTS),
)
BUDGET = Check(
    "budget",
    "a source is asked for more than its budget",
    "error",
    "sum over the ports ≤ budget, the sum being what the source reserves (by class, negotiation or cap), or the "
    "maximum at the source, as for the port, where it measures",
)
INLET = Check(
    "inlet",
    "a switch is asked for more than its inlet lets it pass on",
    "error",
    "sum over its ports, by what they draw with the loss and by what it reserves, ≤ (watts of the assigned "
    "class − own use) × efficiency",
    (),
    INLET_WATTS,
)
RESERVE = Check(
    "reserve",
    "less stays free than the basis of design asks",
    "warning",
    "sum over the ports ≤ (1 − reserve_share) × what the budget, or the inlet, can give",
)
SUPPLY_FAILED = Check(
    "supply-failed",
    "with one of its redundant supplies failed a source cannot feed all its ports",
    "error",
    "what the source reserves or measures ≤ what the other supplies give to PoE; else ports go dark by stated "
    "priority, the lowest first",
)
SHARED_SUPPLY = Check(
    "shared-supply",
    "redundant supplies hang on one thing",
    "warning",
    "no circuit and no UPS is above two supplies of a source whose supplies are redundant",
)
TYPICAL_ONLY = Check(
    "typical-only",
    "the sum rests on devices of which only a typical draw is stated",
    "note",
    "each device states its most by day, by night or at start; else the watts of its class are the most",
)
LOOP = Check("loop", "power feeds itself", "error", "no switch is among those that feed it")
TWO_FEEDS = Check(
    "two-feeds",
    "gear has two feeds, and not each is known to carry it",
    "note",
    "the design states which feed comes first, and each can carry the load alone",
)
