"""An installation with its analyses: what a rule is handed."""

import math
from datetime import date
from functools import cached_property

from riserlint.analysis import ambient
from riserlint.analysis.ambient import Ambient
from riserlint.analysis.channel import RunChannel
from riserlint.analysis.channels import Channels
from riserlint.analysis.continuity import Continuity
from riserlint.analysis.headroom import Headroom
from riserlint.analysis.heat import Heat
from riserlint.analysis.metres import RunMetres, run_metres
from riserlint.analysis.needs import Needs
from riserlint.analysis.outage import Outage
from riserlint.analysis.power import Ground, Power
from riserlint.analysis.reach import Reach
from riserlint.analysis.ups_load import UpsLoads
from riserlint.analysis.vlan_spread import VlanSpread
from riserlint.design.models import Region
from riserlint.design.paths import Path
from riserlint.design.reading import Design
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, InlineGear, Run
from riserlint.standards.heat import LEAST_RATED_C

#: So many kelvin above their rating are conductors tried where the rating does not bound them.
_TRIED_ABOVE_RATING_K = (20.0, 60.0)


class Built(Installation):
    """An installation whose analyses are computed once each, when a rule first asks.

    ``today`` is the day of the review (for the age of batteries); None where nobody says it.
    """

    def __init__(self, design: Design, today: date | None = None) -> None:
        """Resolve a design."""
        super().__init__(design)
        self.today = today

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
    def _ground(self) -> Ground:
        return Ground(self.metres)

    @cached_property
    def power(self) -> Power:
        """Power over every run, with the conductors' temperature bounded by the heat of their bundles."""
        return Power(self, self._ground, self._conductor_celsius)

    @cached_property
    def heat(self) -> Heat:
        """The heat of every bundle, with the currents of :attr:`power`."""
        return Heat(self, self.power, self._first_heat.unbounded if self.bundles else frozenset())

    @cached_property
    def headroom(self) -> Headroom:
        """What ports, budgets, supplies and inlets can give against what is asked of them."""
        return Headroom(self.power, self._first_heat.unbounded if self.bundles else frozenset())

    @cached_property
    def continuity(self) -> Continuity:
        """What every piece of gear hangs on when the mains fail."""
        return Continuity(self, self.power)

    @cached_property
    def needs(self) -> Needs:
        """What gear needs to be useful, and whether it reaches that over gear that is backed."""
        return Needs(self, self.continuity)

    @cached_property
    def outage(self) -> Outage:
        """What the UPSs carry while the mains are off, and for how long."""
        return Outage(
            self, UpsLoads(self, self.power, self.continuity), self.continuity, self.needs, self.today
        )

    @cached_property
    def reach(self) -> Reach:
        """Who can talk to whom, by VLANs and by routes."""
        return Reach(self)

    @cached_property
    def vlan_spread(self) -> VlanSpread:
        """Which links each VLAN has to cross for its users, and what those links do with it."""
        return VlanSpread(self.reach)

    def hottest(self, run: Run) -> Ambient:
        """Return the hottest ambient that a run passes."""
        return ambient.hottest(self, run)

    def mean_celsius(self, run: Run) -> Ambient:
        """Return the mean temperature of a run's cable, the rise of its bundles included.

        The upper end is infinite where it is not known whether it lies in a bundle, or how warm that gets.
        """
        rises = self.heat.rises_of(run)
        found = ambient.mean(self, run, rises)
        missing, rests_on, high = list(found.missing), list(found.rests_on), found.celsius.high
        for index, segment in enumerate(run.segments):
            name = segment.bundle.value
            if name is None:
                missing.append(segment.bundle.at)
                high = math.inf
            elif index in rises:
                state = self.heat.bundles[name]
                rests_on.extend(state.rests_on)
                if not rises[index].known:
                    missing.extend(state.missing)
        if len(missing) == len(found.missing) and len(rests_on) == len(found.rests_on):
            return found
        return Ambient(
            Span(found.celsius.low, high), tuple(dict.fromkeys(missing)), tuple(dict.fromkeys(rests_on))
        )

    @cached_property
    def _channels(self) -> tuple[Channels, dict[str, RunChannel]]:
        return Channels(self, self.region, self.metres, self.mean_celsius), {}

    def channel(self, run: Run) -> RunChannel:
        """Return the channel of a run: what each family of texts that applies leaves to its link."""
        channels, found = self._channels
        channel = found.get(run.id)
        if channel is None:
            channel = found[run.id] = channels.of(run)
        return channel

    # -- the bound on temperature ---------------------------------------------------------------------------

    @cached_property
    def _first_heat(self) -> Heat:
        """The heat with currents at the rating, an upper bound for every run that stays at or below it.

        A run that gets hotter is tried at higher temperatures. What is still hotter then has no bound, nor
        has what its current reaches: the bundles that it lies in, the runs in those, the feeds above them.
        """
        raised: dict[str, float] = {}
        for above_k in (*_TRIED_ABOVE_RATING_K, None):
            power = Power(self, self._ground, lambda run: self._celsius_at_ceiling(run, raised))
            heat = Heat(self, power)
            hotter = [
                run for run in self.runs.values() if run.feed is not None and self._hotter(heat, run, raised)
            ]
            if not hotter:
                return heat
            if above_k is not None:
                raised.update((run.id, above_k) for run in hotter)
        return Heat(self, power, self._reached_by(hotter))

    def _ceiling(self, run: Run, low_c: float, raised: dict[str, float]) -> float:
        """Return what a run's conductors are taken for: the rating of its cable, or more where raised.

        Of a run of which the temperature is not known no conductor is taken hotter than that: where it is,
        that is a finding of its own.
        """
        return max(self._rating_guess(run), low_c) + raised.get(run.id, 0.0)

    def _rating_guess(self, run: Run) -> float:
        """Return the rating of a run's cable, or where it is not known the lowest on sale."""
        rated = None if run.cable is None else run.cable.value("rated_c").value
        return LEAST_RATED_C.value if rated is None else float(rated)

    def _celsius_at_ceiling(self, run: Run, raised: dict[str, float]) -> tuple[Span, tuple[Path, ...]]:
        found = ambient.mean(self, run)
        in_bundle = any(segment.bundle.value != "none" for segment in run.segments)
        high = found.celsius.high
        if in_bundle or math.isinf(high):
            high = self._ceiling(run, found.celsius.low, raised)
        return Span(found.celsius.low, high), found.missing

    def _hotter(self, heat: Heat, run: Run, raised: dict[str, float]) -> bool:
        """Return whether a run gets hotter, by what is known, than its conductors were taken for."""
        rises = heat.rises_of(run)
        if not rises:
            return False
        found = ambient.mean(self, run, rises).celsius
        if math.isfinite(found.high):
            if found.high <= self._rating_guess(run):
                return False
            return found.high > self._ceiling(run, ambient.mean(self, run).celsius.low, raised)
        return any(heat.bundles[str(run.segments[index].bundle.value)].runaway for index in rises)

    def _reached_by(self, hotter: list[Run]) -> frozenset[str]:
        """Return the bundles to which the currents of some runs reach."""
        bundles: set[str] = set()
        seen = {run.id for run in hotter}
        queue = list(hotter)
        while queue:
            run = queue.pop()
            reached = [] if run.feed is None or run.feed.source is None else self._feeds_of(run.feed.source)
            for segment in run.segments:
                name = segment.bundle.value or ""
                if name in self.bundles and name not in bundles:
                    bundles.add(name)
                    reached.extend(member.run for member in self.bundles[name].members)
            for other in reached:
                if other.id not in seen and other.feed is not None:
                    seen.add(other.id)
                    queue.append(other)
        return frozenset(bundles)

    @staticmethod
    def _feeds_of(source: Gear | InlineGear) -> list[Run]:
        return [feed.run for feed in source.feeds_in] if isinstance(source, Gear) else []

    def _conductor_celsius(self, run: Run) -> tuple[Span, tuple[Path, ...]]:
        bundled = any(segment.bundle.value in self.bundles for segment in run.segments)
        rises = self._first_heat.rises_of(run) if bundled else {}
        found = ambient.mean(self, run, rises)
        missing = list(found.missing)
        unknown = [segment.bundle.at for segment in run.segments if segment.bundle.value is None]
        for index in rises:
            state = self._first_heat.bundles[str(run.segments[index].bundle.value)]
            if not state.bounded:
                missing.extend(state.missing)
        missing.extend(unknown)
        low, high = found.celsius
        endless = any(str(run.segments[index].bundle.value) in self._first_heat.unbounded for index in rises)
        if unknown or (math.isinf(high) and not endless):
            bound = self._ceiling(run, low, {})
            high = bound if math.isinf(high) else max(high, bound)
        return Span(low, high), tuple(missing)
