"""Redundant supplies, loops of power, and gear with two feeds."""

import math
from collections.abc import Iterator

from riserlint import (
    Answer,
    Built,
    Change,
    Gear,
    NotApplicable,
    Passed,
    Related,
    Remedy,
    Said,
    SourcePower,
    SupplyLost,
    at_most,
    second_feed,
    supplies,
    watt_words,
)
from riserlint_rules.cascade_headroom.answers import cannot_tell, failed, working_of
from riserlint_rules.cascade_headroom.checks import LOOP, SHARED_SUPPLY, SUPPLY_FAILED, TWO_FEEDS


def redundant_supplies(built: Built, source: SourcePower, gear: Gear) -> Iterator[Said]:
    """Yield what happens when each supply fails in turn, and whether two of them hang on one thing."""
    mode = gear.value("supply_mode").value
    if mode == "combined":
        yield NotApplicable(SUPPLY_FAILED.name, gear.at, "its supplies are combined: all of them are needed")
        yield NotApplicable(SHARED_SUPPLY.name, gear.at, "its supplies are combined")
        return
    if mode == "redundant":
        yield from _shared(built, gear)
    if built.headroom.no_budget(source) == "power feeds itself":
        yield NotApplicable(SUPPLY_FAILED.name, gear.at, "power feeds itself")
    elif at_most(source.enforced_w, built.headroom.budget(gear).watts) == "fail":
        yield NotApplicable(SUPPLY_FAILED.name, gear.at, "its budget is not enough with all supplies")
    else:
        for lost in supplies.supplies_lost(built, gear):
            yield _supply_failed(built, source, gear, lost)


def _supply_failed(built: Built, source: SourcePower, gear: Gear, lost: SupplyLost) -> Said:
    asked_w, left = source.enforced_w, lost.left
    verdict = at_most(asked_w, left.watts)
    if verdict == "pass":
        return Passed(SUPPLY_FAILED.name, gear.at)
    mode = gear.value("supply_mode")
    distinct = f"supply {lost.place + 1}"
    asked, given = watt_words.told_apart(asked_w, left.watts)
    fed_from = gear.supplies[lost.place].source.value or "unknown"
    head = f"{gear.id}: with {distinct} (from {fed_from}) failed"
    if verdict == "open" or mode.value is None:
        missing = (*left.missing, *source.missing) if verdict == "open" else ()
        left = left._replace(missing=missing if mode.value is not None else (*missing, mode.at))
        message = f"{head}, cannot tell whether its ports stay on: {asked} of {given}"
        working = f"{watt_words.four_sums(source)}; {watt_words.counts_by(source)}: {asked} of {given}"
        return cannot_tell(
            built,
            SUPPLY_FAILED,
            gear.at,
            left,
            message,
            powers=source.feeds,
            asked_w=asked_w,
            working=working,
            distinct=distinct,
        )
    dark = supplies.dark_ports(source, left.watts.high)
    roles = f" ({', '.join(dark.roles)})" if dark.roles else ""
    text = "supplies that each give what all ports ask"
    changes: tuple[Change, ...] = ()
    if math.isfinite(asked_w.high):
        needed = float(math.ceil(round(asked_w.high, 6)))
        text = f"supplies that each give {watt_words.watts(needed)} to PoE"
        if len(gear.supplies) == 2 and left.at[-1] == "poe_w" and left.at[0] == "switch" and left.plain:
            changes = (Change(left.at, needed),)
    return failed(
        SUPPLY_FAILED,
        gear.at,
        left,
        f"{head}, {given} are left for the {asked} that its loads ask: {dark.counted} of {dark.ports} ports "
        f"go dark, lowest priority first{roles}",
        asked_w=asked_w,
        allowed_w=left.watts,
        working=working_of(built, source, f"{asked} > {given} of {left.words}"),
        remedy=Remedy(text, changes),
        rests_on=(mode.at, *built.headroom.rests_on(source.feeds)),
        distinct=distinct,
    )


def _shared(built: Built, gear: Gear) -> Iterator[Said]:
    shared = supplies.shared_supplies(built, gear)
    unknown = tuple(supply.source.at for supply in gear.supplies if supply.source.value is None)
    if not shared and unknown:
        message = f"{gear.id}: cannot tell whether its redundant supplies hang on one circuit or UPS"
        yield Answer(SHARED_SUPPLY.name, "open", gear.at, unknown[0], message, missing=unknown)
    elif not shared:
        yield Passed(SHARED_SUPPLY.name, gear.at)
    for first, second, common in shared:
        yield Answer(
            SHARED_SUPPLY.name,
            "fail",
            gear.at,
            gear.supplies[second].source.at,
            f"{gear.id}: its redundant supplies {first + 1} and {second + 1} both hang on {common}",
            related=(Related(gear.supplies[first].source.at, "the other supply"),),
            remedy=Remedy(f"plug one of them into something that does not hang on {common}"),
            rests_on=(gear.value("supply_mode").at,),
            distinct=f"{first + 1} and {second + 1}",
        )


def power_loop(loop: tuple[Gear, ...]) -> Answer:
    """Say that switches feed each other."""
    start = min(range(len(loop)), key=lambda index: loop[index].id)
    order = (*loop[start:], *loop[:start])
    names = " ← ".join(gear.id for gear in (*order, order[0]))
    return Answer(
        LOOP.name,
        "fail",
        order[0].at,
        order[0].feeds_in[0].run.at,
        f"{order[0].id} feeds itself: {names}; none of them gets power",
        working=names,
        related=tuple(Related(gear.feeds_in[0].run.at, f"feeds {gear.id}") for gear in order[1:]),
        remedy=Remedy("feed one of them from a source outside the loop"),
    )


def _alone(built: Built, gear: Gear) -> Iterator[str]:
    """Yield how the watts at the source come about where one feed alone carries the gear."""
    for feed in gear.feeds_in:
        power = built.power.feeds[feed.run.id]
        text = watt_words.link_sum(built, power, power.alone_w.low)
        if text and not power.unfed:
            yield text


def two_feeds(built: Built, gear: Gear) -> Said:
    """Say whether it is known which feed comes first, and whether each can carry the gear alone."""
    found = second_feed(built.power, built.headroom, gear)
    if not found.weak and not found.unstated:
        return Passed(TWO_FEEDS.name, gear.at)
    text = f"{gear.id} has {found.feeds} feeds"
    if found.unstated:
        text += ", and which of them comes first is not stated"
    if found.weak:
        text += f"; not each can carry it alone: {'; '.join(found.weak)}"
    first = gear.value("feed_first")
    return Answer(
        TWO_FEEDS.name,
        "fail",
        gear.at,
        first.at if first.value is not None else gear.feeds_in[0].run.at,
        text,
        level="warning" if found.weak else None,
        working="; ".join((*found.cases, *_alone(built, gear))),
        related=tuple(Related(feed.run.at, "one of its feeds") for feed in gear.feeds_in),
        remedy=Remedy("feeds that each carry it alone" if found.weak else "state which comes first"),
        rests_on=built.headroom.rests_on(tuple(built.power.feeds[feed.run.id] for feed in gear.feeds_in)),
    )
