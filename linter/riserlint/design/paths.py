"""The logical name of a thing or a value in a design: ``run.R-014.link_m``."""

import re
from functools import lru_cache

#: A place in a design: table names, ids and keys from the top, list positions as integers.
Path = tuple[str | int, ...]

_BARE = re.compile(r"[A-Za-z0-9_-]+\Z")
_PART = re.compile(r'\.?(?:([A-Za-z0-9_-]+)|"((?:[^"\\]|\\.)*)")((?:\[\d+\])*)')


@lru_cache(maxsize=4096)  # rules name one thing many times in a row
def path_text(path: Path) -> str:
    """Return the dotted logical name of a path; a key that is not bare is quoted, a list position bracketed."""
    out: list[str] = []
    for part in path:
        if isinstance(part, int):
            out.append(f"[{part}]")
            continue
        quoted = part if _BARE.match(part) else '"' + part.replace("\\", "\\\\").replace('"', '\\"') + '"'
        out.append(f".{quoted}" if out else quoted)
    return "".join(out)


def parse_path(text: str) -> Path:
    """Return the path that :func:`path_text` writes as ``text``.

    Raises:
        ValueError: where the text is not a dotted name.
    """
    path: list[str | int] = []
    position = 0
    while position < len(text):
        match = _PART.match(text, position)
        starts_right = match is not None and match.group(0).startswith(".") == bool(path)
        if match is None or not starts_right or match.end() == position:
            raise ValueError(f"{text!r} is not a dotted name such as run.R-014")
        bare, quoted, positions = match.groups()
        path.append(bare if bare is not None else re.sub(r"\\(.)", r"\1", quoted))
        path.extend(int(number) for number in re.findall(r"\d+", positions))
        position = match.end()
    if not path:
        raise ValueError("an empty text is not a dotted name such as run.R-014")
    return tuple(path)
