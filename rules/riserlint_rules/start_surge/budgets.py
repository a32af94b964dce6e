"""Budgets against the sum of ports that start one after the other."""

import math
from collections.abc import Iterator

from riserlint import (
    Answer,
    Built,
    Change,
    Citation,
    FeedPower,
    Gear,
    Limit,
    Limited,
    NotApplicable,
    Passed,
    Path,
    Remedy,
    Said,
    SourcePower,
    Span,
    Staging,
    StartLoads,
    at_most,
    start_loads,
    watt_words,
)
from riserlint_rules.start_surge.checks import BUDGET


def budget_answers(built: Built, source: SourcePower) -> Iterator[Said]:
    """Yield whether a source's budget, and that of each group of its ports, bears that its ports start."""
    at = source.gear.at
    why = _not_asked(source) or built.headroom.no_budget(source)
    yield (
        NotApplicable(BUDGET.name, at, why)
        if why
        else _answer(built, source, built.headroom.budget(source.gear))
    )
    if source.gear.value("pse", "reserves").value != "measured":
        return
    for group, sums, limit in built.headroom.groups(source):
        yield _answer(built, sums, limit, group.label)


def _not_asked(source: SourcePower) -> str:
    mode = source.gear.value("pse", "reserves").value
    if mode is None:
        return "how it reserves is not known"
    return "" if mode == "measured" else "it goes by what it reserves, whatever its ports draw"


def _answer(built: Built, source: SourcePower, limit: Limited, group: str = "") -> Said:
    gear, start_w = source.gear, source.start_w
    start = gear.value("pse", "start")
    running = at_most(source.enforced_w, limit.watts)
    if start_w is None or start.value is None:
        # Everything at once is the maximum that cascade-headroom holds against the budget.
        if running == "pass":
            return Passed(BUDGET.name, gear.at)
        return NotApplicable(
            BUDGET.name, gear.at, "all at once is its maximum, which cascade-headroom/budget judges"
        )
    if math.isinf(start_w.low):
        return NotApplicable(BUDGET.name, gear.at, "a load is off at its start, which is judged as a voltage")
    verdict = at_most(start_w, limit.watts)
    if verdict == "pass":
        return Passed(BUDGET.name, gear.at)
    if running == "fail" or (running == "open" and verdict == "open"):
        return NotApplicable(
            BUDGET.name, gear.at, "its budget is not known to be enough once all run: cascade-headroom/budget"
        )
    staging = Staging(start.value.ports, start.value.every_s)
    powers = tuple(built.power.feeds[power.feed.run.id] for power in source.feeds)
    loads = start_loads(powers, built.running_power.feeds)
    better = loads.proposal(limit.watts.low)
    asked, given = watt_words.told_apart(start_w, limit.watts)
    one = len(powers) == 1
    counted = "one load" if one else f"{len(powers)} loads"
    whose = f"the {counted} of its ports {group}" if group else f"its {counted}"
    starts, asks = ("starts", "it asks") if one else ("start", "they ask")
    steps = f"{staging.ports} at a time every {staging.every_s:g} s"
    working = (
        f"once all run {watt_words.watts(source.enforced_w)}; {_those_starting(loads)}; {steps}: "
        f"at the worst {asked}; {given}, {limit.words or 'its budget'}"
    )
    rests_on = (*limit.rests_on, start.at, *built.headroom.rests_on(powers))
    distinct = f"ports {group}" if group else ""
    if verdict == "open":
        missing = (*loads.missing, *limit.missing, *(source.missing if not source.enforced_w.known else ()))
        return Answer(
            BUDGET.name,
            "open",
            gear.at,
            start.at,
            f"{gear.id}: cannot tell whether {whose} can start {steps}: {asked} of {given}",
            working=working,
            missing=tuple(dict.fromkeys(missing)) or (start.at,),
            turns="" if better is None else f"holds in any order if {_steps(better)} start",
            rests_on=rests_on,
            distinct=distinct,
        )
    return Answer(
        BUDGET.name,
        "fail",
        gear.at,
        start.at,
        f"{gear.id}: while {whose} {starts}, {steps}, {asks} {asked}; it has {given}{_together(better)}",
        value=round(start_w.low, 3),
        limit=round(limit.watts.high, 3),
        unit="W",
        margin=round(limit.watts.high - start_w.low, 3),
        held_against=Limit(
            limit.words or "its budget",
            limit.watts.high,
            "W",
            Citation("the design", "", ""),
            "stated",
            "the design",
        ),
        working=working,
        remedy=_remedy(
            start.at,
            gear.at,
            better,
            start_w,
            limit,
            powers,
            grouped=isinstance(gear, Gear) and bool(gear.groups),
        ),
        rests_on=rests_on,
        distinct=distinct,
    )


def _steps(staging: Staging) -> str:
    return f"{staging.ports} of its ports every {staging.every_s:g} s"


def _together(better: Staging | None) -> str:
    return "" if better is None else f"; up to {better.ports} can start together"


def _those_starting(loads: StartLoads) -> str:
    adding = [load for load in loads.loads if load.adds]
    if not adding:  # nobody knows what any of them asks once it runs
        return "how much more they ask while they start is not known"
    most = max(adding, key=lambda load: load.most_w.high - load.running_w.high)
    lasts = "nobody knows how long" if most.start_s is None else f"{most.start_s:g} s"
    more = watt_words.watts(Span(0.0, most.most_w.high - most.running_w.high).high)
    return f"{len(adding)} ask more while they start, {most.power.feed.load.id} {more} for {lasts}"


def _remedy(
    at: Path,
    gear_at: Path,
    better: Staging | None,
    start_w: Span,
    limit: Limited,
    powers: tuple[FeedPower, ...],
    *,
    grouped: bool,
) -> Remedy:
    away = f"feed {watt_words.at_least(start_w.low - limit.watts.high)} or more from another source"
    if better is None or better.ports >= len(powers):
        return Remedy(away)
    text = f"start {_steps(better)}, or {away}"
    if grouped:  # what mends one group need not do for another
        return Remedy(text)
    # What a part says of all gear of its kind is written anew for this one alone.
    place = at if at[:2] == gear_at else (*gear_at, "pse", "start")
    return Remedy(text, (Change(place, {"ports": better.ports, "every_s": better.every_s}),))
