"""The checks of ups-coverage, and its parameters."""

from typing import Annotated

from pydantic import Field

from riserlint import Check, Citation, Written, supply_limits

BACKED = Check(
    "backed",
    "gear that no UPS keeps alive",
    "warning",
    "every feed is followed over circuits, sources and injectors; one that leads to a UPS and can carry the gear "
    "is enough; an error where standby is asked of what goes dark",
)
NEEDS = Check(
    "needs",
    "what backed gear needs is not backed",
    "warning",
    "over runs, from gear to gear that a UPS keeps alive, to any one of the role that is needed; an error where "
    "standby is asked",
)
WATTS = Check(
    "watts",
    "the UPS can't carry the watts of its load",
    "error",
    "sum of (own use + power at the ports at the source, maximum / efficiency) ≤ rated W × (1 − reserve)",
    (),
    (supply_limits.UPS_PLANNING_SHARE_HIGH,),
)
VOLT_AMPERES = Check(
    "volt-amperes",
    "the UPS can't carry the volt-amperes of its load",
    "error",
    "sum of (W / power factor) ≤ rated VA × (1 − reserve); a power factor that nobody states is 0.5 to 1",
    (),
    (supply_limits.LOAD_POWER_FACTOR_LOW, supply_limits.LOAD_POWER_FACTOR_HIGH),
)
BATTERY = Check(
    "battery",
    "the battery is past its life",
    "warning",
    "age today ≤ stated design life; where a capacity test is stated, tested share ≥ 0.8",
    (),
    (supply_limits.END_OF_LIFE_SHARE,),
)
SAME_UPS = Check(
    "same-ups",
    "supplies of which either is to carry gear alone hang on one UPS",
    "note",
    "supply_mode is redundant, and the supplies lead to two UPSs, or one of them past any (common practice)",
)


#: How many of the biggest loads a finding names.
FEW = 12
BASIS = Citation("basis of design", "", "")


class Parameters(Written):
    """What the basis asks: the share of a UPS to keep in reserve, and the standby of gear whose role states none."""

    reserve_share: Annotated[float, Field(ge=0, lt=1)] | None = None
    standby_min: Annotated[float, Field(ge=0)] | None = None
