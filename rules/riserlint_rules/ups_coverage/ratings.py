"""Watts and volt-amperes against what a UPS is rated for."""

import math
from collections.abc import Iterator

from riserlint import (
    Answer,
    Check,
    Citation,
    Limit,
    Passed,
    Path,
    Related,
    Remedy,
    Said,
    Span,
    Thing,
    UpsLoad,
    Verdict,
    at_most,
    path_text,
    supply_limits,
)
from riserlint_rules.ups_coverage.asking import Asking
from riserlint_rules.ups_coverage.checks import BASIS, FEW, WATTS
from riserlint_rules.ups_coverage.words import floor_tenth, sum_words, watts_words


def rated_output(ups: Thing, check: Check) -> tuple[Span, Path]:
    """Return a rating; of two, the watts are the lesser, so that one bounds the other where it isn't stated."""
    watts, va = ups.value("rated_w"), ups.value("rated_va")
    if check is WATTS:
        most = math.inf if va.value is None else va.value
        return Span(0.0, most) if watts.value is None else Span(watts.value, watts.value), watts.at
    least = 0.0 if watts.value is None else watts.value
    return Span(least, math.inf) if va.value is None else Span(va.value, va.value), va.at


def _nameplate(ups: Thing, unit: str, rated: Span, at: Path) -> Limit:
    return Limit(
        f"rated output of {ups.id}",
        rated.high,
        unit,
        Citation("nameplate", "", ups.id),
        "stated",
        path_text(at),
    )


def rating_verdict(asking: Asking, ups: Thing, load: UpsLoad, check: Check) -> Verdict:
    """Return whether a UPS carries a load with the reserve that is asked."""
    rated, _ = rated_output(ups, check)
    kept = 1 - (asking.reserve or 0.0)
    return at_most(load.watts if check is WATTS else load.va, Span(rated.low * kept, rated.high * kept))


def ratings(asking: Asking, ups: Thing, load: UpsLoad, check: Check) -> Iterator[Said]:
    """Yield the answers for the watts or for the volt-amperes of one UPS.

    A load that is certain to leave too little in reserve may still be within the rating or over it: then both
    are said, the reserve that fails and the rating that can't be told.
    """
    yield _rating(asking, ups, load, check)
    value = load.watts if check is WATTS else load.va
    rated, _ = rated_output(ups, check)
    if rating_verdict(asking, ups, load, check) == "fail" and at_most(value, rated) == "open":
        yield _cannot_tell(ups, load, check, rated, 1.0)


def _rating(asking: Asking, ups: Thing, load: UpsLoad, check: Check) -> Said:
    value = load.watts if check is WATTS else load.va
    unit = "W" if check is WATTS else "VA"
    rated, at = rated_output(ups, check)
    kept = 1 - (asking.reserve or 0.0)
    limit = Span(rated.low * kept, rated.high * kept)
    verdict = rating_verdict(asking, ups, load, check)
    habit = supply_limits.UPS_PLANNING_SHARE_HIGH
    if verdict == "pass":
        planned = Span(habit.value * rated.low, habit.value * rated.low)
        if check is WATTS and asking.reserve is None and rated.known and at_most(value, planned) == "fail":
            return _over(ups, load, check, planned, habit)
        return Passed(check.name, ups.at)
    if verdict == "fail":
        if at_most(value, rated) == "fail":
            return _over(ups, load, check, rated, _nameplate(ups, unit, rated, at))
        source = "rule.ups-coverage.reserve_share"
        name, unit_of_share = "share of a UPS to keep in reserve", "share of the rating"
        return _over(
            ups,
            load,
            check,
            limit,
            Limit(name, asking.reserve or 0.0, unit_of_share, BASIS, "stated", source),
        )
    return _cannot_tell(ups, load, check, rated, kept)


def _cannot_tell(ups: Thing, load: UpsLoad, check: Check, rated: Span, kept: float) -> Answer:
    """Return that a rating, or the share of it that is to be kept to, can't be told."""
    value = load.watts if check is WATTS else load.va
    unit = "W" if check is WATTS else "VA"
    at = rated_output(ups, check)[1]
    limit = Span(rated.low * kept, rated.high * kept)
    missing = [] if value.known else [*load.missing, *(() if check is WATTS else load.va_missing)]
    if not rated.known:
        missing.append(at)
    turns = f"holds if the load is {floor_tenth(limit.low):g} {unit} or less" if limit.low > 0 else ""
    if not turns and math.isfinite(value.high):
        turns = f"holds if it is rated for {math.ceil(value.high / kept):g} {unit} or more"
    carried, most = watts_words(value, unit), watts_words(rated, unit)
    return Answer(
        check.name,
        "open",
        ups.at,
        at,
        f"{ups.id}: cannot tell whether it carries {carried} in an outage, rated {most}",
        held_against=_nameplate(ups, unit, rated, at) if rated.known else None,
        working=sum_words(load, check),
        missing=tuple(missing),
        turns=turns,
        rests_on=load.rests_on,
    )


def _over(ups: Thing, load: UpsLoad, check: Check, limit: Span, record: Limit) -> Answer:
    value = load.watts.low if check is WATTS else load.va.low
    unit = "W" if check is WATTS else "VA"
    at = (*ups.at, "rated_w" if check is WATTS else "rated_va")
    over_rating = record.known == "stated" and record.citation != BASIS
    kept = 1.0 if over_rating else limit.high / rated_output(ups, check)[0].high
    words = "its rating" if over_rating else f"{kept:.0%} of its rating"
    biggest = sorted(load.parts, key=lambda part: -part.watts.low)[:FEW]
    return Answer(
        check.name,
        "fail",
        ups.at,
        at,
        f"{ups.id} carries {value:.1f} {unit} in an outage, {words} is {limit.high:g} {unit}",
        level=None if over_rating else "warning",
        value=value,
        limit=limit.high,
        unit=unit,
        margin=limit.high - value,
        held_against=record,
        working=f"{sum_words(load, check)} = {value:.1f} {unit} > {limit.high:.1f} {unit}",
        related=tuple(Related(part.thing.at, f"takes {watts_words(part.watts)}") for part in biggest),
        remedy=Remedy(
            f"rated for {math.ceil(value / kept):g} {unit} or more, or {math.ceil(value - limit.high):g} {unit} "
            "of it on another UPS"
        ),
        rests_on=(*load.rests_on, at),
        distinct="" if over_rating else "reserve",
    )
