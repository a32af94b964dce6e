"""Writes the design of a campus of any size: ``make_campus.py RUNS [FILE]``.

Without a file it writes to standard output. The same number of runs gives the same bytes. A campus is built
from blocks of 90 runs. A block has a main switch of 48 ports on a UPS, six floor switches that are powered over
their uplink with five cameras each, one floor switch of 24 ports on the same UPS, cameras, access points and door
controllers beside them, a recorder and a door server. Cables lie in bundles of at most 24. The main switches form
a tree: each hangs on an earlier one, four to a switch. The last block ends where the number of runs is reached.
From one whole block up nothing in a campus is to be put right.
"""

import argparse
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import NamedTuple

HEAD = """\
# A campus of {runs} runs in {blocks} blocks, written by tests/make_campus.py. It shows how a large design reads,
# one entry a line, and that a review of it stays quick. Seeded faults: none.

[design]
title = "Campus of {blocks} blocks"
revision = "1"
stage = "construction"
date = 2026-11-02
region = "north-america"
parts = ["parts/gear.toml"]
origin = "stated"

[part.block-camera]
pd = {{ scheme = "ieee", pd_class = 3, needs_lldp = false, min_v = 37 }}
draw_w = {{ typical = 4.5, day = 5, night = 7.5, start = 7 }}
[part.block-access-point]
pd = {{ scheme = "ieee", pd_class = 4, needs_lldp = false, min_v = 42.5 }}
draw_w = {{ typical = 11, day = 18, night = 18, start = 15 }}
"""
ROLES = """\
[role]
gateway = {}
recorder = {}
door-server = {}
staff = {}
access-point = { standby_min = 15 }
camera = { needs = ["recorder"], apart_from = ["visitor"], standby_min = 15 }
door = { needs = ["door-server"], apart_from = ["visitor"], standby_min = 15 }
visitor = { apart_from = ["camera", "door", "staff"] }
[vlan]
management = { vid = 10, gateway = "router" }
cameras = { vid = 20, gateway = "router" }
doors = { vid = 30, gateway = "router" }
staff = { vid = 40, gateway = "router" }
visitors = { vid = 50, gateway = "router" }
[gateway]
router = { default = "deny" }
"""
VLANS = ("management", "cameras", "doors", "staff", "visitors")
ACCESS = {
    "camera": 'untagged = "cameras", tagged = []',
    "door": 'untagged = "doors", tagged = []',
    "access-point": 'untagged = "management", tagged = ["staff", "visitors"]',
}
ROLE_VLANS = {"camera": {"cameras"}, "door": {"doors"}, "access-point": {"management", "staff", "visitors"}}
PARTS = {"camera": "block-camera", "door": "door-controller", "access-point": "block-access-point"}
#: What hangs on a floor switch of 24 ports, and on the main switch beside the floor switches.
FLOOR_24 = ("camera",) * 12 + ("access-point",) * 4 + ("door",) * 2
MAIN = ("camera",) * 28 + ("access-point",) * 4
BLOCK_RUNS = 90
BUNDLE = 24


class Written(NamedTuple):
    """The entries of a design, a list of lines for each table."""

    spaces: list[str]
    pathways: list[str]
    bundles: list[str]
    circuits: list[str]
    ups: list[str]
    switches: list[str]
    devices: list[str]
    runs: list[str]
    ssids: list[str]
    ports: list[str]


class Block:
    """One block, written run by run until no more are wanted."""

    def __init__(self, number: int, parent: int | None, uplink: int, into: Written) -> None:
        """Write what a block has before its first run."""
        self.number, self.parent, self.uplink, self.into = number, parent, uplink, into
        self.name = f"b{number:04d}"
        self.in_bundle = 0
        self.access_points: list[str] = []
        self.on: dict[str, list[tuple[int, str]]] = {"main": []}
        name = self.name
        into.spaces.append(f"{name}-room = {{ max_c = 27, mean_c = 22 }}")
        into.spaces.append(f"{name}-void = {{ max_c = 32, mean_c = 25 }}")
        into.pathways.append(f'{name}-tray = {{ kind = "open-tray", space = "{name}-void" }}')
        into.circuits.append(
            f'{name}-mains = {{ from = "mains", volts = 120, breaker_a = 30, rated_100 = false, others_w = 0 }}'
        )
        into.ups.append(
            f'{name}-ups = {{ from = "{name}-mains", space = "{name}-room", rated_va = 3000, rated_w = 2700, '
            "efficiency = 0.94, input_power_factor = 0.95, recharge_w = 400, "
            'chemistry = "lead-acid", battery_date = 2026-06-01, design_life_years = 10, '
            "runtime = [{ w = 500, min = 120 }, { w = 1000, min = 55 }, { w = 2000, min = 22 }] }"
        )
        self._switch("main", "switch-48", f"{name}-room", powered=True)

    def write(self, wanted: int) -> int:
        """Write at most so many runs, and the access points' wireless names; return how many were written."""
        entries = list(islice(self._entries(), wanted))
        self.into.runs.extend(entries)
        if self.access_points:
            at = ", ".join(f'"{access_point}"' for access_point in self.access_points)
            for who, vlan in (("staff", "staff"), ("visitor", "visitors")):
                self.into.ssids.append(
                    f'{self.name}-{who} = {{ vlan = "{vlan}", role = "{who}", at = [{at}] }}'
                )
        return len(entries)

    def _entries(self) -> Iterator[str]:
        name, into = self.name, self.into
        if self.parent is None:
            into.devices.append(
                f'router = {{ part = "router", space = "{name}-room", role = "gateway", '
                f'from = "{name}-ups", joins = "route" }}'
            )
            yield self._run("router", f"{name}-main/45", "router/lan", 3, tray=False)
        else:
            yield self._run("uplink", f"b{self.parent:04d}-main/{self.uplink}", f"{name}-main/45", 62)
        for port, role, beside in ((46, "recorder", "camera"), (47, "door-server", "door")):
            into.devices.append(
                f'{name}-{role} = {{ part = "{"recorder" if role == "recorder" else "server"}", '
                f'space = "{name}-room", role = "{role}", from = "{name}-ups", joins = "none" }}'
            )
            self.on["main"].append((port, beside))
            yield self._run(role, f"{name}-main/{port}", f"{name}-{role}", 4, tray=False)
        for floor in range(1, 7):
            self._switch(f"f{floor}", "floor-switch", f"{name}-void", powered=False)
            yield self._run(f"f{floor}", f"{name}-main/{floor}", f"{name}-f{floor}/up", 30 + 7 * floor)
            for port in range(1, 6):
                yield self._device(f"f{floor}", port, "camera", 12 + (11 * port + 5 * floor) % 50)
        for port, role in enumerate(MAIN, 13):
            yield self._device("main", port, role, 25 + (13 * port) % 58)
        self._switch("f7", "switch-24", f"{name}-void", powered=True)
        yield self._run("f7", f"{name}-main/48", f"{name}-f7/25", 55)
        for port, role in enumerate(FLOOR_24, 1):
            yield self._device("f7", port, role, 15 + (17 * port) % 60)

    def _switch(self, short: str, part: str, space: str, *, powered: bool) -> None:
        supply = f', from = "{self.name}-ups"' if powered else ""
        self.into.switches.append(f'{self.name}-{short} = {{ part = "{part}", space = "{space}"{supply} }}')
        self.on.setdefault(short, [])

    def vlans(self, *shorts: str) -> set[str]:
        """Return the VLANs of what hangs on some of its switches, management beside them."""
        roles = {role for short in shorts or self.on for _, role in self.on[short]}
        return {"management"}.union(*(ROLE_VLANS[role] for role in roles))

    def write_ports(self, below: dict[int, set[str]]) -> None:
        """Write the VLANs of its ports; ``below`` gives those on each of its links to other blocks."""
        for short, on in self.on.items():
            table = [f"[port.{self.name}-{short}]"]
            table += [f"{keys} = {{ {ACCESS[role]} }}" for keys, role in _ranges(on)]
            if short == "main":
                for other in self.on:
                    if other != "main":
                        table.append(
                            f"{other[1:] if other != 'f7' else 48} = {{ {_trunk(self.vlans(other))} }}"
                        )
                table.append(f"45 = {{ {_trunk(self.vlans().union(*below.values()))} }}")
                table += [f"{port} = {{ {_trunk(vlans)} }}" for port, vlans in below.items()]
            else:
                table.append(f"{'25' if short == 'f7' else 'up'} = {{ {_trunk(self.vlans(short))} }}")
            self.into.ports.append("\n".join(table))

    def _device(self, switch: str, port: int, role: str, link_m: int) -> str:
        device = f"{self.name}-{switch}-{role}-{port:02d}"
        self.into.devices.append(
            f'{device} = {{ part = "{PARTS[role]}", space = "{self.name}-void", role = "{role}" }}'
        )
        if role == "access-point":
            self.access_points.append(device)
        self.on[switch].append((port, role))
        return self._run(f"{switch}-{port:02d}", f"{self.name}-{switch}/{port}", device, link_m)

    def _run(self, short: str, start: str, end: str, link_m: int, *, tray: bool = True) -> str:
        entry = (
            f'{self.name}-{short} = {{ from = "{start}", to = "{end}", cable = "cat6a", link_m = {link_m}, '
            "cords_m = [2, 1], connections = 2, "
        )
        if not tray:
            return f'{entry}space = "{self.name}-room" }}'
        if self.in_bundle % BUNDLE == 0:
            self.into.bundles.append(
                f'{self.name}-{1 + self.in_bundle // BUNDLE} = {{ pathway = "{self.name}-tray", others = 0 }}'
            )
        bundle = f"{self.name}-{1 + self.in_bundle // BUNDLE}"
        self.in_bundle += 1
        return f'{entry}space = "{self.name}-void", bundle = "{bundle}" }}'


def _trunk(vlans: set[str]) -> str:
    tagged = ", ".join(f'"{vlan}"' for vlan in VLANS if vlan in vlans)
    return f'untagged = "none", tagged = [{tagged}]'


def _ranges(on: list[tuple[int, str]]) -> Iterator[tuple[str, str]]:
    """Yield ranges of neighbouring ports with one role each."""
    ports = sorted(on)
    start = 0
    for place, (port, role) in enumerate(ports):
        if place + 1 == len(ports) or ports[place + 1] != (port + 1, role):
            first = ports[start][0]
            yield (f"{first}-{port}" if port > first else f"{port}"), role
            start = place + 1


def campus(runs: int) -> str:
    """Return the text of a campus with so many runs."""
    if runs < 1:
        raise ValueError("a campus has at least one run")
    into = Written(*([] for _ in Written._fields))
    blocks: list[Block] = []
    written = 0
    while written < runs:
        number = len(blocks) + 1
        parent = None if number == 1 else 1 + (number - 2) // 4
        blocks.append(Block(number, parent, 49 + (number - 2) % 4, into))
        written += blocks[-1].write(min(BLOCK_RUNS, runs - written))
    below: dict[int | None, dict[int, set[str]]] = {}
    for block in reversed(blocks):  # only the last block can lack a VLAN, and nothing hangs on it
        below.setdefault(block.parent, {})[block.uplink] = block.vlans()
    for block in blocks:
        block.write_ports(dict(sorted(below.get(block.number, {}).items())))
    into.ports.append(f"[port.router]\nlan = {{ {_trunk(set(VLANS))} }}")
    tables = (
        ("space", into.spaces),
        ("pathway", into.pathways),
        ("bundle", into.bundles),
        ("circuit", into.circuits),
        ("ups", into.ups),
        ("switch", into.switches),
        ("device", into.devices),
        ("run", into.runs),
    )
    text = [HEAD.format(runs=runs, blocks=len(blocks))]
    text += [f"[{table}]\n" + "\n".join(lines) + "\n" for table, lines in tables if lines]
    text.append(ROLES)
    if into.ssids:
        text.append("[ssid]\n" + "\n".join(into.ssids) + "\n")
    text.append("\n".join(into.ports) + "\n")
    return "\n".join(text)


def main() -> None:
    """Write a campus to a file or to standard output."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("runs", type=int, help="how many runs")
    parser.add_argument("file", type=Path, nargs="?", help="where to write it (standard output)")
    options = parser.parse_args()
    text = campus(options.runs)
    if options.file is None:
        print(text, end="")  # noqa: T201 - this is the program's output
    else:
        options.file.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
