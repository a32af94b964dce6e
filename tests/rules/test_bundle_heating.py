"""bundle-heating: rows of designs with all that the rule says of them, sums done by hand, remedies that mend.

Sources of the limits: rise 15 K, TIA TSB-184-A (published, a maker's note that cites it); 100 cables of Category 5e get
20 K/A² times the square of the current per pair warmer (published, contribution to TIA TR-42 / IEEE P802.3at); the 60 W
of NFPA 70 (published, trade column), its 0.3 A and its notes (from memory). The ampacity tables below are INVENTED: no
figure of an edition was checked, and none of these is one.
"""

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remedies import carried_out
from riserlint.reports.gathered import gaps_of
from riserlint.review.findings import Finding
from riserlint.testing import Case, Expected, review_text, said
from riserlint_rules.bundle_heating import RULE

CAT_6A = (
    'category = "6A", conductor_awg = 23, material = "copper", strand = "solid", outer_mm = 7.4, rated_c = 60'
)
CAT_5E = (
    'category = "5e", conductor_awg = 24, material = "copper", strand = "solid", outer_mm = 5.2, rated_c = 60'
)

#: INVENTED. It keeps the square root of the margin: 0.5 × √(45 / 30) = 0.612.
INVENTED = """
[rule.bundle-heating.ampacity]
edition = "invented for a test"
bundle_sizes = [1, 10, 50]
decimals = 2
rows = [
  { awg = 22, rated_c = 60, a = [1.20, 0.90, 0.70] },
  { awg = 23, rated_c = 60, a = [1.10, 0.70, 0.50] },
  { awg = 23, rated_c = 75, a = [1.35, 0.86, 0.61] },
  { awg = 24, rated_c = 60, a = [1.00, 0.60, "none"] },
]
"""


def design(
    runs: int = 24,
    *,
    watts: float = 51,
    pd_class: int | str = 6,
    bundle: str = 'b = { pathway = "p", others = 0 }',
    pathway: str = 'kind = "open-tray"',
    cable: str = CAT_6A,
    max_c: float | None = 40,
    region: str = "europe",
    link_m: float = 70,
    run: str = "",
    pse: str = "type = 4",
    port_class: int = 8,
    lies_in: str = ', space = "void", bundle = "b"',
    spare: int = 0,
) -> str:
    """Return a design of equal runs from one source in one bundle, and of spare ones without a device."""
    head = f'[design]\ntitle = "invented"\n{f"region = {region!r}" if region else ""}\n'
    places = (
        f"[space]\nvoid = {{ {'' if max_c is None else f'max_c = {max_c}'} }}\n[cable]\nh = {{ {cable} }}\n"
    )
    ways = f'[pathway]\np = {{ {pathway}{", " if pathway else ""}space = "void" }}\n[bundle]\n{bundle}\n'
    source = (
        f"[switch]\ncore = {{ pse = {{ {pse} }}, ports = {{ 1-400 = {{ pse_class = {port_class} }} }} }}\n"
    )
    shown = f'"{pd_class}"' if isinstance(pd_class, str) else pd_class
    rest = f'cable = "h", link_m = {link_m}, cords_m = [], connections = 2{lies_in}{run} }}'
    devices = [
        f"d{i} = {{ pd = {{ pd_class = {shown} }}, draw_w = {{ day = {watts} }} }}" for i in range(runs)
    ]
    lines = [f'r{i} = {{ from = "core/{i + 1}", to = "d{i}", {rest}' for i in range(runs)]
    lines += [f's{i} = {{ from = "core/{300 + i}", {rest}' for i in range(spare)]
    return "\n".join([head + places + ways + source + "[device]", *devices, "[run]", *lines, ""])


def hot(**changes: object) -> str:
    """Return 96 cables of Category 5e with class 8 in a closed conduit at 45 °C: well above 60 °C."""
    given_: dict[str, object] = {
        "runs": 96,
        "watts": 71.3,
        "pd_class": 8,
        "pathway": 'kind = "closed-conduit"',
        "cable": CAT_5E,
        "max_c": 45,
    }
    return design(**{**given_, **changes})  # type: ignore[arg-type]


def coded(**changes: object) -> str:
    """Return 24 cables of class 8 at 45 °C in North America."""
    given_: dict[str, object] = {"watts": 71.3, "pd_class": 8, "max_c": 45, "region": "north-america"}
    return design(**{**given_, **changes})  # type: ignore[arg-type]


def one(check: str, outcome: str, subject: str = "bundle.b", points_at: str = "b") -> Expected:
    return Expected(check, outcome, subject, points_at)


ROWS = [
    Case("24 cables of class 6 in open tray at 40 °C are content", design()),
    Case(
        "24 cables of class 8 at 45 °C hold, as the general advice of 24 a bundle says (from memory)",
        coded(region="europe"),
    ),
    Case(
        "36 cables, 12 of them spare, in a closed sleeve at 48 °C: warm, and within it",
        design(24, spare=12, pathway='kind = "closed-conduit"', max_c=48),
    ),
    Case(
        "12 cables of unknown metal in conduit at 50 °C, two to 30 W access points: holds whichever metal it is",
        design(
            2,
            watts=25.5,
            pd_class=4,
            bundle='b = { pathway = "p", others = 10, others_powered = false }',
            pathway='kind = "closed-conduit"',
            cable='category = "5e", conductor_awg = 24, material = "unknown", strand = "solid", outer_mm = 5.2',
            max_c=50,
        ),
    ),
    Case("96 cables of class 8 in conduit at 45 °C", hot(), (one("rating", "error"), one("rise", "warning"))),
    Case(
        "the same with 75 °C cable: only the rise is left",
        hot(cable=CAT_5E.replace("60", "75")),
        (one("rise", "warning"),),
    ),
    Case("the same in a cool space: only the rise is left", hot(max_c=20), (one("rise", "warning"),)),
    Case(
        "the same with a guidance of 25 K in the basis",
        hot(max_c=20),
        (),
        "[rule.bundle-heating]\nrise_k = 25\n",
    ),
    Case(
        "a rise of 2 K against an own guidance of 1 K",
        design(),
        (one("rise", "warning"),),
        "[rule.bundle-heating]\nrise_k = 1\n",
    ),
    Case(
        "a space as hot as the cables are rated: any load is too much",
        design(4, watts=10, pd_class=3, max_c=62),
        (one("rating", "error"),),
    ),
    Case("the same bundle without any load is not subject to it", design(0, spare=36, max_c=62)),
    Case("a port that gives no power heats nothing", hot(runs=0, spare=96)),
    Case(
        "how many cables lie in it besides is not known",
        design(bundle='b = { pathway = "p" }'),
        (one("rating", "open"), one("rise", "open")),
    ),
    Case(
        "the basis assumes that none do",
        design(bundle='b = { pathway = "p" }'),
        (),
        "[assume.bundle]\nothers = 0\n",
    ),
    Case(
        "60 others that carry nothing",
        design(bundle='b = { pathway = "p", others = 60, others_powered = false }'),
    ),
    Case(
        "200 others in a conduit, and whether they carry power is not known",
        design(24, bundle='b = { pathway = "p", others = 200 }', pathway='kind = "closed-conduit"'),
        (one("rating", "open"), one("rise", "open")),
    ),
    Case(
        "the pathway is not known: in insulation it would be too warm, else not",
        design(36, bundle="b = { others = 0 }"),
        (one("rise", "open"),),
    ),
    Case(
        "the basis assumes the pathway",
        design(36, bundle="b = { others = 0 }"),
        (),
        '[assume.pathway]\nkind = "open-tray"\n',
    ),
    Case("few and light: holds in any pathway", design(6, watts=6, pd_class=2, bundle="b = { others = 0 }")),
    Case("insulation of unknown thickness", design(36, pathway='kind = "insulated"'), (one("rise", "open"),)),
    Case(
        "thick insulation",
        design(48, pathway='kind = "insulated", insulation_mm = 200', max_c=45),
        (one("rating", "error"), one("rise", "warning")),
    ),
    Case("the ambient is not known", design(max_c=None), (one("rating", "open"), one("rise", "open"))),
    Case(
        "the rating is not known and matters",
        hot(cable=CAT_5E.replace(", rated_c = 60", "")),
        (one("rating", "open"), one("rise", "warning")),
    ),
    Case("the rating is not known and does not matter", design(cable=CAT_6A.replace(", rated_c = 60", ""))),
    Case(
        "hotter than any cable is rated",
        hot(cable=CAT_5E.replace(", rated_c = 60", ""), max_c=100),
        (one("rating", "error"), one("rise", "warning")),
    ),
    Case(
        "a length that is not known bounds the current all the same",
        design(6, watts=10, pd_class=3).replace("link_m = 70, ", ""),
    ),
    Case(
        "of two runs it is not known whether they lie in a bundle",
        design(2, lies_in=', space = "void"'),
        (one("rating", "open", "run.r0", "r0"), one("rating", "open", "run.r1", "r1")),
    ),
    Case("runs that lie alone", design(2, lies_in=', space = "void", bundle = "none"')),
    # NFPA 70
    Case("in Europe the code's table is not asked for", coded(region="europe"), (), INVENTED),
    Case("up to 60 W a cable it is not asked for", coded(watts=51, pd_class=6)),
    Case("above 60 W, and no table in the basis", coded(), (one("ampacity", "open"),)),
    Case("above 60 W, by an invented table", coded(), (one("ampacity", "error"),), INVENTED),
    Case("the same at 30 °C, where the invented table needs no correction", coded(max_c=30), (), INVENTED),
    Case(
        "the same with a rating that the invented table has",
        coded(cable=CAT_6A.replace("60", "75")),
        (),
        INVENTED,
    ),
    Case(
        "a rating between two of the invented table is read as the lower",
        coded(cable=CAT_6A.replace("60", "70")),
        (one("ampacity", "error"),),
        INVENTED,
    ),
    Case("a smaller bundle, by the invented table", coded(runs=10), (), INVENTED),
    Case("a cable listed LP for 0.5 A needs no table", coded(cable=f"{CAT_6A}, listed_a = 0.5")),
    Case(
        "a cable listed LP for less than it carries",
        coded(cable=f"{CAT_6A}, listed_a = 0.4"),
        (one("ampacity", "open"),),
    ),
    Case("no region, and the table would be asked for", coded(region=""), (one("ampacity", "open"),)),
    Case("no region, and the invented table holds", coded(region="", max_c=30), (), INVENTED),
    Case("no region, and up to 60 W", coded(region="", watts=51, pd_class=6)),
    Case(
        "200 cables",
        coded(runs=200, bundle='b = { pathway = "p", others = 0 }'),
        (one("ampacity", "review"),),
        INVENTED,
    ),
    Case(
        "conductors thinner than 26 AWG above 60 W",
        coded(runs=4, cable=CAT_6A.replace("23", "28")),
        (one("ampacity", "review"),),
        INVENTED,
    ),
    Case(
        "26 AWG at 30 W: which gate holds is a matter of the listing",
        coded(watts=25.5, pd_class=4, cable=CAT_6A.replace("23", "26")),
        (one("ampacity", "review"),),
    ),
    Case(
        "the gauge is not known",
        coded(max_c=30, cable=CAT_6A.replace("23", '"unknown"')),
        (one("ampacity", "open"),),
        INVENTED,
    ),
    Case(
        "the invented table has no value there",
        coded(max_c=30, cable=CAT_6A.replace("23", "24")),
        (one("ampacity", "open"),),
        INVENTED,
    ),
    Case("the class is not known", coded(pd_class="unknown"), (one("ampacity", "open"),), INVENTED),
    Case(
        "200 cables, and the class is not known",
        coded(runs=200, pd_class="unknown", watts=8),
        (one("ampacity", "open"),),
        INVENTED,
    ),
    Case(
        "half of the wires loaded gives the invented table 1.4 times",
        coded(
            max_c=30,
            pse='type = 4, scheme = "passive", min_v = 56',
            watts=65,
            link_m=5,
            run=", pairs = 2",
            pd_class="unknown",
        ),
        (),
        INVENTED,
    ),
    Case(
        "an invented table that rises with the bundle is not used",
        coded(max_c=30),
        (one("ampacity-table", "error", "basis.ampacity", "ampacity"), one("ampacity", "open")),
        INVENTED.replace("0.70, 0.50", "0.50, 0.60"),
    ),
    Case(
        "an invented table that breaks the square root by more than a digit",
        design(),
        (one("ampacity-table", "error", "basis.ampacity", "ampacity"),),
        INVENTED.replace("1.35, 0.86, 0.61", "1.35, 0.86, 0.66"),
    ),
    Case(
        "an invented table with a row twice",
        design(),
        (one("ampacity-table", "error", "basis.ampacity", "ampacity"),),
        INVENTED.replace("awg = 24", "awg = 23"),
    ),
]


@pytest.mark.parametrize("case", ROWS, ids=[case.shows for case in ROWS])
def test_the_rule_says_this_and_nothing_else(case: Case) -> None:
    assert sorted(said(case, RULE)) == sorted(case.expected)


def findings(text: str, basis: str = "") -> dict[str, Finding]:
    review = review_text(text, [RULE], basis=basis)
    assert review.problems == ()
    assert review.faults == ()
    return {finding.check.name: finding for finding in review.findings}


def test_a_bundle_that_is_right_is_counted_as_a_pass_and_a_dark_one_as_not_subject() -> None:
    review = review_text(coded(max_c=30), [RULE], basis=INVENTED)
    assert {group.name.partition("/")[2]: group.subjects for group in review.passes} == {
        "rating": ("bundle.b",),
        "rise": ("bundle.b",),
        "ampacity": ("bundle.b",),
        "ampacity-table": ("basis.ampacity",),
    }
    dark = review_text(design(0, spare=3), [RULE])
    assert {(entry.name.partition("/")[2], entry.why) for entry in dark.not_applicable} >= {
        ("rating", "no run in it carries power"),
        ("rise", "no run in it carries power"),
        ("ampacity", "no run in it carries power"),
    }


def numbers(text: str) -> list[float]:
    return [float(found) for found in re.findall(r"\d+(?:\.\d+)?", text)]


def test_the_working_can_be_done_again_by_hand() -> None:
    finding = findings(hot())["rating"]
    heat, size, total, powering = finding.answer.working.split("; ")
    # q = 96 × 8 × i² × r, r = 0.0842 × (1 + 0.00393 × (66.0 − 20)): 24 AWG has 0.0842 ohm/m at 20 °C (wire tables)
    amps, ohm, watts = numbers(heat)[2], numbers(heat)[-2], numbers(heat)[-1]
    assert ohm == pytest.approx(0.0842 * (1 + 0.00393 * (66.0 - 20)), rel=2e-3)
    assert watts == pytest.approx(96 * 8 * amps**2 * ohm, rel=1e-3)
    # 71.3 W at 52 V over 70 m: R = (2 × 70 × r + 4 × 0.2) / 4 = 3.68 ohm, I = 2 P / (52 + √(52² − 4 R P)) = 1.539 A
    ohms = (2 * 70 * ohm + 4 * 0.2) / 4
    current = 2 * 71.3 / (52 + math.sqrt(52**2 - 4 * ohms * 71.3))
    # the unbalance of class 8: 0.932 A in place of 0.865 A in one pairset (from memory): heat × (1 + 0.077²)
    assert amps == pytest.approx(current / 4 * math.sqrt(1 + (0.932 / (90 / 52 / 2) - 1) ** 2), rel=1e-3)
    assert size == "D = 5.2 mm × √(96 / 0.75) = 58.8 mm"
    assert 5.2 * math.sqrt(96 / 0.75) == pytest.approx(58.8, abs=0.05)
    # Eight wires of a quarter each: the mean is I / 4, which RP2 of EN 50174-2 allows (up to 500 mA, from memory).
    assert numbers(powering)[0] == pytest.approx(1000 * current / 4, abs=1)
    assert "remote powering category RP2" in powering
    parts = numbers(total)
    assert parts[0] + parts[1] + parts[3] == pytest.approx(parts[-1], abs=0.02)
    assert parts[3] == pytest.approx(watts * parts[4], rel=2e-3)
    # the core of Category 5e comes out at about 6.6 K m/W when calibrated on 20 K/A²; 6.6 / (4 π) = 0.53
    assert parts[4] == pytest.approx(6.6 / (4 * math.pi), rel=0.02)


def test_message_limit_and_margin_of_a_bundle_that_is_too_hot() -> None:
    finding = findings(hot())["rating"]
    answer = finding.answer
    assert answer.message == (
        "b: 96 cables, 96 of them powered, in closed conduit at 45.0 °C reach 65.9 to 66.0 °C at the centre, 20.9 to "
        "21.0 K above the ambient; the cables are rated 60 °C"
    )
    assert (answer.limit, answer.unit) == (60, "°C")
    assert answer.value == pytest.approx(66.0, abs=0.1)
    assert answer.margin == pytest.approx(60 - 66.0, abs=0.1)
    assert finding.held_against is not None
    assert finding.held_against.known == "stated"


def test_the_guidance_is_cited_with_how_it_is_known() -> None:
    record = findings(hot())["rise"].held_against
    assert record is not None
    assert (record.value, record.unit, record.known, record.citation.text) == (
        15.0,
        "K",
        "published",
        "TIA TSB-184",
    )
    own = findings(design(), "[rule.bundle-heating]\nrise_k = 1\n")["rise"].held_against
    assert own is not None
    assert (own.value, own.known) == (1.0, "stated")


def test_a_theatre_sleeve_with_four_displays_by_hand() -> None:
    """36 cables, 12 spare: 4 displays of 51 W, 5 access points of 25.5 W, 9 cameras of 12.5 W, 6 intercoms of 6 W."""
    kinds = [(4, 6, 51.0), (5, 4, 25.5), (9, 3, 12.5), (6, 2, 6.0)]
    devices = [(pd_class, watts) for count, pd_class, watts in kinds for _ in range(count)]
    text = design(24, spare=12, pathway='kind = "closed-conduit"', max_c=48, pse="type = 3", port_class=6)
    for index, (pd_class, watts) in enumerate(devices):
        text = text.replace(
            f"d{index} = {{ pd = {{ pd_class = 6 }}, draw_w = {{ day = 51 }} }}",
            f"d{index} = {{ pd = {{ pd_class = {pd_class} }}, draw_w = {{ day = {watts} }} }}",
        )
    finding = findings(text, "[rule.bundle-heating]\nrise_k = 0.5\n")["rise"]
    # r = 0.0668 × (1 + 0.00393 × 29) = 0.0744 ohm/m. Displays: 1.086 A, 0.272 A a wire, 8 × 0.272² r = 0.0440 W/m, and
    # 1.9 % more for their unbalance; access points 0.543 A, 0.272 A, half of that: 0.0220; cameras 0.258 A: 0.0049;
    # intercoms 0.122 A: 0.0011. 4 × 0.0448 + 5 × 0.0220 + 9 × 0.0049 + 6 × 0.0011 = 0.340 W/m
    assert numbers(finding.answer.working.split("; ")[0])[-1] == pytest.approx(0.340, rel=0.01)
    assert "D = 7.4 mm × √(36 / 0.75) = 51.3 mm" in finding.answer.working
    assert finding.answer.value is not None
    assert finding.answer.value < 1.3
    assert said(Case("", text), RULE) == ()


@pytest.mark.parametrize("link_m", [1, 40, 90])
def test_a_hundred_cables_rise_as_published(link_m: float) -> None:
    """dT = 20 K/A² × I² for 100 cables of Category 5e in free air, measured points up to 3.3 K off the fit."""
    text = design(
        100, watts=71.3, pd_class=8, cable=CAT_5E, pathway='kind = "free-air"', link_m=link_m, max_c=30
    )
    answer = findings(text, "[rule.bundle-heating]\nrise_k = 0.1\n")["rise"].answer
    pair_a = 2 * numbers(answer.working)[2]
    assert answer.value == pytest.approx(20 * pair_a**2, rel=0.04)


def test_an_open_answer_names_what_is_missing_and_where_it_turns() -> None:
    unknown = design(36, pathway='kind = "closed-conduit"', bundle='b = { pathway = "p" }')
    answer = findings(unknown)["rating"].answer
    assert answer.missing == (("bundle", "b", "others"), ("bundle", "b", "others_powered"))
    most = int(numbers(answer.turns)[0])
    few, many = (
        unknown.replace('"p" }', f'"p", others = {count} }}') for count in (most, math.ceil(most * 1.04))
    )
    assert "rating" not in findings(few)
    open_ = findings(many)["rating"].answer
    assert (open_.kind, open_.missing) == ("open", (("bundle", "b", "others_powered"),))
    assert open_.turns == "holds if the cables that are not in the file carry nothing"
    assert "rating" not in findings(many.replace("others =", "others_powered = false, others ="))


def test_others_that_carry_power_are_to_be_written_as_runs() -> None:
    # That they carry power says not how much: nothing, or the nominal current of class 8 (IEEE Std 802.3).
    powered = 'b = { pathway = "p", others = 300, others_powered = true }'
    answer = findings(design(36, pathway='kind = "closed-conduit"', bundle=powered))["rating"].answer
    assert answer.kind == "open"
    assert answer.missing == (("bundle", "b", "others as runs"),)
    assert answer.message.endswith(
        "; how much the cables carry that are not in the file is not known: write them as runs"
    )
    assert answer.turns == (
        "holds if they carry little enough: write the 300 cables that are not in the file as runs"
    )
    gap = gaps_of([findings(design(36, pathway='kind = "closed-conduit"', bundle=powered))["rating"]])[0]
    assert (gap.what, gap.things) == ("bundle.others as runs", ("b",))
    dark = powered.replace("true", "false")
    assert "rating" not in findings(design(36, pathway='kind = "closed-conduit"', bundle=dark))


def test_the_ambient_at_which_an_open_answer_turns() -> None:
    answer = findings(hot(runs=24, max_c=None))["rating"].answer
    assert set(answer.missing) == {("space", "void", "max_c"), ("space", "void", "mean_c")}
    hottest = numbers(answer.turns)[0]
    assert "rating" not in findings(hot(runs=24, max_c=hottest))
    assert findings(hot(runs=24, max_c=hottest + 0.3))["rating"].answer.kind == "fail"


def test_the_rating_at_which_an_open_answer_turns() -> None:
    bare = CAT_5E.replace(", rated_c = 60", "")
    answer = findings(hot(cable=bare))["rating"].answer
    assert answer.missing == (("cable", "h", "rated_c"),)
    needed = int(numbers(answer.turns)[0])
    assert "rating" not in findings(hot(cable=f"{bare}, rated_c = {needed}"))
    assert "rating" in findings(hot(cable=f"{bare}, rated_c = {needed - 1}"))


def test_a_pathway_that_is_not_known_turns_on_insulation() -> None:
    answer = findings(design(36, bundle="b = { others = 0 }"))["rise"].answer
    assert answer.missing == (("bundle", "b", "pathway"),)
    assert answer.turns == "holds unless it lies in insulation"


def test_the_largest_bundle_that_is_advised_holds_and_a_few_cables_more_do_not() -> None:
    # the advice keeps the currents of the bundle as it is, warmer than the one advised, so it may be a little low
    for check in ("rating", "rise"):
        remedy = findings(hot())[check].answer.remedy
        assert remedy is not None
        largest = int(numbers(remedy.text)[0])
        assert check not in findings(hot(runs=largest))
        assert check in findings(hot(runs=math.ceil(largest * 1.04)))


def test_what_the_ampacity_finding_says() -> None:
    finding = findings(coded(), INVENTED)["ampacity"]
    # 90 W / 52 V / 4 = 0.433 A; 0.50 A × √((60 − 45) / (60 − 30)) = 0.354 A
    assert finding.answer.value == pytest.approx(90 / 52 / 4, abs=5e-4)
    assert finding.answer.limit == pytest.approx(0.5 * math.sqrt(0.5), abs=5e-4)
    assert (
        finding.answer.working
        == "0.5 A (23 AWG, 60 °C, up to 50 cables) × √((60 − 45) / (60 − 30)) = 0.354 A"
    )
    assert finding.answer.remedy is not None
    assert finding.answer.remedy.text.startswith("at most 10 cables in one bundle, or 22 AWG")
    assert finding.held_against is not None
    assert finding.held_against.known == "stated"
    assert finding.held_against.citation.edition == "invented for a test"


def test_without_a_table_the_answer_says_that_it_is_missing() -> None:
    answer = findings(coded())["ampacity"].answer
    assert answer.missing == (("basis", "rule", "bundle-heating", "ampacity"),)
    assert "the basis holds no ampacity table of the adopted edition" in answer.message


def test_where_the_class_is_not_known_it_is_what_is_missing() -> None:
    answer = findings(coded(runs=11, pd_class="unknown", watts=8), INVENTED)["ampacity"].answer
    assert set(answer.missing) == {("device", f"d{i}", "pd", "pd_class") for i in range(11)}


def test_without_a_region_only_what_the_table_would_fault_is_open() -> None:
    assert findings(coded(region=""), INVENTED)["ampacity"].answer.missing[0] == ("design", "region")


def test_a_wrong_table_is_told_in_full_in_the_working() -> None:
    finding = findings(coded(max_c=30), INVENTED.replace("0.70, 0.50", "0.50, 0.60"))["ampacity-table"]
    assert finding.location.file == "basis.toml"
    assert "0.6 A up to 50 cables is more than 0.5 A up to 10 cables" in finding.answer.message


def test_parameters_of_the_wrong_form_are_problems_of_the_basis() -> None:
    review = review_text(design(), [RULE], basis="[rule.bundle-heating]\nrise_k = -3\n")
    assert [problem.file for problem in review.problems] == ["basis.toml"]


# -- remedies -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "basis"),
    [
        (hot(), ""),
        (hot(max_c=20), ""),
        (hot(runs=70), ""),
        (coded(), INVENTED),
        (design(48, pathway='kind = "insulated", insulation_mm = 200', max_c=45), ""),
    ],
)
def test_a_thicker_gauge_mends_where_it_is_offered(text: str, basis: str) -> None:
    assert carried_out(text, RULE, basis=basis)


@settings(max_examples=25, deadline=None)
@given(
    runs=st.integers(30, 110),
    max_c=st.integers(15, 55),
    awg=st.sampled_from([23, 24, 26]),
    kind=st.sampled_from(["open-tray", "closed-conduit"]),
    link_m=st.integers(5, 60),
)
def test_whatever_is_offered_as_a_change_mends(
    runs: int, max_c: int, awg: int, kind: str, link_m: int
) -> None:
    cable = CAT_5E.replace("24", str(awg))
    text = hot(runs=runs, max_c=max_c, cable=cable, pathway=f'kind = "{kind}"', link_m=link_m)
    carried_out(text, RULE)


def test_a_gauge_that_was_measured_is_not_changed() -> None:
    measured = hot(
        cable=CAT_5E.replace("conductor_awg = 24", 'conductor_awg = { is = 24, origin = "measured" }')
    )
    remedy = findings(measured)["rating"].answer.remedy
    assert remedy is not None
    assert remedy.changes == ()
    assert "at most" in remedy.text
