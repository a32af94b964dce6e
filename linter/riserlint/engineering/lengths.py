"""How long balanced cabling may be: longer cords, heat, and what a measured length is worth.

Two families of texts, each with its own way, never mixed:

* ANSI/TIA-568 (North America): cords by C = (102 − H) / (1 + D), heat by the *printed table* of lengths.
* ISO/IEC 11801 and its adoptions: fixed cable by the *equation* of the model and class, heat by
  *percentages of that length*.

The two ways differ: 90 m of unscreened cable at 40 °C becomes 84.0 m by the table, 82.8 m by percentages
of length, and would be 83.3 m if one divided by the loss that the TIA percentages give. The table was not
made from the percentages, so a TIA region takes the table and an ISO/IEC region the percentages.

Temperatures are the mean over the length, ambient plus the bundle's rise. The limit on the channel as a
whole (100 m, 30 m for Category 8) is a check of its own and is not part of any function here.
"""

import math
from collections.abc import Iterable
from itertools import pairwise
from typing import Literal

from riserlint.engineering.span import Span
from riserlint.standards.cabling import (
    PERMANENT_LINK_ISO,
    TAPE_UNCERTAINTY,
    TESTER_UNCERTAINTY,
)
from riserlint.standards.cabling_derating import (
    EXTENDED_CORD_SUM_TIA,
    HORIZONTAL_BY_TEMPERATURE_TIA,
    HORIZONTAL_EQUATIONS_ISO,
    HOTTEST_CELSIUS,
    LENGTH_LOST_SCREENED_ISO,
    LENGTH_LOST_UNSCREENED_HOT_ISO,
    LENGTH_LOST_UNSCREENED_WARM_ISO,
    RATING_CELSIUS,
    STEEPER_ABOVE_CELSIUS,
    HorizontalClass,
    HorizontalEquation,
    HorizontalModel,
)

#: With what a length was measured.
LengthMeasuredBy = Literal["tester", "tape"]

# --- Cords, ANSI/TIA-568 ------------------------------------------------------------------------------------


def tia_cord_limit_m(horizontal_m: float, derating: float) -> float:
    """Return the metres of cords that a channel may have in all, after ANSI/TIA-568.

    C = (102 − H) / (1 + D)

    ``horizontal_m``: horizontal cable H (m), at least 0. ``derating``: D (no unit), by how much more a metre
    of cord loses than a metre of horizontal cable: 0.2, 0.5 and 0.95 for stranded 24, 26 and 28 AWG, 0 for a
    cord of solid conductors. Returns C (m); 0 where H alone takes all of the 102 m.

    Range: the text applies it to H up to 90 m; the formula is evaluated beyond, where the link limit fails
    first. With D below 0.2 the result can exceed what the 100 m channel leaves. Raises ValueError on a
    negative or infinite length or de-rating. Source: TIA-568-B.1, clause 10.
    """
    _require_at_least_zero("horizontal_m", horizontal_m, "m")
    _require_at_least_zero("derating", derating, "")
    return max(0.0, EXTENDED_CORD_SUM_TIA.value - horizontal_m) / (1.0 + derating)


def tia_cord_use_m(cords: Iterable[tuple[float, float]]) -> float:
    """Return what cords of several gauges use of the 102 m − H, after ANSI/TIA-568.

    U = sum of (1 + D_i) C_i, to be at most 102 − H (:func:`tia_cord_allowance_m`)

    ``cords``: pairs of length C_i (m) and de-rating D_i (no unit), as in :func:`tia_cord_limit_m`. Returns U,
    metres of horizontal cable with the same loss; 0 without cords. Derived: for cords of one gauge it says
    the same as C = (102 − H) / (1 + D). Raises ValueError on a negative or infinite length or de-rating.
    """
    use_m = 0.0
    for metres, derating in cords:
        _require_at_least_zero("cord length", metres, "m")
        _require_at_least_zero("derating", derating, "")
        use_m += (1.0 + derating) * metres
    return use_m


def tia_cord_allowance_m(horizontal_m: float) -> float:
    """Return 102 m − H, what the cords of a channel may use (:func:`tia_cord_use_m`), after ANSI/TIA-568.

    ``horizontal_m``: horizontal cable H (m), at least 0. Returns metres of horizontal cable with the same
    loss, 0 at the least. Raises ValueError on a negative or infinite length.
    """
    return tia_cord_limit_m(horizontal_m, 0.0)


def tia_work_area_cord_limit_m(
    horizontal_m: float, derating: float, room_cords_m: float, cap_m: float
) -> float:
    """Return the longest work area cord from a multi-user outlet, after ANSI/TIA-568.

    W = C − T, at most the cap, with C = (102 − H) / (1 + D)

    ``horizontal_m``: H (m). ``derating``: D (no unit), the same for all cords. ``room_cords_m``: cords T in
    the telecommunications room (m); the printed table assumes 5 m of 24 AWG. ``cap_m``: longest allowed work
    area cord (m), 22 m for 24 AWG. Returns W (m), 0 at the least. Raises ValueError on a negative or
    infinite value. Source: TIA-568-B.1, clause 10.
    """
    _require_at_least_zero("room_cords_m", room_cords_m, "m")
    _require_at_least_zero("cap_m", cap_m, "m")
    return min(cap_m, max(0.0, tia_cord_limit_m(horizontal_m, derating) - room_cords_m))


# --- Heat, ANSI/TIA-568 -------------------------------------------------------------------------------------


def tia_horizontal_limit_m(celsius: float, screened: bool) -> float:
    """Return the longest horizontal cable at a mean temperature, by the table of ANSI/TIA-568.

    ``celsius``: mean over the length, bundle's rise included (°C). ``screened``: cable with any screen.
    Returns metres: 90 at and below 20 °C, the table's rows at 25 °C, 30 °C … 60 °C, linear between them (the
    interpolation is ours).

    Range: up to 60 °C, with 10 m of cords at 20 °C. Raises ValueError above 60 °C or on a value that is not
    a number. Source: TIA-568.2-D, annex on higher temperatures; one cell is published (40 °C, unscreened,
    84.0 m), the others are from memory.
    """
    _require_temperature(celsius, str(HORIZONTAL_BY_TEMPERATURE_TIA.citation))
    points = _tia_points(screened)
    if celsius <= points[0][0]:
        return points[0][1]
    for (low_celsius, longer_m), (high_celsius, shorter_m) in pairwise(points):
        if celsius <= high_celsius:
            share = (celsius - low_celsius) / (high_celsius - low_celsius)
            return longer_m + share * (shorter_m - longer_m)
    return points[-1][1]


def tia_hottest_celsius(horizontal_m: float, screened: bool) -> float | None:
    """Return the highest mean temperature at which a horizontal length is still within the TIA table.

    Inverse of :func:`tia_horizontal_limit_m`. ``horizontal_m``: horizontal cable (m), at least 0.
    ``screened``: cable with any screen. Returns °C, 60 (the end of the table) where the length holds even
    there, None where it is too long at any temperature (above 90 m). Raises ValueError on a negative or
    infinite length.
    """
    _require_at_least_zero("horizontal_m", horizontal_m, "m")
    points = _tia_points(screened)
    if horizontal_m > points[0][1]:
        return None
    for (low_celsius, longer_m), (high_celsius, shorter_m) in pairwise(points):
        if horizontal_m > shorter_m:
            share = (longer_m - horizontal_m) / (longer_m - shorter_m)
            return low_celsius + share * (high_celsius - low_celsius)
    return points[-1][0]


def _tia_points(screened: bool) -> tuple[tuple[float, float], ...]:
    return tuple(
        (celsius, screened_m if screened else unscreened_m)
        for celsius, unscreened_m, screened_m in HORIZONTAL_BY_TEMPERATURE_TIA.rows
    )


# --- ISO/IEC 11801 ------------------------------------------------------------------------------------------


def model_of(connections: int, consolidation_point: bool) -> HorizontalModel | None:
    """Return the horizontal model of ISO/IEC 11801 that a channel is judged by.

    ``connections``: connections in the channel, the consolidation point counted. ``consolidation_point``:
    whether one of them is a consolidation point. Without one: up to two connections (panel, outlet) make
    an interconnect, three a cross-connect. With one: up to three an interconnect, four a cross-connect.
    A channel with fewer connections than its model loses less, so the model is on the safe side (derived).
    Returns None where no model has that many. Raises ValueError on a negative number, or if there is a
    consolidation point and no connection.
    """
    if connections < int(consolidation_point):
        message = f"connections = {connections}: expected at least {int(consolidation_point)}"
        raise ValueError(message)
    without_cp = connections - int(consolidation_point)
    if without_cp <= 2:
        return "interconnect-cp-outlet" if consolidation_point else "interconnect-outlet"
    if without_cp == 3:
        return "cross-connect-cp-outlet" if consolidation_point else "cross-connect-outlet"
    return None


def iso_horizontal_equation(category_class: HorizontalClass, model: HorizontalModel) -> HorizontalEquation:
    """Return the cell of the ISO/IEC 11801 table of equations for a class and model, with how it is known.

    Classes E and EA, and F and FA, share a column. Raises ValueError on another class (Classes I and II have
    no such equation: 30 m channel, 24 m link) or another model.
    """
    for name, class_d, class_e, class_f in HORIZONTAL_EQUATIONS_ISO.rows:
        if name == model:
            cells = {"D": class_d, "E": class_e, "EA": class_e, "F": class_f, "FA": class_f}
            if category_class in cells:
                return cells[category_class]
    source = HORIZONTAL_EQUATIONS_ISO.citation
    message = f"class {category_class!r}, model {model!r}: no horizontal equation in {source}"
    raise ValueError(message)


def iso_temperature_share(celsius: float, screened: bool) -> float:
    """Return the share of the fixed cable's length that heat takes off, after ISO/IEC 11801.

    Unscreened: 0.004 for each kelvin from 20 °C to 40 °C, 0.006 for each from 40 °C to 60 °C.
    Screened: 0.002 for each kelvin above 20 °C.

    ``celsius``: mean over the length, bundle's rise included (°C). ``screened``: cable with any screen.
    Returns a share of the length: 0 at and below 20 °C, 0.08 at 40 °C and 0.20 at 60 °C unscreened.

    Range: up to 60 °C. Raises ValueError above it or on a value that is not a number. Source: the Chinese
    national cabling standard, clause 3.3.3; the same numbers in ISO/IEC 11801 from memory.
    """
    _require_temperature(celsius, str(LENGTH_LOST_SCREENED_ISO.citation))
    warm_kelvin = max(0.0, celsius - RATING_CELSIUS.value)
    if screened:
        return LENGTH_LOST_SCREENED_ISO.value * warm_kelvin
    hot_kelvin = max(0.0, celsius - STEEPER_ABOVE_CELSIUS.value)
    return (
        LENGTH_LOST_UNSCREENED_WARM_ISO.value * (warm_kelvin - hot_kelvin)
        + LENGTH_LOST_UNSCREENED_HOT_ISO.value * hot_kelvin
    )


def iso_horizontal_limit_m(
    category_class: HorizontalClass,
    model: HorizontalModel,
    *,
    cords_m: float,
    cord_ratio: float,
    cp_cable_m: float,
    cp_ratio: float,
    celsius: float,
    screened: bool,
) -> float:
    """Return the longest fixed horizontal cable of a channel, after ISO/IEC 11801.

    H = (K − margin − F X − C Y) (1 − s), at most 90 m

    ``category_class`` and ``model`` choose K and the margin (107 and 3 m for a Class E interconnect).
    ``cords_m``: all patch, equipment and work area cords F (m). ``cord_ratio``: their insertion loss per
    metre over the fixed cable's, X (1.5 for stranded cords). ``cp_cable_m``: cable C from the consolidation
    point to the outlet (m), 0 in a model without one; ``cp_ratio``: its ratio Y. ``celsius`` and
    ``screened`` give the share s of :func:`iso_temperature_share`. Returns H (m), 0 at the least.

    The length is reduced for heat first and capped at 90 m after: a channel with loss to spare keeps it
    when it is warm. Whether the text caps first is not known. Raises ValueError on a class or model without
    an equation, a negative or infinite length or ratio, consolidation point cable in a model without a
    consolidation point, or a temperature above 60 °C. Source: ISO/IEC 11801-2:2017, 8.2; four of the twelve
    equations are published (JIS X 5150-2:2021, identical), the others from memory.
    """
    at_rating_m = _iso_length_at_rating_m(
        category_class,
        model,
        cords_m=cords_m,
        cord_ratio=cord_ratio,
        cp_cable_m=cp_cable_m,
        cp_ratio=cp_ratio,
    )
    return min(PERMANENT_LINK_ISO.value, at_rating_m * (1.0 - iso_temperature_share(celsius, screened)))


def iso_hottest_celsius(
    horizontal_m: float,
    category_class: HorizontalClass,
    model: HorizontalModel,
    *,
    cords_m: float,
    cord_ratio: float,
    cp_cable_m: float,
    cp_ratio: float,
    screened: bool,
) -> float | None:
    """Return the highest mean temperature at which a fixed cable is still within its ISO/IEC 11801 limit.

    Inverse of :func:`iso_horizontal_limit_m`, with the same inputs. ``horizontal_m``: fixed cable (m), at
    least 0. Returns °C, 60 (the end of the percentages) where the length holds even there, None where it is
    too long at any temperature. Raises ValueError as that function does.
    """
    _require_at_least_zero("horizontal_m", horizontal_m, "m")
    at_rating_m = _iso_length_at_rating_m(
        category_class,
        model,
        cords_m=cords_m,
        cord_ratio=cord_ratio,
        cp_cable_m=cp_cable_m,
        cp_ratio=cp_ratio,
    )
    if horizontal_m > min(PERMANENT_LINK_ISO.value, at_rating_m):
        return None
    if at_rating_m == 0.0:
        return HOTTEST_CELSIUS.value
    share = 1.0 - horizontal_m / at_rating_m
    if screened:
        kelvin = share / LENGTH_LOST_SCREENED_ISO.value
        return min(HOTTEST_CELSIUS.value, RATING_CELSIUS.value + kelvin)
    share_at_step = iso_temperature_share(STEEPER_ABOVE_CELSIUS.value, screened)
    if share <= share_at_step:
        return RATING_CELSIUS.value + share / LENGTH_LOST_UNSCREENED_WARM_ISO.value
    kelvin = (share - share_at_step) / LENGTH_LOST_UNSCREENED_HOT_ISO.value
    return min(HOTTEST_CELSIUS.value, STEEPER_ABOVE_CELSIUS.value + kelvin)


def _iso_length_at_rating_m(
    category_class: HorizontalClass,
    model: HorizontalModel,
    *,
    cords_m: float,
    cord_ratio: float,
    cp_cable_m: float,
    cp_ratio: float,
) -> float:
    """Return the equation's length at 20 °C, before the cap, 0 at the least."""
    _require_at_least_zero("cords_m", cords_m, "m")
    _require_at_least_zero("cord_ratio", cord_ratio, "")
    _require_at_least_zero("cp_cable_m", cp_cable_m, "m")
    _require_at_least_zero("cp_ratio", cp_ratio, "")
    equation = iso_horizontal_equation(category_class, model)
    if cp_cable_m > 0.0 and not model.endswith("cp-outlet"):
        message = (
            f"cp_cable_m = {cp_cable_m:g} m: the model {model!r} has no consolidation point, expected 0 m"
        )
        raise ValueError(message)
    return max(0.0, equation.constant_m - equation.allowance_m - cords_m * cord_ratio - cp_cable_m * cp_ratio)


# --- Measured lengths ---------------------------------------------------------------------------------------


def measured_span(metres: float, by: LengthMeasuredBy) -> Span:
    """Return between which lengths a cable lies that was measured.

    low = (1 − u) L, high = (1 + u) L; u = 0.10 for a field tester, 0.01 for a tape or sheath marks

    ``metres``: the reading L (m), at least 0. ``by``: "tester" or "tape". Returns a span in metres. Raises
    ValueError on a negative or infinite length or another instrument. Source: tester, TIA-1152, 2.3.1
    (nominal velocity of propagation); tape, common practice without a source.
    """
    _require_at_least_zero("metres", metres, "m")
    uncertainties = {"tester": TESTER_UNCERTAINTY, "tape": TAPE_UNCERTAINTY}
    if by not in uncertainties:
        message = f"measured by {by!r}: expected 'tester' or 'tape'"
        raise ValueError(message)
    uncertainty = uncertainties[by].value
    return Span(metres * (1.0 - uncertainty), metres * (1.0 + uncertainty))


def _require_at_least_zero(name: str, value: float, unit: str) -> None:
    if not (math.isfinite(value) and value >= 0.0):
        stated = f"{value:g} {unit}".rstrip()
        expected = f"0 {unit}".rstrip()
        message = f"{name} = {stated}: expected a finite value of at least {expected}"
        raise ValueError(message)


def _require_temperature(celsius: float, source: str) -> None:
    if math.isnan(celsius) or celsius > HOTTEST_CELSIUS.value:
        message = (
            f"celsius = {celsius:g} °C: expected at most {HOTTEST_CELSIUS.value:g} °C, the end of {source}"
        )
        raise ValueError(message)
