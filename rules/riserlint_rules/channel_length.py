"""channel-length: no channel is longer than its cords, its heat and its standard let it be.

Attenuation grows with length, with the thinner strands of cords and with temperature; beyond the limits a link may
come up and fail under load. ANSI/TIA-568 and ISO/IEC 11801 limit the same things in different forms: the design's
region says which applies, and with no region stated only what both say alike is an answer.
"""

import math
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from riserlint import (
    Answer,
    Built,
    Change,
    Check,
    Limit,
    NotApplicable,
    Passed,
    Path,
    Remedy,
    Rule,
    Run,
    RunMetres,
    Said,
    Span,
    Verdict,
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
    "link ≤ 90 m (Category 8: 24 m); a drawn length is taken with the basis's allowance for rise, drop and slack, "
    "a measured one with the uncertainty of its instrument",
    (),
    (TIA.permanent_link, ISO.permanent_link, cabling_limits.CATEGORY_8_PERMANENT_LINK),
)
CHANNEL = Check(
    "channel",
    "the channel is too long",
    "error",
    "link + cords ≤ 100 m (Category 8: 30 m); an injector or a surge protector in the run starts no new channel",
    (),
    (TIA.channel, ISO.channel, cabling_limits.CATEGORY_8_CHANNEL),
)
CORDS = Check(
    "cords",
    "the cords are too long for the link",
    "error",
    "TIA: sum of (1 + D) C ≤ 102 m − H, D by the cord's gauge; ISO/IEC: H ≤ K − margin − F X by class and model",
    (),
    (
        derating_limits.EXTENDED_CORD_SUM_TIA,
        *derating_limits.CORD_DERATINGS.values(),
        derating_limits.CORD_RATIO_ISO,
    ),
)
HOT = Check(
    "hot-space",
    "the link is too long for its temperature",
    "error",
    "TIA: H ≤ the table's length at the mean temperature; ISO/IEC: H ≤ (K − margin − F X)(1 − share lost to heat); "
    "the mean is weighted by the metres in each space and holds the rise of the bundle",
    (derating_limits.HORIZONTAL_BY_TEMPERATURE_TIA.citation,),
    (
        derating_limits.LENGTH_LOST_UNSCREENED_WARM_ISO,
        derating_limits.LENGTH_LOST_UNSCREENED_HOT_ISO,
        derating_limits.LENGTH_LOST_SCREENED_ISO,
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


class Family(NamedTuple):
    """What one family of texts says of one run: its limits, and the link that cords and heat leave."""

    link: Limit
    channel: Limit
    connections: Limit
    consolidation: Limit
    cords_leave: Span
    cords_working: str
    heat_leaves: Span | None
    heat_limit: Limit
    heat_working: str


class Question(NamedTuple):
    """One comparison: value against limit, with its record and its working."""

    value: Span
    limit: Span
    record: Limit
    working: str


def review(built: Built, parameters: Written) -> Iterator[Said]:
    """Yield the answers for every run."""
    del parameters
    for run in built.runs.values():
        yield from _review_run(built, run)


def _review_run(built: Built, run: Run) -> Iterator[Said]:
    metres = built.metres(run)
    category = None if run.cable is None else run.cable.value("category").value
    families = _families(built, run, metres, category)
    length_missing = list(metres.missing)
    kind_missing = _kind_missing(run)
    yield from _answer(
        built, run, metres, LINK, [_question(metres.link, family.link) for family in families], length_missing
    )
    yield from _answer(
        built, run, metres, CHANNEL, [_question(metres.channel, family.channel) for family in families], length_missing
    )
    cords = [
        Question(metres.link, family.cords_leave, derating_limits.EXTENDED_CORD_SUM_TIA, family.cords_working)
        if family.link is TIA.permanent_link
        else Question(metres.link, family.cords_leave, derating_limits.CORD_RATIO_ISO, family.cords_working)
        for family in families
        if category != "8"
    ]
    if cords and metres.cords.high > 0:
        yield from _answer(built, run, metres, CORDS, cords, [*length_missing, *kind_missing])
    else:
        why = "no cords" if metres.cords.high == 0 else "Category 8 has no cord equation"
        yield NotApplicable(CORDS.name, run.at, why)
    yield from _hot(built, run, metres, families, [*length_missing, *kind_missing])
    yield from _connections(built, run, families)
    yield from _consolidation(built, run, families)
    yield from _drawn(built, run, metres)


def _families(built: Built, run: Run, metres: RunMetres, category: str | None) -> list[Family]:
    """Return the families of texts that may apply: both where no region is stated."""
    celsius = built.mean_celsius(run).celsius
    found = []
    if built.region in {None, "north-america"}:
        found.append(_tia(run, metres, category, celsius))
    if built.region != "north-america":
        found.append(_iso(run, metres, category, celsius))
    return found


def _eight(family: "cabling_limits.CablingLimits", category: str | None) -> tuple[Limit, Limit, Limit]:
    if category == "8":
        return (
            cabling_limits.CATEGORY_8_PERMANENT_LINK,
            cabling_limits.CATEGORY_8_CHANNEL,
            cabling_limits.CATEGORY_8_CONNECTIONS,
        )
    return family.permanent_link, family.channel, family.connections


def _tia(run: Run, metres: RunMetres, category: str | None, celsius: Span) -> Family:
    low, high, terms = 0.0, 0.0, []
    if run.cords is None:
        high = math.inf
    else:
        for cord in run.cords:
            derating = _derating(run, cord.cable)
            length = cord.metres.value
            low += (1 + derating.low) * (length or 0.0)
            high += math.inf if length is None else (1 + derating.high) * length
            shown = f"{derating.low:g}" if derating.known else f"{derating.low:g} to {derating.high:g}"
            terms.append(f"{1:g} + {shown}) × {_m(length)}")
    total = derating_limits.EXTENDED_CORD_SUM_TIA.value
    leave = Span(max(0.0, total - high), max(0.0, total - low))
    working = f"{total:g} m − ({' + ('.join(terms)} = {_span(leave)}" if terms else f"{total:g} m − cords"
    link, channel, connections = _eight(TIA, category)
    screened = _screened(run)
    heat = _hot_limit(celsius, screened, lambda c, s: lengths.tia_horizontal_limit_m(c, s))
    return Family(
        link,
        channel,
        connections,
        TIA.consolidation_point,
        leave,
        working,
        None if category == "8" else heat,
        _table_limit(celsius, screened),
        f"table at {_span(celsius, '°C')}, {_screen_word(screened)}: {_span(heat)}" if heat is not None else "",
    )


def _table_limit(celsius: Span, screened: tuple[bool, ...]) -> Limit:
    """Return the row of the printed table that the limit comes from, as a record: one cell is published."""
    table = derating_limits.HORIZONTAL_BY_TEMPERATURE_TIA
    published = screened == (False,) and celsius == Span(40.0, 40.0)
    return Limit(
        table.name, 90.0, "m", table.citation, "published" if published else "memory", table.source, table.note
    )


def _iso(run: Run, metres: RunMetres, category: str | None, celsius: Span) -> Family:
    link, channel, connections = _eight(ISO, category)
    classes = _classes(category)
    model = _model(run)
    ratio = _ratio(run)
    screened = _screened(run)
    cold: list[float] = []
    hot: list[Span] = []
    for category_class in classes:
        for metres_of_cords, cord_ratio in ((metres.cords.low, ratio.low), (metres.cords.high, ratio.high)):
            if math.isinf(metres_of_cords):
                cold.append(0.0)
                hot.append(Span(0.0, 0.0))
                continue

            def leaves(
                at_c: float,
                with_screen: bool,
                c: "lengths.HorizontalClass" = category_class,
                m: float = metres_of_cords,
                x: float = cord_ratio,
            ) -> float:
                return lengths.iso_horizontal_limit_m(
                    c, model, cords_m=m, cord_ratio=x, cp_cable_m=0.0, cp_ratio=1.0, celsius=at_c, screened=with_screen
                )

            cold.append(leaves(20.0, False))
            limit = _hot_limit(celsius, screened, leaves)
            if limit is not None:
                hot.append(limit)
    leave = Span(min(cold), max(cold)) if cold else Span(0.0, 90.0)
    heat = Span(min(s.low for s in hot), max(s.high for s in hot)) if hot else None
    names = "/".join(classes)
    equation = f"Class {names}, {model}: K − margin − {_span(metres.cords)} × {_span(ratio, '')}"
    return Family(
        link,
        channel,
        connections,
        ISO.consolidation_point,
        leave,
        f"{equation} = {_span(leave)} (at most 90 m)",
        heat,
        derating_limits.LENGTH_LOST_SCREENED_ISO
        if screened == (True,)
        else derating_limits.LENGTH_LOST_UNSCREENED_WARM_ISO,
        f"{equation}, less the share lost at {_span(celsius, '°C')}, {_screen_word(screened)}: {_span(heat)}"
        if heat is not None
        else "",
    )


def _hot(
    built: Built, run: Run, metres: RunMetres, families: list[Family], missing: list[Path]
) -> Iterator[Said]:
    mean = built.mean_celsius(run)
    celsius = mean.celsius
    hottest_known = derating_limits.HOTTEST_CELSIUS
    if celsius.high <= derating_limits.RATING_CELSIUS.value:
        yield NotApplicable(HOT.name, run.at, "20 °C or cooler")
        return
    if celsius.low > hottest_known.value:
        at = mean.rests_on[0] if mean.rests_on else run.at
        message = f"{run.id}: its cable is at {celsius.low:.1f} °C on average, beyond the {hottest_known.value:g} °C "
        message += "where the standards' lengths end"
        yield Answer(
            HOT.name,
            "review",
            run.at,
            at,
            message,
            value=celsius.low,
            limit=hottest_known.value,
            unit="°C",
            margin=hottest_known.value - celsius.low,
            held_against=hottest_known,
            rests_on=mean.rests_on,
        )
        return
    questions = [
        Question(metres.link, family.heat_leaves, family.heat_limit, family.heat_working)
        for family in families
        if family.heat_leaves is not None
    ]
    if not questions:
        yield NotApplicable(HOT.name, run.at, "Category 8 has no table of length by temperature")
        return
    # What is too long for a cool room is the permanent link's finding; heat adds its own only below that.
    if all(at_most(metres.link, family.link.value) == "fail" for family in families):
        yield NotApplicable(HOT.name, run.at, "too long at any temperature")
        return
    yield from _answer(built, run, metres, HOT, questions, [*missing, *mean.missing], mean.rests_on)


def _answer(
    built: Built,
    run: Run,
    metres: RunMetres,
    check: Check,
    questions: list[Question],
    missing: list[Path],
    rests_on: tuple[Path, ...] = (),
) -> Iterator[Said]:
    verdicts = [_judged(question, metres) for question in questions]
    if all(verdict == "pass" for verdict in verdicts):
        yield Passed(check.name, run.at)
        return
    value = questions[0].value
    worst = min(questions, key=lambda question: question.limit.high)
    if all(verdict == "fail" for verdict in verdicts):
        yield _fail(built, run, metres, check, worst, (*metres.rests_on, *rests_on))
        return
    if built.region is None and len(set(verdicts)) > 1:
        missing = [*missing, ("design", "region")]
    bound = min(question.limit.low for question in questions)
    turns = f"holds if the link is {_floor(bound):g} m or less" if bound > 0 else ""
    if check is CHANNEL:
        turns = f"holds if link and cords together are {bound:g} m or less"
    elif value.known and bound < value.high:
        turns = ""
    message = f"{run.id}: cannot tell whether {check.title}: {_span(value)} against {_span(worst.limit)}"
    yield Answer(
        check.name,
        "open",
        run.at,
        (*run.at, "link_m"),
        message,
        held_against=worst.record,
        working=worst.working,
        missing=tuple(dict.fromkeys(missing)),
        turns=turns,
        rests_on=(*metres.rests_on, *rests_on),
    )


def _judged(question: Question, metres: RunMetres) -> Verdict:
    """Judge a measured length by its reading: over the limit, but within the uncertainty, it still is a finding."""
    verdict = at_most(question.value, question.limit)
    if verdict == "open" and metres.measured and metres.link_written is not None:
        shift = metres.link.high - metres.link_written
        reading = Span(question.value.low + shift, question.value.high - shift)
        return at_most(reading if reading.low <= reading.high else question.value, question.limit)
    return verdict


def _fail(
    built: Built, run: Run, metres: RunMetres, check: Check, question: Question, rests_on: tuple[Path, ...]
) -> Answer:
    limit = question.limit.high
    value = question.value.high
    if metres.measured and metres.link_written is not None:
        value -= metres.link.high - metres.link_written
    level = None
    words = ""
    if metres.measured:
        iso_only = built.region not in {None, "north-america"}
        if iso_only or question.value.low <= limit:
            level = "note"
            words = (
                "; ISO/IEC fails no link on a measured length alone"
                if iso_only
                else f"; within the uncertainty of the measurement ({_span(question.value)})"
            )
    elif metres.allowance_m:
        words = f" ({metres.link_written:g} m drawn + {metres.allowance_m:.1f} m allowance)"
    subject = {CHANNEL.name: "channel"}.get(check.name, "link")
    reason = {
        CORDS.name: " beside its cords",
        HOT.name: f" at {built.mean_celsius(run).celsius.high:.1f} °C",
    }.get(check.name, "")
    message = f"{run.id} ({run.ends}): {subject} of {value:.1f} m, at most {limit:.1f} m{reason}{words}"
    working = question.working or f"{value:.1f} m > {limit:g} m"
    if check is CHANNEL:
        cords = " + ".join(_m(cord.metres.value) for cord in run.cords or ())
        working = f"{metres.link.high:.1f} m + {cords or '0 m'} = {question.value.high:.1f} m > {limit:g} m"
    return Answer(
        check.name,
        "fail",
        run.at,
        (*run.at, "link_m"),
        message,
        level=level,  # type: ignore[arg-type]
        value=round(value, 3),
        limit=round(limit, 3),
        unit="m",
        margin=round(limit - value, 3),
        held_against=question.record,
        working=working,
        remedy=_remedy(built, run, metres, value - limit),
        rests_on=rests_on,
    )


def _remedy(built: Built, run: Run, metres: RunMetres, over_m: float) -> Remedy:
    category = None if run.cable is None else run.cable.value("category").value
    longest = math.inf
    for family in _families(built, run, metres, category):
        longest = min(longest, family.link.value, family.channel.value - metres.cords.high, family.cords_leave.low)
        if family.heat_leaves is not None:
            longest = min(longest, family.heat_leaves.low)
    advice = "shorten the route, or end the channel at a switch or an extender on the way"
    if metres.measured or not math.isfinite(longest) or longest <= 0:
        return Remedy(f"take {over_m:.1f} m off: {advice}")
    allowance = built.design.basis.model.allowance
    written = longest
    if metres.allowance_m:
        written = (longest - (allowance.m or 0.0)) / (1 + (allowance.share or 0.0))
    written = _floor(written)
    if written <= 0:
        return Remedy(f"take {over_m:.1f} m off: {advice}")
    link_at: Path = (*run.at, "link_m")
    return Remedy(f"link of at most {written:g} m in {path_text(link_at)}: {advice}", (Change(link_at, written),))


def _connections(built: Built, run: Run, families: list[Family]) -> Iterator[Said]:
    written = run.value("connections")
    inline = len(run.inlines)
    record = families[0].connections
    most = min(family.connections.value for family in families)
    if written.value is None:
        if inline > most:
            count = Span(inline, math.inf)
        else:
            message = f"{run.id}: cannot tell how many connections its channel has"
            turns = f"holds with {most - inline:g} connections or fewer"
            yield Answer(
                CONNECTIONS.name,
                "open",
                run.at,
                written.at,
                message,
                held_against=record,
                missing=(written.at,),
                turns=turns,
            )
            return
    else:
        count = Span(written.value + inline, written.value + inline)
    if at_most(count, most) == "pass":
        yield Passed(CONNECTIONS.name, run.at)
        return
    extra = f", {inline} of them in the run" if inline else ""
    changes = (Change((*run.at, "connections"), int(most - inline)),) if most >= inline else ()
    yield Answer(
        CONNECTIONS.name,
        "fail",
        run.at,
        written.at,
        f"{run.id} ({run.ends}): {count.low:g} connections in one channel{extra}, at most {most:g}",
        value=count.low,
        limit=most,
        unit="connections",
        margin=most - count.low,
        held_against=record,
        working=f"{count.low - inline:g} + {inline} in the run = {count.low:g} > {most:g}",
        remedy=Remedy(f"leave out {count.low - most:g}", changes),
        rests_on=(written.at,),
    )


def _consolidation(built: Built, run: Run, families: list[Family]) -> Iterator[Said]:
    written = run.value("consolidation_point_m")
    record = families[0].consolidation
    if written.value is None:
        if built.design.asked((*run.at, "consolidation_point_m")):
            message = f"{run.id}: cannot tell how far its consolidation point is from the floor distributor"
            turns = f"holds at {record.value:g} m or more"
            yield Answer(
                CONSOLIDATION.name,
                "open",
                run.at,
                written.at,
                message,
                held_against=record,
                missing=(written.at,),
                turns=turns,
            )
        else:
            yield NotApplicable(CONSOLIDATION.name, run.at, "no consolidation point")
        return
    if at_least(written.value, record.value) == "pass":
        yield Passed(CONSOLIDATION.name, run.at)
        return
    remedy = Remedy(f"place it at least {record.value:g} m from the floor distributor")
    if built.design.origin(written.at) != "measured":
        remedy = remedy._replace(changes=(Change(written.at, record.value),))
    yield Answer(
        CONSOLIDATION.name,
        "fail",
        run.at,
        written.at,
        f"{run.id} ({run.ends}): consolidation point {written.value:g} m from the floor distributor, "
        f"at least {record.value:g} m",
        value=written.value,
        limit=record.value,
        unit="m",
        margin=written.value - record.value,
        held_against=record,
        working=f"{written.value:g} m < {record.value:g} m",
        remedy=remedy,
        rests_on=(written.at,),
    )


def _drawn(built: Built, run: Run, metres: RunMetres) -> Iterator[Said]:
    record = cabling_limits.PLANNED_LINK
    link_at: Path = (*run.at, "link_m")
    allowance = built.design.basis.model.allowance
    stated = allowance.share is not None or allowance.m is not None
    if metres.link_written is None or built.design.origin(link_at) != "drawing" or stated:
        yield NotApplicable(DRAWN.name, run.at, "not a drawn length, or the basis states an allowance")
    elif record.value < metres.link_written <= TIA.permanent_link.value:
        yield Answer(
            DRAWN.name,
            "fail",
            run.at,
            link_at,
            f"{run.id} ({run.ends}): {metres.link_written:g} m come from a drawing, and nothing is added for rise, "
            f"drop and slack; planners keep to {record.value:g} m",
            value=metres.link_written,
            limit=record.value,
            unit="m",
            margin=record.value - metres.link_written,
            held_against=record,
            remedy=Remedy("measure the route, or state an allowance in the basis"),
            rests_on=(link_at,),
        )
    else:
        yield Passed(DRAWN.name, run.at)


# -- kinds of cable ---------------------------------------------------------------------------------------------


def _derating(run: Run, cable: "object | None") -> Span:
    """Return D of a cord: by gauge where stranded, 0 where solid, the whole range where its kind is not known."""
    gauges = derating_limits.CORD_DERATINGS
    most = max(record.value for record in gauges.values())
    if cable is None:
        return Span(0.0, most)
    kind = run.cable.__class__ if run.cable is not None else None
    del kind
    strand = cable.value("strand").value  # type: ignore[attr-defined]
    awg = cable.value("conductor_awg").value  # type: ignore[attr-defined]
    if strand == "solid":
        return Span(0.0, 0.0)
    low = 0.0 if strand is None else min(record.value for record in gauges.values())
    if awg is None:
        return Span(low, most)
    value = next((gauges[gauge].value for gauge in sorted(gauges) if awg <= gauge), most)
    return Span(value if strand == "stranded" else 0.0, value)


def _ratio(run: Run) -> Span:
    """Return X of all cords together: the stranded ratio unless all are solid."""
    stranded = derating_limits.CORD_RATIO_ISO.value
    strands = {None if cord.cable is None else cord.cable.value("strand").value for cord in run.cords or ()}
    if run.cords is not None and strands <= {"solid"}:
        return Span(1.0, 1.0)
    return Span(1.0 if run.cords is None or None in strands else stranded, stranded)


def _kind_missing(run: Run) -> list[Path]:
    """Return what is not known of the kinds of cable that lengths depend on."""
    missing: list[Path] = []
    for cord in run.cords or ():
        if not cord.metres.value:
            continue
        if cord.cable is None:
            missing.append(cord.at[:-1] if cord.at[-2] == "cords_m" else (*cord.at, "cable"))
        else:
            missing.extend(
                value.at
                for value in (cord.cable.value("strand"), cord.cable.value("conductor_awg"))
                if value.value is None
            )
    if run.cable is None:
        missing.append((*run.at, "cable"))
    else:
        missing.extend(
            value.at for value in (run.cable.value("screen"), run.cable.value("category")) if value.value is None
        )
    return missing


def _screened(run: Run) -> tuple[bool, ...]:
    """Return whether the cable has a screen; both where it is not known."""
    screen = None if run.cable is None else run.cable.value("screen").value
    return (False, True) if screen is None else (screen != "none",)


def _screen_word(screened: tuple[bool, ...]) -> str:
    return "screen unknown" if len(screened) > 1 else "screened" if screened[0] else "unscreened"


def _classes(category: str | None) -> list["lengths.HorizontalClass"]:
    by_category: dict[str, lengths.HorizontalClass] = {
        "5": "D",
        "5e": "D",
        "6": "E",
        "6A": "EA",
        "7": "F",
        "7A": "FA",
    }
    if category is None:
        return ["D", "E", "F"]
    return [by_category[category]] if category in by_category else []


def _model(run: Run) -> "lengths.HorizontalModel":
    """Return the model of the channel; of what is not stated, the one that leaves the longest link."""
    written = run.value("connections").value
    consolidation = run.value("consolidation_point_m").value is not None
    count = (1 if consolidation else 0) if written is None else max(int(written), int(consolidation))
    model = lengths.model_of(count + len(run.inlines), consolidation)
    if model is not None:
        return model
    return "cross-connect-cp-outlet" if consolidation else "cross-connect-outlet"


def _hot_limit(celsius: Span, screened: tuple[bool, ...], leaves: "object") -> Span | None:
    """Return the length that heat leaves, at the two ends of temperature and screen."""
    ends: list[float] = []
    for at_c in celsius:
        for with_screen in screened:
            if at_c > derating_limits.HOTTEST_CELSIUS.value:
                ends.append(0.0)
            else:
                ends.append(leaves(max(at_c, derating_limits.RATING_CELSIUS.value), with_screen))  # type: ignore[operator]
    return Span(min(ends), max(ends))


def _question(value: Span, record: Limit) -> Question:
    return Question(value, Span(record.value, record.value), record, "")


def _m(metres: float | None) -> str:
    return "unknown" if metres is None else f"{metres:g} m"


def _span(span: Span, unit: str = "m") -> str:
    tail = f" {unit}" if unit else ""
    if span.known:
        return f"{span.low:.4g}{tail}"
    if math.isinf(span.low) and math.isinf(span.high):
        return "unknown"
    if math.isinf(span.high):
        return f"{span.low:.4g}{tail} or more"
    if math.isinf(span.low):
        return f"{span.high:.4g}{tail} or less"
    return f"{span.low:.4g} to {span.high:.4g}{tail}"


def _floor(metres: float) -> float:
    return math.floor(metres * 10 + 1e-9) / 10


RULE = Rule(
    "channel-length",
    "channels within the lengths of the cabling standards",
    "Beyond its length a channel loses more than the equipment at its ends allows for: the link comes up and "
    "drops frames, or falls back to a lower rate, and only under load or in summer.",
    (LINK, CHANNEL, CORDS, HOT, CONNECTIONS, CONSOLIDATION, DRAWN),
    review,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
