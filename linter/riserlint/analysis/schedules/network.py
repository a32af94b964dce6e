"""The port schedule, what a fitter types in at each switch, port by port; and where each VLAN is carried."""

import re
from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from riserlint.analysis.built import Built
from riserlint.analysis.places import first_and_number
from riserlint.analysis.schedules.tables import Cell, Column, Table, exactly
from riserlint.analysis.vlan_ports import PortSetting, VlanPorts
from riserlint.installation.things import Gear, Port


def network_tables(built: Built) -> Iterator[Table]:
    """Yield the port schedule and the VLANs; nothing where no VLAN is described."""
    if not built.design.model.vlan:
        return
    rows = list(_of_ports(built))
    yield _ports(built.reach.ports, rows)
    yield _vlans(built, rows)


class _Row(NamedTuple):
    """A port: as it is built where it holds a run, and its VLANs; None of gear that knows none."""

    gear: Gear
    name: str
    port: Port | None
    setting: PortSetting | None

    @property
    def far_end(self) -> str:
        """What is at the far end of its run."""
        if self.port is None or self.port.run is None:
            return ""
        far = self.port.run.other_end(self.port)
        return "unknown" if far is None else far.label


def _of_ports(built: Built) -> Iterator[_Row]:
    """Yield the ports of all gear that bridges frames, by gear and in the order of their numbers."""
    ports = built.reach.ports
    listed: dict[str, list[str]] = {}
    for gear_id, name in built.port_vlans:
        listed.setdefault(gear_id, []).append(name)
    for gear in built.gear.values():
        kind = ports.kind(gear)
        if kind == "device" and gear.id not in listed:
            continue
        names = {
            *listed.get(gear.id, ()),
            *(name for name, port in gear.ports.items() if port.run is not None),
        }
        for name in sorted(names, key=_natural):
            port = gear.ports.get(name)
            entry = built.port_vlans.get((gear.id, name))
            if kind == "plain":
                yield _Row(gear, name, port, None)
            elif entry is not None:
                yield _Row(gear, name, port, ports.written(*entry))
            elif port is not None:
                yield _Row(gear, name, port, ports.setting(port))


def _natural(name: str) -> tuple[tuple[int, str], ...]:
    """Return a key by which port 10 comes after port 9."""
    return tuple((int(piece or 0) if piece.isdigit() else -1, piece) for piece in re.split(r"(\d+)", name))


def _ports(ports: VlanPorts, rows: list[_Row]) -> Table:
    return Table(
        "ports",
        "Ports by switch, with their VLANs",
        (
            Column("gear", "gear"),
            Column("port", "port"),
            Column("run", "run"),
            Column("far_end", "leads to"),
            Column("untagged", "untagged"),
            Column("tagged", "tagged"),
        ),
        tuple(
            (
                row.gear.id,
                row.name,
                row.port.run.id if row.port is not None and row.port.run is not None else "",
                row.far_end,
                _untagged(ports, row.setting),
                _tagged(ports, row.setting),
            )
            for row in rows
        ),
        None,
        (
            "untagged: the VLAN of frames that come in without a tag, and the one that is sent without; tagged: those "
            "accepted and sent with their tag; each by its id and its name",
            "as it comes: knows no VLANs, hands on every frame unchanged; unknown: nobody has written it, which is "
            "not VLAN 1",
        ),
    )


def _name(ports: VlanPorts, vlan: str) -> str:
    vid = ports.vid(vlan)
    return f"{'?' if vid is None else vid} {vlan}"


def _untagged(ports: VlanPorts, setting: PortSetting | None) -> str:
    if setting is None:
        return "as it comes"
    if setting.untagged is not None:
        return _name(ports, setting.untagged)
    return "none" if setting.untagged_known else "unknown"


def _tagged(ports: VlanPorts, setting: PortSetting | None) -> str:
    if setting is None:
        return "as it comes"
    if not setting.tagged_known:
        return "unknown"
    ids = sorted(setting.tagged, key=lambda vlan: (ports.vid(vlan) or 0, vlan))
    return ", ".join(_name(ports, vlan) for vlan in ids) or "none"


def _vlans(built: Built, rows: list[_Row]) -> Table:
    ports = built.reach.ports
    untagged: Counter[str] = Counter()
    tagged: Counter[str] = Counter()
    carriers: dict[str, dict[str, None]] = {}
    for row in rows:
        if row.setting is None:
            continue
        own = () if row.setting.untagged is None else (row.setting.untagged,)
        tagged.update(row.setting.tagged)
        untagged.update(own)
        if row.gear.is_switch:
            for vlan in (*row.setting.tagged, *own):
                carriers.setdefault(vlan, {})[row.gear.id] = None
    wireless: dict[str, list[str]] = {}
    for name, ssid in built.design.model.ssid.items():
        if ssid.vlan in ports.same:
            wireless.setdefault(ports.same[ssid.vlan], []).append(name)
    found: list[tuple[Cell, ...]] = []
    for vlan in sorted(ports.named, key=lambda name: (ports.vid(name) or 0, name)):
        gateway, _ = ports.gateway(vlan)
        found.append(
            (
                vlan,
                exactly(ports.vid(vlan)) or "unknown",
                gateway or "unknown",
                exactly(untagged[vlan]),
                exactly(tagged[vlan]),
                first_and_number(carriers.get(vlan, ())),
                first_and_number(wireless.get(vlan, [])),
            )
        )
    return Table(
        "vlans",
        "VLANs, and where they are carried",
        (
            Column("vlan", "VLAN"),
            Column("vid", "id", "", 0),
            Column("gateway", "gateway"),
            Column("untagged_ports", "untagged", "ports", 0),
            Column("tagged_ports", "tagged", "ports", 0),
            Column("switches", "on switches"),
            Column("wireless", "wireless names"),
        ),
        tuple(found),
        None,
        ("ports: of table ports, those of routers and access points included",),
    )
