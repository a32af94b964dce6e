"""Watts rated by input voltage and ambient: worked by hand, and what must hold of any ratings."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserlint.engineering.rating import Rated, Rating, rated_watts
from riserlint.engineering.span import Span, exact

#: An invented nameplate: less at low volts, less when hot.
PLATE = (
    Rating(740, 230, 40),
    Rating(555, 230, 50),
    Rating(600, 120, 40),
    Rating(450, 120, 50),
)
UNKNOWN = Span(-math.inf, math.inf)


@pytest.mark.parametrize(
    ("volts", "celsius", "watts", "needs_volts", "needs_celsius", "outside"),
    [
        ((230,), exact(40), (740, 740), False, False, False),
        ((230,), exact(40.1), (555, 555), False, False, False),
        ((230,), exact(-20), (740, 740), False, False, False),
        ((230,), exact(50), (555, 555), False, False, False),
        ((230,), exact(51), (0, 555), False, False, True),
        ((240,), exact(25), (740, 740), False, False, False),
        ((208,), exact(25), (600, 600), False, False, False),
        ((100,), exact(25), (0, 600), False, False, True),
        ((), exact(25), (600, 740), True, False, False),
        ((230,), UNKNOWN, (0, 740), False, True, False),
        ((), UNKNOWN, (0, 740), True, True, False),
        ((230, 120), exact(45), (450, 555), False, False, False),
        ((230,), Span(30, 45), (555, 740), False, True, False),
        ((230,), Span(30, 39), (740, 740), False, False, False),
    ],
)
def test_the_point_that_counts(
    volts: tuple[float, ...],
    celsius: Span,
    watts: tuple[float, float],
    needs_volts: bool,
    needs_celsius: bool,
    outside: bool,
) -> None:
    expected = Rated(Span(*watts), needs_volts, needs_celsius, outside)
    assert rated_watts(PLATE, volts, celsius) == expected


def test_only_what_is_rated_by_is_needed() -> None:
    by_volts = (Rating(740, 230, None), Rating(600, 120, None))
    assert rated_watts(by_volts, (120,), UNKNOWN) == Rated(exact(600), False, False, False)
    by_ambient = (Rating(740, None, 40), Rating(555, None, 50))
    assert rated_watts(by_ambient, (), exact(45)) == Rated(exact(555), False, False, False)
    assert rated_watts((Rating(9, None, None),), (), UNKNOWN) == Rated(exact(9), False, False, False)


def test_equal_points_need_nothing() -> None:
    same = (Rating(600, 230, None), Rating(600, 120, None))
    assert rated_watts(same, (), UNKNOWN) == Rated(exact(600), False, False, False)


@pytest.mark.parametrize(("ratings", "volts"), [((), (230.0,)), (PLATE, (0.0,)), (PLATE, (-1.0,))])
def test_what_is_no_rating_is_refused(ratings: tuple[Rating, ...], volts: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match=r"ratings|input voltage"):
        rated_watts(ratings, volts, exact(20))


@given(
    watts=st.lists(st.floats(0, 1e4), min_size=4, max_size=4),
    low=st.floats(-20, 70),
    more=st.floats(0, 30),
    inside=st.floats(0, 1),
    volts=st.sampled_from([(), (100.0,), (120.0,), (208.0,), (230.0,)]),
)
def test_knowing_more_only_narrows(
    watts: list[float], low: float, more: float, inside: float, volts: tuple[float, ...]
) -> None:
    """Whatever is known later lies in what was said before: the range of an ambient holds each ambient in it."""
    plate = tuple(rating._replace(watts=w) for rating, w in zip(PLATE, watts))
    wide = rated_watts(plate, volts, Span(low, low + more)).watts
    narrow = rated_watts(plate, volts, exact(min(low + more, low + inside * more))).watts
    assert wide.low <= narrow.low
    assert narrow.high <= wide.high
