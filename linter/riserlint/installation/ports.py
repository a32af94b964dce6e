"""Names of ports: single names, and ranges such as ``1-8`` and ``1/1-4``."""

import re

_RANGE = re.compile(r"(?P<head>(?:.*[^0-9])?)(?P<first>\d+)-(?P<last>\d+)\Z")
#: No switch has more ports in one range than this; a larger one is a slip of the pen.
WIDEST_RANGE = 1024


def port_names(key: str) -> list[str]:
    """Return the ports that a key of a port table stands for: ``1-3`` gives 1, 2, 3; ``up`` gives itself.

    Raises:
        ValueError: the range runs backwards or is wider than :data:`WIDEST_RANGE`.
    """
    match = _RANGE.match(key)
    if match is None:
        return [key]
    first, last = int(match["first"]), int(match["last"])
    if last < first:
        raise ValueError(f"the range of ports {key!r} runs backwards")
    if last - first >= WIDEST_RANGE:
        raise ValueError(f"the range of ports {key!r} is wider than {WIDEST_RANGE} ports")
    return [f"{match['head']}{number}" for number in range(first, last + 1)]
