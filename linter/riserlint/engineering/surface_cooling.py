"""Cooling of a horizontal cylinder in still air: air properties, natural convection, radiation."""

import math
from typing import NamedTuple

from riserlint.standards import heat

_SIGMA = heat.STEFAN_BOLTZMANN_W_PER_M2_K4.value
_GRAVITY = heat.STANDARD_GRAVITY_M_PER_S2.value
_PRESSURE = heat.STANDARD_PRESSURE_PA.value
_GAS = heat.AIR_GAS_CONSTANT_J_PER_KG_K.value
_HEAT_CAPACITY = heat.AIR_HEAT_CAPACITY_J_PER_KG_K.value
_MU_FACTOR = heat.AIR_VISCOSITY_FACTOR.value
_MU_KELVIN = heat.AIR_VISCOSITY_TEMPERATURE_K.value
_K_FACTOR = heat.AIR_CONDUCTIVITY_FACTOR.value
_K_KELVIN = heat.AIR_CONDUCTIVITY_TEMPERATURE_K.value
_K_EXPONENT = heat.AIR_CONDUCTIVITY_EXPONENT_K.value
_ICE_POINT_K = 273.15


class AirProperties(NamedTuple):
    """Dry air at sea-level pressure: conductivity W/(m K), kinematic viscosity m²/s, Prandtl number."""

    w_per_m_k: float
    m2_per_s: float
    prandtl: float


def air_properties(celsius: float) -> AirProperties:
    """Return the properties of dry air at 101 325 Pa.

    Viscosity 1.458e-6 T^1.5 / (T + 110.4); conductivity 2.64638e-3 T^1.5 / (T + 245.4 × 10^(-12/T)); density
    of the ideal gas; constant specific heat. From 0 to 100 °C the conductivity is within 3 %, the viscosity
    within 1 % and the Prandtl number within 3.5 % of printed tables; meant for -60 to 250 °C.
    Source: U.S. Standard Atmosphere 1976, equations 51 and 53.
    """
    kelvin = celsius + _ICE_POINT_K
    root = kelvin * math.sqrt(kelvin)
    viscosity = _MU_FACTOR * root / (kelvin + _MU_KELVIN)
    conductivity = _K_FACTOR * root / (kelvin + _K_KELVIN * 10.0 ** (-_K_EXPONENT / kelvin))
    return AirProperties(
        conductivity, viscosity * _GAS * kelvin / _PRESSURE, _HEAT_CAPACITY * viscosity / conductivity
    )


def nusselt_horizontal_cylinder(rayleigh: float, prandtl: float) -> float:
    """Return the mean Nusselt number of natural convection on a long horizontal cylinder.

    Nu = (0.60 + 0.387 Ra^(1/6) / (1 + (0.559/Pr)^(9/16))^(8/27))². Valid for Ra from 1e-5 to 1e12.
    Source: Churchill and Chu, 1975.
    """
    laminar = (1.0 + (0.559 / prandtl) ** 0.5625) ** (8.0 / 27.0)
    root: float = 0.60 + 0.387 * rayleigh ** (1.0 / 6.0) / laminar
    return root * root


def convection_coefficient(diameter_m: float, surface_c: float, ambient_c: float) -> float:
    """Return the coefficient of natural convection in W/(m² K) of a long horizontal cylinder in still air.

    h = Nu k / D, with Ra = g (Ts - Ta) D³ Pr / (Tf ν²) and the air at film temperature Tf, the mean of both.
    Where surface and air are equally warm only conduction into the air is left, Nu = 0.36.
    Source: Churchill and Chu, 1975; properties as in ``air_properties``.
    """
    film_c = 0.5 * (surface_c + ambient_c)
    conductivity, viscosity, prandtl = air_properties(film_c)
    grashof = _GRAVITY * abs(surface_c - ambient_c) * diameter_m**3 / ((film_c + _ICE_POINT_K) * viscosity**2)
    return nusselt_horizontal_cylinder(grashof * prandtl, prandtl) * conductivity / diameter_m


def radiation_coefficient(
    surface_c: float, ambient_c: float, emissivity: float = heat.EMISSIVITY.value
) -> float:
    """Return the coefficient of radiation in W/(m² K) to surroundings at ambient temperature.

    h = ε σ (Ts² + Ta²)(Ts + Ta), kelvin; the exact quotient ε σ (Ts⁴ - Ta⁴) / (Ts - Ta).
    """
    surface_k = surface_c + _ICE_POINT_K
    ambient_k = ambient_c + _ICE_POINT_K
    return emissivity * _SIGMA * (surface_k * surface_k + ambient_k * ambient_k) * (surface_k + ambient_k)


def surface_heat_w_per_m(diameter_m: float, rise_k: float, ambient_c: float) -> float:
    """Return the heat in W/m that a cylinder gives off in free air, π D (h_convection + h_radiation) dT."""
    surface_c = ambient_c + rise_k
    coefficient = convection_coefficient(diameter_m, surface_c, ambient_c) + radiation_coefficient(
        surface_c, ambient_c
    )
    return math.pi * diameter_m * coefficient * rise_k
