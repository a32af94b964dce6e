"""The structure of the JSON report as models: their schema documents it and is shipped beside them.

Nothing here is loaded by a review: the report is written from plain values, and tests hold every report against
the schema made from these models.
"""

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", use_attribute_docstrings=True)


class Place(_Part):
    """A stretch of a file: lines and columns from 1, the end exclusive, columns in characters."""

    file: str
    """The file relative to the repository (the nearest folder with .git), else to the root; with forward slashes."""
    line: int
    column: int
    end_line: int
    end_column: int


class Clause(_Part):
    """One clause of one text."""

    text: str
    edition: str
    clause: str


class HeldAgainst(_Part):
    """The limit that a value was held against, and how it is known."""

    name: str
    value: float
    unit: str
    citation: str
    known: Literal["published", "memory", "common practice", "derived", "stated"]
    source: str
    note: str


class RelatedPlace(_Part):
    """Another place that a finding involves."""

    at: str
    location: Place
    message: str


class ChangeOfValue(_Part):
    """One change of the design."""

    at: str
    """The logical name of the value."""
    value: Any
    """The new value."""


class Mending(_Part):
    """What would mend a finding: words, and changes that make it go away (there may be none)."""

    text: str
    changes: list[ChangeOfValue]


class GrantedVariance(_Part):
    """The variance that covers a finding."""

    reason: str
    granted_by: str
    until: str | None


class ReportedFinding(_Part):
    """One answer that a reader must see."""

    rule: str
    check: str
    kind: Literal["fail", "open", "review"]
    """SARIF's kinds: fail; open (cannot tell); review (a human must look)."""
    level: Literal["error", "warning", "note", "none"]
    """SARIF's levels; none for every kind but fail."""
    holds: bool
    """Whether it holds the review at its hold point."""
    subject: str
    """The logical name of the thing that is judged."""
    at: str
    """The logical name of the value that the finding points at."""
    location: Place
    message: str
    value: float | None
    limit: float | None
    unit: str
    margin: float | None
    """Distance to the limit in the unit; negative over it."""
    held_against: HeldAgainst | None
    citations: list[Clause]
    working: str
    """The formula with this case's numbers in it."""
    related: list[RelatedPlace]
    remedy: Mending | None
    missing: list[str]
    """The values that are not known and on which an open answer turns."""
    turns: str
    """The value at which an open answer turns."""
    stated: list[str]
    """Origin, instrument and date of the values that it rests on, where stated."""
    assumed: list[str]
    """The values that it rests on and that the basis assumes."""
    fingerprint: str
    """Stays when lines move, tables are reordered or the computed value changes."""
    variance: GrantedVariance | None


class KnowledgeGap(_Part):
    """Open answers gathered by what is missing."""

    what: str
    things: list[str]
    answers: int
    checks: list[str]


class PassedCheck(_Part):
    """The things for which a check holds."""

    check: str
    subjects: list[str]


class SkippedCheck(_Part):
    """The things that a check does not apply to, and why."""

    check: str
    why: str
    subjects: list[str]


class ProblemOfReading(_Part):
    """One problem of a file that could not be read as a design; line and column are 0 where it can't be opened."""

    file: str
    line: int
    column: int
    at: str
    message: str


class PluginFault(_Part):
    """A plugin that did not load, or a rule that crashed: what it would have said is not known."""

    plugin: str
    distribution: str
    message: str


class ReadFile(_Part):
    """A file that the review read."""

    name: str
    sha256: str


class Title(_Part):
    """The title block of a design."""

    title: str
    revision: str | None
    stage: str | None
    region: str | None
    date: str | None
    basis: str | None
    editions: dict[str, str]
    files: list[ReadFile]


class Counts(_Part):
    """How many answers of each kind."""

    error: int
    warning: int
    note: int
    open: int
    review: int
    accepted: int
    holding: int
    not_applicable: int
    passed: int

    model_config = ConfigDict(alias_generator=lambda name: "pass" if name == "passed" else name)


class ReviewedDesign(_Part):
    """The review of one design; with problems of reading there is no verdict."""

    file: str
    title_block: Title | None
    reviewed: bool
    problems: list[ProblemOfReading]
    faults: list[PluginFault]
    counts: Counts
    findings: list[ReportedFinding]
    gaps: list[KnowledgeGap]
    passes: list[PassedCheck]
    not_applicable: list[SkippedCheck]


class ToolVersion(_Part):
    """What wrote the report."""

    name: Literal["riserlint"]
    version: str


class RuleThatRan(_Part):
    """A rule that ran, and the distribution that it came from."""

    id: str
    title: str
    distribution: str


class Report(_Part):
    """A whole review."""

    format_version: str
    """The version of this structure (SemVer)."""
    tool: ToolVersion
    today: str
    hold_at: Literal["error", "warning", "note"]
    exit_status: Literal[0, 1, 2]
    rules: list[RuleThatRan]
    faults: list[PluginFault]
    not_found: list[str]
    not_reviewed: list[str]
    cautions: list[str]
    designs: list[ReviewedDesign]


def schema() -> dict[str, Any]:
    """Return the JSON Schema of the report."""
    made = Report.model_json_schema(by_alias=True)
    made["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    made["title"] = "riserlint review"
    return made


if __name__ == "__main__":
    import json
    import sys

    sys.stdout.write(json.dumps(schema(), indent=2, ensure_ascii=False) + "\n")
