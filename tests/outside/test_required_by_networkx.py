"""What must talk and is said to be stopped, against a search by networkx over frames on wires, one by one.

Every frame that can be on a wire is a node: the run, the gear that it is on its way to, and its tag. An edge is what
that gear makes of it, by the rules of the network alone: a port takes an untagged frame into its untagged VLAN and
drops a tagged one of a VLAN that it is no member of; a switch sends it out of every other member port, tagged or not
as that port has it; one that knows no VLANs sends it out of all others unchanged; a router that lets it through sends
it on in every other VLAN that it routes. An end device without VLANs of its own hears untagged frames only. For each
two roles the frames are joined up anew, with the policies as they treat these two.
"""

import itertools
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

import networkx  # type: ignore[import-untyped]
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint import Built, Endpoint
from riserlint.design.basis import BasisFile
from riserlint.design.reading import Basis, read_design

VLANS = ("a", "b", "c")
Frame = tuple[str, str, str]


class Ends(NamedTuple):
    """The VLANs of a port: the untagged one (empty: none), and the tagged ones."""

    untagged: str
    tagged: frozenset[str]


class Flow(NamedTuple):
    """A flow that the policy states, from a device's role to another's."""

    sender: str
    hearer: str


class Network(NamedTuple):
    """A network: its gear, the two ends of each run as (gear, port), the VLANs of ports, and the policies.

    ``routes`` is by router the VLANs that it is the gateway of; a router that is a device routes all of its ports.
    ``replies`` are the routers that let what answers a flow back by themselves.
    """

    managed: frozenset[str]
    plain: frozenset[str]
    devices: tuple[str, ...]
    routers: tuple[str, ...]
    runs: tuple[tuple[tuple[str, str], tuple[str, str]], ...]
    ports: dict[tuple[str, str], Ends]
    routes: dict[str, frozenset[str]]
    permits: dict[str, bool]
    replies: frozenset[str]
    flows: tuple[Flow, ...]


# -- the search ----------------------------------------------------------------------------------------------


def vlan_into(ends: Ends, tag: str) -> str:
    """Return the VLAN that a port takes a frame into; empty: it drops it."""
    if not tag:
        return ends.untagged
    return tag if tag in ends.tagged or tag == ends.untagged else ""


def tags_out(ends: Ends, vlan: str) -> list[str]:
    """Return how a port sends frames of a VLAN: tagged, untagged, or not at all."""
    if vlan in ends.tagged:
        return [vlan]
    return [""] if vlan == ends.untagged else []


def joined_up(network: Network, lets_through: frozenset[str]) -> "networkx.DiGraph[Frame]":
    """Return every frame on every wire, and what its receiver makes of it, with the routers that let it through."""
    wires: dict[str, list[tuple[str, str, str]]] = {}  # by gear: port, run, the gear at the other end
    for number, ((one, port), (two, other)) in enumerate(network.runs):
        wires.setdefault(one, []).append((port, f"R-{number}", two))
        wires.setdefault(two, []).append((other, f"R-{number}", one))
    graph: networkx.DiGraph[Frame] = networkx.DiGraph()

    def send(arrived: Frame, gear: str, vlan: str, not_over: str) -> None:
        for port, run, far in wires[gear]:
            if port != not_over:
                for tag in tags_out(network.ports[(gear, port)], vlan):
                    graph.add_edge(arrived, (run, far, tag))

    for gear, mine in wires.items():
        for port, run, _ in mine:
            for tag in ("", *VLANS):
                arrived = (run, gear, tag)
                graph.add_node(arrived)
                if gear in network.plain:
                    for other, onward, far in mine:
                        if other != port:
                            graph.add_edge(arrived, (onward, far, tag))
                    continue
                if gear not in network.managed and gear not in network.routers:
                    continue
                vlan = vlan_into(network.ports[(gear, port)], tag)
                if vlan and gear in network.managed:
                    send(arrived, gear, vlan, port)
                routed = network.routes.get(gear, frozenset())
                if gear in network.routers:
                    routed = frozenset(VLANS)
                if vlan in routed and gear in lets_through:
                    for other_vlan in routed - {vlan}:
                        send(arrived, gear, other_vlan, "")
    return graph


def sent_by(network: Network, device: str) -> set[Frame]:
    """Return the frames that a device puts on its wires."""
    found = set()
    for number, ends in enumerate(network.runs):
        for (gear, port), (far, _) in (ends, ends[::-1]):
            if gear == device:
                own = network.ports.get((gear, port))
                tags = [""] if own is None else [tag for vlan in VLANS for tag in tags_out(own, vlan)]
                found |= {(f"R-{number}", far, tag) for tag in tags}
    return found


def heard_by(network: Network, device: str) -> set[Frame]:
    """Return the frames that a device takes in."""
    found = set()
    for number, ends in enumerate(network.runs):
        for gear, port in ends:
            if gear == device:
                own = network.ports.get((gear, port))
                found |= {
                    (f"R-{number}", gear, tag)
                    for tag in ("", *VLANS)
                    if (not tag if own is None else vlan_into(own, tag))
                }
    return found


class Search:
    """Whether frames of a device get to another, with some routers letting them through."""

    def __init__(self, network: Network) -> None:
        """Keep the network."""
        self.network = network
        self.graph = cache(lambda lets_through: joined_up(network, lets_through))

    def gets(self, sender: str, hearer: str, *, policy: bool = True, flows: bool = True) -> bool:
        """Return whether frames get there: over routers that permit all, or let this through; else over all of them."""
        routers = {*self.network.routes, *self.network.routers}
        through = frozenset(
            name for name in routers if not policy or self.lets(name, sender, hearer, flows=flows)
        )
        sent, heard = sent_by(self.network, sender), heard_by(self.network, hearer)
        reached = set(sent)
        for frame in sent:
            reached |= networkx.descendants(self.graph(through), frame)
        return not reached.isdisjoint(heard)

    def lets(self, router: str, sender: str, hearer: str, *, flows: bool) -> bool:
        """Return whether a router lets through what one sends to another: all, a flow, or what answers one."""
        if self.network.permits[router]:
            return True
        stated = {(flow.sender, flow.hearer) for flow in self.network.flows} if flows else set()
        answers = (hearer, sender) in stated and router in self.network.replies
        return (sender, hearer) in stated or answers

    def converse(self, one: str, two: str) -> bool:
        """Return whether one can ask another and be answered, by the policy as it is."""
        return self.gets(one, two) and self.gets(two, one)


# -- random networks -----------------------------------------------------------------------------------------


@st.composite
def ends(draw: st.DrawFn, alike: Ends | None = None) -> Ends:
    """Draw the VLANs of a port; of three four times those of the other end, so that trunks carry something."""
    if alike is not None and draw(st.integers(0, 3)):
        return alike
    untagged = draw(st.sampled_from(("", *VLANS)))
    return Ends(untagged, draw(st.frozensets(st.sampled_from(VLANS))) - {untagged})


@st.composite
def networks(draw: st.DrawFn) -> Network:
    """Draw trees and rings of switches, leaks and mismatches, gear that knows no VLANs, and routers."""
    names = [f"s{number}" for number in range(draw(st.integers(1, 5)))]
    plain = frozenset(name for name in names[1:] if draw(st.integers(0, 3)) == 0)
    managed = frozenset(names) - plain
    ports: dict[tuple[str, str], Ends] = {}
    runs: list[tuple[tuple[str, str], tuple[str, str]]] = []
    number = itertools.count(1)

    def link(one: str, two: str, port: str = "") -> None:
        here, there = (one, str(next(number))), (two, port or str(next(number)))
        runs.append((here, there))
        first = draw(ends())
        if one in managed:
            ports[here] = first
        if two in managed or two in routers:
            ports[there] = draw(ends(first))

    routers = tuple(f"r{index}" for index in range(draw(st.integers(0, 2))))
    for index in range(1, len(names)):
        link(names[draw(st.integers(0, index - 1))], names[index])
    for _ in range(draw(st.integers(0, 2)) if len(names) > 1 else 0):
        one, two = draw(st.permutations(names))[:2]
        link(one, two)
    for router in routers:
        for port in range(draw(st.integers(1, 2))):
            link(draw(st.sampled_from(sorted(managed))), router, f"p{port}")
    devices = tuple(f"d{index}" for index in range(draw(st.integers(2, 4))))
    for device in devices:
        for port in range(1 + (draw(st.integers(0, 4)) == 0)):
            link(draw(st.sampled_from(names)), device, f"p{port}")
        if draw(st.integers(0, 4)) == 0:
            ports[(device, "p0")] = draw(ends())
    routes: dict[str, frozenset[str]] = {}
    if draw(st.booleans()):
        routes[names[0]] = frozenset(vlan for vlan in VLANS if draw(st.booleans()))
    permits = {name: draw(st.booleans()) for name in (names[0], *routers)}
    flows = draw(
        st.lists(
            st.builds(Flow, st.sampled_from(devices), st.sampled_from(devices)).filter(
                lambda flow: flow.sender != flow.hearer
            ),
            max_size=4,
            unique=True,
        )
    )
    replies = frozenset(name for name in permits if draw(st.booleans()))
    return Network(
        managed, plain, devices, routers, tuple(runs), ports, routes, permits, replies, tuple(flows)
    )


def design_text(network: Network) -> str:
    """Return a network as a design file, in which each device needs each other."""
    lines = ["[design]", 'title = "generated"', "[switch]"]
    lines += [f'{name} = {{ vlans = "802.1Q" }}' for name in sorted(network.managed)]
    lines += [f'{name} = {{ vlans = "none" }}' for name in sorted(network.plain)]
    lines += ["[device]"]
    for name in network.devices:
        others = ", ".join(f'"{other}"' for other in network.devices if other != name)
        lines.append(f'{name} = {{ role = "of-{name}", joins = "none", needs = [{others}] }}')
    lines += [f'{name} = {{ joins = "route" }}' for name in network.routers]
    lines += ["[role]", *(f"of-{name} = {{}}" for name in network.devices), "[vlan]"]
    for index, vlan in enumerate(VLANS):
        gateway = next((name for name, routed in network.routes.items() if vlan in routed), "none")
        lines.append(f'{vlan} = {{ vid = {10 + index}, gateway = "{gateway}" }}')
    lines += ["[gateway]"]
    for name, permits in network.permits.items():
        replies = "true" if name in network.replies else "false"
        lines.append(f'{name} = {{ default = "{"permit" if permits else "deny"}", replies = {replies} }}')
    lines += ["[flow]"]
    lines += [
        f'F-{index} = {{ from = "of-{flow.sender}", to = "of-{flow.hearer}" }}'
        for index, flow in enumerate(network.flows)
    ]
    lines += ["[run]"]
    for number, (one, two) in enumerate(network.runs):
        lines.append(f'R-{number} = {{ from = "{"/".join(one)}", to = "{"/".join(two)}" }}')
    for gear in sorted({gear for gear, _ in network.ports}):
        lines.append(f"[port.{gear}]")
        for (owner, port), written in network.ports.items():
            if owner == gear:
                tagged = ", ".join(f'"{vlan}"' for vlan in sorted(written.tagged))
                lines.append(f'{port} = {{ untagged = "{written.untagged or "none"}", tagged = [{tagged}] }}')
    return "\n".join(lines) + "\n"


def built_of(network: Network, folder: Path) -> Built:
    """Return a network as it is built."""
    file = folder / "design.toml"
    file.write_text(design_text(network), encoding="utf-8")
    design, problems = read_design(file, folder, Basis(BasisFile.model_construct(), None))
    built = Built(design)
    assert [(problem.message, problem.path) for problem in (*problems, *built.problems)] == []
    return built


# -- the comparison ------------------------------------------------------------------------------------------


@settings(max_examples=80, deadline=None)
@given(network=networks())
def test_what_is_said_to_be_stopped_is_stopped_or_gets_there_by_a_mismatch(
    network: Network, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Where a need is denied or unanswered no search finds a way there and back by the policy.

    But for frames that get from one VLAN to another past every router, by a mismatch of two ends: that is a finding of
    its own, and the need is judged by what its ports mean.
    """
    built = built_of(network, tmp_path_factory.getbasetemp())
    search = Search(network)
    asked = set()
    for flow in built.requirements.flows():
        for member in flow.members:
            one, two = str(member.at[1]), flow.need
            asked.add((one, two))
            leaks = built.reach.talk((member,), tuple(_of(built, two)), routed=False) == "always"
            if flow.outcome in {"denied", "one-way"} and not leaks:
                assert not search.converse(one, two), (one, two, flow.outcome)
    assert asked == set(itertools.permutations(network.devices, 2))


def _of(built: Built, device: str) -> Iterator[Endpoint]:
    return (endpoint for endpoint in built.reach.endpoints if endpoint.at == ("device", device))
