"""room-heat: rows of designs with all that the rule says of them, sums done by hand, remedies that mend.

Sources: heat released = electric power that does not leave (conservation of energy); 1 W = 3600 / 1055.056 BTU/h =
3.412 BTU/h (the IT British thermal unit, from memory). Own use, draw and ambients of gear here are invented.
"""

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from riserlint import load_rules
from riserlint.review.findings import Finding
from riserlint.testing import Case, Expected, mended, pointed_at, review_text, said
from riserlint_rules.room_heat import RULE

OHM_PER_M: float = (
    1 / 58 / (math.pi / 4 * (0.127 * 92 ** (13 / 39)) ** 2)
)  # 23 AWG at 20 °C, written out anew


def design(
    *,
    room: str = "cooling_w = 100",
    void: str = "",
    core: str = "",
    ups: str = "efficiency = 0.9",
    cam: str = 'space = "void"',
    ac: str = "own_w = 20, efficiency = 0.8",
    link: str = "link_m = 50",
    stage: str = "construction",
    more: str = "",
) -> str:
    """Return a switch and a recorder behind a UPS in one room, and a camera of 8 W in the void beside."""
    return (
        f'[design]\ntitle = "invented"\nstage = "{stage}"\n[space]\nroom = {{ max_c = 20, {room} }}\n'
        f"void = {{ max_c = 20, {void} }}\n"
        '[cable]\nc = { category = "6", conductor_awg = 23, material = "copper", strand = "solid" }\n'
        f'[ups]\nu = {{ from = "mains", space = "room", rated_w = 900, rated_va = 999, {ups} }}\n'
        f'[switch]\ncore = {{ space = "room", from = "u", ac = {{ {ac} }}, '
        'pse = { type = 4, scheme = "ieee", min_v = 52, budget_w = 400, reserves = "class", lldp = true }, '
        f"ports = {{ 1-8 = {{ pse_class = 4 }} }}{core} }}\n"
        f"[device]\ncam = {{ {cam}, pd = {{ pd_class = 3 }}, draw_w = {{ typical = 4, night = 8 }} }}\n"
        'recorder = { space = "room", from = "u", ac = { own_w = 30 } }\n'
        f'[run]\nR = {{ from = "core/1", to = "cam", cable = "c", {link}, cords_m = [], connections = 0, '
        f'space = "void", bundle = "none" }}\n{more}'
    )


def one(check: str, outcome: str, subject: str, points_at: str) -> Expected:
    return Expected(check, outcome, subject, points_at)


ASK = "[rule.room-heat]\nask = true\n"
#: A switch that is powered over its uplink, in the void.
FLOOR = (
    '[switch.hall]\nspace = "void"\ninlet = { port = "up", pd_class = 4, own_w = 5, efficiency = 0.8, '
    'passes_through = false }\n[run.U]\nfrom = "core/2"\nto = "hall/up"\ncable = "c"\nlink_m = 20\n'
    'cords_m = []\nconnections = 0\nspace = "void"\nbundle = "none"\n'
)
#: Three metres of the run are in the room with an injector on them, the rest in the void.
INJECTED = (
    design(room="cooling_w = 7", void="cooling_w = 100", ac="own_w = 0, efficiency = 1", ups="efficiency = 1")
    .replace(
        "[device]",
        '[inline]\ninj = { kind = "injector", at_m = 1, pse_class = 4, pse = { type = 2, '
        'scheme = "ieee", min_v = 50 }, from = "u", own_w = 6, efficiency = 0.8 }\n[device]',
    )
    .replace(
        'space = "void", bundle = "none" }',
        'through = ["inj"], route = [{ space = "room", m = 3, bundle = '
        '"none" }, { space = "void", m = 47, bundle = "none" }] }',
    )
    .replace('recorder = { space = "room"', 'recorder = { space = "void"')
)

ROWS = [
    Case("58 W in a room that carries off 100 W", design()),
    Case(
        "the same in a room that carries off 50 W",
        design(room="cooling_w = 50"),
        (one("cooling", "error", "space.room", "50"),),
    ),
    Case("nobody states any cooling, and nobody asks", design(room="")),
    Case(
        "the basis asks, and nobody states any",
        design(room=""),
        (one("cooling", "open", "space.room", "room"),),
        ASK,
    ),
    Case(
        "somebody wrote that it is not known",
        design(room='cooling_w = "unknown"'),
        (one("cooling", "open", "space.room", '"unknown"'),),
    ),
    Case("the basis assumes what rooms carry off", design(room=""), (), "[assume.space]\ncooling_w = 80\n"),
    Case(
        "the basis assumes too little",
        design(room=""),
        (one("cooling", "error", "space.room", "30"),),
        "[assume.space]\ncooling_w = 30\n",
    ),
    Case("a void with devices alone is not asked", design(void="")),
    Case(
        "a void with a floor switch is asked as soon as any cooling is stated",
        design(more=FLOOR),
        (one("cooling", "open", "space.void", "void"),),
    ),
    Case("the floor switch's void carries off what it gets", design(void="cooling_w = 14", more=FLOOR)),
    Case(
        "and one watt less is too little",
        design(void="cooling_w = 13", more=FLOOR),
        (one("cooling", "error", "space.void", "13"),),
    ),
    Case(
        "a void that states its cooling is asked though no switch is in it",
        design(void="cooling_w = 5"),
        (one("cooling", "error", "space.void", "5"),),
    ),
    Case(
        "the switch's own use is not known, and it may be too much",
        design(ac="efficiency = 0.8"),
        (one("cooling", "open", "space.room", "100"),),
    ),
    Case(
        "it is not known, and too much all the same",
        design(ac="efficiency = 0.8", room="cooling_w = 20"),
        (one("cooling", "error", "space.room", "20"),),
    ),
    Case(
        "the length is not known: class 3 gives 15.4 W at most, so that 61.6 W get warm at most",
        design(link='link_m = "unknown"', room="cooling_w = 62"),
    ),
    Case(
        "the camera's space is not known, and it would be too much",
        design(cam='role = "camera"', room="cooling_w = 60", more="[role]\ncamera = {}\n"),
        (one("cooling", "open", "space.room", "60"),),
    ),
    Case(
        "the camera's space is not known, and it would be enough with it in",
        design(cam='role = "camera"', more="[role]\ncamera = {}\n"),
    ),
    Case(
        "the switch's space is not known",
        design()
        .replace('core = { space = "room", ', "core = { ")
        .replace("cooling_w = 100", "cooling_w = 200"),
        (one("cooling", "open", "switch.core", "core"),),
    ),
    Case(
        "an injector warms the room that its metres lead to: 6 W and 2 W of conversion",
        INJECTED,
        (one("cooling", "error", "space.room", "7"),),
    ),
    # -- gear-range
    Case("gear for 40 °C in a room of 20 °C", design(core=", works_to_c = 40")),
    Case(
        "gear for 15 °C in a room of 20 °C",
        design(core=", works_to_c = 15"),
        (one("gear-range", "error", "switch.core", '"room"'),),
    ),
    Case("exactly what it allows", design(core=", works_to_c = 20")),
    Case(
        "a camera for less than its void gets",
        design(cam='space = "void", works_to_c = 10'),
        (one("gear-range", "error", "device.cam", '"void"'),),
    ),
    Case(
        "a UPS for less than its room gets",
        design(ups="efficiency = 0.9, works_to_c = 10"),
        (one("gear-range", "error", "ups.u", '"room"'),),
    ),
    Case(
        "its part states it",
        design(cam='part = "dome", space = "void"', more="[part.dome]\nworks_to_c = 10\n"),
        (one("gear-range", "error", "device.cam", '"void"'),),
    ),
    Case(
        "the space is not known",
        design(cam="works_to_c = 10"),
        (one("gear-range", "open", "device.cam", "cam"),),
    ),
    Case(
        "the temperature is not known",
        design(cam='space = "void", works_to_c = 10').replace("void = { max_c = 20,", "void = {"),
        (one("gear-range", "open", "device.cam", "void"),),
    ),
    Case(
        "somebody asked for the hottest: the mean does not stand in for it",
        design(cam='space = "void", works_to_c = 25').replace(
            "void = { max_c = 20,", 'void = { max_c = "unknown", mean_c = 20,'
        ),
        (one("gear-range", "open", "device.cam", '"unknown"'),),
    ),
    Case(
        "the basis assumes the temperature",
        design(cam='space = "void", works_to_c = 25').replace("void = { max_c = 20,", "void = {"),
        (one("gear-range", "error", "device.cam", '"void"'),),
        "[assume.space]\nmax_c = 30\n",
    ),
    Case(
        "the basis assumes what cameras are made for",
        design(),
        (
            one("gear-range", "error", "device.cam", '"void"'),
            one("gear-range", "error", "device.recorder", '"room"'),
        ),
        "[assume.device]\nworks_to_c = 19\n",
    ),
]


@pytest.mark.parametrize("case", ROWS, ids=[case.shows for case in ROWS])
def test_the_rule_says_this_and_nothing_else(case: Case) -> None:
    assert sorted(said(case, RULE)) == sorted(case.expected)


def the(text: str, check: str, basis: str = "") -> Finding:
    review = review_text(text, [RULE], basis=basis)
    assert review.problems == ()
    assert review.faults == ()
    (finding,) = [finding for finding in review.findings if finding.check.name == check]
    return finding


def by_hand_w() -> tuple[float, float]:
    """Heat of the room and of the void, in watts."""
    ohm = 50 * OHM_PER_M  # two pairs: a loop of 100 m over two
    current_a = (52 - math.sqrt(52 * 52 - 4 * ohm * 8)) / (2 * ohm)
    port_w = 52 * current_a
    switch_w = 20 + port_w / 0.8
    ups_w = (switch_w + 30) * (1 / 0.9 - 1)
    return 20 + port_w / 4 + 30 + ups_w, 8 + current_a * current_a * ohm


def test_the_sum_is_that_of_the_hand() -> None:
    room_w, _ = by_hand_w()
    answer = the(design(room="cooling_w = 50"), "cooling").answer
    assert room_w == pytest.approx(58.7, abs=0.05)
    assert answer.value == round(room_w, 1)
    assert answer.limit == 50
    assert answer.margin == round(50 - room_w, 1)
    assert answer.message == (
        "room: its gear and cables release 58.7 W (200 BTU/h), its cooling carries off 50 W (171 BTU/h)"
    )
    assert answer.working == (
        "recorder 30 W + core own use 20 W + u conversion 6.7 W + core conversion 2 W = 58.7 W (200 BTU/h) > "
        "50 W (171 BTU/h); without the charging of batteries"
    )
    assert round(58.7 * 3.412142) == 200
    assert [place.at for place in answer.related] == [
        ("device", "recorder"),
        ("switch", "core"),
        ("ups", "u"),
    ]
    assert answer.remedy is not None
    assert answer.remedy.text == "cooling of at least 59 W (201 BTU/h), or core (22 W) in another space"
    assert [(change.at, change.value) for change in answer.remedy.changes] == [
        (("space", "room", "cooling_w"), 59)
    ]


def test_what_a_cable_loses_warms_the_space_that_it_lies_in() -> None:
    _, void_w = by_hand_w()
    answer = the(design(void="cooling_w = 5"), "cooling").answer
    assert answer.value == round(void_w, 1)
    assert answer.working.startswith("cam 8 W + R cable 0.1 W = 8.1 W")


def test_an_open_answer_says_where_it_turns_and_what_is_missing() -> None:
    answer = the(design(room=""), "cooling", ASK).answer
    assert answer.turns == "holds with cooling of 59 W (201 BTU/h) or more"
    assert answer.missing == (("space", "room", "cooling_w"),)
    answer = the(design(ac="efficiency = 0.8"), "cooling").answer
    assert ("switch", "core", "ac", "own_w") in answer.missing
    # 30 W, 2 W of conversion, and a ninth of the (30 + 10) W that the UPS gives
    assert answer.message.endswith("36.5 W or more")
    answer = the(
        design(cam='role = "camera"', room="cooling_w = 60", more="[role]\ncamera = {}\n"), "cooling"
    ).answer
    assert answer.missing == (("device", "cam", "space"),)


def test_what_is_assumed_is_named() -> None:
    finding = the(
        design(ac="efficiency = 0.8", room="cooling_w = 50"), "cooling", "[assume.ac]\nown_w = 20\n"
    )
    assert finding.assumed == ("ac.own_w",)


def test_charging_is_not_counted_and_the_rule_says_so() -> None:
    assert "without the charging of batteries" in RULE.check("cooling").formula


def test_gear_says_where_it_is_too_warm_and_for_what_it_is_made() -> None:
    finding = the(design(core=", works_to_c = 15"), "gear-range")
    answer = finding.answer
    assert answer.message == "core: it gets 20 °C in room, its maker allows 15 °C"
    assert (answer.value, answer.limit, answer.margin, answer.unit) == (20, 15, -5, "°C")
    assert pointed_at(finding) == '"room"'
    assert [place.at for place in answer.related] == [
        ("space", "room", "max_c"),
        ("switch", "core", "works_to_c"),
    ]
    assert answer.remedy is not None
    assert answer.remedy.text == (
        "a space that stays at 15 °C or below, cooling that keeps room there, or gear for 20 °C or more"
    )
    assert answer.held_against is not None
    assert answer.held_against.known == "stated"


def test_gear_of_one_part_in_one_space_is_one_finding() -> None:
    cameras = "".join(f'cam-{number} = {{ part = "dome", space = "loft" }}\n' for number in range(1, 5))
    text = (
        "[design]\ntitle = 'd'\n[space]\nloft = { max_c = 55 }\nroom = { max_c = 50 }\n"
        f"[part.dome]\nworks_to_c = 40\n[device]\n{cameras}"
        'apart = { part = "dome", space = "room" }\nown = { part = "dome", space = "loft", works_to_c = 45 }\n'
    )
    found = [finding for finding in review_text(text, [RULE]).findings if finding.check.name == "gear-range"]
    assert sorted((finding.subject, finding.answer.message) for finding in found) == [
        ("device.apart", "apart: it gets 50 °C in room, its maker allows 40 °C"),
        ("device.own", "own: it gets 55 °C in loft, its maker allows 45 °C"),
        ("part.dome", "cam-1 and 3 more of part dome: it gets 55 °C in loft, its maker allows 40 °C"),
    ]
    (gathered,) = [finding for finding in found if finding.subject == "part.dome"]
    places = [place.at for place in gathered.answer.related if place.message == "stands there too"]
    assert places == [("device", f"cam-{number}") for number in (2, 3, 4)]
    # ... and what is not known of that space is one answer as well.
    unknown = review_text(text.replace("loft = { max_c = 55 }", "loft = {}"), [RULE]).findings
    assert sorted(finding.subject for finding in unknown) == ["device.apart", "device.own", "part.dome"]


def test_what_is_right_is_counted_and_what_is_not_asked_says_why() -> None:
    review = review_text(design(core=", works_to_c = 40"), [RULE])
    assert {group.name: group.subjects for group in review.passes} == {
        "room-heat/cooling": ("space.room",),
        "room-heat/gear-range": ("switch.core",),
    }
    skipped = {(entry.name, entry.subject): entry.why for entry in review.not_applicable}
    assert skipped["room-heat/cooling", "space.void"].startswith("no switch, injector, UPS")
    assert ("room-heat/gear-range", "device.cam") in skipped
    silent = review_text(design(room=""), [RULE])
    assert {(entry.name, entry.why) for entry in silent.not_applicable} == {
        ("room-heat/cooling", "no cooling is stated and the basis does not ask for it"),
        ("room-heat/gear-range", "of no gear the highest ambient is stated that its maker allows"),
    }


# -- remedies -----------------------------------------------------------------------------------------------------


def hold_remedies(text: str, basis: str = "") -> int:
    """Apply every remedy that is data: its finding goes and no error comes; return how many there were."""
    rules = load_rules().rules
    before = review_text(text, [offered.rule for offered in rules], basis=basis)
    errors = {finding.fingerprint for finding in before.findings if finding.level == "error"}
    tried = 0
    for finding in before.findings:
        remedy = finding.answer.remedy
        if finding.rule_id != RULE.id or remedy is None or not remedy.changes:
            continue
        tried += 1
        after = review_text(
            mended(text, remedy, basis=basis), [offered.rule for offered in rules], basis=basis
        )
        assert after.problems == ()
        assert finding.fingerprint not in {found.fingerprint for found in after.findings}
        assert {found.fingerprint for found in after.findings if found.level == "error"} <= errors
    return tried


@pytest.mark.parametrize(
    "case", [case for case in ROWS if "carries off" in case.shows or "injector" in case.shows]
)
def test_a_remedy_clears_its_finding_and_brings_no_new_error(case: Case) -> None:
    hold_remedies(case.design, case.basis)


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.integers(0, 90), st.integers(0, 60), st.floats(0.4, 1), st.integers(0, 200))
def test_any_cooling_that_is_mended_holds(cooling: int, own_w: int, share: float, metres: int) -> None:
    text = design(
        room=f"cooling_w = {cooling}",
        ac=f"own_w = {own_w}, efficiency = {share:.3f}",
        link=f"link_m = {metres}",
    )
    failed = [finding for finding in review_text(text, [RULE]).findings if finding.answer.kind == "fail"]
    assert hold_remedies(text) == len(failed)


@pytest.mark.parametrize("kept", ["as-found", "as-built"])
def test_the_cooling_of_a_room_that_stands_is_not_changed(kept: str) -> None:
    remedy = the(design(room="cooling_w = 50", stage=kept), "cooling").answer.remedy
    assert remedy is not None
    assert remedy.changes == ()
    assert remedy.text.startswith("cooling of at least 59 W")


def test_a_measured_cooling_is_not_changed() -> None:
    text = design(room='cooling_w = { is = 50, origin = "measured" }')
    remedy = the(text, "cooling").answer.remedy
    assert remedy is not None
    assert remedy.changes == ()


def test_a_limit_that_somebody_asked_for_and_nobody_knows_is_not_told() -> None:
    text = (
        "[design]\ntitle = 'd'\n[space]\nvoid = { max_c = 55 }\n"
        "[switch]\nsw = { space = 'void', works_to_c = 'unknown' }\n"
    )
    (finding,) = [found for found in review_text(text, [RULE]).findings if found.check.name == "gear-range"]
    assert finding.answer.kind == "open"
    assert finding.answer.missing == (("switch", "sw", "works_to_c"),)
    assert finding.answer.turns == "holds if its maker allows 55 °C or more"
