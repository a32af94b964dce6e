"""The address schedule: what each network holds and has free, and the address of each piece of gear."""

from collections.abc import Iterator

from riserlint.analysis.addresses import Addressed, Network
from riserlint.analysis.built import Built
from riserlint.analysis.schedules.tables import Cell, Column, Table, exactly
from riserlint.design.paths import path_text
from riserlint.engineering.subnets import hosts_of


def address_tables(built: Built) -> Iterator[Table]:
    """Yield the subnets and the addresses; nothing where no address is described."""
    if built.design.model.vlan and built.addresses.stated:
        yield _subnets(built)
        yield _addresses(built)


def _subnets(built: Built) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for name, network in built.addresses.networks.items():
        members = [one for one in built.addresses.gear if name in one.vlans]
        fixed = {one.ip for one in members if one.ip is not None and _within(network, one)}
        if (
            network.gateway_ip is not None
            and network.subnet is not None
            and network.gateway_ip in network.subnet
        ):
            fixed.add(network.gateway_ip)
        hosts = None if network.subnet is None else hosts_of(network.subnet).size
        pooled = None if network.pools is None else sum(pool.span.size for pool in network.pools)
        outside = [ip for ip in fixed if not any(pool.span.holds(ip) for pool in network.pools or ())]
        free = None if hosts is None or pooled is None else hosts - pooled - len(outside)
        rows.append(
            (
                name,
                "not written" if network.subnet is None else str(network.subnet),
                _gateway(network),
                _pools(network),
                exactly(hosts),
                exactly(len(fixed)),
                exactly(pooled),
                exactly(free),
            )
        )
    return Table(
        "subnets",
        "Networks and their addresses",
        (
            Column("vlan", "VLAN"),
            Column("subnet", "subnet"),
            Column("gateway", "gateway"),
            Column("pools", "pools"),
            Column("hosts", "hosts", "", 0),
            Column("fixed", "fixed", "", 0),
            Column("pooled", "in pools", "", 0),
            Column("free", "free", "", 0),
        ),
        tuple(rows),
        None,
        (
            "hosts: addresses of the subnet that a host may have; fixed: those typed in, the gateway's among them",
            "free = hosts − in pools − those fixed that lie outside pools",
        ),
    )


def _within(network: Network, one: Addressed) -> bool:
    return network.subnet is not None and one.ip is not None and one.ip in network.subnet


def _gateway(network: Network) -> str:
    address = "" if network.gateway_ip is None else f" {network.gateway_ip}"
    return f"{network.gateway or 'unknown'}{address}"


def _pools(network: Network) -> str:
    if network.pools is None:
        return "not written"
    return ", ".join(f"{pool.span.first} to {pool.span.last}" for pool in network.pools) or "none"


def _addresses(built: Built) -> Table:
    ordered = sorted(
        built.addresses.gear,
        key=lambda one: (
            one.vlans or ("\uffff",),
            one.ip is None,
            0 if one.ip is None else int(one.ip),
            one.thing.id,
        ),
    )
    return Table(
        "addresses",
        "Addresses",
        (
            Column("gear", "gear"),
            Column("address", "address"),
            Column("vlan", "VLAN"),
            Column("reserved", "reserved in its pool"),
        ),
        tuple(
            (
                path_text(one.thing.at),
                "asks for one" if one.ip is None else str(one.ip),
                ", ".join(one.vlans) or "not known",
                {True: "yes", None: "not known"}.get(one.reserved, ""),
            )
            for one in ordered
        ),
    )
