"""Identities, limit cases and properties of the powered link; published values are under tests/outside."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from riserlint.engineering.loss import (
    Segment,
    channel_least_volts,
    class_nominal_current_a,
    current_per_conductor_a,
    current_per_pair_a,
    device_watts_from_source_watts,
    highest_device_watts,
    highest_ohm,
    least_device_volts,
    link_loop_ohm,
    pairset_ohm,
    solve_link,
    solve_modes,
)
from riserlint.standards import poe

VOLTS = st.floats(min_value=12, max_value=60)
OHM = st.floats(min_value=0, max_value=40)
WATTS = st.floats(min_value=0, max_value=100)


@given(VOLTS, OHM, WATTS)
def test_what_the_source_gives_is_used_or_lost(source_v: float, ohm: float, device_w: float) -> None:
    state = solve_link(source_v, ohm, device_w)
    assert (state is None) == (source_v * source_v < 4 * ohm * device_w)
    if state is not None:
        assert state.source_w == pytest.approx(state.device_w + state.loss_w, rel=1e-12)
        assert state.device_v * state.current_a == pytest.approx(device_w, rel=1e-12)
        assert state.device_v >= source_v / 2


@given(VOLTS, OHM, WATTS)
def test_ohms_law_holds_along_the_link(source_v: float, ohm: float, device_w: float) -> None:
    # Up to 90 % of the collapse: beyond, the root of a difference takes half of the digits.
    assume(4 * ohm * device_w < 0.9 * source_v * source_v)
    state = solve_link(source_v, ohm, device_w)
    assert state is not None
    assert source_v - state.current_a * ohm == pytest.approx(state.device_v, rel=1e-12)


@given(VOLTS, OHM, WATTS, st.floats(min_value=0.5, max_value=1))
def test_two_modes_are_two_links_whose_currents_add_up(
    source_v: float, ohm: float, device_w: float, heavier: float
) -> None:
    """Ohm's and Kirchhoff's laws on each mode's own pairset (published); the heavier ends first."""
    found = solve_modes(source_v, ohm * heavier, device_w, heavier)
    own = solve_link(source_v, ohm, heavier * device_w)
    other = solve_link(source_v, ohm, (1 - heavier) * device_w)
    assume(abs(source_v * source_v - 4 * ohm * heavier * device_w) > 1e-6)
    assert (found is None) == (own is None)
    if found is not None and own is not None and other is not None:
        assert found.device_v == pytest.approx(own.device_v, rel=1e-6)
        assert found.current_a == pytest.approx(own.current_a + other.current_a, rel=1e-6)
        assert found.source_w == pytest.approx(own.source_w + other.source_w, rel=1e-6)
        assert found.loss_w == pytest.approx(own.loss_w + other.loss_w, rel=1e-4, abs=1e-6)


@pytest.mark.parametrize("heavier", [0.49, 1.01, math.nan])
def test_a_heavier_mode_draws_half_or_more(heavier: float) -> None:
    with pytest.raises(ValueError, match="heavier of two modes"):
        solve_modes(52, 5, 30, heavier)


@given(VOLTS, WATTS)
def test_without_resistance_nothing_is_lost(source_v: float, device_w: float) -> None:
    state = solve_link(source_v, 0.0, device_w)
    assert state is not None
    assert (state.device_v, state.loss_w) == (source_v, 0.0)
    assert state.current_a == pytest.approx(device_w / source_v, rel=1e-15)


@given(VOLTS, OHM)
def test_a_device_that_draws_nothing_sees_the_source(source_v: float, ohm: float) -> None:
    assert solve_link(source_v, ohm, 0.0) == (source_v, 0.0, source_v, 0.0, 0.0, 0.0)


def test_the_link_ends_at_half_the_source_voltage() -> None:
    """4PR = V²: maximum power transfer; 48 V over 4 ohm carries 144 W and not a milliwatt more."""
    state = solve_link(48, 4, 144)
    assert state is not None
    assert tuple(state) == (48, 6.0, 24.0, 144, 288.0, 144.0)
    assert solve_link(48, 4, 144.001) is None
    assert highest_device_watts(48, 4, least_device_v=1) == 144
    assert highest_ohm(48, 144, least_device_v=1) == 4
    assert device_watts_from_source_watts(48, 4, 288) == 144
    assert device_watts_from_source_watts(48, 4, 288.001) is None


@given(VOLTS, st.floats(min_value=0.1, max_value=40), st.floats(min_value=0.5, max_value=100))
def test_more_resistance_or_more_draw_leaves_less_voltage(
    source_v: float, ohm: float, device_w: float
) -> None:
    state = solve_link(source_v, ohm, device_w)
    assume(state is not None)
    assert state is not None
    for less in (solve_link(source_v, ohm * 0.9, device_w), solve_link(source_v, ohm, device_w * 0.9)):
        assert less is not None
        assert less.device_v > state.device_v
        assert less.current_a < state.current_a
        assert less.loss_w < state.loss_w


@given(VOLTS, st.floats(min_value=0.1, max_value=40), st.floats(min_value=0.01, max_value=0.95))
def test_both_directions_of_the_link_agree(source_v: float, ohm: float, share: float) -> None:
    device_w = share * source_v * source_v / (4 * ohm)
    state = solve_link(source_v, ohm, device_w)
    assert state is not None
    back = device_watts_from_source_watts(source_v, ohm, state.source_w)
    assert back == pytest.approx(device_w, rel=1e-10)


@given(VOLTS, st.floats(min_value=0.5, max_value=100), st.floats(min_value=0.55, max_value=0.99))
def test_over_the_highest_resistance_the_device_has_just_its_least_voltage(
    source_v: float, device_w: float, share: float
) -> None:
    least_v = share * source_v
    ohm = highest_ohm(source_v, device_w, least_v)
    assert ohm is not None
    state = solve_link(source_v, ohm, device_w)
    assert state is not None
    assert state.device_v == pytest.approx(least_v, rel=1e-10)
    assert highest_device_watts(source_v, ohm, least_v) == pytest.approx(device_w, rel=1e-12)


def test_highest_draw_and_resistance_at_their_ends() -> None:
    assert highest_ohm(48, 0, 37) == math.inf
    assert highest_ohm(48, 10, 48) == 0
    assert highest_ohm(48, 10, 48.1) is None
    assert highest_device_watts(48, 0, 37) == math.inf
    assert highest_device_watts(48, 2, 48) == 0
    assert highest_device_watts(36, 2, 37) is None


def test_a_device_of_802_3_is_off_before_the_link_has_no_operating_point() -> None:
    """Off at 30 V: IEEE Std 802.3-2022, from memory. By hand (52 - 30) × 30 / 6.25 = 105.6 W."""
    off_w = highest_device_watts(52, 6.25)
    end_w = highest_device_watts(52, 6.25, least_device_v=0.001)
    assert off_w == pytest.approx(105.6)
    assert end_w == pytest.approx(52**2 / 25)
    assert off_w is not None
    state = solve_link(52, 6.25, off_w)
    assert state is not None
    assert state.device_v == pytest.approx(poe.PD_OFF_VOLTS.value)


def test_pairs_side_by_side() -> None:
    """Class D channel of 25 ohm, Class C channel of 40 ohm: the 12.5, 6.25 and 20 ohm of IEEE Std 802.3."""
    assert pairset_ohm(25, 2) == 12.5
    assert pairset_ohm(25, 4) == 6.25
    assert pairset_ohm(40, 2) == 20


@given(st.floats(min_value=0, max_value=2), st.sampled_from([2, 4]))
def test_currents_of_wires_and_pairs_add_up(current_a: float, pairs: int) -> None:
    wire_a = current_per_conductor_a(current_a, pairs)
    assert current_per_pair_a(current_a, pairs) == 2 * wire_a
    # Half of the wires carry the current out, the other half back.
    assert wire_a * (2 * pairs) / 2 == pytest.approx(current_a)


@given(
    st.floats(min_value=0, max_value=1),
    st.floats(min_value=1, max_value=60),
    st.sampled_from([(2, 1), (4, 1)]),
)
def test_loss_in_the_wires_is_the_loss_of_the_link(
    ohm_per_m: float, device_w: float, powered: tuple[int, int]
) -> None:
    pairs, length_m = powered
    ohm = pairset_ohm(link_loop_ohm([Segment(length_m, ohm_per_m)], 0, inline_loop_ohm=0), pairs)
    state = solve_link(50, ohm, device_w)
    assert state is not None
    wire_a = current_per_conductor_a(state.current_a, pairs)
    assert 2 * pairs * wire_a**2 * ohm_per_m * length_m == pytest.approx(state.loss_w)


def test_loop_of_a_link_is_the_sum_of_its_parts() -> None:
    """By hand: 2 × (50 × 0.08 + 5 × 0.1) + 3 × 0.4 + 1.0 = 11.2 ohm."""
    segments = [Segment(50, 0.08), Segment(5, 0.1)]
    assert link_loop_ohm(segments, 3, inline_loop_ohm=1.0) == pytest.approx(11.2)
    assert link_loop_ohm([], 0, inline_loop_ohm=0) == 0


@pytest.mark.parametrize("pse_type", poe.PSE_TYPES)
def test_no_permitted_channel_leaves_less_than_a_device_must_work_at(pse_type: int) -> None:
    for pd_class in range(poe.type_highest_class(pse_type) + 1):
        for pairs in (2, 4):
            if poe.powered_pairs(pd_class) <= pairs <= poe.MOST_PAIRS[pse_type].value:
                left_v = channel_least_volts(pd_class, pse_type, pairs)
                assert left_v >= least_device_volts(pd_class) > poe.PD_OFF_VOLTS.value


def test_class_zero_is_reckoned_as_class_three() -> None:
    assert least_device_volts(0) == least_device_volts(3)
    assert channel_least_volts(0, 3) == channel_least_volts(3, 3)


def test_what_does_not_exist_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="a Type 2 PSE grants no class 5; its highest is 4"):
        channel_least_volts(5, 2)
    with pytest.raises(ValueError, match="class 8 needs 4 powered pairs, not 2"):
        channel_least_volts(8, 4, pairs=2)
    with pytest.raises(ValueError, match="a Type 1 PSE does not power 4 pairs"):
        channel_least_volts(3, 1, pairs=4)
    with pytest.raises(ValueError, match="a Type 3 PSE grants no class 7"):
        class_nominal_current_a(7, 3)
    with pytest.raises(ValueError, match="PD class 9 is not one of 0 to 8"):
        least_device_volts(9)
    with pytest.raises(ValueError, match="power runs over 2 or 4 pairs, not 3"):
        pairset_ohm(25, 3)
    with pytest.raises(ValueError, match="voltage 0 V is not a finite number above 0"):
        solve_link(0, 1, 1)
    with pytest.raises(ValueError, match="voltage nan V"):
        solve_link(math.nan, 1, 1)
    with pytest.raises(ValueError, match="resistance -1 ohm is not a finite number of 0 or more"):
        solve_link(50, -1, 1)
    with pytest.raises(ValueError, match="power -1 W is not"):
        highest_ohm(50, -1, 37)
    with pytest.raises(ValueError, match="number of connections -1 is not"):
        link_loop_ohm([], -1, inline_loop_ohm=0)
    with pytest.raises(ValueError, match="length -3 m is not"):
        link_loop_ohm([Segment(-3, 0.1)], 0, inline_loop_ohm=0)
