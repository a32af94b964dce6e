"""The rule uplink-load, row by row: a sentence, a design, and all that the rule is expected to say of it.

Beside the checks: a full Ethernet frame carries 1500 octets and takes 1538 on the wire (IEEE Std 802.3; RFC 894
restates the 1500), of which the heads of IP and TCP take 40 (RFC 791, RFC 9293): 1538 / 1460 = 1.0534 times the stream.
"""

import pytest

from riserlint.review.findings import Finding
from riserlint.testing import Case, Expected, review_text, said
from riserlint_rules.uplink_load import RULE


def design(
    *,
    cameras: int = 4,
    stream: str = "average = 6, peak = 10",
    uplink: str = ", mbps = 100",
    rec: str = ", mbps = 1000, ",
    intake: str = "intake_mbps = 320",
    needs: str = '["recorder"]',
    more: str = "",
    runs: str = "",
    role: str = "camera",
) -> str:
    """Return cameras at a floor switch, a core, and a recorder at the core, with what a row changes."""
    cams = "\n".join(f'c{n} = {{ part = "cam", role = "{role}" }}' for n in range(cameras))
    wires = "\n".join(f'r{n} = {{ from = "floor/{n + 1}", to = "c{n}" }}' for n in range(cameras))
    return f"""
[design]
title = "Yard"
[role]
camera = {{ needs = {needs} }}
recorder = {{}}
other = {{}}
[part.cam]
stream_mbps = {{ {stream} }}
[switch]
core = {{}}
floor = {{}}
[device]
rec = {{ role = "recorder"{", " if intake else ""}{intake} }}
{cams}
{more}
[run]
up = {{ from = "core/1", to = "floor/up"{uplink} }}
rr = {{ from = "core/2", to = "rec"{rec.rstrip(", ")} }}
{runs}
{wires}
"""


def one(check: str, outcome: str, subject: str, points_at: str) -> tuple[Expected, ...]:
    return (Expected(check, outcome, subject, points_at),)


RINGED = 'a = { from = "core/3", to = "floor/ring", mbps = 100 }'

CASES = [
    Case("four streams of 6 on a link of 100", design()),
    Case("no stream is described", design(stream="")),
    # -- average
    Case(
        "sixteen of 6 are 101 on the wire",
        design(cameras=16, stream="average = 6"),
        one("average", "error", "run.up", "up"),
    ),
    Case("fifteen are 94.8", design(cameras=15, stream="average = 6")),
    Case(
        "fifteen, of which the basis grants 80 %",
        design(cameras=15, stream="average = 6"),
        one("average", "error", "run.up", "up"),
        "[rule.uplink-load]\nshare = 0.8\n",
    ),
    Case(
        "of the link no rate is known",
        design(cameras=16, stream="average = 6", uplink=""),
        one("average", "open", "run.up", "up"),
    ),
    Case(
        "a link of unknown rate carries 10 at the least: one stream of 6",
        design(cameras=1, stream="average = 6", uplink=""),
    ),
    Case(
        "the floor's port has 100, of the core's nothing is known",
        design(cameras=20, stream="average = 6", uplink="").replace(
            "floor = {}", "floor = { ports = { 1-99 = {}, up = { mbps = 100 } } }"
        ),
        one("average", "error", "run.up", "up"),
    ),
    Case(
        "both ports have 1000",
        design(cameras=20, stream="average = 6", uplink="")
        .replace("floor = {}", "floor = { ports = { 1-99 = {}, up = { mbps = 1000 } } }")
        .replace("core = {}", "core = { ports = { 1-9 = { mbps = 1000 } } }"),
    ),
    Case(
        "one camera of the role states no stream",
        design(
            cameras=15,
            stream="average = 6",
            more='cx = { role = "camera" }',
            runs='rx = { from = "floor/90", to = "cx" }',
        ),
        (
            Expected("intake", "open", "device.rec", "320"),
            Expected("average", "open", "run.up", "up"),
            Expected("average", "open", "run.rr", "rr"),
        ),
    ),
    Case(
        "a stream that nothing needs",
        design(cameras=1, stream="average = 6", role="other"),
        one("average", "open", "device.c0", "c0"),
    ),
    Case(
        "fifteen, and a sixteenth of which nobody knows where it goes",
        design(
            cameras=15,
            stream="average = 6",
            more="cx = { stream_mbps = { average = 6 } }",
            runs='rx = { from = "floor/90", to = "cx" }',
        ),
        (
            Expected("average", "open", "device.cx", "cx"),
            Expected("average", "open", "run.up", "up"),
        ),
    ),
    # -- peaks
    Case(
        "ten peaks of 10 are 105",
        design(cameras=10),
        one("peak", "warning", "run.up", "up"),
    ),
    Case("nine are 94.8", design(cameras=9)),
    Case(
        "of one camera no peak is known",
        design(
            cameras=8,
            more='cx = { role = "camera", stream_mbps = { average = 6 } }',
            runs='rx = { from = "floor/90", to = "cx" }',
        ),
        (
            Expected("intake", "open", "device.rec", "320"),
            Expected("peak", "open", "run.up", "up"),
            Expected("peak", "open", "run.rr", "rr"),
        ),
    ),
    # -- recorders
    Case(
        "a recorder that takes 40 on average and not at their peaks",
        design(cameras=6, intake="intake_mbps = 40"),
        one("intake", "warning", "device.rec", "40"),
    ),
    Case(
        "a recorder that takes less than is sent to it on average",
        design(cameras=6, intake="intake_mbps = 30"),
        one("intake", "error", "device.rec", "30"),
    ),
    Case("a recorder that does not say what it takes", design(cameras=6, intake="")),
    Case(
        "two recorders: which of them records is not known",
        design(
            cameras=6,
            intake="intake_mbps = 30",
            more='rec-2 = { role = "recorder", intake_mbps = 30 }',
            runs='w2 = { from = "core/4", to = "rec-2", mbps = 1000 }',
        ),
        (
            Expected("intake", "open", "device.rec", "30"),
            Expected("intake", "open", "device.rec-2", "30"),
        ),
    ),
    Case(
        "two recorders, and the way to both goes over one link",
        design(
            cameras=16,
            stream="average = 6",
            more='rec-2 = { role = "recorder", intake_mbps = 300 }',
            runs='w2 = { from = "core/4", to = "rec-2", mbps = 1000 }',
        ),
        one("average", "error", "run.up", "up"),
    ),
    # -- rings
    Case(
        "two links side by side: each carries all while the other is idle",
        design(cameras=15, stream="average = 6", runs=RINGED),
    ),
    Case(
        "two links side by side, of which one is too small",
        design(cameras=15, stream="average = 6", runs=RINGED.replace("100", "50")),
        one("ring", "warning", "run.up", "a"),
    ),
    Case(
        "two links side by side, both too small",
        design(cameras=16, stream="average = 6", runs=RINGED),
        one("ring", "error", "run.up", "a"),
    ),
    Case(
        "more than a ring is for a human to see",
        design(
            cameras=16,
            stream="average = 6",
            runs=RINGED + '\nb = { from = "core/5", to = "floor/b", mbps = 100 }',
        ),
        one("ring", "review", "run.up", "up"),
    ),
    # -- clients
    Case(
        "clients of an access point go to the gateway",
        design(
            cameras=1,
            stream="average = 6",
            more='ap = { clients_mbps = { average = 150 } }\ngw = { joins = "route" }\n'
            '[vlan]\nv = { vid = 5, gateway = "gw" }\n'
            '[ssid]\ns = { vlan = "v", at = ["ap"] }',
            runs='ra = { from = "floor/91", to = "ap", mbps = 1000 }\nrg = { from = "core/9", to = "gw", mbps = 1000 }',
        ),
        one("average", "error", "run.up", "up"),
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.shows)
def test_row(case: Case) -> None:
    assert sorted(said(case, RULE)) == sorted(case.expected)


def finding(text: str) -> Finding:
    (found,) = review_text(text, [RULE]).findings
    return found


def test_a_link_reads_with_its_sum_on_the_wire_and_what_would_do() -> None:
    answer = finding(design(cameras=16, stream="average = 6")).answer
    assert answer.message == (
        "up (core/1 to floor/up): 16 streams into core take 101.1 Mbit/s on average, more than a link of 100 Mbit/s, "
        "the tightest link of all"
    )
    assert answer.working == "96 Mbit/s × 1.0534 = 101.1 Mbit/s > 100 Mbit/s"
    assert answer.remedy is not None
    assert answer.remedy.text == "a link of 1,000 Mbit/s (102 would do), or streams of 5.93 Mbit/s each"


def test_the_streams_that_the_mend_names_go_over_the_link() -> None:
    assert review_text(design(cameras=16, stream="average = 5.93"), [RULE]).findings == ()
    assert review_text(design(cameras=16, stream="average = 6", uplink=", mbps = 102"), [RULE]).findings == ()


def test_routed_streams_go_up_to_the_gateway_and_down_again() -> None:
    """The recorder at the same switch in another VLAN: the link to the router carries the streams both ways."""
    cams = "\n".join(f'c{n} = {{ part = "cam", role = "camera" }}' for n in range(4))
    wires = "\n".join(f'r{n} = {{ from = "core/{n + 10}", to = "c{n}" }}' for n in range(4))
    text = f"""
[design]
title = "Yard"
[role]
camera = {{ needs = ["recorder"] }}
recorder = {{}}
[part.cam]
stream_mbps = {{ average = 6 }}
[switch]
core = {{ vlans = "802.1Q" }}
[device]
rec = {{ role = "recorder", intake_mbps = 100 }}
router = {{ joins = "route" }}
{cams}
[vlan]
cams = {{ vid = 20, gateway = "router" }}
office = {{ vid = 30, gateway = "router" }}
[port.core]
10-13 = {{ untagged = "cams", tagged = [] }}
2 = {{ untagged = "office", tagged = [] }}
3 = {{ untagged = "none", tagged = ["cams", "office"] }}
[run]
rr = {{ from = "core/2", to = "rec", mbps = 100 }}
rg = {{ from = "core/3", to = "router/lan", mbps = 20 }}
{wires}
"""
    found = finding(text)
    assert (found.check.name, found.subject) == ("average", "run.rg")
    assert found.answer.value == pytest.approx(24 * 1538 / 1460, abs=0.01)
    there = text.replace('2 = { untagged = "office"', '2 = { untagged = "cams"')
    assert review_text(there, [RULE]).findings == ()
