"""What is asked of the UPSs, and of gear."""

from collections.abc import Iterable, Sequence

from riserlint import Built, Gear, Standby, Thing
from riserlint_rules.ups_coverage.checks import Parameters


class Asking:
    """A review: the installation, the parameters, and the standby that is asked.

    Attributes:
        built: the installation.
        reserve: the share of a UPS to keep in reserve, None where none is asked.
        asked_of_all: the standby that the basis asks of all gear.
        asked: the greatest standby asked, by the UPSs of which one has to give it.
        in_force: whether there is anything to cover: a UPS is described, or standby is asked.
    """

    def __init__(self, built: Built, parameters: Parameters) -> None:
        """Gather what is asked."""
        self.built = built
        self.reserve = parameters.reserve_share
        self.asked_of_all: Standby | None = None
        if parameters.standby_min is not None:
            at = ("basis", "rule", "ups-coverage", "standby_min")
            self.asked_of_all = Standby(parameters.standby_min, at, "the basis of design")
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
        self.in_force = bool(built.ups) or self.standby(built.gear.values()) is not None

    def of_asker(self, subject: tuple[str | int, ...]) -> Standby | None:
        """Return the greatest standby above nothing that is asked of gear that needs something."""
        return self._of_askers[subject]

    def holds(self, ups: str, minutes: float) -> bool:
        """Return whether a UPS holds so long for certain."""
        found = self._holds.get((ups, minutes))
        if found is None:
            found = self._holds[ups, minutes] = self.built.outage.total_minutes(ups).low >= minutes
        return found

    def standby(self, things: Iterable[Thing]) -> Standby | None:
        """Return the greatest standby above nothing that is asked of any of some things, or of what needs them."""
        found: list[Standby | None] = []
        for thing in things:
            found.append(self.built.outage.own_standby(thing, self.asked_of_all))
            found.append(self._needed.get(thing.id))
        asked = [standby for standby in found if standby is not None and standby.minutes > 0]
        return max(asked, key=lambda standby: standby.minutes, default=None)

    def none_asked(self, things: Sequence[Thing]) -> bool:
        """Return whether the roles of things say that no standby is asked: 0 minutes, for each that has a role."""
        with_role = [thing for thing in things if isinstance(thing, Gear) and not thing.is_switch]
        found = [self.built.outage.own_standby(thing, self.asked_of_all) for thing in with_role]
        return bool(found) and all(standby is not None and standby.minutes == 0 for standby in found)
