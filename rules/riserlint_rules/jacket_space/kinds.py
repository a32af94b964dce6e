"""The answers by kind of cable: all runs of a kind through one space make one finding."""

from collections.abc import Hashable, Iterable, Iterator
from typing import NamedTuple

from riserlint import (
    Answer,
    Asked,
    Built,
    Cable,
    Change,
    Limit,
    Passed,
    Path,
    Places,
    Related,
    Remedy,
    Run,
    Said,
    fire_limits,
    first_and_number,
    jackets,
)
from riserlint_rules.jacket_space.checks import GENERAL, OUTDOOR, PLENUM, RISER

#: In the order in which they speak for a cable of unknown jacket.
CHECKS = {"plenum": PLENUM, "duct": PLENUM, "riser": RISER, "general": GENERAL, "outdoor-jacket": OUTDOOR}
LIMITS: dict[str, Limit] = {
    PLENUM.name: fire_limits.PLENUM_STEP,
    RISER.name: fire_limits.RISER_STEP,
    GENERAL.name: fire_limits.GENERAL_STEP,
    OUTDOOR.name: fire_limits.OUTDOOR_JACKET,
}
_WORST_FIRST = ("fail", "review", "open")
_OUTDOOR_MARK = "outdoor"


class Placed(NamedTuple):
    """What a place asks, and the runs of one kind of cable and one way that pass it."""

    asked: Asked
    runs: list[Run]


class Judged(NamedTuple):
    """What one place of some runs comes to: fail, review or open, with what is missing."""

    placed: Placed
    outcome: str
    missing: tuple[Path, ...]

    @property
    def asked(self) -> Asked:
        """What the place asks."""
        return self.placed.asked


def marks_of(cable: Cable) -> tuple[str, ...] | None:
    """Return the marks on a jacket; None where they are not known."""
    marks: tuple[str, ...] | None = cable.value("jacket").value
    return marks


def marks_text(marks: tuple[str, ...]) -> str:
    """Return marks for a reader."""
    return " ".join("for outdoors" if mark == _OUTDOOR_MARK else mark for mark in marks) or "no mark"


class Kinds:
    """The places of every kind of cable, judged.

    ``failed`` are the ids of runs whose jacket fails in a plenum or from floor to floor: other findings about the
    type of their cable would say the same again.
    """

    def __init__(self, built: Built, places: Places, *, dwelling: bool) -> None:
        """Keep what is judged."""
        self._built = built
        self._places = places
        self._dwelling = dwelling
        self.failed: set[str] = set()
        self._judged: dict[str, list[Judged]] = {}
        self._placed: dict[str, list[Placed]] = {}
        self._no_kind: list[Placed] = []

    def said(self, *, by_type: bool) -> Iterator[Said]:
        """Yield the answers for every kind of cable that lies where something is asked of it."""
        alike: dict[tuple[str, Hashable], list[Run]] = {}
        for run in self._built.runs.values():
            cable_id = "" if run.cable is None else run.cable.id
            alike.setdefault((cable_id, self._places.signature(run)), []).append(run)
        for (cable_id, _), runs in alike.items():
            asked = self._places.asked_of(runs[0], by_type=by_type)
            placed = [Placed(self._softened(one), runs) for one in asked]
            if not cable_id:
                self._no_kind.extend(one for one in placed if one.asked.sure)
            elif placed:
                self._take(self._built.cables[cable_id], placed, runs)
        for cable_id, everything in self._placed.items():
            yield from self._of(self._built.cables[cable_id], everything)
        if self._no_kind:
            yield self._unknown_kind()

    def _softened(self, asked: Asked) -> Asked:
        if self._dwelling and asked.check == "general":
            return asked._replace(step=int(fire_limits.DWELLING_STEP.value))
        return asked

    def _take(self, cable: Cable, placed: list[Placed], runs: list[Run]) -> None:
        self._placed.setdefault(cable.id, []).extend(placed)
        marks = marks_of(cable)
        if marks is None:
            return
        found = [judged for one in placed if (judged := self._judge(one, marks)) is not None]
        if any(one.outcome == "fail" and one.asked.check in {"plenum", "riser"} for one in found):
            self.failed.update(run.id for run in runs)
            found = [one for one in found if one.asked.check != "general"]
        self._judged.setdefault(cable.id, []).extend(found)

    def _judge(self, placed: Placed, marks: tuple[str, ...]) -> Judged | None:
        asked, step = placed.asked, jackets.step_of(marks)
        if asked.check == "duct":
            return Judged(placed, "review", ())
        if asked.check == "outdoor-jacket":
            does = _OUTDOOR_MARK in marks
        elif asked.check == "general" and step == 0 and _OUTDOOR_MARK in marks:
            return None  # how far unlisted outdoor cable comes in is another check's
        else:
            does = step >= asked.step
        if does:
            return None
        if asked.sure is None:
            return Judged(placed, "open", asked.missing)
        if asked.look and (asked.check == "riser" or step == fire_limits.DWELLING_STEP.value):
            return Judged(placed, "review", ())
        if asked.check != "outdoor-jacket" and self._built.region is None:
            return Judged(placed, "open", (("design", "region"),))
        return Judged(placed, "fail", ())

    # -- answers --------------------------------------------------------------------------------------------

    def _of(self, cable: Cable, everything: list[Placed]) -> Iterator[Said]:
        marks = marks_of(cable)
        if marks is None:
            yield self._unknown_jacket(cable, everything)
            return
        groups: dict[tuple[str, str], dict[str, list[Judged]]] = {}
        for one in self._judged.get(cable.id, ()):
            key = (CHECKS[one.asked.check].name, one.asked.place)
            groups.setdefault(key, {}).setdefault(one.outcome, []).append(one)
        still_open: dict[str, list[Judged]] = {}
        spoken = set()
        for (check, place), outcomes in groups.items():
            spoken.add(check)
            worst = next(outcome for outcome in _WORST_FIRST if outcome in outcomes)
            if worst == "open":
                still_open.setdefault(check, []).extend(outcomes[worst])
            else:
                yield self._finding(cable, marks, place, outcomes[worst], everything)
        for judged in still_open.values():
            yield self._open(cable, marks, judged)
        for check in dict.fromkeys(CHECKS[one.asked.check].name for one in everything):
            if check not in spoken:
                yield Passed(check, cable.at)

    def _finding(
        self, cable: Cable, marks: tuple[str, ...], place: str, judged: list[Judged], everything: list[Placed]
    ) -> Answer:
        asked, outcome = judged[0].asked, judged[0].outcome
        check, jacket = CHECKS[asked.check], cable.value("jacket")
        runs = _runs(one.placed for one in judged)
        words, remedy = _words(asked, place), self._remedy(cable, marks, everything)
        sheltered = asked.check == "outdoor-jacket" and self._is_sheltered(asked)
        value, limit, working, unit = _compared(asked, marks)
        duct = asked.check == "duct"
        return Answer(
            check.name,
            "fail" if outcome == "fail" else "review",
            cable.at,
            jacket.at,
            f"cable {cable.id} ({marks_text(marks)}) {words}{f' ({asked.look})' if asked.look else ''}: {runs}",
            level="note" if sheltered else None,
            value=None if duct else value,
            limit=None if duct else limit,
            unit="" if duct else unit,
            margin=None if duct else value - limit,
            held_against=None if duct else _limit(asked),
            working="" if duct else working,
            related=(Related(asked.at, place), Related(judged[0].placed.runs[0].at, "one of its runs")),
            remedy=None if duct else remedy,
            rests_on=(jacket.at, asked.at),
            distinct=f"duct {place}" if duct else place,
        )

    def _is_sheltered(self, asked: Asked) -> bool:
        space = self._built.spaces.get(asked.place)
        return space is not None and space.value("exposure").value == "sheltered"

    def _remedy(self, cable: Cable, marks: tuple[str, ...], everything: list[Placed]) -> Remedy:
        """Return the lowest jacket that would do in all places where something is known to be asked of this kind."""
        sure = [one.asked for one in everything if one.asked.sure]
        step = max((one.step for one in sure if one.check != "duct"), default=0)
        step = max(step, jackets.step_of(marks))
        outdoors = _OUTDOOR_MARK in marks or any(one.check == "outdoor-jacket" for one in sure)
        lowest = [jackets.lowest_mark(step, marks)] if step > jackets.step_of(marks) else []
        kept = [mark for mark in marks if mark != _OUTDOOR_MARK and not lowest]
        wanted = [*(lowest or kept), *([_OUTDOOR_MARK] if outdoors else [])]
        jacket = cable.value("jacket")
        text = f"a jacket with the marks {', '.join(wanted)}: the lowest that would do for all runs of {cable.id}"
        if jacket.assumed or self._built.design.origin(jacket.at) == "measured":
            return Remedy(text)
        return Remedy(text, (Change(jacket.at, wanted[0] if len(wanted) == 1 else wanted),))

    def _open(self, cable: Cable, marks: tuple[str, ...], judged: list[Judged]) -> Answer:
        asked = judged[0].asked
        check, jacket = CHECKS[asked.check], cable.value("jacket")
        step = max(one.asked.step for one in judged)
        turns = (
            "holds with a mark for outdoors" if check is OUTDOOR else f"holds with {_type(step)} or higher"
        )
        runs = _runs(one.placed for one in judged)
        return Answer(
            check.name,
            "open",
            cable.at,
            jacket.at,
            f"cable {cable.id} ({marks_text(marks)}): cannot tell whether {check.title} ({runs})",
            held_against=LIMITS[check.name],
            missing=tuple(dict.fromkeys(path for one in judged for path in one.missing)),
            turns=turns,
            rests_on=(jacket.at,),
        )

    def _unknown_jacket(self, cable: Cable, everything: list[Placed]) -> Answer:
        sure = [one for one in everything if one.asked.sure]
        told = [one.asked for one in sure or everything]
        asked = min(told, key=lambda one: list(CHECKS).index(one.check))
        check, jacket = CHECKS[asked.check], cable.value("jacket")
        step = max(one.step for one in told)
        outdoors = any(one.check == "outdoor-jacket" for one in told)
        wanted = [
            *([f"{_type(step)} or higher"] if step else []),
            *(["a mark for outdoors"] if outdoors else []),
        ]
        more = () if sure else tuple(path for one in told for path in one.missing)
        runs = _runs(sure or everything)
        return Answer(
            check.name,
            "open",
            cable.at,
            jacket.at,
            f"cable {cable.id}: its jacket is not known, and its spaces ask for one ({runs})",
            missing=tuple(dict.fromkeys((jacket.at, *more))),
            turns=f"holds with {' and '.join(wanted)}" if wanted else "",
        )

    def _unknown_kind(self) -> Answer:
        asked = min((one.asked for one in self._no_kind), key=lambda one: list(CHECKS).index(one.check))
        check = CHECKS[asked.check]
        missing = tuple(dict.fromkeys(run.value("cable").at for one in self._no_kind for run in one.runs))
        runs = _runs(self._no_kind)
        message = f"their kind of cable is not known, and their spaces ask for a jacket: {runs}"
        return Answer(check.name, "open", ("design",), missing[0], message, missing=missing)


def _runs(placed: Iterable[Placed]) -> str:
    return first_and_number(dict.fromkeys(run.id for one in placed for run in one.runs))


def _limit(asked: Asked) -> Limit:
    if asked.check == "general" and asked.step == fire_limits.DWELLING_STEP.value:
        return fire_limits.DWELLING_STEP
    return LIMITS[CHECKS[asked.check].name]


def _type(step: int) -> str:
    return jackets.lowest_mark(step)


def _words(asked: Asked, place: str) -> str:
    if asked.check == "outdoor-jacket":
        return f"lies outdoors, in {place}, and has no mark for that"
    if asked.check == "riser":
        return f"passes from {place}, where {_type(asked.step)} or higher is asked"
    if asked.check == "duct":
        return f"lies in {place}, a duct for air"
    what = ", a plenum" if asked.check == "plenum" else ""
    return f"lies in {place}{what}, where {_type(asked.step)} or higher is asked"


def _compared(asked: Asked, marks: tuple[str, ...]) -> tuple[int, int, str, str]:
    if asked.check == "outdoor-jacket":
        return 0, 1, f"marks: {marks_text(marks)}; asked: for outdoors", "mark for outdoors"
    step = jackets.step_of(marks)
    working = f"{marks_text(marks)}, step {step} < {_type(asked.step)}, step {asked.step} of the order of substitution"
    return step, asked.step, working, "step"
