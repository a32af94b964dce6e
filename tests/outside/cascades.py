"""Random cascades for the checks by other solvers: the text of a design, and its circuit in plain numbers.

The circuit is written down from the tree itself (diameter rule of the gauge, 1/58 ohm mm²/m, 0.00393 per kelvin,
0.2 ohm a contact), so that another solver shares nothing with ours but the design. Switches that convert hold the
voltage of their ports; those that pass power through do not.
"""

import math
import tempfile
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Literal, NamedTuple

from hypothesis import strategies as st

from riserlint import Built
from riserlint.design.reading import read_basis, read_design

Kind = Literal["device", "converts", "passes"]

#: Gauge, and 1 for solid copper or 1.6 for copper-clad aluminium (common practice).
WIRES = [(22, 1.0), (23, 1.0), (24, 1.0), (26, 1.0), (24, 1.6)]
CELSIUS = [-10.0, 20.0, 35.0, 60.0]


class Node:
    """A device or a switch with the run that feeds it; what hangs on it, in the order of its ports."""

    def __init__(
        self,
        kind: Kind,
        watts: float,
        metres: float,
        *,
        contacts: int = 0,
        wire: int = 1,
        place: int = 1,
        pairs: Literal[2, 4] = 4,
        efficiency: float = 1.0,
        drop_v: float = 0.0,
        port_v: float = 52.0,
        below: "list[Node] | None" = None,
    ) -> None:
        self.kind: Kind = kind if below else "device"
        self.watts, self.metres, self.contacts, self.pairs = watts, metres, contacts, pairs
        self.wire, self.place = wire, place
        self.efficiency = efficiency if self.kind == "converts" else 1.0
        self.drop_v = drop_v if self.kind == "passes" else 0.0
        self.port_v = port_v
        self.below = below or []
        self.name = ""

    def __repr__(self) -> str:
        return f"Node({vars(self)})"  # what hypothesis shows

    def all(self) -> "Iterator[Node]":
        """This node and all that hangs on it, each after the one that feeds it."""
        yield self
        for child in self.below:
            yield from child.all()

    @property
    def ohm(self) -> float:
        """Out and back over the powered pairs."""
        awg, factor = WIRES[self.wire]
        area_mm2: float = math.pi / 4 * (0.127 * 92 ** ((36 - awg) / 39)) ** 2
        per_m = factor / 58 / area_mm2 * (1 + 0.00393 * (CELSIUS[self.place] - 20))
        return (2 * self.metres * per_m + 2 * 0.2 * self.contacts) / self.pairs


class Cascade(NamedTuple):
    """A source of one voltage, and what hangs on its ports."""

    volts: float
    roots: list[Node]

    def all(self) -> list[Node]:
        """All nodes, each after the one that feeds it."""
        return [node for root in self.roots for node in root.all()]


def named(roots: list[Node]) -> list[Node]:
    """Give every node a name."""
    for number, node in enumerate((node for root in roots for node in root.all()), 1):
        node.name = f"n{number}"
    return roots


def text_of(cascade: Cascade) -> str:
    """The design file of a cascade."""
    spaces = "".join(f"s{place} = {{ max_c = {celsius!r} }}\n" for place, celsius in enumerate(CELSIUS))
    cables = "".join(
        f'c{wire} = {{ category = "6", conductor_awg = {awg}, strand = "solid", '
        f'material = "{"copper" if factor == 1 else "copper-clad-aluminium"}" }}\n'
        for wire, (awg, factor) in enumerate(WIRES)
    )
    pse = 'pse = {{ type = 4, budget_w = "none", reserves = "measured", min_v = {volts!r} }}'
    ports = "ports = {{ 1-{count} = {{ pse_class = 8 }} }}"
    switches = [
        f"root = {{ {pse.format(volts=cascade.volts)}, {ports.format(count=max(1, len(cascade.roots)))} }}\n"
    ]
    devices: list[str] = []
    runs: list[str] = []

    def write(above: str, port: int, node: Node) -> None:
        pd_class = 8 if node.pairs == 4 else 4
        if node.below:
            how = f"passes_through = false, efficiency = {node.efficiency!r}"
            if node.kind == "passes":
                how = "passes_through = true" + (f", drop_v = {node.drop_v!r}" if node.drop_v else "")
            switches.append(
                f'{node.name} = {{ inlet = {{ port = "up", pd_class = {pd_class}, own_w = {node.watts!r}, {how} }}, '
                f"{pse.format(volts=node.port_v)}, {ports.format(count=len(node.below))} }}\n"
            )
        else:
            devices.append(
                f"{node.name} = {{ pd = {{ pd_class = {pd_class} }}, draw_w = {{ day = {node.watts!r} }} }}\n"
            )
        runs.append(
            f'{node.name} = {{ from = "{above}/{port}", to = "{node.name}", cable = "c{node.wire}", '
            f'link_m = {node.metres!r}, cords_m = [], connections = {node.contacts}, space = "s{node.place}", '
            f'bundle = "none" }}\n'
        )
        for number, child in enumerate(node.below, 1):
            write(node.name, number, child)

    for number, root in enumerate(cascade.roots, 1):
        write("root", number, root)
    parts = ("[switch]\n", *switches, "[device]\n", *devices, "[run]\n", *runs)
    head = '[design]\ntitle = "cascade"\norigin = "stated"\n'
    return f"{head}[space]\n{spaces}[cable]\n{cables}{''.join(parts)}"


def built(text: str) -> Built:
    """The installation of a design given as text, which has no problem."""
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


# -- random trees -----------------------------------------------------------------------------------------


def metres(most: float) -> st.SearchStrategy[float]:
    """Lengths to the centimetre."""
    return st.integers(100, int(100 * most)).map(lambda value: value / 100)


def cascades(*kinds: Kind) -> st.SearchStrategy[Cascade]:
    """Small cascades whose switches are of the kinds named, up to four of them in a row."""
    common = {
        "contacts": st.integers(0, 4),
        "wire": st.integers(0, len(WIRES) - 1),
        "place": st.integers(0, len(CELSIUS) - 1),
    }
    device = st.builds(
        Node,
        st.just("device"),
        st.floats(0, 25),
        metres=metres(90),
        pairs=st.sampled_from([2, 4, 4]),
        **common,
    )

    def switch(children: st.SearchStrategy[Node]) -> st.SearchStrategy[Node]:
        return st.builds(
            Node,
            st.sampled_from(kinds),
            st.floats(0, 9),
            metres=metres(45),
            pairs=st.sampled_from([2, 4, 4]),
            efficiency=st.floats(0.7, 1),
            drop_v=st.sampled_from([0.0, 0.0, 0.7, 1.4]),
            port_v=st.sampled_from([50.0, 52.0, 54.0]),
            below=st.lists(children, min_size=1, max_size=3),
            **common,
        )

    below = device
    for _ in range(3):
        below = st.one_of(device, switch(below))
    roots = st.lists(switch(below), min_size=1, max_size=3).map(named)
    return st.builds(Cascade, st.sampled_from([50.0, 52.0, 54.0]), roots)


def large(seed: int, links: int, kinds: tuple[Kind, ...]) -> Cascade:
    """A cascade of at least so many links, four switches deep, the loads small enough that most of it works."""
    random = Random(seed)

    def node(levels: int) -> Node:
        switch = levels > 0 and random.random() < 0.6
        below = [node(levels - 1) for _ in range(random.randint(1, 4))] if switch else None
        return Node(
            random.choice(kinds),
            round(random.uniform(1, 4 if below else 7), 3),
            round(random.uniform(2, 30 if below else 80), 2),
            contacts=random.randint(0, 3),
            wire=random.randrange(4 if below else len(WIRES)),
            place=random.randrange(len(CELSIUS)),
            pairs=4 if below else random.choice((2, 4)),
            efficiency=round(random.uniform(0.8, 0.97), 3),
            drop_v=random.choice((0.0, 0.0, 0.4)),
            port_v=random.choice((50.0, 52.0, 54.0)),
            below=below,
        )

    roots: list[Node] = []
    while sum(1 for root in roots for _ in root.all()) < links:
        roots.append(node(4))
    return Cascade(54.0, named(roots))
