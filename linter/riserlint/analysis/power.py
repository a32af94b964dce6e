"""Power over every run, solved from the leaves to the root: watts, volts and amperes as ranges.

A switch that converts holds its own port voltage, so its feed follows from its loads. A switch that passes power
through does not: all that hangs on it is solved together with its feed (``analysis.chains``). Both ends of a range
are such solutions, since on the high-voltage branch more load, more ohms or less voltage at the source only lower
all voltages and raise all currents. Where it is not stated whether a switch passes power through, or where one
that does has two feeds, what lies above is answered with an unlimited upper end (cannot tell) unless the least
that is certain already fails.
"""

import copy
import math
from collections.abc import Callable, Hashable
from typing import NamedTuple

from riserlint.analysis.chains import Chain, Link, chain_states
from riserlint.analysis.feeding import loops_of, sources_last
from riserlint.analysis.loads import (
    WORST,
    Case,
    Draw,
    Grant,
    device_draw,
    grant_of,
    reserved_by,
    source_volts,
)
from riserlint.analysis.metres import RunMetres
from riserlint.analysis.resistance import ConductorOhm, LoopOhm, conductor_of, loop_ohm
from riserlint.analysis.starting import staging_of, start_loads
from riserlint.design.paths import Path
from riserlint.engineering.loss import LinkState, pairset_ohm, solve_link, solve_modes
from riserlint.engineering.span import Span, sum_of
from riserlint.installation.build import Installation
from riserlint.installation.things import Cable, Feed, Gear, InlineGear, Run
from riserlint.standards.poe import MOST_DROP_VOLTS, PD_OFF_VOLTS


class FeedPower(NamedTuple):
    """The power over one feed.

    Attributes:
        feed: from where to where, over which run.
        grant: the class asked for and assigned.
        draw: the device's draw; None for the inlet of a switch.
        load_w: the maximum at the device (or at the inlet).
        typical_w: the typical draw at the device, None where not stated (anywhere below).
        ohm: resistance over the powered pairs, out and back.
        volts: the source's least voltage.
        best, worst: the operating points at the ends of the range; None where there is none, or where the device
            is off because its voltage is at or below the least that it must work at.
        source_w: the maximum at the source, loss included; infinite where ``worst`` is None.
        alone_w: the same if this feed alone carries the load: differs only for gear with a second feed.
        reserved_w: what the source's management takes from the budget for this port.
        missing: values that are not known and that widen the range.
        dark_above: whether its source itself gets no power for certain, so that there is none here.
        chain: the chain that passes power through and that it is part of; None: its source holds its own voltage.
    """

    feed: Feed
    grant: Grant
    draw: Draw | None
    load_w: Span
    typical_w: float | None
    ohm: Span
    volts: Span
    best: LinkState | None
    worst: LinkState | None
    source_w: Span
    alone_w: Span
    reserved_w: Span
    missing: tuple[Path, ...]
    chain: Chain | None = None
    dark_above: bool = False

    @property
    def modes(self) -> Span | None:
        """The share of its load that the heavier of two signatures' modes takes; None of one, or over two pairs."""
        return self.grant.mode_shares(self.load_w.high)

    @property
    def mode_links(self) -> Span | None:
        """The same where each mode is solved as a link of its own: not inside a chain."""
        return None if self.chain is not None else self.modes

    @property
    def unfed(self) -> bool:
        """Whether it is certain that no power comes over it: its port refuses, or its source has none itself."""
        return self.grant.refused or self.dark_above


class InletPower(NamedTuple):
    """A switch's inlet: what it can pass on, and what is asked of it; watts at its own ports.

    ``available_w`` = (watts of the assigned class at the inlet − own use) × efficiency.
    """

    gear: Gear
    feed: Feed
    granted_w: Span
    own_w: Span
    efficiency: Span
    available_w: Span
    asked_draw_w: Span
    asked_reserved_w: Span
    inlet_w: Span
    coupled: bool
    missing: tuple[Path, ...]


class SourcePower(NamedTuple):
    """A source's four sums over its ports, in watts: typical, maximum at the device, at the source, reserved.

    ``enforced_w`` is the one that the source's management goes by. ``typical_w`` is None where a load below does
    not state it. Of a source that measures and states how it starts its ports the sums (and ``feeds``) are those
    once all have started, and ``start_w`` is the worst sum while they do; of all others it is None.
    """

    gear: Gear | InlineGear
    feeds: tuple[FeedPower, ...]
    typical_w: float | None
    device_w: Span
    source_w: Span
    reserved_w: Span
    enforced_w: Span
    missing: tuple[Path, ...]
    start_w: Span | None = None

    @property
    def most_w(self) -> float:
        """The most that its budget is asked for at any time: by what it goes by, and while its ports start."""
        return self.enforced_w.high if self.start_w is None else max(self.enforced_w.high, self.start_w.high)


class Ground:
    """What temperature does not change: resistance at 20 °C, grants, draws and volts, each computed once.

    The bound on the temperature of bundles takes several solutions of the power; they share this.
    """

    def __init__(self, metres: Callable[[Run], RunMetres], case: Case = WORST) -> None:
        """Start empty; ``metres`` gives the lengths of a run, ``case`` what to solve for."""
        self.metres = metres
        self.case = case
        self._conductors: dict[tuple[str, bool], ConductorOhm] = {}
        self._loops: dict[str, LoopOhm] = {}
        self._grants: dict[str, Grant] = {}
        self._alike: dict[tuple[Hashable, ...], Grant] = {}
        self._draws: dict[tuple[Hashable, ...], Draw] = {}
        self._volts: dict[str, tuple[Span, tuple[Path, ...]]] = {}
        #: Feeds of devices that are the same in all solutions but for the temperature of their wires.
        self.plain: dict[str, Link] = {}

    def running(self) -> "Ground":
        """Return the same with the draws of devices that have started."""
        other = copy.copy(self)
        other._draws = {}
        other.plain = {}
        other.case = self.case._replace(load="running")
        return other

    def grant(self, feed: Feed) -> Grant:
        """Return what is asked for and assigned over a feed."""
        found = self._grants.get(feed.run.id)
        if found is None:
            kind = _kind_of_grant(feed)
            found = None if kind is None else self._alike.get(kind)
            if found is None:
                found = grant_of(feed)
                if (
                    kind is not None and not found.missing
                ):  # what is missing is named by the feed's own places
                    self._alike[kind] = found
            self._grants[feed.run.id] = found
        return found

    def draw(self, gear: Gear, most_w: float) -> Draw:
        """Return the draw of a device."""
        alike = gear.part is not None and gear.model.__dict__.get("draw_w") is None
        key = (gear.part_at[-1] if alike else gear.id, most_w, alike)
        found = self._draws.get(key)
        if found is None or (alike and found.missing):
            found = self._draws[key] = device_draw(gear, most_w, self.case.load)
        return found

    def volts(self, feed: Feed) -> tuple[Span, tuple[Path, ...]]:
        """Return the least voltage of a feed's source, and what is missing for it."""
        source = feed.source
        if source is None:
            return source_volts(None)
        nominal = self.case.volts == "nominal"
        found = self._volts.get(source.id)
        if found is None:
            found = self._volts[source.id] = source_volts(source, nominal=nominal)
        return found

    def loop(self, run: Run) -> LoopOhm:
        """Return the loop resistance of a run's powered part; what is missing of its lengths is named with it."""
        found = self._loops.get(run.id)
        if found is not None:
            return found
        metres = self.metres(run)
        conductor = self._conductor(run.cable, (*run.at, "cable"), cord=False)
        cords = self.cords(run)
        found = loop_ohm(run, metres.link, conductor, cords)
        if metres.missing:
            found = found._replace(missing=(*metres.missing, *found.missing))
        self._loops[run.id] = found
        return found

    def cords(self, run: Run) -> tuple[tuple[Span, ConductorOhm], ...] | None:
        """Return metres and conductor resistance of a run's cords, None where nothing is known of them."""
        if run.cords is None:
            return None
        return tuple(
            (
                Span(cord.metres.value or 0.0, math.inf if cord.metres.value is None else cord.metres.value),
                self._conductor(cord.cable, cord.kind_at, cord=True),
            )
            for cord in run.cords
        )

    def _conductor(self, cable: Cable | None, where: Path, *, cord: bool) -> ConductorOhm:
        if cable is None:
            return conductor_of(None, where, cord=cord)
        key = (cable.id, cord)
        found = self._conductors.get(key)
        if found is None:
            found = self._conductors[key] = conductor_of(cable, where, cord=cord)
        return found


class Power:
    """The power of a whole installation."""

    def __init__(
        self,
        installation: Installation,
        ground: Ground,
        celsius: Callable[[Run], tuple[Span, tuple[Path, ...]]],
        running: "Power | None" = None,
    ) -> None:
        """Solve all feeds; ``celsius`` gives the mean conductor temperature of a run, and what it misses.

        ``running`` is the solution once all gear has started: needed where a source states how it starts its ports.
        """
        self.running = running
        self._ground = ground
        self._celsius = celsius
        self.feeds: dict[str, FeedPower] = {}
        self.inlets: dict[str, InletPower] = {}
        self.chains: dict[str, Chain] = {}
        self.loops = loops_of(installation)
        self._looped = frozenset(gear.id for loop in self.loops for gear in loop)
        self._waiting: dict[str, list[Link]] = {}
        self._dark = self._without_power(installation)
        for gear in sources_last(installation):
            given = [feed for feed in gear.feeds_in if not self._refused(feed)]
            for feed in gear.feeds_in:
                self._solve(feed, gear, len(given) + len(gear.supplies) > 1)
        self.sources = self._sources(installation)

    def above(self, gear: Gear) -> tuple[Gear | InlineGear, ...]:
        """Return the chain of sources above a piece of gear, the nearest first; ends at a loop or at two feeds."""
        chain: list[Gear | InlineGear] = []
        here: Gear | InlineGear | None = gear
        while isinstance(here, Gear) and len(here.feeds_in) == 1 and here not in chain[:-1]:
            here = here.feeds_in[0].source
            if here is None or here in chain:
                break
            chain.append(here)
        return tuple(chain)

    def loop(self, run: Run) -> LoopOhm:
        """Return the loop resistance of a run's powered part at 20 °C."""
        return self._ground.loop(run)

    def rests_on(self, power: FeedPower) -> tuple[Path, ...]:
        """Return the values that the power of one feed rests on, without what is below its load."""
        run, load = power.feed.run, power.feed.load
        found = [*self._ground.metres(run).rests_on, *self._ground.loop(run).rests_on]
        if power.draw is not None:
            found.extend(power.draw.rests_on)
        keys = [(load.side, "pd_class")]
        if load.is_switch:
            keys.extend(("inlet", key) for key in ("own_w", "efficiency", "passes_through", "drop_v"))
        values = [load.value(*key) for key in keys]
        if power.feed.source is not None:
            values.extend(
                power.feed.source.value("pse", key) for key in ("type", "min_v", "reserves", "start")
            )
        if power.feed.port is not None:
            values.append(power.feed.port.value("pse_class"))
        found.extend(value.at for value in values if value.value is not None)
        return tuple(found)

    # -- one feed -------------------------------------------------------------------------------------------

    def _without_power(self, installation: Installation) -> frozenset[str]:
        """Return the gear that gets no power for certain: without a supply, and no feed leads back to one.

        So is a loop that nothing else feeds, and all behind it.
        """
        hungry = {gear.id for gear in installation.gear.values() if gear.feeds_in and not gear.supplies}
        todo = [gear for gear in installation.gear.values() if gear.id not in hungry]
        for gear in installation.gear.values():
            if gear.id in hungry and any(
                not isinstance(feed.source, Gear) and not self._ground.grant(feed).refused
                for feed in gear.feeds_in
            ):
                hungry.discard(gear.id)  # an injector's, or one of which nobody knows where it comes from
                todo.append(gear)
        while todo:
            for feed in todo.pop().feeds_out:
                if feed.load.id in hungry and not self._ground.grant(feed).refused:
                    hungry.discard(feed.load.id)
                    todo.append(feed.load)
        return frozenset(hungry)

    def _refused(self, feed: Feed) -> bool:
        return self._ground.grant(feed).refused or self._dark_above(feed)

    def _dark_above(self, feed: Feed) -> bool:
        return isinstance(feed.source, Gear) and feed.source.id in self._dark

    def _solve(self, feed: Feed, gear: Gear, several: bool) -> None:
        link = self._link(feed, gear, several)
        source = feed.source
        if link.passes and self._refused(feed):
            link = self._passing_nothing(link)
        if self._dark_above(feed):
            nothing = Span(0.0, 0.0)
            none = link_state(0.0, 0.0, 0.0, 0.0, None)
            self._keep(link, nothing, none, none, link.missing)
            return
        if isinstance(source, Gear) and self._in_chain(source):
            self._waiting.setdefault(source.id, []).append(link)  # its voltage follows from the whole chain
            return
        volts, missing_volts = self._ground.volts(feed)
        if link.passes:
            self._solve_chain(link, volts, missing_volts)
            return
        best, worst = _ends(link, volts, link.load_w)
        self._keep(link, volts, best, worst, (*link.missing, *missing_volts))

    def _in_chain(self, gear: Gear) -> bool:
        """Return whether gear passes its one feed on, so that it is solved together with what hangs on it."""
        return (
            gear.is_switch
            and len(gear.feeds_in) == 1
            and bool(gear.feeds_out)
            and not gear.supplies
            and gear.value("inlet", "passes_through").value is True
            and gear.id not in self._looped
        )

    def _link(self, feed: Feed, gear: Gear, several: bool) -> Link:
        """Return all of a feed that does not hang on the voltage of its source."""
        plain = self._ground.plain.get(feed.run.id)
        if plain is not None:
            return self._warmed(plain)
        grant = self._ground.grant(feed)
        draw: Draw | None = None
        missing: list[Path] = []
        passes = self._in_chain(gear)
        if passes:
            load_w, typical_w = self._own_use(gear, grant, missing), None
        elif gear.is_switch:
            inlet = self._inlet(feed, gear, grant)
            self.inlets[gear.id] = inlet
            load_w, typical_w = inlet.inlet_w, self._inlet_typical(gear)
            missing.extend(inlet.missing)
        else:
            draw = self._ground.draw(gear, grant.device_w.high)
            load_w, typical_w = self._device_load(gear, grant, draw, missing)
            missing.extend(draw.missing)
        refused = self._refused(feed)
        if refused:
            load_w, typical_w = Span(0.0, 0.0), None if typical_w is None else 0.0
        whole_w = load_w
        if several:
            load_w = _carried(gear, feed, load_w, missing)
        resistance = self._ground.loop(feed.run)
        celsius, missing_celsius = self._celsius(feed.run)
        loop = resistance.at(celsius)
        pairs = grant.pairs
        ohm = Span(_pairset(loop.low, pairs.high), _pairset(loop.high, pairs.low))
        modes = grant.mode_shares(whole_w.high)
        if modes is not None and math.isfinite(ohm.high):
            # P of the heavier mode over its own two pairs drops as much as all of P over so much of two pairs.
            if not modes.known:
                missing.append((*gear.at, gear.side, "second_w"))
            ohm = Span(2 * ohm.low * modes.low, 2 * ohm.high * modes.high)
        missing.extend((*resistance.missing, *missing_celsius))
        if grant.requested is None or grant.port_class is None:
            missing.extend(grant.missing)
        if grant.scheme == "passive" and not pairs.known:
            missing.append((*feed.run.at, "pairs"))
        drop_v = _drop_volts(gear, missing) if passes else Span(0.0, 0.0)
        off_v = 0.0 if self._ground.case.at_any_volts else _off_volts(gear, grant)
        link = Link(
            feed, grant, draw, load_w, whole_w, typical_w, ohm, off_v, drop_v, passes, tuple(missing), modes
        )
        if draw is not None and not missing and not refused and not several and modes is None:
            self._ground.plain[feed.run.id] = link
        return link

    def _warmed(self, link: Link) -> Link:
        """Return a link of which all but its temperature is known, at the temperature of this solution."""
        run, pairs = link.feed.run, link.grant.pairs
        celsius, missing = self._celsius(run)
        loop = self._ground.loop(run).at(celsius)
        ohm = Span(_pairset(loop.low, pairs.high), _pairset(loop.high, pairs.low))
        return link._replace(ohm=ohm, missing=missing)

    def _keep(
        self,
        link: Link,
        volts: Span,
        best: LinkState | None,
        worst: LinkState | None,
        missing: tuple[Path, ...],
        chain: Chain | None = None,
    ) -> None:
        source_w = alone_w = _source_watts(best, worst)
        if link.whole_w != link.load_w:
            alone_w = _source_watts(*_ends(link, volts, link.whole_w))
        feed, grant = link.feed, link.grant
        self.feeds[feed.run.id] = FeedPower(
            feed,
            grant,
            link.draw,
            link.load_w,
            link.typical_w,
            link.ohm,
            volts,
            best,
            worst,
            source_w,
            alone_w,
            Span(0.0, 0.0) if self._refused(feed) else reserved_by(feed, grant, source_w),
            missing,
            chain,
            self._dark_above(feed),
        )

    def _passing_nothing(self, link: Link) -> Link:
        """Keep the inlet of a switch that gets no power to pass on, and return its feed as one that ends there."""
        gear, nothing = link.feed.load, Span(0.0, 0.0)
        granted, own_w = _granted(gear, link.grant), self._own_use(gear, link.grant, [])
        self.inlets[gear.id] = InletPower(
            gear, link.feed, granted, own_w, Span(1.0, 1.0), nothing, nothing, nothing, nothing, False, ()
        )
        return link._replace(passes=False)

    # -- chains that pass power through -----------------------------------------------------------------------

    def _solve_chain(self, head: Link, volts: Span, missing_volts: tuple[Path, ...]) -> None:
        """Solve a switch that passes power through together with all that hangs on it and holds no voltage."""
        links, above = [head], [-1]
        for place, link in enumerate(links):  # grows while it is walked
            if link.passes:
                below = self._waiting.pop(link.feed.load.id, [])
                links.extend(below)
                above.extend([place] * len(below))
        chain = Chain(volts, tuple(links), tuple(above))
        best, worst = chain_states(chain, worst=False), chain_states(chain, worst=True)
        missing = dict.fromkeys(missing_volts)
        for link in links:
            missing.update(dict.fromkeys(link.missing))
        self.chains[head.feed.load.id] = chain
        for place in range(len(links) - 1, -1, -1):
            link, low, high = links[place], best.states[place], worst.states[place]
            upper = Span(worst.source_v[place], best.source_v[place])
            if link.passes:
                device_w = Span(best.device_w[place], max(best.device_w[place], worst.device_w[place]))
                link = link._replace(load_w=device_w, whole_w=device_w)
            widened = link.missing if upper.known and link.load_w.known else tuple(missing)
            self._keep(link, upper, low, high, widened, chain)
            if link.passes:
                self._keep_inlet(link, place, chain, tuple(missing))

    def _own_use(self, gear: Gear, grant: Grant, missing: list[Path]) -> Span:
        own = gear.value("inlet", "own_w")
        if own.value is None:
            missing.append(own.at)  # above its class its source cuts it off
            return Span(0.0, _granted(gear, grant).high)
        return Span(own.value, own.value)

    def _keep_inlet(self, link: Link, place: int, chain: Chain, missing: tuple[Path, ...]) -> None:
        gear, own_w = link.feed.load, chain.links[place].load_w
        below = [self.feeds[out.run.id] for out in gear.feeds_out if out.run.id in self.feeds]
        granted = _granted(gear, link.grant)
        asked_w = sum_of(power.source_w for power in below)
        if link.drop_v.high:  # what the drop takes is asked of the inlet too
            asked_w = Span(link.load_w.low - own_w.low, link.load_w.high - own_w.high)
        self.inlets[gear.id] = InletPower(
            gear,
            link.feed,
            granted,
            own_w,
            Span(1.0, 1.0),
            Span(max(0.0, granted.low - own_w.high), max(0.0, granted.high - own_w.low)),
            asked_w,
            sum_of(power.reserved_w for power in below),
            link.load_w,
            False,
            missing if not link.load_w.known else link.missing,
        )
        power = self.feeds[link.feed.run.id]
        self.feeds[link.feed.run.id] = power._replace(typical_w=self._inlet_typical(gear))

    @staticmethod
    def _device_load(gear: Gear, grant: Grant, draw: Draw, missing: list[Path]) -> tuple[Span, float | None]:
        """Return what a device takes: its draw, or demoted no more than its class and no more than it states.

        A demoted device that does not state what it works with may take anything below its class, also nothing.
        Where it is not known whether it is demoted, or whether the port gives any power, both are possible.
        """
        if grant.demotion == "never":
            return draw.maximum, draw.typical
        stated = gear.value(gear.side, "demoted_w")
        most = math.inf if stated.value is None else float(stated.value)
        least = 0.0 if stated.value is None else min(draw.maximum.low, most, grant.device_w.high)
        if grant.demotion == "unknown":
            no_power = grant.port_class is None
            return Span(0.0 if no_power else least, draw.maximum.high), draw.typical
        most = min(most, grant.device_w.high)
        if stated.value is None:
            missing.append(stated.at)
        load = Span(least, min(draw.maximum.high, most))
        return load, None if draw.typical is None else min(draw.typical, most)

    def _inlet(self, feed: Feed, gear: Gear, grant: Grant) -> InletPower:
        own = gear.value("inlet", "own_w")
        efficiency = gear.value("inlet", "efficiency")
        through = gear.value("inlet", "passes_through")
        missing: list[Path] = []
        if own.value is None:
            missing.append(own.at)
        own_w = Span(0.0, math.inf) if own.value is None else Span(own.value, own.value)
        coupled = through.value is not False
        if through.value is True:
            share = Span(1.0, 1.0)
        else:
            if through.value is None and gear.feeds_out:
                missing.append(through.at)
            if efficiency.value is None and gear.feeds_out:
                missing.append(efficiency.at)
            share = Span(0.0, 1.0) if efficiency.value is None else Span(efficiency.value, efficiency.value)
        if not gear.feeds_out:
            coupled = False
        below = [self.feeds[out.run.id] for out in gear.feeds_out if out.run.id in self.feeds]
        asked_draw = asked_above = sum_of(power.source_w for power in below)
        staging = staging_of(gear, self.running)
        if staging is not None and self.running is not None:
            staged = start_loads(below, self.running.feeds)
            asked_draw = staged.worst_w(staging)
            asked_above = Span(
                staged.running_w.low, asked_draw.high
            )  # others may have their worst at another time
            missing.extend(staged.missing)
        asked_reserved = sum_of(power.reserved_w for power in below)
        missing.extend(path for power in below for path in power.missing)
        granted = _granted(gear, grant)
        least = max(0.0, granted.low - own_w.high) * share.low
        most = max(0.0, granted.high - own_w.low) * share.high
        if own.value is None:
            # What it uses is not known; above its class its source cuts it off.
            drawn = Span(
                _over(asked_above.low, share.high), max(granted.high, _over(asked_above.high, share.low))
            )
        else:
            drawn = Span(
                own_w.low + _over(asked_above.low, share.high),
                own_w.high + _over(asked_above.high, share.low),
            )
        if coupled or gear.id in self._looped:
            drawn = Span(drawn.low, math.inf)
            asked_draw = Span(asked_draw.low, math.inf)
        return InletPower(
            gear,
            feed,
            granted,
            own_w,
            share,
            Span(least, most),
            asked_draw,
            asked_reserved,
            drawn,
            coupled,
            tuple(missing),
        )

    def _inlet_typical(self, gear: Gear) -> float | None:
        own = gear.value("inlet", "own_w").value
        through = gear.value("inlet", "passes_through").value
        efficiency = 1.0 if through is True else gear.value("inlet", "efficiency").value
        if own is None:
            return None
        total = 0.0
        for out in gear.feeds_out:
            power = self.feeds.get(out.run.id)
            if power is None or power.typical_w is None:
                return None
            total += power.typical_w
        if not gear.feeds_out:
            return float(own)
        if efficiency is None:
            return None
        return float(own + total / efficiency)

    # -- sources --------------------------------------------------------------------------------------------

    def _sources(self, installation: Installation) -> dict[str, SourcePower]:
        found: dict[str, SourcePower] = {}
        every: list[Gear | InlineGear] = [*installation.gear.values(), *installation.inlines.values()]
        for gear in every:
            powers = tuple(self.feeds[feed.run.id] for feed in gear.feeds_out if feed.run.id in self.feeds)
            if not powers:
                continue
            found[gear.id] = summed_up(gear, powers, self.running)
        return found


def summed_up(
    gear: Gear | InlineGear, powers: tuple[FeedPower, ...], running: Power | None, *, whole: bool = True
) -> SourcePower:
    """Return the sums of a source over feeds of it: over all, or (not ``whole``) over those of a group of its ports."""
    mode = gear.value("pse", "reserves")
    start_w: Span | None = None
    staging = staging_of(gear, running)
    if staging is not None and running is not None and mode.value == "measured":
        staged = start_loads(powers, running.feeds)
        start_w = staged.worst_w(staging)
        if not whole:  # a step may start ports of other groups
            start_w = Span(staged.running_w.low, start_w.high)
        powers = tuple(running.feeds[power.feed.run.id] for power in powers)
    typical: float | None = 0.0
    for power in powers:
        if typical is None or power.typical_w is None:
            typical = None
            break
        typical += power.typical_w
    source_w = sum_of(power.source_w for power in powers)
    reserved_w = sum_of(power.reserved_w for power in powers)
    missing = [path for power in powers for path in power.missing]
    if mode.value == "measured":
        enforced = source_w
    elif mode.value is None:
        enforced = Span(min(source_w.low, reserved_w.low), max(source_w.high, reserved_w.high))
        missing.append(mode.at)
    else:
        enforced = reserved_w
        if mode.value == "cap":
            missing.extend(_caps_missing(powers))
        elif mode.value == "negotiation" and not reserved_w.known:
            missing.append(mode.at)
    device_w = sum_of(power.load_w for power in powers)
    return SourcePower(
        gear, powers, typical, device_w, source_w, reserved_w, enforced, tuple(missing), start_w
    )


def _caps_missing(powers: tuple[FeedPower, ...]) -> list[Path]:
    caps = [power.feed.port.value("cap_w") for power in powers if power.feed.port is not None]
    return [cap.at for cap in caps if cap.value is None]


def _kind_of_grant(feed: Feed) -> tuple[Hashable, ...] | None:
    """Return what a grant depends on where many feeds have it in common; None for a feed with ways of its own."""
    port, load = feed.port, feed.load
    if port is None or feed.injector is not None or load.part is None or feed.run.model.pairs is not None:
        return None
    if load.model.__dict__.get(load.side) is not None:
        return None
    return (port.gear.id, id(port.properties), id(port.shared), load.kind, load.part_at)


def _carried(gear: Gear, feed: Feed, load_w: Span, missing: list[Path]) -> Span:
    """Return what one of several feeds carries: all or nothing as stated, else anything up to all of it."""
    first = gear.value("feed_first")
    if first.value == "local" and gear.supplies:
        return Span(0.0, 0.0)
    if first.value == "inlet" and len(gear.feeds_in) == 1 and feed is gear.feeds_in[0]:
        return load_w
    missing.append(first.at)
    return Span(0.0, load_w.high)


def _granted(gear: Gear, grant: Grant) -> Span:
    """Return the most that an inlet may take: the watts of its class, or less if it states so when demoted."""
    stated = gear.value("inlet", "demoted_w").value if grant.demoted else None
    if stated is None:
        return grant.device_w
    return Span(min(grant.device_w.low, stated), min(grant.device_w.high, stated))


def _drop_volts(gear: Gear, missing: list[Path]) -> Span:
    """Return what a switch that passes power through loses between inlet and ports; nothing where left out.

    Written as unknown it is anything that could be written.
    """
    stated = gear.value("inlet", "drop_v")
    if stated.value is None and gear.asked(stated.at):
        missing.append(stated.at)
        return Span(0.0, MOST_DROP_VOLTS.value)
    return Span(stated.value or 0.0, stated.value or 0.0)


def _off_volts(gear: Gear, grant: Grant) -> float:
    """Return the voltage at or below which the device is taken for off.

    Below its stated least voltage, whatever feeds it; an IEEE 802.3 device at 30 V at the latest. Where a passive
    feed's gear states none, only the end of the link itself is a limit.
    """
    stated = gear.value(gear.side, "min_v").value
    below_stated = 0.0 if stated is None else math.nextafter(float(stated), 0.0)
    if "passive" in (grant.scheme, grant.load_scheme):
        return below_stated
    return max(PD_OFF_VOLTS.value, below_stated)


def _ends(link: Link, volts: Span, load_w: Span) -> tuple[LinkState | None, LinkState | None]:
    """Return the operating points of a link that carries so much at both ends of its ranges, the best first."""
    low, high = (None, None) if link.modes is None else link.modes
    return (
        link_state(volts.high, link.ohm.low, load_w.low, link.off_v, low),
        link_state(volts.low, link.ohm.high, load_w.high, link.off_v, high),
    )


def link_state(
    volts: float, ohm: float, watts: float, off_v: float, heavier: float | None
) -> LinkState | None:
    """Return the operating point of a link at one end of its ranges; None where there is none above ``off_v``.

    ``heavier``: the share of the heavier of two modes, which are links of their own; None of one load.
    """
    if watts == 0:
        return LinkState(volts, 0.0, volts, 0.0, 0.0, 0.0)
    if not (math.isfinite(ohm) and math.isfinite(watts) and volts > 0):
        return None
    if math.isinf(
        volts
    ):  # a source of which no voltage is known: at best the current, and so the loss, is nothing
        return LinkState(volts, 0.0, volts, watts, watts, 0.0)
    state = solve_link(volts, ohm, watts) if heavier is None else solve_modes(volts, ohm, watts, heavier)
    return None if state is None or state.device_v <= off_v else state


def _source_watts(best: LinkState | None, worst: LinkState | None) -> Span:
    return Span(math.inf if best is None else best.source_w, math.inf if worst is None else worst.source_w)


def _pairset(loop_ohm_one_pair: float, pairs: float) -> float:
    return math.inf if math.isinf(loop_ohm_one_pair) else pairset_ohm(loop_ohm_one_pair, int(pairs))


def _over(watts: float, share: float) -> float:
    if watts == 0:
        return 0.0
    return math.inf if share == 0 else watts / share
