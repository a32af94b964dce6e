"""vlan-isolation: separations, trunks, ids and loops, each with a design that holds and one that does not.

Published sources: IEEE Std 802.1Q, reserved VID values (0 and 4095; 1 is the default of a port); DISA Layer 2 Switch
Security Requirements Guide V3R4 (V-206667 default VLAN on a host port, V-206671 default VLAN untagged on a trunk,
V-206672 access port in the untagged VLAN of a trunk); NIST SP 800-171r2 3.13.5, whose example keeps office, guest,
production equipment and public servers on networks of their own. The designs are invented.
"""

from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from remedies import carried_out
from riserlint import DesignReview, Finding, path_text
from riserlint.testing import Case, Expected, mended, pointed_at, review_text, said
from riserlint_rules.vlan_isolation import RULE

HEAD = '[design]\ntitle = "a museum"\norigin = "stated"\n'
ROLES = """\
[role]
camera = { needs = ["recorder"], apart_from = ["guest"] }
recorder = {}
guest = {}
"""
VLANS = """\
[vlan]
cameras = { vid = 20, gateway = "core" }
visitors = { vid = 30, gateway = "core" }
"""
GATEWAY = '[gateway]\ncore = { default = "deny" }\n'
GEAR = """\
[switch]
core = { vlans = "802.1Q" }
hall = { vlans = "802.1Q" }
[device]
cam-1 = { role = "camera" }
nvr = { role = "recorder" }
ap-1 = {}
"""
RUNS = """\
[run]
R-1 = { from = "core/1", to = "hall/up" }
R-2 = { from = "hall/1", to = "cam-1" }
R-3 = { from = "core/2", to = "nvr" }
R-4 = { from = "hall/2", to = "ap-1" }
"""
WIRELESS = '[ssid]\nfree = { vlan = "visitors", role = "guest", at = ["ap-1"] }\n'
CORE = """\
[port.core]
1 = { untagged = "none", tagged = ["cameras", "visitors"] }
2 = { untagged = "cameras", tagged = [] }
"""
HALL = """\
[port.hall]
up = { untagged = "none", tagged = ["cameras", "visitors"] }
1 = { untagged = "cameras", tagged = [] }
2 = { untagged = "none", tagged = ["visitors"] }
"""


def museum(
    *,
    roles: str = ROLES,
    vlans: str = VLANS,
    gateway: str = GATEWAY,
    gear: str = GEAR,
    runs: str = RUNS,
    wireless: str = WIRELESS,
    core: str = CORE,
    hall: str = HALL,
    more: str = "",
) -> str:
    """A main switch with a recorder, a floor switch with a camera and an access point, and a trunk between them."""
    return HEAD + roles + vlans + gateway + gear + runs + wireless + core + hall + more


def trunk(core: str, hall: str, **more: str) -> str:
    """The museum with other VLANs at the two ends of its trunk."""
    both = '"none", tagged = ["cameras", "visitors"]'
    return museum(core=CORE.replace(both, core), hall=HALL.replace(both, hall), **more)


MISMATCH = trunk('"cameras", tagged = ["visitors"]', '"visitors", tagged = ["cameras"]')
#: Three switches in a ring; the camera VLAN is missing on the link between the second and the third.
RING = (
    HEAD
    + """\
[role]
camera = {}
recorder = {}
[vlan]
cameras = { vid = 20, gateway = "none" }
[switch]
one = { vlans = "802.1Q" }
two = { vlans = "802.1Q" }
three = { vlans = "802.1Q" }
[device]
cam-2 = { role = "camera" }
cam-3 = { role = "camera" }
nvr = { role = "recorder" }
[run]
A = { from = "one/1", to = "two/1" }
B = { from = "two/2", to = "three/2" }
C = { from = "one/2", to = "three/1" }
D = { from = "two/3", to = "cam-2" }
E = { from = "three/3", to = "cam-3" }
F = { from = "one/3", to = "nvr" }
[port.one]
1 = { untagged = "none", tagged = ["cameras"] }
2 = { untagged = "none", tagged = ["cameras"] }
3 = { untagged = "cameras", tagged = [] }
[port.two]
1 = { untagged = "none", tagged = ["cameras"] }
2 = { untagged = "none", tagged = [] }
3 = { untagged = "cameras", tagged = [] }
[port.three]
1 = { untagged = "none", tagged = ["cameras"] }
2 = { untagged = "none", tagged = [] }
3 = { untagged = "cameras", tagged = [] }
"""
)
WHOLE_RING = RING.replace("tagged = [] }\n3", 'tagged = ["cameras"] }\n3')
#: The same ring with the VLAN missing on a second link: the third switch is cut off, and either link would do.
PARTED_RING = RING.replace("camera = {}", 'camera = { needs = ["recorder"] }').replace(
    '2 = { untagged = "none", tagged = ["cameras"] }', '2 = { untagged = "none", tagged = [] }'
)
#: The same without the first link either: two breaks, and one link more than is needed.
NO_RING = PARTED_RING.replace(
    '1 = { untagged = "none", tagged = ["cameras"] }', '1 = { untagged = "none", tagged = [] }'
)
#: Without the link between the second and the third it is a chain.
CHAIN = NO_RING.replace('B = { from = "two/2", to = "three/2" }\n', "")
#: A chain whose middle switch has nobody in the VLAN, and which lacks it on both sides.
IDLE_CHAIN = CHAIN.replace(
    'F = { from = "one/3", to = "nvr" }', 'F = { from = "two/4", to = "nvr" }'
).replace("[port.three]", '4 = { untagged = "cameras", tagged = [] }\n[port.three]')
#: Everything on switches that know no VLANs.
FLAT = (
    HEAD
    + """\
[role]
camera = { apart_from = ["office"] }
office = {}
[switch]
core = { vlans = "none" }
hall = { vlans = "none" }
[device]
cam-1 = { role = "camera" }
desk = { role = "office" }
[run]
R-1 = { from = "core/1", to = "hall/1" }
R-2 = { from = "hall/2", to = "cam-1" }
R-3 = { from = "core/2", to = "desk" }
"""
)
#: A recorder between the camera network and the office: decision of its own whether it joins them.
RECORDER = (
    HEAD
    + """\
[role]
camera = { needs = ["recorder"], apart_from = ["office"] }
recorder = {}
office = {}
[switch]
inner = { vlans = "none" }
outer = { vlans = "none" }
[device]
cam-1 = { role = "camera" }
desk = { role = "office" }
nvr = { role = "recorder", joins = "none" }
[run]
R-1 = { from = "inner/1", to = "cam-1" }
R-2 = { from = "outer/1", to = "desk" }
R-3 = { from = "inner/2", to = "nvr/a" }
R-4 = { from = "outer/2", to = "nvr/b" }
"""
)
#: The access point's port, the camera's port, and its clients' VLAN replaced.
AP_PORT = '2 = { untagged = "none", tagged = ["visitors"] }'
CAMERA_PORT = '1 = { untagged = "cameras", tagged = [] }'
SHARED = WIRELESS.replace('"visitors"', '"cameras"')
SHARED_HALL = HALL.replace(AP_PORT, '2 = { untagged = "none", tagged = ["cameras"] }')
NOT_APART = ROLES.replace(', apart_from = ["guest"]', "")
SPARE = VLANS + 'spare = { vid = 99, gateway = "none" }\n'
UNROUTED = VLANS.replace('vid = 20, gateway = "core"', 'vid = 20, gateway = "none"')
BOTH = '"none", tagged = ["cameras", "visitors"]'
ATTIC = {
    "gear": GEAR.replace("[device]", 'attic = { vlans = "802.1Q" }\n[device]'),
    "runs": RUNS + 'R-5 = { from = "hall/3", to = "attic/up" }\n',
    "hall": HALL + '3 = { untagged = "none", tagged = ["cameras"] }\n',
}
ATTIC_PORTS = '[port.attic]\nup = { untagged = "none", tagged = ["cameras"] }\n'
#: A switch that knows no VLANs between the floor switch and what stands in a port of it.
MINI = GEAR.replace("[device]\n", 'mini = { vlans = "none" }\n[device]\n')
#: Two switches with one VLAN, untagged everywhere.
ONE_VLAN = (
    HEAD
    + """\
[vlan]
all = { vid = 20, gateway = "none" }
[switch]
a = {}
b = {}
[device]
x = {}
[run]
T = { from = "a/1", to = "b/1" }
X = { from = "a/2", to = "x" }
[port.a]
1-2 = { untagged = "all", tagged = [] }
[port.b]
1 = { untagged = "all", tagged = [] }
"""
)
FIRST = HEAD + '[switch]\ncore = {}\n[device]\ncam = {}\n[run]\nR = { from = "core/1", to = "cam" }\n'
FLAT_APART = Expected("apart", "error", "role.camera", '"office"')
FLAT_OPEN = Expected("apart", "open", "role.camera", '"office"')
APART = Expected("apart", "error", "role.camera", '"guest"')
APART_OPEN = Expected("apart", "open", "role.camera", '"guest"')
OFFICE = ROLES + 'office = { apart_from = ["camera"] }\n'

CASES = [
    Case("VLANs on every hop, a gateway that denies: nothing to say", museum()),
    Case("a first design without VLANs and separations", FIRST),
    # -- apart
    Case("one flat network joins camera and office", FLAT, (FLAT_APART,)),
    Case(
        "apart_from holds both ways: written at the guest alone",
        museum(
            roles=NOT_APART.replace("guest = {}", 'guest = { apart_from = ["camera"] }'),
            gateway=GATEWAY.replace("deny", "permit"),
        ),
        (Expected("apart", "error", "role.guest", '"camera"'),),
    ),
    Case("separate flat networks are apart", FLAT.replace('R-1 = { from = "core/1", to = "hall/1" }\n', "")),
    Case("two roles in one VLAN can talk", museum(wireless=SHARED, hall=SHARED_HALL), (APART,)),
    Case(
        "roles in one VLAN that nobody keeps apart are no fault",
        museum(roles=NOT_APART, wireless=SHARED, hall=SHARED_HALL),
    ),
    Case("the gateway lets what no flow states", museum(gateway=GATEWAY.replace("deny", "permit")), (APART,)),
    Case("the gateway's policy is not written", museum(gateway=""), (APART_OPEN,)),
    Case(
        "the policy of the gateway is assumed by the basis",
        museum(gateway=""),
        (),
        '[assume]\ngateway = { default = "deny" }\n',
    ),
    Case(
        "nobody says what routes either VLAN",
        museum(vlans=VLANS.replace(', gateway = "core"', ""), gateway=""),
        (APART_OPEN, Expected("leak", "warning", "vlan.visitors", "tagged")),
    ),
    Case(
        "one of the two VLANs is not routed at all",
        museum(vlans=UNROUTED, gateway=GATEWAY.replace("deny", "permit")),
    ),
    Case(
        "one VLAN is routed by what nobody names, the other by a gateway that denies",
        museum(vlans=VLANS.replace('vid = 20, gateway = "core"', "vid = 20")),
    ),
    Case(
        "an access port that is not listed may be in any VLAN",
        museum(hall=HALL.replace(CAMERA_PORT, "")),
        (APART_OPEN,),
    ),
    Case(
        "an access port with only its untagged VLAN written is known enough",
        museum(hall=HALL.replace('"cameras", tagged = [] }', '"cameras" }')),
    ),
    Case(
        "a switch of which nothing is known may join them",
        FLAT.replace('hall = { vlans = "none" }', "hall = {}"),
        (FLAT_OPEN,),
    ),
    Case("a recorder with two networks that does not join them", RECORDER),
    Case(
        "a recorder with two networks that bridges them",
        RECORDER.replace('joins = "none"', 'joins = "bridge"'),
        (FLAT_APART,),
    ),
    Case(
        "a recorder with two networks that does not say",
        RECORDER.replace(', joins = "none"', ""),
        (FLAT_OPEN,),
    ),
    Case(
        "a recorder that routes, under a policy nobody wrote",
        RECORDER.replace('joins = "none"', 'joins = "route"'),
        (FLAT_OPEN,),
    ),
    Case(
        "a recorder that routes what it is told alone",
        RECORDER.replace('joins = "none"', 'joins = "route"') + '[gateway]\nnvr = { default = "deny" }\n',
    ),
    Case(
        "the far end of the camera's run is not found",
        museum(runs=RUNS.replace('from = "hall/1", to', 'from = "unknown", to')),
        (APART_OPEN,),
    ),
    Case(
        "the guest network is offered nobody knows where",
        museum(wireless='[ssid]\nfree = { vlan = "visitors", role = "guest" }\n'),
        (APART_OPEN,),
    ),
    Case(
        "an outlet names a role without a device",
        museum(roles=OFFICE, core=CORE + '3 = { untagged = "cameras", tagged = [], role = "office" }\n'),
        (Expected("apart", "error", "role.office", '"camera"'),),
    ),
    Case(
        "an outlet in a VLAN of its own is apart",
        museum(
            roles=OFFICE,
            vlans=VLANS + 'desks = { vid = 40, gateway = "core" }\n',
            core=CORE + '3 = { untagged = "desks", tagged = [], role = "office" }\n',
        ),
    ),
    Case(
        "a switch without VLANs floods an access VLAN to the guest on it",
        museum(
            gear=MINI + 'laptop = { role = "guest" }\n',
            runs=RUNS.replace('to = "cam-1"', 'to = "mini/1"')
            + 'R-5 = { from = "mini/2", to = "cam-1" }\nR-6 = { from = "mini/3", to = "laptop" }\n',
        ),
        (APART,),
    ),
    Case(
        "tagged frames that a switch without VLANs floods are not heard by devices",
        museum(
            gear=MINI,
            runs=RUNS.replace('to = "ap-1"', 'to = "mini/1"') + 'R-5 = { from = "mini/2", to = "ap-1" }\n',
        ),
    ),
    Case(
        "a role apart from itself is for a human to look at",
        museum(roles=ROLES.replace("guest = {}", 'guest = { apart_from = ["guest"] }')),
        (Expected("apart", "review", "role.guest", '"guest"'),),
    ),
    # -- policy
    Case(
        "a flow between roles that are to be kept apart",
        museum(more='[flow]\nlook = { from = "guest", to = "camera" }\n'),
        (Expected("policy", "error", "flow.look", '"camera"'),),
    ),
    Case("a flow between other roles", museum(more='[flow]\nvideo = { from = "recorder", to = "camera" }\n')),
    Case(
        "a role needs what it is to be kept apart from",
        museum(roles=ROLES.replace('["recorder"]', '["recorder", "guest"]')),
        (Expected("policy", "error", "role.camera", '"guest"'),),
    ),
    Case(
        "a role needs gear whose role it is to be kept apart from",
        museum(roles=ROLES.replace("guest = {}", 'guest = { needs = ["cam-1"] }')),
        (Expected("policy", "error", "role.guest", '"cam-1"'),),
    ),
    Case(
        "one device needs what its role is to be kept apart from",
        museum(
            gear=GEAR.replace('cam-1 = { role = "camera" }', 'cam-1 = { role = "camera", needs = ["guest"] }')
        ),
        (Expected("policy", "error", "device.cam-1", '"guest"'),),
    ),
    # -- no-member
    Case(
        "a role to be kept apart that nobody has",
        museum(wireless=WIRELESS.replace('role = "guest", ', "")),
        (Expected("no-member", "warning", "role.guest", "guest"),),
    ),
    Case(
        "a role to be kept apart that nobody defines",
        museum(roles=ROLES.replace('["guest"]', '["guest", "staff"]')),
        (Expected("no-member", "error", "role.camera", '"staff"'),),
    ),
    # -- carried
    Case(
        "a VLAN made on the floor switch and missing on the main switch",
        trunk('"none", tagged = ["visitors"]', BOTH),
        (Expected("carried", "error", "vlan.cameras", "tagged"),),
    ),
    Case(
        "a VLAN missing at both ends of the hop",
        trunk('"none", tagged = ["visitors"]', '"none", tagged = ["visitors"]'),
        (Expected("carried", "error", "vlan.cameras", "tagged"),),
    ),
    Case(
        "a VLAN in two pieces that need nothing of each other",
        trunk(
            '"none", tagged = ["visitors"]',
            '"none", tagged = ["visitors"]',
            vlans=UNROUTED,
            roles=ROLES.replace('needs = ["recorder"], ', ""),
        ),
        (Expected("carried", "warning", "vlan.cameras", "tagged"),),
    ),
    Case(
        "the tagged VLANs at one end are not known",
        trunk('"none"', BOTH),
        (
            Expected("carried", "open", "vlan.cameras", "1"),
            Expected("carried", "open", "vlan.visitors", "1"),
            Expected("trunk-ends", "open", "run.R-1", "1"),
        ),
    ),
    Case(
        "the port of an access point does not carry its clients' VLAN",
        museum(hall=HALL.replace(AP_PORT[:-2], '2 = { untagged = "none", tagged = []')),
        (Expected("carried", "error", "vlan.visitors", "tagged"),),
    ),
    Case(
        "an access point with one VLAN may have it untagged",
        museum(hall=HALL.replace(AP_PORT[:-2], '2 = { untagged = "visitors", tagged = []')),
    ),
    Case("a ring that carries its VLAN on every link", WHOLE_RING),
    Case(
        "a ring with the VLAN missing on the link that may become active",
        RING,
        (Expected("carried", "warning", "vlan.cameras", "tagged"),),
    ),
    Case(
        "a ring with the VLAN missing on two links is one break, and one link that must not become active",
        PARTED_RING,
        (
            Expected("carried", "error", "vlan.cameras", "tagged"),
            Expected("carried", "warning", "vlan.cameras", "tagged"),
        ),
    ),
    Case(
        "a ring of three with the VLAN missing on each link is two breaks",
        NO_RING,
        (
            Expected("carried", "error", "vlan.cameras", "tagged"),
            Expected("carried", "error", "vlan.cameras", "tagged"),
            Expected("carried", "warning", "vlan.cameras", "tagged"),
        ),
    ),
    Case(
        "a chain with the VLAN missing on both links is two breaks",
        CHAIN,
        (
            Expected("carried", "error", "vlan.cameras", "tagged"),
            Expected("carried", "error", "vlan.cameras", "tagged"),
        ),
    ),
    Case(
        "a chain with nobody in the middle needs both links all the same",
        IDLE_CHAIN,
        (
            Expected("carried", "error", "vlan.cameras", "tagged"),
            Expected("carried", "error", "vlan.cameras", "tagged"),
        ),
    ),
    Case(
        "a ring with the VLAN missing on one link and another that nobody has listed may be whole",
        PARTED_RING.replace(
            '2 = { untagged = "none", tagged = [] }\n3 = { untagged = "cameras"',
            '3 = { untagged = "cameras"',
            1,
        ),
        (
            Expected("carried", "warning", "vlan.cameras", "tagged"),
            Expected("carried", "open", "vlan.cameras", "one"),
            Expected("trunk-ends", "open", "run.C", "1"),
        ),
    ),
    # -- trunk-ends
    Case(
        "untagged VLANs differ and join two roles",
        MISMATCH,
        (APART, Expected("trunk-ends", "error", "run.R-1", '"visitors"')),
    ),
    Case(
        "untagged VLANs alike, the rest tagged",
        trunk(
            '"spare", tagged = ["cameras", "visitors"]',
            '"spare", tagged = ["cameras", "visitors"]',
            vlans=SPARE,
        ),
    ),
    Case(
        "the untagged VLAN of one end is not known",
        trunk('"unknown", tagged = ["cameras", "visitors"]', BOTH),
        (Expected("trunk-ends", "open", "run.R-1", "1"),),
    ),
    Case(
        "one end of a trunk is not listed",
        museum(core=CORE.replace('1 = { untagged = "none", tagged = ["cameras", "visitors"] }\n', "")),
        (
            Expected("carried", "open", "vlan.cameras", "core"),
            Expected("carried", "open", "vlan.visitors", "core"),
            Expected("trunk-ends", "open", "run.R-1", "up"),
        ),
    ),
    Case(
        "a VLAN on one end that nobody needs there",
        trunk('"none", tagged = ["cameras", "visitors", "spare"]', BOTH, vlans=SPARE),
        (Expected("trunk-ends", "warning", "run.R-1", "tagged"),),
    ),
    Case(
        "a VLAN tagged at one end and untagged at the other",
        trunk(BOTH, '"cameras", tagged = ["visitors"]'),
        (
            Expected("native-shared", "warning", "run.R-1", '"cameras"'),
            Expected("trunk-ends", "error", "run.R-1", '"cameras"'),
        ),
    ),
    Case(
        "the far end is a device with VLANs of its own that differ",
        museum(
            runs=RUNS.replace('to = "ap-1"', 'to = "ap-1/eth"'),
            more='[port.ap-1]\neth = { untagged = "cameras", tagged = ["visitors"] }\n',
        ),
        (Expected("trunk-ends", "warning", "run.R-4", '"cameras"'),),
    ),
    # -- leak
    Case(
        "a VLAN of a separated role goes to a switch where nobody is in it",
        museum(more=ATTIC_PORTS, **ATTIC),
        (Expected("leak", "warning", "vlan.cameras", "tagged"),),
    ),
    Case("a free port in the VLAN is a use of it", museum(more=ATTIC_PORTS + CAMERA_PORT + "\n", **ATTIC)),
    # -- vlan-id
    # IEEE Std 802.1Q: 0 is a priority tag and 4095 reserved; usable are 1 to 4094 (published).
    Case(
        "id 0 is a priority tag",
        museum(vlans=VLANS.replace("20", "0")),
        (Expected("vlan-id", "error", "vlan.cameras", "0"),),
    ),
    Case(
        "id 4095 is reserved",
        museum(vlans=VLANS.replace("20", "4095")),
        (Expected("vlan-id", "error", "vlan.cameras", "4095"),),
    ),
    Case("id 4094 is the last that can be used", museum(vlans=VLANS.replace("20", "4094"))),
    Case(
        "the id is not written",
        museum(vlans=VLANS.replace("vid = 20, ", "")),
        (
            Expected("default-vlan", "open", "vlan.cameras", "cameras"),
            Expected("vlan-id", "open", "vlan.cameras", "cameras"),
        ),
    ),
    Case(
        "two VLANs of one id are one VLAN, and join their roles",
        museum(vlans=VLANS.replace("30", "20")),
        (APART, Expected("vlan-id", "error", "vlan.visitors", "20")),
    ),
    # -- default-vlan
    # DISA Layer 2 Switch guide, V-206667 and V-206671: no host port in VLAN 1, none untagged on a trunk (published).
    Case(
        "cameras in the default VLAN",
        museum(vlans=VLANS.replace("20", "1")),
        (Expected("default-vlan", "warning", "vlan.cameras", "1"),),
    ),
    Case(
        "the default VLAN untagged on a trunk",
        trunk(
            '"plain", tagged = ["cameras", "visitors"]',
            '"plain", tagged = ["cameras", "visitors"]',
            vlans=VLANS + 'plain = { vid = 1, gateway = "none" }\n',
        ),
        (Expected("default-vlan", "warning", "vlan.plain", "1"),),
    ),
    Case(
        "the default VLAN described and not used",
        museum(vlans=VLANS + 'plain = { vid = 1, gateway = "none" }\n'),
    ),
    # -- native-shared
    # DISA Layer 2 Switch guide, V-206672: no access port in the untagged VLAN of a trunk (published).
    Case(
        "a trunk sends the cameras' VLAN untagged and others tagged",
        trunk('"cameras", tagged = ["visitors"]', '"cameras", tagged = ["visitors"]'),
        (
            Expected("native-shared", "warning", "run.R-1", '"cameras"'),
            Expected("native-shared", "warning", "run.R-1", '"cameras"'),
        ),
    ),
    Case("a link that carries one VLAN alone has nothing to hop to", ONE_VLAN),
    Case(
        "whether such a link carries others is not known",
        ONE_VLAN.replace('\n1 = { untagged = "all", tagged = []', '\n1 = { untagged = "all"'),
        (Expected("native-shared", "open", "run.T", '"all"'), Expected("trunk-ends", "open", "run.T", "1-2")),
    ),
]


@pytest.mark.parametrize("case", CASES, ids=[case.shows for case in CASES])
def test_rule(case: Case) -> None:
    assert sorted(said(case, RULE)) == sorted(case.expected)


def only(text: str, check: str) -> Finding:
    """Return the one finding of a check."""
    found = [finding for finding in review_text(text, [RULE]).findings if finding.check.name == check]
    assert len(found) == 1
    return found[0]


def related(finding: Finding) -> list[tuple[str, str]]:
    return [(path_text(place.at), place.message) for place in finding.answer.related]


def test_a_native_mismatch_shows_the_way_port_by_port() -> None:
    answer = only(MISMATCH, "apart").answer
    assert answer.message == (
        "camera and guest are to be kept apart and can talk: cam-1 → hall/1 (cameras) → hall/up to core/1 (cameras) → "
        "core/1 to hall/up (cameras becomes visitors) → hall/2 to ap-1 (visitors) → clients of free at ap-1"
    )
    assert answer.remedy is not None
    assert answer.remedy.text == "give both ends of R-1 the same untagged VLAN, or none"
    assert related(only(MISMATCH, "apart")) == [
        ("device.cam-1", "cam-1"),
        ("ssid.free", "clients of free at ap-1"),
        ("port.hall.1", "hall/1: untagged cameras, tagged none"),
        ("port.hall.up", "hall/up: untagged visitors, tagged cameras"),
        ("port.core.1", "core/1: untagged cameras, tagged visitors"),
        ("port.hall.2", "hall/2: untagged none, tagged visitors"),
    ]


def test_the_way_names_the_port_into_which_it_comes_and_the_one_that_it_leaves_by() -> None:
    assert only(FLAT, "apart").answer.message == (
        "camera and office are to be kept apart and can talk: cam-1 → hall/2 (untagged) → "
        "hall/1 to core/1 (untagged) → core/2 to desk"
    )


def test_a_native_mismatch_names_both_ends() -> None:
    answer = only(MISMATCH, "trunk-ends").answer
    assert (
        answer.message == "R-1 joins two VLANs: core/1 sends cameras untagged, hall/up takes it into visitors"
    )
    assert answer.working == "untagged cameras at core/1, but untagged visitors at hall/up"


def test_a_gateway_that_permits_is_a_step_of_the_way() -> None:
    answer = only(museum(gateway=GATEWAY.replace("deny", "permit")), "apart").answer
    assert " → routed by core → core (visitors) → " in answer.message
    assert ("gateway", "core", "default") in answer.rests_on


def test_what_is_open_names_what_it_turns_on() -> None:
    assert only(museum(gateway=""), "apart").answer.missing == (("gateway", "core", "default"),)
    unlisted = museum(hall=HALL.replace(CAMERA_PORT, ""))
    assert only(unlisted, "apart").answer.missing == (("port", "hall", "1"),)
    unrouted = museum(vlans=VLANS.replace(', gateway = "core"', ""), gateway="")
    assert only(unrouted, "apart").answer.missing == (
        ("vlan", "cameras", "gateway"),
        ("vlan", "visitors", "gateway"),
    )
    lost = museum(runs=RUNS.replace('from = "hall/1", to', 'from = "unknown", to'))
    assert only(lost, "apart").answer.missing == (("run", "R-2", "from"),)
    recorder = RECORDER.replace(', joins = "none"', "")
    assert only(recorder, "apart").answer.missing == (("device", "nvr", "joins"),)
    nowhere = museum(wireless='[ssid]\nfree = { vlan = "visitors", role = "guest" }\n')
    assert only(nowhere, "apart").answer.missing == (("ssid", "free", "at"),)


def test_a_camera_without_a_run_may_be_at_the_far_end_that_nobody_found() -> None:
    text = museum(
        runs=RUNS.replace('to = "cam-1"', 'to = "unknown"') + 'R-5 = { from = "hall/3", to = "unknown" }\n',
        hall=HALL + '3 = { untagged = "visitors", tagged = [] }\n',
    )
    answer = only(text, "apart").answer
    assert answer.kind == "open"
    assert answer.missing == (("run", "R-5", "to"),)


def test_a_missing_hop_names_the_end_and_who_is_cut_off() -> None:
    text = trunk('"none", tagged = ["visitors"]', BOTH)
    answer = only(text, "carried").answer
    assert answer.message == (
        "VLAN cameras breaks at R-1 (core/1 to hall/up): core/1 does not carry it, between its gateway core and cam-1"
    )
    assert answer.working == "cameras is not among the VLANs of core/1: untagged none, tagged visitors"
    assert answer.at == ("port", "core", "1", "tagged")


def test_a_missing_link_of_a_ring_must_not_become_the_active_one() -> None:
    assert only(RING, "carried").answer.message == (
        "VLAN cameras is missing at two/2 and three/2, in a loop: if B becomes the active link, nvr and cam-2 part"
    )


def levels(text: str) -> dict[str, str | None]:
    """Return the levels of the breaks of the camera VLAN by the link."""
    return {
        f.answer.distinct: f.level for f in review_text(text, [RULE]).findings if f.check.name == "carried"
    }


def test_of_two_links_of_a_ring_either_one_joins_and_the_error_says_so() -> None:
    found = {
        f.answer.distinct: f for f in review_text(PARTED_RING, [RULE]).findings if f.check.name == "carried"
    }
    assert levels(PARTED_RING) == {"B": "error", "C": "warning"}
    assert found["B"].answer.message == (
        "VLAN cameras breaks at B (two/2 to three/2): two/2 and three/2 do not carry it, between nvr and cam-3; "
        "mending C (one/2 to three/1) would do as well"
    )
    assert found["C"].answer.message == (
        "VLAN cameras is missing at one/2 too, in one loop with B: either of them joins its users, but in a loop "
        "every link has to carry it"
    )
    for link, other in (("B", "C"), ("C", "B")):
        remedy = found[link].answer.remedy
        assert remedy is not None
        assert levels(mended(PARTED_RING, remedy)) == {other: "warning"}


def test_breaks_that_are_each_needed_stay_until_both_are_mended() -> None:
    assert sorted(levels(NO_RING).values(), key=str) == ["error", "error", "warning"]
    assert levels(IDLE_CHAIN) == {"A": "error", "C": "error"}
    text = IDLE_CHAIN
    for left in (["error"], []):
        finding = next(f for f in review_text(text, [RULE]).findings if f.check.name == "carried")
        assert finding.answer.remedy is not None
        text = mended(text, finding.answer.remedy)
        assert list(levels(text).values()) == left


def test_ids_carry_number_and_limit() -> None:
    low, high = (
        only(museum(vlans=VLANS.replace("20", "0")), "vlan-id"),
        only(museum(vlans=VLANS.replace("20", "4095")), "vlan-id"),
    )
    assert (low.answer.value, low.answer.limit, low.answer.margin, low.answer.working) == (0, 1, -1, "0 < 1")
    assert (high.answer.value, high.answer.limit, high.answer.margin, high.answer.working) == (
        4095,
        4094,
        -1,
        "4095 > 4094",
    )
    assert low.answer.remedy is not None
    assert low.answer.remedy.text == "take an id that is free, such as 2"


def test_a_network_for_each_group_as_in_the_example_of_the_guide() -> None:
    # NIST SP 800-171r2 3.13.5, example (published): office, guest, production equipment and public servers, each with
    # a network of its own and filtering between. Six pairs of roles; the gateway denies what no flow states.
    roles = ("office", "guest", "production", "server")
    text = HEAD + "[role]\n"
    for role in roles:
        others = ", ".join(f'"{other}"' for other in roles if other != role)
        text += f"{role} = {{ apart_from = [{others}] }}\n"
    text += "[vlan]\n" + "".join(
        f'{role} = {{ vid = {10 + n}, gateway = "core" }}\n' for n, role in enumerate(roles)
    )
    text += GATEWAY + "[switch]\ncore = {}\n[device]\n"
    text += "".join(f'{role}-pc = {{ role = "{role}" }}\n' for role in roles) + "[run]\n"
    text += "".join(f'R-{n} = {{ from = "core/{n}", to = "{role}-pc" }}\n' for n, role in enumerate(roles))
    text += "[port.core]\n" + "".join(
        f'{n} = {{ untagged = "{role}", tagged = [] }}\n' for n, role in enumerate(roles)
    )
    assert said(Case("each on its own network", text), RULE) == ()
    flat = text.replace('untagged = "production"', 'untagged = "office"')
    assert said(Case("production put on the office network", flat), RULE) == (
        Expected("apart", "error", "role.office", '"production"'),
    )
    permits = review_text(text.replace("deny", "permit"), [RULE])
    assert [finding.check.name for finding in permits.findings] == ["apart"] * 6


def test_what_holds_is_said_for_every_check() -> None:
    review = review_text(museum(more='[flow]\nvideo = { from = "recorder", to = "camera" }\n'), [RULE])
    held = {passes.check: passes.subjects for passes in passed(review)}
    assert held == {
        "apart": ("role.camera",),
        "carried": ("vlan.cameras", "vlan.visitors"),
        "default-vlan": ("vlan.cameras", "vlan.visitors"),
        "leak": ("vlan.cameras", "vlan.visitors"),
        "native-shared": ("run.R-1",),
        "no-member": ("role.camera", "role.guest"),
        "policy": ("flow.video", "role.camera"),
        "trunk-ends": ("run.R-1",),
        "vlan-id": ("vlan.cameras", "vlan.visitors"),
    }


class Held(NamedTuple):
    check: str
    subjects: tuple[str, ...]


def passed(review: DesignReview) -> list[Held]:
    return [Held(passes.name.partition("/")[2], passes.subjects) for passes in review.passes]


def test_without_vlans_and_separations_nothing_is_judged() -> None:
    review = review_text(FIRST, [RULE])
    assert review.passes == ()
    assert {entry.name.partition("/")[2] for entry in review.not_applicable} == {
        check.name for check in RULE.checks
    }


# -- remedies -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        MISMATCH,
        RING,
        PARTED_RING,
        NO_RING,
        CHAIN,
        IDLE_CHAIN,
        trunk('"none", tagged = ["visitors"]', BOTH),
        trunk('"none", tagged = ["visitors"]', '"none", tagged = ["visitors"]'),
        trunk('"none", tagged = ["cameras", "visitors", "spare"]', BOTH, vlans=SPARE),
        trunk('"cameras", tagged = ["visitors"]', '"cameras", tagged = ["visitors"]'),
        museum(hall=HALL.replace(AP_PORT, '2 = { untagged = "none", tagged = [] }')),
        museum(more=ATTIC_PORTS, **ATTIC),
        museum(vlans=VLANS.replace("20", "0")),
        museum(vlans=VLANS.replace("20", "4095")),
        museum(vlans=VLANS.replace("20", "1")),
    ],
)
def test_a_remedy_clears_its_finding_and_brings_no_new_error(text: str) -> None:
    assert carried_out(text, RULE)


def test_a_hop_whose_mending_would_join_what_is_to_be_kept_apart_gets_advice_alone() -> None:
    # A guest's laptop is in the cameras' VLAN by mistake, and only the missing hop keeps them apart.
    text = museum(
        gear=GEAR.replace("[device]", '[device]\nlaptop = { role = "guest" }'),
        runs=RUNS + 'R-5 = { from = "core/3", to = "laptop" }\n',
        core=CORE.replace(BOTH, '"none", tagged = ["visitors"]')
        + '3 = { untagged = "cameras", tagged = [] }\n',
        hall=HALL.replace(BOTH, '"none", tagged = ["visitors"]'),
    )
    answer = only(text, "carried").answer
    assert answer.remedy is not None
    assert answer.remedy.text == "add cameras to the tagged VLANs of core/1 and hall/up"
    assert answer.remedy.changes == ()


def test_an_entry_that_other_ports_share_is_not_changed() -> None:
    text = museum(
        core='[port.core]\n1-2 = { untagged = "cameras", tagged = [] }\n',
        hall=HALL.replace(BOTH, '"cameras", tagged = ["visitors"]'),
    )
    finding = only(text, "carried")
    assert pointed_at(finding) == "tagged"
    assert finding.answer.remedy is not None
    assert finding.answer.remedy.text == "add visitors to the tagged VLANs of core/1"
    assert finding.answer.remedy.changes == ()


@st.composite
def museums(draw: st.DrawFn) -> str:
    """Draw VLANs for every port of the museum, its policy, and who is in which VLAN."""
    names = ("cameras", "visitors", "spare")
    untagged = st.sampled_from((*names, "none"))

    def entry(port: str) -> str:
        sent = draw(untagged)
        tagged = sorted(draw(st.frozensets(st.sampled_from(names))) - {sent})
        listed = ", ".join(f'"{name}"' for name in tagged)
        return f'{port} = {{ untagged = "{sent}", tagged = [{listed}] }}\n'

    vids = draw(st.lists(st.sampled_from((0, 1, 2, 20, 4095)), min_size=3, max_size=3))
    gateways = [draw(st.sampled_from(("core", "hall", "none"))) for _ in names]
    vlans = "[vlan]\n" + "".join(
        f'{name} = {{ vid = {vid}, gateway = "{gateway}" }}\n'
        for name, vid, gateway in zip(names, vids, gateways)
    )
    policy = draw(st.sampled_from(("deny", "permit")))
    runs = RUNS + ('R-5 = { from = "core/3", to = "hall/3" }\n' if draw(st.booleans()) else "")
    return museum(
        vlans=vlans,
        gateway=f'[gateway]\ncore = {{ default = "{policy}" }}\nhall = {{ default = "deny" }}\n',
        runs=runs,
        wireless=WIRELESS.replace("visitors", draw(st.sampled_from(names))),
        core="[port.core]\n" + "".join(entry(port) for port in ("1", "2", "3")),
        hall="[port.hall]\n" + "".join(entry(port) for port in ("up", "1", "2", "3")),
    )


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(text=museums())
def test_no_remedy_of_a_random_design_brings_a_new_error(text: str) -> None:
    carried_out(text, RULE)
