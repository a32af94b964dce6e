"""A schedule as a person reads it, and as CSV for a spreadsheet."""

import csv
import io
import math
import re
from collections.abc import Iterable, Iterator
from datetime import date

from rich import box
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table as RichTable
from rich.text import Text

from riserlint.analysis.schedules.schedule import Schedule
from riserlint.analysis.schedules.tables import NO_SOLUTION, Cell, Column, Table
from riserlint.engineering.span import Span
from riserlint.reports.cautions import CAUTIONS
from riserlint.reports.gathered import kinds_of
from riserlint.reports.lines import broken
from riserlint.reports.text import plain
from riserlint.review.findings import TitleBlock

_NARROWEST = 40
#: Columns of the labels at the head.
_LABEL = 10
#: A text of so many columns is never folded.
_WHOLE = 8
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
    """Return a number with its digits, a range with both ends where they can be told apart."""
    if value == NO_SOLUTION:
        return "no solution"
    if math.isinf(value.low):
        return "unknown" if math.isinf(value.high) else f"{value.high:.{digits}f} or less"
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
    today: date,
) -> None:
    """Print the tables of a schedule to a console that is handed in; nothing else is read or written."""
    words = [
        block.title,
        *(word for word in (block.revision and f"revision {block.revision}", block.stage) if word),
    ]
    if block.date is not None:
        words.append(f"dated {block.date}")
    heading = (
        ("schedule", name),
        ("design", " · ".join(words)),
        ("region", block.region or "not stated"),
        ("basis", block.basis or "none"),
        *(("file", f"{file}  sha256 {digest[:16]}") for file, digest in block.files),
        ("case", case_words(schedule)),
        ("by", f"riserlint {version}, {today.isoformat()}"),
    )
    for label, text in heading:
        for position, line in enumerate(broken(plain(text), max(_NARROWEST, console.width) - _LABEL)):
            _print(console, f"{'' if position else label:<{_LABEL}}{line}")
    for table in tables:
        console.print()
        _print(console, f"{table.title}  ({table.name})", "bold")
        drawn, least = _rich(table, console.width)
        console.print(drawn, width=max(console.width, least), crop=False, soft_wrap=False)
        for line in table.working:
            _print(console, line, "dim", 2)
    ranges = any(
        isinstance(cell, Span) and not cell.known for table in tables for row in table.rows for cell in row
    )
    if schedule.missing and ranges:
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
    """Return a table for the terminal and the least width at which no number and no word of it is torn.

    Where the table is too wide as it is, columns come nearer to each other and ranges stand on two lines; where that
    is not enough, heads and ids are folded, ids behind a stroke.
    """
    heads = [f"{column.name}\n[{column.unit}]" if column.unit else column.name for column in table.columns]
    cells = list(_all_rows(table))
    columns = [
        [head, *(_shown(row[index], column) for row in cells)]
        for index, (head, column) in enumerate(zip(heads, table.columns))
    ]
    gap = _GAP
    if _across(columns, gap) > width:
        gap = 1
        for index, texts in enumerate(columns):
            if _is_numeric(table, index):
                texts[1:] = [text.replace(" to ", " to\n") for text in texts[1:]]
        _fold(columns, _across(columns, gap) - width, table)
    found = RichTable(
        box=box.SIMPLE_HEAD,
        pad_edge=False,
        show_edge=False,
        padding=(0, gap - 1, 0, 0),  # the box itself parts columns by one
        show_footer=table.total is not None,
        collapse_padding=True,
    )
    for index, texts in enumerate(columns):
        found.add_column(
            Text(texts[0]),
            footer=Text(texts[-1]) if table.total is not None else "",
            justify="right" if _is_numeric(table, index) else "left",
            min_width=_longest(texts),
        )
    for row in zip(*(texts[1 : 1 + len(table.rows)] for texts in columns)):
        found.add_row(*map(Text, row))
    return found, _across(columns, gap)


def _across(columns: list[list[str]], gap: int) -> int:
    """Return how many columns of the terminal a table takes."""
    return sum(_longest(texts) + gap for texts in columns) - gap


def _fold(columns: list[list[str]], excess: int, table: Table) -> None:
    """Fold what may be folded, the widest first, until a table is narrower by so much, or as narrow as it gets."""
    narrowest: list[int] = []
    for index, texts in enumerate(columns):
        heads = _longest(piece for piece in _pieces(texts[0]))
        rest = (
            texts[1:]
            if _is_numeric(table, index)
            else [piece for text in texts[1:] for piece in _pieces(text)]
        )
        narrowest.append(max(heads, _longest(rest)))
    widths = [_longest(texts) for texts in columns]
    while excess > 0:
        slack = [index for index, width in enumerate(widths) if width > narrowest[index]]
        if not slack:
            break
        widths[max(slack, key=lambda index: widths[index])] -= 1
        excess -= 1
    for texts, width in zip(columns, widths):
        texts[:] = [text if cell_len(text) <= width else _folded(text, width) for text in texts]


def _pieces(text: str) -> list[str]:
    """Return the pieces of a text between which it may be folded, each with the stroke or the space behind it."""
    if cell_len(text) <= _WHOLE and "\n" not in text:
        return [text]
    return re.findall(r"[^-/_ \n]*[-/_ \n]?", text)


def _folded(text: str, width: int) -> str:
    """Return a text over as many lines of a width as it needs."""
    lines = [""]
    for piece in _pieces(text):
        if cell_len(lines[-1] + piece.rstrip()) > width and lines[-1]:
            lines.append("")
        lines[-1] += piece.rstrip("\n")
        if piece.endswith("\n"):
            lines.append("")
    return "\n".join(line.rstrip() for line in lines)


def _longest(texts: Iterable[str]) -> int:
    """Return the cells of the longest line of some texts."""
    return max((cell_len(line) for text in texts for line in text.splitlines()), default=1)


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
