"""What is sent to a device that states what it takes."""

from collections.abc import Iterator

from riserlint import Answer, Citation, Intake, Limit, Passed, Remedy, Said, Span, at_most
from riserlint_rules.uplink_load.checks import INTAKE
from riserlint_rules.uplink_load.words import mbps_words, streams_words


def intake_answers(intake: Intake, *, peaks: bool) -> Iterator[Said]:
    """Yield whether a device takes what is sent to it, on average and at the peaks."""
    gear, most = intake.gear, Span(intake.limit_mbps, intake.limit_mbps)
    average = at_most(intake.carried.average, intake.limit_mbps)
    peak = at_most(intake.carried.peak, intake.limit_mbps) if peaks else "pass"
    if average == "pass" and peak == "pass":
        yield Passed(INTAKE.name, gear.at)
        return
    fails = average == "fail" or (average == "pass" and peak == "fail")
    sent = intake.carried.average if average != "pass" else intake.carried.peak
    when = "on average" if average != "pass" else "if all peaks come at once"
    count = streams_words(intake.carried.sources)
    if not fails:
        yield Answer(
            INTAKE.name,
            "open",
            gear.at,
            intake.at,
            f"cannot tell whether {gear.id} takes {count}: {mbps_words(sent)} {when}, it takes {mbps_words(most)}",
            missing=intake.carried.missing or ((*gear.at, "needs"),),
        )
        return
    each = intake.limit_mbps / intake.carried.sources
    yield Answer(
        INTAKE.name,
        "fail",
        gear.at,
        intake.at,
        f"{gear.id} is sent {count}, {mbps_words(sent)} {when}, and takes {mbps_words(most)}",
        level="error" if average == "fail" else "warning",
        value=round(sent.low, 2),
        limit=intake.limit_mbps,
        unit="Mbit/s",
        margin=round(intake.limit_mbps - sent.low, 2),
        held_against=Limit(
            "what it takes",
            intake.limit_mbps,
            "Mbit/s",
            Citation("design", "", f"{gear.kind}.{gear.id}"),
            "stated",
            "the design",
        ),
        working=f"{count}: {mbps_words(sent)} > {mbps_words(most)}",
        remedy=Remedy(f"a second one that takes some of them, or streams of {each:.3g} Mbit/s each"),
        rests_on=(intake.at,),
    )
