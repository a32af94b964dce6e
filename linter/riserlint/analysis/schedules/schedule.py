"""The whole schedule of a design for one case."""

from typing import NamedTuple

from riserlint.analysis.built import Built
from riserlint.analysis.loads import Case
from riserlint.analysis.schedules.addresses import address_tables
from riserlint.analysis.schedules.cables import cable_tables
from riserlint.analysis.schedules.continuity import continuity_tables
from riserlint.analysis.schedules.heat import heat_tables
from riserlint.analysis.schedules.links import link_tables
from riserlint.analysis.schedules.network import network_tables
from riserlint.analysis.schedules.power import power_tables
from riserlint.analysis.schedules.reaching import BY_ENDPOINT, reach_tables
from riserlint.analysis.schedules.tables import Table
from riserlint.design.paths import Path

#: The tables in their order.
TABLES = (
    "runs",
    "currents",
    "resistance",
    "switches",
    "whole",
    "cable-runs",
    "cables",
    "cords",
    "bundles",
    "bundle-heat",
    "bundle-rise",
    "heat",
    "heat-parts",
    "ports",
    "vlans",
    "reach",
    "vlan-reach",
    BY_ENDPOINT,
    "links",
    "subnets",
    "addresses",
    "upses",
    "continuity",
    "failures",
)


#: The tables that are made without being named.
SHOWN = frozenset(TABLES) - {BY_ENDPOINT}


class Schedule(NamedTuple):
    """The tables of a design, the case that they hold for, and the values that are not known and widen them."""

    case: Case
    tables: tuple[Table, ...]
    missing: tuple[Path, ...]


def schedule_of(built: Built, case: Case, wanted: frozenset[str] = SHOWN) -> Schedule:
    """Return the schedule of an installation, with the tables that are wanted."""
    settled = built.solved(case)
    balance = built.balance(settled)
    tables = [
        *power_tables(built, settled, balance),
        *cable_tables(built),
        *heat_tables(built, settled, balance),
        *network_tables(built),
        *reach_tables(built, wanted),
        *link_tables(built),
        *address_tables(built),
        *continuity_tables(built),
    ]
    missing: dict[Path, None] = {}
    for power in settled.power.feeds.values():
        if not power.source_w.known:
            missing.update(dict.fromkeys(power.missing))
    for found in balance.switches.values():
        missing.update(dict.fromkeys(found.missing))
    for parts in balance.spaces.values():
        for part in parts:
            missing.update(dict.fromkeys(part.missing))
    for state in settled.heat.bundles.values():
        missing.update(dict.fromkeys(state.missing))
    return Schedule(case, tuple(table for table in tables if table.name in wanted), tuple(missing))
