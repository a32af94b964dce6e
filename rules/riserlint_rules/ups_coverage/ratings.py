"""Watts and volt-amperes against what a UPS is rated for."""

import math
from collections.abc import Iterator
from typing import NamedTuple

from riserlint import (
    Answer,
    Carried,
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
    parts_that_turn,
    path_text,
    supply_limits,
)
from riserlint_rules.ups_coverage.asking import Asking
from riserlint_rules.ups_coverage.checks import BASIS, FEW, WATTS
from riserlint_rules.ups_coverage.words import SHORT_TOO, floor_tenth, sum_words, watts_words


class Rated(NamedTuple):
    """One rating of a UPS against what it carries; ``kept`` is the share of the rating that may be used."""

    value: Span
    unit: str
    rating: Span
    at: Path
    kept: float
    verdict: Verdict

    @property
    def limit(self) -> Span:
        """What it may carry, the reserve kept."""
        return Span(self.rating.low * self.kept, self.rating.high * self.kept)


def rated(asking: Asking, ups: Thing, carried: Carried, check: Check) -> Rated:
    """Return whether a UPS carries a load with the reserve that is asked.

    Of the two ratings the watts are the lesser, so that one bounds the other where it isn't stated.
    """
    watts, va = ups.value("rated_w"), ups.value("rated_va")
    if check is WATTS:
        found, other, value, unit = (
            watts,
            Span(0.0, math.inf if va.value is None else va.value),
            carried.watts,
            "W",
        )
    else:
        found, other, value, unit = va, Span(watts.value or 0.0, math.inf), carried.va, "VA"
    rating = other if found.value is None else Span(found.value, found.value)
    kept = 1 - (asking.reserve or 0.0)
    verdict = at_most(value, Span(rating.low * kept, rating.high * kept))
    return Rated(value, unit, rating, found.at, kept, verdict)


def _nameplate(ups: Thing, held: Rated) -> Limit:
    return Limit(
        f"rated output of {ups.id}",
        held.rating.high,
        held.unit,
        Citation("nameplate", "", ups.id),
        "stated",
        path_text(held.at),
    )


def ratings(asking: Asking, ups: Thing, load: UpsLoad, check: Check) -> Iterator[Said]:
    """Yield the answers for the watts or for the volt-amperes of one UPS.

    A load that is certain to leave too little in reserve may still be within the rating or over it: then both
    are said, the reserve that fails and the rating that can't be told.
    """
    held = rated(asking, ups, load.carried, check)
    if held.verdict == "open":
        yield _cannot_tell(ups, load, check, held)
    elif held.verdict == "pass":
        habit = supply_limits.UPS_PLANNING_SHARE_HIGH
        planned = Span(habit.value * held.rating.low, habit.value * held.rating.low)
        asks_habit = check is WATTS and asking.reserve is None and held.rating.known
        if asks_habit and at_most(held.value, planned) == "fail":
            yield _over(ups, load, check, held, planned, habit)
        else:
            yield Passed(check.name, ups.at)
    else:
        within = at_most(held.value, held.rating)
        if within == "fail":
            yield _over(ups, load, check, held, held.rating, _nameplate(ups, held))
            return
        source = "rule.ups-coverage.reserve_share"
        name, share = "share of a UPS to keep in reserve", "share of the rating"
        record = Limit(name, asking.reserve or 0.0, share, BASIS, "stated", source)
        yield _over(ups, load, check, held, held.limit, record)
        if within == "open":
            yield _cannot_tell(ups, load, check, held._replace(kept=1.0))


def _cannot_tell(ups: Thing, load: UpsLoad, check: Check, held: Rated) -> Answer:
    """Return that a rating, or the share of it that is to be kept to, can't be told."""
    value, unit, limit = held.value, held.unit, held.limit
    missing: dict[Path, None] = {}
    if not value.known:
        turning = parts_that_turn(
            load.parts,
            lambda part: part.watts if check is WATTS else part.va,
            lambda sum_: at_most(sum_, limit) != "open",
        )
        missing.update((path, None) for part in turning for path in part.missing)
        if check is not WATTS:
            missing.update((path, None) for part in turning for path in part.va_missing)
    if not held.rating.known:
        missing[held.at] = None
    turns = f"holds if the load is {floor_tenth(limit.low):g} {unit} or less" if limit.low > 0 else ""
    if not turns and math.isfinite(value.high):
        turns = f"holds if it is rated for {math.ceil(value.high / held.kept):g} {unit} or more"
    carried, most = watts_words(value, unit), watts_words(held.rating, unit)
    return Answer(
        check.name,
        "open",
        ups.at,
        held.at,
        f"{ups.id}: cannot tell whether it carries {carried} in an outage, rated {most}",
        held_against=_nameplate(ups, held) if held.rating.known else None,
        working=sum_words(load, check),
        missing=tuple(missing),
        turns=turns,
        rests_on=load.rests_on,
    )


def _over(ups: Thing, load: UpsLoad, check: Check, held: Rated, limit: Span, record: Limit) -> Answer:
    value, unit, at = held.value.low, held.unit, held.at
    over_rating = record.known == "stated" and record.citation != BASIS
    kept = 1.0 if over_rating else limit.high / held.rating.high
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
        related=(
            *(Related(part.thing.at, f"takes {watts_words(part.watts)}") for part in biggest),
            *(Related(part.short.at, SHORT_TOO) for part in load.parts if part.short is not None),
        ),
        remedy=Remedy(
            f"rated for {math.ceil(value / kept):g} {unit} or more, or {math.ceil(value - limit.high):g} {unit} "
            "of it on another UPS"
        ),
        rests_on=(*load.rests_on, at),
        distinct="" if over_rating else "reserve",
    )
