"""Where the watts go, held against sums worked by hand and against the conservation of energy.

What goes in comes out: watts from the mains = watts that get warm somewhere, and of each switch in = own use +
conversion + delivered. No figure of the designs here is of a product; resistance: ASTM B258 and IEC 60028 (memory).
"""

import math
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from riserlint import Built, Span, heat_limits
from riserlint.analysis.balance import Balance
from riserlint.analysis.loads import Case
from riserlint.analysis.settled import Settled
from riserlint.design.reading import read_basis, read_design, root_of

EXAMPLES = Path(__file__).parents[2] / "example_designs"

#: A mains switch behind a UPS feeds an access point and a floor switch, that feeds a camera; a recorder on the mains.
SMALL = """
[design]
title = "small"
[space]
room = { max_c = 20, mean_c = 20 }
void = { max_c = 20, mean_c = 20 }
[cable.c]
conductor_awg = 24
material = "copper"
strand = "solid"
[ups]
u = { from = "mains", space = "room", efficiency = 0.9 }
[switch]
core = { space = "room", from = "u", ac = { own_w = 20, efficiency = 0.8 }, pse = { type = 4, min_v = 52, reserves = "class" }, ports = { 1-4 = { pse_class = 8 } } }
hall = { space = "void", inlet = { port = "up", pd_class = 8, own_w = 5, efficiency = 0.5, passes_through = false }, pse = { type = 2, min_v = 50 }, ports = { 1-4 = { pse_class = 4 } } }
[device]
ap = { space = "void", pd = { pd_class = 4 }, draw_w = { typical = 6, day = 12 } }
cam = { space = "void", pd = { pd_class = 3 }, draw_w = { typical = 4, night = 8 } }
recorder = { space = "room", from = "mains", ac = { own_w = 30 } }
[run]
A = { from = "core/1", to = "hall/up", cable = "c", link_m = 50, cords_m = [], connections = 0, route = [{ space = "room", m = 10, bundle = "none" }, { space = "void", m = 40, bundle = "none" }] }
B = { from = "core/2", to = "ap", cable = "c", link_m = 80, cords_m = [], connections = 0, bundle = "none", space = "void" }
C = { from = "hall/1", to = "cam", cable = "c", link_m = 30, cords_m = [], connections = 0, bundle = "none", space = "void" }
"""  # noqa: E501 - a thing of a design stands in one line


def built(text: str) -> Built:
    with tempfile.TemporaryDirectory() as name:
        root = Path(name).resolve()
        (root / ".git").mkdir()
        file = root / "design.toml"
        file.write_text(text, encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
    found = Built(design)
    assert not problems
    assert not found.problems
    return found


def example(name: str) -> Built:
    file = EXAMPLES / f"{name}.toml"
    root = root_of(file)
    design, problems = read_design(file, root, read_basis(file, root))
    assert problems == []
    return Built(design)


def exactly(value: float) -> Span:
    return pytest.approx((value, value), rel=1e-9)  # type: ignore[return-value]


#: One conductor of 24 AWG per metre at 20 °C, and what a link of two pairs loses: written out anew.
OHM_PER_M: float = 1 / 58 / (math.pi / 4 * (0.127 * 92 ** (12 / 39)) ** 2)


def lost_w(volts: float, metres: float, watts: float, pairs: int = 2) -> float:
    ohm = 2 * metres * OHM_PER_M / pairs
    current_a = (volts - math.sqrt(volts * volts - 4 * ohm * watts)) / (2 * ohm)
    return current_a * current_a * ohm


def test_a_small_design_by_hand() -> None:
    found = built(SMALL).worst_balance
    on_c = lost_w(50, 30, 8)
    hall_ports = 8 + on_c
    hall_in = 5 + hall_ports / 0.5
    on_a = lost_w(52, 50, hall_in, pairs=4)  # class 8: over four pairs
    on_b = lost_w(52, 80, 12)
    core_ports = hall_in + on_a + 12 + on_b
    core_in = 20 + core_ports / 0.8
    hall, core = found.switches["hall"], found.switches["core"]
    assert hall.inlet_w == exactly(hall_in)
    assert hall.own_w == Span(5, 5)
    assert hall.conversion_w == exactly(hall_ports)  # half of what goes in is lost
    assert hall.delivered_w == exactly(hall_ports)
    assert core.inlet_w == exactly(core_in)
    assert core.conversion_w == exactly(core_ports / 4)
    assert core.delivered_w == exactly(core_ports)
    assert core.allocated_w == Span(120, 120)  # class 8 and class 4 at the source: 90 W + 30 W
    assert found.given_w == exactly(core_ports)
    assert found.loads_w == exactly(20)
    assert found.copper_w == exactly(on_a + on_b + on_c)
    assert found.inner_w == exactly(5 + hall_ports)
    # In the room: the switch, a fifth of the riser's ten of fifty metres, the recorder, the UPS's own tenth.
    ups = core_in * (1 / 0.9 - 1)
    assert found.released_w("room") == exactly(20 + core_ports / 4 + on_a / 5 + 30 + ups)
    assert found.released_w("void") == exactly(5 + hall_ports + 8 + 12 + on_a * 0.8 + on_b + on_c)
    assert found.released_w(None) == Span(0, 0)


def test_the_same_at_the_typical_draw() -> None:
    small = built(SMALL)
    found = small.balance(small.solved(Case(load="typical")))
    ports = 4 + lost_w(50, 30, 4)
    assert found.switches["hall"].inlet_w == exactly(5 + 2 * ports)
    assert found.loads_w == exactly(10)


def mains_w(installation: Built, found: Balance) -> float:
    """What all that is plugged in takes, and what the UPSs lose."""
    switches = [
        state.inlet_w for state in found.switches.values() if state.gear.id not in installation.power.inlets
    ]
    plugged = [
        heat.watts
        for heats in found.spaces.values()
        for heat in heats
        if heat.how == "ups" or (heat.how == "load" and not installation.gear[str(heat.thing[1])].feeds_in)
    ]
    silent = [
        heat.watts
        for heats in found.spaces.values()
        for heat in heats
        if heat.how == "own use" and str(heat.thing[1]) not in found.switches
    ]
    return math.fsum(span.high for span in (*switches, *plugged, *silent))


@pytest.mark.parametrize("name", ["museum-b", "car-park", "campus"])
def test_no_watt_is_lost_or_made_in_an_example(name: str) -> None:
    installation = example(name)
    found = installation.worst_balance
    for given_w, loads_w, copper_w, inner_w in zip(
        found.given_w, found.loads_w, found.copper_w, found.inner_w
    ):
        assert given_w == pytest.approx(loads_w + copper_w + inner_w, rel=1e-9)
    for state in found.switches.values():
        parts = state.own_w.high + state.conversion_w.high + state.delivered_w.high
        assert state.inlet_w.high == pytest.approx(parts, rel=1e-9)
    warm = sum(found.released_w(space).high for space in found.spaces)
    assert warm == pytest.approx(mains_w(installation, found), rel=1e-9)
    assert warm > found.given_w.high > 70


def passing_on(drop_v: float) -> str:
    return SMALL.replace(
        "efficiency = 0.5, passes_through = false", f"passes_through = true, drop_v = {drop_v}"
    )


@pytest.mark.parametrize("drop_v", [0, 1.5])
def test_what_a_switch_that_passes_power_through_loses_is_its_drop(drop_v: float) -> None:
    installation = built(passing_on(drop_v))
    found = installation.worst_balance
    state = installation.power.feeds["C"].worst
    assert state is not None
    assert found.switches["hall"].drop_w == pytest.approx((drop_v * state.current_a,) * 2, abs=1e-9)
    sum_w = found.loads_w.high + found.copper_w.high + found.inner_w.high
    assert found.given_w.high == pytest.approx(sum_w, rel=1e-9)


def test_a_switch_with_a_supply_of_its_own_beside_is_a_load_and_a_source() -> None:
    """Where it is not stated which feed wins, both ends are conserved: it takes nothing over the cable, or all."""
    text = SMALL.replace(
        'hall = { space = "void",', 'hall = { space = "void", from = "mains", ac = { own_w = 5 },'
    )
    found = built(text).worst_balance
    assert found.inner_w == Span(0, 0)
    for given_w, loads_w, copper_w in zip(found.given_w, found.loads_w, found.copper_w):
        assert given_w == pytest.approx(loads_w + copper_w, rel=1e-9)
    assert found.loads_w.low == pytest.approx(20)
    assert found.loads_w.high > 40


@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.floats(0.1, 79), st.floats(0.1, 79), st.floats(0, 12), st.floats(0, 25), st.floats(0.3, 1))
def test_energy_is_conserved(long_m: float, link_m: float, cam_w: float, ap_w: float, share: float) -> None:
    text = SMALL.replace("link_m = 80,", f"link_m = {long_m:.1f}1,").replace(
        "link_m = 30,", f"link_m = {link_m:.1f}1,"
    )
    text = text.replace("night = 8", f"night = {cam_w}").replace("day = 12", f"day = {ap_w}")
    found = built(text.replace("efficiency = 0.5", f"efficiency = {share}")).worst_balance
    sum_w = found.loads_w.high + found.copper_w.high + found.inner_w.high
    assert found.given_w.high == pytest.approx(sum_w, rel=1e-9)
    warm = sum(found.released_w(space).high for space in found.spaces)
    core_w = found.switches["core"].inlet_w.high
    assert warm == pytest.approx(core_w / 0.9 + 30, rel=1e-9)


# -- what is not known ------------------------------------------------------------------------------------------


def test_a_run_of_unknown_length_is_bounded_by_the_class_of_its_load() -> None:
    """Class 4: at most 30 W at the source (IEEE Std 802.3, Table 145-11), so beside the 12 W no more than 12 W."""
    unknown = built(SMALL.replace("link_m = 80, ", ""))
    flow = unknown.worst_balance.loss_of(unknown.power.feeds["B"])
    assert flow == Span(0, 12)
    assert math.isfinite(unknown.worst_balance.released_w("room").high)
    (heat,) = [heat for heat in unknown.worst_balance.spaces["void"] if heat.thing == ("run", "B")]
    assert ("run", "B", "link_m") in heat.missing


def test_the_ends_of_what_is_not_known_hold_what_it_can_be() -> None:
    wide = built(SMALL.replace("link_m = 80, ", "")).worst_balance.released_w("void")
    for metres in (0.1, 20, 90):
        true = built(SMALL.replace("link_m = 80", f"link_m = {metres}")).worst_balance.released_w("void")
        assert wide.low - 1e-9 <= true.low
        assert true.high <= wide.high + 1e-9


def test_gear_of_unknown_space_warms_an_unknown_space() -> None:
    found = built(SMALL.replace('ap = { space = "void", ', "ap = { ")).worst_balance
    (heat,) = found.spaces[None]
    assert (heat.thing, heat.watts, heat.place) == (("device", "ap"), Span(12, 12), ("device", "ap", "space"))


def test_own_use_that_nobody_states_has_no_upper_end() -> None:
    found = built(SMALL.replace("own_w = 20, ", "")).worst_balance
    (heat,) = [h for h in found.spaces["room"] if h.thing == ("switch", "core") and h.how == "own use"]
    assert heat.watts == Span(0, math.inf)
    assert ("switch", "core", "ac", "own_w") in heat.missing


INJECTED = SMALL.replace(
    "[device]",
    '[inline]\ninj = { kind = "injector", AT pse_class = 4, pse = { type = 2, min_v = 50 }, from = "mains", '
    "own_w = 2, efficiency = 0.8 }\n[device]",
).replace(
    'link_m = 80, cords_m = [], connections = 0, bundle = "none", space = "void" }',
    'link_m = 80, cords_m = [], connections = 0, through = ["inj"], '
    'route = [{ space = "room", m = 30, bundle = "none" }, { space = "void", m = 50, bundle = "none" }] }',
)


@pytest.mark.parametrize(
    ("at", "space"), [("at_m = 10,", "room"), ("at_m = 30.5,", "void"), ("at_m = 80,", "void"), ("", None)]
)
def test_an_injector_warms_the_space_that_its_metres_lead_to(at: str, space: str | None) -> None:
    installation = built(INJECTED.replace("AT", at))
    where = [
        key
        for key, heats in installation.worst_balance.spaces.items()
        if ("inline", "inj") in {h.thing for h in heats}
    ]
    assert where == [space]
    assert ("inline", "inj") in {thing.at for thing, _ in installation.equipment_spaces[space]}


def test_a_solution_of_one_case_is_not_that_of_another() -> None:
    small = built(SMALL)
    typical: Settled = small.typical
    assert small.balance(typical).loads_w == exactly(10)
    assert small.worst_balance.loads_w == exactly(20)


def test_a_watt_in_btu_per_hour() -> None:
    """By definition 1 IT Btu = 2326 J/kg × 1 lb, 1 lb = 0.45359237 kg: 1055.05585262 J. 3,412 BTU/h are 1 kW."""
    assert heat_limits.BTU_PER_HOUR_PER_W.value == pytest.approx(3600 / (2326 * 0.45359237), rel=1e-12)
    assert 1000 * heat_limits.BTU_PER_HOUR_PER_W.value == pytest.approx(3412.14, abs=0.005)


# -- what may be off, and what is ----------------------------------------------------------------------------


def test_a_passing_switch_whose_load_may_be_off_is_no_certain_heat() -> None:
    """Its load works at 51 V and gets 50.1: it is off, and so may be all that the chain takes."""
    text = """
[design]
title = "chain"
[space]
room = { max_c = 20, mean_c = 20 }
void = { max_c = 20, mean_c = 20 }
[cable.c]
conductor_awg = 23
material = "copper"
strand = "solid"
[switch]
core = { space = "room", from = "mains", ac = { own_w = 10, efficiency = 1.0 }, pse = { type = 4, min_v = 52 }, ports = { 1-4 = { pse_class = 8 } } }
mid = { space = "void", inlet = { port = "up", pd_class = 4, own_w = 3, passes_through = true, drop_v = 0.7 }, pse = { type = 2 }, ports = { 1-2 = { pse_class = 4 } } }
[device]
d = { space = "void", pd = { pd_class = 2, min_v = 51 }, draw_w = { day = 6 } }
[run]
A = { from = "core/1", to = "mid/up", cable = "c", link_m = 60, cords_m = [], connections = 0, bundle = "none", space = "void" }
B = { from = "mid/1", to = "d", cable = "c", link_m = 60, cords_m = [], connections = 0, bundle = "none", space = "void" }
"""  # noqa: E501 - a thing of a design stands in one line
    balance = built(text).worst_balance
    assert balance.released_w("void").low == 0.0
    assert balance.released_w("void").high > 9.0
    lives = built(text.replace("min_v = 51", "min_v = 37")).worst_balance
    assert lives.released_w("void").low > 9.0


GIVES_NONE = 'from = "mains", ac = { own_w = 10, efficiency = 1.0 }, pse = { type = 4, min_v = 52 }, ports = { 1-4 = { pse_class = "none" } }'  # noqa: E501
IN_A_LOOP = 'inlet = { port = "up", pd_class = 4, own_w = 3, passes_through = true }, pse = { type = 2 }, ports = { 1-4 = { pse_class = 4 } }'  # noqa: E501


@pytest.mark.parametrize("root", [GIVES_NONE, IN_A_LOOP])
def test_behind_what_gets_no_power_nothing_flows(root: str) -> None:
    """A port that gives none, and two switches that feed each other."""
    text = f"""
[design]
title = "dark"
[space]
room = {{ max_c = 20, mean_c = 20 }}
[cable.c]
conductor_awg = 23
material = "copper"
strand = "solid"
[switch]
core = {{ space = "room", {root} }}
mid = {{ space = "room", inlet = {{ port = "up", pd_class = 4, own_w = 3, passes_through = false, efficiency = 0.9 }}, pse = {{ type = 2 }}, ports = {{ 1-2 = {{ pse_class = 4 }} }} }}
[device]
d = {{ space = "room", pd = {{ pd_class = 2 }}, draw_w = {{ day = 6 }} }}
[run]
A = {{ from = "core/1", to = "mid/up", cable = "c", link_m = 60, cords_m = [], connections = 0, bundle = "none", space = "room" }}
B = {{ from = "mid/1", to = "d", cable = "c", link_m = 60, cords_m = [], connections = 0, bundle = "none", space = "room" }}
"""  # noqa: E501 - a thing of a design stands in one line
    if "inlet" in root:
        text += 'C = { from = "mid/2", to = "core/up", cable = "c", link_m = 5, cords_m = [], connections = 0, bundle = "none", space = "room" }\n'  # noqa: E501
    balance = built(text).worst_balance
    nothing = Span(0.0, 0.0)
    assert balance.given_w == balance.loads_w == balance.copper_w == balance.inner_w == nothing
    assert balance.released_w("room") == (Span(10.0, 10.0) if "mains" in root else nothing)
