"""The mains supplies of a source: what they give to PoE, what is left when one fails, what goes dark."""

import math
from collections.abc import Iterable
from typing import NamedTuple

from riserlint.analysis.power import SourcePower
from riserlint.design.paths import Path
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, InlineGear

#: Priorities in the order in which ports go dark; gear that states none may go at any moment.
_RANKS = {"low": 0, "high": 1, "critical": 2}
_UNLIMITED = Span(math.inf, math.inf)


class Limited(NamedTuple):
    """Watts that something can give: range, where written, in words, what is missing, what it rests on."""

    watts: Span
    at: Path
    words: str
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]


class SupplyLost(NamedTuple):
    """A source with one supply taken away: which (its place in the list), and what the others give to PoE."""

    place: int
    left: Limited


class Dark(NamedTuple):
    """Ports that go dark: how many at least and at most, of how many, and the gear that may be hit."""

    least: int
    most: int
    ports: int
    gear: tuple[Gear, ...]

    @property
    def counted(self) -> str:
        """The number for a reader: ``3``, or ``2 to 4``."""
        return f"{self.least}" if self.least == self.most else f"{self.least} to {self.most}"

    @property
    def roles(self) -> tuple[str, ...]:
        """The roles that may be hit, and the switches with all that hangs on them."""
        roles = {str(gear.value("role").value) for gear in self.gear if not gear.is_switch}
        switches = {f"what hangs on {gear.id}" for gear in self.gear if gear.is_switch}
        return tuple(sorted((roles | switches) - {"None"}))


def supplied(gear: Gear | InlineGear, without: int | None = None) -> Limited | None:
    """Return what the supplies give to PoE together, None where none of them states it.

    ``without`` is the place of one that has failed. Of supplies that are not combined, the source may count
    on all of them or leave the greatest one out.
    """
    supplies = [supply for place, supply in enumerate(gear.supplies) if place != without]
    known = [supply.poe_w for supply in supplies if supply.poe_w.value is not None]
    if not known:
        return None
    watts = [float(value.value or 0.0) for value in known]
    missing = [supply.poe_w.at for supply in supplies if supply.poe_w.value is None]
    low, high = sum(watts), math.inf if missing else sum(watts)
    words = (
        "its supplies"
        if without is None
        else "the other supplies"
        if len(supplies) > 1
        else "the other supply"
    )
    if without is None and len(supplies) > 1:
        mode = gear.value("supply_mode")
        if mode.value != "combined":
            low -= max(watts)
        if mode.value is None:
            missing.append(mode.at)
    return Limited(Span(low, high), known[0].at, words, tuple(missing), tuple(value.at for value in known))


def budget_of(gear: Gear | InlineGear) -> Limited:
    """Return a source's budget: the stated one, and not more than its mains supplies give to PoE."""
    stated = gear.value("pse", "budget_w")
    mains = supplied(gear)
    if stated.value is None:
        if mains is None:
            return Limited(Span(0.0, math.inf), stated.at, "", (stated.at,), ())
        return mains if mains.watts.known else mains._replace(missing=(stated.at, *mains.missing))
    if stated.value == "none":
        if mains is None:
            return Limited(_UNLIMITED, stated.at, "no budget of its own", (), (stated.at,))
        return mains._replace(rests_on=(stated.at, *mains.rests_on))
    watts, words = float(stated.value), "its budget"
    low, high = (math.inf, math.inf) if mains is None else mains.watts
    if len(gear.supplies) > 1 and gear.value("supply_mode").value != "combined":
        low = high  # the budget says how much of redundant supplies is counted on
    if mains is None or watts <= low:
        return Limited(Span(watts, watts), stated.at, words, (), (stated.at,))
    rests_on = (stated.at, *mains.rests_on)
    if watts <= high:
        return Limited(Span(low, watts), stated.at, words, mains.missing, rests_on)
    return mains._replace(
        watts=Span(low, high), missing=() if low == high else mains.missing, rests_on=rests_on
    )


def supplies_lost(gear: Gear) -> tuple[SupplyLost, ...]:
    """Return what is left to PoE, budget and supplies, with each supply taken away in turn."""
    stated = gear.value("pse", "budget_w").value
    own = math.inf if stated is None or stated == "none" else float(stated)
    lost = []
    for place in range(len(gear.supplies)):
        left = supplied(gear, place)
        if left is None:
            missing = tuple(supply.poe_w.at for other, supply in enumerate(gear.supplies) if other != place)
            left = Limited(Span(0.0, math.inf), missing[0], "the others", missing, ())
        lost.append(
            SupplyLost(place, left._replace(watts=Span(min(own, left.watts.low), min(own, left.watts.high))))
        )
    return tuple(lost)


def supplies_allow(gear: Gear | InlineGear, watts: float) -> bool:
    """Return whether the supplies give these watts, also with one failed where they are not combined."""
    without: list[int | None] = [None]
    if len(gear.supplies) > 1 and gear.value("supply_mode").value != "combined":
        without.extend(range(len(gear.supplies)))
    left = [supplied(gear, place) for place in without]
    return all(limit is None or limit.watts.low >= watts for limit in left)


def shared_supplies(installation: Installation, gear: Gear) -> tuple[tuple[int, int, str], ...]:
    """Return pairs of supplies that hang on one thing, and its id: one circuit, or circuits of one UPS.

    What is above a UPS is not counted: its battery carries on when that fails. Two supplies that are only
    said to be on the mains are not known to share anything.
    """
    above = [_up_to_ups(installation, supply.source.value) for supply in gear.supplies]
    found = []
    for first in range(len(above)):
        for second in range(first + 1, len(above)):
            common = next((name for name in above[first] if name in above[second]), None)
            if common is not None:
                found.append((first, second, common))
    return tuple(found)


def _up_to_ups(installation: Installation, name: str | None) -> tuple[str, ...]:
    trail: list[str] = []
    while name is not None and name not in trail and name in installation.circuits:
        trail.append(name)
        name = installation.circuits[name].value("from").value
    if name is not None and name in installation.ups:
        trail.append(name)
    return tuple(trail)


def dark_ports(source: SourcePower, left_w: float) -> Dark:
    """Return how many ports go dark when a source has only ``left_w`` for them.

    Ports go by priority, the lowest first, until the rest holds. Among equals it is not known which, so the
    count lies between taking the greatest loads first and the smallest first. Gear that states no priority
    may go at any moment: where there is such, all count as equals.
    """
    measured = source.gear.value("pse", "reserves").value == "measured"
    loads = [
        (power.feed.load, (power.source_w if measured else power.reserved_w).high) for power in source.feeds
    ]
    loads = [(gear, watts) for gear, watts in loads if watts > 0]
    ranks = [
        _RANKS.get(gear.value("priority").value or "", -1) if not gear.is_switch else -1 for gear, _ in loads
    ]
    if -1 in ranks:
        ranks = [0] * len(loads)
    over = sum(watts for _, watts in loads) - left_w
    least = most = 0
    hit: list[Gear] = []
    for rank in sorted(set(ranks)):
        if over <= 0:
            break
        group = [load for load, of in zip(loads, ranks) if of == rank]
        sizes = sorted(watts for _, watts in group)
        hit.extend(gear for gear, _ in group)
        least += _taken(reversed(sizes), over)
        most += _taken(sizes, over)
        over -= sum(sizes)
    return Dark(least, most, len(loads), tuple(hit))


def _taken(sizes: Iterable[float], over: float) -> int:
    """Return how many loads, in their order, have to go until the rest is no longer over."""
    count = 0
    for watts in sizes:
        if over <= 1e-9 * max(1.0, watts):
            break
        over -= watts
        count += 1
    return count
