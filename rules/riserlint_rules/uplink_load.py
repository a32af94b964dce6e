"""uplink-load: links and recorders bear the streams that are sent over them.

Sixteen cameras of 6 Mbit/s are 96 on paper, and 101 on a wire that carries 100: the picture stutters on the day on
which all of them see something. The sum grows from switch to switch, and is largest where nobody looks: at the link
that all floors share, and at the recorder.
"""

import math
from collections.abc import Callable, Iterable, Iterator
from typing import Annotated, NamedTuple

from pydantic import Field

from riserlint import (
    Answer,
    Built,
    Check,
    Citation,
    Gear,
    Intake,
    Limit,
    LinkLoad,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Ring,
    Rule,
    Said,
    Span,
    Verdict,
    Written,
    at_most,
    framing,
    hookimpl,
    traffic_limits,
)

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
_DESIGN: Path = ("design",)
#: So many links of a ring are named.
_FEW = 4


class Parameters(Written):
    """``[rule.uplink-load]``: the share of a link's rate that streams may take on average."""

    share: Annotated[float, Field(gt=0, le=1)] | None = None


class _Asked(NamedTuple):
    """A sum on the wire against what a link carries."""

    wire: Span
    most: Span
    verdict: Verdict


def review(built: Built, parameters: Parameters) -> Iterator[Said]:
    """Yield the answers for every link that carries a stream, every ring, and every device that takes some."""
    traffic = built.traffic
    if not traffic.stated:
        for check in CHECKS:
            yield NotApplicable(check.name, _DESIGN, "no stream is described")
        return
    share = 1.0 if parameters.share is None else parameters.share
    yield from _homeless(traffic.homeless, traffic.needs_at)
    tightest = max(traffic.links, key=_use, default=None)
    for load in traffic.links:
        said = [_average(load, share, load is tightest)]
        if traffic.peaks_stated:
            said.append(_peak(load))
        else:
            said.append(NotApplicable(PEAK.name, load.run.at, "no peak is stated"))
        for one in said:
            if (
                load.carried.sources == 1
                and load.rate_missing
                and isinstance(one, Answer)
                and one.kind == "open"
            ):
                # A device's own port was made for its own stream: nobody is asked for its rate.
                why = "it carries one stream, and its rate is not written"
                yield NotApplicable(one.check, load.run.at, why)
            else:
                yield one
    lost = traffic.homeless[0].id if traffic.homeless else ""
    for ring in traffic.rings:
        yield _unless(lost, _ring(ring, share))
    for mesh in traffic.meshes:
        yield Answer(
            RING.name,
            "review",
            mesh[0].at,
            mesh[0].at,
            f"{len(mesh)} links make more than a ring ({', '.join(run.id for run in mesh[:_FEW])} …): what each "
            "carries hangs on which of them are idle",
            related=tuple(Related(run.at, run.ends) for run in mesh[1:_FEW]),
        )
    if not traffic.rings and not traffic.meshes:
        yield NotApplicable(RING.name, _DESIGN, "no stream crosses a ring")
    if not traffic.intakes:
        yield NotApplicable(INTAKE.name, _DESIGN, "nothing states what it takes, or nothing is sent there")
    for intake in traffic.intakes:
        for one in _intake(intake, peaks=traffic.peaks_stated):
            yield _unless(lost, one)


def _homeless(gears: tuple[Gear, ...], needs_at: Callable[[Gear], Path]) -> Iterator[Said]:
    by_role: dict[Path, list[Gear]] = {}
    for gear in gears:
        by_role.setdefault(needs_at(gear), []).append(gear)
    for at, members in by_role.items():
        first = members[0]
        others = f" and {len(members) - 1:,} more" if len(members) > 1 else ""
        yield Answer(
            AVERAGE.name,
            "open",
            first.at,
            first.at,
            f"cannot tell where the stream of {first.id}{others} goes: nothing that it needs is described",
            missing=(at,),
            distinct="where",
        )


def _unless(lost: str, said: Said) -> Said:
    """Return an answer, but no pass where it is not known where a stream goes."""
    if not lost or not isinstance(said, Passed):
        return said
    return NotApplicable(
        said.check, said.subject, f"where the stream of {lost} goes is not known: that is asked there"
    )


def _use(load: LinkLoad) -> float:
    return load.carried.average.low / load.rate.high


def _asked(mbps: Span, rate: Span, share: float) -> _Asked:
    wire, most = mbps * framing.wire_factor(), rate * share
    return _Asked(wire, most, _verdict(wire, most))


def _verdict(wire: Span, most: Span) -> Verdict:
    if wire.high <= most.low:
        return "pass"
    return "fail" if wire.low > most.high else "open"


def _mbps(value: Span) -> str:
    if math.isinf(value.high):
        return f"{value.low:.4g} Mbit/s or more" if value.low else "an unknown number of Mbit/s"
    first, last = f"{value.low:,.4g}", f"{value.high:,.4g}"
    return f"{first} Mbit/s" if first == last else f"{first} to {last} Mbit/s"


def _streams(count: int) -> str:
    return "1 stream" if count == 1 else f"{count:,} streams"


def _average(load: LinkLoad, share: float, tightest: bool) -> Said:
    asked = _asked(load.carried.average, load.rate, share)
    run = load.run
    if asked.verdict == "pass":
        return Passed(AVERAGE.name, run.at)
    rated = _rate_words(load, share)
    words = f"{run.id} ({run.ends}): {_streams(load.carried.sources)} into {load.into.id}"
    if asked.verdict == "open":
        return Answer(
            AVERAGE.name,
            "open",
            run.at,
            run.at,
            f"{words}: cannot tell whether {_mbps(asked.wire)} on average go over {rated}",
            working=_working(load.carried.average, asked),
            missing=(*load.rate_missing, *load.carried.missing),
            turns=f"holds with {_mbps(Span(asked.wire.high / share, asked.wire.high / share))} or more"
            if math.isfinite(asked.wire.high)
            else "",
        )
    return Answer(
        AVERAGE.name,
        "fail",
        run.at,
        run.at,
        f"{words} take {_mbps(asked.wire)} on average, more than {rated}"
        f"{', the tightest link of all' if tightest else ''}",
        value=round(asked.wire.low, 2),
        limit=round(asked.most.high, 2),
        unit="Mbit/s",
        margin=round(asked.most.high - asked.wire.low, 2),
        held_against=_limit(load, share),
        working=_working(load.carried.average, asked),
        remedy=Remedy(_mend(asked.wire.low, share, load.carried.sources, asked.most.high)),
        rests_on=(run.at,),
    )


def _rate_words(load: LinkLoad, share: float) -> str:
    if math.isinf(load.rate.high):
        return "a link of unknown rate"
    kept = "" if share == 1 else f" of which the basis grants {share * 100:g} %"
    return f"a link of {load.rate.high:,g} Mbit/s{kept}"


def _limit(load: LinkLoad, share: float) -> Limit:
    where = "basis of design" if share < 1 else "design"
    return Limit(
        "rate of the link" if share == 1 else "share of the rate of the link",
        round(load.rate.high * share, 2),
        "Mbit/s",
        Citation(where, "", "rule.uplink-load.share" if share < 1 else f"run.{load.run.id}"),
        "stated",
        where,
    )


def _working(mbps: Span, asked: _Asked) -> str:
    sign = {"fail": ">", "pass": "≤", "open": "against"}[asked.verdict]
    return f"{_mbps(mbps)} × {framing.wire_factor():.4f} = {_mbps(asked.wire)} {sign} {_mbps(asked.most)}"


def _mend(wire: float, share: float, count: int, most: float) -> str:
    each = most / framing.wire_factor() / max(count, 1)
    return f"a link of {math.ceil(wire / share):,} Mbit/s or more, or streams of {each:.3g} Mbit/s each"


def _peak(load: LinkLoad) -> Said:
    run = load.run
    asked = _asked(load.carried.peak, load.rate, 1.0)
    if asked.verdict == "pass":
        return Passed(PEAK.name, run.at)
    words = f"{run.id} ({run.ends}): {_streams(load.carried.sources)} into {load.into.id}"
    rated = _rate_words(load, 1.0)
    if asked.verdict == "open":
        return Answer(
            PEAK.name,
            "open",
            run.at,
            run.at,
            f"{words}: cannot tell whether {_mbps(asked.wire)} at their peaks go over {rated}",
            working=_working(load.carried.peak, asked),
            missing=(*load.rate_missing, *load.carried.missing),
        )
    return Answer(
        PEAK.name,
        "fail",
        run.at,
        run.at,
        f"{words} take {_mbps(asked.wire)} if all their peaks come at once, more than {rated}",
        value=round(asked.wire.low, 2),
        limit=round(asked.most.high, 2),
        unit="Mbit/s",
        margin=round(asked.most.high - asked.wire.low, 2),
        held_against=_limit(load, 1.0),
        working=_working(load.carried.peak, asked),
        remedy=Remedy(_mend(asked.wire.low, 1.0, load.carried.sources, asked.most.high)),
        rests_on=(run.at,),
    )


def _ring(ring: Ring, share: float) -> Said:
    """Return whether every link of a ring carries what comes to it, whichever of them is idle."""
    subject = ring.runs[0].at
    judged = [(idle, load, _asked(load.carried.average, load.rate, share)) for idle, load in ring.worst]
    failing = [found for found in judged if found[2].verdict == "fail"]
    names = ", ".join(run.id for run in ring.runs[:_FEW]) + (" …" if len(ring.runs) > _FEW else "")
    if not failing:
        unsure = [found for found in judged if found[2].verdict == "open"]
        if not unsure:
            return Passed(RING.name, subject)
        _, load, asked = unsure[0]
        return Answer(
            RING.name,
            "open",
            subject,
            load.run.at,
            f"cannot tell whether the ring {names} carries {_mbps(asked.wire)} whichever of its links is idle",
            working=_working(load.carried.average, asked),
            missing=(*load.rate_missing, *load.carried.missing),
        )
    idle, load, asked = max(failing, key=lambda found: (found[2].wire.low / found[2].most.high, found[0].id))
    always = len(failing) == len(judged)
    when = "whichever of its links is idle" if always else f"while {idle.id} is idle"
    return Answer(
        RING.name,
        "fail",
        subject,
        load.run.at,
        f"the ring {names} does not carry its streams {when}: with {idle.id} idle {load.run.id} takes "
        f"{_mbps(asked.wire)} on average, more than {_rate_words(load, share)}",
        level="error" if always else None,
        value=round(asked.wire.low, 2),
        limit=round(asked.most.high, 2),
        unit="Mbit/s",
        margin=round(asked.most.high - asked.wire.low, 2),
        held_against=_limit(load, share),
        working=_working(load.carried.average, asked),
        related=tuple(Related(run.at, run.ends) for run in ring.runs[:_FEW] if run is not load.run),
        remedy=Remedy(_mend(asked.wire.low, share, load.carried.sources, asked.most.high)),
        rests_on=tuple(run.at for run in ring.runs),
    )


def _intake(intake: Intake, *, peaks: bool) -> Iterator[Said]:
    gear, most = intake.gear, Span(intake.limit_mbps, intake.limit_mbps)
    average = at_most(intake.carried.average, intake.limit_mbps)
    peak = at_most(intake.carried.peak, intake.limit_mbps) if peaks else "pass"
    if average == "pass" and peak == "pass":
        yield Passed(INTAKE.name, gear.at)
        return
    fails = average == "fail" or (average == "pass" and peak == "fail")
    sent = intake.carried.average if average != "pass" else intake.carried.peak
    when = "on average" if average != "pass" else "if all peaks come at once"
    count = _streams(intake.carried.sources)
    if not fails:
        yield Answer(
            INTAKE.name,
            "open",
            gear.at,
            intake.at,
            f"cannot tell whether {gear.id} takes {count}: {_mbps(sent)} {when}, it takes {_mbps(most)}",
            missing=intake.carried.missing or ((*gear.at, "needs"),),
        )
        return
    yield Answer(
        INTAKE.name,
        "fail",
        gear.at,
        intake.at,
        f"{gear.id} is sent {count}, {_mbps(sent)} {when}, and takes {_mbps(most)}",
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
        working=f"{count}: {_mbps(sent)} > {_mbps(most)}",
        remedy=Remedy(
            f"a second one, or streams of {intake.limit_mbps / intake.carried.sources:.3g} Mbit/s each"
        ),
        rests_on=(intake.at,),
    )


RULE = Rule(
    "uplink-load",
    "links and recorders bear the streams that are sent over them",
    "Sixteen cameras of 6 Mbit/s are 96 on paper and 101 on a wire that carries 100. The sum grows from switch to "
    "switch and is largest where nobody looks: at the link that all floors share, and at the recorder.",
    CHECKS,
    review,
    Parameters,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
