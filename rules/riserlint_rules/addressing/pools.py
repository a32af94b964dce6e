"""Pools of addresses, and who gives them out."""

from collections.abc import Iterator

from riserlint import (
    Addressed,
    Answer,
    Built,
    Change,
    Network,
    NotApplicable,
    Passed,
    PoolRange,
    Related,
    Remedy,
    Said,
    first_and_number,
    subnets,
)
from riserlint_rules.addressing.checks import POOLS, SERVER


def pool_answers(network: Network) -> Iterator[Said]:
    """Yield whether the pools of a VLAN have no address in common, and hold none that can't be given out."""
    if not network.pools:
        yield NotApplicable(POOLS.name, network.at, "it has no pool that is written")
        return
    answers = [*_meeting_pools(network), *_stray_pools(network)]
    yield from answers
    if not answers:
        yield Passed(POOLS.name, network.at)


def _meeting_pools(network: Network) -> Iterator[Answer]:
    ordered = sorted(network.pools or (), key=lambda pool: (pool.span.first.version, int(pool.span.first)))
    widest: PoolRange | None = None
    for pool in ordered:
        if widest is not None and widest.span.meets(pool.span):
            # One server keeps track of what it gives out, by whatever pool: nothing is given twice then.
            one_server = widest.server is not None and widest.server == pool.server
            yield Answer(
                POOLS.name,
                "fail",
                network.at,
                (*pool.at, "first"),
                f"two pools of {network.vlan} overlap, {_span(widest)} and {_span(pool)}"
                + (f", both of {pool.server}" if one_server else _given_twice(widest, pool)),
                level="warning" if one_server else None,
                working=f"{pool.span.first} ≤ {widest.span.last}",
                related=(Related(widest.at, "the other pool"),),
                remedy=_apart(widest, pool),
                rests_on=(widest.at, pool.at),
                distinct=f"{widest.at[-1]} {pool.at[-1]}",
            )
        if (
            widest is None
            or widest.span.first.version != pool.span.first.version
            or (int(pool.span.last) > int(widest.span.last))
        ):
            widest = pool


def _span(pool: PoolRange) -> str:
    return f"{pool.span.first} to {pool.span.last}"


def _given_twice(one: PoolRange, other: PoolRange) -> str:
    by = "" if one.server is None or other.server is None else f", by {one.server} and by {other.server}"
    return f": the same address is given to two{by}"


def _apart(first: PoolRange, second: PoolRange) -> Remedy:
    """Return the pool that begins later without what the other one has, where that leaves something of it."""
    text = "pools that have no address in common"
    if int(second.span.last) <= int(first.span.last):
        return Remedy(text)
    start = first.span.last + 1
    changes = (Change((*second.at, "first"), str(start)),)
    return Remedy(f"{text}: the second from {start} on", changes)


def _stray_pools(network: Network) -> Iterator[Answer]:
    hosts = None if network.subnet is None else subnets.hosts_of(network.subnet)
    for pool in network.pools or ():
        inside = hosts is None or (hosts.holds(pool.span.first) and hosts.holds(pool.span.last))
        if hosts is not None and not inside:
            yield Answer(
                POOLS.name,
                "fail",
                network.at,
                (*pool.at, "first"),
                f"the pool {_span(pool)} of {network.vlan} is not within the hosts of {network.subnet}, "
                f"{hosts.first} to {hosts.last}",
                working=f"{hosts.first} ≤ {pool.span.first} and {pool.span.last} ≤ {hosts.last} does not hold",
                related=(Related(network.subnet_at, "the subnet"),),
                remedy=_within(pool, hosts),
                rests_on=(network.subnet_at, pool.at),
                distinct=f"outside {pool.at[-1]}",
            )
        if network.gateway_ip is not None and pool.span.holds(network.gateway_ip):
            yield Answer(
                POOLS.name,
                "fail",
                network.at,
                (*pool.at, "first"),
                f"the pool {_span(pool)} of {network.vlan} holds the address of its gateway, {network.gateway_ip}",
                related=(Related((*network.at, "gateway_address"), "the gateway's address"),),
                remedy=_past_gateway(pool, network),
                rests_on=(pool.at, (*network.at, "gateway_address")),
                distinct=f"gateway {pool.at[-1]}",
            )


def _within(pool: PoolRange, hosts: subnets.IpRange) -> Remedy:
    text = f"a pool within {hosts.first} to {hosts.last}"
    if not pool.span.meets(hosts):
        return Remedy(text)
    changes: list[Change] = []
    if not hosts.holds(pool.span.first):
        changes.append(Change((*pool.at, "first"), str(hosts.first)))
    if not hosts.holds(pool.span.last):
        changes.append(Change((*pool.at, "last"), str(hosts.last)))
    return Remedy(text, tuple(changes))


def _past_gateway(pool: PoolRange, network: Network) -> Remedy:
    """Return the pool without the gateway where that lies at one of its ends."""
    text = "a pool that leaves out the gateway"
    gateway = network.gateway_ip
    if gateway is None or pool.span.size < 2:
        return Remedy(text)
    if gateway == pool.span.first:
        return Remedy(text, (Change((*pool.at, "first"), str(gateway + 1)),))
    if gateway == pool.span.last:
        return Remedy(text, (Change((*pool.at, "last"), str(gateway - 1)),))
    return Remedy(f"{text}: two, one on each side of it")


def server_answers(built: Built, network: Network, members: list[Addressed]) -> Iterator[Said]:
    """Yield whether something gives addresses to those that ask for one in a VLAN."""
    asking = [one for one in members if one.ip is None]
    if not asking:
        yield NotApplicable(SERVER.name, network.at, "nothing that is described asks for an address in it")
        return
    who = _who(asking)
    at = asking[0].at
    related = tuple(Related(one.at, f"{one.thing.id} asks for an address") for one in asking[1:4])
    pools_at = (*network.at, "pools")
    if network.pools is None:
        yield Answer(
            SERVER.name,
            "open",
            network.at,
            at,
            f"cannot tell whether anything gives an address to {who} in {network.vlan}: its pools are not written",
            missing=(pools_at,),
            turns="holds with a pool whose server is in it, or behind a relay",
            related=related,
        )
        return
    if not network.pools:
        yield Answer(
            SERVER.name,
            "fail",
            network.at,
            at,
            f"nothing gives an address to {who} in {network.vlan}: it has no pool",
            working=f"asked for: {len(asking)}; pools of {network.vlan}: none",
            related=related,
            remedy=Remedy(f"a pool for {network.vlan}, or fixed addresses"),
            rests_on=(pools_at,),
        )
        return
    if any(
        pool.server is not None and built.addresses.in_vlan(pool.server, network.vlan)
        for pool in network.pools
    ):
        yield Passed(SERVER.name, network.at)
        return
    unknown = [(*pool.at, "from") for pool in network.pools if pool.server is None]
    if unknown:
        yield Answer(
            SERVER.name,
            "open",
            network.at,
            unknown[0],
            f"cannot tell whether {who} in {network.vlan} is given an address: who gives out its pool is not written",
            missing=tuple(unknown),
            turns=f"holds with a server in {network.vlan}, its gateway, or a relay",
            related=related,
        )
        return
    pool = network.pools[0]
    yield Answer(
        SERVER.name,
        "fail",
        network.at,
        (*pool.at, "from"),
        f"{pool.server} is to give addresses to {who} in {network.vlan}, and hears none of their requests: it is in "
        "another network, and nothing relays them",
        related=(Related(at, f"{asking[0].thing.id} asks for an address"), *related),
        remedy=Remedy(
            f"let the gateway relay ({network.gateway})"
            if network.gateway not in {None, "none"}
            else "a relay",
            (Change((*network.at, "relay"), network.gateway),)
            if network.gateway not in {None, "none"}
            else (),
        ),
        rests_on=((*pool.at, "from"),),
    )


def _who(asking: list[Addressed]) -> str:
    return first_and_number((one.thing.id for one in asking), 1)
