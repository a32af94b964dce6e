"""An installation with its analyses: what a rule is handed."""

import math
from functools import cached_property

from riserlint.analysis import ambient
from riserlint.analysis.ambient import Ambient
from riserlint.analysis.heat import Heat
from riserlint.analysis.metres import RunMetres, run_metres
from riserlint.analysis.power import Power
from riserlint.design.models import Region
from riserlint.design.paths import Path
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Run
from riserlint.standards.heat import LEAST_RATED_C


class Built(Installation):
    """An installation whose analyses are computed once each, when a rule first asks."""

    @cached_property
    def region(self) -> Region | None:
        """The family of texts that applies: the design's, else the basis's, else unknown."""
        return self.design.model.design.region or self.design.basis.model.basis.region

    @cached_property
    def _metres(self) -> dict[str, RunMetres]:
        return {}

    def metres(self, run: Run) -> RunMetres:
        """Return the lengths of a run."""
        found = self._metres.get(run.id)
        if found is None:
            found = self._metres[run.id] = run_metres(self, run)
        return found

    @cached_property
    def power(self) -> Power:
        """Power over every run, with the conductors' temperature bounded by the heat of their bundles."""
        return Power(self, self.metres, self._conductor_celsius)

    @cached_property
    def heat(self) -> Heat:
        """The heat of every bundle, with the currents of :attr:`power`."""
        return Heat(self, self.power) if self.bundles else self._first_heat

    def hottest(self, run: Run) -> Ambient:
        """Return the hottest ambient that a run passes."""
        return ambient.hottest(self, run)

    def mean_celsius(self, run: Run) -> Ambient:
        """Return the mean temperature of a run's cable, the rise of its bundles included."""
        return ambient.mean(self, run, self.heat.rises_of(run))

    # -- the bound on temperature ---------------------------------------------------------------------------

    @cached_property
    def _first_heat(self) -> Heat:
        """The heat with currents at the rating: an upper bound where it stays at or below the rating."""
        first = Power(self, self.metres, self._celsius_at_rating)
        heat = Heat(self, first)
        for name, state in heat.bundles.items():
            guess = min((self._rating_guess(run) for run in state.live), default=math.inf)
            if state.worst is not None and state.worst.temperature_c > guess:
                heat.bundles[name] = state._replace(bounded=False)
        return heat

    def _rating_guess(self, run: Run) -> float:
        """Return the rating of a run's cable, or the lowest on sale: no conductor is taken hotter than that."""
        rated = None if run.cable is None else run.cable.value("rated_c").value
        return LEAST_RATED_C.value if rated is None else float(rated)

    def _celsius_at_rating(self, run: Run) -> tuple[Span, tuple[Path, ...]]:
        found = ambient.mean(self, run)
        in_bundle = any(segment.bundle.value != "none" for segment in run.segments)
        high = found.celsius.high
        if in_bundle or math.isinf(high):
            high = max(self._rating_guess(run), found.celsius.low)
        return Span(found.celsius.low, high), found.missing

    def _conductor_celsius(self, run: Run) -> tuple[Span, tuple[Path, ...]]:
        found = ambient.mean(self, run, self._first_heat.rises_of(run))
        missing = found.missing
        high = found.celsius.high
        unknown = [segment.bundle.at for segment in run.segments if segment.bundle.value is None]
        for segment in run.segments:
            state = self._first_heat.bundles.get(segment.bundle.value or "")
            if state is not None and not state.bounded and state.live:
                missing = (*missing, *state.missing)
        if unknown or (math.isinf(high) and found.missing):
            missing = (*missing, *unknown)
            bound = max(self._rating_guess(run), found.celsius.low)
            high = bound if math.isinf(high) else max(high, bound)
        return Span(found.celsius.low, high), missing
