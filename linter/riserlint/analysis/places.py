"""Where runs lie: floors, air, outdoors and raceways of their stretches, and what those ask of a jacket."""

import itertools
from collections.abc import Hashable, Iterable, Iterator
from functools import cached_property
from typing import Literal, NamedTuple

from riserlint.design.paths import Path
from riserlint.installation.build import Installation
from riserlint.installation.things import Pathway, Port, Run, Segment, SpaceThing, Value
from riserlint.standards import fire

Asking = Literal["plenum", "duct", "riser", "general", "outdoor-jacket"]
OUTDOORS = frozenset({"sheltered", "outdoor", "underground"})
_RACEWAYS = frozenset({"rigid-metal", "metal", "nonmetallic"})
_METAL = frozenset({"rigid-metal", "metal"})


class Told(NamedTuple):
    """Whether something is so; None where it is not known, then with the values that are missing."""

    so: bool | None
    missing: tuple[Path, ...] = ()


class Stretch(NamedTuple):
    """A stretch of a run: the space, None where unknown, and where it is written; no segment at the gear of an end."""

    space: SpaceThing | None
    at: Path
    segment: Segment | None


class Asked(NamedTuple):
    """What a stretch of a run asks of the cable's jacket.

    Attributes:
        check: which question it is.
        step: the least step in the order of substitution; 0 where another mark is asked for.
        place: the space, or the two floors, in words that stay.
        at: the value that asks.
        sure: None where it is not known whether it asks.
        missing: what is not known then.
        look: what a human has to look at, where that alone decides.
    """

    check: Asking
    step: int
    place: str
    at: Path
    sure: bool | None = True
    missing: tuple[Path, ...] = ()
    look: str = ""


class Places:
    """The places of all runs.

    A question is in use where any space answers it, somebody wrote ``"unknown"`` for it, or the basis assumes it:
    only then is a space that says nothing of it unknown. ``every_space`` puts all of them in use.
    """

    def __init__(self, installation: Installation, *, every_space: bool = False) -> None:
        """Keep what the places are looked up in."""
        self._installation = installation
        self._every = every_space
        self._in_use: dict[str, bool] = {}

    def in_use(self, key: str) -> bool:
        """Return whether a key of spaces (``air``, ``floor``, ``exposure``, ``building``) is in use."""
        found = self._in_use.get(key)
        if found is None:
            found = self._in_use[key] = self._every or any(
                space.value(key).value is not None or space.asked((*space.at, key))
                for space in self._installation.spaces.values()
            )
        return found

    def route(self, run: Run) -> tuple[Stretch, ...]:
        """Return the stretches of a run's route."""
        spaces = self._installation.spaces
        return tuple(
            Stretch(spaces.get(segment.space.value or ""), segment.space.at, segment)
            for segment in run.segments
        )

    def way(self, run: Run) -> tuple[Stretch, ...]:
        """Return the stretches of a run with the spaces of the gear at its ends, where those are known."""
        stretches = self.route(run)
        first, last = self._end(run.from_port), self._end(run.to_port)
        if first is not None and first.space is not stretches[0].space:
            stretches = (first, *stretches)
        if last is not None and last.space is not stretches[-1].space:
            stretches = (*stretches, last)
        return stretches

    def _end(self, port: Port | None) -> Stretch | None:
        if port is None:
            return None
        stated = port.gear.value("space")
        space = self._installation.spaces.get(stated.value or "")
        return None if space is None else Stretch(space, stated.at, None)

    def signature(self, run: Run) -> Hashable:
        """Return what runs of one way have in common: what is asked of their jackets is the same then.

        It is of one run alone where a place of its way is not known.
        """
        parts: list[Hashable] = []
        for segment in run.segments:
            space, bundle, metres = segment.space.value, segment.bundle.value, segment.metres.value
            if space is None or (bundle is None and self._installation.design.asked(segment.bundle.at)):
                return run.id
            short = metres is not None and metres <= fire.EXPOSED_DWELLING_TYPE.value
            parts.append((space, bundle, metres if short else None))
        for port in (run.from_port, run.to_port):
            parts.append(None if port is None else port.gear.space)
        return tuple(parts)

    def value(self, stretch: Stretch, key: str) -> Value[object]:
        """Return what a stretch's space says of a key; of an unknown space, where the space would be written."""
        return Value(None, stretch.at) if stretch.space is None else stretch.space.value(key)

    def outdoors(self, stretch: Stretch) -> Told:
        """Return whether a stretch is outdoors; where nobody asks of exposure, none is."""
        found = self.value(stretch, "exposure")
        if found.value is not None:
            return Told(found.value in OUTDOORS)
        return Told(None, (found.at,)) if self.in_use("exposure") else Told(False)

    # -- raceways -------------------------------------------------------------------------------------------

    def _pathway(self, stretch: Stretch) -> tuple[Pathway | None, tuple[Path, ...]]:
        """Return the pathway of a stretch, and what is missing where somebody says that it is not known."""
        if stretch.segment is None:
            return None, ()
        named = stretch.segment.bundle
        bundle = self._installation.bundles.get(named.value or "")
        if bundle is None:
            unknown = named.value is None and self._installation.design.asked(named.at)
            return None, (named.at,) if unknown else ()
        at = (*bundle.at, "pathway")
        return bundle.pathway, (at,) if bundle.pathway is None and bundle.asked(at) else ()

    def raceway(self, stretch: Stretch, kinds: frozenset[str] = _METAL) -> Told:
        """Return whether a stretch lies in a raceway of a kind; none is where nothing is written of one.

        A closed conduit, or a pathway that does not say what it is, may be one.
        """
        pathway, missing = self._pathway(stretch)
        if missing:
            return Told(None, missing)
        if pathway is None:
            return Told(False)
        raceway = pathway.value("raceway")
        if raceway.value is not None:
            return Told(raceway.value in kinds)
        open_kind = pathway.value("kind").value in {"open-tray", "free-air"}
        return Told(False) if open_kind and not pathway.asked(raceway.at) else Told(None, (raceway.at,))

    def moves_entrance(self, stretch: Stretch) -> Told:
        """Return whether the raceway of a stretch moves the point of entrance inwards: rigid metal, bonded."""
        rigid = self.raceway(stretch, frozenset({"rigid-metal"}))
        pathway, _ = self._pathway(stretch)
        if rigid.so is False or pathway is None:
            return rigid
        bonded = pathway.value("bonded")
        if bonded.value is False:
            return Told(False)
        missing = (*rigid.missing, *(() if bonded.value else (bonded.at,)))
        return Told(None, missing) if missing else Told(True)

    def bonded_metal(self, stretch: Stretch) -> bool:
        """Return whether a stretch is known to lie in metal that is bonded at both ends."""
        pathway, _ = self._pathway(stretch)
        return bool(self.raceway(stretch).so and pathway is not None and pathway.value("bonded").value)

    def _riser_exempt(self, stretch: Stretch) -> Told:
        """Return whether a stretch from floor to floor may have a lower type: metal raceway, or fire-rated shaft."""
        metal = self.raceway(stretch)
        pathway, _ = self._pathway(stretch)
        shaft = None if pathway is None else pathway.value("fire_rated_shaft")
        if metal.so or (shaft is not None and shaft.value):
            return Told(True)
        asked = () if pathway is None or shaft is None or not pathway.asked(shaft.at) else (shaft.at,)
        missing = (*metal.missing, *asked)
        return Told(None, missing) if missing else Told(False)

    # -- what is asked of a jacket --------------------------------------------------------------------------

    @cached_property
    def asks(self) -> bool:
        """Whether any space asks anything of a jacket."""
        return any(self.in_use(key) for key in ("air", "floor", "exposure"))

    def asked_of(self, run: Run, *, by_type: bool) -> Iterator[Asked]:
        """Yield what the places of a run ask of its cable's jacket; ``by_type``: the types of the code too."""
        for stretch in self.route(run):
            yield from self._asked_outdoors(stretch)
            if by_type and self.outdoors(stretch).so is not True:
                yield from self._asked_indoors(stretch)
        if by_type and self.in_use("floor"):
            yield from self._asked_by_floors(run)

    def _asked_outdoors(self, stretch: Stretch) -> Iterator[Asked]:
        told = self.outdoors(stretch)
        if told.so is not False:
            at = self.value(stretch, "exposure").at
            yield Asked("outdoor-jacket", 0, _name(stretch), at, told.so, told.missing)

    def _asked_indoors(self, stretch: Stretch) -> Iterator[Asked]:
        air, name = self.value(stretch, "air"), _name(stretch)
        if air.value == "duct":
            look = "what may lie in a duct for air is for the authority to say, 300.22(B)"
            yield Asked("duct", int(fire.PLENUM_STEP.value), name, air.at, look=look)
            return
        metal, step = self.raceway(stretch), int(fire.PLENUM_STEP.value)
        if air.value == "plenum" and metal.so is not True:
            sure = None if metal.so is None else True
            yield Asked("plenum", step, name, air.at, sure, metal.missing)
            return
        if air.value is None and self.in_use("air") and metal.so is not True:
            yield Asked("plenum", step, name, air.at, None, (air.at, *metal.missing))
        yield from self._asked_in_rooms(stretch)

    def _asked_in_rooms(self, stretch: Stretch) -> Iterator[Asked]:
        said = [self.value(stretch, key) for key in ("exposure", "air", "floor")]
        at = next((value.at for value in said if value.value is not None), said[0].at)
        exposure = self.outdoors(stretch)
        if all(value.value is None for value in said) and exposure.so is False:
            return  # nothing is said of it
        any_raceway = self.raceway(stretch, _RACEWAYS)
        missing = (*exposure.missing, *any_raceway.missing)
        step = int(fire.GENERAL_STEP.value)
        if any_raceway.so:
            step = int(fire.DWELLING_STEP.value)
        metres = None if stretch.segment is None else stretch.segment.metres.value
        look = ""
        if metres is not None and metres <= fire.EXPOSED_DWELLING_TYPE.value:
            look = f"{metres:g} m of it: allowed where it is exposed and not concealed"
        yield Asked("general", step, _name(stretch), at, None if missing else True, missing, look)

    def _asked_by_floors(self, run: Run) -> Iterator[Asked]:
        way = self.way(run)
        floors = [self.value(stretch, "floor") for stretch in way]
        known = [index for index, floor in enumerate(floors) if floor.value is not None]
        step = int(fire.RISER_STEP.value)
        between: set[int] = set()
        for low, high in itertools.pairwise(known):
            if floors[low].value == floors[high].value:
                continue
            between.update(range(low + 1, high))
            place = f"floor {_floor(floors[low])} to {_floor(floors[high])}"
            inner = way[low + 1 : high]
            exempt = [self._riser_exempt(stretch) for stretch in inner or (way[low], way[high])]
            if all(told.so for told in exempt):
                continue
            missing = tuple(path for told in exempt for path in told.missing)
            look = ""
            if not inner and not missing and any(told.so for told in exempt):
                look = (
                    "its raceway or shaft is written for one of the two floors: does it go through the floor?"
                )
            at = floors[high].at
            yield Asked("riser", step, place, at, None if missing else True, missing, look)
        if len(way) > 1 or way[0].space is None:
            unknown = [
                floor.at
                for index, floor in enumerate(floors)
                if floor.value is None and index not in between and self.raceway(way[index]).so is not True
            ]
            if unknown:
                yield Asked("riser", step, "floors not known", unknown[0], None, tuple(unknown))


def _name(stretch: Stretch) -> str:
    return "a space that is not known" if stretch.space is None else stretch.space.id


def _floor(value: Value[object]) -> str:
    return f"{value.value:g}" if isinstance(value.value, int | float) else "not known"


def first_and_number(names: Iterable[str], most: int = 4) -> str:
    """Return the first of some names, with how many there are beside them."""
    listed = list(names)
    more = len(listed) - most
    return ", ".join(listed[:most]) + (f" and {more:,} more" if more > 0 else "")
