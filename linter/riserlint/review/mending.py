"""Remedies as edits of the text: what a change of a value means in the file, letter by letter."""

import itertools
import json
import re
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any, NamedTuple

from riserlint.design.paths import Path
from riserlint.design.reading import Design
from riserlint.design.sources import Source
from riserlint.review.answers import Change

# What JSON leaves as it is and TOML does not take in a string.
_DELETE = "\x7f"
if TYPE_CHECKING:
    from riserlint.design.positions import Place

_SURROGATE = re.compile("[\ud800-\udfff]")
# The largest whole number that a float still tells from its neighbours.
_EXACT_WHOLE = 2**53


class Edit(NamedTuple):
    """One edit of one file: the characters from ``start`` to ``end`` (offsets) become ``text``."""

    file: str
    start: int
    end: int
    text: str


def edits_of(design: Design, changes: tuple[Change, ...]) -> tuple[Edit, ...]:
    """Return the edits that carry out changes, in the order of their places, the last first in each file.

    A value that stands in the file is written anew in its place; one that does not goes into the nearest table that
    is there; a change to None takes the key out.

    Raises:
        ValueError: a change can't be written at its place.
        TypeError: TOML has no form for a new value.
    """
    edits: list[Edit] = []
    new: dict[tuple[str, Path], dict[str, Any]] = {}
    sources: dict[str, Source] = {}
    for change in changes:
        source, path = design.in_file(change.at)
        sources[source.name] = source
        place = source.positions.find(source.as_written(path))
        if change.value is None:
            if source.positions.find(path) is not None:
                edits.append(_taken_out(source, path))
        elif place is not None:
            if _is_table(source, place) and not source.text.startswith("{", place.value_start):
                raise ValueError(f"{change.at!r} is a table of several lines and can't be written anew")
            edits.append(Edit(source.name, place.value_start, place.value_end, toml_value(change.value)))
        else:
            _, found = source.positions.nearest(path)
            _merge(new.setdefault((source.name, found), {}), path[len(found) :], change)
    for (name, found), entries in new.items():
        edits.append(_added(sources[name], found, entries))
    ordered = sorted(dict.fromkeys(edits), key=lambda edit: (edit.file, -edit.start, -edit.end))
    for later, earlier in itertools.pairwise(ordered):
        if later.file == earlier.file and earlier.end > later.start:
            raise ValueError("two changes are to the same stretch of the file")
        if later.file == earlier.file and earlier.start == later.start:
            raise ValueError("two changes are to the same place of the file")
    return tuple(ordered)


def edited(text: str, edits: tuple[Edit, ...]) -> str:
    """Return a text after edits of one file; they must not overlap."""
    for edit in sorted(edits, key=lambda edit: -edit.start):
        text = text[: edit.start] + edit.text + text[edit.end :]
    return text


def _is_table(source: Source, place: "Place") -> bool:
    """Return whether a place is that of a table: inline, under a header, or made by mention."""
    if place.value_start <= place.key_start and place.value_end >= place.key_end:
        return place.value_end != place.key_end or source.text.startswith(("[[", "{"), place.value_start)
    return source.text.startswith("{", place.value_start)


def _merge(entries: dict[str, Any], rest: Path, change: Change) -> None:
    for part in rest[:-1]:
        entries = entries.setdefault(str(part), {})
    if any(isinstance(part, int) for part in rest) or not rest or rest[-1] in entries:
        raise ValueError(f"no table holds {change.at!r}, so it can't be written")
    entries[str(rest[-1])] = change.value


def _added(source: Source, found: Path, entries: dict[str, Any]) -> Edit:
    """Return the edit that writes new keys into a table that is there (or, of none, at the end of the file)."""
    text = source.text
    place = source.positions.find(found)
    if not found or place is None:
        return _at_the_end(source, found, entries)
    opening = text[place.value_start : place.value_start + 1]
    lines = [f"{toml_key(key)} = {toml_value(value)}" for key, value in entries.items()]
    if opening == "{":
        return _into_inline(source, place, ", ".join(lines))
    if opening != "[" or not _is_table(source, place):
        raise ValueError(f"{found!r} is no table that new keys can be written in")
    closing = text[place.key_end : place.value_end].strip()
    if place.key_start != place.value_start and closing not in {"]", "]]"}:
        return _at_the_end(source, found, entries)  # the header of another table mentions it only
    line_end = text.find("\n", place.value_end)
    end = "\r\n" if "\r\n" in text else "\n"
    if line_end < 0:
        return Edit(source.name, len(text), len(text), "".join(f"{end}{line}" for line in lines) + end)
    return Edit(source.name, line_end + 1, line_end + 1, "".join(f"{line}{end}" for line in lines))


def _into_inline(source: Source, place: "Place", entry: str) -> Edit:
    start = place.value_start + 1
    inner = source.text[start : place.value_end - 1]
    if not re.sub(r"#[^\n]*", "", inner).strip():
        return Edit(source.name, start, start, f" {entry}" if inner[:1].isspace() else f" {entry} ")
    kept = inner.rstrip()
    if "#" in kept or "\n" in kept or kept.endswith(","):
        return Edit(source.name, start, start, f" {entry}," if inner[:1].isspace() else f" {entry}, ")
    return Edit(source.name, start + len(kept), start + len(kept), f", {entry}")


def _at_the_end(source: Source, found: Path, entries: dict[str, Any]) -> Edit:
    """Return the edit that opens new tables at the end of the file, one for each thing."""
    end = "\r\n" if "\r\n" in source.text else "\n"
    if any(isinstance(part, int) for part in found):
        raise ValueError(f"{found!r} can't be opened again at the end of the file")
    tables: list[tuple[list[str], dict[str, Any]]] = []
    head = [str(part) for part in found]
    values = {key: value for key, value in entries.items() if not isinstance(value, dict)}
    if values and not head:
        raise ValueError(f"no table holds {', '.join(values)}, so it can't be written")
    if values:
        tables.append((head, values))
    for key, value in entries.items():
        if key in values:
            continue
        inner = {name: item for name, item in value.items() if isinstance(item, dict)}
        if head or len(inner) < len(value):
            tables.append(([*head, key], value))
        else:
            tables.extend(([key, name], item) for name, item in inner.items())
    written = "" if not source.text or source.text.endswith("\n") else end
    for names, table in tables:
        written += f"{end}[{'.'.join(toml_key(name) for name in names)}]{end}"
        written += "".join(f"{toml_key(key)} = {toml_value(value)}{end}" for key, value in table.items())
    return Edit(source.name, len(source.text), len(source.text), written)


def _taken_out(source: Source, path: Path) -> Edit:
    """Return the edit that takes a key and its value out, with the comma or the line that they stand in."""
    place = source.positions.find(path)
    holder = source.positions.find(path[:-1])
    text = source.text
    if (
        place is None
        or holder is None
        or len(path) < 2
        or isinstance(path[-1], int)
        or place.key_start == place.value_start
    ):
        raise ValueError(f"{path!r} can't be taken out")
    if text.startswith("{", holder.value_start):
        if "\n" in text[holder.value_start : place.value_end]:
            raise ValueError(f"{path!r} is one of several lines and can't be taken out")
        before = text[holder.value_start + 1 : place.key_start].rstrip()
        after = re.match(r"[ \t]*,[ \t]*", text[place.value_end :])
        if not before:
            start = place.key_start
            return Edit(source.name, start, place.value_end + (after.end() if after else 0), "")
        if not before.endswith(","):
            raise ValueError(f"{path!r} is written with a dotted key and can't be taken out")
        return Edit(source.name, holder.value_start + len(before), place.value_end, "")
    line_start = text.rfind("\n", 0, place.key_start) + 1
    rest = re.compile(r"[ \t]*(#[^\n]*)?(\r?\n|\Z)").match(text, place.value_end)
    if text[line_start : place.key_start].strip() or rest is None:
        raise ValueError(f"{path!r} shares its line and can't be taken out")
    return Edit(source.name, line_start, rest.end(), "")


def toml_key(key: str) -> str:
    """Return a key as TOML writes it."""
    bare = key and all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in key)
    return key if bare else toml_value(key)


def toml_value(value: Any) -> str:
    """Return a value as TOML writes it: text, number, truth, date, time, list or inline table.

    Raises:
        TypeError: TOML has no form for it.
        ValueError: a text holds half a character, which no file in UTF-8 can hold.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return f"{int(value)}"
    if isinstance(value, float):
        whole = value.is_integer() and abs(value) <= _EXACT_WHOLE
        return str(int(value)) if whole else float.__repr__(value)
    if isinstance(value, str):
        if _SURROGATE.search(value):
            raise ValueError(f"{value!r} holds half a character")
        return json.dumps(value, ensure_ascii=False).replace(_DELETE, "\\u007f")
    if isinstance(value, date | datetime | time):
        return value.isoformat()
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_value(item) for item in value) + "]"
    if isinstance(value, dict):
        if not value:
            return "{}"
        return (
            "{ "
            + ", ".join(f"{toml_key(str(key))} = {toml_value(item)}" for key, item in value.items())
            + " }"
        )
    raise TypeError(f"TOML has no form for {type(value).__name__}")
