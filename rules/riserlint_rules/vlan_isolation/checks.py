"""The checks of the rule: the question of each, its level where it fails, its formula and its clauses."""

from riserlint import Check, network_limits

APART = Check(
    "apart",
    "roles that are to be kept apart can talk",
    "error",
    "no member of one role reaches a member of the other: over the VLANs of every port on every way, untagged frames "
    "renamed at each end, nor over a gateway whose policy lets what no flow states",
    (network_limits.SUBNETS_ISOLATED.citation, network_limits.SEPARATE_NETWORKS.citation),
)
POLICY = Check(
    "policy",
    "the policy joins what it keeps apart",
    "error",
    "no flow, and no need, between two roles of which one is to be kept apart from the other",
    (network_limits.SEPARATE_NETWORKS.citation,),
)
MEMBER = Check(
    "no-member",
    "a role to be kept apart has no member",
    "warning",
    "each role of a separation is defined, and a device, a wireless name or an outlet has it",
    (network_limits.SEPARATE_NETWORKS.citation,),
)
CARRIED = Check(
    "carried",
    "a VLAN is missing on a hop between those who use it",
    "error",
    "every link between two users of a VLAN, or between a user and its gateway, carries it at both ends; in a loop "
    "every link does, since one spanning tree knows no VLANs",
    (network_limits.MEMBER_AT_BOTH_ENDS.citation,),
)
TRUNK = Check(
    "trunk-ends",
    "the two ends of a trunk differ",
    "error",
    "both ends of a link have the same untagged VLAN and the same tagged ones; an aggregated link is one at both ends, "
    "and its ports have the same VLANs",
    (network_limits.MEMBER_AT_BOTH_ENDS.citation,),
)
LEAK = Check(
    "leak",
    "a VLAN is carried to where nobody is in it",
    "warning",
    "a VLAN of a role that is to be kept apart is tagged only on links that have a user of it on both sides",
    (network_limits.SUBNETS_ISOLATED.citation,),
)
VLAN_ID = Check(
    "vlan-id",
    "the id of a VLAN can't be used",
    "error",
    "1 ≤ id ≤ 4094, and no id twice",
    (),
    (
        network_limits.VLAN_ID_FIRST,
        network_limits.VLAN_ID_LAST,
        network_limits.VLAN_ID_PRIORITY_TAG,
        network_limits.VLAN_ID_RESERVED,
    ),
)
DEFAULT = Check(
    "default-vlan",
    "the default VLAN is in use",
    "warning",
    "the VLAN in which every port is that nobody has set (id 1) has no users, and no trunk sends it untagged",
    (
        network_limits.DEFAULT_VLAN_NOT_ON_HOST_PORT.citation,
        network_limits.NATIVE_NOT_DEFAULT_VLAN.citation,
    ),
    (network_limits.VLAN_ID_DEFAULT,),
)
NATIVE = Check(
    "native-shared",
    "a trunk sends the VLAN of an access port untagged",
    "warning",
    "the untagged VLAN of a trunk is none of those of the access ports at that switch, where the trunk carries "
    "others tagged",
    (network_limits.NO_ACCESS_PORT_IN_NATIVE_VLAN.citation,),
)
