"""What ports and inlets can give against what is asked of them, up the cascade, and who runs out first."""

import math
from typing import NamedTuple

from riserlint.analysis.loads import coupled_by
from riserlint.analysis.power import FeedPower, InletPower, Power, SourcePower, summed_up
from riserlint.analysis.supplies import Limited, budget_of, group_budget, group_of
from riserlint.design.paths import Path
from riserlint.engineering.loss import solve_link
from riserlint.engineering.span import Span, Verdict, at_most
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, InlineGear, PortGroup
from riserlint.standards import poe

_PORT_W = {pd_class: poe.pse_watts(pd_class) for pd_class in poe.PD_CLASSES}
_NOT_BELOW = "a run below it cannot carry its load"
_IN_LOOP = "power feeds itself"


class InletHeadroom(NamedTuple):
    """An inlet judged: by what its ports draw, by what its switch promises them, and both.

    ``asked_w`` is the sum that decides; ``missing`` what is not known.
    """

    draw: Verdict
    promise: Verdict
    verdict: Verdict
    asked_w: Span
    missing: tuple[Path, ...]


class Headroom:
    """The limits of an installation whose power is solved; everything is computed when it is asked for."""

    def __init__(self, installation: Installation, power: Power, unbounded: frozenset[str]) -> None:
        """Keep the solution of the power, and the bundles whose heat sets no bound on its resistances."""
        self._installation = installation
        self._power = power
        self._unbounded = unbounded
        self._looped = frozenset(gear.id for loop in power.loops for gear in loop)
        self._first: dict[str, tuple[InletPower, ...]] = {}

    # -- what a check does not apply to -----------------------------------------------------------------

    def no_load(self, power: FeedPower) -> str:
        """Return why what is carried over a run is not judged, or an empty text: its load is at fault, not the run."""
        inlet = self._power.inlets.get(power.feed.load.id)
        if power.feed.load.id in self._looped:
            return _IN_LOOP
        if power.grant.refused:
            return "the port gives it no power"
        if power.unfed:
            return "what feeds it gets no power"
        if math.isinf(power.load_w.low):
            return _NOT_BELOW
        if inlet is not None and inlet.feed is power.feed and self.short(inlet):
            return "its inlet is short already"
        if inlet is None and power.load_w.low > power.grant.device_w.high:
            return "the device draws more than its class lets it"
        return ""

    def no_port(self, power: FeedPower) -> str:
        """Return why there is nothing to judge at a port, or an empty text."""
        why = self.no_load(power)
        if why:
            return why
        if power.best is None:
            return "its load, or one below, is off, which is judged as a voltage"
        if power.worst is not None and math.isinf(self.port(power).watts.high):
            return "a passive source has no class, and the port has no cap"
        return ""

    def no_budget(self, source: SourcePower) -> str:
        """Return why there is nothing to judge at a source, or an empty text."""
        limit = self.budget(source.gear)
        if math.isinf(limit.watts.low):
            return "it has no budget of its own"
        if not isinstance(source.gear, Gear) and math.isinf(limit.watts.high):
            return "it has one port, and that has a limit of its own"
        return self.no_sum(source)

    def no_sum(self, source: SourcePower) -> str:
        """Return why the sum that a source goes by says nothing, or an empty text."""
        if source.gear.id in self._looped:
            return _IN_LOOP
        return _NOT_BELOW if math.isinf(source.enforced_w.low) else ""

    def no_inlet(self, inlet: InletPower) -> str:
        """Return why there is nothing to judge at an inlet, or an empty text."""
        gear = inlet.gear
        if gear.id in self._looped:
            return _IN_LOOP
        feed = self._power.feeds[inlet.feed.run.id]
        if feed.unfed:
            return "the port gives it no power" if feed.grant.refused else "what feeds it gets no power"
        if gear.supplies and gear.value("feed_first").value == "local":
            return "its own supply carries it"
        return _NOT_BELOW if math.isinf(inlet.asked_draw_w.low) else ""

    # -- budgets ----------------------------------------------------------------------------------------

    def budget(self, gear: Gear | InlineGear) -> Limited:
        """Return what a source has in all, at its input voltage and in its ambient."""
        return budget_of(self._installation, gear)

    def groups(self, source: SourcePower) -> tuple[tuple[PortGroup, SourcePower, Limited], ...]:
        """Return the groups of a source's ports that have a budget and loads: the sums over them, the budget."""
        gear = source.gear
        if not isinstance(gear, Gear) or not gear.groups:
            return ()
        found = []
        for group in gear.groups:
            powers = tuple(power for power in source.feeds if group_of(power.feed.port) is group)
            if powers:
                powers = tuple(self._power.feeds[power.feed.run.id] for power in powers)
                sums = summed_up(gear, powers, self._power.running, whole=False)
                found.append((group, sums, group_budget(self._installation, gear, group)))
        return tuple(found)

    def group_bears(self, power: FeedPower, extra_w: float) -> bool:
        """Return whether the group of ports that a feed's port is in has so many watts left for certain."""
        source = None if power.feed.source is None else self._power.sources.get(power.feed.source.id)
        group = None if power.feed.injector is not None else group_of(power.feed.port)
        if group is None or source is None:
            return True
        return all(
            at_most(sums.most_w + extra_w, limit.watts) == "pass"
            for found, sums, limit in self.groups(source)
            if found is group
        )

    # -- limits -----------------------------------------------------------------------------------------

    def port(self, power: FeedPower) -> Limited:
        """Return the watts that a port must give: those of the assigned class, or its cap where that is less.

        In a source that reserves by cap the cap alone counts. A passive source has no class: without a cap
        its port has no stated limit.
        """
        feed, grant = power.feed, power.grant
        end = "from" if feed.run.to_port is not None and feed.run.to_port.gear is feed.load else "to"
        at: Path = (*feed.run.at, end)
        cap = None if feed.port is None or feed.injector is not None else feed.port.value("cap_w")
        mode = None if feed.source is None else feed.source.value("pse", "reserves").value
        if cap is not None and cap.value is not None and (mode == "cap" or grant.scheme == "passive"):
            return Limited(Span(cap.value, cap.value), cap.at, "its cap", (), (cap.at,))
        if grant.scheme == "passive":
            return Limited(Span(0.0, math.inf), at, "a passive source", (), ())
        watts = grant.reserved_w
        words = "the class that is not known"
        if grant.assigned is not None:
            watts = Span(_PORT_W[grant.assigned], _PORT_W[grant.assigned])
            words = f"class {grant.assigned}"
        elif grant.dual:
            words = "a device of two signatures"
        if cap is not None and cap.value is not None and cap.value < watts.high:
            return Limited(
                Span(min(cap.value, watts.low), cap.value), cap.at, "its cap", grant.missing, (cap.at,)
            )
        return Limited(watts, at, words, grant.missing, ())

    @staticmethod
    def port_holds(power: FeedPower) -> bool:
        """Return whether a port without a cap gives what is asked at most: the plain case, told quickly."""
        port, assigned = power.feed.port, power.grant.assigned
        if assigned is None or (port is not None and port.value("cap_w").value is not None):
            return False
        return power.source_w.high <= _PORT_W[assigned]

    def inlet(self, inlet: InletPower) -> InletHeadroom:
        """Judge an inlet; where another feed may carry the switch, a shortfall is not certain."""
        gear = inlet.gear
        source = self._power.sources.get(gear.id)
        draw = at_most(inlet.asked_draw_w, inlet.available_w)
        if draw != "fail" and math.isfinite(inlet.own_w.high):
            own = at_most(inlet.own_w, inlet.granted_w)
            draw = draw if own == "pass" else own
        promise: Verdict = "pass" if source is None else at_most(source.enforced_w, inlet.available_w)
        asked = inlet.asked_draw_w
        if source is not None and draw != "fail":
            asked = Span(max(asked.low, source.enforced_w.low), max(asked.high, source.enforced_w.high))
        missing = [*inlet.missing, *self._power.feeds[inlet.feed.run.id].grant.missing]
        if source is not None:
            missing.extend(source.missing)
        verdict: Verdict = (
            "fail" if "fail" in (draw, promise) else "open" if "open" in (draw, promise) else "pass"
        )
        if verdict != "pass":
            first = gear.value("feed_first")
            if gear.supplies and first.value is None:
                verdict = "open"
                missing.append(first.at)
            coupled = coupled_by(gear) if inlet.coupled else None
            if coupled is not None:
                missing.append(coupled)
        return InletHeadroom(draw, promise, verdict, asked, tuple(dict.fromkeys(missing)))

    def short(self, inlet: InletPower) -> bool:
        """Return whether an inlet that has to carry its switch is certain to be short."""
        return not self.no_inlet(inlet) and self.inlet(inlet).verdict == "fail"

    def class_for(self, inlet: InletPower, asked_w: float) -> tuple[int | None, float, bool]:
        """Return the lowest class that would do for an inlet, the watts it needs, and whether it can be had.

        It can where the port gives that class, the source has the budget, and the run lies in no bundle.
        """
        power = self._power.feeds[inlet.feed.run.id]
        if not inlet.efficiency.low or not math.isfinite(asked_w + inlet.own_w.high):
            return None, math.inf, False
        needed = inlet.own_w.high + asked_w / inlet.efficiency.low
        grant = power.grant
        fit = [c for c in poe.PD_CLASSES if c and poe.pd_watts(c, grant.pse_type) >= needed]
        source = power.feed.source
        above = None if source is None else self._power.sources.get(source.id)
        if not fit or above is None or grant.demoted or not isinstance(grant.port_class, int):
            return (fit[0] if fit else None), needed, False
        rise = poe.pse_watts(fit[0]) - grant.reserved_w.low
        allowed = at_most(above.most_w + rise, self.budget(above.gear).watts) == "pass"
        allowed = allowed and self.group_bears(power, rise)
        alone = all(segment.bundle.value == "none" for segment in power.feed.run.segments)
        of_root = not (isinstance(source, Gear) and source.feeds_in)
        return fit[0], needed, allowed and alone and of_root and fit[0] <= grant.port_class

    @staticmethod
    def asked_alone(source: SourcePower, gear: Gear) -> Span:
        """Return the sum that a source goes by if its feeds of one piece of gear carry all that it draws."""
        if source.gear.value("pse", "reserves").value != "measured":
            return source.enforced_w
        low = high = 0.0
        for power in source.feeds:
            watts = power.alone_w if power.feed.load is gear else power.source_w
            low, high = low + watts.low, high + watts.high
        return Span(low, high)

    # -- chains -----------------------------------------------------------------------------------------

    def chain(self, gear: Gear | InlineGear) -> tuple[Gear | InlineGear, ...]:
        """Return the chain that feeds a piece of gear, the root first and itself last."""
        above = self._power.above(gear) if isinstance(gear, Gear) else ()
        return (*reversed(above), gear)

    def chain_text(self, gear: Gear | InlineGear) -> str:
        """Return the chain for a reader: ``core/1 → gallery → attic``."""
        chain = self.chain(gear)
        names = [link.id for link in chain]
        if len(chain) > 1 and isinstance(chain[1], Gear):
            port = chain[1].feeds_in[0].port
            if port is not None and port.gear is chain[0]:
                names[0] = port.label
        return " → ".join(names)

    def first_short(self, gear: Gear | InlineGear) -> tuple[InletPower, ...]:
        """Return the inlets below gear that run out first: short, with none that is short below them."""
        found = self._first.get(gear.id)
        if found is None:
            self._first[gear.id] = ()  # a loop of power ends here
            collected: list[InletPower] = []
            for feed in gear.feeds_out:
                below = self._power.inlets.get(feed.load.id)
                if below is not None and below.feed is feed:
                    lower = self.first_short(feed.load)
                    collected.extend(lower if lower or not self.short(below) else (below,))
            found = self._first[gear.id] = tuple(collected)
        return found

    def asked_if_below_held(self, gear: Gear | InlineGear) -> float:
        """Return what gear's ports would be asked at most if all inlets below kept to their grants."""
        return sum(self._held_source_w(self._power.feeds[feed.run.id]) for feed in gear.feeds_out)

    def short_only_by_below(self, inlet: InletPower, judged: InletHeadroom) -> bool:
        """Return whether an inlet is short only because inlets below it go beyond their grants."""
        measured = inlet.gear.value("pse", "reserves").value == "measured"
        by_draw = measured or judged.promise != "fail"
        return by_draw and self.asked_if_below_held(inlet.gear) <= inlet.available_w.high

    def _held_source_w(self, power: FeedPower) -> float:
        inlet = self._power.inlets.get(power.feed.load.id)
        if inlet is None or inlet.feed is not power.feed or power.source_w.high == 0:
            return power.source_w.high
        below = self.asked_if_below_held(inlet.gear)
        asked = inlet.own_w.high
        if below:
            asked += below / inlet.efficiency.low if inlet.efficiency.low else math.inf
        watts = min(inlet.granted_w.high, asked)
        if not math.isfinite(power.ohm.high) or power.volts.low <= 0:
            return math.inf
        state = solve_link(power.volts.low, power.ohm.high, watts)
        return math.inf if state is None else state.source_w

    # -- what answers rest on ---------------------------------------------------------------------------

    def rests_on(self, powers: tuple[FeedPower, ...]) -> tuple[Path, ...]:
        """Return the values that feeds rest on, and those of all that hangs below them."""
        return tuple(
            dict.fromkeys(path for power in self._below(powers) for path in self._power.rests_on(power))
        )

    def hot_bundles(self, powers: tuple[FeedPower, ...]) -> tuple[Path, ...]:
        """Return where bundles are named whose heat sets no bound on feeds, or on those below."""
        if not self._unbounded:
            return ()
        segments = (segment for power in self._below(powers) for segment in power.feed.run.segments)
        return tuple(
            dict.fromkeys(
                segment.bundle.at for segment in segments if segment.bundle.value in self._unbounded
            )
        )

    def _below(self, powers: tuple[FeedPower, ...]) -> tuple[FeedPower, ...]:
        found: dict[str, FeedPower] = {}
        stack = list(powers)
        while stack:
            power = stack.pop()
            if power.feed.run.id not in found:
                found[power.feed.run.id] = power
                stack.extend(self._power.feeds[feed.run.id] for feed in power.feed.load.feeds_out)
        return tuple(found.values())
