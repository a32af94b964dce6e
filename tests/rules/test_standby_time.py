"""standby-time: each row is a design on one base, with the whole of what the rule says of it."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.analysis.built import Built
from riserlint.design.paths import path_text
from riserlint.design.reading import read_basis, read_design
from riserlint.review.findings import DesignReview, Finding
from riserlint.testing import TODAY, Case, Expected, pointed_at, review_text
from riserlint_rules.standby_time import RULE
from riserlint_rules.ups_coverage import RULE as UPS_COVERAGE

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


def changed(*pairs: tuple[str, str], base: str = BASE) -> str:
    """Return the base with each first text replaced by the second."""
    for old, new in pairs:
        assert base.count(old) == 1, old
        base = base.replace(old, new)
    return base


ASKED = ('camera = { needs = ["recorder"] }', 'camera = { needs = ["recorder"], standby_min = 60 }')
ASKED_UNKNOWN = (
    'camera = { needs = ["recorder"] }',
    'camera = { needs = ["recorder"], standby_min = "unknown" }',
)
ASKED_30 = (ASKED[0], 'camera = { needs = ["recorder"], standby_min = 30 }')
ASKED_180 = ('camera = { needs = ["recorder"] }', 'camera = { needs = ["recorder"], standby_min = 180 }')
CORE_ON_MAINS = ('space = "room", from = "u"', 'space = "room", from = "mains"')
NO_UPS = HEAD + GEAR.replace('from = "u"', 'from = "mains"')


def e(check: str, outcome: str, subject: str, points_at: str) -> Expected:
    return Expected(check, outcome, subject, points_at)


LIGHT = ("{ w = 100, min = 180 }, { w = 200, min = 70 }", "{ w = 200, min = 70 }")


CASES = [
    Case(
        "a UPS, and how long the cameras on it stand by is not known",
        changed(ASKED_UNKNOWN),
        (e("runtime", "open", "ups.u", '"unknown"'),),
    ),
    Case("60 min asked and held, by an aged battery too", changed(ASKED)),
    Case("180 min asked and never held", changed(ASKED_180), (e("runtime", "error", "ups.u", "runtime"),)),
    Case(
        "between the aged and the new battery: cannot tell",
        changed(
            ('camera = { needs = ["recorder"] }', 'camera = { needs = ["recorder"], standby_min = 120 }'),
        ),
        (e("runtime", "open", "ups.u", "runtime"),),
    ),
    Case(
        "the recorder's UPS is asked what the cameras ask",
        changed(
            ASKED_180,
            ("day = 50", "day = 110"),
            ("[switch]", U2 + "[switch]"),
            ('space = "room", from = "u"', 'space = "room", from = "u2"'),
        ),
        (e("runtime", "error", "ups.u", "runtime"),),
    ),
    Case(
        "the basis asks it of all gear",
        BASE,
        (e("runtime", "error", "ups.u", "runtime"),),
        "[rule.ups-coverage]\nstandby_min = 200\n",
    ),
    Case(
        "battery energy with its rate: 400 Wh promise 174 min and give at least 93",
        changed(ASKED, (RUNTIME, "battery_wh = 400")),
    ),
    Case(
        "battery energy with its rate: 150 Wh give less than the hour",
        changed(ASKED, (RUNTIME, "battery_wh = 150")),
        (e("runtime", "error", "ups.u", "150"),),
    ),
    Case(
        "neither points nor energy: cannot tell",
        changed(ASKED, (", " + RUNTIME, "")),
        (e("runtime", "open", "ups.u", "u"),),
    ),
    Case(
        "the cold takes capacity: at 10 °C the aged battery does not make it for certain",
        changed(
            ('camera = { needs = ["recorder"] }', 'camera = { needs = ["recorder"], standby_min = 105 }'),
            ('from = "DB1", space = "room"', 'from = "DB1", space = "cold"'),
        ),
        (e("runtime", "open", "ups.u", "runtime"),),
    ),
    Case(
        "a generator behind the UPS is for a human to prove",
        changed(ASKED_180, ('DB1 = { from = "mains" }', 'DB1 = { from = "generator" }')),
        (e("runtime", "review", "ups.u", "runtime"),),
    ),
    Case(
        "runtime that rises with the load is a misprint",
        changed(("{ w = 400, min = 25 }", "{ w = 400, min = 75 }"), ASKED),
        (e("runtime", "warning", "ups.u", "runtime"),),
    ),
    Case(
        "shared by two UPSs, of which one holds for both",
        changed(
            ASKED_180,
            ('space = "room", from = "u"', 'space = "room", supplies = [{ from = "u" }, { from = "u2" }]'),
            ('rec = { from = "u"', 'rec = { from = "u2"'),
            ("[switch]", U2 + "[switch]"),
        ),
    ),
    Case(
        "lighter than the first runtime point, and longer asked than that: no test of the battery helps",
        changed(ASKED_180, LIGHT),
        (e("runtime", "open", "ups.u", "runtime"),),
    ),
    Case(
        "lighter than the first runtime point, whose minutes are enough",
        changed(ASKED, LIGHT),
    ),
    Case(
        "heavier than the last runtime point, whose minutes would be enough",
        changed(ASKED_30, ("{ w = 200, min = 70 }, { w = 400, min = 25 }", "{ w = 120, min = 70 }")),
        (e("runtime", "open", "ups.u", "runtime"),),
    ),
    # -- shedding: 123.5 W on the points for 112 min at the least
    Case(
        "the camera is switched off after its standby",
        changed(ASKED, (RUNTIME, f'{RUNTIME}, sheds = [{{ after_min = 60, gear = ["cam-1"] }}]')),
    ),
    Case(
        "the camera is switched off before its standby is over",
        changed(ASKED, (RUNTIME, f'{RUNTIME}, sheds = [{{ after_min = 59, gear = ["cam-1"] }}]')),
        (e("shed", "error", "role.camera", "59"),),
    ),
    Case(
        "the recorder that the camera needs is switched off, by its role",
        changed(ASKED, (RUNTIME, f'{RUNTIME}, sheds = [{{ after_min = 30, roles = ["recorder"] }}]')),
        (e("shed", "error", "role.camera", "30"),),
    ),
    Case(
        "the switch that feeds the camera is switched off",
        changed(ASKED, (RUNTIME, f'{RUNTIME}, sheds = [{{ after_min = 30, gear = ["core"] }}]')),
        (e("shed", "error", "role.camera", "30"),),
    ),
    Case(
        "the camera is switched off, and for how long it has to stand by is not known",
        changed(ASKED_UNKNOWN, (RUNTIME, f'{RUNTIME}, sheds = [{{ after_min = 30, gear = ["cam-1"] }}]')),
        (e("runtime", "open", "ups.u", '"unknown"'), e("shed", "open", "device.cam-1", '"unknown"')),
    ),
    Case(
        "the camera is switched off before its standby is over, on a UPS of which nobody knows how long it holds",
        changed(ASKED, (RUNTIME, 'sheds = [{ after_min = 59, gear = ["cam-1"] }]')),
        (e("shed", "error", "role.camera", "59"), e("runtime", "open", "ups.u", "u")),
    ),
    Case(
        "what is switched off asks for nothing",
        changed((RUNTIME, f'{RUNTIME}, sheds = [{{ after_min = 0, gear = ["cam-1"] }}]')),
    ),
    # -- load shedding lengthens what the UPS holds: 73.5 W alone, over 0.8 left 92 W, are more than the 180 min
    Case(
        "the recorder is switched off at once, and the rest holds for 180 min",
        changed(
            ASKED_180,
            ('needs = ["recorder"], ', ""),
            (RUNTIME, f'{RUNTIME}, sheds = [{{ after_min = 0, gear = ["rec"] }}]'),
        ),
    ),
]


def review(design: str, *, basis: str = "") -> DesignReview:
    found = review_text(design, [RULE], basis=basis)
    assert not found.problems
    assert not found.faults
    return found


def only(design: str, check: str) -> Finding:
    (finding,) = [finding for finding in review(design).findings if finding.check.name == check]
    return finding


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.shows)
def test_row(case: Case) -> None:
    # The basis asks all gear by a parameter of the other rule.
    rules = [RULE, UPS_COVERAGE] if case.basis else [RULE]
    found = review_text(case.design, rules, basis=case.basis)
    assert not found.problems
    assert not found.faults
    mine = [finding for finding in found.findings if finding.rule_id == RULE.id]
    assert (
        tuple(
            e(
                finding.check.name,
                str(finding.level if finding.answer.kind == "fail" else finding.answer.kind),
                finding.subject,
                pointed_at(finding),
            )
            for finding in mine
        )
        == case.expected
    )


def test_the_runtime_finding_says_who_asks_and_what_would_do() -> None:
    finding = only(changed(ASKED_180), "runtime")
    answer = finding.answer
    assert (
        "role.camera asks 180 min" in answer.message
        or "role.camera, which needs rec asks 180 min" in answer.message
    )
    assert answer.limit == 180
    assert answer.value is not None
    assert answer.value < 180
    assert answer.remedy is not None
    # 180 min is the first point, 100 W; an aged battery at 0.8 holds it at 80 W.
    assert answer.remedy.text.startswith("a load of 80 W or less on it, or a UPS that holds 180 min at 15")
    assert finding.held_against is not None
    assert str(finding.held_against.citation) == "design, role.camera.standby_min"
    assert "100 W 180 min, 200 W 70 min, 400 W 25 min" in answer.working


@pytest.mark.parametrize("energy", [60, 100, 150])
def test_the_battery_that_the_remedy_names_holds(energy: int) -> None:
    text = changed(ASKED, (RUNTIME, f"battery_wh = {energy}, tested_capacity = 0.9"))
    remedy = only(text, "runtime").answer.remedy
    assert remedy is not None
    needed = remedy.text.split("a battery of ")[1].split(" Wh")[0]
    assert not review(text.replace(f"battery_wh = {energy}", f"battery_wh = {needed}")).findings
    less = float(needed) * 0.97
    assert review(text.replace(f"battery_wh = {energy}", f"battery_wh = {less}")).findings


def test_an_open_runtime_turns_where_it_says() -> None:
    case = next(case for case in CASES if case.shows.startswith("between the aged"))
    (finding,) = review(case.design).findings
    assert finding.answer.missing[-1] == ("ups", "u", "tested_capacity")
    share = int(finding.answer.turns.removeprefix("holds if its battery still has ").split(" %")[0]) / 100
    assert not review(
        case.design.replace("efficiency = 0.9, chem", f"tested_capacity = {share}, efficiency = 0.9, chem")
    ).findings
    tested = case.design.replace(
        "efficiency = 0.9, chem", f"tested_capacity = {share - 0.02:.2f}, efficiency = 0.9, chem"
    )
    assert [f.answer.kind for f in review(tested).findings] == ["fail"]


def test_a_load_lighter_than_the_first_point_asks_for_a_point() -> None:
    # 123.5 W, at least 0.8 of the battery left and 25 °C: on the curve of a new battery 123.5 to 154.4 W.
    design = changed(ASKED_180, LIGHT)
    finding = only(design, "runtime")
    answer = finding.answer
    assert answer.missing == (("ups", "u", "runtime"),)
    assert answer.message.endswith(
        "asks: 70 min or more at 123.5 W; its runtime points begin at 200 W, and one at 123.5 W or less is missing"
    )
    assert (
        answer.turns
        == "holds if a runtime point gives 180 min or more at 155 W (123.5 W / 0.8 left of its battery)"
    )
    # It turns there: that point with so many minutes passes, with fewer the test of the battery decides, and one at
    # the load with fewer fails.
    assert not review(with_point(design, 155, 180)).findings
    assert [f.answer.kind for f in review(with_point(design, 123, 179)).findings] == ["fail"]


def with_point(design: str, watts: float, minutes: float) -> str:
    return changed(("runtime = [", f"runtime = [{{ w = {watts}, min = {minutes} }}, "), base=design)


def test_the_battery_is_named_beside_the_point_where_it_could_decide() -> None:
    # Half of the battery left would be 247 W on the curve, which is 56 min of the 60 min asked.
    text = changed(("standby_min = 180", "standby_min = 75"), base=changed(ASKED_180, LIGHT))
    assert only(text, "runtime").answer.missing == (("ups", "u", "runtime"),)
    aged = changed(("design_life_years = 5, ", ""), base=text)
    assert only(aged, "runtime").answer.missing == (
        ("ups", "u", "runtime"),
        ("ups", "u", "design_life_years"),
        ("ups", "u", "tested_capacity"),
    )


def test_an_unknown_load_is_asked_for_and_no_point_at_nothing() -> None:
    text = changed(ASKED_180, LIGHT, ("own_w = 60, ", ""), ("day = 50", "typical = 0.1"))
    answer = next(f for f in review(text).findings if f.check.name == "runtime").answer
    assert ("part", "source", "ac", "own_w") in answer.missing
    assert "0 W or less" not in answer.message + answer.turns


def test_a_heavier_load_than_the_last_point_turns_where_it_says() -> None:
    case = next(case for case in CASES if case.shows.startswith("heavier than the last"))
    text = changed(
        ("efficiency = 0.9, chem", "tested_capacity = 1, efficiency = 0.9, chem"), base=case.design
    )
    answer = only(text, "runtime").answer
    assert answer.missing == (("ups", "u", "runtime"),)
    assert answer.message.endswith("its runtime points end at 120 W, and one at 124 W or more is missing")
    assert answer.turns == "holds if a runtime point gives 30 min or more at 124 W (123.5 W)"
    assert not review(with_point(text, 124, 30)).findings
    assert [f.answer.kind for f in review(with_point(text, 123, 29)).findings] == ["fail"]


def test_of_ups_behind_ups_what_is_not_known_of_either_is_missing() -> None:
    behind = 'v = { from = "u", rated_w = 300, rated_va = 300, efficiency = 0.9, chemistry = "lithium", '
    behind += "tested_capacity = 1, battery_wh = 50 }\n[switch]"
    text = changed(
        ASKED_180, ("[switch]", behind), (', from = "u" }', ', from = "v" }'), ("day = 50", "day = 5")
    )
    found = [f for f in review(text).findings if f.check.name == "runtime" and f.answer.kind == "open"]
    assert ("ups", "u", "tested_capacity") in {at for f in found for at in f.answer.missing}


def test_a_standby_that_is_not_known_turns_where_it_says() -> None:
    (finding,) = review(changed(ASKED_UNKNOWN)).findings
    assert finding.answer.missing == (("role", "camera", "standby_min"),)
    # 123.5 W / 0.8 on the points: 180 × (70 / 180) ^ (ln 1.544 / ln 2) = 99.6 min.
    minutes = int(finding.answer.turns.removeprefix("holds if ").split(" min")[0])
    assert not review(changed(ASKED_UNKNOWN).replace('"unknown"', f"{minutes}")).findings
    longer = review(changed(ASKED_UNKNOWN).replace('"unknown"', f"{minutes + 1}")).findings
    assert [found.answer.kind for found in longer] == ["open"]


def test_a_shedding_says_who_goes_and_what_would_do() -> None:
    design = changed(ASKED, (RUNTIME, f'{RUNTIME}, sheds = [{{ after_min = 30, roles = ["recorder"] }}]'))
    answer = only(design, "shed").answer
    assert answer.message == (
        "cam-1 loses what it needs, or power, to a shedding after 30 min, role.camera asks 60 min"
    )
    assert (answer.value, answer.limit, answer.margin) == (30, 60, -30)
    assert answer.remedy is not None
    assert answer.remedy.text == "switch it off after 60 min at the earliest, or leave it on"
    assert not review(design.replace("after_min = 30", "after_min = 60")).findings


def test_what_may_hang_on_another_ups_is_not_said_to_fail() -> None:
    """v's 10 min are too few, but nobody says that v does not hang on u, which holds for hours."""
    v = (
        'v = { space = "room", rated_w = 300, rated_va = 300, efficiency = 0.9, chemistry = "lithium", '
        "tested_capacity = 1, runtime = [{ w = 10, min = 400 }, { w = 200, min = 10 }] }\n[switch]"
    )
    text = changed(
        ASKED_30, ("[switch]", v), ('rec = { from = "u"', 'rec = { from = "v"'), ("day = 50", "day = 200")
    )
    answer = only(text, "runtime").answer
    assert answer.kind == "open"
    assert ("ups", "v", "from") in answer.missing
    alone = changed(("v = { space", 'v = { from = "mains", space'), base=text)
    assert only(alone, "runtime").answer.kind == "fail"


def test_every_check_has_a_row_that_passes_and_one_that_fails() -> None:
    fails = {
        row.check for case in CASES for row in case.expected if row.outcome in {"error", "warning", "note"}
    }
    assert fails == {check.name for check in RULE.checks}
    assert any(not case.expected for case in CASES)


# -- nothing that ends too soon goes unsaid --------------------------------------------------------------------------


@st.composite
def sites(draw: st.DrawFn) -> str:
    """Draw UPSs behind each other or not, switches on one, on two or on none, and devices that need each other."""
    count, devices, switches = draw(st.integers(1, 3)), draw(st.integers(2, 5)), draw(st.integers(1, 3))
    lines = ['[design]\ntitle = "invented"', "[space]\nroom = { max_c = 25, mean_c = 25 }", "[ups]"]
    for index in range(count):
        above = draw(st.sampled_from(["mains", *(f"u{other}" for other in range(index))]))
        minutes = draw(st.integers(5, 60))
        sheds = [
            f'{{ after_min = {draw(st.integers(1, 30))}, gear = ["d{draw(st.integers(0, devices - 1))}"] }}'
            for _ in range(draw(st.integers(0, 2)) if index == 0 else 0)
        ]
        lines.append(
            f'u{index} = {{ from = "{above}", space = "room", efficiency = 0.9, chemistry = "lithium", '
            f"tested_capacity = 1, sheds = [{', '.join(sheds)}], "
            f"runtime = [{{ w = 10, min = {20 * minutes} }}, {{ w = 10000, min = {minutes / 50} }}] }}"
        )
    sources = ["mains", *(f"u{index}" for index in range(count))]
    lines.append("[switch]")
    for index in range(switches):
        one, other = draw(st.sampled_from(sources)), draw(st.sampled_from(sources))
        fed = f'from = "{one}"'
        if one != other and draw(st.booleans()):
            fed = f'supplies = [{{ from = "{one}" }}, {{ from = "{other}" }}], supply_mode = "redundant"'
        lines.append(f"s{index} = {{ {fed}, ac = {{ own_w = 40 }} }}")
    lines.append("[device]")
    runs = [
        f'tie-{index} = {{ from = "s{index - 1}/40", to = "s{index}/41" }}' for index in range(1, switches)
    ]
    for index in range(devices):
        needs = [f'"d{other}"' for other in range(devices) if other != index and draw(st.integers(0, 3)) == 0]
        lines.append(
            f'd{index} = {{ from = "{draw(st.sampled_from(sources))}", role = "r{draw(st.integers(0, 1))}", '
            f"draw_w = {{ day = {draw(st.integers(5, 100))} }}, needs = [{', '.join(needs)}] }}"
        )
        runs.append(
            f'x{index} = {{ from = "s{draw(st.integers(0, switches - 1))}/{index + 1}", to = "d{index}" }}'
        )
    lines.append("[role]")
    lines += [
        f"r{index} = {{ standby_min = {draw(st.sampled_from([10, 20, 30, 60]))} }}" for index in range(2)
    ]
    return "\n".join([*lines, "[run]", *runs]) + "\n"


def built_of(text: str) -> Built:
    """Return the installation of a design that is written without a basis."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "design.toml"
        file.write_text(text, encoding="utf-8")
        design, problems = read_design(file, Path(folder), read_basis(file, Path(folder)))
    assert problems == []
    return Built(design, TODAY)


@settings(max_examples=60, deadline=None)
@given(sites())
def test_what_ends_too_soon_for_its_role_is_said_of_it_of_its_role_or_of_what_ends_it(text: str) -> None:
    """The outage, gone through event by event, against the answers of the rules that judge it."""
    reviews = [review_text(text, [rule]) for rule in (RULE, UPS_COVERAGE)]
    said_of = [(finding.subject, finding.answer.message) for review in reviews for finding in review.findings]
    built = built_of(text)
    for gear in built.gear.values():
        asked = built.outage.own_standby(gear, None)
        survival = built.blackout.survival(gear)
        if asked is None or survival.useful.high >= asked.minutes:
            continue
        subjects = {
            path_text(gear.at),
            path_text(("role", asked.at[1])),
            path_text(survival.ended_late_by[:2]),
        }
        assert any(subject in subjects or gear.id in message for subject, message in said_of), (
            gear.id,
            survival,
        )
