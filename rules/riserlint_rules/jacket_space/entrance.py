"""How far unlisted outdoor cable comes into a building."""

import math
from collections.abc import Iterator, Set

from riserlint import (
    Answer,
    Built,
    NotApplicable,
    Passed,
    Path,
    Places,
    Remedy,
    Run,
    Said,
    Span,
    Stretch,
    at_most,
    fire_limits,
    jackets,
)
from riserlint_rules.jacket_space.checks import ENTRANCE
from riserlint_rules.jacket_space.kinds import marks_of

LIMIT = fire_limits.UNLISTED_INDOORS


def entrances(built: Built, places: Places, failed: Set[str]) -> Iterator[Said]:
    """Yield the answers for the runs of cable that is made for outdoors and listed for no place indoors."""
    for run in built.runs.values():
        marks = None if run.cable is None else marks_of(run.cable)
        if marks is None or "outdoor" not in marks or jackets.step_of(marks):
            continue
        if run.id in failed:
            yield NotApplicable(ENTRANCE.name, run.at, "its jacket may not lie where it lies")
        else:
            yield _entrance(built, places, run)


def _entrance(built: Built, places: Places, run: Run) -> Said:
    way = places.route(run)
    told = [places.outdoors(stretch) for stretch in way]
    if not places.in_use("exposure"):
        missing = tuple(places.value(stretch, "exposure").at for stretch in way)
        return _open(run, missing, "holds if it lies outdoors")
    if all(one.so for one in told):
        return Passed(ENTRANCE.name, run.at)
    unknown = tuple(path for one in told for path in one.missing)
    if unknown:
        return _open(run, unknown, "")
    if not any(one.so for one in told):
        return _inside(built, run)
    metres, missing = _furthest(places, way, [bool(one.so) for one in told])
    verdict = at_most(metres, LIMIT.value)
    if verdict == "pass":
        return Passed(ENTRANCE.name, run.at)
    if verdict == "open":
        return _open(run, missing, f"holds with {LIMIT.value:g} m or less from the point of entrance")
    return _far(built, run, metres.low)


def _far(built: Built, run: Run, metres: float) -> Answer:
    return Answer(
        ENTRANCE.name,
        "fail" if built.region is not None else "open",
        run.at,
        (*run.at, "route"),
        f"{run.id} ({run.ends}): unlisted outdoor cable goes {metres:.1f} m into the building, "
        f"at most {LIMIT.value:g} m",
        value=round(metres, 3),
        limit=LIMIT.value,
        unit="m",
        margin=round(LIMIT.value - metres, 3),
        held_against=LIMIT,
        working=f"{metres:.1f} m indoors > {LIMIT.value:g} m",
        remedy=Remedy(
            f"listed cable from the entrance on, or {metres - LIMIT.value:.1f} m less of it indoors"
        ),
        missing=() if built.region is not None else (("design", "region"),),
        rests_on=_jacket(run),
    )


def _inside(built: Built, run: Run) -> Answer:
    return Answer(
        ENTRANCE.name,
        "fail" if built.region is not None else "open",
        run.at,
        (*run.at, "cable"),
        f"{run.id} ({run.ends}): unlisted outdoor cable that does not come from outdoors",
        held_against=LIMIT,
        remedy=Remedy("listed cable"),
        missing=() if built.region is not None else (("design", "region"),),
        rests_on=_jacket(run),
    )


def _jacket(run: Run) -> tuple[Path, ...]:
    return () if run.cable is None else (run.cable.value("jacket").at,)


def _open(run: Run, missing: tuple[Path, ...], turns: str) -> Answer:
    return Answer(
        ENTRANCE.name,
        "open",
        run.at,
        (*run.at, "cable"),
        f"{run.id} ({run.ends}): cannot tell how far its unlisted outdoor cable goes into the building",
        held_against=LIMIT,
        missing=tuple(dict.fromkeys(missing)),
        turns=turns,
        rests_on=_jacket(run),
    )


def _furthest(
    places: Places, way: tuple[Stretch, ...], outdoors: list[bool]
) -> tuple[Span, tuple[Path, ...]]:
    """Return the longest way indoors from a point of entrance: of a block between two entrances its half."""
    worst, missing = Span(0.0, 0.0), []
    block: list[Stretch] = []
    entered = False
    for stretch, outside in [*zip(way, outdoors), (None, False)]:
        if stretch is not None and not outside:
            block.append(stretch)
            continue
        if block:
            metres, more = _indoors(places, block, first=entered, last=stretch is not None)
            worst = Span(max(worst.low, metres.low), max(worst.high, metres.high))
            missing.extend(more)
        block, entered = [], True
    return worst, tuple(missing)


def _indoors(places: Places, block: list[Stretch], *, first: bool, last: bool) -> tuple[Span, list[Path]]:
    """Return the metres of a block of stretches indoors; conduit at its entrances that moves them is taken off."""
    inner, may_be_off = set(range(len(block))), set[int]()
    missing: list[Path] = []
    for order in ([range(len(block))] if first else []) + ([range(len(block) - 1, -1, -1)] if last else []):
        for index in order:
            told = places.moves_entrance(block[index])
            if told.so is False:
                break
            missing.extend(told.missing)
            (inner.discard if told.so else may_be_off.add)(index)
    low = high = 0.0
    for index in inner:
        segment = block[index].segment
        metres = None if segment is None else segment.metres
        if metres is None or metres.value is None:
            high = math.inf
            missing.extend(() if metres is None else (metres.at,))
        else:
            low += 0.0 if index in may_be_off else metres.value
            high += metres.value
    share = 2 if first and last else 1
    return Span(low / share, high / share), missing
