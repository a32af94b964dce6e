"""What a rule says: answers, their parts, and the rule itself with its checks."""

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from riserlint.design.models import Written
from riserlint.design.paths import Path
from riserlint.standards.record import Citation, Limit

if TYPE_CHECKING:
    from riserlint.analysis.built import Built

#: SARIF's kinds that need a reader; *pass* and *notApplicable* are :class:`Passed` and :class:`NotApplicable`.
AnswerKind = Literal["fail", "open", "review"]
#: SARIF's levels, worst first.
Level = Literal["error", "warning", "note"]


class Related(NamedTuple):
    """Another place that is involved: where, and what it has to do with the finding."""

    at: Path
    message: str


class Change(NamedTuple):
    """One change of a design: the value under a path becomes another; a value of None takes the key out."""

    at: Path
    value: Any


class Remedy(NamedTuple):
    """What would mend it, in words, and as changes of the design that make the finding go away."""

    text: str
    changes: tuple[Change, ...] = ()


class Answer(NamedTuple):
    """One answer of a rule that a reader must see.

    Attributes:
        check: the name of the check, one of the rule's.
        kind: ``fail``; ``open`` (cannot tell); ``review`` (a human must look).
        subject: the thing that is judged, as (kind, id): the identity of the finding.
        at: the value that the finding points at.
        message: one sentence for a fitter, with the numbers.
        level: the level of a fail where it differs from the check's.
        value, limit, unit, margin: the computed value, what it is held against, their unit, and the distance
            to the limit (negative: over it).
        held_against: the limit as a record, with its citation and how it is known.
        citations: clauses beside those of the check and of ``held_against``.
        working: the formula with this case's numbers in it.
        related: other places involved.
        remedy: what would mend it, computed.
        missing: the values that are not known and on which an open answer turns.
        turns: the value at which an open answer turns ("holds if the run is 83 m or less").
        rests_on: values that it rests on; those that the basis assumes are named in the report.
        distinct: tells two findings of one check and one subject apart (a state, a VLAN, a supply).
    """

    check: str
    kind: AnswerKind
    subject: Path
    at: Path
    message: str
    level: Level | None = None
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    margin: float | None = None
    held_against: Limit | None = None
    citations: tuple[Citation, ...] = ()
    working: str = ""
    related: tuple[Related, ...] = ()
    remedy: Remedy | None = None
    missing: tuple[Path, ...] = ()
    turns: str = ""
    rests_on: tuple[Path, ...] = ()
    distinct: str = ""


class Passed(NamedTuple):
    """A check that holds for a thing."""

    check: str
    subject: Path


class NotApplicable(NamedTuple):
    """A check that a thing is not subject to, and why."""

    check: str
    subject: Path
    why: str


Said = Answer | Passed | NotApplicable


class Check(NamedTuple):
    """One question that a rule asks: its name, level where it fails, clauses, formula and limits."""

    name: str
    title: str
    level: Level
    formula: str
    citations: tuple[Citation, ...] = ()
    limits: tuple[Limit, ...] = ()


class NoParameters(Written):
    """The parameters of a rule that has none."""


class Rule(NamedTuple):
    """A rule: metadata as data, and one generator.

    ``review`` is handed the built installation with its analyses, and the rule's parameters as the basis sets
    them (an instance of ``parameters``), and yields answers.
    """

    id: str
    title: str
    why: str
    checks: tuple[Check, ...]
    review: "Callable[[Built, Any], Iterable[Said]]"
    parameters: type[Written] = NoParameters

    def check(self, name: str) -> Check:
        """Return a check by its name.

        Raises:
            KeyError: the rule has no such check.
        """
        for check in self.checks:
            if check.name == name:
                return check
        raise KeyError(name)
