"""Opening one design for something else than a review: all that is wrong with it, or what it builds."""

from datetime import date
from pathlib import Path as FilePath
from typing import NamedTuple

from riserlint.analysis.built import Built
from riserlint.design.problems import DesignUnreadable
from riserlint.design.reading import looks_like_design, read_basis, read_design, relative_name, root_of
from riserlint.review.engine import title_block_of
from riserlint.review.findings import TitleBlock


class Opened(NamedTuple):
    """A design that reads without a problem: its file's name, its title block, what it builds."""

    name: str
    title_block: TitleBlock
    built: Built


class NotADesign(Exception):  # noqa: N818 - the name says what happened
    """A path that leads to no design; the text says what it is instead."""


def opened(file: FilePath, today: date) -> Opened:
    """Return a design, resolved.

    Raises:
        NotADesign: there is no such file, or it has no ``[design]`` table.
        DesignUnreadable: it, its basis or a parts file has problems: all of them.
        OSError: it can't be looked at.
    """
    if not file.is_file():
        what = "is no file" if file.exists() else "there is no such file"
        message = f"{file}: {what}; a schedule is made of one design"
        raise NotADesign(message)
    if not looks_like_design(file):
        message = f"{file}: is no design (a design is a TOML file with a [design] table)"
        raise NotADesign(message)
    root = root_of(file)
    design, problems = read_design(file, root, read_basis(file, root))
    built = Built(design, today)
    if problems or built.problems:
        raise DesignUnreadable((*problems, *built.problems))
    return Opened(relative_name(file, root), title_block_of(design), built)
