"""How many thin cords lie together, gathered by their kind: whoever laid one bundle of them laid the others alike."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from riserlint import (
    Answer,
    Built,
    Change,
    Cord,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Run,
    Said,
    heat_limits,
)
from riserlint_rules.conductor_material.checks import CORD_BUNDLE
from riserlint_rules.conductor_material.cords import THIN_AWG, awg_of, gauge_missing

_MOST_CORDS = heat_limits.SMALL_CORD_BUNDLE_CORDS


class Laid(NamedTuple):
    """A cord of a run that carries power, and how many lie together with it counted; None: not known."""

    run: Run
    cord: Cord
    together: int | None


def bundle_answers(built: Built, runs: Iterable[Run]) -> Iterator[Said]:
    """Yield whether few enough thin cords lie together: what is right by run, what is wrong or open by kind of cord."""
    wrong: dict[Path, list[Laid]] = {}
    unknown: dict[Path, list[Laid]] = {}
    for run in runs:
        if run.cords is None:
            yield NotApplicable(CORD_BUNDLE.name, run.at, "its cords are not known, which thin-cord says")
            continue
        cords = [cord for cord in run.cords if cord.metres.value != 0]
        laid = [_laid(run, cord) for cord in cords if (awg_of(cord) or THIN_AWG) >= THIN_AWG]
        if laid and all(one.cord.cable is None and one.together is None for one in laid):
            yield NotApplicable(
                CORD_BUNDLE.name, run.at, "nothing is known of its cords, which copper-clad says"
            )
            continue
        if not laid:
            why = f"no cord of it is of {THIN_AWG} AWG or thinner" if cords else "it has no cords"
            yield NotApplicable(CORD_BUNDLE.name, run.at, why)
            continue
        over = [one for one in laid if one.together is not None and one.together > _MOST_CORDS.value]
        certain = [one for one in over if awg_of(one.cord) is not None]
        open_ones = [one for one in laid if one.together is None or (one in over and one not in certain)]
        for found, where in ((certain, wrong), ([] if certain else open_ones, unknown)):
            for one in found:
                where.setdefault(_kind_at(built, one), []).append(one)
        if not certain and not open_ones:
            yield Passed(CORD_BUNDLE.name, run.at)
    for kind_at, found in wrong.items():
        yield _too_many(built, kind_at, found)
    for kind_at, found in unknown.items():
        yield _cannot_tell(kind_at, found)


def _laid(run: Run, cord: Cord) -> Laid:
    others = cord.bundled_with.value
    return Laid(run, cord, None if others is None else 1 + others)


def _kind_at(built: Built, laid: Laid) -> Path:
    """Return the kind of a cord as the thing judged; of one without a kind, its run."""
    cable = laid.cord.cable
    if cable is None:
        return laid.run.at
    return cable.at if cable.id in built.cables else ("basis", "cord_cable")


def _name(kind_at: Path, found: list[Laid]) -> str:
    run = found[0].run
    if kind_at == run.at:
        return f"{run.id} ({run.ends})"
    kind = "the cords that the basis assumes" if kind_at[0] == "basis" else str(kind_at[1])
    runs = list(dict.fromkeys(one.run.id for one in found))
    more = f" and {len(runs) - 3} more" if len(runs) > 3 else ""
    return f"{kind} ({', '.join(runs[:3])}{more})"


def _cannot_tell(kind_at: Path, found: list[Laid]) -> Answer:
    gauge = [path for one in found if awg_of(one.cord) is None for path in gauge_missing(one.cord)]
    count = [
        one.cord.bundled_with.at for one in found if one.together is None and awg_of(one.cord) is not None
    ]
    missing = tuple(dict.fromkeys((*gauge, *count)))
    turns = f"holds with at most {_MOST_CORDS.value - 1:g} others in the bundle of each"
    if gauge:
        turns = f"holds with cords thicker than {THIN_AWG} AWG"
    known = max((one.together or 0 for one in found), default=0)
    words = f"; up to {known} lie together, and their gauge is not known" if gauge and known else ""
    return Answer(
        CORD_BUNDLE.name,
        "open",
        kind_at,
        missing[0],
        f"{_name(kind_at, found)}: cannot tell whether more than {_MOST_CORDS.value:g} powered cords of {THIN_AWG} AWG "
        f"lie together{words}",
        held_against=_MOST_CORDS,
        missing=missing,
        turns=turns,
    )


def _too_many(built: Built, kind_at: Path, found: list[Laid]) -> Answer:
    most, apart = _MOST_CORDS.value, heat_limits.SMALL_CORD_SPACING_MM.value
    worst = max(found, key=lambda one: one.together or 0)
    together = worst.together or 0
    places = [one.cord.bundled_with for one in found]
    free = not any(place.assumed or built.design.origin(place.at) == "measured" for place in places)
    changes = tuple(Change(at, int(most) - 1) for at in dict.fromkeys(place.at for place in places))
    return Answer(
        CORD_BUNDLE.name,
        "fail",
        kind_at,
        worst.cord.bundled_with.at,
        f"{_name(kind_at, found)}: a powered cord of {THIN_AWG} AWG lies with {together - 1} others, {together} "
        f"together, at most {most:g}",
        value=float(together),
        limit=most,
        unit=_MOST_CORDS.unit,
        margin=most - together,
        held_against=_MOST_CORDS,
        working=f"1 + {together - 1} > {most:g}",
        related=tuple(
            Related(one.cord.bundled_with.at, f"{one.run.id}: {one.together} together")
            for one in found
            if one is not worst
        ),
        remedy=Remedy(
            f"bundles of at most {most:g} cords, {apart:g} mm apart and not in conduit, or thicker cords",
            changes if free else (),
        ),
        rests_on=tuple(dict.fromkeys(place.at for place in places)),
    )
