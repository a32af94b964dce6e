"""Answers become findings: checked, placed in their file, with level, clauses, identity and edits."""

import math
from typing import Any, get_args

from riserlint.design.paths import Path, path_text
from riserlint.design.reading import Design
from riserlint.review.answers import Answer, AnswerKind, Level, Related, Remedy, Rule
from riserlint.review.findings import (
    LEVELS,
    Finding,
    FindingLevel,
    PlacedEdit,
    RelatedPlace,
    fingerprint_of,
)
from riserlint.standards.record import Limit

_KINDS = frozenset(get_args(AnswerKind))
_TEXTS = ("unit", "working", "turns", "distinct")


class FlawedAnswer(Exception):  # noqa: N818 - the name says what happened
    """An answer can't be reported as it is; the message says what is wrong with it, after "the rule"."""


def placed(rule: Rule, answer: Answer, design: Design) -> Finding:
    """Return an answer as a finding.

    Raises:
        FlawedAnswer: the answer isn't what its type says; it can't be shown in a report.
    """
    answer = _sound(answer)
    check = rule.check(answer.check)
    level: FindingLevel = "none"
    if answer.kind == "fail":
        level = _capped(answer, answer.level or check.level, design)
    held = answer.held_against
    clauses = (*(() if held is None else (held.citation,)), *check.citations, *answer.citations)
    rests_on = sorted({path_text(path): path for path in answer.rests_on}.items())
    return Finding(
        rule.id,
        rule.title,
        check,
        answer,
        level,
        design.locate(answer.at),
        tuple(RelatedPlace(place.at, design.locate(place.at), place.message) for place in answer.related),
        tuple(dict.fromkeys(clauses)),
        tuple(name.removeprefix("basis.assume.") for name, path in rests_on if path[0] == "basis"),
        tuple(
            _stated(design, name, path)
            for name, path in rests_on
            if path[0] != "basis" and design.statement(path)
        ),
        fingerprint_of(rule.id, answer, design.name),
        None,
        _edits(answer, design),
    )


def told_apart(findings: list[Finding], design: str) -> tuple[Finding, ...]:
    """Return findings in the order of a report; where two have one identity, the later ones get a number."""
    seen: dict[str, int] = {}
    apart: list[Finding] = []
    for finding in sorted(findings, key=lambda finding: (path_text(finding.answer.at), finding.sort_key())):
        count = seen[finding.fingerprint] = seen.get(finding.fingerprint, 0) + 1
        fingerprint = finding.fingerprint
        if count > 1:
            numbered = finding.answer._replace(distinct=f"{finding.answer.distinct}#{count}")
            fingerprint = fingerprint_of(finding.rule_id, numbered, design)
        apart.append(finding._replace(fingerprint=fingerprint))
    return tuple(sorted(apart, key=Finding.sort_key))


def _sound(answer: Any) -> Answer:
    """Return the answer with numbers that every report can write; numbers without end or meaning are left out."""
    if answer.kind not in _KINDS:
        raise _flaw(answer, f"has the kind {answer.kind!r}")
    if answer.level is not None and answer.level not in LEVELS:
        raise _flaw(answer, f"has the level {answer.level!r}")
    if not isinstance(answer.message, str) or not answer.message:
        raise _flaw(answer, "has no message")
    if not all(isinstance(getattr(answer, name), str) for name in _TEXTS):
        raise _flaw(answer, f"has something else than text in one of {', '.join(_TEXTS)}")
    if not all(isinstance(place, Related) for place in answer.related):
        raise _flaw(answer, "has a related place that is none")
    if answer.remedy is not None and not isinstance(answer.remedy, Remedy):
        raise _flaw(answer, "has a remedy that is none")
    paths = (
        answer.subject,
        answer.at,
        *(place.at for place in answer.related),
        *answer.missing,
        *answer.rests_on,
    )
    changes = () if answer.remedy is None else answer.remedy.changes
    wrong = next((path for path in (*paths, *(change.at for change in changes)) if not _is_path(path)), None)
    if wrong is not None:
        raise _flaw(answer, f"names {wrong!r}, which is no path such as ('run', 'R-014')")
    held = answer.held_against
    if held is not None and (not isinstance(held, Limit) or not math.isfinite(held.value)):
        raise _flaw(answer, "is held against something that is no limit")
    sound: Answer = answer
    return sound._replace(
        value=_finite(answer, "value"), limit=_finite(answer, "limit"), margin=_finite(answer, "margin")
    )


def _flaw(answer: Answer, words: str) -> FlawedAnswer:
    return FlawedAnswer(f"says something that can't be reported: an answer of {answer.check} {words}")


def _finite(answer: Answer, name: str) -> float | None:
    number: Any = getattr(answer, name)
    if number is None:
        return None
    try:
        plain = float(number)
    except (TypeError, ValueError):
        raise _flaw(answer, f"has {number!r} as its {name}") from None
    return plain if math.isfinite(plain) else None


def _is_path(path: Any) -> bool:
    return (
        isinstance(path, tuple)
        and bool(path)
        and isinstance(path[0], str)
        and all(isinstance(part, str | int) and not isinstance(part, bool) for part in path)
    )


def _capped(answer: Answer, level: Level, design: Design) -> Level:
    """Return the level after two caps: a habit of the trade is a note; the basis may cap limits from memory."""
    held = answer.held_against
    if held is None:
        return level
    if held.known == "common practice":
        return "note"
    cap = design.basis.model.basis.memory_at_most
    if held.known == "memory" and cap is not None:
        return LEVELS[max(LEVELS.index(level), LEVELS.index(cap))]
    return level


def _stated(design: Design, name: str, path: Path) -> str:
    statement = design.statement(path)
    words: list[str] = ["stated"]
    if statement is not None:
        words = [statement.origin or "stated"]
        if statement.by is not None:
            words.append(f"by {statement.by}")
        if statement.on is not None:
            words.append(f"on {statement.on}")
    return f"{name} {' '.join(words)}"


def _edits(answer: Answer, design: Design) -> tuple[PlacedEdit, ...]:
    """Return the edits that carry out a remedy; none where it says words only, or can't be written in the file."""
    if answer.remedy is None or not answer.remedy.changes:
        return ()
    from riserlint.review.mending import edits_of  # a clean review does without

    sources = {source.name: source for source in design.sources}
    if design.basis.source is not None:
        sources[design.basis.source.name] = design.basis.source
    try:
        edits = edits_of(design, answer.remedy.changes)
    except ValueError:
        return ()
    except TypeError as error:
        raise _flaw(answer, f"has a remedy with a value that can't be written: {error}") from error
    return tuple(PlacedEdit(sources[edit.file].stretch(edit.start, edit.end), edit.text) for edit in edits)
