"""VLAN identifiers: which may be configured, and where a frame with two tags can cross over."""

from collections.abc import Set as AbstractSet

from riserlint.standards.network import (
    VLAN_ID_FIRST,
    VLAN_ID_LAST,
    VLAN_ID_PRIORITY_TAG,
    VLAN_ID_RESERVED,
)


def vlan_id_problem(vid: int) -> str | None:
    """Return why ``vid`` cannot be the identifier of a VLAN, or None if it can.

    Usable are 1 to 4094; 0 marks a frame that carries a priority and no VLAN, 4095 is reserved, and
    nothing else fits into the 12 bits of the tag. Source: IEEE Std 802.1Q, table of reserved VIDs.
    """
    usable = f"usable are {VLAN_ID_FIRST.value:g} to {VLAN_ID_LAST.value:g}"
    if vid == VLAN_ID_PRIORITY_TAG.value:
        return f"VLAN id {vid} marks a priority, no VLAN; {usable} ({VLAN_ID_PRIORITY_TAG.citation})"
    if vid == VLAN_ID_RESERVED.value:
        return f"VLAN id {vid} is reserved; {usable} ({VLAN_ID_RESERVED.citation})"
    if not VLAN_ID_FIRST.value <= vid <= VLAN_ID_LAST.value:
        return f"VLAN id {vid} does not fit into the tag; {usable} ({VLAN_ID_LAST.citation})"
    return None


def double_tagging_possible(access_vlans: AbstractSet[int], trunk_untagged: int | None) -> bool:
    """Return whether a frame with two tags can leave its VLAN over this trunk.

    A device on an access port sends a frame with two tags, the outer that of its own VLAN. A trunk that
    sends this VLAN untagged takes the outer tag off, and the next switch delivers by the inner one. So
    it takes an access port in the VLAN that the trunk sends untagged.

    Args:
        access_vlans: VLANs in which the switch at the trunk's near end has access ports.
        trunk_untagged: VLAN that the trunk sends untagged; None if it sends every frame tagged. A trunk
            whose untagged VLAN is *unknown* is not None: ask for each value that it can have.

    Source: DISA Layer 2 Switch Security Requirements Guide, V-206672 (double tagging).
    """
    return trunk_untagged is not None and trunk_untagged in access_vlans
