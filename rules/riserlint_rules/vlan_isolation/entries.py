"""Entries for ports: where they are written, and what a change of them would do."""

from collections.abc import Iterable

from riserlint import Built, Path, Port, PortSetting, Run
from riserlint_rules.vlan_isolation.roles import separations


def place_of(setting: PortSetting, key: str = "") -> Path:
    """Return where an entry for ports is written, or a key of it."""
    return (*setting.at, key) if key else setting.at


def tagged_without(built: Built, port: Port, taken: Iterable[str]) -> list[str]:
    """Return the tagged list of a port as written, without some VLANs."""
    entry, _ = built.port_vlans[(port.gear.id, port.name)]
    gone = set(taken)
    return [name for name in entry.tagged or () if built.reach.ports.same[name] not in gone]


def joins_nobody(built: Built, run: Run, vlans: Iterable[str]) -> bool:
    """Return whether carrying VLANs over a link lets no two roles talk that are to be kept apart.

    It is the cautious side: all roles that now talk with one of the VLANs at either end are taken together, and a
    router at an end counts as joining unless it denies.
    """
    reach = built.reach
    roles: set[str] = set()
    for port in (run.from_port, run.to_port):
        if port is None:
            return False
        gear = port.gear
        routes = gear.id in reach.ports.gateways or (
            not gear.is_switch and gear.value("joins").value == "route"
        )
        if routes and reach.ports.policy(gear.id)[0] != "deny":
            return False
        if reach.ports.kind(gear) == "device":
            roles.add(gear.value("role").value or "")
            roles.update(ssid.role or "" for ssid in built.design.model.ssid.values() if gear.id in ssid.at)
        for vlan in vlans:
            roles |= reach.roles_at(gear.id, vlan)
    return not any(
        name in roles
        and other in roles
        and "always" not in {reach.roles_talk(name, other), reach.roles_talk(other, name)}
        for name, other, _ in separations(built)
        if name != other
    )
