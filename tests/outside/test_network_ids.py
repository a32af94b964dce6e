"""VLAN identifiers and double tagging against IEEE Std 802.1Q and the DISA switch guide."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserlint.engineering.vlan_ids import double_tagging_possible, vlan_id_problem
from riserlint.standards import network

USABLE = "usable are 1 to 4094 (IEEE Std 802.1Q, reserved VID values)"


@pytest.mark.parametrize("vid", [1, 2, 100, 1001, 1002, 1005, 4093, 4094])
def test_usable_identifiers(vid: int) -> None:
    # IEEE Std 802.1Q: 1 to 4094 (published). 1 is the default and may be used by number; 1002 to 1005 are
    # reserved by single makes only.
    assert vlan_id_problem(vid) is None


@pytest.mark.parametrize(
    ("vid", "problem"),
    [
        # IEEE Std 802.1Q, Table 9-2 of the 2011 edition: 0 is a priority tag, 4095 reserved (published).
        (0, "VLAN id 0 marks a priority, no VLAN; usable are 1 to 4094 (IEEE Std 802.1Q-2011, Table 9-2)"),
        (4095, "VLAN id 4095 is reserved; usable are 1 to 4094 (IEEE Std 802.1Q-2011, Table 9-2)"),
        # The field has 12 bits (published).
        (
            4096,
            f"VLAN id 4096 does not fit into the tag; {USABLE}",
        ),
        (
            -1,
            f"VLAN id -1 does not fit into the tag; {USABLE}",
        ),
    ],
)
def test_identifiers_that_cannot_be_used(vid: int, problem: str) -> None:
    assert vlan_id_problem(vid) == problem


def test_twelve_bits_less_two_reserved_values() -> None:
    # The 12-bit field counts 4096 values, two of them reserved (IEEE Std 802.1Q, published).
    field = range(2 ** int(network.VLAN_ID_BITS.value))
    usable = [vid for vid in field if vlan_id_problem(vid) is None]
    assert len(usable) == len(field) - 2
    assert set(field) - set(usable) == {network.VLAN_ID_PRIORITY_TAG.value, network.VLAN_ID_RESERVED.value}


@given(st.integers().filter(lambda vid: not 1 <= vid <= 4094))
def test_nothing_outside_the_usable_range_passes(vid: int) -> None:
    assert vlan_id_problem(vid) is not None


def test_the_default_vlan_is_a_usable_one() -> None:
    # IEEE Std 802.1Q, Table 9-2: VID 1 is the default of a port (published).
    assert network.VLAN_ID_DEFAULT.value == 1
    assert vlan_id_problem(int(network.VLAN_ID_DEFAULT.value)) is None


# DISA Layer 2 Switch Security Requirements Guide, V3R4 (published): double tagging works only where the
# attacker's access VLAN is the untagged one of the next trunk; V-206672 forbids access ports in it.


@pytest.mark.parametrize(
    ("access_vlans", "trunk_untagged", "possible"),
    [
        pytest.param({1, 20}, 1, True, id="default VLAN on a host port and untagged on the trunk"),
        pytest.param({10, 20}, 1, False, id="untagged 1, but nobody plugs into it"),
        pytest.param({10, 20}, 20, True, id="untagged is not 1 and still an access VLAN"),
        pytest.param({10, 20}, 999, False, id="untagged VLAN of its own"),
        pytest.param({1, 10}, None, False, id="every frame of the trunk is tagged"),
        pytest.param(set(), 1, False, id="no access port"),
    ],
)
def test_double_tagging(access_vlans: set[int], trunk_untagged: int | None, possible: bool) -> None:
    assert double_tagging_possible(access_vlans, trunk_untagged) is possible


def deliver(inner: int, outer: int, sender_vlan: int, trunk_untagged: int | None) -> int:
    """VLAN in which the second switch delivers a frame with two tags; the bridges of IEEE Std 802.1Q.

    The first switch takes the frame into the VLAN of its outer tag if that is the port's own (ingress
    filtering drops any other), and sends it over the trunk: without that tag if the VLAN is untagged there.
    The second switch goes by the tag that is now the first.
    """
    if outer != sender_vlan:
        return sender_vlan
    tags = [inner] if outer == trunk_untagged else [outer, inner]
    return tags[0]


@given(
    st.sets(st.integers(1, 6), min_size=1),
    st.one_of(st.none(), st.integers(1, 6)),
)
def test_double_tagging_against_a_walk_of_the_frame(
    access_vlans: set[int], trunk_untagged: int | None
) -> None:
    # An independent way to the same answer: send every frame with two tags from every access port and see
    # whether one of them is delivered outside the VLAN of its sender.
    escapes = any(
        deliver(inner, outer, sender, trunk_untagged) != sender
        for sender in access_vlans
        for outer in range(1, 7)
        for inner in range(1, 7)
    )
    assert double_tagging_possible(access_vlans, trunk_untagged) == escapes


def test_every_requirement_says_where_it_is_from() -> None:
    for requirement in (*network.PORT_HYGIENE.rows, *network.SEPARATION.rows, network.NATIVE_MISMATCH):
        assert requirement.citation.text, requirement.name
        assert requirement.citation.clause, requirement.name
        assert requirement.source, requirement.name


@pytest.mark.parametrize(
    ("requirement", "rule_id", "severity"),
    [
        # DISA Layer 2 Switch Security Requirements Guide, V3R4, read on public mirrors (published).
        (network.PORT_AUTHENTICATION, "V-206647", "CAT I"),
        (network.PORT_AUTHENTICATION_BYPASS, "V-206653", "CAT II"),
        (network.UNUSED_PORT_VLAN, "V-206666", "CAT II"),
        (network.MANAGEMENT_NOT_IN_DEFAULT_VLAN, "V-206669", "CAT II"),
        (network.USER_PORT_IS_ACCESS_PORT, "V-206670", "CAT II"),
        (network.NO_ACCESS_PORT_IN_NATIVE_VLAN, "V-206672", "CAT III"),
    ],
)
def test_switch_guide_rows(requirement: network.Requirement, rule_id: str, severity: str) -> None:
    assert requirement.citation.clause == rule_id
    assert requirement.severity == severity
