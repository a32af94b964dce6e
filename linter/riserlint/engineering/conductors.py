"""Resistance of a conductor by gauge, metal, make and temperature; sharing of current in a pair."""

import math
from typing import Literal

from riserlint.standards import conductors as copper

#: Metal of a conductor.
Material = Literal["copper", "copper-clad-aluminium"]
#: Make of a conductor.
Strand = Literal["solid", "stranded"]

_THICKEST_AWG = -3  # 4/0
_THINNEST_AWG = 40
_COLDEST_CELSIUS = -200.0


def awg_diameter_mm(awg: int) -> float:
    """Return the diameter of a solid conductor by its American wire gauge.

    d = 0.127 mm × 92^((36 − n) / 39)

    :param awg: gauge n; 0 for 1/0, −1 for 2/0, and so on to −3 for 4/0
    :returns: diameter, mm
    :raises ValueError: outside 4/0 (−3) to 40 AWG, the printed range of the tables

    Source: ASTM B258 (memory).
    """
    if not _THICKEST_AWG <= awg <= _THINNEST_AWG:
        msg = f"gauge {awg} is outside {_THICKEST_AWG} to {_THINNEST_AWG} AWG ({copper.AWG_RATIO.citation})"
        raise ValueError(msg)
    steps = (copper.AWG_REFERENCE.value - awg) / copper.AWG_STEPS.value
    return float(copper.AWG_REFERENCE_MM.value * copper.AWG_RATIO.value**steps)


def at_temperature(ohm_20: float, celsius: float) -> float:
    """Return a copper resistance at a temperature, from its value at 20 °C.

    R = R20 × (1 + 0.00393 × (T − 20)); used for copper-clad aluminium too.

    :param ohm_20: resistance at 20 °C, ohm (or ohm per length; the result has the same unit)
    :param celsius: temperature of the conductor, °C
    :raises ValueError: for a resistance below 0 or a temperature below −200 °C, where the straight line
        has no meaning any more; between −40 and 120 °C it is good to the digits that are given

    Source: IEC 60028 (memory).
    """
    if not (ohm_20 >= 0 and math.isfinite(ohm_20)):
        msg = f"resistance {ohm_20} ohm is not a finite number of 0 or more"
        raise ValueError(msg)
    if not (celsius >= _COLDEST_CELSIUS and math.isfinite(celsius)):
        msg = f"conductor temperature {celsius} °C is below {_COLDEST_CELSIUS} °C or no finite number"
        raise ValueError(msg)
    return ohm_20 * (1 + copper.COPPER_PER_KELVIN.value * (celsius - copper.REFERENCE_CELSIUS.value))


def conductor_ohm_per_m(awg: int, *, material: Material, strand: Strand, celsius: float) -> float:
    """Return the resistance of one conductor per metre of cable.

    r = (1/58 ohm mm²/m) / (π d² / 4), × 1.05 if stranded, × 1.6 if copper-clad aluminium, at temperature

    :param awg: gauge, AWG
    :param material: metal of the conductor
    :param strand: solid or stranded
    :param celsius: temperature of the conductor, °C
    :returns: ohm per metre of one conductor (a pair's loop is twice that)
    :raises ValueError: as :func:`awg_diameter_mm` and :func:`at_temperature`

    Sources: IEC 60028, ASTM B258, ASTM B566 (all memory); agrees with the printed wire tables.
    """
    ohm_20 = copper.COPPER_OHM_MM2_PER_M.value / (math.pi * awg_diameter_mm(awg) ** 2 / 4)
    if strand == "stranded":
        ohm_20 *= copper.STRANDED_FACTOR.value
    if material == "copper-clad-aluminium":
        ohm_20 *= copper.COPPER_CLAD_ALUMINIUM_FACTOR.value
    return at_temperature(ohm_20, celsius)


def unknown_gauge_ohm_per_m(use: Literal["horizontal", "cord"], *, celsius: float) -> tuple[float, float]:
    """Return the least and the highest resistance of a copper conductor whose gauge is not known.

    From 22 AWG solid, the thickest in use, to the highest that the standard lets the cable have: 9.38
    ohm per 100 m of horizontal cable, 21.3 ohm per 100 m of cord cable (that of 28 AWG).

    :param use: horizontal cable or cord cable
    :param celsius: temperature of the conductor, °C
    :returns: (least, highest), ohm per metre of one conductor
    :raises ValueError: as :func:`at_temperature`

    Source: TIA-568.2-D (horizontal published, cord memory).
    """
    thickest = int(copper.THICKEST_GAUGE.value)
    cap = copper.HORIZONTAL_OHM_PER_100M if use == "horizontal" else copper.CORD_28_AWG_OHM_PER_100M
    least = conductor_ohm_per_m(thickest, material="copper", strand="solid", celsius=celsius)
    return least, at_temperature(cap.value / 100, celsius)


def resistance_unbalance(highest_ohm: float, lowest_ohm: float) -> float:
    """Return the resistance unbalance of two conductors side by side.

    u = (Rmax − Rmin) / (Rmax + Rmin), between 0 and 1

    :raises ValueError: unless 0 ≤ lowest ≤ highest and highest > 0

    Source: definition used by the IEEE 802.3bt task force, July 2014 (published).
    """
    if not (0 <= lowest_ohm <= highest_ohm and 0 < highest_ohm < math.inf):
        msg = f"resistances {highest_ohm} and {lowest_ohm} ohm are not a highest and a lowest"
        raise ValueError(msg)
    return (highest_ohm - lowest_ohm) / (highest_ohm + lowest_ohm)


def worst_conductor_share(unbalance: float) -> float:
    """Return the share of a pair's current in the conductor with the lower resistance.

    Two conductors in parallel share the current inversely to their resistances:
    Rmax / (Rmax + Rmin) = (1 + u) / 2; half if balanced.

    :param unbalance: u as :func:`resistance_unbalance` gives it
    :raises ValueError: outside 0 to 1
    """
    if not 0 <= unbalance <= 1:
        msg = f"unbalance {unbalance} is outside 0 to 1"
        raise ValueError(msg)
    return (1 + unbalance) / 2
