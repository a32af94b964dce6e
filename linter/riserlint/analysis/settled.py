"""The power and the heat of an installation, settled with each other.

Current heats a bundle, heat raises the resistance of its cables, and that raises the current of loads of constant
power. Every step of that loop grows with the one before, so it is solved by rounds between bounds: conductors
taken too hot give currents too high and bundles too hot. Where those are no hotter than what was taken, the
truth is not either, and each further round with what the last one gave lowers the bound, down to the fixed point.
Where the rating of the cables is no such bound, rounds from the ambient up find the fixed point from below, and a
round from a little above it makes sure; if they pass what the model holds for, there is no stable state. The lower
ends, from currents at ambient, rise round by round in the same way.
"""

import math

from riserlint.analysis import ambient
from riserlint.analysis.heat import Heat
from riserlint.analysis.power import Ground, Power
from riserlint.design.paths import Path
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, InlineGear, Run
from riserlint.standards.heat import LEAST_RATED_C

#: Rounds end where no bundle's bound moves by more than this, in kelvin: 0.02 % of a resistance.
ENOUGH_K = 0.05
#: Rounds that are made at most, in each direction; the loop's slope is below 1, mostly below 0.1.
_MOST_ROUNDS = 60
#: From below a fixed point is found to this; it is then held against a start as much above it.
_FROM_BELOW_K = 1e-3


class Settled:
    """Power and heat that agree: ``power``, ``heat``, the case solved, the bundles without a bound, the rounds.

    Of each round ``rounds`` holds by how many kelvin the upper bound of the bundle that moved most came down.

    ``unbounded`` are bundles of which no temperature can be told, though all that bounds it is known: there is no
    stable state, or their currents hang on one that has none.
    """

    def __init__(
        self, installation: Installation, ground: Ground, enough_k: float = ENOUGH_K, *, staged: bool = False
    ) -> None:
        """Solve; rounds end where no bound moves by more than ``enough_k`` kelvin.

        ``staged``: some source states how it starts its ports, so that what runs is solved with it.
        """
        self.case = ground.case
        self._staged = staged
        self._installation = installation
        self._ground = ground
        self.rounds: list[float] = []
        self.unbounded: frozenset[str] = frozenset()
        self._taken: Heat | None = None
        if not installation.bundles:
            self.power = self._powered(None)
            self.heat = Heat(installation, self.power)
            return
        self._taken = self._first()
        for _ in range(_MOST_ROUNDS):
            self.power = self._powered(self._taken)
            self.heat = Heat(installation, self.power, self.unbounded)
            change_k = _fallen(self._taken, self.heat)
            self.rounds.append(change_k)
            if change_k <= enough_k:
                break
            self._taken = self.heat

    def conductor_celsius(self, run: Run) -> Span:
        """Return the mean temperature of a run's conductors that its power was solved with."""
        return self.temperature_of(run)[0]

    def temperature_of(self, run: Run) -> tuple[Span, tuple[Path, ...]]:
        """Return the same with what is missing for it."""
        return self._celsius(run, self._taken)

    def _powered(self, heat: Heat | None) -> Power:
        def celsius(run: Run) -> tuple[Span, tuple[Path, ...]]:
            return self._celsius(run, heat)

        running = Power(self._installation, self._ground.running(), celsius) if self._staged else None
        return Power(self._installation, self._ground, celsius, running)

    # -- the first bound --------------------------------------------------------------------------------------

    def _first(self) -> Heat:
        """Return the heat with currents at a temperature that nothing exceeds, the bundles without one apart."""
        power = Power(self._installation, self._ground, lambda run: self._at_ceiling(run, {}))
        heat = Heat(self._installation, power)
        hotter = [run for run in self._installation.runs.values() if self._hotter(heat, run, {})]
        if not hotter:
            return heat
        taken = self._from_below(hotter)
        power = Power(self._installation, self._ground, lambda run: self._at_ceiling(run, taken))
        heat = Heat(self._installation, power)
        hotter = [run for run in self._installation.runs.values() if self._hotter(heat, run, taken)]
        if hotter:
            self.unbounded = self._reached_by(hotter)
            heat = Heat(self._installation, power, self.unbounded)
        return heat

    def _from_below(self, hotter: list[Run]) -> dict[str, float]:
        """Return the temperatures, a little more than the fixed point, of the runs that the rating does not bound.

        Runs without a stable state keep what they had when they passed what the model holds for.
        """
        reached = self._reached_by(hotter)
        runs = [
            run
            for run in self._installation.runs.values()
            if run.feed is not None and any(segment.bundle.value in reached for segment in run.segments)
        ]
        taken = {run.id: ambient.mean(self._installation, run).celsius.low for run in runs}
        for _ in range(_MOST_ROUNDS):
            power = Power(self._installation, self._ground, lambda run: self._at_ceiling(run, taken))
            heat = Heat(self._installation, power)
            change_k = 0.0
            for run in runs:
                found = ambient.mean(self._installation, run, heat.rises_of(run)).celsius.high
                if math.isfinite(found) and found > taken[run.id]:
                    change_k = max(change_k, found - taken[run.id])
                    taken[run.id] = found
            if change_k <= _FROM_BELOW_K:
                break
        return {run: celsius + 2 * _FROM_BELOW_K for run, celsius in taken.items()}

    def _rating(self, run: Run) -> float:
        """Return the rating of a run's cable, or where it is not known the lowest on sale."""
        rated = None if run.cable is None else run.cable.value("rated_c").value
        return LEAST_RATED_C.value if rated is None else float(rated)

    def _ceiling(self, run: Run, low_c: float, taken: dict[str, float]) -> float:
        """Return what a run's conductors are taken for: the rating of its cable, or what was found for it.

        Of a run of which the temperature is not known no conductor is taken hotter than that: where it is,
        that is a finding of its own.
        """
        return max(taken.get(run.id, self._rating(run)), low_c)

    def _at_ceiling(self, run: Run, taken: dict[str, float]) -> tuple[Span, tuple[Path, ...]]:
        found = ambient.mean(self._installation, run)
        in_bundle = any(segment.bundle.value != "none" for segment in run.segments)
        high = found.celsius.high
        if in_bundle or math.isinf(high):
            high = self._ceiling(run, found.celsius.low, taken)
        return Span(found.celsius.low, high), found.missing

    def _hotter(self, heat: Heat, run: Run, taken: dict[str, float]) -> bool:
        """Return whether a run gets hotter, by what is known, than its conductors were taken for."""
        if run.feed is None:
            return False
        rises = heat.rises_of(run)
        if not rises:
            return False
        found = ambient.mean(self._installation, run, rises).celsius
        if math.isfinite(found.high):
            if run.id not in taken and found.high <= self._rating(run):
                return False
            return found.high > self._ceiling(run, ambient.mean(self._installation, run).celsius.low, taken)
        return any(heat.bundles[str(run.segments[index].bundle.value)].runaway for index in rises)

    def _reached_by(self, hotter: list[Run]) -> frozenset[str]:
        """Return the bundles to which the currents of some runs reach."""
        bundles: set[str] = set()
        seen = {run.id for run in hotter}
        queue = list(hotter)
        while queue:
            run = queue.pop()
            reached = [] if run.feed is None or run.feed.source is None else _runs_to(run.feed.source)
            for segment in run.segments:
                name = segment.bundle.value or ""
                if name in self._installation.bundles and name not in bundles:
                    bundles.add(name)
                    reached.extend(member.run for member in self._installation.bundles[name].members)
            for other in reached:
                if other.id not in seen and other.feed is not None:
                    seen.add(other.id)
                    queue.append(other)
        return frozenset(bundles)

    # -- further rounds ---------------------------------------------------------------------------------------

    def _celsius(self, run: Run, heat: Heat | None) -> tuple[Span, tuple[Path, ...]]:
        """Return the mean temperature of a run's conductors by the heat of the last round, and what is missing."""
        rises = {} if heat is None else heat.rises_of(run)
        found = ambient.mean(self._installation, run, rises)
        missing = list(found.missing)
        unknown = [segment.bundle.at for segment in run.segments if segment.bundle.value is None]
        endless = False
        for index in rises:
            name = str(run.segments[index].bundle.value)
            state = None if heat is None else heat.bundles[name]
            if state is not None and not state.bounded:
                missing.extend(state.missing)
            endless = endless or name in self.unbounded
        missing.extend(unknown)
        low, high = found.celsius
        if unknown or (math.isinf(high) and not endless):
            bound = self._ceiling(run, low, {})
            high = bound if math.isinf(high) else max(high, bound)
        return Span(low, high), tuple(missing)


def _fallen(before: Heat, after: Heat) -> float:
    """Return by how much the upper bound, or up to the lower one, of some bundle moved at most, in kelvin."""
    most = 0.0
    for name, state in after.bundles.items():
        old, new = before.bundles[name].celsius, state.celsius
        if math.isfinite(old.high) and math.isfinite(new.high):
            most = max(most, old.high - new.high)
        if math.isfinite(old.low) and math.isfinite(new.low):
            most = max(most, new.low - old.low)
    return most


def _runs_to(source: Gear | InlineGear) -> list[Run]:
    return [feed.run for feed in source.feeds_in] if isinstance(source, Gear) else []
