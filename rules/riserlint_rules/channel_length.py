"""channel-length: no channel is longer than its cords, its heat and its standard let it be.

Attenuation grows with length, with the thinner strands of cords and with temperature; beyond the limits a
link may come up and fail under load. ANSI/TIA-568 and ISO/IEC 11801 limit the same things in different forms:
the region says which applies, and where none is stated only what both say alike is an answer.
"""

import math
from collections.abc import Iterable, Iterator

from riserlint import (
    Answer,
    Built,
    Change,
    Check,
    Clause,
    ClauseName,
    Level,
    NotApplicable,
    Passed,
    Path,
    Remedy,
    Rule,
    RunChannel,
    Said,
    Span,
    Written,
    at_least,
    at_most,
    cabling_limits,
    derating_limits,
    hookimpl,
    lengths,
    path_text,
)

TIA, ISO = cabling_limits.CABLING_LIMITS["TIA"], cabling_limits.CABLING_LIMITS["ISO/IEC"]

LINK = Check(
    "permanent-link",
    "the permanent link is too long",
    "error",
    "link ≤ 90 m (Category 8: 24 m); a drawn length is taken with the basis's allowance for rise, drop and "
    "slack; a measured one over it within the uncertainty of its instrument is a note, under ISO/IEC any is",
    (),
    (TIA.permanent_link, ISO.permanent_link, cabling_limits.CATEGORY_8_PERMANENT_LINK),
)
CHANNEL = Check(
    "channel",
    "the channel is too long",
    "error",
    "link + cords ≤ 100 m (Category 8: 30 m); an injector or a surge protector in it starts no new channel",
    (),
    (TIA.channel, ISO.channel, cabling_limits.CATEGORY_8_CHANNEL),
)
CORDS = Check(
    "cords",
    "the cords are too long for the link",
    "error",
    "TIA: H ≤ 102 m − sum of (1 + D) C, D by the cord's gauge; ISO/IEC: H ≤ K − margin − sum of X F, by "
    "class and model; H is the link, 90 m at the most",
    (),
    (
        derating_limits.EXTENDED_CORD_SUM_TIA,
        derating_limits.CORD_DERATING_SOLID,
        *derating_limits.CORD_DERATINGS.values(),
        derating_limits.CORD_RATIO_ISO,
    ),
)
HOT = Check(
    "hot-space",
    "the link is too long for its temperature",
    "error",
    "TIA: H ≤ the table's length at the mean temperature; ISO/IEC: H ≤ (K − margin − sum of X F)(1 − share "
    "lost to heat); the mean is weighted by the metres in each space and holds the rise of the bundle",
    (),
    (
        derating_limits.HORIZONTAL_AT_40_CELSIUS_TIA,
        derating_limits.LENGTH_LOST_UNSCREENED_WARM_ISO,
        derating_limits.LENGTH_LOST_UNSCREENED_HOT_ISO,
        derating_limits.LENGTH_LOST_SCREENED_ISO,
        derating_limits.HOTTEST_CELSIUS,
    ),
)
CONNECTIONS = Check(
    "connections",
    "too many connections in the channel",
    "error",
    "connections, each injector and surge protector in the run counted as one, ≤ 4 (Category 8: 2)",
    (),
    (TIA.connections, ISO.connections, cabling_limits.CATEGORY_8_CONNECTIONS),
)
CONSOLIDATION = Check(
    "consolidation-point",
    "the consolidation point is too near the floor distributor",
    "warning",
    "cable from the floor distributor to the consolidation point ≥ 15 m",
    (),
    (TIA.consolidation_point, ISO.consolidation_point),
)
DRAWN = Check(
    "drawn-length",
    "a drawn length leaves nothing for rise, drop and slack",
    "note",
    "a link that comes from a drawing, where the basis states no allowance, ≤ 88 m",
    (),
    (cabling_limits.PLANNED_LINK,),
)
ROUTE = Check(
    "route-agrees",
    "the route does not add up to the link",
    "note",
    "|sum of the route − link| ≤ 1 m or 2 % of the link, whichever is more, beside the link's uncertainty",
    (),
    (cabling_limits.ROUTE_DIFFERENCE, cabling_limits.ROUTE_DIFFERENCE_SHARE),
)

ADVICE = "shorten the route, or end the channel at a switch or an extender on the way"


#: The clauses of the analysis that the checks of length compare.
CLAUSES: dict[str, ClauseName] = {
    LINK.name: "link",
    CHANNEL.name: "channel",
    CORDS.name: "cords",
    HOT.name: "heat",
}


def review(built: Built, parameters: Written) -> Iterator[Said]:
    """Yield the answers for every run."""
    del parameters
    for run in built.runs.values():
        channel = built.channel(run)
        yield _answer(built, channel, LINK)
        yield _answer(built, channel, CHANNEL)
        yield _cords(built, channel)
        yield _hot(built, channel)
        yield _connections(built, channel)
        yield _consolidation(built, channel)
        yield _drawn(built, channel)
        yield _route(channel)


# -- lengths -------------------------------------------------------------------------------------------------


def _cords(built: Built, channel: RunChannel) -> Said:
    run = channel.run
    if channel.metres.cords.high == 0:
        return NotApplicable(CORDS.name, run.at, "no cords")
    if not channel.has_equation:
        return NotApplicable(CORDS.name, run.at, _no_equation(channel))
    clauses = channel.clauses("cords") if channel.has_thin_cords else ()
    if any(_judged(clause, channel) == "open" for clause in clauses):
        thinnest = max(derating_limits.CORD_DERATINGS)
        message = (
            f"{run.id} ({run.ends}): a cord thinner than {thinnest} AWG; the standards know no length for it"
        )
        at = (*run.at, "cords" if run.model.cords is not None else "cords_m")
        return Answer(CORDS.name, "review", run.at, at, message, rests_on=clauses[0].rests_on)
    return _answer(built, channel, CORDS)


def _hot(built: Built, channel: RunChannel) -> Said:
    run, celsius = channel.run, channel.celsius.celsius
    rating, hottest = derating_limits.RATING_CELSIUS.value, derating_limits.HOTTEST_CELSIUS
    if celsius.high <= rating:
        return NotApplicable(HOT.name, run.at, f"{rating:g} °C or cooler")
    if not channel.has_equation:
        return NotApplicable(HOT.name, run.at, _no_equation(channel))
    # What is too long for a cool room is the permanent link's finding, which names the heat beside it.
    if not channel.holds("link") and all(
        _judged(clause, channel) == "error" for clause in channel.clauses("link")
    ):
        return NotApplicable(HOT.name, run.at, "too long at any temperature")
    beyond = celsius.low > hottest.value or hottest.value < celsius.high < math.inf
    if not beyond or not channel.holds("heat"):
        return _answer(built, channel, HOT)
    shown = _ranged(celsius, "°C")
    return Answer(
        HOT.name,
        "review",
        run.at,
        channel.celsius.rests_on[0],
        f"{run.id} ({run.ends}): its cable is at {shown} on average; the standards give no length beyond "
        f"{hottest.value:g} °C",
        value=round(celsius.high, 3),
        limit=hottest.value,
        unit="°C",
        margin=round(hottest.value - celsius.high, 3),
        held_against=hottest,
        working=f"{shown} > {hottest.value:g} °C",
        rests_on=channel.celsius.rests_on,
    )


def _no_equation(channel: RunChannel) -> str:
    category = None if channel.run.cable is None else channel.run.cable.value("category").value
    return f"the standard has no equation for Category {category}"


def _answer(built: Built, channel: RunChannel, check: Check) -> Said:
    if channel.holds(CLAUSES[check.name]):
        return Passed(check.name, channel.run.at)
    clauses = channel.clauses(CLAUSES[check.name])
    outcomes = [_judged(clause, channel) for clause in clauses]
    if outcomes[0] in ("error", "note") and len(set(outcomes)) == 1:
        return _fail(built, channel, check, min(clauses, key=lambda clause: clause.limit.high), outcomes[0])
    return _open(channel, check, clauses, outcomes)


def _judged(clause: Clause, channel: RunChannel) -> str:
    """Return ``pass``, ``open``, or the level of the fail: a note where it is over by its uncertainty."""
    verdict = at_most(channel.read(clause.value), clause.limit)
    if verdict != "fail":
        return verdict
    within = at_most(clause.value.low, clause.limit.high) == "pass"
    return "note" if channel.metres.measured and within else "error"


# -- findings ------------------------------------------------------------------------------------------------


def _fail(built: Built, channel: RunChannel, check: Check, clause: Clause, outcome: str) -> Answer:
    run = channel.run
    value, limit = _compared(channel, check, clause)
    level: Level | None = "note" if outcome == "note" else None
    return Answer(
        check.name,
        "fail",
        run.at,
        (*run.at, "link_m"),
        _message(built, channel, check, clause),
        level=level,
        value=round(value, 3),
        limit=round(limit, 3),
        unit="m",
        margin=round(limit - value, 3),
        held_against=clause.held_against,
        working=_fail_working(channel, check, clause),
        remedy=_remedy(built, channel, check, value - limit),
        rests_on=clause.rests_on,
    )


def _compared(channel: RunChannel, check: Check, clause: Clause) -> tuple[float, float]:
    """Return what is compared with what: the channel as a whole, or the link with what is left to it."""
    link_m = channel.read(clause.value).low
    if check is CHANNEL:
        return link_m + channel.metres.cords.low, clause.held_against.value
    return link_m, clause.limit.high


def _message(built: Built, channel: RunChannel, check: Check, clause: Clause) -> str:
    value, limit = _compared(channel, check, clause)
    cords, celsius = _ranged(channel.metres.cords, "m"), _ranged(channel.celsius.celsius, "°C")
    if check is CHANNEL:
        words = f"channel of {value:.1f} m with {cords} of cords, at most {limit:g} m"
    elif check is CORDS:
        words = (
            f"{cords} of cords beside a link of {value:.1f} m, which may be {_floor(limit):.1f} m with them"
        )
    elif check is HOT:
        words = f"link of {value:.1f} m at a mean of {celsius}, at most {_floor(limit):.1f} m"
    else:
        words = f"link of {value:.1f} m, at most {limit:g} m"
    words += _grounds(built, channel, clause)
    heat = next(
        (other.limit.high for other in channel.clauses("heat") if other.family is clause.family), math.inf
    )
    if check is LINK and heat < clause.limit.high:
        words += f"; at its {celsius} at most {_floor(heat):.1f} m"
    return f"{channel.run.id} ({channel.run.ends}): {words}"


def _grounds(built: Built, channel: RunChannel, clause: Clause) -> str:
    """Return what the length of the link rests on."""
    metres = channel.metres
    if metres.measured:
        words = f" (as measured: {_ranged(metres.link, 'm')})"
        if at_most(clause.value.low, clause.limit.high) == "pass":
            return f"{words}; over it only within the uncertainty of the measurement"
        return words
    if metres.allowance_m:
        return f" ({metres.link_written:g} m drawn + {metres.allowance_m:.1f} m allowance)"
    return " (as drawn)" if built.design.origin(channel.run.value("link_m").at) == "drawing" else ""


def _fail_working(channel: RunChannel, check: Check, clause: Clause) -> str:
    value, limit = _compared(channel, check, clause)
    metres, family = channel.metres, clause.family
    if check is CORDS:
        return f"{family.cords_working('best')} = {_n(limit)} m < {_n(value)} m"
    if check is HOT:
        return f"{family.heat_working('best')} = {_n(limit)} m < {_n(value)} m"
    terms = [channel.read(metres.link).low]
    if metres.allowance_m and metres.link_written is not None:
        terms = [metres.link_written, metres.allowance_m]
    if check is CHANNEL:
        terms.extend(cord.metres.value or 0.0 for cord in channel.run.cords or ())
    total = f" = {_n(value)} m" if len(terms) > 1 else ""
    return " + ".join(f"{_n(term)} m" for term in terms) + f"{total} > {_n(limit)} m"


def _open(channel: RunChannel, check: Check, clauses: tuple[Clause, ...], outcomes: list[str]) -> Answer:
    run, cords = channel.run, channel.metres.cords
    judged = list(zip(clauses, outcomes))
    undecided = [clause for clause, outcome in judged if outcome == "open"]
    missing = [path for clause in undecided for path in clause.missing]
    if len(set(outcomes)) > 1:
        missing.append(("design", "region"))
    message = f"{run.id} ({run.ends}): cannot tell whether {check.title}"
    if undecided:
        clause = min(undecided, key=lambda clause: clause.limit.low)
        value, limit = clause.value, clause.limit
        if check is CHANNEL:
            value, limit = value + cords, Span(clause.held_against.value, clause.held_against.value)
        limit = Span(limit.low, min(limit.high, clause.family.channel.value))
        message += f": {_ranged(value, 'm')} against {_ranged(limit, 'm')}"
        if check is CORDS:
            message += f" beside {_ranged(cords, 'm')} of cords"
        turns = _turns(channel, check, clause)
    else:
        clause = next(clause for clause, outcome in judged if outcome != "pass")
        by_family = [
            f"{clause.family.family} {'pass' if o == 'pass' else 'fail: ' + o}" for clause, o in judged
        ]
        message += f": no region is stated ({', '.join(by_family)})"
        turns = "".join(
            f"holds under {clause.family.family}" for clause, outcome in judged if outcome == "pass"
        )
    working = ""
    if check in (CORDS, HOT) and math.isfinite(clause.family.use_m().high):
        words = clause.family.cords_working if check is CORDS else clause.family.heat_working
        working = f"{words('worst')} = {_n(clause.limit.low)} m"
    return Answer(
        check.name,
        "open",
        run.at,
        next((path for path in missing if path[:2] == run.at), (*run.at, "link_m")),
        message,
        held_against=clause.held_against,
        working=working,
        missing=tuple(dict.fromkeys(missing)),
        turns=turns,
        rests_on=clause.rests_on,
    )


def _turns(channel: RunChannel, check: Check, clause: Clause) -> str:
    """Return the value at which an open answer turns, with the rest of what is not known at its worst."""
    family, bound = clause.family, clause.limit.low
    link_known, cords_known = not channel.link_missing, math.isfinite(channel.metres.cords.high)
    on_cords = check in (CHANNEL, CORDS) or (check is HOT and family.cells is not None)
    link_m = channel.read(clause.value).high
    if not link_known:
        if cords_known or not on_cords:
            return f"holds if the link is {_floor(bound):.1f} m or less" if bound > 0 else ""
        return f"holds if link and cords together are {clause.held_against.value:g} m or less" * (
            check is CHANNEL
        )
    if on_cords and not cords_known:
        together = clause.held_against.value - link_m
        if check is not CHANNEL:
            together = family.cords_together_m(link_m, heat=check is HOT)
        return f"holds if the cords together are {_floor(together):.1f} m or less" if together > 0 else ""
    if check is CORDS:
        kind = family.thinnest_cords(link_m)
        return f"holds if the cords of unknown kind are {kind}" if kind else ""
    if channel.celsius.celsius.known:
        screened = family._replace(screened=(True,)).leaves().heat
        holds = len(family.screened) > 1 and screened is not None and at_most(link_m, screened) == "pass"
        return "holds if the cable is screened" if holds else ""
    hottest = family.hottest_celsius(link_m)
    return "" if hottest is None else f"holds up to a mean of {_floor(hottest):.1f} °C"


# -- remedies ------------------------------------------------------------------------------------------------


def _remedy(built: Built, channel: RunChannel, check: Check, over_m: float) -> Remedy:
    """Return shorter cords where the cords are a matter of design and that does it, else a shorter link."""
    celsius, hottest = channel.celsius.celsius, derating_limits.HOTTEST_CELSIUS.value
    if check is HOT and hottest < celsius.high < math.inf:
        return Remedy(f"take it through a cooler space: beyond {hottest:g} °C no length is right")
    screened = "; or screened cable, with which it holds" * (check is HOT and _holds_screened(channel))
    ways = (_shorter_cords, _shorter_link) if check in (CHANNEL, CORDS) else (_shorter_link, _shorter_cords)
    remedies = [remedy for way in ways if (remedy := way(built, channel, check)) is not None]
    if remedies:
        return remedies[0]._replace(text=remedies[0].text + screened)
    again = "measure it again, by tape where a tester read it; else " if channel.metres.measured else ""
    return Remedy(f"{again}take {-_floor(-over_m):.1f} m off: {ADVICE}{screened}")


def _holds_screened(channel: RunChannel) -> bool:
    """Return whether a screened cable, which loses less to heat, could be as long at this temperature."""
    link_m = channel.read(channel.metres.link)
    limits = [family._replace(screened=(True,)).leaves().heat for family in channel.families]
    return all(limit is not None and at_most(link_m, limit) == "pass" for limit in limits)


def _changeable(built: Built, path: Path) -> bool:
    """Return whether a value is a matter of design: written in the design, and not measured."""
    return path[0] != "basis" and built.design.origin(path) != "measured"


def _shorter_link(built: Built, channel: RunChannel, check: Check) -> Remedy | None:
    written = channel.run.value("link_m")
    if written.value is None or not _changeable(built, written.at):
        return None
    longest = channel.longest_link_m(CLAUSES[check.name])
    if channel.metres.allowance_m:
        allowance = built.design.basis.model.allowance
        longest = (longest - (allowance.m or 0.0)) / (1 + (allowance.share or 0.0))
    longest = _floor(longest)
    if not 0 < longest < written.value:
        return None
    changes = (Change(written.at, longest),)
    return Remedy(f"link of at most {longest:g} m in {path_text(written.at)}: {ADVICE}", changes)


def _shorter_cords(built: Built, channel: RunChannel, check: Check) -> Remedy | None:
    """Cut all cords by one share, as little as it takes."""
    run = channel.run
    listed: Path = (*run.at, "cords_m")
    cords = [cord for cord in run.cords or () if cord.metres.value]
    if not all(_changeable(built, path) for path in (listed, *(cord.metres.at for cord in cords))):
        return None
    share = channel.longest_cords_share(CLAUSES[check.name])
    shorter = {cord.metres.at: _floor((cord.metres.value or 0.0) * (share or 0.0)) for cord in cords}
    if not cords or min(shorter.values()) <= 0:
        return None
    changes = tuple(Change(path, metres) for path, metres in shorter.items())
    if built.design.statement(listed) is not None:
        whole = [shorter.get(cord.metres.at, cord.metres.value or 0.0) for cord in run.cords or ()]
        changes = (Change(listed, whole),)
    text = " and ".join(f"{metres:g} m" for metres in shorter.values())
    return Remedy(f"cords of {text}, or thicker ones, or a shorter link", changes)


# -- connections, consolidation point, drawing and route ----------------------------------------------------


def _connections(built: Built, channel: RunChannel) -> Said:
    run = channel.run
    written = run.value("connections")
    inline = len(run.inlines)
    record = min((family.connections for family in channel.families), key=lambda limit: limit.value)
    most = record.value
    extra = f", {inline} of them in the run" if inline else ""
    if written.value is None and inline <= most:
        return Answer(
            CONNECTIONS.name,
            "open",
            run.at,
            written.at,
            f"{run.id} ({run.ends}): cannot tell how many connections its channel has",
            held_against=record,
            missing=(written.at,),
            turns=f"holds with {most - inline:g} connections or fewer"
            + (f" beside {inline} in the run" if inline else ""),
        )
    own = written.value or 0
    count = own + inline
    if count <= most:
        return Passed(CONNECTIONS.name, run.at)
    changes: tuple[Change, ...] = ()
    if most >= inline and _changeable(built, written.at):
        changes = (Change(written.at, int(most - inline)),)
    return Answer(
        CONNECTIONS.name,
        "fail",
        run.at,
        written.at,
        f"{run.id} ({run.ends}): {count:g} connections in one channel{extra}, at most {most:g}",
        value=count,
        limit=most,
        unit="connections",
        margin=most - count,
        held_against=record,
        working=f"{own:g} + {inline} in the run = {count:g} > {most:g}",
        remedy=Remedy(f"leave out {count - most:g}", changes),
        rests_on=(written.at,) if written.value is not None else (),
    )


def _consolidation(built: Built, channel: RunChannel) -> Said:
    run = channel.run
    written = run.value("consolidation_point_m")
    record = channel.families[0].consolidation_point
    if written.value is None:
        if not built.design.asked((*run.at, "consolidation_point_m")):
            return NotApplicable(CONSOLIDATION.name, run.at, "no consolidation point")
        return Answer(
            CONSOLIDATION.name,
            "open",
            run.at,
            written.at,
            f"{run.id} ({run.ends}): cannot tell how far its consolidation point is from the distributor",
            held_against=record,
            missing=(written.at,),
            turns=f"holds at {record.value:g} m or more",
        )
    if at_least(written.value, record.value) == "pass":
        return Passed(CONSOLIDATION.name, run.at)
    level: Level | None = None
    words = ""
    remedy = Remedy(f"place it at least {record.value:g} m from the floor distributor")
    if built.design.origin(written.at) == "measured":
        statement = built.design.statement(written.at)
        by = "tester" if statement is None or statement.by is None else statement.by
        span = lengths.measured_span(written.value, by)
        if at_least(span.high, record.value) == "pass":
            level, words = "note", f"; within the uncertainty of the measurement ({_ranged(span, 'm')})"
    elif _changeable(built, written.at):
        remedy = remedy._replace(changes=(Change(written.at, record.value),))
    return Answer(
        CONSOLIDATION.name,
        "fail",
        run.at,
        written.at,
        f"{run.id} ({run.ends}): consolidation point {written.value:g} m from the floor distributor, "
        f"at least {record.value:g} m{words}",
        level=level,
        value=written.value,
        limit=record.value,
        unit="m",
        margin=written.value - record.value,
        held_against=record,
        working=f"{written.value:g} m < {record.value:g} m",
        remedy=remedy,
        rests_on=(written.at,),
    )


def _drawn(built: Built, channel: RunChannel) -> Said:
    run, metres = channel.run, channel.metres
    record = cabling_limits.PLANNED_LINK
    longest = channel.families[0].link.value
    link_at: Path = (*run.at, "link_m")
    allowance = built.design.basis.model.allowance
    stated = allowance.share is not None or allowance.m is not None
    drawn = run.value("link_m").at == link_at and built.design.origin(link_at) == "drawing"
    if metres.link_written is None or not drawn or stated or longest < record.value:
        return NotApplicable(DRAWN.name, run.at, "not a drawn length, or the basis states an allowance")
    if record.value < metres.link_written <= longest:
        return Answer(
            DRAWN.name,
            "fail",
            run.at,
            link_at,
            f"{run.id} ({run.ends}): {metres.link_written:g} m come from a drawing, and nothing is added for "
            f"rise, drop and slack; planners keep to {record.value:g} m",
            value=metres.link_written,
            limit=record.value,
            unit="m",
            margin=record.value - metres.link_written,
            held_against=record,
            working=f"{metres.link_written:g} m > {record.value:g} m",
            remedy=Remedy("measure the route, or state an allowance in the basis"),
            rests_on=(link_at,),
        )
    return Passed(DRAWN.name, run.at)


def _route(channel: RunChannel) -> Said:
    run, metres = channel.run, channel.metres
    parts = [segment.metres.value for segment in run.segments]
    known = [part for part in parts if part is not None]
    if metres.link_written is None or len(known) < len(parts):
        return NotApplicable(ROUTE.name, run.at, "no metres of its route, or of its link")
    total = sum(known)
    low, high = min(metres.link.low, metres.link_written), max(metres.link.high, metres.link_written)
    difference = max(total - high, low - total, 0.0)
    record = cabling_limits.ROUTE_DIFFERENCE
    share = cabling_limits.ROUTE_DIFFERENCE_SHARE.value * metres.link_written
    if share > record.value:
        record = cabling_limits.ROUTE_DIFFERENCE_SHARE
    allowed = max(cabling_limits.ROUTE_DIFFERENCE.value, share)
    if at_most(difference, allowed) == "pass":
        return Passed(ROUTE.name, run.at)
    at: Path = (*run.at, "route")
    return Answer(
        ROUTE.name,
        "fail",
        run.at,
        at,
        f"{run.id} ({run.ends}): its route adds up to {total:g} m, its link is {metres.link_written:g} m; "
        "one of the two is wrong",
        value=round(difference, 3),
        limit=round(allowed, 3),
        unit="m",
        margin=round(allowed - difference, 3),
        held_against=record,
        working=f"{' + '.join(f'{part:g} m' for part in known)} = {total:g} m, "
        f"{difference:.4g} m from {metres.link_written:g} m > {allowed:.4g} m",
        remedy=Remedy("put right the one that is wrong"),
        rests_on=(*(segment.metres.at for segment in run.segments), (*run.at, "link_m")),
    )


# -- words ---------------------------------------------------------------------------------------------------


def _ranged(span: Span, unit: str) -> str:
    if span.known:
        return f"{span.low:.1f} {unit}"
    if math.isfinite(span.low) and math.isfinite(span.high):
        low, high = f"{span.low:.1f}", f"{span.high:.1f}"
        return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"
    if math.isfinite(span.low) and span.low > 0:
        return f"{span.low:.1f} {unit} or more"
    if math.isfinite(span.high):
        return f"{span.high:.1f} {unit} or less"
    return "an unknown length" if unit == "m" else "an unknown temperature"


def _n(number: float) -> str:
    return f"{round(number, 2):g}"


def _floor(number: float) -> float:
    """Return a number cut to tenths: a length that is to be kept must hold, rounding included."""
    return math.floor(number * 10 + 1e-9) / 10 if math.isfinite(number) else number


RULE = Rule(
    "channel-length",
    "channels within the lengths of the cabling standards",
    "Beyond its length a channel loses more than the equipment at its ends allows for: the link comes up and "
    "drops frames, or falls back to a lower rate, and only under load or in summer.",
    (LINK, CHANNEL, CORDS, HOT, CONNECTIONS, CONSOLIDATION, DRAWN, ROUTE),
    review,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
