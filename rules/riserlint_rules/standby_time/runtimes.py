"""How long a UPS holds, against the standby asked."""

import math
from collections.abc import Iterator

from riserlint import (
    Answer,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Said,
    Span,
    Standby,
    Standbys,
    at_least,
    path_text,
    supply_limits,
)
from riserlint_rules.standby_time.checks import RUNTIME
from riserlint_rules.standby_time.words import (
    floor_tenth,
    minutes_words,
    named,
    share_words,
    watts_words,
)


def runtimes(asking: Standbys) -> Iterator[Said]:
    """Yield the answers for every UPS, and for what hangs on several."""
    outage, ends = asking.built.outage, asking.built.blackout.ends
    for name, fault in outage.at_fault.items():
        ups = asking.built.ups[name]
        yield Answer(
            RUNTIME.name,
            "fail",
            ups.at,
            (*ups.at, "runtime"),
            f"{name}: its stated runtime can't be right ({fault.removeprefix('runtime points: ')})",
            level="warning",
            remedy=Remedy("read the points again from the maker's table"),
            rests_on=((*ups.at, "runtime"),),
            distinct="points",
        )
    asked_alone = {next(iter(holders)) for holders in asking.asked if len(holders) == 1}
    unknown = {next(iter(holders)) for holders in asking.unknown_of if len(holders) == 1}
    for name, ups in asking.built.ups.items():
        if name not in asked_alone and name not in unknown:
            yield NotApplicable(RUNTIME.name, ups.at, "no standby is asked of what hangs on it alone")
    for holders, standby in asking.asked.items():
        names = sorted(holders)
        verdicts = [at_least(ends[name], standby.minutes) for name in names]
        if "pass" in verdicts:
            yield Passed(RUNTIME.name, ("ups", names[verdicts.index("pass")]))
        elif not any(name in outage.at_fault for name in names):
            yield _short(asking, names, standby, all(verdict == "fail" for verdict in verdicts))
    for holders, at in asking.unknown_of.items():
        asked = asking.asked.get(holders)
        names = sorted(holders)
        if asked is None or any(asking.holds(name, asked.minutes) for name in names):
            yield _unknown_standby(asking, names, at)


def _unknown_standby(asking: Standbys, names: list[str], at: tuple[Path, ...]) -> Answer:
    outage, ends = asking.built.outage, asking.built.blackout.ends
    name = max(names, key=lambda found: (ends[found].low, found))
    held = ends[name]
    roles = named([path_text(path[:2]) for path in at])
    return Answer(
        RUNTIME.name,
        "open",
        asking.built.ups[name].at,
        at[0],
        f"cannot tell whether {name} holds long enough: for how long {roles} has to stand by is not known; it "
        f"holds {minutes_words(held)}",
        missing=at,
        turns=f"holds if {math.floor(held.low):g} min or less are asked" if 1 <= held.low < math.inf else "",
        rests_on=(*outage.load.by_ups[name].rests_on, *outage.batteries[name].rests_on),
        distinct=" ".join(("standby unknown", *(other for other in names if other != name))),
    )


def _short(asking: Standbys, names: list[str], standby: Standby, fails: bool) -> Answer:
    outage, ends = asking.built.outage, asking.built.blackout.ends
    name = max(names, key=lambda found: (ends[found].high, found))
    ups, held, load = asking.built.ups[name], ends[name], outage.load.by_ups[name]
    carried = Span(load.least_w, load.watts.high)
    others = [other for other in names if other != name]
    beside = f" ({', '.join(others)} no longer)" if others else ""
    rests_on = (*load.rests_on, *outage.batteries[name].rests_on, standby.at)
    at = next((key for key in ("runtime", "battery_wh") if ups.value(key).value is not None), "runtime")
    at_path = ups.value(at).at
    generator = asking.built.continuity.top_of(name) == "generator"
    distinct = "" if not others else f"with {' '.join(others)}"
    if generator:
        return Answer(
            RUNTIME.name,
            "review",
            ups.at,
            at_path,
            f"{name} holds {minutes_words(held)} of the {standby.minutes:g} min that {standby.who} asks; the "
            "generator carries on if it starts in that time: prove it at acceptance",
            value=held.low,
            limit=standby.minutes,
            unit="min",
            held_against=standby.limit,
            working=_working(asking, name, carried),
            rests_on=rests_on,
            distinct=distinct,
        )
    if not fails:
        return Answer(
            RUNTIME.name,
            "open",
            ups.at,
            at_path,
            f"cannot tell whether {name} holds the {standby.minutes:g} min that {standby.who} asks: "
            f"{minutes_words(held)} at {watts_words(carried)}{beside}{_point_words(asking, name, standby.minutes)}",
            held_against=standby.limit,
            working=_working(asking, name, carried),
            missing=(*outage.minutes_missing(name, standby.minutes), *_what_feeds(asking, name)),
            turns=_turns(asking, name, standby.minutes, carried),
            rests_on=rests_on,
            distinct=distinct,
        )
    return Answer(
        RUNTIME.name,
        "fail",
        ups.at,
        at_path,
        f"{name} holds {minutes_words(held)} at {watts_words(carried)}, {standby.who} asks "
        f"{standby.minutes:g} min{beside}",
        value=held.high,
        limit=standby.minutes,
        unit="min",
        margin=held.high - standby.minutes,
        held_against=standby.limit,
        working=_working(asking, name, carried),
        related=(Related(standby.at, "asks it"),),
        remedy=_longer(asking, name, standby.minutes, carried),
        rests_on=rests_on,
        distinct=distinct,
    )


def _what_feeds(asking: Standbys, name: str) -> tuple[Path, ...]:
    """Return what is not known of what feeds a UPS, where that may be another one."""
    here = asking.built.continuity.ups_above[name]
    while here.ups is not None and here.ups != name:
        here = asking.built.continuity.ups_above[here.ups]
    return () if here.missing is None or len(asking.built.ups) < 2 else (here.missing,)


def _working(asking: Standbys, name: str, carried: Span) -> str:
    outage, ups = asking.built.outage, asking.built.ups[name]
    battery = outage.batteries[name]
    age = "age unknown" if battery.age_years is None else f"{battery.age_years:.1f} years old"
    shares = f"{share_words(battery.share)} left ({age}) × {share_words(battery.cold)} for temperature"
    points = ups.value("runtime").value
    if points:
        table = ", ".join(f"{point.w:g} W {point.min:g} min" for point in points)
        words = f"{watts_words(carried)} / ({shares}) on the points {table}: {minutes_words(outage.minutes(name))}"
    elif outage.knows_runtime(name):
        kind = ups.value("chemistry").value or "lead-acid or lithium"
        efficiency = ups.value("efficiency").value
        shown = "unknown" if efficiency is None else f"{efficiency:g}"
        words = (
            f"{ups.value('battery_wh').value:g} Wh × rate share of {kind} × {shares} × efficiency {shown} / "
            f"{watts_words(carried)} = {minutes_words(outage.minutes(name))}"
        )
    else:
        words = f"{watts_words(carried)}, neither runtime points nor battery energy stated"
    above = asking.built.continuity.ups_above[name].ups
    return words if above is None else f"{words}, after {above} is empty"


def _point_words(asking: Standbys, name: str, minutes: float) -> str:
    """Return which runtime point is missing; empty where the stated ones reach as far as the load."""
    point = asking.built.outage.point_missing(name, minutes)
    if point is None or asking.built.continuity.ups_above[name].ups is not None:
        return ""
    if point.lighter:
        at = f"one at {floor_tenth(point.drawn_w.low):g} W or less"
        return f"; its runtime points begin at {point.end_w:g} W, and {at} is missing"
    at = f"one at {math.ceil(point.drawn_w.high):g} W or more"
    return f"; its runtime points end at {point.end_w:g} W, and {at} is missing"


def _turns(asking: Standbys, name: str, minutes: float, carried: Span) -> str:
    outage = asking.built.outage
    if not outage.knows_runtime(name) or asking.built.continuity.ups_above[name].ups is not None:
        return ""
    point = outage.point_missing(name, minutes)
    if point is not None and point.lighter:
        if point.drawn_w.high >= point.end_w:
            return f"turns on a runtime point at {floor_tenth(point.drawn_w.low):g} W or less"
        return _point_that_holds(asking, name, minutes, carried, point.drawn_w.high)
    if not carried.known:
        most_w = outage.greatest_load_w(name, minutes)
        if most_w >= 1:
            return f"holds if the load is {math.floor(most_w):g} W or less"
    if math.isfinite(carried.high):
        share = outage.least_share(name, minutes)
        if share is not None:
            return f"holds if its battery still has {math.ceil(share * 100)} % of its capacity or more"
    if point is not None:
        return _point_that_holds(asking, name, minutes, carried, point.drawn_w.high)
    return ""


def _point_that_holds(asking: Standbys, name: str, minutes: float, carried: Span, drawn_w: float) -> str:
    """Return the runtime point with which a UPS holds."""
    battery = asking.built.outage.batteries[name]
    left = battery.share.low * battery.cold.low
    aged = "" if left == 1 else f" / {left:.3g} left of its battery"
    return (
        f"holds if a runtime point gives {minutes:g} min or more at {math.ceil(drawn_w):g} W "
        f"({watts_words(Span(carried.high, carried.high))}{aged})"
    )


def _longer(asking: Standbys, name: str, minutes: float, carried: Span) -> Remedy:
    outage, ups = asking.built.outage, asking.built.ups[name]
    words: list[str] = []
    if asking.built.continuity.ups_above[name].ups is not None:
        minutes = max(1.0, minutes - asking.built.blackout.ends[name].low + outage.minutes(name).low)
    most_w = outage.greatest_load_w(name, minutes)
    if most_w >= 1:
        words.append(f"a load of {math.floor(most_w):g} W or less on it")
    if ups.value("runtime").value is None and math.isfinite(carried.high):
        energy = outage.least_battery_wh(name, minutes)
        if energy is not None:
            words.append(f"a battery of {math.ceil(energy):g} Wh or more")
    left = outage.batteries[name].share.low * outage.batteries[name].cold.low
    if left > 0 and math.isfinite(carried.high):
        words.append(f"a UPS that holds {minutes:g} min at {math.ceil(carried.high / left):g} W when new")
    elif math.isfinite(carried.high):
        # Nothing is sure to be left of this battery: a new one has to hold it to the end of its life.
        needed = carried.high * supply_limits.AGEING_FACTOR.value
        words.append(
            f"a new battery, of a UPS that holds {minutes:g} min at {math.ceil(needed):g} W when new"
        )
    return Remedy(", or ".join(words) or f"a UPS that holds {minutes:g} min")
