"""Ampacity by a bundle-size table that the user typed: look-up, ambient correction, consistency."""

import math
from collections.abc import Mapping
from itertools import pairwise
from typing import Literal, NamedTuple

from riserlint.standards.heat import AMPACITY_BASE_C

_BASE_C = AMPACITY_BASE_C.value


class AmpacityTable(NamedTuple):
    """An ampacity table as printed, in ampere per conductor.

    ``bundle_sizes`` are the upper bounds of the columns ("1", "2-7", "8-19" are 1, 7, 19). ``rows`` maps
    (gauge in AWG, temperature rating in °C) to one value a column, None where the table prints none.
    """

    edition: str
    bundle_sizes: tuple[int, ...]
    rows: Mapping[tuple[int, int], tuple[float | None, ...]]


class AmpacityProblem(NamedTuple):
    """One contradiction in a typed table; ``bundle_size`` is the bound of the column, 0 for a whole row."""

    kind: Literal["shape", "bundle-size", "gauge", "temperature", "square-root"]
    awg: int
    rated_c: int
    bundle_size: int
    message: str


def ambient_correction(rated_c: float, ambient_c: float, base_c: float = _BASE_C) -> float:
    """Return the factor on an ampacity for another ambient than that of its table.

    sqrt((Tc - Ta') / (Tc - Ta)): the heat that a conductor may give off goes with its rise and with the
    square of its current. ``rated_c`` Tc, ``ambient_c`` Ta', ``base_c`` Ta of the table, all °C. At or above
    the rating the factor is 0; below the base ambient it is above 1.

    Raises ValueError where the rating is not above the base ambient.
    Source: NFPA 70, 310.15(B) (form from memory).
    """
    if rated_c <= base_c:
        msg = f"temperature rating {rated_c:g} °C is not above the table's ambient, {base_c:g} °C"
        raise ValueError(msg)
    return math.sqrt(max(rated_c - ambient_c, 0.0) / (rated_c - base_c))


def ampacity_a(table: AmpacityTable, awg: int, rated_c: int, cables: int) -> float | None:
    """Return the ampacity in ampere per conductor at the table's ambient for a bundle of so many cables.

    The column is the first whose bound is not below ``cables``. None where the table has no such row,
    prints no value there, or ends before that many cables.
    Raises ValueError for a bundle without a cable.
    """
    if cables < 1:
        msg = f"a bundle has at least one cable, not {cables}"
        raise ValueError(msg)
    row = table.rows.get((awg, rated_c))
    if row is None:
        return None
    for bound, amps in zip(table.bundle_sizes, row):
        if cables <= bound:
            return amps
    return None


def safe_row(table: AmpacityTable, awg: int, rated_c: float) -> tuple[int, int] | None:
    """Return the row that a conductor may be read from: its own, else the next that gives it no more.

    That is the thickest of the gauges in the table that are not thicker, and of its ratings the highest that
    is not above; gauge goes first. None where the table has no such row.
    """
    rows = [row for row in table.rows if row[0] >= awg and row[1] <= rated_c]
    return min(rows, key=lambda row: (row[0], -row[1]), default=None)


def largest_column(table: AmpacityTable, row: tuple[int, int], least_a: float) -> int | None:
    """Return the largest bundle for which a row gives at least so many amperes, None where it has none."""
    bounds = [
        bound
        for bound, amps in zip(table.bundle_sizes, table.rows[row])
        if amps is not None and amps >= least_a
    ]
    return max(bounds, default=None)


def check_ampacity_table(
    table: AmpacityTable, *, base_c: float = _BASE_C, decimals: int | None = None
) -> list[AmpacityProblem]:
    """Return where a typed table contradicts the physics that every edition keeps.

    An ampacity never rises with the bundle, never falls with a thicker conductor or a higher rating (equal
    is allowed: a table of one digit has equal cells), and goes with the square root of the margin,
    I2 / I1 = sqrt((Tc2 - base) / (Tc1 - base)), within one printed digit. A printed value stands for what
    rounds to it or was cut down to it, that is from half a digit below to one digit above.
    ``decimals`` is how many the table prints; None takes those of each value as typed, where 1.00 and 1
    are alike and the check is the more lenient. Problems come by row and column; none means no contradiction,
    not that the cells are right. A table that is malformed is told of its shape only.
    """
    problems = _shape_problems(table, base_c)
    if problems:
        return problems
    for (awg, rated_c), row in sorted(table.rows.items()):
        problems += _along_row(table, awg, rated_c)
        for column, bound in enumerate(table.bundle_sizes):
            amps = row[column]
            if amps is None:
                continue
            problems += _against_thicker(table, awg, rated_c, column, amps)
            hotter = _next_rating(table, awg, rated_c, column)
            if hotter is None:
                continue
            other_c, other = hotter
            place = f"{awg} AWG, up to {bound} cables"
            if other < amps:
                text = f"{place}: {other:g} A at {other_c} °C is less than {amps:g} A at {rated_c} °C"
                problems.append(AmpacityProblem("temperature", awg, other_c, bound, text))
                continue
            ratio = math.sqrt((other_c - base_c) / (rated_c - base_c))
            step, other_step = _printed_step(amps, decimals), _printed_step(other, decimals)
            if not _square_root_holds(amps, step, other, other_step, ratio):
                text = (
                    f"{place}: {other:g} A at {other_c} °C, but {amps:g} A at {rated_c} °C × "
                    f"sqrt(({other_c} - {base_c:g}) / ({rated_c} - {base_c:g})) = {amps * ratio:.3f} A"
                )
                problems.append(AmpacityProblem("square-root", awg, other_c, bound, text))
    return problems


def _shape_problems(table: AmpacityTable, base_c: float) -> list[AmpacityProblem]:
    """Return what keeps the table from being read at all."""
    problems = []
    bounds = table.bundle_sizes
    if not bounds or bounds[0] < 1 or any(b <= a for a, b in pairwise(bounds)):
        text = f"bundle sizes must rise from 1 or more: {', '.join(map(str, bounds)) or 'none'}"
        problems.append(AmpacityProblem("shape", 0, 0, 0, text))
    for (awg, rated_c), row in sorted(table.rows.items()):
        if rated_c <= base_c:
            text = f"{awg} AWG: a rating of {rated_c} °C is not above the table's ambient, {base_c:g} °C"
            problems.append(AmpacityProblem("shape", awg, rated_c, 0, text))
        if len(row) != len(bounds):
            text = f"{awg} AWG, {rated_c} °C: {len(row)} values for {len(bounds)} bundle sizes"
            problems.append(AmpacityProblem("shape", awg, rated_c, 0, text))
        for bound, amps in zip(bounds, row):
            if amps is not None and not 0 < amps < math.inf:
                text = f"{awg} AWG, {rated_c} °C, up to {bound} cables: {amps:g} A is no ampacity"
                problems.append(AmpacityProblem("shape", awg, rated_c, bound, text))
    return problems


def _along_row(table: AmpacityTable, awg: int, rated_c: int) -> list[AmpacityProblem]:
    """Return where a row rises with the bundle."""
    problems = []
    before: tuple[int, float] | None = None
    for bound, amps in zip(table.bundle_sizes, table.rows[awg, rated_c]):
        if amps is None:
            continue
        if before is not None and amps > before[1]:
            text = (
                f"{awg} AWG, {rated_c} °C: {amps:g} A up to {bound} cables is more than "
                f"{before[1]:g} A up to {before[0]} cables"
            )
            problems.append(AmpacityProblem("bundle-size", awg, rated_c, bound, text))
        before = (bound, amps)
    return problems


def _against_thicker(
    table: AmpacityTable, awg: int, rated_c: int, column: int, amps: float
) -> list[AmpacityProblem]:
    """Return whether the next thicker gauge of the same rating is given less."""
    bound = table.bundle_sizes[column]
    for other_awg in sorted((g for g, c in table.rows if c == rated_c and g < awg), reverse=True):
        other = table.rows[other_awg, rated_c][column]
        if other is None:
            continue
        if other >= amps:
            return []
        text = (
            f"{rated_c} °C, up to {bound} cables: {other:g} A for {other_awg} AWG is less than "
            f"{amps:g} A for {awg} AWG"
        )
        return [AmpacityProblem("gauge", other_awg, rated_c, bound, text)]
    return []


def _next_rating(table: AmpacityTable, awg: int, rated_c: int, column: int) -> tuple[int, float] | None:
    """Return the next higher rating of a gauge that has a value in the column, with that value."""
    for other_c in sorted(c for g, c in table.rows if g == awg and c > rated_c):
        other = table.rows[awg, other_c][column]
        if other is not None:
            return other_c, other
    return None


def _printed_step(amps: float, decimals: int | None) -> float:
    """Return the worth of the last printed digit of a value."""
    if decimals is None:
        text = f"{amps:.6f}".rstrip("0")
        decimals = len(text.partition(".")[2])
    return 10.0**-decimals


def _square_root_holds(
    amps: float, step: float, hotter_amps: float, hotter_step: float, ratio: float
) -> bool:
    """Return whether two cells can be roundings of one law, I ~ sqrt(Tc - base)."""
    slack = 1e-9  # a value that stands exactly on the edge is not held against the table
    return (
        hotter_amps - hotter_step / 2 <= ratio * (amps + step) + slack
        and ratio * (amps - step / 2) <= hotter_amps + hotter_step + slack
    )
