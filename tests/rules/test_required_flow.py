"""The rule required-flow, row by row: a sentence, a design, and all that the rule is expected to say of it.

NIST SP 800-171, 3.13.6: traffic is denied unless it is allowed by exception, in both directions; the text is public.
That a filter without a memory of connections needs a rule for each direction follows from it.
"""

import itertools

import pytest

from remedies import carried_out
from riserlint.review.findings import Finding
from riserlint.testing import Case, Expected, review_text, said
from riserlint_rules.required_flow import RULE

FLOW = '[flow]\nvideo = { from = "camera", to = "recorder" }\n'
BACK = 'acks = { from = "recorder", to = "camera" }\n'


def design(
    *,
    policy: str = 'default = "deny", replies = true',
    flows: str = FLOW,
    cams: str = 'vid = 20, gateway = "router"',
    office: str = 'vid = 30, gateway = "router"',
    camera: str = 'needs = ["recorder"]',
    recorder: str = "",
    cam_2: str = 'role = "camera"',
    port_2: str = '2 = { untagged = "cams", tagged = [] }',
    more: str = "",
) -> str:
    """Return cameras in a VLAN, a recorder in another, a router of both, with what a row changes."""
    return f"""
[design]
title = "Yard"
[role]
camera = {{ {camera} }}
recorder = {{ {recorder} }}
[vlan]
cams = {{ {cams} }}
office = {{ {office} }}
[gateway]
router = {{ {policy} }}
{flows}
[switch]
core = {{ vlans = "802.1Q" }}
[device]
cam-1 = {{ role = "camera" }}
cam-2 = {{ {cam_2} }}
rec = {{ role = "recorder" }}
router = {{ joins = "route", role = "gateway" }}
[role.gateway]
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


def one(
    check: str, outcome: str, subject: str = "role.camera", points_at: str = '"recorder"'
) -> tuple[Expected, ...]:
    return (Expected(check, outcome, subject, points_at),)


CASES = [
    Case("a flow is stated, and replies come back", design()),
    Case("the router permits what no flow states", design(policy='default = "permit"', flows="")),
    Case("denied, and no flow is stated", design(flows=""), one("denied", "error")),
    Case("the recorder fetches: a flow back, and replies to it", design(flows=f"[flow]\n{BACK}")),
    Case(
        "the recorder fetches, and no reply comes back",
        design(policy='default = "deny", replies = false', flows=f"[flow]\n{BACK}"),
        one("way-back", "error"),
    ),
    Case("what the router does is not known", design(policy="", flows=""), one("denied", "open")),
    Case(
        "replies do not come back",
        design(policy='default = "deny", replies = false'),
        one("way-back", "error"),
    ),
    Case(
        "replies do not come back by themselves, and a flow back is stated",
        design(policy='default = "deny", replies = false', flows=FLOW + BACK),
    ),
    Case(
        "whether replies come back is not known", design(policy='default = "deny"'), one("way-back", "open")
    ),
    Case("nothing is needed", design(camera="", flows="")),
    Case(
        "nothing routes the cameras, which is a question of addressing",
        design(cams='vid = 20, gateway = "none"', flows=""),
    ),
    Case(
        "nothing routes the office: no reply finds its way back",
        design(office='vid = 30, gateway = "none"'),
        one("way-back", "error"),
    ),
    Case("what routes the office is not known", design(office="vid = 30"), one("denied", "open")),
    Case(
        "another gateway routes the office: for a human to see",
        design(
            office='vid = 30, gateway = "second"',
            more='[device.second]\njoins = "route"\n[gateway.second]\ndefault = "deny"\nreplies = true',
        ),
        one("denied", "review"),
    ),
    Case(
        "another gateway routes the office, and denies it",
        design(
            office='vid = 30, gateway = "second"',
            flows="",
            more='[device.second]\njoins = "route"\n[gateway.second]\ndefault = "permit"',
        ),
        one("denied", "error"),
    ),
    Case(
        "of one camera nobody knows the VLAN",
        design(port_2=""),
        one("denied", "open"),
    ),
    Case(
        "a recorder among the cameras is enough",
        design(flows="", cam_2='role = "recorder"'),
    ),
    Case(
        "one camera has a need of its own: the recorder by its name",
        design(flows="", camera="", cam_2='role = "camera", needs = ["rec"]'),
        one("denied", "error", "device.cam-2", '"rec"'),
    ),
    Case(
        "a camera needs the gateway itself",
        design(flows="", camera='needs = ["gateway"]'),
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.shows)
def test_row(case: Case) -> None:
    assert said(case, RULE) == case.expected


def finding(text: str) -> Finding:
    (found,) = review_text(text, [RULE]).findings
    return found


def test_a_denied_flow_reads_with_its_way_and_the_flow_that_is_missing() -> None:
    answer = finding(design(flows="")).answer
    assert (
        answer.message
        == "camera in cams needs recorder in office, and router stops it: it denies what no flow states"
    )
    assert answer.working == (
        "cam-1 → core/1 (cams) → core/4 to router/lan (cams) → stops: no flow from camera to recorder, none back"
    )
    assert answer.remedy is not None
    assert [(change.at, change.value) for change in answer.remedy.changes] == [
        (("flow", "camera-to-recorder", "from"), "camera"),
        (("flow", "camera-to-recorder", "to"), "recorder"),
    ]


def test_the_remedy_clears_the_finding() -> None:
    done = [check for case in CASES for check in carried_out(case.design, RULE)]
    assert set(done) == {"denied"}


def test_what_is_to_be_kept_apart_gets_no_flow() -> None:
    answer = finding(design(flows="", recorder='apart_from = ["camera"]')).answer
    assert answer.remedy is not None
    assert answer.remedy.changes == ()


@pytest.mark.parametrize(
    ("default", "replies", "forward", "back"),
    list(itertools.product(["deny", "permit"], [True, False], [True, False], [True, False])),
)
def test_every_policy_against_its_meaning(default: str, replies: bool, forward: bool, back: bool) -> None:
    """Either may ask: a packet goes by permit, by its own flow, or as a reply to the other's."""
    goes = default == "permit" or forward or (back and replies)
    comes = default == "permit" or back or (forward and replies)
    flows = "[flow]\n" * (forward or back) + FLOW.removeprefix("[flow]\n") * forward + BACK * back
    text = design(policy=f'default = "{default}", replies = {str(replies).lower()}', flows=flows)
    found = [item.check.name for item in review_text(text, [RULE]).findings]
    assert found == ([] if goes and comes else ["way-back"] if goes or comes else ["denied"])
