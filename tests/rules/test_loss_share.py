"""loss-share: rows of designs with all that the rule says of them, sums done by hand, remedies that mend.

The share is the basis's own: no standard limits it. Resistance: ASTM B258, IEC 60028 (memory), written out anew; a
year has 365 × 24 = 8,760 h. Draw and prices of nothing here are those of a product.
"""

import math
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from riserlint import load_rules
from riserlint.review.engine import review_design
from riserlint.review.findings import Finding
from riserlint.review.plugins import Offered
from riserlint.testing import TODAY, Case, Expected, mended, pointed_at, review_text, said
from riserlint_rules.loss_share import RULE

FIVE = "[rule.loss-share]\nmost_share = 0.05\n"


def design(
    metres: tuple[float | str, ...] = (90, 90),
    *,
    watts: str = "typical = 12, night = 25.5",
    pd_class: int = 4,
    cable: str = "conductor_awg = 24",
    run_cable: str = 'cable = "c", ',
    volts: float = 50,
    celsius: float = 20,
    more: str = "",
) -> str:
    """Return equal devices on runs of some lengths, cable alone, from one source."""
    devices = "".join(
        f"d{i} = {{ pd = {{ pd_class = {pd_class} }}, draw_w = {{ {watts} }} }}\n" for i in range(len(metres))
    )
    runs = "".join(
        f'R{i} = {{ from = "core/{i + 1}", to = "d{i}", {run_cable}link_m = {link_m}, cords_m = [], connections = 0, '
        'space = "s", bundle = "none" }\n'
        for i, link_m in enumerate(metres)
    )
    return (
        f'[design]\ntitle = "invented"\n[space]\ns = {{ max_c = {celsius} }}\n'
        f'[cable]\nc = {{ category = "6", material = "copper", strand = "solid", {cable} }}\n'
        f'[switch]\ncore = {{ pse = {{ type = 4, scheme = "ieee", min_v = {volts}, reserves = "measured", '
        "budget_w = 900, lldp = true }, ports = { 1-40 = { pse_class = 8 } } }\n"
        f"[device]\n{devices}[run]\n{runs}{more}"
    )


def one(check: str, outcome: str = "note", subject: str = "cable.c", points_at: str = "c") -> Expected:
    return Expected(check, outcome, subject, points_at)


ALL = Expected("design", "note", "design.copper", '"invented"')
UNSURE = Expected("design", "open", "design.copper", '"invented"')
ROWS = [
    Case("the basis asks nothing", design()),
    Case("long runs of 24 AWG over two pairs, 5 % asked", design(), (one("run"), ALL), FIVE),
    Case("15 % asked", design(), (), FIVE.replace("0.05", "0.15")),
    Case("short runs", design((30, 20)), (), FIVE),
    Case("class 6 goes over four pairs: 25 W lose half", design((60,), pd_class=6, volts=52), (), FIVE),
    Case("one long run among short ones: the design as a whole is within it", design((90, 10, 10, 10, 10)),
         (one("run"),), FIVE),
    Case("thicker cable", design((60,), cable="conductor_awg = 22"), (), FIVE),
    Case("a length is not known", design((20, '"unknown"')), (one("run", "open"), UNSURE), FIVE),
    Case("the gauge is not known, and it may be too much", design((60,), cable='outer_mm = 6'),
         (one("run", "open"), UNSURE), FIVE),
    Case("the gauge is not known, and 100 m would be too much of any", design((100,), cable='outer_mm = 6'),
         (one("run"), ALL), FIVE),
    Case("the kind of cable is not known", design((100,), run_cable=""),
         (one("run", "note", "run.R0", "R0"), ALL), FIVE),
    Case("a device that draws nothing", design((90,), watts="day = 0"), (), FIVE),
    Case("no run carries power", '[design]\ntitle = "invented"\n', (), FIVE),
    Case("one fails and of one it is not known", design((90, '"unknown"')),
         (one("run"), one("run", "open"), UNSURE), FIVE),
]  # fmt: skip


@pytest.mark.parametrize("case", ROWS, ids=[case.shows for case in ROWS])
def test_the_rule_says_this_and_nothing_else(case: Case) -> None:
    assert sorted(said(case, RULE)) == sorted(case.expected)


def the(text: str, check: str, basis: str = FIVE) -> Finding:
    review = review_text(text, [RULE], basis=basis)
    assert review.problems == ()
    assert review.faults == ()
    (finding,) = [
        found for found in review.findings if found.check.name == check and found.answer.kind == "fail"
    ]
    return finding


def lost_w(
    metres: float, watts: float, *, awg: int = 24, volts: float = 50, pairs: int = 2, celsius: float = 20
) -> float:
    """What the cable loses, by the quadratic formula; nothing of the engine in it."""
    area_mm2 = math.pi / 4 * (0.127 * math.pow(92, (36 - awg) / 39)) ** 2
    ohm = 2 * metres / 58 / area_mm2 * (1 + 0.00393 * (celsius - 20)) / pairs
    current_a = (volts - math.sqrt(volts * volts - 4 * ohm * watts)) / (2 * ohm)
    return current_a * current_a * ohm


def test_the_sum_of_a_kind_of_cable_is_that_of_the_hand() -> None:
    answer = the(design((90, 80, 20)), "run").answer
    worst_w = lost_w(90, 25.5)
    share = 100 * worst_w / (25.5 + worst_w)
    both_w = worst_w + lost_w(80, 25.5)
    year_kwh = (lost_w(90, 12) + lost_w(80, 12)) * 8.76
    assert answer.value == pytest.approx(share, abs=0.005)
    assert answer.margin == pytest.approx(5 - share, abs=0.005)
    saved = [
        (
            both_w - lost_w(90, 25.5, awg=awg) - lost_w(80, 25.5, awg=awg),
            year_kwh - (lost_w(90, 12, awg=awg) + lost_w(80, 12, awg=awg)) * 8.76,
        )
        for awg in (23, 22)
    ]
    (saved_23, kwh_23), (saved_22, kwh_22) = saved
    assert answer.message == (
        f"2 of 3 powered runs of c lose more than 5 % of the power at the source in copper: worst R0 (core/1 to d0) "
        f"{share:.1f} %; all of them together {both_w:.1f} W and {year_kwh:.1f} kWh a year; in place of 24 AWG, 23 AWG "
        f"would save {round(saved_23, 1):g} W and {kwh_23:.1f} kWh a year, 22 AWG would save {saved_22:.1f} W and "
        f"{kwh_22:.1f} kWh a year"
    )
    assert answer.related[0].at == ("run", "R0")
    assert [place.at[1] for place in answer.related] == ["R0", "R1"]
    assert "limits at the maximum draw, the year at the typical draw, 8,760 h" in answer.working


def test_the_saving_is_that_of_a_design_with_the_other_gauge() -> None:
    """The same design drawn with 22 AWG loses so much less."""
    thick = the(design(cable="conductor_awg = 22"), "design", FIVE.replace("0.05", "0.001")).answer
    thin = the(design(), "design", FIVE.replace("0.05", "0.001")).answer
    now_w, then_w = (float(answer.message.split()[2]) for answer in (thin, thick))
    run = the(design(), "run").answer
    saved_w = float(run.message.split("22 AWG would save ")[1].split()[0])
    assert saved_w == pytest.approx(now_w - then_w, abs=0.1)


def test_a_warm_run_loses_more_and_its_saving_is_reckoned_warm() -> None:
    answer = the(design((90,), celsius=60), "run").answer
    now_w = lost_w(90, 25.5, celsius=60)
    assert f"%, {now_w:.1f} W and" in answer.message
    assert f"22 AWG would save {now_w - lost_w(90, 25.5, awg=22, celsius=60):.1f} W" in answer.message
    assert now_w > 1.15 * lost_w(90, 25.5)


def test_a_year_without_a_typical_draw_is_reckoned_at_the_maximum_and_says_so() -> None:
    answer = the(design((90,), watts="night = 25.5"), "run").answer
    assert f"and {lost_w(90, 25.5) * 8.76:.0f} kWh a year" in answer.message
    assert "the year at the maximum draw, 8,760 h" in answer.working


def test_the_basis_may_state_other_hours() -> None:
    answer = the(design((90,)), "run", FIVE + "hours_per_year = 1000\n").answer
    assert f"and {lost_w(90, 12):.1f} kWh a year" in answer.message
    assert "1,000 h" in answer.working


def test_the_working_is_the_sum_of_the_worst_run() -> None:
    answer = the(design((90,)), "run").answer
    worst_w = lost_w(90, 25.5)
    current_a = (25.5 + worst_w) / 50
    ohm = worst_w / current_a**2
    assert answer.working.startswith(
        f"R0: 2 × 25.5 W / (50 V + √(50² V² − 4 × 25.5 W × {ohm:.4g} Ω)) = {current_a:.4f} A; squared × {ohm:.4g} Ω = "
        f"{round(worst_w, 2):g} W; / {round(25.5 + worst_w, 2):g} W = {100 * worst_w / (25.5 + worst_w):.1f} % > 5 %; "
    )


def test_the_whole_design_is_the_sum_of_its_runs() -> None:
    finding = the(design((90, 60), more=""), "design")
    copper_w = lost_w(90, 25.5) + lost_w(60, 25.5)
    answer = finding.answer
    assert answer.value == pytest.approx(100 * copper_w / (51 + copper_w), abs=0.005)
    year_kwh = (lost_w(90, 12) + lost_w(60, 12)) * 8.76
    assert answer.message == (
        f"copper takes {copper_w:.1f} W of the {51 + copper_w:.1f} W that the sources give, "
        f"{round(100 * copper_w / (51 + copper_w), 1):g} %, more than 5 %; {year_kwh:.1f} kWh a year"
    )
    assert pointed_at(finding) == '"invented"'
    assert answer.held_against is not None
    assert answer.held_against.known == "stated"


def test_of_a_range_the_least_share_is_the_one_that_fails_and_its_sum_can_be_redone() -> None:
    """Typical draw alone: the upper end is the class's, so that copper and use are ranges."""
    answer = the(design((90, 80), watts="typical = 20"), "design", FIVE.replace("0.05", "0.01")).answer
    found = re.search(
        r"at least ([\d.]+) W / \(([\d.]+) W \+ ([\d.]+) W used\) = ([\d.]+) %", answer.working or ""
    )
    assert found is not None, answer.working
    least, again, used, percent = map(float, found.groups())
    assert least == again
    assert 100 * least / (least + used) == pytest.approx(percent, abs=0.2)
    assert answer.value == pytest.approx(percent, abs=0.06)


def test_what_is_right_is_counted_and_what_is_not_asked_says_why() -> None:
    review = review_text(design((90, 10, 10, 10, 10)), [RULE], basis=FIVE)
    assert {group.name: group.subjects for group in review.passes} == {
        "loss-share/run": ("run.R1", "run.R2", "run.R3", "run.R4"),
        "loss-share/design": ("design.copper",),
    }
    silent = review_text(design(), [RULE])
    assert {(entry.name, entry.why) for entry in silent.not_applicable} == {
        ("loss-share/run", "the basis states no share that may be lost"),
        ("loss-share/design", "the basis states no share that may be lost"),
    }


def test_a_share_that_can_not_be_is_refused() -> None:
    for share in ("0", "1", "-0.1", '"5 %"'):
        assert review_text(design(), [RULE], basis=FIVE.replace("0.05", share)).problems


# -- remedies -----------------------------------------------------------------------------------------------------


def hold_remedies(text: str, basis: str) -> int:
    """Apply every remedy that is data: its finding goes and no error comes; return how many there were."""
    rules = [offered.rule for offered in load_rules().rules]
    before = review_text(text, rules, basis=basis)
    errors = {finding.fingerprint for finding in before.findings if finding.level == "error"}
    tried = 0
    for finding in before.findings:
        remedy = finding.answer.remedy
        if finding.rule_id != RULE.id or remedy is None or not remedy.changes:
            continue
        tried += 1
        after = review_text(mended(text, remedy, basis=basis), rules, basis=basis)
        assert after.problems == ()
        assert finding.fingerprint not in {found.fingerprint for found in after.findings}
        assert {found.fingerprint for found in after.findings if found.level == "error"} <= errors
    return tried


def test_the_next_gauge_that_is_enough_is_named() -> None:
    finding = the(design((60, 70)), "run", FIVE.replace("0.05", "0.06"))
    remedy = finding.answer.remedy
    assert remedy is not None
    share = 100 * lost_w(70, 25.5, awg=23) / (25.5 + lost_w(70, 25.5, awg=23))
    assert remedy.text == f"23 AWG in place of 24 AWG: {round(share, 1):g} % at most"
    assert [(change.at, change.value) for change in remedy.changes] == [(("cable", "c", "conductor_awg"), 23)]
    assert hold_remedies(design((60, 70)), FIVE.replace("0.05", "0.06")) == 1


def test_where_no_gauge_is_enough_the_pairs_are_named() -> None:
    remedy = the(design((100,)), "run", FIVE.replace("0.05", "0.03")).answer.remedy
    assert remedy is not None
    assert remedy.changes == ()
    assert remedy.text.startswith("no gauge in use is enough by itself: four powered pairs in place of two")


def test_four_pairs_need_a_source_that_has_them_and_a_gauge_keeps_its_material() -> None:
    """Types 1 and 2 power two pairs (IEEE Std 802.3-2022, clauses 33 and 145, from memory)."""
    text = design((100,)).replace("type = 4", "type = 2").replace('"copper"', '"copper-clad-aluminium"')
    answer = the(text, "run", FIVE.replace("0.05", "0.03")).answer
    assert answer.remedy is not None
    assert answer.remedy.text.startswith(
        "no gauge in use of the same copper-clad aluminium is enough by itself: "
        "four powered pairs in place of two from a source of Type 3 or 4, "
    )
    assert "in place of 24 AWG of the same copper-clad aluminium, 23 AWG would save" in answer.message


def test_a_gauge_of_a_parts_file_is_not_changed_since_other_designs_use_it(tmp_path: Path) -> None:
    kind = 'c = { category = "6", material = "copper", strand = "solid", conductor_awg = 24 }'
    text = design((70,))
    assert kind in text
    (tmp_path / ".git").mkdir()
    (tmp_path / "basis.toml").write_text(FIVE.replace("0.05", "0.06"), encoding="utf-8")
    (tmp_path / "parts.toml").write_text(f"[cable]\n{kind}\n", encoding="utf-8")
    apart = text.replace(f"[cable]\n{kind}\n", "").replace("[design]", '[design]\nparts = ["parts.toml"]')
    (tmp_path / "design.toml").write_text(apart, encoding="utf-8")
    reviewed = review_design(tmp_path / "design.toml", [Offered(RULE, "test", "test")], today=TODAY)
    (finding,) = [found for found in reviewed.findings if found.check.name == "run"]
    remedy, own = finding.answer.remedy, the(text, "run", FIVE.replace("0.05", "0.06")).answer.remedy
    assert remedy is not None
    assert own is not None
    assert remedy == own._replace(changes=())
    assert own.changes


def test_a_measured_gauge_and_one_that_the_basis_assumes_are_not_changed() -> None:
    measured = design((70,), cable='conductor_awg = { is = 24, origin = "measured" }')
    assumed = design((70,), cable="outer_mm = 6")
    for text, basis in ((measured, FIVE), (assumed, FIVE + "[assume.cable]\nconductor_awg = 24\n")):
        remedy = the(text, "run", basis.replace("0.05", "0.06")).answer.remedy
        assert remedy is not None
        assert remedy.text.startswith("23 AWG in place of 24 AWG")
        assert remedy.changes == ()


def test_a_gauge_is_not_changed_where_another_run_of_its_kind_does_not_work_yet() -> None:
    """With 26 AWG the run of 87 m would work, and lose more than is accepted."""
    text = design((39, 87), watts="night = 71.3", pd_class=8, cable="conductor_awg = 28", volts=52)
    remedy = the(text, "run", FIVE.replace("0.05", "0.125")).answer.remedy
    assert remedy is not None
    assert remedy.text.startswith("26 AWG in place of 28 AWG")
    assert remedy.changes == ()


@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(
    st.lists(st.integers(5, 100), min_size=1, max_size=4),
    st.sampled_from([(3, 12.95), (4, 25.5), (6, 51), (8, 71.3)]),
    st.sampled_from([22, 23, 24, 26, 28]),
    st.floats(0.01, 0.2),
)
def test_any_gauge_that_is_mended_holds(
    metres: list[int], load: tuple[int, float], awg: int, share: float
) -> None:
    text = design(
        tuple(metres), watts=f"night = {load[1]}", pd_class=load[0], cable=f"conductor_awg = {awg}", volts=52
    )
    hold_remedies(text, f"[rule.loss-share]\nmost_share = {share:.4f}\n")


# -- chains and cascades ------------------------------------------------------------------------------------------

CASCADE = (
    '[switch.hall]\nspace = "s"\ninlet = { port = "up", pd_class = 8, own_w = 5, efficiency = 0.9, passes_through = '
    'false }\npse = { type = 2, scheme = "ieee", min_v = 50, budget_w = "none", reserves = "measured" }\n'
    'ports = { 1-4 = { pse_class = 4 } }\n[run.U]\nfrom = "core/9"\nto = "hall/up"\ncable = "c"\nlink_m = 80\n'
    'cords_m = []\nconnections = 0\nspace = "s"\nbundle = "none"\n'
    '[device.e]\npd = { pd_class = 3 }\ndraw_w = { typical = 4, night = 10 }\n[run.E]\nfrom = "hall/1"\nto = "e"\n'
    'cable = "c"\nlink_m = 50\ncords_m = []\nconnections = 0\nspace = "s"\nbundle = "none"\n'
)


def test_a_floor_switch_and_what_hangs_on_it_are_runs_like_others() -> None:
    answer = the(design((), more=CASCADE), "run", FIVE.replace("0.05", "0.01")).answer
    below_w = lost_w(50, 10)
    inlet_w = 5 + (10 + below_w) / 0.9
    riser_w = lost_w(80, inlet_w, pairs=4)
    assert f"all of them together {below_w + riser_w:.1f} W" in answer.message
    usual_w = lost_w(50, 4)
    usual_w += lost_w(80, 5 + (4 + usual_w) / 0.9, pairs=4)
    assert f"{usual_w * 8.76:.1f} kWh a year;" in answer.message


def test_in_a_cascade_a_watt_is_given_once() -> None:
    answer = the(design((), more=CASCADE), "design", FIVE.replace("0.05", "0.01")).answer
    below_w = lost_w(50, 10)
    inlet_w = 5 + (10 + below_w) / 0.9
    riser_w = lost_w(80, inlet_w, pairs=4)
    assert answer.value == pytest.approx(100 * (below_w + riser_w) / (inlet_w + riser_w), abs=0.005)


CHAIN = CASCADE.replace("efficiency = 0.9, passes_through = false", "passes_through = true, drop_v = 0.5")


@settings(max_examples=30, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(
    st.sampled_from([CASCADE, CHAIN]),
    st.integers(1, 100),
    st.integers(1, 100),
    st.sampled_from([23, 24, 26]),
    st.floats(0.01, 0.1),
)
def test_any_gauge_that_is_mended_in_a_cascade_holds(
    more: str, riser_m: int, link_m: int, awg: int, share: float
) -> None:
    more = more.replace("link_m = 80", f"link_m = {riser_m}").replace("link_m = 50\n", f"link_m = {link_m}\n")
    text = design((30,), cable=f"conductor_awg = {awg}", more=more)
    hold_remedies(text, f"[rule.loss-share]\nmost_share = {share:.4f}\n")
