"""How large a battery has to be, and what a UPS and its circuit may carry."""

import math
from collections.abc import Iterable
from typing import NamedTuple

from riserlint.engineering.span import Span, as_span, between, refuse_unless
from riserlint.standards import supply


class DischargeStage(NamedTuple):
    """One part of a discharge: a constant current in amperes for a time in hours."""

    amperes: float
    hours: float


# --- size of the battery ------------------------------------------------------------------------------


def ampere_hours(stages: Iterable[DischargeStage]) -> float:
    """Return the sum of I · t over the stages of a discharge, Ah, at no particular rate.

    The method of fire alarm batteries (NFPA 72); a sizing by IEEE Std 485 corrects each stage for its
    rate first.

    Raises:
        ValueError: a current or time below 0.
    """
    total_ah = 0.0
    for stage in stages:
        refuse_unless(stage.amperes >= 0, "current", stage.amperes, "A", "0 or more")
        refuse_unless(stage.hours >= 0, "time", stage.hours, "h", "0 or more")
        total_ah += stage.amperes * stage.hours
    return total_ah


def battery_ah_required(
    uncorrected_ah: float, temperature_factor: float, design_margin: float, ageing_factor: float
) -> float:
    """Return the capacity to install, Ah: uncorrected size × temperature × margin × ageing.

    Each factor multiplies the size and is 1 or more, except that of the temperature, which may be
    lower above 25 °C.

    Raises:
        ValueError: a size below 0, a temperature factor not above 0, another factor below 1.

    Source: the order of the worksheet in IEEE Std 485 (from memory; published worksheets multiply so).
    """
    source = str(supply.AGEING_FACTOR.citation)
    refuse_unless(uncorrected_ah >= 0, "uncorrected size", uncorrected_ah, "Ah", f"0 or more ({source})")
    refuse_unless(temperature_factor > 0, "temperature factor", temperature_factor, "", f"above 0 ({source})")
    refuse_unless(design_margin >= 1, "design margin", design_margin, "", f"1 or more ({source})")
    refuse_unless(ageing_factor >= 1, "ageing factor", ageing_factor, "", f"1 or more ({source})")
    return uncorrected_ah * temperature_factor * design_margin * ageing_factor


# --- load of the UPS and its circuit ------------------------------------------------------------------


def volt_amperes(watts: Span | float, power_factor: Span | float) -> Span:
    """Return the apparent power of a load, VA: S = P / power factor.

    A UPS has two limits, its watts and its volt-amperes; each is held against its own. A power factor
    that nobody states is 0.5 to 1 (:data:`riserlint.standards.supply.LOAD_POWER_FACTOR_LOW`).

    Raises:
        ValueError: watts below 0, or a power factor that is not above 0 and at most 1.

    Source: definition of the power factor.
    """
    load, factor = as_span(watts), as_span(power_factor)
    refuse_unless(load.low >= 0 and load.high < math.inf, "load", load, "W", "0 or more")
    refuse_unless(factor.low > 0 and factor.high <= 1, "power factor", factor, "W/VA", "above 0 to 1")
    return between(load.low / factor.high, load.high / factor.low)


def amperes(volt_amperes: Span | float, volts: float) -> Span:
    """Return the current of a single-phase circuit, A: I = S / V = P / (V × power factor).

    Three-phase circuits are not modelled.

    Raises:
        ValueError: volt-amperes below 0, or volts not above 0.

    Source: definition of apparent power.
    """
    load = as_span(volt_amperes)
    refuse_unless(load.low >= 0, "load", load, "VA", "0 or more")
    refuse_unless(0 < volts < math.inf, "voltage", volts, "V", "above 0")
    return between(load.low / volts, load.high / volts)


def continuous_share(listed_for_full_load: bool) -> float:
    """Return the share of a breaker's rating that continuous load may take, North America.

    0.8, and 1 for an assembly that is listed for 100 %. Source: NFPA 70 (NEC), 210.20(A).
    """
    return (supply.FULLY_RATED_SHARE if listed_for_full_load else supply.CONTINUOUS_LOAD_SHARE).value


def breaker_a_required(continuous_a: float, other_a: float, listed_for_full_load: bool) -> float:
    """Return the least rating of a breaker, A, North America.

    125 % of the continuous load and 100 % of the other; the sum of both for an assembly listed for
    100 %. Continuous is what runs three hours or more at its maximum.

    Raises:
        ValueError: a current below 0.

    Source: NFPA 70 (NEC), 210.20(A) and its exception.
    """
    source = str(supply.CONTINUOUS_LOAD_FACTOR.citation)
    refuse_unless(continuous_a >= 0, "continuous load", continuous_a, "A", f"0 or more ({source})")
    refuse_unless(other_a >= 0, "other load", other_a, "A", f"0 or more ({source})")
    factor = 1.0 if listed_for_full_load else supply.CONTINUOUS_LOAD_FACTOR.value
    return factor * continuous_a + other_a
