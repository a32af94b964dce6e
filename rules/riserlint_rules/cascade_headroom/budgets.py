"""Budgets: what a source reserves or measures against its budget and the reserve; typical draws in it."""

import math
from collections.abc import Iterator

from riserlint import (
    Answer,
    Built,
    Change,
    Citation,
    FeedPower,
    Gear,
    InlineGear,
    Limit,
    Limited,
    NotApplicable,
    Passed,
    Remedy,
    Said,
    SourcePower,
    Span,
    Staging,
    at_most,
    start_loads,
    supplies,
    watt_words,
)
from riserlint_rules.cascade_headroom.answers import (
    cannot_tell,
    chain_places,
    failed,
    first_places,
    largest_of,
    names_of,
    working_of,
)
from riserlint_rules.cascade_headroom.checks import BUDGET, RESERVE, TYPICAL_ONLY


def budget_answers(built: Built, source: SourcePower, share: float | None) -> Iterator[Said]:
    """Yield whether a source's budget is enough, and whether it keeps the reserve that the basis asks."""
    why = built.headroom.no_budget(source)
    if why:
        yield NotApplicable(BUDGET.name, source.gear.at, why)
    else:
        yield from _answers(built, source, built.headroom.budget(source.gear), share)
    for group, sums, limit in built.headroom.groups(source):
        why = built.headroom.no_sum(sums)
        if why:
            yield NotApplicable(BUDGET.name, source.gear.at, f"ports {group.label}: {why}")
        else:
            yield from _answers(built, sums, limit, share, group.label)


def _answers(
    built: Built, source: SourcePower, limit: Limited, share: float | None, group: str = ""
) -> Iterator[Said]:
    """Yield the answers for the whole source, or for a group of its ports that is named."""
    gear, asked_w = source.gear, source.enforced_w
    limit = limit._replace(missing=(*limit.missing, *source.missing))
    verdict = at_most(asked_w, limit.watts)
    distinct = f"ports {group}" if group else ""
    whose = f"the budget of its ports {group}" if group else "its budget"
    if verdict != "fail":
        of = f"budget of ports {group}" if group else "budget"
        yield reserve_kept(built, gear, limit, asked_w, powers=source.feeds, share=share, of=of)
    asked, given = watt_words.told_apart(asked_w, limit.watts)
    if verdict == "pass":
        yield Passed(BUDGET.name, gear.at)
    elif verdict == "open":
        by = watt_words.mode(source)
        message = f"{gear.id}: cannot tell whether {whose} is enough for {asked} ({by}): {given}"
        working = f"{watt_words.four_sums(source)}; {watt_words.counts_by(source)}: {asked} of {given}"
        yield cannot_tell(
            built,
            BUDGET,
            gear.at,
            limit,
            message,
            powers=source.feeds,
            asked_w=asked_w,
            working=working,
            distinct=distinct,
        )
    else:
        counted = "one load" if len(source.feeds) == 1 else f"{len(source.feeds)} loads"
        loads, has = f"its {counted}", "it has"
        if group:
            loads, has = f"the {counted} of its ports {group}", "those have"
        asks = "asks" if len(source.feeds) == 1 else "ask"
        first = built.headroom.first_short(gear)
        words = ""
        if first:
            words = f"; {names_of(first)} below runs out before it"
            measured = gear.value("pse", "reserves").value == "measured"
            if measured and built.headroom.asked_if_below_held(gear) <= limit.watts.high:
                words = (
                    f"; only because {names_of(first)} below asks more than it is granted: mend that first"
                )
        yield failed(
            BUDGET,
            gear.at,
            limit,
            f"{gear.id}: {loads} {asks} {asked} ({watt_words.mode(source)}), {has} {given}{words}",
            asked_w=asked_w,
            allowed_w=limit.watts,
            working=working_of(built, source, f"{asked} > {given}, {limit.words}"),
            related=(*first_places(built, first), *chain_places(built, gear)),
            remedy=_larger_budget(built, source, limit, share or 0.0, group),
            rests_on=built.headroom.rests_on(source.feeds),
            distinct=distinct,
        )


def _larger_budget(built: Built, source: SourcePower, limit: Limited, share: float, group: str) -> Remedy:
    over = source.enforced_w.low - limit.watts.high * (1 - share)
    away = f"feed {watt_words.at_least(over)} or more from "
    away += "ports of another group" if group else "another source"
    kept = watt_words.with_reserve(share)
    if math.isinf(source.enforced_w.high):
        return Remedy(f"{kept}{away}")
    needed = float(math.ceil(round(source.enforced_w.high / (1 - share), 6)))
    if source.start_w is not None:  # what it has must do while its ports start, too
        if math.isinf(source.start_w.high):
            return Remedy(away)
        needed = max(needed, float(math.ceil(round(source.start_w.high, 6))))
    changes: tuple[Change, ...] = ()
    staging = None if group else _staging(built, source, limit.watts.low * (1 - share))
    if staging is not None:
        text = (
            f"start {staging.ports} of its ports every {staging.every_s:g} s after an outage, not all at once"
        )
        start = {"ports": staging.ports, "every_s": staging.every_s}
        if not (isinstance(source.gear, Gear) and source.gear.groups):  # those are not tried out
            changes = (Change((*source.gear.at, "pse", "start"), start),)
        return Remedy(f"{text}; or a source of at least {watt_words.watts(needed)}, or {away}", changes)
    if group:
        # The list of groups of a part is not written anew for one switch of it.
        if limit.at[0] != "part" and limit.at[-1] == "budget_w" and limit.watts.known and limit.plain:
            changes = (Change(limit.at, needed),)
        return Remedy(
            f"{kept}a source whose ports {group} have at least {watt_words.watts(needed)}, or {away}", changes
        )
    if limit.at[-1] == "budget_w" and limit.plain and supplies.supplies_allow(built, source.gear, needed):
        changes = (Change((*source.gear.at, "pse", "budget_w"), needed),)
    return Remedy(f"{kept}a source of at least {watt_words.watts(needed)}, or {away}", changes)


def _staging(built: Built, source: SourcePower, limit_w: float) -> Staging | None:
    """Return how a source that measures could start its ports in steps, where only their start is too much."""
    if source.start_w is not None or source.gear.value("pse", "reserves").value != "measured":
        return None
    return start_loads(source.feeds, built.running_power.feeds).proposal(limit_w)


def reserve_kept(
    built: Built,
    gear: Gear | InlineGear,
    limit: Limited,
    asked_w: Span,
    *,
    powers: tuple[FeedPower, ...],
    share: float | None,
    of: str,
) -> Said:
    """Say whether of a budget or an inlet as much stays free as the basis asks."""
    if share is None:
        return NotApplicable(RESERVE.name, gear.at, "the basis asks for no reserve")
    allowed = limit._replace(watts=limit.watts * (1 - share))
    verdict = at_most(asked_w, allowed.watts)
    if verdict == "pass":
        return Passed(RESERVE.name, gear.at)
    asked, most = watt_words.told_apart(asked_w, allowed.watts)
    given = watt_words.watts(limit.watts)
    if verdict == "open":
        message = (
            f"{gear.id}: cannot tell whether {share:.0%} of its {of} stay free: {asked} of {given} are asked"
        )
        return cannot_tell(
            built, RESERVE, gear.at, allowed, message, powers=powers, asked_w=asked_w, distinct=of
        )
    source = built.power.sources.get(gear.id)
    largest = "" if source is None else largest_of(built, source)
    free = max(0.0, 1 - asked_w.low / limit.watts.high) if limit.watts.high else 0.0
    return failed(
        RESERVE,
        gear.at,
        limit,
        f"{gear.id}: {asked} of its {of}'s {given} are asked: {free:.0%} stay free, "
        f"the basis asks {share:.0%}",
        asked_w=asked_w,
        allowed_w=allowed.watts,
        held_against=Limit(
            "reserve", share, "share", Citation("basis of design", "", ""), "stated", "the basis"
        ),
        working="; ".join(
            part for part in (f"(1 − {share:g}) × {given} = {most} < {asked}", largest) if part
        ),
        remedy=Remedy(
            f"{watt_words.with_reserve(share)}"
            f"feed {watt_words.at_least(asked_w.low - allowed.watts.high)} or more of it from elsewhere"
        ),
        rests_on=(("basis", "rule", "cascade-headroom", "reserve_share"), *built.headroom.rests_on(powers)),
        distinct=of,
    )


def typical_answer(source: SourcePower) -> Said:
    """Say whether a source's sum rests on devices of which only a typical draw is stated."""
    draws = [
        (power, power.draw) for power in source.feeds if power.draw is not None and power.draw.only_typical
    ]
    if not draws:
        return Passed(TYPICAL_ONLY.name, source.gear.at)
    first = draws[0][0].feed.load.value("draw_w", "typical").at
    most = watt_words.watts(Span(0.0, sum(draw.maximum.high for _, draw in draws)).high)
    typical = sum(draw.typical or 0.0 for _, draw in draws)
    names = ", ".join(power.feed.load.id for power, _ in draws[:3]) + (" …" if draws[3:] else "")
    return Answer(
        TYPICAL_ONLY.name,
        "fail",
        source.gear.at,
        first,
        f"{source.gear.id}: {len(draws)} of its {len(source.feeds)} loads state only a typical draw "
        f"({names}), together {watt_words.watts(typical)}; "
        f"their most is reckoned up to the {most} of their classes",
        value=round(typical, 3),
        unit="W",
        working=f"{watt_words.four_sums(source)}; {watt_words.counts_by(source)}: "
        f"{watt_words.watts(source.enforced_w)}",
        remedy=Remedy("state the most that each draws by day, by night and at start"),
        rests_on=tuple(path for _, draw in draws for path in draw.rests_on),
    )
