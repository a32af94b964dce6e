"""Order of cable types and of European fire classes: which may stand in for which."""

import re
from collections.abc import Iterable
from typing import NamedTuple

from riserlint.standards.fire import ADDITIONAL_CLASSES, EUROCLASSES, JACKETS

_STEPS = {jacket.mark: jacket.step for jacket in JACKETS.rows}
_PARTS = re.compile(
    r"(?P<main>[A-F][12]?ca)(?:-(?P<smoke>s\w+))?(?:[-,](?P<droplets>d\d))?(?:[-,](?P<acidity>a\d))?\Z"
)
#: What a main class without further classes is in them: Aca is no fuel, Eca and Fca say nothing of them.
_BEST_MAIN, _BARE_MAINS = EUROCLASSES.rows[0], frozenset(EUROCLASSES.rows[-2:])


def step_of(marks: Iterable[str]) -> int:
    """Return the step of a cable in the order of substitution by the marks on its jacket.

    The highest of its marks counts; 0 of a cable that is listed for no place indoors. NFPA 70, 800.154.
    """
    return max((_STEPS.get(mark, 0) for mark in marks), default=0)


def lowest_mark(step: int, like: Iterable[str] = ()) -> str:
    """Return the mark of the lowest type that will do for a step, of the family of the marks that a cable has.

    Raises:
        ValueError: there is no such step (1 to 4).
    """
    family = next((mark[:3] for mark in like if mark[:3] in {"CL2", "CL3"}), "CM")
    fitting = [
        jacket.mark for jacket in JACKETS.rows if jacket.step == step and jacket.mark.startswith(family)
    ]
    if not fitting:
        raise ValueError(f"no type of cable has step {step}; the steps go from 1 to {max(_STEPS.values())}")
    return fitting[-1]


class Shortfall(NamedTuple):
    """A part of a fire class that is held against the one asked for: its name, both, and whether it does.

    ``meets`` is None where the class says nothing of the part. ``rank`` counts from the worst, 1.
    """

    part: str
    has: str | None
    asked: str
    meets: bool | None
    rank: int
    asked_rank: int


def parts_of(fire_class: str) -> dict[str, str | None]:
    """Return the parts of a European class: main, smoke, droplets, acidity; None where it says nothing of one.

    Raises:
        ValueError: it is no class of EN 13501-6.
    """
    found = _PARTS.match(fire_class)
    if found is None or found["main"] not in EUROCLASSES.rows:
        raise ValueError(f'"{fire_class}" is no class such as "Cca-s1b-d1-a1"')
    return found.groupdict()


def compared(has: str, asked: str) -> tuple[Shortfall, ...]:
    """Return a fire class held against another, part by part, of the parts that the other asks for.

    A class meets another if it does in every part: main class, smoke, droplets, acidity (EN 13501-6). Aca meets
    any; Eca and Fca have no further classes and so meet none.

    Raises:
        ValueError: one of the two is no class.
    """
    mine, theirs = parts_of(has), parts_of(asked)
    orders = dict(zip(("main", "smoke", "droplets", "acidity"), (EUROCLASSES.rows, *ADDITIONAL_CLASSES.rows)))
    found = []
    for part, order in orders.items():
        wanted, stated = theirs[part], mine[part]
        if wanted is None:
            continue
        asked_rank = len(order) - order.index(wanted)
        if stated is not None:
            rank = len(order) - order.index(stated)
            meets: bool | None = rank >= asked_rank
        elif mine["main"] == _BEST_MAIN:
            rank, meets = len(order), True
        else:
            rank, meets = 0, False if mine["main"] in _BARE_MAINS else None
        found.append(Shortfall(part, stated, wanted, meets, rank, asked_rank))
    return tuple(found)
