"""The heat of bundles: the temperature of each at the ends of what is not known.

A run's current depends on its resistance, that on its temperature, and that on the current. The bound is found
without solving the loop: with the resistance at the rating the currents are at least the true ones, so a bundle
that stays at or below the rating with them does so in truth. Where it does not, the upper end is unlimited.
"""

import math
from typing import NamedTuple

from riserlint.analysis.ambient import space_celsius
from riserlint.analysis.power import FeedPower, Power
from riserlint.analysis.resistance import conductor_of
from riserlint.design.paths import Path
from riserlint.engineering.bundle_heat import (
    BundleState,
    CableGroup,
    Insulation,
    core_resistivity,
    steady_temperature,
)
from riserlint.engineering.loss import class_nominal_current_a, current_per_conductor_a
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Bundle, Cable, Run
from riserlint.standards.heat import (
    CALIBRATION_CABLES,
    ENCLOSED_FACTOR,
    FREE_AIR_FACTOR,
    HIGHEST_RATED_C,
    LEAST_RATED_C,
    MINERAL_WOOL_W_PER_M_K,
)

#: Categories whose bundles were not measured are taken for the measured kind that is nearest in make.
_CORE_KIND = {"3": "5e", "5": "5e", "5e": "5e", "6": "6", "6A": "6A", "7": "6A", "7A": "6A", "8": "6A"}
_OUTER_MM = Span(
    min(row.outer_mm for row in CALIBRATION_CABLES.rows), max(row.outer_mm for row in CALIBRATION_CABLES.rows)
)


class Enclosure(NamedTuple):
    """How a bundle sheds its heat: factor on the surface rise of free air, and insulation round it."""

    surface_factor: float
    insulation: Insulation | None


class BundleHeat(NamedTuple):
    """One bundle.

    Attributes:
        bundle: which.
        cables: how many cables lie in it, ``others`` counted.
        live: the runs in it that carry power.
        ambient_c: the hottest ambient of its pathway and of the spaces that its runs name for it.
        rated_c: the lowest temperature rating of its live cables.
        enclosure: how it sheds heat, None where unknown.
        groups_best, groups_worst: the loads at the two ends.
        dark_best, dark_worst: cables without load at the two ends.
        best, worst: the steady states; None where there is none or where what is missing sets no bound.
        bounded: whether the upper end holds: the loop of heat and current can't turn it.
        missing: values that are not known.
        rests_on: values that it rests on.
    """

    bundle: Bundle
    cables: Span
    live: tuple[Run, ...]
    ambient_c: Span
    rated_c: Span
    enclosure: Enclosure | None
    groups_best: tuple[CableGroup, ...]
    groups_worst: tuple[CableGroup, ...]
    dark_best: int
    dark_worst: int
    best: BundleState | None
    worst: BundleState | None
    bounded: bool
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]


class Heat:
    """The heat of all bundles of an installation."""

    def __init__(self, installation: Installation, power: Power) -> None:
        """Compute every bundle with the currents that a power solution gives."""
        self._installation = installation
        self._power = power
        self._kinds: dict[tuple[str | None, bool], tuple[float, float, float]] = {}
        self.bundles: dict[str, BundleHeat] = {
            name: self._bundle(bundle) for name, bundle in installation.bundles.items() if bundle.members
        }

    def rises_of(self, run: Run) -> dict[int, Span]:
        """Return the rise of the bundle that each segment of a run lies in, by the segment's position."""
        rises: dict[int, Span] = {}
        for index, segment in enumerate(run.segments):
            name = segment.bundle.value
            state = self.bundles.get(name) if name is not None else None
            if state is None or not state.live:
                continue
            low = 0.0 if state.best is None else state.best.rise_k
            high = state.worst.rise_k if state.worst is not None and state.bounded else math.inf
            rises[index] = Span(low, max(low, high))
        return rises

    def _bundle(self, bundle: Bundle) -> BundleHeat:
        missing: list[Path] = []
        rests_on: list[Path] = []
        runs = list(dict.fromkeys(member.run for member in bundle.members))
        live = tuple(run for run in runs if self._live(run))
        others = bundle.value("others")
        if others.value is None:
            missing.append(others.at)
            cables = Span(len(runs), math.inf)
        else:
            rests_on.append(others.at)
            cables = Span(len(runs) + others.value, len(runs) + others.value)
        ambient_c = self._ambient(bundle, missing, rests_on)
        enclosure = self._enclosure(bundle, missing, rests_on)
        rated_c = self._rating(live, missing, rests_on)
        best_groups: list[CableGroup] = []
        worst_groups: list[CableGroup] | None = []
        heaviest: CableGroup | None = None
        feeds_missing: dict[Path, None] = {}
        for run in runs:
            power = self._power.feeds.get(run.id) if run.feed is not None else None
            best_groups.append(self._group(run, power, worst=False))
            group = None if power is not None and power.worst is None else self._group(run, power, worst=True)
            if power is not None and power.source_w.low != power.source_w.high:
                feeds_missing.update(dict.fromkeys(power.missing))
            if group is None:
                worst_groups = None
            elif worst_groups is not None:
                worst_groups.append(group)
                if heaviest is None or _heat(group) > _heat(heaviest):
                    heaviest = group
            for key in ("category", "outer_mm"):
                value = None if run.cable is None else run.cable.value(key)
                path = (*run.at, "cable") if value is None else value.at
                (missing if value is None or value.value is None else rests_on).append(path)
        dark_best = dark_worst = 0 if others.value is None else int(others.value)
        powered = bundle.value("others_powered")
        if others.value and powered.value is not False and worst_groups is not None and heaviest is not None:
            if powered.value is None:
                missing.append(powered.at)
                heaviest = max((heaviest, self._class_8(heaviest)), key=_heat)
            worst_groups.append(heaviest._replace(cables=int(others.value)))
            dark_worst = 0
        missing.extend(feeds_missing)
        best = worst = None
        if enclosure is not None and math.isfinite(ambient_c.low):
            best = _steady(_merged(best_groups), enclosure, ambient_c.low, dark_best, worst=False)
        bounded = False
        merged_worst = _merged(worst_groups or [])
        if enclosure is not None and worst_groups is not None and math.isfinite(cables.high + ambient_c.high):
            worst = _steady(merged_worst, enclosure, ambient_c.high, dark_worst, worst=True)
            bounded = worst is not None
        return BundleHeat(
            bundle,
            cables,
            live,
            ambient_c,
            rated_c,
            enclosure,
            _merged(best_groups),
            merged_worst,
            dark_best,
            dark_worst,
            best,
            worst,
            bounded,
            tuple(dict.fromkeys(missing)),
            tuple(dict.fromkeys(rests_on)),
        )

    def _live(self, run: Run) -> bool:
        power = self._power.feeds.get(run.id) if run.feed is not None else None
        return power is not None and (power.worst is None or power.worst.current_a > 0)

    def _ambient(self, bundle: Bundle, missing: list[Path], rests_on: list[Path]) -> Span:
        spaces = {member.segment.space.value: member.segment.space for member in bundle.members}
        if bundle.pathway is not None:
            named = bundle.pathway.value("space")
            if named.value is not None:
                spaces.pop(None, None)
                spaces[named.value] = named
        low = high = -math.inf
        for space in spaces.values():
            celsius, path = space_celsius(self._installation, space, "max_c")
            if celsius is None:
                missing.append(path)
                high = math.inf
            else:
                rests_on.append(path)
                low, high = max(low, celsius), max(high, celsius)
        return Span(low, high)

    def _enclosure(self, bundle: Bundle, missing: list[Path], rests_on: list[Path]) -> Enclosure | None:
        if bundle.pathway is None:
            assumed = self._installation.design.basis.model.assume.pathway
            if assumed is not None and assumed.kind is not None and assumed.kind != "insulated":
                rests_on.append(("basis", "assume", "pathway", "kind"))
                return _plain(assumed.kind)
            missing.append((*bundle.at, "pathway"))
            return None
        kind = bundle.pathway.value("kind")
        if kind.value is None:
            missing.append(kind.at)
            return None
        rests_on.append(kind.at)
        if kind.value != "insulated":
            return _plain(kind.value)
        thickness = bundle.pathway.value("insulation_mm")
        if thickness.value is None:
            missing.append(thickness.at)
            return None
        rests_on.append(thickness.at)
        return Enclosure(FREE_AIR_FACTOR.value, Insulation(thickness.value, MINERAL_WOOL_W_PER_M_K.value))

    def _rating(self, live: tuple[Run, ...], missing: list[Path], rests_on: list[Path]) -> Span:
        low = high = HIGHEST_RATED_C.value
        for run in live:
            rated = None if run.cable is None else run.cable.value("rated_c")
            if rated is None or rated.value is None:
                missing.append((*run.at, "cable") if rated is None else rated.at)
                low = min(low, LEAST_RATED_C.value)
            else:
                rests_on.append(rated.at)
                low, high = min(low, rated.value), min(high, rated.value)
        return Span(low, high)

    def _group(self, run: Run, power: FeedPower | None, *, worst: bool) -> CableGroup:
        outer_mm, ohm, core = self._kind(run.cable, worst=worst)
        state = None if power is None else (power.worst if worst else power.best)
        if power is None or state is None or state.current_a == 0:
            return CableGroup(1, outer_mm, ohm, 0, 0.0, core)
        pairs = int(power.grant.pairs.low if worst else power.grant.pairs.high)
        return CableGroup(1, outer_mm, ohm, 2 * pairs, current_per_conductor_a(state.current_a, pairs), core)

    def _class_8(self, like: CableGroup) -> CableGroup:
        current_a = current_per_conductor_a(class_nominal_current_a(8, 4), 4)
        return like._replace(live_conductors=8, current_a=current_a)

    def _kind(self, cable: Cable | None, *, worst: bool) -> tuple[float, float, float]:
        """Return diameter, ohm per metre at 20 °C and core resistivity of a kind of cable, at one end of its range."""
        key = (None if cable is None else cable.id, worst)
        found = self._kinds.get(key)
        if found is None:
            outer = None if cable is None else cable.value("outer_mm").value
            category = None if cable is None else cable.value("category").value
            conductor = conductor_of(cable, (), cord=False).per_m_20
            kinds = [_CORE_KIND[category]] if category is not None else sorted(set(_CORE_KIND.values()))
            cores = [core_resistivity(kind) for kind in kinds]
            if worst:
                found = (outer or _OUTER_MM.low, conductor.high, max(cores))
            else:
                found = (outer or _OUTER_MM.high, conductor.low, min(cores))
            self._kinds[key] = found
        return found


def _plain(kind: str) -> Enclosure:
    factor = ENCLOSED_FACTOR if kind == "closed-conduit" else FREE_AIR_FACTOR
    return Enclosure(factor.value, None)


def _heat(group: CableGroup) -> float:
    return group.live_conductors * group.current_a**2 * group.ohm_per_m_20


def _merged(groups: list[CableGroup]) -> tuple[CableGroup, ...]:
    """Return equal cables as one group each: a bundle is made of few kinds."""
    counts: dict[CableGroup, int] = {}
    for group in groups:
        key = group._replace(cables=1)
        counts[key] = counts.get(key, 0) + group.cables
    return tuple(group._replace(cables=count) for group, count in counts.items())


def _steady(
    groups: tuple[CableGroup, ...], enclosure: Enclosure, ambient_c: float, dark: int, *, worst: bool
) -> BundleState | None:
    return steady_temperature(
        groups,
        ambient_c=ambient_c,
        surface_factor=enclosure.surface_factor,
        placement="middle" if worst else "spread",
        insulation=enclosure.insulation,
        dark_cables=dark,
    )
