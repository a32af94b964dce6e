"""The rule addressing, row by row: a sentence, a design, and all that the rule is expected to say of it.

Published beside the checks: a host sends to its own subnet by itself and over a gateway to any other (RFC 1122,
3.3.1.1); the addresses that no host may have (RFC 1122, 3.2.1.3; RFC 3021 for 31 bits); one host for one address (RFC
5227, 1); a server gives an address to one client at a time and knows nothing of those that were typed in (RFC 2131,
1.6); requests for an address are broadcasts that a relay alone carries further (RFC 1542).
"""

import ipaddress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remedies import carried_out
from riserlint.review.findings import Finding
from riserlint.testing import Case, Expected, pointed_at, review_text, said
from riserlint_rules.addressing import RULE

CAMS = 'vid = 20, gateway = "router", subnet = "10.0.20.0/24", gateway_address = "10.0.20.1"'
OFFICE = 'vid = 30, gateway = "router", subnet = "10.0.30.0/24", gateway_address = "10.0.30.1", pools = []'


def design(
    cams: str = f"{CAMS}, pools = []",
    office: str = OFFICE,
    *,
    cam_1: str = 'address = "10.0.20.11"',
    cam_2: str = 'address = "10.0.20.12"',
    rec: str = 'address = "10.0.30.10"',
    core: str = "",
    port_2: str = '2 = { untagged = "cams", tagged = [] }',
    gateway: str = '[gateway]\nrouter = { default = "deny" }\n[flow]\nvideo = { from = "camera", to = "recorder" }\n',
    more: str = "",
) -> str:
    """Return two cameras in a VLAN, a recorder in another, a router of both, with what a row changes."""
    return f"""
[design]
title = "Yard"
[role]
camera = {{ needs = ["recorder"] }}
recorder = {{}}
[vlan]
cams = {{ {cams} }}
office = {{ {office} }}
{gateway}
[switch]
core = {{ vlans = "802.1Q"{core} }}
[device]
cam-1 = {{ role = "camera"{", " if cam_1 else ""}{cam_1} }}
cam-2 = {{ role = "camera"{", " if cam_2 else ""}{cam_2} }}
rec = {{ role = "recorder"{", " if rec else ""}{rec} }}
router = {{ joins = "route" }}
{more}
[port.core]
1 = {{ untagged = "cams", tagged = [] }}
{port_2}
3 = {{ untagged = "office", tagged = [] }}
4 = {{ untagged = "none", tagged = ["cams", "office"] }}
[port.router]
lan = {{ untagged = "none", tagged = ["cams", "office"] }}
[run]
R-1 = {{ from = "core/1", to = "cam-1" }}
R-2 = {{ from = "core/2", to = "cam-2" }}
R-3 = {{ from = "core/3", to = "rec" }}
R-4 = {{ from = "core/4", to = "router/lan" }}
"""


def one(check: str, outcome: str, subject: str, points_at: str) -> tuple[Expected, ...]:
    return (Expected(check, outcome, subject, points_at),)


UNROUTED = CAMS.replace('gateway = "router"', 'gateway = "none"').replace(
    ', gateway_address = "10.0.20.1"', ", pools = []"
)
POOL = f'{CAMS}, pools = [{{ first = "10.0.20.100", last = "10.0.20.199", from = "router" }}]'
ASKS = 'address = "pool"'
FREE = "[rule.addressing]\nfree_share = 0.5\n"
UNLISTED = ""

CASES = [
    Case("each has an address of its subnet", design()),
    Case(
        "nothing of addresses is written",
        design('vid = 20, gateway = "router"', 'vid = 30, gateway = "router"', cam_1="", cam_2="", rec=""),
    ),
    # -- twice
    Case(
        "two cameras of one network with one address",
        design(cam_2='address = "10.0.20.11"'),
        one("duplicate", "error", "device.cam-2", '"10.0.20.11"'),
    ),
    Case(
        "the recorder with the address of a camera: one router has both, and it lies in the wrong subnet",
        design(rec='address = "10.0.20.11"'),
        (
            Expected("duplicate", "error", "device.rec", '"10.0.20.11"'),
            Expected("outside", "error", "device.rec", '"10.0.20.11"'),
        ),
    ),
    Case(
        "a camera with the address of its gateway",
        design(cam_1='address = "10.0.20.1"'),
        one("duplicate", "error", "device.cam-1", '"10.0.20.1"'),
    ),
    Case(
        "one address in two networks that nothing joins",
        design(
            'gateway = "none", subnet = "10.0.20.0/24", pools = []',
            'gateway = "none", subnet = "10.0.20.0/24", pools = []',
            rec='address = "10.0.20.11"',
            gateway="",
        ).replace('{ needs = ["recorder"] }', "{}"),
    ),
    Case(
        "one address in two networks, of one of which nobody knows what routes it",
        design(
            'subnet = "10.0.20.0/24", pools = []',
            'gateway = "none", subnet = "10.0.20.0/24", pools = []',
            rec='address = "10.0.20.11"',
            gateway="",
        ).replace('{ needs = ["recorder"] }', "{}"),
        (
            Expected("duplicate", "open", "device.cam-1", '"10.0.20.11"'),
            Expected("duplicate", "open", "device.rec", '"10.0.20.11"'),
            Expected("overlap", "open", "vlan.office", '"10.0.20.0/24"'),
        ),
    ),
    Case(
        "one address, and of one camera nobody knows the VLAN",
        design(cam_2='address = "10.0.20.11"', port_2=UNLISTED),
        (
            Expected("duplicate", "open", "device.cam-2", '"10.0.20.11"'),
            Expected("outside", "open", "device.cam-2", '"10.0.20.11"'),
        ),
    ),
    Case(
        "of one camera nobody knows the address",
        design(cam_2='address = "unknown"'),
        one("duplicate", "open", "device.cam-2", '"unknown"'),
    ),
    # -- in the subnet
    Case(
        "an address of another subnet",
        design(cam_1='address = "10.0.21.11"'),
        one("outside", "error", "device.cam-1", '"10.0.21.11"'),
    ),
    Case(
        "the address of the subnet itself, and that of all its hosts",
        design(cam_1='address = "10.0.20.0"', cam_2='address = "10.0.20.255"'),
        (
            Expected("outside", "error", "device.cam-1", '"10.0.20.0"'),
            Expected("outside", "error", "device.cam-2", '"10.0.20.255"'),
        ),
    ),
    Case(
        "a gateway outside its subnet",
        design(
            f"{CAMS}, pools = []".replace('gateway_address = "10.0.20.1"', 'gateway_address = "10.0.30.9"')
        ),
        one("outside", "error", "vlan.cams", '"10.0.30.9"'),
    ),
    Case(
        "a switch whose VLAN for its management is not written",
        design(core=', address = "10.0.20.2"'),
        one("outside", "open", "switch.core", '"10.0.20.2"'),
    ),
    Case(
        "a switch that answers in the office", design(core=', address = "10.0.30.2", managed_in = "office"')
    ),
    Case(
        "a UPS that answers in the office with an address of the cameras",
        design(more='[ups]\nu = { from = "mains", address = "10.0.20.9", managed_in = "office" }'),
        one("outside", "error", "ups.u", '"10.0.20.9"'),
    ),
    # -- pools
    Case("fixed addresses beside a pool", design(POOL)),
    Case(
        "a fixed address in the pool",
        design(POOL, cam_1='address = "10.0.20.150"'),
        one("in-pool", "error", "device.cam-1", '"10.0.20.150"'),
    ),
    Case(
        "a fixed address in the pool, reserved there",
        design(POOL, cam_1='address = "10.0.20.150", reserved = true'),
    ),
    Case(
        "a fixed address in the pool, and nobody knows whether it is reserved",
        design(POOL, cam_1='address = "10.0.20.150", reserved = "unknown"'),
        one("in-pool", "open", "device.cam-1", '"10.0.20.150"'),
    ),
    Case(
        "two pools with addresses in common",
        design(
            f'{CAMS}, pools = [{{ first = "10.0.20.100", last = "10.0.20.199", from = "router" }}, '
            '{ first = "10.0.20.190", last = "10.0.20.250", from = "rec" }]'
        ),
        one("pools", "error", "vlan.cams", '"10.0.20.190"'),
    ),
    Case(
        "two pools of one server with addresses in common",
        design(
            f'{CAMS}, pools = [{{ first = "10.0.20.100", last = "10.0.20.199", from = "router" }}, '
            '{ first = "10.0.20.190", last = "10.0.20.250", from = "router" }]'
        ),
        one("pools", "warning", "vlan.cams", '"10.0.20.190"'),
    ),
    Case(
        "the router's address towards the outside",
        design().replace(
            'router = { joins = "route" }', 'router = { joins = "route", address = "203.0.113.9" }'
        ),
    ),
    Case(
        "two pools side by side",
        design(
            f'{CAMS}, pools = [{{ first = "10.0.20.100", last = "10.0.20.199", from = "router" }}, '
            '{ first = "10.0.20.200", last = "10.0.20.250", from = "rec" }]'
        ),
    ),
    Case(
        "a pool that runs out of its subnet, and one that holds the gateway",
        design(
            f'{CAMS}, pools = [{{ first = "10.0.20.100", last = "10.0.21.9", from = "router" }}]',
            OFFICE.replace(
                "pools = []", 'pools = [{ first = "10.0.30.1", last = "10.0.30.9", from = "router" }]'
            ),
        ),
        (
            Expected("pools", "error", "vlan.cams", '"10.0.20.100"'),
            Expected("pools", "error", "vlan.office", '"10.0.30.1"'),
        ),
    ),
    # -- who gives them out
    Case("the router gives addresses to those that ask", design(POOL, cam_1=ASKS, cam_2=ASKS)),
    Case(
        "a camera asks, and there is no pool",
        design(cam_1=ASKS),
        one("server", "error", "vlan.cams", '"pool"'),
    ),
    Case(
        "a camera asks, and of pools nothing is written",
        design(CAMS, cam_1=ASKS),
        one("server", "open", "vlan.cams", '"pool"'),
    ),
    Case(
        "a server in the office, without a relay",
        design(POOL.replace('from = "router"', 'from = "rec"'), cam_1=ASKS),
        one("server", "error", "vlan.cams", '"rec"'),
    ),
    Case(
        "a server in the office, and a relay",
        design(POOL.replace('from = "router"', 'from = "rec"') + ', relay = "router"', cam_1=ASKS),
    ),
    Case(
        "nobody knows who gives them out",
        design(POOL.replace(', from = "router"', ""), cam_1=ASKS),
        one("server", "open", "vlan.cams", '{ first = "10.0.20.100", last = "10.0.20.199" }'),
    ),
    # -- room
    Case(
        "two cameras and a gateway in a prefix of 30 bits, which has two",
        design(
            'gateway = "router", subnet = "10.0.20.0/30", pools = []',
            cam_1='address = "10.0.20.1"',
            cam_2='address = "10.0.20.2"',
        ),
        one("room", "error", "vlan.cams", '"10.0.20.0/30"'),
    ),
    Case(
        "two that ask for one address",
        design(
            f'{CAMS}, pools = [{{ first = "10.0.20.100", last = "10.0.20.100", from = "router" }}]',
            cam_1=ASKS,
            cam_2=ASKS,
        ),
        one("room", "error", "vlan.cams", '"10.0.20.100"'),
    ),
    Case(
        "one that asks, and the one address of the pool is reserved",
        design(
            f'{CAMS}, pools = [{{ first = "10.0.20.100", last = "10.0.20.100", from = "router" }}]',
            cam_1=ASKS,
            cam_2='address = "10.0.20.100", reserved = true',
        ),
        one("room", "error", "vlan.cams", '"10.0.20.100"'),
    ),
    Case("half of the addresses are to stay free, and do", design(), (), FREE),
    Case(
        "half of six are to stay free, and three do",
        design(
            f"{CAMS}, pools = []".replace("/24", "/29"),
            cam_1='address = "10.0.20.2"',
            cam_2='address = "10.0.20.3"',
        ),
        (),
        FREE,
    ),
    Case(
        "with a switch there are four of six",
        design(
            f"{CAMS}, pools = []".replace("/24", "/29"),
            cam_1='address = "10.0.20.2"',
            cam_2='address = "10.0.20.3"',
            core=', address = "10.0.20.4", managed_in = "cams"',
        ),
        one("growth", "warning", "vlan.cams", '"10.0.20.0/29"'),
        FREE,
    ),
    # -- subnets
    Case(
        "the subnet of the office lies in that of the cameras",
        design(
            f"{CAMS}, pools = []".replace("10.0.20.0/24", "10.0.0.0/16"),
        ),
        one("overlap", "error", "vlan.office", '"10.0.30.0/24"'),
    ),
    # -- gateways
    Case(
        "the cameras need the recorder, and nothing routes them",
        design(
            CAMS.replace('gateway = "router"', 'gateway = "none"').replace(
                ', gateway_address = "10.0.20.1"', ", pools = []"
            )
        ),
        one("gateway", "error", "vlan.cams", '"none"'),
    ),
    Case(
        "nobody knows what routes the cameras",
        design(
            CAMS.replace('gateway = "router", ', "").replace(
                ', gateway_address = "10.0.20.1"', ", pools = []"
            )
        ),
        one("gateway", "open", "vlan.cams", "cams"),
    ),
    Case(
        "a recorder in each network: nothing has to leave it",
        design(
            CAMS.replace('gateway = "router"', 'gateway = "none"').replace(
                ', gateway_address = "10.0.20.1"', ", pools = []"
            ),
            cam_2='address = "10.0.20.12"',
        ).replace('cam-2 = { role = "camera"', 'cam-2 = { role = "recorder"'),
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.shows)
def test_row(case: Case) -> None:
    assert sorted(said(case, RULE)) == sorted(case.expected)


def finding(text: str, basis: str = "") -> Finding:
    (found,) = review_text(text, [RULE], basis=basis).findings
    return found


def test_a_double_address_reads_with_both_and_a_free_one() -> None:
    answer = finding(design(cam_2='address = "10.0.20.11"')).answer
    assert answer.message == "10.0.20.11 is the address of cam-1 and of cam-2, in one network"
    assert answer.remedy is not None
    assert answer.remedy.text == "an address of its own, such as 10.0.20.2"


def test_a_prefix_that_holds_them_is_named() -> None:
    """Five hosts: 30 bits have two, 29 bits six (2^3 − 2)."""
    text = design(
        'gateway = "router", subnet = "10.0.20.0/30", pools = []',
        cam_1='address = "10.0.20.1"',
        cam_2='address = "10.0.20.2"',
    )
    answer = finding(text).answer
    assert answer.message == "cams needs 3 addresses, 10.0.20.0/30 has 2 for hosts"
    assert answer.remedy is not None
    assert answer.remedy.text == "a prefix of 29 bits or fewer"


@pytest.mark.parametrize(
    ("key", "value", "expected"),
    [
        ('subnet = "10.0.20.0/24"', 'subnet = "10.0.20.5/24"', '"10.0.20.0/24"'),
        ('subnet = "10.0.20.0/24"', 'subnet = "10.0.20.0"', 'a prefix such as "10.20.30.0/24"'),
        ('subnet = "10.0.20.0/24"', 'subnet = "10.0.20.0/33"', "a prefix such as"),
        ('address = "10.0.20.11"', 'address = "10.0.20.256"', "an address such as"),
        ('pools = [{ first = "10.0.20.100"', 'pools = [{ first = "10.0.20.200"', "comes before"),
        ('pools = [{ first = "10.0.20.100"', 'pools = [{ first = "fd00::1"', "of one kind"),
    ],
)
def test_what_is_no_address_is_a_problem_of_reading_with_what_was_expected(
    key: str, value: str, expected: str
) -> None:
    text = design(POOL)
    assert key in text
    (problem,) = review_text(text.replace(key, value), [RULE]).problems
    assert expected in problem.message


# -- remedies ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.shows)
def test_each_remedy_clears_its_finding(case: Case) -> None:
    carried_out(case.design, RULE, basis=case.basis)


def test_the_remedies_that_are_data() -> None:
    done = set()
    for case in CASES:
        done.update(carried_out(case.design, RULE, basis=case.basis))
    assert done == {"duplicate", "outside", "in-pool", "pools", "server"}


def test_a_measured_address_is_not_changed() -> None:
    text = design(cam_2='address = { is = "10.0.20.11", origin = "measured" }')
    assert carried_out(text, RULE) == []


# -- any addresses -------------------------------------------------------------------------------------------------

octets = st.integers(0, 255)


@settings(max_examples=80, deadline=None)
@given(
    st.integers(22, 32),
    octets,
    octets,
    octets,
    octets,
    st.booleans(),
)
def test_duplicates_and_strays_are_those_that_the_library_of_addresses_finds(
    bits: int, first: int, second: int, low: int, high: int, reserved: bool
) -> None:
    """Python's ``ipaddress`` tells by itself which of two cameras lie in the subnet, in the pool, or are one."""
    subnet = ipaddress.ip_network(f"10.0.20.0/{bits}", strict=False)
    low, high = sorted((low, high))
    ips = [ipaddress.ip_address(f"10.0.20.{octet}") for octet in (first, second)]
    keep = ", reserved = true" if reserved else ""
    text = design(
        f'gateway = "none", subnet = "{subnet}", '
        f'pools = [{{ first = "10.0.20.{low}", last = "10.0.20.{high}", from = "rec" }}]',
        cam_1=f'address = "{ips[0]}"{keep}',
        cam_2=f'address = "{ips[1]}"',
    )
    found = {(item.check.name, item.subject) for item in review_text(text, [RULE]).findings}
    hosts = set(subnet.hosts())
    for index, ip in enumerate(ips):
        name = f"device.cam-{index + 1}"
        assert (("outside", name) in found) == (ip not in hosts)
        in_pool = low <= int(ip) - int(ipaddress.ip_address("10.0.20.0")) <= high
        assert (("in-pool", name) in found) == (in_pool and not (reserved and index == 0))
    assert (("duplicate", "device.cam-2") in found) == (ips[0] == ips[1])


def test_every_place_that_is_pointed_at_is_the_value_itself() -> None:
    for case in CASES:
        for item in review_text(case.design, [RULE], basis=case.basis).findings:
            assert pointed_at(item)
