"""Bundle heat: identities, limit cases and the directions that physics gives. The inputs are invented."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.engineering.bundle_heat import (
    BundleState,
    CableGroup,
    Insulation,
    Placement,
    bundle_diameter_mm,
    core_resistance_k_m_per_w,
    core_resistivity,
    largest_bundle,
    rise_with_resistance,
    steady_temperature,
)
from riserlint.engineering.surface_cooling import (
    convection_coefficient,
    radiation_coefficient,
    surface_heat_w_per_m,
)

ALPHA = 0.00393  # copper at 20 °C, 1/K (IEC 60028, from memory)
CABLE = CableGroup(100, 5.2, 0.0842, 8, 0.36, 6.6)
DARK = CableGroup(60, 5.2, 0.0842, 0, 0.0, 6.6)

cables = st.builds(
    CableGroup,
    cables=st.integers(1, 250),
    outer_mm=st.floats(4.0, 10.0),
    ohm_per_m_20=st.floats(0.05, 0.22),
    live_conductors=st.sampled_from([4, 8]),
    current_a=st.floats(0.05, 0.6),
    core_k_m_per_w=st.floats(3.0, 8.0),
)
ambients = st.floats(-20.0, 60.0)
factors = st.floats(1.0, 3.0)
placements: st.SearchStrategy[Placement] = st.sampled_from(["spread", "middle"])


def solve(
    *groups: CableGroup,
    ambient_c: float = 30.0,
    surface_factor: float = 1.0,
    placement: Placement = "spread",
    insulation: Insulation | None = None,
    dark_cables: int = 0,
) -> BundleState:
    state = steady_temperature(
        groups,
        ambient_c=ambient_c,
        surface_factor=surface_factor,
        placement=placement,
        insulation=insulation,
        dark_cables=dark_cables,
    )
    assert state is not None
    return state


def centre_c(
    *groups: CableGroup,
    ambient_c: float = 30.0,
    surface_factor: float = 1.0,
    placement: Placement = "spread",
    insulation: Insulation | None = None,
    dark_cables: int = 0,
) -> float:
    """Return the centre's temperature, infinite where no stable state exists, so that cases have an order."""
    state = steady_temperature(
        groups,
        ambient_c=ambient_c,
        surface_factor=surface_factor,
        placement=placement,
        insulation=insulation,
        dark_cables=dark_cables,
    )
    return math.inf if state is None else state.temperature_c


def surface_rise_by_bisection(heat_w_per_m: float, diameter_m: float, ambient_c: float) -> float:
    low, high = 0.0, 500.0
    for _ in range(100):
        middle = (low + high) / 2
        if surface_heat_w_per_m(diameter_m, middle, ambient_c) < heat_w_per_m:
            low = middle
        else:
            high = middle
    return low


# --- Diameter --------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [2, 3, 4, 5, 6])
def test_packed_circle_follows_the_ring_of_equal_circles(count: int) -> None:
    # geometry: n circles in a ring touch when their centres lie at r / sin(pi / n); cut to two decimals
    assert bundle_diameter_mm([(count, 1.0)]) == pytest.approx(1 + 1 / math.sin(math.pi / count), abs=0.0055)


def test_one_and_seven_cables_and_the_first_size_beyond() -> None:
    assert bundle_diameter_mm([(1, 6.0)]) == 6.0
    assert bundle_diameter_mm([(7, 6.0)]) == 18.0  # six round one
    assert bundle_diameter_mm([(8, 6.0)]) == pytest.approx(6.0 * math.sqrt(8 / 0.75))
    assert bundle_diameter_mm([(8, 6.0)]) > bundle_diameter_mm([(7, 6.0)])


def test_unequal_cables_take_the_mean_but_never_less_than_the_two_thickest() -> None:
    assert bundle_diameter_mm([(1, 6.0), (1, 8.0)]) == 14.0  # exact for two
    assert bundle_diameter_mm([(2, 10.0), (1, 1.0)]) == 20.0  # the small one lies in the gap
    assert bundle_diameter_mm([(2, 5.0), (2, 6.0)]) == pytest.approx(2.41 * 5.5)
    assert bundle_diameter_mm([(4, 5.0), (8, 6.0)]) == pytest.approx(math.sqrt((4 * 25 + 8 * 36) / 0.75))


def test_the_order_in_which_kinds_are_named_does_not_matter() -> None:
    assert bundle_diameter_mm([(0, 9.0), (3, 5.0), (1, 8.0)]) == bundle_diameter_mm([(1, 8.0), (3, 5.0)])


@pytest.mark.parametrize("kinds", [[], [(0, 5.0)], [(-1, 5.0), (3, 5.0)], [(3, 0.0)], [(3, math.nan)]])
def test_a_bundle_without_cables_is_refused(kinds: list[tuple[int, float]]) -> None:
    with pytest.raises(ValueError, match="at least one cable"):
        bundle_diameter_mm(kinds)


# --- Surface ---------------------------------------------------------------------------------------


def test_convection_ends_in_pure_conduction_where_there_is_no_difference() -> None:
    # Churchill and Chu: Nu = 0.60² at Ra = 0
    still = convection_coefficient(0.05, 30.0, 30.0)
    assert still == pytest.approx(
        0.36 * 0.0263 / 0.05, rel=0.02
    )  # 0.0263 W/(m K), air at 30 °C, textbook table


def test_radiation_is_the_exact_quotient_of_fourth_powers() -> None:
    warm, cold = 330.0, 300.0  # kelvin
    flow = 0.9 * 5.670374419e-8 * (warm**4 - cold**4)
    assert radiation_coefficient(warm - 273.15, cold - 273.15) * (warm - cold) == pytest.approx(flow)


@given(st.floats(0.004, 0.5), ambients, st.floats(0.01, 80.0))
def test_surface_conductance_grows_with_the_rise(diameter_m: float, ambient_c: float, rise_k: float) -> None:
    # that one steady state, not several, exists at constant current rests on this
    less = surface_heat_w_per_m(diameter_m, rise_k, ambient_c) / rise_k
    more = surface_heat_w_per_m(diameter_m, 2.5 * rise_k, ambient_c) / (2.5 * rise_k)
    assert more > less


# --- The balance -----------------------------------------------------------------------------------


def test_heat_is_that_of_the_resistance_at_the_centre() -> None:
    state = solve(CABLE)
    by_hand = 100 * 8 * 0.36**2 * 0.0842 * (1 + ALPHA * (state.temperature_c - 20))
    assert state.heat_w_per_m == pytest.approx(by_hand, rel=1e-9)


@settings(deadline=None)
@given(cables, ambients, factors, placements, st.integers(0, 100))
def test_every_part_of_the_rise_is_its_own_law(
    cable: CableGroup, ambient_c: float, factor: float, placement: Placement, dark: int
) -> None:
    wool = Insulation(20.0, 0.04)
    state = steady_temperature(
        [cable],
        ambient_c=ambient_c,
        surface_factor=factor,
        placement=placement,
        insulation=wool,
        dark_cables=dark,
    )
    if state is None:
        return
    outer_m = (state.diameter_mm + 40.0) / 1000
    heat = state.heat_w_per_m
    resistance = 1 + ALPHA * (state.temperature_c - 20)
    assert heat == pytest.approx(
        cable.cables * cable.live_conductors * cable.current_a**2 * cable.ohm_per_m_20 * resistance, rel=1e-6
    )
    assert state.surface_rise_k == pytest.approx(
        factor * surface_rise_by_bisection(heat, outer_m, ambient_c), rel=1e-6
    )
    wrap = math.log(outer_m * 1000 / state.diameter_mm) / (2 * math.pi * 0.04)
    assert state.insulation_rise_k == pytest.approx(heat * wrap)
    core = cable.core_k_m_per_w / (4 * math.pi)
    if placement == "middle":  # ln(R / a), half the logarithm of the ratio of cross-sections
        core += cable.core_k_m_per_w * 0.5 * math.log(1 + dark / cable.cables) / (2 * math.pi)
    assert state.core_rise_k == pytest.approx(heat * core)
    assert state.rise_k == pytest.approx(
        state.surface_rise_k + state.insulation_rise_k + state.core_rise_k, rel=1e-9
    )
    assert state.temperature_c == pytest.approx(ambient_c + state.rise_k)


@settings(deadline=None)
@given(cables, ambients)
def test_closed_form_of_the_feedback_where_the_resistance_to_heat_is_linear(
    cable: CableGroup, ambient_c: float
) -> None:
    # dT = dT20 (1 + a (Ta - 20)) / (1 - a dT20), an identity of the linear loop; the core is linear, on
    # top of whatever the surface does
    state = steady_temperature([cable], ambient_c=ambient_c, surface_factor=1.0, placement="spread")
    if state is None:
        return
    heat_20 = cable.cables * cable.live_conductors * cable.current_a**2 * cable.ohm_per_m_20
    core_20 = heat_20 * cable.core_k_m_per_w / (4 * math.pi)
    closed = core_20 * (1 + ALPHA * (ambient_c + state.surface_rise_k - 20)) / (1 - ALPHA * core_20)
    assert state.core_rise_k == pytest.approx(closed, rel=1e-6)


@pytest.mark.parametrize("factor", [1.0, 2.5])
@pytest.mark.parametrize("count", [1, 7, 40, 192])
def test_plain_iteration_of_the_temperature_ends_in_the_same_place(count: int, factor: float) -> None:
    cable = CABLE._replace(cables=count, current_a=0.4)
    state = solve(cable, surface_factor=factor)
    diameter_m = bundle_diameter_mm([(count, 5.2)]) / 1000
    centre = 30.0
    for _ in range(200):
        heat = count * 8 * 0.4**2 * 0.0842 * (1 + ALPHA * (centre - 20))
        surface = factor * surface_rise_by_bisection(heat, diameter_m, 30.0)
        centre = 30.0 + surface + heat * 6.6 / (4 * math.pi)
    assert state.temperature_c == pytest.approx(centre, abs=1e-6)


def test_no_state_where_conduction_alone_multiplies() -> None:
    # slope 0.00393 q20 rho / (4 pi) passes 1 at i² = 4 pi / (0.00393 rho N n r)
    edge_a = math.sqrt(4 * math.pi / (ALPHA * 6.6 * 100 * 8 * 0.0842))
    assert centre_c(CABLE._replace(current_a=edge_a * 1.001)) == math.inf


def test_no_state_is_claimed_above_the_ceiling_and_one_is_just_below() -> None:
    def at(current_a: float) -> float:
        return centre_c(CABLE._replace(current_a=current_a))

    low, high = 0.5, 2.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if at(middle) < math.inf else (low, middle)
    assert at(low) == pytest.approx(250.0, abs=1e-3)
    assert at(high) == math.inf


@pytest.mark.parametrize("current_a", [0.0, 1e-170, 1e-150, 1e-9])
def test_no_current_no_rise(current_a: float) -> None:
    state = solve(CABLE._replace(current_a=current_a), DARK)
    assert state.rise_k == pytest.approx(0.0, abs=1e-9)
    assert state.temperature_c == pytest.approx(30.0)


def test_half_of_the_pairs_at_the_same_current_is_half_of_the_heat() -> None:
    all_pairs, half = solve(CABLE), solve(CABLE._replace(live_conductors=4))
    assert half.heat_w_per_m / all_pairs.heat_w_per_m == pytest.approx(
        0.5 * (1 + ALPHA * (half.temperature_c - 20)) / (1 + ALPHA * (all_pairs.temperature_c - 20))
    )
    assert half.rise_k < 0.55 * all_pairs.rise_k


def test_splitting_a_kind_into_two_groups_changes_nothing() -> None:
    whole = solve(CABLE, DARK, placement="middle")
    parts = solve(DARK, CABLE._replace(cables=30), CABLE._replace(cables=70), placement="middle")
    assert parts.rise_k == pytest.approx(whole.rise_k, rel=1e-9)
    assert solve(CABLE, placement="middle", dark_cables=60).rise_k == pytest.approx(whole.rise_k, rel=1e-9)


def test_another_gauge_is_another_resistance() -> None:
    rise = rise_with_resistance([CABLE, DARK], 0.0668, ambient_c=30.0, surface_factor=2.5, placement="middle")
    assert rise == pytest.approx(
        solve(CABLE._replace(ohm_per_m_20=0.0668), DARK, surface_factor=2.5, placement="middle").rise_k
    )
    assert rise is not None
    assert rise < solve(CABLE, DARK, surface_factor=2.5, placement="middle").rise_k


# --- Directions ------------------------------------------------------------------------------------


@settings(deadline=None)
@given(cables, ambients, factors, st.floats(1.02, 2.0), st.integers(0, 50))
def test_more_current_is_hotter(
    cable: CableGroup, ambient_c: float, factor: float, more: float, dark: int
) -> None:
    cold = centre_c(cable, ambient_c=ambient_c, surface_factor=factor, placement="middle", dark_cables=dark)
    hot = centre_c(
        cable._replace(current_a=cable.current_a * more),
        ambient_c=ambient_c,
        surface_factor=factor,
        placement="middle",
        dark_cables=dark,
    )
    assert hot > cold or cold == math.inf


@settings(deadline=None)
@given(cables, ambients, factors, st.integers(1, 100))
def test_more_live_cables_of_a_kind_are_hotter(
    cable: CableGroup, ambient_c: float, factor: float, more: int
) -> None:
    cold = centre_c(cable, ambient_c=ambient_c, surface_factor=factor)
    hot = centre_c(cable._replace(cables=cable.cables + more), ambient_c=ambient_c, surface_factor=factor)
    assert hot > cold or cold == math.inf


@settings(deadline=None)
@given(cables, ambients, placements, st.integers(1, 60), st.data())
def test_powering_dark_cables_is_hotter(
    cable: CableGroup, ambient_c: float, placement: Placement, dark: int, data: st.DataObject
) -> None:
    powered = data.draw(st.integers(1, dark))
    cold = centre_c(cable, ambient_c=ambient_c, placement=placement, dark_cables=dark)
    hot = centre_c(
        cable._replace(cables=cable.cables + powered),
        ambient_c=ambient_c,
        placement=placement,
        dark_cables=dark - powered,
    )
    assert hot > cold or cold == math.inf


@settings(deadline=None)
@given(cables, ambients, factors, placements, st.floats(0.1, 30.0))
def test_a_warmer_space_is_hotter(
    cable: CableGroup, ambient_c: float, factor: float, placement: Placement, more: float
) -> None:
    cold = centre_c(cable, ambient_c=ambient_c, surface_factor=factor, placement=placement)
    hot = centre_c(cable, ambient_c=ambient_c + more, surface_factor=factor, placement=placement)
    assert hot > cold or cold == math.inf


@settings(deadline=None)
@given(cables, ambients, placements, st.floats(1.0, 3.0), st.floats(0.01, 2.0))
def test_an_enclosure_is_never_cooler(
    cable: CableGroup, ambient_c: float, placement: Placement, factor: float, more: float
) -> None:
    cold = centre_c(cable, ambient_c=ambient_c, surface_factor=factor, placement=placement)
    hot = centre_c(cable, ambient_c=ambient_c, surface_factor=factor + more, placement=placement)
    assert hot > cold or cold == math.inf


@settings(deadline=None)
@given(cables, ambients, st.sampled_from([1.0, 2.5]), st.floats(1.0, 100.0), st.floats(1.0, 50.0))
def test_more_insulation_round_a_thick_bundle_is_hotter(
    cable: CableGroup, ambient_c: float, factor: float, thickness_mm: float, more_mm: float
) -> None:
    thick = cable._replace(
        cables=cable.cables + 60
    )  # above 36 mm: beyond the critical radius of mineral wool
    bare = centre_c(thick, ambient_c=ambient_c, surface_factor=factor)
    wrapped = centre_c(
        thick, ambient_c=ambient_c, surface_factor=factor, insulation=Insulation(thickness_mm, 0.04)
    )
    more = centre_c(
        thick, ambient_c=ambient_c, surface_factor=factor, insulation=Insulation(thickness_mm + more_mm, 0.04)
    )
    assert wrapped > bare or bare == math.inf
    assert more > wrapped or wrapped == math.inf


def test_insulation_round_a_thin_cable_cools_below_the_critical_radius() -> None:
    # textbook: a layer cools while the radius is below lambda / h, here 0.25 / 12 = 21 mm against 2.6 mm
    cable = CABLE._replace(cables=1, current_a=0.8)
    assert solve(cable, insulation=Insulation(4.0, 0.25)).rise_k < solve(cable).rise_k


def test_insulation_of_no_thickness_is_none() -> None:
    assert solve(CABLE, insulation=Insulation(0.0, 0.04)) == solve(CABLE)


# --- Placement -------------------------------------------------------------------------------------


@settings(deadline=None)
@given(st.lists(cables, min_size=1, max_size=4), ambients, st.integers(0, 80), factors)
def test_live_cables_in_the_middle_are_never_cooler_than_spread(
    groups: list[CableGroup], ambient_c: float, dark: int, factor: float
) -> None:
    spread, middle = (
        centre_c(*groups, DARK, ambient_c=ambient_c, surface_factor=factor, placement=where, dark_cables=dark)
        for where in ("spread", "middle")
    )
    assert middle >= spread - 1e-6


def test_placement_does_not_matter_where_all_cables_are_alike() -> None:
    assert solve(CABLE, placement="middle") == solve(CABLE, placement="spread")


def test_one_live_cable_in_the_middle_of_many() -> None:
    # ln(R / a) with a share of the cross-section of 1 in 101: 0.5 ln 101
    resistance = core_resistance_k_m_per_w([CABLE._replace(cables=1), DARK._replace(cables=100)], "middle")
    assert resistance == pytest.approx(6.6 / (4 * math.pi) + 6.6 * 0.5 * math.log(101) / (2 * math.pi))


def test_the_most_heated_cables_lie_innermost() -> None:
    # three kinds of load: the two-kind form with everything live lumped together is a milder case
    strong, weak = CABLE._replace(cables=10), CABLE._replace(cables=40, current_a=0.1)
    nested = core_resistance_k_m_per_w([weak, DARK, strong], "middle")
    lumped = 6.6 / (4 * math.pi) * (1 + math.log(110 / 50))
    only_strong = 6.6 / (4 * math.pi) * (1 + math.log(110 / 10))
    assert lumped < nested < only_strong


def test_unlike_resistivities_are_weighted_by_cross_section_when_spread() -> None:
    other = CableGroup(
        25, 10.4, 0.0842, 8, 0.36, 3.3
    )  # a quarter as many of four times the area: equal shares
    assert core_resistance_k_m_per_w([CABLE, other], "spread") == pytest.approx(
        0.5 * (6.6 + 3.3) / (4 * math.pi)
    )


# --- Largest bundle, refusals ----------------------------------------------------------------------


@pytest.mark.parametrize(("limit_c", "factor"), [(34.0, 1.0), (40.0, 1.0), (45.0, 2.5), (52.0, 1.0)])
def test_largest_bundle_is_the_last_that_holds(limit_c: float, factor: float) -> None:
    best = largest_bundle(CABLE, limit_c, ambient_c=30.0, surface_factor=factor)
    holding = [
        n for n in range(1, 301) if centre_c(CABLE._replace(cables=n), surface_factor=factor) <= limit_c
    ]
    assert best == len(holding) == holding[-1]


def test_largest_bundle_at_its_ends() -> None:
    assert largest_bundle(CABLE, 30.0, ambient_c=30.0, surface_factor=1.0) == 0
    assert (
        largest_bundle(CABLE._replace(current_a=0.0), 30.0, ambient_c=30.0, surface_factor=1.0, most=77) == 77
    )
    assert largest_bundle(CABLE, 200.0, ambient_c=30.0, surface_factor=1.0, most=5) == 5
    assert largest_bundle(CABLE, 200.0, ambient_c=30.0, surface_factor=1.0, most=0) == 0


@pytest.mark.parametrize(
    ("group", "keys", "said"),
    [
        (CABLE._replace(cables=0), {}, "at least one cable"),
        (CABLE._replace(outer_mm=0.0), {}, "outer_mm is 0.0, but must be above 0 and finite"),
        (CABLE._replace(ohm_per_m_20=-1.0), {}, "ohm_per_m_20 is -1.0, but must be 0 or more and finite"),
        (CABLE._replace(current_a=math.nan), {}, "current_a is nan"),
        (CABLE._replace(core_k_m_per_w=math.inf), {}, "core_k_m_per_w is inf"),
        (CABLE, {"ambient_c": 250.0}, "ambient_c is 250.0"),
        (CABLE, {"surface_factor": 0.5}, "surface_factor is 0.5"),
        (CABLE, {"insulation": Insulation(5.0, 0.0)}, "insulation is 5.0 mm of 0.0"),
        (CABLE, {"dark_cables": -1}, "dark_cables is -1"),
    ],
)
def test_values_without_meaning_are_refused(group: CableGroup, keys: dict[str, object], said: str) -> None:
    case: dict[str, object] = {"ambient_c": 30.0, "surface_factor": 1.0, "placement": "spread", **keys}
    with pytest.raises(ValueError, match=said):
        steady_temperature([group], **case)  # type: ignore[arg-type]


def test_a_category_without_a_published_rise_is_refused() -> None:
    with pytest.raises(ValueError, match="no rise is published for category '7', only for 5e, 6, 6A"):
        core_resistivity("7")
