"""The helpers for the tests of rule authors."""

import pytest

from fake_rule import CRASH, LONG, SAMPLE, SHORT, design
from riserlint import Change, Remedy
from riserlint.testing import TODAY, Case, Expected, mended, pointed_at, review_text, said


def test_a_row_says_the_whole_list_of_what_a_rule_says() -> None:
    found = said(Case("a long link", design(LONG, SHORT)), SAMPLE)
    assert found == (
        Expected("link", "error", "run.R-1", "95.5"),
        Expected("tidy", "note", "run.R-1", "95.5"),
    )
    assert said(Case("a short link", design(SHORT)), SAMPLE) == ()


def test_a_row_may_have_a_basis() -> None:
    case = Case("a basis that asks more", design(SHORT), basis="[rule.sample]\nmost_m = 10\n")
    assert said(case, SAMPLE) == (Expected("link", "error", "run.R-2", "12"),)


def test_an_outcome_is_the_kind_where_there_is_no_level() -> None:
    assert said(Case("no cable", design("R-1 = { }")), SAMPLE) == (
        Expected("look", "review", "run.R-1", "R-1"),
        Expected("link", "open", "run.R-1", "R-1"),
    )


def test_a_design_that_cant_be_read_fails_the_row_with_its_problems() -> None:
    with pytest.raises(AssertionError, match=r"14:18: expected a value of at least 0, found -1"):
        said(Case("a wrong design", design("R-1 = { link_m = -1 }")), SAMPLE)


def test_a_rule_that_crashes_fails_the_row() -> None:
    with pytest.raises(AssertionError, match=r"crashed with ZeroDivisionError"):
        said(Case("a crash", design(SHORT)), CRASH)


def test_a_remedy_is_carried_out() -> None:
    text = design(LONG, SHORT)
    finding = review_text(text, [SAMPLE], today=TODAY).findings[0]
    assert pointed_at(finding) == "95.5"
    remedy = finding.answer.remedy
    assert remedy is not None
    after = mended(text, remedy)
    assert after == text.replace("95.5", "90")
    assert finding.fingerprint not in {f.fingerprint for f in review_text(after, [SAMPLE]).findings}


def test_a_remedy_of_the_basis_is_refused() -> None:
    remedy = Remedy("assume less", (Change(("basis", "assume", "run", "link_m"), 3),))
    with pytest.raises(ValueError, match=r"the remedy changes basis\.toml, not the design"):
        mended(design(SHORT), remedy, basis="[assume.run]\nlink_m = 5\n")
