"""For how long gear is asked to stand by: by its role, by the basis of design, by what needs it."""

from collections.abc import Iterable, Sequence
from functools import cached_property

from riserlint.analysis.built import Built
from riserlint.analysis.outage import Standby
from riserlint.design.paths import Path
from riserlint.installation.things import Gear, Thing


class Standbys:
    """The standby that is asked.

    Attributes:
        built: the installation.
        asked_of_all: the standby that the basis asks of all gear.
        asked: the greatest standby asked, by the UPSs of which one has to give it.
        in_force: whether there is anything to cover: a UPS is described, or standby is asked.
    """

    def __init__(self, built: Built, asked_of_all: Standby | None) -> None:
        """Gather what is asked; ``asked_of_all`` is what the basis asks of all gear whose role states none."""
        self.built = built
        self.asked_of_all = asked_of_all
        self.asked = built.outage.asked(self.asked_of_all)
        self._holds: dict[tuple[str, float], bool] = {}
        self._needed: dict[str, Standby] = {}
        self._of_askers: dict[tuple[str | int, ...], Standby | None] = {}
        for asker in built.needs.askers:
            self._of_askers[asker.subject] = self.standby(asker.members)
        for asker in built.needs.askers:
            standby = self._of_askers[asker.subject]
            if standby is not None:
                for provider in (gear for need in asker.needs for gear in built.needs.providers(need)):
                    before = self._needed.get(provider.id)
                    if before is None or before.minutes < standby.minutes:
                        self._needed[provider.id] = standby
        self._unknown = self._find_unknown()
        self.in_force = bool(built.ups) or self.standby(built.gear.values()) is not None

    def of_asker(self, subject: tuple[str | int, ...]) -> Standby | None:
        """Return the greatest standby above nothing that is asked of gear that needs something."""
        return self._of_askers[subject]

    def holds(self, ups: str, minutes: float) -> bool:
        """Return whether a UPS holds so long for certain."""
        found = self._holds.get((ups, minutes))
        if found is None:
            found = self._holds[ups, minutes] = self.built.blackout.ends[ups].low >= minutes
        return found

    def standby(self, things: Iterable[Thing]) -> Standby | None:
        """Return the greatest standby above nothing that is asked of any of some things, or of what needs them."""
        found: list[Standby | None] = []
        for thing in things:
            found.append(self.built.outage.own_standby(thing, self.asked_of_all))
            found.append(self._needed.get(thing.id))
        asked = [standby for standby in found if standby is not None and standby.minutes > 0]
        return max(asked, key=lambda standby: standby.minutes, default=None)

    def _find_unknown(self) -> dict[str, dict[Path, None]]:
        """Return by gear where the standby that is asked of it, or of what needs it, is written as unknown."""
        found: dict[str, dict[Path, None]] = {}
        roles = self.built.design.model.role
        if not any(self.built.design.asked(("role", name, "standby_min")) for name in roles):
            return found
        for gear in self.built.gear.values():
            at = self.built.outage.unknown_standby(gear, self.asked_of_all)
            if at is not None:
                found.setdefault(gear.id, {})[at] = None
        for asker in self.built.needs.askers:
            unknown = {at: None for gear in asker.members for at in found.get(gear.id, ())}
            for need in asker.needs if unknown else ():
                for provider in self.built.needs.providers(need):
                    found.setdefault(provider.id, {}).update(unknown)
        return found

    def unknown(self, things: Iterable[Thing]) -> tuple[Path, ...]:
        """Return where a standby that is asked of some things, or of what needs them, is written as unknown."""
        return tuple(dict.fromkeys(at for thing in things for at in self._unknown.get(thing.id, ())))

    @cached_property
    def unknown_of(self) -> dict[frozenset[str], tuple[Path, ...]]:
        """The same by the UPSs of which one has to give it."""
        found: dict[frozenset[str], dict[Path, None]] = {}
        for name, unknown in self._unknown.items():
            holders = self.built.continuity.holders.get(self.built.gear[name].at)
            if holders is not None:
                found.setdefault(holders, {}).update(unknown)
        return {holders: tuple(unknown) for holders, unknown in found.items()}

    def none_asked(self, things: Sequence[Thing], *, at_best: bool = False) -> bool:
        """Return whether the roles of things say that no standby is asked: 0 minutes, for each that has a role.

        ``at_best`` takes a standby that is written as unknown for none.
        """
        with_role = [thing for thing in things if isinstance(thing, Gear) and not thing.is_switch]
        return bool(with_role) and all(self._asks_none(thing, at_best) for thing in with_role)

    def _asks_none(self, thing: Gear, at_best: bool) -> bool:
        standby = self.built.outage.own_standby(thing, self.asked_of_all)
        if standby is None:
            return at_best and self.built.outage.unknown_standby(thing, self.asked_of_all) is not None
        return standby.minutes == 0
