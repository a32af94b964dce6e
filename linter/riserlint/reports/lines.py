"""Lines of a human report: a text broken to a width, numbers kept with their units."""

import re
from typing import Final

from rich.cells import cell_len, chop_cells

#: Stands for a blank at which no line is broken; no text from a design can hold it, since it can't be printed.
_TIE: Final = "\ue000"
_BEFORE_UNIT: Final = re.compile(r"(?<=\d) (?=(?:m|mm|mm²|W|Wh|V|VA|A|Ω|°C|K|%|min|h|s|ms)(?![\w/]))")


def broken(text: str, room: int) -> list[str]:
    """Return a text broken into lines of so many cells, no number torn from its unit, too long words folded."""
    if cell_len(text) <= room:
        return [text]
    lines: list[str] = []
    line, width = "", 0
    for word in _BEFORE_UNIT.sub(_TIE, text).split(" "):
        cells = cell_len(word)
        if line and width + 1 + cells <= room:
            line, width = f"{line} {word}", width + 1 + cells
            continue
        if line:
            lines.append(line)
        *folded, line = chop_cells(word, room) if cells > room else [word]
        lines.extend(folded)
        width = cell_len(line)
    lines.append(line)
    return [line.replace(_TIE, " ").rstrip() for line in lines]
