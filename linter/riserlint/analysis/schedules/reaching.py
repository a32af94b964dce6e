"""The reach schedules: who can talk to whom, by role, by VLAN, and where somebody asks by endpoint."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from riserlint.analysis.built import Built
from riserlint.analysis.reach import Endpoint, Talk
from riserlint.analysis.schedules.tables import Cell, Column, Table
from riserlint.analysis.vlan_words import route_text

#: Of all pairs of endpoints there are too many for a page that nobody asked for.
BY_ENDPOINT = "endpoint-reach"
_WORDS: dict[Talk, str] = {"always": "yes", "never": "no", "unknown": "cannot tell"}
_COLUMNS = (
    Column("from", "from"),
    Column("to", "to"),
    Column("frames", "frames"),
    Column("packets", "packets"),
    Column("way", "way"),
)
_WORKING = (
    "frames: over ports and VLANs alone; packets: over gateways too, as their policy lets them, and by flows that are "
    "stated; one way, replies apart",
    "way: a shortest one where they can; cannot tell: it turns on what is not known",
)


class _Met(NamedTuple):
    """How far something gets: by frames, by packets, and the way."""

    frames: Talk
    packets: Talk
    way: str


def reach_tables(built: Built, wanted: frozenset[str]) -> Iterator[Table]:
    """Yield the reach of roles and of VLANs, and of endpoints where that is wanted."""
    if not built.design.model.vlan:
        return
    roles = {
        name: tuple(_with_its_networks(built, one) for one in members)
        for name, members in built.reach.members.items()
    }
    if roles:
        yield _table(built, "reach", "Who can talk to whom, by role", roles, flows=True)
    yield _table(built, "vlan-reach", "Who can talk to whom, by VLAN", _of_vlans(built), flows=False)
    if BY_ENDPOINT in wanted:
        each = {one.label: (_with_its_networks(built, one),) for one in built.reach.endpoints}
        yield _table(built, BY_ENDPOINT, "Who can talk to whom, one by one", each, flows=False)


def _with_its_networks(built: Built, endpoint: Endpoint) -> Endpoint:
    """Return a router with the places in which it has its networks: there it hears, and answers."""
    vlans = built.reach.ports.gateways.get(str(endpoint.at[1]), ()) if endpoint.at[0] == "device" else ()
    served = [place for vlan in vlans for place in built.reach.graph.serving(str(endpoint.at[1]), vlan)]
    return endpoint._replace(sends=(*endpoint.sends, *served), hears=(*endpoint.hears, *served))


def _of_vlans(built: Built) -> dict[str, tuple[Endpoint, ...]]:
    """Return by VLAN all places in which its frames are, as one that sends and hears."""
    places: dict[str, list[int]] = {vlan: [] for vlan in built.reach.ports.named}
    for number, place in enumerate(built.reach.graph.places):
        if place.kind == "gear" and place.vlan in places:
            places[place.vlan].append(number)
    return {
        vlan: (Endpoint(vlan, ("vlan", vlan), None, tuple(found), tuple(found)),)
        for vlan, found in places.items()
    }


def _table(
    built: Built, name: str, title: str, groups: Mapping[str, tuple[Endpoint, ...]], *, flows: bool
) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for one, senders in groups.items():
        for other, hearers in groups.items():
            if one != other:
                met = _met(built, senders, hearers)
                if flows and met.packets == "never":
                    met = _by_flow(built, one, other) or met
                rows.append((one, other, _WORDS[met.frames], _WORDS[met.packets], met.way))
    return Table(name, title, _COLUMNS, tuple(rows), None, _WORKING)


def _met(built: Built, senders: tuple[Endpoint, ...], hearers: tuple[Endpoint, ...]) -> _Met:
    frames = built.reach.talk(senders, hearers, routed=False)
    packets = frames if frames == "always" else built.reach.talk(senders, hearers)
    route = None if packets != "always" else built.reach.path(senders, hearers, certain=True)
    return _Met(frames, packets, "" if route is None else route_text(route))


def _by_flow(built: Built, one: str, other: str) -> _Met | None:
    """Return what a stated flow lets through: from a VLAN of one role to one of the other that a gateway both has."""
    for name, flow in built.design.model.flow.items():
        if (flow.from_, flow.to) != (one, other):
            continue
        for here in _vlans(built, one):
            for there in _vlans(built, other):
                gateway = built.addresses.networks[here].gateway
                if gateway not in {None, "none"} and gateway == built.addresses.networks[there].gateway:
                    return _Met("never", "always", f"{here} → {gateway} → {there}, by flow {name}")
    return None


def _vlans(built: Built, role: str) -> list[str]:
    members = built.reach.members.get(role, ())
    return sorted(frozenset().union(*(built.addresses.vlans_of(endpoint) for endpoint in members)))
