"""Ranges: identities of interval arithmetic, checked against values drawn from the ranges."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserlint.engineering.span import Span, as_span, between, exact, hull, refuse_unless

numbers = st.floats(-1e6, 1e6)


@st.composite
def spans(draw: st.DrawFn) -> Span:
    first, second = draw(numbers), draw(numbers)
    return between(min(first, second), max(first, second))


@st.composite
def spans_with_member(draw: st.DrawFn) -> tuple[Span, float]:
    span = draw(spans())
    return span, draw(st.floats(span.low, span.high))


@given(spans_with_member(), spans_with_member())
def test_the_result_holds_what_members_give(left: tuple[Span, float], right: tuple[Span, float]) -> None:
    # Inclusion, the defining property of interval arithmetic (R. E. Moore, Interval Analysis, 1966).
    # Rounding is monotone, so it holds without a tolerance.
    (a_span, a), (b_span, b) = left, right
    assert (a_span + b_span).contains(a + b)
    assert (a_span - b_span).contains(a - b)
    assert (a_span * b_span).contains(a * b)
    assert (a_span * b).contains(a * b)


@given(spans(), spans())
def test_the_ends_are_reached(left: Span, right: Span) -> None:
    corners = [a * b for a in left for b in right]
    assert left * right == Span(min(corners), max(corners))
    assert left + right == Span(left.low + right.low, left.high + right.high)
    assert left - right == Span(left.low - right.high, left.high - right.low)


@given(spans(), numbers)
def test_plain_numbers_may_stand_on_either_side(span: Span, number: float) -> None:
    assert number + span == span + number == span + exact(number)
    assert number * span == span * number == span * exact(number)


@given(spans(), spans())
def test_the_hull_holds_both_and_no_more(left: Span, right: Span) -> None:
    whole = hull(left, right)
    assert all(whole.contains(end) for end in (*left, *right))
    assert whole.low in (left.low, right.low)
    assert whole.high in (left.high, right.high)


def test_a_negative_factor_turns_the_ends_around() -> None:
    assert between(2.0, 3.0) * -2.0 == Span(-6.0, -4.0)


def test_a_difference_of_a_range_with_itself_is_not_nothing() -> None:
    span = between(2.0, 5.0)
    assert span - span == Span(-3.0, 3.0)


def test_sums_of_many() -> None:
    assert sum([between(1.0, 2.0), exact(3.0)], exact(0.0)) == Span(4.0, 5.0)


def test_nothing_of_the_unlimited_is_nothing() -> None:
    assert between(1.0, math.inf) * 0.0 == exact(0.0)
    assert between(0.0, 1.0) * between(2.0, math.inf) == Span(0.0, math.inf)


def test_known_is_a_single_value() -> None:
    assert exact(4.0).known
    assert not between(4.0, 4.5).known
    assert as_span(4.0) == exact(4.0)
    assert as_span(between(1.0, 2.0)) == Span(1.0, 2.0)
    assert hull(3.0, between(1.0, 2.0)) == Span(1.0, 3.0)


def test_a_range_ends_where_it_says() -> None:
    span = between(1.0, 2.0)
    assert span.contains(1.0)
    assert span.contains(2.0)
    assert not span.contains(math.nextafter(2.0, 3.0))
    assert not span.contains(math.nextafter(1.0, 0.0))


@pytest.mark.parametrize(("low", "high"), [(2.0, 1.0), (math.nan, 1.0), (1.0, math.nan)])
def test_ends_out_of_order_are_refused(low: float, high: float) -> None:
    with pytest.raises(ValueError, match=f"range from {low} to {high}: the first has to be the lower one"):
        between(low, high)


def test_unlimited_less_unlimited_is_refused() -> None:
    with pytest.raises(ValueError, match="range from"):
        exact(math.inf) - exact(math.inf)


@pytest.mark.parametrize(
    ("value", "unit", "message"),
    [
        (1.5, "W", "load = 1.5 W: outside 0 to 1"),
        (between(1.5, 2.0), "W", "load = 1.5 to 2 W: outside 0 to 1"),
        (1.5, "", "load = 1.5: outside 0 to 1"),
        (math.nan, "W", "load = nan W: outside 0 to 1"),
    ],
    ids=["a value", "a range", "without a unit", "no number"],
)
def test_a_refusal_names_value_unit_and_range(value: Span | float, unit: str, message: str) -> None:
    with pytest.raises(ValueError, match="load") as refusal:
        refuse_unless(False, "load", value, unit, "0 to 1")
    assert str(refusal.value) == message
