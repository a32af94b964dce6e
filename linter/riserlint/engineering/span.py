"""Values that are not known exactly: a closed range from the least to the greatest that they can be."""

import math
from collections.abc import Iterable
from typing import Literal, NamedTuple


class Span(NamedTuple):
    """A closed range of what is not known exactly, ``low`` to ``high``; ``high`` may be ``math.inf``.

    Arithmetic is that of intervals: the result holds every value that the operands could give, taken as
    independent of each other (so ``x - x`` is not 0). Build one with :func:`between`, :func:`exact` or
    :func:`hull`, which check the order. ``<`` and ``in`` are still those of a tuple: ask ``contains``
    and compare the ends.
    """

    low: float
    high: float

    @property
    def known(self) -> bool:
        """Whether the range is a single value."""
        return self.low == self.high

    def contains(self, value: float) -> bool:
        """Return whether ``value`` lies in the range, its ends included."""
        return self.low <= value <= self.high

    def __add__(self, other: "Span | float") -> "Span":  # type: ignore[override]
        """Return the range of the sum."""
        addend = as_span(other)
        return between(self.low + addend.low, self.high + addend.high)

    def __sub__(self, other: "Span | float") -> "Span":
        """Return the range of the difference of two values that do not depend on each other."""
        subtrahend = as_span(other)
        return between(self.low - subtrahend.high, self.high - subtrahend.low)

    def __mul__(self, other: "Span | float") -> "Span":  # type: ignore[override]
        """Return the range of the product; nothing times the unlimited is nothing."""
        factor = as_span(other)
        products = [_product(left, right) for left in self for right in factor]
        return between(min(products), max(products))

    def __radd__(self, other: float) -> "Span":
        """Return the range of the sum."""
        return self + other

    def __rmul__(self, other: float) -> "Span":  # type: ignore[override]
        """Return the range of the product."""
        return self * other


def between(low: float, high: float) -> Span:
    """Return the range from ``low`` to ``high``.

    Raises:
        ValueError: ``low`` is above ``high``, or one of them is no number.
    """
    if not low <= high:
        message = f"range from {low} to {high}: the first has to be the lower one"
        raise ValueError(message)
    return Span(low, high)


def exact(value: float) -> Span:
    """Return the range of one known value.

    Raises:
        ValueError: ``value`` is no number (NaN).
    """
    return between(value, value)


def as_span(value: Span | float) -> Span:
    """Return ``value`` itself if it is a range, else the range of that one value."""
    return value if isinstance(value, Span) else exact(value)


def hull(first: Span | float, *others: Span | float) -> Span:
    """Return the smallest range that holds all of the given ranges and values."""
    spans = [as_span(value) for value in (first, *others)]
    return between(min(span.low for span in spans), max(span.high for span in spans))


def sum_of(spans: Iterable[Span]) -> Span:
    """Return the range of a sum of values that do not depend on each other; 0 of none."""
    low = high = 0.0
    for span in spans:
        low += span.low
        high += span.high
    return Span(low, high)


def refuse_unless(holds: bool, name: str, value: Span | float, unit: str, allowed: str) -> None:
    """Raise ValueError with name, value, unit and allowed range (with its source) unless ``holds``."""
    if not holds:
        ends = value if isinstance(value, Span) else Span(value, value)
        shown = f"{ends.low:g} to {ends.high:g}" if ends.low < ends.high else f"{ends.low:g}"
        message = f"{name} = {' '.join((shown, unit)).rstrip()}: outside {allowed}"
        raise ValueError(message)


def _product(left: float, right: float) -> float:
    if math.isinf(left) or math.isinf(right):
        return 0.0 if 0 in (left, right) else left * right
    return left * right


#: What a comparison of ranges gives: it holds whatever the unknown turns out to be, fails whatever it is, or neither.
Verdict = Literal["pass", "fail", "open"]

#: Two lengths, watts or degrees that differ by less than this share are equal: it swallows rounding alone.
_SAME = 1e-9


def at_most(value: Span | float, limit: Span | float) -> Verdict:
    """Return whether ``value`` is at most ``limit`` whatever both turn out to be in their ranges."""
    value, limit = as_span(value), as_span(limit)
    if _not_above(value.high, limit.low):
        return "pass"
    return "open" if _not_above(value.low, limit.high) else "fail"


def at_least(value: Span | float, limit: Span | float) -> Verdict:
    """Return whether ``value`` is at least ``limit`` whatever both turn out to be in their ranges."""
    return at_most(limit, value)


def _not_above(value: float, limit: float) -> bool:
    return value <= limit or (math.isfinite(limit) and value - limit <= _SAME * max(1.0, abs(limit)))
