"""Addresses that are given twice, lie outside their subnet, or in a pool."""

from collections.abc import Collection, Iterator

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
    address_limits,
    subnets,
)
from riserlint_rules.addressing.checks import DUPLICATE, IN_POOL, OUTSIDE

#: So many others with one address are named.
_FEW = 4


def host_answers(built: Built) -> Iterator[Said]:
    """Yield the answers for all addresses that are typed in, those of gateways included."""
    fixed = [one for one in built.addresses.gear if one.ip is not None]
    taken: set[subnets.Ip] = {one.ip for one in fixed if one.ip is not None}
    gateways = {
        network.gateway_ip for network in built.addresses.networks.values() if network.gateway_ip is not None
    }
    taken |= gateways
    yield from _duplicates(built, fixed, taken)
    for one in built.addresses.unknown:
        yield Answer(
            DUPLICATE.name,
            "open",
            one.thing.at,
            one.at,
            f"cannot tell whether {one.thing.id} has an address of its own, and in its subnet: which is not known",
            missing=(one.at,),
        )
    for one in fixed:
        yield _outside(built, one, taken)
        yield _in_pool(built, one, taken)
    for network in built.addresses.networks.values():
        yield from _gateway_outside(network)


def _duplicates(built: Built, fixed: list[Addressed], taken: set[subnets.Ip]) -> Iterator[Said]:
    by_ip: dict[subnets.Ip, list[Addressed]] = {}
    for one in fixed:
        assert one.ip is not None
        by_ip.setdefault(one.ip, []).append(one)
    gateways: dict[tuple[subnets.Ip, object], Network] = {}
    for network in built.addresses.networks.values():
        if network.gateway_ip is not None:
            gateways.setdefault((network.gateway_ip, built.addresses.group_of(network.vlan)), network)
    unknown: dict[object, Addressed] = {}
    for one in built.addresses.unknown:
        unknown.setdefault(built.addresses.group(one), one)
    for ip, sharing in by_ip.items():
        known: dict[object, list[Addressed]] = {}
        lost: list[Addressed] = []
        for one in sharing:
            group = built.addresses.group(one)
            if group is None:
                lost.append(one)
            else:
                known.setdefault(group, []).append(one)
        for group, members in known.items():
            routed = gateways.get((ip, group))
            if routed is not None and any(one.thing.id != routed.gateway for one in members):
                yield _of_gateway(built, routed, members, taken)
            elif len(members) > 1:
                yield _twice(built, members, taken)
            elif lost:
                why = f"{lost[0].thing.id} has its address too, and is judged"
                yield NotApplicable(DUPLICATE.name, members[0].thing.at, why)
            elif len(known) == 1:
                yield _alone(members[0], unknown.get(group) or unknown.get(None))
            else:
                yield from _elsewhere(built, members[0], [one for one in sharing if one is not members[0]])
        if lost and (len(lost) > 1 or known):
            yield _lost(lost, sharing)
        elif lost:
            yield _alone(lost[0], next(iter(unknown.values()), None))


def _alone(one: Addressed, unknown: Addressed | None) -> Said:
    """Return that nobody has the address of gear as well; not, where one in its networks is not known."""
    if unknown is None:
        return Passed(DUPLICATE.name, one.thing.at)
    why = f"the address of {unknown.thing.id} is not known: that is asked there"
    return NotApplicable(DUPLICATE.name, one.thing.at, why)


def _twice(built: Built, members: list[Addressed], taken: set[subnets.Ip]) -> Answer:
    first, second, *rest = sorted(members, key=lambda one: one.thing.id)
    others = f" and {len(rest):,} more" if rest else ""
    free = _next_free(built, second, taken)
    one_network = set(first.vlans) & set(second.vlans) or first.roots & second.roots
    where = "in one network" if one_network else "whose networks meet"
    return Answer(
        DUPLICATE.name,
        "fail",
        second.thing.at,
        second.at,
        f"{first.ip} is the address of {first.thing.id} and of {second.thing.id}{others}, {where}",
        value=len(members),
        limit=address_limits.HOSTS_OF_ONE_ADDRESS.value,
        unit=address_limits.HOSTS_OF_ONE_ADDRESS.unit,
        margin=1 - len(members),
        held_against=address_limits.HOSTS_OF_ONE_ADDRESS,
        working=f"hosts with {first.ip}: {len(members)} > 1",
        related=tuple(Related(one.at, f"{one.thing.id} has it too") for one in (first, *rest)[:_FEW]),
        remedy=_moved(built, second, free, "an address of its own")
        if not rest
        else Remedy("an address of its own each"),
        rests_on=tuple(one.at for one in members),
    )


def _of_gateway(built: Built, network: Network, members: list[Addressed], taken: set[subnets.Ip]) -> Answer:
    one = next(one for one in members if one.thing.id != network.gateway)
    return Answer(
        DUPLICATE.name,
        "fail",
        one.thing.at,
        one.at,
        f"{one.ip} is the address of {one.thing.id} and of the gateway of {network.vlan}",
        value=2,
        limit=address_limits.HOSTS_OF_ONE_ADDRESS.value,
        unit=address_limits.HOSTS_OF_ONE_ADDRESS.unit,
        margin=-1,
        held_against=address_limits.HOSTS_OF_ONE_ADDRESS,
        working=f"hosts with {one.ip}: 2 > 1",
        related=(Related((*network.at, "gateway_address"), "the gateway's address"),),
        remedy=_moved(built, one, _next_free(built, one, taken), "an address of its own"),
        rests_on=(one.at, (*network.at, "gateway_address")),
    )


def _elsewhere(built: Built, one: Addressed, others: list[Addressed]) -> Iterator[Said]:
    """Yield for an address that gear in other networks has too: it is no fault if nothing joins them."""
    missing = [
        path
        for other in others
        for ours in one.vlans
        for theirs in other.vlans
        for path in built.addresses.may_meet(ours, theirs)
    ]
    if not missing:
        yield Passed(DUPLICATE.name, one.thing.at)
        return
    yield Answer(
        DUPLICATE.name,
        "open",
        one.thing.at,
        one.at,
        f"cannot tell whether {one.thing.id} and {others[0].thing.id} meet, which both have {one.ip}",
        missing=tuple(dict.fromkeys(missing)),
        turns="holds if nothing routes one network to the other",
        related=tuple(Related(other.at, f"{other.thing.id} has it too") for other in others[:_FEW]),
    )


def _lost(lost: list[Addressed], sharing: list[Addressed]) -> Answer:
    one = lost[0]
    others = [other for other in sharing if other is not one]
    return Answer(
        DUPLICATE.name,
        "open",
        one.thing.at,
        one.at,
        f"cannot tell whether {one.thing.id} and {others[0].thing.id} meet, which both have {one.ip}: in which network "
        f"{one.thing.id} is is not known",
        missing=one.missing,
        turns="holds if nothing joins their networks",
        related=tuple(Related(other.at, f"{other.thing.id} has it too") for other in others[:_FEW]),
    )


def _outside(built: Built, one: Addressed, taken: set[subnets.Ip]) -> Said:
    assert one.ip is not None
    networks = built.addresses.networks
    if not one.vlans:
        if all(network.subnet is None for network in networks.values()):
            return NotApplicable(OUTSIDE.name, one.thing.at, "no subnet is written")
        if one.thing.id in built.reach.ports.gateways:
            return NotApplicable(
                OUTSIDE.name, one.thing.at, "it routes: it may be its address towards the outside"
            )
        return Answer(
            OUTSIDE.name,
            "open",
            one.thing.at,
            one.at,
            f"cannot tell whether {one.ip} is an address of the network of {one.thing.id}: which that is is not known",
            missing=one.missing,
            turns=_turns(networks.values(), one.ip),
        )
    own = [networks[vlan] for vlan in one.vlans]
    written = [network for network in own if network.subnet is not None]
    if not written:
        return NotApplicable(OUTSIDE.name, one.thing.at, "the subnet of its VLAN is not written")
    if any(
        network.subnet is not None and subnets.hosts_of(network.subnet).holds(one.ip) for network in written
    ):
        return Passed(OUTSIDE.name, one.thing.at)
    if len(written) < len(own):
        missing = tuple(network.subnet_at for network in own if network.subnet is None)
        return Answer(
            OUTSIDE.name,
            "open",
            one.thing.at,
            one.at,
            f"cannot tell whether {one.ip} is an address of a network of {one.thing.id}",
            missing=missing,
        )
    network = written[0]
    assert network.subnet is not None
    hosts = subnets.hosts_of(network.subnet)
    what = f"lies outside {network.subnet}"
    if one.ip in network.subnet:
        last = one.ip == network.subnet.broadcast_address
        what = f"is that of all hosts of {network.subnet}" if last else f"is that of {network.subnet} itself"
    return Answer(
        OUTSIDE.name,
        "fail",
        one.thing.at,
        one.at,
        f"{one.ip} of {one.thing.id} {what}, the subnet of its VLAN {network.vlan}",
        working=f"hosts of {network.subnet}: {hosts.first} to {hosts.last}",
        related=(Related(network.subnet_at, f"the subnet of {network.vlan}"),),
        remedy=_moved(built, one, _next_free(built, one, taken), f"an address of {network.subnet}"),
        rests_on=(one.at, network.subnet_at),
    )


def _turns(networks: Collection[Network], ip: subnets.Ip) -> str:
    fitting = [network.vlan for network in networks if network.subnet is not None and ip in network.subnet]
    return f"holds in {' or '.join(fitting)}" if fitting else ""


def _gateway_outside(network: Network) -> Iterator[Said]:
    if network.gateway_ip is None or network.subnet is None:
        return
    hosts = subnets.hosts_of(network.subnet)
    if hosts.holds(network.gateway_ip):
        yield Passed(OUTSIDE.name, network.at)
        return
    at = (*network.at, "gateway_address")
    yield Answer(
        OUTSIDE.name,
        "fail",
        network.at,
        at,
        f"the gateway's address {network.gateway_ip} of {network.vlan} is no host of {network.subnet}",
        working=f"hosts of {network.subnet}: {hosts.first} to {hosts.last}",
        related=(Related(network.subnet_at, "the subnet"),),
        remedy=Remedy(f"an address of {hosts.first} to {hosts.last}"),
        rests_on=(at, network.subnet_at),
        distinct="gateway",
    )


def _in_pool(built: Built, one: Addressed, taken: set[subnets.Ip]) -> Said:
    assert one.ip is not None
    networks = [built.addresses.networks[vlan] for vlan in one.vlans] or list(
        built.addresses.networks.values()
    )
    found = next(
        ((network, pool) for network in networks for pool in network.pools or () if pool.span.holds(one.ip)),
        None,
    )
    if found is None:
        if any(network.pools is None for network in networks) and one.vlans:
            return NotApplicable(IN_POOL.name, one.thing.at, "the pools of its VLAN are not written")
        return Passed(IN_POOL.name, one.thing.at)
    network, pool = found
    words = f"{pool.span.first} to {pool.span.last}, a pool of {network.vlan}"
    if one.reserved:
        return Passed(IN_POOL.name, one.thing.at)
    if one.reserved is None or not one.vlans:
        missing = ((*one.thing.at, "reserved"),) if one.reserved is None else one.missing
        return Answer(
            IN_POOL.name,
            "open",
            one.thing.at,
            one.at,
            f"cannot tell whether {one.ip} of {one.thing.id} is given to somebody else as well: it lies in {words}",
            missing=missing,
            turns="holds if it is reserved there",
            related=(Related(pool.at, "the pool"),),
        )
    return _given_out(built, one, pool, words, taken)


def _given_out(built: Built, one: Addressed, pool: PoolRange, words: str, taken: set[subnets.Ip]) -> Answer:
    free = _next_free(built, one, taken)
    by = "" if pool.server is None else f" by {pool.server}"
    return Answer(
        IN_POOL.name,
        "fail",
        one.thing.at,
        one.at,
        f"{one.ip} of {one.thing.id} is typed in, and lies in {words}: somebody else may be given it{by}",
        held_against=address_limits.CLIENTS_OF_ONE_ADDRESS,
        working=f"{pool.span.first} ≤ {one.ip} ≤ {pool.span.last}, and it is not reserved",
        related=(Related(pool.at, "the pool"),),
        remedy=_moved(
            built, one, free, "reserve it in the server (reserved = true), or an address outside the pools"
        ),
        rests_on=(one.at, pool.at),
    )


def _next_free(built: Built, one: Addressed, taken: set[subnets.Ip]) -> subnets.Ip | None:
    """Return the first address of the subnet of gear that nobody has and no pool holds, and keep it for that gear."""
    for vlan in one.vlans:
        network = built.addresses.networks[vlan]
        if network.subnet is None or network.pools is None:
            continue
        if network.gateway_ip is None and network.gateway != "none":
            continue  # the gateway may have any of them
        free = subnets.free_address(network.subnet, taken, [pool.span for pool in network.pools])
        if free is not None:
            taken.add(free)
            return free
    return None


def _moved(built: Built, one: Addressed, free: subnets.Ip | None, text: str) -> Remedy:
    if free is None:
        return Remedy(text)
    words = f"{text}, such as {free}"
    measured = built.design.origin(one.at) == "measured"
    return Remedy(words, () if measured else (Change(one.at, str(free)),))
