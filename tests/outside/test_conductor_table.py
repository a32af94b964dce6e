"""Computed resistance of conductors against printed wire tables and the limits of the cabling standards."""

from decimal import Decimal

import pytest

from riserlint.engineering.conductors import (
    at_temperature,
    awg_diameter_mm,
    conductor_ohm_per_m,
    resistance_unbalance,
    unknown_gauge_ohm_per_m,
    worst_conductor_share,
)
from riserlint.engineering.loss import Segment, link_loop_ohm, pairset_ohm
from riserlint.standards import conductors, poe

#: AWG, diameter in inches and ohms per 1000 ft at 20 °C as printed: university physics tables,
#: hyperphysics.phy-astr.gsu.edu/hbase/Tables/wirega.html (quoting a textbook of electric circuits).
WIRE_TABLE = [
    (22, "0.02535", "16.14"),
    (23, "0.02257", "20.36"),
    (24, "0.0201", "25.67"),
    (25, "0.0179", "32.37"),
    (26, "0.01594", "40.81"),
    (27, "0.0142", "51.47"),
    (28, "0.01264", "64.9"),
    (29, "0.01126", "81.83"),
    (30, "0.01002", "103.2"),
]

MM_PER_INCH = 25.4
M_PER_1000_FT = 304.8


def unit_of_last_digit(printed: str) -> float:
    exponent = Decimal(printed).as_tuple().exponent
    assert isinstance(exponent, int)
    return 10.0**exponent


def solid_copper(awg: int, celsius: float = 20) -> float:
    return conductor_ohm_per_m(awg, material="copper", strand="solid", celsius=celsius)


@pytest.mark.parametrize(("awg", "inches", "ohm_per_1000_ft"), WIRE_TABLE)
def test_gauges_of_the_printed_wire_table(awg: int, inches: str, ohm_per_1000_ft: str) -> None:
    # One unit of the last digit, not half of one: the table cuts digits off here and there (30 AWG is
    # 0.010025 in, printed 0.01002; 26 AWG 40.815 ohm, printed 40.81).
    assert awg_diameter_mm(awg) / MM_PER_INCH == pytest.approx(float(inches), abs=unit_of_last_digit(inches))
    assert solid_copper(awg) * M_PER_1000_FT == pytest.approx(
        float(ohm_per_1000_ft), abs=unit_of_last_digit(ohm_per_1000_ft)
    )


def test_our_wire_table_is_the_printed_one() -> None:
    printed = [(awg, float(inches), float(ohm)) for awg, inches, ohm in WIRE_TABLE]
    assert list(conductors.WIRE_TABLE.rows) == printed


@pytest.mark.parametrize(
    ("awg", "ohm_per_km"),
    [(22, "52.94"), (23, "66.78"), (24, "84.20"), (26, "133.86"), (28, "212.87"), (30, "338.5")],
)
def test_ohms_per_kilometre_of_another_printed_table(awg: int, ohm_per_km: str) -> None:
    """Wire table at wp.1728.org/?p=4314; it converts four digits per 1000 ft, so 5 parts in 10,000."""
    assert solid_copper(awg) * 1000 == pytest.approx(float(ohm_per_km), rel=5e-4)


@pytest.mark.parametrize(("awg", "printed_mm"), [(22, "0.643"), (24, "0.511")])
def test_diameters_in_law(awg: int, printed_mm: str) -> None:
    """7 CFR 1755.870. 22 AWG is 0.6438 mm by the rule, cut off in the law: one unit of the last digit."""
    assert awg_diameter_mm(awg) == pytest.approx(float(printed_mm), abs=unit_of_last_digit(printed_mm))


def test_copper_at_60_celsius() -> None:
    """0.00393 per K (IEC 60028, from memory), by hand: +40 K is +15.72 %; 84.22 becomes 97.46 ohm/km."""
    assert at_temperature(84.22, 60) == pytest.approx(84.22 * 1.1572, rel=1e-12)
    assert solid_copper(24, 60) * 1000 == pytest.approx(97.45, abs=0.01)


def test_caps_of_the_standard_are_the_worst_and_gauges_the_usual_case() -> None:
    """9.38 ohm/100 m: summary of TIA-568 (elliottelectric.com); 14 and 21.3: TIA-568.2-D, from memory."""
    horizontal, cord, thin_cord = (
        conductors.HORIZONTAL_OHM_PER_100M.value,
        conductors.CORD_OHM_PER_100M.value,
        conductors.CORD_28_AWG_OHM_PER_100M.value,
    )
    assert horizontal == pytest.approx(28.6 / 305 * 100, abs=0.005)
    assert solid_copper(24) * 100 < horizontal < solid_copper(25) * 100
    assert solid_copper(26) * 100 < cord < solid_copper(27) * 100
    # A 28 AWG cord may just reach its cap: 21.29 ohm/100 m even if solid.
    assert solid_copper(28) * 100 == pytest.approx(thin_cord, abs=0.05)


def test_a_stranded_cord_exceeds_its_cap_by_the_allowance_at_most() -> None:
    """26 AWG × 1.05 is 14.06 against 14 ohm/100 m, both from memory: they agree within 1 %."""
    stranded = conductor_ohm_per_m(26, material="copper", strand="stranded", celsius=20) * 100
    assert stranded == pytest.approx(conductors.CORD_OHM_PER_100M.value, rel=0.01)


def test_unknown_gauge_runs_from_the_standards_worst_cable_to_22_awg() -> None:
    least, highest = unknown_gauge_ohm_per_m("horizontal", celsius=20)
    # 16.14 ohm per 1000 ft is the printed 22 AWG.
    assert least * M_PER_1000_FT == pytest.approx(16.14, abs=0.01)
    assert highest * 100 == pytest.approx(9.38)


def test_permanent_link_of_full_length_has_the_limit_of_the_standard() -> None:
    """90 m at 22 ohm/100 m of loop and 3 connections: 21.0 ohm, ISO/IEC 11801, from memory."""
    per_conductor = conductors.PERMANENT_LINK_LOOP_OHM_PER_100M.value / 100 / 2
    link = link_loop_ohm([Segment(90, per_conductor)], 3, inline_loop_ohm=0)
    assert link == pytest.approx(conductors.PERMANENT_LINK_LOOP_OHM.value)


def test_worst_permitted_cable_and_cords_stay_within_the_channel_limit() -> None:
    """90 m at 9.38, 10 m at 14 ohm/100 m (TIA-568.2-D), 4 connections: 21.3 of 25 ohm (from memory)."""
    segments = [
        Segment(90, conductors.HORIZONTAL_OHM_PER_100M.value / 100),
        Segment(10, conductors.CORD_OHM_PER_100M.value / 100),
    ]
    loop = link_loop_ohm(segments, 4, inline_loop_ohm=0)
    assert loop == pytest.approx(2 * (90 * 0.0938 + 10 * 0.14) + 4 * 0.4)
    assert loop < conductors.CHANNEL_LOOP_OHM.value


def test_channel_limits_of_cabling_are_the_resistances_that_802_3_assumes() -> None:
    """40 and 25 ohm of Classes C and D (from memory); 20 and 12.5 ohm (a maker's note on Types 1 and 2)."""
    assert pairset_ohm(conductors.CLASS_C_CHANNEL_LOOP_OHM.value, 2) == poe.assumed_loop_ohm(1, 2)
    assert pairset_ohm(conductors.CHANNEL_LOOP_OHM.value, 2) == poe.assumed_loop_ohm(2, 2)
    assert pairset_ohm(conductors.CHANNEL_LOOP_OHM.value, 4) == poe.assumed_loop_ohm(4, 4)


def test_copper_clad_aluminium_lies_between_copper_and_aluminium() -> None:
    """Aluminium 2.82, copper 1.72 × 10⁻⁸ ohm m (a seller's page); 62.9 % IACS, ASTM B566 (from memory)."""
    ratio = conductor_ohm_per_m(
        23, material="copper-clad-aluminium", strand="solid", celsius=20
    ) / solid_copper(23)
    assert ratio == pytest.approx(1 / 0.629, rel=0.01)
    assert 1 < ratio < 2.82 / 1.72


def test_unbalance_shares_the_current_of_a_pair() -> None:
    """0.36 A in one wire and 0.24 A in the other of 0.6 A: Public Input 1021 to NFPA 70, 2020 cycle."""
    # Equal voltage over both: resistances are as 0.36 to 0.24.
    share = worst_conductor_share(resistance_unbalance(0.36, 0.24))
    assert 0.6 * share == pytest.approx(0.36)
    assert 0.6 * (1 - share) == pytest.approx(0.24)
