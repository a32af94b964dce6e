"""The checks of the rule: the question of each, its level where it fails, its formula and its limits."""

from typing import Annotated

from pydantic import Field

from riserlint import Check, Written, traffic_limits

_FORMULA = "(sum of streams) × (1500 + 38) / (1500 − 40)"
_LIMITS = (traffic_limits.FRAME_PAYLOAD, traffic_limits.FRAME_AROUND, traffic_limits.PACKET_HEADS)
AVERAGE = Check(
    "average",
    "a link is asked for more than it carries, on average",
    "error",
    f"{_FORMULA} ≤ rate of the link × share that the basis grants, in each direction, full frames",
    (),
    (*_LIMITS, traffic_limits.LEAST_MBPS),
)
PEAK = Check(
    "peak",
    "a link is asked for more than it carries when all peaks come at once",
    "warning",
    f"{_FORMULA} ≤ rate of the link, of the peaks of all streams together",
    (),
    (*_LIMITS, traffic_limits.LEAST_MBPS),
)
RING = Check(
    "ring",
    "a ring does not carry all when one of its links is idle",
    "warning",
    f"{_FORMULA} ≤ rate of the link × share, on every link of a ring, whichever of them is idle",
    (),
    _LIMITS,
)
INTAKE = Check(
    "intake",
    "a recorder is sent more than it takes",
    "error",
    "sum of the streams that are sent to it, on average and at their peaks, ≤ what it states that it takes",
)
CHECKS = (AVERAGE, PEAK, RING, INTAKE)


class Parameters(Written):
    """``[rule.uplink-load]``: the share of a link's rate that streams may take on average."""

    share: Annotated[float, Field(gt=0, le=1)] | None = None
