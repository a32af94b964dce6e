"""Loads that are switched on some at a time: the worst sum while they start, and the staging that keeps it low."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from riserlint.engineering.span import refuse_unless


class StartLoad(NamedTuple):
    """A load: its most once it runs, its draw while it starts, both in W, and how long it starts, s."""

    running_w: float
    start_w: float
    start_s: float


def most_start_w(loads: Sequence[StartLoad], at_once: int, every_s: float) -> float:
    """Return the greatest sum at any time that starting loads in steps can reach, in whatever order, W.

    Each step switches ``at_once`` loads on (the last one those that are left) and the next follows ``every_s``
    later. A load draws its start for its start time, then its running most; loads not yet on draw nothing. The
    running most of all counts as well, since it comes sooner or later. An upper bound for the worst order, and
    exact where all loads are alike: of the loads that are on, those with the greatest running draw, and those
    starting that add most, each in a step from which it can still be starting.

    :raises ValueError: a step of less than one load, a time of 0 or less, a negative or endless draw

    Source: derived (scheduling of unit tasks with deadlines).
    """
    _check(loads, at_once, every_s)
    running = sorted((load.running_w for load in loads), reverse=True)
    added = sorted(
        (
            (load.start_w - load.running_w, _steps(load.start_s, every_s))
            for load in loads
            if load.start_w > load.running_w and load.start_s > 0
        ),
        reverse=True,
    )
    most = math.fsum(running)
    for on, last in _stages(len(loads), at_once):
        most = max(most, math.fsum(running[:on]) + _added_w(added, on, last, at_once))
    return most


def least_start_w(loads: Sequence[StartLoad], at_once: int, every_s: float) -> float:
    """Return a sum that starting loads in steps reaches in any order, W: at least their running most.

    A lower bound for the best order, and exact where all loads are alike: at each step so many loads as are
    certain to be starting then, those that add least, on top of those on that draw least.

    :raises ValueError: as :func:`most_start_w`
    """
    _check(loads, at_once, every_s)
    running = sorted(load.running_w for load in loads)
    added = sorted(load.start_w - load.running_w for load in loads)
    least = math.fsum(running)
    shortest = min((_steps(load.start_s, every_s) for load in loads), default=0)
    for on, last in _stages(len(loads), at_once):
        starting = int(min(on, last + at_once * (shortest - 1))) if shortest else 0
        least = max(least, math.fsum(running[:on]) + math.fsum(added[:starting]))
    return least


def most_at_once(loads: Sequence[StartLoad], every_s: float, limit_w: float) -> int:
    """Return up to how many loads may be switched on in a step so that no order passes a limit; 0: not even one.

    Any fewer do as well. (A greater number may do again, where the last step then has few loads; it is not
    counted, since one load more would undo it.)

    :raises ValueError: as :func:`most_start_w`
    """
    count = 0
    while count < len(loads) and most_start_w(loads, count + 1, every_s) <= limit_w:
        count += 1
    return count


def _check(loads: Sequence[StartLoad], at_once: int, every_s: float) -> None:
    refuse_unless(at_once >= 1, "loads at once", at_once, "", "1 or more")
    refuse_unless(0 < every_s < math.inf, "time between steps", every_s, "s", "above 0")
    for load in loads:
        for name, watts in (("running draw", load.running_w), ("draw at start", load.start_w)):
            refuse_unless(0 <= watts < math.inf, name, watts, "W", "0 or more")
        refuse_unless(load.start_s >= 0, "time of start", load.start_s, "s", "0 or more")


def _steps(start_s: float, every_s: float) -> float:
    """Return in how many steps, its own and those after it, a load is still starting."""
    return start_s if math.isinf(start_s) else math.ceil(round(start_s / every_s, 9))


def _stages(count: int, at_once: int) -> list[tuple[int, int]]:
    """Return for each step how many loads are on then, and how many of them it has just switched on."""
    return [(min(on + at_once, count), min(at_once, count - on)) for on in range(0, count, at_once)]


def _added_w(added: Sequence[tuple[float, float]], on: int, last: int, at_once: int) -> float:
    """Return the most that loads add while starting: the greatest first, each as long ago as it may be."""
    left = [last] + [at_once] * ((on - last) // at_once)
    total = 0.0
    for watts, steps in added:
        place = int(min(steps, len(left))) - 1
        while place >= 0 and left[place] == 0:
            place -= 1
        if place >= 0:
            left[place] -= 1
            total += watts
    return total
