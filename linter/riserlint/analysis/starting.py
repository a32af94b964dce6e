"""Loads while they start, as after an outage: what a source's ports ask then, by the staging that it states."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, NamedTuple

from riserlint.design.models import Start
from riserlint.design.paths import Path
from riserlint.engineering.span import Span, sum_of
from riserlint.engineering.staging import StartLoad, least_start_w, most_at_once, most_start_w
from riserlint.installation.things import Gear, InlineGear

if TYPE_CHECKING:
    from riserlint.analysis.power import FeedPower, Power


class Staging(NamedTuple):
    """So many loads at a time, so many seconds apart."""

    ports: int
    every_s: float


class StartOf(NamedTuple):
    """One feed of a source: its watts once the load has started, and the most, its start included."""

    power: "FeedPower"
    running_w: Span
    most_w: Span

    @property
    def start_s(self) -> float | None:
        """How long the load starts; None where unknown, as of a switch: what hangs on it starts when it has."""
        load = self.power.feed.load
        if load.is_switch:
            return None
        found: float | None = load.value("draw_w", "start_s").value
        return found

    @property
    def adds(self) -> bool:
        """Whether the load may ask more while it starts than once it has."""
        return self.most_w.high > self.running_w.high

    @property
    def least_w(self) -> float:
        """The least that it asks while it starts; 0 where its start is not the most that it states, or not known."""
        load, draw = self.power.feed.load, self.power.draw
        starts = not load.is_switch and draw is not None and draw.state == "start"
        return self.most_w.low if starts else 0.0


class StartLoads:
    """The loads of a source while they start, at the source with the loss of their runs."""

    def __init__(self, loads: tuple[StartOf, ...]) -> None:
        """Keep the loads."""
        self.loads = loads

    @property
    def running_w(self) -> Span:
        """The sum once all have started."""
        return sum_of(load.running_w for load in self.loads)

    @property
    def missing(self) -> tuple[Path, ...]:
        """Where it would be written how long loads start of which that is not known."""
        return tuple(
            load.power.feed.load.value("draw_w", "start_s").at
            for load in self.loads
            if load.adds and load.start_s is None and not load.power.feed.load.is_switch
        )

    def worst_w(self, staging: Staging) -> Span:
        """Return the worst sum at any time.

        The upper end holds in whatever order the ports start; a load of which it is not known how long it starts
        may do so for as long as the others take. The lower end is reached in any order.
        """
        if any(math.isinf(load.most_w.low) for load in self.loads):
            return Span(math.inf, math.inf)
        low = least_start_w(
            [StartLoad(load.running_w.low, load.least_w, load.start_s or 0.0) for load in self.loads],
            *staging,
        )
        if any(math.isinf(load.most_w.high) for load in self.loads):
            return Span(low, math.inf)
        return Span(low, max(low, most_start_w(self._at_most(), *staging)))

    def proposal(self, limit_w: float) -> Staging | None:
        """Return the staging with which a limit holds in any order, None where none is known to.

        Each step waits until the one before has started, in whole seconds; as many loads as can start together.
        """
        adding = [load for load in self.loads if load.adds]
        times = [load.start_s for load in adding]
        if not adding or any(math.isinf(load.most_w.high) for load in self.loads):
            return None
        longest = 0.0
        for start_s in times:
            if start_s is None:
                return None
            longest = max(longest, start_s)
        every_s = float(max(1, math.ceil(longest)))
        ports = most_at_once(self._at_most(), every_s, limit_w)
        return Staging(ports, every_s) if ports else None

    def _at_most(self) -> list[StartLoad]:
        return [
            StartLoad(
                load.running_w.high, load.most_w.high, math.inf if load.start_s is None else load.start_s
            )
            for load in self.loads
        ]


def staging_of(gear: Gear | InlineGear, running: "Power | None") -> Staging | None:
    """Return the staging that a source states, None where it states none (or nobody computed what runs)."""
    if running is None or (isinstance(gear, Gear) and not gear.is_switch):
        return None
    stated: Start | None = gear.value("pse", "start").value
    return None if stated is None else Staging(stated.ports, stated.every_s)


def start_loads(powers: "Iterable[FeedPower]", running: "Mapping[str, FeedPower]") -> StartLoads:
    """Return the loads of some feeds while they start; ``running`` holds the feeds once all have."""
    return StartLoads(
        tuple(StartOf(power, running[power.feed.run.id].source_w, power.source_w) for power in powers)
    )
