"""The rule management-exposure, row by row: a sentence, a design, and all that the rule is expected to say of it.

The documents that ask for it: NIST SP 800-171, 3.13.5 (publicly reachable parts in networks of their own) and 3.13.6
(deny by default), and the guide for switches of DISA; their texts are public. What a port carries can be sent into it:
IEEE Std 802.1Q, ingress of tagged frames.
"""

import pytest

from riserlint.review.findings import Finding
from riserlint.testing import Case, Expected, pointed_at, review_text, said
from riserlint_rules.management_exposure import RULE


def design(
    *,
    core: str = ', managed_in = "manage"',
    guest: str = "untrusted = true",
    cam_space: str = "hall",
    port_1: str = '1 = { untagged = "cams", tagged = [] }',
    ap_port: str = '2 = { untagged = "cams", tagged = ["guests"] }',
    policy: str = "deny",
    more: str = "",
    hut: str = "hall",
) -> str:
    """Return a core, a switch in a hut, a camera, an access point with guests and a router, with what a row changes."""
    return f"""
[design]
title = "Yard"
[space]
hall = {{ exposure = "indoor" }}
yard = {{ exposure = "outdoor" }}
attic = {{}}
[role]
camera = {{}}
guest = {{ {guest} }}
[vlan]
manage = {{ vid = 10, gateway = "router" }}
cams = {{ vid = 20, gateway = "router" }}
guests = {{ vid = 30, gateway = "router" }}
[gateway]
router = {{ default = "{policy}" }}
[switch]
core = {{ vlans = "802.1Q"{core} }}
hut = {{ vlans = "802.1Q", space = "{hut}" }}
[device]
cam = {{ role = "camera", space = "{cam_space}" }}
ap = {{ space = "hall" }}
router = {{ joins = "route", space = "hall" }}
[ssid]
visitors = {{ vlan = "guests", role = "guest", at = ["ap"] }}
{more}
[port.core]
{port_1}
{ap_port}
3 = {{ untagged = "none", tagged = ["manage", "cams", "guests"] }}
4 = {{ untagged = "none", tagged = ["manage", "cams"] }}
[port.hut]
up = {{ untagged = "none", tagged = ["manage", "cams"] }}
[port.router]
lan = {{ untagged = "none", tagged = ["manage", "cams", "guests"] }}
[run]
R-1 = {{ from = "core/1", to = "cam" }}
R-2 = {{ from = "core/2", to = "ap" }}
R-3 = {{ from = "core/3", to = "router/lan" }}
R-4 = {{ from = "core/4", to = "hut/up" }}
"""


def one(check: str, outcome: str, points_at: str, subject: str = "vlan.manage") -> tuple[Expected, ...]:
    return (Expected(check, outcome, subject, points_at),)


CASES = [
    Case("management apart, guests denied by the router", design()),
    Case("where gear is managed is not written", design(core="")),
    # -- roles
    Case("the router permits: guests get there", design(policy="permit"), one("from-role", "error", "true")),
    Case("nobody knows what the router does", design(policy="unknown"), one("from-role", "open", "true")),
    Case("the router permits, and nobody is called untrusted", design(guest="", policy="permit")),
    Case(
        "the router permits, and whether guests are trusted nobody knows",
        design(guest='untrusted = "unknown"', policy="permit"),
        one("from-role", "open", '"unknown"'),
    ),
    Case(
        "the core is managed in the network of the guests",
        design(core=', managed_in = "guests"'),
        one("from-role", "error", "true", "vlan.guests"),
    ),
    Case(
        "cameras are not trusted, and their port carries the management tagged",
        design(port_1='1 = { untagged = "cams", tagged = ["manage"] }').replace(
            "camera = {}", "camera = { untrusted = true }"
        ),
        one("from-role", "error", "true"),
    ),
    Case(
        "of the port of a camera that is not trusted nothing is written",
        design(port_1="").replace("camera = {}", "camera = { untrusted = true }"),
        one("from-role", "open", "true"),
    ),
    Case(
        "a UPS that is managed where the guests are",
        design(core="", more='[ups]\nu = { from = "mains", managed_in = "guests" }'),
        one("from-role", "error", "true", "vlan.guests"),
    ),
    Case(
        "in which VLAN the core is managed nobody knows",
        design(core=', managed_in = "unknown"'),
        one("from-role", "open", '"unknown"', "switch.core"),
    ),
    # -- outdoors
    Case("a camera outdoors in a network of its own", design(cam_space="yard")),
    Case(
        "a camera outdoors in the network of the management",
        design(cam_space="yard", port_1='1 = { untagged = "manage", tagged = [] }'),
        one("outdoor-port", "warning", "cam"),
    ),
    Case(
        "a camera outdoors whose port carries it tagged",
        design(cam_space="yard", port_1='1 = { untagged = "cams", tagged = ["manage"] }'),
        one("outdoor-port", "warning", "cam"),
    ),
    Case(
        "a camera outdoors on a port of which nothing is written",
        design(cam_space="yard", port_1=""),
        one("outdoor-port", "open", "cam"),
    ),
    Case(
        "a camera of which nobody knows whether it is outdoors, in the network of the management",
        design(cam_space="attic", port_1='1 = { untagged = "manage", tagged = [] }'),
        one("outdoor-port", "open", "cam"),
    ),
    Case(
        "the same camera in a network of its own",
        design(cam_space="attic"),
    ),
    Case(
        "a switch outdoors over whose link it is managed",
        design(hut="yard"),
        one("outdoor-trunk", "note", "R-4"),
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.shows)
def test_row(case: Case) -> None:
    assert said(case, RULE) == case.expected


def finding(text: str) -> Finding:
    (found,) = review_text(text, [RULE]).findings
    return found


def test_the_way_of_a_guest_reads_hop_by_hop() -> None:
    found = finding(design(policy="permit"))
    way = (
        "clients of visitors at ap → core/2 (guests) → core/3 to router/lan (guests) → routed by router → router "
        "(manage) → core/3 (manage) → the management of core"
    )
    says = "guest is not trusted and reaches the management of core in manage"
    assert found.answer.message == f"{says}: {way}"
    assert found.answer.remedy is not None
    assert found.answer.remedy.text == "let router deny what no flow states, or route manage nowhere"
    assert pointed_at(found) == "true"
