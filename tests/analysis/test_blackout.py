"""Until when gear is useful, against a plain walk at each minute of an outage."""

import tempfile
from datetime import date
from pathlib import Path
from typing import NamedTuple

from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.analysis.built import Built
from riserlint.design.reading import read_basis, read_design


class Site(NamedTuple):
    """Switches, each on a UPS of so many minutes; links between them; gear at a switch: cameras and recorders."""

    minutes: list[int]
    links: list[tuple[int, int]]
    cameras: list[int]
    recorders: list[int]
    sheds: list[tuple[int, str]]

    def text(self) -> str:
        lines = ['[design]\ntitle = "random"', "[space]\nroom = { max_c = 25, mean_c = 25 }", "[ups]"]
        for index, minutes in enumerate(self.minutes):
            sheds = ", ".join(
                f'{{ after_min = {after}, gear = ["{name}"] }}' for after, name in self.sheds if index == 0
            )
            # The same minutes at any load, or a hair less: what is shed changes nothing.
            lines.append(
                f'u{index} = {{ from = "mains", space = "room", chemistry = "lithium", tested_capacity = 1.0, '
                f"sheds = [{sheds}], runtime = [{{ w = 1, min = {minutes} }}, {{ w = 9999, min = {minutes} }}] }}"
            )
        lines.append("[role]\ncamera = { needs = ['recorder'] }\nrecorder = {}\n[switch]")
        lines += [f's{i} = {{ from = "u{i}", ac = {{ own_w = 20 }} }}' for i in range(len(self.minutes))]
        lines.append("[device]")
        for kind, places in (("camera", self.cameras), ("recorder", self.recorders)):
            lines += [
                f'{kind}-{i} = {{ from = "u{place}", role = "{kind}", draw_w = {{ day = 5 }} }}'
                for i, place in enumerate(places)
            ]
        lines.append("[run]")
        lines += [f'l{i} = {{ from = "s{a}/l{i}", to = "s{b}/l{i}" }}' for i, (a, b) in enumerate(self.links)]
        for kind, places in (("camera", self.cameras), ("recorder", self.recorders)):
            lines += [
                f'{kind}{i} = {{ from = "s{place}/{kind}{i}", to = "{kind}-{i}" }}'
                for i, place in enumerate(places)
            ]
        return "\n".join(lines) + "\n"

    def useful(self, camera: int, now: float) -> bool:
        """Walk from a camera to any recorder over what has power now."""

        def on(name: str, ups: int) -> bool:
            return now < self.minutes[ups] and all(
                name != other or now < after for after, other in self.sheds
            )

        place = self.cameras[camera]
        if not on(f"camera-{camera}", place):
            return False
        reached = {place} if on(f"s{place}", place) else set()
        for _ in self.minutes:
            for first, last in self.links:
                for here, there in ((first, last), (last, first)):
                    if here in reached and on(f"s{there}", there):
                        reached.add(there)
        return any(at in reached and on(f"recorder-{i}", at) for i, at in enumerate(self.recorders))


@st.composite
def sites(draw: st.DrawFn) -> Site:
    minutes = draw(st.lists(st.integers(1, 30), min_size=1, max_size=5))
    place = st.integers(0, len(minutes) - 1)
    links = draw(st.lists(st.tuples(place, place).filter(lambda pair: pair[0] != pair[1]), max_size=6))
    cameras = draw(st.lists(place, min_size=1, max_size=3))
    recorders = draw(st.lists(place, min_size=1, max_size=3))
    names = [f"s{i}" for i in range(len(minutes))] + [f"camera-{i}" for i in range(len(cameras))]
    names += [f"recorder-{i}" for i in range(len(recorders))]
    sheds = draw(st.lists(st.tuples(st.integers(0, 30), st.sampled_from(names)), max_size=3))
    return Site(minutes, links, cameras, recorders, sheds)


def built_of(text: str) -> Built:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder).resolve()
        file = root / "design.toml"
        file.write_text(text, encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
    built = Built(design, date(2026, 11, 25))
    assert [problem.message for problem in (*problems, *built.problems)] == []
    return built


@given(sites())
@settings(max_examples=150, deadline=None)
def test_gear_is_useful_until_the_minute_that_a_walk_at_each_minute_finds(site: Site) -> None:
    built = built_of(site.text())
    for index in range(len(site.cameras)):
        survival = built.blackout.survival(built.gear[f"camera-{index}"])
        naive = next(minute for minute in range(40) if not site.useful(index, minute))
        assert (round(survival.useful.low, 6), round(survival.useful.high, 6)) == (naive, naive)


def test_what_is_not_known_lies_between_both_ends() -> None:
    """A run of the recorder that leads nobody knows where may lead to the camera's switch, or not."""
    site = Site([20, 10], [], [0], [1], [])
    text = (
        site.text().replace('to = "recorder-0"', 'to = "unknown"').replace('"s1/recorder0"', '"recorder-0/1"')
    )
    text = text.replace("[run]", '[run]\nloose = { from = "s0/9", to = "unknown" }')
    survival = built_of(text).blackout.survival(built_of(text).gear["camera-0"])
    assert tuple(survival.power) == (20, 20)
    assert tuple(survival.useful) == (0, 10)
