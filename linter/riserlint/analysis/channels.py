"""The channels of an installation's runs: what each family of texts makes of their cable, cords and heat."""

import math
from collections.abc import Callable, Iterable
from functools import cache
from typing import NamedTuple

from riserlint.analysis.ambient import Ambient
from riserlint.analysis.channel import (
    Cell,
    ClauseName,
    CordUse,
    FamilyChannel,
    Leaves,
    RunChannel,
    base_m,
)
from riserlint.analysis.metres import RunMetres
from riserlint.design.models import Region
from riserlint.design.paths import Path
from riserlint.engineering import lengths
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Cable, Cord, Run, Value
from riserlint.standards import cabling, cabling_derating
from riserlint.standards.cabling import CablingFamily
from riserlint.standards.cabling_derating import CORD_DERATINGS, HorizontalClass, HorizontalModel
from riserlint.standards.record import Limit

_RATING_C = cabling_derating.RATING_CELSIUS.value
_HOTTEST_C = cabling_derating.HOTTEST_CELSIUS.value
_CLASSES: dict[str, tuple[HorizontalClass, ...]] = {
    "3": (),
    "5": ("D",),
    "5e": ("D",),
    "6": ("E",),
    "6A": ("EA",),
    "7": ("F",),
    "7A": ("FA",),
    "8": (),
}
_ANY_CLASS: tuple[HorizontalClass, ...] = ("D", "E", "F")


class _CordKind(NamedTuple):
    tia: Span
    iso: Span
    tia_missing: tuple[Path, ...]
    iso_missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]
    from_memory: bool


class _LinkKind(NamedTuple):
    category: str | None
    screened: tuple[bool, ...]
    classes: tuple[HorizontalClass, ...]
    category_missing: tuple[Path, ...]
    screen_missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]


class _Common(NamedTuple):
    """What alike runs have in common, as :class:`RunChannel` has it."""

    families: tuple[FamilyChannel, ...]
    leaves: tuple[Leaves, ...]
    surely: dict[ClauseName, float]
    has_equation: bool
    has_thin_cords: bool


#: Where a run lies that has one stretch: space and bundle.
_Lie = tuple[str, str]
#: Kind of cable, kinds and metres of cords, connections, whether there is a consolidation point, temperature.
_Alike = tuple[str, tuple[tuple[str, float | None], ...], int, bool, _Lie | Ambient]


class Channels:
    """The channels of the runs of an installation; each kind of cable is looked at once."""

    def __init__(
        self,
        installation: Installation,
        region: Region | None,
        metres: Callable[[Run], RunMetres],
        mean_celsius: Callable[[Run], Ambient],
    ) -> None:
        """Keep what lengths depend on."""
        self._design = installation.design
        self._installation = installation
        self._names: tuple[CablingFamily, ...] = ("TIA", "ISO/IEC")
        if region is not None:
            self._names = ("TIA",) if region == "north-america" else ("ISO/IEC",)
        self._of_alike: dict[_Alike, _Common] = {}
        self._celsius_of: dict[_Lie, Ambient] = {}
        self._metres = metres
        self._mean_celsius = mean_celsius
        self._cord_kinds: dict[str, _CordKind] = {}
        self._link_kinds: dict[str, _LinkKind] = {}

    def of(self, run: Run) -> RunChannel:
        """Return the channel of a run."""
        metres = self._metres(run)
        lie = _lie(run)
        celsius = self._celsius(run, lie)
        key = None if celsius.missing else self._alike(run, lie or celsius)
        found = self._of_alike.get(key) if key is not None else None
        if found is None:
            families = tuple(self._family(name, run, celsius) for name in self._names)
            leaves = tuple(family.leaves() for family in families)
            found = _Common(
                families,
                leaves,
                _surely_m(leaves),
                any(family.has_equation for family in families),
                any(math.isinf(use.factor.high) for family in families for use in family.uses),
            )
            if key is not None:
                self._of_alike[key] = found
        link_missing = () if metres.link_written is not None else (run.value("link_m").at,)
        cords_missing = tuple(path for path in metres.missing if path not in link_missing)
        known = 0 if run.cords is None else sum(cord.metres.value is not None for cord in run.cords)
        split = len(metres.rests_on) - known
        on_link, on_cords = metres.rests_on[:split], metres.rests_on[split:]
        return RunChannel(run, metres, celsius, *found, link_missing, cords_missing, on_link, on_cords)

    def _celsius(self, run: Run, lie: _Lie | None) -> Ambient:
        """Return the mean temperature of a run: runs that lie in one space and one bundle have one."""
        if lie is None:
            return self._mean_celsius(run)
        found = self._celsius_of.get(lie)
        if found is None:
            found = self._celsius_of[lie] = self._mean_celsius(run)
        return found

    def _alike(self, run: Run, warmth: _Lie | Ambient) -> _Alike | None:
        """Return what runs have in common of which the same is said; None where what is said names the run."""
        connections, point = run.value("connections"), run.value("consolidation_point_m")
        if run.cable is None or run.cords is None or connections.value is None:
            return None
        if point.value is None and self._asked(run):
            return None
        cords: list[tuple[str, float | None]] = []
        for cord in run.cords:
            if cord.cable is None:
                return None
            cords.append((cord.cable.id, cord.metres.value))
        count = int(connections.value) + len(run.inlines)
        return run.cable.id, tuple(cords), count, point.value is not None, warmth

    def _family(self, family: CablingFamily, run: Run, celsius: Ambient) -> FamilyChannel:
        link = self._link_kind(run)
        limits = cabling.CABLING_LIMITS[family]
        # Only what is stated to be Category 8 has its limits: of an unknown category the general ones hold.
        eight = link.category == "8"
        uses, cords_missing, cords_rest_on, from_memory = self._cords(family, run)
        cells: tuple[Cell, Cell] | None = None
        has_equation = not eight
        if family == "ISO/IEC":
            has_equation = bool(link.classes)
            models, model_missing = _models(run, asked=self._asked(run))
            if has_equation:
                cells = _ends(link.classes, models)
                if cells[0] != cells[1]:
                    cords_missing.extend(link.category_missing)
                    if len(models) > 1:
                        cords_missing.extend(model_missing)
                cords_rest_on.extend(link.rests_on[:1])
        in_range = Span(
            min(_HOTTEST_C, max(_RATING_C, celsius.celsius.low)),
            min(_HOTTEST_C, max(_RATING_C, celsius.celsius.high)),
        )
        heat_missing = [*celsius.missing, *link.screen_missing]
        heat_rest_on = [*celsius.rests_on, *link.rests_on[1:]]
        if family == "ISO/IEC":
            heat_missing.extend(cords_missing)
            heat_rest_on.extend(cords_rest_on)
        return FamilyChannel(
            family,
            cabling.CATEGORY_8_PERMANENT_LINK if eight else limits.permanent_link,
            cabling.CATEGORY_8_CHANNEL if eight else limits.channel,
            cabling.CATEGORY_8_CONNECTIONS if eight else limits.connections,
            limits.consolidation_point,
            uses,
            cells,
            has_equation,
            in_range,
            link.screened,
            _tia_cords_limit(from_memory) if cells is None else _iso_cords_limit(cells[1]),
            _tia_heat_limit(in_range.low, link.screened[-1])
            if cells is None
            else _iso_heat_limit(
                cells[1], in_range.low > cabling_derating.STEEPER_ABOVE_CELSIUS.value, link.screened[-1]
            ),
            tuple(dict.fromkeys(cords_missing)),
            tuple(dict.fromkeys(heat_missing)),
            tuple(dict.fromkeys(cords_rest_on)),
            tuple(dict.fromkeys(heat_rest_on)),
        )

    def _asked(self, run: Run) -> bool:
        return self._design.asked((*run.at, "consolidation_point_m"))

    def _cords(
        self, family: CablingFamily, run: Run
    ) -> tuple[tuple[CordUse, ...], list[Path], list[Path], bool]:
        uses: list[CordUse] = []
        missing: list[Path] = []
        rests_on: list[Path] = []
        from_memory = False
        cords_at: Path = (*run.at, "cords_m")
        unknown = (Cord(Value(None, cords_at), self._installation.cord_cable, cords_at),)
        for cord in unknown if run.cords is None else run.cords:
            metres = cord.metres.value
            if metres == 0:
                continue
            kind = self._cord_kind(run, cord)
            factor = kind.tia if family == "TIA" else kind.iso
            uses.append(CordUse(Span(0.0, math.inf) if metres is None else Span(metres, metres), factor))
            missing.extend(kind.tia_missing if family == "TIA" else kind.iso_missing)
            rests_on.extend(kind.rests_on)
            from_memory = from_memory or kind.from_memory
        return tuple(uses), missing, rests_on, from_memory

    def _cord_kind(self, run: Run, cord: Cord) -> _CordKind:
        if cord.cable is None:
            # Plain metres say nothing of the kind of cord: it is their list that would have to say more.
            plain = run.model.cords is None
            where: tuple[Path, ...] = ((*run.at, "cords_m"),) if plain else ((*cord.at, "cable"),)
            return _CordKind(_tia_factor(None, None), _iso_factor(None), where, where, (), False)
        found = self._cord_kinds.get(cord.cable.id)
        if found is None:
            found = self._cord_kinds[cord.cable.id] = _cord_kind(cord.cable)
        return found

    def _link_kind(self, run: Run) -> _LinkKind:
        if run.cable is None:
            where: tuple[Path, ...] = ((*run.at, "cable"),)
            return _LinkKind(None, (False, True), _ANY_CLASS, where, where, ())
        found = self._link_kinds.get(run.cable.id)
        if found is None:
            category, screen = run.cable.value("category"), run.cable.value("screen")
            found = self._link_kinds[run.cable.id] = _LinkKind(
                category.value,
                (False, True) if screen.value is None else (screen.value != "none",),
                _ANY_CLASS if category.value is None else _CLASSES[category.value],
                (category.at,) if category.value is None else (),
                (screen.at,) if screen.value is None else (),
                (category.at, screen.at),
            )
        return found


def _lie(run: Run) -> _Lie | None:
    """Return where a run lies, None where it has several stretches or something of that is not known."""
    if len(run.segments) != 1:
        return None
    space, bundle = run.segments[0].space.value, run.segments[0].bundle.value
    return None if space is None or bundle is None else (space, bundle)


def _surely_m(leaves: Iterable[Leaves]) -> dict[ClauseName, float]:
    """Return by clause the longest link in metres that all families leave at the worst that is not known."""
    surely: dict[ClauseName, float] = {
        "link": math.inf,
        "channel": math.inf,
        "cords": math.inf,
        "heat": math.inf,
    }
    for left in leaves:
        for name, limit in zip(surely, left):
            if limit is not None:
                surely[name] = min(surely[name], limit.low)
    return surely


# -- kinds of cable ------------------------------------------------------------------------------------------


def _cord_kind(cable: Cable) -> _CordKind:
    strand, awg = cable.value("strand"), cable.value("conductor_awg")
    tia = _tia_factor(strand.value, awg.value)
    iso = _iso_factor(strand.value)
    written = [value.at for value in (strand, awg) if value.value is not None]
    return _CordKind(
        tia,
        iso,
        () if tia.known or strand.value == "solid" else tuple(v.at for v in (strand, awg) if v.value is None),
        (strand.at,) if strand.value is None else (),
        tuple(written),
        strand.value != "solid" and awg.value is not None and _derating(awg.value).known == "memory",
    )


def _derating(awg: int) -> Limit:
    """Return the de-rating of a stranded cord: of its gauge or the next thinner one that the text has."""
    thinnest = max(CORD_DERATINGS)
    return CORD_DERATINGS[next((gauge for gauge in sorted(CORD_DERATINGS) if awg <= gauge), thinnest)]


def _tia_factor(strand: str | None, awg: int | None) -> Span:
    """Return 1 + D: D by gauge where stranded, 0 where solid, the whole range where the kind is not known.

    A cord thinner than the text knows has at least the greatest D that it gives.
    """
    if strand == "solid":
        return Span(1.0, 1.0)
    deratings = [record.value for record in CORD_DERATINGS.values()]
    low, high = min(deratings), max(deratings)
    if awg is not None:
        low = high = _derating(awg).value
        if awg > max(CORD_DERATINGS):
            high = math.inf
    return Span(1.0 if strand is None else 1.0 + low, 1.0 + high)


def _iso_factor(strand: str | None) -> Span:
    ratio = cabling_derating.CORD_RATIO_ISO.value
    return Span(1.0 if strand != "stranded" else ratio, 1.0 if strand == "solid" else ratio)


# -- models and equations of ISO/IEC 11801 -------------------------------------------------------------------


def _models(run: Run, *, asked: bool) -> tuple[tuple[HorizontalModel, ...], tuple[Path, ...]]:
    """Return the models that a channel may be, and what is not known of it."""
    connections, point = run.value("connections"), run.value("consolidation_point_m")
    inline = len(run.inlines)
    missing: list[Path] = []
    with_point = (True,) if point.value is not None else (False, True) if asked else (False,)
    if len(with_point) > 1:
        missing.append(point.at)
    if connections.value is None:
        missing.append(connections.at)
    models: dict[HorizontalModel, None] = {}
    for consolidation in with_point:
        most: HorizontalModel = "cross-connect-cp-outlet" if consolidation else "cross-connect-outlet"
        least = int(consolidation)
        counts = (
            (least + inline, math.inf)
            if connections.value is None
            else (max(connections.value, least) + inline,)
        )
        for count in counts:
            model = None if math.isinf(count) else lengths.model_of(int(count), consolidation)
            models[model or most] = None
    return tuple(models), tuple(missing)


@cache
def _ends(classes: tuple[HorizontalClass, ...], models: tuple[HorizontalModel, ...]) -> tuple[Cell, Cell]:
    """Return the cells that leave the least and the most link."""
    cells: list[Cell] = [(category_class, model) for category_class in classes for model in models]
    return min(cells, key=base_m), max(cells, key=base_m)


# -- records -------------------------------------------------------------------------------------------------


@cache
def _tia_cords_limit(from_memory: bool) -> Limit:
    record = cabling_derating.EXTENDED_CORD_SUM_TIA
    if not from_memory:
        return record
    thin = cabling_derating.CORD_DERATING_28_AWG
    return record._replace(
        known="memory", source=f"the sum: {record.source}; the de-rating of 28 AWG: {thin.source}"
    )


@cache
def _iso_cords_limit(cell: Cell) -> Limit:
    table = cabling_derating.HORIZONTAL_EQUATIONS_ISO
    category_class, model = cell
    equation = lengths.iso_horizontal_equation(category_class, model)
    name = f"horizontal link length equation, Class {category_class}, {model}: constant less margin"
    return Limit(name, base_m(cell), "m", table.citation, equation.known, table.source, table.note)


@cache
def _iso_heat_limit(cell: Cell, hot: bool, screened: bool) -> Limit:
    if screened:
        record = cabling_derating.LENGTH_LOST_SCREENED_ISO
    elif hot:
        record = cabling_derating.LENGTH_LOST_UNSCREENED_HOT_ISO
    else:
        record = cabling_derating.LENGTH_LOST_UNSCREENED_WARM_ISO
    known = lengths.iso_horizontal_equation(*cell).known
    return record if known == record.known else record._replace(known=known)


@cache
def _tia_heat_limit(celsius: float, screened: bool) -> Limit:
    published = cabling_derating.HORIZONTAL_AT_40_CELSIUS_TIA
    if celsius == cabling_derating.STEEPER_ABOVE_CELSIUS.value and not screened:
        return published
    table = cabling_derating.HORIZONTAL_BY_TEMPERATURE_TIA
    return Limit(table.name, table.rows[0][1], "m", table.citation, table.known, table.source, table.note)
