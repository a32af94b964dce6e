"""A run that is longer, hotter, thinner, or a load that draws more never betters a margin anywhere.

Designs with bundles, changed in their text and built anew: a run is longer, a space hotter, a cable thinner, a
cable that lay dark in its bundle carries power, a device or a switch draws more, all on the same pairs. After it no
device has more volts, no run loses less, no source or inlet is asked for less, no bundle's centre is cooler or rises
less, and no conductor has more left of its ampacity. It is physics, not our numbers: worked out in no other way.

Not part of it, because it is not so: dark cables put into a bundle widen its surface and can cool it; a class that
changes from two pairs to four can raise the voltage; and in a hotter space the centre gets hotter, but its *rise*
over the space can fall, as warm air sheds heat better (radiation by the third power of the temperature).
"""

import math
from typing import Literal, NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outside.cascades import built
from riserlint import Built
from riserlint.analysis.currents import nominal_supply
from riserlint.analysis.power import Ground
from riserlint.analysis.settled import Settled
from riserlint.engineering.ampacity import AmpacityTable, ambient_correction, ampacity_a

Change = Literal["longer", "hotter", "thinner", "powered", "hungrier device", "hungrier switch"]

GAUGES = (22, 23, 24, 26)
#: Temperature and way of each bundle's pathway; the last place is no bundle.
WAYS = ("open-tray", "closed-conduit", "free-air")
#: Invented for the test, of the shape of the code's: falls with the bundle and the gauge, root of the rise by rating.
TABLE = AmpacityTable(
    "invented",
    (1, 7, 19, 61, 192),
    {
        (awg, rated): tuple(
            round(base * share * math.sqrt((rated - 30) / 30), 2) for share in (2.0, 1.2, 0.9, 0.6, 0.5)
        )
        for awg, base in zip(GAUGES, (1.2, 1.1, 1.0, 0.8))
        for rated in (60, 75)
    },
)


class Leg(NamedTuple):
    """A run to a device, or to a switch with legs below; lies in two stretches, each in a space and its bundle."""

    watts: float
    metres: tuple[float, float]
    spaces: tuple[int, int]
    cable: int
    pairs: int
    passes: bool = False
    below: tuple["Leg", ...] = ()
    live: bool = True


class Plant(NamedTuple):
    """A design: two kinds of cable, three spaces with a bundle each, and what hangs on the main switch."""

    legs: tuple[Leg, ...]
    celsius: tuple[float, ...]
    ways: tuple[str, ...]
    gauges: tuple[int, ...]
    others: int

    def text(self) -> str:
        spaces = "".join(
            f"s{place} = {{ max_c = {celsius!r} }}\n" for place, celsius in enumerate(self.celsius)
        )
        cables = "".join(
            f'c{kind} = {{ category = "6", conductor_awg = {awg}, material = "copper", strand = "solid", '
            f"outer_mm = 6.0, rated_c = {(60, 75)[kind]} }}\n"
            for kind, awg in enumerate(self.gauges)
        )
        pathways = "".join(
            f'p{place} = {{ kind = "{way}", space = "s{place}" }}\n' for place, way in enumerate(self.ways)
        )
        bundles = "".join(
            f'b{place} = {{ pathway = "p{place}", others = {self.others}, others_powered = false }}\n'
            for place in range(len(self.ways))
        )
        pse = 'pse = { type = 4, min_v = 52, budget_w = 2000, reserves = "measured" }'
        switches: list[str] = []
        devices: list[str] = []
        runs: list[str] = []

        def ports(legs: tuple[Leg, ...]) -> str:
            listed = (
                f"{port} = {{ pse_class = {8 if leg.live else chr(34) + 'none' + chr(34)} }}"
                for port, leg in enumerate(legs, 1)
            )
            return f"ports = {{ {', '.join(listed)} }}"

        def write(name: str, leg: Leg, end: str) -> None:
            pd_class = 8 if leg.pairs == 4 else 4
            if leg.below:
                way = "true" if leg.passes else "false, efficiency = 0.9"
                switches.append(
                    f'{name} = {{ inlet = {{ port = "up", pd_class = {pd_class}, own_w = {leg.watts!r}, '
                    f"passes_through = {way} }}, {pse}, {ports(leg.below)} }}\n"
                )
            else:
                devices.append(
                    f"{name} = {{ pd = {{ pd_class = {pd_class} }}, draw_w = {{ day = {leg.watts!r} }} }}\n"
                )
            route = ", ".join(
                f'{{ space = "s{place}", m = {length!r}, bundle = "b{place}" }}'
                for place, length in zip(leg.spaces, leg.metres)
            )
            runs.append(
                f'{name} = {{ from = "{end}", to = "{name}", cable = "c{leg.cable}", connections = 2, cords_m = [], '
                f"link_m = {sum(leg.metres)!r}, route = [{route}] }}\n"
            )
            for port, lower in enumerate(leg.below, 1):
                write(f"{name}-{port}", lower, f"{name}/{port}")

        switches.append(f"main = {{ {pse}, {ports(self.legs)} }}\n")
        for port, leg in enumerate(self.legs, 1):
            write(f"n{port}", leg, f"main/{port}")
        tables = {
            "space": spaces,
            "cable": cables,
            "pathway": pathways,
            "bundle": bundles,
            "switch": "".join(switches),
            "device": "".join(devices),
            "run": "".join(runs),
        }
        head = '[design]\ntitle = "plant"\norigin = "stated"\nregion = "north-america"\n'
        return head + "".join(f"[{name}]\n{lines}" for name, lines in tables.items() if lines)


def margins(found: Built, change: Change) -> dict[tuple[str, ...], float]:
    """Every margin of a design, the greater the better; without an operating point or a bound, the worst."""
    # A review ends its rounds of heat and current within 0.05 K of the fixed point; the property is that point's.
    settled = Settled(found, Ground(found.metres), enough_k=1e-9)
    margin: dict[tuple[str, ...], float] = {}
    for name, feed in settled.power.feeds.items():
        for end, state in (("best", feed.best), ("worst", feed.worst)):
            margin["volts", name, end] = -math.inf if state is None else state.device_v
            margin["loss", name, end] = -math.inf if state is None else -state.loss_w
            share = math.inf if state is None else state.loss_w / state.source_w if state.source_w else 0.0
            margin["loss share", name, end] = -share
    for name, inlet in settled.power.inlets.items():
        margin["inlet", name] = inlet.available_w.low - inlet.asked_draw_w.high
    for name, source in settled.power.sources.items():
        margin["budget", name, "best"] = -source.enforced_w.low
        margin["budget", name, "worst"] = -source.enforced_w.high
    for name, heat in settled.heat.bundles.items():
        margin["centre", name, "best"] = -heat.celsius.low
        margin["centre", name, "worst"] = -heat.celsius.high
        margin["rating", name] = heat.rated_c.low - heat.celsius.high
        if change != "hotter":
            margin["rise", name, "best"] = -heat.rise_k.low
            margin["rise", name, "worst"] = -heat.rise_k.high
        for run in heat.live:
            assert run.cable is not None
            awg, rated_c = run.cable.value("conductor_awg").value, run.cable.value("rated_c").value
            cell_a = ampacity_a(TABLE, int(awg or 0), int(rated_c or 0), int(heat.cables.high))
            assert cell_a is not None
            most_a = cell_a * ambient_correction(int(rated_c or 0), max(30.0, heat.ambient_c.high))
            nominal_a = nominal_supply(settled.power.feeds[run.id]).conductor_a.high
            margin["ampacity", name, run.id] = most_a - nominal_a
    return margin


# -- plants and their changes -----------------------------------------------------------------------------


def legs(levels: int) -> st.SearchStrategy[Leg]:
    lengths = st.tuples(st.integers(1, 40), st.integers(1, 40)).map(
        lambda pair: (pair[0] / 1.0, pair[1] / 1.0)
    )
    places = st.tuples(st.integers(0, 2), st.integers(0, 2))
    kind, pairs = st.integers(0, 1), st.sampled_from([2, 4, 4])
    device = st.builds(
        Leg, st.floats(0.5, 20), lengths, places, kind, pairs, st.just(False), st.just(()), live=st.just(True)
    )
    if not levels:
        return device
    below = st.lists(legs(levels - 1), min_size=1, max_size=3).map(tuple)
    switch = st.builds(
        Leg,
        st.floats(0.5, 8),
        lengths,
        places,
        kind,
        st.just(4),
        st.booleans(),
        below,
        live=st.just(True),
    )
    return st.one_of(device, switch)


PLANTS = st.builds(
    Plant,
    st.lists(legs(2), min_size=2, max_size=5).map(tuple),
    st.tuples(*[st.integers(10, 50).map(float)] * 3),
    st.tuples(*[st.sampled_from(WAYS)] * 3),
    st.tuples(*[st.sampled_from(GAUGES[:-1])] * 2),
    st.sampled_from([0, 0, 5, 40]),
)


def places_of(found: tuple[Leg, ...], *, switches: bool, devices: bool) -> list[tuple[int, ...]]:
    """Where the legs are, each by its position at every level."""
    here: list[tuple[int, ...]] = []
    for place, leg in enumerate(found):
        if switches if leg.below else devices:
            here.append((place,))
        here += [(place, *more) for more in places_of(leg.below, switches=switches, devices=devices)]
    return here


def changed(found: tuple[Leg, ...], place: tuple[int, ...], **values: object) -> tuple[Leg, ...]:
    """The legs with some values of one of them replaced."""
    first, *rest = place
    leg = found[first]
    new = {"below": changed(leg.below, tuple(rest), **values)} if rest else values
    leg = leg._replace(**new)
    return (*found[:first], leg, *found[first + 1 :])


def leg_at(found: tuple[Leg, ...], place: tuple[int, ...]) -> Leg:
    first, *rest = place
    return leg_at(found[first].below, tuple(rest)) if rest else found[first]


def before_and_after(plant: Plant, change: Change, data: st.DataObject) -> tuple[Plant, Plant]:
    """A plant and the same made worse in one way."""
    if change == "hotter":
        kelvin = data.draw(st.floats(0.1, 30))
        space = data.draw(st.integers(0, 2))
        celsius = (*plant.celsius[:space], plant.celsius[space] + kelvin, *plant.celsius[space + 1 :])
        return plant, plant._replace(celsius=celsius)
    if change == "thinner":
        kind = data.draw(st.integers(0, 1))
        gauge = data.draw(st.sampled_from([awg for awg in GAUGES if awg > plant.gauges[kind]]))
        return plant, plant._replace(gauges=(*plant.gauges[:kind], gauge, *plant.gauges[kind + 1 :]))
    switches = change in {
        "longer",
        "hungrier switch",
    }  # a switch without power would ask for nothing more below
    devices = change != "hungrier switch"
    where = places_of(plant.legs, switches=switches, devices=devices)
    if not where:  # no switch to ask more for
        where = places_of(plant.legs, switches=True, devices=True)
    place = data.draw(st.sampled_from(where))
    leg = leg_at(plant.legs, place)
    if change == "longer":
        metres = (leg.metres[0] + data.draw(st.floats(0.1, 60)), leg.metres[1])
        return plant, plant._replace(legs=changed(plant.legs, place, metres=metres))
    if change == "powered":
        return plant._replace(legs=changed(plant.legs, place, live=False)), plant
    watts = leg.watts + data.draw(st.floats(0.01, 20))
    return plant, plant._replace(legs=changed(plant.legs, place, watts=watts))


@pytest.mark.parametrize(
    "change", ["longer", "hotter", "thinner", "powered", "hungrier device", "hungrier switch"]
)
@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plant=PLANTS, data=st.data())
def test_worse_is_never_better(change: Change, plant: Plant, data: st.DataObject) -> None:
    good, bad = before_and_after(plant, change, data)
    before, after = margins(built(good.text()), change), margins(built(bad.text()), change)
    for name, margin in before.items():
        # heat and current are settled to 1e-9 K; what hangs on it is rounded by no more than 1e-7
        assert after[name] <= margin or after[name] == pytest.approx(margin, rel=1e-7, abs=1e-7), name
    assert set(after) >= set(before)


@pytest.mark.parametrize("change", ["longer", "hotter", "thinner", "powered", "hungrier device"])
def test_each_change_is_felt(change: Change) -> None:
    """The property does not hold idly: a run of the bundle gets worse by what its neighbour does."""
    leg = Leg(15.0, (30.0, 30.0), (0, 0), 0, 2)
    worse = {
        "longer": leg._replace(metres=(60.0, 30.0)),
        "powered": leg,
        "hungrier device": leg._replace(watts=25.0),
    }
    other = leg._replace(live=False) if change == "powered" else leg
    plant = Plant((leg, other), (30.0, 30.0, 30.0), ("open-tray",) * 3, (23, 23), 0)
    bad = plant._replace(legs=(leg, worse.get(change, leg)))
    if change == "hotter":
        bad = bad._replace(celsius=(40.0, 30.0, 30.0))
    if change == "thinner":
        bad = bad._replace(gauges=(24, 23))
    before, after = margins(built(plant.text()), change), margins(built(bad.text()), change)
    for name in (
        ("volts", "n1", "worst"),
        ("loss", "n1", "worst"),
        ("budget", "main", "worst"),
        ("centre", "b0", "worst"),
    ):
        assert after[name] < before[name] - 1e-7, name
