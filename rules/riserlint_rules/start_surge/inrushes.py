"""The inrush of devices against what their sources limit it to, and for how long."""

import math

from riserlint import (
    Answer,
    FeedPower,
    NotApplicable,
    Passed,
    Remedy,
    Said,
    Span,
    at_most,
    inrush,
    poe_limits,
)
from riserlint_rules.start_surge.checks import INRUSH

_GIVEN_MS = Span(poe_limits.INRUSH_LEAST_MS.value, poe_limits.INRUSH_MOST_MS.value)
#: The highest class of which the limits are well remembered: those above it share two pairsets.
_TWO_PAIR_CLASS = poe_limits.type_highest_class(2)


def inrush_answer(power: FeedPower) -> Said:
    """Say whether a load comes up within the time that its source gives it."""
    load, grant = power.feed.load, power.grant
    amperes = load.value(load.side, "inrush_a")
    if amperes.value is None:
        return NotApplicable(INRUSH.name, load.at, "its inrush is not stated")
    if grant.refused or "passive" in (grant.scheme, grant.load_scheme):
        return NotApplicable(INRUSH.name, load.at, "no IEEE 802.3 source limits it")
    classes = poe_limits.PD_CLASSES if grant.assigned is None else (grant.assigned,)
    limits = [poe_limits.inrush_amperes(pd_class) for pd_class in classes]
    least_a, most_a = min(low for low, _ in limits), max(high for _, high in limits)
    if amperes.value <= least_a:
        return Passed(INRUSH.name, load.at)
    time = load.value(load.side, "inrush_ms")
    lasts = Span(0.0, math.inf)
    if time.value is not None:
        lasts = Span(
            inrush.limited_ms(amperes.value, time.value, most_a),
            inrush.limited_ms(amperes.value, time.value, least_a),
        )
    verdict = at_most(lasts, _GIVEN_MS)
    if verdict == "pass":
        return Passed(INRUSH.name, load.at)
    limited = f"{least_a:g} to {most_a:g} A"
    if time.value is None:
        charge = least_a * _GIVEN_MS.low
        return Answer(
            INRUSH.name,
            "open",
            load.at,
            amperes.at,
            f"{load.id}: cannot tell whether its inrush of {amperes.value:g} A is over in time: its source limits it "
            f"to {limited} for {_GIVEN_MS.low:g} to {_GIVEN_MS.high:g} ms",
            missing=(time.at, *(grant.missing if grant.assigned is None else ())),
            turns=f"holds if it lasts {charge / amperes.value:.3g} ms or less",
            rests_on=(amperes.at,),
        )
    working = f"{time.value:g} ms × {amperes.value:g} A / {limited} = {lasts.high:.3g} to {lasts.low:.3g} ms"
    rests_on = (amperes.at, time.at)
    if verdict == "open":
        return Answer(
            INRUSH.name,
            "open",
            load.at,
            amperes.at,
            f"{load.id}: cannot tell whether its inrush is over in time: {lasts.low:.3g} to {lasts.high:.3g} ms, of "
            f"which sources give {_GIVEN_MS.low:g} to {_GIVEN_MS.high:g} ms",
            working=working,
            missing=(time.at, *(grant.missing if grant.assigned is None else ())),
            turns=f"holds if it lasts {_GIVEN_MS.low * least_a / amperes.value:.3g} ms or less",
            rests_on=rests_on,
        )
    return Answer(
        INRUSH.name,
        "fail",
        load.at,
        amperes.at,
        f"{load.id}: its inrush of {amperes.value:g} A for {time.value:g} ms takes {lasts.low:.3g} ms or more at a "
        f"source that limits it to {limited}; no source gives more than {_GIVEN_MS.high:g} ms, so it may never come up",
        level="note" if max(classes) > _TWO_PAIR_CLASS else None,
        value=round(lasts.low, 3),
        limit=_GIVEN_MS.high,
        unit="ms",
        margin=round(_GIVEN_MS.high - lasts.low, 3),
        held_against=poe_limits.INRUSH_MOST_MS,
        working=f"{working} > {_GIVEN_MS.high:g} ms",
        remedy=Remedy("a device that limits its own inrush, or one of less capacitance at its input"),
        rests_on=rests_on,
    )
