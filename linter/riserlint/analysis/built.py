"""An installation with its analyses: what a rule is handed."""

import math
from datetime import date
from functools import cached_property

from riserlint.analysis import ambient
from riserlint.analysis.addresses import Addresses
from riserlint.analysis.ambient import Ambient
from riserlint.analysis.balance import Balance, equipment_spaces
from riserlint.analysis.blackout import Blackout
from riserlint.analysis.channel import RunChannel
from riserlint.analysis.channels import Channels
from riserlint.analysis.circuits import CircuitLoads
from riserlint.analysis.continuity import Continuity
from riserlint.analysis.failures import Failures
from riserlint.analysis.headroom import Headroom
from riserlint.analysis.heat import Heat
from riserlint.analysis.loads import Case
from riserlint.analysis.managing import Management
from riserlint.analysis.metres import RunMetres, run_metres
from riserlint.analysis.needs import Needs
from riserlint.analysis.outage import Outage
from riserlint.analysis.places import Places
from riserlint.analysis.power import Ground, Power
from riserlint.analysis.reach import Reach
from riserlint.analysis.required import Requirements
from riserlint.analysis.settled import Settled
from riserlint.analysis.streams import Streams
from riserlint.analysis.traffic import Traffic
from riserlint.analysis.ups_load import UpsLoads
from riserlint.analysis.vlan_spread import VlanSpread
from riserlint.analysis.voltages import Voltages
from riserlint.design.models import Region
from riserlint.design.paths import Path
from riserlint.design.reading import Design
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Run, Thing, Value


class Built(Installation):
    """An installation whose analyses are computed once each, when a rule first asks.

    ``today`` is the day of the review (for the age of batteries); None where nobody says it.
    """

    def __init__(self, design: Design, today: date | None = None) -> None:
        """Resolve a design."""
        super().__init__(design)
        self.today = today

    @cached_property
    def region(self) -> Region | None:
        """The family of texts that applies: the design's, else the basis's, else unknown."""
        return self.design.model.design.region or self.design.basis.model.basis.region

    @cached_property
    def _metres(self) -> dict[str, RunMetres]:
        return {}

    def metres(self, run: Run) -> RunMetres:
        """Return the lengths of a run."""
        found = self._metres.get(run.id)
        if found is None:
            found = self._metres[run.id] = run_metres(self, run)
        return found

    @cached_property
    def _ground(self) -> Ground:
        return Ground(self.metres)

    @cached_property
    def settled(self) -> Settled:
        """Power and heat, settled with each other."""
        staged = any(
            gear.value("pse", "start").value is not None for gear in self.gear.values() if gear.is_switch
        )
        return Settled(self, self._ground, staged=staged)

    @cached_property
    def running_power(self) -> Power:
        """The power once all gear has started: each device at the most that it draws by day or by night."""
        found = self.power.running
        return Power(self, self._ground.running(), self.settled.temperature_of) if found is None else found

    @property
    def power(self) -> Power:
        """Power over every run, with the conductors' temperature by the heat of their bundles."""
        return self.settled.power

    @property
    def heat(self) -> Heat:
        """The heat of every bundle, with the currents of :attr:`power`."""
        return self.settled.heat

    def solved(self, case: Case) -> Settled:
        """Return power and heat settled for a case, to a millionth of a kelvin: what schedules print."""
        return Settled(self, Ground(self.metres, case), enough_k=1e-6)

    def balance(self, settled: Settled) -> Balance:
        """Return where the watts of a solution go, by switch and by space; UPSs with what they carry then."""
        load = settled.case.load
        loads = UpsLoads(self, settled.power, self.continuity, load=load).by_ups
        return Balance(self, settled.power, loads, load)

    @cached_property
    def worst_balance(self) -> Balance:
        """Where the watts go at the maximum draw and the least volts: what limits are judged at."""
        return Balance(self, self.power, self._ups_loads.by_ups)

    @cached_property
    def _ups_loads(self) -> UpsLoads:
        return UpsLoads(self, self.power, self.continuity)

    @cached_property
    def typical(self) -> Settled:
        """Power and heat at the typical draw and the least volts: what a year's energy is reckoned with."""
        return Settled(self, Ground(self.metres, Case(load="typical")))

    @cached_property
    def equipment_spaces(self) -> dict[str | None, list[tuple[Thing, Path]]]:
        """The spaces with a switch, an injector, a UPS or gear fed from the mains, and which; None: not known."""
        return equipment_spaces(self)

    def hottest_of(self, space: Value[str]) -> Ambient:
        """Return the hottest temperature of a space; endless where it is not known."""
        celsius, at = ambient.space_celsius(self, space, "max_c")
        if celsius is None:
            return Ambient(ambient.UNKNOWN, (at,), ())
        return Ambient(Span(celsius, celsius), (), (at,))

    @cached_property
    def headroom(self) -> Headroom:
        """What ports, budgets, supplies and inlets can give against what is asked of them."""
        return Headroom(self, self.power, self.settled.unbounded)

    @cached_property
    def voltages(self) -> Voltages:
        """The voltage at the far end of every fed run, and which wire would bring more."""
        return Voltages(self._ground, self.settled.conductor_celsius)

    @cached_property
    def continuity(self) -> Continuity:
        """What every piece of gear hangs on when the mains fail."""
        return Continuity(self, self.power)

    @cached_property
    def needs(self) -> Needs:
        """What gear needs to be useful, and whether it reaches that over gear that is backed."""
        return Needs(self, self.continuity)

    @cached_property
    def outage(self) -> Outage:
        """What the UPSs carry while the mains are off, and for how long."""
        return Outage(self, self._ups_loads, self.continuity, self.needs, self.today)

    @cached_property
    def blackout(self) -> Blackout:
        """A general outage, event by event, until the last battery ends."""
        return Blackout(self, self.power, self.continuity, self.needs, self.outage)

    @cached_property
    def start_load(self) -> UpsLoads:
        """What each UPS carries while all that hangs on it starts, as after an outage that outlasted its battery."""
        return UpsLoads(self, self.power, self.continuity, starting=True)

    @cached_property
    def failures(self) -> Failures:
        """What goes down when one thing alone fails."""
        return Failures(self, self.continuity, self.needs)

    @cached_property
    def circuit_loads(self) -> CircuitLoads:
        """What the branch circuits carry while the mains are on."""
        return CircuitLoads(self, UpsLoads(self, self.power, self.continuity, mains_on=True), self.continuity)

    @cached_property
    def places(self) -> Places:
        """Where runs lie: floors, air, outdoors and raceways, as far as the design says something of them."""
        return Places(self)

    @cached_property
    def reach(self) -> Reach:
        """Who can talk to whom, by VLANs and by routes."""
        return Reach(self)

    @cached_property
    def addresses(self) -> Addresses:
        """The addresses that are written: in which VLAN they are, and which networks meet."""
        return Addresses(self, self.reach)

    @cached_property
    def requirements(self) -> Requirements:
        """What must talk by the needs of roles, over gateways and back."""
        return Requirements(self, self.reach, self.addresses)

    @cached_property
    def management(self) -> Management:
        """In which VLANs the management of gear answers, and from where frames get there."""
        return Management(self, self.reach)

    @cached_property
    def traffic(self) -> Traffic:
        """What the links carry: streams to what needs them, and the traffic of wireless clients."""
        streams = Streams(self, self.reach, self.addresses, self.needs)
        return Traffic(self, self.reach, self.needs, streams)

    @cached_property
    def vlan_spread(self) -> VlanSpread:
        """Which links each VLAN has to cross for its users, and what those links do with it."""
        return VlanSpread(self.reach)

    def hottest(self, run: Run) -> Ambient:
        """Return the hottest ambient that a run passes."""
        return ambient.hottest(self, run)

    def mean_celsius(self, run: Run) -> Ambient:
        """Return the mean temperature of a run's cable, the rise of its bundles included.

        The upper end is infinite where it is not known whether it lies in a bundle, or how warm that gets.
        """
        rises = self.heat.rises_of(run)
        found = ambient.mean(self, run, rises)
        missing, rests_on, high = list(found.missing), list(found.rests_on), found.celsius.high
        for index, segment in enumerate(run.segments):
            name = segment.bundle.value
            if name is None:
                missing.append(segment.bundle.at)
                high = math.inf
            elif index in rises:
                state = self.heat.bundles[name]
                rests_on.extend(state.rests_on)
                if not rises[index].known:
                    missing.extend(state.missing)
        if len(missing) == len(found.missing) and len(rests_on) == len(found.rests_on):
            return found
        return Ambient(
            Span(found.celsius.low, high), tuple(dict.fromkeys(missing)), tuple(dict.fromkeys(rests_on))
        )

    @cached_property
    def _channels(self) -> tuple[Channels, dict[str, RunChannel]]:
        return Channels(self, self.region, self.metres, self.mean_celsius), {}

    def channel(self, run: Run) -> RunChannel:
        """Return the channel of a run: what each family of texts that applies leaves to its link."""
        channels, found = self._channels
        channel = found.get(run.id)
        if channel is None:
            channel = found[run.id] = channels.of(run)
        return channel
