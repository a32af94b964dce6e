"""Runtime: identities, limit cases and the direction of every effect. No number here is our own output."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserlint.engineering.runtime import (
    Chemistry,
    RuntimePoint,
    capacity_share,
    drawn_watts,
    lead_acid_fraction,
    peukert_minutes,
    runtime_from_energy,
    runtime_from_points,
    temperature_capacity,
)
from riserlint.engineering.span import Span, between, exact
from riserlint.standards import supply

CURVE = (RuntimePoint(300.0, 62.0), RuntimePoint(700.0, 21.0), RuntimePoint(1200.0, 8.0))

loads_w = st.floats(1.0, 3000.0)
shares = st.floats(0.05, 1.0)
chemistries = st.sampled_from(["lead-acid", "lithium"])


@st.composite
def curves(draw: st.DrawFn) -> list[RuntimePoint]:
    watts = sorted(draw(st.lists(st.integers(10, 5000), min_size=1, max_size=5, unique=True)))
    minutes = sorted(
        draw(st.lists(st.integers(1, 2000), min_size=len(watts), max_size=len(watts))), reverse=True
    )
    return [RuntimePoint(float(w), float(m)) for w, m in zip(watts, minutes)]


def not_longer(one: Span, other: Span) -> bool:
    """Whether ``one`` ends no later than ``other`` at both ends, rounding aside."""
    return one.low <= other.low * (1 + 1e-9) and one.high <= other.high * (1 + 1e-9)


# --- from stated points ---------------------------------------------------------------------------------


@given(curves())
def test_the_curve_passes_through_its_points(curve: list[RuntimePoint]) -> None:
    for point in curve:
        assert runtime_from_points(curve, point.watts, 1.0) == exact(point.minutes)


@given(st.permutations(CURVE), loads_w)
def test_the_order_of_the_points_does_not_matter(shuffled: list[RuntimePoint], load_w: float) -> None:
    assert runtime_from_points(shuffled, load_w, 0.9) == runtime_from_points(CURVE, load_w, 0.9)


@given(st.floats(0.5, 3.0), loads_w)
def test_a_power_law_is_reproduced_between_the_points(exponent: float, load_w: float) -> None:
    # t = 1e4 * P^-n is a straight line on logarithmic scales: the interpolation has to return it.
    curve = [RuntimePoint(w, 1e4 * w**-exponent) for w in (1.0, 40.0, 3000.0)]
    answer = runtime_from_points(curve, load_w, 1.0)
    assert answer.known
    assert answer.low == pytest.approx(1e4 * load_w**-exponent, rel=1e-9)


def test_lighter_than_the_first_point_holds_at_least_its_time() -> None:
    assert runtime_from_points(CURVE, 299.0, 1.0) == Span(62.0, math.inf)
    assert runtime_from_points(CURVE, 0.0, 1.0) == Span(62.0, math.inf)


def test_heavier_than_the_last_point_holds_at_most_its_time() -> None:
    assert runtime_from_points(CURVE, 1201.0, 1.0) == Span(0.0, 8.0)


def test_an_unknown_load_gives_the_range_of_its_ends() -> None:
    assert runtime_from_points(CURVE, between(300.0, 700.0), 1.0) == Span(21.0, 62.0)
    assert runtime_from_points(CURVE, between(200.0, 1300.0), 1.0) == Span(0.0, math.inf)


@given(curves(), loads_w, shares)
def test_an_aged_battery_is_the_curve_at_load_over_share(
    curve: list[RuntimePoint], load_w: float, share: float
) -> None:
    assert runtime_from_points(curve, load_w, share) == runtime_from_points(curve, load_w / share, 1.0)


def test_a_load_stands_on_the_curve_over_what_is_left_of_the_battery() -> None:
    assert drawn_watts(Span(80.0, 100.0), Span(0.8, 1.0)) == Span(80.0, 125.0)
    assert drawn_watts(80.0, Span(0.0, 1.0)) == Span(80.0, math.inf)
    with pytest.raises(ValueError, match="load"):
        drawn_watts(-1.0, 1.0)


def test_ageing_costs_more_than_its_share_of_the_time() -> None:
    # Wherever time falls faster than 1/P, as it does for lead-acid: 400 W on 80 % is read at 500 W.
    new, aged = runtime_from_points(CURVE, 400.0, 1.0), runtime_from_points(CURVE, 400.0, 0.8)
    assert aged.high < 0.8 * new.low


def test_a_battery_of_unknown_capacity_is_only_bounded_above() -> None:
    assert runtime_from_points(CURVE, 700.0, between(0.0, 1.0)) == Span(0.0, 21.0)
    assert runtime_from_points(CURVE, 0.0, 0.0) == Span(0.0, 8.0)


@given(curves(), loads_w, loads_w, shares)
def test_more_load_is_never_longer(curve: list[RuntimePoint], a_w: float, b_w: float, share: float) -> None:
    lighter, heavier = sorted((a_w, b_w))
    assert not_longer(runtime_from_points(curve, heavier, share), runtime_from_points(curve, lighter, share))


@given(curves(), loads_w, shares, shares)
def test_less_capacity_is_never_longer(curve: list[RuntimePoint], load_w: float, a: float, b: float) -> None:
    less, more = sorted((a, b))
    assert not_longer(runtime_from_points(curve, load_w, less), runtime_from_points(curve, load_w, more))


@pytest.mark.parametrize(
    ("curve", "load_w", "share", "message"),
    [
        ((), 100.0, 1.0, "runtime points: at least one is needed"),
        ((RuntimePoint(0.0, 5.0),), 100.0, 1.0, "runtime point = 0 W: outside above 0"),
        ((RuntimePoint(9.0, 0.0),), 100.0, 1.0, "runtime point = 0 min: outside above 0"),
        (
            (RuntimePoint(300.0, 20.0), RuntimePoint(700.0, 62.0)),
            100.0,
            1.0,
            "runtime points: 62 min at 700 W is longer than 20 min at 300 W",
        ),
        (
            (RuntimePoint(300.0, 20.0), RuntimePoint(300.0, 30.0)),
            100.0,
            1.0,
            "runtime points: 300 W is stated twice",
        ),
        (CURVE, -1.0, 1.0, "load = -1 W: outside 0 or more"),
        (CURVE, 100.0, 95.0, "capacity share = 95: outside 0 to 1.25 (plausibility bound)"),
    ],
    ids=["no point", "no watts", "no minutes", "rising", "stated twice", "negative load", "a percentage"],
)
def test_points_that_cannot_be_are_refused(
    curve: tuple[RuntimePoint, ...], load_w: float, share: float, message: str
) -> None:
    with pytest.raises(ValueError, match=r".") as refusal:
        runtime_from_points(curve, load_w, share)
    assert str(refusal.value) == message


# --- from the energy ------------------------------------------------------------------------------------


def from_energy(
    load_w: Span | float,
    *,
    battery_wh: float = 1000.0,
    chemistry: Chemistry = "lead-acid",
    share: Span | float = 1.0,
    cold: Span | float = 1.0,
    efficiency: Span | float = 1.0,
) -> Span:
    return runtime_from_energy(
        battery_wh=battery_wh,
        load_w=load_w,
        efficiency=efficiency,
        chemistry=chemistry,
        capacity_share=share,
        temperature_factor=cold,
    )


@given(st.floats(0.3, 40.0))
def test_the_runtime_spends_exactly_what_its_own_duration_gives(full_share_h: float) -> None:
    # t * P = E * f(t) at each end: what is drawn is what a discharge of that time gives.
    load_w = 1000.0 / full_share_h
    answer = from_energy(load_w)
    if answer.low > 0:
        least_h = answer.low / 60
        assert least_h * load_w == pytest.approx(1000.0 * lead_acid_fraction(least_h).low, rel=1e-9)
    if answer.high >= 15:
        greatest_h = answer.high / 60
        assert greatest_h * load_w == pytest.approx(1000.0 * lead_acid_fraction(greatest_h).high, rel=1e-9)


@pytest.mark.parametrize("row", supply.LEAD_ACID_RATE_FRACTION.rows, ids=lambda row: f"{row.hours:g} h")
def test_the_table_is_found_again_at_its_own_times(row: supply.RateFraction) -> None:
    # A load that takes exactly the least (greatest) share in a time of the table holds that time.
    assert from_energy(1000.0 * row.low / row.hours).low == pytest.approx(60 * row.hours, rel=1e-9)
    assert from_energy(1000.0 * row.high / row.hours).high == pytest.approx(60 * row.hours, rel=1e-9)


def test_below_a_quarter_hour_only_an_upper_bound_is_known() -> None:
    # 1000 Wh at 4000 W: a quarter of an hour would take the whole energy.
    answer = from_energy(4000.0)
    assert answer.low == 0
    assert answer.high == pytest.approx(60 * 1000 * 0.50 / 4000)
    assert answer.high < 15


def test_beyond_twenty_hours_it_is_the_whole_energy() -> None:
    assert from_energy(25.0) == exact(40 * 60.0)


def test_lead_acid_never_gives_its_whole_energy_in_an_hour() -> None:
    answer = from_energy(1000.0)
    assert answer.high < 60 * 0.65


def test_lithium_takes_its_range_at_any_rate() -> None:
    # 1000 Wh at 2000 W: half an hour of the whole energy, 27.6 min of 92 % (from memory).
    assert from_energy(2000.0, chemistry="lithium") == pytest.approx((27.6, 30.0))


def test_no_load_lasts_for_ever_and_no_battery_not_at_all() -> None:
    assert from_energy(0.0) == exact(math.inf)
    assert from_energy(between(0.0, 50.0)).high == math.inf
    assert from_energy(0.0, share=0.0) == exact(0.0)
    assert from_energy(100.0, share=between(0.0, 1.0)).low == 0


@given(loads_w, shares, shares, chemistries)
def test_ageing_cold_and_loss_all_act_like_more_load(
    load_w: float, share: float, efficiency: float, chemistry: Chemistry
) -> None:
    whole = from_energy(load_w / (share * efficiency), chemistry=chemistry)
    for answer in (
        from_energy(load_w, share=share, efficiency=efficiency, chemistry=chemistry),
        from_energy(load_w, cold=share, efficiency=efficiency, chemistry=chemistry),
    ):
        assert answer.high == pytest.approx(whole.high, rel=1e-9)
        # The least time drops to 0 at a quarter of an hour; rounding may fall on either side there.
        at_the_drop = max(answer.low, whole.low) == pytest.approx(15, rel=1e-9)
        assert answer.low == pytest.approx(whole.low, rel=1e-9) or at_the_drop


@given(loads_w, loads_w, shares, chemistries)
def test_more_load_is_never_longer_from_the_energy(
    a_w: float, b_w: float, share: float, chemistry: Chemistry
) -> None:
    lighter, heavier = sorted((a_w, b_w))
    assert not_longer(
        from_energy(heavier, share=share, chemistry=chemistry),
        from_energy(lighter, share=share, chemistry=chemistry),
    )


@given(loads_w, shares, shares, chemistries)
def test_less_capacity_is_never_longer_from_the_energy(
    load_w: float, a: float, b: float, chemistry: Chemistry
) -> None:
    less, more = sorted((a, b))
    assert not_longer(
        from_energy(load_w, share=less, chemistry=chemistry),
        from_energy(load_w, share=more, chemistry=chemistry),
    )


@given(loads_w, loads_w, shares, shares)
def test_a_range_holds_the_answers_of_its_members(a_w: float, b_w: float, a: float, b: float) -> None:
    load, share = between(*sorted((a_w, b_w))), between(*sorted((a, b)))
    whole = from_energy(load, share=share)
    for load_w in load:
        for one_share in share:
            member = from_energy(load_w, share=one_share)
            assert whole.low <= member.low
            assert member.high <= whole.high


@given(st.floats(0.01, 60.0), st.floats(0.01, 60.0))
def test_a_longer_discharge_gives_no_less(a_h: float, b_h: float) -> None:
    shorter, longer = (lead_acid_fraction(hours) for hours in sorted((a_h, b_h)))
    assert shorter.low <= longer.low
    assert shorter.high <= longer.high


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"battery_wh": -1.0}, "battery energy = -1 Wh: outside 0 or more"),
        ({"efficiency": 0.0}, "efficiency = 0 W/W: outside above 0 to 1"),
        ({"efficiency": 92.0}, "efficiency = 92 W/W: outside above 0 to 1"),
        ({"cold": 1.04}, "temperature factor = 1.04: outside 0 to 1 (none is added above 25 °C)"),
        ({"share": between(0.5, 1.5)}, "capacity share = 0.5 to 1.5: outside 0 to 1.25 (plausibility bound)"),
    ],
    ids=["negative energy", "no efficiency", "a percentage", "capacity added in the heat", "share"],
)
def test_an_energy_question_out_of_range_is_refused(changed: dict[str, float], message: str) -> None:
    with pytest.raises(ValueError, match=r".") as refusal:
        from_energy(100.0, **changed)  # type: ignore[arg-type]
    assert str(refusal.value) == message


# --- ageing and temperature -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("age_years", "design_life_years", "tested_share", "left"),
    [
        (2.0, 5.0, None, Span(0.8, 1.0)),
        (5.0, 5.0, None, Span(0.8, 1.0)),
        (5.1, 5.0, None, Span(0.0, 1.0)),
        (between(4.0, 6.0), 5.0, None, Span(0.0, 1.0)),
        (None, 5.0, None, Span(0.0, 1.0)),
        (2.0, None, None, Span(0.0, 1.0)),
        (9.0, 5.0, 0.91, Span(0.91, 0.91)),
        (None, None, 0.62, Span(0.62, 0.62)),
    ],
    ids=[
        "young",
        "at its life",
        "old",
        "perhaps old",
        "age unknown",
        "life unknown",
        "old, tested",
        "tested",
    ],
)
def test_what_is_left_of_a_battery(
    age_years: Span | float | None, design_life_years: float | None, tested_share: float | None, left: Span
) -> None:
    # 80 % is the end of life of IEEE Std 450 and IEEE Std 1188; ageing is applied once, so a test stands.
    assert capacity_share(age_years, design_life_years, tested_share) == left


@given(st.floats(0.0, 30.0), st.floats(0.0, 30.0), st.floats(1.0, 20.0), loads_w)
def test_older_is_never_longer(a_years: float, b_years: float, life_years: float, load_w: float) -> None:
    younger, older = sorted((a_years, b_years))
    assert not_longer(
        runtime_from_points(CURVE, load_w, capacity_share(older, life_years, None)),
        runtime_from_points(CURVE, load_w, capacity_share(younger, life_years, None)),
    )


@pytest.mark.parametrize(
    ("age_years", "design_life_years", "tested_share", "message"),
    [
        (-1.0, 5.0, None, "age of the battery = -1 years: outside 0 or more"),
        (1.0, 0.0, None, "design life = 0 years: outside above 0"),
        (1.0, 5.0, 85.0, "capacity share = 85: outside 0 to 1.25 (plausibility bound)"),
    ],
)
def test_ages_that_cannot_be_are_refused(
    age_years: float, design_life_years: float, tested_share: float | None, message: str
) -> None:
    with pytest.raises(ValueError, match=r".") as refusal:
        capacity_share(age_years, design_life_years, tested_share)
    assert str(refusal.value) == message


@given(st.floats(25.0, 60.0))
def test_heat_adds_no_capacity(celsius: float) -> None:
    assert temperature_capacity(celsius) == exact(1.0)


@given(st.floats(-40.0, 60.0), st.floats(-40.0, 60.0))
def test_colder_is_never_more(a_celsius: float, b_celsius: float) -> None:
    colder, warmer = (temperature_capacity(celsius) for celsius in sorted((a_celsius, b_celsius)))
    assert not_longer(colder, warmer)


def test_colder_than_the_table_has_no_lower_bound() -> None:
    assert temperature_capacity(-10.0) == Span(0.0, 0.815)


def test_an_unknown_temperature_gives_the_range_of_its_ends() -> None:
    assert temperature_capacity(between(10.0, 30.0)) == Span(0.860, 1.0)


def test_below_absolute_zero_is_refused() -> None:
    with pytest.raises(ValueError, match=r"battery temperature = -300 °C: outside -273\.15 or more"):
        temperature_capacity(-300.0)


# --- Peukert --------------------------------------------------------------------------------------------


@given(st.floats(1.0, 500.0), st.floats(1.0, 20.0), st.floats(1.0, 1.35))
def test_at_its_own_rate_a_battery_gives_its_own_hours(
    capacity_ah: float, rate_h: float, exponent: float
) -> None:
    minutes = peukert_minutes(capacity_ah, rate_h, capacity_ah / rate_h, exponent, "lead-acid")
    assert minutes == pytest.approx(60 * rate_h, rel=1e-9)


@given(st.floats(5.0, 80.0))
def test_an_exponent_of_one_is_capacity_over_current(current_a: float) -> None:
    assert peukert_minutes(100.0, 20.0, current_a, 1.0, "lead-acid") == pytest.approx(6000 / current_a)


@given(st.floats(5.0, 40.0), st.floats(5.0, 40.0), st.floats(1.0, 1.35))
def test_current_to_the_exponent_times_time_is_constant(a: float, b: float, exponent: float) -> None:
    # Peukert's law itself: I^k * t is the same for two currents.
    times = [peukert_minutes(100.0, 20.0, current_a, exponent, "lead-acid") for current_a in (a, b)]
    assert a**exponent * times[0] == pytest.approx(b**exponent * times[1], rel=1e-9)


@pytest.mark.parametrize(
    ("current_a", "exponent", "chemistry", "message"),
    [
        (5.0, 1.1, "lithium", "chemistry = lithium: Peukert's law holds for lead-acid only"),
        (200.0, 1.0, "lead-acid", "discharge time after Peukert = 0.5 h: outside 1 to 20 (IEEE Std 1184"),
        (4.0, 1.0, "lead-acid", "discharge time after Peukert = 25 h: outside 1 to 20 (IEEE Std 1184"),
        (5.0, 0.9, "lead-acid", "exponent = 0.9: outside 1 to 1.35 (Peukert's law-1897"),
        (5.0, 1.6, "lead-acid", "exponent = 1.6: outside 1 to 1.35 (Peukert's law-1897"),
        (0.0, 1.2, "lead-acid", "current = 0 A: outside above 0 (Peukert's law-1897"),
    ],
    ids=[
        "lithium",
        "below one hour",
        "slower than its rating",
        "exponent low",
        "exponent high",
        "no current",
    ],
)
def test_peukert_outside_its_range_is_refused(
    current_a: float, exponent: float, chemistry: Chemistry, message: str
) -> None:
    with pytest.raises(ValueError, match=r".") as refusal:
        peukert_minutes(100.0, 20.0, current_a, exponent, chemistry)
    assert str(refusal.value).startswith(message)
