"""The questions that the rule asks."""

from riserlint import Check, conductor_limits, poe_limits

GRANTED = Check(
    "granted-class",
    "the port does not give the class that the device asks for",
    "error",
    "assigned class = class asked for, if the port has it; else what fewer class events assign (6, 4 or 3), "
    "else nothing; works on it if the maximum draw, or the stated draw when demoted, ≤ watts assigned; a switch "
    "draws own use + watts of its ports, with the loss over their runs, / efficiency",
    (poe_limits.CLASS_TABLE.citation, poe_limits.DEMOTION_TABLE.citation),
    conductor_limits.LOOP_CONSTANTS,
)
TYPE = Check(
    "type-class",
    "the port's class is above its source's type",
    "error",
    "class of the port ≤ highest class of the type: 3, 4, 6, 8",
    (),
    tuple(poe_limits.HIGHEST_CLASS.values()),
)
DRAW = Check(
    "draw-class",
    "the device draws more than its class",
    "error",
    "greatest of day, night and start ≤ watts of the class at the device; of two signatures the "
    "sum, and each mode its own where their split is stated",
    (poe_limits.CLASS_TABLE.citation, poe_limits.DUAL_SIGNATURE_TABLE.citation),
)
PAIRS = Check(
    "pairs",
    "the powered pairs do not fit the class or the source",
    "error",
    "four pairs from assigned class 5 up and for two signatures; two from a source of Type 1 or 2",
    (poe_limits.CLASS_TABLE.citation,),
    tuple(poe_limits.MOST_PAIRS.values()),
)
DUAL = Check(
    "dual-signature",
    "the port does not give both modes of the device what they ask for",
    "error",
    "watts of both modes at the source ≤ watts of the port's class, over four pairs",
    (poe_limits.DUAL_SIGNATURE_TABLE.citation,),
)
NEGOTIATION = Check(
    "negotiation",
    "the device needs negotiation that its source does not answer",
    "error",
    "without it: class 4 if it asks for more, class 3 if it asks for class 4",
    (poe_limits.DEMOTION_TABLE.citation,),
)
PASSIVE = Check(
    "passive-feed",
    "a passive feed and its device do not fit",
    "error",
    "both of one scheme; volts of the source ≤ volts of the device, and ≥ the least that it works at",
    (poe_limits.CLASS_TABLE.citation,),
)
LIVE = Check("passive-port", "ports are live without a handshake", "warning", "a passive source is always on")
CABLING = Check(
    "cabling",
    "the cabling's category is too low for the type",
    "error",
    "category of cable and cords ≥ 3 for Type 1, ≥ 5 for Types 2 to 4; a warning up to assigned class 3",
    (),
    tuple(poe_limits.LEAST_CATEGORY.values()),
)

#: Checks of a feed that speak only where the standard's own classification is at work.
CLASSIFIED = (GRANTED, DUAL, NEGOTIATION, PAIRS, CABLING)
