"""What a review holds: findings with their places, what could not be reviewed, and the exit status."""

import hashlib
from datetime import date
from enum import IntEnum
from typing import Literal, NamedTuple

from riserlint.design.models import Variance
from riserlint.design.paths import Path, path_text
from riserlint.design.problems import Problem
from riserlint.design.sources import Location
from riserlint.review.answers import Answer, Check, Level
from riserlint.review.plugins import Fault, Offered
from riserlint.standards.record import Citation, Limit

#: SARIF's level of a result: ``none`` for every kind but fail.
FindingLevel = Literal["error", "warning", "note", "none"]
LEVELS: tuple[Level, ...] = ("error", "warning", "note")
_RANK = {"error": 0, "warning": 1, "note": 2, "none": 3}
_KIND_RANK = {"fail": 0, "review": 1, "open": 2}


class ExitStatus(IntEnum):
    """What the command ends with."""

    #: Nothing holds.
    CLEAR = 0
    #: A finding holds: one at or above the hold point, or an open answer where the basis holds on those.
    HOLDS = 1
    #: Something could not be reviewed; this outranks a finding that holds.
    NOT_REVIEWED = 2


class RelatedPlace(NamedTuple):
    """Another place that a finding involves."""

    path: Path
    location: Location
    message: str


class PlacedEdit(NamedTuple):
    """A stretch of a file and the text that goes in its place."""

    location: Location
    text: str


class Finding(NamedTuple):
    """One answer of a rule, placed: what a report shows.

    ``edits`` carry out the remedy letter by letter, the last of a file first; there are none where the remedy is
    words only.
    """

    rule_id: str
    rule_title: str
    check: Check
    answer: Answer
    level: FindingLevel
    location: Location
    related: tuple[RelatedPlace, ...]
    citations: tuple[Citation, ...]
    assumed: tuple[str, ...]
    stated: tuple[str, ...]
    fingerprint: str
    variance: Variance | None = None
    edits: tuple[PlacedEdit, ...] = ()

    @property
    def name(self) -> str:
        """Rule and check: ``channel-length/permanent-link``."""
        return f"{self.rule_id}/{self.check.name}"

    @property
    def subject(self) -> str:
        """The logical name of the thing that is judged."""
        return path_text(self.answer.subject)

    @property
    def held_against(self) -> Limit | None:
        """The limit as a record."""
        return self.answer.held_against

    @property
    def counts(self) -> bool:
        """Whether it is open business: no variance covers it."""
        return self.variance is None

    def sort_key(self) -> tuple[int, int, str, int, int, str, str, str]:
        """Worst first; then by place, so that two runs give the same order."""
        return (
            _RANK[self.level],
            _KIND_RANK[self.answer.kind],
            self.location.file,
            self.location.line,
            self.location.column,
            self.name,
            self.subject,
            self.answer.distinct,
        )


def fingerprint_of(rule_id: str, answer: Answer, design: str) -> str:
    """Return the identity of a finding: it stays when lines move and when the computed value changes.

    It is made of the design's file (two designs may each have a run of one id), the rule, the check, the thing that
    is judged and what tells two findings of one check and one thing apart; nothing else.
    """
    parts = (design, rule_id, answer.check, path_text(answer.subject), answer.distinct)
    return hashlib.sha256("\x1f".join(parts).encode("utf-8", "surrogatepass")).hexdigest()[:32]


class Passes(NamedTuple):
    """The things for which a check holds."""

    name: str
    subjects: tuple[str, ...]


class NotSubject(NamedTuple):
    """A thing that a check does not apply to, and why."""

    name: str
    subject: str
    why: str


class TitleBlock(NamedTuple):
    """What a report says of a design at its head."""

    title: str
    revision: str | None
    stage: str | None
    region: str | None
    date: str | None
    basis: str | None
    editions: tuple[tuple[str, str], ...]
    files: tuple[tuple[str, str], ...]


class DesignReview(NamedTuple):
    """The review of one design.

    With ``problems`` (of reading) there is no verdict: no rule ran. ``faults`` are rules that crashed on it;
    what they found before is among the findings.
    """

    file: str
    title_block: TitleBlock | None
    problems: tuple[Problem, ...]
    findings: tuple[Finding, ...]
    passes: tuple[Passes, ...]
    not_applicable: tuple[NotSubject, ...]
    faults: tuple[Fault, ...]
    holds_on_open: bool

    @property
    def reviewed(self) -> bool:
        """Whether every rule could look at it."""
        return not self.problems and not self.faults

    @property
    def passed_count(self) -> int:
        """How many answers were a pass."""
        return sum(len(group.subjects) for group in self.passes)


class Review(NamedTuple):
    """A whole review: designs in order, rules, faults of plugins, paths that gave nothing to review."""

    designs: tuple[DesignReview, ...]
    rules: tuple[Offered, ...]
    faults: tuple[Fault, ...]
    not_found: tuple[str, ...]
    today: date
    hold_at: Level
    version: str

    def holding(self, finding: Finding, design: DesignReview) -> bool:
        """Return whether a finding holds the review."""
        if not finding.counts:
            return False
        if finding.answer.kind == "fail":
            return _RANK[finding.level] <= _RANK[self.hold_at]
        return finding.answer.kind == "open" and design.holds_on_open

    @property
    def exit_status(self) -> ExitStatus:
        """What the command ends with."""
        if self.faults or self.not_found or not all(design.reviewed for design in self.designs):
            return ExitStatus.NOT_REVIEWED
        if any(self.holding(finding, design) for design in self.designs for finding in design.findings):
            return ExitStatus.HOLDS
        return ExitStatus.CLEAR
