"""The checks of standby-time."""

from riserlint import Check, supply_limits

RUNTIME = Check(
    "runtime",
    "the UPS does not hold as long as it is asked to",
    "error",
    "stated points, read log-log at load / (share of capacity left by age and temperature); else battery Wh × "
    "share that the discharge rate gives × ageing × temperature × efficiency / load",
    (supply_limits.LEAD_ACID_RATE_FRACTION.citation, supply_limits.TEXTBOOK_CAPACITY.citation),
    (
        supply_limits.END_OF_LIFE_SHARE,
        supply_limits.BASE_TEMPERATURE_C,
        supply_limits.LITHIUM_FRACTION_LOW,
        supply_limits.LITHIUM_FRACTION_HIGH,
    ),
)
SHED = Check(
    "shed",
    "gear is switched off before its standby is over",
    "error",
    "until when gear has power, and reaches all that it needs over gear that has power, ≥ minutes asked; judged where "
    "a stated shedding ends it",
)
