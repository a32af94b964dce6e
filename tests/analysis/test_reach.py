"""Reach against an independent expansion of ports times VLANs, searched by networkx, and cases done by hand."""

import itertools
from pathlib import Path
from typing import NamedTuple

import networkx  # type: ignore[import-untyped]
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.analysis.built import Built
from riserlint.analysis.reach import Reach
from riserlint.analysis.vlan_spread import VlanSpread
from riserlint.design.basis import BasisFile
from riserlint.design.reading import Basis, read_design

VLANS = ("a", "b", "c")
#: A VLAN that no design here names: an unknown port may be in it.
OTHER = "other"


class Ends(NamedTuple):
    """VLANs of a port as a test writes them; None leaves the key out."""

    untagged: str | None
    tagged: frozenset[str] | None


class Network(NamedTuple):
    """A network as a test writes it: switches that know VLANs or not, devices, links, and the ports of both.

    ``entries`` is by (gear, port); a port of a managed switch that is not in it is not listed.
    """

    managed: frozenset[str]
    hubs: frozenset[str]
    devices: tuple[str, ...]
    links: tuple[tuple[str, str, str, str], ...]
    entries: dict[tuple[str, str], Ends]
    ssids: dict[str, str]
    gateways: dict[str, str]
    policy: dict[str, str]


def design_text(network: Network) -> str:
    """Return the design file of a network."""
    lines = ["[design]", 'title = "generated"', "[switch]"]
    lines += [f'{name} = {{ vlans = "802.1Q" }}' for name in sorted(network.managed)]
    lines += [f'{name} = {{ vlans = "none" }}' for name in sorted(network.hubs)]
    lines += ["[device]", *(f'{name} = {{ role = "{name}", joins = "none" }}' for name in network.devices)]
    lines += ["[role]", *(f"{name} = {{}}" for name in (*network.devices, "clients"))]
    lines += ["[vlan]"]
    lines += [
        f'{vlan} = {{ vid = {10 + index}, gateway = "{network.gateways.get(vlan, "none")}" }}'
        for index, vlan in enumerate(VLANS)
    ]
    lines += [
        "[gateway]",
        *(f'{name} = {{ default = "{policy}" }}' for name, policy in network.policy.items()),
    ]
    lines += ["[run]"]
    for index, (one, port, two, other) in enumerate(network.links):
        ends = [f"{gear}/{name}" for gear, name in ((one, port), (two, other))]
        lines.append(f'R-{index} = {{ from = "{ends[0]}", to = "{ends[1]}" }}')
    for gear in sorted({gear for gear, _ in network.entries}):
        lines.append(f"[port.{gear}]")
        for (owner, port), ends_of in network.entries.items():
            if owner == gear:
                keys = []
                if ends_of.untagged is not None:
                    keys.append(f'untagged = "{ends_of.untagged}"')
                if ends_of.tagged is not None:
                    keys.append(f"tagged = {sorted(ends_of.tagged)}".replace("'", '"'))
                lines.append(f"{port} = {{ {', '.join(keys)} }}")
    if network.ssids:
        lines += ["[ssid]"]
        lines += [
            f'w-{name} = {{ vlan = "{vlan}", role = "clients", at = ["{name}"] }}'
            for name, vlan in network.ssids.items()
        ]
    return "\n".join(lines) + "\n"


def reach_of(text: str, folder: Path) -> Reach:
    """Return the reach of a design given as text."""
    file = folder / "design.toml"
    file.write_text(text, encoding="utf-8")
    design, problems = read_design(file, folder, Basis(BasisFile.model_construct(), None))
    built = Built(design)
    assert [(problem.message, problem.path) for problem in (*problems, *built.problems)] == []
    return built.reach


# -- the independent computation ----------------------------------------------------------------------------


def expanded(network: Network) -> "networkx.DiGraph[tuple[str, ...]]":
    """Return every (gear, port, form or VLAN) as a node, and every frame that one of them hands to another."""
    graph: networkx.DiGraph[tuple[str, ...]] = networkx.DiGraph()
    ports: dict[str, list[str]] = {}
    for one, port, two, other in network.links:
        ports.setdefault(one, []).append(port)
        ports.setdefault(two, []).append(other)
    forms = ("", *VLANS, OTHER)

    def inner(gear: str, port: str) -> dict[str, str]:
        """Return by VLAN inside a port the form of frame that it sends."""
        if gear in network.hubs:
            return {form: form for form in forms}
        entry = network.entries.get((gear, port))
        if entry is None:
            return {"": ""}
        sent = {vlan: vlan for vlan in entry.tagged or ()}
        if entry.untagged not in {None, "none"}:
            sent[str(entry.untagged)] = ""
        return sent

    def taken(gear: str, port: str, form: str) -> str | None:
        """Return the VLAN into which a port takes a form of frame, None where it drops it."""
        if gear in network.hubs:
            return form
        entry = network.entries.get((gear, port))
        if entry is None:
            return "" if form == "" else None
        if form == "":
            return None if entry.untagged in {None, "none"} else entry.untagged
        return form if form in (entry.tagged or ()) or form == entry.untagged else None

    for gear, names in ports.items():
        for port in names:
            graph.add_nodes_from((gear, port, vlan) for vlan in inner(gear, port))
        if gear in network.managed or gear in network.hubs:
            for port, other in itertools.permutations(names, 2):
                for vlan in inner(gear, port).keys() & inner(gear, other).keys():
                    graph.add_edge((gear, port, vlan), (gear, other, vlan))
    for one, port, two, other in network.links:
        for here, out, there, into in ((one, port, two, other), (two, other, one, port)):
            for vlan, form in inner(here, out).items():
                arrives = taken(there, into, form)
                if arrives is not None:
                    graph.add_edge((here, out, vlan), (there, into, arrives))
    for vlan, gear in network.gateways.items():
        if network.policy.get(gear) == "permit":
            for port in ports.get(gear, ()):
                if vlan in inner(gear, port):
                    graph.add_edge((gear, port, vlan), ("router", gear))
                    graph.add_edge(("router", gear), (gear, port, vlan))
    return graph


def nodes_of(network: Network, label: str) -> list[tuple[str, ...]]:
    """Return the nodes in which an endpoint sends and hears."""
    device = label.rsplit(" at ", maxsplit=1)[-1]
    entry = network.entries.get((device, "eth"))
    if entry is None:
        return [(device, "eth", "")]
    member = set(entry.tagged or ())
    if entry.untagged not in {None, "none"}:
        member.add(str(entry.untagged))
    wireless = network.ssids.get(device)
    if label.startswith("clients"):
        return [(device, "eth", wireless)] if wireless is not None and wireless in member else []
    own = {vlan for vlan in member if vlan != wireless or vlan == entry.untagged}
    return [(device, "eth", vlan) for vlan in own]


def all_pairs(network: Network, labels: list[str]) -> dict[tuple[str, str], bool]:
    """Return for each ordered pair of endpoints whether frames of the first get to the second."""
    graph = expanded(network)
    found: dict[tuple[str, str], bool] = {}
    for label in labels:
        reached: set[tuple[str, ...]] = set()
        for node in nodes_of(network, label):
            if node in graph:
                reached |= {node} | networkx.descendants(graph, node)
        for other in labels:
            if other != label:
                found[(label, other)] = any(node in reached for node in nodes_of(network, other))
    return found


# -- random networks ----------------------------------------------------------------------------------------

untagged_vlans = st.sampled_from((*VLANS, "none"))


@st.composite
def port_ends(draw: st.DrawFn, alike: Ends | None = None) -> Ends:
    """Draw the VLANs of a port; often those of the other end, so that trunks carry something."""
    if alike is not None and draw(st.integers(0, 3)):
        return alike
    untagged = draw(untagged_vlans)
    tagged = draw(st.frozensets(st.sampled_from(VLANS)))
    return Ends(untagged, tagged - {untagged})


@st.composite
def networks(draw: st.DrawFn) -> Network:
    """Draw trees and rings of switches, leaks, mismatches, switches without VLANs, access points and a router."""
    count = draw(st.integers(1, 5))
    names = [f"s{index}" for index in range(count)]
    hubs = frozenset(name for name in names[1:] if draw(st.integers(0, 3)) == 0)
    managed = frozenset(names) - hubs
    entries: dict[tuple[str, str], Ends] = {}
    links: list[tuple[str, str, str, str]] = []
    used = dict.fromkeys(names, 0)

    def take(gear: str) -> str:
        used[gear] += 1
        return str(used[gear])

    pairs = [(names[draw(st.integers(0, index - 1))], names[index]) for index in range(1, count)]
    for _ in range(draw(st.integers(0, 2)) if count > 1 else 0):
        one, two = draw(st.permutations(names))[:2]
        pairs.append((one, two))
    for one, two in pairs:
        port, other = take(one), take(two)
        links.append((one, port, two, other))
        first = draw(port_ends())
        if one in managed:
            entries[(one, port)] = first
        if two in managed:
            entries[(two, other)] = draw(port_ends(first))
    devices = tuple(f"d{index}" for index in range(draw(st.integers(2, 6))))
    ssids: dict[str, str] = {}
    for device in devices:
        switch = draw(st.sampled_from(names))
        port = take(switch)
        links.append((switch, port, device, "eth"))
        ends = draw(port_ends())
        if switch in managed:
            entries[(switch, port)] = ends
        if draw(st.integers(0, 3)) == 0:
            entries[(device, "eth")] = draw(port_ends(ends))
            if draw(st.booleans()):
                ssids[device] = draw(st.sampled_from(VLANS))
    gateways = {vlan: names[0] for vlan in VLANS if draw(st.integers(0, 3)) == 0}
    policy = {names[0]: draw(st.sampled_from(("permit", "deny")))}
    return Network(managed, hubs, devices, tuple(links), entries, ssids, gateways, policy)


@settings(max_examples=300, deadline=None)
@given(network=networks())
def test_reach_is_that_of_the_expanded_graph_for_every_pair(
    network: Network, tmp_path_factory: pytest.TempPathFactory
) -> None:
    reach = reach_of(design_text(network), tmp_path_factory.getbasetemp())
    endpoints = {endpoint.label: endpoint for endpoint in reach.endpoints}
    expected = all_pairs(network, list(endpoints))
    found = {
        (one, two): reach.talk((endpoints[one],), (endpoints[two],))
        for one, two in itertools.permutations(endpoints, 2)
    }
    assert found == {pair: "always" if holds else "never" for pair, holds in expected.items()}


@settings(max_examples=150, deadline=None)
@given(network=networks())
def test_a_path_is_shown_exactly_where_frames_get_through_and_each_step_holds(
    network: Network, tmp_path_factory: pytest.TempPathFactory
) -> None:
    reach = reach_of(design_text(network), tmp_path_factory.getbasetemp())
    graph = expanded(network)
    runs = {frozenset(((one, port), (two, other))) for one, port, two, other in network.links}
    for one, two in itertools.permutations(reach.endpoints, 2):
        route = reach.path((one,), (two,), certain=True)
        assert (route is not None) == (reach.talk((one,), (two,)) == "always")
        for step in () if route is None else route.steps:
            assert step.missing == ()
            if step.run is None:
                assert "permit" in network.policy.values()
                continue
            assert step.leaves is not None
            assert step.enters is not None
            ends = ((step.leaves.gear.id, step.leaves.name), (step.enters.gear.id, step.enters.name))
            assert frozenset(ends) in runs
            assert graph.has_edge((*ends[0], step.before.vlan), (*ends[1], step.after.vlan))


@st.composite
def with_gaps(draw: st.DrawFn) -> tuple[Network, tuple[tuple[str, str], ...]]:
    """Draw a network, and take away what is written of one or two ports of managed switches."""
    network = draw(networks())
    listed = sorted(key for key in network.entries if key[0] in network.managed)
    if not listed:
        return network, ()
    chosen = draw(st.lists(st.sampled_from(listed), min_size=1, max_size=2, unique=True))
    entries = dict(network.entries)
    for key in chosen:
        lost = draw(st.sampled_from(("untagged", "tagged", "both", "entry")))
        if lost == "entry":
            del entries[key]
        else:
            untagged = None if lost in {"untagged", "both"} else entries[key].untagged
            tagged = None if lost in {"tagged", "both"} else entries[key].tagged
            entries[key] = Ends(untagged, tagged)
    return network._replace(entries=entries), tuple(chosen)


def completions(network: Network, gaps: tuple[tuple[str, str], ...]) -> list[Network]:
    """Return every network that a network with gaps can turn out to be."""
    choices: list[list[Ends]] = []
    for key in gaps:
        entry = network.entries.get(key, Ends(None, None))
        untagged = [entry.untagged] if entry.untagged is not None else [*VLANS, OTHER, "none"]
        subsets = [
            frozenset(part) for size in range(len(VLANS) + 1) for part in itertools.combinations(VLANS, size)
        ]
        tagged = [entry.tagged] if entry.tagged is not None else subsets
        choices.append([Ends(one, two) for one in untagged for two in tagged if one not in two])
    return [
        network._replace(entries={**network.entries, **dict(zip(gaps, chosen))})
        for chosen in itertools.product(*choices)
    ]


@settings(max_examples=60, deadline=None)
@given(drawn=with_gaps())
def test_what_is_certain_holds_however_the_gaps_are_filled(
    drawn: tuple[Network, tuple[tuple[str, str], ...]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    network, gaps = drawn
    reach = reach_of(design_text(network), tmp_path_factory.getbasetemp())
    endpoints = {endpoint.label: endpoint for endpoint in reach.endpoints}
    found = {
        pair: reach.talk((endpoints[pair[0]],), (endpoints[pair[1]],))
        for pair in itertools.permutations(endpoints, 2)
    }
    for whole in completions(network, gaps):
        for pair, holds in all_pairs(whole, list(endpoints)).items():
            assert found[pair] != ("never" if holds else "always"), pair


# -- by hand ------------------------------------------------------------------------------------------------


def talks(text: str, folder: Path) -> dict[tuple[str, str], str]:
    reach = reach_of(text, folder)
    names = {endpoint.label: endpoint for endpoint in reach.endpoints}
    return {
        (one, two): reach.talk((names[one],), (names[two],)) for one, two in itertools.permutations(names, 2)
    }


def test_a_device_in_an_unknown_vlan_does_not_join_the_vlans_that_it_may_be_in(tmp_path: Path) -> None:
    access = {("s", str(port)): Ends(vlan, frozenset()) for port, vlan in enumerate("ab")}
    links = tuple(
        ("s", str(port), name, "eth") for port, name in enumerate(("in-a", "in-b", "lost", "lost-too"))
    )
    network = Network(
        frozenset({"s"}), frozenset(), ("in-a", "in-b", "lost", "lost-too"), links, access, {}, {}, {}
    )
    found = talks(design_text(network), tmp_path)
    assert found[("in-a", "in-b")] == "never"
    assert found[("in-a", "lost")] == "unknown"
    assert found[("lost", "in-b")] == "unknown"
    assert found[("lost", "lost-too")] == "unknown"


def test_unknown_untagged_vlans_of_a_trunk_that_tags_all_others_join_nothing(tmp_path: Path) -> None:
    # Whatever the two ends send untagged, it is none of the VLANs that both of them tag.
    entries = {
        ("s", "up"): Ends(None, frozenset(VLANS)),
        ("t", "up"): Ends(None, frozenset(VLANS)),
        ("s", "1"): Ends("a", frozenset()),
        ("t", "1"): Ends("a", frozenset()),
        ("t", "2"): Ends("b", frozenset()),
    }
    links = (("s", "up", "t", "up"), ("s", "1", "x", "eth"), ("t", "1", "y", "eth"), ("t", "2", "z", "eth"))
    found = talks(
        design_text(Network(frozenset({"s", "t"}), frozenset(), ("x", "y", "z"), links, entries, {}, {}, {})),
        tmp_path,
    )
    assert found[("x", "y")] == found[("y", "x")] == "always"
    assert found[("x", "z")] == found[("z", "x")] == "never"


def test_frames_go_one_way_where_one_end_tags_and_the_other_does_not(tmp_path: Path) -> None:
    # s tags a, t takes the tag because the port is in a, and answers untagged, which s drops.
    entries = {
        ("s", "up"): Ends("none", frozenset("a")),
        ("t", "up"): Ends("a", frozenset()),
        ("s", "1"): Ends("a", frozenset()),
        ("t", "1"): Ends("a", frozenset()),
    }
    links = (("s", "up", "t", "up"), ("s", "1", "x", "eth"), ("t", "1", "y", "eth"))
    network = Network(frozenset({"s", "t"}), frozenset(), ("x", "y"), links, entries, {}, {}, {})
    assert talks(design_text(network), tmp_path) == {("x", "y"): "always", ("y", "x"): "never"}


@pytest.mark.parametrize(("policy", "talk"), [("permit", "always"), ("deny", "never"), (None, "unknown")])
def test_a_router_joins_its_vlans_as_its_policy_says(policy: str | None, talk: str, tmp_path: Path) -> None:
    entries = {("s", str(port)): Ends(vlan, frozenset()) for port, vlan in enumerate("abc")}
    links = tuple(("s", str(port), name, "eth") for port, name in enumerate("xyz"))
    stated = {} if policy is None else {"s": policy}
    network = Network(
        frozenset({"s"}), frozenset(), ("x", "y", "z"), links, entries, {}, {"a": "s", "b": "s"}, stated
    )
    found = talks(design_text(network), tmp_path)
    assert found[("x", "y")] == found[("y", "x")] == talk
    assert found[("x", "z")] == found[("z", "y")] == "never"


def test_a_router_denies_on_the_second_of_two_hops(tmp_path: Path) -> None:
    # a is routed by s into b, b by t into c: what s permits, t does not.
    text = """\
[design]
title = "two routers"
[switch]
s = {}
t = {}
[device]
x = { joins = "none" }
z = { joins = "none" }
[vlan]
a = { vid = 10, gateway = "s" }
b = { vid = 11, gateway = "s" }
c = { vid = 12, gateway = "t" }
[gateway]
s = { default = "permit" }
t = { default = "deny" }
[run]
T = { from = "s/up", to = "t/up" }
X = { from = "s/1", to = "x" }
Z = { from = "t/1", to = "z" }
[port.s]
up = { untagged = "none", tagged = ["a", "b", "c"] }
1 = { untagged = "a", tagged = [] }
[port.t]
up = { untagged = "none", tagged = ["a", "b", "c"] }
1 = { untagged = "c", tagged = [] }
"""
    assert set(talks(text, tmp_path).values()) == {"never"}
    moved = text.replace('c = { vid = 12, gateway = "t" }', 'c = { vid = 12, gateway = "s" }')
    assert set(talks(moved, tmp_path).values()) == {"always"}


# -- links that a VLAN has to cross -------------------------------------------------------------------------


@st.composite
def link_lists(draw: st.DrawFn) -> tuple[list[tuple[int, int]], frozenset[int]]:
    """Draw links between up to seven switches, parallel ones too, and the switches with users."""
    count = draw(st.integers(2, 7))
    pair = st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)).filter(
        lambda ends: ends[0] != ends[1]
    )
    links = draw(st.lists(pair, min_size=1, max_size=10))
    return links, draw(st.frozensets(st.integers(0, count - 1)))


def on_a_way(links: list[tuple[int, int]], index: int, users: frozenset[int]) -> bool:
    """Return whether a link lies on a way between two users that passes no switch twice.

    Its middle has to reach two users over ways that share no switch: a flow of two with one for each switch.
    """
    graph: networkx.DiGraph[object] = networkx.DiGraph()

    def join(one: object, two: object) -> None:
        graph.add_edge(("out", one), ("in", two), capacity=1)
        graph.add_edge(("out", two), ("in", one), capacity=1)

    for number in range(7):
        graph.add_edge(("in", number), ("out", number), capacity=1)
    for number, (one, two) in enumerate(links):
        if number == index:
            join(one, "middle")
            join("middle", two)
        else:
            join(one, two)
    for user in users:
        graph.add_edge(("out", user), "users", capacity=1)
    flow = networkx.maximum_flow_value(graph, ("out", "middle"), "users") if users else 0
    return bool(flow == 2)


@settings(max_examples=300, deadline=None)
@given(drawn=link_lists())
def test_the_links_to_cross_are_those_on_a_way_between_two_users(
    drawn: tuple[list[tuple[int, int]], frozenset[int]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    links, users = drawn
    text = (
        '[design]\ntitle = "links"\n[switch]\n'
        + "".join(f"s{number} = {{}}\n" for number in range(7))
        + "[run]\n"
    )
    for number, (one, two) in enumerate(links):
        text += f'R-{number} = {{ from = "s{one}/{number}", to = "s{two}/{number}" }}\n'
    spread = VlanSpread(reach_of(text, tmp_path_factory.getbasetemp()))
    single, loops = spread.blocks.needed({f"s{user}" for user in users})
    assert not single.keys() & loops.keys()
    expected = {f"R-{index}" for index in range(len(links)) if on_a_way(links, index, users)}
    assert {*single, *loops} == expected
    graph = networkx.MultiGraph((one, two, str(number)) for number, (one, two) in enumerate(links))
    for run_id in single:
        one, two = links[int(run_id[2:])]
        cut = graph.copy()
        cut.remove_edge(one, two, run_id[2:])
        assert not networkx.has_path(cut, one, two)


# -- isolated ports -------------------------------------------------------------------------------------------


class Rooms(NamedTuple):
    """Switches in a tree, all in one VLAN, and devices at them, some at isolated ports."""

    parents: list[int]
    devices: list[tuple[int, bool]]

    def text(self) -> str:
        lines = ['[design]\ntitle = "generated"', '[vlan]\nv = { vid = 5, gateway = "none" }', "[switch]"]
        lines += [f's{n} = {{ vlans = "802.1Q" }}' for n in range(len(self.parents) + 1)]
        lines.append("[device]")
        lines += [f'd{n} = {{ role = "any" }}' for n in range(len(self.devices))]
        lines.append("[role]\nany = {}\n[run]")
        lines += [
            f't{n + 1} = {{ from = "s{up}/t{n + 1}", to = "s{n + 1}/up" }}'
            for n, up in enumerate(self.parents)
        ]
        lines += [f'r{n} = {{ from = "s{at}/d{n}", to = "d{n}" }}' for n, (at, _) in enumerate(self.devices)]
        for switch in range(len(self.parents) + 1):
            lines.append(f"[port.s{switch}]")
            trunks = [f"t{n + 1}" for n, up in enumerate(self.parents) if up == switch]
            lines += [f'{port} = {{ untagged = "none", tagged = ["v"] }}' for port in trunks]
            if switch:
                lines.append('up = { untagged = "none", tagged = ["v"] }')
            lines += [
                f'd{n} = {{ untagged = "v", tagged = []{", isolated = true" if isolated else ""} }}'
                for n, (at, isolated) in enumerate(self.devices)
                if at == switch
            ]
        return "\n".join(lines) + "\n"

    def graph(self) -> "networkx.DiGraph[tuple[str, str, str]]":
        """Return every port twice, as frames come in and as they go out, and every frame that is handed on."""
        graph: networkx.DiGraph[tuple[str, str, str]] = networkx.DiGraph()
        ports: dict[str, dict[str, bool]] = {f"s{n}": {} for n in range(len(self.parents) + 1)}
        wires: list[tuple[str, str, str, str]] = []
        for n, up in enumerate(self.parents):
            ports[f"s{up}"][f"t{n + 1}"] = ports[f"s{n + 1}"]["up"] = False
            wires.append((f"s{up}", f"t{n + 1}", f"s{n + 1}", "up"))
        for n, (at, isolated) in enumerate(self.devices):
            ports[f"s{at}"][f"d{n}"] = isolated
            wires.append((f"s{at}", f"d{n}", f"d{n}", ""))
        for switch, own in ports.items():
            for one, other in itertools.permutations(own, 2):
                if not (own[one] and own[other]):
                    graph.add_edge((switch, one, "in"), (switch, other, "out"))
        for one, port, two, other in wires:
            graph.add_edge((one, port, "out"), (two, other, "in"))
            graph.add_edge((two, other, "out"), (one, port, "in"))
        return graph


@st.composite
def rooms(draw: st.DrawFn) -> Rooms:
    count = draw(st.integers(1, 4))
    parents = [draw(st.integers(0, n - 1)) for n in range(1, count)]
    devices = draw(st.lists(st.tuples(st.integers(0, count - 1), st.booleans()), min_size=2, max_size=7))
    return Rooms(parents, devices)


@settings(max_examples=200, deadline=None)
@given(drawn=rooms())
def test_isolated_ports_hear_each_other_over_other_switches_alone(
    drawn: Rooms, tmp_path_factory: pytest.TempPathFactory
) -> None:
    reach = reach_of(drawn.text(), tmp_path_factory.mktemp("rooms"))
    graph = drawn.graph()
    endpoints = {endpoint.label: endpoint for endpoint in reach.endpoints}
    for one, sender in endpoints.items():
        start = (one, "", "out")
        heard = networkx.descendants(graph, start) if start in graph else set()
        for other, hearer in endpoints.items():
            if one != other:
                expected = (other, "", "in") in heard
                assert reach.talk([sender], [hearer]) == ("always" if expected else "never"), (one, other)
                assert (reach.path([sender], [hearer], certain=True) is not None) == expected
