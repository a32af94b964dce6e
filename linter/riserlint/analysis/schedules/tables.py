"""A table of a schedule: its columns with their units, its rows, and how its numbers follow from each other."""

import math
from typing import NamedTuple

from riserlint.engineering.span import Span

#: A text, a number as a range (unknown: from 0 or so without end), or nothing where the column does not apply.
Cell = str | Span | None


class Column(NamedTuple):
    """One column: its key for other programs, its name for a reader, the unit of its numbers and their digits."""

    key: str
    name: str
    unit: str = ""
    digits: int = 2


class Table(NamedTuple):
    """A table.

    ``name`` is how it is asked for; ``working`` says how the numbers of a row follow from each other; ``total`` is
    a last row of sums, where that has a meaning.
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    total: tuple[Cell, ...] | None = None
    working: tuple[str, ...] = ()


#: The number of a cell of which there is none: watts for which no current is enough.
NO_SOLUTION = Span(math.inf, math.inf)


def exactly(value: float | None) -> Span | None:
    """Return a known number as a cell, nothing for None."""
    return None if value is None else Span(float(value), float(value))
