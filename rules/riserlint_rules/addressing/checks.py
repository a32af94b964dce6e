"""The checks of the rule: the question of each, its level where it fails, its formula and its clauses."""

from typing import Annotated

from pydantic import Field

from riserlint import Check, Written, address_limits

OVERLAP = Check(
    "overlap",
    "the subnets of two networks that meet overlap",
    "error",
    "no subnet lies in that of another VLAN which frames or one router join with it",
    (address_limits.LONGEST_MATCH,),
)
DUPLICATE = Check(
    "duplicate",
    "an address is given to two",
    "error",
    "among networks that frames or one router join an address stands for one host",
    (),
    (address_limits.HOSTS_OF_ONE_ADDRESS,),
)
OUTSIDE = Check(
    "outside",
    "an address is not one of its network's hosts",
    "error",
    "an address lies in the subnet of its VLAN, and is neither that of the subnet nor the one of all its hosts",
    (address_limits.OVER_A_GATEWAY,),
    (address_limits.V4_NOT_FOR_HOSTS, address_limits.V6_NOT_FOR_HOSTS),
)
IN_POOL = Check(
    "in-pool",
    "a fixed address lies in a pool that is given out",
    "error",
    "an address that is typed in lies in no pool of its network, unless it is reserved there",
    (),
    (address_limits.CLIENTS_OF_ONE_ADDRESS,),
)
POOLS = Check(
    "pools",
    "pools overlap, or hold what can't be given out",
    "error",
    "the pools of a VLAN have no address in common, lie in its subnet and leave out its gateway",
    (),
    (address_limits.CLIENTS_OF_ONE_ADDRESS,),
)
SERVER = Check(
    "server",
    "nothing gives out the addresses that are asked for",
    "error",
    "a VLAN of which something asks for an address has a pool, and who gives it out is in the VLAN, routes it, or is "
    "reached over a relay",
    (address_limits.RELAYED,),
)
ROOM = Check(
    "room",
    "a network has too few addresses",
    "error",
    "fixed addresses, those asked for and the gateway ≤ hosts of the subnet; those asked for ≤ addresses in pools",
    (),
    (
        address_limits.V4_BITS,
        address_limits.V4_NOT_FOR_HOSTS,
        address_limits.V6_BITS,
        address_limits.V6_NOT_FOR_HOSTS,
    ),
)
GROWTH = Check(
    "growth",
    "fewer addresses stay free than the basis asks",
    "warning",
    "1 − (fixed addresses + those asked for + gateway) / hosts of the subnet ≥ free share that the basis asks",
)
GATEWAY = Check(
    "gateway",
    "something has to leave a network that has no gateway",
    "error",
    "a VLAN in which a role is whose needs, or flows, lead to other VLANs alone has a gateway",
    (address_limits.OVER_A_GATEWAY,),
)
CHECKS = (OVERLAP, DUPLICATE, OUTSIDE, IN_POOL, POOLS, SERVER, ROOM, GROWTH, GATEWAY)


class Parameters(Written):
    """``[rule.addressing]``: the share of a subnet's hosts that is to stay free."""

    free_share: Annotated[float, Field(gt=0, lt=1)] | None = None
