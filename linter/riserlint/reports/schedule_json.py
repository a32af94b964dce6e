"""A schedule as JSON: a documented, versioned structure; its schema is made from :mod:`.schedule_models`."""

import math
from datetime import date
from typing import Any, Final

from riserlint.analysis.schedules.schedule import Schedule
from riserlint.analysis.schedules.tables import NO_SOLUTION, Cell, Column, Table
from riserlint.design.paths import path_text
from riserlint.reports.cautions import CAUTIONS
from riserlint.reports.json_report import title_block_data
from riserlint.reports.text import compact_json
from riserlint.review.findings import TitleBlock

#: The version of the structure (SemVer): a key that goes or changes its meaning raises the first number.
FORMAT_VERSION: Final = "1.0.0"


def schedule_json(
    name: str, block: TitleBlock, schedule: Schedule, tables: tuple[Table, ...], version: str, today: date
) -> str:
    """Return a schedule as JSON, one line for each row.

    A text is a text; a number is ``{"low": …, "high": …}``, both equal where it is known, an end null where
    nothing bounds it on that side; what does not apply is null; watts for which no current is enough are the text
    ``no solution``.
    """
    head = {
        "format_version": FORMAT_VERSION,
        "tool": {"name": "riserlint", "version": version},
        "today": today.isoformat(),
        "file": name,
        "title_block": title_block_data(block),
        "case": {"volts": schedule.case.volts, "load": schedule.case.load},
        "missing": [path_text(path) for path in schedule.missing],
        "cautions": list(CAUTIONS),
    }
    lines = [f"{compact_json(key)}:{compact_json(value)}" for key, value in head.items()]
    return (
        "{" + ",\n".join(lines) + ',\n"tables":[\n' + ",\n".join(_table(table) for table in tables) + "\n]}\n"
    )


def _table(table: Table) -> str:
    head = {
        "name": table.name,
        "title": table.title,
        "columns": [
            {"key": column.key, "name": column.name, "unit": column.unit} for column in table.columns
        ],
        "working": list(table.working),
        "total": None if table.total is None else _row(table.total, table.columns),
    }
    lines = [f"{compact_json(key)}:{compact_json(value)}" for key, value in head.items()]
    rows = ",\n".join(compact_json(_row(row, table.columns)) for row in table.rows)
    return "{" + ",\n".join(lines) + ',\n"rows":[\n' + rows + "\n]}"


def _row(row: tuple[Cell, ...], columns: tuple[Column, ...]) -> dict[str, Any]:
    return {column.key: _cell(cell) for cell, column in zip(row, columns)}


def _cell(cell: Cell) -> Any:
    if cell is None or isinstance(cell, str):
        return cell
    if cell == NO_SOLUTION:
        return "no solution"
    low = None if math.isinf(cell.low) else cell.low
    return {"low": low, "high": None if math.isinf(cell.high) else cell.high}
