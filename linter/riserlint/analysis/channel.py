"""How long the link of a run may be: what each family of texts leaves it beside its cords and in its heat.

Where something is not known the length is a range, from the worst to the best that it can turn out to be. The
sums that give a length are written out with the run's numbers, so that a reader can do them again by hand.
"""

import math
from collections.abc import Mapping
from functools import cache
from itertools import pairwise
from typing import Literal, NamedTuple

from riserlint.analysis.ambient import Ambient
from riserlint.analysis.metres import RunMetres
from riserlint.design.paths import Path
from riserlint.engineering import lengths
from riserlint.engineering.span import Span, at_most
from riserlint.installation.things import Run
from riserlint.standards import cabling_derating
from riserlint.standards.cabling import CablingFamily
from riserlint.standards.cabling_derating import CORD_DERATINGS, HorizontalClass, HorizontalModel
from riserlint.standards.record import Limit

End = Literal["worst", "best"]
#: A class and a model of ISO/IEC 11801: one cell of its table of equations.
Cell = tuple[HorizontalClass, HorizontalModel]

#: The clauses that limit a link: by itself, with its cords' metres, with what cords lose more, in its heat.
ClauseName = Literal["link", "channel", "cords", "heat"]

_RATING_C = cabling_derating.RATING_CELSIUS.value


class CordUse(NamedTuple):
    """A cord: its metres, and how many metres of link one metre of it stands for ((1 + D) or X)."""

    metres: Span
    factor: Span


class Leaves(NamedTuple):
    """The longest link in metres that each clause of one family leaves; None where the clause has no say.

    ``link``: by itself. ``channel``: with the cords' metres. ``cords``: with what the cords lose more.
    ``heat``: at the mean temperature.
    """

    link: Span
    channel: Span
    cords: Span | None
    heat: Span | None


class Clause(NamedTuple):
    """One comparison: the link against what a clause of a family leaves; what that turns and rests on."""

    family: "FamilyChannel"
    value: Span
    limit: Span
    held_against: Limit
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]


class FamilyChannel(NamedTuple):
    """What one family of texts says of one run.

    Attributes:
        family: which.
        link, channel, connections, consolidation_point: its limits; of Category 8 where that is stated.
        uses: the cords with their factors; where nothing is known of the cords, one of any length.
        cells: the cells of the ISO/IEC table that leave the least and the most; None under TIA and where the
            text has no equation.
        has_equation: whether the family has a sum for cords and a length by temperature for this category.
        celsius: the mean temperature, as far as the texts give lengths for it (20 °C to 60 °C).
        screened: whether the cable has a screen; both where it is not known.
        cords_limit, heat_limit: what the two are held against.
        cords_missing, heat_missing: what is not known of the kinds of cable, the model and the temperature.
        cords_rest_on, heat_rest_on: what they rest on.
    """

    family: CablingFamily
    link: Limit
    channel: Limit
    connections: Limit
    consolidation_point: Limit
    uses: tuple[CordUse, ...]
    cells: tuple[Cell, Cell] | None
    has_equation: bool
    celsius: Span
    screened: tuple[bool, ...]
    cords_limit: Limit
    heat_limit: Limit
    cords_missing: tuple[Path, ...]
    heat_missing: tuple[Path, ...]
    cords_rest_on: tuple[Path, ...]
    heat_rest_on: tuple[Path, ...]

    def cords_m(self, share: float = 1.0) -> Span:
        """Return the metres of all cords, each cut to a share."""
        low = sum(share * use.metres.low for use in self.uses)
        return Span(low, sum(_times(share, use.metres.high) for use in self.uses))

    def use_m(self, share: float = 1.0) -> Span:
        """Return the metres of link that all cords, cut to a share, stand for: sum of factor × metres."""
        low = sum(share * use.metres.low * use.factor.low for use in self.uses)
        return Span(low, sum(_times(_times(share, use.metres.high), use.factor.high) for use in self.uses))

    def leaves(self, cord_share: float = 1.0) -> Leaves:
        """Return the longest link that each clause leaves, with each cord cut to a share of its length."""
        cords_m = self.cords_m(cord_share)
        channel = Span(self.channel.value - cords_m.high, self.channel.value - cords_m.low)
        link = Span(self.link.value, self.link.value)
        if not self.has_equation:
            return Leaves(link, channel, None, None)
        use = self.use_m(cord_share)
        worst_c, best_c = self.celsius.high, self.celsius.low
        worst_screen, best_screen = self.screened[0], self.screened[-1]
        if self.cells is None:
            cords = Span(_tia_beside_cords_m(use.high), _tia_beside_cords_m(use.low))
            heat = Span(
                lengths.tia_horizontal_limit_m(worst_c, worst_screen),
                lengths.tia_horizontal_limit_m(best_c, best_screen),
            )
        else:
            worst, best = self.cells
            cords = Span(_iso_m(worst, use.high, _RATING_C, True), _iso_m(best, use.low, _RATING_C, True))
            heat = Span(
                _iso_m(worst, use.high, worst_c, worst_screen), _iso_m(best, use.low, best_c, best_screen)
            )
        return Leaves(link, channel, cords, heat)

    def cords_together_m(self, link_m: float, *, heat: bool) -> float:
        """Return how long all cords may be together beside a link, the unknown ones as thin as can be.

        Negative where the cords whose length is known are already too long for it.
        """
        known = [use for use in self.uses if use.metres.known]
        thinnest = max((use.factor.high for use in self.uses if not use.metres.known), default=1.0)
        left_m = self._use_allowed_m(link_m, heat=heat) - sum(
            use.metres.high * use.factor.high for use in known
        )
        return sum(use.metres.high for use in known) + left_m / thinnest if left_m >= 0 else left_m

    def thinnest_cords(self, link_m: float) -> str:
        """Return what cords of unknown kind may be: a gauge and thicker, else solid; empty where none."""
        allowed_m = self._use_allowed_m(link_m, heat=False)

        def holds(factor: float) -> bool:
            factors = (
                use.factor.high if use.factor.known else max(factor, use.factor.low) for use in self.uses
            )
            return (
                at_most(sum(use.metres.high * one for use, one in zip(self.uses, factors)), allowed_m)
                == "pass"
            )

        if self.cells is None:
            gauges = [gauge for gauge, record in CORD_DERATINGS.items() if holds(1.0 + record.value)]
            if gauges:
                return f"{max(gauges)} AWG or thicker"
        return "solid" if holds(1.0) else ""

    def _use_allowed_m(self, link_m: float, *, heat: bool) -> float:
        """Return the metres of link that cords may stand for beside a link, at the worst that is not known.

        TIA: 102 m − H. ISO/IEC: K − margin − H / (1 − s); s is 0 unless ``heat`` is asked for.
        """
        if self.cells is None:
            return lengths.tia_cord_allowance_m(link_m)
        share = lengths.iso_temperature_share(self.celsius.high, self.screened[0]) if heat else 0.0
        return max(0.0, base_m(self.cells[0]) - link_m / (1.0 - share))

    def hottest_celsius(self, link_m: float) -> float | None:
        """Return the mean temperature up to which a link is short enough, the rest at its worst."""
        if self.cells is None:
            return lengths.tia_hottest_celsius(link_m, self.screened[0])
        use = self.use_m().high
        if math.isinf(use):
            return None
        category_class, model = self.cells[0]
        return lengths.iso_hottest_celsius(
            link_m,
            category_class,
            model,
            cords_m=use,
            cord_ratio=1.0,
            cp_cable_m=0.0,
            cp_ratio=1.0,
            screened=self.screened[0],
        )

    def cords_working(self, end: End) -> str:
        """Return the sum that gives the link beside the cords, with this run's numbers."""
        return f"{self._left_words(end)} − {self._use_words(end)}"

    def heat_working(self, end: End) -> str:
        """Return the sum that gives the link at the mean temperature, with this run's numbers."""
        celsius = self.celsius.high if end == "worst" else self.celsius.low
        screened = self.screened[0] if end == "worst" else self.screened[-1]
        if self.cells is None:
            return _tia_heat_words(celsius, screened)
        return f"({self.cords_working(end)}) × ({_share_words(celsius, screened)})"

    def _left_words(self, end: End) -> str:
        if self.cells is None:
            return f"{_n(cabling_derating.EXTENDED_CORD_SUM_TIA.value)} m"
        equation = lengths.iso_horizontal_equation(*self.cells[0 if end == "worst" else 1])
        margin = f" − {_n(equation.allowance_m)} m" if equation.allowance_m else ""
        return f"{_n(equation.constant_m)} m{margin}"

    def _use_words(self, end: End) -> str:
        terms = []
        for use in self.uses:
            metres = use.metres.high if end == "worst" else use.metres.low
            factor = use.factor.high if end == "worst" else use.factor.low
            if metres:
                terms.append(f"{_n(factor)} × {'unknown' if math.isinf(metres) else f'{_n(metres)} m'}")
        joined = " + ".join(terms) or "0 m"
        return f"({joined})" if len(terms) > 1 else joined


class RunChannel(NamedTuple):
    """The channel of a run.

    Attributes:
        run: which.
        metres: its lengths.
        celsius: the mean temperature of its cable, the rise of its bundles included.
        families: what each family of texts that applies says; both where no region is stated.
        leaves: the longest link that the clauses of each family leave.
        surely: by clause, the link up to which it holds in every family, whatever is not known turns out to be.
        has_equation: whether any family has a sum for cords and a length by temperature for this category.
        has_thin_cords: whether a cord is thinner than the texts have a de-rating for.
        link_missing, cords_missing: which lengths are not known.
        link_rests_on, cords_rest_on: what the lengths rest on.
    """

    run: Run
    metres: RunMetres
    celsius: Ambient
    families: tuple[FamilyChannel, ...]
    leaves: tuple[Leaves, ...]
    surely: Mapping[ClauseName, float]
    has_equation: bool
    has_thin_cords: bool
    link_missing: tuple[Path, ...]
    cords_missing: tuple[Path, ...]
    link_rests_on: tuple[Path, ...]
    cords_rest_on: tuple[Path, ...]

    def read(self, value: Span) -> Span:
        """Return a length that holds the link with a measured link as it was read."""
        if not self.metres.measured:
            return value
        reading = min(self.metres.link_written or 0.0, value.high)
        return Span(reading, reading)

    def holds(self, name: ClauseName) -> bool:
        """Return whether a clause holds in every family that has it; a measured link is taken as it was read."""
        metres = self.metres
        link_m = (
            metres.link.high if metres.link_written is None or not metres.measured else metres.link_written
        )
        if link_m <= self.surely[name]:
            return True
        position = Leaves._fields.index(name)
        for family, left in zip(self.families, self.leaves):
            limit = left[position]
            value = min(link_m, family.link.value) if name == "cords" else link_m
            if limit is not None and value > limit.low and at_most(value, limit) != "pass":
                return False
        return True

    def clauses(self, name: ClauseName) -> tuple[Clause, ...]:
        """Return what the families that have a say in something leave to the link."""
        position = Leaves._fields.index(name)
        limits = [left[position] for left in self.leaves]
        return tuple(
            self._clause(name, family, limit)
            for family, limit in zip(self.families, limits)
            if limit is not None
        )

    def _clause(self, name: ClauseName, family: FamilyChannel, limit: Span) -> Clause:
        link = self.metres.link
        missing, rests_on = self.link_missing, self.link_rests_on
        if name == "link":
            return Clause(family, link, limit, family.link, missing, rests_on)
        with_cords = (*missing, *self.cords_missing), (*rests_on, *self.cords_rest_on)
        if name == "channel":
            return Clause(family, link, limit, family.channel, *with_cords)
        if name == "cords":
            # Beyond its limit it is the link that is too long: cords are judged beside a link at the limit.
            capped = Span(min(link.low, family.link.value), min(link.high, family.link.value))
            missing, rests_on = with_cords
            missing, rests_on = (*missing, *family.cords_missing), (*rests_on, *family.cords_rest_on)
            return Clause(family, capped, limit, family.cords_limit, missing, rests_on)
        if family.cells is not None:
            missing, rests_on = with_cords
        missing, rests_on = (*missing, *family.heat_missing), (*rests_on, *family.heat_rest_on)
        return Clause(family, link, limit, family.heat_limit, missing, rests_on)

    def longest_link_m(self, name: ClauseName, cord_share: float = 1.0) -> float:
        """Return the longest link that passes a clause and fails no other, each cord cut to a share."""
        longest = math.inf
        for family in self.families:
            for other, span in zip(Leaves._fields, family.leaves(cord_share)):
                if span is not None:
                    longest = min(longest, span.low if other == name else span.high)
        return longest

    def longest_cords_share(self, name: ClauseName) -> float | None:
        """Return to which share all cords must be cut so that a clause passes and none fails; None: to none.

        Found by halving: what a share leaves to the link only grows as the share falls.
        """
        link_m = self.read(self.metres.link).high
        if not self.metres.cords.known or link_m > self.longest_link_m(name, 0.0):
            return None
        holds, too_much = 0.0, 1.0
        for _ in range(40):
            middle = (holds + too_much) / 2
            if link_m <= self.longest_link_m(name, middle):
                holds = middle
            else:
                too_much = middle
        return holds


# -- lengths -------------------------------------------------------------------------------------------------


@cache
def base_m(cell: Cell) -> float:
    """Return constant less margin of a cell of the table of equations: the link without any cords."""
    equation = lengths.iso_horizontal_equation(*cell)
    return equation.constant_m - equation.allowance_m


def _iso_m(cell: Cell, use_m: float, celsius: float, screened: bool) -> float:
    if math.isinf(use_m):
        return 0.0
    category_class, model = cell
    return lengths.iso_horizontal_limit_m(
        category_class,
        model,
        cords_m=use_m,
        cord_ratio=1.0,
        cp_cable_m=0.0,
        cp_ratio=1.0,
        celsius=celsius,
        screened=screened,
    )


def _tia_beside_cords_m(use_m: float) -> float:
    return max(0.0, cabling_derating.EXTENDED_CORD_SUM_TIA.value - use_m)


# -- words ---------------------------------------------------------------------------------------------------


def _tia_heat_words(celsius: float, screened: bool) -> str:
    """Return the interpolation between two rows of the printed table."""
    rows = cabling_derating.HORIZONTAL_BY_TEMPERATURE_TIA.rows
    column = 2 if screened else 1
    for low, high in pairwise(rows):
        if celsius <= high[0]:
            share = f"({_n(celsius)} − {_n(low[0])}) / {_n(high[0] - low[0])}"
            return f"{_n(low[column])} m − {share} × {_n(low[column] - high[column])} m"
    return f"{_n(rows[-1][column])} m"


def _share_words(celsius: float, screened: bool) -> str:
    """Return 1 less the share that heat takes off, written out."""
    step = cabling_derating.STEEPER_ABOVE_CELSIUS.value
    warm, hot = max(0.0, celsius - _RATING_C), 0.0
    if not screened:
        hot = max(0.0, celsius - step)
        warm -= hot
    rate = (
        cabling_derating.LENGTH_LOST_SCREENED_ISO
        if screened
        else cabling_derating.LENGTH_LOST_UNSCREENED_WARM_ISO
    )
    words = f"1 − {_n(rate.value, 3)} × {_n(warm)}"
    if hot:
        words += f" − {_n(cabling_derating.LENGTH_LOST_UNSCREENED_HOT_ISO.value, 3)} × {_n(hot)}"
    return words


def _n(number: float, digits: int = 2) -> str:
    return f"{round(number, digits):g}"


def _times(share: float, metres: float) -> float:
    return 0.0 if share == 0 else share * metres
