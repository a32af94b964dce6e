"""Variances: what they cover, and what is a finding about them."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fake_rule import LONG, SAMPLE, SHORT, TODAY, Folder, design, rule_set
from riserlint import DesignReview, ExitStatus
from riserlint.testing import pointed_at

OTHER = 'R-5 = { from = "core/5", cable = "h", link_m = 99, cords_m = [4, 4] }'


def variance(rule: str, at: str, until: str = "") -> str:
    end = f"until = {until}\n" if until else ""
    return f'[[variance]]\nrule = "{rule}"\nat = {at!r}\nreason = "agreed on site"\ngranted_by = "the client"\n{end}'


def reviewed(
    tmp_path: Path, *variances: str, runs: tuple[str, ...] = (LONG, SHORT, OTHER), **options: Any
) -> Any:
    return Folder(tmp_path).write({"a.toml": design(*runs, tail="".join(variances))}).review(**options)


def accepted(review: Any) -> list[tuple[str, str]]:
    return [(f.name, f.subject) for f in review.designs[0].findings if not f.counts]


def on_variances(review: Any) -> list[tuple[str, str, str, str]]:
    one: DesignReview = review.designs[0]
    return [
        (f.check.name, f.level, pointed_at(f), f.answer.message)
        for f in one.findings
        if f.rule_id == "variance"
    ]


def test_a_variance_on_a_check_covers_that_check_at_that_object_only(tmp_path: Path) -> None:
    review = reviewed(tmp_path, variance("sample/link", "run.R-1"))
    assert accepted(review) == [("sample/link", "run.R-1")]
    assert on_variances(review) == []
    (covered,) = [f for f in review.designs[0].findings if not f.counts]
    assert (covered.variance.reason, covered.variance.granted_by) == ("agreed on site", "the client")


def test_a_bare_rule_covers_all_its_checks_at_that_object_and_nothing_else(tmp_path: Path) -> None:
    review = reviewed(tmp_path, variance("sample", "run.R-5"))
    assert sorted(accepted(review)) == [
        ("sample/cords", "run.R-5"),
        ("sample/link", "run.R-5"),
        ("sample/tidy", "run.R-5"),
    ]
    assert on_variances(review) == []


def test_what_is_accepted_does_not_hold(tmp_path: Path) -> None:
    review = reviewed(tmp_path, variance("sample/link", "run.R-1"), runs=(LONG, SHORT))
    assert review.exit_status is ExitStatus.CLEAR


def test_another_rule_at_the_same_object_is_not_covered(tmp_path: Path) -> None:
    twin = SAMPLE._replace(id="sample-two")
    review = reviewed(tmp_path, variance("sample", "run.R-1"), rules=rule_set(SAMPLE, twin))
    assert {name for name, _ in accepted(review)} == {"sample/link", "sample/tidy"}
    assert review.exit_status is ExitStatus.HOLDS


@pytest.mark.parametrize("at", ["run.R-1", 'run."R-1"', '"run".R-1'])
def test_an_object_is_named_as_in_a_report_however_it_is_quoted(tmp_path: Path, at: str) -> None:
    assert accepted(reviewed(tmp_path, variance("sample/link", at))) == [("sample/link", "run.R-1")]


def test_an_object_with_a_dot_in_its_id_needs_quotes(tmp_path: Path) -> None:
    dotted = LONG.replace("R-1", '"R.1"')
    assert accepted(reviewed(tmp_path, variance("sample/link", 'run."R.1"'), runs=(dotted,))) == [
        ("sample/link", 'run."R.1"')
    ]
    assert accepted(reviewed(tmp_path, variance("sample/link", "run.R.1"), runs=(dotted,))) == []


@pytest.mark.parametrize(
    ("today", "counts"), [(date(2026, 11, 24), True), (date(2026, 11, 25), True), (date(2026, 11, 26), False)]
)
def test_a_variance_counts_on_its_last_day_and_no_day_longer(
    tmp_path: Path, today: date, counts: bool
) -> None:
    review = reviewed(tmp_path, variance("sample/link", "run.R-1", "2026-11-25"), today=today)
    assert accepted(review) == ([("sample/link", "run.R-1")] if counts else [])
    assert bool(on_variances(review)) != counts


def test_an_expired_variance_is_an_error_that_says_what_it_no_longer_covers(tmp_path: Path) -> None:
    review = reviewed(
        tmp_path,
        variance("sample/link", "run.R-1", "2026-11-24"),
        variance("sample", "run.R-5", "2026-01-01"),
        variance("sample/link", "run.R-2", "2026-01-01"),
    )
    assert on_variances(review) == [
        (
            "expired",
            "error",
            "2026-11-24",
            "the variance on sample/link at run.R-1 ended on 2026-11-24 (1 finding no longer covered)",
        ),
        (
            "expired",
            "error",
            "2026-01-01",
            "the variance on sample at run.R-5 ended on 2026-01-01 (3 findings no longer covered)",
        ),
        ("expired", "error", "2026-01-01", "the variance on sample/link at run.R-2 ended on 2026-01-01"),
    ]
    assert accepted(review) == []
    assert review.exit_status is ExitStatus.HOLDS


UNMATCHED = {
    "a check that passes": ("sample/link", "run.R-2"),
    "an object that is not there": ("sample/link", "run.R-77"),
    "the object of another check": ("sample/cords", "run.R-1"),
    "text that is no name": ("sample/link", "run R-1"),
    "part of a name": ("sample/link", "run"),
}


@pytest.mark.parametrize(("rule", "at"), UNMATCHED.values(), ids=UNMATCHED)
def test_a_variance_that_matches_nothing_is_a_warning(tmp_path: Path, rule: str, at: str) -> None:
    assert on_variances(reviewed(tmp_path, variance(rule, at))) == [
        (
            "unmatched",
            "warning",
            f"'{at}'",
            f"no finding of {rule} at {at}: take the variance out, or mend its names",
        )
    ]


UNKNOWN = {
    "rule": ("smaple", 'no rule is named "smaple"; known: sample'),
    "rule of a check": ("smaple/link", 'no rule is named "smaple/link"; known: sample'),
    "check": ("sample/lnik", 'no check of sample is named "sample/lnik"; known: link, cords, tidy, look'),
    "no check after the slash": (
        "sample/",
        'no check of sample is named "sample/"; known: link, cords, tidy, look',
    ),
    "the engine's own rule": ("variance/expired", 'no rule is named "variance/expired"; known: sample'),
}


@pytest.mark.parametrize(("rule", "message"), UNKNOWN.values(), ids=UNKNOWN)
def test_a_variance_on_nothing_that_ran_is_an_error(tmp_path: Path, rule: str, message: str) -> None:
    review = reviewed(tmp_path, variance(rule, "run.R-1"), runs=(SHORT,))
    assert on_variances(review) == [("unknown-rule", "error", f'"{rule}"', message)]
    assert review.exit_status is ExitStatus.HOLDS


def test_no_variance_covers_a_finding_on_a_variance(tmp_path: Path) -> None:
    first = variance("sample/link", "run.R-77")
    second = variance("variance", 'variance."sample/link at run.R-77"')
    review = reviewed(tmp_path, first, second, runs=(SHORT,))
    assert [name for name, *_ in on_variances(review)] == ["unknown-rule", "unmatched"]
    assert accepted(review) == []


def test_two_equal_variances_that_match_nothing_are_two_findings(tmp_path: Path) -> None:
    one = variance("sample/link", "run.R-77")
    findings = reviewed(tmp_path, one, one, runs=(SHORT,)).designs[0].findings
    assert len({finding.fingerprint for finding in findings}) == len(findings) == 2


def test_open_answers_can_be_accepted(tmp_path: Path) -> None:
    review = reviewed(tmp_path, variance("sample/link", "run.R-3"), runs=('R-3 = { cable = "h" }',))
    assert accepted(review) == [("sample/link", "run.R-3")]


def test_a_variance_without_an_end_does_not_expire(tmp_path: Path) -> None:
    review = reviewed(tmp_path, variance("sample/link", "run.R-1"), today=date(2999, 1, 1))
    assert accepted(review) == [("sample/link", "run.R-1")]
    assert date(2999, 1, 1) > TODAY
