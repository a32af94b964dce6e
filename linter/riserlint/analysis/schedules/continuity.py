"""The continuity schedule (UPSs, what lives how long in an outage, and what ends it) and the failure table."""

import math
from collections.abc import Iterator

from riserlint.analysis.blackout import Survival
from riserlint.analysis.built import Built
from riserlint.analysis.places import first_and_number
from riserlint.analysis.schedules.tables import Cell, Column, Table, exactly
from riserlint.design.paths import path_text
from riserlint.engineering.runtime import drawn_watts
from riserlint.engineering.span import Span
from riserlint.installation.things import Gear


def continuity_tables(built: Built) -> Iterator[Table]:
    """Yield the schedules of an outage and of single failures; they do not hang on a solution."""
    if built.ups:
        yield _upses(built)
    yield _continuity(built)
    yield _failures(built)


def _upses(built: Built) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for name, ups in built.ups.items():
        load, battery = built.outage.load.by_ups[name], built.outage.batteries[name]
        carried_w, left = Span(load.least_w, load.watts.high), built.outage.left(name)
        rated_w, rated_va = exactly(ups.value("rated_w").value), exactly(ups.value("rated_va").value)
        rows.append(
            (
                name,
                rated_w,
                carried_w,
                None if rated_w is None else Span(rated_w.low - carried_w.high, rated_w.high - carried_w.low),
                rated_va,
                load.va,
                exactly(battery.age_years),
                left * 100,
                None if math.isinf(carried_w.high) else drawn_watts(carried_w, left),
                built.outage.minutes(name),
            )
        )
    return Table(
        "upses",
        "UPSs in an outage",
        (
            Column("ups", "UPS"),
            Column("rated_w", "rated", "W", 0),
            Column("carried_w", "carries", "W", 1),
            Column("free_w", "free", "W", 1),
            Column("rated_va", "rated", "VA", 0),
            Column("carried_va", "carries", "VA", 0),
            Column("age_years", "age", "years", 1),
            Column("left_percent", "left", "%", 0),
            Column("drawn_w", "as if new", "W", 1),
            Column("runtime_min", "runtime", "min", 1),
        ),
        tuple(rows),
        None,
        (
            "at the maximum draw: what hangs on it over its efficiencies, each UPS alone from a full battery; free = "
            "rated W − carries W",
            "carries: from without what another UPS may carry too to with the whole of it; VA: with the whole",
            "left: of the battery's capacity, by age (a test; else 80 to 100 % up to its design life, 0 to 100 % "
            "beyond it or where it is not known) and cold; as if new = carries W / left",
            "runtime: of stated points that of a new battery at so many watts, log-log; lighter than the first it is "
            "at least, heavier than the last at most that point's, so from 0; of watt-hours by rate and efficiency",
        ),
    )


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
            first_and_number([*dark.get(place, ()), *useless.get(place, ())]),
        )
        for place in places
    ]
    working = [
        "the mains are on, one thing alone fails; a UPS that fails passes nothing on but over a bypass",
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
