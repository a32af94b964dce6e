"""The heat of bundles: the temperature of each at the ends of what is not known.

A run's current depends on its resistance, that on its temperature, and that on the currents of the bundle:
``analysis.settled`` settles the two with each other.

Cables that are there but not in the file are taken for the worst kind of those that are. Whether they carry
power, and how much, is a range up to the nominal current of class 8 unless they are said to carry none.
"""

import math
from collections.abc import Iterable
from typing import NamedTuple

from riserlint.analysis.ambient import space_celsius
from riserlint.analysis.bundle_load import MOST_CABLES, BundleLoad, Enclosure, heat_of_one, hotter, merged
from riserlint.analysis.currents import class_unevenness, least_unevenness, most_current_a, unevenness
from riserlint.analysis.power import FeedPower, Power
from riserlint.analysis.resistance import conductor_of
from riserlint.design.paths import Path
from riserlint.engineering.bundle_heat import (
    BundleState,
    CableGroup,
    Insulation,
    core_resistivity,
)
from riserlint.engineering.loss import class_nominal_current_a, current_per_conductor_a
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Bundle, Cable, Run, Value
from riserlint.standards.heat import (
    CALIBRATION_CABLES,
    ENCLOSED_FACTOR,
    FREE_AIR_FACTOR,
    HIGHEST_RATED_C,
    LEAST_RATED_C,
    MINERAL_WOOL_W_PER_M_K,
    MODEL_CEILING_C,
    THICKEST_INSULATION_MM,
)

#: Categories whose bundles were not measured are taken for the measured kind that is nearest in make.
_CORE_KIND = {"3": "5e", "5": "5e", "5e": "5e", "6": "6", "6A": "6A", "7": "6A", "7A": "6A", "8": "6A"}
_OUTER_MM = Span(
    min(row.outer_mm for row in CALIBRATION_CABLES.rows), max(row.outer_mm for row in CALIBRATION_CABLES.rows)
)
#: Stands at the end of what is missing where cables that are not in the file are said to carry power: how much they
#: carry is told by writing them as runs, and by no key of the bundle.
OTHERS_AS_RUNS = "others as runs"


class BundleHeat(NamedTuple):
    """One bundle.

    Attributes:
        bundle: which.
        cables: how many cables lie in it, ``others`` counted.
        live: the runs in it that carry power, or may.
        ambient_c: the hottest ambient of its pathway and of the spaces that its runs name for it.
        rated_c: the lowest temperature rating of its live cables.
        enclosed: the kind of its pathway, None where not known.
        least, most: the loads at the two ends; where the number of others is not known and they may carry
            power, ``most`` is without any; an ambient without bound is infinite. None where the ambient at the
            best, or a current, is without bound.
        other: a cable that is not in the file, at its worst; None: without load.
        best, worst: the steady states; None where there is none or where what is missing sets no bound.
        bounded: whether the upper end holds; where it does not, the temperature has no limit.
        missing: values that are not known.
        rests_on: values that it rests on, those of the feeds apart (:meth:`Heat.rests_on`).
    """

    bundle: Bundle
    cables: Span
    live: tuple[Run, ...]
    ambient_c: Span
    rated_c: Span
    enclosed: str | None
    least: BundleLoad | None
    most: BundleLoad | None
    other: CableGroup | None
    best: BundleState | None
    worst: BundleState | None
    bounded: bool
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]

    @property
    def unstable(self) -> bool:
        """Whether it has no stable state even at the best: it would pass what the model holds for."""
        return self.least is not None and self.best is None

    @property
    def celsius(self) -> Span:
        """The temperature at the centre."""
        low = self.ambient_c.low if self.best is None else self.best.temperature_c
        if self.unstable:
            low = max(low, MODEL_CEILING_C.value)
        high = self.worst.temperature_c if self.worst is not None and self.bounded else math.inf
        return Span(low, max(low, high))

    @property
    def rise_k(self) -> Span:
        """The rise of the centre over the ambient."""
        low = 0.0 if self.best is None else self.best.rise_k
        if self.unstable:
            low = max(low, MODEL_CEILING_C.value - self.ambient_c.low)
        high = self.worst.rise_k if self.worst is not None and self.bounded else math.inf
        return Span(low, max(low, high))

    @property
    def runaway(self) -> bool:
        """Whether all that bounds it is known and yet there is no steady state at the worst."""
        counted = self.other is None or math.isfinite(self.cables.high)
        return counted and self.most is not None and math.isfinite(self.ambient_c.high) and self.worst is None


class Heat:
    """The heat of all bundles of an installation."""

    def __init__(
        self, installation: Installation, power: Power, unbounded: frozenset[str] = frozenset()
    ) -> None:
        """Compute every bundle with the currents of ``power``; those of ``unbounded`` have no upper end."""
        self.unbounded = unbounded
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
            state = self.bundles.get(segment.bundle.value or "")
            if state is not None:
                rises[index] = state.rise_k
        return rises

    def rests_on(self, state: BundleHeat) -> tuple[Path, ...]:
        """Return the values that a bundle's temperature rests on, those of its feeds included."""
        found = dict.fromkeys(state.rests_on)
        for run in state.live:
            power = self._power.feeds[run.id]
            found.update(dict.fromkeys(conductor_of(run.cable, (), cord=False).rests_on))
            if power.draw is not None:
                found.update(dict.fromkeys(power.draw.rests_on))
            written: list[Value[object]] = [run.value("link_m"), run.value("pairs")]
            load, source = power.feed.load, power.feed.source
            written.append(load.value(load.side, "pd_class"))
            if source is not None:
                stated = source.value("pse", "min_v")
                written.append(source.value("pse", "type") if stated.value is None else stated)
            found.update((value.at, None) for value in written if value.value is not None)
        return tuple(found)

    # -- one bundle -----------------------------------------------------------------------------------------

    def _bundle(self, bundle: Bundle) -> BundleHeat:
        missing: dict[Path, None] = {}
        rests_on: dict[Path, None] = {}
        runs = list(dict.fromkeys(member.run for member in bundle.members))
        powers = [self._power.feeds.get(run.id) if run.feed is not None else None for run in runs]
        live = tuple(run for run, power in zip(runs, powers) if power is not None and _may_be_live(power))
        cables, others = self._others(bundle, len(runs), missing, rests_on)
        ambient_c = self._ambient(bundle, missing, rests_on)
        kind, free, closed = self._enclosures(bundle, missing, rests_on)
        rated_c = self._rating(live, missing, rests_on)
        self._note_kinds(runs, missing, rests_on)
        best_groups = [self._group(run, power, worst=False) for run, power in zip(runs, powers)]
        worst_groups: list[CableGroup] | None = [
            self._group(run, power, worst=True) for run, power in zip(runs, powers)
        ]
        if any(math.isinf(group.current_a) for group in worst_groups or ()):
            worst_groups = None
        for power in powers:
            if power is not None and power.source_w.low != power.source_w.high:
                missing.update(dict.fromkeys(power.missing))
        other = None
        if others != 0 and worst_groups is not None:
            other = self._other(bundle, worst_groups, missing, rests_on)
        least = most = best = worst = None
        if math.isfinite(ambient_c.low):
            dark = MOST_CABLES if others is None else others
            cool = [
                BundleLoad(merged(groups), dark, free, ambient_c.low, "spread")
                for groups in _dark_either_way(runs, best_groups)
            ]
            least, best = cool[0], cool[0].steady()
            for load in cool[1:]:
                state = load.steady()
                if state is not None and (best is None or state.temperature_c < best.temperature_c):
                    least, best = load, state
        if worst_groups is not None:
            hot = [
                BundleLoad(merged(groups), 0, closed[0], ambient_c.high, "middle").with_others(
                    other, others or 0
                )
                for groups in _dark_either_way(runs, worst_groups)
            ]
            most = hot[0]
            if math.isfinite(ambient_c.high) and (others is not None or other is None):
                # of dark cables none or very many are the worst: their number cools the surface first, and then
                # what they add round the core outweighs it
                counts = (0,) if others is not None else (0, MOST_CABLES)
                loads = [
                    load._replace(enclosure=way).with_others(None, count)
                    for load in hot
                    for way in closed
                    for count in counts
                ]
                most, worst = hotter(loads)
        return BundleHeat(
            bundle,
            cables,
            live,
            ambient_c,
            rated_c,
            kind,
            least,
            most,
            other,
            best,
            worst,
            worst is not None and bundle.id not in self.unbounded,
            tuple(missing),
            tuple(rests_on),
        )

    @staticmethod
    def _others(
        bundle: Bundle, here: int, missing: dict[Path, None], rests_on: dict[Path, None]
    ) -> tuple[Span, int | None]:
        others = bundle.value("others")
        if others.value is None:
            missing[others.at] = None
            return Span(here, math.inf), None
        rests_on[others.at] = None
        return Span(here + others.value, here + others.value), int(others.value)

    def _other(
        self,
        bundle: Bundle,
        groups: list[CableGroup],
        missing: dict[Path, None],
        rests_on: dict[Path, None],
    ) -> CableGroup | None:
        """Return a cable that is not in the file, at its worst; None: it carries nothing."""
        powered = bundle.value("others_powered")
        if powered.value is False:
            rests_on[powered.at] = None
            return None
        # That they carry power says not how much: to tell, they have to be written as runs.
        missing[powered.at if powered.value is None else (*bundle.at, OTHERS_AS_RUNS)] = None
        like = max(groups, key=lambda group: group.ohm_per_m_20)
        nominal_a = current_per_conductor_a(class_nominal_current_a(8, 4), 4) * class_unevenness(8, 4)
        return max((*groups, like._replace(live_conductors=8, current_a=nominal_a)), key=heat_of_one)

    def _ambient(self, bundle: Bundle, missing: dict[Path, None], rests_on: dict[Path, None]) -> Span:
        spaces: dict[str | None, Value[str]] = {}
        for member in bundle.members:
            spaces.setdefault(member.segment.space.value, member.segment.space)
        if bundle.pathway is not None and (named := bundle.pathway.value("space")).value is not None:
            spaces.pop(None, None)
            spaces[named.value] = named
        low = high = -math.inf
        for space in spaces.values():
            celsius, path = space_celsius(self._installation, space, "max_c")
            if celsius is not None:
                rests_on[path] = None
                low, high = max(low, celsius), max(high, celsius)
                continue
            high = math.inf
            if space.value is None:
                where = [member.segment.space for member in bundle.members]
                missing.update((unknown.at, None) for unknown in where if unknown.value is None)
            else:
                missing[path] = None
        return Span(low, high)

    def _enclosures(
        self, bundle: Bundle, missing: dict[Path, None], rests_on: dict[Path, None]
    ) -> tuple[str | None, Enclosure, tuple[Enclosure, ...]]:
        """Return the kind of pathway, the coolest enclosure that it may be, and what may be the hottest.

        That insulation can cool a cable thinner than 8 mm, by a few per cent of its rise, is left out.
        """
        free = Enclosure(FREE_AIR_FACTOR.value, None)
        conduit = Enclosure(ENCLOSED_FACTOR.value, None)
        wrapped = free._replace(insulation=_wool(THICKEST_INSULATION_MM.value))
        if bundle.pathway is None:
            pathway = self._installation.design.basis.model.assume.pathway
            kind: Value[str] = Value(None, (*bundle.at, "pathway"))
            thickness: Value[float] = kind._replace(value=None)  # type: ignore[assignment]
            if pathway is not None and pathway.kind is not None:
                at: Path = ("basis", "assume", "pathway")
                kind = Value(pathway.kind, (*at, "kind"), True)
                thickness = Value(pathway.insulation_mm, (*at, "insulation_mm"), True)
        else:
            kind = bundle.pathway.value("kind")
            thickness = bundle.pathway.value("insulation_mm")
        if kind.value is None:
            missing[kind.at] = None
            return None, free, (conduit, wrapped)
        rests_on[kind.at] = None
        if kind.value != "insulated":
            found = conduit if kind.value == "closed-conduit" else free
            return kind.value, found, (found,)
        if thickness.value is None:
            missing[thickness.at] = None
            return kind.value, free, (free, wrapped)
        rests_on[thickness.at] = None
        found = free._replace(insulation=_wool(thickness.value))
        return kind.value, found, (found,)

    @staticmethod
    def _rating(live: tuple[Run, ...], missing: dict[Path, None], rests_on: dict[Path, None]) -> Span:
        low = high = math.inf
        for cable in dict.fromkeys(run.cable for run in live):
            rated = None if cable is None else cable.value("rated_c")
            if rated is not None and rated.value is not None:
                rests_on[rated.at] = None
                low, high = min(low, rated.value), min(high, rated.value)
                continue
            if rated is not None:
                missing[rated.at] = None
            else:
                missing.update(((*run.at, "cable"), None) for run in live if run.cable is None)
            low, high = min(low, LEAST_RATED_C.value), min(high, HIGHEST_RATED_C.value)
        return Span(low, high)

    @staticmethod
    def _note_kinds(runs: Iterable[Run], missing: dict[Path, None], rests_on: dict[Path, None]) -> None:
        seen: set[Cable] = set()
        for run in runs:
            if run.cable is None:
                missing[(*run.at, "cable")] = None
            elif run.cable not in seen:
                seen.add(run.cable)
                for key in ("category", "outer_mm"):
                    value = run.cable.value(key)
                    (missing if value.value is None else rests_on)[value.at] = None

    def _group(self, run: Run, power: FeedPower | None, *, worst: bool) -> CableGroup:
        """Return one cable with its load at one end; an infinite current where there is no bound."""
        outer_mm, ohm, core = self._kind(run.cable, worst=worst)
        pairs = 2 if power is None else int(power.grant.pairs.low if worst else power.grant.pairs.high)
        current_a = 0.0
        if power is not None and worst:
            current_a = most_current_a(power)
            if current_a and math.isfinite(current_a):
                current_a *= unevenness(power, pairs)
        elif power is not None and power.best is not None:
            current_a = power.best.current_a * least_unevenness(power, pairs)
        if not current_a:
            return CableGroup(1, outer_mm, ohm, 0, 0.0, core)
        per_conductor_a = current_per_conductor_a(current_a, pairs) if math.isfinite(current_a) else math.inf
        return CableGroup(1, outer_mm, ohm, 2 * pairs, per_conductor_a, core)

    def _kind(self, cable: Cable | None, *, worst: bool) -> tuple[float, float, float]:
        """Return diameter, ohm per metre at 20 °C and core resistivity of a cable at one end of its range."""
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


def _dark_either_way(runs: list[Run], groups: list[CableGroup]) -> list[list[CableGroup]]:
    """Return a bundle with its cables that carry nothing and state no size at the thickest and at the thinnest.

    Which of the two is the hotter changes with their number: they cool the surface, and they bury the core. Cables
    that carry power are the hotter the thinner they are, and stay as they are.
    """
    unsized = [
        not group.current_a and (run.cable is None or run.cable.value("outer_mm").value is None)
        for run, group in zip(runs, groups)
    ]
    if not any(unsized):
        return [groups]
    return [
        [group._replace(outer_mm=outer_mm) if free else group for group, free in zip(groups, unsized)]
        for outer_mm in (_OUTER_MM.low, _OUTER_MM.high)
    ]


def _may_be_live(power: FeedPower) -> bool:
    return power.worst is None or power.worst.current_a > 0


def _wool(thickness_mm: float) -> Insulation:
    return Insulation(thickness_mm, MINERAL_WOOL_W_PER_M_K.value)
