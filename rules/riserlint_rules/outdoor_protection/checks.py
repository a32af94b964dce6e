"""The questions that the rule asks, and what the basis can set."""

from typing import Literal

from riserlint import Check, Written, outdoor_limits


class ProtectionParameters(Written):
    """``[rule.outdoor-protection]``: what the basis asks.

    ``sheltered``: whether runs that are outdoors on a sheltered wall alone are to be protected, or accepted without;
    left out, a human has to look. ``every_space`` asks every space for its exposure and its building, where else
    only a design that states one is asked for it.
    """

    sheltered: Literal["protect", "accept"] | None = None
    every_space: bool = False


PROTECTOR = Check(
    "protector",
    "a run leaves a building without a surge protector",
    "error",
    "a protector at each end in a building (error) and at each end outdoors (warning) of a run with a stretch "
    "outdoors or between buildings; on a sheltered wall alone for a human to look at; a note for 42 m or less in the "
    "ground from building to building, in bonded metal",
    (),
    (
        outdoor_limits.PROTECTOR_CODE,
        outdoor_limits.PROTECTOR_ZONES,
        outdoor_limits.OUTER_END,
        outdoor_limits.SHORT_BURIED,
    ),
)
SUITS = Check(
    "suits-power",
    "the surge protector does not suit powered pairs",
    "error",
    "continuous operating voltage ≥ 57 V (of a passive feed: its volts), all four pairs, ohms stated",
    (),
    (outdoor_limits.PROTECTOR_VOLTS, outdoor_limits.PROTECTED_PAIRS),
)
BONDED = Check(
    "bonded",
    "the surge protector is not bonded",
    "error",
    "a protector is bonded to the building's earth",
    (),
    (outdoor_limits.BONDED, outdoor_limits.BONDED_ZONES),
)
BETWEEN = Check(
    "between-buildings",
    "copper joins two buildings",
    "note",
    "the buildings of a run's two ends are one",
    (),
    (outdoor_limits.FIBRE_BETWEEN,),
)
WEATHER = Check(
    "weather-rating",
    "gear outdoors is not protected from water",
    "error",
    "second numeral of the IP code ≥ 4 outdoors, 7 underground; on a sheltered wall ≥ 3 (warning)",
    (),
    tuple(outdoor_limits.WATER_NUMERAL.values()),
)
