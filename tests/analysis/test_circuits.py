"""What a branch circuit carries: sums over any tree of circuits and UPSs against a recursion that anyone can read."""

import tempfile
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.analysis.built import Built
from riserlint.design.reading import read_basis, read_design


def built_of(text: str) -> Built:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder).resolve()
        file = root / "design.toml"
        file.write_text(text, encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
    built = Built(design)
    assert [problem.message for problem in (*problems, *built.problems)] == []
    return built


class Mains(NamedTuple):
    """A random tree: circuits ``c…`` and UPSs ``u…`` by what feeds them, and the watts that hang on each."""

    above: dict[str, str]
    watts: list[tuple[str, int, float]]
    others: dict[str, int]

    def text(self) -> str:
        lines = ['[design]\ntitle = "random"', "[circuit]"]
        for name, up in self.above.items():
            if name.startswith("c"):
                others = f"others_w = {self.others[name]}, others_power_factor = 0.5"
                lines.append(f'{name} = {{ from = "{up}", {others} }}')
        lines.append("[ups]")
        for name, up in self.above.items():
            if name.startswith("u"):
                factor = f"input_power_factor = 0.8, recharge_w = {self.others[name]}"
                lines.append(f'{name} = {{ from = "{up}", efficiency = 0.5, {factor} }}')
        lines.append("[device]")
        for n, (up, watts, factor_of) in enumerate(self.watts):
            ac = f"ac = {{ power_factor = {factor_of} }}"
            lines.append(f'd{n} = {{ from = "{up}", draw_w = {{ day = {watts} }}, {ac} }}')
        return "\n".join(lines) + "\n"

    def volt_amperes(self, circuit: str) -> float:
        """Add up what a circuit carries, from what hangs on it directly on."""
        own = self.others[circuit] / 0.5
        own += sum(watts / factor for up, watts, factor in self.watts if up == circuit)
        for name, up in self.above.items():
            if up == circuit:
                own += self.volt_amperes(name) if name.startswith("c") else self.input_w(name) / 0.8
        return own

    def watts_of(self, circuit: str) -> float:
        own: float = self.others[circuit]
        own += sum(watts for up, watts, _ in self.watts if up == circuit)
        for name, up in self.above.items():
            if up == circuit:
                own += self.watts_of(name) if name.startswith("c") else self.input_w(name)
        return own

    def input_w(self, ups: str) -> float:
        """Return what a UPS takes: its output over its efficiency, and the recharge of its battery."""
        out: float = sum(watts for up, watts, _ in self.watts if up == ups)
        for name, up in self.above.items():
            if up == ups:
                out += self.watts_of(name) if name.startswith("c") else self.input_w(name)
        return out / 0.5 + self.others[ups]


@st.composite
def trees(draw: st.DrawFn) -> Mains:
    names = [f"{draw(st.sampled_from('cu'))}{n}" for n in range(draw(st.integers(1, 6)))]
    above = {name: draw(st.sampled_from(["mains", "generator", *names[:n]])) for n, name in enumerate(names)}
    watts = st.tuples(
        st.sampled_from(["mains", *names]), st.integers(1, 500), st.sampled_from([0.5, 0.8, 1.0])
    )
    others = {name: draw(st.integers(0, 300)) for name in names}
    return Mains(above, draw(st.lists(watts, max_size=6)), others)


@settings(max_examples=200, deadline=None)
@given(trees())
def test_every_circuit_carries_what_a_recursion_adds_up(mains: Mains) -> None:
    built = built_of(mains.text())
    for name in built.circuits:
        load = built.circuit_loads.by_circuit[name]
        expected = mains.volt_amperes(name)
        assert load.va == pytest.approx((expected, expected))
        assert load.least_va == pytest.approx(expected)


LIT = """
[design]
title = "t"
[circuit]
A = { from = "mains", others_w = 0 }
B = { from = "mains", others_w = 0 }
[cable]
c = { conductor_awg = 23, material = "copper", strand = "solid" }
[switch]
core = { from = "A", ac = { own_w = 40, efficiency = 0.8, power_factor = 1 }, pse = { type = 4, min_v = 52 }, ports = { 1-4 = { pse_class = 8 } } }
[device]
cam = { FEEDpd = { pd_class = 3 }, draw_w = { day = 8 }, ac = { power_factor = 1 } }
[run]
r = { from = "core/1", to = "cam", cable = "c", link_m = 0, cords_m = [], connections = 0, bundle = "none" }
"""  # noqa: E501 - a thing of a design stands in one line


def test_what_is_fed_over_a_run_is_in_the_load_of_its_source() -> None:
    # 40 W + 8 W / 0.8 = 50 W over 0 m.
    load = built_of(LIT.replace("FEED", "")).circuit_loads.by_circuit["A"]
    assert load.va == pytest.approx((50, 50), rel=1e-3)


def test_a_second_feed_of_the_same_circuit_is_counted_once() -> None:
    # The camera hangs on A over the core and by a plug of its own: 50 W at the most, 40 W if it takes its plug.
    load = built_of(LIT.replace("FEED", 'from = "A", ')).circuit_loads.by_circuit["A"]
    assert load.va.high == pytest.approx(50, rel=1e-3)
    assert load.least_va <= 50.1


def test_a_second_feed_of_another_circuit_may_carry_all_or_nothing() -> None:
    built = built_of(LIT.replace("FEED", 'from = "B", '))
    assert built.circuit_loads.by_circuit["B"].va == pytest.approx((8, 8))
    assert built.circuit_loads.by_circuit["B"].least_va == 0
    core = built.circuit_loads.by_circuit["A"]
    assert core.least_va <= core.va.low <= 50.1
    assert core.va.high == pytest.approx(50, rel=1e-3)


def test_ups_that_feed_each_other_hang_on_no_circuit_twice() -> None:
    text = (
        '[design]\ntitle = "t"\n[circuit]\nc = { from = "u", others_w = 0 }\n'
        '[ups]\nu = { from = "c", efficiency = 0.5, input_power_factor = 1, recharge_w = 0 }\n'
        '[device]\nd = { from = "u", draw_w = { day = 10 }, ac = { power_factor = 1 } }\n'
    )
    load = built_of(text).circuit_loads.by_circuit["c"]
    assert load.va == pytest.approx((20, 20))
