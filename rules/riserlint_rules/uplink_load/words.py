"""Sums on the wire against rates, and both in words."""

import math
from typing import NamedTuple

from riserlint import Citation, Limit, LinkLoad, Span, Verdict, at_most, framing, traffic_limits


class Asked(NamedTuple):
    """A sum on the wire against what a link carries."""

    wire: Span
    most: Span
    verdict: Verdict


def held(mbps: Span, rate: Span, share: float) -> Asked:
    """Return a sum of streams on the wire, against the share of a rate that they may take."""
    wire, most = mbps * framing.wire_factor(), rate * share
    return Asked(wire, most, at_most(wire, most))


def mbps_words(value: Span) -> str:
    """Return a rate for a reader."""
    if math.isinf(value.high):
        return f"{value.low:.4g} Mbit/s or more" if value.low else "an unknown number of Mbit/s"
    first, last = f"{value.low:,.4g}", f"{value.high:,.4g}"
    return f"{first} Mbit/s" if first == last else f"{first} to {last} Mbit/s"


def streams_words(count: int) -> str:
    """Return how many streams they are."""
    return "1 stream" if count == 1 else f"{count:,} streams"


def rate_words(load: LinkLoad, share: float) -> str:
    """Return the rate of a link, with the share of it that the basis grants."""
    if math.isinf(load.rate.high):
        return "a link of unknown rate"
    kept = "" if share == 1 else f" of which the basis grants {share * 100:g} %"
    return f"a link of {load.rate.high:,g} Mbit/s{kept}"


def rate_limit(load: LinkLoad, share: float) -> Limit:
    """Return the same as a limit that the user states."""
    where = "basis of design" if share < 1 else "design"
    return Limit(
        "rate of the link" if share == 1 else "share of the rate of the link",
        round(load.rate.high * share, 2),
        "Mbit/s",
        Citation(where, "", "rule.uplink-load.share" if share < 1 else f"run.{load.run.id}"),
        "stated",
        where,
    )


def working(mbps: Span, asked: Asked) -> str:
    """Return the sum with its numbers."""
    sign = {"fail": ">", "pass": "≤", "open": "against"}[asked.verdict]
    wire = f"{mbps_words(mbps)} × {framing.wire_factor():.4f} = {mbps_words(asked.wire)}"
    return f"{wire} {sign} {mbps_words(asked.most)}"


def mend(wire: float, share: float, count: int, most: float) -> str:
    """Return the rate that would do, and the streams that would fit."""
    each = most / framing.wire_factor() / max(count, 1)
    needed = math.ceil(wire / share)
    rate = next((rate for rate in traffic_limits.RATES.rows if rate >= needed), needed)
    return f"a link of {rate:,} Mbit/s ({needed:,} would do), or streams of {each:.3g} Mbit/s each"
