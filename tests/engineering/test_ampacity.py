"""Ampacity tables: look-up, correction and consistency. Every table here is INVENTED, none is of a code."""

import math

import pytest

from riserlint.engineering.ampacity import (
    AmpacityTable,
    ambient_correction,
    ampacity_a,
    check_ampacity_table,
    largest_column,
    safe_row,
)

SIZES = (1, 7, 19, 37, 61, 91, 192)
# invented: 60 °C amperes of two made-up gauges' columns, the other ratings by the square root of the margin
BASES = {24: (1.37, 1.11, 0.93, 0.71, 0.66, 0.52, 0.47), 22: (1.71, 1.52, 1.18, 0.96, 0.83, 0.71, 0.58)}
INVENTED = AmpacityTable(
    "invented",
    SIZES,
    {
        (awg, rated_c): tuple(round(amps * math.sqrt((rated_c - 30) / 30), 2) for amps in row)
        for awg, row in BASES.items()
        for rated_c in (60, 75, 90)
    },
)


def with_cell(awg: int, rated_c: int, column: int, amps: float | None) -> AmpacityTable:
    rows = dict(INVENTED.rows)
    row = list(rows[awg, rated_c])
    row[column] = amps
    rows[awg, rated_c] = tuple(row)
    return INVENTED._replace(rows=rows)


def kinds(table: AmpacityTable, decimals: int | None = None) -> set[tuple[str, int, int, int]]:
    return {problem[:4] for problem in check_ampacity_table(table, decimals=decimals)}


@pytest.mark.parametrize(
    ("cables", "amps"), [(1, 1.37), (2, 1.11), (7, 1.11), (8, 0.93), (92, 0.47), (192, 0.47), (193, None)]
)
def test_the_column_is_the_first_that_holds_the_bundle(cables: int, amps: float | None) -> None:
    assert ampacity_a(INVENTED, 24, 60, cables) == amps


def test_what_the_table_does_not_print_is_not_made_up() -> None:
    assert ampacity_a(INVENTED, 23, 60, 5) is None
    assert ampacity_a(INVENTED, 24, 80, 5) is None
    assert ampacity_a(with_cell(24, 60, 1, None), 24, 60, 5) is None
    with pytest.raises(ValueError, match="at least one cable, not 0"):
        ampacity_a(INVENTED, 24, 60, 0)


def test_correction_at_its_ends() -> None:
    assert ambient_correction(60, 30) == 1.0  # identity: the table's own ambient
    assert ambient_correction(60, 60) == ambient_correction(60, 71) == 0.0  # no margin, no current
    assert ambient_correction(60, 20) > 1.0
    assert ambient_correction(75, 40, base_c=40) == 1.0
    with pytest.raises(ValueError, match="rating 30 °C is not above the table's ambient, 30 °C"):
        ambient_correction(30, 20)


@pytest.mark.parametrize("decimals", [None, 2])
def test_a_table_that_keeps_the_physics_has_no_problem(decimals: int | None) -> None:
    assert check_ampacity_table(INVENTED, decimals=decimals) == []


@pytest.mark.parametrize("decimals", [None, 1])
def test_a_table_cut_down_to_one_digit_has_no_problem(decimals: int | None) -> None:
    cut = {key: tuple(math.floor(a * 10 + 1e-9) / 10 for a in row if a) for key, row in INVENTED.rows.items()}
    assert check_ampacity_table(INVENTED._replace(rows=cut), decimals=decimals) == []


def test_a_cut_table_is_not_taken_for_two_digits() -> None:
    cut = {key: tuple(math.floor(a * 10 + 1e-9) / 10 for a in row if a) for key, row in INVENTED.rows.items()}
    assert kinds(INVENTED._replace(rows=cut), 2) > {("square-root", 24, 75, 7)}


def test_a_value_that_rises_with_the_bundle() -> None:
    found = check_ampacity_table(with_cell(24, 60, 3, 0.94), decimals=2)
    assert ("bundle-size", 24, 60, 37) in {problem[:4] for problem in found}
    assert "24 AWG, 60 °C: 0.94 A up to 37 cables is more than 0.93 A up to 19 cables" in {
        problem.message for problem in found
    }


def test_a_gap_does_not_hide_a_rise() -> None:
    rows = dict(INVENTED.rows)
    rows[24, 60] = (1.37, 1.11, 0.71, None, 0.93, 0.52, 0.47)
    assert ("bundle-size", 24, 60, 61) in kinds(INVENTED._replace(rows=rows))


def test_a_thicker_gauge_with_less() -> None:
    found = check_ampacity_table(with_cell(22, 75, 4, 0.80), decimals=2)
    assert [problem[:4] for problem in found if problem.kind == "gauge"] == [("gauge", 22, 75, 61)]
    assert "75 °C, up to 61 cables: 0.8 A for 22 AWG is less than 0.81 A for 24 AWG" in {
        problem.message for problem in found
    }


def test_a_higher_rating_with_less() -> None:
    found = check_ampacity_table(with_cell(24, 75, 6, 0.46), decimals=2)
    assert [problem.message for problem in found if problem.kind == "temperature"] == [
        "24 AWG, up to 192 cables: 0.46 A at 75 °C is less than 0.47 A at 60 °C"
    ]


def test_a_slip_of_the_last_but_one_digit_breaks_the_square_root() -> None:
    found = check_ampacity_table(with_cell(24, 75, 3, 0.97), decimals=2)  # 0.87 typed as 0.97
    assert [problem[:4] for problem in found] == [("square-root", 24, 75, 37), ("square-root", 24, 90, 37)]
    assert found[0].message == (
        "24 AWG, up to 37 cables: 0.97 A at 75 °C, but 0.71 A at 60 °C × "
        "sqrt((75 - 30) / (60 - 30)) = 0.870 A"
    )


def test_equal_neighbours_are_allowed() -> None:
    row = (2.0, 2.0, 1.0, 1.0, 1.0, 1.0, 1.0)
    table = AmpacityTable("invented", SIZES, {(24, 60): row, (23, 60): row, (24, 61): row})
    assert check_ampacity_table(table, decimals=0) == []


def test_digits_are_those_of_the_value_as_typed() -> None:
    row75 = (1.2,)
    assert check_ampacity_table(AmpacityTable("invented", (1,), {(24, 60): (1.0,), (24, 75): row75})) == []
    two = AmpacityTable("invented", (1,), {(24, 60): (1.01,), (24, 75): (1.31,)})
    assert kinds(two) == {("square-root", 24, 75, 1)}


@pytest.mark.parametrize(
    ("table", "said"),
    [
        (AmpacityTable("invented", (), {}), "bundle sizes must rise from 1 or more: none"),
        (AmpacityTable("invented", (7, 7), {}), "bundle sizes must rise from 1 or more: 7, 7"),
        (AmpacityTable("invented", (0, 7), {}), "bundle sizes must rise from 1 or more: 0, 7"),
        (AmpacityTable("invented", (1, 7), {(24, 60): (1.0,)}), "24 AWG, 60 °C: 1 values for 2 bundle sizes"),
        (
            AmpacityTable("invented", (1,), {(24, 60): (0.0,)}),
            "24 AWG, 60 °C, up to 1 cables: 0 A is no ampacity",
        ),
        (
            AmpacityTable("invented", (1,), {(24, 60): (math.nan,)}),
            "24 AWG, 60 °C, up to 1 cables: nan A is no ampacity",
        ),
        (
            AmpacityTable("invented", (1,), {(24, 30): (1.0,)}),
            "24 AWG: a rating of 30 °C is not above the table's ambient, 30 °C",
        ),
    ],
)
def test_a_malformed_table_is_told_of_its_shape(table: AmpacityTable, said: str) -> None:
    assert [(problem.kind, problem.message) for problem in check_ampacity_table(table)] == [("shape", said)]


@pytest.mark.parametrize(
    ("awg", "rated_c", "row"),
    [
        (24, 75, (24, 75)),
        (23, 75, (24, 75)),  # no row of its own: the next thinner one gives no more
        (24, 80, (24, 75)),  # and the next lower rating
        (22, 250, (22, 90)),
        (20, 60, (22, 60)),
        (25, 60, None),
        (24, 55, None),
    ],
)
def test_a_conductor_without_a_row_of_its_own_is_read_from_one_that_gives_it_no_more(
    awg: int, rated_c: float, row: tuple[int, int] | None
) -> None:
    assert safe_row(INVENTED, awg, rated_c) == row
    if row is not None:
        assert row[0] >= awg
        assert row[1] <= rated_c


@pytest.mark.parametrize(
    ("least_a", "largest"), [(0.47, 192), (0.48, 91), (0.9, 19), (1.37, 1), (1.38, None)]
)
def test_the_largest_column_that_still_gives_a_current(least_a: float, largest: int | None) -> None:
    assert largest_column(INVENTED, (24, 60), least_a) == largest
