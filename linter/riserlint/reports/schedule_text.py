"""A schedule as a person reads it, and as CSV for a spreadsheet."""

import csv
import io
import math
from collections.abc import Iterable, Iterator

from rich import box
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table as RichTable
from rich.text import Text

from riserlint.analysis.schedules.schedule import Schedule
from riserlint.analysis.schedules.tables import Cell, Column, Table
from riserlint.engineering.span import Span
from riserlint.reports.cautions import CAUTIONS
from riserlint.reports.gathered import kinds_of
from riserlint.reports.lines import broken
from riserlint.reports.text import plain
from riserlint.review.findings import TitleBlock

_NARROWEST = 40
#: Columns between two columns of a table.
_GAP = 2
#: How cases are called.
_VOLTS = {"least": "sources at their least voltage", "nominal": "sources at their nominal voltage"}
_LOADS = {
    "maximum": "devices at the greatest of day, night and start",
    "typical": "devices at their typical draw",
    "day": "devices at their draw by day",
    "night": "devices at their draw by night",
    "start": "devices at their draw at start",
}


def case_words(schedule: Schedule) -> str:
    """Return what a schedule was computed for."""
    return f"{_VOLTS[schedule.case.volts]}, {_LOADS[schedule.case.load]}"


def number_words(value: Span, digits: int) -> str:
    """Return a number with its digits, a range with both ends where they can be told apart.

    An infinite lower end is that of watts for which no current is enough: there is no operating point.
    """
    if math.isinf(value.low):
        return "no solution"
    if math.isinf(value.high):
        return f"{value.low:.{digits}f} or more" if value.low > 0 else "unknown"
    low, high = f"{value.low:.{digits}f}", f"{value.high:.{digits}f}"
    return low if low == high else f"{low} to {high}"


def print_schedule(
    console: Console,
    name: str,
    block: TitleBlock,
    schedule: Schedule,
    tables: tuple[Table, ...],
    version: str,
) -> None:
    """Print the tables of a schedule to a console that is handed in; nothing else is read or written."""
    words = [
        block.title,
        *(word for word in (block.revision and f"revision {block.revision}", block.stage) if word),
    ]
    heading = (
        ("schedule", name),
        ("design", " · ".join(words)),
        ("basis", block.basis or "none"),
        *(("file", f"{file}  sha256 {digest[:16]}") for file, digest in block.files),
        ("case", case_words(schedule)),
        ("by", f"riserlint {version}"),
    )
    for label, text in heading:
        _print(console, f"{label:<10}{text}")
    for table in tables:
        console.print()
        _print(console, f"{table.title}  ({table.name})", "bold")
        drawn, least = _rich(table, console.width)
        console.print(drawn, width=max(console.width, least), crop=False, soft_wrap=False)
        for line in table.working:
            _print(console, line, "dim", 2)
    if schedule.missing:
        console.print()
        kinds = ", ".join(f"{what} ({count:,})" for what, count in kinds_of(schedule.missing))
        _print(console, f"Not known, which makes ranges: {kinds}")
    console.print()
    _print(console, "Cautions", "bold")
    for caution in CAUTIONS:
        _print(console, f"- {caution}", "dim", 2)


def _print(console: Console, text: str, style: str = "", indent: int = 0) -> None:
    for line in broken(plain(text), max(_NARROWEST, console.width) - indent):
        console.print(Text(" " * indent + line, style=style), soft_wrap=True)


def _rich(table: Table, width: int) -> tuple[RichTable, int]:
    """Return a table for the terminal and the least width at which no number and no id of it is torn.

    Where the table is too wide as it is, columns come nearer to each other and ranges stand on two lines; where that
    is not enough, ports stand below their gear.
    """
    heads = [f"{column.name}\n[{column.unit}]" if column.unit else column.name for column in table.columns]
    rows = [[_shown(cell, column) for cell, column in zip(row, table.columns)] for row in _all_rows(table)]
    gap = _GAP
    for kind, mark in ((Span, " to "), (str, "/")):
        if sum(_longest(texts) + gap for texts in zip(heads, *rows)) + 1 <= width:
            break
        gap = 1
        rows = [
            [
                text.replace(mark, f"{mark.rstrip()}\n") if isinstance(cell, kind) else text
                for text, cell in zip(texts, row)
            ]
            for texts, row in zip(rows, _all_rows(table))
        ]
    found = RichTable(
        box=box.SIMPLE_HEAD,
        pad_edge=False,
        padding=(0, gap - 1, 0, 0),  # the box itself parts columns by one
        show_footer=table.total is not None,
        collapse_padding=True,
    )
    least = 1
    for index, texts in enumerate(zip(heads, *rows)):
        numeric = _is_numeric(table, index)
        narrow = _longest(texts, apart=not numeric)
        least += narrow + gap
        found.add_column(
            Text(texts[0]),
            footer=Text(texts[-1]) if table.total is not None else "",
            justify="right" if numeric else "left",
            min_width=narrow,
        )
    for row in rows[: len(table.rows)]:
        found.add_row(*map(Text, row))
    return found, least


def _longest(texts: Iterable[str], *, apart: bool = False) -> int:
    """Return the cells of the longest line of some texts, or with ``apart`` of the longest word."""
    pieces = (piece for text in texts for piece in (text.split() if apart else text.splitlines()))
    return max(map(cell_len, pieces), default=1)


def _is_numeric(table: Table, index: int) -> bool:
    return any(isinstance(row[index], Span) for row in table.rows)


def _shown(cell: Cell, column: Column) -> str:
    if cell is None:
        return ""
    return plain(cell) if isinstance(cell, str) else number_words(cell, column.digits)


def csv_text(tables: tuple[Table, ...]) -> str:
    """Return tables as CSV by RFC 4180, each headed by its name, with an empty line between two.

    A number that is known is a number; a range is ``12.3 to 15.1``; what is not known at all is ``unknown``. Numbers
    have the digits that the printed table has. A text that a spreadsheet would take for a formula is led by a quote.
    """
    written = io.StringIO()
    writer = csv.writer(written, lineterminator="\r\n")
    for position, table in enumerate(tables):
        if len(tables) > 1:
            if position:
                written.write("\r\n")
            writer.writerow([table.name])
        writer.writerow([_csv_head(column) for column in table.columns])
        for row in _all_rows(table):
            writer.writerow([_csv_cell(cell, column) for cell, column in zip(row, table.columns)])
    return written.getvalue()


def _all_rows(table: Table) -> Iterator[tuple[Cell, ...]]:
    yield from table.rows
    if table.total is not None:
        yield table.total


def _csv_head(column: Column) -> str:
    return f"{column.name} [{column.unit}]" if column.unit else column.name


def _csv_cell(cell: Cell, column: Column) -> str:
    text = _shown(cell, column)
    return f"'{text}" if isinstance(cell, str) and text[:1] in {"=", "+", "-", "@", "\t", "\r"} else text
