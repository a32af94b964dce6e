"""Passive feeds, and the pairs that carry power."""

from riserlint import (
    Answer,
    Change,
    Feed,
    Grant,
    Level,
    Passed,
    Related,
    Remedy,
    Said,
    Span,
    Value,
    at_least,
    poe_limits,
    source_end,
)
from riserlint_rules.poe_class.checks import PAIRS, PASSIVE
from riserlint_rules.poe_class.places import (
    At,
    at_feed,
    cannot_tell,
    class_places,
    classes_involved,
    fed_otherwise,
    may_power_two_pairs,
    type_at,
)


def passive_feed(feed: Feed, grant: Grant) -> Said:
    """Return whether source and device of a passive feed are of one scheme and voltage."""
    here = at_feed(feed)
    load = feed.load
    load_scheme = load.value(load.side, "scheme")
    source_scheme = (
        Value(None, source_end(feed)) if feed.source is None else feed.source.value("pse", "scheme")
    )
    if grant.scheme is None or grant.load_scheme is None:
        side = f"{here.source} is" if grant.scheme is None else "it is"
        missing = source_scheme.at if grant.scheme is None else load_scheme.at
        message = f"{load.id}: one end of its feed is passive; cannot tell whether {side} too"
        return cannot_tell(PASSIVE, here, message, (missing,), "holds if both are passive and of one voltage")
    if grant.scheme != grant.load_scheme:
        pair = (
            f"takes power only after a handshake, {here.source} is live without one"
            if grant.scheme == "passive"
            else f"is a passive device, {here.source} gives power only after a handshake"
        )
        text = "it may be damaged" if grant.scheme == "passive" else "it gets no power"
        level: Level = "warning" if grant.scheme == "ieee" and fed_otherwise(feed) else "error"
        return Answer(
            PASSIVE.name,
            "fail",
            here.subject,
            here.at,
            f"{load.id}: {pair}; {text}",
            level=level,
            related=(
                Related(source_scheme.at, f"the source is {grant.scheme}"),
                Related(load_scheme.at, f"the device is {grant.load_scheme}"),
            ),
            remedy=Remedy("source and device of one scheme, or a converter between them"),
            rests_on=(source_scheme.at, load_scheme.at),
            distinct=here.distinct,
        )
    return _passive_volts(feed, here)


def _passive_volts(feed: Feed, here: At) -> Said:
    load = feed.load
    source = feed.source
    gives = Value(None, source_end(feed)) if source is None else source.value("pse", "min_v")
    takes, least = load.value(load.side, "passive_v"), load.value(load.side, "min_v")
    missing = tuple(value.at for value in (gives, takes) if value.value is None)
    if gives.value is None or takes.value is None:
        turns = "" if len(missing) == 2 else f"holds with {takes.value or gives.value:g} V at both"
        return cannot_tell(
            PASSIVE, here, f"{load.id}: cannot tell whether the volts of its passive feed fit", missing, turns
        )
    low = gives.value < takes.value and (least.value is None or gives.value < least.value)
    if low and least.value is None:
        message = f"{load.id}: {here.source} gives {gives.value:g} V, the device is for {takes.value:g} V"
        turns = f"holds if it works at {gives.value:g} V"
        return cannot_tell(
            PASSIVE, here, f"{message}; cannot tell whether it works on that", (least.at,), turns
        )
    if not low and gives.value <= takes.value:
        return Passed(PASSIVE.name, here.subject)
    limit = least.value if low else takes.value
    words = f"works at {limit:g} V or more" if low else f"is for {limit:g} V; it may be damaged"
    sign = "<" if low else ">"
    return Answer(
        PASSIVE.name,
        "fail",
        here.subject,
        here.at,
        f"{load.id}: {here.source} gives {gives.value:g} V, the device {words}",
        value=gives.value,
        limit=limit,
        unit="V",
        margin=gives.value - limit if low else limit - gives.value,
        working=f"{gives.value:g} V {sign} {limit:g} V",
        related=(Related(gives.at, "volts of the source"), Related(takes.at, "volts of the device")),
        remedy=Remedy("a source of the device's voltage"),
        rests_on=(gives.at, takes.at),
        distinct=here.distinct,
    )


def powered_pairs(feed: Feed, grant: Grant) -> Said:
    """Return whether the stated pairs are what the class needs and the source has."""
    run = feed.run
    written = run.value("pairs")
    if written.value is None or grant.refused:
        return Passed(PAIRS.name, run.at)
    most = _most_pairs(grant)
    if written.value > most:
        record = poe_limits.MOST_PAIRS[grant.pse_type or 1]
        message = (
            f"{run.id} ({run.ends}): powered over {written.value} pairs, "
            f"a Type {grant.pse_type} source powers {most:g}"
        )
        remedy = Remedy("write 2, or take a source of Type 3 or 4")
        return _pairs_wrong(feed, written, message, most, remedy)._replace(held_against=record)
    if most < 4:
        return Passed(PAIRS.name, run.at)
    by_type = may_power_two_pairs(grant)
    if written.value == 4:
        return _whether_it_has(feed) if by_type else Passed(PAIRS.name, run.at)
    needed = Span(4, 4) if grant.dual else _needed_pairs(grant)
    verdict = at_least(written.value, needed)
    if verdict == "pass":
        return Passed(PAIRS.name, run.at)
    if verdict == "fail" and by_type:  # a source that powers two pairs has no more to be asked of
        verdict = "open"
    what = "two signatures" if grant.dual else f"class {grant.assigned}"
    if verdict == "open":
        message = f"{run.id} ({run.ends}): powered over 2 pairs; cannot tell whether its class needs 4"
        return cannot_tell(
            PAIRS,
            At(run.at, "", written.at, ""),
            message,
            grant.missing or (type_at(feed),),
            "holds with a source of Type 1 or 2" if grant.dual else "holds up to assigned class 4",
        )
    message = (
        f"{run.id} ({run.ends}): powered over {written.value} pairs, {feed.load.id} has {what}, which needs 4"
    )
    return _pairs_wrong(feed, written, message, 4, Remedy("power all four pairs", (Change(written.at, 4),)))


def _most_pairs(grant: Grant) -> float:
    return 4.0 if grant.pse_type is None else poe_limits.MOST_PAIRS[grant.pse_type].value


def _whether_it_has(feed: Feed) -> Answer:
    run = feed.run
    written = run.value("pairs")
    message = (
        f"{run.id} ({run.ends}): powered over 4 pairs; cannot tell whether its source powers more than 2"
    )
    turns = "holds with a source of Type 3 or 4"
    return cannot_tell(PAIRS, At(run.at, "", written.at, ""), message, (type_at(feed),), turns)


def _needed_pairs(grant: Grant) -> Span:
    """Return the pairs that the assigned class needs, from the least to the most that it can be."""
    if grant.assigned is not None:
        number = poe_limits.powered_pairs(grant.assigned)
        return Span(number, number)
    highest = grant.cap
    if grant.requested is not None:
        highest = poe_limits.demoted_class(grant.requested, grant.cap) or 3
    return Span(2, poe_limits.powered_pairs(highest))


def _pairs_wrong(feed: Feed, written: Value[int], message: str, limit: float, remedy: Remedy) -> Answer:
    return Answer(
        PAIRS.name,
        "fail",
        feed.run.at,
        written.at,
        message,
        value=float(written.value or 0),
        limit=limit,
        unit="pairs",
        margin=-abs(limit - (written.value or 0)),
        working=f"{written.value} pairs against {limit:g}",
        related=classes_involved(feed),
        remedy=remedy,
        rests_on=(written.at, *class_places(feed)),
    )
