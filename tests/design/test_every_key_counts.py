# ruff: noqa: E501 - a thing of a design stands in one line
"""Each key of a design and of a basis changes what a review says: no key is read by nobody.

The keys are taken from the models. A row changes one value of a small design (after a setup, where the value only
matters in another case), and counts for every key on the path to it if the review's JSON says something else then.
Places, hashes and the identities of findings do not count.
"""

import copy
import json
import tempfile
from collections.abc import Mapping
from datetime import date
from functools import cache
from pathlib import Path as FilePath
from typing import Any, NamedTuple

import pytest
import tomli

from every_model import models_below, models_in
from riserlint import VERSION, Review, load_rules
from riserlint.analysis.loads import Case
from riserlint.analysis.schedules.schedule import schedule_of
from riserlint.design.basis import BasisFile
from riserlint.design.models import DesignFile, InlineValues, Statement, Written
from riserlint.design.paths import Path, parse_path
from riserlint.reports.json_report import json_text
from riserlint.reports.schedule_text import csv_text
from riserlint.review.engine import review_design
from riserlint.review.mending import toml_key, toml_value
from riserlint.review.opening import opened
from riserlint.testing import TODAY

DESIGN = """
[design]
title = "Base"
revision = "A"
stage = "construction"
region = "north-america"
date = 2026-01-05
parts = ["parts.toml"]
origin = "stated"

[space]
room = { max_c = 26, mean_c = 22 }
void = { max_c = 58, mean_c = 45 }
cool = { max_c = 30, mean_c = 25 }
[cable]
link = { category = "6", conductor_awg = 23, material = "copper", strand = "solid", screen = "none", outer_mm = 6.1, rated_c = 60 }
thin = { category = "6", conductor_awg = 28, material = "copper", strand = "stranded", screen = "none" }
cord = { category = "6", conductor_awg = 26, material = "copper", strand = "stranded", screen = "none" }
[pathway]
wrap = { kind = "insulated", space = "void", insulation_mm = 20 }
tray = { kind = "open-tray", space = "cool" }
[bundle]
b = { pathway = "wrap", others = 6, others_powered = true }
b-cool = { pathway = "tray", others = 0 }
[circuit]
db = { from = "mains" }
db-2 = { from = "mains" }
[ups]
u = { from = "db", space = "room", rated_va = 90, rated_w = 80, efficiency = 0.9, chemistry = "lead-acid", battery_date = 2024-01-01, design_life_years = 5, runtime = [{ w = 50, min = 30 }, { w = 400, min = 4 }] }
[part.main]
ac = { own_w = 40, efficiency = 0.9, power_factor = 0.9 }
pse = { type = 4, scheme = "ieee", min_v = 52, budget_w = 100, reserves = "class", lldp = true }
ports = { 1-4 = { pse_class = 8 }, 5-8 = { pse_class = 4 }, 9-12 = { pse_class = "none" } }
vlans = "802.1Q"
[part.floor]
inlet = { port = "up", scheme = "ieee", pd_class = 4, own_w = 9, efficiency = 0.88, passes_through = false, needs_lldp = false, min_v = 42 }
pse = { type = 2, scheme = "ieee", min_v = 51, budget_w = 14, reserves = "measured", lldp = true }
ports = { 1-4 = { pse_class = 4 } }
vlans = "802.1Q"
[part.camera]
pd = { scheme = "ieee", pd_class = 3, needs_lldp = false, min_v = 37 }
draw_w = { typical = 5, day = 7, night = 12, start = 9 }
[switch]
core = { part = "main", space = "room", supplies = [{ from = "u", poe_w = 60 }, { from = "db-2", poe_w = 70 }], supply_mode = "redundant" }
hall = { part = "floor", space = "void" }
plain = { space = "room", from = "u", ac = { own_w = 5, power_factor = 0.9, efficiency = 0.9 }, pse = { type = 2, scheme = "ieee", min_v = 50, budget_w = 10, reserves = "class", lldp = true }, ports = { 1-4 = { pse_class = 4 } }, vlans = "802.1Q" }
[inline]
protector = { kind = "surge-protector", ohm = 1 }
injector = { kind = "injector", at_m = 20, ohm = 0.5, pse_class = 4, pse = { type = 2, scheme = "ieee", min_v = 50, lldp = true }, from = "u", own_w = 2, efficiency = 0.85 }
[device]
cam-1 = { part = "camera", space = "void", role = "camera", priority = "critical" }
cam-2 = { part = "camera", space = "void", role = "camera", priority = "low" }
cam-3 = { part = "camera", space = "room", role = "camera" }
ap = { space = "room", role = "access-point", pd = { scheme = "ieee", pd_class = 4, needs_lldp = false, min_v = 42 }, draw_w = { typical = 10, day = 14, night = 14, start = 14 }, joins = "bridge" }
recorder = { space = "room", role = "recorder", from = "db", ac = { own_w = 30, power_factor = 0.9 }, joins = "none" }
router = { space = "room", role = "router", from = "u", ac = { own_w = 10, power_factor = 0.9 }, joins = "route" }
panel = { space = "room", role = "panel", from = "u", ac = { own_w = 10, power_factor = 0.9 } }
[run]
R-1 = { from = "core/1", to = "hall/up", cable = "link", link_m = 96, cords_m = [3, 2], connections = 2, route = [{ space = "void", m = 60, bundle = "b" }, { space = "room", m = 36, bundle = "none" }] }
R-2 = { from = "hall/1", to = "cam-1", cable = "link", link_m = 85, cords = [{ cable = "cord", m = 5 }, { cable = "cord", m = 5 }], connections = 2, space = "void", bundle = "b" }
R-3 = { from = "hall/2", to = "cam-2", cable = "link", link_m = 84, cords_m = [9, 8], connections = 2, space = "void", bundle = "b", through = ["protector"] }
R-4 = { from = "core/9", to = "cam-3", cable = "link", link_m = 70, cords_m = [3, 2], connections = 2, space = "void", bundle = "b", through = ["injector"] }
R-5 = { from = "core/5", to = "ap", cable = "shared", link_m = 40, cords_m = [3, 2], connections = 2, space = "room", bundle = "none" }
R-6 = { from = "core/10", to = "recorder", cable = "link", link_m = 5, cords_m = [1, 1], connections = 2, space = "room", bundle = "none" }
R-7 = { from = "core/11", to = "router/lan", cable = "link", link_m = 5, cords_m = [1, 1], connections = 2, space = "room", bundle = "none" }
R-8 = { from = "core/12", to = "panel", cable = "link", link_m = 5, cords_m = [1, 1], connections = 2, space = "room", bundle = "none" }
[role]
camera = { needs = ["recorder"], apart_from = ["guest"], standby_min = 60 }
access-point = { standby_min = 0 }
recorder = {}
router = {}
panel = { needs = ["router"], apart_from = ["guest"], standby_min = 40 }
guest = {}
[vlan]
cameras = { vid = 20, gateway = "router" }
guests = { vid = 30, gateway = "router" }
house = { vid = 40, gateway = "router" }
[gateway]
router = { default = "deny" }
[port.core]
1 = { untagged = "none", tagged = ["cameras"] }
5 = { untagged = "house", tagged = ["guests"] }
9 = { untagged = "cameras", tagged = [] }
10 = { untagged = "cameras", tagged = [] }
11 = { untagged = "none", tagged = ["cameras", "guests", "house"] }
12 = { untagged = "guests", tagged = [] }
6 = { untagged = "house", tagged = [], role = "panel" }
[port.hall]
up = { untagged = "none", tagged = ["cameras"] }
1-2 = { untagged = "cameras", tagged = [] }
[port.router]
lan = { untagged = "none", tagged = ["cameras", "guests", "house"] }
[ssid]
visitors = { vlan = "guests", role = "guest", at = ["ap"] }
[[variance]]
rule = "channel-length/permanent-link"
at = "run.R-1"
reason = "agreed"
granted_by = "owner"
until = 2027-01-01
"""

BASIS = """
[basis]
title = "Basis"
revision = "1"
region = "europe"
hold_on_open = false
[basis.editions]
text = "1"
[rule.cascade-headroom]
reserve_share = 0.1
"""

PARTS = {
    "parts.toml": '[cable]\nshared = { category = "6", conductor_awg = 23, material = "copper", strand = "solid" }\n',
    "other.toml": '[cable]\nshared = { category = "6", conductor_awg = 24 }\n',
}


class _Gone:
    """Marks a key that is taken out."""


GONE: Any = _Gone()
Setup = tuple[tuple[str, Any], ...]


class Row(NamedTuple):
    """A value that is changed: its path (``basis:`` before one of the basis), the new value, what is set first.

    ``in_schedule``: it changes what schedules print, at nominal voltage, and no finding.
    """

    at: str
    value: Any
    first: Setup = ()
    in_schedule: bool = False


FLOOR: Any = tomli.loads(DESIGN)["part"]["floor"]
PASSIVE_INLET: Setup = (("part.floor.inlet.scheme", "passive"), ("part.main.pse.scheme", "passive"))
PASSIVE_CAMERA: Setup = (("part.camera.pd.scheme", "passive"), ("part.floor.pse.scheme", "passive"))
ROOMY: Any = {"from": "db", "rated_va": 2000, "rated_w": 1800, "battery_wh": 9000, "efficiency": 0.9}
TWO_UPS: Setup = (
    *(
        (
            f"ups.in-{space}",
            {**ROOMY, "chemistry": "lithium", "battery_date": date(2026, 1, 1), "space": space},
        )
        for space in ("room", "void")
    ),
    ("ups.u.space", "cool"),
    ("role.camera.standby_min", 0),
    ("role.panel.standby_min", 0),
)
#: A camera and an access point at a source of two supplies, of which one alone can't feed both.
SHORT_SUPPLY: Setup = (
    ("switch.plain.from", GONE),
    ("switch.plain.supplies", [{"from": "u", "poe_w": 31}, {"from": "db-2", "poe_w": 31}]),
    ("switch.plain.supply_mode", "redundant"),
    ("switch.plain.pse.budget_w", 50),
    ("run.R-3.from", "plain/1"),
    ("run.R-5.from", "plain/2"),
    ("device.ap.priority", "high"),
)
#: What the supplies of the core give, by input voltage and by ambient; the core stands at 26 °C.
BY_VOLTS: Any = [{"w": 70, "volts": 230}, {"w": 50, "volts": 120}]
BY_AMBIENT: Setup = (
    ("switch.core.supplies[1].poe_w", [{"w": 70, "max_c": 30}, {"w": 50, "max_c": 60}]),
    ("circuit.db-2.volts", 230),
)
#: Two cameras on a floor switch that has the watts for both once they run, and for one of them starting.
STAGED: Setup = (
    ("part.floor.pse.budget_w", 24),
    ("part.floor.inlet.pd_class", 5),
    ("part.camera.draw_w", {"typical": 5, "day": 7, "night": 9, "start": 12.9, "start_s": 10}),
    ("part.floor.pse.start", {"ports": 1, "every_s": 10}),
    ("bundle.b.others", 0),
)
GROUPED: Setup = (("part.main.pse.groups", [{"ports": "1-4", "budget_w": 40}, {"ports": "5-8"}]),)
#: What a breaker of 2 A may carry: 2 A × 0.8 × 230 V = 368 VA.
BREAKER: Setup = tuple(
    (f"circuit.db-2.{key}", value)
    for key, value in {
        "volts": 230,
        "breaker_a": 2,
        "rated_100": False,
        "others_w": 280,
        "others_power_factor": 1,
    }.items()
)
BREAKER_OF_UPS: Setup = (
    *((at.replace("db-2", "db"), value) for at, value in BREAKER),
    ("circuit.db.others_w", 0),
    ("ups.u.input_power_factor", 1),
    ("ups.u.recharge_w", 10),
)
#: A switch that routes between the cameras and the guests.
PERMITTED: Setup = (
    *((f"vlan.{vlan}.gateway", "core") for vlan in ("cameras", "guests", "house")),
    ("gateway.core.default", "permit"),
    ("device.router.joins", "none"),
)

#: A plenum with a cable that may not lie in it; outdoors beside the room, with a jacket for it; two floors.
IN_PLENUM: Setup = (("space.void.air", "plenum"), ("cable.link.jacket", "CM"))
#: A link of the cameras that carries next to nothing.
SLOW: Setup = (("run.R-1.mbps", 10),)
#: A network with a pool that the panel gives out, which is in another one.
OF_CAMERAS = (
    ("vlan.cameras.subnet", "10.0.20.0/24"),
    ("vlan.cameras.gateway_address", "10.0.20.1"),
    ("vlan.cameras.pools", [{"first": "10.0.20.100", "last": "10.0.20.199", "from": "panel"}]),
)
OUTSIDE: Setup = (("space.room.exposure", "indoor"), ("space.void.exposure", "outdoor"))
ENTERING: Setup = (
    ("cable.link.jacket", "outdoor"),
    ("space.room.exposure", "outdoor"),
    ("space.void.exposure", "indoor"),
    ("pathway.wrap.raceway", "rigid-metal"),
)
FLOORS: Setup = (
    ("cable.link.jacket", "CM"),
    ("space.room.floor", 0),
    ("space.void.floor", 0),
    ("pathway.wrap.raceway", "none"),
)
#: A run that comes out of the room into the void, with a protector of which nobody knows the end.
COMING_OUT: Setup = (
    *OUTSIDE,
    ("switch.hall.space", "room"),
    ("run.R-3.space", GONE),
    ("run.R-3.bundle", GONE),
    ("run.R-3.route", [{"space": "room", "m": 40}, {"space": "void", "m": 44}]),
)

#: The base is such that most values matter as they stand.
ROWS: tuple[Row, ...] = (
    # -- head
    Row("design.title", "Other"),
    Row("design.revision", "B"),
    Row("design.stage", "concept"),
    Row("design.region", "europe"),
    Row("design.date", date(2026, 2, 2)),
    Row("design.parts", ["other.toml"]),
    Row("design.origin", "drawing"),
    # -- places
    Row("space.void.max_c", 57),
    Row("space.void.mean_c", 44),
    Row("space.room.cooling_w", 5),
    Row("space.room.building", "annex", (("space.void.building", "main"),)),
    Row("space.void.floor", 1, FLOORS),
    Row("space.void.air", "plenum", IN_PLENUM[1:]),
    Row("space.void.exposure", "outdoor"),
    Row("pathway.wrap.raceway", "metal", IN_PLENUM),
    Row("pathway.wrap.bonded", True, ENTERING),
    Row("pathway.wrap.fire_rated_shaft", True, (*FLOORS, ("space.void.floor", 1))),
    Row("pathway.wrap.kind", "open-tray"),
    Row("pathway.wrap.space", "hot", (("space.hot", {"max_c": 70, "mean_c": 40}),)),
    Row("pathway.wrap.insulation_mm", 60),
    Row("bundle.b.pathway", "tray"),
    Row("bundle.b.others", 20),
    Row("bundle.b.others_powered", False),
    # -- cable
    Row("cable.link.category", "8"),
    Row("cable.link.conductor_awg", 24),
    Row("cable.link.material", "copper-clad-aluminium"),
    Row("cable.link.strand", "stranded"),
    Row("cable.link.screen", "foil"),
    Row("cable.link.outer_mm", 5.1),
    Row("cable.link.rated_c", 90),
    Row("cable.link.jacket", "CMP", IN_PLENUM),
    Row(
        "cable.link.fire_class",
        "Fca",
        (("design.region", "europe"), ("basis:rule.jacket-space", {"fire_class": "Eca"})),
    ),
    Row("cable.link.listed_a", 0.5, (("part.floor.inlet.pd_class", 8),)),
    # -- power
    Row("circuit.db-2.from", "u"),
    Row("circuit.db-2.volts", 115, BREAKER),
    Row("circuit.db-2.breaker_a", 1, BREAKER),
    Row("circuit.db-2.rated_100", False, (*BREAKER, ("circuit.db-2.rated_100", True))),
    Row("circuit.db-2.others_w", 300, BREAKER),
    Row("circuit.db-2.others_power_factor", 0.5, BREAKER),
    Row("ups.u.from", "generator"),
    Row("ups.u.space", "void"),
    Row(
        "circuit.db-2.volts", 120, (("switch.core.supplies[1].poe_w", BY_VOLTS), ("circuit.db-2.volts", 230))
    ),
    Row("ups.u.volts", 120, (("switch.core.supplies[0].poe_w", BY_VOLTS), ("ups.u.volts", 230))),
    Row("ups.u.rated_va", 70),
    Row("ups.u.rated_w", 70),
    Row("ups.u.efficiency", 0.5, (("ups.u.runtime", GONE), ("ups.u.battery_wh", 200))),
    Row("ups.u.input_power_factor", 0.5, BREAKER_OF_UPS),
    Row("ups.u.recharge_w", 300, BREAKER_OF_UPS),
    Row("ups.u.chemistry", "lithium"),
    Row("ups.u.battery_wh", 300, (("ups.u.runtime", GONE), ("ups.u.battery_wh", 200))),
    Row("ups.u.battery_date", date(2019, 1, 1)),
    Row("ups.u.design_life_years", 2),
    Row("ups.u.tested_capacity", 0.7),
    Row("ups.u.runtime[0].w", 60),
    Row("ups.u.runtime[0].min", 25),
    Row("ups.u.address", "10.0.9.9", (*OF_CAMERAS, ("ups.u.managed_in", "cameras"))),
    Row(
        "ups.u.managed_in",
        "house",
        (*OF_CAMERAS, ("ups.u.address", "10.0.9.9"), ("ups.u.managed_in", "cameras")),
    ),
    Row(
        "ups.u.reserved",
        True,
        (*OF_CAMERAS, ("ups.u.address", "10.0.20.150"), ("ups.u.managed_in", "cameras")),
    ),
    Row("ups.u.bypass", True, (("device.panel.not_lost_with", ["router"]),)),
    Row("ups.u.sheds", [{"after_min": 5, "gear": ["cam-1"]}]),
    Row("ups.u.sheds[0].after_min", 9, (("ups.u.sheds", [{"after_min": 5, "gear": ["cam-1"]}]),)),
    Row("ups.u.sheds[0].gear[0]", "ap", (("ups.u.sheds", [{"after_min": 5, "gear": ["cam-1"]}]),)),
    Row("ups.u.sheds[0].roles", ["camera"], (("ups.u.sheds", [{"after_min": 5}]),)),
    Row("part.main.ac.own_w", 44),
    Row("part.main.ac.start_w", 90),
    Row("part.main.ac.efficiency", 0.8),
    Row("part.main.ac.power_factor", 0.7),
    Row("part.floor.pse.type", 1, (("part.floor.pse.min_v", GONE),)),
    Row("part.floor.pse.scheme", "passive"),
    Row("part.floor.pse.min_v", 45),
    Row("part.floor.pse.budget_w", 20),
    Row("part.floor.pse.start.ports", 2, STAGED),
    Row("part.floor.pse.start.every_s", 5, STAGED),
    Row("part.camera.draw_w.start_s", 25, STAGED),
    Row("part.camera.pd.inrush_a", 2, (("part.camera.pd.inrush_ms", 20),)),
    Row("part.camera.pd.inrush_ms", 90, (("part.camera.pd.inrush_a", 2), ("part.camera.pd.inrush_ms", 1))),
    Row("part.floor.inlet.inrush_a", 2, (("part.floor.inlet.inrush_ms", 20),)),
    Row(
        "part.floor.inlet.inrush_ms",
        90,
        (("part.floor.inlet.inrush_a", 2), ("part.floor.inlet.inrush_ms", 1)),
    ),
    Row("part.main.pse.groups[0].budget_w", 20, GROUPED),
    Row("part.main.pse.groups[0].ports", "2-4", GROUPED),
    Row("part.floor.pse.reserves", "class"),
    Row("part.main.pse.nominal_v", 56, in_schedule=True),
    Row("part.main.pse.lldp", False, (("device.ap.pd.needs_lldp", True),)),
    Row("part.floor.ports.1-4.pse_class", 2),
    Row("part.floor.ports.1-4.cap_w", 6),
    Row("part.floor.inlet.port", "in", (("run.R-1.to", "hall"), ("port.hall.up", GONE))),
    Row("part.floor.inlet.scheme", "passive"),
    Row("part.floor.inlet.pd_class", 5),
    Row("part.floor.inlet.signature", "dual"),
    Row(
        "part.floor.inlet.second_w",
        3,
        (("part.floor.inlet.signature", "dual"), ("part.floor.inlet.second_class", 5)),
    ),
    Row("part.floor.inlet.second_class", 3, (("part.floor.inlet.signature", "dual"),)),
    Row("part.floor.inlet.needs_lldp", True, (("part.main.pse.lldp", False),)),
    Row("part.floor.inlet.demoted_w", 5, (("part.main.ports.1-4.pse_class", 3),)),
    Row("part.floor.inlet.passive_v", 24, PASSIVE_INLET),
    Row("part.floor.inlet.min_v", 51.5, PASSIVE_INLET),
    Row("part.floor.inlet.own_w", 10),
    Row("part.floor.inlet.efficiency", 0.8),
    Row("part.floor.inlet.passes_through", True),
    Row(
        "part.floor.inlet.drop_v",
        5,
        (("part.floor.inlet.passes_through", True), ("part.floor.inlet.own_w", 20)),
    ),
    Row("part.camera.pd.scheme", "passive"),
    Row("part.camera.pd.pd_class", 2),
    Row("part.camera.pd.signature", "dual"),
    Row(
        "part.camera.pd.second_w",
        5,
        (
            ("part.floor.pse.type", 4),
            ("part.floor.ports.1-4.pse_class", 8),
            ("part.camera.pd.signature", "dual"),
            ("part.camera.pd.second_class", 5),
        ),
        in_schedule=True,
    ),
    Row("part.camera.pd.second_class", 3, (("part.camera.pd.signature", "dual"),)),
    Row("part.camera.pd.needs_lldp", True, (("part.floor.pse.lldp", False),)),
    Row(
        "part.camera.pd.demoted_w", 3, (("part.floor.ports.1-4.pse_class", 3), ("part.camera.pd.pd_class", 4))
    ),
    Row("part.camera.pd.passive_v", 24, PASSIVE_CAMERA),
    Row("part.camera.pd.min_v", 50.9, PASSIVE_CAMERA),
    Row("part.camera.draw_w.typical", 6),
    Row("part.camera.draw_w.day", 13),
    Row("part.camera.draw_w.night", 11),
    Row("part.camera.draw_w.start", 13),
    Row("part.floor.vlans", "none"),
    Row("part.floor.works_to_c", 30),
    Row("ups.u.works_to_c", 20),
    Row("part.floor.ip", "IP20", OUTSIDE),
    # -- gear
    Row(
        "switch.hall.part", "floor-2", (("part.floor-2", {**FLOOR, "inlet": {**FLOOR["inlet"], "own_w": 3}}),)
    ),
    Row("switch.plain.space", "void", (*TWO_UPS, ("switch.plain.from", "db"))),
    Row("switch.plain.from", "db"),
    Row("switch.core.supplies[1].from", "u"),
    Row("switch.core.supplies[1].poe_w", 20),
    Row("switch.core.supplies[1].poe_w[0].w", 55, BY_AMBIENT),
    Row("switch.core.supplies[1].poe_w[0].max_c", 20, BY_AMBIENT),
    Row(
        "switch.core.supplies[1].poe_w[1].volts",
        215,
        (("switch.core.supplies[1].poe_w", BY_VOLTS), ("circuit.db-2.volts", 210)),
    ),
    Row("switch.core.supply_mode", "combined"),
    Row("switch.hall.feed_first", "local", (("switch.hall.from", "db-2"),)),
    Row("switch.plain.ac.own_w", 9),
    Row("switch.plain.pse.budget_w", 99, (("run.R-2.from", "plain/1"),)),
    Row("switch.plain.ports.1-4.pse_class", 2, (("run.R-2.from", "plain/1"),)),
    Row("switch.hall.inlet.own_w", 12),
    Row("switch.hall.vlans", "none"),
    Row("switch.hall.works_to_c", 30),
    Row("switch.hall.address", "10.0.9.9", (*OF_CAMERAS, ("switch.hall.managed_in", "cameras"))),
    Row("switch.hall.managed_in", "cameras", (*OF_CAMERAS, ("switch.hall.address", "10.0.9.9"))),
    Row(
        "switch.hall.reserved",
        True,
        (*OF_CAMERAS, ("switch.hall.address", "10.0.20.150"), ("switch.hall.managed_in", "cameras")),
    ),
    Row("switch.hall.ip", "IP20", OUTSIDE),
    Row("inline.protector.kind", "injector"),
    Row("inline.protector.ohm", 9),
    Row("inline.protector.space", "room", COMING_OUT),
    Row("inline.protector.max_v", 50),
    Row("inline.protector.pairs", 2),
    Row("inline.protector.bonded", True),
    Row("inline.injector.at_m", 60),
    Row("inline.injector.pse_class", 2),
    Row("inline.injector.pse.min_v", 44),
    Row("inline.injector.from", "db"),
    Row("inline.injector.own_w", 5),
    Row("inline.injector.efficiency", 0.5),
    Row("device.cam-1.part", "other", (("part.other", {"pd": {"pd_class": 2}}),)),
    Row("device.recorder.space", "void", TWO_UPS),
    Row("device.cam-1.role", "panel"),
    Row("device.cam-1.ip", "IP20", OUTSIDE),
    Row("device.cam-3.address", "10.0.9.9", OF_CAMERAS),
    Row("device.cam-3.managed_in", "house", (*OF_CAMERAS, ("device.cam-3.address", "10.0.9.9"))),
    Row("device.cam-3.reserved", True, (*OF_CAMERAS, ("device.cam-3.address", "10.0.20.150"))),
    Row("device.cam-2.priority", "critical", SHORT_SUPPLY),
    Row("device.recorder.from", "u"),
    Row("device.cam-1.feed_first", "inlet", (("device.cam-1.from", "db-2"),)),
    Row("device.cam-1.needs", ["panel"]),
    Row("device.cam-1.not_lost_with", ["cam-3"]),
    Row(
        "device.recorder.joins",
        "bridge",
        (
            ("run.R-6.to", "recorder/lan"),
            ("run.R-9", {"from": "core/7", "to": "recorder/back"}),
            ("port.core.7", {"untagged": "guests", "tagged": []}),
        ),
    ),
    Row("device.panel.ac.own_w", 20),
    Row("device.panel.works_to_c", 20),
    Row("device.ap.pd.pd_class", 3),
    Row("device.ap.draw_w.night", 25),
    # -- runs
    Row("run.R-3.from", "hall/3"),
    Row("run.R-3.to", "cam-9", (("device.cam-9", {"part": "camera", "role": "camera", "space": "void"}),)),
    Row("run.R-3.cable", "thin"),
    Row("run.R-1.link_m", 95),
    Row("run.R-3.cords_m", [12, 8]),
    Row("run.R-2.cords[0].cable", "thin"),
    Row("run.R-2.cords[0].m", 9),
    Row("run.R-2.cords[0].bundled_with", 20, (("run.R-2.cords[0].cable", "thin"),)),
    Row("run.R-1.connections", 5),
    Row("run.R-1.consolidation_point_m", 5),
    Row("run.R-2.pairs", 4),
    Row("run.R-2.space", "room"),
    Row("run.R-2.bundle", "none"),
    Row("run.R-1.route[0].space", "cool"),
    Row("run.R-1.route[0].m", 20),
    Row("run.R-1.route[0].bundle", "b-cool"),
    Row("run.R-3.through", []),
    Row(
        "run.R-1.link_m.origin",
        "stated",
        (("run.R-1.link_m", {"is": 96, "origin": "measured", "by": "tester"}),),
    ),
    Row("run.R-1.link_m.by", "tape", (("run.R-1.link_m", {"is": 96, "origin": "measured", "by": "tester"}),)),
    Row("run.R-1.link_m.on", date(2026, 3, 3), (("run.R-1.link_m", {"is": 96, "origin": "measured"}),)),
    # -- network
    Row("role.camera.needs", ["router"]),
    Row("role.panel.apart_from", []),
    Row("role.camera.standby_min", 90),
    Row("vlan.cameras.vid", 1),
    Row("vlan.cameras.gateway", GONE, PERMITTED),
    Row("vlan.cameras.subnet", "10.0.8.0/24", (*OF_CAMERAS, ("device.cam-3.address", "10.0.9.9"))),
    Row("vlan.cameras.gateway_address", "10.0.9.1", OF_CAMERAS),
    Row("vlan.cameras.pools", [], (*OF_CAMERAS, ("device.cam-3.address", "pool"))),
    Row("vlan.cameras.pools[0].first", "10.0.20.1", OF_CAMERAS),
    Row("vlan.cameras.pools[0].last", "10.0.21.1", OF_CAMERAS),
    Row("vlan.cameras.pools[0].from", "router", (*OF_CAMERAS, ("device.cam-3.address", "pool"))),
    Row("vlan.cameras.relay", "router", (*OF_CAMERAS, ("device.cam-3.address", "pool"))),
    Row("gateway.router.default", "permit"),
    Row(
        "gateway.router.replies",
        True,
        (
            ("port.core.12.untagged", "house"),
            ("port.core.10.untagged", "guests"),
            ("flow", {"video": {"from": "camera", "to": "recorder"}}),
        ),
    ),
    Row("part.camera.stream_mbps.average", 6, SLOW),
    Row("part.camera.stream_mbps.peak", 8, (*SLOW, ("part.camera.stream_mbps.average", 1))),
    Row("device.ap.clients_mbps.average", 300, (("run.R-5.mbps", 10),)),
    Row("device.ap.clients_mbps.peak", 300, (("run.R-5.mbps", 10), ("device.ap.clients_mbps.average", 1))),
    Row(
        "part.camera.clients_mbps", {"average": 300}, (("run.R-5.mbps", 10), ("ssid.visitors.at", ["cam-3"]))
    ),
    Row(
        "part.camera.intake_mbps",
        1,
        (*SLOW, ("device.panel.needs", ["cam-3"]), ("device.panel.stream_mbps", {"average": 6})),
    ),
    Row("device.cam-1.stream_mbps", {"average": 9}, SLOW),
    Row("device.recorder.intake_mbps", 3, (*SLOW, ("part.camera.stream_mbps.average", 6))),
    Row("run.R-1.mbps", 100, (*SLOW, ("part.camera.stream_mbps.average", 30))),
    Row("part.main.ports.1-4.mbps", 10, (("part.camera.stream_mbps.average", 60),)),
    Row("role.guest.untrusted", True, (("switch.core.managed_in", "guests"),)),
    Row("port.core.12.untagged", "house"),
    Row("port.core.1.group", "a"),
    Row(
        "port.core.9.isolated",
        True,
        (("role.camera.apart_from", ["recorder"]), ("port.core.10.isolated", True)),
    ),
    Row("port.core.1.tagged", []),
    Row(
        "port.core.6.role", "guest", (("port.core.6.untagged", "guests"), ("port.core.12.untagged", "house"))
    ),
    Row("ssid.visitors.vlan", "house"),
    Row("ssid.visitors.role", "panel"),
    Row("ssid.visitors.at", []),
    Row("flow.video.from", "router", (("flow.video", {"from": "guest", "to": "camera"}),)),
    Row(
        "flow.video.service",
        "udp/5004",
        (("flow.video", {"from": "guest", "to": "camera", "service": "tcp/554"}),),
    ),
    Row("flow.video.to", "router", (("flow.video", {"from": "guest", "to": "camera"}),)),
    Row("variance[0].rule", "channel-length"),
    Row("variance[0].at", "run.R-2"),
    Row("variance[0].reason", "other"),
    Row("variance[0].granted_by", "other"),
    Row("variance[0].until", date(2026, 1, 1)),
    # -- basis
    Row("basis:basis.title", "Other"),
    Row("basis:basis.revision", "2"),
    Row("basis:basis.region", "international", (("design.region", GONE),)),
    Row("basis:basis.editions", {"text": "2"}),
    Row("basis:basis.hold_on_open", True, (("run.R-2.link_m", GONE),)),
    Row("basis:basis.memory_at_most", "note"),
    Row("basis:allowance.share", 0.2, (("design.origin", "drawing"),)),
    Row("basis:allowance.m", 9, (("design.origin", "drawing"),)),
    Row("basis:allowance.spare_share", 0.1, in_schedule=True),
    Row("basis:rule.cascade-headroom.reserve_share", 0.3),
    Row("basis:assume.space.mean_c", 30, (("space.void", {}),)),
    Row("basis:assume.cable.conductor_awg", 24, (("cable.link.conductor_awg", GONE),)),
    Row("basis:assume.cord.m", 3, (("run.R-2.cords[0].m", GONE),)),
    Row("basis:assume.cord_cable.conductor_awg", 26),
    Row("basis:assume.pathway.kind", "open-tray", (("pathway.wrap.kind", GONE),)),
    Row("basis:assume.bundle.others", 3, (("bundle.b.others", GONE),)),
    Row("basis:assume.circuit.from", "mains", (("circuit.db-2", {}),)),
    Row("basis:assume.ups.rated_w", 300, (("ups.u.rated_w", GONE),)),
    Row("basis:assume.ac.own_w", 20, (("part.main.ac.own_w", GONE),)),
    Row("basis:assume.pse.budget_w", 20, (("part.floor.pse.budget_w", GONE),)),
    Row("basis:assume.port.cap_w", 10),
    Row("basis:assume.pd.pd_class", 2, (("part.camera.pd.pd_class", GONE),)),
    Row("basis:assume.inlet.own_w", 5, (("part.floor.inlet.own_w", GONE),)),
    Row("basis:assume.draw_w.night", 11, (("part.camera.draw_w", {"typical": 5}),)),
    Row("basis:assume.supply.poe_w", 20, (("switch.core.supplies[1].poe_w", GONE),)),
    Row("basis:assume.switch.supply_mode", "combined", (("switch.core.supply_mode", GONE),)),
    Row("basis:assume.inline", {"ohm": 3}, (("inline.protector.ohm", GONE),)),
    Row("basis:assume.device.priority", "low", (*SHORT_SUPPLY, ("device.cam-2.priority", GONE))),
    Row("basis:assume.run.connections", 5, (("run.R-1.connections", GONE),)),
    Row("basis:assume.role.standby_min", 70, (("role.camera.standby_min", GONE),)),
    Row(
        "basis:assume.vlan.gateway",
        "core",
        (*PERMITTED, ("vlan.cameras.gateway", GONE)),
    ),
    Row("basis:assume.gateway.default", "permit", (("gateway.router", {}),)),
)

Data = dict[str, Any]
RULES = load_rules().rules


def _split(at: str) -> tuple[bool, Path]:
    """Return whether a row's path is one of the basis, and the path."""
    in_basis = at.startswith("basis:")
    return in_basis, parse_path(at.removeprefix("basis:"))


def _put(data: Any, path: Path, value: Any) -> None:
    here = data
    for part in path[:-1]:
        if isinstance(here, dict) and part not in here:
            here[part] = {}
        here = here[part]
    if value is GONE:
        del here[path[-1]]
    else:
        here[path[-1]] = copy.deepcopy(value)


def _text(data: Mapping[str, Any]) -> str:
    """Return data as TOML, one inline value for each of its keys."""
    return "".join(f"{toml_key(key)} = {toml_value(value)}\n" for key, value in data.items())


def _heard(design: Data, basis: Data, *, in_schedule: bool = False) -> str:
    """Return the review's JSON without places, hashes and the identities of findings; or the schedule's."""
    with tempfile.TemporaryDirectory() as name:
        folder = FilePath(name)
        (folder / ".git").mkdir()
        for file, text in PARTS.items():
            (folder / file).write_text(text, encoding="utf-8")
        (folder / "basis.toml").write_text(_text(basis), encoding="utf-8")
        (folder / "design.toml").write_text(_text(design), encoding="utf-8")
        rules = RULES
        if in_schedule:
            found = opened(folder / "design.toml", TODAY)
            schedule = schedule_of(found.built, Case("nominal", "maximum"))
            return csv_text(schedule.tables)
        reviewed = review_design(folder / "design.toml", rules, today=TODAY)
    assert [problem.message for problem in reviewed.problems] == []
    assert [fault.message for fault in reviewed.faults] == []
    review = Review((reviewed,), rules, (), (), TODAY, "error", VERSION)
    return json.dumps(_without_places(json.loads(json_text(review))), indent=0)


def _without_places(value: Any) -> Any:
    if isinstance(value, dict):
        return {
            key: _without_places(inner)
            for key, inner in value.items()
            if key not in {"location", "files", "fingerprint", "edits"}
        }
    if isinstance(value, list):
        return [_without_places(item) for item in value]
    return value


@cache
def _base_heard() -> str:
    """Return what the base says as it stands: most rows begin there."""
    return _heard(*_base())


def _base() -> tuple[Data, Data]:
    return tomli.loads(DESIGN), tomli.loads(BASIS)


# -- the keys ---------------------------------------------------------------------------------------------------


def _reachable() -> set[type[Written]]:
    # The keys of InlineValues are those of Inline, which have their rows.
    return models_below(DesignFile, BasisFile, Statement) - {InlineValues}


def _keys() -> set[str]:
    return {
        f"{model.__name__}.{field.alias or name}"
        for model in _reachable()
        for name, field in model.model_fields.items()
    }


def _keys_on(at: str) -> list[str]:
    """Return the keys on a path: those of the models that it leads through."""
    in_basis, path = _split(at)
    model: type[Written] | None = BasisFile if in_basis else DesignFile
    found = []
    for part in path:
        if model is None:  # a value in full says things of itself; a rule's parameters are its own models
            if part in Statement.model_fields and not in_basis:
                found.append(f"Statement.{part}")
            continue
        field = next(
            (field for name, field in model.model_fields.items() if (field.alias or name) == part), None
        )
        if field is None:
            continue  # the id of a thing, or a place in a list
        found.append(f"{model.__name__}.{part}")
        model = next(models_in(field.annotation), None)
    return found


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.at)
def test_changing_a_key_changes_what_the_review_says(row: Row) -> None:
    design, basis = _base()
    for at, value in row.first:
        in_basis, path = _split(at)
        _put(basis if in_basis else design, path, value)
    plain = not row.first and not row.in_schedule
    before = _base_heard() if plain else _heard(design, basis, in_schedule=row.in_schedule)
    in_basis, path = _split(row.at)
    _put(basis if in_basis else design, path, row.value)
    assert _heard(design, basis, in_schedule=row.in_schedule) != before


def test_every_key_of_every_model_has_a_row() -> None:
    covered = {key for row in ROWS for key in _keys_on(row.at)}
    assert sorted(_keys() - covered) == []


def test_all_rules_were_asked() -> None:
    assert load_rules().faults == ()
    assert len(RULES) == 20


def test_the_same_design_says_the_same_twice() -> None:
    """Else a row could count for nothing but chance."""
    assert _heard(*_base()) == _base_heard()
