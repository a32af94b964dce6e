"""Answers in watts, and the places that they involve."""

import math
from itertools import pairwise

from riserlint import (
    Answer,
    Built,
    Check,
    Citation,
    FeedPower,
    Gear,
    InletPower,
    InlineGear,
    Limit,
    Limited,
    Path,
    Related,
    Remedy,
    SourcePower,
    Span,
    watt_words,
)


def failed(
    check: Check,
    subject: Path,
    limit: Limited,
    message: str,
    *,
    asked_w: Span,
    allowed_w: Span,
    held_against: Limit | None = None,
    working: str,
    related: tuple[Related, ...] = (),
    remedy: Remedy,
    rests_on: tuple[Path, ...],
    distinct: str = "",
) -> Answer:
    """Return a fail with its numbers: the least that is asked against the most that can be given."""
    return Answer(
        check.name,
        "fail",
        subject,
        limit.at,
        message,
        value=round(asked_w.low, 3),
        limit=round(allowed_w.high, 3),
        unit="W",
        margin=round(allowed_w.high - asked_w.low, 3),
        held_against=held_against
        or Limit(limit.words, allowed_w.high, "W", by_design(), "stated", "the design"),
        working=working,
        related=related,
        remedy=remedy,
        rests_on=(*limit.rests_on, *rests_on),
        distinct=distinct,
    )


def cannot_tell(
    built: Built,
    check: Check,
    subject: Path,
    limit: Limited,
    message: str,
    *,
    powers: tuple[FeedPower, ...],
    asked_w: Span,
    working: str = "",
    distinct: str = "",
) -> Answer:
    """Return an open answer with all that it turns on; heat that raises its own current by its bundle."""
    hot = built.headroom.hot_bundles(powers)
    missing = (*limit.missing, *(path for power in powers for path in power.missing), *hot)
    turns = ""
    if asked_w.known and math.isfinite(asked_w.high):
        turns = f"holds if {watt_words.watts(asked_w)} or more can be given"
    elif limit.watts.known:
        turns = f"holds if {watt_words.watts(limit.watts)} or less are asked"
    return Answer(
        check.name,
        "open",
        subject,
        limit.at,
        message + ("; the heat of a bundle raises its own current" if hot else ""),
        working=working,
        missing=tuple(dict.fromkeys(missing)),
        turns=turns,
        rests_on=(*limit.rests_on, *built.headroom.rests_on(powers)),
        distinct=distinct,
    )


def working_of(built: Built, source: SourcePower, compared: str) -> str:
    """Return the four sums, what is compared, and where watts at the source count, how the largest comes about."""
    text = f"{watt_words.four_sums(source)}; {watt_words.counts_by(source)}: {compared}"
    return "; ".join(part for part in (text, largest_of(built, source)) if part)


def largest_of(built: Built, source: SourcePower) -> str:
    """Return how the largest load of a source comes about; empty where ports count by class or by cap."""
    by_port = source.gear.value("pse", "reserves").value in ("class", "cap")
    return "" if by_port else watt_words.largest_link(built, source.feeds)


def by_design() -> Citation:
    """Return the citation of what the design itself states."""
    return Citation("the design", "", "")


def chain_places(built: Built, gear: Gear | InlineGear) -> tuple[Related, ...]:
    """Return the gear that feeds a piece of gear, the root first, as places."""
    return tuple(
        Related(above.at, f"feeds {below.id}") for above, below in pairwise(built.headroom.chain(gear))
    )


def first_places(built: Built, inlets: tuple[InletPower, ...]) -> tuple[Related, ...]:
    """Return the inlets that run out first as places."""
    text = built.headroom.chain_text
    return tuple(Related(inlet.gear.at, f"runs out first: {text(inlet.gear)}") for inlet in inlets)


def names_of(inlets: tuple[InletPower, ...]) -> str:
    """Return the switches of inlets by their ids."""
    return ", ".join(inlet.gear.id for inlet in inlets)
