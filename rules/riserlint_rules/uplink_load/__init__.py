"""uplink-load: links and recorders bear the streams that are sent over them.

Sixteen cameras of 6 Mbit/s are 96 on paper, and 101 on a wire that carries 100: the picture stutters on the day on
which all of them see something. The sum grows from switch to switch, and is largest where nobody looks: at the link
that all floors share, and at the recorder.
"""

from collections.abc import Callable, Iterable, Iterator

from riserlint import (
    Answer,
    Built,
    Gear,
    LinkLoad,
    NotApplicable,
    Passed,
    Path,
    Related,
    Rule,
    Said,
    first_and_number,
    hookimpl,
)
from riserlint_rules.uplink_load.checks import AVERAGE, CHECKS, INTAKE, PEAK, RING, Parameters
from riserlint_rules.uplink_load.intakes import intake_answers
from riserlint_rules.uplink_load.links import at_peak, on_average
from riserlint_rules.uplink_load.rings import FEW, ring_answer

_DESIGN: Path = ("design",)


def review(built: Built, parameters: Parameters) -> Iterator[Said]:
    """Yield the answers for every link that carries a stream, every ring, and every device that takes some."""
    traffic = built.traffic
    if not traffic.streams.stated:
        for check in CHECKS:
            yield NotApplicable(check.name, _DESIGN, "no stream is described")
        return
    share = 1.0 if parameters.share is None else parameters.share
    yield from _homeless(traffic.streams.homeless, traffic.streams.needs_at)
    tightest = max(traffic.links, key=_use, default=None)
    for load in traffic.links:
        said = [on_average(load, share, load is tightest)]
        if traffic.streams.peaks_stated:
            said.append(at_peak(load))
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
    lost = traffic.streams.homeless[0].id if traffic.streams.homeless else ""
    for ring in traffic.rings:
        yield _unless(lost, ring_answer(ring, share))
    for mesh in traffic.meshes:
        yield Answer(
            RING.name,
            "review",
            mesh[0].at,
            mesh[0].at,
            f"{len(mesh)} links make more than a ring ({', '.join(run.id for run in mesh[:FEW])} …): what each "
            "carries hangs on which of them are idle",
            related=tuple(Related(run.at, run.ends) for run in mesh[1:FEW]),
        )
    if not traffic.rings and not traffic.meshes:
        yield NotApplicable(RING.name, _DESIGN, "no stream crosses a ring")
    if not traffic.intakes:
        yield NotApplicable(INTAKE.name, _DESIGN, "nothing states what it takes, or nothing is sent there")
    for intake in traffic.intakes:
        for one in intake_answers(intake, peaks=traffic.streams.peaks_stated):
            yield _unless(lost, one)


def _homeless(gears: tuple[Gear, ...], needs_at: Callable[[Gear], Path]) -> Iterator[Said]:
    by_role: dict[Path, list[Gear]] = {}
    for gear in gears:
        by_role.setdefault(needs_at(gear), []).append(gear)
    for at, members in by_role.items():
        first = members[0]
        names = first_and_number((gear.id for gear in members), 1)
        yield Answer(
            AVERAGE.name,
            "open",
            first.at,
            first.at,
            f"cannot tell where the stream of {names} goes: nothing that it needs is described",
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
