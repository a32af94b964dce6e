"""The rule poe-class, row by row: a sentence, a design, and all that the rule is expected to say of it.

Published numbers beside the checks: watts at the device, classes 1 to 8, and the highest class and the pairs of
each type: trade association white paper "Overview of 802.3bt", April 2018 (docslib.org/doc/13215261); 12.95 W,
category 3 for Type 1 and category 5 for Type 2: a maker's note that restates the standard; 9.38 ohm per 100 m:
summary of the TIA-568 material requirements. Demotion by class events, dual signature and what is left without
negotiation: from memory.
"""

from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from remedies import carried_out
from riserlint.review.findings import Finding
from riserlint.testing import Case, Expected, pointed_at, review_text, said
from riserlint_rules.poe_class import RULE

GOOD_CABLE = 'category = "6", conductor_awg = 23, material = "copper", strand = "solid"'


def design(
    *,
    pse: str = "type = 4",
    port: str = "pse_class = 8",
    pd: str | None = "pd_class = 3",
    draw: str = "",
    device: str = "",
    run: str = "",
    cable: str = GOOD_CABLE,
    switch: str = "",
    source: str = 'from = "core/1"',
    more: str = "",
) -> str:
    """Return a design of one switch, one device and one run, with what a row changes."""
    parts = [f"pd = {{ {pd} }}" if pd is not None else "", f"draw_w = {{ {draw} }}" if draw else "", device]
    return f"""
[design]
title = "Library annex"
[cable]
riser = {{ {cable} }}
[switch]
core = {{ pse = {{ {pse} }}, ports = {{ 1 = {{ {port} }}, 2 = {{ {port} }} }}{switch} }}
[device]
cam = {{ {", ".join(part for part in parts if part)} }}
[run]
R-1 = {{ {source}{", " if source else ""}to = "cam", cable = "riser", link_m = 40{run} }}
{more}"""


def floor_switch(
    *, port: str = "pse_class = 4", inlet: str = "own_w = 9, efficiency = 0.9", more: str = ""
) -> str:
    """Return a design of a switch whose inlet asks for class 6, and a camera of 6 W behind it."""
    return f"""
[design]
title = "Library annex"
[cable]
riser = {{ {GOOD_CABLE} }}
[switch]
core = {{ pse = {{ type = 4 }}, ports = {{ 1 = {{ {port} }} }} }}
[switch.hall]
inlet = {{ port = "up", pd_class = 6, passes_through = false, {inlet} }}
pse = {{ type = 3 }}
ports = {{ 1 = {{ pse_class = 3 }} }}
{more}
[device]
cam = {{ pd = {{ pd_class = 2 }}, draw_w = {{ day = 6 }} }}
[run]
R-1 = {{ from = "core/1", to = "hall/up", cable = "riser", link_m = 40, cords_m = [], connections = 2, space = "room" }}
R-2 = {{ from = "hall/1", to = "cam", cable = "riser", link_m = 20, cords_m = [], connections = 2, space = "room" }}
[space]
room = {{ max_c = 30, mean_c = 20 }}
"""


def injector(values: str, pd: str = "pd_class = 4", run: str = "") -> str:
    """Return a design in which an injector in the run feeds the device, the switch's port gives no power."""
    return design(
        port='pse_class = "none"',
        pd=pd,
        run=f', through = ["inj"]{run}',
        more=f'[inline]\ninj = {{ kind = "injector", {values} }}\n',
    )


FEED, SWITCH, RUN = "device.cam", "switch.core", "run.R-1"


def one(check: str, outcome: str, subject: str, points_at: str) -> tuple[Expected, ...]:
    return (Expected(check, outcome, subject, points_at),)


GRANTED = [
    Case("a class 3 device at a class 8 port gets what it asks for", design()),
    Case("class 0 counts as class 3, at either end", design(pd="pd_class = 0", port="pse_class = 0")),
    Case("the highest class at the highest port is granted", design(pd="pd_class = 8")),
    Case(
        "a demoted device whose draw is above what it gets does not work",
        design(pd="pd_class = 6", draw="night = 38", port="pse_class = 4"),
        one("granted-class", "error", FEED, '"core/1"'),
    ),
    Case(
        "a demoted device that states what it does on less works with less than its full function",
        design(pd="pd_class = 6, demoted_w = 22", draw="night = 38", port="pse_class = 4"),
        one("granted-class", "warning", FEED, '"core/1"'),
    ),
    Case(
        "what it states when demoted is above what it gets",
        design(pd="pd_class = 6, demoted_w = 28", draw="night = 38", port="pse_class = 4"),
        one("granted-class", "error", FEED, '"core/1"'),
    ),
    Case(
        "a device that is off when demoted does not work",
        design(pd="pd_class = 6, demoted_w = 0", draw="night = 38", port="pse_class = 4"),
        one("granted-class", "error", FEED, '"core/1"'),
    ),
    Case(
        "a demoted device whose draw fits all the same is a note",
        design(pd="pd_class = 6", draw="night = 25.5", port="pse_class = 4"),
        one("granted-class", "note", FEED, '"core/1"'),
    ),
    Case(
        "a demoted device of which no draw is stated is demoted, whatever it draws",
        design(pd="pd_class = 6", port="pse_class = 4"),
        one("granted-class", "warning", FEED, '"core/1"'),
    ),
    Case(
        "a typical draw above what it gets is enough to tell",
        design(pd="pd_class = 6", draw="typical = 30", port="pse_class = 4"),
        one("granted-class", "error", FEED, '"core/1"'),
    ),
    Case(
        "a demoted device with a supply of its own that goes first is less bad",
        design(
            pd="pd_class = 6",
            draw="night = 38",
            port="pse_class = 4",
            device='from = "mains", feed_first = "local"',
        ),
        one("granted-class", "warning", FEED, '"core/1"'),
    ),
    Case(
        "class 3 can't be demoted: at a class 2 port it gets nothing",
        design(port="pse_class = 2"),
        one("granted-class", "error", FEED, '"core/1"'),
    ),
    Case(
        "a refused device that has a supply of its own only loses its second feed",
        design(port="pse_class = 2", device='from = "mains"'),
        one("granted-class", "warning", FEED, '"core/1"'),
    ),
    Case(
        "a port that gives no power leaves a device without",
        design(port='pse_class = "none"'),
        one("granted-class", "error", FEED, '"core/1"'),
    ),
    Case(
        "a port that gives no power is right for a device on the mains",
        design(port='pse_class = "none"', pd=None, device='from = "mains"'),
    ),
    Case(
        "with power over cable as a second feed, no power at the port is no fault",
        design(port='pse_class = "none"', device='from = "mains"'),
    ),
    Case(
        "a device of which no feed is known, at a port that gives no power",
        design(port='pse_class = "none"', pd=None, device='role = "camera"', more="[role]\ncamera = {}\n"),
        one("granted-class", "open", FEED, '"core/1"'),
    ),
    Case(
        "the class of the port is not known",
        design(port=""),
        one("granted-class", "open", FEED, '"core/1"'),
    ),
    Case(
        "a Type 1 source has one class of its own, so class 3 is granted without being stated",
        design(pse="type = 1", port=""),
    ),
    Case(
        "the type alone shows that class 6 is out of reach",
        design(pse="type = 2", port="", pd="pd_class = 6", draw="day = 40"),
        one("granted-class", "error", FEED, '"core/1"'),
    ),
    Case(
        "the class of the device is not known",
        design(pd="min_v = 40", port="pse_class = 4"),
        one("granted-class", "open", FEED, '"core/1"'),
    ),
    Case("a class 8 port has whatever class is asked", design(pd="min_v = 40")),
    Case(
        "the far end of the run was not found",
        design(source='from = "unknown"'),
        one("granted-class", "open", FEED, '"unknown"'),
    ),
    Case(
        "neither end says anything of power: the run may carry data alone",
        design(
            pse="", port="", pd=None, device='role = "desk"', switch="", more="[role]\ndesk = {}\n"
        ).replace("pse = {  }, ", ""),
    ),
    Case("an injector in the run is the source, not the port", injector("pse_class = 4, pse = { type = 2 }")),
    Case(
        "an injector of too low a class",
        injector("pse_class = 3, pse = { type = 1 }") + "",
        one("granted-class", "warning", FEED, "3"),
    ),
    Case(
        "an injector of Type 1 has class 3 without being stated",
        injector("pse = { type = 1 }", pd="pd_class = 3"),
    ),
    Case(
        "a class that the basis assumes for ports is used",
        design(port="", pd="pd_class = 4, demoted_w = 10"),
        one("granted-class", "warning", FEED, '"core/1"'),
        basis="[assume.port]\npse_class = 3\n",
    ),
    Case(
        "a demoted switch that needs more than it gets",
        floor_switch(inlet="own_w = 20, efficiency = 0.9"),
        one("granted-class", "error", "switch.hall", '"core/1"'),
    ),
    Case(
        "a demoted switch whose needs fit is a note",
        floor_switch(),
        one("granted-class", "note", "switch.hall", '"core/1"'),
    ),
    Case(
        "a demoted switch whose own use is not known",
        floor_switch(inlet="efficiency = 0.9"),
        one("granted-class", "warning", "switch.hall", '"core/1"'),
    ),
    Case("a switch that gets its class is fine", floor_switch(port="pse_class = 6")),
    Case(
        "two feeds of one device are told apart",
        design(
            pd="pd_class = 4",
            draw="day = 20",
            port="pse_class = 3",
            more='R-2 = { from = "core/2", to = "cam/b", cable = "riser", link_m = 40 }\n',
        ),
        (
            Expected("granted-class", "error", FEED, '"core/1"'),
            Expected("granted-class", "error", FEED, '"core/2"'),
        ),
    ),
]

TYPES = [
    Case(
        "a class 8 port on a Type 3 source",
        design(pse="type = 3", pd="pd_class = 3"),
        (Expected("type-class", "error", SWITCH, "8"), Expected("type-class", "error", SWITCH, "8")),
    ),
    Case("a class 6 port on a Type 3 source", design(pse="type = 3", port="pse_class = 6")),
    Case("a port class without a stated type contradicts nothing", design(pse="lldp = true")),
    Case(
        "an injector whose class is above its type",
        injector("pse_class = 6, pse = { type = 2 }"),
        one("type-class", "error", "inline.inj", "6"),
    ),
]

DRAWS = [
    Case("a draw of just its class", design(pd="pd_class = 4", draw="night = 25.5")),
    Case(
        "a draw above its class",
        design(pd="pd_class = 4", draw="day = 12, night = 25.6"),
        one("draw-class", "error", FEED, "25.6"),
    ),
    Case("13.0 W are class 3 from a source of Type 4", design(draw="day = 13")),
    Case(
        "13.0 W are above class 3 from a source of Type 2",
        design(pse="type = 2", port="pse_class = 4", draw="day = 13"),
        one("draw-class", "error", FEED, "13"),
    ),
    Case(
        "between 12.95 and 13.0 W the type of the source decides",
        design(pse="lldp = true", port="pse_class = 4", draw="day = 12.97"),
        one("draw-class", "open", FEED, "12.97"),
    ),
    Case("a typical draw is no maximum: below its class nothing is said", design(draw="typical = 12")),
    Case(
        "a typical draw above its class is over in any state",
        design(draw="typical = 14"),
        one("draw-class", "error", FEED, "14"),
    ),
    Case(
        "the class is not known, and the draw is not below the lowest",
        design(pd="min_v = 40", draw="start = 20"),
        one("draw-class", "open", FEED, "20"),
    ),
    Case("the class is not known, and the draw is below the lowest", design(pd="min_v = 40", draw="day = 3")),
    Case(
        "the class is not known, and the draw is above the highest",
        design(pd="min_v = 40", draw="day = 75"),
        one("draw-class", "error", FEED, "75"),
    ),
    Case(
        "with a second feed that may carry it, a draw above its class can't be told",
        design(draw="day = 20", device='from = "mains"'),
        one("draw-class", "open", FEED, "20"),
    ),
    Case(
        "with the mains first, a draw above its class shows only when they fail",
        design(draw="day = 20", device='from = "mains", feed_first = "local"'),
        one("draw-class", "warning", FEED, "20"),
    ),
    Case("two modes of class 3 carry 26 W", design(pd="pd_class = 3, second_class = 3", draw="day = 26")),
    Case(
        "two modes of class 3 do not carry 27 W",
        design(pd="pd_class = 3, second_class = 3", draw="day = 27"),
        one("draw-class", "error", FEED, "27"),
    ),
    Case(
        "both within 51 W, but one mode of class 4 draws 40 W of them: 25.5 W at most",
        design(pd="pd_class = 4, second_class = 4, second_w = 10", draw="day = 50"),
        one("draw-class", "error", FEED, "50"),
    ),
    Case(
        "the second mode of class 1 draws 5 W: 3.84 W at most",
        design(pd="pd_class = 4, second_class = 1, second_w = 5", draw="day = 20"),
        one("draw-class", "error", FEED, "20"),
    ),
    Case(
        "each mode within its own class, to the watt",
        design(pd="pd_class = 4, second_class = 4, second_w = 25.5", draw="day = 51"),
    ),
    Case(
        "a device that no run reaches is judged by its class alone, and what it gets can't be told",
        design(more="[device.spare]\npd = { pd_class = 2 }\ndraw_w = { day = 6.5 }\n"),
        (
            *one("draw-class", "error", "device.spare", "6.5"),
            *one("granted-class", "open", "device.spare", "spare"),
        ),
    ),
    Case(
        "a device that no run reaches but that has a supply of its own",
        design(more='[device.spare]\nfrom = "mains"\npd = { pd_class = 2 }\ndraw_w = { day = 6.4 }\n'),
    ),
]

PAIRS = [
    Case("four pairs for class 6", design(pd="pd_class = 6", run=", pairs = 4")),
    Case(
        "two pairs where class 6 is assigned",
        design(pd="pd_class = 6", run=", pairs = 2"),
        one("pairs", "error", RUN, "2"),
    ),
    Case("two pairs for class 4", design(pd="pd_class = 4", run=", pairs = 2")),
    Case(
        "two pairs of a port that ends at class 4, whatever is asked",
        design(pd="pd_class = 6, demoted_w = 20", port="pse_class = 4", run=", pairs = 2"),
        one("granted-class", "warning", FEED, '"core/1"'),
    ),
    Case(
        "two pairs, and the class may be higher than 4",
        design(pd="min_v = 40", run=", pairs = 2"),
        one("pairs", "open", RUN, "2"),
    ),
    Case(
        "four pairs from a source that powers two",
        design(pse="type = 2", port="pse_class = 4", run=", pairs = 4"),
        one("pairs", "error", RUN, "4"),
    ),
    Case(
        "two pairs for two signatures",
        design(pd="pd_class = 3, second_class = 3", run=", pairs = 2"),
        one("pairs", "error", RUN, "2"),
    ),
    Case(
        "four pairs of a source of which no type is known: one of Type 1 or 2 powers two",
        design(pse='scheme = "ieee"', port="pse_class = 4", run=", pairs = 4"),
        one("pairs", "open", RUN, "4"),
    ),
    Case(
        "four pairs of a port of class 5, which only sources of four pairs have",
        design(pse='scheme = "ieee"', port="pse_class = 5", run=", pairs = 4"),
    ),
    Case(
        "two pairs for two signatures, from a source of which no type is known: two may be all that it powers",
        design(
            pse='scheme = "ieee"',
            pd="pd_class = 1, second_class = 1",
            port="pse_class = 4",
            run=", pairs = 2",
        ),
        (
            Expected("dual-signature", "open", FEED, '"core/1"'),
            Expected("pairs", "open", RUN, "2"),
        ),
    ),
]

DUAL = [
    Case(
        "two modes of class 4 fill a class 6 port",
        design(pd="pd_class = 4, second_class = 4", port="pse_class = 6"),
    ),
    Case(
        "two modes of class 4 are too much for a class 5 port",
        design(pd="pd_class = 4, second_class = 4", draw="day = 48", port="pse_class = 5"),
        one("dual-signature", "error", FEED, '"core/1"'),
    ),
    Case(
        "a class 6 port bears the sum of two modes but gives each class 4: 25.5 W, not 35 W",
        design(pd="pd_class = 5, second_class = 5, second_w = 15", draw="day = 50", port="pse_class = 6"),
        one("dual-signature", "error", FEED, '"core/1"'),
    ),
    Case(
        "the same with 25 W in each mode",
        design(pd="pd_class = 5, second_class = 5, second_w = 25", draw="day = 50", port="pse_class = 6"),
        one("dual-signature", "note", FEED, '"core/1"'),
    ),
    Case(
        "a source of Type 2 powers one mode",
        design(pse="type = 2", pd="pd_class = 3, second_class = 1, demoted_w = 12", port="pse_class = 4"),
        one("dual-signature", "warning", FEED, '"core/1"'),
    ),
    Case(
        "the second class is not known, and the port may be too small for it",
        design(pd='pd_class = 4, signature = "dual"', port="pse_class = 6"),
        one("dual-signature", "open", FEED, '"core/1"'),
    ),
    Case(
        "the second class is not known, and the port is large enough for any",
        design(pd='pd_class = 4, signature = "dual"'),
    ),
    Case(
        "the port's class is not known",
        design(pd="pd_class = 4, second_class = 4", port=""),
        one("dual-signature", "open", FEED, '"core/1"'),
    ),
    Case(
        "a mode has no class 6",
        design(pd="pd_class = 6, second_class = 4"),
        one("dual-signature", "error", FEED, "6"),
    ),
    Case(
        "a mode has no class 6, with negotiation or without",
        design(pse="type = 4, lldp = false", pd="pd_class = 6, second_class = 4, needs_lldp = true"),
        one("dual-signature", "error", FEED, "6"),
    ),
    Case(
        "somebody asked how many signatures it has",
        design(pd='pd_class = 4, signature = "unknown"'),
        one("dual-signature", "open", FEED, '"core/1"'),
    ),
]

NEGOTIATION = [
    Case(
        "a source that negotiates", design(pse="type = 4, lldp = true", pd="pd_class = 6, needs_lldp = true")
    ),
    Case(
        "without negotiation class 6 stays at class 4",
        design(pse="type = 4, lldp = false", pd="pd_class = 6, needs_lldp = true", draw="day = 40"),
        one("negotiation", "error", FEED, '"core/1"'),
    ),
    Case(
        "without negotiation class 4 stays at class 3, and the device says what it does on that",
        design(
            pse="type = 2, lldp = false",
            port="pse_class = 4",
            pd="pd_class = 4, needs_lldp = true, demoted_w = 9",
            draw="day = 20",
        ),
        one("negotiation", "warning", FEED, '"core/1"'),
    ),
    Case(
        "classes up to 3 negotiate nothing",
        design(pse="type = 4, lldp = false", pd="pd_class = 3, needs_lldp = true"),
    ),
    Case(
        "a device that does not need it",
        design(pse="type = 4, lldp = false", pd="pd_class = 6, needs_lldp = false"),
    ),
    Case(
        "without it two modes keep class 4 each: 51 W bear the sum of 50 W, 25.5 W not the 35 W of one mode",
        design(
            pse="type = 4, lldp = false",
            pd="pd_class = 5, second_class = 5, second_w = 15, needs_lldp = true",
            draw="day = 50",
        ),
        one("negotiation", "error", FEED, '"core/1"'),
    ),
    Case(
        "the same with 25 W in each mode",
        design(
            pse="type = 4, lldp = false",
            pd="pd_class = 5, second_class = 5, second_w = 25, needs_lldp = true",
            draw="day = 50",
        ),
        one("negotiation", "note", FEED, '"core/1"'),
    ),
    Case(
        "nobody knows whether the source negotiates",
        design(pd="pd_class = 4, needs_lldp = true"),
        one("negotiation", "open", FEED, '"core/1"'),
    ),
    Case(
        "somebody asked whether the device needs it",
        design(pse="type = 4, lldp = false", pd='pd_class = 4, needs_lldp = "unknown"'),
        one("negotiation", "open", FEED, '"core/1"'),
    ),
    Case(
        "a port that ends at class 4 gives no more with negotiation either",
        design(
            pse="type = 2, lldp = false",
            port="pse_class = 4",
            pd="pd_class = 6, needs_lldp = true",
            draw="day = 40",
        ),
        one("granted-class", "error", FEED, '"core/1"'),
    ),
    Case(
        "two modes of class 4 that need it stay at class 3 each",
        design(
            pse="type = 4, lldp = false",
            pd="pd_class = 4, second_class = 4, needs_lldp = true",
            draw="day = 40",
        ),
        one("negotiation", "error", FEED, '"core/1"'),
    ),
    Case(
        "the class is not known, so what is left can't be told",
        design(pse="type = 4, lldp = false", pd="needs_lldp = true"),
        one("negotiation", "open", FEED, '"core/1"'),
    ),
]

LIVE = Expected("passive-port", "warning", SWITCH, '"passive"')
PASSIVE = [
    Case(
        "a passive feed of the right voltage is live all the same",
        design(pse='scheme = "passive", min_v = 24', port="", pd='scheme = "passive", passive_v = 24'),
        (LIVE,),
    ),
    Case(
        "a source of more volts than the device is for",
        design(pse='scheme = "passive", min_v = 48', port="", pd='scheme = "passive", passive_v = 24'),
        (Expected("passive-feed", "error", FEED, '"core/1"'), LIVE),
    ),
    Case(
        "a source of fewer volts than the device works at",
        design(
            pse='scheme = "passive", min_v = 24', port="", pd='scheme = "passive", passive_v = 48, min_v = 40'
        ),
        (Expected("passive-feed", "error", FEED, '"core/1"'), LIVE),
    ),
    Case(
        "a source of fewer volts than the device is for, which works at them",
        design(
            pse='scheme = "passive", min_v = 22', port="", pd='scheme = "passive", passive_v = 24, min_v = 18'
        ),
        (LIVE,),
    ),
    Case(
        "a source of fewer volts than the device is for",
        design(pse='scheme = "passive", min_v = 22', port="", pd='scheme = "passive", passive_v = 24'),
        (LIVE, Expected("passive-feed", "open", FEED, '"core/1"')),
    ),
    Case(
        "the volts of the source are not known",
        design(pse='scheme = "passive"', port="", pd='scheme = "passive", passive_v = 24'),
        (LIVE, Expected("passive-feed", "open", FEED, '"core/1"')),
    ),
    Case(
        "a device of the standard on a passive source",
        design(pse='scheme = "passive", min_v = 24', port=""),
        (Expected("passive-feed", "error", FEED, '"core/1"'), LIVE),
    ),
    Case(
        "a passive device on a source of the standard gets nothing",
        design(pd='scheme = "passive", passive_v = 24'),
        one("passive-feed", "error", FEED, '"core/1"'),
    ),
    Case(
        "a passive device on a source of the standard, with a supply of its own",
        design(pd='scheme = "passive", passive_v = 24', device='from = "mains"'),
        one("passive-feed", "warning", FEED, '"core/1"'),
    ),
    Case(
        "a device of which nothing is known on a passive source",
        design(pse='scheme = "passive", min_v = 24', port="", pd="min_v = 20"),
        (LIVE, Expected("passive-feed", "open", FEED, '"core/1"')),
    ),
    Case(
        "a passive device at a port of which nothing is known",
        design(pse="lldp = true", port="", pd='scheme = "passive", passive_v = 24'),
        one("passive-feed", "open", FEED, '"core/1"'),
    ),
    Case(
        "a passive injector",
        injector('pse = { scheme = "passive", min_v = 24 }', pd='scheme = "passive", passive_v = 24'),
        one("passive-port", "warning", "inline.inj", '"passive"'),
    ),
]

CAT_3 = 'category = "3", conductor_awg = 24, material = "copper", strand = "solid"'
CABLES = [
    Case("category 3 is enough for Type 1", design(pse="type = 1", port="pse_class = 3", cable=CAT_3)),
    Case(
        "category 3 is not enough for class 4",
        design(pd="pd_class = 4", cable=CAT_3),
        one("cabling", "error", RUN, '"3"'),
    ),
    Case(
        "category 3 behind a source of Type 4 that gives class 3",
        design(cable=CAT_3),
        one("cabling", "warning", RUN, '"3"'),
    ),
    Case("category 5 is enough for every type", design(pd="pd_class = 8", cable=CAT_3.replace('"3"', '"5"'))),
    Case(
        "the category is not known",
        design(cable=GOOD_CABLE.replace('category = "6", ', "")),
        one("cabling", "open", RUN, "riser"),
    ),
    Case(
        "with a source of Type 1 the category need not be known",
        design(pse="type = 1", port="", cable=GOOD_CABLE.replace('category = "6", ', "")),
    ),
    Case(
        "category 3, and the type of the source is not known",
        design(pse="lldp = true", port="pse_class = 3", cable=CAT_3),
        one("cabling", "open", RUN, '"3"'),
    ),
    Case(
        "a cord of category 3 makes the channel one",
        design(
            pd="pd_class = 4",
            run=', cords = [{ m = 2, cable = "old" }]',
            more='[cable.old]\ncategory = "3"\n',
        ),
        one("cabling", "error", RUN, '"3"'),
    ),
]

CASES = [*GRANTED, *TYPES, *DRAWS, *PAIRS, *DUAL, *NEGOTIATION, *PASSIVE, *CABLES]


@pytest.mark.parametrize("case", CASES, ids=[case.shows for case in CASES])
def test_row(case: Case) -> None:
    assert said(case, RULE) == case.expected


def found(text: str, check: str, **options: Any) -> Finding:
    findings = [
        finding for finding in review_text(text, [RULE], **options).findings if finding.check.name == check
    ]
    assert len(findings) == 1
    return findings[0]


def test_every_check_fails_in_a_row_and_most_can_be_open() -> None:
    seen = {(expected.check, expected.outcome) for case in CASES for expected in case.expected}
    assert {check.name for check in RULE.checks} == {check for check, outcome in seen if outcome != "open"}
    never_open = {"type-class", "passive-port"}
    assert {check.name for check in RULE.checks} - never_open == {
        check for check, outcome in seen if outcome == "open"
    }


def test_every_check_passes_somewhere() -> None:
    names = {
        group.name for case in CASES for group in review_text(case.design, [RULE], basis=case.basis).passes
    }
    assert names == {f"poe-class/{check.name}" for check in RULE.checks}


# -- numbers against the published table ------------------------------------------------------------------------

#: Watts at the device by class, highest class and most pairs by type: the white paper named at the top.
CLASS_WATTS = [(1, 3.84), (2, 6.49), (3, 13.0), (4, 25.5), (5, 40.0), (6, 51.0), (7, 62.0), (8, 71.3)]
HIGHEST = [(1, 3), (2, 4), (3, 6), (4, 8)]


@pytest.mark.parametrize(("pd_class", "watts"), CLASS_WATTS)
def test_a_draw_is_held_against_the_published_watts_of_the_class(pd_class: int, watts: float) -> None:
    assert said(Case("", design(pd=f"pd_class = {pd_class}", draw=f"day = {watts}")), RULE) == ()
    finding = found(design(pd=f"pd_class = {pd_class}", draw=f"day = {watts + 0.01:g}"), "draw-class")
    assert (finding.answer.limit, finding.answer.unit, finding.level) == (watts, "W", "error")
    held = finding.held_against
    assert held is not None
    assert held.known == "published"


@pytest.mark.parametrize(("pse_type", "highest"), HIGHEST)
def test_a_port_is_held_against_the_published_highest_class_of_the_type(pse_type: int, highest: int) -> None:
    for port_class in range(9):
        text = design(pse=f"type = {pse_type}", port=f"pse_class = {port_class}", pd="pd_class = 1")
        over = {expected.check for expected in said(Case("", text), RULE)}
        assert over == ({"type-class"} if (port_class or 3) > highest else set())


@pytest.mark.parametrize("asked", range(1, 9))
@pytest.mark.parametrize("port", range(1, 9))
def test_a_device_gets_its_class_at_ports_of_that_class_and_up_alone(asked: int, port: int) -> None:
    """That a device at a lower port stays connected and gets less is published; which class it gets, from memory."""
    text = design(port=f"pse_class = {port}", pd=f"pd_class = {asked}")
    if asked <= port:
        assert said(Case("", text), RULE) == ()
        return
    answer = found(text, "granted-class").answer
    watts = dict(CLASS_WATTS)
    steps = [step for step in (6, 4, 3) if step <= port]
    assert answer.limit == watts[asked]
    assert answer.value == (watts[steps[0]] if steps else 0.0)
    assert answer.margin == pytest.approx((answer.value or 0.0) - watts[asked])


# -- words, limits, places --------------------------------------------------------------------------------------


def test_a_demoted_device_reads_with_its_numbers() -> None:
    finding = found(design(pd="pd_class = 6", draw="night = 38", port="pse_class = 4"), "granted-class")
    answer = finding.answer
    assert answer.message == (
        "cam: asks for class 6 (51 W), port core/1 gives up to class 4: it gets class 4 (25.5 W), "
        "and needs 38 W; what it does on less is not stated"
    )
    assert answer.working == "class 6 > class 4: assigned class 4; 25.5 W < 51 W; it draws 38 W at night"
    assert (answer.value, answer.limit, answer.margin, answer.unit) == (25.5, 51.0, -25.5, "W")
    assert [place.path for place in finding.related] == [
        ("device", "cam", "pd", "pd_class"),
        ("switch", "core", "ports", "1", "pse_class"),
    ]
    assert finding.held_against is not None
    assert finding.held_against.known == "published"


def test_what_rests_on_class_events_says_that_it_is_from_memory() -> None:
    refused = found(design(port="pse_class = 2"), "granted-class")
    assert refused.answer.message == (
        "cam: asks for class 3 (13 W), port core/1 gives up to class 2: it gets no power, "
        "since a class 3 device can't be given less than class 3"
    )
    assert refused.held_against is not None
    assert refused.held_against.known == "memory"
    capped = review_text(design(port="pse_class = 2"), [RULE], basis='[basis]\nmemory_at_most = "warning"\n')
    assert [finding.level for finding in capped.findings] == ["warning"]


def test_an_open_answer_names_what_is_missing_and_where_it_turns() -> None:
    no_class = found(design(port=""), "granted-class").answer
    assert no_class.missing == (("switch", "core", "ports", "1", "pse_class"),)
    assert no_class.turns == "holds with a port of class 3 or higher"
    no_end = found(design(source=""), "granted-class").answer
    assert no_end.missing == (("run", "R-1", "from"),)
    no_request = found(design(pd="min_v = 40", port="pse_class = 4"), "granted-class").answer
    assert no_request.missing == (("device", "cam", "pd", "pd_class"),)
    assert no_request.turns == "holds if it asks for class 4 or lower"
    draw = found(design(pd="min_v = 40", draw="start = 20"), "draw-class").answer
    assert (draw.missing, draw.turns) == (
        (("device", "cam", "pd", "pd_class"),),
        "holds with class 4 or higher",
    )
    two = found(design(pd="pd_class = 4, second_class = 4", port=""), "dual-signature").answer
    assert two.turns == "holds with a port of class 6 or higher"
    kind = found(design(cable=GOOD_CABLE.replace('category = "6", ', "")), "cabling").answer
    assert (kind.missing, kind.turns) == (
        (("cable", "riser", "category"),),
        "holds with category 5 or higher",
    )


def test_an_assumed_class_is_named() -> None:
    finding = found(
        design(port="", pd="pd_class = 4, demoted_w = 10"),
        "granted-class",
        basis="[assume.port]\npse_class = 3\n",
    )
    assert finding.assumed == ("port.pse_class",)


def test_negotiation_says_what_is_left() -> None:
    text = design(pse="type = 4, lldp = false", pd="pd_class = 6, needs_lldp = true", draw="day = 40")
    answer = found(text, "negotiation").answer
    assert answer.message == (
        "cam: gets its 51 W only by negotiation, and port core/1 has none: it stays at class 4 (25.5 W), "
        "and needs 40 W; what it does on less is not stated"
    )
    assert answer.working == "class 4 without negotiation: 25.5 W < 51 W; it draws 40 W by day"


def test_what_a_switch_needs_is_shown_with_the_loss_below_it() -> None:
    """By hand: (2 × 20 m × 0.06679 Ω/m + 0.8 Ω) / 2 = 1.736 Ω; 6 W take 6.03 W; 20 W + 6.03 W / 0.9 = 26.7 W."""
    text = floor_switch(inlet="own_w = 20, efficiency = 0.9").replace('"room" }', '"room", bundle = "none" }')
    answer = found(text, "granted-class").answer
    assert answer.working == (
        "class 6 > class 4: assigned class 4; 25.5 W < 51 W; it needs 20 W + 6 W / 0.9 = 26.7 W; over R-2: 6 W by "
        "day; R = (2.671 Ω in 2 × 20 m of conductor at 20 °C + 2 × 0.4 Ω of contacts) / 2 pairs = 1.736 Ω; I = 2 × "
        "6 W / (50 V + √(50² V² − 4 × 6 W × 1.736 Ω)) = 0.1205 A; × 50 V = 6.03 W"
    )


def test_the_constants_that_a_loss_rests_on_are_cited() -> None:
    checks = {check.name: {limit.name: limit.value for limit in check.limits} for check in RULE.checks}
    for name, value in (
        ("resistivity of standard annealed copper at 20 °C", 1 / 58),
        ("resistance of stranded wire to that of solid wire of the same gauge", 1.05),
        ("resistance of copper-clad aluminium to that of copper of the same gauge", 1.6),
    ):
        assert checks["granted-class"][name] == pytest.approx(value)
    assert checks["granted-class"]["resistance that a connection may add to each conductor"] == 0.2
    assert checks["granted-class"][
        "temperature coefficient of the resistance of copper, referred to 20 °C"
    ] == pytest.approx(0.00393)


def test_two_signatures_read_with_their_sum() -> None:
    text = design(pd="pd_class = 4, second_class = 4", draw="day = 48", port="pse_class = 5")
    answer = found(text, "dual-signature").answer
    assert answer.working == "4D + 4D = 51 W > 38.5 W; it draws 48 W by day"
    assert answer.message == (
        "cam: its two modes ask for 51 W, port core/1 gives up to class 5: it gets at most 38.5 W, "
        "and needs 48 W; what it does on less is not stated"
    )


def test_a_mode_that_gets_too_little_reads_with_its_watts() -> None:
    """Of 60 W of a class 6 port each mode gets 30 W at the source, 25.5 W at the device (class 4D, from memory)."""
    text = design(pd="pd_class = 5, second_class = 5, second_w = 15", draw="day = 50", port="pse_class = 6")
    answer = found(text, "dual-signature").answer
    assert answer.working == "5D + 5D = 71.2 W > 51 W; it draws 50 W by day, 35 W and 15 W by its modes"
    assert answer.message.endswith(
        "it gets at most 51 W, and one of them needs more than it then gets; what it does on less is not stated"
    )


def test_the_identity_of_a_finding_does_not_hold_its_numbers() -> None:
    one_watt = found(design(pd="pd_class = 6", draw="night = 38", port="pse_class = 4"), "granted-class")
    another = found(design(pd="pd_class = 8", draw="night = 60", port="pse_class = 3"), "granted-class")
    assert one_watt.fingerprint == another.fingerprint
    assert pointed_at(one_watt) == '"core/1"'


# -- remedies ---------------------------------------------------------------------------------------------------

SOUND = ', cords_m = [], connections = 2, space = "room", bundle = "none"'
ROOM = "[space]\nroom = { max_c = 30, mean_c = 20 }\n"


@pytest.mark.parametrize("case", CASES, ids=[case.shows for case in CASES])
def test_the_remedies_of_every_row_hold(case: Case) -> None:
    carried_out(case.design, RULE, basis=case.basis)


@pytest.mark.parametrize(
    ("check", "text"),
    [
        (
            "granted-class",
            design(pd="pd_class = 6", draw="night = 38", port="pse_class = 4", run=SOUND, more=ROOM),
        ),
        ("draw-class", design(pd="pd_class = 3", draw="night = 20", run=SOUND, more=ROOM)),
        ("type-class", design(pse="type = 3", port="pse_class = 8", run=SOUND, more=ROOM)),
        ("pairs", design(pd="pd_class = 6", run=", pairs = 2")),
        (
            "negotiation",
            design(pse="type = 4, lldp = false", pd="pd_class = 6, needs_lldp = true", draw="day = 40"),
        ),
    ],
)
def test_a_remedy_is_offered_as_a_change(check: str, text: str) -> None:
    assert check in carried_out(text, RULE)


def test_a_port_of_a_part_gets_an_entry_of_its_own() -> None:
    text = design(pd="pd_class = 6", draw="night = 38", run=SOUND, more=ROOM).replace(
        "core = { pse = { type = 4 }, ports = { 1 = { pse_class = 8 }, 2 = { pse_class = 8 } } }",
        'core = { part = "rack" }\n[part.rack]\npse = { type = 4 }\nports = { 1-24 = { pse_class = 4, cap_w = 60 } }',
    )
    remedy = found(text, "granted-class").answer.remedy
    assert remedy is not None
    assert [(change.at, change.value) for change in remedy.changes] == [
        (("switch", "core", "ports", "1", "pse_class"), 6)
    ]
    assert "granted-class" in carried_out(text, RULE)


@pytest.mark.parametrize(
    "text",
    [
        design(
            pse="type = 2", pd="pd_class = 6", draw="night = 38", port="pse_class = 4", run=SOUND, more=ROOM
        ),
        design(
            pse="type = 4, budget_w = 50",
            pd="pd_class = 6",
            draw="night = 38",
            port="pse_class = 4",
            run=SOUND,
            more=ROOM,
        ),
        design(
            pd="pd_class = 6",
            draw="night = 38",
            port="pse_class = 4",
            run=SOUND.replace("none", "b"),
            more=ROOM + "[bundle]\nb = {}\n",
        ),
        design(pd="pd_class = 6", draw="night = 38", port="pse_class = 4, cap_w = 30", run=SOUND, more=ROOM),
        design(
            pd="pd_class = 6",
            draw="night = 38",
            port="pse_class = 4",
            run=SOUND,
            more=ROOM,
            cable=GOOD_CABLE.replace("23", "28"),
        ).replace("link_m = 40", "link_m = 90"),
    ],
    ids=["type", "budget", "bundle", "cap", "resistance"],
)
def test_a_port_is_not_raised_where_something_may_stand_against_it(text: str) -> None:
    remedy = found(text, "granted-class").answer.remedy
    assert remedy is not None
    assert remedy.text == "a port of class 6 or higher (a source of Type 3 or higher)"
    assert not remedy.changes


CLASSES = st.sampled_from([None, *range(9)])


@settings(max_examples=80, deadline=None)
@given(
    pse_type=st.sampled_from([None, 1, 2, 3, 4]),
    port=CLASSES,
    pd=CLASSES,
    second=st.sampled_from([None, None, 1, 3, 5]),
    watts=st.sampled_from([None, 3.0, 12.97, 24.0, 48.0, 70.0]),
    pairs=st.sampled_from([None, 2, 4]),
    link=st.sampled_from([10, 60, 90]),
    lldp=st.sampled_from(["", "lldp = true", "lldp = false"]),
    budget=st.sampled_from(["", "budget_w = 40", "budget_w = 400"]),
)
def test_remedies_hold_whatever_the_design(
    pse_type: int | None,
    port: int | None,
    pd: int | None,
    second: int | None,
    watts: float | None,
    pairs: int | None,
    link: int,
    lldp: str,
    budget: str,
) -> None:
    keys = [f"type = {pse_type}" if pse_type else "", lldp, budget, 'reserves = "class"']
    wants = [f"pd_class = {pd}" if pd is not None else "min_v = 37", "needs_lldp = true" if lldp else ""]
    wants.append(f"second_class = {second}" if second else "")
    text = design(
        pse=", ".join(filter(None, keys)),
        port=f"pse_class = {port}" if port is not None else "",
        pd=", ".join(filter(None, wants)),
        draw=f"day = {watts}" if watts else "",
        run=SOUND + (f", pairs = {pairs}" if pairs else ""),
        more=ROOM,
    ).replace("link_m = 40", f"link_m = {link}")
    carried_out(text, RULE)


@settings(max_examples=60, deadline=None)
@given(
    pse_type=st.sampled_from([1, 2, 3, 4]),
    port=st.integers(0, 8),
    pd=st.integers(0, 8),
    watts=st.floats(0.1, 90),
)
def test_what_is_not_known_never_passes_or_fails_where_knowing_it_could_turn_it(
    pse_type: int, port: int, pd: int, watts: float
) -> None:
    """The verdict with a value left out is the one with it, or open."""
    whole = {
        "pse": f"type = {pse_type}",
        "port": f"pse_class = {port}",
        "pd": f"pd_class = {pd}",
        "draw": f"day = {watts!r}",
    }
    # A port above its type contradicts itself, and each of the two would say something else.
    assume((port or 3) <= dict(HIGHEST)[pse_type])
    known = verdicts(design(**whole))
    for key, left in (("pse", "lldp = true"), ("port", ""), ("pd", "min_v = 37"), ("draw", "")):
        unknown = verdicts(design(**{**whole, key: left}))
        if key == "port" and pse_type == 1:
            continue  # a source of Type 1 is taken to give class 3 unless another is stated
        for check in ("granted-class", "draw-class"):
            mine = unknown.get(check, "pass")
            if mine == "fail":
                assert known.get(check) == "fail", (check, key)
            elif mine == "pass" and not (check == "draw-class" and key == "draw"):
                assert known.get(check, "pass") == "pass", (check, key)


def verdicts(text: str) -> dict[str, str]:
    return {finding.check.name: finding.answer.kind for finding in review_text(text, [RULE]).findings}
