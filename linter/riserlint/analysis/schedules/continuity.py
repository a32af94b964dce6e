"""The continuity schedule (what lives how long in an outage, and what ends it) and the failure table."""

import math
from collections.abc import Iterator

from riserlint.analysis.blackout import Survival
from riserlint.analysis.built import Built
from riserlint.analysis.schedules.tables import Cell, Column, Table, exactly
from riserlint.design.paths import path_text
from riserlint.engineering.span import Span
from riserlint.installation.things import Gear

#: So many ids stand in one row.
_FEW = 4


def continuity_tables(built: Built) -> Iterator[Table]:
    """Yield the schedules of an outage and of single failures; they do not hang on a solution."""
    yield _continuity(built)
    yield _failures(built)


def _continuity(built: Built) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for name, span in built.blackout.ends.items():
        above = built.continuity.ups_above[name].ups
        rows.append((path_text(("ups", name)), "", None, _minutes(span), None, above or ""))
    for gear in built.gear.values():
        survival = built.blackout.survival(gear)
        asked = built.outage.own_standby(gear, None)
        rows.append(
            (
                path_text(gear.at),
                getattr(gear.model, "role", None) or "",
                exactly(None if asked is None else asked.minutes),
                _minutes(survival.power),
                _minutes(survival.useful),
                _ended_by(survival, gear),
            )
        )
    return Table(
        "continuity",
        "An outage: what lives how long, and what ends it",
        (
            Column("what", "what"),
            Column("role", "role"),
            Column("asked_min", "asked", "min", 0),
            Column("power_min", "power", "min", 1),
            Column("useful_min", "useful", "min", 1),
            Column("ended_by", "ended by"),
        ),
        tuple(rows),
        None,
        (
            "the mains fail at 0 min, batteries are full; loads at their maximum, batteries by age and temperature",
            "useful: with power, and with all that it needs over gear that has power; ended by: of a UPS, the "
            "UPS that is emptied before it",
            "asked: by its role",
        ),
    )


def _minutes(span: Span) -> Cell:
    return "no end" if math.isinf(span.low) else span


def _ended_by(survival: Survival, gear: Gear) -> str:
    """Return what ends the use of gear: what does so at the latest, where that is not endless."""
    at = survival.ended_late_by if math.isfinite(survival.useful.high) else survival.ended_by
    if at == gear.at:
        return "no UPS"
    return path_text(at) if at else ""


def _failures(built: Built) -> Table:
    failures = built.failures
    dark: dict[int, list[str]] = {}
    useless: dict[int, list[str]] = {}
    perhaps: dict[int, int] = {}
    anything = off = 0
    for gear in built.gear.values():
        fate = failures.fate(gear)
        if fate is None:
            off += 1
            continue
        for place in fate.dark:
            dark.setdefault(place, []).append(gear.id)
        for place in fate.sure - fate.dark:
            useless.setdefault(place, []).append(gear.id)
        if fate.possible is None:
            anything += 1
            continue
        for place in fate.possible - fate.sure:
            perhaps[place] = perhaps.get(place, 0) + 1
    places = sorted({*dark, *useless, *perhaps}, key=lambda place: path_text(failures.things[place]))
    rows: list[tuple[Cell, ...]] = [
        (
            path_text(failures.things[place]),
            exactly(len(dark.get(place, ()))),
            exactly(len(useless.get(place, ()))),
            exactly(perhaps.get(place, 0)),
            _few([*dark.get(place, ()), *useless.get(place, ())]),
        )
        for place in places
    ]
    working = [
        "the mains are on, one thing alone fails; a UPS that fails passes nothing on",
        "no need: has power, and no longer reaches something that it needs; may: turns on what is not known",
    ]
    if anything:
        working.append(f"{anything:,} more may go down with any failure: nothing is known to keep them up")
    if off:
        working.append(f"{off:,} have no power without any failure")
    return Table(
        "failures",
        "What goes down with each single failure",
        (
            Column("failure", "what fails"),
            Column("dark", "no power", "", 0),
            Column("useless", "no need", "", 0),
            Column("perhaps", "may", "", 0),
            Column("which", "which"),
        ),
        tuple(rows),
        None,
        tuple(working),
    )


def _few(names: list[str]) -> str:
    more = f" and {len(names) - _FEW:,} more" if len(names) > _FEW else ""
    return ", ".join(names[:_FEW]) + more
