"""Variances: accepted findings; those that are expired, match nothing or name no rule are findings themselves."""

from datetime import date
from typing import Final

from riserlint.design.models import Variance
from riserlint.design.paths import parse_path, path_text
from riserlint.review.answers import Answer, Check, Rule, Said
from riserlint.review.findings import Finding

UNMATCHED: Final = Check(
    "unmatched",
    "a variance matches no finding",
    "warning",
    "The rule (or check) and the object of a variance are looked up among the findings of this review.",
)
EXPIRED: Final = Check(
    "expired",
    "a variance has expired",
    "error",
    "until < today: from the day after its last day a variance no longer counts.",
)
UNKNOWN_RULE: Final = Check(
    "unknown-rule",
    "a variance names no rule",
    "error",
    "The rule and the check of a variance must be ones that this review ran.",
)


def _nothing(built: object, parameters: object) -> tuple[Said, ...]:  # noqa: ARG001 - the engine judges variances
    return ()


RULE: Final = Rule(
    "variance",
    "a variance counts only while it is valid and matches a finding",
    "A deviation that was granted once is forgotten easily: each variance states why, by whom and until when.",
    (EXPIRED, UNKNOWN_RULE, UNMATCHED),
    _nothing,
)


def covers(variance: Variance, finding: Finding) -> bool:
    """Return whether a variance names this finding: its check (or its whole rule) and its object."""
    return variance.rule in {finding.rule_id, finding.name} and _object_of(variance) == finding.subject


def judged(
    variances: tuple[Variance, ...],
    rules: dict[str, Rule],
    findings: list[Finding],
    today: date,
    crashed: frozenset[str] = frozenset(),
) -> tuple[dict[int, Variance], list[Answer]]:
    """Return the variance that covers each finding (by its index), and answers on variances themselves.

    Whether a variance matches nothing can't be told of a rule that crashed before it had said everything.
    """
    granted: dict[int, Variance] = {}
    answers: list[Answer] = []
    by_subject: dict[str, list[int]] = {}
    for index, finding in enumerate(findings):
        by_subject.setdefault(finding.subject, []).append(index)
    for position, variance in enumerate(variances):
        at = ("variance", position)
        subject = ("variance", f"{variance.rule} at {variance.at}")
        named_rule, _, named_check = variance.rule.partition("/")
        rule = rules.get(named_rule)
        if rule is None or (
            variance.rule != named_rule and all(check.name != named_check for check in rule.checks)
        ):
            known = (
                ", ".join(sorted(rules)) if rule is None else ", ".join(check.name for check in rule.checks)
            )
            what = "rule" if rule is None else f"check of {named_rule}"
            message = f'no {what} is named "{variance.rule}"; known: {known}'
            answers.append(Answer("unknown-rule", "fail", subject, (*at, "rule"), message))
            continue
        matched = [
            index for index in by_subject.get(_object_of(variance), []) if covers(variance, findings[index])
        ]
        if variance.until is not None and variance.until < today:
            rest = (
                f" ({len(matched)} finding{'s' if len(matched) != 1 else ''} no longer covered)"
                if matched
                else ""
            )
            message = f"the variance on {variance.rule} at {variance.at} ended on {variance.until}{rest}"
            answers.append(Answer("expired", "fail", subject, (*at, "until"), message))
        elif not matched and named_rule in crashed:
            continue
        elif not matched:
            message = (
                f"no finding of {variance.rule} at {variance.at}: take the variance out, or mend its names"
            )
            answers.append(Answer("unmatched", "fail", subject, (*at, "at"), message))
        else:
            for index in matched:
                granted.setdefault(index, variance)
    return granted, answers


def _object_of(variance: Variance) -> str:
    """Return the logical name of a variance's object as reports write it."""
    try:
        return path_text(parse_path(variance.at))
    except ValueError:
        return variance.at
