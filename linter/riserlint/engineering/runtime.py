"""How long a battery holds: from stated points, from its energy, after Peukert; and what is left of it.

Whatever is not known exactly goes in and comes out as a :class:`~riserlint.engineering.span.Span`.
Times are minutes at the boundary and hours inside, as the sources have them.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal, NamedTuple

from riserlint.engineering.span import Span, as_span, between, exact, refuse_unless
from riserlint.standards import supply

Chemistry = Literal["lead-acid", "lithium"]


class RuntimePoint(NamedTuple):
    """One stated pair of a runtime curve: load at the output in watts, time in minutes."""

    watts: float
    minutes: float


# --- runtime ------------------------------------------------------------------------------------------


def runtime_from_points(
    points: Sequence[RuntimePoint], load_w: Span | float, capacity_share: Span | float
) -> Span:
    """Return the runtime in minutes at a load, from the points that the data sheet states.

    ln t is linear in ln P between two points; nothing is said beyond them. A load lighter than the
    first point holds at least the first point's time (``high`` is infinite), a heavier one than the
    last holds between 0 and the last point's time. An aged battery is the curve at
    P / capacity share, which costs more than the share of the time.

    Args:
        points: at least one, in any order; time must not rise with load.
        load_w: load at the UPS output, W, 0 or more.
        capacity_share: share of the rated capacity that is left (of :func:`capacity_share`, times
            that of :func:`temperature_capacity` in the cold), 0 to 1.25; ``1.0`` is a new battery.

    Raises:
        ValueError: no point, a point that is not positive, two times for one load, a time that rises
            with the load, a negative load, or a share outside its range.

    Source: constant-power tables are read on logarithmic scales in the trade (common practice).
    """
    curve = _checked_curve(points)
    drawn_w = drawn_watts(load_w, capacity_share)
    return between(_read_curve(curve, drawn_w.high).low, _read_curve(curve, drawn_w.low).high)


def drawn_watts(load_w: Span | float, capacity_share: Span | float) -> Span:
    """Return where a load stands on the curve of a new battery: P / capacity share, W.

    Infinite where nothing may be left of the battery. Arguments, errors and source as of
    :func:`runtime_from_points`.
    """
    load, share = _checked_load(load_w), _checked_share(capacity_share)
    return between(
        load.low / share.high if share.high > 0 else math.inf,
        load.high / share.low if share.low > 0 else math.inf,
    )


def runtime_from_energy(
    *,
    battery_wh: Span | float,
    load_w: Span | float,
    efficiency: Span | float,
    chemistry: Chemistry,
    capacity_share: Span | float,
    temperature_factor: Span | float,
) -> Span:
    """Return the runtime in minutes at a load, from the watt-hours of the battery alone.

    Solves t = E · f(t) · s · c · η / P for t, with f the share of the energy that a discharge of the
    time t gives: :func:`lead_acid_fraction`, or 0.92 to 1.0 for lithium at any time. Both ends of f
    are solved, so the answer is a range even where everything stated is exact.

    Lead-acid below 15 min: the lower end of f is not known, so the least time is 0; the greatest
    takes the share of 15 min. Above 20 h f is 1.

    Args:
        battery_wh: E, Wh; for lead-acid the energy at the twenty-hour rate.
        load_w: P, load at the UPS output, W, 0 or more.
        efficiency: η, from battery to output, above 0 and at most 1.
        chemistry: "lead-acid" or "lithium".
        capacity_share: s, as in :func:`runtime_from_points`.
        temperature_factor: c, share of the 25 °C capacity, 0 to 1 (:func:`temperature_capacity` holds
            for lead-acid; no capacity is added above 25 °C).

    Raises:
        ValueError: a quantity outside its range.

    Source: the shares are from memory (:data:`riserlint.standards.supply.LEAD_ACID_RATE_FRACTION`).
    """
    energy, load, share = as_span(battery_wh), _checked_load(load_w), _checked_share(capacity_share)
    yield_, cold = as_span(efficiency), as_span(temperature_factor)
    refuse_unless(energy.low >= 0 and energy.high < math.inf, "battery energy", energy, "Wh", "0 or more")
    refuse_unless(yield_.low > 0 and yield_.high <= 1, "efficiency", yield_, "W/W", "above 0 to 1")
    refuse_unless(
        cold.low >= 0 and cold.high <= 1, "temperature factor", cold, "", "0 to 1 (none is added above 25 °C)"
    )
    usable = energy * share * cold * yield_
    least_h = _hours_at_full_share(usable.low, load.high)
    greatest_h = _hours_at_full_share(usable.high, load.low)
    if chemistry == "lithium":
        least_h *= supply.LITHIUM_FRACTION_LOW.value
        greatest_h *= supply.LITHIUM_FRACTION_HIGH.value
    else:
        least_h = _least_lead_acid_hours(least_h)
        greatest_h = _greatest_lead_acid_hours(greatest_h)
    return between(least_h * 60, greatest_h * 60)


def lead_acid_fraction(hours: float) -> Span:
    """Return the share of the twenty-hour energy that a lead-acid battery gives in ``hours``.

    Linear in ln t between the times of the table; 1 from 20 h on; below 15 min between 0 (not known)
    and the greatest share of 15 min.

    Raises:
        ValueError: ``hours`` is not above 0.

    Source: from memory (:data:`riserlint.standards.supply.LEAD_ACID_RATE_FRACTION`).
    """
    refuse_unless(hours > 0, "discharge time", hours, "h", "above 0")
    rows = supply.LEAD_ACID_RATE_FRACTION.rows
    if hours < rows[0].hours:
        return Span(0.0, rows[0].high)
    for shorter, longer in pairwise(rows):
        if hours <= longer.hours:
            way = math.log(hours / shorter.hours) / math.log(longer.hours / shorter.hours)
            return Span(_blend(shorter.low, longer.low, way), _blend(shorter.high, longer.high, way))
    return Span(rows[-1].low, rows[-1].high)


def peukert_minutes(
    capacity_ah: float, rate_h: float, current_a: float, exponent: float, chemistry: Chemistry
) -> float:
    """Return the discharge time in minutes at a constant current after Peukert.

    t = H · (C / (I · H))^k, with C the capacity at the H-hour rate. (The short form C / I^k takes C at
    the one-ampere rate; a twenty-hour rating in it gives too short a time.)

    Args:
        capacity_ah: C, Ah, at the rate ``rate_h``.
        rate_h: H, hours of the rating.
        current_a: I, A.
        exponent: k, 1 to 1.35.
        chemistry: the law is one of lead-acid.

    Raises:
        ValueError: lithium; an exponent outside its range; a quantity that is not above 0; a result
            below 1 h, or above 20 h and the rating's own time.

    Source: W. Peukert 1897, in the form that battery textbooks give.
    """
    law = str(supply.PEUKERT_EXPONENT.citation)
    if chemistry != "lead-acid":
        message = f"chemistry = {chemistry}: Peukert's law holds for lead-acid only ({law})"
        raise ValueError(message)
    for name, value, unit in (
        ("capacity", capacity_ah, "Ah"),
        ("hours of the rating", rate_h, "h"),
        ("current", current_a, "A"),
    ):
        refuse_unless(0 < value < math.inf, name, value, unit, f"above 0 ({law})")
    least_k, greatest_k = supply.PEUKERT_EXPONENT_LEAST.value, supply.PEUKERT_EXPONENT_GREATEST.value
    allowed = f"{least_k:g} to {greatest_k:g} ({law})"
    refuse_unless(least_k <= exponent <= greatest_k, "exponent", exponent, "", allowed)
    hours = rate_h * math.pow(capacity_ah / (current_a * rate_h), exponent)
    shortest_h = supply.PEUKERT_SHORTEST_H.value
    longest_h = max(supply.PEUKERT_LONGEST_H.value, rate_h)
    refuse_unless(
        shortest_h * (1 - _ROUNDING) <= hours <= longest_h * (1 + _ROUNDING),
        "discharge time after Peukert",
        hours,
        "h",
        f"{shortest_h:g} to {longest_h:g} ({supply.PEUKERT_SHORTEST_H.citation})",
    )
    return hours * 60


# --- what is left of the battery ----------------------------------------------------------------------


def capacity_share(
    age_years: Span | float | None, design_life_years: float | None, tested_share: float | None
) -> Span:
    """Return the share of its rated capacity that a battery still has.

    A tested capacity is taken as it is: ageing is applied once. Without a test: 0.8 to 1 up to and
    including the stated design life, 0 to 1 beyond it, and 0 to 1 where age or life is unknown.

    Args:
        age_years: years since the battery's date, 0 or more; None is unknown.
        design_life_years: stated by the maker, above 0; None is unknown.
        tested_share: result of a capacity test, 0 to 1.25; None if there was none.

    Raises:
        ValueError: a quantity outside its range.

    Source: end of life at 80 % (IEEE Std 450, IEEE Std 1188).
    """
    if tested_share is not None:
        return _checked_share(tested_share)
    if age_years is None or design_life_years is None:
        return Span(0.0, 1.0)
    age = as_span(age_years)
    refuse_unless(age.low >= 0, "age of the battery", age, "years", "0 or more")
    refuse_unless(design_life_years > 0, "design life", design_life_years, "years", "above 0")
    return Span(supply.END_OF_LIFE_SHARE.value if age.high <= design_life_years else 0.0, 1.0)


def temperature_capacity(celsius: Span | float) -> Span:
    """Return the share of its 25 °C capacity that a lead-acid battery gives at a temperature.

    The range over all discharge times of the table (15 min to 20 h), linear between its temperatures.
    No capacity is added at 25 °C and above. Colder than the table (-1.1 °C) the lower end is 0: it is
    not known. The temperature is that of the battery.

    Raises:
        ValueError: a temperature below absolute zero or no number.

    Source: King & Knight, Uninterruptible Power Supplies and Standby Power Systems, p. 199.
    """
    temperature = as_span(celsius)
    refuse_unless(
        temperature.low >= -273.15,
        "battery temperature",
        temperature,
        "°C",
        "-273.15 or more (absolute zero)",
    )
    return between(_capacity_at(temperature.low).low, _capacity_at(temperature.high).high)


# --- steps of the above -------------------------------------------------------------------------------

#: Relative slack for a result that lies on a bound but for rounding.
_ROUNDING = 1e-9


def _checked_load(load_w: Span | float) -> Span:
    load = as_span(load_w)
    refuse_unless(load.low >= 0 and load.high < math.inf, "load", load, "W", "0 or more")
    return load


def _checked_share(share: Span | float) -> Span:
    span = as_span(share)
    ceiling = supply.TESTED_SHARE_CEILING
    allowed = f"0 to {ceiling.value:g} ({ceiling.citation})"
    refuse_unless(span.low >= 0 and span.high <= ceiling.value, "capacity share", span, "", allowed)
    return span


def _checked_curve(points: Sequence[RuntimePoint]) -> list[RuntimePoint]:
    curve = sorted(points)
    if not curve:
        message = "runtime points: at least one is needed"
        raise ValueError(message)
    for point in curve:
        refuse_unless(0 < point.watts < math.inf, "runtime point", point.watts, "W", "above 0")
        refuse_unless(0 < point.minutes < math.inf, "runtime point", point.minutes, "min", "above 0")
    for lighter, heavier in pairwise(curve):
        if lighter.watts == heavier.watts:
            message = f"runtime points: {lighter.watts:g} W is stated twice"
            raise ValueError(message)
        if heavier.minutes > lighter.minutes:
            message = (
                f"runtime points: {heavier.minutes:g} min at {heavier.watts:g} W is longer than "
                f"{lighter.minutes:g} min at {lighter.watts:g} W"
            )
            raise ValueError(message)
    return curve


def _read_curve(curve: Sequence[RuntimePoint], load_w: float) -> Span:
    first, last = curve[0], curve[-1]
    if load_w < first.watts:
        return Span(first.minutes, math.inf)
    if load_w > last.watts:
        return Span(0.0, last.minutes)
    for lighter, heavier in pairwise(curve):
        if load_w < heavier.watts:
            way = math.log(load_w / lighter.watts) / math.log(heavier.watts / lighter.watts)
            minutes = lighter.minutes * (heavier.minutes / lighter.minutes) ** way
            return exact(min(max(minutes, heavier.minutes), lighter.minutes))
    return exact(last.minutes)


def _hours_at_full_share(usable_wh: float, load_w: float) -> float:
    if usable_wh == 0:
        return 0.0
    return usable_wh / load_w if load_w > 0 else math.inf


def _least_lead_acid_hours(full_share_h: float) -> float:
    first = supply.LEAD_ACID_RATE_FRACTION.rows[0]
    if full_share_h * first.low < first.hours:
        return 0.0
    return _discharge_hours(full_share_h, "low")


def _greatest_lead_acid_hours(full_share_h: float) -> float:
    first = supply.LEAD_ACID_RATE_FRACTION.rows[0]
    if full_share_h * first.high < first.hours:
        return full_share_h * first.high
    return _discharge_hours(full_share_h, "high")


def _discharge_hours(full_share_h: float, end: Literal["low", "high"]) -> float:
    """Solve t = T · f(t) for t from the first time of the table on; T is the time at f = 1.

    t / f(t) rises, as f rises by less than itself for each unit of ln t, so there is one solution; it
    is halved in ln t, because f is piecewise linear there.
    """
    rows = supply.LEAD_ACID_RATE_FRACTION.rows
    if full_share_h >= rows[-1].hours:
        return full_share_h
    shorter, longer = math.log(rows[0].hours), math.log(rows[-1].hours)
    for _ in range(60):
        middle = (shorter + longer) / 2
        hours = math.exp(middle)
        if hours < full_share_h * getattr(lead_acid_fraction(hours), end):
            shorter = middle
        else:
            longer = middle
    return math.exp(longer)


def _capacity_at(celsius: float) -> Span:
    if celsius >= supply.BASE_TEMPERATURE_C.value:
        return exact(1.0)
    rows = supply.TEXTBOOK_CAPACITY.rows
    if celsius < rows[0].celsius:
        return Span(0.0, max(rows[0][1:]))
    for colder, warmer in pairwise(rows):
        if celsius <= warmer.celsius:
            way = (celsius - colder.celsius) / (warmer.celsius - colder.celsius)
            shares = [_blend(low, high, way) for low, high in zip(colder[1:], warmer[1:])]
            return between(min(shares), max(shares))
    return exact(1.0)


def _blend(start: float, end: float, way: float) -> float:
    return start + (end - start) * way
