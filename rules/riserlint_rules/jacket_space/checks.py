"""The questions that the rule asks, and what the basis can set."""

from riserlint import Check, FireClass, Written, fire_limits


class JacketParameters(Written):
    """``[rule.jacket-space]``: what the basis asks.

    ``fire_class`` is the European class of all cable that stays indoors; ``every_space`` asks every space for its
    air, floor and exposure, where else only a design that states one of them is asked for it; ``dwelling`` says
    that the building is a dwelling of one or two families.
    """

    fire_class: FireClass | None = None
    every_space: bool = False
    dwelling: bool = False


_ORDER = fire_limits.JACKETS.citation

PLENUM = Check(
    "plenum",
    "the jacket is below what a space that handles air asks for",
    "error",
    "type of cable ≥ CMP in a plenum, where it lies in no metal raceway; a duct is for a human to look at",
    (_ORDER, fire_limits.METAL_RACEWAY_IN_AIR, fire_limits.DUCTS),
    (fire_limits.PLENUM_STEP,),
)
RISER = Check(
    "riser",
    "the jacket is below what the way from floor to floor asks for",
    "error",
    "type of cable ≥ CMR where a run passes from one floor to another, in no metal raceway and no fire-rated shaft",
    (_ORDER, fire_limits.RISER_EXCEPTIONS),
    (fire_limits.RISER_STEP,),
)
GENERAL = Check(
    "general",
    "the jacket is below what any room asks for",
    "error",
    "type of cable ≥ CM indoors; CMX in raceway, in a dwelling, or exposed for 3 m at the most",
    (_ORDER,),
    (fire_limits.GENERAL_STEP, fire_limits.DWELLING_STEP, fire_limits.EXPOSED_DWELLING_TYPE),
)
OUTDOOR = Check(
    "outdoor-jacket",
    "the jacket is not made for outdoors",
    "warning",
    "a mark for outdoors on the jacket of cable in a space outdoors; a note on a sheltered wall",
    (),
    (fire_limits.OUTDOOR_JACKET,),
)
ENTRANCE = Check(
    "entrance-length",
    "unlisted outdoor cable goes too far into the building",
    "error",
    "metres indoors from the point of entrance ≤ 15 m, between two entrances to the nearer one; bonded rigid metal "
    "conduit moves the point inwards",
    (),
    (fire_limits.UNLISTED_INDOORS,),
)
FIRE = Check(
    "fire-class",
    "the class of reaction to fire is below the one that the basis asks for",
    "error",
    "main class, smoke, droplets and acidity, each ≥ that asked for, of cable that is not outdoors alone",
    (fire_limits.EUROCLASSES.citation,),
)
