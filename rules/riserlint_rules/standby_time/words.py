"""Words and figures for a fitter."""

import math
from collections.abc import Sequence

from riserlint import Span

#: So many ids stand in one sentence.
_FEW_NAMES = 3


def named(names: Sequence[str]) -> str:
    """Return the first few ids, and how many more."""
    few = ", ".join(names[:_FEW_NAMES])
    return few if len(names) <= _FEW_NAMES else f"{few} and {len(names) - _FEW_NAMES:,} more"


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
