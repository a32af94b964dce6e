"""Steady temperature of a bundle of powered cables.

The bundle is a long horizontal cylinder, heated inside, cooled by natural convection and radiation. Its core
resistivity is calibrated on published rises of 100-cable bundles, its surface follows from textbook
correlations, and the resistance of copper at the temperature found closes the loop. One temperature, that
of the centre, stands for the bundle: for rating and for resistance.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from typing import Literal, NamedTuple

from riserlint.engineering.surface_cooling import surface_heat_w_per_m
from riserlint.standards import heat
from riserlint.standards.conductors import COPPER_PER_KELVIN

Placement = Literal["spread", "middle"]

_ALPHA = COPPER_PER_KELVIN.value
_CEILING_C = heat.MODEL_CEILING_C.value
_PACKED = heat.PACKED_CIRCLE.rows


class CableGroup(NamedTuple):
    """Equal cables of a bundle, equally loaded.

    ``cables`` of them, ``outer_mm`` thick; ``ohm_per_m_20`` of one conductor at 20 °C; in each cable
    ``live_conductors`` (0 for a dark cable, 4 or 8) carry ``current_a`` each, in ampere per *conductor*,
    half the current per pair; ``core_k_m_per_w`` is the thermal resistivity of a bundle of such cables,
    K m/W (``core_resistivity``).
    """

    cables: int
    outer_mm: float
    ohm_per_m_20: float
    live_conductors: int
    current_a: float
    core_k_m_per_w: float


class Insulation(NamedTuple):
    """Thermal insulation laid round a bundle: its thickness in mm and its conductivity in W/(m K)."""

    thickness_mm: float
    w_per_m_k: float


class BundleState(NamedTuple):
    """A bundle in its steady state.

    ``heat_w_per_m`` at temperature; ``diameter_mm`` of the cables, without insulation; the rise in kelvin
    at the surface over ambient, across the insulation, inside the cables, and in sum; the centre in °C.
    """

    heat_w_per_m: float
    diameter_mm: float
    surface_rise_k: float
    insulation_rise_k: float
    core_rise_k: float
    rise_k: float
    temperature_c: float


def bundle_diameter_mm(cables: Iterable[tuple[int, float]]) -> float:
    """Return the diameter of a bundle in mm from pairs of (count, outer diameter in mm).

    One to seven cables: packed circle, 1, 2, 2.15, 2.41, 2.70, 3, 3 times the diameter; of unequal ones
    the *mean* diameter, since of two readings the smaller bundle is the hotter. More: sqrt(sum d² / 0.75).
    Never less than the two thickest side by side.

    Raises ValueError for a bundle without a cable, a negative count, or a diameter not above 0.
    """
    kinds = [(count, outer) for count, outer in cables if count]
    total = sum(count for count, _ in kinds)
    if total < 1 or any(count < 0 or not outer > 0 for count, outer in kinds):
        msg = "a bundle needs at least one cable, counts from 0 up and outer diameters above 0 mm"
        raise ValueError(msg)
    if total <= len(_PACKED):
        diameter = _PACKED[total - 1] * sum(count * outer for count, outer in kinds) / total
    else:
        diameter = math.sqrt(sum(count * outer * outer for count, outer in kinds) / heat.PACKING.value)
    if len(kinds) == 1:
        return diameter
    thickest = sorted((outer for count, outer in kinds for _ in range(min(count, 2))), reverse=True)
    return max(diameter, thickest[0] + thickest[1])


@lru_cache(maxsize=16)
def core_resistivity(category: str) -> float:
    """Return the thermal resistivity in K m/W of a bundle of "5e", "6" or "6A" cables.

    What is left of the published rise of 100 cables, k I², when the surface rise in free air is taken
    off: ρ = 4 π (k I² - dT_surface) / q, all four pairs live at I = 0.72 A per pair and 30 °C ambient,
    copper at the temperature of the centre. Another choice between 0.6 and 1.0 A and between 20 and 45 °C
    moves ρ by up to 4 %.

    Raises ValueError for another category: no rise is published for it.
    """
    rises = {row.category: row.k_per_a2 for row in heat.HUNDRED_CABLE_RISE.rows}
    if category not in rises:
        msg = f"no rise is published for category {category!r}, only for {', '.join(rises)}"
        raise ValueError(msg)
    cable = next(row for row in heat.CALIBRATION_CABLES.rows if row.category == category)
    count = int(heat.CALIBRATION_CABLES_COUNT.value)
    pair_a = heat.DERATED_PAIR_CURRENT_A.value
    ambient_c = heat.CALIBRATION_AMBIENT_C.value
    rise_k = rises[category] * pair_a**2
    hot = 1.0 + _ALPHA * (ambient_c + rise_k - 20.0)
    heat_w_per_m = count * 8 * (pair_a / 2.0) ** 2 * cable.ohm_per_m_20 * hot
    diameter_m = bundle_diameter_mm([(count, cable.outer_mm)]) / 1000.0
    surface_k = _rising_root(
        lambda rise: surface_heat_w_per_m(diameter_m, rise, ambient_c) - heat_w_per_m, rise_k, rise_k / 2.0
    )
    return 4.0 * math.pi * (rise_k - surface_k) / heat_w_per_m


def core_resistance_k_m_per_w(
    groups: Sequence[CableGroup], placement: Placement, dark_cables: int = 0
) -> float:
    """Return the rise of the centre over the surface of the cables per W/m of the whole bundle, K m/W.

    "spread": heat everywhere alike, ρ / (4 π) with ρ the mean by cross-section. "middle": the live cables
    inside, those with most heat per cross-section innermost, the dark ones round them; each kind fills its
    share of the cross-section. A layer from share x to x' adds ρ / (4 π) × ((Q - g x) ln(x' / x) + h), Q
    being the share of the heat inside it, h its own, g = h / (x' - x). With live cables of one load (radius
    a) in a bundle of radius R this is ρ / (4 π) + ρ ln(R / a) / (2 π). Never less than "spread".
    ``dark_cables`` more of the mean cross-section and resistivity carry nothing.
    Source: conduction in a cylinder, any heat-transfer textbook.
    """
    # (heat at 20 °C, cross-section, resistivity); the heats' common rise with temperature cancels
    layers = [
        (_heat_20(group), group.cables * group.outer_mm**2, group.core_k_m_per_w)
        for group in groups
        if group.cables
    ]
    area = sum(layer[1] for layer in layers)
    mean = sum(layer[1] * layer[2] for layer in layers) / area
    total = sum(layer[0] for layer in layers)
    if placement == "spread" or not total:
        return mean / (4.0 * math.pi)
    if dark_cables:
        dark_area = area * dark_cables / sum(group.cables for group in groups)
        layers.append((0.0, dark_area, mean))
        area += dark_area
    layers.sort(key=lambda layer: layer[0] / layer[1], reverse=True)
    inside = edge = resistance = 0.0
    for layer_heat, layer_area, resistivity in layers:
        share = layer_heat / total
        outer_edge = edge + layer_area / area
        bent = 0.0
        if edge > 0:
            bent = (inside - share / (outer_edge - edge) * edge) * math.log(outer_edge / edge)
        resistance += resistivity / (4.0 * math.pi) * (bent + share)
        inside += share
        edge = outer_edge
    return resistance


def steady_temperature(
    groups: Sequence[CableGroup],
    *,
    ambient_c: float,
    surface_factor: float,
    placement: Placement,
    insulation: Insulation | None = None,
    dark_cables: int = 0,
) -> BundleState | None:
    """Return the steady state of a bundle at constant current, or None where there is none that is stable.

    q = sum N n i² r, r = r20 (1 + 0.00393 (T - 20)), T = ambient + rise;
    rise = ``surface_factor`` × (rise in free air of the same q) + q ln(D_outer / D) / (2 π λ) + q R_core,
    R_core from ``core_resistance_k_m_per_w``. ``surface_factor`` is 1 for free air and open tray, 2.5 for
    closed conduit or trunking (``ENCLOSED_FACTOR``). With insulation the surface is that of the insulation;
    round a bundle thinner than about 2 λ / h it cools, as it does in truth. ``dark_cables`` are cables
    without load of the mean size of the groups; those of known size are a group with 0 live conductors.

    Stable means that the loop, temperature in, temperature out, has a slope below 1. At constant current
    that is lost where conduction alone multiplies, 0.00393 q20 (R_core + R_insulation) of 1 or more; None
    also where the centre would pass 250 °C (``MODEL_CEILING_C``), where no such cable lasts.

    Raises ValueError for values without physical meaning. Bundles that touch are one bundle to the caller.
    """
    _check(groups, ambient_c, surface_factor, insulation, dark_cables)
    kinds = [(group.cables, group.outer_mm) for group in groups]
    if dark_cables:
        count = sum(group.cables for group in groups)
        mean_square = sum(group.cables * group.outer_mm**2 for group in groups) / count
        kinds.append((dark_cables, math.sqrt(mean_square)))
    diameter_mm = bundle_diameter_mm(kinds)
    heat_20 = sum(_heat_20(group) for group in groups)
    if not heat_20:
        return BundleState(0.0, diameter_mm, 0.0, 0.0, 0.0, 0.0, ambient_c)

    core = core_resistance_k_m_per_w(groups, placement, dark_cables)
    outer_mm, wrap = diameter_mm, 0.0
    if insulation is not None:
        outer_mm += 2.0 * insulation.thickness_mm
        wrap = math.log(outer_mm / diameter_mm) / (2.0 * math.pi * insulation.w_per_m_k)
    left = 1.0 - _ALPHA * heat_20 * (core + wrap)
    if left <= 0:
        return None
    outer_m = outer_mm / 1000.0

    # With the free-air surface rise as the unknown all is explicit. The balance grows through its root, which
    # is the same as a slope of the loop below 1: 0.00393 q20 (R + factor / (dq/drise)) < 1.
    def balance(rise: float) -> float:
        resistance = 1.0 + _ALPHA * (ambient_c + surface_factor * rise - 20.0)
        return surface_heat_w_per_m(outer_m, rise, ambient_c) * left - heat_20 * resistance

    highest = (_CEILING_C - ambient_c) / surface_factor
    if balance(highest) < 0:
        return None
    # 10 W/(m² K), convection and radiation of a bundle together, is near enough to start from
    surface_k = _rising_root(balance, highest, min(heat_20 / (31.4 * outer_m), highest / 2.0))
    heat_w_per_m = surface_heat_w_per_m(outer_m, surface_k, ambient_c)
    enclosed_k = surface_factor * surface_k
    rise_k = enclosed_k + heat_w_per_m * (wrap + core)
    if ambient_c + rise_k > _CEILING_C:
        return None
    return BundleState(
        heat_w_per_m,
        diameter_mm,
        enclosed_k,
        heat_w_per_m * wrap,
        heat_w_per_m * core,
        rise_k,
        ambient_c + rise_k,
    )


def rise_with_resistance(
    groups: Sequence[CableGroup],
    ohm_per_m_20: float,
    *,
    ambient_c: float,
    surface_factor: float,
    placement: Placement,
    insulation: Insulation | None = None,
    dark_cables: int = 0,
) -> float | None:
    """Return the rise in kelvin if every cable had this conductor resistance (another gauge), or None.

    Outer diameters and resistivities stay; otherwise as ``steady_temperature``.
    """
    state = steady_temperature(
        [group._replace(ohm_per_m_20=ohm_per_m_20) for group in groups],
        ambient_c=ambient_c,
        surface_factor=surface_factor,
        placement=placement,
        insulation=insulation,
        dark_cables=dark_cables,
    )
    return None if state is None else state.rise_k


def largest_bundle(
    cable: CableGroup,
    limit_c: float,
    *,
    ambient_c: float,
    surface_factor: float,
    insulation: Insulation | None = None,
    most: int = 1000,
) -> int:
    """Return the greatest number of such cables, all live, whose centre is at or below ``limit_c``.

    0 where even one is hotter; never above ``most``. Its own ``cables`` is not looked at. The search halves,
    since every further cable of one kind makes the centre hotter.
    """

    def holds(count: int) -> bool:
        state = steady_temperature(
            [cable._replace(cables=count)],
            ambient_c=ambient_c,
            surface_factor=surface_factor,
            placement="spread",
            insulation=insulation,
        )
        return state is not None and state.temperature_c <= limit_c

    if most < 1 or not holds(1):
        return 0
    good, bad = 1, 2
    while bad <= most and holds(bad):
        good, bad = bad, 2 * bad
    bad = min(bad, most + 1)
    while bad - good > 1:
        middle = (good + bad) // 2
        if holds(middle):
            good = middle
        else:
            bad = middle
    return good


def _heat_20(group: CableGroup) -> float:
    """Return the heat of a group per metre with the resistance of 20 °C, N n i² r."""
    return group.cables * group.live_conductors * group.current_a**2 * group.ohm_per_m_20


def _check(
    groups: Sequence[CableGroup],
    ambient_c: float,
    surface_factor: float,
    insulation: Insulation | None,
    dark_cables: int,
) -> None:
    """Raise ValueError for a value without physical meaning, naming it."""
    if not sum(group.cables for group in groups) > 0:
        msg = "a bundle needs at least one cable of known size"
        raise ValueError(msg)
    for group in groups:
        if min(group) >= 0 < group.outer_mm * group.core_k_m_per_w and math.isfinite(sum(group)):
            continue
        for name, value in group._asdict().items():
            positive = name in ("outer_mm", "core_k_m_per_w")
            if not (value > 0 if positive else value >= 0) or value == math.inf:
                msg = f"{name} is {value}, but must be {'above 0' if positive else '0 or more'} and finite"
                raise ValueError(msg)
    if not -60.0 <= ambient_c < _CEILING_C:
        msg = f"ambient_c is {ambient_c}, but must be from -60 up to {_CEILING_C:g} °C, where the model holds"
        raise ValueError(msg)
    if not 1.0 <= surface_factor < math.inf:
        msg = f"surface_factor is {surface_factor}, but still free air, 1, is the coolest case of the model"
        raise ValueError(msg)
    if insulation is not None and not (insulation.thickness_mm >= 0 and insulation.w_per_m_k > 0):
        msg = f"insulation is {insulation.thickness_mm} mm of {insulation.w_per_m_k} W/(m K)"
        raise ValueError(msg)
    if dark_cables < 0:
        msg = f"dark_cables is {dark_cables}, but must be 0 or more"
        raise ValueError(msg)


def _rising_root(function: Callable[[float], float], high: float, guess: float) -> float:
    """Return where a function that is negative at 0 and not at ``high`` passes zero, to 1e-10.

    False position with the stale end's weight halved; a bisection where three steps did not halve the
    bracket.
    """
    low, low_value, high_value = 0.0, function(0.0), function(high)
    point, width, stale = guess, high, 0
    for step in range(1, 200):
        value = function(point)
        if value < 0:
            if stale < 0:
                high_value *= 0.5
            move, low, low_value, stale = point - low, point, value, -1
        else:
            if stale > 0:
                low_value *= 0.5
            move, high, high_value, stale = high - point, point, value, 1
        if value == 0 or high - low < 1e-10 or (step > 1 and abs(move) < 1e-11):
            break
        if step % 3 == 0:
            if high - low > 0.5 * width:
                point, width = 0.5 * (low + high), high - low
                continue
            width = high - low
        point = (low * high_value - high * low_value) / (high_value - low_value)
    return point
