"""Subnets that overlap, room, growth, and networks that need a gateway."""

from collections.abc import Iterable, Iterator

from riserlint import (
    Addressed,
    Answer,
    Built,
    Citation,
    Limit,
    Network,
    NotApplicable,
    Passed,
    Related,
    Remedy,
    Said,
    subnets,
)
from riserlint_rules.addressing.checks import GATEWAY, GROWTH, OVERLAP, ROOM, Parameters
from riserlint_rules.addressing.pools import pool_answers, server_answers


def gateway_answers(built: Built) -> Iterator[Said]:
    """Yield for each VLAN whether it has the gateway that it needs."""
    leaving = built.addresses.leaving
    for name, network in built.addresses.networks.items():
        found = leaving.get(name)
        if found is None:
            yield NotApplicable(GATEWAY.name, network.at, "nothing that is described has to leave it")
            continue
        why, at = found
        if network.gateway not in {None, "none"}:
            yield Passed(GATEWAY.name, network.at)
            continue
        related = (Related(at, why),)
        if network.gateway is None:
            yield Answer(
                GATEWAY.name,
                "open",
                network.at,
                network.gateway_at,
                f"cannot tell whether {name} has a gateway: {why}, which is in other networks alone",
                missing=(network.gateway_at,),
                turns=f"holds if something routes {name}",
                related=related,
            )
            continue
        yield Answer(
            GATEWAY.name,
            "fail",
            network.at,
            network.gateway_at,
            f"nothing routes {name}, and {why}, which is in other networks alone",
            working=f"{why}; none that it needs is in {name}; gateway of {name}: none",
            related=related,
            remedy=Remedy(f"a gateway for {name}, or what it needs in {name} itself"),
            rests_on=(network.gateway_at, at),
        )


def overlap_answers(built: Built) -> Iterator[Said]:
    """Yield for each VLAN whether its subnet overlaps that of one that it meets."""
    networks = built.addresses.networks
    written = [(name, network.subnet) for name, network in networks.items() if network.subnet is not None]
    meeting: dict[str, list[str]] = {}
    for wider, inner in subnets.overlaps(written):
        meeting.setdefault(inner, []).append(wider)
    for name, network in networks.items():
        if network.subnet is None:
            yield NotApplicable(OVERLAP.name, network.at, "its subnet is not written")
            continue
        said = [_overlap(built, network, networks[other]) for other in meeting.get(name, ())]
        answers = [answer for answer in said if answer is not None]
        yield from answers
        if not answers:
            yield Passed(OVERLAP.name, network.at)


def _overlap(built: Built, network: Network, other: Network) -> Answer | None:
    one, two = network.vlan, other.vlan
    words = f"{one} ({network.subnet}) and {two} ({other.subnet})"
    related = (Related(other.subnet_at, f"the subnet of {two}"),)
    if built.addresses.meet(one, two):
        joined = (
            f"{network.gateway} routes both"
            if network.gateway == other.gateway
            else "frames or a router join them"
        )
        return Answer(
            OVERLAP.name,
            "fail",
            network.at,
            network.subnet_at,
            f"the subnets of {words} overlap, and {joined}: an address stands for two hosts",
            working=f"{network.subnet} lies in {other.subnet}",
            related=related,
            remedy=Remedy(f"another prefix for {one} or for {two}, that of {one} free of {other.subnet}"),
            rests_on=(network.subnet_at, other.subnet_at),
            distinct=two,
        )
    missing = built.addresses.may_meet(one, two)
    if not missing:
        return None
    return Answer(
        OVERLAP.name,
        "open",
        network.at,
        network.subnet_at,
        f"cannot tell whether anything joins {words}, whose subnets overlap",
        missing=missing,
        turns="holds if nothing routes one of them to the other",
        related=related,
        distinct=two,
    )


def network_answers(built: Built, parameters: Parameters) -> Iterator[Said]:
    """Yield the answers for the pools of each VLAN, who gives them out, and the room in its subnet."""
    members: dict[str, list[Addressed]] = {name: [] for name in built.addresses.networks}
    for one in built.addresses.gear:
        for vlan in one.vlans:
            members[vlan].append(one)
    for name, network in built.addresses.networks.items():
        yield from pool_answers(network)
        yield from server_answers(built, network, members[name])
        yield from _room(network, members[name])
        yield _growth(network, members[name], parameters)


def _taken(network: Network, members: Iterable[Addressed]) -> tuple[int, int, int]:
    """Return how many fixed addresses there are in the subnet, how many are asked for, how many the gateway has."""
    fixed = {
        one.ip
        for one in members
        if one.ip is not None and network.subnet is not None and one.ip in network.subnet
    }
    asking = sum(1 for one in members if one.ip is None)
    gateway = 0
    if network.gateway not in {None, "none"} and (
        network.gateway_ip is None or network.gateway_ip not in fixed
    ):
        gateway = 0 if any(one.thing.id == network.gateway and one.ip is not None for one in members) else 1
    return len(fixed), asking, gateway


def _room(network: Network, members: list[Addressed]) -> Iterator[Said]:
    fixed, asking, gateway = _taken(network, members)
    if not members or (network.subnet is None and not network.pools):
        yield NotApplicable(ROOM.name, network.at, "its subnet is not written, or no address in it")
        return
    answers: list[Answer] = []
    if network.subnet is not None:
        hosts, needed = subnets.hosts_of(network.subnet).size, fixed + asking + gateway
        if needed > hosts:
            length = subnets.prefix_for(needed, network.subnet.version)
            answers.append(
                Answer(
                    ROOM.name,
                    "fail",
                    network.at,
                    network.subnet_at,
                    f"{network.vlan} needs {needed:,} addresses, {network.subnet} has {hosts:,} for hosts",
                    value=needed,
                    limit=hosts,
                    unit="addresses",
                    margin=hosts - needed,
                    working=f"{fixed} fixed + {asking} asked for + {gateway} gateway = {needed} > {hosts}",
                    remedy=Remedy(f"a prefix of {length} bits or fewer"),
                    rests_on=(network.subnet_at,),
                )
            )
    if network.pools and asking:
        kept = sum(
            1
            for one in members
            if one.ip is not None and one.reserved and any(pool.span.holds(one.ip) for pool in network.pools)
        )
        size = sum(pool.span.size for pool in network.pools) - kept
        if asking > size:
            answers.append(
                Answer(
                    ROOM.name,
                    "fail",
                    network.at,
                    (*network.pools[0].at, "last"),
                    f"{asking:,} ask for an address in {network.vlan}, its pools have {size:,} to give",
                    value=asking,
                    limit=size,
                    unit="addresses",
                    margin=size - asking,
                    working=f"{asking} asked for > {size + kept} in pools − {kept} reserved = {size}",
                    remedy=Remedy(f"pools of {asking:,} addresses or more"),
                    rests_on=tuple(pool.at for pool in network.pools),
                    distinct="pools",
                )
            )
    yield from answers
    if not answers:
        yield Passed(ROOM.name, network.at)


def _growth(network: Network, members: list[Addressed], parameters: Parameters) -> Said:
    share = parameters.free_share
    if share is None:
        return NotApplicable(GROWTH.name, network.at, "the basis asks for no share that stays free")
    if network.subnet is None or not members:
        return NotApplicable(GROWTH.name, network.at, "its subnet is not written, or no address in it")
    fixed, asking, gateway = _taken(network, members)
    hosts, needed = subnets.hosts_of(network.subnet).size, fixed + asking + gateway
    free = 1 - needed / hosts
    if needed > hosts:
        return NotApplicable(GROWTH.name, network.at, f"it has too few addresses as it is: see {ROOM.name}")
    if free >= share:
        return Passed(GROWTH.name, network.at)
    at = ("basis", "rule", "addressing", "free_share")
    limit = Limit(
        "share of a subnet's hosts that stays free",
        share * 100,
        "%",
        Citation("basis of design", "", "rule.addressing.free_share"),
        "stated",
        "the basis of design",
    )
    kept = subnets.hosts_of(network.subnet).size - needed
    length = next(
        (
            bits
            for bits in range(network.subnet.prefixlen, -1, -1)
            if 1 - needed / subnets.hosts_of(network.subnet.supernet(new_prefix=bits)).size >= share
        ),
        None,
    )
    return Answer(
        GROWTH.name,
        "fail",
        network.at,
        network.subnet_at,
        f"of {hosts:,} addresses in {network.vlan} ({network.subnet}) {kept:,} stay free, {free * 100:.3g} %; the "
        f"basis asks {share * 100:g} %",
        value=round(free * 100, 3),
        limit=share * 100,
        unit="%",
        margin=round((free - share) * 100, 3),
        held_against=limit,
        working=f"1 − ({fixed} fixed + {asking} asked for + {gateway} gateway) / {hosts} = {free * 100:.3g} % < "
        f"{share * 100:g} %",
        remedy=Remedy(f"a prefix of {length} bits or fewer" if length is not None else "fewer hosts"),
        rests_on=(network.subnet_at, at),
    )
