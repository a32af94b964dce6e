"""A file as text: its values, the statements made about them, and where each stands."""

import hashlib
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any, NamedTuple

import tomli

from riserlint.design.models import Statement
from riserlint.design.paths import Path
from riserlint.design.problems import DesignUnreadable, Problem
from riserlint.design.wording import describe

#: The tables that hold values themselves; every other one holds things by id.
_HEADS = frozenset({"design", "basis", "allowance", "assume"})

if TYPE_CHECKING:  # the scanner is loaded when something is reported: a clean review does without it
    from riserlint.design.positions import Place, Positions


class Location(NamedTuple):
    """A stretch of a file: lines and columns from 1, ends exclusive; columns in characters and in UTF-16 units."""

    file: str
    line: int
    column: int
    end_line: int
    end_column: int
    utf16_column: int
    utf16_end_column: int
    source_line: str


class Source:
    """One TOML file that has been read: plain values, and what was said of them.

    Attributes:
        name: the file relative to the repository (else to the root), with forward slashes.
        data: the values, with ``{ is = … }`` replaced by the value in it and ``"unknown"`` taken out
            (in a list: replaced by None).
        statements: origin, instrument and date of the values written in full, by path.
        asked: the paths that are written as ``"unknown"``.
    """

    def __init__(self, file: FilePath, name: str) -> None:
        """Read the file.

        Raises:
            DesignUnreadable: it can't be opened, is not UTF-8, or is not TOML.
        """
        self.name = name
        try:
            raw = file.read_bytes()
        except OSError as error:
            reason = error.strerror or type(error).__name__
            raise DesignUnreadable((Problem(name, 0, 0, (), f"can't be opened: {reason}"),)) from error
        self.sha256 = hashlib.sha256(raw).hexdigest()
        try:
            # Some editors of one desktop system begin a file with a byte-order mark; it is no part of the text.
            text = raw.decode("utf-8").removeprefix("\ufeff")
        except UnicodeDecodeError as error:
            before = raw[: error.start].decode("utf-8").removeprefix("\ufeff")
            line = before.count("\n") + 1
            column = len(before) - (before.rfind("\n") + 1) + 1
            message = f"not UTF-8: byte 0x{raw[error.start]:02x} can't be read; expected a TOML file in UTF-8"
            raise DesignUnreadable(
                (Problem(name, line, column, (), message, _utf16(before, column)),)
            ) from error
        self.text = text
        self.statements: dict[Path, Statement] = {}
        self.asked: set[Path] = set()
        self.statement_problems: list[tuple[Path, str, bool]] = []
        self._positions: Positions | None = None
        try:
            self.data: dict[str, Any] = tomli.loads(text)
            self._plain_table(self.data, ())
        except tomli.TOMLDecodeError as error:
            message = f"not TOML: {error.msg[:1].lower()}{error.msg[1:]}"
            before = "\n".join(text.replace("\r\n", "\n").split("\n")[: error.lineno])
            line_start = before.rfind("\n") + 1
            utf16 = _utf16(before[: line_start + error.colno - 1], error.colno)
            problem = Problem(name, error.lineno, error.colno, (), message, utf16)
            raise DesignUnreadable((problem,)) from error
        except RecursionError as error:
            raise DesignUnreadable(
                (Problem(name, 0, 0, (), "lists or tables are nested too deeply"),)
            ) from error

    @property
    def positions(self) -> "Positions":
        """Where each key and value stands; scanned on first use, since most reviews report little."""
        if self._positions is None:
            from riserlint.design.positions import Positions

            self._positions = Positions(self.text)
        return self._positions

    def locate(self, path: Path) -> Location:
        """Return the place of a value; of what is not written, the place of the nearest thing that would hold it."""
        positions = self.positions
        path = self.as_written(path)
        place = positions.find(path)
        if place is None:
            nearest = self._nearest(path)
            start, end = nearest.key_start, nearest.key_end
        else:
            start, end = self._stretch(place)
        return self.stretch(start, end)

    def stretch(self, start: int, end: int) -> Location:
        """Return the stretch of the text between two offsets."""
        positions = self.positions
        line, column = positions.line_column(start)
        end_line, end_column = positions.line_column(end)
        return Location(
            self.name,
            line,
            column,
            end_line,
            end_column,
            positions.utf16_column(start),
            positions.utf16_column(end),
            positions.line_text(line),
        )

    def problem(self, path: Path, message: str, *, on_key: bool = False) -> Problem:
        """Return a problem of a value (or of its key), with its place."""
        if on_key:
            nearest = self._nearest(self.as_written(path))
            place = self.stretch(nearest.key_start, nearest.key_end)
        else:
            place = self.locate(path)
        return Problem(self.name, place.line, place.column, path, message, place.utf16_column)

    def as_written(self, path: Path) -> Path:
        """Return the path in the text: where a value is written in full, what is meant stands under ``is``."""
        if not self.statements:
            return path
        for length in range(len(path), 0, -1):
            if path[:length] in self.statements:
                inside = length < len(path) and self.positions.find(path) is not None
                return path if inside else (*path[:length], "is", *path[length:])
        return path

    def _nearest(self, path: Path) -> "Place":
        """Return the nearest thing in the text that would hold a path; where nothing would, the head of the file."""
        place, found = self.positions.nearest(path)
        if found or not path:
            return place
        for head in ("design", "basis"):
            place, found = self.positions.nearest((head,))
            if found:
                break
        return place

    def _stretch(self, place: "Place") -> tuple[int, int]:
        """Return the value of a scalar or a list, the key of a table: what a reader would underline."""
        if self.text[place.value_start : place.value_start + 1] in {"{", "["}:
            return place.key_start, place.key_end
        return place.value_start, place.value_end

    def _plain_table(self, table: dict[str, Any], path: Path) -> None:
        gone: list[str] = []
        # A thing itself can't be unknown, and `is` may be the id of one: both are left for the models to judge.
        holds_values = bool(path) and (len(path) > 1 or path[0] in _HEADS)
        for key, value in table.items():
            kind = type(value)
            if kind is str:
                if value == "unknown" and holds_values:
                    gone.append(key)
            elif kind is dict:
                if "is" in value and path:
                    plain = self._statement(value, (*path, key))
                    if plain == "unknown":
                        gone.append(key)
                    else:
                        table[key] = plain
                else:
                    self._plain_table(value, (*path, key))
            elif kind is list:
                self._plain_list(value, (*path, key))
        for key in gone:
            self.asked.add((*path, key))
            del table[key]

    def _plain_list(self, items: list[Any], path: Path) -> None:
        for index, value in enumerate(items):
            kind = type(value)
            if kind is str:
                if value == "unknown":
                    self.asked.add((*path, index))
                    items[index] = None
            elif kind is dict:
                if "is" in value:
                    plain = self._statement(value, (*path, index))
                    items[index] = None if plain == "unknown" else plain
                else:
                    self._plain_table(value, (*path, index))
            elif kind is list:
                self._plain_list(value, (*path, index))

    def _statement(self, value: dict[str, Any], path: Path) -> Any:
        from pydantic import ValidationError

        plain = value["is"]
        if isinstance(plain, dict):
            self.statement_problems.append((path, "expected a plain value after `is`, found a table", False))
            plain = "unknown"
        elif isinstance(plain, list):
            self._plain_list(plain, path)
        rest = {key: said for key, said in value.items() if key != "is"}
        try:
            self.statements[path] = Statement.model_validate(rest)
        except ValidationError as error:
            for detail in error.errors():
                on_key = detail["type"] == "extra_forbidden"
                self.statement_problems.append(((*path, *detail["loc"]), describe(detail, Statement), on_key))
        return plain


def _utf16(before: str, column: int) -> int:
    """Return the column in UTF-16 units of what follows a text, of which the last ``column - 1`` letters count."""
    tail = before[len(before) - column + 1 :]
    return len(tail.encode("utf-16-le")) // 2 + 1
