"""Starting in steps: worked by hand, and against every order tried out."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.engineering.staging import StartLoad, least_start_w, most_at_once, most_start_w

CAMERA = StartLoad(10, 15, 8)


def tried(order: tuple[StartLoad, ...], at_once: int, every_s: float) -> float:
    """The greatest sum over time of one order, followed second by second from its own definition."""
    times = {place: (place // at_once) * every_s for place in range(len(order))}
    events = sorted(set(times.values()))
    sums = [sum(load.running_w for load in order)]
    for now in events:
        total = 0.0
        for place, load in enumerate(order):
            since = now - times[place]
            if since >= 0:
                total += load.start_w if since < load.start_s else load.running_w
        sums.append(total)
    return max(sums)


@pytest.mark.parametrize(
    ("count", "at_once", "every_s", "watts"),
    [
        (8, 8, 10, 120),  # all at once: 8 × 15
        (8, 2, 10, 90),  # the last two start while six run: 6 × 10 + 2 × 15
        (8, 1, 10, 85),
        (8, 2, 8, 90),  # the step before has just ended
        (8, 2, 5, 100),  # two steps overlap: 4 × 10 + 4 × 15
        (9, 4, 10, 100),  # eight on with four starting: 4 × 10 + 4 × 15; then 8 × 10 + 15 = 95
        (9, 4, 5, 120),  # eight on, all of them starting: 8 × 15; then 4 × 10 + 5 × 15 = 115
        (0, 1, 10, 0),
    ],
)
def test_alike_loads_leave_no_range(count: int, at_once: int, every_s: float, watts: float) -> None:
    loads = [CAMERA] * count
    assert most_start_w(loads, at_once, every_s) == pytest.approx(watts)
    assert least_start_w(loads, at_once, every_s) == pytest.approx(watts)
    assert tried(tuple(loads), at_once, every_s) == pytest.approx(watts)


def test_a_start_without_end_is_one_at_once() -> None:
    loads = [StartLoad(10, 15, math.inf)] * 6
    assert most_start_w(loads, 1, 10) == pytest.approx(90)


def test_a_start_that_draws_less_adds_nothing() -> None:
    assert most_start_w([StartLoad(10, 4, 60)] * 3, 3, 10) == pytest.approx(30)
    assert least_start_w([StartLoad(10, 4, 60)] * 3, 3, 10) == pytest.approx(30)


@pytest.mark.parametrize(
    ("limit", "count"), [(120, 8), (104, 6), (95, 3), (90, 3), (89, 1), (85, 1), (84, 0)]
)
def test_how_many_may_start_together(limit: float, count: int) -> None:
    """Of eight: 1 to 8 at once are 85, 90, 90, 100, 95, 90, 105, 120 W; so up to three at 95 W, though five do."""
    assert most_at_once([CAMERA] * 8, 8, limit) == count


LOADS = st.lists(
    st.builds(
        StartLoad, st.integers(0, 20).map(float), st.integers(0, 40).map(float), st.integers(0, 30).map(float)
    ),
    min_size=1,
    max_size=6,
)


@settings(deadline=None)
@given(loads=LOADS, at_once=st.integers(1, 4), every_s=st.integers(1, 12).map(float))
def test_no_order_is_outside_the_bounds(loads: list[StartLoad], at_once: int, every_s: float) -> None:
    reached = [tried(order, at_once, every_s) for order in itertools.permutations(loads)]
    assert max(reached) <= most_start_w(loads, at_once, every_s) + 1e-9
    assert min(reached) >= least_start_w(loads, at_once, every_s) - 1e-9


@given(loads=LOADS, at_once=st.integers(1, 4), every_s=st.integers(1, 12).map(float))
def test_between_the_running_most_and_all_at_once(
    loads: list[StartLoad], at_once: int, every_s: float
) -> None:
    most, least = most_start_w(loads, at_once, every_s), least_start_w(loads, at_once, every_s)
    assert sum(load.running_w for load in loads) - 1e-9 <= least <= most + 1e-9
    assert most <= sum(max(load.running_w, load.start_w) for load in loads) + 1e-9


@given(loads=LOADS, every_s=st.integers(1, 12).map(float), limit=st.integers(0, 200).map(float))
def test_the_number_at_once_holds_with_all_fewer_and_one_more_does_not(
    loads: list[StartLoad], every_s: float, limit: float
) -> None:
    count = most_at_once(loads, every_s, limit)
    holds = [most_start_w(loads, n, every_s) <= limit for n in range(1, len(loads) + 1)]
    assert all(holds[:count])
    assert count == len(loads) or not holds[count]


@pytest.mark.parametrize(
    ("loads", "at_once", "every_s"),
    [
        ([CAMERA], 0, 1.0),
        ([CAMERA], 1, 0.0),
        ([StartLoad(-1, 1, 1)], 1, 1.0),
        ([StartLoad(1, math.inf, 1)], 1, 1.0),
        ([StartLoad(1, 1, -1)], 1, 1.0),
    ],
)
def test_what_is_no_staging_is_refused(loads: list[StartLoad], at_once: int, every_s: float) -> None:
    with pytest.raises(ValueError, match="outside"):
        most_start_w(loads, at_once, every_s)
    with pytest.raises(ValueError, match="outside"):
        least_start_w(loads, at_once, every_s)
