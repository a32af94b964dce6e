"""The mains supplies of a source: what they give to PoE, what is left when one fails, what goes dark."""

import math
from collections.abc import Iterable
from typing import Any, NamedTuple

from riserlint.analysis import watt_words
from riserlint.analysis.ambient import space_celsius, space_of_inline
from riserlint.analysis.power import SourcePower
from riserlint.design.paths import Path
from riserlint.engineering.rating import Rating, rated_watts
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, InlineGear, Port, PortGroup, SupplyFeed, Value

#: Priorities in the order in which ports go dark; gear that states none may go at any moment.
_RANKS = {"low": 0, "high": 1, "critical": 2}
_UNLIMITED = Span(math.inf, math.inf)


class Limited(NamedTuple):
    """Watts that something can give: range, where written, in words, what is missing, what it rests on.

    ``plain``: they are written as one number, not by points of voltage and ambient.
    """

    watts: Span
    at: Path
    words: str
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]
    plain: bool = True


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


def supplied(
    installation: Installation, gear: Gear | InlineGear, without: int | None = None
) -> Limited | None:
    """Return what the supplies give to PoE together, None where none of them states it.

    ``without`` is the place of one that has failed. Of supplies that are not combined, the source may count
    on all of them or leave the greatest one out.
    """
    supplies = [supply for place, supply in enumerate(gear.supplies) if place != without]
    known = [supply for supply in supplies if supply.poe_w.value is not None]
    if not known:
        return None
    given = [rated(installation, gear, supply.poe_w, (supply,)) for supply in known]
    missing = [supply.poe_w.at for supply in supplies if supply.poe_w.value is None]
    low = sum(limit.watts.low for limit in given)
    high = math.inf if missing else sum(limit.watts.high for limit in given)
    missing.extend(path for limit in given for path in limit.missing)
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
            low -= max(limit.watts.low for limit in given)
        if mode.value is None:
            missing.append(mode.at)
    rests_on = tuple(path for limit in given for path in limit.rests_on)
    plain = all(limit.plain for limit in given)
    if not plain:
        words += f" ({', '.join(limit.words for limit in given)})"
    return Limited(Span(low, high), known[0].poe_w.at, words, tuple(dict.fromkeys(missing)), rests_on, plain)


def rated(
    installation: Installation,
    gear: Gear | InlineGear,
    written: Value[Any],
    supplies: tuple[SupplyFeed, ...],
) -> Limited:
    """Return watts that are written as one number, or by points of input voltage and ambient.

    The voltage is that of what the supplies hang on: the nearest circuit or UPS above that states its ``volts``;
    of several supplies that differ, any of theirs. The ambient is the hottest of the space that the gear stands
    in; of an injector, of its stretch of the run, or of all that the run passes where its place is not known. What is
    not known leaves the range over the points.
    :func:`riserlint.engineering.rating.rated_watts` says which point counts.
    """
    if not isinstance(written.value, tuple):
        watts = float(written.value or 0.0)
        return Limited(Span(watts, watts), written.at, watt_words.watts(watts), (), (written.at,))
    points = written.value
    ratings = [Rating(point.w, point.volts, point.max_c) for point in points]
    missing: list[Path] = []
    rests_on: list[Path] = [written.at]
    said: list[str] = []
    volts: list[float] = []
    celsius = Span(-math.inf, math.inf)
    volts_missing: list[Path] = []
    celsius_missing: list[Path] = []
    if points[0].volts is not None:
        found = [input_volts(installation, supply) for supply in supplies]
        volts_missing = [value.at for value in found if value.value is None]
        if not found:
            volts_missing.append((*gear.at, "from"))
        if not volts_missing:
            volts = sorted({float(value.value or 0.0) for value in found})
            rests_on.extend(value.at for value in found)
            said.append(" or ".join(f"{volt:g} V" for volt in volts))
    if points[0].max_c is not None:
        celsius, celsius_at, celsius_missing = _hottest(installation, gear)
        rests_on.extend(celsius_at)
        if celsius.known:
            said.append(f"{celsius.low:g} °C")
    result = rated_watts(ratings, volts, celsius)
    missing.extend(volts_missing if result.needs_volts else ())
    missing.extend(celsius_missing if result.needs_celsius else ())
    if result.outside:
        missing.append(written.at)
    words = f"{watt_words.watts(result.watts)}{' at ' if said else ''}{' and '.join(said)}"
    return Limited(
        result.watts, written.at, words, tuple(dict.fromkeys(missing)), tuple(dict.fromkeys(rests_on)), False
    )


def input_volts(installation: Installation, supply: SupplyFeed) -> Value[float]:
    """Return the voltage that a supply is fed with: that of the nearest circuit or UPS above which states it.

    What hangs directly on the mains has none stated: a circuit would say it.
    """
    name = supply.source.value
    nearest = supply.source.at
    seen: set[str] = set()
    while name is not None and name not in seen:
        seen.add(name)
        above = installation.circuits.get(name) or installation.ups.get(name)
        if above is None:
            break
        volts: Value[float] = above.value("volts")
        if volts.value is not None:
            return volts
        if nearest == supply.source.at:
            nearest = volts.at
        name = above.value("from").value
    return Value(None, nearest)


def _hottest(installation: Installation, gear: Gear | InlineGear) -> tuple[Span, list[Path], list[Path]]:
    """Return the hottest ambient of gear as a range, what it rests on, and what is missing."""
    place: Value[str] = gear.value("space") if isinstance(gear, Gear) else space_of_inline(gear)
    spaces = [place]
    if place.value is None and isinstance(gear, InlineGear) and gear.run is not None:
        spaces = [segment.space for segment in gear.run.segments]  # somewhere on its run
    found = [space_celsius(installation, space, "max_c") for space in spaces]
    missing = [at for celsius, at in found if celsius is None]
    known = [celsius for celsius, _ in found if celsius is not None]
    rests_on = [at for celsius, at in found if celsius is not None]
    if missing or not known:
        return Span(-math.inf, math.inf), rests_on, missing or [gear.at]
    return Span(min(known), max(known)), rests_on, [place.at]


def own_budget(installation: Installation, gear: Gear | InlineGear) -> Limited | None:
    """Return the budget that a source itself states, None where it states none or says that there is none."""
    stated = gear.value("pse", "budget_w")
    if stated.value is None or stated.value == "none":
        return None
    return rated(installation, gear, stated, gear.supplies)


def group_budget(installation: Installation, gear: Gear, group: PortGroup) -> Limited:
    """Return the budget of a group of ports."""
    if group.budget_w.value is None:
        return Limited(Span(0.0, math.inf), group.budget_w.at, "", (group.budget_w.at,), ())
    limit = rated(installation, gear, group.budget_w, gear.supplies)
    return limit._replace(words=f"the budget of ports {group.label}, {limit.words}")


def group_of(port: Port | None) -> PortGroup | None:
    """Return the group of ports with a budget of its own that a port is in, None where it is in none."""
    if port is None:
        return None
    return next((group for group in port.gear.groups if port.name in group.ports), None)


def budget_of(installation: Installation, gear: Gear | InlineGear) -> Limited:
    """Return a source's budget: the stated one, and not more than its mains supplies give to PoE.

    Supplies alone bound it from above: what the source itself gives may be less.
    """
    stated = gear.value("pse", "budget_w")
    mains = supplied(installation, gear)
    if stated.value is None:
        if mains is None:
            return Limited(Span(0.0, math.inf), stated.at, "", (stated.at,), ())
        return mains._replace(watts=Span(0.0, mains.watts.high), missing=(stated.at, *mains.missing))
    own = own_budget(installation, gear)
    if own is None:
        if mains is None:
            return Limited(_UNLIMITED, stated.at, "no budget of its own", (), (stated.at,))
        return mains._replace(rests_on=(stated.at, *mains.rests_on))
    own = own._replace(words="its budget" if own.plain else f"its budget, {own.words}")
    low, high = (math.inf, math.inf) if mains is None else mains.watts
    if len(gear.supplies) > 1 and gear.value("supply_mode").value != "combined":
        low = high  # the budget says how much of redundant supplies is counted on
    if mains is None or own.watts.high <= low:
        return own
    rests_on = (*own.rests_on, *mains.rests_on)
    both = Span(min(own.watts.low, low), min(own.watts.high, high))
    missing = () if both.known else (*own.missing, *mains.missing)
    if own.watts.high <= high:
        return own._replace(watts=both, missing=missing, rests_on=rests_on)
    return mains._replace(watts=both, missing=missing, rests_on=rests_on)


def supplies_lost(installation: Installation, gear: Gear) -> tuple[SupplyLost, ...]:
    """Return what is left to PoE, budget and supplies, with each supply taken away in turn."""
    stated = own_budget(installation, gear)
    own = _UNLIMITED if stated is None else stated.watts
    lost = []
    for place in range(len(gear.supplies)):
        left = supplied(installation, gear, place)
        if left is None:
            missing = tuple(supply.poe_w.at for other, supply in enumerate(gear.supplies) if other != place)
            left = Limited(Span(0.0, math.inf), missing[0], "the others", missing, ())
        both = Span(min(own.low, left.watts.low), min(own.high, left.watts.high))
        missing = (*left.missing, *(() if stated is None or stated.watts.known else stated.missing))
        lost.append(SupplyLost(place, left._replace(watts=both, missing=missing)))
    return tuple(lost)


def supplies_allow(installation: Installation, gear: Gear | InlineGear, watts: float) -> bool:
    """Return whether the supplies give these watts, also with one failed where they are not combined."""
    without: list[int | None] = [None]
    if len(gear.supplies) > 1 and gear.value("supply_mode").value != "combined":
        without.extend(range(len(gear.supplies)))
    left = [supplied(installation, gear, place) for place in without]
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
