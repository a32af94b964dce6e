"""Links that are the only way between their two sides."""

import math

from riserlint import Answer, LinkLoad, Passed, Remedy, Said, Span
from riserlint_rules.uplink_load.checks import AVERAGE, PEAK
from riserlint_rules.uplink_load.words import (
    held,
    mbps_words,
    mend,
    rate_limit,
    rate_words,
    streams_words,
    working,
)


def on_average(load: LinkLoad, share: float, tightest: bool) -> Said:
    """Return whether a link carries what comes to it on average."""
    asked = held(load.carried.average, load.rate, share)
    run = load.run
    if asked.verdict == "pass":
        return Passed(AVERAGE.name, run.at)
    rated = rate_words(load, share)
    words = f"{run.id} ({run.ends}): {streams_words(load.carried.sources)} into {load.into.id}"
    if asked.verdict == "open":
        return Answer(
            AVERAGE.name,
            "open",
            run.at,
            run.at,
            f"{words}: cannot tell whether {mbps_words(asked.wire)} on average go over {rated}",
            working=working(load.carried.average, asked),
            missing=(*load.rate_missing, *load.carried.missing),
            turns=f"holds with {mbps_words(Span(asked.wire.high / share, asked.wire.high / share))} or more"
            if math.isfinite(asked.wire.high)
            else "",
        )
    return Answer(
        AVERAGE.name,
        "fail",
        run.at,
        run.at,
        f"{words} take {mbps_words(asked.wire)} on average, more than {rated}"
        f"{', the tightest link of all' if tightest else ''}",
        value=round(asked.wire.low, 2),
        limit=round(asked.most.high, 2),
        unit="Mbit/s",
        margin=round(asked.most.high - asked.wire.low, 2),
        held_against=rate_limit(load, share),
        working=working(load.carried.average, asked),
        remedy=Remedy(mend(asked.wire.low, share, load.carried.sources, asked.most.high)),
        rests_on=(run.at,),
    )


def at_peak(load: LinkLoad) -> Said:
    """Return whether a link carries what comes to it when all peaks come at once."""
    run = load.run
    asked = held(load.carried.peak, load.rate, 1.0)
    if asked.verdict == "pass":
        return Passed(PEAK.name, run.at)
    words = f"{run.id} ({run.ends}): {streams_words(load.carried.sources)} into {load.into.id}"
    rated = rate_words(load, 1.0)
    if asked.verdict == "open":
        return Answer(
            PEAK.name,
            "open",
            run.at,
            run.at,
            f"{words}: cannot tell whether {mbps_words(asked.wire)} at their peaks go over {rated}",
            working=working(load.carried.peak, asked),
            missing=(*load.rate_missing, *load.carried.missing),
        )
    return Answer(
        PEAK.name,
        "fail",
        run.at,
        run.at,
        f"{words} take {mbps_words(asked.wire)} if all their peaks come at once, more than {rated}",
        value=round(asked.wire.low, 2),
        limit=round(asked.most.high, 2),
        unit="Mbit/s",
        margin=round(asked.most.high - asked.wire.low, 2),
        held_against=rate_limit(load, 1.0),
        working=working(load.carried.peak, asked),
        remedy=Remedy(mend(asked.wire.low, 1.0, load.carried.sources, asked.most.high)),
        rests_on=(run.at,),
    )
