"""What is wrong with a file, with its place; and the errors that carry such problems."""

from collections.abc import Iterable
from typing import NamedTuple

from riserlint.design.paths import Path, path_text


class Problem(NamedTuple):
    """One problem of reading: what is wrong, what was expected, what was found, and where.

    ``file`` is relative to the repository, else to the root. ``line`` and ``column`` count from 1 (column in
    characters); they are 0 where a file could not be opened at all. ``path`` is the logical place, empty for a
    syntax error.
    ``utf16_column`` is the column in UTF-16 units, 0 where nobody has counted it.
    """

    file: str
    line: int
    column: int
    path: Path
    message: str
    utf16_column: int = 0


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return problems by their place, each once (paths mix names and numbers, so tuples alone can't be sorted)."""
    return tuple(
        sorted(
            set(problems),
            key=lambda p: (p.file, p.line, p.column, path_text(p.path), p.message, p.utf16_column),
        )
    )


class RiserlintError(Exception):
    """Base of the errors that this package raises on purpose."""


class DesignUnreadable(RiserlintError):  # noqa: N818 - the name says what happened
    """A file could not be read as a design, parts file or basis; ``problems`` holds all that is wrong with it."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        """Keep the problems in the order of their place."""
        self.problems = in_order(problems)
        super().__init__("; ".join(f"{p.file}:{p.line}:{p.column}: {p.message}" for p in self.problems))
