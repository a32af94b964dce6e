"""European classes of reaction to fire against the one that the basis asks for."""

from collections.abc import Iterator
from typing import NamedTuple

from riserlint import (
    Answer,
    Built,
    Cable,
    Change,
    Citation,
    Limit,
    Passed,
    Path,
    Places,
    Remedy,
    Run,
    Said,
    first_and_number,
    jackets,
)
from riserlint_rules.jacket_space.checks import FIRE

_BASIS = Citation("basis of design", "", "[rule.jacket-space] fire_class")


class _Use(NamedTuple):
    """The runs of a kind of cable indoors, those that may be indoors, and what is missing of these."""

    runs: list[Run]
    perhaps: list[Run]
    missing: list[Path]


def fire_classes(built: Built, places: Places, asked: str) -> Iterator[Said]:
    """Yield an answer for every kind of cable that a run is of, which is not outdoors on its whole way."""
    uses: dict[str, _Use] = {}
    no_kind: list[Run] = []
    for run in built.runs.values():
        told = [places.outdoors(stretch) for stretch in places.route(run)]
        if all(one.so for one in told):
            continue
        indoors = any(one.so is False for one in told)
        if run.cable is None:
            no_kind.extend([run] if indoors else [])
            continue
        use = uses.setdefault(run.cable.id, _Use([], [], []))
        (use.runs if indoors else use.perhaps).append(run)
        use.missing.extend(path for one in told for path in one.missing if not indoors)
    for cable_id, use in uses.items():
        yield _class(built, built.cables[cable_id], use, asked)
    if no_kind:
        missing = tuple(run.value("cable").at for run in no_kind)
        runs = first_and_number(run.id for run in no_kind)
        message = f"their kind of cable is not known, and the basis asks for {asked}: {runs}"
        yield Answer(FIRE.name, "open", ("design",), missing[0], message, missing=missing)


def _class(built: Built, cable: Cable, use: _Use, asked: str) -> Said:
    stated = cable.value("fire_class")
    parts = () if stated.value is None else jackets.compared(stated.value, asked)
    short = [part for part in parts if part.meets is False]
    if parts and all(part.meets for part in parts):
        return Passed(FIRE.name, cable.at)
    runs = first_and_number(run.id for run in use.runs or use.perhaps)
    if not short or not use.runs:
        missing = (*((stated.at,) if not short else ()), *(use.missing if not use.runs else ()))
        return Answer(
            FIRE.name,
            "open",
            cable.at,
            stated.at,
            f"cable {cable.id}: cannot tell whether its class of reaction to fire is {asked} or better ({runs})",
            missing=tuple(dict.fromkeys(missing)),
            turns=f"holds with {asked}",
            rests_on=(stated.at,),
        )
    worst = short[0]
    named = ", ".join(f"{part.part} {part.has or 'none'} where {part.asked} is asked" for part in short)
    changes: tuple[Change, ...] = ()
    if not stated.assumed and built.design.origin(stated.at) != "measured":
        changes = (Change(stated.at, asked),)
    limit = Limit(f"{worst.part} class", worst.asked_rank, "rank", _BASIS, "stated", "the basis of design")
    return Answer(
        FIRE.name,
        "fail",
        cable.at,
        stated.at,
        f"cable {cable.id} is of class {stated.value}, the basis asks for {asked}: {named} ({runs})",
        value=worst.rank,
        limit=worst.asked_rank,
        unit="rank",
        margin=worst.rank - worst.asked_rank,
        held_against=limit,
        working=named,
        remedy=Remedy(f"cable of class {asked}", changes),
        rests_on=(stated.at,),
    )
