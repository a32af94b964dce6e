"""What a port grants of the class that a device asks for."""

import math

from riserlint import (
    Answer,
    Built,
    Change,
    Feed,
    FeedPower,
    Gear,
    Grant,
    Level,
    NotApplicable,
    Passed,
    Remedy,
    Said,
    Span,
    at_most,
    carrying,
    device_draw,
    granting,
    poe_limits,
    watt_words,
)
from riserlint_rules.poe_class.checks import GRANTED
from riserlint_rules.poe_class.places import (
    At,
    at_feed,
    cannot_tell,
    class_places,
    classes_involved,
    fed_otherwise,
)


def unfed(gear: Gear) -> Said:
    """Return the answer for gear that takes power over Ethernet and at which no run ends."""
    return Answer(
        GRANTED.name,
        "open",
        gear.at,
        gear.at,
        f"{gear.id}: cannot tell what it gets: no run ends at it, and nothing else feeds it",
        missing=((*gear.at, "from"),),
        turns="holds if a run from a port that grants its class ends at it",
    )


def no_power(feed: Feed, grant: Grant) -> Said:
    """Return what a port that gives no power means for what hangs on it."""
    here = at_feed(feed)
    if fed_otherwise(feed):
        return NotApplicable(
            GRANTED.name, here.subject, f"{here.source} gives no power; it is fed another way"
        )
    if not feed.load.has_inlet:
        message = f"{feed.load.id}: cannot tell what feeds it: {here.source} gives no power"
        missing = ((*feed.load.at, "from"),)
        return cannot_tell(GRANTED, here, message, missing, "holds if something else feeds it")
    asked = None if grant.requested is None else granting.class_limit(grant.requested, grant.pse_type)
    wants = "" if asked is None else f" asks for class {grant.requested} ({asked.value:g} W) and"
    return Answer(
        GRANTED.name,
        "fail",
        here.subject,
        here.at,
        f"{feed.load.id}:{wants} gets nothing: {here.source} gives no power",
        value=0.0,
        limit=None if asked is None else asked.value,
        unit="W",
        margin=None if asked is None else -asked.value,
        held_against=asked,
        related=classes_involved(feed),
        remedy=Remedy("a port that gives power, an injector in the run, or a supply of its own"),
        rests_on=class_places(feed),
        distinct=here.distinct,
    )


def granted_class(built: Built, power: FeedPower) -> Said:
    """Return whether a single-signature device is assigned the class that it asks for."""
    feed, grant = power.feed, power.grant
    asked, got_w = grant.requested, power.grant.device_w.high
    if asked is not None and granting.rank(asked) <= granting.rank(grant.cap) and grant.assigned is not None:
        if not grant.demoted:
            return Passed(GRANTED.name, feed.load.at)
    elif asked is None and grant.port_class == max(poe_limits.PD_CLASSES):
        return Passed(GRANTED.name, feed.load.at)
    here = at_feed(feed)
    if asked is None or granting.rank(asked) <= granting.rank(grant.cap):
        return _granted_open(feed, grant, here)
    record = granting.granted_limit(asked, grant.cap, grant.pse_type)
    level: Level = "error"
    if grant.refused:
        words = f"it gets no power, since a class {asked} device can't be given less than class 3"
        level = "warning" if fed_otherwise(feed) else "error"
        working = (
            f"class {asked} > class {grant.cap} of the port; no number of class events assigns less than 3"
        )
    else:
        assigned = poe_limits.demoted_class(asked, grant.cap)
        most = "" if grant.assigned is not None else "at most "
        level, works = shortfall(built, power, got_w)
        words = f"it gets {most}class {assigned} ({got_w:g} W), {works}"
        working = (
            f"class {asked} > class {grant.cap}: assigned class {assigned}; {got_w:g} W < {record.value:g} W"
        )
    gives = (
        f"up to class {grant.cap}"
        if isinstance(grant.port_class, int)
        else f"as Type {grant.pse_type} up to class {grant.cap}"
    )
    raised_at = carrying.raised_port(built, feed, asked)
    text = f"a port of class {asked} or higher (a source of Type {granting.least_type(asked)} or higher)"
    return Answer(
        GRANTED.name,
        "fail",
        here.subject,
        here.at,
        f"{feed.load.id}: asks for class {asked} ({record.value:g} W), {here.source} gives {gives}: {words}",
        level=level,
        value=got_w,
        limit=record.value,
        unit="W",
        margin=round(got_w - record.value, 3),
        held_against=record,
        working=working + needs_working(built, power),
        related=classes_involved(feed),
        remedy=Remedy(text, () if raised_at is None else (Change(raised_at, asked),)),
        rests_on=class_places(feed),
        distinct=here.distinct,
    )


def _granted_open(feed: Feed, grant: Grant, here: At) -> Answer:
    asked, has = grant.requested, grant.port_class
    if asked is not None:
        turns = f"holds with a port of class {asked} or higher"
        message = f"{feed.load.id}: asks for class {asked}; cannot tell which class {here.source} gives"
    elif has is not None:
        turns = f"holds if it asks for class {grant.cap} or lower"
        message = (
            f"{feed.load.id}: cannot tell which class it asks for; {here.source} gives up to {grant.cap}"
        )
    else:
        turns = ""
        message = f"{feed.load.id}: cannot tell which class it asks for, nor which class {here.source} gives"
    return cannot_tell(GRANTED, here, message, grant.missing, turns, rests_on=class_places(feed))


def shortfall(built: Built, power: FeedPower, got_w: float, *, bears: bool = True) -> tuple[Level, str]:
    """Return how bad it is that a device gets only ``got_w`` watts, and in words whether it works on them.

    A note where all that it needs fits; a warning where it works with less than its full function, as stated,
    or where that is not known; an error where it does not work, unless a supply of its own goes first. With
    ``bears`` false one of its modes needs more than its share of the watts.
    """
    load = power.feed.load
    needs = _needs_w(built, power)
    verdict = at_most(needs, got_w)
    stated = load.value(load.side, "demoted_w").value
    if verdict == "pass" and bears:
        return "note", f"and needs no more than {needs.high:.4g} W"
    if not load.is_switch and stated is not None and 0 < stated <= got_w:
        return "warning", f"and works on {stated:g} W with less than its full function"
    if not load.is_switch and stated is not None:
        words = (
            f"and needs {stated:g} W even with less than its full function" if stated else "and is then off"
        )
    elif verdict == "pass":
        words = "and one of them needs more than it then gets; what it does on less is not stated"
    elif verdict == "fail":
        also = " with all that it feeds" if load.is_switch else "; what it does on less is not stated"
        words = f"and needs {needs.low:.4g} W{also}"
    elif load.is_switch:
        return "warning", "and what it needs with all that it feeds is not known"
    else:
        return "warning", "and whether it works on that is stated neither by its draw nor by demoted_w"
    local_first = load.supplies and load.value("feed_first").value == "local"
    return "warning" if local_first else "error", words


def _needs_w(built: Built, power: FeedPower) -> Span:
    """Return the most that a device draws, or a switch with all that it feeds, whatever it is granted."""
    load = power.feed.load
    if load.is_switch:
        inlet = built.power.inlets[load.id]
        # With its own use unknown, the sum is cut off at what is granted: here that is the question.
        return inlet.inlet_w if math.isfinite(inlet.own_w.high) else Span(inlet.inlet_w.low, math.inf)
    draw = power.draw or device_draw(load, 0.0)
    return draw.maximum if draw.state else Span(draw.typical or 0.0, math.inf)


def needs_working(built: Built, power: FeedPower) -> str:
    """Return how what a load needs comes about, to stand behind a working; empty where its draw is not stated."""
    load = power.feed.load
    if power.grant.refused:
        return ""
    if not load.is_switch:
        draw = power.draw or device_draw(load, 0.0)
        most = watt_words.watts(draw.maximum.low)
        return f"; it draws {most} {watt_words.in_state(draw.state)}" if draw.state else ""
    inlet, source = built.power.inlets[load.id], built.power.sources.get(load.id)
    text = f"; it needs {watt_words.inlet_need(inlet)}"
    largest = "" if source is None else watt_words.largest_link(built, source.feeds)
    return f"{text}; {largest}" if largest else text
