"""One bundle at one end of what is not known, and what it could be instead: size, gauge, ambient, others."""

import math
from typing import NamedTuple

from riserlint.engineering.bundle_heat import (
    BundleState,
    CableGroup,
    Insulation,
    Placement,
    largest_bundle,
    steady_temperature,
)

#: More cables than these lie in no bundle; the searches end here.
MOST_CABLES = 1000
_COLDEST_C = -60.0


class Enclosure(NamedTuple):
    """How a bundle sheds its heat: factor on the surface rise of free air, and insulation round it."""

    surface_factor: float
    insulation: Insulation | None


class BundleLoad(NamedTuple):
    """All that the steady state of a bundle follows from.

    ``dark_cables`` of the mean size carry nothing; those of the file that carry nothing are among ``groups``.
    """

    groups: tuple[CableGroup, ...]
    dark_cables: int
    enclosure: Enclosure
    ambient_c: float
    placement: Placement

    def steady(self) -> BundleState | None:
        """Return the steady state, None where there is none that is stable."""
        return steady_temperature(
            self.groups,
            ambient_c=self.ambient_c,
            surface_factor=self.enclosure.surface_factor,
            placement=self.placement,
            insulation=self.enclosure.insulation,
            dark_cables=self.dark_cables,
        )

    def holds(self, limit_c: float) -> bool:
        """Return whether the centre is at or below a temperature."""
        state = self.steady()
        return state is not None and state.temperature_c <= limit_c

    @property
    def cables(self) -> int:
        """How many cables it has."""
        return self.dark_cables + sum(group.cables for group in self.groups)

    def with_others(self, kind: CableGroup | None, count: int) -> "BundleLoad":
        """Return the load with so many cables more of a kind; None: without load and of the mean size."""
        if not count:
            return self
        if kind is None:
            return self._replace(dark_cables=self.dark_cables + count)
        return self._replace(groups=(*self.groups, kind._replace(cables=count)))

    def with_resistance(self, factor: float) -> "BundleLoad":
        """Return the load with the resistance of all conductors so many times that of now (another gauge)."""
        groups = tuple(group._replace(ohm_per_m_20=group.ohm_per_m_20 * factor) for group in self.groups)
        return self._replace(groups=groups)

    def largest(self, limit_c: float) -> int:
        """Return how many cables, all as the heaviest of this bundle, could lie together here at a limit."""
        return largest_bundle(
            max(self.groups, key=heat_of_one),
            limit_c,
            ambient_c=self.ambient_c,
            surface_factor=self.enclosure.surface_factor,
            insulation=self.enclosure.insulation,
            most=MOST_CABLES,
        )

    def most_others(self, kind: CableGroup | None, limit_c: float) -> int | None:
        """Return how many more cables of a kind hold, up to :data:`MOST_CABLES`; None where not even none do.

        With cables without load the centre may get cooler again as their number grows: the number returned is
        the end of the first stretch in which every number holds.
        """
        if not self.holds(limit_c):
            return None
        good, step = 0, 1
        while step and good < MOST_CABLES:
            step = min(step, MOST_CABLES - good)
            if self.with_others(kind, good + step).holds(limit_c):
                good, step = good + step, 2 * step
            else:
                step //= 2
        return good

    def hottest_ambient(self, limit_c: float) -> float | None:
        """Return the highest ambient that keeps the centre at or below a temperature, to 0.01 °C; or None."""
        if not self._replace(ambient_c=_COLDEST_C).holds(limit_c):
            return None
        low, high = _COLDEST_C, limit_c
        while high - low > 0.005:
            middle = 0.5 * (low + high)
            if self._replace(ambient_c=middle).holds(limit_c):
                low = middle
            else:
                high = middle
        return math.floor(low * 100) / 100


def heat_of_one(group: CableGroup) -> float:
    """Return the heat per metre of one cable of a group, with the resistance of 20 °C."""
    return group.live_conductors * group.current_a**2 * group.ohm_per_m_20


def merged(groups: list[CableGroup]) -> tuple[CableGroup, ...]:
    """Return equal cables as one group each: a bundle is made of few kinds."""
    counts: dict[CableGroup, int] = {}
    for group in groups:
        counts[group] = counts.get(group, 0) + group.cables
    return tuple(group._replace(cables=count) for group, count in counts.items())


def hotter(loads: list[BundleLoad]) -> tuple[BundleLoad, BundleState | None]:
    """Return the hottest of some loads with its state; one without a steady state is hotter than any."""
    states = [(load, load.steady()) for load in loads]
    return max(states, key=lambda found: math.inf if found[1] is None else found[1].temperature_c)
