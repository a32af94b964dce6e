"""An outage: how long each UPS holds what it carries, and how long it is asked to."""

import math
from collections.abc import Callable, Iterator
from datetime import date
from typing import NamedTuple

from riserlint.analysis.ambient import space_celsius
from riserlint.analysis.continuity import Continuity
from riserlint.analysis.needs import Asker, Needs
from riserlint.analysis.ups_load import UpsLoads, parts_that_turn, share_of
from riserlint.design.paths import Path, path_text
from riserlint.engineering.runtime import (
    RuntimePoint,
    capacity_share,
    drawn_watts,
    runtime_from_energy,
    runtime_from_points,
    temperature_capacity,
)
from riserlint.engineering.span import Span, exact
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, Thing
from riserlint.standards.record import Citation, Limit

_DAYS_PER_YEAR = 365.25
#: More than any UPS carries, W.
_BOUNDLESS_W = 1e9


class Battery(NamedTuple):
    """What a UPS's battery still gives: the share of its capacity by age, the share by temperature.

    ``age_years`` is None where its date (or today) is not known.
    """

    age_years: float | None
    share: Span
    cold: Span
    celsius: float | None
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]


class PointMissing(NamedTuple):
    """Where the stated runtime points end short of a load.

    ``drawn_w`` is where the load stands on the curve of a new battery; ``lighter`` says that it is, or may be,
    lighter than the first point, of which ``end_w`` are the watts; else it may be heavier than the last.
    """

    drawn_w: Span
    lighter: bool
    end_w: float


class Standby(NamedTuple):
    """Minutes of standby that are asked, where they are written, and who asks."""

    minutes: float
    at: Path
    who: str

    @property
    def limit(self) -> Limit:
        """The same as a limit that the user states."""
        stated = path_text(self.at)
        where = "basis of design" if self.at[0] == "basis" else "design"
        return Limit("standby asked", self.minutes, "min", Citation(where, "", stated), "stated", stated)


class Outage:
    """The UPSs of an installation while the mains are off.

    Attributes:
        load: the load of each UPS.
        batteries: what the battery of each UPS still gives, by its id.
        at_fault: stated runtime points that contradict each other, by the UPS: what is wrong with them.
    """

    def __init__(
        self,
        installation: Installation,
        loads: UpsLoads,
        continuity: Continuity,
        needs: Needs,
        today: date | None,
    ) -> None:
        """Take up the batteries and the stated runtimes."""
        self._installation = installation
        self._continuity = continuity
        self._needs = needs
        self._today = today
        self.load = loads
        self._role_standby: dict[str, Standby | None] = {}
        self.batteries = {ups.id: self._battery(ups) for ups in installation.ups.values()}
        self._points: dict[str, tuple[RuntimePoint, ...]] = {}
        self.at_fault: dict[str, str] = {}
        for ups in installation.ups.values():
            points = tuple(RuntimePoint(point.w, point.min) for point in ups.value("runtime").value or ())
            if points:
                self._points[ups.id] = points
                try:
                    runtime_from_points(points, 0.0, 1.0)
                except ValueError as error:
                    self.at_fault[ups.id] = str(error)

    # -- battery and runtime --------------------------------------------------------------------------------

    def _battery(self, ups: Thing) -> Battery:
        written, life = ups.value("battery_date"), ups.value("design_life_years")
        tested = ups.value("tested_capacity")
        missing: list[Path] = []
        rests_on = [value.at for value in (written, life, tested) if value.value is not None]
        age: float | None = None
        if written.value is not None and self._today is not None:
            age = max(0.0, (self._today - written.value).days / _DAYS_PER_YEAR)
        share = capacity_share(age, life.value, tested.value)
        if not share.known:
            missing.extend(value.at for value in (written, life) if value.value is None)
            missing.append(tested.at)
        celsius, at = self._celsius(ups)
        chemistry = ups.value("chemistry")
        if chemistry.value == "lithium":
            cold = exact(1.0)
        elif celsius is None:
            cold = Span(0.0, 1.0)
            missing.append(at)
        else:
            cold = temperature_capacity(celsius)
            rests_on.append(at)
            if chemistry.value is None and cold.low < 1:
                cold = Span(cold.low, 1.0)
                missing.append(chemistry.at)
        return Battery(age, share, cold, celsius, tuple(missing), tuple(rests_on))

    def _celsius(self, ups: Thing) -> tuple[float | None, Path]:
        return space_celsius(self._installation, ups.value("space"), "mean_c")

    def knows_runtime(self, ups: str) -> bool:
        """Return whether runtime points or a battery's energy are stated."""
        return ups in self._points or self._installation.ups[ups].value("battery_wh").value is not None

    def minutes(
        self, ups: str, load: Span | None = None, share: Span | None = None, battery_wh: float | None = None
    ) -> Span:
        """Return how long a UPS holds, from full, without what is above it.

        Args:
            ups: its id.
            load: watts at its output; left out: its load in an outage, with as little as it may have to
                carry of what it shares as the lower end.
            share: what is left of the battery's capacity by age; left out: as its date and tests say.
            battery_wh: another battery than the stated one; its stated points do not count then.
        """
        thing = self._installation.ups[ups]
        carried = (
            Span(self.load.by_ups[ups].least_w, self.load.by_ups[ups].watts.high) if load is None else load
        )
        battery = self.batteries[ups]
        left = battery.share if share is None else share
        points = self._points.get(ups)
        if points is not None and battery_wh is None:
            if ups in self.at_fault:
                return Span(0.0, math.inf)
            whole = Span(left.low * battery.cold.low, left.high * battery.cold.high)
            return _ends(lambda watts: runtime_from_points(points, watts, whole), carried)
        energy = thing.value("battery_wh").value if battery_wh is None else battery_wh
        if energy is None:
            return Span(0.0, math.inf)
        efficiency = share_of(thing.value("efficiency"), [], [])
        found: list[Span] = []
        chemistry = thing.value("chemistry").value
        for kind in ("lead-acid", "lithium") if chemistry is None else (chemistry,):
            held = _ends(
                lambda watts, kind=kind: runtime_from_energy(  # type: ignore[misc]
                    battery_wh=energy,
                    load_w=watts,
                    efficiency=efficiency,
                    chemistry=kind,
                    capacity_share=left,
                    temperature_factor=battery.cold,
                ),
                carried,
            )
            found.append(held)
        return Span(min(span.low for span in found), max(span.high for span in found))

    def point_missing(self, ups: str, minutes: float) -> PointMissing | None:
        """Return where a runtime point is missing to tell whether a UPS holds so long; None where none is.

        Lighter than the first stated point it is only known to hold that point's minutes at least, heavier than
        the last one those of the last at most. No point helps where nothing bounds the load or what is left.
        """
        points = self._points.get(ups)
        if points is None or ups in self.at_fault:
            return None
        load, left = self.load.by_ups[ups], self.left(ups)
        drawn_w = drawn_watts(exact(load.least_w), left)
        most_w = math.inf
        if math.isfinite(load.watts.high):
            most_w = drawn_watts(exact(load.watts.high), left).high
        first, last = min(points), max(points)
        known_enough = drawn_w.low >= 1 or load.least_w == load.watts.high
        if drawn_w.low < first.watts and minutes > first.minutes and known_enough:
            return PointMissing(Span(drawn_w.low, most_w), True, first.watts)
        if last.watts < most_w < math.inf and minutes <= last.minutes:
            return PointMissing(Span(drawn_w.low, most_w), False, last.watts)
        return None

    def minutes_missing(self, ups: str, minutes: float) -> tuple[Path, ...]:
        """Return what is not known of a UPS's runtime where it can't be told whether it holds so long.

        Where its stated points end short of its load, such a point is missing; the load, or what is left of the
        battery, is named beside it only if that alone could decide.
        """
        chain = self._chain(ups)
        missing = list(self._own_missing(ups, minutes, alone=len(chain) == 1))
        for above in chain[1:]:
            if not self.minutes(above).known:
                missing.extend(self._own_missing(above, minutes, alone=False))
        return tuple(dict.fromkeys(missing))

    def _own_missing(self, ups: str, minutes: float, *, alone: bool) -> Iterator[Path]:
        thing, load = self._installation.ups[ups], self.load.by_ups[ups]
        short = self.point_missing(ups, minutes) is not None
        carried, left = Span(load.least_w, load.watts.high), self.left(ups)
        if short:
            yield (*thing.at, "runtime")
        # A load without bound decides as one does that no battery holds.
        ends = (exact(carried.low), left), (exact(min(carried.high, _BOUNDLESS_W)), left)
        if not (short and alone) or self._decides(ups, minutes, ends):
            turning = parts_that_turn(
                load.parts,
                lambda part: Span(part.at_least_w, part.watts.high),
                lambda watts: self._told(ups, minutes, watts),
            )
            yield from (path for part in turning for path in part.missing)
            for part in turning if load.least_w < load.watts.low else ():
                if part.shared:
                    key = "feed_first" if len(getattr(part.thing, "supplies", ())) < 2 else "supply_mode"
                    yield (*part.thing.at, key)
        ends = (carried, exact(left.high)), (carried, exact(left.low))
        if not (short and alone) or self._decides(ups, minutes, ends):
            yield from self.batteries[ups].missing
        keys: tuple[str, ...] = ()
        if ups not in self._points:
            keys = ("efficiency", "chemistry") if self.knows_runtime(ups) else ("runtime",)
        yield from (thing.value(key).at for key in keys if thing.value(key).value is None)

    def _told(self, ups: str, minutes: float, watts: Span) -> bool:
        held = Span(0.0, math.inf) if math.isinf(watts.low) else self.minutes(ups, watts)
        return held.low >= minutes or held.high < minutes

    def _chain(self, ups: str) -> list[str]:
        """Return a UPS and those above it, which are emptied before it."""
        chain: list[str] = []
        here: str | None = ups
        while here is not None and here not in chain:
            chain.append(here)
            here = self._continuity.ups_above[here].ups
        return chain

    def _decides(self, ups: str, minutes: float, ends: tuple[tuple[Span, Span], tuple[Span, Span]]) -> bool:
        """Return whether a UPS holds so long at the better, or can't at the worse, of two loads with what is left."""
        points = self._points[ups]
        better, worse = (
            _ends(lambda watts, left=left: runtime_from_points(points, watts, left), carried)  # type: ignore[misc]
            for carried, left in ends
        )
        return better.low >= minutes or worse.high < minutes

    def left(self, ups: str) -> Span:
        """Return what is left of the capacity of a battery, by age and by temperature."""
        battery = self.batteries[ups]
        return Span(battery.share.low * battery.cold.low, battery.share.high * battery.cold.high)

    def greatest_load_w(self, ups: str, minutes: float) -> float:
        """Return the greatest load at which a UPS holds so long for certain, W; 0 where it never does."""
        return _greatest(lambda watts: self.minutes(ups, exact(watts)).low >= minutes, 1e7)

    def least_share(self, ups: str, minutes: float) -> float | None:
        """Return the least share of its capacity with which a battery holds so long; None: not even the whole."""

        def fails(share: float) -> bool:
            return self.minutes(ups, share=exact(share)).low < minutes

        return None if fails(1.0) else _greatest(fails, 1.0)

    def least_battery_wh(self, ups: str, minutes: float) -> float | None:
        """Return the least battery energy that holds so long for certain, Wh; None where no energy does."""

        def fails(energy: float) -> bool:
            return self.minutes(ups, battery_wh=energy).low < minutes

        return None if fails(1e9) else _greatest(fails, 1e9)

    # -- what is asked --------------------------------------------------------------------------------------

    def own_standby(self, gear: Thing, asked_of_all: Standby | None) -> Standby | None:
        """Return the standby that is asked of gear itself: its role's, else what is asked of all gear."""
        role_id = getattr(gear.model, "role", None)
        if role_id is None:
            return asked_of_all
        if role_id not in self._role_standby:
            self._role_standby[role_id] = self._of_role(role_id)
        return self._role_standby[role_id] or asked_of_all

    def unknown_standby(self, gear: Thing, asked_of_all: Standby | None) -> Path | None:
        """Return where the standby that is asked of gear is written as unknown; None where it isn't."""
        role_id = getattr(gear.model, "role", None)
        if role_id is None or self.own_standby(gear, asked_of_all) is not None:
            return None
        at: Path = ("role", role_id, "standby_min")
        return at if self._installation.design.asked(at) else None

    def _of_role(self, role_id: str) -> Standby | None:
        role = self._installation.design.model.role.get(role_id)
        who = path_text(("role", role_id))
        if role is not None and role.standby_min is not None:
            return Standby(role.standby_min, ("role", role_id, "standby_min"), who)
        assumed = self._installation.design.basis.model.assume.role
        if assumed is not None and assumed.standby_min is not None:
            return Standby(assumed.standby_min, ("basis", "assume", "role", "standby_min"), who)
        return None

    def asked(self, asked_of_all: Standby | None) -> dict[frozenset[str], Standby]:
        """Return the greatest standby asked, by the UPSs of which one has to give it.

        It is asked by what hangs on them, by what needs what hangs on them (where nothing else could give
        that), and by what reaches its need over gear that hangs on them (where every way leads over it).
        """
        by_gear: dict[str, Standby] = {}
        for gear in self._installation.gear.values():
            own = self.own_standby(gear, asked_of_all)
            if own is not None and own.minutes > 0 and gear.at in self._continuity.backed:
                by_gear[gear.id] = own
        self._ask_of_providers(by_gear)
        found: dict[frozenset[str], Standby] = {}
        for gear_id, standby in by_gear.items():
            holders = self._continuity.holders[self._installation.gear[gear_id].at]
            if holders not in found or found[holders].minutes < standby.minutes:
                found[holders] = standby
        return found

    def _ask_of_providers(self, by_gear: dict[str, Standby]) -> None:
        alone: list[tuple[Gear, Asker]] = []
        for asker in self._needs.askers:
            for need in asker.needs:
                alive = [gear for gear in self._needs.providers(need) if gear.at in self._continuity.backed]
                if len(alive) == 1:
                    alone.append((alive[0], asker))
        changed = True
        while changed:
            changed = False
            for provider, asker in alone:
                asks = [by_gear[gear.id] for gear in asker.members if gear.id in by_gear]
                most = max(asks, key=lambda standby: standby.minutes, default=None)
                who = f"{path_text(asker.subject)}, which needs {provider.id},"
                if most is not None and _raised(by_gear, provider.id, most, who):
                    changed = True
        for provider, asker in alone:
            # One device with needs of its own is not walked for: a walk each would be quadratic.
            asks_of = {gear.id: by_gear[gear.id] for gear in asker.members if gear.id in by_gear}
            if asker.subject[0] != "role" or not asks_of:
                continue
            by_minutes = {standby.minutes: standby for standby in asks_of.values()}
            minutes_of = {name: standby.minutes for name, standby in asks_of.items()}
            for name, minutes in self._needs.on_every_way(provider, minutes_of).items():
                who = f"{path_text(asker.subject)}, which reaches {provider.id} over {name},"
                _raised(by_gear, name, by_minutes[minutes], who)


def _raised(by_gear: dict[str, Standby], name: str, standby: Standby, who: str) -> bool:
    if name in by_gear and by_gear[name].minutes >= standby.minutes:
        return False
    by_gear[name] = standby._replace(who=who)
    return True


def _ends(at: Callable[[Span], Span], load: Span) -> Span:
    """Return a runtime over a range of loads of which the greatest may be unlimited."""
    if math.isinf(load.high):
        return Span(0.0, at(exact(load.low)).high)
    return at(load)


def _greatest(holds: Callable[[float], bool], top: float) -> float:
    """Return the greatest value up to ``top`` at which something still holds that holds below it; halved."""
    if holds(top):
        return top
    low, high = 0.0, top
    for _ in range(100):
        middle = (low + high) / 2
        if holds(middle):
            low = middle
        else:
            high = middle
    return low
