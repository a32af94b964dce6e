"""Round figures that the trade plans with, held against our functions: common practice, no source."""

import pytest

from riserlint.engineering.loss import (
    class_nominal_current_a,
    current_per_conductor_a,
    highest_device_watts,
    least_device_volts,
    solve_link,
)
from riserlint.standards import poe

CAMERA_W = 10.0
ACCESS_POINT_W = 15.0
FLOOR_W = 40.0
FLOORS = 8
FLOOR_SWITCH_MAX_W = 65.0
SMALL_MAIN_SWITCH_W = 250.0
LARGE_MAIN_SWITCH_W = 720.0
PORT_W = 90.0


def least_class_for(device_w: float) -> int:
    """The lowest class that brings these watts to the device, by the table."""
    return min(c for c in poe.PD_CLASSES if c and poe.pd_watts(c, None) >= device_w)


def worst_source_w(device_w: float, pd_class: int, pse_type: int) -> float:
    """Watts at the source over the worst channel that the standard permits."""
    ohm = poe.assumed_loop_ohm(pse_type, poe.powered_pairs(pd_class))
    state = solve_link(poe.type_min_volts(pse_type), ohm, device_w)
    assert state is not None
    return state.source_w


def test_a_fixed_camera_is_class_3_and_an_access_point_class_4() -> None:
    """About 10 W and about 15 W: common practice, no source."""
    assert least_class_for(CAMERA_W) == 3
    assert least_class_for(ACCESS_POINT_W) == 4
    assert worst_source_w(CAMERA_W, 3, 1) < poe.pse_watts(3)
    assert worst_source_w(ACCESS_POINT_W, 4, 2) < poe.pse_watts(4)


def test_a_floor_of_three_cameras_with_its_switch_needs_about_40_watts() -> None:
    """Common practice, no source; so are own use of 4 to 6 W and efficiency of 0.85 to 0.92."""
    least_w = 4 + 3 * CAMERA_W / 0.92
    most_w = 6 + 3 * CAMERA_W / 0.85
    assert least_w == pytest.approx(FLOOR_W, rel=0.1)
    assert most_w == pytest.approx(FLOOR_W, rel=0.1)
    # A class 4 inlet will not do (25.5 W), a class 6 one does.
    assert least_class_for(least_w) == 5
    assert least_class_for(most_w) == 6


def test_eight_such_floors_need_about_320_watts_which_a_250_watt_switch_has_not() -> None:
    """Common practice, no source."""
    assert FLOORS * FLOOR_W == 320
    # Even without any loss, let alone over the worst channel.
    assert FLOORS * FLOOR_W > SMALL_MAIN_SWITCH_W
    assert FLOORS * worst_source_w(FLOOR_W, 8, 4) > FLOORS * FLOOR_W
    # The small switch would feed six floors by draw, and not over the worst channel.
    assert SMALL_MAIN_SWITCH_W // FLOOR_W == 6
    assert SMALL_MAIN_SWITCH_W // worst_source_w(FLOOR_W, 8, 4) == 5


def test_a_720_watt_switch_with_90_watts_a_port_feeds_them_by_draw() -> None:
    """Common practice, no source. No reserve is asked; the budget goes by what is drawn."""
    draw_w = FLOORS * worst_source_w(FLOOR_W, 8, 4)
    assert draw_w < LARGE_MAIN_SWITCH_W
    # By hand: I = 80 / (52 + sqrt(2704 - 1000)) = 80 / 93.280 = 0.8576 A; × 52 V = 44.60 W.
    assert draw_w == pytest.approx(FLOORS * 44.6, abs=FLOORS * 0.1)


def test_even_with_every_floor_switch_at_its_maximum() -> None:
    """Common practice, no source: 65 W each is about 637 W at the source over 52 V and 6.25 ohm."""
    each_w = worst_source_w(FLOOR_SWITCH_MAX_W, 8, 4)
    # By hand: I = 130 / (52 + sqrt(2704 - 1625)) = 130 / 84.848 = 1.5322 A; × 52 V = 79.67 W; × 8 = 637.4 W.
    assert FLOORS * each_w == pytest.approx(637.4, abs=0.1)
    assert each_w < PORT_W
    assert FLOORS * each_w < LARGE_MAIN_SWITCH_W


def test_that_maximum_needs_class_8() -> None:
    """Class 7 brings 62 W to the device: trade association overview of 802.3bt, April 2018."""
    assert poe.pd_watts(7, 4) < FLOOR_SWITCH_MAX_W < poe.pd_watts(8, 4)
    assert least_class_for(FLOOR_SWITCH_MAX_W) == 8
    assert poe.demoted_class(8, 7) == 6
    assert poe.pd_watts(6, 4) < FLOOR_SWITCH_MAX_W
    # A port of 90 W: the class 8 device keeps its least voltage at 65 W with room to spare.
    most_w = highest_device_watts(52, 6.25, least_device_volts(8))
    assert most_w == pytest.approx(71.3)


def test_reserved_by_class_nothing_is_left() -> None:
    """90 W a class 8 port (trade association overview of 802.3bt, April 2018): 8 × 90 = 720 W."""
    assert FLOORS * poe.pse_watts(8) == LARGE_MAIN_SWITCH_W
    assert LARGE_MAIN_SWITCH_W // poe.pse_watts(8) == FLOORS


def test_a_feed_at_its_maximum_carries_less_than_the_nominal_current_of_its_class() -> None:
    """Arithmetic on the standard's values: class 8 is 0.433 A a wire, 65 W at the device 0.383 A."""
    state = solve_link(52, 6.25, FLOOR_SWITCH_MAX_W)
    assert state is not None
    wire_a = current_per_conductor_a(state.current_a, 4)
    assert wire_a == pytest.approx(0.383, abs=0.0005)
    assert wire_a < current_per_conductor_a(class_nominal_current_a(8, 4), 4)
