"""What is known of the VLANs of ports: which gear keeps VLANs apart, and what each of its ports carries."""

from collections import Counter
from functools import cached_property
from typing import Any, Literal, NamedTuple

from riserlint.design.models import PortVlans
from riserlint.design.paths import Path
from riserlint.installation.build import Installation
from riserlint.installation.things import Gear, Port, Run

#: A VLAN that the design does not name: a port of which nothing is written may be in one.
UNNAMED = "\x00"

#: How gear treats VLANs: a switch that keeps them apart; one that floods tagged frames unchanged; one of
#: which neither is written; and what does not repeat frames at all.
GearKind = Literal["managed", "plain", "unknown", "device"]


class PortSetting(NamedTuple):
    """The VLANs of a port.

    ``untagged`` is both the VLAN of untagged frames coming in and the one sent untagged (None: neither);
    ``tagged`` are those accepted and sent with their tag. ``at`` is where they are written, or would be;
    ports that share one entry share the setting. VLANs of one id are one VLAN, by the name written first.
    Ports of one ``group`` are one link together; an ``isolated`` port hears no other isolated one of its gear.
    """

    untagged: str | None
    tagged: frozenset[str]
    untagged_known: bool
    tagged_known: bool
    at: Path
    listed: bool
    group: str | None = None
    isolated: Literal["yes", "no", "unknown"] = "no"

    @property
    def known(self) -> bool:
        """Whether both the untagged VLAN and the tagged ones are written."""
        return self.untagged_known and self.tagged_known

    def form(self, vlan: str) -> Literal["tagged", "untagged", "none", "unknown"]:
        """Return in what form the port carries a VLAN."""
        if vlan in self.tagged:
            return "tagged"
        if self.untagged == vlan:
            return "untagged"
        return "none" if self.known else "unknown"


class VlanPorts:
    """The VLANs of a design, and what its gear and its ports do with them.

    Attributes:
        named: the VLANs, each once: of several with one id the first.
        same: by every name the name that stands for it.
        gateways: by gear the VLANs that it routes.
        with_table: the gear for whose ports VLANs are written.
    """

    def __init__(self, installation: Installation) -> None:
        """Read the VLANs, and sort the gear by what it does with them."""
        self.installation = installation
        design = installation.design
        self.same: dict[str, str] = {}
        first: dict[int, str] = {}
        for name in design.model.vlan:
            vid = self.vid(name)
            self.same[name] = name if vid is None else first.setdefault(vid, name)
        self.named: tuple[str, ...] = tuple(dict.fromkeys(self.same.values()))
        self.gateways: dict[str, list[str]] = {}
        for name in design.model.vlan:
            gateway, _ = self.gateway(name)
            if gateway is not None and gateway != "none":
                self.gateways.setdefault(gateway, []).append(self.same[name])
        self._settings: dict[int, PortSetting] = {}
        self._unlisted: dict[str, PortSetting] = {}
        self.with_table = {gear_id for gear_id, _ in installation.port_vlans}
        self._kinds: dict[str, GearKind] = {}

    def _value(self, kind: str, name: str, key: str) -> tuple[Any, Path]:
        """Return a value of a table, or what the basis assumes for it, and where that stands."""
        model = getattr(self.installation.design.model, kind).get(name)
        written = None if model is None else getattr(model, key)
        if written is not None:
            return written, (kind, name, key)
        assumed = getattr(self.installation.design.basis.model.assume, kind)
        value = None if assumed is None else getattr(assumed, key)
        return (value, (kind, name, key) if value is None else ("basis", "assume", kind, key))

    def vid(self, vlan: str) -> int | None:
        """Return the id of a VLAN."""
        found: int | None = self.installation.design.model.vlan[vlan].vid
        return found

    def gateway(self, vlan: str) -> tuple[str | None, Path]:
        """Return the gear that routes a VLAN (``"none"``: nothing; None: unknown), and where that stands."""
        return self._value("vlan", vlan, "gateway")

    def policy(self, gateway: str) -> tuple[str | None, Path]:
        """Return what a router does with what no flow states, None where unknown, and where that stands."""
        return self._value("gateway", gateway, "default")

    def replies(self, gateway: str) -> tuple[bool | None, Path]:
        """Return whether a router lets the replies of a permitted flow back by itself, and where that stands."""
        return self._value("gateway", gateway, "replies")

    def kind(self, gear: Gear) -> GearKind:
        """Return how gear treats VLANs."""
        found = self._kinds.get(gear.id)
        if found is None:
            found = self._kinds[gear.id] = self._kind(gear)
        return found

    def _kind(self, gear: Gear) -> GearKind:
        if not gear.is_switch:
            if gear.value("joins").value != "bridge" or len(gear.ports) < 2:
                return "device"
            return "managed" if gear.id in self.with_table else "plain"
        stated = gear.value("vlans").value
        if stated is not None:
            return "plain" if stated == "none" else "managed"
        return "managed" if gear.id in self.with_table or gear.id in self.gateways else "unknown"

    def setting(self, port: Port) -> PortSetting:
        """Return the VLANs of a port; of a port that is not listed nothing is known."""
        found = self.installation.port_vlans.get((port.gear.id, port.name))
        if found is None:
            gear = port.gear.id
            unlisted = self._unlisted.get(gear)
            if unlisted is None:
                at: Path = ("port", gear)
                unlisted = self._unlisted[gear] = PortSetting(None, frozenset(), False, False, at, False)
            return unlisted
        return self.written(*found)

    def one_link(self, run: Run) -> frozenset[tuple[str, str]] | None:
        """Return what all runs of one aggregated link have in common: the groups of their ports at both ends."""
        found = set()
        for port in (run.from_port, run.to_port):
            group = None if port is None else self.setting(port).group
            if port is None or group is None:
                return None
            found.add((port.gear.id, group))
        return frozenset(found)

    def has_own(self, port: Port) -> bool:
        """Return whether VLANs are written for this very port."""
        return (port.gear.id, port.name) in self.installation.port_vlans

    def written(self, entry: PortVlans, at: Path) -> PortSetting:
        """Return the setting that an entry of a port table stands for."""
        known = self._settings.get(id(entry))
        if known is None:
            untagged = None if entry.untagged in {None, "none"} else self.same.get(entry.untagged or "")
            tagged = frozenset(self.same[name] for name in entry.tagged or () if name in self.same)
            asked = entry.isolated is None and self.installation.design.asked((*at, "isolated"))
            known = PortSetting(
                untagged,
                tagged,
                entry.untagged is not None,
                entry.tagged is not None,
                at,
                True,
                entry.group,
                "unknown" if asked else "yes" if entry.isolated else "no",
            )
            self._settings[id(entry)] = known
        return known

    def missing(self, port: Port) -> tuple[Path, ...]:
        """Return what is not known of the VLANs of a port, as the paths under which it would be written."""
        kind = self.kind(port.gear)
        if kind in {"plain", "device"} and not (kind == "device" and self.has_own(port)):
            return ()
        if kind == "unknown":
            return ((*port.gear.at, "vlans"),)
        setting = self.setting(port)
        if not setting.listed:
            return (("port", port.gear.id, port.name),)
        keys = (("untagged", setting.untagged_known), ("tagged", setting.tagged_known))
        return tuple((*setting.at, key) for key, known in keys if not known)

    def is_alone(self, port: Port) -> bool:
        """Return whether no other port in use shares the entry of a port."""
        found = self.installation.port_vlans.get((port.gear.id, port.name))
        return found is not None and found[0].role is None and self._in_use[found[1]] <= 1

    @cached_property
    def _in_use(self) -> Counter[Path]:
        """By entry the number of its ports that hold a run."""
        gear = self.installation.gear
        used: Counter[Path] = Counter()
        for (gear_id, name), (_, at) in self.installation.port_vlans.items():
            port = gear[gear_id].ports.get(name)
            if port is not None and port.run is not None:
                used[at] += 1
        return used

    @cached_property
    def served(self) -> dict[str, tuple[str, ...]]:
        """By device: the VLANs that it hands on besides its own traffic, as access point or as router."""
        found: dict[str, dict[str, None]] = {}
        for gateway, vlans in self.gateways.items():
            found.setdefault(gateway, {}).update(dict.fromkeys(vlans))
        for ssid in self.installation.design.model.ssid.values():
            if ssid.vlan in self.same:
                for name in ssid.at:
                    found.setdefault(name, {})[self.same[ssid.vlan]] = None
        return {name: tuple(vlans) for name, vlans in found.items()}
