"""What is wrong with a file, with its place; and the errors that carry such problems."""

from typing import NamedTuple

from riserlint.design.paths import Path


class Problem(NamedTuple):
    """One problem of reading: what is wrong, what was expected, what was found, and where.

    ``file`` is relative to the root. ``line`` and ``column`` count from 1 (column in characters); they are 0
    where a file could not be opened at all. ``path`` is the logical place, empty for a syntax error.
    """

    file: str
    line: int
    column: int
    path: Path
    message: str


class RiserlintError(Exception):
    """Base of the errors that this package raises on purpose."""


class DesignUnreadable(RiserlintError):  # noqa: N818 - the name says what happened
    """A file could not be read as a design, parts file or basis; ``problems`` holds all that is wrong with it."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        """Keep the problems in the order of their place."""
        self.problems = tuple(sorted(problems))
        super().__init__("; ".join(f"{p.file}:{p.line}:{p.column}: {p.message}" for p in self.problems))
