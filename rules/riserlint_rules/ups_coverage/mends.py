"""Which UPS takes what escapes all of them: reckoned one after the other, so that the mends hold together."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from riserlint import Carried, Change, Gear, Path, Remedy, Span, SupplyWay, Thing, Unbacked
from riserlint_rules.ups_coverage.asking import Asking
from riserlint_rules.ups_coverage.checks import VOLT_AMPERES, WATTS
from riserlint_rules.ups_coverage.ratings import rated
from riserlint_rules.ups_coverage.words import ceil_tenth, named, watts_words

#: Only so many UPSs are tried for gear that escapes: the nearest first.
_TRIED = 3


class Mend(NamedTuple):
    """What would back one piece of gear; ``short`` is a power budget of its own that is too small as well."""

    remedy: Remedy
    short: Path | None


def main_way(root: Unbacked) -> SupplyWay:
    """Return the way in which gear that is not backed could be: its supply, else its feed."""
    return next((way for way in root.ways if way.supplied is not None), root.ways[0])


class Mends:
    """The mends of all gear that escapes.

    Each UPS takes one piece of gear after the other as long as it still holds what is asked of it; what is asked to
    stand by comes first. So all of them can be done together, and any of them alone: with less on it a UPS holds
    longer.
    """

    def __init__(self, asking: Asking, escaping: Sequence[Unbacked]) -> None:
        """Find a UPS for each."""
        self._asking = asking
        outage = asking.built.outage
        self._parts = {root.thing.at: outage.load.part(root.thing) for root in escaping}
        self._carried = {name: load.carried for name, load in outage.load.by_ups.items()}
        self._taken: dict[str, list[str]] = {name: [] for name in asking.built.ups}
        self._minutes: dict[str, float] = dict.fromkeys(asking.built.ups, 0.0)
        for holders, standby in asking.asked.items():
            for name in holders:
                self._minutes[name] = max(self._minutes[name], standby.minutes)
        #: The longest standby of what has been taken: what that needs may hang on any UPS.
        self._longest = 0.0
        self._found: dict[Path, Remedy] = {}
        left: list[Unbacked] = []
        crowded: dict[str, list[Unbacked]] = {}
        self._asked: dict[Path, float] = {}
        for root in escaping:
            asks = asking.standby((root.thing, *root.dark))
            self._asked[root.thing.at] = 0.0 if asks is None else asks.minutes
        for root in sorted(escaping, key=lambda root: not self._asked[root.thing.at]):
            near = self._nearest(root)
            name = next((name for name in near if self._holds(name, root)), "")
            alone = name or next((name for name in near if self._holds(name, root, alone=True)), "")
            if name:
                self._take(name, root)
            elif alone:
                crowded.setdefault(alone, []).append(root)
            else:
                left.append(root)
        for name, roots in crowded.items():
            self._say_crowded(name, roots)
        self._say_left(left)

    def of(self, root: Unbacked) -> Mend:
        """Return what would back one of them."""
        remedy, short = self._found[root.thing.at], self._parts[root.thing.at].short
        if short is None:
            return Mend(remedy, None)
        text = f"{remedy.text}; its budget of {short.budget_w:g} W is too small as well"
        return Mend(remedy._replace(text=text), short.at)

    # -- which UPS ------------------------------------------------------------------------------------------

    def _nearest(self, root: Unbacked) -> list[str]:
        """Return the UPSs to try, those in the same space first, then those that feed the most."""
        way, thing, built = main_way(root), root.thing, self._asking.built
        if way.supplied is None or way.feed is not None:
            return []
        space = thing.value("space").value if isinstance(thing, Gear) else None
        loads = built.outage.load.by_ups
        return sorted(
            built.ups,
            key=lambda name: (
                space is None or built.ups[name].value("space").value != space,
                -len(loads[name].parts),
                name,
            ),
        )[:_TRIED]

    def _holds(self, name: str, root: Unbacked, *, alone: bool = False) -> bool:
        """Return whether a UPS keeps all that it is held to if it feeds one more, and no need turns up unmet.

        ``alone``: without what has been found for others.
        """
        built, minutes = self._asking.built, self._asked[root.thing.at]
        above = built.continuity.ups_above[name]
        if above.ups is not None or above.end == "loop":
            return False
        before = built.outage.load.by_ups[name].carried
        after = (before if alone else self._carried[name]).plus(self._parts[root.thing.at])
        if not all(self._rated(built.ups[name], before, after)):
            return False
        group = [thing for thing in (root.thing, *root.dark) if isinstance(thing, Gear)]
        if not built.needs.would_be_met(group):
            return False
        # What it needs may hang on any other UPS, which is then asked for as long.
        others = [other for other in built.ups if other != name] if minutes else []
        if not all(self._stays(other, minutes, alone) for other in others):
            return False
        most = max(self._minutes[name], minutes, 0.0 if alone else self._longest)
        return not most or built.outage.minutes(name, Span(after.least_w, after.watts.high)).low >= most

    def _rated(self, ups: Thing, before: Carried, after: Carried) -> list[bool]:
        """Return for each rating whether it is kept to, or can be told no less than before."""
        found: list[bool] = []
        for check in (WATTS, VOLT_AMPERES):
            verdict = rated(self._asking, ups, after, check).verdict
            told = rated(self._asking, ups, before, check).verdict
            found.append(verdict == "pass" or verdict == told == "open")
        return found

    def _stays(self, name: str, minutes: float, alone: bool) -> bool:
        if alone or not self._taken[name]:
            return self._asking.holds(name, minutes)
        carried = self._carried[name]
        return (
            self._asking.built.outage.minutes(name, Span(carried.least_w, carried.watts.high)).low >= minutes
        )

    # -- in words -------------------------------------------------------------------------------------------

    def _take(self, name: str, root: Unbacked) -> None:
        thing = root.thing
        self._carried[name] = self._carried[name].plus(self._parts[thing.at])
        before = self._taken[name]
        beside = f", {named(before)} included" if before else ""
        text = f"feed {thing.id} from {name}, which then carries {watts_words(self._carried[name].watts)}{beside}"
        self._found[thing.at] = Remedy(text, (Change(main_way(root).at, name),))
        before.append(thing.id)
        self._longest = max(self._longest, self._asked[thing.at])

    def _say_crowded(self, name: str, roots: list[Unbacked]) -> None:
        """Say of gear that a UPS would hold alone, but not beside what it has been found for already."""
        in_all, minutes = self._carried[name], self._minutes[name]
        for root in roots:
            in_all = in_all.plus(self._parts[root.thing.at])
            minutes = max(minutes, self._longest, self._asked[root.thing.at])
        taken = self._taken[name] or [taken for found in self._taken.values() for taken in found]
        for root in roots:
            self._found[root.thing.at] = Remedy(
                f"{name} holds {root.thing.id} alone, but not beside {named(taken)}: a larger UPS, for "
                f"{_needed(in_all, minutes)} in all"
            )

    def _say_left(self, roots: list[Unbacked]) -> None:
        """Say of gear that no UPS would hold what it takes, and what all of it takes together."""
        in_all, longest = Carried(), 0.0
        for root in roots:
            in_all = in_all.plus(self._parts[root.thing.at])
            longest = max(longest, self._asked[root.thing.at])
        has_ups = bool(self._asking.built.ups)
        start, which = (
            ("feed it from a UPS with room", "no UPS here surely holds") if has_ups else ("a UPS", "escape")
        )
        for root in roots:
            part, minutes = self._parts[root.thing.at], self._asked[root.thing.at]
            text = f"{start} for {_needed(Carried().plus(part), minutes)}"
            if len(roots) > 1:
                text += f"; the {len(roots):,} that {which} take {_needed(in_all, longest)} together"
            self._found[root.thing.at] = Remedy(text)


def _needed(carried: Carried, minutes: float) -> str:
    long = f" over {minutes:g} min" if minutes else ""
    return f"{_room(carried.watts, 'W')}, {_room(carried.va, 'VA')}{long}"


def _room(span: Span, unit: str) -> str:
    """Return what is surely enough, rounded up; where nothing bounds it, the range."""
    return f"{ceil_tenth(span.high):g} {unit}" if math.isfinite(span.high) else watts_words(span, unit)
