"""Heat of bundles: the true solution of the coupled loop lies between the two ends, whatever the design.

The truth is found here by brute force: currents from temperatures, temperatures from the heat of those currents, over
and over until nothing moves. Constants are written out again: copper 0.00393 / K and 1/58 ohm mm²/m (IEC 60028, from
memory), 0.2 ohm in each wire of a connection (ISO/IEC 11801, from memory).
"""

import math
import tempfile
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st

from riserlint import Built
from riserlint.design.reading import read_basis, read_design
from riserlint.engineering.bundle_heat import core_resistivity
from riserlint.engineering.surface_cooling import surface_heat_w_per_m

FACTOR = {"open-tray": 1.0, "free-air": 1.0, "closed-conduit": 2.5}
CLASS_W = {3: 13.0, 4: 25.5, 6: 51.0, 8: 71.3}
ROUTES = [("trunk",), ("floor",), ("branch",), ("trunk", "floor"), ("branch", "trunk")]


def built(text: str, basis: str = "") -> Built:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        (root / ".git").mkdir()
        if basis:
            (root / "basis.toml").write_text(basis, encoding="utf-8")
        file = root / "design.toml"
        file.write_text(text, encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
        assert problems == []
        found = Built(design)
        assert found.problems == []
        return found


class Stretch(NamedTuple):
    metres: float
    bundle: str


class Leg(NamedTuple):
    """A run: the stretches of its route, the watts that its end draws, and the legs that are fed from there."""

    name: str
    route: tuple[Stretch, ...]
    own_w: float
    pd_class: int
    below: tuple["Leg", ...] = ()


class Plant(NamedTuple):
    """A design: bundles (kind of pathway, ambient, dark cables beside), one kind of cable, legs from the core."""

    bundles: dict[str, tuple[str, float, int]]
    awg: int
    category: str
    outer_mm: float
    rated_c: float
    efficiency: float
    legs: tuple[Leg, ...]
    alike: tuple[int, Leg]

    @property
    def all_legs(self) -> list[Leg]:
        count, leg = self.alike
        return [*self.legs, *(leg._replace(name=f"{leg.name}{number}") for number in range(count))]

    def text(self) -> str:
        lines = ['[design]\ntitle = "invented"\n[space]']
        lines += [f"s-{name} = {{ max_c = {ambient!r} }}" for name, (_, ambient, _) in self.bundles.items()]
        lines.append(
            f'[cable]\nc = {{ category = "{self.category}", conductor_awg = {self.awg}, material = "copper", '
            f'strand = "solid", outer_mm = {self.outer_mm!r}, rated_c = {self.rated_c!r} }}\n[pathway]'
        )
        lines += [
            f'p-{n} = {{ kind = "{kind}", space = "s-{n}" }}' for n, (kind, _, _) in self.bundles.items()
        ]
        lines.append("[bundle]")
        lines += [
            f'{n} = {{ pathway = "p-{n}", others = {dark}, others_powered = false }}'
            for n, (_, _, dark) in self.bundles.items()
        ]
        switches = ["core = { pse = { type = 4 }, ports = { 1-999 = { pse_class = 8 } } }"]
        devices: list[str] = []
        runs: list[str] = []

        def write(leg: Leg, end: str) -> None:
            route = ", ".join(
                f'{{ space = "s-{s.bundle}", m = {s.metres!r}, bundle = "{s.bundle}" }}' for s in leg.route
            )
            length = sum(s.metres for s in leg.route)
            runs.append(
                f'{leg.name} = {{ from = "{end}", to = "d-{leg.name}", cable = "c", link_m = {length!r}, cords_m = [], '
                f"connections = 2, route = [{route}] }}"
            )
            if leg.below:
                switches.append(
                    f"d-{leg.name} = {{ inlet = {{ pd_class = 8, own_w = {leg.own_w!r}, "
                    f"efficiency = {self.efficiency!r}, "
                    "passes_through = false }, pse = { type = 4 }, ports = { 1-99 = { pse_class = 8 } } }"
                )
            else:
                devices.append(
                    f"d-{leg.name} = {{ pd = {{ pd_class = {leg.pd_class} }}, draw_w = {{ day = {leg.own_w!r} }} }}"
                )
            for port, lower in enumerate(leg.below, 1):
                write(lower, f"d-{leg.name}/{port}")

        for port, leg in enumerate(self.all_legs, 1):
            write(leg, f"core/{port}")
        return "\n".join([*lines, "[switch]", *switches, "[device]", *devices, "[run]", *runs, ""])


class Cable(NamedTuple):
    """One cable of a bundle in the brute-force solution: wires that carry current, and how much each."""

    wires: int
    amps: float


def ohm_20(awg: int) -> float:
    diameter_mm = 0.127 * math.pow(92, (36 - awg) / 39)
    return (1 / 58) / (math.pi * diameter_mm**2 / 4)


def heat_of(cables: list[Cable], r20: float, celsius: float) -> float:
    return math.fsum(cable.wires * cable.amps**2 for cable in cables) * r20 * (1 + 0.00393 * (celsius - 20))


def centre_c(plant: Plant, name: str, cables: list[Cable], celsius: float, *, middle: bool) -> float:
    """Return the centre that the heat of these currents gives, with the resistance at a given temperature."""
    kind, ambient_c, dark = plant.bundles[name]
    watts = heat_of(cables, ohm_20(plant.awg), celsius)
    count = len(cables) + dark
    packed = (1, 2, 2.15, 2.41, 2.70, 3, 3)
    ratio = packed[count - 1] if count <= 7 else math.sqrt(count / 0.75)
    diameter_m = ratio * plant.outer_mm / 1000
    low, high = 0.0, 500.0
    for _ in range(80):
        rise = 0.5 * (low + high)
        low, high = (rise, high) if surface_heat_w_per_m(diameter_m, rise, ambient_c) < watts else (low, rise)
    rho = core_resistivity(plant.category)
    core = watts * rho / (4 * math.pi)
    live = sorted((c.wires * c.amps**2 for c in cables if c.amps), reverse=True)
    if middle and live:
        # layer by layer from the axis outward, each cable one thin shell: dT = integral of q(x) rho / (4 pi x) dx
        edges = [index / count for index in range(len(live) + 1)]
        inside, core = 0.0, 0.0
        for (a, b), part in zip(pairwise(edges), live):
            share = watts * part / sum(live)
            bent = 0.0 if a == 0 else (inside - share / (b - a) * a) * math.log(b / a)
            core += rho / (4 * math.pi) * (bent + share)
            inside += share
        core += rho / (4 * math.pi) * inside * math.log(1 / edges[-1])
    return ambient_c + FACTOR[kind] * low + core


class LinkEndsError(Exception):
    """A device is off, at 30 V or less."""


def solved(plant: Plant, *, middle: bool) -> dict[str, float] | None:
    """Return the temperature of each bundle of the coupled solution, None where it runs away."""
    celsius = {name: ambient for name, (_, ambient, _) in plant.bundles.items()}
    for _ in range(400):
        cables: dict[str, list[Cable]] = {name: [] for name in plant.bundles}

        def load(leg: Leg, cables: dict[str, list[Cable]]) -> float:
            drawn = leg.own_w
            if leg.below:
                lower = [load(below, cables) for below in leg.below]
                drawn += sum(lower) / plant.efficiency
            metres = sum(s.metres for s in leg.route)
            mean = sum(s.metres * celsius[s.bundle] for s in leg.route) / metres
            pairs = 4 if leg.pd_class > 4 else 2
            ohm = 2 * (metres * ohm_20(plant.awg) * (1 + 0.00393 * (mean - 20)) + 0.4) / pairs
            root = 52.0**2 - 4 * ohm * drawn
            if root < 0 or (52 + math.sqrt(root)) / 2 <= 30:
                raise LinkEndsError
            amps = 2 * drawn / (52 + math.sqrt(root))
            for stretch in leg.route:
                cables[stretch.bundle].append(Cable(2 * pairs, amps / pairs))
            return 52 * amps

        for leg in plant.all_legs:
            load(leg, cables)
        moved = 0.0
        for name, held in cables.items():
            if not held:
                continue
            after = centre_c(plant, name, held, celsius[name], middle=middle)
            if after > 240:
                return None
            moved = max(moved, abs(after - celsius[name]))
            celsius[name] = after
        if moved < 1e-9:
            return celsius
    return None


@st.composite
def plants(draw: st.DrawFn) -> Plant:
    kinds = st.sampled_from(["open-tray", "free-air", "closed-conduit"])
    bundles = {
        name: (draw(kinds), draw(st.floats(5, 70)), draw(st.integers(0, 40)))
        for name in ("trunk", "floor", "branch")
    }
    metres = st.floats(1, 60)
    legs: list[Leg] = []
    for number in range(draw(st.integers(1, 3))):
        below: list[Leg] = []
        pd_class = draw(st.sampled_from([3, 4]))
        for kind in range(draw(st.integers(0, 2))):
            down = (Stretch(draw(metres), "floor"), Stretch(draw(metres), "branch"))
            watts = draw(st.floats(0.5, CLASS_W[pd_class] / 2))
            below.append(Leg(f"r{number}-{kind}", down, watts, pd_class))
        legs.append(
            Leg(f"r{number}", (Stretch(draw(metres), "trunk"),), draw(st.floats(1, 12)), 8, tuple(below))
        )
    many = draw(st.sampled_from([0, 12, 60, 150, 250]))
    pd_class = draw(st.sampled_from([4, 6, 8]))
    watts = draw(st.floats(0.5, 1.0)) * CLASS_W[pd_class]
    route = tuple(Stretch(draw(metres), where) for where in draw(st.sampled_from(ROUTES)))
    category, outer = draw(st.sampled_from([("5e", 5.2), ("6", 6.0), ("6A", 7.5)]))
    return Plant(
        bundles,
        draw(st.sampled_from([22, 24, 26, 28])),
        category,
        outer,
        draw(st.sampled_from([60.0, 75.0, 90.0])),
        draw(st.floats(0.8, 1.0)),
        tuple(legs),
        (many, Leg("q", route, watts, pd_class)),
    )


#: Far above the rating, where currents at the rating would be too small.
FAR_ABOVE = Plant(
    dict.fromkeys(("trunk", "floor", "branch"), ("closed-conduit", 70.0, 0)),
    28,
    "5e",
    5.2,
    60.0,
    1.0,
    (),
    (250, Leg("q", (Stretch(60.0, "trunk"),), 25.5, 4)),
)


@example(FAR_ABOVE)
@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
@given(plants())
def test_the_coupled_solution_lies_between_the_two_ends(plant: Plant) -> None:
    try:
        spread, middle = solved(plant, middle=False), solved(plant, middle=True)
    except LinkEndsError:
        assume(False)
    heat = built(plant.text()).heat
    assert middle is not None or not all(state.bounded for state in heat.bundles.values())
    for name, state in heat.bundles.items():
        if spread is not None:
            assert state.best is not None
            assert state.celsius.low == state.best.temperature_c <= spread[name] + 1e-6
        if state.bounded and middle is not None:
            assert state.worst is not None
            assert middle[name] <= state.worst.temperature_c + 1e-6
            assert state.celsius.high == pytest.approx(max(state.worst.temperature_c, state.celsius.low))


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
@given(plants())
def test_the_ends_are_near_where_all_is_known_and_the_bundle_is_within_its_rating(plant: Plant) -> None:
    alike = plant._replace(
        bundles={name: (kind, ambient, 0) for name, (kind, ambient, _) in plant.bundles.items()}
    )
    heat = built(alike.text()).heat
    try:
        middle = solved(alike, middle=True)
    except LinkEndsError:
        middle = None
    assume(middle is not None)
    assert middle is not None
    for name, state in heat.bundles.items():
        if max(middle.values()) > plant.rated_c - 1:
            continue
        assert state.bounded
        assert state.worst is not None
        # what is left: the unbalance of pairsets, 5 % of the heat at most, and the resistance at the rating
        assert state.worst.rise_k <= (middle[name] - state.ambient_c.low) * 1.08 + 0.02


@settings(max_examples=40, deadline=None)
@given(
    live=st.integers(1, 60),
    dark=st.integers(0, 1000),
    kind=st.sampled_from(["open-tray", "closed-conduit", 'insulated", insulation_mm = 80, space = "void']),
    watts=st.floats(5, 71),
)
def test_any_number_of_dark_cables_is_within_the_ends_of_a_number_that_is_not_known(
    live: int, dark: int, kind: str, watts: float
) -> None:
    unknown = built(equal_runs(live, watts, kind, "")).heat.bundles["b"]
    known = built(equal_runs(live, watts, kind, f"others = {dark}, ")).heat.bundles["b"]
    assert unknown.bounded
    # the currents are taken at the bundle's own temperature, which differs a little between the two
    assert unknown.rise_k.low <= known.rise_k.low * 1.001 + 1e-9
    assert known.rise_k.high <= unknown.rise_k.high * 1.001 + 1e-9


def equal_runs(count: int, watts: float, kind: str, others: str) -> str:
    lines = [
        '[design]\ntitle = "invented"\n[space]\nvoid = { max_c = 35 }\n[cable]',
        'c = { category = "5e", conductor_awg = 24, material = "copper", strand = "solid", outer_mm = 5.2, '
        "rated_c = 90 }",
        f'[pathway]\np = {{ kind = "{kind}" }}\n[bundle]',
        f'b = {{ pathway = "p", {others}others_powered = false }}\n[switch]',
        "core = { pse = { type = 4 }, ports = { 1-99 = { pse_class = 8 } } }\n[device]",
    ]
    lines += [f"d{i} = {{ pd = {{ pd_class = 8 }}, draw_w = {{ day = {watts!r} }} }}" for i in range(count)]
    lines.append("[run]")
    lines += [
        f'r{i} = {{ from = "core/{i + 1}", to = "d{i}", cable = "c", link_m = 50, cords_m = [], connections = 2, '
        'space = "void", bundle = "b" }'
        for i in range(count)
    ]
    return "\n".join([*lines, ""])


HOT = """
[design]
title = "invented"
[space]
oven = { max_c = 80 }
room = { max_c = 20 }
[cable]
c = { category = "5e", conductor_awg = 28, material = "copper", strand = "solid", outer_mm = 5.2, rated_c = 60 }
[pathway]
wool = { kind = "insulated", insulation_mm = 300, space = "oven" }
tray = { kind = "open-tray", space = "room" }
[bundle]
hot = { pathway = "wool", others = 0 }
shared = { pathway = "tray", others = 0 }
above = { pathway = "tray", others = 0 }
apart = { pathway = "tray", others = 0 }
[part.floor]
inlet = { pd_class = 8, own_w = 5, efficiency = 0.9, passes_through = false }
pse = { type = 4 }
ports = { 1-99 = { pse_class = 8 } }
[switch]
core = { pse = { type = 4 }, ports = { 1-99 = { pse_class = 8 } } }
floor = { part = "floor" }
other = { part = "floor" }
[device]
"""
RUN = 'cable = "c", link_m = 20, cords_m = [], connections = 2'


def runaway() -> str:
    """Return 60 runs in 300 mm of wool at 80 °C, one of which leaves it, and one of a switch that is fed elsewhere."""
    lines = [f"d{i} = {{ pd = {{ pd_class = 8 }}, draw_w = {{ day = 71 }} }}" for i in range(60)]
    lines += [f"{name} = {{ pd = {{ pd_class = 3 }}, draw_w = {{ day = 5 }} }}" for name in ("e", "f", "g")]
    lines.append("[run]")
    hot = 'space = "oven", bundle = "hot"'
    lines += [f'r{i} = {{ from = "core/{i + 10}", to = "d{i}", {RUN}, {hot} }}' for i in range(59)]
    lines.append(
        f'r59 = {{ from = "core/70", to = "d59", {RUN}, route = [{{ space = "oven", m = 10, bundle = "hot" }}, '
        '{ space = "room", m = 10, bundle = "shared" }] }'
    )
    lines.append(f'up = {{ from = "core/1", to = "floor", {RUN}, space = "room", bundle = "above" }}')
    lines.append(f'low = {{ from = "floor/1", to = "g", {RUN}, {hot} }}')
    lines.append(f'q = {{ from = "core/2", to = "e", {RUN}, space = "room", bundle = "apart" }}')
    lines.append(f'v = {{ from = "core/3", to = "other", {RUN}, space = "room", bundle = "apart" }}')
    lines.append(f'p = {{ from = "other/1", to = "f", {RUN}, space = "room", bundle = "apart" }}')
    return HOT + "\n".join([*lines, ""])


def test_a_bundle_that_runs_away_takes_the_bound_from_what_its_currents_reach_and_from_nothing_else() -> None:
    heat = built(runaway()).heat
    bounded = {name: state.bounded for name, state in heat.bundles.items()}
    # the run that leaves the hot bundle lies in "shared", its switch is fed through "above"; nothing hot feeds "apart"
    assert bounded == {"hot": False, "shared": False, "above": False, "apart": True}
    assert math.isinf(heat.bundles["hot"].celsius.high)
    assert heat.bundles["hot"].celsius.low > 60
    assert math.isinf(heat.bundles["shared"].rise_k.high)


def test_ambient_is_the_hottest_of_the_pathway_and_of_the_spaces_named_for_the_bundle() -> None:
    wool = 'wool = { kind = "insulated", insulation_mm = 300, space = "oven" }'
    text = runaway().replace(wool, 'wool = { kind = "open-tray", space = "room" }')
    heat = built(text).heat
    assert heat.bundles["hot"].ambient_c == (80.0, 80.0)
    assert heat.bundles["shared"].ambient_c == (20.0, 20.0)
    unnamed = text.replace(', space = "oven", bundle = "hot"', ', bundle = "hot"').replace(
        '{ space = "oven", m', "{ m"
    )
    assert built(unnamed).heat.bundles["hot"].ambient_c == (20.0, 20.0)


def test_where_neither_pathway_nor_runs_name_a_space_each_of_them_is_missing() -> None:
    text = (
        equal_runs(2, 5, "open-tray", "others = 0, ")
        .replace(', space = "void"', "")
        .replace('space = "void", ', "")
    )
    state = built(text).heat.bundles["b"]
    assert state.ambient_c.high == math.inf
    assert {("run", "r0", "space"), ("run", "r1", "space")} <= set(state.missing)


@pytest.mark.parametrize(
    ("written", "low", "high"),
    [("rated_c = 150", 150, 150), ('screen = "none"', 60, 105), ("rated_c = 40", 40, 40)],
)
def test_the_rating_of_a_bundle_is_the_lowest_that_its_live_cables_can_have(
    written: str, low: float, high: float
) -> None:
    text = equal_runs(2, 5, "open-tray", "others = 0, ").replace("rated_c = 90", written)
    assert built(text).heat.bundles["b"].rated_c == (low, high)


def test_a_length_that_is_not_known_bounds_the_current_by_the_volts_at_which_a_device_is_off() -> None:
    text = equal_runs(4, 60, "open-tray", "others = 0, ").replace("link_m = 50, ", "")
    state = built(text).heat.bundles["b"]
    assert state.bounded
    assert state.most is not None
    # 60 W at 30 V over 8 wires, with the unbalance of class 8 (0.932 A in place of 0.865 A in one pairset)
    uneven = math.sqrt(1 + (0.932 / (90 / 52 / 2) - 1) ** 2)
    assert state.most.groups[0].current_a == pytest.approx(60 / 30 / 4 * uneven)


@pytest.mark.parametrize("kind", ["open-tray", "closed-conduit"])
def test_what_is_not_known_widens_the_range_and_never_moves_it(kind: str) -> None:
    text = equal_runs(20, 60, kind, "others = 0, ")
    known = built(text).heat.bundles["b"]
    for gone in (
        "conductor_awg = 24, ",
        'material = "copper", ',
        'strand = "solid", ',
        "outer_mm = 5.2, ",
        'category = "5e", ',
        "connections = 2, ",
        'pathway = "p", ',
        "others = 0, ",
        "link_m = 50, ",
    ):
        state = built(text.replace(gone, "")).heat.bundles["b"]
        assert state.celsius.low <= known.celsius.low + 1e-9, gone
        assert state.celsius.high >= known.celsius.high - 1e-9, gone
        assert state.missing, gone


def test_a_class_that_is_not_known_may_come_over_two_pairs_or_four() -> None:
    text = equal_runs(4, 12, "open-tray", "others = 0, ").replace("pd_class = 8 }, draw", "}, draw")
    state = built(text).heat.bundles["b"]
    assert state.least is not None
    assert state.most is not None
    assert {group.live_conductors for group in state.most.groups} == {4}
    assert {group.live_conductors for group in state.least.groups} == {8}


def test_far_above_the_rating_the_ends_still_hold() -> None:
    state = built(FAR_ABOVE.text()).heat.bundles["trunk"]
    middle = solved(FAR_ABOVE, middle=True)
    assert middle is not None
    assert middle["trunk"] > 90
    assert state.bounded
    assert state.celsius.low <= middle["trunk"] <= state.celsius.high


@pytest.mark.parametrize("dark", [1, 20, 59, 300])
def test_dark_cables_of_no_stated_size_may_be_thick_or_thin(dark: int) -> None:
    """They cool the surface and bury the core: whichever size they have, the truth lies between the ends."""

    def text(size: str) -> str:
        runs = "".join(
            f"U{number} = {{ from = 'core/{number + 2}', to = 'x{number}', cable = 'other', link_m = 30, cords_m = [], "
            "connections = 0, space = 's', bundle = 'b' }\n"
            for number in range(1, dark + 1)
        )
        devices = "".join(f"x{number} = {{}}\n" for number in range(1, dark + 1))
        return (
            "[design]\ntitle = 'sizes'\n[space]\ns = { max_c = 25, mean_c = 20 }\n[cable]\n"
            "c = { category = '6', conductor_awg = 23, material = 'copper', strand = 'solid', outer_mm = 6.1 }\n"
            f"other = {{ category = '6A', conductor_awg = 23, material = 'copper', strand = 'solid'{size} }}\n"
            "[pathway]\np = { kind = 'open-tray', space = 's' }\n"
            "[bundle]\nb = { pathway = 'p', others = 0, others_powered = false }\n"
            "[switch]\ncore = { pse = { type = 4, min_v = 52 }, "
            f"ports = {{ 1-2 = {{ pse_class = 8 }}, 3-{dark + 2} = {{ pse_class = 'none' }} }} }}\n"
            "[device]\nd1 = { pd = { pd_class = 8 }, draw_w = { night = 70 } }\n"
            f"d2 = {{ pd = {{ pd_class = 8 }}, draw_w = {{ night = 70 }} }}\n{devices}"
            "[run]\nR1 = { from = 'core/1', to = 'd1', cable = 'c', link_m = 30, cords_m = [], connections = 0, "
            "space = 's', bundle = 'b' }\nR2 = { from = 'core/2', to = 'd2', cable = 'c', link_m = 30, cords_m = [], "
            f"connections = 0, space = 's', bundle = 'b' }}\n{runs}"
        )

    unknown = built(text("")).heat.bundles["b"].celsius
    for outer_mm in (5.4, 6.5, 7.5):
        known = built(text(f", outer_mm = {outer_mm}")).heat.bundles["b"].celsius
        assert unknown.low - 1e-6 <= known.low
        assert known.high <= unknown.high + 1e-6
