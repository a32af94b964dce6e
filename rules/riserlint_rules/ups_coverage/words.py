"""Words and figures for a fitter."""

import math
from collections.abc import Sequence

from riserlint import Check, Span, Thing, UpsLoad
from riserlint_rules.ups_coverage.checks import FEW, WATTS

#: So many ids stand in one sentence.
_FEW_NAMES = 3
#: Said of a power budget that is less than its ports ask, where the whole of what they ask is counted.
SHORT_TOO = "is a power budget that is too small as well; the load is reckoned without it"


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


def named(names: Sequence[str]) -> str:
    """Return the first few ids, and how many more."""
    few = ", ".join(names[:_FEW_NAMES])
    return few if len(names) <= _FEW_NAMES else f"{few} and {len(names) - _FEW_NAMES:,} more"


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


def watts_words(span: Span, unit: str = "W") -> str:
    """Return watts or volt-amperes to a tenth."""
    return _range(span, f" {unit}", 1)


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


def ceil_tenth(value: float) -> float:
    """Return a figure rounded up to a tenth."""
    return math.ceil(value * 10 - 1e-9) / 10
