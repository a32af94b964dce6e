"""Which runs leave a building, at which ends, and which of those ends have a surge protector."""

from collections.abc import Hashable, Iterable
from typing import Literal, NamedTuple

from riserlint.analysis.places import Places, Stretch
from riserlint.design.paths import Path
from riserlint.installation.things import InlineGear, Run
from riserlint.standards import outdoor

End = Literal["from", "to"]
ENDS: tuple[End, End] = ("from", "to")


class Leaving(NamedTuple):
    """How a run leaves a building.

    Attributes:
        run: the run.
        leaves: whether it does; None where that is not known.
        missing: what is not known then.
        way: its stretches with the gear at its ends.
        out: the first stretch outdoors, None where none is written.
        indoors: per end whether it is in a building; None where that is not known.
        sheltered: whether all that is outdoors is sheltered, and it ends in no other building.
        buried_m: metres in the ground, where it goes from building to building in bonded metal there and
            nowhere else outdoors; else None.
        buildings: the buildings of its ends; None where not known.
    """

    run: Run
    leaves: bool | None
    missing: tuple[Path, ...]
    way: tuple[Stretch, ...]
    out: Stretch | None
    indoors: dict[End, bool | None]
    sheltered: bool
    buried_m: float | None
    buildings: tuple[object, object]

    @property
    def between(self) -> bool:
        """Whether it is known to go from one building to another."""
        first, last = self.buildings
        return first is not None and last is not None and first != last

    def end(self, end: End) -> Stretch:
        """Return the stretch at an end."""
        return self.way[0 if end == "from" else -1]


def leaving_of(places: Places, runs: Iterable[Run]) -> list[Leaving]:
    """Return how each of some runs leaves a building; those that stay in on one way are looked at once."""
    staying: dict[Hashable, Leaving] = {}
    found = []
    for run in runs:
        signature = places.signature(run)
        one = staying.get(signature)
        one = leaving(places, run) if one is None else one._replace(run=run)
        if one.leaves is False:
            staying[signature] = one
        found.append(one)
    return found


def leaving(places: Places, run: Run) -> Leaving:
    """Return how a run leaves a building: where a stretch, or the gear at an end, is outdoors or in another one."""
    way = places.way(run)
    told = [places.outdoors(stretch) for stretch in way]
    out = [stretch for stretch, one in zip(way, told) if one.so]
    buildings = places.value(way[0], "building").value, places.value(way[-1], "building").value
    missing = tuple(path for one in told for path in one.missing)
    found = Leaving(
        run,
        bool(out) or (None if missing else False),
        missing,
        way,
        out[0] if out else None,
        {end: None if one.so is None else not one.so for end, one in zip(ENDS, (told[0], told[-1]))},
        bool(out) and all(places.value(stretch, "exposure").value == "sheltered" for stretch in out),
        _buried_m(places, out),
        buildings,
    )
    return found._replace(leaves=True, sheltered=False) if found.between else found


def _buried_m(places: Places, out: list[Stretch]) -> float | None:
    total = 0.0
    for stretch in out:
        metres = None if stretch.segment is None else stretch.segment.metres.value
        if metres is None or places.value(stretch, "exposure").value != "underground":
            return None
        if not places.bonded_metal(stretch):
            return None
        total += metres
    return total if out and total <= outdoor.SHORT_BURIED.value else None


def protectors(run: Run) -> tuple[InlineGear, ...]:
    """Return the surge protectors in a run, in order."""
    return tuple(inline for inline in run.inlines if not inline.is_injector)


def protected_ends(places: Places, found: Leaving) -> tuple[frozenset[End], tuple[InlineGear, ...]]:
    """Return the ends of a run that have a protector, and the protectors of which the end is not known.

    A protector is at the end whose side of the outdoors its space is on, else at that which it is nearer to; of
    several that say neither, the first is at the ``from`` end and the last at the ``to`` end.
    """
    inlines = protectors(found.run)
    ends: set[End] = set()
    unknown: list[InlineGear] = []
    for inline in inlines:
        end = _by_space(places, found, inline) or _by_metres(found, inline)
        if end is None and len(inlines) > 1 and inline in {inlines[0], inlines[-1]}:
            end = "from" if inline is inlines[0] else "to"
        if end is None:
            unknown.append(inline)
        else:
            ends.add(end)
    return frozenset(ends), tuple(unknown)


def _by_space(places: Places, found: Leaving, inline: InlineGear) -> End | None:
    space = inline.value("space").value
    at = [index for index, stretch in enumerate(found.way) if stretch.space and stretch.space.id == space]
    if space is None or not at:
        return None
    outside = [index for index, stretch in enumerate(found.way) if places.outdoors(stretch).so]
    if not outside:
        middle = (len(found.way) - 1) / 2
        return None if min(at) <= middle <= max(at) else "from" if max(at) < middle else "to"
    if max(at) < outside[0]:
        return "from"
    if min(at) > outside[-1]:
        return "to"
    outdoor_ends: list[End] = [end for end in ENDS if found.indoors[end] is False]
    if len(outdoor_ends) == 1 and set(at) <= set(outside):
        return outdoor_ends[0]
    if len(outdoor_ends) == len(ENDS) and (0 in at) != (len(found.way) - 1 in at):
        return "from" if 0 in at else "to"
    return None


def _by_metres(found: Leaving, inline: InlineGear) -> End | None:
    at_m, link_m = inline.value("at_m").value, found.run.value("link_m").value
    if at_m is None or link_m is None:
        return None
    return "from" if at_m <= link_m / 2 else "to"
