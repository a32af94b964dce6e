"""For the tests of rule authors: review a design given as text with one rule, and try the remedies.

A row of a rule's table is a :class:`Case`: a sentence, the text of a design, and the *whole* list of what the rule
is expected to say. :func:`said` runs a rule over a text; :func:`mended` applies a finding's remedy to it.
"""

import tempfile
from collections.abc import Sequence
from datetime import date
from pathlib import Path as FilePath
from typing import NamedTuple

from riserlint.design.reading import read_basis, read_design
from riserlint.review.answers import Remedy, Rule
from riserlint.review.engine import review_design
from riserlint.review.findings import DesignReview, Finding
from riserlint.review.mending import edited, edits_of
from riserlint.review.plugins import Offered

#: A day on which tests review, so that no test depends on the clock.
TODAY = date(2026, 11, 25)


class Expected(NamedTuple):
    """One finding as a row expects it: check, kind or level, the thing judged, the text that it points at.

    ``outcome`` is the level of a fail (``error``, ``warning``, ``note``), else the kind (``open``, ``review``).
    """

    check: str
    outcome: str
    subject: str
    points_at: str


class Case(NamedTuple):
    """One row: what it shows, the design, what is expected (nothing: the rule is content), the basis."""

    shows: str
    design: str
    expected: tuple[Expected, ...] = ()
    basis: str = ""


def review_text(
    design: str, rules: Sequence[Rule], *, basis: str = "", today: date = TODAY, name: str = "design.toml"
) -> DesignReview:
    """Return the review of a design given as text, with the basis given as text."""
    with tempfile.TemporaryDirectory() as folder:
        file = _written(FilePath(folder), design, basis, name)
        return review_design(file, [Offered(rule, "test", "test") for rule in rules], today=today)


def said(case: Case, rule: Rule) -> tuple[Expected, ...]:
    """Return what a rule says of a row's design, in the order of the report.

    Raises:
        AssertionError: the design can't be read, or the rule crashed.
    """
    review = review_text(case.design, [rule], basis=case.basis)
    problems = [f"{problem.line}:{problem.column}: {problem.message}" for problem in review.problems]
    faults = [fault.message for fault in review.faults]
    if problems or faults:
        raise AssertionError("\n".join([*problems, *faults]))
    return tuple(_expected(finding) for finding in review.findings)


def pointed_at(finding: Finding) -> str:
    """Return the text of the file that a finding points at."""
    location = finding.location
    if location.line != location.end_line:
        return location.source_line[location.column - 1 :]
    return location.source_line[location.column - 1 : location.end_column - 1]


def mended(design: str, remedy: Remedy, *, basis: str = "") -> str:
    """Return the text of a design after the changes of a remedy.

    Raises:
        ValueError: a change can't be written at its place, or it is one of the basis.
    """
    with tempfile.TemporaryDirectory() as folder:
        root = FilePath(folder).resolve()
        file = _written(root, design, basis, "design.toml")
        read, _ = read_design(file, root, read_basis(file, root))
        edits = edits_of(read, remedy.changes)
        other = next((edit.file for edit in edits if edit.file != read.name), None)
        if other is not None:
            raise ValueError(f"the remedy changes {other}, not the design")
        return edited(design, edits)


def _expected(finding: Finding) -> Expected:
    outcome = finding.level if finding.answer.kind == "fail" else finding.answer.kind
    return Expected(finding.check.name, outcome, finding.subject, pointed_at(finding))


def _written(folder: FilePath, design: str, basis: str, name: str) -> FilePath:
    (folder / ".git").mkdir(exist_ok=True)
    if basis:
        (folder / "basis.toml").write_text(basis, encoding="utf-8")
    file = folder / name
    file.write_text(design, encoding="utf-8")
    return file
