"""What must talk: needs of roles that lead from one network to another, over the gateway and back.

Inside one VLAN nothing but a missing hop can stop them, which is that VLAN's own question, and so is the way to the
gateway. Here it is asked whether a gateway has both networks, whether its policy lets the flow pass, and whether
replies come back: with ``deny`` nothing is routed that no flow states.
"""

from collections.abc import Hashable, Iterator
from functools import cached_property
from typing import Literal, NamedTuple

from riserlint.analysis.addresses import Addresses
from riserlint.analysis.needs import written_needs
from riserlint.analysis.reach import Endpoint, Reach, Route
from riserlint.design.paths import Path
from riserlint.installation.build import Installation

#: *denied*: no flow states it; *one-way*: replies do not come back; *no-return*: nothing routes the far network;
#: *elsewhere*: two gateways, and what joins them is not described; *local*: a question of one VLAN or of its gateway.
Outcome = Literal["met", "local", "denied", "one-way", "no-return", "elsewhere", "unknown"]
_BETTER: tuple[Outcome, ...] = ("met", "local", "unknown", "elsewhere", "one-way", "denied", "no-return")


class RequiredFlow(NamedTuple):
    """One need of those in one VLAN, and what becomes of it.

    Attributes:
        who: the role, or the device, that needs; need: the role or the gear that is needed.
        at: where the need is written.
        roles: the roles of both as a flow would name them, None where one has none.
        outcome: what becomes of it.
        vlan, far: the VLANs of both, empty where not known.
        gateway: the gear that routes ``vlan``.
        missing: what is not known, where it turns on that.
        route: the way to the gateway.
        members: how many endpoints need it from that VLAN.
    """

    who: str
    need: str
    at: Path
    roles: tuple[str | None, str | None]
    outcome: Outcome
    vlan: str
    far: str
    gateway: str
    missing: tuple[Path, ...]
    route: Route | None
    members: tuple[Endpoint, ...]


class _Found(NamedTuple):
    outcome: Outcome
    far: str
    gateway: str
    missing: tuple[Path, ...]


class Requirements:
    """All that must talk by the needs of roles and devices, those met included."""

    def __init__(self, installation: Installation, reach: Reach, addresses: Addresses) -> None:
        """Keep the graphs; flows are followed when somebody asks."""
        self._installation = installation
        self._reach = reach
        self._addresses = addresses
        self._members: dict[str, list[Endpoint]] = {}
        self._cache: dict[tuple[Hashable, ...], _Found] = {}
        for endpoint in reach.endpoints:
            if endpoint.role is not None:
                self._members.setdefault(endpoint.role, []).append(endpoint)
            if endpoint.at[0] == "device" and endpoint.at[1] != endpoint.role:
                self._members.setdefault(str(endpoint.at[1]), []).append(endpoint)

    def flows(self) -> Iterator[RequiredFlow]:
        """Yield what becomes of each need, for those in each VLAN apart."""
        model = self._installation.design.model
        own: set[Path] = {
            ("device", name) for name, device in model.device.items() if device.needs is not None
        }
        for who, need, at in written_needs(self._installation):
            ours = [
                endpoint
                for endpoint in self._members.get(who, ())
                if at[0] == "device" or endpoint.at[:2] not in own
            ]
            theirs = self._members.get(need, [])
            if ours and theirs:
                yield from self._of(who, need, at, ours, theirs)

    def _of(
        self, who: str, need: str, at: Path, ours: list[Endpoint], theirs: list[Endpoint]
    ) -> Iterator[RequiredFlow]:
        roles = self._role(who), self._role(need)
        groups: dict[frozenset[str], list[Endpoint]] = {}
        for endpoint in ours:
            groups.setdefault(self._addresses.vlans_of(endpoint), []).append(endpoint)
        for vlans, members in groups.items():
            vlan = min(vlans, default="")
            # Many devices with needs of their own ask the same from the same place.
            places = frozenset(self._reach.certain.root[place] for one in members for place in one.sends)
            key = (places, vlans, need, roles)
            followed = self._cache.get(key)
            if followed is None or followed.missing:
                followed = self._cache[key] = self._followed(vlans, members, theirs, roles)
            found = followed
            route = None
            if found.outcome in {"denied", "one-way", "elsewhere", "unknown", "no-return"} and found.gateway:
                route = self._reach.path(members, [self._gateway(found.gateway, vlan)], certain=True)
            yield RequiredFlow(
                who,
                need,
                at,
                roles,
                found.outcome,
                vlan,
                found.far,
                found.gateway,
                found.missing,
                route,
                tuple(members),
            )

    def _role(self, name: str) -> str | None:
        model = self._installation.design.model
        if name in model.role:
            return name
        device = model.device.get(name)
        return None if device is None else device.role

    def _gateway(self, gear: str, vlan: str) -> Endpoint:
        thing = self._installation.gear[gear]
        return Endpoint(gear, thing.at, None, (), self._reach.graph.serving(gear, vlan))

    def _followed(
        self,
        vlans: frozenset[str],
        members: list[Endpoint],
        theirs: list[Endpoint],
        roles: tuple[str | None, str | None],
    ) -> _Found:
        met = (self._reach.talk(members, theirs), self._reach.talk(theirs, members)) == ("always", "always")
        if met and self._reach.talk(members, theirs, routed=False) != "always":
            return _Found("met", "", "", ())  # over routers, whatever is written of gateways
        far = frozenset().union(*(self._addresses.vlans_of(endpoint) for endpoint in theirs))
        lost = [endpoint for endpoint in theirs if not self._addresses.vlans_of(endpoint)]
        if vlans & far or (met and not (vlans and far)):
            return _Found("met" if met else "local", "", "", ())
        missing = tuple(
            dict.fromkeys(
                path
                for endpoint in (*(members if not vlans else ()), *lost)
                for path in self._what_decides(endpoint)
            )
        )
        if not vlans or (lost and not far):
            return _Found("unknown" if missing else "local", "", "", missing)
        found = [self._between(vlan, other, theirs, roles) for vlan in sorted(vlans) for other in sorted(far)]
        best = min(found, key=lambda one: _BETTER.index(one.outcome))
        if best.outcome == "local" and met:
            return best._replace(outcome="met")
        if lost and missing and best.outcome not in {"met", "local"}:
            return best._replace(outcome="unknown", missing=(*best.missing, *missing))
        return best

    def _what_decides(self, endpoint: Endpoint) -> tuple[Path, ...]:
        if endpoint.missing:
            return endpoint.missing
        return () if endpoint.port is None else self._reach.ports.missing(endpoint.port)

    def _between(
        self, vlan: str, far: str, theirs: list[Endpoint], roles: tuple[str | None, str | None]
    ) -> _Found:
        here, there = self._addresses.networks[vlan], self._addresses.networks[far]
        gateway = here.gateway
        if gateway is None or gateway == "none":
            return _Found("local", far, "", ())  # a network that something leaves and nothing routes
        if any(endpoint.at[1] == gateway for endpoint in theirs if endpoint.at[0] == "device"):
            return _Found("local", far, gateway, ())  # what is needed is the gateway itself
        if there.gateway is None:
            return _Found("unknown", far, gateway, (there.gateway_at,))
        if there.gateway == "none":
            return _Found("no-return", far, gateway, ())
        found = self._by_policy(far, gateway, roles)
        if there.gateway == gateway:
            return found
        other = self._by_policy(far, there.gateway, roles)
        worse = max(found, other, key=lambda one: _BETTER.index(one.outcome))
        return worse if worse.outcome not in {"met", "local"} else _Found("elsewhere", far, gateway, ())

    @cached_property
    def _flows(self) -> frozenset[tuple[str, str]]:
        """The flows that are stated, each from a role to a role."""
        return frozenset((flow.from_, flow.to) for flow in self._installation.design.model.flow.values())

    def _by_policy(self, far: str, gateway: str, roles: tuple[str | None, str | None]) -> _Found:
        default, at = self._reach.ports.policy(gateway)
        if default is None:
            return _Found("unknown", far, gateway, (at,))
        if default == "permit":
            return _Found("local", far, gateway, ())  # else they would talk: a hop is missing on the way
        # Whichever of the two asks: a recorder fetches what its cameras need it for.
        stated = [direction in self._flows for direction in (roles, (roles[1], roles[0]))]
        if not any(stated):
            return _Found("denied", far, gateway, ())
        if all(stated):
            return _Found("met", far, gateway, ())
        replies, at = self._reach.ports.replies(gateway)
        if replies is None:
            return _Found("unknown", far, gateway, (at,))
        return _Found("met" if replies else "one-way", far, gateway, ())
