"""ups-coverage: each row is a design on one base, with the whole of what the rule says of it."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint import Change, Path, Remedy
from riserlint.review.findings import DesignReview, Finding
from riserlint.review.plugins import load_rules
from riserlint.testing import TODAY, Case, Expected, mended, pointed_at, review_text, said
from riserlint_rules.ups_coverage import RULE

HEAD = """
[design]
title = "t"
[space]
room = { max_c = 27, mean_c = 25 }
cold = { max_c = 12, mean_c = 10 }
[circuit]
DB1 = { from = "mains" }
DB2 = {}
[cable]
c = { conductor_awg = 23, material = "copper", strand = "solid" }
[part.source]
ac = { own_w = 60, efficiency = 0.9, power_factor = 0.97 }
pse = { type = 4, min_v = 52 }
ports = { 1-24 = { pse_class = 8 } }
[part.cam]
pd = { pd_class = 3 }
draw_w = { day = 6, night = 12 }
[part.floor]
inlet = { port = "up", pd_class = 4, own_w = 6, efficiency = 0.9, passes_through = false }
pse = { type = 2, min_v = 50 }
ports = { 1-8 = { pse_class = 3 } }
[role]
camera = { needs = ["recorder"] }
recorder = {}
"""

RUNTIME = "runtime = [{ w = 100, min = 180 }, { w = 200, min = 70 }, { w = 400, min = 25 }]"
U2 = (
    'u2 = { from = "DB1", space = "room", rated_w = 900, rated_va = 900, chemistry = "lithium", '
    "tested_capacity = 1.0, runtime = [{ w = 300, min = 300 }] }\n"
)
INJECTOR = (
    '[inline]\ninj = { kind = "injector", from = "mains", own_w = 2, efficiency = 0.9, pse_class = 4, '
    "pse = { type = 2 } }\n"
)
UPS = (
    '[ups]\nu = { from = "DB1", space = "room", rated_w = 400, rated_va = 500, efficiency = 0.9, '
    f'chemistry = "lead-acid", battery_date = 2025-01-01, design_life_years = 5, {RUNTIME} }}\n'
)

LAID = 'cable = "c", link_m = 50, cords_m = [], connections = 0, space = "room", bundle = "none"'
GEAR = """
[switch]
core = { part = "source", space = "room", from = "u" }
[device]
rec = { from = "u", role = "recorder", draw_w = { day = 50 }, ac = { power_factor = 0.9 } }
cam-1 = { part = "cam", role = "camera" }
[run]
r0 = { from = "core/24", to = "rec", LAID }
r1 = { from = "core/1", to = "cam-1", LAID }
""".replace("LAID", LAID)

BASE = HEAD + UPS + GEAR
R2 = 'r2 = { from = "%s", to = "%s", LAID }\n'.replace("LAID", LAID)


def changed(*pairs: tuple[str, str], base: str = BASE) -> str:
    """Return the base with each first text replaced by the second."""
    for old, new in pairs:
        assert base.count(old) == 1, old
        base = base.replace(old, new)
    return base


def base_and(text: str, *pairs: tuple[str, str]) -> str:
    """Return the base with more lines at its end (which is the table of runs)."""
    return changed(*pairs) + text


ASKED = ('camera = { needs = ["recorder"] }', 'camera = { needs = ["recorder"], standby_min = 60 }')
ASKED_UNKNOWN = (
    'camera = { needs = ["recorder"] }',
    'camera = { needs = ["recorder"], standby_min = "unknown" }',
)
ASKED_30 = (ASKED[0], 'camera = { needs = ["recorder"], standby_min = 30 }')
ASKED_180 = ('camera = { needs = ["recorder"] }', 'camera = { needs = ["recorder"], standby_min = 180 }')
CORE_ON_MAINS = ('space = "room", from = "u"', 'space = "room", from = "mains"')
REC_ON_MAINS = ('rec = { from = "u"', 'rec = { from = "DB1"')
FLOOR = (
    "[device]",
    'floor = { part = "source", from = "mains" }\n[device]\ncam-2 = { part = "cam", role = "camera" }',
)
FLOOR_RUNS = (R2 % ("floor/1", "cam-2")) + (R2 % ("core/2", "floor/24")).replace("r2", "r3")
NO_UPS = HEAD + GEAR.replace('from = "u"', 'from = "mains"')


def e(check: str, outcome: str, subject: str, points_at: str) -> Expected:
    return Expected(check, outcome, subject, points_at)


#: About 124 W, over 0.8 left of the battery 155 W: lighter than the first point.
LIGHT = ("{ w = 100, min = 180 }, { w = 200, min = 70 }", "{ w = 200, min = 70 }")


CASES = [
    # -- backed
    Case("core, recorder and camera on one UPS are all backed", BASE),
    Case(
        "a recorder on a wall socket escapes, and its cameras' need is not met",
        changed(REC_ON_MAINS),
        (
            e("needs", "warning", "role.camera", '"recorder"'),
            e("backed", "warning", "device.rec", '"DB1"'),
        ),
    ),
    Case(
        "where standby is asked both are errors",
        changed(REC_ON_MAINS, ASKED),
        (
            e("needs", "error", "role.camera", '"recorder"'),
            e("backed", "error", "device.rec", '"DB1"'),
        ),
    ),
    Case(
        "a floor switch on a local socket is one finding, not one for each device",
        base_and(FLOOR_RUNS, FLOOR),
        (e("backed", "warning", "switch.floor", '"mains"'),),
    ),
    Case(
        "a source on the mains is one finding with the camera that it feeds",
        changed(CORE_ON_MAINS),
        (e("backed", "warning", "switch.core", '"mains"'),),
    ),
    Case(
        "one of two supplies on the UPS is enough",
        changed(
            ('space = "room", from = "u"', 'space = "room", supplies = [{ from = "mains" }, { from = "u" }]'),
        ),
    ),
    Case(
        "a generator alone does not back",
        changed(('space = "room", from = "u"', 'space = "room", from = "generator"')),
        (e("backed", "warning", "switch.core", '"generator"'),),
    ),
    Case(
        "a circuit behind the UPS backs",
        changed(
            ("DB2 = {}", 'DB2 = { from = "u" }'),
            ('space = "room", from = "u"', 'space = "room", from = "DB2"'),
        ),
    ),
    Case(
        "a circuit that nobody has traced is one open answer",
        changed(
            ('space = "room", from = "u"', 'space = "room", from = "DB2"'),
            ('rec = { from = "u"', 'rec = { from = "DB2"'),
            ("rated_w = 400, rated_va = 500", "rated_w = 900, rated_va = 900"),
        ),
        (e("backed", "open", "circuit.DB2", "DB2"),),
    ),
    Case(
        "gear of which nobody says what feeds it is open, at the gear",
        changed(
            ('rec = { from = "u", ', "rec = { "),
            ("rated_w = 400, rated_va = 500", "rated_w = 900, rated_va = 900"),
        ),
        (
            e("needs", "open", "role.camera", '"recorder"'),
            e("backed", "open", "device.rec", "rec"),
        ),
    ),
    Case(
        "a UPS fed by itself through a circuit charges from nothing",
        changed(
            ('u = { from = "DB1"', 'u = { from = "DB2"'),
            ("DB2 = {}", 'DB2 = { from = "u" }'),
        ),
        (e("backed", "error", "ups.u", '"DB2"'),),
    ),
    Case(
        "an injector on the mains escapes with its device",
        base_and(
            (R2 % ("core/3", "cam-2")).replace('"none" }', '"none", through = ["inj"] }'),
            ("[device]", INJECTOR + '[device]\ncam-2 = { part = "cam", role = "camera" }'),
        ),
        (e("backed", "warning", "inline.inj", '"mains"'),),
    ),
    Case(
        "a role that asks for 0 minutes may hang on the mains",
        base_and(
            (R2 % ("floor/1", "tv")),
            ("recorder = {}", "recorder = {}\nsigns = { standby_min = 0 }"),
            (
                "[device]",
                'floor = { part = "source", from = "mains" }\n[device]\ntv = { part = "cam", role = "signs" }',
            ),
        ),
    ),
    Case("no UPS and no standby asked: nothing to cover", NO_UPS),
    Case(
        "no UPS, but the role asks for standby: each socket is an error",
        changed(ASKED, base=NO_UPS),
        (
            e("backed", "error", "switch.core", '"mains"'),
            e("backed", "error", "device.rec", '"mains"'),
        ),
    ),
    Case(
        "no UPS, and how long the cameras stand by is not known: 0 min would pass, any other fail",
        changed(ASKED_UNKNOWN, base=NO_UPS),
        (
            e("backed", "open", "device.rec", '"unknown"'),
            e("backed", "open", "switch.core", '"unknown"'),
        ),
    ),
    Case(
        "no UPS, and what nobody needs goes dark whatever the cameras' standby is",
        changed(
            ASKED_UNKNOWN,
            ("[run]", 'tv = { from = "mains" }\n[run]'),
            ('{ needs = ["recorder"], ', "{ "),
            base=NO_UPS,
        ),
        (e("backed", "open", "switch.core", '"unknown"'),),
    ),
    Case(
        "no UPS, and the basis asks for none where the role does not know",
        changed(ASKED_UNKNOWN, base=NO_UPS),
        (),
        "[rule.ups-coverage]\nstandby_min = 0\n",
    ),
    Case(
        "no UPS, and the basis assumes a standby where the role does not know",
        changed(ASKED_UNKNOWN, base=NO_UPS),
        (
            e("backed", "error", "switch.core", '"mains"'),
            e("backed", "error", "device.rec", '"mains"'),
        ),
        "[assume.role]\nstandby_min = 30\n",
    ),
    Case(
        "a UPS, and a source that escapes it with a camera of which nobody knows how long it stands by",
        changed(ASKED_UNKNOWN, CORE_ON_MAINS),
        (e("backed", "open", "switch.core", '"unknown"'),),
    ),
    Case(
        "no UPS, but the basis asks for standby",
        NO_UPS,
        (
            e("backed", "error", "switch.core", '"mains"'),
            e("backed", "error", "device.rec", '"mains"'),
        ),
        "[rule.ups-coverage]\nstandby_min = 30\n",
    ),
    Case(
        "a switch with an adapter beside its inlet lives on the inlet, if that carries it",
        base_and(
            (R2 % ("core/2", "attic/up")) + (R2 % ("attic/1", "cam-2")).replace("r2", "r3"),
            (
                "[device]",
                'attic = { part = "floor", from = "mains" }\n[device]\ncam-2 = { part = "cam", role = "camera" }',
            ),
        ),
    ),
    Case(
        "an inlet that can't carry its switch is no way out: (25.5 − 6) × 0.9 = 17.6 W of 24 W",
        base_and(
            (R2 % ("core/2", "attic/up"))
            + (R2 % ("attic/1", "cam-2")).replace("r2", "r3")
            + (R2 % ("attic/2", "cam-3")).replace("r2", "r4"),
            (
                "[device]",
                'attic = { part = "floor", from = "mains" }\n[device]\n'
                'cam-2 = { part = "cam", role = "camera" }\ncam-3 = { part = "cam", role = "camera" }',
            ),
        ),
        (e("backed", "warning", "switch.attic", '"mains"'),),
    ),
    # -- needs
    Case(
        "a need that nothing in the design has is a finding",
        changed(
            ('role = "recorder", draw_w', "draw_w"),
        ),
        (e("needs", "warning", "role.camera", '"recorder"'),),
    ),
    Case(
        "a switch on the way that is not backed cuts off the recorder behind it",
        changed(
            ("[device]", 'mid = { from = "mains", ac = { own_w = 10 } }\n[device]'),
            (
                'r0 = { from = "core/24", to = "rec"',
                (R2 % ("core/9", "mid/1")) + 'r0 = { from = "mid/2", to = "rec"',
            ),
        ),
        (
            e("needs", "warning", "role.camera", '"recorder"'),
            e("backed", "warning", "switch.mid", '"mains"'),
        ),
    ),
    Case(
        "of two recorders one that is backed and reached is enough",
        base_and(
            R2 % ("core/9", "rec-2"),
            ("[device]", '[device]\nrec-2 = { from = "mains", role = "recorder" }'),
        ),
        (e("backed", "warning", "device.rec-2", '"mains"'),),
    ),
    Case(
        "no run leads to the recorder in the file: cannot tell",
        changed(
            (f'r0 = {{ from = "core/24", to = "rec", {LAID} }}\n', ""),
        ),
        (e("needs", "open", "role.camera", '"recorder"'),),
    ),
    Case(
        "a device with needs of its own is judged for itself",
        changed(
            (
                'cam-1 = { part = "cam", role = "camera"',
                'cam-1 = { part = "cam", role = "camera", needs = ["panel"]',
            ),
            ("[device]", '[device]\npanel = { from = "mains" }'),
            ("[run]", "[run]\n" + R2 % ("core/9", "panel")),
        ),
        (
            e("backed", "warning", "device.panel", '"mains"'),
            e("needs", "warning", "device.cam-1", '"panel"'),
        ),
    ),
    # -- watts and volt-amperes: core 60 + 12.2 / 0.9 = 73.6 W, recorder 50 W: 123.6 W, 131 VA
    Case(
        "a UPS that is too small for its watts",
        changed(("rated_w = 400", "rated_w = 120")),
        (e("watts", "error", "ups.u", "120"),),
    ),
    Case(
        "watts that fit, volt-amperes that don't",
        changed(
            ("rated_w = 400, rated_va = 500", "rated_w = 130, rated_va = 130"),
            ("ac = { power_factor = 0.9 }", "ac = { power_factor = 0.7 }"),
        ),
        (
            e("volt-amperes", "error", "ups.u", "130"),
            e("watts", "note", "ups.u", "130"),
        ),
    ),
    Case(
        "the reserve of the basis is kept: 124 W of 150 W × 0.75",
        changed(("rated_w = 400", "rated_w = 150")),
        (e("watts", "warning", "ups.u", "150"),),
        "[rule.ups-coverage]\nreserve_share = 0.25\n",
    ),
    Case(
        "too little stays in reserve for certain, and whether the rating holds can't be told: both are said",
        changed(("rated_w = 400", "rated_w = 140"), ("draw_w = { day = 50 }", "draw_w = { typical = 50 }")),
        (
            e("watts", "warning", "ups.u", "140"),
            e("watts", "open", "ups.u", "140"),
            e("volt-amperes", "open", "ups.u", "500"),
        ),
        "[rule.ups-coverage]\nreserve_share = 0.25\n",
    ),
    Case(
        "the reserve of the basis is kept, and there is room",
        changed(("rated_w = 400", "rated_w = 170")),
        (),
        "[rule.ups-coverage]\nreserve_share = 0.25\n",
    ),
    Case(
        "no reserve asked: above nine tenths the habit of planners is a note",
        changed(("rated_w = 400", "rated_w = 130")),
        (e("watts", "note", "ups.u", "130"),),
    ),
    Case(
        "watts not stated: open, though the volt-amperes bound them",
        changed(("rated_w = 400, ", "")),
        (e("watts", "open", "ups.u", "u"),),
    ),
    Case("volt-amperes not stated are at least the watts", changed(("rated_va = 500, ", ""))),
    Case(
        "own use of the source not stated: neither limit can be told",
        changed(("own_w = 60, ", "")),
        (
            e("watts", "open", "ups.u", "400"),
            e("volt-amperes", "open", "ups.u", "500"),
        ),
    ),
    Case(
        "a power factor that nobody states is 0.5 to 1",
        changed((", power_factor = 0.97", ""), ("rated_va = 500", "rated_va = 180")),
        (e("volt-amperes", "open", "ups.u", "180"),),
    ),
    # -- two supplies
    Case(
        "two supplies on one UPS, of which either is to carry the switch alone",
        changed(
            (
                'space = "room", from = "u"',
                'space = "room", supply_mode = "redundant", supplies = [{ from = "u" }, { from = "DB3" }]',
            ),
            ("DB2 = {}", 'DB2 = {}\nDB3 = { from = "u" }'),
        ),
        (e("same-ups", "note", "switch.core", '"DB3"'),),
    ),
    Case(
        "two supplies on one UPS, that are needed together",
        changed(
            (
                'space = "room", from = "u"',
                'space = "room", supply_mode = "combined", supplies = [{ from = "u" }, { from = "u" }]',
            ),
        ),
    ),
    Case(
        "one supply on the UPS, and one past it",
        changed(
            (
                'space = "room", from = "u"',
                'space = "room", supply_mode = "redundant", supplies = [{ from = "u" }, { from = "DB1" }]',
            ),
        ),
    ),
    Case(
        "one supply on the UPS, and one that nobody has followed: cannot tell",
        changed(
            (
                'space = "room", from = "u"',
                'space = "room", supply_mode = "redundant", supplies = [{ from = "u" }, { from = "unknown" }]',
            ),
        ),
        (e("same-ups", "open", "switch.core", '"unknown"'),),
    ),
    # -- battery
    Case(
        "a battery past its design life",
        changed(("2025-01-01", "2019-01-01")),
        (e("battery", "warning", "ups.u", "2019-01-01"),),
    ),
    Case("past its life, but tested", changed(("2025-01-01, ", "2019-01-01, tested_capacity = 0.85, "))),
    Case(
        "tested below the end of life",
        changed(("2025-01-01, ", "2025-01-01, tested_capacity = 0.7, ")),
        (e("battery", "warning", "ups.u", "0.7"),),
    ),
    Case(
        "tested below the end of life of lead-acid, of a kind that nobody states",
        changed(("2025-01-01, ", "2025-01-01, tested_capacity = 0.7, "), ('chemistry = "lead-acid", ', "")),
        (e("battery", "open", "ups.u", "0.7"),),
    ),
    Case(
        "tested lithium has no such end",
        changed(("2025-01-01, ", "2025-01-01, tested_capacity = 0.7, "), ('"lead-acid"', '"lithium"')),
    ),
    Case(
        "neither date nor test: cannot tell",
        changed(("battery_date = 2025-01-01, ", "")),
        (e("battery", "open", "ups.u", "u"),),
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.shows)
def test_row(case: Case) -> None:
    assert said(case, RULE) == case.expected


def test_every_check_has_a_row_that_passes_and_one_that_fails() -> None:
    fails = {
        row.check for case in CASES for row in case.expected if row.outcome in {"error", "warning", "note"}
    }
    opens = {row.check for case in CASES for row in case.expected if row.outcome == "open"}
    past_it = next(case.design for case in CASES if case.shows == "one supply on the UPS, and one past it")
    reviews = (review(BASE, basis=ASKING), review(past_it))
    passes = {group.name.split("/")[1] for found in reviews for group in found.passes}
    names = {check.name for check in RULE.checks}
    assert fails == opens == passes == names


ASKING = "[rule.ups-coverage]\nstandby_min = 30\n"


def review(design: str, *, basis: str = "", today: date = TODAY) -> DesignReview:
    found = review_text(design, [RULE], basis=basis, today=today)
    assert not found.problems
    assert not found.faults
    return found


def only(design: str, check: str, *, basis: str = "", today: date = TODAY) -> Finding:
    (found,) = [
        finding
        for finding in review(design, basis=basis, today=today).findings
        if finding.check.name == check
    ]
    return found


def test_the_floor_switch_names_what_goes_dark_with_it() -> None:
    finding = only(base_and(FLOOR_RUNS, FLOOR, ASKED), "backed")
    assert finding.answer.message == (
        "floor escapes every UPS (the mains): it goes dark with the mains, and with it 1 device; "
        "role.camera asks 60 min"
    )
    assert [(place.path, place.message) for place in finding.related] == [
        (("device", "cam-2"), "goes dark with floor")
    ]


def test_the_inlet_that_can_not_carry_shows_its_sum() -> None:
    # (25.5 − 6) × 0.9 = 17.55 W: what a class 4 inlet leaves (IEEE Std 802.3: 25.5 W at the device).
    case = next(case for case in CASES if case.shows.startswith("an inlet that can't carry"))
    (finding,) = review(case.design).findings
    assert finding.answer.message.startswith(
        "attic escapes every UPS (the mains; the feed from core over r2 can't carry it alone, 24."
    )
    assert "asked of 17.6 W)" in finding.answer.message
    assert finding.answer.message.endswith("it goes dark with the mains, and with it 2 devices")


def test_the_first_gear_on_the_way_that_is_not_backed_is_named() -> None:
    case = next(case for case in CASES if case.shows.startswith("a switch on the way"))
    finding = only(case.design, "needs")
    assert finding.answer.message == (
        "role.camera: 1 of 1 that are backed loses recorder in an outage: mid, on the way to recorder, is not backed"
    )
    assert finding.answer.distinct == "recorder mid"
    assert finding.related[0].path == ("switch", "mid", "from")


def test_a_run_that_is_not_described_is_named_by_the_gear_that_lacks_it() -> None:
    to_rec = f'r0 = {{ from = "core/24", to = "rec", {LAID} }}\n'
    answer = only(changed((to_rec, "")), "needs").answer
    assert answer.missing == (("device", "rec", "run"),)
    assert answer.turns == "holds if runs lead from role.camera to recorder over backed gear"
    loose = changed((to_rec, to_rec.replace('to = "rec"', 'to = "unknown"')))
    assert only(loose, "needs").answer.missing == (("device", "rec", "run"),)
    back = changed((to_rec, to_rec.replace('"core/24", to = "rec"', '"rec/1", to = "unknown"')))
    assert only(back, "needs").answer.missing == (("run", "r0", "to"),)


def test_the_watts_show_their_sum() -> None:
    # By hand: 23 AWG is 0.0667 Ω/m, 50 m out and back 6.7 Ω; 12 W at 52 V is 0.23 A, 0.36 W lost in one pair set,
    # half of it in two: 12.2 to 12.4 W at the source; 60 + 12.2 / 0.9 = 73.6 W, and the recorder's 50 W.
    finding = only(changed(("rated_w = 400", "rated_w = 120")), "watts")
    answer = finding.answer
    assert answer.value == pytest.approx(60 + 12.2 / 0.9 + 50, abs=0.4)
    assert (answer.limit, answer.unit) == (120, "W")
    assert answer.margin == pytest.approx(120 - 123.5, abs=0.4)
    assert answer.message == "u carries 123.5 W in an outage, its rating is 120 W"
    assert answer.working == "core 73.5 W + rec 50 W = 123.5 W > 120.0 W"
    assert finding.held_against is not None
    assert finding.held_against.known == "stated"


def test_what_is_reserved_never_counts() -> None:
    # The class reserves 15.4 W, the camera takes 12: a UPS of 125 W is enough; at the reserved watts it would
    # have to carry 60 + 15.4 / 0.9 + 50 = 127 W.
    watts = [
        f.level
        for f in review(changed(("rated_w = 400", "rated_w = 125"))).findings
        if f.check.name == "watts"
    ]
    assert watts == ["note"]


def test_an_open_load_turns_where_it_says() -> None:
    text = changed(("own_w = 60, ", ""))
    finding = only(text, "watts")
    assert finding.answer.turns == "holds if the load is 400 W or less"
    assert ("part", "source", "ac", "own_w") in finding.answer.missing


def test_what_can_not_turn_an_open_load_is_not_asked_for() -> None:
    # The cord of 1 m of unknown gauge is some hundredths of a watt; the recorder's typical draw says nothing.
    text = changed(
        ("draw_w = { day = 50 }", "draw_w = { typical = 50 }"),
        (
            f'r1 = {{ from = "core/1", to = "cam-1", {LAID}',
            f'r1 = {{ from = "core/1", to = "cam-1", {LAID}'.replace("[]", "[1]"),
        ),
    )
    answer = only(text, "watts").answer
    assert answer.kind == "open"
    assert answer.missing == (("device", "rec", "draw_w", "night"),)


def test_a_battery_ages_from_one_review_to_the_next() -> None:
    finding = only(BASE, "battery", today=date(2031, 1, 1))
    assert finding.answer.message == (
        "u: its battery is 6.0 years old, its design life is 5 years: what it still holds is not known without a "
        "capacity test"
    )
    assert not review(BASE, today=date(2029, 12, 31)).findings


def test_findings_that_rest_on_the_basis_say_so() -> None:
    basis = "[assume.ac]\nown_w = 400\n"
    finding = only(changed(("own_w = 60, ", "")), "watts", basis=basis)
    assert finding.level == "error"
    assert finding.assumed == ("ac.own_w",)


# -- remedies: the change makes the finding go, and brings no error of any rule ------------------------------------

MENDABLE = [
    ("a recorder on a wall socket", changed(REC_ON_MAINS)),
    ("a recorder on a wall socket, standby asked", changed(REC_ON_MAINS, ASKED)),
    ("a floor switch on a local socket", base_and(FLOOR_RUNS, FLOOR)),
    ("a floor switch on a local socket, standby asked", base_and(FLOOR_RUNS, FLOOR, ASKED_30)),
    ("a source on the mains", changed(CORE_ON_MAINS)),
    (
        "one supply of a list",
        changed(('space = "room", from = "u"', 'space = "room", supplies = [{ from = "mains" }]')),
    ),
]


@pytest.mark.parametrize(("shows", "design"), MENDABLE, ids=[shows for shows, _ in MENDABLE])
def test_the_change_mends(shows: str, design: str) -> None:
    rules = [offered.rule for offered in load_rules().rules]
    before = review_text(design, rules)
    errors = {finding.fingerprint for finding in before.findings if finding.level == "error"}
    mendable = [
        f for f in before.findings if f.rule_id == RULE.id and f.answer.remedy and f.answer.remedy.changes
    ]
    assert mendable
    for finding in mendable:
        assert finding.answer.remedy is not None
        after = review_text(mended(design, finding.answer.remedy), rules)
        assert not after.problems
        assert finding.fingerprint not in {found.fingerprint for found in after.findings}
        assert {found.fingerprint for found in after.findings if found.level == "error"} <= errors


SUPPLIES = st.sampled_from(["u", "u2", "DB1", "DB2", "mains", "generator", "unknown"])


@st.composite
def sites(draw: st.DrawFn) -> str:
    """Return a site whose gear hangs on anything, with UPSs of any size."""
    supply = {name: draw(SUPPLIES) for name in ("core", "floor", "rec", "rec-2", "attic")}
    above = draw(st.sampled_from(["mains", "u", "u2", "unknown"]))
    watts = draw(st.sampled_from([100, 130, 200, 400]))
    minutes = draw(st.sampled_from([0, 30, 90, 300]))
    needs = draw(st.sampled_from(['"recorder"', '"rec-2"', '"recorder", "core"', '"nobody"']))
    lines = HEAD.replace("DB2 = {}", f'DB2 = {{ from = "{above}" }}')
    lines = lines.replace(
        '{ needs = ["recorder"] }', f"{{ needs = [{needs}], standby_min = {minutes} }}\nnobody = {{}}"
    )
    ups = UPS.replace("rated_w = 400", f"rated_w = {watts}")
    if draw(st.booleans()):
        ups = ups.replace("design_life_years = 5, ", "")
    return f"""{lines}{ups}{U2.replace("DB1", draw(st.sampled_from(["DB1", "u"])))}
[switch]
core = {{ part = "source", from = "{supply["core"]}" }}
floor = {{ part = "source", from = "{supply["floor"]}" }}
attic = {{ part = "floor", from = "{supply["attic"]}" }}
[device]
rec = {{ from = "{supply["rec"]}", role = "recorder", draw_w = {{ day = 50 }} }}
rec-2 = {{ from = "{supply["rec-2"]}", draw_w = {{ day = 50 }} }}
cam-1 = {{ part = "cam", role = "camera" }}
cam-2 = {{ part = "cam", role = "camera" }}
cam-3 = {{ part = "cam", role = "camera" }}
[run]
a = {{ from = "core/1", to = "floor/24", {LAID} }}
b = {{ from = "core/2", to = "attic/up", {LAID} }}
c = {{ from = "core/3", to = "rec", {LAID} }}
d = {{ from = "floor/3", to = "rec-2", {LAID} }}
e = {{ from = "core/4", to = "cam-1", {LAID} }}
f = {{ from = "floor/4", to = "cam-2", {LAID} }}
g = {{ from = "attic/4", to = "cam-3", {LAID} }}
"""


@settings(max_examples=60, deadline=None)
@given(sites())
def test_any_change_mends_and_brings_no_error(design: str) -> None:
    rules = [offered.rule for offered in load_rules().rules]
    before = review_text(design, rules)
    assert not before.problems
    assert not before.faults
    known = {finding.fingerprint for finding in before.findings if finding.level == "error"}
    mine = [finding for finding in before.findings if finding.rule_id == RULE.id]
    assert len({finding.fingerprint for finding in mine}) == len(mine)
    for finding in mine:
        assert finding.answer.kind != "open" or finding.answer.missing
        if finding.answer.remedy is not None and finding.answer.remedy.changes:
            after = review_text(mended(design, finding.answer.remedy), rules)
            assert finding.fingerprint not in {found.fingerprint for found in after.findings}
            assert {found.fingerprint for found in after.findings if found.level == "error"} <= known


@st.composite
def crowds(draw: st.DrawFn) -> str:
    """Return a site with two UPSs and more on the mains than they may hold, of which some is asked to stand by."""
    draws = draw(st.lists(st.integers(10, 150), min_size=2, max_size=5))
    roles = [draw(st.sampled_from(['role = "door", ', 'role = "sign", ', ""])) for _ in draws]
    lines = "".join(
        f'd{index} = {{ from = "mains", {role}draw_w = {{ day = {watts} }}, ac = {{ power_factor = 1 }} }}\n'
        for index, (watts, role) in enumerate(zip(draws, roles))
    )
    minutes = draw(st.sampled_from([0, 30, 60]))
    return changed(
        ("[device]\n", f"[device]\n{lines}"),
        ("recorder = {}", f"recorder = {{}}\ndoor = {{ standby_min = {minutes} }}\nsign = {{}}"),
        ("rated_w = 400", f"rated_w = {draw(st.integers(130, 400))}"),
        (
            "[switch]",
            U2.replace("900", f"{draw(st.integers(50, 200))}").replace("300 }", "50 }") + "[switch]",
        ),
    )


@settings(max_examples=60, deadline=None)
@given(st.one_of(crowds(), sites()))
def test_all_changes_together_mend_and_bring_no_error(design: str) -> None:
    before = review(design)
    errors = {finding.fingerprint for finding in before.findings if finding.level == "error"}
    changes: dict[Path, Change] = {}
    gone: set[str] = set()
    for finding in before.findings:
        if finding.answer.remedy is not None and finding.answer.remedy.changes:
            changes.update((change.at, change) for change in finding.answer.remedy.changes)
            gone.add(finding.fingerprint)
    after = review(mended(design, Remedy("all of them", tuple(changes.values()))))
    assert not gone & {finding.fingerprint for finding in after.findings}
    assert {found.fingerprint for found in after.findings if found.level == "error"} <= errors


def test_no_change_where_the_ups_would_not_hold_it() -> None:
    # u has 20 W left, the floor switch takes 73 W.
    finding = only(base_and(FLOOR_RUNS, FLOOR, ("rated_w = 400", "rated_w = 144")), "backed")
    assert finding.answer.remedy is not None
    assert finding.answer.remedy.changes == ()
    assert finding.answer.remedy.text.startswith("feed it from a UPS with room for 73.")


def test_no_change_where_the_runtime_asked_would_fail() -> None:
    # 197 W / 0.8 = 246 W hold about 51 min on the points: 30, but not 60.
    held = only(base_and(FLOOR_RUNS, FLOOR, ASKED_30), "backed").answer.remedy
    assert held is not None
    assert held.changes == (Change(("switch", "floor", "from"), "u"),)
    short = only(base_and(FLOOR_RUNS, FLOOR, ASKED), "backed").answer.remedy
    assert short is not None
    assert short.changes == ()


def test_no_change_where_what_it_needs_would_still_be_dark() -> None:
    findings = review(base_and(FLOOR_RUNS, FLOOR, ASKED_30, REC_ON_MAINS)).findings
    floor = next(finding for finding in findings if finding.subject == "switch.floor")
    assert floor.answer.remedy is not None
    assert floor.answer.remedy.changes == ()


THREE = """[device]
ctl-1 = { from = "DB1", draw_w = { day = 90 }, ac = { power_factor = 1 } }
ctl-2 = { from = "DB1", draw_w = { day = 100 }, ac = { power_factor = 1 } }
ctl-3 = { from = "DB1", draw_w = { day = 110 }, ac = { power_factor = 1 } }
"""


def mends_of(design: str) -> dict[str, str]:
    return {
        finding.subject: finding.answer.remedy.text
        for finding in review(design).findings
        if finding.check.name == "backed" and finding.answer.remedy is not None
    }


def test_one_ups_is_offered_only_to_as_much_as_it_holds() -> None:
    # 123.5 W are on it: 90 W more fit 320 W, 100 W more fit as well, and 110 W fit only alone.
    design = changed(
        ("[device]\n", THREE), ("rated_w = 400, rated_va = 500", "rated_w = 320, rated_va = 500")
    )
    assert mends_of(design) == {
        "device.ctl-1": "feed ctl-1 from u, which then carries 213.5 W",
        "device.ctl-2": "feed ctl-2 from u, which then carries 313.5 W, ctl-1 included",
        "device.ctl-3": "u holds ctl-3 alone, but not beside ctl-1, ctl-2: a larger UPS, for 423.6 W, 431.4 VA in all",
    }
    mended_all = design
    for finding in review(design).findings:
        remedy = finding.answer.remedy
        assert remedy is not None
        if remedy.changes:
            mended_all = mended(mended_all, remedy)
    left = review(mended_all)
    assert [(f.check.name, f.subject) for f in left.findings if f.level != "note"] == [
        ("backed", "device.ctl-3")
    ]
    # The larger UPS that is named holds them all.
    larger = changed(
        ("rated_w = 320, rated_va = 500", "rated_w = 424, rated_va = 432"),
        base=design.replace('"DB1", draw', '"u", draw'),
    )
    assert [f.level for f in review(larger).findings] == ["note"]
    assert "error" in {f.level for f in review(larger.replace("rated_w = 424", "rated_w = 423")).findings}


def test_what_no_ups_holds_is_summed_up() -> None:
    too_small = changed(
        ("[device]\n", THREE), ("rated_w = 400, rated_va = 500", "rated_w = 140, rated_va = 500")
    )
    assert mends_of(too_small)["device.ctl-2"] == (
        "feed it from a UPS with room for 100 W, 100 VA; the 3 that no UPS here surely holds take 300 W, 300 VA "
        "together"
    )
    none = changed(ASKED_30, base=NO_UPS)
    assert mends_of(none)["device.rec"] == (
        "a UPS for 50 W, 55.6 VA over 30 min; the 2 that escape take 123.6 W, 131.4 VA over 30 min together"
    )


def test_gear_of_which_standby_is_asked_gets_the_room_first() -> None:
    design = changed(
        ASKED_30,
        ("[device]\n", '[device]\ntv = { from = "DB1", draw_w = { day = 60 }, ac = { power_factor = 1 } }\n'),
        REC_ON_MAINS,
        ("rated_w = 400", "rated_w = 150"),
    )
    found = mends_of(design)
    assert found["device.rec"].startswith("feed rec from u, ")
    assert found["device.tv"].startswith("u holds tv alone, but not beside rec: a larger UPS, for 183.6 W, ")
    assert found["device.tv"].endswith(" over 30 min in all")


def test_a_budget_that_is_short_does_not_cut_the_load() -> None:
    # By hand: 13 cameras of 12 W take 12.2 W each at the source, 158.6 W: 12 W + 158.6 W / 0.9 = 188 W; the budget
    # of 150 W would have given 12 W + 150 W / 0.9 = 178.7 W.
    cameras = "".join(f'k{n} = {{ part = "cam", role = "camera" }}\n' for n in range(13))
    runs = "".join((R2 % (f"hut/{n + 1}", f"k{n}")).replace("r2", f"k{n}") for n in range(13))
    short = (
        'hut = { part = "source", from = "mains", ac = { own_w = 12, efficiency = 0.9, power_factor = 1 }, '
    )
    short += 'pse = { type = 4, min_v = 52, budget_w = 150, reserves = "measured" } }\n[device]\n'
    design = changed(
        ("[device]\n", short + cameras), ("rated_w = 400, rated_va = 500", "rated_w = 130, rated_va = 500")
    )
    finding = only(design + runs, "backed")
    assert finding.answer.remedy is not None
    assert finding.answer.remedy.text == (
        "feed it from a UPS with room for 188.1 W, 188.1 VA; its budget of 150 W is too small as well"
    )
    assert finding.related[-1].path == ("switch", "hut", "pse", "budget_w")
    enough = changed(("budget_w = 150", "budget_w = 160"), base=design)
    remedy = only(enough + runs, "backed").answer.remedy
    assert remedy is not None
    assert remedy.text == "feed it from a UPS with room for 188.1 W, 188.1 VA"
    # On the UPS the same load is reported, and the budget beside it.
    on_it = changed(
        ('hut = { part = "source", from = "mains"', 'hut = { part = "source", from = "u"'), base=design
    )
    watts = only(on_it + runs, "watts")
    assert "hut 188 W" in watts.answer.working
    assert watts.related[-1].path == ("switch", "hut", "pse", "budget_w")


def test_it_points_at_the_supply_of_a_list() -> None:
    finding = only(MENDABLE[-1][1], "backed")
    assert finding.answer.at == ("switch", "core", "supplies", 0, "from")
    assert pointed_at(finding) == '"mains"'


def test_a_standby_that_is_not_known_turns_where_none_is_asked() -> None:
    (unbacked, _) = review(changed(ASKED_UNKNOWN, base=NO_UPS)).findings
    assert unbacked.answer.turns == "holds if role.camera.standby_min is 0"
    assert not review(changed(ASKED_UNKNOWN, base=NO_UPS).replace('"unknown"', "0")).findings
