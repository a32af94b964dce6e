"""The closed form of conduction inside a bundle against finite differences in a long cylinder, mixed bundles included.

(1/r) d/dr (r/ρ dT/dr) = −w on a grid of radii, T = 0 at the surface, no flow across the axis: heat w and resistivity
ρ from point to point as the cables lie. "Spread" is many thin rings, each with its share of every kind; "middle" is
one layer a kind, the most heated innermost, the dark ones outermost. Solved by scipy; nothing of ours is in it.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import solve_banded

from riserlint.engineering.bundle_heat import CableGroup, Placement, core_resistance_k_m_per_w

POINTS = 4000
RINGS = 1000


def heat_of(group: CableGroup) -> float:
    """Watts per metre of all its cables at 20 °C."""
    return group.cables * group.live_conductors * group.current_a**2 * group.ohm_per_m_20


def layers_of(groups: list[CableGroup], placement: Placement) -> list[tuple[float, float, float]]:
    """From the axis out: (share of the cross-section, heat, resistivity)."""
    area = sum(group.cables * group.outer_mm**2 for group in groups)
    kinds = [
        (group.cables * group.outer_mm**2 / area, heat_of(group), group.core_k_m_per_w) for group in groups
    ]
    if placement == "middle":
        return sorted(kinds, key=lambda kind: kind[1] / kind[0], reverse=True)
    rings = [(share / RINGS, heat / RINGS, rho) for share, heat, rho in kinds]
    return [*rings, *rings[::-1]] * (RINGS // 2)  # there and back, so that no kind is nearer to the axis


def centre_by_differences(layers: list[tuple[float, float, float]]) -> float:
    """Rise of the axis over the surface per watt and metre of all heat, radius 1."""
    edges = np.sqrt(np.concatenate([[0.0], np.cumsum([share for share, _, _ in layers])]))
    total = sum(heat for _, heat, _ in layers)
    points = (np.arange(POINTS) + 0.5) / POINTS
    faces = np.arange(POINTS + 1) / POINTS
    # heat inside each face, and 1 / (conductance) between two points, whole layers counted exactly
    inside = np.interp(
        faces**2, edges**2, np.concatenate([[0.0], np.cumsum([heat for _, heat, _ in layers])])
    )
    steps = np.diff(edges) * [rho for _, _, rho in layers]
    opposing = np.interp(np.concatenate([points, [1.0]]), edges, np.concatenate([[0.0], np.cumsum(steps)]))
    conductance = 2 * math.pi * faces[1:] / np.diff(opposing)
    bands = np.zeros((3, POINTS))
    bands[1] = conductance + np.concatenate([[0.0], conductance[:-1]])
    bands[0, 1:] = bands[2, :-1] = -conductance[:-1]
    rises = solve_banded((1, 1), bands, np.diff(inside) / total)
    return float(rises[0])


def group(cables: int, outer_mm: float, current_a: float, rho: float) -> CableGroup:
    return CableGroup(cables, outer_mm, 0.084, 8 if current_a else 0, current_a, rho)


MIXED = {
    "all alike": [group(100, 5.2, 0.3, 6.6)],
    "live and dark of one kind": [group(30, 5.2, 0.3, 6.6), group(70, 5.2, 0.0, 6.6)],
    "live and dark of two kinds": [group(12, 7.4, 0.43, 5.2), group(36, 5.2, 0.0, 6.6)],
    "three loads and dark ones": [
        group(24, 5.2, 0.1, 6.6), group(12, 6.0, 0.43, 6.7), group(6, 7.4, 0.3, 5.2), group(20, 6.0, 0.0, 6.7),
    ],
}  # fmt: skip


@pytest.mark.parametrize("placement", ["spread", "middle"])
@pytest.mark.parametrize("groups", MIXED.values(), ids=MIXED.keys())
def test_mixed_bundles(groups: list[CableGroup], placement: Placement) -> None:
    numerical = centre_by_differences(layers_of(groups, placement))
    assert core_resistance_k_m_per_w(groups, placement) == pytest.approx(numerical, rel=5e-3)


@settings(max_examples=60, deadline=None)
@given(
    groups=st.lists(
        st.builds(
            group,
            st.integers(2, 60),
            st.floats(4, 9),
            st.one_of(st.just(0.0), st.floats(0.1, 0.5)),
            st.floats(4, 8),
        ),
        min_size=1,
        max_size=4,
    ).filter(lambda groups: any(heat_of(one) for one in groups)),
    placement=st.sampled_from(["spread", "middle"]),
)
def test_any_mixed_bundle(groups: list[CableGroup], placement: Placement) -> None:
    numerical = centre_by_differences(layers_of(groups, placement))
    assert core_resistance_k_m_per_w(groups, placement) == pytest.approx(numerical, rel=5e-3)


@pytest.mark.parametrize("dark", [1, 20, 300])
def test_dark_cables_of_the_mean_size(dark: int) -> None:
    """Given by their number alone they are as so many cables of the mean cross-section, without load."""
    live = [group(24, 5.2, 0.3, 6.6)]
    numerical = centre_by_differences(layers_of([*live, group(dark, 5.2, 0.0, 6.6)], "middle"))
    assert core_resistance_k_m_per_w(live, "middle", dark) == pytest.approx(numerical, rel=5e-3)
