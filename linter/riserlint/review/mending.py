"""Remedies as edits of the text: what a change of a value means in the file, letter by letter."""

from datetime import date
from typing import Any, NamedTuple

from riserlint.design.paths import Path
from riserlint.design.reading import Design
from riserlint.design.sources import Source
from riserlint.review.answers import Change


class Edit(NamedTuple):
    """One edit of one file: the characters from ``start`` to ``end`` (offsets) become ``text``."""

    file: str
    start: int
    end: int
    text: str


def edits_of(design: Design, changes: tuple[Change, ...]) -> tuple[Edit, ...]:
    """Return the edits that carry out changes, in the order of their places, the last first in each file.

    Raises:
        ValueError: a change can't be written at its place.
    """
    edits: dict[tuple[str, int, int], str] = {}
    additions: dict[tuple[str, int], list[str]] = {}
    for change in changes:
        source = design.source_of(change.at)
        edit = _replaced(source, change)
        if edit is not None:
            edits[(edit.file, edit.start, edit.end)] = edit.text
        else:
            offset, text = _added(source, change)
            additions.setdefault((source.name, offset), []).append(text)
    for (file, offset), texts in additions.items():
        edits[(file, offset, offset)] = "".join(texts)
    found = [Edit(file, start, end, text) for (file, start, end), text in edits.items()]
    return tuple(sorted(found, key=lambda edit: (edit.file, -edit.start, -edit.end)))


def edited(text: str, edits: tuple[Edit, ...]) -> str:
    """Return a text after edits of one file; they must not overlap."""
    for edit in sorted(edits, key=lambda edit: -edit.start):
        text = text[: edit.start] + edit.text + text[edit.end :]
    return text


def _replaced(source: Source, change: Change) -> Edit | None:
    path: Path = (*change.at, "is") if change.at in source.statements else change.at
    place = source.positions.find(path)
    if place is None:
        return None
    return Edit(source.name, place.value_start, place.value_end, toml_value(change.value))


def _added(source: Source, change: Change) -> tuple[int, str]:
    """Return where a key that is not there yet goes, and its text: into the nearest table that is there."""
    place, found = source.positions.nearest(change.at)
    rest = change.at[len(found) :]
    if not found or not rest or any(isinstance(part, int) for part in rest):
        raise ValueError(f"no table holds {change.at!r}, so it can't be written")
    value: Any = change.value
    for part in reversed(rest[1:]):
        value = {part: value}
    entry = f"{toml_key(str(rest[0]))} = {toml_value(value)}"
    text = source.text
    opening = text[place.value_start : place.value_start + 1]
    if opening == "{":
        inner = text[place.value_start + 1 : place.value_end - 1]
        end = place.value_start + 1 + len(inner.rstrip())
        return end, f", {entry}" if inner.strip() else f" {entry} "
    if opening == "[":
        line_end = text.find("\n", place.value_end)
        if line_end < 0:
            return len(text), f"\n{entry}\n"
        return line_end + 1, f"{entry}\n"
    raise ValueError(f"{found!r} is no table, so {rest!r} can't be written in it")


def toml_key(key: str) -> str:
    """Return a key as TOML writes it."""
    bare = key and all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in key)
    return key if bare else toml_value(key)


def toml_value(value: Any) -> str:
    """Return a value as TOML writes it: text, number, truth, date, list or inline table.

    Raises:
        TypeError: TOML has no form for it.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() else repr(value)
    if isinstance(value, str):
        import json

        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_value(item) for item in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{toml_key(str(key))} = {toml_value(item)}" for key, item in value.items()) + " }"
    raise TypeError(f"TOML has no form for {type(value).__name__}")
