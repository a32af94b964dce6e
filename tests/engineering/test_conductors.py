"""Identities and limit cases of conductor resistance; printed tables are compared under tests/outside."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserlint.engineering.conductors import (
    at_temperature,
    awg_diameter_mm,
    conductor_ohm_per_m,
    resistance_unbalance,
    unknown_gauge_ohm_per_m,
    worst_conductor_share,
)

GAUGES = st.integers(min_value=18, max_value=30)
CELSIUS = st.floats(min_value=-40, max_value=120)


def test_the_gauge_rule_meets_both_of_its_ends() -> None:
    """ASTM B258 (from memory): 36 AWG is 0.005 in, 4/0 AWG is 0.46 in, both exactly."""
    assert awg_diameter_mm(36) == pytest.approx(0.005 * 25.4, rel=1e-15)
    assert awg_diameter_mm(-3) == pytest.approx(0.46 * 25.4, rel=1e-14)


@given(GAUGES)
def test_39_gauges_further_the_wire_is_92_times_thinner(awg: int) -> None:
    assert awg_diameter_mm(awg - 18) == pytest.approx(awg_diameter_mm(awg) * 92 ** (18 / 39))


@given(GAUGES, CELSIUS)
def test_a_thinner_wire_has_more_resistance(awg: int, celsius: float) -> None:
    thick = conductor_ohm_per_m(awg, material="copper", strand="solid", celsius=celsius)
    thin = conductor_ohm_per_m(awg + 1, material="copper", strand="solid", celsius=celsius)
    assert thin / thick == pytest.approx(92 ** (2 / 39))


@given(GAUGES, CELSIUS)
def test_metal_and_strand_multiply_at_any_temperature(awg: int, celsius: float) -> None:
    plain = conductor_ohm_per_m(awg, material="copper", strand="solid", celsius=celsius)
    both = conductor_ohm_per_m(awg, material="copper-clad-aluminium", strand="stranded", celsius=celsius)
    assert both == pytest.approx(plain * 1.6 * 1.05)


def test_a_wire_of_one_square_millimetre_has_a_58th_of_an_ohm_per_metre() -> None:
    """IEC 60028 (from memory): standard annealed copper, 1/58 ohm mm²/m at 20 °C."""
    awg = 18
    area_mm2 = math.pi * awg_diameter_mm(awg) ** 2 / 4
    ohm_per_m = conductor_ohm_per_m(awg, material="copper", strand="solid", celsius=20)
    assert ohm_per_m * area_mm2 * 58 == pytest.approx(1, rel=1e-14)


@given(st.floats(min_value=0, max_value=1e3), CELSIUS)
def test_temperature_law_is_a_straight_line_through_20_celsius(ohm_20: float, celsius: float) -> None:
    assert at_temperature(ohm_20, 20) == ohm_20
    mirrored = at_temperature(ohm_20, celsius) + at_temperature(ohm_20, 40 - celsius)
    assert mirrored == pytest.approx(2 * ohm_20)


@given(st.sampled_from([22, 23, 24]), CELSIUS)
def test_horizontal_gauges_lie_within_the_range_of_an_unknown_one(awg: int, celsius: float) -> None:
    least, highest = unknown_gauge_ohm_per_m("horizontal", celsius=celsius)
    assert least <= conductor_ohm_per_m(awg, material="copper", strand="solid", celsius=celsius) <= highest


@given(st.sampled_from([24, 26]), CELSIUS)
def test_cord_gauges_lie_within_the_range_of_an_unknown_one(awg: int, celsius: float) -> None:
    least, highest = unknown_gauge_ohm_per_m("cord", celsius=celsius)
    assert least <= conductor_ohm_per_m(awg, material="copper", strand="stranded", celsius=celsius) <= highest


def test_share_of_the_worst_conductor() -> None:
    assert worst_conductor_share(0) == 0.5
    assert worst_conductor_share(1) == 1


@given(st.floats(min_value=1e-3, max_value=1e3), st.floats(min_value=0, max_value=1))
def test_share_follows_from_equal_voltage_over_both_conductors(highest_ohm: float, ratio: float) -> None:
    lowest_ohm = highest_ohm * ratio
    share = worst_conductor_share(resistance_unbalance(highest_ohm, lowest_ohm))
    assert share * lowest_ohm == pytest.approx((1 - share) * highest_ohm, abs=1e-12 * highest_ohm)


def test_what_is_out_of_range_is_refused() -> None:
    with pytest.raises(ValueError, match="gauge 41 is outside -3 to 40 AWG"):
        awg_diameter_mm(41)
    with pytest.raises(ValueError, match="gauge -4 is outside"):
        awg_diameter_mm(-4)
    with pytest.raises(ValueError, match=r"resistance -1 ohm"):
        at_temperature(-1, 20)
    with pytest.raises(ValueError, match=r"conductor temperature -273 °C"):
        at_temperature(1, -273)
    with pytest.raises(ValueError, match=r"conductor temperature nan °C"):
        at_temperature(1, math.nan)
    with pytest.raises(ValueError, match="are not a highest and a lowest"):
        resistance_unbalance(1, 2)
    with pytest.raises(ValueError, match=r"unbalance 1.5 is outside 0 to 1"):
        worst_conductor_share(1.5)
