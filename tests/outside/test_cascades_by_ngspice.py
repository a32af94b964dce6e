"""Cascades against a circuit simulator: the same design as a netlist for ngspice, its operating point to 1e-6.

A source of voltage a port, a resistor a run, and in each load's place a current sink of I = P / V. The skip says
why where ngspice is absent; it is in Debian's archive (``apt-get install ngspice``).
"""

import re
import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outside.cascades import Cascade, Kind, Node, built, cascades, large, named, text_of

NGSPICE = shutil.which("ngspice")
pytestmark = pytest.mark.skipif(
    NGSPICE is None, reason="ngspice is not on the PATH (Debian: apt-get install ngspice)"
)

#: An IEEE 802.3 device is off at 30 V or less (IEEE Std 802.3-2022, off voltage of a powered device, memory).
OFF_V = 30.0
#: The simulator's own tolerances leave about 1e-9; near the limit of a run they are as sensitive as it is.
TOLERANCE = 1e-6


def netlist(cascade: Cascade) -> str:
    """The circuit: V… are ports (of 0 V where they only measure a current), R… runs, B… loads."""
    lines = [
        "* a cascade",
        ".options reltol=1e-10 abstol=1e-13 vntol=1e-11 gmin=1e-18 itl1=200",
        f"Vsource port_root 0 {cascade.volts!r}",
    ]

    def write(node: Node, port: str, highest_v: float) -> None:
        name = node.name
        lines.append(f"Vrun_{name} {port} upper_{name} 0")
        lines.append(f"Rrun_{name} upper_{name} {name} {node.ohm!r}")
        lines.append(f".nodeset v({name})={highest_v!r}")
        amperes = "+".join(f"i(Vrun_{child.name})" for child in node.below)
        if node.kind == "converts":
            watts = f"{node.watts!r}+{node.port_v!r}*({amperes})/{node.efficiency!r}"
            lines.append(f"Vport_{name} port_{name} 0 {node.port_v!r}")
            highest_v = node.port_v
        else:
            watts = f"{node.watts!r}"
            if node.below:
                lines.append(f"Vport_{name} {name} port_{name} {node.drop_v!r}")
                highest_v -= node.drop_v
        lines.append(f"B{name} {name} 0 I=({watts})/V({name})")
        for child in node.below:
            write(child, f"port_{name}", highest_v)

    for root in cascade.roots:
        write(root, "port_root", cascade.volts)
    printed = [f"print v({node.name}) v(upper_{node.name}) i(Vrun_{node.name})" for node in cascade.all()]
    return "\n".join([*lines, ".control", "set numdgt=15", "op", *printed, "quit", ".endc", ".end", ""])


def by_ngspice(cascade: Cascade) -> dict[str, tuple[float, float, float]]:
    """Volts at the load and at the upper end, and amperes, by run; nothing where there is no operating point."""
    assert NGSPICE is not None
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "cascade.cir"
        file.write_text(netlist(cascade), encoding="ascii")
        done = subprocess.run(
            [NGSPICE, "-b", file.name], cwd=folder, capture_output=True, text=True, timeout=60, check=False
        )
    values = dict(re.findall(r"^(\S+) = (\S+)$", done.stdout, re.MULTILINE))
    names = [node.name for node in cascade.all()]
    if f"v({names[0]})" not in values:
        assert "failed" in done.stdout + done.stderr or "converge" in done.stdout + done.stderr, done
        return {}
    return {
        name: (
            float(values[f"v({name})"]),
            float(values[f"v(upper_{name})"]),
            float(values[f"i(vrun_{name})"]),
        )
        for name in names
    }


def compare(cascade: Cascade) -> bool:
    """Hold our solution against the simulator's; return whether there is one."""
    power, found = built(text_of(cascade)).power, by_ngspice(cascade)
    states = {name: feed.worst for name, feed in power.feeds.items()}
    if any(state is None for state in states.values()):
        assert not found or min(volts for volts, _, _ in found.values()) <= OFF_V
        return False
    assert set(found) == set(states), "ngspice finds no operating point"
    for node in cascade.all():
        state = states[node.name]
        assert state is not None
        ours = (state.device_v, state.volts, state.current_a)
        assert ours == pytest.approx(found[node.name], rel=TOLERANCE, abs=1e-9), node
    given_w = sum(cascade.volts * found[root.name][2] for root in cascade.roots)
    assert power.sources["root"].source_w.high == pytest.approx(given_w, rel=TOLERANCE, abs=1e-9)
    return True


def test_the_simulator_knows_the_limit_of_type_2() -> None:
    """50 V, 12.5 ohm, 25.5 W: 42.5 V and 0.6 A (a maker's note that restates IEEE Std 802.3)."""
    node = Node("device", 25.5, 1.0)
    node.metres = 12.5 / node.ohm
    cascade = Cascade(50.0, named([node]))
    assert by_ngspice(cascade)["n1"] == pytest.approx((42.5, 50.0, 0.6), rel=1e-9)
    node.watts = 51.0  # the most that the run carries is 50 W
    assert by_ngspice(cascade) == {}


@pytest.mark.parametrize("kinds", [("converts",), ("passes",), ("converts", "passes")], ids=" and ".join)
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_cascades(kinds: tuple[Kind, ...], data: st.DataObject) -> None:
    cascade = data.draw(cascades(*kinds))
    for node in cascade.all():
        node.watts = max(
            node.watts, 0.01
        )  # a load of nothing is 0 / V, at which the simulator may stray to 0 V
    compare(cascade)


@pytest.mark.parametrize("kinds", [("converts",), ("passes",), ("converts", "passes")], ids=" and ".join)
def test_a_cascade_of_150_links(kinds: tuple[Kind, ...]) -> None:
    assert compare(large(9, 150, kinds))
