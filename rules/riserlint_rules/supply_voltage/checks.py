"""The checks of supply-voltage, with their formulas and limits."""

from riserlint import Check, Limit, loss, poe_limits

CLASS_TABLE, DUAL_TABLE = poe_limits.CLASS_TABLE, poe_limits.DUAL_SIGNATURE_TABLE
_ROOT = "(V + √(V² − 4 R P)) / 2"

#: The least voltage at which a device of a class must work, whatever feeds it: the lowest of its row.
LEAST_VOLTS = {
    row.pd_class: Limit(
        f"least voltage at which a class {row.pd_class} device must work",
        loss.least_device_volts(row.pd_class),
        "V",
        CLASS_TABLE.citation,
        "derived",
        f"{_ROOT} at a source's least voltage, the assumed ohm and the watts of the class; the least over the types",
    )
    for row in CLASS_TABLE.rows
}
#: The same for a mode of class 5 of a device with two signatures; modes of classes 1 to 4 are as above.
_MODE = max(row.pd_class for row in DUAL_TABLE.rows)
LEAST_MODE_VOLTS = Limit(
    f"least voltage at which a mode of class {_MODE} must work",
    loss.least_mode_volts(_MODE),
    "V",
    DUAL_TABLE.citation,
    "derived",
    f"{_ROOT} with 52 V, 12.5 ohm of one pairset and the watts of class 5 of a mode, which are from memory",
)
COLLAPSE_SHARE = loss.permitted_collapse_share()

OFF = Check(
    "off",
    "the load is off: no power arrives that it could use",
    "error",
    "V I − R I² = P has a solution, and the voltage at the load, (V + √(V² − 4 R P)) / 2, is above 30 V; a passive "
    "device has no such limit of its own",
    (),
    (poe_limits.PD_OFF_VOLTS,),
)
LEAST = Check(
    "least",
    "the voltage at the load is below what it must work at",
    "error",
    "voltage at the load ≥ its stated least voltage, else the lowest that any source and channel of the standard "
    "leave the class that it works in",
    (CLASS_TABLE.citation, DUAL_TABLE.citation),
    (*LEAST_VOLTS.values(), LEAST_MODE_VOLTS),
)
CHANNEL = Check(
    "channel",
    "the voltage at the load is below what a permitted channel leaves",
    "warning",
    "voltage at the load ≥ (V + √(V² − 4 R P)) / 2 with the least voltage of the source's type, the ohm that the "
    "standard assumes over the powered pairs, and the watts of the class",
    (CLASS_TABLE.citation,),
    (*poe_limits.PSE_MIN_VOLTS.values(), *poe_limits.ASSUMED_PAIRSET_OHM.values()),
)
PASSED_PORT = Check(
    "passed-port",
    "a port of a switch that passes power through is below the voltage of its type",
    "warning",
    "voltage at the port, which follows from the loads of the whole chain, ≥ that of the type: 44, 50, 50, 52 V",
    (),
    tuple(poe_limits.PSE_MIN_VOLTS.values()),
)
COLLAPSE = Check(
    "collapse",
    "a chain that passes power through is near its collapse, or beyond it",
    "error",
    "the multiple of all its loads at which the chain has no solution any more: an error up to 1, a warning below the "
    "least that a permitted channel has, or that the basis asks (least_collapse_share)",
    (),
    (COLLAPSE_SHARE,),
)
