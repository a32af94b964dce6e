"""The structure of the schedule's JSON as models: their schema documents it and is shipped beside them.

Nothing here is loaded by a command: tests hold every schedule against the schema made from these models.
"""

from typing import Any, Literal

from riserlint.reports.json_models import Title, ToolVersion, _Part


class Number(_Part):
    """A number as a range: both ends equal where it is known; null where nothing bounds it on that side."""

    low: float | None
    high: float | None


class ScheduleColumn(_Part):
    """A column: its key in the rows, its name for a reader, the unit of its numbers."""

    key: str
    name: str
    unit: str


class ScheduleTable(_Part):
    """One table."""

    name: str
    """How it is asked for with ``--table``."""
    title: str
    columns: list[ScheduleColumn]
    working: list[str]
    """How the numbers of a row follow from each other."""
    total: dict[str, Number | str | None] | None
    rows: list[dict[str, Number | str | None]]


class SolvedFor(_Part):
    """What a schedule holds for."""

    volts: Literal["least", "nominal"]
    load: Literal["maximum", "typical", "day", "night", "start"]


class ScheduleReport(_Part):
    """A whole schedule."""

    format_version: str
    """The version of this structure (SemVer)."""
    tool: ToolVersion
    today: str
    """The day for which the age of batteries was reckoned."""
    file: str
    title_block: Title
    case: SolvedFor
    missing: list[str]
    """The values that are not known and that make ranges."""
    cautions: list[str]
    tables: list[ScheduleTable]


def schema() -> dict[str, Any]:
    """Return the JSON Schema of the schedule."""
    made = ScheduleReport.model_json_schema(by_alias=True)
    made["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    made["title"] = "riserlint schedule"
    return made


if __name__ == "__main__":
    import json
    import sys

    sys.stdout.write(json.dumps(schema(), indent=2, ensure_ascii=False) + "\n")
