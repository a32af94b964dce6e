"""A general outage against a plain simulation in steps of time, which shares no code with the analysis.

Everything is stated, batteries are read log-log between two points, runs have no length and so no loss. In each step
every UPS without input spends step / t(P) of its battery; what is dark is found by trying everything again until
nothing changes.
"""

import math
import tempfile
from datetime import date
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.analysis.built import Built
from riserlint.design.reading import read_basis, read_design

STEP_MIN = 0.02
#: Each event is late by a step at most; a late one moves those after it by some steps more.
WITHIN_MIN = 30 * STEP_MIN
EFFICIENCY = 0.9
OWN_W = 40.0


class Device(NamedTuple):
    """A device of so many watts: at mains supplies (UPSs), or at a port of the switch of a UPS; which goes first."""

    watts: float
    supply: int | None
    port_of: int | None
    inlet_first: bool = False


class Site(NamedTuple):
    """UPSs (what feeds each, minutes at 10 W and the steepness of its curve), a switch on each, devices, sheddings.

    ``both`` are switches with a supply on each of two UPSs, and their watts.
    """

    above: list[int | None]
    curves: list[tuple[float, float]]
    devices: list[Device]
    sheds: list[tuple[float, int]]
    both: tuple[tuple[int, int, float], ...] = ()

    def text(self) -> str:
        lines = ['[design]\ntitle = "random"', "[space]\nroom = { max_c = 25, mean_c = 25 }"]
        lines.append('[cable]\nc = { conductor_awg = 23, material = "copper", strand = "solid" }')
        lines.append("[ups]")
        for index, (above, (minutes, _)) in enumerate(zip(self.above, self.curves)):
            far = self.minutes(index, 100_000.0)
            sheds = ", ".join(
                f'{{ after_min = {after!r}, gear = ["d{device}"] }}'
                for after, device in self.sheds
                if index == 0
            )
            lines.append(
                f'u{index} = {{ from = "{"mains" if above is None else f"u{above}"}", space = "room", '
                f'efficiency = {EFFICIENCY}, chemistry = "lithium", tested_capacity = 1.0, sheds = [{sheds}], '
                f"runtime = [{{ w = 10, min = {minutes!r} }}, {{ w = 100000, min = {far!r} }}] }}"
            )
        lines.append("[switch]")
        for index in range(len(self.above)):
            lines.append(
                f's{index} = {{ from = "u{index}", ac = {{ own_w = {OWN_W}, efficiency = {EFFICIENCY} }}, '
                "pse = { type = 4, min_v = 52 }, ports = { 1-40 = { pse_class = 8 } } }"
            )
        for index, (one, other, watts) in enumerate(self.both):
            lines.append(
                f'b{index} = {{ supplies = [{{ from = "u{one}" }}, {{ from = "u{other}" }}], '
                f'supply_mode = "redundant", ac = {{ own_w = {watts} }} }}'
            )
        lines.append("[device]")
        runs: list[str] = []
        for index, device in enumerate(self.devices):
            keys = [f"draw_w = {{ day = {device.watts!r} }}"]
            if device.supply is not None:
                keys.append(f'from = "u{device.supply}"')
            if device.port_of is not None:
                keys.append("pd = { pd_class = 8 }")
                runs.append(
                    f'r{index} = {{ from = "s{device.port_of}/{index + 1}", to = "d{index}", cable = "c", '
                    'link_m = 0, cords_m = [], connections = 0, space = "room", bundle = "none" }'
                )
            if device.supply is not None and device.port_of is not None:
                keys.append(f'feed_first = "{"inlet" if device.inlet_first else "local"}"')
            lines.append(f"d{index} = {{ {', '.join(keys)} }}")
        return "\n".join([*lines, "[run]", *runs]) + "\n"

    def minutes(self, ups: int, watts: float) -> float:
        """Return how long a full battery carries a load: a straight line on logarithmic scales."""
        at_ten, steepness = self.curves[ups]
        return at_ten * math.pow(watts / 10.0, -steepness)


class Course(NamedTuple):
    """When everything went dark, minutes."""

    upses: list[float]
    devices: list[float]


def stepped(site: Site, split: float) -> Course:
    """Go through an outage in small steps; ``split`` is the share of the first of two supplies while both live."""
    count = len(site.above)
    left = [1.0] * count
    ended = [math.inf] * count
    dark = [math.inf] * len(site.devices)
    step_count = 0
    while math.inf in ended:
        now = step_count * STEP_MIN
        live = [end == math.inf for end in ended]
        load = [OWN_W if here else 0.0 for here in live]
        for index, device in enumerate(site.devices):
            off = any(name == index and now >= after for after, name in site.sheds)
            plug = device.supply is not None and live[device.supply]
            port = device.port_of is not None and live[device.port_of]
            if off or not (plug or port):
                dark[index] = min(dark[index], now)
                continue
            if plug and port:
                plug, port = not device.inlet_first, device.inlet_first
            if plug:
                assert device.supply is not None
                load[device.supply] += device.watts
            else:
                assert device.port_of is not None
                load[device.port_of] += device.watts / EFFICIENCY
        for one, other, watts in site.both:
            if live[one] and live[other]:
                load[one] += split * watts
                load[other] += (1 - split) * watts
            elif live[one] or live[other]:
                load[one if live[one] else other] += watts
        for index in reversed(range(count)):  # what hangs on a UPS has a greater number
            above = site.above[index]
            if above is not None and live[above] and live[index]:
                load[above] += load[index] / EFFICIENCY
        for index, above in enumerate(site.above):
            if live[index] and not (above is not None and live[above]):
                left[index] -= STEP_MIN / site.minutes(index, load[index])
                if left[index] <= 0:
                    ended[index] = now + STEP_MIN
        step_count += 1
    return Course(ended, [min(end, step_count * STEP_MIN) for end in dark])


def built_of(text: str) -> Built:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder).resolve()
        file = root / "design.toml"
        file.write_text(text, encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
    built = Built(design, date(2026, 11, 25))
    assert [problem.message for problem in (*problems, *built.problems)] == []
    return built


@st.composite
def sites(draw: st.DrawFn, *, shared: bool = False) -> Site:
    """Return random installations; ``shared``: with gear that two UPSs feed, or one over two ways."""
    count = draw(st.integers(2 if shared else 1, 3))
    above = [None if index == 0 else draw(st.sampled_from([None, *range(index)])) for index in range(count)]
    curves = [(draw(st.floats(60, 200)), draw(st.floats(0.5, 1.2))) for _ in range(count)]
    one_of = st.integers(0, count - 1)
    devices = []
    for _ in range(draw(st.integers(1, 6))):
        supply = draw(st.none() | one_of)
        second = shared or supply is None
        port_of = draw(one_of if supply is None else st.none() | one_of) if second else None
        devices.append(Device(draw(st.floats(5, 60)), supply, port_of, draw(st.booleans())))
    sheds = draw(st.lists(st.tuples(st.floats(0, 60), st.integers(0, len(devices) - 1)), max_size=3))
    both = []
    if shared:
        for _ in range(draw(st.integers(1, 2))):
            one = draw(st.integers(0, count - 2))
            both.append((one, draw(st.integers(one + 1, count - 1)), draw(st.floats(20, 200))))
    return Site(above, curves, devices, sheds, tuple(both))


@given(sites())
@settings(max_examples=60, deadline=None)
def test_ends_are_those_of_a_simulation_in_steps(site: Site) -> None:
    """UPS behind UPS, load shedding, devices at supplies and at ports: everything is known, so both ends are one."""
    built = built_of(site.text())
    course = stepped(site, 0.0)
    for index, end in enumerate(course.upses):
        span = built.blackout.ends[f"u{index}"]
        assert span.low == pytest.approx(span.high, rel=1e-9)
        assert span.low == pytest.approx(end, abs=WITHIN_MIN), (index, span, end)
    for index, end in enumerate(course.devices):
        survival = built.blackout.survival(built.gear[f"d{index}"])
        assert survival.power.low == pytest.approx(end, abs=WITHIN_MIN)
        assert survival.power.high == pytest.approx(end, abs=WITHIN_MIN)


@given(sites(shared=True), st.floats(0, 1))
@settings(max_examples=60, deadline=None)
def test_ends_enclose_every_split_between_two_supplies(site: Site, split: float) -> None:
    """Which of two supplies carries how much is not known, and a load goes over when one ends: between the two ends."""
    built = built_of(site.text())
    course = stepped(site, split)
    for index, end in enumerate(course.upses):
        span = built.blackout.ends[f"u{index}"]
        assert span.low - WITHIN_MIN <= end <= span.high + WITHIN_MIN
    for index, end in enumerate(course.devices):
        power = built.blackout.survival(built.gear[f"d{index}"]).power
        assert power.low - WITHIN_MIN <= end <= power.high + WITHIN_MIN


def test_by_hand_a_ups_behind_a_ups_and_a_shedding() -> None:
    """u0: 100 min at 10 W, t = 1000 / P. 40 W own + 45 W behind u1 at 0.9: it carries 40 + (40 + 5) / 0.9 = 90 W.

    100 / 9 = 11.11 min; then u1 (500 / P) carries 45 W, and after 15 min, when d0 is switched off, 40 W: it has
    spent 3.889 x 45 / 500 = 0.35 of its battery, and (1 - 0.35) x 500 / 40 = 8.125 min are left: 23.125 min.
    """
    site = Site([None, 0], [(100, 1), (50, 1)], [Device(5, 1, None)], [(15, 0)])
    built = built_of(site.text())
    assert built.blackout.ends["u0"].low == pytest.approx(100 / 9)
    assert built.blackout.ends["u1"].low == pytest.approx(23.125)
    assert built.blackout.survival(built.gear["d0"]).power.low == 15
    assert [at for _, at in built.blackout.events] == [
        ("ups", "u0"),
        ("ups", "u0", "sheds", 0),
        ("ups", "u1"),
    ]


def test_by_hand_a_load_that_goes_over_to_the_other_ups() -> None:
    """Both UPSs 1000 / P and 2000 / P min; 40 W each, and a switch of 60 W with a supply on each.

    At the earliest each carries all of it: 100 W, 10 and 20 min. At the latest u0 carries 40 W for 25 min; u1 has
    then spent 25 x 40 / 2000 = 0.5, carries 100 W, and 0.5 x 2000 / 100 = 10 min are left: 35 min.
    """
    built = built_of(Site([None, None], [(100, 1), (200, 1)], [], [], ((0, 1, 60.0),)).text())
    assert tuple(built.blackout.ends["u0"]) == pytest.approx((10, 25))
    assert tuple(built.blackout.ends["u1"]) == pytest.approx((20, 35))
    assert tuple(built.blackout.survival(built.gear["b0"]).power) == pytest.approx((20, 35))


@given(sites(shared=True), st.floats(0, 1))
@settings(max_examples=15, deadline=None)
def test_the_ends_of_a_large_installation_enclose_too(site: Site, split: float) -> None:
    """Where there is too much to reckon anew at each end, the ends are wider and never narrower."""
    course = stepped(site, split)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("riserlint.analysis.blackout._MOST", 0)
        wide = built_of(site.text()).blackout.ends
    narrow = built_of(site.text()).blackout.ends
    for index, end in enumerate(course.upses):
        name = f"u{index}"
        assert wide[name].low - WITHIN_MIN <= end <= wide[name].high + WITHIN_MIN
        assert wide[name].low <= narrow[name].low * (1 + 1e-9)
        assert narrow[name].high <= wide[name].high * (1 + 1e-9)
