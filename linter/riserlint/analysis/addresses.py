"""Addresses: in which VLAN those that are written lie, which networks meet, and who needs a gateway.

Two networks *meet* where frames get from one to the other (their places are merged in the graph of VLANs), or where one
router has both: then an address may stand for one host alone, and no prefix may lie in another.
"""

from collections.abc import Iterable, Iterator
from functools import cached_property
from ipaddress import ip_address, ip_network
from typing import NamedTuple

from riserlint.analysis.needs import written_needs
from riserlint.analysis.reach import Endpoint, Reach
from riserlint.design.paths import Path
from riserlint.engineering.subnets import Ip, IpRange, Subnet
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, Thing, Value


class PoolRange(NamedTuple):
    """A pool of a VLAN: its addresses, who gives them out (None: not known), and where it is written."""

    span: IpRange
    server: str | None
    at: Path


class Network(NamedTuple):
    """A VLAN as a network of addresses.

    ``pools`` is None where nobody says which there are; ``gateway`` is ``"none"`` where nothing routes it, None where
    that is not known.
    """

    vlan: str
    subnet: Subnet | None
    subnet_at: Path
    gateway: str | None
    gateway_at: Path
    gateway_ip: Ip | None
    pools: tuple[PoolRange, ...] | None
    relay: str | None

    @property
    def at(self) -> Path:
        """Where the VLAN is written."""
        return ("vlan", self.vlan)


class Addressed(NamedTuple):
    """Gear of which an address is written, or asked of a server (``ip`` None).

    ``vlans`` are the VLANs that its frames are in for certain, mostly one; empty where that is not known, ``missing``
    then names what decides. ``roots`` are the merged places of the graph that it is in. ``reserved`` is None where it
    is asked and nobody knows.
    """

    thing: Thing
    at: Path
    ip: Ip | None
    vlans: tuple[str, ...]
    roots: frozenset[int]
    missing: tuple[Path, ...]
    reserved: bool | None


class Addresses:
    """All addresses of a design.

    Attributes:
        networks: each VLAN as a network, by its name; of several with one id the first.
        gear: all gear with an address, or that asks for one.
        unknown: the same of gear of which it is written that nobody knows its address.
    """

    def __init__(self, installation: Installation, reach: Reach) -> None:
        """Read them, and find the VLAN of each."""
        self._installation = installation
        self._reach = reach
        self._of_endpoint: dict[str, frozenset[str]] = {}
        self.networks = {name: self._network(name) for name in reach.ports.named}
        self.gear = tuple(self._find_gear())
        self.unknown = tuple(self._find_unknown())

    @cached_property
    def stated(self) -> bool:
        """Whether the design says anything of addresses."""
        return (
            bool(self.gear)
            or bool(self.unknown)
            or any(
                network.subnet is not None or network.pools is not None or network.gateway_ip is not None
                for network in self.networks.values()
            )
        )

    def _network(self, name: str) -> Network:
        model = self._installation.design.model.vlan[name]
        gateway, gateway_at = self._reach.ports.gateway(name)
        pools: tuple[PoolRange, ...] | None = None
        if model.pools is not None:
            pools = tuple(
                PoolRange(
                    IpRange(ip_address(pool.first), ip_address(pool.last)),
                    pool.from_,
                    ("vlan", name, "pools", index),
                )
                for index, pool in enumerate(model.pools)
            )
        return Network(
            name,
            None if model.subnet is None else ip_network(model.subnet),
            ("vlan", name, "subnet"),
            gateway,
            gateway_at,
            None if model.gateway_address is None else ip_address(model.gateway_address),
            pools,
            model.relay,
        )

    def _find_gear(self) -> Iterator[Addressed]:
        for thing in self._written:
            address = thing.value("address")
            if address.value is not None and address.value != "none":
                yield self._addressed(thing, address)

    def _find_unknown(self) -> Iterator[Addressed]:
        for thing in self._written:
            address = thing.value("address")
            if address.value is None and self._installation.design.asked(address.at):
                yield self._addressed(thing, address)

    @cached_property
    def _written(self) -> tuple[Thing, ...]:
        """The gear of which an address is written, or that nobody knows it."""
        asked = self._installation.design.asked
        things = (*self._installation.gear.values(), *self._installation.ups.values())
        assumed = self._installation.design.basis.model.assume
        if any(
            getattr(kind, "address", None) is not None
            for kind in (assumed.switch, assumed.device, assumed.ups)
        ):
            return things
        return tuple(
            thing
            for thing in things
            if getattr(thing.model, "address", None) is not None or asked((*thing.at, "address"))
        )

    def _addressed(self, thing: Thing, address: Value[str]) -> Addressed:
        ip = None if address.value in {"pool", None} else ip_address(address.value)
        reserved = thing.value("reserved")
        asked = reserved.value is None and self._installation.design.asked(reserved.at)
        managed = thing.value("managed_in")
        roots: frozenset[int] = frozenset()
        vlans: tuple[str, ...] = ()
        missing: tuple[Path, ...] = ()
        if managed.value is not None:
            vlan = self._reach.ports.same.get(managed.value, managed.value)
            vlans, roots = (vlan,), self._roots_of.get(vlan, frozenset())
        elif isinstance(thing, Gear) and not thing.is_switch:
            places = self._reach.graph.own_places(thing)
            roots = frozenset(self._reach.certain.root[place] for place in places)
            vlans = tuple(sorted(self._homes(thing, roots)))
            missing = () if vlans else self._what_decides(thing)
        else:
            missing = (managed.at,)
        return Addressed(
            thing, address.at, ip, vlans, roots, missing, None if asked else bool(reserved.value)
        )

    def _what_decides(self, gear: Gear) -> tuple[Path, ...]:
        """Return what is not known of the VLAN of a device: the setting of the port that it hangs on."""
        found: list[Path] = []
        for port in gear.ports.values():
            far = None if port.run is None else port.run.other_end(port)
            if far is not None:
                found.extend(self._reach.ports.missing(far))
            elif port.run is not None:
                found.append((*port.run.at, "to" if port is port.run.from_port else "from"))
        return tuple(dict.fromkeys(found)) or ((*gear.at, "managed_in"),)

    # -- where networks meet ------------------------------------------------------------------------------------

    @cached_property
    def _vlans_of(self) -> dict[int, tuple[str, ...]]:
        """By merged place the VLANs that it is in: more than one where frames get from one to the other."""
        named = set(self.networks)
        found: dict[int, dict[str, None]] = {}
        root = self._reach.certain.root
        for number, place in enumerate(self._reach.graph.places):
            if place.vlan in named and place.kind in {"gear", "port"}:
                found.setdefault(root[number], {})[place.vlan] = None
        return {number: tuple(vlans) for number, vlans in found.items()}

    @cached_property
    def _roots_of(self) -> dict[str, frozenset[int]]:
        found: dict[str, set[int]] = {}
        for number, vlans in self._vlans_of.items():
            for vlan in vlans:
                found.setdefault(vlan, set()).add(number)
        return {vlan: frozenset(roots) for vlan, roots in found.items()}

    @cached_property
    def _group_of(self) -> dict[object, object]:
        """Groups of VLANs, merged places and gateways that meet, each under one of its members."""
        parent: dict[object, object] = {}

        def top(item: object) -> object:
            parent.setdefault(item, item)
            while parent[item] != item:
                parent[item] = parent[parent[item]]
                item = parent[item]
            return item

        for name, network in self.networks.items():
            for root in self._roots_of.get(name, ()):
                parent[top(root)] = top(("vlan", name))
            if network.gateway not in {None, "none"}:
                parent[top(("gateway", network.gateway))] = top(("vlan", name))
        return {item: top(item) for item in list(parent)}

    def group(self, one: Addressed) -> object | None:
        """Return the group of networks that gear is in, the same for all that meet; None where it is not known."""
        for vlan in one.vlans:
            return self.group_of(vlan)
        for root in sorted(one.roots):
            return self._group_of.get(root, root)
        return None

    def group_of(self, vlan: str) -> object:
        """Return the group of networks that a VLAN is in."""
        return self._group_of.get(("vlan", vlan), ("vlan", vlan))

    def meet(self, one: str, other: str) -> bool:
        """Return whether frames or a router join two VLANs for certain."""
        return self.group_of(one) == self.group_of(other)

    def may_meet(self, one: str, other: str) -> tuple[Path, ...]:
        """Return what decides whether a router joins two VLANs that do not meet for certain; nothing: none does."""
        return tuple(
            network.gateway_at
            for network in (self.networks[one], self.networks[other])
            if network.gateway is None
        )

    def in_vlan(self, gear: str, vlan: str) -> bool:
        """Return whether gear has a port in a VLAN, or routes or relays it, so that it hears its broadcasts."""
        network = self.networks[vlan]
        if gear == network.gateway or network.relay is not None:
            return True
        thing = self._installation.gear[gear]
        roots = self._roots_of.get(vlan, frozenset())
        own = {self._reach.certain.root[place] for place in self._reach.graph.own_places(thing)}
        if thing.is_switch:
            own = {
                self._reach.certain.root[number]
                for number, place in enumerate(self._reach.graph.places)
                if place.gear == gear and place.vlan == vlan
            }
        return not roots.isdisjoint(own)

    # -- who leaves a VLAN ----------------------------------------------------------------------------------------

    def vlans_of(self, endpoint: Endpoint) -> frozenset[str]:
        """Return the VLANs that an endpoint is meant to be in, as far as that is certain.

        Those of the port that it hangs on; behind gear that knows no VLANs those that frames get to.
        """
        found = self._of_endpoint.get(endpoint.label)
        if found is None:
            found = self._of_endpoint[endpoint.label] = self._looked_up(endpoint)
        return found

    def _looked_up(self, endpoint: Endpoint) -> frozenset[str]:
        root = self._reach.certain.root
        roots = [root[place] for place in endpoint.sends]
        gear = self._installation.gear.get(str(endpoint.at[1])) if endpoint.at[0] == "device" else None
        if gear is not None:
            return self._homes(gear, roots)
        return frozenset(vlan for number in roots for vlan in self._vlans_of.get(number, ()))

    def _homes(self, gear: Gear, roots: Iterable[int]) -> frozenset[str]:
        ports = [port for port in gear.ports.values() if port.run is not None]
        if len(ports) == 1 and self._reach.graph.is_simple(ports[0]):
            run = ports[0].run
            far = None if run is None else run.other_end(ports[0])
            if far is not None and self._reach.ports.kind(far.gear) == "managed":
                setting = self._reach.ports.setting(far)
                return frozenset() if setting.untagged is None else frozenset((setting.untagged,))
        return frozenset(vlan for number in roots for vlan in self._vlans_of.get(number, ()))

    @cached_property
    def leaving(self) -> dict[str, tuple[str, Path]]:
        """By VLAN what of it has to leave it, in words, and where that is written: a need or a flow.

        A need is met inside the VLAN where one that has what is needed is in it; where that can't be told, nothing is
        said to leave it.
        """
        members: dict[str, list[frozenset[str]]] = {}
        for endpoint in self._reach.endpoints:
            names = [endpoint.role] if endpoint.role is not None else []
            if endpoint.at[0] == "device":
                names.append(str(endpoint.at[1]))
            for name in names:
                members.setdefault(name, []).append(self.vlans_of(endpoint))
        found: dict[str, tuple[str, Path]] = {}
        for who, need, at in written_needs(self._installation):
            ours, theirs = members.get(who, []), members.get(need, [])
            if not theirs or not all(theirs):
                continue
            there = frozenset().union(*theirs)
            for vlan in frozenset().union(*ours) - there:
                found.setdefault(vlan, (f"{who} in it needs {need}", at))
        for name, flow in self._installation.design.model.flow.items():
            ours, theirs = members.get(flow.from_, []), members.get(flow.to, [])
            if theirs and all(theirs):
                for vlan in frozenset().union(*ours) - frozenset().union(*theirs):
                    why = f"flow {name} leads from {flow.from_} in it to {flow.to}"
                    found.setdefault(vlan, (why, ("flow", name)))
        return found
