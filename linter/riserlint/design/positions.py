"""Where each key and each value of a TOML text stands.

The parser gives values without their places. A place is wanted only for what a report names, so the text
is scanned on the first question and never before. The scan has two stages: one pass over the statements
(headers and ``key = value`` lines) that skips every value, and, for a question about the inside of an
inline value, a look at the direct items of that value only.

The text must be TOML that a parser has accepted; the scan checks nothing that the parser has checked.
"""

import re
from bisect import bisect_right
from typing import NamedTuple

from riserlint.design.paths import Path


class Place(NamedTuple):
    """Where one key and its value stand: 0-based offsets into the text, ends exclusive.

    What the spans cover:

    * ``key = value``: the last part of the key as written (with its quotes), and the value as written.
    * item of an array: both spans are the item.
    * ``[header]``: the last part of the header, and the header with its brackets (not the table's content).
      This holds also for a table that an earlier statement has made by mention.
    * array of tables: its first ``[[header]]``, in the same way; each of its items: both spans are the
      item's own ``[[header]]`` with its brackets.
    * table without a header of its own: the part that names it in the first statement that mentions it,
      and that statement: the bracketed header, or the dotted key with its value.
    * the document itself: all zero.
    """

    key_start: int
    key_end: int
    value_start: int
    value_end: int


class _Node:
    """One table, array or value that has been entered; ``children`` is None until its value is looked into.

    A child that nobody has asked for is only an offset: of the last part of its key, or of an array's item.
    """

    __slots__ = ("children", "of_tables", "place")

    def __init__(
        self, place: Place, children: "dict[str | int, _Node | int] | None", of_tables: bool = False
    ) -> None:
        self.place = place
        self.children = children
        self.of_tables = of_tables


# Repetitions of a single character class are possessive; those of groups are bounded or short, since the
# matcher keeps a record for each round of a group.
_PART = r"""(?:[A-Za-z0-9_-]++|"[^"\\\n]*+(?:\\.[^"\\\n]*+)*"|'[^'\n]*+')"""
_DOTTED = rf"{_PART}(?:[ \t]*+\.[ \t]*+{_PART})*"

_KEY_PART = re.compile(_PART)
_KEY_AND_EQUALS = re.compile(rf"({_DOTTED})[ \t]*+=[ \t]*+")
# Group 1: bare key; group 2: any other key; group 3: header; group 4: comment; none: end of the text.
_STATEMENT = re.compile(
    rf"""[ \t\r\n]*+
    (?: ([A-Za-z0-9_-]++)[ \t]*+=[ \t]*+
    | ({_DOTTED})[ \t]*+=[ \t]*+
    | (\[\[?[ \t]*+{_DOTTED}[ \t]*+\]\]?)
    | (\#[^\n]*+)
    | \Z )""",
    re.VERBOSE,
)
_BARE_KEY, _OTHER_KEY, _HEADER = 1, 2, 3
# A string without escapes, or a number, boolean, date or time; a date may have a blank before its time.
_PLAIN_VALUE = re.compile(
    r""""[^"\\\n]*+"(?!")|'[^'\n]*+'(?!')|[^\s"'\[\]{},\#]++(?:[ ][0-9][^\s,\]}\#]*+)?""", re.ASCII
)
# What may be passed over inside an inline value, then what may not: brackets and the harder strings.
_TO_STOP = re.compile(
    r"""(?:[^\[\]{}"'#]++|"[^"\\\n]*+"(?!")|'[^'\n]*+'(?!')|#[^\n]*+){0,500}([\[\]{}]|\"""|'''|")?"""
)
_FILLER = re.compile(r"[ \t\r\n,]*+(#[^\n]*+)?")
# The closing quotes of a block may have up to two quotes of the content before them.
_STRING_STOPS = {
    '"': re.compile(r'\\.|(")', re.DOTALL),
    '"""': re.compile(r'\\.|("{3,5})', re.DOTALL),
    "'''": re.compile(r"('{3,5})"),
}
_ESCAPE = re.compile(r"\\(?:u([0-9A-Fa-f]{4})|U([0-9A-Fa-f]{8})|x([0-9A-Fa-f]{2})|(.))")
_SHORT_ESCAPES = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r", "e": "\x1b"}


class Positions:
    """The places of one TOML text.

    ``text`` is the whole file, decoded, without a byte-order mark and with its line ends untouched
    (``\\n`` or ``\\r\\n``; no other character ends a line). It must have been accepted by the parser;
    otherwise the first question may raise ValueError.
    """

    def __init__(self, text: str) -> None:
        """Keep the text; nothing is scanned yet."""
        self._text = text
        self._root: _Node | None = None
        self._line_starts: list[int] | None = None

    def find(self, path: Path) -> Place | None:
        """Return the place of ``path``, or None if the text has no such key or item."""
        node, depth = self._walk(path)
        return node.place if depth == len(path) else None

    def nearest(self, path: Path) -> tuple[Place, Path]:
        """Return the place of the longest beginning of ``path`` that the text has, and that beginning.

        The empty beginning, the document, has the place (0, 0, 0, 0).
        """
        node, depth = self._walk(path)
        return node.place, path[:depth]

    def line_column(self, offset: int) -> tuple[int, int]:
        """Return the 1-based line of ``offset`` and its 1-based column in characters (code points).

        Raises ValueError unless ``offset`` is from 0 to the length of the text.
        """
        line, start = self._line_of(offset)
        return line, offset - start + 1

    def utf16_column(self, offset: int) -> int:
        """Return the 1-based column of ``offset`` in UTF-16 code units, in which SARIF counts by default.

        Raises ValueError unless ``offset`` is from 0 to the length of the text.
        """
        _, start = self._line_of(offset)
        return len(self._text[start:offset].encode("utf-16-le", "surrogatepass")) // 2 + 1

    def line_text(self, line: int) -> str:
        """Return the 1-based ``line`` without its line end.

        Raises ValueError if the text has no such line.
        """
        starts = self._starts()
        if not 1 <= line <= len(starts):
            raise ValueError(f"line {line} is not among the {len(starts)} lines of the text")
        if line == len(starts):
            return self._text[starts[-1] :]
        return self._text[starts[line - 1] : starts[line] - 1].removesuffix("\r")

    def _starts(self) -> list[int]:
        if self._line_starts is None:
            self._line_starts = [0, *(found.end() for found in re.finditer("\n", self._text))]
        return self._line_starts

    def _line_of(self, offset: int) -> tuple[int, int]:
        if not 0 <= offset <= len(self._text):
            raise ValueError(f"offset {offset} is outside the text of {len(self._text)} characters")
        starts = self._starts()
        line = bisect_right(starts, offset)
        return line, starts[line - 1]

    def _walk(self, path: Path) -> tuple[_Node, int]:
        """Go down ``path`` as far as the text has it: the last node reached and the parts used."""
        if self._root is None:
            self._root = _scan(self._text)
        node = self._root
        for depth, part in enumerate(path):
            if node.children is None:
                node.children = _inside(self._text, node.place)
            child = node.children.get(part)
            if child is None:
                return node, depth
            if isinstance(child, int):
                child = _entered(self._text, part, child)
                node.children[part] = child
            node = child
        return node, len(path)


def _scan(text: str) -> _Node:
    """Pass once over all statements and return the document's node."""
    root = table = _Node(Place(0, 0, 0, 0), {})
    children = _table_children(table)
    position = 0
    while True:
        found = _STATEMENT.match(text, position)
        if found is None:
            raise ValueError(f"no TOML statement at offset {position}")
        kind = found.lastindex
        if kind == _BARE_KEY:
            children[found[1]] = found.start(1)
            position = _value_end(text, found.end())
        elif kind == _OTHER_KEY:
            position = _value_end(text, found.end())
            _enter(text, table, found.span(2), position)
        elif kind == _HEADER:
            table = _open_table(text, root, found.span(3))
            children = _table_children(table)
            position = found.end()
        elif kind is not None:
            position = found.end()
        else:
            return root


def _open_table(text: str, root: _Node, header: tuple[int, int]) -> _Node:
    """Enter a header and return the node of the table that it opens."""
    start, end = header
    node = root
    *outer, last = _KEY_PART.finditer(text, start, end)
    for part in outer:
        node = _table_below(node, _key(part[0]), Place(*part.span(), start, end))
        if node.of_tables:
            items = _table_children(node)
            node = _subtable(items, len(items) - 1)
    name, place = _key(last[0]), Place(*last.span(), start, end)
    if text.startswith("[[", start):
        array = _table_below(node, name, place)
        array.of_tables = True
        items = _table_children(array)
        table = items[len(items)] = _Node(Place(start, end, start, end), {})
        return table
    table = _table_below(node, name, place)
    table.place = place
    return table


def _enter(text: str, table: _Node, key: tuple[int, int], value_end: int) -> None:
    """Enter one ``key = value`` with a possibly dotted key below ``table``."""
    start, end = key
    *outer, last = _KEY_PART.finditer(text, start, end)
    for part in outer:
        table = _table_below(table, _key(part[0]), Place(*part.span(), start, value_end))
    _table_children(table)[_key(last[0])] = last.start()


def _table_below(node: _Node, name: str, place: Place) -> _Node:
    """Return the table or array of tables ``name`` of ``node``; make it at ``place`` if there is none yet."""
    children = _table_children(node)
    if name not in children:
        children[name] = _Node(place, {})
    return _subtable(children, name)


def _subtable(children: dict[str | int, _Node | int], part: str | int) -> _Node:
    child = children[part]
    if isinstance(child, int):
        raise ValueError(f"{part!r} is a value and cannot be extended as a table")
    return child


def _table_children(node: _Node) -> dict[str | int, _Node | int]:
    if node.children is None:
        raise ValueError("an inline value cannot be extended as a table")
    return node.children


def _entered(text: str, part: str | int, offset: int) -> _Node:
    """Return the node of a child that was only an offset so far."""
    if isinstance(part, int):
        end = _value_end(text, offset)
        return _Node(Place(offset, end, offset, end), None)
    found = _KEY_AND_EQUALS.match(text, offset)
    if found is None:
        raise ValueError(f"no key with a value at offset {offset}")
    return _Node(Place(*found.span(1), found.end(), _value_end(text, found.end())), None)


def _inside(text: str, place: Place) -> dict[str | int, _Node | int]:
    """Return the direct items of the value at ``place``; none if it is neither array nor inline table."""
    node = _Node(place, {})
    items = _table_children(node)
    bracket = text[place.value_start]
    if bracket not in "[{":
        return items
    last = place.value_end - 1
    position = _after_filler(text, place.value_start + 1)
    while position < last:
        if bracket == "[":
            items[len(items)] = position
            position = _value_end(text, position)
        else:
            found = _KEY_AND_EQUALS.match(text, position)
            if found is None:
                raise ValueError(f"no key with a value at offset {position}")
            position = _value_end(text, found.end())
            _enter(text, node, found.span(1), position)
        position = _after_filler(text, position)
    return items


def _after_filler(text: str, position: int) -> int:
    """Return the offset after blanks, line ends, commas and comments."""
    while (found := _FILLER.match(text, position)) and found[1]:
        position = found.end()
    return found.end() if found else position


def _value_end(text: str, start: int) -> int:
    """Return the offset after the value that begins at ``start``."""
    found = _PLAIN_VALUE.match(text, start)
    if found:
        return found.end()
    depth = 0
    position = start
    # Brackets are counted, not called for, so that nesting of any depth costs no call stack.
    while found := _TO_STOP.match(text, position):
        stop = found[1]
        if found.end() == position:
            break
        position = found.end()
        if stop is None:
            continue
        if stop in "[{":
            depth += 1
        elif stop in "]}":
            depth -= 1
        else:
            position = _string_end(text, stop, position)
        if depth == 0:
            return position
    raise ValueError(f"the value at offset {start} has no end")


def _string_end(text: str, quotes: str, position: int) -> int:
    """Return the offset after the string whose opening ``quotes`` end at ``position``."""
    for found in _STRING_STOPS[quotes].finditer(text, position):
        if found[1]:
            return found.end()
    raise ValueError(f"the string before offset {position} has no end")


def _key(part: str) -> str:
    """Return the name that one part of a key stands for."""
    if part[0] == "'":
        return part[1:-1]
    if part[0] == '"':
        return _ESCAPE.sub(_unescaped, part[1:-1])
    return part


def _unescaped(found: re.Match[str]) -> str:
    digits = found[1] or found[2] or found[3]
    if digits:
        return chr(int(digits, 16))
    return _SHORT_ESCAPES.get(found[4], found[4])
