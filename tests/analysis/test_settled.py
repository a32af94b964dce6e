"""Power and heat settled with each other: the fixed point of the electro-thermal loop, from both sides."""

import math
import tempfile
from itertools import pairwise
from pathlib import Path

import pytest

from riserlint import Built
from riserlint.analysis.power import Ground
from riserlint.analysis.settled import ENOUGH_K, Settled
from riserlint.design.reading import read_basis, read_design
from riserlint.engineering.bundle_heat import CableGroup, Insulation, core_resistivity, steady_temperature

AWG_24_OHM_PER_M = 1 / 58 / (math.pi / 4 * (0.127 * 92 ** (12 / 39)) ** 2)


def built(count: int, pathway: str, watts: float, ambient_c: float, metres: float = 60) -> Built:
    """So many equal runs of 24 AWG over two pairs (class 4, or what ``watts`` says), all in one bundle."""
    runs = "".join(
        f'r{n} = {{ from = "core/{n}", to = "d{n}", cable = "c", link_m = {metres}, cords_m = [], connections = 0, '
        'pairs = 2, space = "void", bundle = "b" }\n'
        for n in range(1, count + 1)
    )
    devices = "".join(
        f"d{n} = {{ pd = {{ pd_class = 4 }}, draw_w = {{ day = {watts} }} }}\n" for n in range(1, count + 1)
    )
    text = (
        f'[design]\ntitle = "invented"\n[space]\nvoid = {{ max_c = {ambient_c}, mean_c = {ambient_c} }}\n'
        '[cable]\nc = { category = "5e", conductor_awg = 24, material = "copper", strand = "solid", '
        "outer_mm = 5.2, rated_c = 60 }\n"
        f'[pathway]\np = {{ space = "void", {pathway} }}\n[bundle]\nb = {{ pathway = "p", others = 0 }}\n'
        "[switch]\ncore = { pse = { type = 4, min_v = 52 }, ports = { 1-999 = { pse_class = 4 } } }\n"
        f"[device]\n{devices}[run]\n{runs}"
    )
    with tempfile.TemporaryDirectory() as name:
        root = Path(name).resolve()
        (root / ".git").mkdir()
        file = root / "design.toml"
        file.write_text(text, encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
    assert not problems
    return Built(design)


def by_hand(
    count: int, watts: float, ambient_c: float, insulation: Insulation | None, metres: float = 60
) -> float | None:
    """The loop walked plainly from the ambient: current at temperature, temperature at that current, and again."""
    celsius = ambient_c
    for _ in range(500):
        ohm = metres * AWG_24_OHM_PER_M * (1 + 0.00393 * (celsius - 20))
        discriminant = 52 * 52 - 4 * ohm * watts
        if discriminant < 0:
            return None
        current_a = 2 * watts / (52 + math.sqrt(discriminant))
        state = steady_temperature(
            [CableGroup(count, 5.2, AWG_24_OHM_PER_M, 4, current_a / 2, core_resistivity("5e"))],
            ambient_c=ambient_c,
            surface_factor=1.0,
            placement="spread",
            insulation=insulation,
        )
        if state is None:
            return None
        if abs(state.temperature_c - celsius) < 1e-10:
            return celsius
        celsius = state.temperature_c
    return None


@pytest.mark.parametrize(
    ("count", "pathway", "watts", "ambient_c", "insulation"),
    [
        (24, 'kind = "open-tray"', 25.5, 30, None),
        (100, 'kind = "open-tray"', 25.5, 45, None),
        (200, 'kind = "insulated", insulation_mm = 50', 25.5, 45, Insulation(50, 0.04)),
        (300, 'kind = "insulated", insulation_mm = 100', 25.5, 40, Insulation(100, 0.04)),
    ],
    ids=["cool", "near the rating", "above the rating", "far above the rating"],
)
def test_both_ends_meet_at_the_fixed_point(
    count: int, pathway: str, watts: float, ambient_c: float, insulation: Insulation | None
) -> None:
    """Two live pairs of four alike: both ends of the unbalance and of the placement are one, so the ends meet."""
    installation = built(count, pathway, watts, ambient_c)
    expected = by_hand(count, watts, ambient_c, insulation)
    assert expected is not None
    found = Settled(installation, Ground(installation.metres), enough_k=1e-9)
    low, high = found.heat.bundles["b"].celsius
    assert low == pytest.approx(expected, abs=1e-6)
    assert high == pytest.approx(expected, abs=1e-6)
    changes = found.rounds
    assert all(later < earlier for earlier, later in pairwise(changes))
    assert changes[-1] <= 1e-9
    # what a review goes by holds the truth between its ends, and is as near as it says
    low, high = installation.heat.bundles["b"].celsius
    assert low - 1e-9 <= expected <= high + 1e-9
    assert high - expected <= 2 * ENOUGH_K


def test_where_there_is_no_stable_state_none_is_told() -> None:
    pathway = 'kind = "insulated", insulation_mm = 200'
    assert by_hand(900, 25.5, 60, Insulation(200, 0.04)) is None
    installation = built(900, pathway, 25.5, 60)
    assert installation.settled.unbounded == {"b"}
    assert math.isinf(installation.heat.bundles["b"].celsius.high)
    assert installation.heat.bundles["b"].unstable
