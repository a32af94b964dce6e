"""What gear gives that its maker rates by input voltage and by ambient."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from riserlint.engineering.span import Span, hull, refuse_unless


class Rating(NamedTuple):
    """Watts that hold at an input voltage (None: at any) and up to an ambient (None: in any)."""

    watts: float
    volts: float | None
    max_c: float | None


class Rated(NamedTuple):
    """Watts at a voltage and an ambient, and which of the two would narrow them if it were known.

    ``outside``: the voltage is below all that are rated, or the ambient above.
    """

    watts: Span
    needs_volts: bool
    needs_celsius: bool
    outside: bool


def rated_watts(ratings: Sequence[Rating], volts: Sequence[float], celsius: Span) -> Rated:
    """Return what gear gives by the ratings of its maker.

    By ambient the ratings are steps: each holds up to its temperature, so between two of them the next hotter
    one counts. By voltage the nearest at or below counts, since a converter gives no less at more volts within
    its range. Hotter than the last, or below the lowest voltage, nothing is rated: anything from nothing to the
    last rating.

    :param ratings: all of them with a voltage or none, all with an ambient or none
    :param volts: input voltages that it may have, V; empty where that is not known: then any that is rated
    :param celsius: range of the hottest ambient, °C; without ends where not known
    :raises ValueError: no ratings, or a voltage that is not above 0

    Source: derived from what the ratings say of themselves.
    """
    refuse_unless(bool(ratings), "ratings", len(ratings), "", "1 or more")
    for volt in volts:
        refuse_unless(volt > 0, "input voltage", volt, "V", "above 0")
    rated_v = sorted({rating.volts for rating in ratings if rating.volts is not None})
    groups: list[tuple[Sequence[Rating], bool]] = []
    for volt in volts if rated_v else ():
        at_or_below = [rated for rated in rated_v if rated <= volt]
        chosen = max(at_or_below, default=rated_v[0])
        groups.append(([rating for rating in ratings if rating.volts == chosen], not at_or_below))
    if rated_v and not volts:
        groups = [([rating for rating in ratings if rating.volts == rated], False) for rated in rated_v]
    if not rated_v:
        groups = [(ratings, False)]
    found: list[Span] = []
    outside = needs_celsius = False
    for group, below in groups:
        span, beyond = _by_ambient(group, celsius)
        needs_celsius = needs_celsius or (not span.known and not beyond and not celsius.known)
        outside = outside or below or beyond
        found.append(Span(0.0, span.high) if below else span)
    whole = hull(*found)
    return Rated(whole, not volts and len(set(found)) > 1, needs_celsius, outside)


def _by_ambient(group: Sequence[Rating], celsius: Span) -> tuple[Span, bool]:
    """Return the range over an ambient, and whether it may be hotter than all that is rated."""
    steps = sorted((math.inf if rating.max_c is None else rating.max_c, rating.watts) for rating in group)
    first = next((place for place, step in enumerate(steps) if step[0] >= celsius.low), len(steps) - 1)
    last = next((place for place, step in enumerate(steps) if step[0] >= celsius.high), len(steps) - 1)
    watts = [step[1] for step in steps[first : last + 1]]
    # An ambient that is not known may be hotter than all that is rated, too.
    low = 0.0 if celsius.high > steps[-1][0] else min(watts)
    return Span(low, max(watts)), math.isfinite(celsius.high) and celsius.high > steps[-1][0]
