"""supply-voltage: what arrives at the end of fed runs, and of chains that pass power through.

Least volts by class and source: the class and type tables of IEEE Std 802.3-2022 (watts: trade association white
paper "Overview of 802.3bt", April 2018; volts and ohms of Types 1 and 2: a maker's note that restates the standard;
ohms of Types 3 and 4, 30 V, dual signature: from memory) put into V = (Vs + √(Vs² − 4 R P)) / 2, by hand in the rows.
Runs have no cords and no contacts and lie at 20 °C: 24 AWG has 84.2 Ω per km of conductor (printed wire tables), so
that 100 m are 8.42 Ω over two pairs and 4.21 Ω over four.
"""

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from riserlint import DesignReview, Finding, load_rules
from riserlint.testing import Case, Expected, mended, pointed_at, review_text, said
from riserlint_rules.supply_voltage import RULE

HEAD = """\
[design]
title = "far ends"
origin = "stated"
[space]
room = { max_c = 20, mean_c = 20 }
[cable]
thin = { category = "6", conductor_awg = 24, material = "copper", strand = "solid", screen = "none", rated_c = 60 }
thick = { category = "6", conductor_awg = 22, material = "copper", strand = "solid", screen = "none", rated_c = 60 }
worn = { category = "6", conductor_awg = 24, strand = "solid", screen = "none", rated_c = 60 }
clad = { category = "6", conductor_awg = 24, material = "copper-clad-aluminium", strand = "solid", screen = "none", rated_c = 60 }
hair = { category = "6", conductor_awg = 28, material = "copper", strand = "solid", screen = "none", rated_c = 60 }
"""  # noqa: E501 - a thing of a design stands in one line


def run(
    start: str, end: str, metres: float | str, cable: str = "thin", more: str = "", name: str = "R-1"
) -> str:
    place = "" if "bundle" in more else ', bundle = "none"'
    return (
        f'{name} = {{ from = "{start}", to = "{end}", cable = "{cable}", link_m = {metres}, cords_m = [], '
        f'connections = 0, space = "room"{place}{more} }}\n'
    )


def plain(
    metres: float | str,
    *,
    pse: str = "type = 4, min_v = 52",
    port: str = "pse_class = 8",
    pd: str = "pd_class = 4",
    watts: float = 25.5,
    cable: str = "thin",
    more: str = "",
) -> str:
    """A source, a run, a device."""
    return (
        f'{HEAD}[switch]\ncore = {{ pse = {{ {pse}, budget_w = 370, reserves = "class" }}, '
        f"ports = {{ 1-8 = {{ {port} }} }} }}\n"
        f"[device]\nh = {{ pd = {{ {pd} }}, draw_w = {{ night = {watts} }} }}\n"
        f"[run]\n{run('core/1', 'h', metres, cable, more)}"
    )


THROUGH = ', through = ["i"]'


def injected(ohm: str) -> str:
    """A run without power from its switch, an injector at its start, a device of class 4."""
    return (
        f"{HEAD}[switch]\ncore = {{ ports = {{ 5 = {{ pse_class = 'none' }} }} }}\n"
        f"[inline]\ni = {{ kind = 'injector', at_m = 0, pse_class = 4, pse = {{ type = 2, min_v = 50 }}{ohm} }}\n"
        "[device]\nh = { pd = { pd_class = 4, min_v = 40 }, draw_w = { night = 20 } }\n"
        f"[run]\n{run('core/5', 'h', 60, more=THROUGH)}"
    )


PASSIVE = {"pse": 'scheme = "passive", min_v = 24', "port": "", "watts": 6}


def chain(
    first_m: float | str = 60,
    last_m: float | str = 20,
    *,
    watts: float = 12.5,
    pse: str = "type = 2",
    inlet: str = "pd_class = 4, own_w = 0",
    pd: str = "pd_class = 3",
    core: str = "type = 4, min_v = 52",
) -> str:
    """A source, an extender that passes power through, a device behind it; two pairs everywhere."""
    return (
        f'{HEAD}[switch]\ncore = {{ pse = {{ {core}, budget_w = 370, reserves = "class" }}, '
        "ports = { 1-8 = { pse_class = 4 } } }\n"
        f'mid = {{ inlet = {{ port = "in", passes_through = true, {inlet} }}, '
        f'pse = {{ {pse}, budget_w = "none", reserves = "measured" }}, '
        "ports = { 1-4 = { pse_class = 4 } } }\n"
        f"[device]\nh = {{ pd = {{ {pd} }}, draw_w = {{ night = {watts} }} }}\n"
        f"[run]\n{run('core/1', 'mid/in', first_m)}{run('mid/1', 'h', last_m, name='R-2')}"
    )


def one(check: str, outcome: str, points_at: str, subject: str = "run.R-1") -> tuple[Expected, ...]:
    return (Expected(check, outcome, subject, points_at),)


TYPE_1 = {"pse": "type = 1, min_v = 44", "port": "pse_class = 3", "pd": "pd_class = 3", "watts": 12.95}
TYPE_2 = {"pse": "type = 2, min_v = 50", "port": "pse_class = 4"}

CASES = [
    # -- an injector: its volts are those at its output; ohms that somebody asked for have no bound --
    Case("an injector of which no ohms are written", injected("")),
    Case(
        "an injector whose ohms are asked for",
        injected(', ohm = "unknown"'),
        one("least", "open", '"core/5"'),
    ),
    Case("an injector of 0.1 ohm", injected(", ohm = 0.1")),
    Case("an injector of 200 ohm", injected(", ohm = 200"), one("off", "error", "60")),
    # -- off: no operating point, or 30 V or less --
    Case("a class 4 device at 40 m", plain(40)),
    Case(
        "25.5 W over 250 m of clad wire: 52² < 4 × 33.7 × 25.5",
        plain(250, cable="clad"),
        one("off", "error", "250"),
    ),
    Case(
        "25.5 W over 195 m of clad wire: (52 + √(52² − 4 × 26.3 × 25.5)) / 2 = 28.4 V",
        plain(195, cable="clad"),
        one("off", "error", "195"),
    ),
    Case(
        "a device that states 20 V, over 200 m of metal that nobody knows: 42.0 V of copper, 27.5 V of clad wire",
        plain(200, cable="worn", pse="min_v = 52", pd="pd_class = 4, min_v = 20", watts=25),
        (
            # 42.0 V are less than any channel leaves class 4
            Expected("channel", "warning", "run.R-1", "200"),
            Expected("off", "open", "run.R-1", '"core/1"'),
        ),
    ),
    Case(
        "6 W of passive 24 V over two pairs of 300 m: 24² < 4 × 25.3 × 6",
        plain(300, pd='scheme = "passive", min_v = 18', more=", pairs = 2", **PASSIVE),  # type: ignore[arg-type]
        one("off", "error", "300"),
    ),
    Case("a port that gives no power", plain(40, port='pse_class = "none"')),
    Case(
        "a device that draws more than its class is another fault",
        plain(195, cable="clad", pd="pd_class = 2"),
    ),
    # -- least: as stated --
    Case(
        "15 W over 88 m of 28 AWG, 18.7 Ω, leave 45.9 V: too few for a device that states 46 V",
        plain(88, pse="min_v = 52", pd="pd_class = 4, min_v = 46", watts=15, cable="hair"),
        one("least", "error", "88"),
    ),
    Case(
        "the same for a device that works from 45 V",
        plain(88, pse="min_v = 52", pd="pd_class = 4, min_v = 45", watts=15, cable="hair"),
    ),
    Case(
        "6 W of passive 24 V over two pairs of 250 m: (24 + √(24² − 4 × 21.1 × 6)) / 2 = 16.2 V of 18 V",
        plain(250, pd='scheme = "passive", min_v = 18', more=", pairs = 2", **PASSIVE),  # type: ignore[arg-type]
        one("least", "error", "250"),
    ),
    Case(
        "the same over nobody knows how many pairs: over four it is 20.9 V",
        plain(250, pd='scheme = "passive", min_v = 18', **PASSIVE),  # type: ignore[arg-type]
        one("least", "open", '"core/1"'),
    ),
    Case(
        "a passive device that states no least voltage is never a pass",
        plain(5, pd='scheme = "passive"', more=", pairs = 2", **PASSIVE),  # type: ignore[arg-type]
        one("least", "open", '"core/1"'),
    ),
    Case(
        "nor is it known to be on where nobody knows how far it is",
        plain('"unknown"', pd='scheme = "passive"', more=", pairs = 2", **PASSIVE),  # type: ignore[arg-type]
        (
            Expected("least", "open", "run.R-1", '"core/1"'),
            Expected("off", "open", "run.R-1", '"core/1"'),
        ),
    ),
    Case(
        "a source of 24 V for a device of 48 V that works from 40 V is a passive feed that does not fit",
        plain(5, pd='scheme = "passive", passive_v = 48, min_v = 40', more=", pairs = 2", **PASSIVE),  # type: ignore[arg-type]
    ),
    # -- least: by class alone, 37.0 V for class 3: 44 V, 20 Ω, 12.95 W --
    Case("class 3 over 237 m, 19.96 Ω: 37.02 V", plain(237, **TYPE_1)),  # type: ignore[arg-type]
    Case(
        "class 3 over 239 m, 20.13 Ω: 36.94 V; what the channel leaves is the same and is said once",
        plain(239, **TYPE_1),  # type: ignore[arg-type]
        one("least", "error", "239"),
    ),
    Case(
        "a class 4 device that gets 40.0 V (12.95 W over 30.9 Ω) has less than 42.5 V",
        plain(367, watts=12.95, **TYPE_2),
        one("least", "error", "367"),
    ),
    Case(
        "demoted to class 3 it has to work at 37 V, and only the channel is worse than the standard's",
        plain(
            367,
            pse="type = 2, min_v = 50",
            port="pse_class = 3",
            pd="pd_class = 4, demoted_w = 12.95",
            watts=12.95,
        ),
        one("channel", "warning", "367"),
    ),
    Case(
        "45.8 V are enough for a device of any class: 12.95 W over 14.8 Ω",
        plain(176, pse="min_v = 50", pd="demoted_w = 13", watts=12.95, more=", pairs = 2"),
        # ... which a channel of class 4 may have and one of class 3 may not (46.5 V of Type 3)
        one("channel", "open", '"core/1"'),
    ),
    Case(
        "40 V are not for all of them",
        plain(367, pse="min_v = 50", pd="demoted_w = 13", watts=12.95, more=", pairs = 2"),
        one("least", "open", '"core/1"'),
    ),
    Case(
        "36 V are enough for none: 12.95 W over 38.9 Ω",
        plain(462, pse="min_v = 50", pd="demoted_w = 13", watts=12.95, more=", pairs = 2"),
        one("least", "error", "462"),
    ),
    Case(
        "nobody knows how far it is",
        plain('"unknown"'),
        one("least", "open", '"core/1"'),
    ),
    # -- least: two signatures; class 5 of a mode has to work at 41.2 V: 52 V, 12.5 Ω, 35.6 W --
    Case(
        "two modes of class 5 over 147 m of four pairs, 6.19 Ω, 71.2 W: 41.3 V",
        plain(147, pd='pd_class = 5, second_class = 5, signature = "dual"', watts=71.2),
    ),
    Case(
        "and over 150 m, 6.32 Ω: 40.9 V",
        plain(150, pd='pd_class = 5, second_class = 5, signature = "dual"', watts=71.2),
        one("least", "error", "150"),
    ),
    Case(
        "of two modes the one that needs more decides: class 4 has 42.5 V",
        plain(150, pd='pd_class = 4, second_class = 3, signature = "dual"', watts=38.5),
    ),
    # -- channel --
    Case("class 4 of Type 2 over 148 m, 12.46 Ω, at its full 25.5 W", plain(148, **TYPE_2)),  # type: ignore[arg-type]
    Case(
        "class 3 of Type 3 over 160 m, 13.5 Ω, at 13 W: 46.2 V, a permitted channel leaves 46.5 V",
        plain(160, pse="type = 3, min_v = 50", pd="pd_class = 3", watts=13),
        one("channel", "warning", "160"),
    ),
    Case(
        "the same at 12 W: 46.5 V",
        plain(160, pse="type = 3, min_v = 50", pd="pd_class = 3", watts=12),
    ),
    Case(
        "the same over four pairs is held against 6.25 Ω: 48.2 V of 48.3 V",
        plain(160, pse="type = 3, min_v = 50", pd="pd_class = 3", watts=13, more=", pairs = 4"),
        one("channel", "warning", "160"),
    ),
    Case(
        "a source that holds 48 V, where its type holds 50 V",
        plain(70, pse="type = 3, min_v = 48", pd="pd_class = 3", watts=13),
        one("channel", "warning", "70"),
    ),
    Case(
        "over metal that nobody knows, 110 m: 9.3 Ω or 14.8 Ω",
        plain(110, pse="type = 3, min_v = 50", pd="pd_class = 3", watts=13, cable="worn"),
        one("channel", "open", '"core/1"'),
    ),
    Case(
        "of a port of class 8 whose source states no type the channels of Type 4 leave 48.7 V",
        plain(160, pse="min_v = 50", pd="pd_class = 3", watts=13),
        one("channel", "warning", "160"),
    ),
    Case(
        "of a port of class 3 it may be one of Type 1, whose channels leave 37 V",
        plain(160, pse="min_v = 50", pd="pd_class = 3", port="pse_class = 3", watts=12.95),
        one("channel", "open", '"core/1"'),
    ),
    Case(
        "over 110 m, 9.26 Ω, it has what any of them leaves: each type with its own volts",
        plain(110, pse='scheme = "ieee"', pd="pd_class = 3", port="pse_class = 3", watts=12.95),
    ),
    Case(
        "whatever class its port gives over 110 m: each with its own watts",
        plain(110, pse="type = 4, min_v = 52", pd="pd_class = 3", port="").replace(
            ", draw_w = { night = 25.5 }", ""
        ),
    ),
    Case(
        "a class that is not known over 160 m, 13.5 Ω: 12.5 Ω may be asked of its two pairs",
        plain(160, pse="type = 4, min_v = 52", pd="min_v = 30", watts=13),
        one("channel", "open", '"core/1"'),
    ),
    Case(
        "nor of a class that the type does not have",
        plain(160, pse="type = 1, min_v = 50", pd="pd_class = 4", watts=13, port="pse_class = 4"),
    ),
    # -- ports of a switch that passes power through --
    Case("52 V less 1.2 V over 60 m, 5.05 Ω, are 50.8 V at the port: Type 2 has 50 V", chain(60)),
    Case(
        "over 110 m, 9.26 Ω, it is 49.6 V",
        chain(110),
        one("passed-port", "warning", '"mid/1"', "switch.mid"),
    ),
    Case(
        "of no known type",
        chain(110, pse='scheme = "ieee"'),
        one("passed-port", "open", '"mid/1"', "switch.mid"),
    ),
    Case("of Type 1, which has 44 V", chain(110, pse="type = 1")),
    Case(
        "a passive port is of no type",
        chain(110, pse='scheme = "passive"', pd='scheme = "passive", min_v = 20'),
    ),
    # -- chains: one load behind R1 + R2 collapses at V² / (4 (R1 + R2) P) of its watts --
    Case(
        "12.9 W over 120 m and 355 m, 40 Ω: 52² / (4 × 40 × 12.9) = 1.31",
        chain(120, 355, watts=12.9, pse="type = 1"),
        one("collapse", "warning", "355", "switch.mid"),
    ),
    Case(
        "the basis is content with 1.2",
        chain(120, 355, watts=12.9, pse="type = 1"),
        basis="[rule.supply-voltage]\nleast_collapse_share = 1.2\n",
    ),
    Case(
        "the basis asks 2.5, and it is 2.4 where the standard's own channels have 1.5",
        chain(120, 140, watts=12.9, pse="type = 1"),
        one("collapse", "warning", "140", "switch.mid"),
        "[rule.supply-voltage]\nleast_collapse_share = 2.5\n",
    ),
    Case(
        "over 600 m, 60.6 Ω, there is no solution: one finding for the whole chain",
        chain(120, 600, watts=12.9, pse="type = 1"),
        one("collapse", "error", "600", "switch.mid"),
    ),
    Case(
        "nobody knows the length of the first run",
        chain('"unknown"', 100, watts=12.9, pse="type = 1"),
        (
            Expected("collapse", "open", "switch.mid", "true"),
            Expected("least", "open", "run.R-1", '"core/1"'),
            Expected("least", "open", "run.R-2", '"mid/1"'),
            Expected("passed-port", "open", "switch.mid", '"mid/1"'),
        ),
    ),
    Case(
        "a device of a chain at 36.3 V: 12.9 W over 44.2 Ω; the chain has 1.19",
        chain(120, 405, watts=12.9, pse="type = 1"),
        (
            Expected("least", "error", "run.R-2", "405"),
            Expected("collapse", "warning", "switch.mid", "405"),
        ),
    ),
    Case(
        "a chain whose port gives it nothing",
        chain(120, 100).replace("1-8 = { pse_class = 4 }", '1-8 = { pse_class = "none" }'),
    ),
]


@pytest.mark.parametrize("case", CASES, ids=[case.shows for case in CASES])
def test_row(case: Case) -> None:
    assert said(case, RULE) == case.expected


def test_every_check_passes_fails_and_can_be_open_in_a_row() -> None:
    names = {check.name for check in RULE.checks}
    seen = {(expected.check, expected.outcome) for case in CASES for expected in case.expected}
    assert {check for check, outcome in seen if outcome in {"error", "warning"}} == names
    assert {check for check, outcome in seen if outcome == "open"} == names
    passed = {
        group.name for case in CASES for group in review_text(case.design, [RULE], basis=case.basis).passes
    }
    assert passed == {f"{RULE.id}/{name}" for name in names}


def the(review: DesignReview, check: str) -> Finding:
    (found,) = [finding for finding in review.findings if finding.check.name == check]
    return found


def of_row(start: str, check: str) -> Finding:
    case = next(case for case in CASES if case.shows.startswith(start))
    return the(review_text(case.design, [RULE], basis=case.basis), check)


# -- words ------------------------------------------------------------------------------------------------------


def test_a_load_that_cannot_be_carried_is_told_the_most_that_the_run_brings() -> None:
    """R = 2 × 250 m × 0.08422 × 1.6 / 2 = 33.7 Ω; (52 V − 30 V) × 30 V / 33.7 Ω = 19.6 W."""
    found = of_row("25.5 W over 250 m of clad", "off")
    assert found.answer.message == (
        "R-1 (core/1 → h): h is off: 25.5 W cannot be carried over this run, which brings at most 19.6 W"
    )
    assert found.answer.working == "52² V² − 4 × 33.7 Ω × 25.5 W is below 0: no current brings it"
    assert found.held_against is not None
    assert (found.held_against.value, found.held_against.known) == (30.0, "memory")


def test_off_says_how_many_volts_arrive() -> None:
    """R = 26.3 Ω: (52 + √(2704 − 2680.3)) / 2 = 28.4 V; (52 − 30) × 30 / 26.3 = 25.1 W."""
    found = of_row("25.5 W over 195 m", "off")
    assert found.answer.message == (
        "R-1 (core/1 → h): h is off: 28.4 V arrive with its 25.5 W, at 30 V or less it is off; "
        "this run brings at most 25.1 W"
    )
    assert found.answer.value == pytest.approx((52 + math.sqrt(52**2 - 4 * 26.2765 * 25.5)) / 2, abs=0.02)


def test_too_few_volts_read_with_the_sum() -> None:
    found = of_row("15 W over 88 m of 28 AWG", "least")
    assert found.answer.message == "R-1 (core/1 → h): h has 45.9 V, it states 46 V"
    assert found.answer.working == "(52 V + √(52² V² − 4 × 18.7 Ω × 15 W)) / 2 = 45.87 V < 46 V"
    assert found.held_against is not None
    assert found.held_against.known == "stated"


def test_by_class_the_limit_is_derived() -> None:
    found = of_row("class 3 over 239 m", "least")
    assert found.answer.message == "R-1 (core/1 → h): h has 36.9 V, a class 3 device must work at 37 V"
    assert found.held_against is not None
    assert (round(found.held_against.value, 2), found.held_against.known) == (37.0, "derived")


def test_of_an_unknown_class_the_lowest_is_named() -> None:
    found = of_row("36 V are enough for none", "least")
    assert "a device of its class (0 to 8) must work at 37 to 44.4 V" in found.answer.message
    assert found.held_against is not None
    assert found.held_against.value == pytest.approx(37.0)


def test_the_channel_names_its_ohms() -> None:
    found = of_row("class 3 of Type 3 over 160 m", "channel")
    assert found.answer.message == (
        "R-1 (core/1 → h): h has 46.2 V, a permitted channel leaves 46.5 V (class 3 from Type 3 over 2 pairs): "
        "13.5 Ω over its powered pairs, the standard assumes at most 12.5 Ω"
    )
    low = of_row("a source that holds 48 V", "channel")
    assert low.answer.message.endswith("the standard assumes at most 12.5 Ω; its source has 48 V of 50 V")


def test_an_open_answer_says_at_which_length_it_turns() -> None:
    """(52 − 42.5) × 42.5 / 25.5 W = 15.8 Ω, by 0.08422 Ω/m: 188 m."""
    found = of_row("nobody knows how far it is", "least")
    assert found.answer.missing == (("run", "R-1", "link_m"),)
    assert found.answer.turns == "holds if the link is 188 m or less"


def test_a_passive_device_without_a_least_voltage_asks_for_it() -> None:
    found = of_row("a passive device that states no least", "least")
    assert found.answer.missing == (("device", "h", "pd", "min_v"),)
    assert found.answer.turns == "holds if it works at 23.9 V"


def test_an_unknown_class_is_what_is_missing() -> None:
    found = of_row("40 V are not for all", "least")
    assert found.answer.missing == (("device", "h", "pd", "pd_class"),)


def test_a_passed_port_names_the_chain() -> None:
    found = of_row("over 110 m, 9.26 Ω, it is 49.6", "passed-port")
    assert found.answer.message == (
        "mid, port 1: 49.6 V, as the switch passes power through; a source of Type 2 holds 50 V or more"
    )
    assert [related.at for related in found.answer.related] == [("switch", "core"), ("switch", "mid")]
    stated = the(review_text(chain(110, pse="type = 2, min_v = 51"), [RULE]), "passed-port")
    assert stated.answer.message.endswith("; that it states 51 V is held by nothing")


def test_a_collapse_names_the_share_and_where_voltage_falls_fastest() -> None:
    found = of_row("12.9 W over 120 m and 355 m", "collapse")
    assert found.answer.message == (
        "core/1 → mid: the chain collapses at 1.31 of its load, at least 1.52 are asked; "
        "voltage falls fastest over R-2"
    )
    assert found.answer.value == pytest.approx(52**2 / (4 * 475 * 0.08422 * 12.9), rel=1e-3)
    assert found.answer.remedy is not None
    # 1.31 / 1.517 = 0.86 of the load would have the share that is asked
    assert found.answer.remedy.text.startswith("loads of at most 86 % of these")
    gone = of_row("over 600 m", "collapse")
    assert "the chain has no operating point: it collapses at 0.86 of its load" in gone.answer.message


def test_one_dead_chain_is_one_finding_of_all_rules() -> None:
    case = next(case for case in CASES if case.shows.startswith("over 600 m"))
    spoken = {
        (finding.name, finding.level)
        for finding in review_text(case.design, every_rule()).findings
        if finding.rule_id in {"supply-voltage", "cascade-headroom"} and finding.answer.kind == "fail"
    }
    assert spoken == {("supply-voltage/collapse", "error")}


def test_a_passive_source_of_too_few_volts_is_one_finding() -> None:
    case = next(case for case in CASES if case.shows.startswith("a source of 24 V for"))
    review = review_text(case.design, every_rule())
    assert [finding.name for finding in review.findings if finding.level == "error"] == [
        "poe-class/passive-feed"
    ]


def test_one_load_that_is_off_is_one_finding_of_both_rules() -> None:
    """The port is not judged where the voltage is."""
    case = next(case for case in CASES if case.shows.startswith("25.5 W over 250 m of clad"))
    review = review_text(case.design, every_rule())
    spoken = [
        finding.name
        for finding in review.findings
        if finding.rule_id in {"supply-voltage", "cascade-headroom"} and finding.level == "error"
    ]
    assert spoken == ["supply-voltage/off"]
    why = {group.name: group.why for group in review.not_applicable}
    assert why["cascade-headroom/port"] == "its load, or one below, is off, which is judged as a voltage"


@pytest.mark.parametrize(
    "design",
    [
        plain(0, pd="pd_class = 3, min_v = 60", watts=0),
        plain(20, pd="pd_class = 1", watts=12),
        plain(20, port='pse_class = "none"'),
        plain(20, **PASSIVE, pd='scheme = "passive", passive_v = 48, min_v = 40'),  # type: ignore[arg-type]
    ],
    ids=["takes nothing", "draws more than its class", "gets none", "unfit passive source"],
)
def test_a_run_that_is_not_judged_is_not_whatever_else_is_known(design: str) -> None:
    """Why a load is not judged goes before whether its run is known well enough."""
    answers = []
    for text in (
        design,
        design.replace("link_m = 20", 'link_m = "unknown"').replace("link_m = 0", 'link_m = "unknown"'),
    ):
        review = review_text(text, [RULE])
        answers.append(
            (
                [finding.name for finding in review.findings],
                [(group.name, group.subjects) for group in review.passes],
                [(group.name, group.subject, group.why) for group in review.not_applicable],
            )
        )
    assert answers[0] == answers[1]
    assert [name for name, _, _ in answers[0][2]].count("supply-voltage/least") == 1


def test_a_finding_keeps_its_identity_when_numbers_change() -> None:
    first = the(review_text(plain(250, cable="clad"), [RULE]), "off")
    second = the(review_text(plain(260, cable="clad"), [RULE]), "off")
    assert first.fingerprint == second.fingerprint
    assert (pointed_at(first), pointed_at(second)) == ("250", "260")


# -- against the outside ----------------------------------------------------------------------------------------

#: Least volts by class and source, by hand from the class and type tables of IEEE Std 802.3-2022.
PRINTED = [
    ("1", 1, 2, 42.18), ("2", 1, 2, 40.82), ("3", 1, 2, 37.00),
    ("1", 2, 2, 49.02), ("2", 2, 2, 48.32), ("4", 2, 2, 42.50),
    ("3", 3, 2, 46.51), ("3", 3, 4, 48.32), ("4", 3, 4, 46.58), ("5", 3, 4, 44.36), ("6", 3, 4, 42.50),
    ("5", 4, 4, 46.64), ("6", 4, 4, 44.90), ("7", 4, 4, 42.99), ("8", 4, 4, 41.18),
]  # fmt: skip
WATTS = {"1": 3.84, "2": 6.49, "3": 12.95, "4": 25.5, "5": 40.0, "6": 51.0, "7": 62.0, "8": 71.3}
HELD = {1: (44, 20), 2: (50, 12.5), 3: (50, 12.5), 4: (52, 12.5)}


@pytest.mark.parametrize(("pd_class", "pse_type", "pairs", "volts"), PRINTED)
def test_a_run_at_the_limit_of_the_standard_holds_and_a_longer_one_does_not(
    pd_class: str, pse_type: int, pairs: int, volts: float
) -> None:
    """A run of just the ohm that the standard assumes leaves the voltage of the table; two per cent more do not."""
    source_v, ohm = HELD[pse_type]
    watts = 13.0 if pd_class == "3" and pse_type == 3 else WATTS[pd_class]
    metres = ohm / 0.0842190  # both over two pairs and, of half the ohm, over four
    options = {
        "pse": f"type = {pse_type}, min_v = {source_v}",
        "port": f"pse_class = {pd_class}",
        "pd": f"pd_class = {pd_class}",
        "watts": watts,
        "more": f", pairs = {pairs}",
    }
    assert review_text(plain(metres * 0.9995, **options), [RULE]).findings == ()  # type: ignore[arg-type]
    (found,) = review_text(plain(metres * 1.02, **options), [RULE]).findings  # type: ignore[arg-type]
    assert found.check.name in {"channel", "least"}
    assert found.answer.limit == pytest.approx(volts, abs=0.006)


# -- remedies ---------------------------------------------------------------------------------------------------


def every_rule() -> list:  # type: ignore[type-arg]
    return [offered.rule for offered in load_rules().rules]


def changed(text: str, basis: str = "") -> int:
    """Carry out each remedy alone and review again with all rules; return how many there were."""
    rules = every_rule()
    before = review_text(text, rules, basis=basis)
    assert not before.problems
    known = {finding.fingerprint for finding in before.findings if finding.level == "error"}
    count = 0
    for finding in before.findings:
        remedy = finding.answer.remedy
        if finding.rule_id != RULE.id or remedy is None or not remedy.changes:
            continue
        count += 1
        after = review_text(mended(text, remedy, basis=basis), rules, basis=basis)
        assert not after.problems
        left = {other.fingerprint: other for other in after.findings}
        assert finding.fingerprint not in left, finding.answer.message
        assert not [
            other.answer.message for key, other in left.items() if other.level == "error" and key not in known
        ]
    return count


@pytest.mark.parametrize("case", CASES, ids=[case.shows for case in CASES])
def test_the_remedies_of_every_row_hold(case: Case) -> None:
    changed(case.design, case.basis)


@pytest.mark.parametrize(
    "text",
    [
        plain(250, cable="clad", watts=15),
        plain(88, pd="pd_class = 4, min_v = 49", watts=15, cable="hair"),
        plain(160, pse="type = 3, min_v = 50", pd="pd_class = 3", watts=13),
        chain(120, 405, watts=12.9, pse="type = 1").replace("own_w = 0", "own_w = 0, min_v = 30"),
    ],
)
def test_a_thicker_cable_of_the_same_file_is_offered(text: str) -> None:
    assert changed(text) == 1


def test_no_cable_is_offered_in_a_bundle_or_where_none_does() -> None:
    bundled = plain(
        160, pse="type = 3, min_v = 50", pd="pd_class = 3", watts=13, more=', bundle = "b"'
    ).replace(
        "[switch]",
        '[pathway.p]\nkind = "free-air"\nspace = "room"\n[bundle.b]\npathway = "p"\nothers = 0\n[switch]',
    )
    for text in (bundled, plain(250, pse="type = 3, min_v = 50", pd="pd_class = 3", watts=13)):
        remedy = the(review_text(text, [RULE]), "channel").answer.remedy
        assert remedy is not None
        assert remedy.changes == ()


def test_a_remedy_says_length_and_gauge() -> None:
    """46.51 V: (50 − 46.51) × 46.51 / 13 W = 12.5 Ω; by 0.08422 Ω/m 148 m; by 160 m 0.0781 Ω/m: 23 AWG has 0.0668."""
    remedy = of_row("class 3 of Type 3 over 160 m", "channel").answer.remedy
    assert remedy is not None
    assert remedy.text == (
        "for 46.6 V at h: a link of at most 148 m, or copper of 23 AWG or thicker at this length, "
        "or power over all four pairs, or a source nearer to it"
    )
    assert [(change.at, change.value) for change in remedy.changes] == [(("run", "R-1", "cable"), "thick")]


def test_of_a_drawn_run_the_length_is_that_with_its_allowance() -> None:
    """160 m and 5 %: 168 m of wire; 148 m may be."""
    text = plain(160, pse="type = 3, min_v = 50", pd="pd_class = 3", watts=13).replace(
        '"stated"', '"drawing"'
    )
    found = the(review_text(text, [RULE], basis="[allowance]\nshare = 0.05\n"), "channel")
    assert found.answer.remedy is not None
    assert "a link of at most 148 m, allowance included" in found.answer.remedy.text


@pytest.mark.parametrize("start", ["class 3 of Type 3 over 160 m", "15 W over 88 m", "25.5 W over 195 m"])
def test_the_length_that_a_remedy_names_holds_and_ten_metres_more_do_not(start: str) -> None:
    case = next(case for case in CASES if case.shows.startswith(start))
    (found,) = review_text(case.design, [RULE]).findings
    assert found.answer.remedy is not None
    metres = int(found.answer.remedy.text.split("a link of at most ")[1].split(" m")[0])
    written = f"link_m = {pointed_at(found)}"
    assert written in case.design
    assert review_text(case.design.replace(written, f"link_m = {metres}"), every_voltage()).findings == ()
    assert review_text(case.design.replace(written, f"link_m = {metres + 10}"), every_voltage()).findings


def every_voltage() -> list:  # type: ignore[type-arg]
    return [rule for rule in every_rule() if rule.id in {"supply-voltage", "cascade-headroom"}]


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    metres=st.integers(20, 400),
    watts=st.sampled_from([3, 6.4, 12.9, 20, 25.5]),
    cable=st.sampled_from(["thin", "clad", "hair", "thick"]),
    min_v=st.sampled_from(["", ", min_v = 37", ", min_v = 42.5", ", min_v = 49"]),
    pse=st.sampled_from(
        ["type = 2, min_v = 50", "type = 4, min_v = 52", "type = 3, min_v = 54", "type = 4, min_v = 57"]
    ),
)
def test_any_change_mends_and_brings_no_error(
    metres: int, watts: float, cable: str, min_v: str, pse: str
) -> None:
    changed(plain(metres, pse=pse, port="pse_class = 4", pd=f"pd_class = 4{min_v}", watts=watts, cable=cable))


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    first_m=st.integers(5, 200),
    last_m=st.integers(5, 500),
    watts=st.sampled_from([4, 8, 12.9]),
    inlet=st.sampled_from(
        ["pd_class = 4, own_w = 0", "pd_class = 4, own_w = 3", "pd_class = 4, own_w = 0, drop_v = 0.7"]
    ),
)
def test_a_chain_is_judged_in_step_with_its_parts(
    first_m: int, last_m: int, watts: float, inlet: str
) -> None:
    """Whole or gone, never both; a chain that is judged run by run has a share above 1."""
    text = chain(first_m, last_m, watts=watts, inlet=inlet)
    review = review_text(text, [RULE])
    errors = {finding.check.name for finding in review.findings if finding.level == "error"}
    gone = "collapse" in errors
    assert not (gone and errors & {"off", "least"})
    passed = {group.name for group in review.passes}
    assert gone != (f"{RULE.id}/off" in passed or "off" in errors)
    changed(text)
