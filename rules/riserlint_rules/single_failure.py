"""single-failure: what one failure takes down stays within what the basis and the design allow.

Where a whole building hangs on one switch, one dead power supply blinds all of it; two cameras that were bought to
watch the same case are one camera if they end in the same switch. How much may go is a choice of the owner, so that
nothing is asked unless the basis or the design asks it. What goes down: gear that loses its power, and gear that no
longer reaches what it needs (a recorder, a controller), over gear that has power.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Annotated, NamedTuple

from pydantic import Field

from riserlint import (
    Answer,
    Built,
    Check,
    Citation,
    Gear,
    GearFate,
    Limit,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Rule,
    Said,
    Written,
    hookimpl,
    path_text,
)

_GRAPH = (
    "each circuit, UPS, supply, switch, injector and run fails alone, the mains on; gear goes down that loses all its "
    "power, or that no longer reaches what it needs over gear with power"
)
MOST = Check(
    "most-lost",
    "one failure takes down more of a role than is allowed",
    "warning",
    f"{_GRAPH}; its number ≤ what the basis allows for its role",
)
TOGETHER = Check(
    "together",
    "one failure takes down two that must not be lost together",
    "warning",
    f"{_GRAPH}; no failure takes down both",
)
SPACE = Check(
    "whole-space",
    "one failure takes down all of a role in a space",
    "warning",
    f"{_GRAPH}; of two or more of a role in a space one stays up, whatever fails",
)
#: So many places stand in a finding, and so many ids in its sentence.
FEW = 10
FEW_NAMES = 2
#: What is named first of several that take down the same.
_ORDER = ("switch", "inline", "ups", "circuit", "run")


class Parameters(Written):
    """What the basis asks: how many of a role one failure may take down, and of which roles it may empty no space."""

    most_lost: Annotated[dict[str, Annotated[int, Field(ge=0)]], Field(default_factory=dict)]
    whole_space: Annotated[tuple[str, ...], Field(strict=False)] = ()


class Member(NamedTuple):
    """A device with its fate."""

    gear: Gear
    fate: GearFate


class Fates:
    """The fates of devices, each looked up once."""

    def __init__(self, built: Built) -> None:
        """Begin with none."""
        self.built = built
        self.by_role: dict[str, list[Gear]] = {}
        for gear in built.gear.values():
            role = getattr(gear.model, "role", None)
            if role is not None:
                self.by_role.setdefault(role, []).append(gear)
        self._found: dict[str, GearFate | None] = {}

    def of(self, gear: Gear) -> GearFate | None:
        """Return the fate of a device; None where it has no power without any failure."""
        if gear.id not in self._found:
            self._found[gear.id] = self.built.failures.fate(gear)
        return self._found[gear.id]

    def members(self, gear: Iterable[Gear]) -> list[Member]:
        """Return those that have power, with their fates."""
        return [Member(one, fate) for one in gear if (fate := self.of(one)) is not None]

    def named(self, places: Iterable[int]) -> list[Path]:
        """Return what fails, switches first, in a lasting order."""
        things = (self.built.failures.things[place] for place in places)
        return sorted(
            things, key=lambda at: (len(at), _ORDER.index(str(at[0])) if at[0] in _ORDER else len(_ORDER), at)
        )

    def missing(self, members: Iterable[Member]) -> tuple[Path, ...]:
        """Return what is not known of the ways of some devices."""
        return tuple(dict.fromkeys(path for one in members for path in self.built.failures.missing(one.gear)))


def review(built: Built, parameters: Parameters) -> Iterator[Said]:
    """Yield the answers for every role, pair and space of which something is asked."""
    fates = Fates(built)
    if not parameters.most_lost:
        yield NotApplicable(MOST.name, ("design",), "the basis does not say how many of a role may be lost")
    for role, most in parameters.most_lost.items():
        yield from _most_answers(fates, role, most)
    pairs = list(_pairs(built))
    if not pairs:
        yield NotApplicable(TOGETHER.name, ("design",), "no device says what it must not be lost with")
    for one, other, at in pairs:
        yield _together(fates, one, other, at)
    if not parameters.whole_space:
        yield NotApplicable(SPACE.name, ("design",), "the basis names no role that a space must not lose")
    for role in parameters.whole_space:
        yield from _space_answers(fates, role)


# -- how many ------------------------------------------------------------------------------------------------------


def _most_answers(fates: Fates, role: str, most: int) -> Iterator[Said]:
    subject: Path = ("role", role)
    if len(fates.by_role.get(role, ())) <= most:
        yield NotApplicable(MOST.name, subject, "there are no more of this role than may be lost")
        return
    members = fates.members(fates.by_role[role])
    sure: Counter[int] = Counter(place for one in members for place in one.fate.sure)
    over = {place for place, count in sure.items() if count > most}
    lost: dict[int, list[Member]] = {place: [] for place in over}
    for one in members:
        for place in one.fate.sure & over:
            lost[place].append(one)
    groups: dict[frozenset[str], list[int]] = {}
    for place, gone in lost.items():
        groups.setdefault(frozenset(one.gear.id for one in gone), []).append(place)
    for places in groups.values():
        yield _too_many(fates, role, most, places, lost[places[0]])
    open_answer = _may_be_too_many(fates, role, most, members, sure)
    if open_answer is not None:
        yield open_answer
    elif not groups:
        yield Passed(MOST.name, subject)


def _too_many(fates: Fates, role: str, most: int, places: list[int], gone: list[Member]) -> Answer:
    failing = fates.named(places)
    first, others = failing[0], failing[1:]
    place = next(place for place in places if fates.built.failures.things[place] == first)
    number, of = len(gone), len(fates.by_role[role])
    dark = sum(place in one.fate.dark for one in gone)
    how = f"{dark} without power" if dark == number else f"{number - dark} out of reach of what they need"
    if 0 < dark < number:
        how = f"{dark} without power, {number - dark} out of reach of what they need"
    so_do = f"; {_listed(others)} likewise" if others else ""
    at: Path = ("basis", "rule", "single-failure", "most_lost", role)
    return Answer(
        MOST.name,
        "fail",
        first[:2],
        first,
        f"{_words(first)} alone takes down {number} of {of} of role {role} ({how}); {most} are allowed{so_do}",
        value=number,
        limit=most,
        unit="devices",
        margin=most - number,
        held_against=Limit(
            f"devices of role {role} that one failure may take down",
            most,
            "devices",
            Citation("basis of design", "", path_text(at)),
            "stated",
            path_text(at),
        ),
        working=f"{number} > {most}: {_listed([one.gear.at for one in gone])}",
        related=(
            *(Related(other, "takes down the same") for other in others[:FEW]),
            *(Related(one.gear.at, "goes down with it") for one in gone[:FEW]),
        ),
        remedy=Remedy(
            f"{number - most} or more of them on something else, or a second way past {_words(first)} "
            "for power and for data"
        ),
        distinct=role if len(first) <= 2 else f"{role} {path_text(first[2:])}",
    )


def _may_be_too_many(
    fates: Fates, role: str, most: int, members: list[Member], sure: Counter[int]
) -> Answer | None:
    """Return one open answer for all failures that may take down too many, and not for certain."""
    anything = [one for one in members if one.fate.possible is None]
    possible: Counter[int] = Counter(place for one in members for place in one.fate.possible or ())
    worst = {place: count + len(anything) for place, count in possible.items()}
    for place, count in sure.items():
        worst[place] = max(worst.get(place, 0), count)
    may = {place for place, count in worst.items() if count > most >= sure[place]}
    if not may and len(anything) <= most:
        return None
    turning = [
        one for one in members if one.fate.possible is None or bool((one.fate.possible - one.fate.sure) & may)
    ]
    names = fates.named(may)
    which = f"{_listed(names)} or something that is not known" if names else "something that is not known"
    return Answer(
        MOST.name,
        "open",
        ("role", role),
        ("role", role),
        f"cannot tell whether one failure ({which}) takes down more than {most} of role {role}: the ways of "
        f"{_listed([one.gear.at for one in turning])} are not known",
        related=tuple(Related(one.gear.at, "may go down with it") for one in turning[:FEW]),
        missing=fates.missing(turning),
        distinct="not known",
    )


# -- pairs ---------------------------------------------------------------------------------------------------------


def _pairs(built: Built) -> Iterator[tuple[Gear, Gear, Path]]:
    """Yield each two that must not be lost together once, as it is written first: it holds both ways."""
    seen: set[frozenset[str]] = set()
    for gear in built.gear.values():
        for index, other in enumerate(getattr(gear.model, "not_lost_with", ())):
            if frozenset((gear.id, other)) not in seen:
                seen.add(frozenset((gear.id, other)))
                yield gear, built.gear[other], (*gear.at, "not_lost_with", index)


def _together(fates: Fates, one: Gear, other: Gear, at: Path) -> Said:
    first, second = fates.of(one), fates.of(other)
    if first is None or second is None:
        down = one if first is None else other
        return NotApplicable(TOGETHER.name, one.at, f"{down.id} has no power without any failure")
    dark = first.dark & second.dark
    both = [*fates.named(dark), *fates.named((first.sure & second.sure) - dark)]
    if both:
        return Answer(
            TOGETHER.name,
            "fail",
            one.at,
            at,
            f"{one.id} and {other.id} go down together with {_listed(both)}: they are to survive each other",
            working=f"in common: {', '.join(_words(thing) for thing in both[:FEW])}",
            related=(
                Related(other.at, "goes down with it"),
                *(Related(thing, "takes down both") for thing in both[:FEW]),
            ),
            remedy=Remedy(f"feed and connect {other.id} past {_listed(both)}"),
            rests_on=(at,),
            distinct=other.id,
        )
    if first.possible is not None and second.possible is not None and not first.possible & second.possible:
        return Passed(TOGETHER.name, one.at)
    turning = [
        Member(gear, fate)
        for gear, fate in ((one, first), (other, second))
        if fate.possible is None or fate.possible != fate.sure
    ]
    return Answer(
        TOGETHER.name,
        "open",
        one.at,
        at,
        f"cannot tell whether {one.id} and {other.id} can go down together: not all of what they hang on is known",
        related=(Related(other.at, "is not to be lost with it"),),
        missing=fates.missing(turning),
        rests_on=(at,),
        distinct=other.id,
    )


# -- spaces --------------------------------------------------------------------------------------------------------


def _space_answers(fates: Fates, role: str) -> Iterator[Said]:
    by_space: dict[str, list[Gear]] = {}
    nowhere: list[Gear] = []
    for gear in fates.by_role.get(role, ()):
        if gear.space is None:
            nowhere.append(gear)
        else:
            by_space.setdefault(gear.space, []).append(gear)
    if not by_space and not nowhere:
        yield NotApplicable(SPACE.name, ("role", role), "no gear has this role")
    for space, gear_there in by_space.items():
        subject: Path = ("space", space)
        if len(gear_there) < 2:
            yield NotApplicable(SPACE.name, subject, f"one {role} alone goes down with its own run")
            continue
        yield _emptied(fates, role, subject, fates.members(gear_there), nowhere)
    if nowhere:
        yield Answer(
            SPACE.name,
            "open",
            ("role", role),
            (*nowhere[0].at, "space"),
            f"cannot tell which spaces one failure can empty of role {role}: where {_listed([g.at for g in nowhere])} "
            "stands is not known",
            missing=tuple((*gear.at, "space") for gear in nowhere),
            distinct="space not known",
        )


def _emptied(fates: Fates, role: str, subject: Path, there: list[Member], nowhere: list[Gear]) -> Said:
    if not there:
        return NotApplicable(SPACE.name, subject, "nothing of this role there has power without any failure")
    perhaps_there = fates.members(nowhere)
    everyone = (*there, *perhaps_there)
    surely = frozenset.intersection(*(one.fate.sure for one in everyone))
    dark = frozenset.intersection(*(one.fate.dark for one in everyone))
    if surely:
        all_of_them = [*fates.named(dark), *fates.named(surely - dark)]
        return Answer(
            SPACE.name,
            "fail",
            subject,
            subject,
            f"{_listed(all_of_them)} alone takes down all {len(there)} of role {role} in {subject[1]}",
            working=f"in common: {', '.join(_words(thing) for thing in all_of_them[:FEW])}",
            related=tuple(Related(thing, "takes down all of them") for thing in all_of_them[:FEW]),
            remedy=Remedy(f"feed and connect one or more of them past {_listed(all_of_them)}"),
            distinct=role,
        )
    possible = [one.fate.possible for one in there if one.fate.possible is not None]
    may = frozenset.intersection(*possible) if possible else None
    if may is not None and not may:
        return Passed(SPACE.name, subject)
    turning = [one for one in there if one.fate.possible is None or one.fate.possible != one.fate.sure]
    missing = [*fates.missing(turning), *((*gear.at, "space") for gear in nowhere)]
    return Answer(
        SPACE.name,
        "open",
        subject,
        subject,
        f"cannot tell whether one failure takes down all {len(there)} of role {role} in {subject[1]}",
        missing=tuple(dict.fromkeys(missing)),
        distinct=role,
    )


# -- words ---------------------------------------------------------------------------------------------------------


def _words(thing: Path) -> str:
    """Return what fails: its id, and of a supply which."""
    if len(thing) <= 2:
        return str(thing[1])
    listed = [part for part in thing if isinstance(part, int)]
    return f"supply {listed[0] + 1} of {thing[1]}" if listed else f"the supply of {thing[1]}"


def _listed(things: Iterable[Path]) -> str:
    names = [_words(thing) for thing in things]
    if len(names) <= FEW_NAMES:
        return " or ".join(names)
    return f"{', '.join(names[:FEW_NAMES])} or {len(names) - FEW_NAMES:,} more"


RULE = Rule(
    "single-failure",
    "no single failure takes down more than is allowed",
    "One dead supply, one cut run or one tripped breaker blinds all that hangs on it, and all that reaches its "
    "recorder over it; two that watch the same place are worth one if they share a switch.",
    (MOST, TOGETHER, SPACE),
    review,
    Parameters,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
