"""Ports that are one aggregated link, and ports that are isolated, in the rules of the network.

IEEE Std 802.1AX makes of several links one to the bridge (memory). That isolated ports of a switch do not hear each
other is held against a real software switch in ``outside``, and against a plain search of all ports in ``analysis``.
"""

import pytest

from remedies import carried_out
from riserlint.review.findings import DesignReview
from riserlint.testing import review_text
from riserlint_rules.uplink_load import RULE as UPLINK_LOAD
from riserlint_rules.vlan_isolation import RULE as VLAN_ISOLATION


def linked(
    core: str = '1-2 = { untagged = "none", tagged = ["cams"], group = "a" }',
    floor: str = '1-2 = { untagged = "none", tagged = ["cams"], group = "a" }',
) -> str:
    """Return two switches with two links between them, cameras at one and their recorder at the other."""
    cams = "\n".join(f'c{n} = {{ role = "camera", stream_mbps = {{ average = 6 }} }}' for n in range(16))
    runs = "\n".join(f'r{n} = {{ from = "floor/{n + 10}", to = "c{n}" }}' for n in range(16))
    return f"""
[design]
title = "Yard"
[role]
camera = {{ needs = ["recorder"] }}
recorder = {{}}
[vlan]
cams = {{ vid = 20, gateway = "none" }}
[switch]
core = {{ vlans = "802.1Q" }}
floor = {{ vlans = "802.1Q" }}
[device]
rec = {{ role = "recorder" }}
{cams}
[port.core]
{core}
9 = {{ untagged = "cams", tagged = [] }}
[port.floor]
{floor}
10-25 = {{ untagged = "cams", tagged = [] }}
[run]
a = {{ from = "core/1", to = "floor/1", mbps = 100 }}
b = {{ from = "core/2", to = "floor/2", mbps = 100 }}
rr = {{ from = "core/9", to = "rec", mbps = 1000 }}
{runs}
"""


def said(review: DesignReview) -> list[tuple[str, str, str]]:
    assert review.problems == ()
    assert review.faults == ()
    return [(finding.check.name, finding.level, finding.subject) for finding in review.findings]


def test_an_aggregated_link_is_no_ring_and_carries_the_rates_of_all_its_runs() -> None:
    """96 Mbit/s are 101 on the wire: more than one run carries, and less than both."""
    assert said(review_text(linked(), [VLAN_ISOLATION])) == []
    assert said(review_text(linked(), [UPLINK_LOAD])) == []
    apart = linked().replace(', group = "a"', "")
    assert said(review_text(apart, [UPLINK_LOAD])) == [("ring", "error", "run.a")]


def test_a_vlan_that_is_missing_on_one_port_of_a_group_is_found() -> None:
    ports = (
        '1 = { untagged = "none", tagged = ["cams"], group = "a" }\n'
        '2 = { untagged = "none", tagged = [], group = "a" }'
    )
    text = linked(ports, ports)
    assert said(review_text(text, [VLAN_ISOLATION])) == [
        ("trunk-ends", "error", "port.core"),
        ("trunk-ends", "error", "port.floor"),
    ]


def test_a_group_at_one_end_alone_is_found() -> None:
    text = linked(floor='1-2 = { untagged = "none", tagged = ["cams"] }')
    found = said(review_text(text, [VLAN_ISOLATION]))
    assert found == [("trunk-ends", "error", "run.a"), ("trunk-ends", "error", "run.b")]


def rooms(ports: str, more: str = "") -> str:
    """Return guests in rooms that are to be kept apart from each other, and a printer for all of them."""
    return f"""
[design]
title = "House"
[role]
guest = {{ apart_from = ["guest"] }}
printer = {{}}
[vlan]
guests = {{ vid = 30, gateway = "none" }}
[switch]
one = {{ vlans = "802.1Q" }}
[device]
a = {{ role = "guest" }}
b = {{ role = "guest" }}
print = {{ role = "printer" }}
{more}
[port.one]
{ports}
3 = {{ untagged = "guests", tagged = [] }}
[run]
x = {{ from = "one/1", to = "a" }}
y = {{ from = "one/2", to = "b" }}
z = {{ from = "one/3", to = "print" }}
"""


@pytest.mark.parametrize(
    ("ports", "expected"),
    [
        ('1-2 = { untagged = "guests", tagged = [], isolated = true }', []),
        ('1-2 = { untagged = "guests", tagged = [] }', ["fail"]),
        (
            '1 = { untagged = "guests", tagged = [], isolated = true }\n2 = { untagged = "guests", tagged = [] }',
            ["fail"],
        ),
        ('1-2 = { untagged = "guests", tagged = [], isolated = "unknown" }', ["review"]),
    ],
)
def test_guests_on_isolated_ports_are_kept_from_each_other(ports: str, expected: list[str]) -> None:
    review = review_text(rooms(ports), [VLAN_ISOLATION])
    assert [finding.answer.kind for finding in review.findings if finding.check.name == "apart"] == expected


def test_isolated_roles_are_apart_and_one_of_unknown_isolation_is_not_told() -> None:
    text = rooms('1-2 = { untagged = "guests", tagged = [], isolated = true }')
    two = text.replace('b = { role = "guest" }', 'b = { role = "staff" }').replace(
        'guest = { apart_from = ["guest"] }', 'guest = { apart_from = ["staff"] }\nstaff = {}'
    )
    assert said(review_text(two, [VLAN_ISOLATION])) == []
    unsure = two.replace("isolated = true", 'isolated = "unknown"')
    (found,) = review_text(unsure, [VLAN_ISOLATION]).findings
    assert (found.check.name, found.answer.kind) == ("apart", "open")
    shared = two.replace(", isolated = true", "")
    (found,) = review_text(shared, [VLAN_ISOLATION]).findings
    assert (found.check.name, found.level) == ("apart", "error")


def test_the_mend_of_guests_that_hear_each_other_isolates_their_ports() -> None:
    text = rooms('1-2 = { untagged = "guests", tagged = [] }')
    assert carried_out(text, VLAN_ISOLATION) == ["apart"]
    apart = rooms(
        '1 = { untagged = "guests", tagged = [], isolated = true }\n2 = { untagged = "guests", tagged = [] }'
    )
    assert carried_out(apart, VLAN_ISOLATION) == ["apart"]
    three = apart.replace("b = {", 'c = { role = "guest" }\nb = {').replace(
        "z = {", 'w = { from = "one/4", to = "c" }\nz = {'
    )
    three = three.replace("3 = {", '4 = { untagged = "guests", tagged = [] }\n3 = {')
    assert carried_out(three, VLAN_ISOLATION) == ["apart"]
