"""The walks of continuity against walks that anyone can read, and loads and runtimes worked by hand."""

import math
import tempfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.analysis.built import Built
from riserlint.analysis.outage import PointMissing, Standby
from riserlint.analysis.ups_load import Part, ShortBudget, parts_that_turn
from riserlint.design.reading import read_basis, read_design
from riserlint.engineering.span import Span

TODAY = date(2026, 11, 25)


def built_of(text: str, basis: str = "") -> Built:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder).resolve()
        if basis:
            (root / "basis.toml").write_text(basis, encoding="utf-8")
        file = root / "design.toml"
        file.write_text(text, encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
    built = Built(design, TODAY)
    assert [problem.message for problem in (*problems, *built.problems)] == []
    return built


# -- tracing: any graph of supplies against a plain recursive walk -------------------------------------------------


class Plan(NamedTuple):
    """A random installation: what feeds each circuit and UPS, the supplies of each switch, its feeds over runs."""

    above: dict[str, str]
    supplies: list[list[str]]
    fed_by: list[list[int]]

    def text(self) -> str:
        lines = ['[design]\ntitle = "random"', "[circuit]"]
        lines += [f'{name} = {{ from = "{up}" }}' for name, up in self.above.items() if name.startswith("c")]
        lines.append("[ups]")
        lines += [f'{name} = {{ from = "{up}" }}' for name, up in self.above.items() if name.startswith("u")]
        lines.append("[switch]")
        for index, supplies in enumerate(self.supplies):
            listed = ", ".join(f'{{ from = "{name}" }}' for name in supplies)
            inlet = "inlet = { pd_class = 8, own_w = 0, efficiency = 1, passes_through = false }, "
            lines.append(
                f"s{index} = {{ {inlet if self.fed_by[index] else ''}supplies = [{listed}], "
                "pse = { type = 4 }, ports = { 1-9 = { pse_class = 8 } } }"
            )
        lines.append("[run]")
        used: dict[int, int] = {}
        for load, sources in enumerate(self.fed_by):
            for source in sources:
                used[source] = used.get(source, 0) + 1
                lines.append(
                    f'r{source}-{load} = {{ from = "s{source}/{used[source]}", to = "s{load}", link_m = 1 }}'
                )
        return "\n".join(lines) + "\n"

    def alive(self, switch: int, unknown_is: str) -> bool:
        """Walk up from a switch by recursion, every unknown supply taken as ``unknown_is``."""

        def from_ups(name: str, seen: tuple[str, ...]) -> bool:
            if name == "unknown":
                name = unknown_is
            if name.startswith("u"):
                return True
            if name in {"mains", "generator"} or name in seen:
                return False
            return from_ups(self.above[name], (*seen, name))

        def lives(index: int, seen: tuple[int, ...]) -> bool:
            if index in seen:
                return False
            if any(from_ups(name, ()) for name in self.supplies[index]):
                return True
            if not self.supplies[index] and not self.fed_by[index]:
                return unknown_is == "u0"
            return any(lives(source, (*seen, index)) for source in self.fed_by[index])

        return lives(switch, ())


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    names = [*(f"c{index}" for index in range(draw(st.integers(0, 3)))), "u0", "u1"][
        : draw(st.integers(2, 5))
    ]
    names = list(dict.fromkeys([*names, "u0"]))
    ends = ["mains", "generator", "unknown", *names]
    above = {name: draw(st.sampled_from(ends)) for name in names}
    count = draw(st.integers(1, 5))
    supplies = [draw(st.lists(st.sampled_from(ends), max_size=2)) for _ in range(count)]
    # One inlet each; loops of power are wanted too.
    others = [[other for other in range(count) if other != index] for index in range(count)]
    fed_by = [draw(st.lists(st.sampled_from(near), max_size=1)) if near else [] for near in others]
    return Plan(above, supplies, fed_by)


@settings(max_examples=150, deadline=None)
@given(plans())
def test_a_walk_by_recursion_gives_the_same_states(plan: Plan) -> None:
    continuity_of = built_of(plan.text())
    continuity = continuity_of.continuity
    open_inlets = {
        way.feed.load.id
        for ways in continuity.ways.values()
        for way in ways
        if way.feed is not None and way.carries != "pass"
    }
    if open_inlets:  # gear with two feeds whose inlet may not carry it is judged by watts: other tests
        return
    for index in range(len(plan.supplies)):
        least, most = plan.alive(index, "mains"), plan.alive(index, "u0")
        expected = "backed" if least else "unknown" if most else "escapes"
        assert continuity.state(continuity_of.gear[f"s{index}"]) == expected


@settings(max_examples=100, deadline=None)
@given(plans())
def test_every_thing_is_backed_or_in_one_group_of_what_is_lost(plan: Plan) -> None:
    built = built_of(plan.text())
    continuity = built.continuity
    grouped = [thing.at for root in continuity.unbacked for thing in (root.thing, *root.dark)]
    assert len(grouped) == len(set(grouped))
    assert set(grouped) | continuity.backed == {thing.at for thing in continuity.powered()}
    assert not set(grouped) & continuity.backed


def test_a_ups_that_feeds_itself_is_a_loop() -> None:
    built = built_of('[design]\ntitle = "t"\n[circuit]\nc = { from = "u" }\n[ups]\nu = { from = "c" }\n')
    assert built.continuity.loops == (("c", "u"),)
    assert built.continuity.top_of("u") == "loop"


# -- needs: the walk over backed gear against a search for each member ---------------------------------------------


class Net(NamedTuple):
    """A random network: which switches are on the UPS, their links, where cameras and recorders hang."""

    backed: list[bool]
    links: list[tuple[int, int]]
    cameras: list[int]
    recorders: list[int]

    def text(self, dark_cameras: tuple[int, ...] = ()) -> str:
        lines = ['[design]\ntitle = "random"', '[ups]\nu = { from = "mains" }', "[switch]"]
        for index, backed in enumerate(self.backed):
            lines.append(f's{index} = {{ from = "{"u" if backed else "mains"}" }}')
        lines.append("[device]")
        for index in range(len(self.cameras)):
            lines.append(
                f'cam{index} = {{ from = "{"mains" if index in dark_cameras else "u"}", role = "camera" }}'
            )
        lines += [f'rec{index} = {{ from = "u", role = "recorder" }}' for index in range(len(self.recorders))]
        lines.append('[role]\ncamera = { needs = ["recorder"], standby_min = 60 }\nrecorder = {}\n[run]')
        ports = [0] * len(self.backed)

        def port(switch: int) -> str:
            ports[switch] += 1
            return f"s{switch}/{ports[switch]}"

        lines += [f'l{n} = {{ from = "{port(a)}", to = "{port(b)}" }}' for n, (a, b) in enumerate(self.links)]
        lines += [f'c{n} = {{ from = "{port(a)}", to = "cam{n}" }}' for n, a in enumerate(self.cameras)]
        lines += [f'r{n} = {{ from = "{port(a)}", to = "rec{n}" }}' for n, a in enumerate(self.recorders)]
        return "\n".join(lines) + "\n"

    def meets(self, camera: int, without: int | None = None) -> bool:
        """Search from a camera's switch for one with a recorder, over switches that are backed."""
        stack = [self.cameras[camera]]
        seen: set[int] = set()
        while stack:
            here = stack.pop()
            if here in seen or not self.backed[here] or here == without:
                continue
            if here in self.recorders:
                return True
            seen.add(here)
            stack += [b for a, b in self.links if a == here] + [a for a, b in self.links if b == here]
        return False


@st.composite
def nets(draw: st.DrawFn, recorders: int = 2) -> Net:
    count = draw(st.integers(1, 6))
    switch = st.integers(0, count - 1)
    links = draw(st.lists(st.tuples(switch, switch).filter(lambda pair: pair[0] != pair[1]), max_size=9))
    return Net(
        draw(st.lists(st.booleans(), min_size=count, max_size=count)),
        links,
        draw(st.lists(switch, min_size=1, max_size=4)),
        draw(st.lists(switch, min_size=1, max_size=recorders)),
    )


@settings(max_examples=150, deadline=None)
@given(nets())
def test_a_search_for_each_camera_finds_the_same_needs(net: Net) -> None:
    built = built_of(net.text())
    failing = {gear.id for answer in built.needs.answers for gear in answer.members}
    expected = {f"cam{index}" for index in range(len(net.cameras)) if not net.meets(index)}
    assert failing == expected
    for answer in built.needs.answers:
        if answer.kind == "unmet":
            assert answer.node is not None
            assert answer.node.at not in built.continuity.backed


@settings(max_examples=150, deadline=None)
@given(nets(recorders=1))
def test_taking_switches_out_one_by_one_finds_the_same_that_every_way_passes(net: Net) -> None:
    built = built_of(net.text())
    reaching = [index for index in range(len(net.cameras)) if net.meets(index)]
    found = built.needs.on_every_way(built.gear["rec0"], {f"cam{index}": 60.0 for index in reaching})
    expected = {
        f"s{switch}"
        for switch, backed in enumerate(net.backed)
        if backed and any(not net.meets(index, without=switch) for index in reaching)
    }
    assert set(found) == expected


@settings(max_examples=150, deadline=None)
@given(nets())
def test_what_would_be_met_is_met_once_the_gear_is_backed(net: Net) -> None:
    for switch, backed in enumerate(net.backed):
        cameras = tuple(index for index, at in enumerate(net.cameras) if at == switch)
        if backed or not cameras:
            continue
        built = built_of(net.text(cameras))
        group = [built.gear[f"s{switch}"], *(built.gear[f"cam{index}"] for index in cameras)]
        mended = net._replace(backed=[on or index == switch for index, on in enumerate(net.backed)])
        assert built.needs.would_be_met(group) == all(mended.meets(index) for index in cameras)


# -- loads and runtimes by hand ------------------------------------------------------------------------------------

HEAD = '[design]\ntitle = "t"\n[space]\nroom = { mean_c = 25 }\n'


def ups(**values: str) -> str:
    """Return the line of a UPS; every value is TOML."""
    stated = {"from": '"mains"', "space": '"room"', "chemistry": '"lead-acid"', "tested_capacity": "1.0"}
    rows = {key: value for key, value in {**stated, **values}.items() if value}
    return "[ups]\nu = { " + ", ".join(f"{key} = {value}" for key, value in rows.items()) + " }\n"


RECORDER = '[device]\nrec = { from = "u", draw_w = { day = 400 }, ac = { power_factor = 0.8 } }\n'


def test_own_use_does_not_pass_through_the_efficiency() -> None:
    # 60 W + 45 W / 0.90 = 110 W; 0 m of cable lose nothing but what the injector's own contacts do (0.1 %).
    built = built_of(
        HEAD
        + ups()
        + """
[inline]
inj = { kind = "injector", from = "u", own_w = 60, efficiency = 0.9, pse_class = 6, pse = { type = 3, min_v = 50 } }
[cable]
c = { conductor_awg = 23, material = "copper", strand = "solid" }
[switch]
s = { from = "mains" }
[device]
ap = { pd = { pd_class = 6 }, draw_w = { day = 45 } }
[run.r]
from = "s/1"
to = "ap"
cable = "c"
link_m = 0
cords_m = []
connections = 0
space = "room"
through = ["inj"]
"""
    )
    load = built.outage.load.by_ups["u"]
    assert load.watts.low == pytest.approx(110)
    assert load.watts.high == pytest.approx(110, rel=1e-3)
    # The power factor of an injector is not in the file: 0.5 to 1 (from memory).
    assert load.va == pytest.approx((110, 220), rel=1e-3)


def test_a_ups_behind_a_ups_is_a_load_of_its_input() -> None:
    # 400 W / 0.8 = 500 W.
    text = HEAD + ups() + 'v = { from = "u", efficiency = 0.8 }\n' + RECORDER.replace('"u"', '"v"')
    assert built_of(text).outage.load.by_ups["u"].watts == Span(500, 500)


def test_what_else_runs_on_a_circuit_behind_a_ups_is_part_of_its_load() -> None:
    text = HEAD + ups() + '[circuit]\nc = { from = "u", others_w = 50, others_power_factor = 0.5 }\n'
    load = built_of(text + RECORDER.replace('"u"', '"c"')).outage.load.by_ups["u"]
    assert load.watts == Span(450, 450)
    # 400 W / 0.8 + 50 W / 0.5
    assert load.va == Span(600, 600)


def test_one_of_two_supplies_carries_the_whole_and_may_carry_nothing() -> None:
    text = HEAD + ups() + 'v = { from = "mains" }\n'
    text += '[switch]\ns = { supplies = [{ from = "u" }, { from = "v" }], ac = { own_w = 90 } }\n'
    load = built_of(text).outage.load.by_ups["u"]
    assert load.watts == Span(90, 90)
    assert load.least_w == 0


def test_gear_on_an_unknown_socket_may_hang_on_any_ups() -> None:
    text = HEAD + ups() + RECORDER + 'cam = { from = "unknown", draw_w = { day = 30 } }\n'
    load = built_of(text).outage.load.by_ups["u"]
    assert load.watts == Span(400, 430)
    assert ("device", "cam", "from") in load.missing


def test_points_are_read_at_the_load_over_what_is_left_of_the_battery() -> None:
    # 400 W / 0.8 = 500 W, a stated point: 30 min; not 0.8 × 40 min = 32 min.
    points = "[{ w = 400, min = 40 }, { w = 500, min = 30 }]"
    built = built_of(HEAD + ups(runtime=points, tested_capacity="0.8") + RECORDER)
    assert built.outage.minutes("u") == pytest.approx((30, 30))


def test_points_between_are_read_on_logarithmic_scales() -> None:
    # ln t linear in ln P: from 200 W 80 min to 800 W 20 min, P t is constant, so 400 W hold 40 min.
    points = "[{ w = 200, min = 80 }, { w = 800, min = 20 }]"
    built = built_of(HEAD + ups(runtime=points) + RECORDER)
    assert built.outage.minutes("u") == pytest.approx((40, 40))


def test_energy_is_never_read_without_its_rate() -> None:
    # 1 h of lead-acid gives 0.58 to 0.65 of the twenty-hour energy (from memory): E = 400 W × 1 h / (0.9 × f).
    for fraction, end in ((0.58, "low"), (0.65, "high")):
        energy = 400 / (0.9 * fraction)
        built = built_of(HEAD + ups(battery_wh=f"{energy!r}", efficiency="0.9") + RECORDER)
        assert getattr(built.outage.minutes("u"), end) == pytest.approx(60, rel=1e-6)
        assert energy * 0.9 / 400 * 60 > 90  # what the energy alone would have promised


def test_lithium_gives_nearly_its_energy_at_any_rate() -> None:
    # 500 Wh × 0.92 × 0.9 / 400 W = 62.1 min; × 1.0: 67.5 min (shares from memory).
    built = built_of(HEAD + ups(battery_wh="500", efficiency="0.9", chemistry='"lithium"') + RECORDER)
    assert built.outage.minutes("u") == pytest.approx((62.1, 67.5))


def test_a_cold_room_takes_capacity_and_a_warm_one_adds_none() -> None:
    # King & Knight, p. 199: at 10.0 °C 0.860 to 0.910 of the 25 °C capacity, by discharge time.
    points = "[{ w = 400, min = 40 }, { w = 800, min = 10 }]"
    cold = built_of(HEAD.replace("25", "10") + ups(runtime=points) + RECORDER)
    warm = built_of(HEAD.replace("25", "35") + ups(runtime=points) + RECORDER)
    assert cold.outage.batteries["u"].cold == pytest.approx((0.860, 0.910))
    assert warm.outage.minutes("u") == pytest.approx((40, 40))
    assert cold.outage.minutes("u").high < 40


def test_age_comes_from_the_day_of_the_review() -> None:
    text = HEAD + ups(tested_capacity="", battery_date="2023-11-25", design_life_years="5") + RECORDER
    battery = built_of(text).outage.batteries["u"]
    assert battery.age_years == pytest.approx(3, abs=0.01)
    assert battery.share == Span(0.8, 1.0)  # IEEE Std 1188: end of life at 80 %


def test_without_today_the_age_is_not_known() -> None:
    built = built_of(
        HEAD + ups(tested_capacity="", battery_date="2023-11-25", design_life_years="5") + RECORDER
    )
    assert Built(built.design).outage.batteries["u"].share == Span(0.0, 1.0)


def test_a_ups_behind_another_holds_after_it() -> None:
    # u carries 400 W (v at efficiency 1): 40 min; then v its own 10 min.
    u = ups(runtime="[{ w = 400, min = 40 }, { w = 800, min = 10 }]")
    v = u.replace("[ups]\nu", "v").replace('"mains"', '"u", efficiency = 1').replace("min = 40", "min = 11")
    built = built_of(HEAD + u + v + RECORDER.replace('"u"', '"v"'))
    assert built.blackout.ends["v"] == pytest.approx((51, 51))


def test_beyond_its_points_a_runtime_misses_a_point_and_no_test_of_the_battery() -> None:
    # 400 W / 0.8 to 400 W / 1 on the curve of a new battery; nothing is read beyond the stated points.
    points = "[{ w = 600, min = 40 }, { w = 800, min = 10 }]"
    aged = (
        ups(runtime=points, tested_capacity="", battery_date="2023-11-25", design_life_years="5") + RECORDER
    )
    outage = built_of(HEAD + aged).outage
    assert outage.minutes("u") == (40, math.inf)
    assert outage.point_missing("u", 45) == PointMissing(Span(400, 500), True, 600)
    assert outage.minutes_missing("u", 45) == (("ups", "u", "runtime"),)
    assert outage.point_missing("u", 40) is None
    heavy = built_of(HEAD + aged.replace("w = 600", "w = 300").replace("w = 800", "w = 450")).outage
    assert heavy.minutes("u").low == 0
    assert heavy.point_missing("u", 10) == PointMissing(Span(400, 500), False, 450)
    # At the whole of its capacity it would hold 400 W, between the points, for longer than 10 min.
    assert heavy.minutes_missing("u", 10) == (("ups", "u", "runtime"), ("ups", "u", "tested_capacity"))
    assert heavy.point_missing("u", 11) is None


def test_a_budget_caps_a_load_only_where_it_may_be_enough() -> None:
    # Two loads of 10 W over 1 m: 20 W at the ports, own use 4 W, efficiency 0.8: 4 + 20 / 0.8 = 29 W.
    text = HEAD + ups()
    text += """[switch.s]
from = "u"
ac = { own_w = 4, efficiency = 0.8 }
pse = { type = 3, budget_w = 15, reserves = "measured" }
ports = { 1-4 = { pse_class = 4 } }
[device]
a = { pd = { pd_class = 4 }, draw_w = { day = 10 } }
b = { pd = { pd_class = 4 }, draw_w = { day = 10 } }
[cable]
c = { conductor_awg = 23, material = "copper", strand = "solid" }
[run]
r1 = { from = "s/1", to = "a", cable = "c", link_m = 1, cords_m = [], connections = 0, bundle = "none" }
r2 = { from = "s/2", to = "b", cable = "c", link_m = 1, cords_m = [], connections = 0, bundle = "none" }
"""
    short = built_of(text).outage.load.by_ups["u"]
    assert short.watts == pytest.approx((29, 29), rel=1e-3)
    assert short.parts[0].short == ShortBudget(("switch", "s", "pse", "budget_w"), 15)
    enough = built_of(text.replace("budget_w = 15", "budget_w = 21")).outage.load.by_ups["u"]
    assert enough.watts == short.watts
    assert enough.parts[0].short is None
    # What the loads draw is not known, at most 25.5 W each: then the budget is a bound.
    open_ = built_of(text.replace("draw_w = { day = 10 }", "draw_w = { typical = 1 }")).outage.load.by_ups[
        "u"
    ]
    assert open_.watts.high == pytest.approx(4 + 15 / 0.8)
    assert open_.parts[0].short is None


spans = st.tuples(st.integers(0, 20), st.integers(0, 20)).map(lambda ends: Span(min(ends), max(ends)))


@settings(max_examples=300, deadline=None)
@given(drawn=st.lists(spans, min_size=1, max_size=5), unbounded=st.integers(0, 2), limit=st.integers(0, 60))
def test_a_part_turns_where_one_of_its_ends_alone_decides(
    drawn: list[Span], unbounded: int, limit: int
) -> None:
    drawn = [Span(span.low, math.inf) if index < unbounded else span for index, span in enumerate(drawn)]
    thing = next(iter(built_of(HEAD + ups() + RECORDER).gear.values()))
    parts = [Part(thing, span, span, False, (("part", index),), (), ()) for index, span in enumerate(drawn)]

    def decided(watts: Span) -> bool:
        return watts.high <= limit or watts.low > limit

    wanted = []
    for index, span in enumerate(drawn):
        others = drawn[:index] + drawn[index + 1 :]
        low, high = sum(other.low for other in others), sum(other.high for other in others)
        if not span.known and any(decided(Span(low + end, high + end)) for end in span):
            wanted.append(parts[index])
    assert parts_that_turn(parts, lambda part: part.watts, decided) == tuple(wanted or parts)


@pytest.mark.parametrize("minutes", [12.0, 25.0, 39.0])
def test_the_turning_points_turn(minutes: float) -> None:
    points = "[{ w = 300, min = 60 }, { w = 400, min = 40 }, { w = 800, min = 10 }]"
    built = built_of(HEAD + ups(runtime=points, battery_wh="900", efficiency="0.9") + RECORDER)
    outage = built.outage
    most_w = outage.greatest_load_w("u", minutes)
    assert outage.minutes("u", Span(most_w, most_w)).low >= minutes - 1e-6
    assert outage.minutes("u", Span(most_w * 1.01, most_w * 1.01)).low < minutes
    share = outage.least_share("u", minutes)
    assert share is not None
    assert outage.minutes("u", share=Span(share * 1.001, share * 1.001)).low >= minutes
    assert outage.minutes("u", share=Span(share * 0.99, share * 0.99)).low < minutes
    energy = outage.least_battery_wh("u", max(minutes, 16))
    assert energy is not None
    assert outage.minutes("u", battery_wh=energy * 1.001).low >= max(minutes, 16)
    assert outage.minutes("u", battery_wh=energy * 0.99).low < max(minutes, 16)


# -- who asks ------------------------------------------------------------------------------------------------------


def _asked(text: str) -> Iterator[tuple[list[str], Standby]]:
    for holders, standby in built_of(text).outage.asked(None).items():
        yield sorted(holders), standby


CHAIN = """
[design]
title = "t"
[ups]
u1 = { from = "mains" }
u2 = { from = "mains" }
u3 = { from = "mains" }
[switch]
edge = { from = "u1" }
core = { from = "u2" }
[device]
cam = { from = "u1", role = "camera" }
rec = { from = "u3", role = "recorder" }
[role]
camera = { needs = ["recorder"], standby_min = 45 }
recorder = {}
[run]
a = { from = "edge/1", to = "cam" }
b = { from = "edge/2", to = "core/1" }
c = { from = "core/2", to = "rec" }
"""


def test_standby_is_asked_of_what_is_needed_and_of_the_switches_on_the_way() -> None:
    found = {names[0]: standby for names, standby in _asked(CHAIN)}
    assert {name: standby.minutes for name, standby in found.items()} == {"u1": 45, "u2": 45, "u3": 45}
    assert found["u2"].who == "role.camera, which reaches rec over core,"
    assert found["u3"].who == "role.camera, which needs rec,"
    assert found["u1"].at == ("role", "camera", "standby_min")


def test_of_two_recorders_neither_is_asked_alone() -> None:
    text = CHAIN.replace("[role]", 'rec2 = { from = "u2", role = "recorder" }\n[role]')
    text += 'd = { from = "core/3", to = "rec2" }\n'
    assert {name for names, _ in _asked(text) for name in names} == {"u1"}
