"""A rule for the tests of engine and reports, and the review of designs written as text with it.

It knows one limit: no link is longer than 90 m. Nothing of it comes from a standard.
"""

from collections.abc import Callable, Iterable, Iterator
from datetime import date
from pathlib import Path as FilePath
from typing import Any, NamedTuple

from riserlint import (
    Answer,
    Built,
    Change,
    Check,
    Citation,
    Fault,
    Level,
    Limit,
    NotApplicable,
    Passed,
    Related,
    Remedy,
    Review,
    Rule,
    RuleSet,
    Said,
    Written,
    review_paths,
)
from riserlint.review.plugins import Offered

TODAY = date(2026, 11, 25)
CLAUSE = Citation("Sample Standard 7", "2020", "4.2")
HANDBOOK = Citation("Sample handbook", "", "")
LIMIT = Limit("longest link", 90.0, "m", CLAUSE, "published", "the text itself")
REMEMBERED = Limit("longest cord", 5.0, "m", CLAUSE, "memory", "recalled; no public page states it")
HABIT = Limit("tidy link", 50.0, "m", HANDBOOK, "common practice", "the trade does so")

LINK = Check("link", "the link is too long", "error", "link ≤ 90 m", (CLAUSE,), (LIMIT,))
CORDS = Check("cords", "the cords are too long", "error", "sum of cords ≤ 5 m", (), (REMEMBERED,))
TIDY = Check("tidy", "the link is longer than is usual", "warning", "link ≤ 50 m", (), (HABIT,))
LOOK = Check("look", "somebody must look at the run", "warning", "a run without a cable is looked at")


class Parameters(Written):
    """What the basis may set: another longest link."""

    most_m: float | None = None
    names: tuple[str, ...] = ()


def _answers(built: Built, parameters: Parameters) -> Iterator[Said]:
    most = LIMIT.value if parameters.most_m is None else parameters.most_m
    for run in built.runs.values():
        link = run.value("link_m")
        if run.model.through:
            yield NotApplicable("link", run.at, "a thing is in the run")
        elif link.value is None:
            yield Answer(
                "link",
                "open",
                run.at,
                link.at,
                f"{run.id}: cannot tell how long its link is",
                held_against=LIMIT,
                missing=(link.at,),
                turns=f"holds if the link is {most:g} m or less",
            )
        elif link.value > most:
            ends = tuple(
                Related((*port.gear.at,), f"{run.id} ends here")
                for port in (run.from_port, run.to_port)
                if port
            )
            yield Answer(
                "link",
                "fail",
                run.at,
                link.at,
                f"{run.id}: link of {link.value:g} m, at most {most:g} m",
                value=link.value,
                limit=most,
                unit="m",
                margin=most - link.value,
                held_against=LIMIT,
                working=f"{link.value:g} m > {most:g} m",
                related=ends,
                remedy=Remedy(f"take {link.value - most:g} m off", (Change(link.at, most),)),
                rests_on=(link.at,),
            )
        else:
            yield Passed("link", run.at)
        cords = [cord.metres.value for cord in run.cords or () if cord.metres.value is not None]
        if sum(cords) > REMEMBERED.value:
            yield Answer(
                "cords",
                "fail",
                run.at,
                (*run.at, "cords_m"),
                f"{run.id}: cords of {sum(cords):g} m",
                held_against=REMEMBERED,
            )
        if link.value is not None and link.value > HABIT.value:
            yield Answer("tidy", "fail", run.at, link.at, f"{run.id}: not tidy", held_against=HABIT)
        if run.model.cable is None:
            yield Answer("look", "review", run.at, run.at, f"{run.id}: look which cable it is")


SAMPLE = Rule(
    "sample", "links are short", "A long link loses frames.", (LINK, CORDS, TIDY, LOOK), _answers, Parameters
)


def rule_of(
    review: Callable[[Built, Any], Iterable[Said]],
    *,
    name: str = "other",
    checks: tuple[Check, ...] = (LINK,),
) -> Rule:
    """Return a rule with one check, ``link``, that says what a function yields."""
    return Rule(name, "a rule of a test", "It shows something.", checks, review)


def _crash(built: Built, parameters: object) -> Iterator[Said]:
    yield Passed("link", ("run", str(1 / 0)))


CRASH = rule_of(_crash, name="crash")


def rule_set(*rules: Rule, faults: tuple[Fault, ...] = ()) -> RuleSet:
    """Return rules as if they had been loaded from a distribution."""
    offered = [Offered(rule, f"{rule.id}-module", "sample-rules") for rule in rules]
    return RuleSet(tuple(sorted(offered, key=lambda one: one.rule.id)), faults)


class Folder(NamedTuple):
    """A folder with a root of its own, in which designs are written and reviewed."""

    path: FilePath

    def write(self, files: dict[str, str]) -> "Folder":
        """Write files; the folder is a root."""
        (self.path / ".git").mkdir(exist_ok=True)
        for name, text in files.items():
            file = self.path / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8", newline="")
        return self

    def review(
        self,
        *names: str,
        rules: RuleSet | None = None,
        hold_at: Level = "error",
        today: date = TODAY,
        designs_only: bool = False,
    ) -> Review:
        """Return the review of the named files (of the whole folder, if none is named)."""
        paths = [self.path / name for name in names] or [self.path]
        rules = rule_set(SAMPLE) if rules is None else rules
        return review_paths(
            paths, rules, today=today, hold_at=hold_at, version="9.8.7", designs_only=designs_only
        )


HEAD = '[design]\ntitle = "Pool"\nrevision = "B"\nstage = "construction"\nregion = "europe"\n'
GEAR = '[cable]\nh = { category = "6A" }\n[switch]\ncore = {}\n[device]\ncam-1 = {}\ncam-2 = {}\n'


def design(*runs: str, head: str = HEAD, gear: str = GEAR, tail: str = "") -> str:
    """Return the text of a design with runs, one a line."""
    return f"{head}{gear}[run]\n" + "".join(f"{run}\n" for run in runs) + tail


LONG = 'R-1 = { from = "core/1", to = "cam-1", cable = "h", link_m = 95.5 }'
SHORT = 'R-2 = { from = "core/2", to = "cam-2", cable = "h", link_m = 12 }'
UNKNOWN = 'R-3 = { from = "core/3", cable = "h" }'
