"""Two signatures on one cable, and power that comes only by negotiation."""

from riserlint import (
    Answer,
    Built,
    Change,
    Feed,
    FeedPower,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Said,
    Value,
    granting,
    poe_limits,
    source_end,
)
from riserlint_rules.poe_class.checks import DUAL, NEGOTIATION
from riserlint_rules.poe_class.draws import modes_of
from riserlint_rules.poe_class.grants import needs_working, shortfall
from riserlint_rules.poe_class.places import (
    at_feed,
    cannot_tell,
    class_places,
    classes_involved,
    may_power_two_pairs,
    type_at,
)

_MODE_CLASSES = tuple(row.pd_class for row in poe_limits.DUAL_SIGNATURE_TABLE.rows)


def single_signature(feed: Feed) -> Said:
    """Return what is said of signatures where no second one is stated."""
    signature = feed.load.value(feed.load.side, "signature")
    if signature.value is None and feed.load.asked(signature.at):
        message = f"{feed.load.id}: cannot tell whether it has one signature or two"
        return cannot_tell(DUAL, at_feed(feed), message, (signature.at,), "holds with a single signature")
    return NotApplicable(DUAL.name, feed.load.at, "one signature")


def dual_signature(built: Built, power: FeedPower) -> Said:
    """Return whether a port gives both modes of a dual-signature device their class."""
    feed, grant = power.feed, power.grant
    here = at_feed(feed)
    classes = _MODE_CLASSES
    first = feed.load.value(feed.load.side, "pd_class")
    if grant.requested is not None and grant.requested not in classes:
        return Answer(
            DUAL.name,
            "fail",
            here.subject,
            first.at,
            f"{feed.load.id}: class {grant.requested} of a mode; the modes of a dual-signature device have "
            f"classes {classes[0]} to {classes[-1]}",
            related=classes_involved(feed),
            remedy=Remedy("write the class of each mode: pd_class and second_class"),
            distinct=here.distinct,
        )
    pairs_of = [
        (one, other)
        for one in ([grant.requested] if grant.requested is not None else classes)
        for other in ([grant.second] if grant.second is not None else classes)
    ]
    asked = [granting.dual_limit(one, other).value for one, other in pairs_of]
    got = [granting.dual_granted_w(one, other, grant.cap, grant.pse_type) for one, other in pairs_of]
    full = [have >= want for have, want in zip(got, asked, strict=True)]
    if all(full) and isinstance(grant.port_class, int):
        if not may_power_two_pairs(grant):
            return Passed(DUAL.name, here.subject)
        message = f"{feed.load.id}: cannot tell whether {here.source} powers both of its modes: the type is not known"
        turns = "holds with a source of Type 3 or 4"
        return cannot_tell(DUAL, here, message, (type_at(feed),), turns, rests_on=class_places(feed))
    known = len(pairs_of) == 1
    if any(full):
        least = granting.least_port_class(*pairs_of[0]) if known else None
        turns = "" if least is None else f"holds with a port of class {least} or higher"
        message = (
            f"{feed.load.id}: cannot tell whether {here.source} gives both of its modes what they ask for"
        )
        return cannot_tell(DUAL, here, message, grant.missing, turns, rests_on=class_places(feed))
    index = asked.index(min(asked))
    least_asked, asked_w, got_w = pairs_of[index], asked[index], got[index]
    record = granting.dual_limit(*least_asked)
    two_pairs = grant.pse_type is not None and poe_limits.MOST_PAIRS[grant.pse_type].value < 4
    reason = (
        f"powers two pairs (Type {grant.pse_type}), so one mode gets nothing"
        if two_pairs
        else f"gives up to class {grant.cap}"
    )
    drawn_w = None if power.draw is None else modes_of(feed.load, power.draw)
    bears = (
        not known
        or drawn_w is None
        or granting.dual_granted_bears(*least_asked, grant.cap, grant.pse_type, drawn_w)
    )
    level, works = shortfall(built, power, got_w, bears=bears)
    split = "" if bears or drawn_w is None else f", {drawn_w[0]:.4g} W and {drawn_w[1]:.4g} W by its modes"
    least = granting.least_port_class(*pairs_of[0])
    port = "a port" if least is None or not known else f"a port of class {least} or higher"
    return Answer(
        DUAL.name,
        "fail",
        here.subject,
        here.at,
        f"{feed.load.id}: its two modes ask for {asked_w:g} W, {here.source} {reason}: "
        f"it gets at most {got_w:g} W, {works}",
        level=level,
        value=got_w,
        limit=asked_w,
        unit="W",
        margin=round(got_w - asked_w, 3),
        held_against=record,
        working=f"{' + '.join(f'{mode}D' for mode in least_asked)} = {asked_w:g} W > {got_w:g} W"
        + needs_working(built, power)
        + split,
        related=classes_involved(feed),
        remedy=Remedy(f"{port} on a source of Type 3 or 4"),
        rests_on=class_places(feed),
        distinct=here.distinct,
    )


def negotiation(built: Built, power: FeedPower) -> Said:
    """Return whether a device that depends on negotiation has a source that answers."""
    feed, grant = power.feed, power.grant
    load = feed.load
    needs = load.value(load.side, "needs_lldp")
    if needs.value is not True and not (needs.value is None and load.asked(needs.at)):
        return NotApplicable(NEGOTIATION.name, load.at, "does not say that it needs negotiation")
    lldp = Value(None, source_end(feed)) if feed.source is None else feed.source.value("pse", "lldp")
    if lldp.value is True:
        return Passed(NEGOTIATION.name, load.at)
    here = at_feed(feed)
    missing = tuple(value.at for value in (needs, lldp) if value.value is None)
    if grant.requested is None or (grant.dual and grant.second is None):
        message = f"{load.id}: cannot tell what is left of its power without negotiation"
        return cannot_tell(
            NEGOTIATION, here, message, (*missing, *grant.missing), "holds if the source answers"
        )
    modes = [mode for mode in (grant.requested, grant.second if grant.dual else None) if mode is not None]
    if grant.dual and modes[0] not in _MODE_CLASSES:
        return NotApplicable(NEGOTIATION.name, load.at, f"a mode has no class {modes[0]}")
    kept = [granting.unnegotiated_class(mode) for mode in modes]
    watts = poe_limits.dual_pd_watts if grant.dual else lambda mode: poe_limits.pd_watts(mode, grant.pse_type)
    kept_w, asked_w = sum(watts(mode) for mode in kept), sum(watts(mode) for mode in modes)
    words = " and ".join(f"class {mode}" for mode in kept)
    if min(grant.device_w.high, asked_w) <= kept_w:
        return NotApplicable(NEGOTIATION.name, load.at, f"no more than {words} with negotiation either")
    if missing:
        unknown = (
            "whether it needs negotiation" if needs.value is None else f"whether {here.source} negotiates"
        )
        message = f"{load.id}: cannot tell {unknown}; without, it stays at {words} ({kept_w:g} W)"
        turns = (
            "holds if the source negotiates" if lldp.value is None else "holds if the device does not need it"
        )
        return cannot_tell(NEGOTIATION, here, message, missing, turns, rests_on=(needs.at, lldp.at))
    drawn_w = modes_of(load, power.draw) if grant.dual and power.draw is not None else None
    bears = drawn_w is None or all(need <= watts(mode) for need, mode in zip(drawn_w, kept))
    level, works = shortfall(built, power, kept_w, bears=bears)
    record = (
        granting.dual_limit(modes[0], modes[1])
        if grant.dual
        else granting.class_limit(modes[0], grant.pse_type)
    )
    events = poe_limits.DEMOTION_TABLE
    at: Path = (*feed.source.at, "pse", "lldp") if lldp.assumed and feed.source is not None else lldp.at
    return Answer(
        NEGOTIATION.name,
        "fail",
        here.subject,
        here.at,
        f"{load.id}: gets its {asked_w:g} W only by negotiation, and {here.source} has none: "
        f"it stays at {words} ({kept_w:g} W), {works}",
        level=level,
        value=kept_w,
        limit=asked_w,
        unit="W",
        margin=round(kept_w - asked_w, 3),
        held_against=record._replace(citation=events.citation, known=events.known, source=events.source),
        working=f"{words} without negotiation: {kept_w:g} W < {asked_w:g} W" + needs_working(built, power),
        related=(Related(needs.at, "needs negotiation"), Related(lldp.at, "no negotiation")),
        remedy=Remedy(f"negotiation (LLDP) on {here.source}, or a source that has it", (Change(at, True),)),
        rests_on=(needs.at, lldp.at, *class_places(feed)),
        distinct=here.distinct,
    )
