"""circuit-load: each row is a design on one base, with the whole of what the rule says of it."""

import itertools
import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.review.findings import Finding
from riserlint.testing import Case, Expected, pointed_at, review_text, said
from riserlint_rules.circuit_load import RULE

#: 1,000 W with a power factor of 0.8: 1,250 VA; at 250 V 5 A.
BASE = """
[design]
title = "t"
region = "europe"
[circuit]
C = { from = "mains", volts = 250, breaker_a = 16, rated_100 = false, others_w = 0, others_power_factor = 1 }
[device]
rec = { from = "C", draw_w = { day = 1000 }, ac = { power_factor = 0.8 } }
"""
UPS = '[ups]\nu = { from = "C", efficiency = 0.8, input_power_factor = 1, recharge_w = 250 }\n'
SECOND = '[circuit.D]\nfrom = "mains"\n'


def changed(*pairs: tuple[str, str], base: str = BASE) -> str:
    for old, new in pairs:
        assert base.count(old) == 1, old
        base = base.replace(old, new)
    return base


def e(outcome: str, points_at: str, subject: str = "circuit.C") -> Expected:
    return Expected("continuous", outcome, subject, points_at)


NA = ('"europe"', '"north-america"')
BREAKER_6 = ("breaker_a = 16", "breaker_a = 6")
ON_UPS = ('"C", draw_w', '"u", draw_w')
TWO = (
    'core = { supplies = [{ from = "C" }, { from = "D" }], supply_mode = "redundant", '
    "ac = { own_w = 1000, power_factor = 0.8 } }"
)
SHARED = (
    'rec = { from = "C", draw_w = { day = 1000 }, ac = { power_factor = 0.8 } }\n',
    f"[switch]\n{TWO}\n" + SECOND,
)

CASES = [
    Case("5 A are within a breaker of 16 A", BASE),
    # IEC 60364-4-43, 433.1 (from memory): the design current may be the whole of the rated current.
    Case("5 A are within a breaker of 5 A in IEC countries", changed(("breaker_a = 16", "breaker_a = 5"))),
    Case("5 A are not within 4.9 A", changed(("breaker_a = 16", "breaker_a = 4.9")), (e("error", "4.9"),)),
    # NFPA 70 (NEC) 210.20(A), as quoted by trade pages: 125 % of the continuous load, so 0.8 of the breaker.
    Case("5 A are the 80 % of 6.25 A", changed(NA, ("breaker_a = 16", "breaker_a = 6.25"))),
    Case("5 A are more than the 80 % of 6 A, 4.8 A", changed(NA, BREAKER_6), (e("error", "6"),)),
    Case(
        "an assembly listed for 100 % carries 5 A of 6 A",
        changed(NA, BREAKER_6, ("rated_100 = false", "rated_100 = true")),
    ),
    Case(
        "an assembly listed for 100 % does not carry 5 A of 4 A",
        changed(NA, ("breaker_a = 16", "breaker_a = 4"), ("rated_100 = false", "rated_100 = true")),
        (e("error", "4"),),
    ),
    Case(
        "whether it is listed for 100 % is not known, and decides",
        changed(NA, BREAKER_6, ("rated_100 = false, ", "")),
        (e("open", "6"),),
    ),
    Case(
        "whether it is listed for 100 % does not matter for 5 A of 16 A",
        changed(NA, ("rated_100 = false, ", "")),
    ),
    Case("in Europe nobody asks for how much it is listed", changed(BREAKER_6, ("rated_100 = false, ", ""))),
    Case(
        "of an unknown region 5 A of 6 A can't be told",
        changed(BREAKER_6, ('region = "europe"\n', "")),
        (e("open", "6"),),
    ),
    Case("of an unknown region 5 A of 16 A hold", changed(('region = "europe"\n', ""))),
    Case(
        "no breaker is stated of any circuit: nothing is asked",
        changed(("volts = 250, breaker_a = 16, ", "")),
    ),
    Case(
        "a breaker that somebody asked for is missing",
        changed(("16", '"unknown"')),
        (e("open", '"unknown"'),),
    ),
    Case(
        "volts that are stated ask for the breaker",
        changed((" breaker_a = 16,", "")),
        (e("open", "C"),),
    ),
    Case("a breaker that is stated asks for the volts", changed((" volts = 250,", "")), (e("open", "16"),)),
    Case(
        "of another circuit nothing is stated", BASE.replace("[device]", 'D = { from = "mains" }\n[device]')
    ),
    Case(
        "what else runs on it is not known: our own 5 A pass never",
        changed((" others_w = 0,", "")),
        (e("open", "16"),),
    ),
    Case(
        "what else runs on it is not known: our own 5 A fail alone",
        changed((" others_w = 0,", ""), ("breaker_a = 16", "breaker_a = 4")),
        (e("error", "4"),),
    ),
    # 5 A and 250 W / 250 V = 1 A.
    Case("what else runs on it is counted", changed(("others_w = 0", "others_w = 250"), BREAKER_6)),
    Case(
        "what else runs on it is too much",
        changed(("others_w = 0", "others_w = 251"), BREAKER_6),
        (e("error", "6"),),
    ),
    Case(
        "a power factor that is not known is 0.5 to 1: 1,000 W are 4 A to 8 A",
        changed((", ac = { power_factor = 0.8 }", ""), BREAKER_6),
        (e("open", "6"),),
    ),
    Case("8 A at the worst are within 8 A", changed((", ac = { power_factor = 0.8 }", ""), ("= 16", "= 8"))),
    # 1,000 W / 0.8 + 250 W = 1,500 W = 6 A.
    Case("behind a UPS it takes its losses and its recharge along", changed(ON_UPS, BREAKER_6) + UPS),
    Case(
        "behind a UPS it is too much with the recharge",
        changed(ON_UPS, BREAKER_6) + UPS.replace("250", "255"),
        (e("error", "6"),),
    ),
    Case(
        "recharge that nobody states may be anything",
        changed(ON_UPS) + UPS.replace(", recharge_w = 250", ""),
        (e("open", "16"),),
    ),
    Case(
        "an efficiency that nobody states may be anything",
        changed(ON_UPS) + UPS.replace("efficiency = 0.8, ", ""),
        (e("open", "16"),),
    ),
    Case(
        "a UPS's own power factor counts at its input, not that of its load",
        changed(ON_UPS, BREAKER_6) + UPS.replace("factor = 1", "factor = 0.9"),
        (e("error", "6"),),
    ),
    Case(
        "a UPS that hangs nobody knows where may hang here",
        changed(ON_UPS, ("16", "7")) + UPS.replace('from = "C", ', "").replace("1, re", "0.8, re"),
        (e("open", "7"),),
    ),
    Case(
        "two supplies: the whole is carried once the other is off, a warning",
        changed(SHARED, ("16", "4.9")),
        (e("warning", "4.9"),),
    ),
    Case("two supplies: the whole fits", changed(SHARED)),
    Case(
        "two supplies that are combined share it at all times",
        changed(SHARED, ("16", "4.9")).replace("redundant", "combined"),
        (e("open", "4.9"),),
    ),
    Case("two supplies on one circuit are one load", changed(SHARED).replace('from = "D"', 'from = "C"')),
    Case(
        "two supplies on one circuit carry the whole at all times",
        changed(SHARED, ("16", "4.9")).replace('from = "D"', 'from = "C"'),
        (e("error", "4.9"),),
    ),
    Case(
        "gear on an unknown socket may hang on the circuit",
        changed(("16", "6")) + 'tv = { from = "unknown", draw_w = { day = 200 } }\n',
        (e("open", "6"),),
    ),
    Case(
        "gear on an unknown socket that would fit as well decides nothing",
        changed(("16", "6.6")) + 'tv = { from = "unknown", draw_w = { day = 200 } }\n',
    ),
    # A circuit behind a circuit: what else runs on that one comes along, 1,250 VA + 250 VA = 6 A.
    Case(
        "a circuit takes along what hangs on the circuits behind it",
        changed(('"C", draw_w', '"D", draw_w'), ("16", "5.9"))
        + '[circuit.D]\nfrom = "C"\nothers_w = 250\nothers_power_factor = 1\n',
        (e("error", "5.9"),),
    ),
    Case("nothing hangs on it", changed(('"C", draw_w', '"mains", draw_w'))),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.shows)
def test_what_it_says(case: Case) -> None:
    assert said(case, RULE) == case.expected


def only(design: str) -> Finding:
    (finding,) = review_text(design, [RULE]).findings
    return finding


def test_the_words_of_a_circuit_that_carries_too_much() -> None:
    finding = only(changed(NA, BREAKER_6))
    assert finding.answer.message == "C carries 5.00 A; 80% of its breaker of 6 A is 4.8 A"
    assert finding.answer.working == "(rec 1000 W / 0.8 power factor) / 250 V = 5.00 A > 4.8 A"
    assert finding.answer.remedy is not None
    # 0.2 A × 250 V = 50 VA; 125 % of 5 A are 6.25 A, and 15 A the least standard rating (NEC 240.6(A), from memory).
    assert finding.answer.remedy.text == (
        "50 VA or more of it on another circuit, or a breaker of 15 A or more with conductors for it"
    )
    assert finding.answer.value == 5
    assert finding.answer.limit == pytest.approx(4.8)
    assert pointed_at(finding) == "6"


def test_the_words_of_a_ups_on_its_circuit() -> None:
    finding = only(changed(ON_UPS, ("16", "5")) + UPS)
    assert finding.answer.message == "C carries 6.00 A; its breaker of 5 A is 5 A"
    assert finding.answer.working == (
        "(rec 1000 W / 0.8 efficiency + recharge of u 250 W) / 250 V = 6.00 A > 5 A"
    )
    assert ("ups", "u", "recharge_w") in finding.answer.rests_on


def test_a_warning_names_what_has_another_supply() -> None:
    finding = only(changed(SHARED, ("16", "4.9")))
    assert finding.answer.message == (
        "C carries 5.00 A, while another supply of core is off; its breaker of 4.9 A is 4.9 A"
    )


@pytest.mark.parametrize(
    ("design", "missing", "turns"),
    [
        (
            changed((" others_w = 0,", "")),
            {("circuit", "C", "others_w")},
            "holds if all that runs on it takes 4,000 VA or less",
        ),
        (
            changed(NA, BREAKER_6, ("rated_100 = false, ", "")),
            {("circuit", "C", "rated_100")},
            "holds if its assembly is listed for 100 %",
        ),
        (
            changed((" breaker_a = 16,", "")),
            {("circuit", "C", "breaker_a")},
            "holds if its breaker is rated 5 A or more",
        ),
        (changed((" volts = 250,", "")), {("circuit", "C", "volts")}, ""),
        (
            changed(('region = "europe"\n', ""), BREAKER_6),
            {("design", "region")},
            "holds if its assembly is listed for 100 %",
        ),
        (
            changed(ON_UPS) + UPS.replace(", recharge_w = 250", ""),
            {("ups", "u", "recharge_w")},
            "holds if all that runs on it takes 4,000 VA or less",
        ),
        (
            changed((", ac = { power_factor = 0.8 }", ""), BREAKER_6),
            {("device", "rec", "ac", "power_factor")},
            "holds if all that runs on it takes 1,500 VA or less",
        ),
        (
            changed(SHARED, ("16", "4.9")).replace('supply_mode = "redundant", ', ""),
            {("switch", "core", "supply_mode")},
            "holds if all that runs on it takes 1,225 VA or less",
        ),
    ],
)
def test_what_is_missing_is_named(design: str, missing: set[tuple[str, ...]], turns: str) -> None:
    answer = only(design).answer
    assert (set(answer.missing), answer.turns) == (missing, turns)


def test_a_design_without_a_breaker_leaves_nothing_open() -> None:
    review = review_text(changed(("volts = 250, breaker_a = 16, ", "")), [RULE])
    assert [tuple(row)[::2] for row in review.not_applicable] == [
        ("circuit-load/continuous", "no breaker is stated")
    ]


figures = st.floats(1, 2000).map(lambda value: round(value, 2))


@settings(max_examples=100, deadline=None)
@given(
    direct_w=figures,
    behind_w=figures,
    others_w=figures,
    recharge_w=figures,
    factors=st.tuples(*[st.sampled_from([0.5, 0.8, 1.0])] * 3),
    efficiency=st.sampled_from([0.5, 0.9, 1.0]),
    region=st.sampled_from(["north-america", "europe", "international"]),
    listed=st.booleans(),
    breaker_a=st.sampled_from([1, 6, 10, 16, 32]),
)
def test_the_sum_of_all_currents_decides(
    direct_w: float,
    behind_w: float,
    others_w: float,
    recharge_w: float,
    factors: tuple[float, float, float],
    efficiency: float,
    region: str,
    listed: bool,
    breaker_a: int,
) -> None:
    """The current, added up here from the definition of each, against what the region's text allows."""
    design = f"""
[design]
title = "t"
region = "{region}"
[circuit.C]
from = "mains"
volts = 230
breaker_a = {breaker_a}
rated_100 = {str(listed).lower()}
others_w = {others_w}
others_power_factor = {factors[0]}
[ups]
u = {{ from = "C", efficiency = {efficiency}, input_power_factor = {factors[1]}, recharge_w = {recharge_w} }}
[device]
a = {{ from = "C", draw_w = {{ day = {direct_w} }}, ac = {{ power_factor = {factors[2]} }} }}
b = {{ from = "u", draw_w = {{ day = {behind_w} }}, ac = {{ power_factor = 0.5 }} }}
"""
    amperes = (
        others_w / factors[0] + (behind_w / efficiency + recharge_w) / factors[1] + direct_w / factors[2]
    ) / 230
    share = 0.8 if region == "north-america" and not listed else 1.0
    if math.isclose(amperes, share * breaker_a, rel_tol=1e-6):
        return
    findings = review_text(design, [RULE]).findings
    assert bool(findings) == (amperes > share * breaker_a)
    for finding in findings:
        assert finding.level == "error"
        assert finding.answer.value == pytest.approx(amperes)


@settings(max_examples=60, deadline=None)
@given(
    breaker_a=st.floats(1, 40).map(lambda value: round(value, 1)),
    region=st.sampled_from(["europe", "north-america"]),
)
def test_its_remedies_hold(breaker_a: float, region: str) -> None:
    """With the breaker that a finding names, or with the volt-amperes less, it is gone."""
    design = changed(("breaker_a = 16", f"breaker_a = {breaker_a}"), ('"europe"', f'"{region}"'))
    for finding in review_text(design, [RULE]).findings:
        assert finding.answer.remedy is not None
        words = finding.answer.remedy.text.split()
        larger = words[words.index("A") - 1]
        assert (
            review_text(
                changed(("breaker_a = 16", f"breaker_a = {larger}"), ('"europe"', f'"{region}"')), [RULE]
            ).findings
            == ()
        )
        less_va = 1250 - float(words[0].replace(",", ""))
        lighter = changed(
            ("breaker_a = 16", f"breaker_a = {breaker_a}"),
            ('"europe"', f'"{region}"'),
            ("1000", f"{max(0, less_va * 0.8):.3f}"),
        )
        assert review_text(lighter, [RULE]).findings == ()


def test_what_a_breaker_may_carry_is_cited() -> None:
    design = changed(NA, BREAKER_6)
    finding = only(design)
    assert finding.answer.held_against is not None
    assert finding.answer.held_against.citation.clause == "210.20(A)"
    assert only(changed(("breaker_a = 16", "breaker_a = 4.9"))).answer.held_against.known == "memory"  # type: ignore[union-attr]


KEYS = {
    "volts": (115, 230),
    "breaker_a": (4, 6, 16),
    "rated_100": (True, False),
    "others_w": (0, 500),
    "others_power_factor": (0.5, 1.0),
    "input_power_factor": (0.5, 1.0),
    "recharge_w": (0, 400),
    "efficiency": (0.5, 1.0),
    "region": ("north-america", "europe"),
    "power_factor": (0.5, 1.0),
    "from": ("C", "D"),
}


def written(values: dict[str, object]) -> str:
    def row(*keys: str) -> str:
        shown = {key: values[key] for key in keys if key in values}
        return ", ".join(f"{key} = {json.dumps(value)}" for key, value in shown.items())

    region = f"{row('region')}\n" if "region" in values else ""
    return (
        f'[design]\ntitle = "t"\n{region}[circuit]\nC = {{ '
        + ", ".join(
            part
            for part in (
                'from = "mains"',
                row("volts", "breaker_a", "rated_100", "others_w", "others_power_factor"),
            )
            if part
        )
        + ' }\nD = { from = "mains" }\n[ups]\nu = { '
        + row("from", "efficiency", "input_power_factor", "recharge_w")
        + ' }\n[device]\nrec = { from = "u", draw_w = { day = 300 } }\n'
        + 'tv = { from = "C", draw_w = { day = 300 }, ac = { '
        + row("power_factor")
        + " } }\n"
    )


@settings(max_examples=150, deadline=None)
@given(
    st.fixed_dictionaries({key: st.sampled_from(values) for key, values in KEYS.items()}),
    st.sets(st.sampled_from(sorted(KEYS)), min_size=1, max_size=3),
)
def test_what_is_not_known_never_passes_or_fails_where_knowing_it_could_turn_it(
    values: dict[str, object], unknown: set[str]
) -> None:
    known = {key: value for key, value in values.items() if key not in unknown}
    if not {"volts", "breaker_a"} & known.keys():
        return

    def outcome(of: dict[str, object]) -> str:
        findings = [f for f in review_text(written(of), [RULE]).findings if f.subject == "circuit.C"]
        return findings[0].answer.kind if findings else "pass"

    told = outcome(known)
    if told == "open":
        (finding,) = review_text(written(known), [RULE]).findings
        assert {str(path[-1]) for path in finding.answer.missing} <= unknown | {"power_factor"}
        assert finding.answer.missing
        return
    names = sorted(unknown)
    for filling in itertools.product(*(KEYS[name] for name in names)):
        assert outcome({**known, **dict(zip(names, filling, strict=True))}) == told
