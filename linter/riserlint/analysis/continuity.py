"""Continuity: what every piece of gear hangs on when the mains fail, traced from its feeds to a UPS.

Gear is *backed* where at least one of its feeds leads to a UPS, whatever is unknown; it *escapes* where
none does; it is *unknown* where that turns on something that nobody has stated. A generator alone backs
nothing: until it has started, what hangs on it is dark.
"""

from collections import deque
from collections.abc import Iterable, Iterator
from typing import Literal, NamedTuple

from riserlint.analysis.loads import source_end
from riserlint.analysis.power import Power
from riserlint.design.paths import Path
from riserlint.engineering.span import Verdict, at_most
from riserlint.installation.build import Installation
from riserlint.installation.things import Feed, Gear, InlineGear, Thing

State = Literal["backed", "escapes", "unknown"]
#: What a supply ends at. *loop*: circuits and UPSs that feed only each other.
End = Literal["ups", "mains", "generator", "unknown", "loop", "refused"]
Powered = Gear | InlineGear


class Supplied(NamedTuple):
    """What a supply leads to: the first UPS on the way (None: there is none), or where it ends without one.

    ``missing`` is the value that is not known where ``end`` is *unknown*; ``through`` are the circuits on the
    way.
    """

    ups: str | None
    end: End
    missing: Path | None = None
    through: tuple[str, ...] = ()


class SupplyWay(NamedTuple):
    """One way in which gear gets power: a mains supply (``supplied``) or power over a run (``feed``).

    ``carries`` says whether it can carry the gear alone: where gear has a second feed, the inlet's watts decide;
    *open* also where nothing says that the gear takes power over its run at all.
    """

    at: Path
    supplied: Supplied | None
    feed: Feed | None
    carries: Verdict


class Unbacked(NamedTuple):
    """Gear at which backing is lost (or can't be told): its ways, and all that goes dark with it."""

    thing: Powered
    state: State
    ways: tuple[SupplyWay, ...]
    dark: tuple[Powered, ...]


class Continuity:
    """The supplies of a whole installation.

    Attributes:
        backed: what a UPS keeps alive for certain, as (kind, id).
        possible: what a UPS may keep alive, *backed* included.
        holders: the UPSs that keep alive what is backed; any one of them is enough.
        unbacked: where backing is lost or unknown, each with what goes dark with it; all other gear that is
            not backed is dark through one of these.
        ups_above: what the input of each UPS leads to.
        loops: circuits and UPSs that feed only each other, each loop once.
    """

    def __init__(self, installation: Installation, power: Power) -> None:
        """Trace all gear."""
        self._installation = installation
        self._power = power
        self._supplied: dict[str, Supplied] = {}
        self.ups_above = {
            ups.id: self.supplied(ups.value("from").value, ups.value("from").at)
            for ups in installation.ups.values()
        }
        self.loops = _loops(installation)
        self.ways: dict[Path, tuple[SupplyWay, ...]] = {
            thing.at: self._ways_of(thing) for thing in self.powered()
        }
        self._carries = {
            way.feed.run.id: way.carries
            for ways in self.ways.values()
            for way in ways
            if way.feed is not None
        }
        self.holders = self._spread_holders()
        self.backed = frozenset(self.holders)
        self.possible = self._spread_possible()
        self.unbacked = self._find_unbacked()

    def powered(self) -> Iterator[Powered]:
        """Yield all that needs power: switches, devices, injectors."""
        yield from self._installation.gear.values()
        for inline in self._installation.inlines.values():
            if inline.is_injector:
                yield inline

    def state(self, thing: Powered) -> State:
        """Return whether a UPS keeps it alive."""
        if thing.at in self.backed:
            return "backed"
        return "unknown" if thing.at in self.possible else "escapes"

    def supplied(self, name: str | None, at: Path) -> Supplied:
        """Return what a supply leads to, over its circuits; ``at`` is where its name would be written."""
        if name is None:
            return Supplied(None, "unknown", at)
        found = self._supplied.get(name)
        if found is None:
            found = self._supplied[name] = self._trace(name, at)
        return found

    def way_state(self, way: SupplyWay) -> State:
        """Return whether one way alone keeps the gear alive."""
        if way.supplied is not None:
            if way.supplied.ups is not None:
                return "backed"
            return "unknown" if way.supplied.end == "unknown" else "escapes"
        source = None if way.feed is None else way.feed.source
        if way.carries == "fail":
            return "escapes"
        if source is None:
            return "unknown"
        state = self.state(source)
        return "unknown" if state == "backed" and way.carries == "open" else state

    def top_of(self, ups: str) -> End:
        """Return what a UPS hangs on at the top, over the UPSs above it."""
        seen: set[str] = set()
        here = self.ups_above[ups]
        while here.ups is not None:
            if here.ups in seen:
                return "loop"
            seen.add(here.ups)
            here = self.ups_above[here.ups]
        return here.end

    # -- ways -----------------------------------------------------------------------------------------------

    def _trace(self, name: str, at: Path) -> Supplied:
        circuits: list[str] = []
        here: str = name
        while here in self._installation.circuits:
            if here in circuits:
                return Supplied(None, "loop", None, tuple(circuits))
            circuits.append(here)
            above = self._installation.circuits[here].value("from")
            if above.value is None:
                return Supplied(None, "unknown", above.at, tuple(circuits))
            here = above.value
        if here in self._installation.ups:
            return Supplied(here, "ups", None, tuple(circuits))
        if here == "generator":
            return Supplied(None, "generator", None, tuple(circuits))
        # Whatever else stands there is a problem of reading, so that no rule runs on it.
        return Supplied(None, "mains" if here == "mains" else "unknown", at, tuple(circuits))

    def _ways_of(self, thing: Powered) -> tuple[SupplyWay, ...]:
        ways = [
            SupplyWay(supply.source.at, self.supplied(supply.source.value, supply.source.at), None, "pass")
            for supply in thing.supplies
        ]
        from_at: Path = (*thing.at, "from")
        if isinstance(thing, Gear):
            asked = self._installation.design.asked(from_at)
            nothing_said = not thing.has_inlet and not thing.supplies
            if asked or nothing_said:
                ways.append(SupplyWay(from_at, Supplied(None, "unknown", from_at), None, "pass"))
            feeds = [feed for feed in thing.feeds_in if not self._power.feeds[feed.run.id].grant.refused]
            several = len(feeds) + len(ways) > 1
            for feed in feeds:
                carries = self._inlet_carries(thing) if several else "pass"
                if nothing_said and carries == "pass":
                    carries = "open"
                supplied = None
                if feed.source is None:
                    supplied = Supplied(None, "unknown", source_end(feed))
                ways.append(SupplyWay(feed.run.at, supplied, feed, carries))
        if not ways:
            refused = isinstance(thing, Gear) and bool(thing.feeds_in)
            end: End = "refused" if refused else "unknown"
            ways.append(SupplyWay(from_at, Supplied(None, end, None if refused else from_at), None, "pass"))
        return tuple(ways)

    def _inlet_carries(self, gear: Gear) -> Verdict:
        """Return whether a switch's inlet can carry what is asked of it, should its other feed fail."""
        inlet = self._power.inlets.get(gear.id)
        return "pass" if inlet is None else at_most(inlet.asked_draw_w, inlet.available_w)

    # -- states ---------------------------------------------------------------------------------------------

    def _spread_holders(self) -> dict[Path, frozenset[str]]:
        """Return which UPSs keep each thing alive for certain, spread from the supplies along the feeds."""
        holders: dict[Path, frozenset[str]] = {}
        queue: deque[Powered] = deque()
        for thing in self.powered():
            own = frozenset(
                way.supplied.ups for way in self.ways[thing.at] if way.supplied and way.supplied.ups
            )
            if own:
                holders[thing.at] = own
                queue.append(thing)
        while queue:
            thing = queue.popleft()
            mine = holders[thing.at]
            for feed in thing.feeds_out:
                if self._carries.get(feed.run.id) != "pass":
                    continue
                before = holders.get(feed.load.at, frozenset())
                if not mine <= before:
                    holders[feed.load.at] = before | mine
                    queue.append(feed.load)
        return holders

    def _spread_possible(self) -> frozenset[Path]:
        reached = set(self.backed)
        queue: deque[Powered] = deque()
        for thing in self.powered():
            unknown = any(
                way.supplied is not None and way.supplied.end == "unknown" for way in self.ways[thing.at]
            )
            if unknown or thing.at in reached:
                reached.add(thing.at)
                queue.append(thing)
        while queue:
            for feed in queue.popleft().feeds_out:
                carries = self._carries.get(feed.run.id)
                if feed.load.at not in reached and carries in {"pass", "open"}:
                    reached.add(feed.load.at)
                    queue.append(feed.load)
        return frozenset(reached)

    def _find_unbacked(self) -> tuple[Unbacked, ...]:
        found: list[tuple[Powered, list[Powered]]] = []
        done: set[Path] = set()
        lost = [thing for thing in self.powered() if thing.at not in self.backed]
        uncovered = [thing for thing in lost if not self._covered(thing)]
        roots = {root.at for root in uncovered}
        # The second pass takes up what only feeds itself: a loop of power has no root of its own.
        for thing in (*uncovered, *lost):
            if thing.at in done:
                continue
            done.add(thing.at)
            found.append((thing, self._dark_below(thing, done, roots)))
        return tuple(
            Unbacked(thing, self.state(thing), self.ways[thing.at], tuple(dark)) for thing, dark in found
        )

    def _covered(self, thing: Powered) -> bool:
        """Return whether a source of its power is not backed either, so that it goes dark with that one."""
        state = self.state(thing)
        return any(
            way.feed is not None
            and way.carries != "fail"
            and way.feed.source is not None
            and self.state(way.feed.source) == state
            for way in self.ways[thing.at]
        )

    def _dark_below(self, start: Powered, done: set[Path], roots: set[Path]) -> list[Powered]:
        state = self.state(start)
        dark: list[Powered] = []
        queue: deque[Powered] = deque([start])
        while queue:
            for feed in queue.popleft().feeds_out:
                load = feed.load
                carried = self._carries.get(feed.run.id) in {"pass", "open"}
                if carried and load.at not in done and load.at not in roots and self.state(load) == state:
                    done.add(load.at)
                    dark.append(load)
                    queue.append(load)
        return dark


def _loops(installation: Installation) -> tuple[tuple[str, ...], ...]:
    """Return the circuits and UPSs that feed only each other, each loop once from its least id on."""
    above: dict[str, str | None] = {
        thing.id: thing.value("from").value for thing in _mains_things(installation)
    }
    loops: list[tuple[str, ...]] = []
    done: set[str] = set()
    for start in above:
        trail: dict[str, int] = {}
        here: str | None = start
        while here is not None and here in above and here not in done and here not in trail:
            trail[here] = len(trail)
            here = above[here]
        if here is not None and here in trail:
            loop = list(trail)[trail[here] :]
            first = loop.index(min(loop))
            loops.append((*loop[first:], *loop[:first]))
        done.update(trail)
    return tuple(sorted(loops))


def _mains_things(installation: Installation) -> Iterable[Thing]:
    return (*installation.circuits.values(), *installation.ups.values())
