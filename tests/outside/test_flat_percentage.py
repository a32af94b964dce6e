"""The trade's flat percentage for the cable, held against the computed loss: common practice, no source.

"Add ten per cent (or twenty) for the cable" is a habit, and whoever uses it never learns which run it does not fit.
Two designs of some twenty lines: in one the flat ten per cent passes and the source is too small all the same, in the
other the flat twenty per cent asks for a larger source that nobody needs. The sums stand in README; they are worked
here by hand, with nothing of the engine in them, and the review is held against them.

Resistance: ASTM B258, IEC 60028, stranded × 1.05, 0.2 ohm a contact (all from memory); least volts of Type 2 and 4: 50
and 52 V (published: a maker's note and a distributor's table that restate the standard).
"""

import math
from pathlib import Path

import pytest

from riserlint import load_rules
from riserlint.review.findings import DesignReview
from riserlint.testing import review_text

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")

HEAD = """
[design]
title = "invented"
stage = "construction"
region = "europe"
origin = "stated"
[cable]
cat5e = { category = "5e", conductor_awg = 24, material = "copper", strand = "solid", screen = "none" }
cat6a = { category = "6A", conductor_awg = 23, material = "copper", strand = "solid", screen = "none" }
cord = { category = "6A", conductor_awg = 26, material = "copper", strand = "stranded", screen = "none" }
"""
LONG = (
    HEAD
    + """
[space]
void = { max_c = 40, mean_c = 40 }
[switch.core]
ac = { own_w = 20, efficiency = 0.9 }
pse = { type = 2, scheme = "ieee", min_v = 50, budget_w = 113, reserves = "measured", lldp = true }
ports = { 1-4 = { pse_class = 4 } }
vlans = "none"
"""
)
SHORT = (
    HEAD
    + """
[space]
void = { max_c = 25, mean_c = 25 }
[switch.core]
ac = { own_w = 20, efficiency = 0.9 }
pse = { type = 4, scheme = "ieee", min_v = 52, budget_w = 180, reserves = "measured", lldp = true }
ports = { 1-4 = { pse_class = 6 } }
vlans = "none"
"""
)


def design(head: str, pd_class: int, watts: float, cable: str, link_m: float, cord_m: float) -> str:
    """Return a design of four equal devices."""
    cord = f'{{ cable = "cord", m = {cord_m} }}'
    devices = "".join(
        f'd{i} = {{ pd = {{ scheme = "ieee", pd_class = {pd_class}, needs_lldp = false, min_v = 37 }}, draw_w = '
        f"{{ day = {watts} }} }}\n"
        for i in range(1, 5)
    )
    runs = "".join(
        f'R{i} = {{ from = "core/{i}", to = "d{i}", cable = "{cable}", link_m = {link_m}, cords = [{cord}, {cord}], '
        'connections = 2, space = "void", bundle = "none" }\n'
        for i in range(1, 5)
    )
    return f"{head}[device]\n{devices}[run]\n{runs}"


#: 26 W class 4 cameras 82 m away on 24 AWG over two pairs, the void at 40 °C, five metres of cord at either end.
PASSES_FLAT = design(LONG, 4, 25.5, "cat5e", 82, 5)
#: 40 W class 6 devices 20 m away on 23 AWG over four pairs, a metre of cord at either end.
FAILS_FLAT = design(SHORT, 6, 40, "cat6a", 20, 1)


def metre_ohm(awg: int, celsius: float, factor: float = 1.0) -> float:
    area_mm2 = math.pi / 4 * (0.127 * math.pow(92, (36 - awg) / 39)) ** 2
    return factor / 58 / area_mm2 * (1 + 0.00393 * (celsius - 20))


def at_source_w(ohm: float, device_w: float, volts: float = 52) -> float:
    return volts * (volts - math.sqrt(volts * volts - 4 * ohm * device_w)) / (2 * ohm)


def loop_ohm(awg: int, link_m: float, cord_m: float, celsius: float) -> float:
    """One pair out and back: link, two cords, and a contact of 0.2 ohm in each conductor at either end."""
    metres = link_m * metre_ohm(awg, celsius) + 2 * cord_m * metre_ohm(26, celsius, 1.05)
    return 2 * (metres + 2 * 0.2)


def reviewed(text: str) -> DesignReview:
    review = review_text(text, [offered.rule for offered in load_rules().rules])
    assert review.problems == ()
    assert review.faults == ()
    return review


def test_the_flat_ten_per_cent_passes_where_the_source_is_too_small() -> None:
    """Common practice, no source: 4 × 25.5 W × 1.1 = 112.2 W, within 113 W."""
    flat_w = 4 * 25.5 * 1.1
    true_w = 4 * at_source_w(loop_ohm(24, 82, 5, 40) / 2, 25.5, volts=50)
    assert flat_w < 113 < true_w
    found = [finding for finding in reviewed(PASSES_FLAT).findings if finding.level == "error"]
    assert [(finding.name, finding.subject) for finding in found] == [
        ("cascade-headroom/budget", "switch.core")
    ]
    assert found[0].answer.value == pytest.approx(true_w, abs=0.05)
    assert found[0].answer.limit == 113


def test_the_flat_twenty_per_cent_asks_for_a_larger_source_than_is_needed() -> None:
    """Common practice, no source: 4 × 40 W × 1.2 = 192 W, more than 180 W."""
    flat_w = 4 * 40 * 1.2
    true_w = 4 * at_source_w(loop_ohm(23, 20, 1, 25) / 4, 40)
    assert true_w < 180 < flat_w
    review = reviewed(FAILS_FLAT)
    assert [finding.name for finding in review.findings if finding.level == "error"] == []
    passed = {group.name: group.subjects for group in review.passes}
    assert "switch.core" in passed["cascade-headroom/budget"]


def test_the_sums_of_readme_are_these() -> None:
    section = README.split("## Why not a flat percentage")[1].split("\n## ")[0]
    long_ohm, short_ohm = loop_ohm(24, 82, 5, 40) / 2, loop_ohm(23, 20, 1, 25) / 4
    long_w, short_w = at_source_w(long_ohm, 25.5, volts=50), at_source_w(short_ohm, 40)
    for words in (
        f"{long_ohm:.2f} Ω",
        f"{long_w / 50:.4f} A",
        f"{long_w:.2f} W",
        f"4 × {long_w:.2f} W = {4 * long_w:.1f} W",
        f"{100 * (long_w / 25.5 - 1):.1f} %",
        "4 × 25.5 W × 1.1 = 112.2 W",
        "113 W",
        f"{short_ohm:.2f} Ω",
        f"{short_w / 52:.4f} A",
        f"4 × {short_w:.2f} W = {4 * short_w:.1f} W",
        f"{100 * (short_w / 40 - 1):.1f} %",
        "4 × 40 W × 1.2 = 192 W",
        "180 W",
    ):
        assert words in section, words
