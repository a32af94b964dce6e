"""Runs that leave a building: their ends, gathered by the space that they come out in; copper between buildings."""

from collections.abc import Iterator
from typing import NamedTuple

from riserlint import (
    Answer,
    Built,
    Leaving,
    Level,
    Limit,
    NotApplicable,
    Passed,
    Path,
    Places,
    Related,
    Remedy,
    Run,
    Said,
    first_and_number,
    outdoor_limits,
    path_text,
    protected_ends,
)
from riserlint_rules.outdoor_protection.checks import BETWEEN, PROTECTOR


class _Fault(NamedTuple):
    """One kind of fault: how it is told apart, its level (None: for a human to look at), words, what it is held to."""

    distinct: str
    level: Level | None
    words: str
    held_against: Limit


class _Groups:
    """Runs with one kind of fault that come out in one space."""

    def __init__(self) -> None:
        self.of: dict[tuple[Path, _Fault], list[tuple[Run, int, Path]]] = {}

    def add(self, subject: Path, fault: _Fault, run: Run, ends: int, at: Path) -> None:
        self.of.setdefault((subject, fault), []).append((run, ends, at))


def protected(built: Built, places: Places, found: list[Leaving], sheltered: str | None) -> Iterator[Said]:
    """Yield an answer for every run, those with one fault in one space together."""
    groups, unknown = _Groups(), dict[Path, list[Run]]()
    for one in found:
        if one.leaves is None:
            for path in one.missing:
                unknown.setdefault(path if path[0] == "space" else ("design",), []).append(one.run)
        elif not one.leaves:
            yield NotApplicable(PROTECTOR.name, one.run.at, "stays indoors")
        elif one.sheltered and sheltered == "accept":
            yield Passed(PROTECTOR.name, one.run.at)
        else:
            yield from _ends(built, places, one, groups, sheltered)
    for (subject, fault), runs in groups.of.items():
        yield _finding(subject, fault, runs)
    for path, unplaced in unknown.items():
        yield _unknown(path, unplaced)


def _ends(
    built: Built, places: Places, one: Leaving, groups: _Groups, sheltered: str | None
) -> Iterator[Said]:
    ends, not_placed = protected_ends(places, one)
    bare = [end for end in one.indoors if end not in ends]
    inside = [end for end in bare if one.indoors[end] is not False]
    if not bare or (one.sheltered and not inside):
        yield Passed(PROTECTOR.name, one.run.at)
        return
    places_unknown = tuple(inline.value("space").at for inline in not_placed)
    ends_unknown = tuple(
        places.value(one.end(end), "exposure").at for end in bare if one.indoors[end] is None
    )
    surely_bare = len(inside) - len(ends_unknown) > len(not_placed)
    if not surely_bare and (not_placed or (ends_unknown and len(inside) == len(ends_unknown))):
        yield _cannot_tell(one.run, places_unknown, ends_unknown)
        return
    fault = _fault(built, one, inside=bool(inside), sheltered=sheltered)
    where = one.out if inside else one.end(bare[0])
    if where is None or where.space is None:
        subject: Path = one.run.at
        at = one.run.at
    else:
        subject, at = where.space.at, places.value(where, "exposure").at
    groups.add(subject, fault, one.run, len(bare), at)


def _fault(built: Built, one: Leaving, *, inside: bool, sheltered: str | None) -> _Fault:
    code, zones = outdoor_limits.PROTECTOR_CODE, outdoor_limits.PROTECTOR_ZONES
    limit = zones if built.region in {"europe", "international"} else code
    if not inside:
        return _Fault(
            "outdoor end",
            "warning",
            "without a surge protector at that end",
            outdoor_limits.OUTER_END,
        )
    words = "without a surge protector at the end in the building"
    if one.sheltered:
        level: Level | None = "error" if sheltered == "protect" else None
        return _Fault("sheltered", level, f"{words}; all that is outdoors is on a sheltered wall", limit)
    if one.buried_m is not None and one.indoors["from"] and one.indoors["to"]:
        return _Fault(
            "buried",
            "note",
            f"{words}; {outdoor_limits.SHORT_BURIED.value:g} m or less in the ground, in bonded metal",
            outdoor_limits.SHORT_BURIED,
        )
    if one.between and one.out is None:
        return _Fault("between buildings", "error", "for another building, without a surge protector", limit)
    return _Fault("", "error", words, limit)


def _finding(subject: Path, fault: _Fault, runs: list[tuple[Run, int, Path]]) -> Answer:
    at = runs[0][2]
    ends = sum(count for _, count, _ in runs)
    named = first_and_number(run.id for run, _, _ in runs)
    many = f"{len(runs)} runs" if len(runs) > 1 else "1 run"
    outer = fault.distinct == "outdoor end"
    place = f" {'in' if outer else 'into'} {subject[1]}" if subject[0] == "space" else ""
    verb = "ends outdoors," if outer else "leaves the building"
    if len(runs) > 1:
        verb = verb.replace("ends", "end").replace("leaves", "leave")
    buried = fault.held_against is outdoor_limits.SHORT_BURIED
    protector = f"{ends} surge protector{'s' if ends > 1 else ''}"
    volts, pairs = outdoor_limits.PROTECTOR_VOLTS.value, outdoor_limits.PROTECTED_PAIRS.value
    each = f"{volts:g} V or more on {pairs:g} pairs, bonded"
    return Answer(
        PROTECTOR.name,
        "review" if fault.level is None else "fail",
        subject,
        at,
        f"{many} {verb}{place} {fault.words}: {named}",
        level=fault.level,
        value=None if buried else 0,
        limit=None if buried else fault.held_against.value,
        unit="" if buried else fault.held_against.unit,
        margin=None if buried else -fault.held_against.value,
        held_against=fault.held_against,
        working=f"{many}, {ends} end{'s' if ends > 1 else ''} without a protector",
        related=tuple(Related(run.at, run.ends) for run, _, _ in runs[:2]),
        remedy=Remedy(f"{protector} for powered pairs ({each}), at these ends; or fibre"),
        rests_on=(at,),
        distinct=fault.distinct,
    )


def _cannot_tell(run: Run, protectors: tuple[Path, ...], ends: tuple[Path, ...]) -> Answer:
    missing = (*protectors, *ends)
    turns = "holds with a protector at each end" if protectors else ""
    return Answer(
        PROTECTOR.name,
        "open",
        run.at,
        missing[0],
        f"{run.id} ({run.ends}): leaves the building; cannot tell which of its ends has a surge protector",
        missing=missing,
        turns=turns,
    )


def _unknown(path: Path, runs: list[Run]) -> Answer:
    subject = path[:2]
    missing = (path,) if path[0] == "space" else tuple(_space_at(run) for run in runs)
    where = "their place is" if path[0] != "space" else f"the exposure of {path_text(path[:2])} is"
    return Answer(
        PROTECTOR.name,
        "open",
        subject,
        missing[0],
        f"cannot tell whether runs leave the building, {where} not known: "
        f"{first_and_number(dict.fromkeys(run.id for run in runs))}",
        missing=tuple(dict.fromkeys(missing)),
        turns="holds if it is indoors",
    )


def _space_at(run: Run) -> Path:
    return next((segment.space.at for segment in run.segments if segment.space.value is None), run.at)


def between_buildings(places: Places, found: list[Leaving]) -> Iterator[Said]:
    """Yield an answer for every run whose ends are in buildings, and one for those of which that is not known."""
    limit = outdoor_limits.FIBRE_BETWEEN
    unknown: dict[Path, list[Run]] = {}
    for one in found:
        run = one.run
        first, last = one.buildings
        if one.end("from").space is one.end("to").space is not None or (first is not None and first == last):
            yield Passed(BETWEEN.name, run.at)
        elif one.between:
            yield Answer(
                BETWEEN.name,
                "fail",
                run.at,
                run.at,
                f"{run.id} ({run.ends}): copper from building {first} to building {last}; their earths differ",
                value=1,
                limit=limit.value,
                unit=limit.unit,
                margin=limit.value - 1,
                held_against=limit,
                working=f"{first} and {last}",
                related=tuple(Related(places.value(one.end(end), "building").at, end) for end in one.indoors),
                remedy=Remedy("fibre between the buildings"),
                rests_on=tuple(places.value(one.end(end), "building").at for end in one.indoors),
            )
        elif one.leaves is False or False in one.indoors.values():
            yield NotApplicable(BETWEEN.name, run.at, "does not come into two buildings")
        else:
            for end in one.indoors:
                building = places.value(one.end(end), "building")
                if building.value is None:
                    unknown.setdefault(building.at, []).append(run)
    for path, runs in unknown.items():
        if path[0] == "space":
            message = f"cannot tell whether copper joins two buildings, that of {path[1]} is not known: "
            runs_named = first_and_number(dict.fromkeys(run.id for run in runs))
            yield Answer(BETWEEN.name, "open", path[:2], path, message + runs_named, missing=(path,))
