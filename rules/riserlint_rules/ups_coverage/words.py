"""Words and figures for a fitter."""

import math
from collections.abc import Sequence

from riserlint import Check, Citation, Span, Standby, Thing, UpsLoad, path_text
from riserlint_rules.ups_coverage.checks import FEW, WATTS


def counted(things: Sequence[Thing]) -> str:
    """Return how many of each kind: ``2 switches, 7 devices``."""
    words = []
    for kind, plural in (("switch", "switches"), ("inline", "injectors"), ("device", "devices")):
        count = sum(thing.kind == kind for thing in things)
        if count:
            words.append(
                f"1 {'injector' if kind == 'inline' else kind}" if count == 1 else f"{count} {plural}"
            )
    return ", ".join(words)


def sum_words(load: UpsLoad, check: Check) -> str:
    """Return the sum of a load with its parts, the greatest first."""
    parts = sorted(load.parts, key=lambda part: (-part.watts.low, part.thing.id))
    unit = "W" if check is WATTS else "VA"
    words = [
        f"{part.thing.id} {watts_words(part.watts if check is WATTS else part.va, unit)}"
        for part in parts[:FEW]
    ]
    if len(parts) > FEW:
        words.append(f"{len(parts) - FEW} others")
    return " + ".join(words)


def cited(standby: Standby) -> Citation:
    """Return where a standby is asked, as a citation."""
    return Citation("basis of design" if standby.at[0] == "basis" else "design", "", path_text(standby.at))


def watts_words(span: Span, unit: str = "W") -> str:
    """Return watts or volt-amperes to a tenth."""
    return _range(span, f" {unit}", 1)


def minutes_words(span: Span) -> str:
    """Return minutes to a tenth."""
    return _range(span, " min", 1)


def share_words(span: Span) -> str:
    """Return a share to a thousandth."""
    return _range(span, "", 3)


def _range(span: Span, unit: str, digits: int) -> str:
    low, high = round(span.low, digits), round(span.high, digits)
    if low == high:
        return f"{low:g}{unit}"
    if math.isinf(high):
        return f"{low:g}{unit} or more" if low > 0 else f"an unknown number of{unit}"
    return f"{low:g} to {high:g}{unit}"


def floor_tenth(value: float) -> float:
    """Return a figure rounded down to a tenth."""
    return math.floor(value * 10 + 1e-9) / 10
