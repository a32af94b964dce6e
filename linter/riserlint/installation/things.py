"""The things of an installation: gear, ports, runs, bundles, supplies; and a value with where it stands."""

from typing import Any, Generic, NamedTuple, TypeVar

from riserlint.design.basis import Assumed
from riserlint.design.models import Bundle as WrittenBundle
from riserlint.design.models import Cable as WrittenCable
from riserlint.design.models import Device, Inline, Part, Space, Switch, Written
from riserlint.design.models import Pathway as WrittenPathway
from riserlint.design.models import Port as WrittenPort
from riserlint.design.models import Run as WrittenRun
from riserlint.design.paths import Path

T = TypeVar("T")


class Value(NamedTuple, Generic[T]):
    """A value of the design: what it is (None: unknown), where it stands, whether the basis assumes it.

    ``at`` of an unknown value is where it would be written.
    """

    value: T | None
    at: Path
    assumed: bool = False


def written(model: Written | None, keys: tuple[str, ...]) -> Any:
    """Return the value under nested keys of a model, None where any of them is left out."""
    here: Any = model
    for key in keys:
        if here is None:
            return None
        here = here.__dict__[
            "from_" if key == "from" else key
        ]  # pydantic keeps fields there; getattr costs twice
    return here


class Thing:
    """Something that the design names by an id: where it is written (``at``), and its values."""

    __slots__ = ("_asked", "_assumed", "_shared", "_values", "at", "id", "kind", "model", "part", "part_at")

    def __init__(
        self,
        kind: str,
        name: str,
        model: Written,
        assumed: Assumed,
        asked: frozenset[Path] | set[Path],
        part: Part | None = None,
        part_at: Path = (),
        shared: dict[tuple[str, ...], Value[Any]] | None = None,
    ) -> None:
        """Keep the models that its values are looked up in: its own, its part's, the basis's assumptions.

        ``shared`` keeps the values of the part for all gear of its kind; None where the thing asks for some of
        them itself (writes ``"unknown"``), or has no part.
        """
        self.kind = kind
        self.id = name
        self.at: Path = (kind, name)
        self.model = model
        self.part = part
        self.part_at = part_at
        self._assumed = assumed
        self._asked = asked
        self._shared = shared
        self._values: dict[tuple[str, ...], Value[Any]] = {}

    def asked(self, path: Path) -> bool:
        """Return whether a value is written as unknown."""
        return path in self._asked

    def value(self, *keys: str) -> Value[Any]:
        """Return a value: the thing's own, else its part's, else what the basis assumes, else unknown."""
        found = self._values.get(keys)
        if found is not None:  # analyses and rules ask for the same values again and again
            return found
        shared = self._shared
        if shared is not None and self.model.__dict__.get("from_" if keys[0] == "from" else keys[0]) is None:
            # Gear of one part that says nothing of its own has one value in common, in one place.
            found = shared.get(keys)
            if found is not None:
                return found
            found = self._looked_up(keys)
            if found.value is not None and not found.assumed and found.at[0] == "part":
                shared[keys] = found
                return found
        else:
            found = self._looked_up(keys)
        self._values[keys] = found
        return found

    def _looked_up(self, keys: tuple[str, ...]) -> Value[Any]:
        own = written(self.model, keys)
        path: Path = (self.kind, self.id, *keys)
        if own is not None:
            return Value(own, path)
        asked = bool(self._asked) and (path in self._asked or path[:3] in self._asked)
        if self.part is not None and not asked and keys[0] in self.part.__dict__:
            shared = written(self.part, keys)
            if shared is not None:
                return Value(shared, (*self.part_at, *keys))
            if written(self.part, keys[:1]) is not None and len(keys) > 1:
                path = (*self.part_at, *keys)
        group = keys[0] if len(keys) > 1 else self.kind
        assumption = getattr(self._assumed, group, None)
        if assumption is not None:
            inner = keys[1:] if len(keys) > 1 else keys
            assumed = written(assumption, inner)
            if assumed is not None:
                return Value(assumed, ("basis", "assume", group, *inner), True)
        return Value(None, path)

    def __repr__(self) -> str:
        """Return kind and id."""
        return f"<{self.kind} {self.id}>"


class Port:
    """A port of gear; ``written_at`` is where its properties are written (a range of ports shares one place).

    ``shared`` is the same port as the part describes it, where the gear says more of it.
    """

    __slots__ = ("_assumed", "gear", "name", "properties", "run", "shared", "written_at")

    def __init__(
        self,
        gear: "Gear",
        name: str,
        properties: WrittenPort | None,
        written_at: Path,
        assumed: Assumed,
        shared: "Port | None" = None,
    ) -> None:
        """Keep what is known of the port; the run that ends in it is set while the graph is built."""
        self.gear = gear
        self.name = name
        self.properties = properties
        self.written_at = written_at
        self.run: Run | None = None
        self.shared = shared
        self._assumed = assumed

    @property
    def label(self) -> str:
        """The port as a run's end is written: ``core/1``, or the gear alone."""
        return f"{self.gear.id}/{self.name}" if self.name else self.gear.id

    def value(self, key: str) -> Value[Any]:
        """Return a property of the port (``pse_class``, ``cap_w``)."""
        own = getattr(self.properties, key) if self.properties is not None else None
        if own is not None:
            return Value(own, (*self.written_at, key))
        if self.shared is not None and not self.gear.asked((*self.written_at, key)):
            return self.shared.value(key)
        assumed = getattr(self._assumed.port, key) if self._assumed.port is not None else None
        if assumed is not None:
            return Value(assumed, ("basis", "assume", "port", key), True)
        return Value(None, (*self.written_at, key))


class SupplyFeed(NamedTuple):
    """One mains feed of gear: what it is plugged into, and what it gives to PoE.

    ``poe_w`` is a number of watts, or points of input voltage and ambient.
    """

    source: Value[str]
    poe_w: Value[Any]


class PortGroup(NamedTuple):
    """Ports of a source that share a budget: how they are written, their names, the budget, where it stands."""

    label: str
    ports: frozenset[str]
    budget_w: Value[Any]
    at: Path


class Feed(NamedTuple):
    """Power over one run: from a port (or an injector in the run) to a device or to a switch's inlet.

    ``port`` is None where the far end is unknown; ``injector`` is set where a source inside the run feeds it.
    """

    run: "Run"
    port: Port | None
    injector: "InlineGear | None"
    load: "Gear"

    @property
    def source(self) -> "Gear | InlineGear | None":
        """The gear that gives the power."""
        if self.injector is not None:
            return self.injector
        return None if self.port is None else self.port.gear


class Gear(Thing):
    """A switch or a device."""

    __slots__ = ("feeds_in", "feeds_out", "groups", "port_vlans_written", "ports", "ports_known", "supplies")

    model: Switch | Device

    def __init__(self, *args: Any) -> None:
        """Start without ports and feeds; they are filled while the graph is built."""
        super().__init__(*args)
        self.ports: dict[str, Port] = {}
        self.ports_known = False
        self.port_vlans_written = False
        self.feeds_in: list[Feed] = []
        self.feeds_out: list[Feed] = []
        self.supplies: tuple[SupplyFeed, ...] = ()
        self.groups: tuple[PortGroup, ...] = ()

    @property
    def is_switch(self) -> bool:
        """Whether it repeats frames between ports."""
        return self.kind == "switch"

    @property
    def side(self) -> str:
        """The key under which its powered-device side is written: ``inlet`` of a switch, ``pd`` of a device."""
        return "inlet" if self.kind == "switch" else "pd"

    @property
    def has_inlet(self) -> bool:
        """Whether something is written of a powered-device side."""
        own = getattr(self.model, self.side)
        return own is not None or (self.part is not None and getattr(self.part, self.side) is not None)

    @property
    def space(self) -> str | None:
        """The id of the space it stands in, None where unknown."""
        found: str | None = self.value("space").value
        return found


class InlineGear(Thing):
    """A thing inside a run: an injector or a surge protector."""

    __slots__ = ("feeds_out", "run", "supplies")

    model: Inline

    def __init__(self, *args: Any) -> None:
        """Start outside any run."""
        super().__init__(*args)
        self.run: Run | None = None
        self.feeds_out: list[Feed] = []
        self.supplies: tuple[SupplyFeed, ...] = ()

    @property
    def is_injector(self) -> bool:
        """Whether it puts power on the run."""
        return self.model.kind == "injector"


class Cord(NamedTuple):
    """A cord of a run: metres (None: unknown), its kind of cable (None: unknown kind), where it is written.

    ``bundled_with`` is the number of other cords in its bundle.
    """

    metres: Value[float]
    cable: "Cable | None"
    at: Path
    bundled_with: Value[int] = Value(None, ())

    @property
    def kind_at(self) -> Path:
        """Where its kind would be written: beside its metres, or for plain metres at the list."""
        return (*self.at, "cable") if len(self.at) > 1 and self.at[-2] == "cords" else self.at[:-1]


class Segment(NamedTuple):
    """A stretch of a run's route: the space, the metres (None: unknown), the bundle; each with its place.

    ``space`` and ``bundle`` hold ids; a bundle of ``"none"`` says that the run lies alone there.
    """

    space: Value[str]
    metres: Value[float]
    bundle: Value[str]


class Cable(Thing):
    """A kind of cable."""

    __slots__ = ()

    model: WrittenCable


class AssumedCordCable(Cable):
    """The kind of cable that the basis assumes for cords of unwritten kind: its values stand in the basis."""

    __slots__ = ()

    def _looked_up(self, keys: tuple[str, ...]) -> Value[Any]:
        found = written(self.model, keys)
        return Value(found, ("basis", "assume", "cord_cable", *keys), found is not None)


class Run(Thing):
    """A cable from port to port, with its cords, route and what is in it."""

    __slots__ = ("cable", "cords", "feed", "from_port", "inlines", "segments", "to_port")

    model: WrittenRun

    def __init__(self, *args: Any) -> None:
        """Start without ends; they are set while the graph is built."""
        super().__init__(*args)
        self.from_port: Port | None = None
        self.to_port: Port | None = None
        self.cable: Cable | None = None
        self.cords: tuple[Cord, ...] | None = None
        self.segments: tuple[Segment, ...] = ()
        self.inlines: tuple[InlineGear, ...] = ()
        self.feed: Feed | None = None

    @property
    def ends(self) -> str:
        """The run's two ends for a reader."""
        first = self.from_port.label if self.from_port is not None else "unknown"
        last = self.to_port.label if self.to_port is not None else "unknown"
        return f"{first} to {last}"

    def other_end(self, port: Port) -> Port | None:
        """Return the port at the other end."""
        return self.to_port if port is self.from_port else self.from_port


class Member(NamedTuple):
    """A run's stretch in a bundle."""

    run: Run
    segment: Segment


class Bundle(Thing):
    """Cables that lie together, with the stretches of runs that name it."""

    __slots__ = ("members", "pathway")

    model: WrittenBundle

    def __init__(self, *args: Any) -> None:
        """Start empty; members are added while the graph is built."""
        super().__init__(*args)
        self.members: list[Member] = []
        self.pathway: Pathway | None = None


class Pathway(Thing):
    """What carries bundles."""

    __slots__ = ()

    model: WrittenPathway


class SpaceThing(Thing):
    """A space with its temperatures."""

    __slots__ = ()

    model: Space
