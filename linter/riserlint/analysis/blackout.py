"""A general outage, event by event: when each UPS ends, when gear goes dark, until when it is useful.

The mains are off from 0 min on, batteries full. At each event (a battery is empty, a stated load is shed) the loads
are reckoned again; between events each UPS that has no input spends dt / t(P) of its battery, and is empty at 1.

Two courses enclose all that is not known: the *earliest* takes the most watts, the least battery, and the whole of
what two UPSs share on each; the *latest* the least watts, the most battery, and nothing of what is shared while the
other lives. They enclose, as a UPS's load never falls while it lives but at stated times: what hangs on it lives with
it, and another's end can only bring it more. So one that ends earlier makes no other end later, and the ends are
monotone in all loads and batteries.

UPSs that neither share gear nor hang on each other don't touch each other; they advance together, one event a round.
"""

import heapq
import math
from collections.abc import Callable, Iterable, Iterator
from functools import cached_property
from typing import NamedTuple, TypeVar

from riserlint.analysis.continuity import Continuity, Powered, Supplied, SupplyWay
from riserlint.analysis.needs import Needs
from riserlint.analysis.outage import Outage
from riserlint.analysis.power import FeedPower, Power
from riserlint.analysis.ups_load import UpsLoads
from riserlint.design.paths import Path
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear

Key = TypeVar("Key", str, Path)

#: Where all runs meet of which nobody knows the far end.
_ANYWHERE = ""
#: What is left of a battery below this share is rounding.
_EMPTY = 1e-12
#: So many UPSs that touch each other, times gear, are reckoned anew at each end; of more, loads go over to nobody in
#: the latest course, which then ends later than it could: it still encloses.
_MOST = 50_000


class Shed(NamedTuple):
    """Gear that is switched off in an outage: after how many minutes, and where that is stated."""

    minutes: float
    at: Path


class Lives(NamedTuple):
    """How long something lives in an outage, minutes, and what ends it: a UPS, a shedding, gear; empty: nothing
    that is known.
    """

    minutes: float
    ended_by: Path


class Survival(NamedTuple):
    """Until when gear has power, and until when it has all that it needs too; each from the earliest to the latest.

    ``ended_by`` is what ends its use at the earliest, ``ended_late_by`` at the latest.
    """

    power: Span
    useful: Span
    ended_by: Path
    ended_late_by: Path


class _Phase(Continuity):
    """The supplies of an installation after some UPSs have ended and some gear was switched off."""

    def __init__(
        self, installation: Installation, power: Power, ended: frozenset[str], off: frozenset[str]
    ) -> None:
        self._ended = ended
        self._off = off
        super().__init__(installation, power)

    def _trace(self, name: str, at: Path) -> Supplied:
        found = super()._trace(name, at)
        return Supplied(None, "mains", at, found.through) if found.ups in self._ended else found

    def _ways_of(self, thing: Powered) -> tuple[SupplyWay, ...]:
        if thing.id in self._off and isinstance(thing, Gear):
            return (SupplyWay(thing.at, Supplied(None, "refused"), None, "pass"),)
        return super()._ways_of(thing)


class _PhaseLoads(UpsLoads):
    """The loads of a phase; of a cascade in which something is switched off only the most is known."""

    def __init__(
        self, installation: Installation, power: Power, continuity: Continuity, lighter: frozenset[Path]
    ) -> None:
        super().__init__(installation, power, continuity)
        self._lighter = lighter

    def _feed_watts(self, power: FeedPower) -> Span:
        watts = super()._feed_watts(power)
        return Span(0.0, watts.high) if power.feed.load.at in self._lighter else watts


class Blackout:
    """A general outage.

    Attributes:
        sheds: the gear that is switched off at a stated time, by its id.
        ends: when each UPS gives no more power, from the earliest to the latest, minutes; endless where it never
            ends, as far as is known.
    """

    def __init__(
        self, installation: Installation, power: Power, continuity: Continuity, needs: Needs, outage: Outage
    ) -> None:
        """Run both courses."""
        self._installation = installation
        self._power = power
        self._continuity = continuity
        self._needs = needs
        self._outage = outage
        self.sheds = _sheds(installation)
        self._lighter = self._above_shed()
        self._loads: dict[tuple[frozenset[str], frozenset[str]], UpsLoads] = {}
        earliest, latest = self._course(latest=False), self._course(latest=True)
        self.ends = {name: Span(earliest[name], latest[name]) for name in installation.ups}

    def survival(self, gear: Gear) -> Survival:
        """Return until when gear has power, and until when it is useful."""
        early, late = self._earliest, self._latest
        nothing = Lives(0.0, gear.at)
        power = Span(
            early.power.get(gear.at, nothing).minutes,
            max(late.power.get(gear.at, nothing).minutes, early.power.get(gear.at, nothing).minutes),
        )
        first, last = early.useful(gear), late.useful(gear)
        return Survival(
            power, Span(first.minutes, max(first.minutes, last.minutes)), first.ended_by, last.ended_by
        )

    @property
    def events(self) -> list[tuple[Span, Path]]:
        """What happens, in the order of the earliest: UPSs that end, stated sheddings."""
        found = [(span, ("ups", name)) for name, span in self.ends.items()]
        sheds = dict.fromkeys(self.sheds.values())
        return sorted([*found, *((Span(shed.minutes, shed.minutes), shed.at) for shed in sheds)])

    # -- the course of an outage ----------------------------------------------------------------------------

    def _course(self, *, latest: bool) -> dict[str, float]:
        """Return when each UPS ends."""
        groups = self._clusters()
        clusters = [_Cluster(names) for names in groups]
        anew = max(map(len, groups), default=0) * len(self._installation.gear) <= _MOST
        times = sorted({shed.minutes for shed in self.sheds.values()})
        ends = dict.fromkeys(self._installation.ups, math.inf)
        while running := [cluster for cluster in clusters if cluster.running]:
            ended = frozenset(name for cluster in clusters for name in cluster.ended)
            by_time: dict[int, list[_Cluster]] = {}
            for cluster in running:
                passed = sum(time <= cluster.minutes for time in times)
                by_time.setdefault(passed, []).append(cluster)
            for passed, group in by_time.items():
                until = times[passed] if passed < len(times) else math.inf
                off = frozenset(
                    name for name, shed in self.sheds.items() if passed and shed.minutes <= times[passed - 1]
                )
                # The earliest course counts on each UPS the whole of what it shares from the first.
                loads = self._loads_in(ended if latest and anew else frozenset(), off)
                for cluster in group:
                    holds = {
                        name: self._holds(loads, name, latest=latest)
                        for name in cluster.names
                        if name not in cluster.ended and self._on_battery(name, ended)
                    }
                    for name in cluster.advance(holds, until):
                        ends[name] = cluster.minutes
        if latest and len(self._installation.ups) > 1:
            for name in ends:
                # What feeds it may be any other UPS.
                if self._continuity.top_of(name) == "unknown":
                    ends[name] = math.inf
        return ends

    def _loads_in(self, ended: frozenset[str], off: frozenset[str]) -> UpsLoads:
        if not ended and not off:
            return self._outage.load
        found = self._loads.get((ended, off))
        if found is None:
            phase = _Phase(self._installation, self._power, ended, off)
            lighter = self._lighter if off else frozenset()
            found = _PhaseLoads(self._installation, self._power, phase, lighter)
            self._loads[ended, off] = found
        return found

    def _on_battery(self, name: str, ended: frozenset[str]) -> bool:
        above = self._continuity.ups_above[name].ups
        return above is None or above in ended or self._continuity.top_of(name) == "loop"

    def _holds(self, loads: UpsLoads, name: str, *, latest: bool) -> float:
        """Return for how long a full battery would carry what its UPS carries now, min."""
        load = loads.by_ups[name]
        watts = load.least_w if latest else load.watts.high
        if math.isinf(watts):
            return 0.0
        held = self._outage.minutes(name, Span(watts, watts))
        return held.high if latest else held.low

    def _clusters(self) -> list[list[str]]:
        """Return the UPSs in groups that touch each other through what they feed."""
        parent: dict[Path, Path] = {}

        def root(at: Path) -> Path:
            while (above := parent.get(at, at)) != at:
                parent[at] = parent.get(above, above)
                at = above
            return at

        def join(first: Path, second: Path) -> None:
            one, other = root(first), root(second)
            if one != other:
                parent[one] = other

        for ways in self._continuity.ways.items():
            for way in ways[1]:
                if way.supplied is not None and way.supplied.ups is not None:
                    join(ways[0], ("ups", way.supplied.ups))
                if way.feed is not None and way.feed.source is not None:
                    join(ways[0], way.feed.source.at)
        for name, above in self._continuity.ups_above.items():
            if above.ups is not None:
                join(("ups", name), ("ups", above.ups))
        found: dict[Path, list[str]] = {}
        for name in self._installation.ups:
            found.setdefault(root(("ups", name)), []).append(name)
        return list(found.values())

    def _above_shed(self) -> frozenset[Path]:
        """Return what feeds gear that will be switched off, up to the mains."""
        found: set[Path] = set()
        stack: list[Powered] = [self._installation.gear[name] for name in self.sheds]
        while stack:
            for way in self._continuity.ways[stack.pop().at]:
                source = None if way.feed is None else way.feed.source
                if source is not None and source.at not in found:
                    found.add(source.at)
                    stack.append(source)
        return frozenset(found)

    # -- gear -----------------------------------------------------------------------------------------------

    @cached_property
    def _earliest(self) -> "_Lifetimes":
        ends = {name: span.low for name, span in self.ends.items()}
        return _Lifetimes(self._installation, self._continuity, self._needs, self.sheds, ends, certain=True)

    @cached_property
    def _latest(self) -> "_Lifetimes":
        ends = {name: span.high for name, span in self.ends.items()}
        return _Lifetimes(self._installation, self._continuity, self._needs, self.sheds, ends, certain=False)


class _Cluster:
    """UPSs that touch each other, on their way through an outage."""

    def __init__(self, names: list[str]) -> None:
        self.names = names
        self.minutes = 0.0
        self.ended: set[str] = set()
        self.running = True
        self._spent = dict.fromkeys(names, 0.0)

    def advance(self, holds: dict[str, float], until: float) -> list[str]:
        """Go on to the next event, and return the UPSs that end with it.

        ``holds`` are the minutes that a full battery would carry the present load, of those that discharge;
        ``until`` is when something is shed next.
        """
        left = {name: (1 - self._spent[name]) * held for name, held in holds.items()}
        step = min([until - self.minutes, *left.values()])
        if math.isinf(step):
            self.running = False
            return []
        ended = [name for name, rest in left.items() if rest - step <= _EMPTY * max(1.0, self.minutes)]
        for name, held in holds.items():
            if held > 0:
                self._spent[name] += step / held
        self.minutes = until if step == until - self.minutes else self.minutes + step
        self.ended.update(ended)
        self.running = len(self.ended) < len(self.names)
        return ended


class _Lifetimes:
    """How long everything lives with given ends of the UPSs: ``certain`` over ways that hold for certain, else over
    all that may.
    """

    def __init__(
        self,
        installation: Installation,
        continuity: Continuity,
        needs: Needs,
        sheds: dict[str, Shed],
        ends: dict[str, float],
        *,
        certain: bool,
    ) -> None:
        self._installation = installation
        self._continuity = continuity
        self._needs = needs
        self._sheds = sheds
        self._ends = ends
        self._certain = certain
        self._to: dict[str, dict[str, Lives]] = {}
        self._needed_by = {gear.id: asker.needs for asker in needs.askers for gear in asker.members}
        self.power = self._spread_power()

    def useful(self, gear: Gear) -> Lives:
        """Return until when gear has power and reaches all that it needs."""
        found = self.power.get(gear.at, Lives(0.0, gear.at))
        for need in self._needed_by.get(gear.id, ()):
            providers = self._needs.providers(need)
            if not providers:
                continue  # nothing has that role: ups-coverage says so
            reached = self._to.get(need)
            if reached is None:
                reached = self._to[need] = self._spread_need(providers)
            way = reached.get(gear.id, Lives(0.0, ("role", need)))
            if way.minutes < found.minutes:
                found = way
        return found

    def _spread_power(self) -> dict[Path, Lives]:
        things = {thing.at: thing for thing in self._continuity.powered()}
        carried = {
            way.feed.run.id
            for ways in self._continuity.ways.values()
            for way in ways
            if way.feed is not None
            and (way.carries == "pass" or (way.carries == "open" and not self._certain))
        }
        starts: list[tuple[Path, Lives]] = []
        for at in things:
            starts.extend((at, lives) for way in self._continuity.ways[at] for lives in self._begins(way))

        def onward(at: Path) -> Iterable[Path]:
            return [feed.load.at for feed in things[at].feeds_out if feed.run.id in carried]

        def cap(at: Path) -> Lives:
            shed = self._sheds.get(things[at].id) if at[0] != "inline" else None
            return Lives(math.inf, ()) if shed is None else Lives(shed.minutes, shed.at)

        return _longest(starts, onward, cap)

    def _begins(self, way: SupplyWay) -> Iterator[Lives]:
        if way.supplied is None:
            return
        if way.supplied.ups is not None:
            if way.carries == "pass" or not self._certain:
                yield Lives(self._ends[way.supplied.ups], ("ups", way.supplied.ups))
        elif way.supplied.end == "unknown" and not self._certain:
            yield Lives(math.inf, way.supplied.missing or way.at)

    def _spread_need(self, providers: tuple[Gear, ...]) -> dict[str, Lives]:
        """Return until when each gear that frames reach, itself left out of the reckoning, has one of them."""
        names = {gear.id for gear in providers}
        nothing = Lives(0.0, ())
        gear_of = self._installation.gear

        def own(name: str) -> Lives:
            if name == _ANYWHERE:
                return Lives(math.inf, ())
            return self.power.get(gear_of[name].at, nothing._replace(ended_by=gear_of[name].at))

        def onward(name: str) -> Iterable[str]:
            if name == _ANYWHERE:
                return self._needs.loose
            passes = True if name in names else self._needs.passes(name)
            if passes is False or (passes is None and self._certain):
                return ()
            near = self._needs.neighbours(name)
            if not self._certain and name in self._needs.loose:
                return (*near, _ANYWHERE)
            return near

        return _longest([(name, own(name)) for name in names], onward, own)


def _longest(
    starts: Iterable[tuple[Key, Lives]], onward: Callable[[Key], Iterable[Key]], cap: Callable[[Key], Lives]
) -> dict[Key, Lives]:
    """Return how long each thing lives over the way that lives longest; a way lives as long as all on it."""
    found: dict[Key, Lives] = {}
    queue = [
        (-min(lives.minutes, cap(key).minutes), place, key, lives)
        for place, (key, lives) in enumerate(starts)
    ]
    heapq.heapify(queue)
    place = len(queue)
    while queue:
        _, _, key, lives = heapq.heappop(queue)
        if key in found:
            continue
        most = cap(key)
        here = found[key] = lives if lives.minutes <= most.minutes else most
        for other in onward(key):
            if other not in found:
                place += 1
                heapq.heappush(queue, (-min(here.minutes, cap(other).minutes), place, other, here))
    return found


def _sheds(installation: Installation) -> dict[str, Shed]:
    """Return the gear that is switched off at a stated time; at the first, where there are several."""
    found: dict[str, Shed] = {}
    for ups in installation.ups.values():
        for index, shed in enumerate(ups.value("sheds").value or ()):
            at: Path = (*ups.at, "sheds", index)
            named = [name for name in shed.gear if name in installation.gear]
            named.extend(
                gear.id
                for gear in installation.gear.values()
                if shed.roles and getattr(gear.model, "role", None) in shed.roles
            )
            for name in named:
                if name not in found or shed.after_min < found[name].minutes:
                    found[name] = Shed(shed.after_min, at)
    return found
