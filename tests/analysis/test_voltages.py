"""Voltages at the far ends: as they would be, off or not; a chain's own, and what wire would bring them."""

import math

import pytest

from riserlint.analysis.built import Built
from riserlint.analysis.voltages import channel_volts, needed_volts
from riserlint.design.reading import read_basis, read_design

HEAD = """\
[design]
title = "volts"
[space]
room = { max_c = 20, mean_c = 20 }
[cable]
thin = { category = "6", conductor_awg = 24, material = "copper", strand = "solid" }
[switch]
core = { pse = { type = 4, min_v = 52 }, ports = { 1-4 = { pse_class = 4 } } }
mid = { inlet = { port = "in", pd_class = 4, own_w = 0, passes_through = true }, pse = { type = 2 }, ports = { 1-4 = { pse_class = 4 } } }
"""  # noqa: E501 - a thing of a design stands in one line
#: Ohm per metre of 24 AWG, which is also that of a metre of run over two pairs: 1/58 Ω mm²/m over π d² / 4 with
#: d = 0.127 mm × 92^(12 / 39); the printed tables have 84.2 Ω per km.
PER_M = 4 / (58 * math.pi * (0.127 * 92 ** (12 / 39)) ** 2)
LIES = 'cords_m = [], connections = 0, space = "room", bundle = "none"'


def built(tmp_path_factory: pytest.TempPathFactory, devices: str, runs: str) -> Built:
    folder = tmp_path_factory.mktemp("volts")
    (folder / ".git").mkdir()
    file = folder / "design.toml"
    file.write_text(f"{HEAD}[device]\n{devices}[run]\n{runs}", encoding="utf-8")
    design, problems = read_design(file, folder, read_basis(file, folder))
    assert problems == []
    return Built(design)


@pytest.mark.parametrize("metres", [10, 150, 200, 311, 314, 400])
def test_a_load_that_is_off_has_the_volts_that_it_would_have(
    tmp_path_factory: pytest.TempPathFactory, metres: int
) -> None:
    """(52 + √(52² − 4 R P)) / 2 of the quadratic itself, 0 where it has no root."""
    found = built(
        tmp_path_factory,
        "h = { pd = { pd_class = 4 }, draw_w = { night = 25.5 } }\n",
        f'R = {{ from = "core/1", to = "h", cable = "thin", link_m = {metres}, {LIES} }}\n',
    )
    power = found.power.feeds["R"]
    under = 52**2 - 4 * metres * PER_M * 25.5
    by_hand = (52 + math.sqrt(under)) / 2 if under >= 0 else 0.0
    assert found.voltages.at_load(power) == pytest.approx((by_hand, by_hand), rel=1e-6)
    assert (power.worst is None) == (by_hand <= 30)
    wire = found.voltages.wire(power, 42.5)
    # (52 − 42.5) × 42.5 / 25.5 = 15.83 Ω
    assert wire.ohm == pytest.approx((52 - 42.5) * 42.5 / 25.5)
    assert wire.link_m == pytest.approx((9.5 * 42.5 / 25.5) / PER_M, rel=1e-6)
    assert needed_volts(power).volts == pytest.approx((42.5, 42.5))
    assert channel_volts(power) == pytest.approx((52 + math.sqrt(52**2 - 4 * 12.5 * 25.5)) / 2)


def test_behind_one_that_passes_through_the_ohms_add_up(tmp_path_factory: pytest.TempPathFactory) -> None:
    """One load behind two runs in series is one load behind their sum; the longest last run leaves the sum as it is."""
    found = built(
        tmp_path_factory,
        "h = { pd = { pd_class = 3 }, draw_w = { night = 12.5 } }\n",
        f'A = {{ from = "core/1", to = "mid/in", cable = "thin", link_m = 120, {LIES} }}\n'
        f'B = {{ from = "mid/1", to = "h", cable = "thin", link_m = 450, {LIES} }}\n',
    )
    last = found.power.feeds["B"]
    whole = (52 + math.sqrt(52**2 - 4 * 570 * PER_M * 12.5)) / 2
    assert found.voltages.at_load(last) == pytest.approx((whole, whole), rel=1e-6)
    wire = found.voltages.wire(last, 40)
    assert wire.ohm == pytest.approx((52 - 40) * 40 / 12.5 - 120 * PER_M, rel=1e-6)
    assert wire.link_m is not None
    assert wire.link_m == pytest.approx((52 - 40) * 40 / 12.5 / PER_M - 120, rel=1e-6)
    assert channel_volts(last) is None
    assert found.voltages.wire(last, 51.9).ohm is None


def test_an_unknown_length_leaves_everything_up_to_the_source(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    found = built(
        tmp_path_factory,
        "h = { pd = { pd_class = 4 }, draw_w = { night = 25.5 } }\n",
        f'R = {{ from = "core/1", to = "h", cable = "thin", {LIES} }}\n',
    )
    power = found.power.feeds["R"]
    assert found.voltages.at_load(power) == (0.0, 52.0)
    assert found.voltages.wire(power, 42.5).link_m == pytest.approx((9.5 * 42.5 / 25.5) / PER_M, rel=1e-6)
