"""The sums that a report shows can be done again by hand with the numbers that it shows.

Ohms per metre are written out anew: ASTM B258 diameter (memory), 1/58 ohm mm²/m and 0.00393 per kelvin
(IEC 60028, memory); 0.4 ohm of loop per connection (ISO/IEC 11801:2002, memory).
"""

import math
import re
from pathlib import Path

import pytest

from riserlint import Built, watt_words
from riserlint.design.reading import read_basis, read_design, root_of

FOLDER = Path(__file__).parents[2] / "example_designs"
EXAMPLES = ["campus", "car-park", "clinic", "marina", "museum-a", "museum-b"]
NUMBER = r"([\d.e+]+)"
SUM = re.compile(
    rf"^over (?P<run>\S+): {NUMBER} W(?P<of> [^;]+)?; R = \({NUMBER} Ω in 2 × {NUMBER} m of conductor "
    rf"at ([-\d.]+) °C(?: \+ {NUMBER} × 0\.4 Ω of contacts)?(?: \+ {NUMBER} Ω of what is in the run)?\) / "
    rf"([24]) pairs = {NUMBER} Ω; "
    rf"I = 2 × {NUMBER} W / \({NUMBER} V \+ √\({NUMBER}² V² − 4 × {NUMBER} W × {NUMBER} Ω\)\) = {NUMBER} A; "
    rf"× {NUMBER} V = {NUMBER} W$"
)


def example(name: str) -> Built:
    file = FOLDER / f"{name}.toml"
    design, problems = read_design(file, root_of(file), read_basis(file, root_of(file)))
    assert not problems
    return Built(design)


def ohm_per_m(awg: int, celsius: float, strand: str) -> float:
    area: float = math.pi / 4 * (0.127 * 92 ** ((36 - awg) / 39)) ** 2
    return (1.05 if strand == "stranded" else 1) / 58 / area * (1 + 0.00393 * (celsius - 20))


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_sum_at_a_source_can_be_done_again_with_its_own_numbers(name: str) -> None:
    built = example(name)
    count = of_wire = 0
    for power in built.power.feeds.values():
        text = watt_words.link_sum(built, power)
        if not text:
            assert power.source_w.low in (0.0, math.inf, power.load_w.low) or math.isinf(power.volts.high)
            continue
        found = SUM.match(text)
        if found is None:
            # The part of a run behind an injector has no metres of its own to show.
            assert any(inline.is_injector for inline in power.feed.run.inlines), text
            continue
        count += 1
        load, wire, metres, celsius, contacts, inline, pairs, ohm, *rest = (
            float(group) if group else 0.0
            for index, group in enumerate(found.groups())
            if index not in (0, 2)
        )
        assert (wire + contacts * 0.4 + inline) / pairs == pytest.approx(ohm, rel=1e-3)
        assert rest[:5] == [load, rest[1], rest[1], load, ohm]
        volts, current, source_w = rest[1], rest[5], rest[7]
        again = 2 * load / (volts + math.sqrt(volts**2 - 4 * load * ohm))
        assert again == pytest.approx(current, rel=2e-3, abs=6e-4)
        assert again * volts == pytest.approx(source_w, rel=2e-3, abs=0.011)
        # The ohms of the wire, from its metres, gauges and temperature as shown.
        run = power.feed.run
        assert run.cable is not None
        awg, strand = run.cable.value("conductor_awg").value, run.cable.value("strand").value
        copper = run.cable.value("material").value == "copper"
        cords = [
            (cord.metres.value or 0.0, cord.cable.value("conductor_awg").value)
            for cord in run.cords or ()
            if cord.cable is not None
        ]
        if awg is not None and strand is not None and copper and len(cords) == len(run.cords or ()):
            by_hand = (metres - sum(cord for cord, _ in cords)) * ohm_per_m(awg, celsius, strand)
            by_hand += sum(cord * ohm_per_m(gauge or 0, celsius, "stranded") for cord, gauge in cords)
            assert 2 * by_hand == pytest.approx(wire, rel=2e-3)
            of_wire += 1
    assert count > 5
    assert of_wire > (0 if name == "clinic" else 5)
