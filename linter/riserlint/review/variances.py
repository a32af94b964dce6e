"""Variances: accepted findings; those that are expired, match nothing or name no rule are findings themselves."""

from datetime import date
from typing import Final

from riserlint.design.models import Variance
from riserlint.design.paths import parse_path, path_text
from riserlint.review.answers import Answer, Check, Rule

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
RULE: Final = Rule(
    "variance",
    "a variance counts only while it is valid and matches a finding",
    "A deviation that was granted once is forgotten easily: each variance states why, by whom and until when.",
    (EXPIRED, UNKNOWN_RULE, UNMATCHED),
    lambda built, parameters: (),
)


def covers(variance: Variance, rule_id: str, answer: Answer) -> bool:
    """Return whether a variance names this finding: its check (or its whole rule) and its object."""
    named_rule, _, named_check = variance.rule.partition("/")
    if named_rule != rule_id or (named_check and named_check != answer.check):
        return False
    try:
        return parse_path(variance.at) == answer.subject
    except ValueError:
        return variance.at == path_text(answer.subject)


def judged(
    variances: tuple[Variance, ...],
    rules: dict[str, Rule],
    said: list[tuple[str, Answer]],
    today: date,
) -> tuple[dict[int, Variance], list[Answer]]:
    """Return the variance that covers each finding (by its index in ``said``), and answers on variances themselves."""
    granted: dict[int, Variance] = {}
    answers: list[Answer] = []
    by_subject: dict[str, list[int]] = {}
    for index, (_, answer) in enumerate(said):
        by_subject.setdefault(path_text(answer.subject), []).append(index)
    for position, variance in enumerate(variances):
        at = ("variance", position)
        subject = ("variance", f"{variance.rule} at {variance.at}")
        named_rule, _, named_check = variance.rule.partition("/")
        rule = rules.get(named_rule)
        if rule is None or (named_check and all(check.name != named_check for check in rule.checks)):
            known = ", ".join(sorted(rules)) if rule is None else ", ".join(check.name for check in rule.checks)
            what = "rule" if rule is None else f"check of {named_rule}"
            message = f'no {what} is named "{variance.rule}"; known: {known}'
            answers.append(Answer("unknown-rule", "fail", subject, (*at, "rule"), message))
            continue
        try:
            name = path_text(parse_path(variance.at))
        except ValueError:
            name = variance.at
        matched = [index for index in by_subject.get(name, []) if covers(variance, *said[index])]
        if variance.until is not None and variance.until < today:
            rest = f" ({len(matched)} finding{'s' if len(matched) != 1 else ''} no longer covered)" if matched else ""
            message = f"the variance on {variance.rule} at {variance.at} ended on {variance.until}{rest}"
            answers.append(Answer("expired", "fail", subject, (*at, "until"), message))
        elif not matched:
            message = f"no finding of {variance.rule} at {variance.at}: take the variance out, or mend its names"
            answers.append(Answer("unmatched", "fail", subject, (*at, "at"), message))
        else:
            for index in matched:
                granted.setdefault(index, variance)
    return granted, answers
