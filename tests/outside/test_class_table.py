"""The class table of IEEE Std 802.3 rebuilt by our own loss function, and the voltages it leaves.

Watts at source and device of classes 1 to 8: trade association white paper "Overview of 802.3bt", April
2018 (docslib.org/doc/13215261). 12.95 W, least volts and ohms of Types 1 and 2, and both worked examples:
a maker's note that restates the standard. Least volts of Types 3 and 4: a distributor's table that does.
Ohms of Types 3 and 4, and dual signature: from memory.
"""

from decimal import Decimal

import pytest

from riserlint.engineering.loss import (
    channel_least_volts,
    class_nominal_current_a,
    current_per_conductor_a,
    device_watts_from_source_watts,
    least_device_volts,
    least_mode_volts,
    permitted_collapse_share,
    solve_link,
)
from riserlint.standards import poe

#: class as printed, volts and ohms of the type that brought it in, watts at source and device as printed
CLASS_ROWS = [
    ("0", 44, 20, "15.4", "12.95"),
    ("1", 44, 20, "4.0", "3.84"),
    ("2", 44, 20, "7.0", "6.49"),
    ("3", 44, 20, "15.4", "12.95"),
    ("4", 50, 12.5, "30.0", "25.5"),
    ("5", 50, 6.25, "45.0", "40.0"),
    ("6", 50, 6.25, "60.0", "51.0"),
    ("7", 52, 6.25, "75.0", "62.0"),
    ("8", 52, 6.25, "90.0", "71.3"),
    ("5D", 52, 12.5, "45.0", "35.6"),
]

#: From memory: what Types 3 and 4 must give for the low classes, over 50 V and 12.5 ohm.
LOW_CLASS_ROWS = [("2", 50, 12.5, "6.7", "6.49"), ("3", 50, 12.5, "14.0", "13.0")]

ROWS = pytest.mark.parametrize(("pd_class", "volts", "ohm", "pse_w", "pd_w"), CLASS_ROWS + LOW_CLASS_ROWS)


def half_digit(printed: str) -> float:
    """Half a unit of the last digit printed."""
    exponent = Decimal(printed).as_tuple().exponent
    assert isinstance(exponent, int)
    return 0.5 * 10.0**exponent


@ROWS
def test_watts_at_the_device_follow_from_watts_at_the_source(
    pd_class: str, volts: float, ohm: float, pse_w: str, pd_w: str
) -> None:
    # Both numbers are rounded: half a digit of the result, and half a digit of the input carried through
    # dP_PD / dP_PSE = 1 - 2 R P / V². Class 5 needs it: 45.0 W gives 39.94 W, printed 40.0.
    slope = 1 - 2 * ohm * float(pse_w) / volts**2
    tolerance = half_digit(pd_w) + slope * half_digit(pse_w)
    arriving = device_watts_from_source_watts(volts, ohm, float(pse_w))
    assert arriving == pytest.approx(float(pd_w), abs=tolerance), pd_class


@ROWS
def test_watts_at_the_source_follow_from_watts_at_the_device(
    pd_class: str, volts: float, ohm: float, pse_w: str, pd_w: str
) -> None:
    # As above with the slope upside down: 3.84 W asks 4.006 W, printed 4.0; 40.0 W asks 45.08, printed 45.0.
    slope = 1 / (1 - 2 * ohm * float(pse_w) / volts**2)
    tolerance = half_digit(pse_w) + slope * half_digit(pd_w)
    state = solve_link(volts, ohm, float(pd_w))
    assert state is not None
    assert state.source_w == pytest.approx(float(pse_w), abs=tolerance), pd_class


def test_the_tolerance_tells_wrong_resistances_apart() -> None:
    """The table cannot be rebuilt with half or double the resistance, nor with the other type's voltage."""
    for pd_class, volts, ohm, pse_w, pd_w in CLASS_ROWS:
        tolerance = half_digit(pd_w) + half_digit(pse_w)
        for other_v, other_ohm in ((volts, ohm / 2), (volts, ohm * 2), (57, ohm)):
            arriving = device_watts_from_source_watts(other_v, other_ohm, float(pse_w))
            assert arriving is not None
            assert abs(arriving - float(pd_w)) > tolerance, pd_class


@pytest.mark.parametrize(("pd_class", "volts", "ohm", "pse_w", "pd_w"), CLASS_ROWS)
def test_our_tables_are_the_printed_ones(
    pd_class: str, volts: float, ohm: float, pse_w: str, pd_w: str
) -> None:
    if pd_class == "5D":
        assert (poe.dual_pse_watts(5), poe.dual_pd_watts(5)) == (float(pse_w), float(pd_w))
        assert (poe.type_min_volts(4), poe.assumed_loop_ohm(4, 2)) == (volts, ohm)
        return
    number = int(pd_class)
    first_type = min(t for t in poe.PSE_TYPES if poe.type_highest_class(t) >= number)
    assert (poe.pse_watts(number), poe.pd_watts(number, first_type)) == (float(pse_w), float(pd_w))
    pairs = poe.powered_pairs(number)
    assert (poe.type_min_volts(first_type), poe.assumed_loop_ohm(first_type, pairs)) == (volts, ohm)


#: Volts left at a device that draws its class, worked by hand from the standard's volts, ohms and watts:
#: (V + sqrt(V² - 4RP)) / 2. Class, source type, powered pairs, volts as written down.
LEAST_VOLTS = [
    (1, 1, 2, "42.18"),
    (2, 1, 2, "40.82"),
    (3, 1, 2, "37.00"),
    (1, 2, 2, "49.02"),
    (2, 2, 2, "48.32"),
    (4, 2, 2, "42.50"),
    (1, 3, 2, "49.02"),
    (2, 3, 2, "48.32"),
    (3, 3, 2, "46.51"),
    (4, 3, 2, "42.50"),
    (1, 3, 4, "49.52"),
    (2, 3, 4, "49.18"),
    (3, 3, 4, "48.32"),
    (4, 3, 4, "46.58"),
    (5, 3, 4, "44.36"),
    (6, 3, 4, "42.50"),
    (1, 4, 4, "51.53"),
    (2, 4, 4, "51.21"),
    (3, 4, 4, "50.39"),
    (4, 4, 4, "48.73"),
    (5, 4, 4, "46.64"),
    (6, 4, 4, "44.90"),
    (7, 4, 4, "42.99"),
    (8, 4, 4, "41.18"),
]


@pytest.mark.parametrize(("pd_class", "pse_type", "pairs", "printed"), LEAST_VOLTS)
def test_volts_that_a_permitted_channel_leaves(
    pd_class: int, pse_type: int, pairs: int, printed: str
) -> None:
    left_v = channel_least_volts(pd_class, pse_type, pairs)
    assert left_v == pytest.approx(float(printed), abs=half_digit(printed) + 1e-9)
    # Another way to the same number, by Ohm's law alone: what flows through the channel feeds the device.
    amperes = (poe.type_min_volts(pse_type) - left_v) / poe.assumed_loop_ohm(pse_type, pairs)
    assert amperes * left_v == pytest.approx(poe.pd_watts(pd_class, pse_type), rel=1e-12)


@pytest.mark.parametrize(
    ("pd_class", "printed"),
    [
        (0, "37.00"),
        (1, "42.18"),
        (2, "40.82"),
        (3, "37.00"),
        (4, "42.50"),
        (5, "44.36"),
        (6, "42.50"),
        (7, "42.99"),
        (8, "41.18"),
    ],
)
def test_volts_at_which_a_device_must_work_are_the_least_of_its_row(pd_class: int, printed: str) -> None:
    assert least_device_volts(pd_class) == pytest.approx(float(printed), abs=half_digit(printed) + 1e-9)


@pytest.mark.parametrize(("pse_type", "printed"), [(1, "37.0"), (2, "42.5"), (3, "42.5")])
def test_the_highest_class_has_the_printed_least_voltage_of_its_type(pse_type: int, printed: str) -> None:
    """37 and 42.5 V: a maker's note that restates the standard (Types 1 and 2); Type 3 from memory."""
    assert poe.PD_MIN_VOLTS_AT_HIGHEST_CLASS[pse_type].value == float(printed)
    left_v = channel_least_volts(poe.type_highest_class(pse_type), pse_type)
    assert left_v == pytest.approx(float(printed), abs=half_digit(printed))


def test_the_least_voltage_of_type_4_lies_between_the_two_that_circulate() -> None:
    """41.1 V and 41.2 V, both from memory."""
    assert poe.PD_MIN_VOLTS_AT_HIGHEST_CLASS[4].value == 41.1
    assert 41.1 < channel_least_volts(8, 4) < 41.2


def test_worked_example_of_the_type_1_limit() -> None:
    """44 V, 20 ohm, 350 mA: 37.0 V and 12.95 W at the device (a maker's note that restates the standard).

    2.45 W lost in the cable: a short note on the maximum loss in 100 m (intkb.blogspot.com, October 2014).
    """
    state = solve_link(44, 20, 12.95)
    assert state is not None
    assert state.current_a == pytest.approx(0.350, rel=1e-12)
    assert state.device_v == pytest.approx(37.0, rel=1e-12)
    assert state.loss_w == pytest.approx(2.45, rel=1e-12)
    assert state.source_w == pytest.approx(15.4, rel=1e-12)


def test_worked_example_of_the_type_2_limit() -> None:
    """50 V, 12.5 ohm, 600 mA: 42.5 V and 25.5 W (a maker's note); 4.5 W or 15 % lost, by subtraction."""
    state = solve_link(50, 12.5, 25.5)
    assert state is not None
    assert state.current_a == pytest.approx(0.600, rel=1e-12)
    assert state.device_v == pytest.approx(42.5, rel=1e-12)
    assert state.loss_w == pytest.approx(4.5, rel=1e-12)
    assert state.loss_w / state.source_w == pytest.approx(0.15, rel=1e-12)


def test_the_short_formula_is_optimistic() -> None:
    """Watts at the device over volts at the source gives class 4 0.51 A, against the 0.60 A of Type 2."""
    state = solve_link(50, 12.5, 25.5)
    assert state is not None
    assert state.device_w / state.volts == pytest.approx(0.51)
    assert state.current_a == pytest.approx(poe.NOMINAL_PAIRSET_AMPERES[2].value)


def test_nominal_current_in_each_wire_of_a_60_watt_source() -> None:
    """0.3 A per conductor: Public Input 1021 to NFPA 70, 2020 cycle (class 6 at 50 V, four pairs)."""
    assert current_per_conductor_a(class_nominal_current_a(6, 3), 4) == pytest.approx(0.3)


@pytest.mark.parametrize(("pse_type", "pd_class", "pairs"), [(1, 3, 2), (2, 4, 2), (3, 6, 4)])
def test_nominal_current_of_the_highest_class_is_that_of_its_type(
    pse_type: int, pd_class: int, pairs: int
) -> None:
    """350 and 600 mA a pairset: a maker's note and a help-centre article that restate the standard."""
    pairset_a = class_nominal_current_a(pd_class, pse_type) / (pairs / 2)
    assert pairset_a == pytest.approx(poe.NOMINAL_PAIRSET_AMPERES[pse_type].value)


def test_nominal_current_of_class_8_stays_below_the_planning_bound_of_type_4() -> None:
    """90 W at 52 V is 0.865 A a pairset and 0.433 A a wire; 0.960 A is the bound (a help-centre article)."""
    assert current_per_conductor_a(class_nominal_current_a(8, 4), 4) == pytest.approx(0.433, abs=0.0005)
    assert class_nominal_current_a(8, 4) / 2 < poe.NOMINAL_PAIRSET_AMPERES[4].value


def test_a_mode_of_class_5_works_at_the_volts_that_its_own_pairset_leaves() -> None:
    """From memory: 45 W at 52 V over 12.5 ohm leave 35.6 W; 52 V less 12.5 ohm × 45 W / 52 V is 41.2 V."""
    assert least_mode_volts(5) == pytest.approx(52 - 12.5 * 45 / 52, abs=0.05)
    for pd_class in (1, 2, 3, 4):
        assert least_mode_volts(pd_class) == least_device_volts(pd_class)
    with pytest.raises(ValueError, match="6"):
        least_mode_volts(6)


def test_the_permitted_channel_that_is_nearest_to_its_collapse() -> None:
    """Watts, volts and ohms of the tables (ohms of Type 4 from memory): V² / 4R is the most that a link carries.

    Class 8 behind Type 4: 52² / (4 × 6.25 × 71.3) = 1.517; the others, by hand: 1.87 (class 3 of Type 1), 1.96
    (class 4 of Type 2, class 6 of Type 3).
    """
    assert permitted_collapse_share().value == pytest.approx(1.517, abs=5e-4)
    assert permitted_collapse_share().known == "derived"
    assert solve_link(52, 6.25, 71.3 * 1.516) is not None
    assert solve_link(52, 6.25, 71.3 * 1.518) is None
