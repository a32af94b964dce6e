"""Loads while they start: sums at the source with the loss of real runs, up a cascade and down to a UPS."""

import tempfile
from pathlib import Path

import pytest

from riserlint import Built, loss
from riserlint.design.reading import read_basis, read_design

HEAD = """\
[design]
title = "t"
[space]
room = { max_c = 20 }
[cable]
c = { category = "6", conductor_awg = 24, material = "copper", strand = "solid" }
[part.camera]
pd = { pd_class = 4 }
draw_w = { day = 8, night = 10, start = 15, start_s = 8 }
[ups]
u = { from = "mains" }
"""


def built(text: str) -> Built:
    with tempfile.TemporaryDirectory() as name:
        root = Path(name).resolve()
        (root / ".git").mkdir()
        file = root / "design.toml"
        file.write_text(HEAD + text, encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
        assert problems == []
        found = Built(design)
        assert found.problems == []
        return found


def one_switch(pse: str, metres: float = 0, count: int = 4, draws: str = 'part = "camera"') -> Built:
    own = draws if draws.startswith("part") else f"pd = {{ pd_class = 4 }}, {draws}"
    devices = "".join(f"d{n} = {{ {own} }}\n" for n in range(count))
    runs = "".join(
        f'r{n} = {{ from = "core/{n}", to = "d{n}", cable = "c", link_m = {metres}, cords_m = [], connections = 0, '
        'space = "room", bundle = "none" }\n'
        for n in range(count)
    )
    return built(
        f"[switch]\ncore = {{ from = 'u', ac = {{ own_w = 20, efficiency = 0.8, power_factor = 1 }}, "
        f"pse = {{ type = 4, min_v = 52, {pse} }}, ports = {{ 0-7 = {{ pse_class = 4 }} }} }}\n"
        f"[device]\n{devices}[run]\n{runs}"
    )


def test_the_worst_sum_has_the_loss_of_the_runs_in_it() -> None:
    found = one_switch("budget_w = 90, reserves = 'measured', start = { ports = 1, every_s = 8 }", 80)
    source = found.power.sources["core"]
    ohm = source.feeds[0].ohm.high
    assert ohm > 5  # 80 m of 24 AWG, out and back over two pairs
    running, start = loss.solve_link(52, ohm, 10), loss.solve_link(52, ohm, 15)
    assert running is not None
    assert start is not None
    assert source.enforced_w.high == pytest.approx(4 * running.source_w)
    assert source.start_w is not None
    assert source.start_w.known
    assert source.start_w.high == pytest.approx(3 * running.source_w + start.source_w)
    # The port itself still has to give the start.
    assert found.power.feeds["r0"].source_w.high == pytest.approx(start.source_w)


@pytest.mark.parametrize(
    "pse", ["reserves = 'measured'", "reserves = 'class', start = { ports = 1, every_s = 8 }"]
)
def test_without_staging_or_measuring_the_maximum_counts(pse: str) -> None:
    source = one_switch(f"budget_w = 90, {pse}").power.sources["core"]
    assert source.start_w is None
    assert source.source_w.high == pytest.approx(60)


def test_a_ups_carries_the_running_most_later_and_the_worst_sum_at_start() -> None:
    """20 + 40 / 0.8 = 70 W; with one of four starting 20 + 45 / 0.8 = 76.25 W, whatever the source goes by."""
    for reserves in ("measured", "class"):
        found = one_switch(f"budget_w = 90, reserves = '{reserves}', start = {{ ports = 1, every_s = 8 }}")
        assert found.outage.load.by_ups["u"].watts.high == pytest.approx(70)
        assert found.start_load.by_ups["u"].watts.low == pytest.approx(70)
        assert found.start_load.by_ups["u"].watts.high == pytest.approx(76.25)
    found = one_switch("budget_w = 90, reserves = 'measured'")
    assert found.outage.load.by_ups["u"].watts.high == pytest.approx(20 + 60 / 0.8)
    assert found.start_load.by_ups["u"] == found.outage.load.by_ups["u"]


def test_a_ups_gives_no_more_than_budgets_let_through() -> None:
    """Four devices of 6 W to 12.95 W or so: the first two ports have 20 W, the third 15 W, all of them 47 W."""
    typical = "draw_w = { typical = 6 }"
    group = (
        "groups = [{ ports = '0-1', budget_w = 20 }, { ports = '2', budget_w = [{ w = 15, volts = 230 }] }]"
    )
    found = one_switch(f"budget_w = 90, reserves = 'measured', {group}", draws=typical)
    watts = found.outage.load.by_ups["u"].watts
    assert watts.low == pytest.approx(20 + 4 * 6 / 0.8)
    assert watts.high == pytest.approx(20 + (20 + 15 + 25.5) / 0.8)
    budget = "budget_w = [{ w = 47, volts = 230 }, { w = 40, volts = 120 }], reserves = 'measured'"
    # The UPS states no voltage, nor does a circuit: 40 to 47 W of what four devices of class 4 may draw.
    assert one_switch(budget, draws=typical).outage.load.by_ups["u"].watts.high == pytest.approx(
        20 + 47 / 0.8
    )


def test_a_ups_is_sized_by_what_ports_ask_where_a_budget_is_short() -> None:
    """Of 4 × 15 W the first two ports have 25 W; once that is mended the UPS carries 20 + 60 / 0.8 W."""
    found = one_switch("budget_w = 90, reserves = 'measured', groups = [{ ports = '0-1', budget_w = 25 }]")
    load = found.outage.load.by_ups["u"]
    assert load.watts.high == pytest.approx(20 + 60 / 0.8)
    (part,) = load.parts
    assert part.short is not None
    assert part.short.budget_w == 25


def test_a_staged_floor_switch_asks_its_inlet_for_its_own_worst_sum() -> None:
    def inlet_of(start: str) -> tuple[float, float]:
        devices = "".join(f'd{n} = {{ part = "camera" }}\n' for n in range(3))
        runs = "".join(
            f'r{n} = {{ from = "floor/{n}", to = "d{n}", cable = "c", link_m = 0, cords_m = [], connections = 0, '
            'space = "room", bundle = "none" }\n'
            for n in range(3)
        )
        found = built(
            "[switch]\ncore = { pse = { type = 4, min_v = 52 }, ports = { 1 = { pse_class = 8 } } }\n"
            "floor = { inlet = { port = 'up', pd_class = 6, own_w = 5, efficiency = 0.8, passes_through = false }, "
            f"pse = {{ type = 3, min_v = 52, reserves = 'measured'{start} }}, "
            "ports = { 0-7 = { pse_class = 4 } } }\n"
            f"[device]\n{devices}[run]\n{runs}"
            "up = { from = 'core/1', to = 'floor/up', cable = 'c', link_m = 0, cords_m = [], connections = 0, "
            "space = 'room', bundle = 'none' }\n"
        )
        inlet = found.power.inlets["floor"]
        # To what is above, it may have its worst when others have not: then it takes what it runs with.
        assert inlet.inlet_w.low == pytest.approx(5 + (30 if start else 45) / 0.8)
        assert inlet.asked_draw_w.known
        return inlet.asked_draw_w.high, inlet.inlet_w.high

    assert inlet_of("") == pytest.approx((45, 5 + 45 / 0.8))
    assert inlet_of(", start = { ports = 1, every_s = 8 }") == pytest.approx((35, 5 + 35 / 0.8))


def test_a_device_of_which_only_the_start_is_stated_runs_with_that_at_most() -> None:
    text = (
        "[switch]\ncore = { pse = { type = 4, min_v = 52, reserves = 'measured', start = { ports = 1, every_s = 1 } }, "
        "ports = { 1 = { pse_class = 4 } } }\n"
        "[device]\nd = { pd = { pd_class = 4 }, draw_w = { typical = 4, start = 9 } }\n"
        "[run]\nr = { from = 'core/1', to = 'd', cable = 'c', link_m = 0, cords_m = [], connections = 0, "
        "space = 'room', bundle = 'none' }\n"
    )
    source = built(text).power.sources["core"]
    assert source.enforced_w == pytest.approx((4, 9))
    assert ("device", "d", "draw_w", "night") in source.missing
