"""conductor-material: metal and gauge of what carries power.

9.38 ohm per 100 m of fixed cable: 28.6 ohm per 305 m, a summary of the TIA-568 material requirements (published).
12 cords, 38 mm, 10 m of 28 AWG: an article on the addendum to TIA TSB-184-A (published). 21.3 ohm per 100 m of
28 AWG cord, the factor 1.6 of copper-clad aluminium and the code's clause: from memory. That the cabling standards
ask for copper: advisory note of an industry association, in the trade press (published). Ohms of gauges: printed
wire tables of a university (24 AWG 25.67, 26 AWG 40.81, 28 AWG 64.9, 30 AWG 103.2 ohm per 1000 ft).
"""

import pytest

from riserlint import DesignReview, Finding, Rule, load_rules
from riserlint.testing import Case, Expected, mended, pointed_at, review_text, said
from riserlint_rules.conductor_material import RULE

GOOD = 'category = "6", conductor_awg = 23, material = "copper", strand = "solid", screen = "none"'
CORD = 'category = "6", conductor_awg = 26, material = "copper", strand = "stranded", screen = "none"'
THIN = CORD.replace("26", "28")
CLAD = '"copper-clad-aluminium"'
CORDS = '[{ cable = "patch", m = 3 }, { cable = "patch", m = 2 }]'


def design(
    cable: str = GOOD,
    *,
    cords: str = f"cords = {CORDS}",
    patch: str = CORD,
    port: str = "pse_class = 4",
    run: str = 'cable = "riser", ',
    more: str = "",
    head: str = "",
) -> str:
    """Return a source, one powered run with two cords, and what a row changes."""
    return f"""
[design]
title = "Library annex"
{head}
[space]
room = {{ max_c = 30, mean_c = 20 }}
[cable]
riser = {{ {cable} }}
patch = {{ {patch} }}
spare = {{ {CORD} }}
[switch]
core = {{ pse = {{ type = 4, min_v = 52, budget_w = 370, reserves = "class" }}, ports = {{ 1-4 = {{ {port} }}, 5-8 = {{ pse_class = "none" }} }} }}
[device]
cam = {{ pd = {{ pd_class = 3 }}, draw_w = {{ night = 12 }} }}
{more}
[run]
R-1 = {{ from = "core/1", to = "cam", {run}link_m = 40, {cords}{"," if cords else ""} connections = 2, space = "room", bundle = "none" }}
"""  # noqa: E501 - a thing of a design stands in one line


def one(check: str, outcome: str, subject: str, points_at: str) -> tuple[Expected, ...]:
    return (Expected(check, outcome, subject, points_at),)


RUN, RISER, PATCH = "run.R-1", "cable.riser", "cable.patch"
SHORT_PATCH = '{ cable = "patch", m = 1, bundled_with = 0 }'
BOOSTER = '[inline.booster]\nkind = "injector"\n'
#: Cables that carry data alone may be of anything.
UNPOWERED = (
    f'[cable.odd]\ncategory = "6"\nconductor_awg = 28\nmaterial = {CLAD}\nstrand = "solid"\n'
    '[switch.far]\nports = { 1-4 = {} }\n[run.R-9]\nfrom = "far/1"\nto = "core/5"\ncable = "odd"\n'
    'cords = [{ cable = "odd", m = 20, bundled_with = 40 }]\n'
)


def thin(first: str = "m = 3, bundled_with = 5", second: str = "m = 2, bundled_with = 5", **more: str) -> str:
    return design(
        patch=THIN, cords=f'cords = [{{ cable = "patch", {first} }}, {{ cable = "patch", {second} }}]', **more
    )


CASES = [
    Case("copper of 23 AWG with cords of 26 AWG", design()),
    # -- metal --
    Case(
        "cable of copper-clad aluminium",
        design(GOOD.replace('"copper"', CLAD)),
        one("copper-clad", "error", RISER, CLAD),
    ),
    Case(
        "cords of it",
        design(patch=CORD.replace('"copper"', CLAD)),
        one("copper-clad", "error", PATCH, CLAD),
    ),
    Case(
        "one kind for cable and cords is one finding",
        design(GOOD.replace('"copper"', CLAD), cords=f"cords = {CORDS.replace('patch', 'riser')}"),
        one("copper-clad", "error", RISER, CLAD),
    ),
    Case(
        "of a metal that nobody knows",
        design(GOOD.replace('material = "copper", ', "")),
        one("copper-clad", "open", RISER, "riser"),
    ),
    Case(
        "of a metal that somebody asked for",
        design(GOOD.replace('"copper"', '"unknown"')),
        one("copper-clad", "open", RISER, '"unknown"'),
    ),
    Case("of a kind that nobody wrote down", design(run=""), one("copper-clad", "open", RUN, "R-1")),
    Case(
        "cords of a kind that nobody wrote down",
        design(cords="cords_m = [3, 2]"),
        (Expected("copper-clad", "open", RUN, "cords_m"), Expected("thin-cord", "open", RUN, "cords_m")),
    ),
    Case("cords of no length are none", design(cords="cords_m = [0]")),
    Case(
        "of the kind that the basis assumes",
        design(cords="cords_m = [3, 2]"),
        basis=f"[assume]\ncord_cable = {{ {CORD} }}\n",
    ),
    Case(
        "and the basis assumes clad ones",
        design(cords="cords_m = [3, 2]"),
        one("copper-clad", "error", "basis.cord_cable", CLAD),
        f"[assume]\ncord_cable = {{ {CORD.replace(chr(34) + 'copper' + chr(34), CLAD)} }}\n",
    ),
    Case("what carries no power may be of anything", design(more=UNPOWERED)),
    Case(
        "a port that gives no power",
        design(GOOD.replace('"copper"', CLAD), port='pse_class = "none"'),
    ),
    # -- gauge of fixed cable: 24 AWG has 8.42 ohm, 26 AWG 13.39 ohm per 100 m --
    Case("24 AWG is within 9.38 ohm, stranded too", design(GOOD.replace("23", "24").replace("solid", "stranded"))),
    Case("26 AWG is not", design(GOOD.replace("23", "26")), one("gauge", "warning", RISER, "26")),
    Case(
        "thin and clad are two faults, of which each has to be mended",
        design(GOOD.replace("23", "26").replace('"copper"', CLAD)),
        (
            Expected("copper-clad", "error", RISER, CLAD),
            Expected("gauge", "warning", RISER, "26"),
        ),
    ),
    Case(
        "24 AWG of a metal that is not known is thick enough",
        design(GOOD.replace("23", "24").replace('material = "copper", ', "")),
        one("copper-clad", "open", RISER, "riser"),
    ),
    Case(
        "fixed cable of a gauge that is not known",
        design(GOOD.replace("conductor_awg = 23, ", "")),
        one("gauge", "open", RISER, "riser"),
    ),
    Case(
        "cords may be thinner than fixed cable, and a cable of cords is not held against it",
        design(patch=CORD.replace("26", "27")),
    ),
    # -- thin cords --
    Case("5 m of 28 AWG in small bundles", thin()),
    Case("10 m are 10 m", thin("m = 6, bundled_with = 0", "m = 4, bundled_with = 0")),
    Case(
        "11 m of 28 AWG",
        thin("m = 6, bundled_with = 0", "m = 5, bundled_with = 0"),
        one("thin-cord", "warning", RUN, "6"),
    ),
    Case(
        "of 11 m only those of 28 AWG count",
        design(patch=THIN, cords='cords = [{ cable = "patch", m = 6, bundled_with = 0 }, { cable = "spare", m = 5 }]'),
    ),
    Case(
        "30 AWG is thinner than any cord of the standard: 33.9 ohm of 21.3",
        design(patch=CORD.replace("26", "30"), cords='cords = [{ cable = "patch", m = 1, bundled_with = 0 }]'),
        one("thin-cord", "warning", RUN, "1"),
    ),
    Case(
        "5 m of a gauge that nobody knows: thinner than 28 AWG none may be, and of 28 AWG not too many together",
        design(patch=CORD.replace("conductor_awg = 26, ", "")),
        (Expected("cord-bundle", "open", PATCH, "patch"), Expected("thin-cord", "open", RUN, "patch")),
    ),
    Case(
        "12 m of it may be",
        design(patch=CORD.replace("conductor_awg = 26, ", ""), cords='cords = [{ cable = "patch", m = 12 }]'),
        (Expected("cord-bundle", "open", PATCH, "patch"), Expected("thin-cord", "open", RUN, "patch")),
    ),
    Case(
        "of cords nobody knows anything",
        design(cords=""),
        (Expected("copper-clad", "open", RUN, "R-1"), Expected("thin-cord", "open", RUN, "R-1")),
    ),
    Case("no cords", design(cords="cords_m = []")),
    Case(
        "28 AWG of a length that nobody knows",
        thin("m = 6, bundled_with = 0", 'm = "unknown", bundled_with = 0'),
        one("thin-cord", "open", RUN, '"unknown"'),
    ),
    Case(
        "which of them lie behind an injector is not written",
        thin("m = 6, bundled_with = 0", "m = 5, bundled_with = 0", more=BOOSTER).replace(
            'bundle = "none" }', 'bundle = "none", through = ["booster"] }'
        ),
        one("thin-cord", "open", RUN, "6"),
    ),
    Case(
        "30 AWG with an injector: that cord may lie before it",
        design(
            patch=CORD.replace("26", "30"),
            cords='cords = [{ cable = "patch", m = 1, bundled_with = 0 }, { cable = "spare", m = 5 }]',
            more=BOOSTER,
        ).replace('bundle = "none" }', 'bundle = "none", through = ["booster"] }'),
        one("thin-cord", "review", RUN, "1"),
    ),
    Case(
        "30 AWG on both sides of an injector",
        design(
            patch=CORD.replace("26", "30"),
            cords=f"cords = [{SHORT_PATCH}, {SHORT_PATCH}]",
            more=BOOSTER,
        ).replace('bundle = "none" }', 'bundle = "none", through = ["booster"] }'),
        (
            Expected("thin-cord", "warning", RUN, "1"),
        ),
    ),
    # -- bundles of thin cords --
    Case("twelve together", thin("m = 3, bundled_with = 11", "m = 2, bundled_with = 0")),
    Case(
        "thirteen together",
        thin("m = 3, bundled_with = 1", "m = 2, bundled_with = 12"),
        one("cord-bundle", "warning", PATCH, "12"),
    ),
    Case(
        "nobody counted them",
        thin("m = 3", "m = 2"),
        one("cord-bundle", "open", PATCH, '{ cable = "patch", m = 3 }'),
    ),
    Case("of 26 AWG it is not asked", design()),
    Case(
        "forty of a gauge that somebody asked for and nobody knows",
        design(
            patch=CORD.replace("26", '"unknown"'), cords='cords = [{ cable = "patch", m = 3, bundled_with = 39 }]'
        ),
        (Expected("cord-bundle", "open", PATCH, '"unknown"'), Expected("thin-cord", "open", RUN, '"unknown"')),
    ),
    Case(
        "forty of a kind that nobody wrote down",
        design(cords="cords = [{ m = 3, bundled_with = 39 }]"),
        (
            Expected("copper-clad", "open", RUN, "{ m = 3, bundled_with = 39 }"),
            Expected("cord-bundle", "open", RUN, "{ m = 3, bundled_with = 39 }"),
            Expected("thin-cord", "open", RUN, "{ m = 3, bundled_with = 39 }"),
        ),
    ),
    Case(
        "ten of a gauge that nobody knows may lie together",
        design(
            patch=CORD.replace("26", '"unknown"'), cords='cords = [{ cable = "patch", m = 3, bundled_with = 9 }]'
        ),
        one("thin-cord", "open", RUN, '"unknown"'),
    ),
    Case(
        "the basis assumes how many",
        thin("m = 3", "m = 2"),
        basis="[assume]\ncord = { bundled_with = 5 }\n",
    ),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case.shows for case in CASES])
def test_row(case: Case) -> None:
    assert said(case, RULE) == case.expected


def test_every_check_passes_fails_and_is_open_in_a_row() -> None:
    names = {check.name for check in RULE.checks}
    seen = {(expected.check, expected.outcome) for case in CASES for expected in case.expected}
    assert {check for check, outcome in seen if outcome != "open"} == names
    assert {check for check, outcome in seen if outcome == "open"} == names
    passed = {
        group.name for case in CASES for group in review_text(case.design, [RULE], basis=case.basis).passes
    }
    assert passed == {f"{RULE.id}/{name}" for name in names}


def test_what_carries_no_power_is_not_subject_to_it() -> None:
    review = review_text(design(more=UNPOWERED), [RULE])
    why = {(judged.name, judged.subject): judged.why for judged in review.not_applicable}
    assert why[("conductor-material/copper-clad", "cable.odd")] == "no run that carries power uses it"
    assert why[("conductor-material/thin-cord", "run.R-9")] == "carries no power"
    assert (
        why[("conductor-material/gauge", "cable.patch")] == "no run that carries power uses it as fixed cable"
    )


def the(review: DesignReview, check: str) -> Finding:
    (found,) = [finding for finding in review.findings if finding.check.name == check]
    return found


def found(text: str, check: str, basis: str = "") -> Finding:
    return the(review_text(text, [RULE], basis=basis), check)


# -- words ------------------------------------------------------------------------------------------------------


def test_clad_conductors_read_with_both_resistances() -> None:
    """24 AWG: 25.67 ohm per 1000 ft of the printed tables are 8.42 ohm per 100 m; × 1.6 = 13.5."""
    text = design(GOOD.replace("23", "24").replace('"copper"', CLAD))
    answer = found(text, "copper-clad").answer
    assert answer.message == (
        "riser: conductors of copper-clad aluminium carry power, the cabling standards ask for copper (powered: R-1)"
    )
    assert answer.working == "24 AWG: 13.47 ohm per 100 m, of copper 8.422"
    assert answer.held_against is not None
    assert answer.held_against.known == "published"
    assert [citation.text for citation in answer.citations] == ["IEC 61156-5"]
    region = found(
        text.replace("[space]", "[space]", 1).replace('annex"', 'annex"\nregion = "north-america"'),
        "copper-clad",
    )
    assert [str(citation) for citation in region.answer.citations] == ["NFPA 70-2020, 725.144"]


def test_a_light_conductor_reads_with_its_ohms() -> None:
    """13.39 ohm per 100 m of 26 AWG: 40.81 ohm per 1000 ft of the printed wire tables."""
    answer = found(design(GOOD.replace("23", "26")), "gauge").answer
    assert (
        answer.message
        == "riser: conductors of 26 AWG have 13.39 ohm per 100 m of copper, at most 9.38 (powered: R-1)"
    )
    assert answer.value == pytest.approx(40.81 / 304.8 * 100, rel=1e-3)
    assert (answer.limit, answer.unit) == (9.38, "ohm/100 m")


def test_a_cord_of_30_awg_reads_with_its_ohms() -> None:
    """103.2 ohm per 1000 ft of the printed wire tables."""
    case = next(case for case in CASES if case.shows.startswith("30 AWG"))
    answer = found(case.design, "thin-cord").answer
    assert answer.value == pytest.approx(103.2 / 304.8 * 100, rel=1e-3)
    assert answer.message == (
        "R-1 (core/1 to cam): a cord of 30 AWG carries power: 33.9 ohm per 100 m of conductor, at most 21.3"
    )


def test_one_kind_is_one_finding_however_many_runs_use_it() -> None:
    more = "".join(
        f'[device.c{n}]\npd = {{ pd_class = 3 }}\n[run.R-{n}]\nfrom = "core/{n}"\nto = "c{n}"\ncable = "riser"\n'
        f"cords_m = []\n"
        for n in (2, 3, 4)
    )
    text = design(GOOD.replace("23", "26")).replace("[run]\n", f"{more}[run]\n", 1)
    assert "(powered: R-2, R-3, R-4 and 1 more)" in found(text, "gauge").answer.message


def test_thin_cords_read_with_their_sum() -> None:
    case = next(case for case in CASES if case.shows == "11 m of 28 AWG")
    answer = found(case.design, "thin-cord").answer
    assert answer.message == "R-1 (core/1 to cam): 11 m of 28 AWG cords carry power, at most 10 m"
    assert answer.working == "6 m + 5 m > 10 m"
    together = found(thin("m = 3, bundled_with = 12"), "cord-bundle").answer
    assert (
        together.message
        == "patch (R-1): a powered cord of 28 AWG lies with 12 others, 13 together, at most 12"
    )


def test_a_kind_that_is_not_written_asks_for_itself() -> None:
    nothing = found(design(run="", cords="cords_m = [3]"), "copper-clad").answer
    assert nothing.missing == (("run", "R-1", "cable"), ("run", "R-1", "cords_m"))
    assert "whether its cable and its cords are of copper" in nothing.message
    each = found(design(cords="cords = [{ m = 3 }]"), "copper-clad").answer
    assert each.missing == (("run", "R-1", "cords", 0, "cable"),)


def test_a_cord_of_a_gauge_at_its_limit_is_no_false_alarm() -> None:
    """28 AWG has 21.29 ohm by the printed tables, the cap is 21.3: the cap is that gauge, and 29 AWG is over it."""
    assert 64.9 / 304.8 * 100 < 21.3 < 81.83 / 304.8 * 100
    text = design(
        patch=CORD.replace("26", "29"), cords='cords = [{ cable = "patch", m = 1, bundled_with = 0 }]'
    )
    assert [finding.check.name for finding in review_text(text, [RULE]).findings] == ["thin-cord"]


# -- remedies ---------------------------------------------------------------------------------------------------


def all_rules() -> list[Rule]:
    return [offered.rule for offered in load_rules().rules]


def hold_remedies(text: str, basis: str = "") -> list[str]:
    """Carry out each remedy of the rule alone: its finding is gone, and no error of any rule is new."""
    rules = all_rules()
    before = review_text(text, rules, basis=basis)
    assert not before.problems
    errors = {finding.fingerprint for finding in before.findings if finding.level == "error"}
    carried_out: list[str] = []
    for finding in before.findings:
        remedy = finding.answer.remedy
        if finding.rule_id != RULE.id or remedy is None or not remedy.changes:
            continue
        after = review_text(mended(text, remedy, basis=basis), rules, basis=basis)
        assert not after.problems
        assert finding.fingerprint not in {other.fingerprint for other in after.findings}
        new = [
            other for other in after.findings if other.level == "error" and other.fingerprint not in errors
        ]
        assert not new, [other.answer.message for other in new]
        carried_out.append(finding.check.name)
    return carried_out


@pytest.mark.parametrize("case", CASES, ids=[case.shows for case in CASES])
def test_the_remedies_of_every_row_hold(case: Case) -> None:
    hold_remedies(case.design, case.basis)


@pytest.mark.parametrize(
    ("check", "text"),
    [
        ("copper-clad", design(GOOD.replace('"copper"', CLAD))),
        ("copper-clad", design(patch=CORD.replace('"copper"', CLAD))),
        ("gauge", design(GOOD.replace("23", "26"))),
        ("thin-cord", thin("m = 6, bundled_with = 0", "m = 5, bundled_with = 0")),
        ("thin-cord", design(patch=CORD.replace("26", "30"), cords='cords = [{ cable = "patch", m = 1 }]')),
        ("cord-bundle", thin("m = 3, bundled_with = 30")),
    ],
)
def test_a_remedy_is_offered_as_a_change(check: str, text: str) -> None:
    assert check in hold_remedies(text)


def test_what_was_measured_or_assumed_is_not_changed() -> None:
    measured = design(GOOD.replace('"copper"', f'{{ is = {CLAD}, origin = "measured" }}'))
    remedy = found(measured, "copper-clad").answer.remedy
    assert remedy is not None
    assert remedy.changes == ()
    case = next(case for case in CASES if case.shows == "and the basis assumes clad ones")
    assumed = found(case.design, "copper-clad", case.basis)
    assert assumed.answer.remedy is not None
    assert assumed.answer.remedy.changes == ()
    assert assumed.location.file == "basis.toml"


def test_the_identity_of_a_finding_does_not_hold_its_numbers() -> None:
    first = found(thin("m = 6, bundled_with = 0", "m = 5, bundled_with = 0"), "thin-cord")
    second = found(thin("m = 9, bundled_with = 0", "m = 9, bundled_with = 0"), "thin-cord")
    assert first.fingerprint == second.fingerprint
    assert (pointed_at(first), pointed_at(second)) == ("6", "9")


def test_too_many_cords_of_one_kind_are_one_finding() -> None:
    """Four runs of a rack: one finding of the worst, the others as places, and one change for each."""
    runs = "".join(
        f'R-{number} = {{ from = "core/{number}", to = "cam-{number}", cable = "riser", link_m = 40, '
        f'cords = [{{ cable = "patch", m = 3, bundled_with = {20 + number} }}], connections = 2, space = "room", '
        'bundle = "none" }\n'
        for number in (2, 3, 4)
    )
    cameras = "".join(
        f"cam-{number} = {{ pd = {{ pd_class = 3 }}, draw_w = {{ night = 12 }} }}\n" for number in (2, 3, 4)
    )
    text = thin("m = 3, bundled_with = 5", "m = 2, bundled_with = 12", more=cameras) + runs
    finding = found(text, "cord-bundle")
    assert finding.subject == PATCH
    assert finding.answer.message == (
        "patch (R-1, R-2, R-3 and 1 more): a powered cord of 28 AWG lies with 24 others, 25 together, at most 12"
    )
    assert [place.message for place in finding.answer.related] == [
        "R-1: 13 together", "R-2: 23 together", "R-3: 24 together"
    ]  # fmt: skip
    assert "cord-bundle" in hold_remedies(text)
