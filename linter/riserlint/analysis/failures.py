"""What goes down when one thing alone fails: a circuit, a UPS, a supply, a switch or an injector, a run.

Gear *goes down* with a failure where it loses all power, or where it no longer reaches something that it needs over
gear that has power. The mains are on; a UPS that fails passes nothing on, unless a bypass hands the mains on by itself.
Either of two supplies is taken to carry a switch alone, also where they are combined; what a source darkens
for want of watts is asked of its budget, not here.

The failures that take gear down are what all its ways have in common (:mod:`riserlint.analysis.fates`), with those
that darken a switch on a data path among that switch's own. So time is that of the ways times their depth, and never
one walk for each failure. What is not known is reckoned twice: as ways that hold for certain, and as none.
"""

from collections import deque
from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import NamedTuple

from riserlint.analysis.continuity import Continuity, Powered, Supplied, SupplyWay
from riserlint.analysis.fates import Fate, common_to_all_ways
from riserlint.analysis.needs import Needs
from riserlint.design.paths import Path
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear

_NOTHING: Fate = frozenset()
#: Where all runs meet of which nobody knows the far end.
_ANYWHERE = ""


class GearFate(NamedTuple):
    """The failures with which gear goes down, as places in ``Failures.things``.

    ``dark`` are those that take its power, ``sure`` those too that take what it needs, ``possible`` those that may,
    what is sure included. ``possible`` is None where nothing keeps it up for certain, so that it may go down with any.
    """

    dark: Fate
    sure: Fate
    possible: Fate | None


class Above(NamedTuple):
    """The failures of the circuits and UPSs above a supply, and what is not known of them.

    ``fates`` is None where nothing feeds it: circuits and UPSs that feed only each other. ``unknown`` is what is not
    known of where they end, ``bypasses`` of which UPSs it is not known whether they have a bypass.
    """

    fates: Fate | None
    unknown: Path | None
    bypasses: tuple[Path, ...]


class Failures:
    """The single failures of an installation, and what goes down with each.

    Attributes:
        things: what can fail, as (kind, id); a supply as the place where it is written.
        needed_by: what each gear needs, by its id.
        supplies: where supplies are written.
    """

    def __init__(self, installation: Installation, continuity: Continuity, needs: Needs) -> None:
        """Keep what the graphs are made of; they are walked when somebody asks."""
        self.installation = installation
        self.continuity = continuity
        self.needs = needs
        self.things: list[Path] = []
        self._places: dict[Path, int] = {}
        self._marks: dict[Path, Fate] = {}
        self.supplies = {supply.source.at for thing in continuity.powered() for supply in thing.supplies}
        self.needed_by = {gear.id: asker.needs for asker in needs.askers for gear in asker.members}
        self._at_best = _Ways(self, certain=False)
        self._at_worst = _Ways(self, certain=True)
        self._links: dict[str, list[tuple[str, Fate]]] | None = None

    def mark(self, thing: Path) -> Fate:
        """Return the failure of one thing as a set of its own."""
        found = self._marks.get(thing)
        if found is None:
            found = self._marks[thing] = frozenset((len(self.things),))
            self.things.append(thing)
        return found

    @property
    def links(self) -> dict[str, list[tuple[str, Fate]]]:
        """The neighbours of each gear over runs, each with the failure of its run."""
        if self._links is None:
            self._links = {}
            for run in self.installation.runs.values():
                if run.from_port is not None and run.to_port is not None:
                    first, last, step = run.from_port.gear.id, run.to_port.gear.id, self.mark(run.at)
                    self._links.setdefault(first, []).append((last, step))
                    self._links.setdefault(last, []).append((first, step))
        return self._links

    def fate(self, gear: Gear) -> GearFate | None:
        """Return with which failures gear goes down; None where it has no power without any failure."""
        dark = self._at_best.power.get(gear.at)
        if dark is None:
            return None
        ways = self._at_best.to_needs(gear)
        sure = dark.union(*(fate for fate in ways if fate is not None))
        if not self.has_unknown:
            return GearFate(dark, sure, sure)
        if None in ways and self.needs.loose:
            # No run that is described leads to what it needs, and some lead nobody knows where.
            return GearFate(dark, sure, None)
        worst_dark = self._at_worst.power.get(gear.at)
        worst = self._at_worst.to_needs(gear)
        reached = [
            fate for fate, best in zip(worst, ways, strict=True) if best is not None
        ]  # else it can't lose it
        if worst_dark is None or None in reached:
            return GearFate(dark, sure, None)
        return GearFate(dark, sure, worst_dark.union(*(fate for fate in reached if fate is not None)))

    @cached_property
    def has_unknown(self) -> bool:
        """Whether anything is unknown on which a fate may turn."""
        if self.needs.loose and self.needs.askers:
            return True
        return any(True for thing in self.continuity.powered() for _ in self._unknown_of(thing))

    def missing(self, gear: Gear) -> tuple[Path, ...]:
        """Return what is not known nearest to gear: of what feeds it, or of its ways to what it needs."""
        seen: set[Path] = set()
        queue: deque[Powered] = deque([gear])
        providers: list[Gear] = []
        for need in self.needed_by.get(gear.id, ()):
            providers.extend(self.needs.providers(need))
        while queue or providers:
            if not queue:
                queue.extend(providers)
                providers = []
            here = queue.popleft()
            if here.at in seen:
                continue
            seen.add(here.at)
            found = tuple(dict.fromkeys(self._unknown_of(here)))
            if found:
                return found
            queue.extend(
                way.feed.source
                for way in self.continuity.ways[here.at]
                if way.feed is not None and way.feed.source is not None
            )
            if here is gear or (isinstance(here, Gear) and self.needs.passes(here.id) is not False):
                queue.extend(self.installation.gear[other] for other, _ in self.links.get(here.id, ()))
        return ((*gear.at, "run"),)

    def _unknown_of(self, thing: Powered) -> Iterator[Path]:
        for way in self.continuity.ways[thing.at]:
            if way.supplied is not None:
                found = self.above(way.supplied)
                if found.unknown is not None:
                    yield found.unknown
                yield from found.bypasses
            if way.carries == "open":
                yield (*thing.at, "inlet" if thing.kind == "switch" else "pd")
        if isinstance(thing, Gear):
            if self.needs.passes(thing.id) is None:
                yield (*thing.at, "joins")
            if thing.id in self.needs.loose:
                runs = [port.run for port in thing.ports.values() if port.run is not None]
                ends = [
                    (*run.at, "to" if run.to_port is None else "from")
                    for run in runs
                    if run.from_port is None or run.to_port is None
                ]
                yield from ends or [(*thing.at, "run")]

    def above(self, supplied: Supplied, *, certain: bool = False) -> "Above":
        """Return the failures of the circuits and UPSs above a supply, and what is not known of them.

        A UPS with a bypass takes nothing down when it fails; one of which that is not known may (``certain``: it does).
        """
        marks: set[int] = set()
        bypasses: list[Path] = []
        seen: set[str] = set()
        here = supplied
        while True:
            for circuit in here.through:
                marks |= self.mark(("circuit", circuit))
            if here.end in {"loop", "refused"}:
                return Above(None, None, ())
            if here.ups is None:
                unknown = here.missing if here.end == "unknown" else None
                return Above(frozenset(marks), unknown, tuple(bypasses))
            if here.ups in seen:
                return Above(None, None, ())
            seen.add(here.ups)
            bypass = self.installation.ups[here.ups].value("bypass")
            asked = bypass.value is None and self.installation.design.asked(bypass.at)
            if asked:
                bypasses.append(bypass.at)
            if certain if asked else not bypass.value:
                marks |= self.mark(("ups", here.ups))
            here = self.continuity.ups_above[here.ups]


class _Ways:
    """The fates with what is not known taken as ways that hold, or (``certain``) as none."""

    def __init__(self, failures: Failures, *, certain: bool) -> None:
        self._of = failures
        self._certain = certain
        self._to: dict[str, tuple[frozenset[str], dict[str, Fate]]] = {}

    @cached_property
    def power(self) -> dict[Path, Fate]:
        """The failures that darken each thing that has power."""
        of = self._of
        starts: dict[Path, list[Fate]] = {}
        things: dict[Path, Powered] = {}
        for thing in of.continuity.powered():
            things[thing.at] = thing
            begin = [fate for way in of.continuity.ways[thing.at] for fate in self._begins(way)]
            if begin:
                starts[thing.at] = begin
        carried = {
            way.feed.run.id
            for ways in of.continuity.ways.values()
            for way in ways
            if way.feed is not None and way.supplied is None and self._holds(way)
        }

        def onward(at: Path) -> Iterable[tuple[Path, Fate]]:
            return [
                (feed.load.at, of.mark(feed.run.at))
                for feed in things[at].feeds_out
                if feed.run.id in carried
            ]

        def own(at: Path) -> Fate:
            return of.mark(at) if at[0] in {"switch", "inline"} else _NOTHING

        return common_to_all_ways(starts, onward, own)

    def _holds(self, way: SupplyWay) -> bool:
        return way.carries == "pass" or (way.carries == "open" and not self._certain)

    def _begins(self, way: SupplyWay) -> Iterator[Fate]:
        """Yield the failures of one way over the mains; nothing where it is no way."""
        if way.supplied is None or not self._holds(way):
            return
        found = self._of.above(way.supplied, certain=self._certain)
        marks = found.fates
        if marks is None or (found.unknown is not None and self._certain):
            return
        if way.feed is not None:
            marks |= self._of.mark(way.feed.run.at)
        elif way.at in self._of.supplies:
            marks |= self._of.mark(way.at)
        yield marks

    def to_needs(self, gear: Gear) -> list[Fate | None]:
        """Return the failures that take each of gear's needs, its own power left out; None: it is not reached."""
        found: list[Fate | None] = []
        for need in self._of.needed_by.get(gear.id, ()):
            if need not in self._to:
                providers = self._of.needs.providers(need)
                self._to[need] = frozenset(provider.id for provider in providers), self._spread(providers)
            names, reached = self._to[need]
            if not names:
                continue  # nothing has the role: another rule's finding
            if gear.id in names:
                found.append(_NOTHING)
                continue
            common: Fate | None = None
            for other, step in self._neighbours(gear.id):
                marks = reached.get(other)
                if marks is None or not (other in names or self._passes(other)):
                    continue
                way = marks | step
                common = way if common is None else common & way
            found.append(common)
        return found

    def _spread(self, providers: Iterable[Gear]) -> dict[str, Fate]:
        """Return what all ways from providers have in common, for each gear that frames pass or begin at."""
        starts = {gear.id: [_NOTHING] for gear in providers}

        def own(name: str) -> Fate | None:
            if name == _ANYWHERE:
                return _NOTHING
            if name not in starts and not self._passes(name):
                return None
            return self.power.get(self._of.installation.gear[name].at)

        return common_to_all_ways(starts, self._neighbours, own)

    def _neighbours(self, name: str) -> Iterable[tuple[str, Fate]]:
        if name == _ANYWHERE:
            return [(other, _NOTHING) for other in self._of.needs.loose]
        near = self._of.links.get(name, [])
        if not self._certain and name in self._of.needs.loose:
            return [*near, (_ANYWHERE, _NOTHING)]
        return near

    def _passes(self, name: str) -> bool:
        if name == _ANYWHERE:
            return True
        passes = self._of.needs.passes(name)
        return bool(passes) or (passes is None and not self._certain)
