"""The bundle schedule and the heat by space."""

import math
from collections.abc import Iterator

from riserlint.analysis.balance import Balance
from riserlint.analysis.built import Built
from riserlint.analysis.remote_powering import category_words, mean_current_ma
from riserlint.analysis.schedules.tables import Cell, Column, Table, exactly
from riserlint.analysis.settled import Settled
from riserlint.engineering.conductors import at_temperature
from riserlint.engineering.span import sum_of
from riserlint.standards.conductors import COPPER_PER_KELVIN
from riserlint.standards.heat import (
    BTU_PER_HOUR_PER_W,
    EMISSIVITY,
    MINERAL_WOOL_W_PER_M_K,
    PACKED_CIRCLE,
    PACKING,
)


def heat_tables(built: Built, settled: Settled, balance: Balance) -> Iterator[Table]:
    """Yield the schedules of heat of a solution."""
    if settled.heat.bundles:
        yield _bundles(built, settled)
        yield from _steps(settled)
    yield _spaces(balance)
    yield _parts(balance)


def _bundles(built: Built, settled: Settled) -> Table:
    european = built.region in {"europe", "international"}
    rows: list[tuple[Cell, ...]] = []
    for name, state in settled.heat.bundles.items():
        current = mean_current_ma(settled.power, state)
        rated = state.rated_c if math.isfinite(state.rated_c.high) else None
        row: tuple[Cell, ...] = (
            name,
            state.enclosed or "unknown",
            state.cables,
            exactly(len(state.live)),
            current,
            state.ambient_c,
            state.rise_k,
            state.celsius,
            rated,
        )
        rows.append((*row, category_words(current)) if european else row)
    columns = [
        Column("bundle", "bundle"),
        Column("pathway", "pathway"),
        Column("cables", "cables", "", 0),
        Column("powered", "powered", "", 0),
        Column("mean_conductor_ma", "mean wire", "mA", 1),
        Column("ambient_c", "ambient", "°C", 1),
        Column("rise_k", "rise", "K", 2),
        Column("celsius", "centre", "°C", 1),
        Column("rated_c", "rated", "°C", 0),
    ]
    if european:
        columns.append(Column("category", "remote powering"))
    rounds = len(settled.rounds)
    last_k = settled.rounds[-1] if settled.rounds else 0.0
    return Table(
        "bundles",
        "Bundles",
        tuple(columns),
        tuple(rows),
        None,
        (
            "centre = ambient + rise; mean wire: over all eight wires of all its cables",
            f"heat and current settled with each other in {rounds} rounds, the last moved by {last_k:.1g} K",
        ),
    )


def _steps(settled: Settled) -> Iterator[Table]:
    """Yield what the upper end of each bundle's rise is made of: the heat of its cables, and where it stays."""
    groups: list[tuple[Cell, ...]] = []
    rises: list[tuple[Cell, ...]] = []
    for name, state in settled.heat.bundles.items():
        load, steady = state.most, state.worst
        if load is None or steady is None or not state.bounded:
            continue
        hot = at_temperature(1.0, steady.temperature_c)
        alike: dict[tuple[float, ...], int] = {}  # cables that are not in the file may be as those that are
        for group in load.groups:
            kind = (group.outer_mm, group.live_conductors, group.current_a, group.ohm_per_m_20)
            alike[kind] = alike.get(kind, 0) + group.cables
        for (cable_mm, wires, current_a, ohm), count in alike.items():
            watts = count * wires * current_a**2 * ohm * hot
            each = (count, cable_mm, wires, 1000 * current_a, 1000 * ohm, 1000 * ohm * hot, watts)
            groups.append((name, *(exactly(figure) for figure in each)))
        if load.dark_cables:
            groups.append((name, exactly(load.dark_cables), None, exactly(0), None, None, None, exactly(0)))
        wrap = load.enclosure.insulation
        outer_mm = steady.diameter_mm + (2 * wrap.thickness_mm if wrap is not None else 0.0)
        per_w = steady.core_rise_k / steady.heat_w_per_m if steady.heat_w_per_m else 0.0
        figures = (
            steady.heat_w_per_m, steady.diameter_mm, outer_mm, load.enclosure.surface_factor,
            steady.surface_rise_k, steady.insulation_rise_k, per_w, steady.core_rise_k,
        )  # fmt: skip
        rises.append((name, *(exactly(figure) for figure in figures)))
    if not rises:
        return
    yield Table(
        "bundle-heat",
        "Bundles: the heat of their cables, at the upper end",
        (
            Column("bundle", "bundle"),
            Column("cables", "cables", "", 0),
            Column("outer_mm", "outer", "mm", 2),
            Column("wires", "wires each", "", 0),
            Column("wire_ma", "wire", "mA", 2),
            Column("ohm_per_km_20", "20 °C", "Ω/km", 3),
            Column("ohm_per_km", "hot", "Ω/km", 3),
            Column("w_per_m", "heat", "W/m", 4),
        ),
        tuple(groups),
        None,
        (
            "heat = cables × wires × A² × Ω/m, hot = 20 °C × (1 + "
            f"{COPPER_PER_KELVIN.value:g} × (centre − 20)); wire: the even current of its wires that gives their heat, "
            "with the unbalance of its pairsets (table currents)",
        ),
    )
    yield Table(
        "bundle-rise",
        "Bundles: their rise by parts, at the upper end",
        (
            Column("bundle", "bundle"),
            Column("w_per_m", "q", "W/m", 4),
            Column("diameter_mm", "D", "mm", 2),
            Column("outer_mm", "outside", "mm", 2),
            Column("factor", "factor", "", 1),
            Column("surface_k", "surface", "K", 3),
            Column("insulation_k", "insulation", "K", 3),
            Column("core_k_m_per_w", "inside", "K m/W", 4),
            Column("core_k", "inside", "K", 3),
        ),
        tuple(rises),
        None,
        (
            "rise = surface + insulation + inside; inside = q × K m/W (of heat spread alike ρ / 4 π); q: "
            "table bundle-heat",
            f"D of equal cables: up to {len(PACKED_CIRCLE.rows)} as circles are packed, else outer × "
            f"√(cables / {PACKING.value:g}); insulation = q × ln(outside / D) / "
            f"(2 π × {MINERAL_WOOL_W_PER_M_K.value:g} W/(m K))",
            "surface = factor × the rise at which a level cylinder of the outside gives q to still air, by convection "
            f"(Churchill and Chu, 1975) and by radiation (emissivity {EMISSIVITY.value:g})",
        ),
    )


def _spaces(balance: Balance) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for space, released in balance.spaces.items():
        gear_w = sum_of([found.watts for found in released if found.how != "cable"])
        cable_w = sum_of([found.watts for found in released if found.how == "cable"])
        total_w = gear_w + cable_w
        rows.append((space or "not stated", gear_w, cable_w, total_w, total_w * BTU_PER_HOUR_PER_W.value))
    return Table(
        "heat",
        "Heat by space",
        (
            Column("space", "space"),
            Column("gear_w", "gear", "W", 1),
            Column("cable_w", "cables", "W", 1),
            Column("w", "together", "W", 1),
            Column("btu_per_h", "together", "BTU/h", 0),
        ),
        tuple(rows),
        None,
        (
            f"together = sum of its parts (table heat-parts); BTU/h = {BTU_PER_HOUR_PER_W.value:.4f} × W",
            "cables, with their cords and contacts, by the share of the link's metres in the space; recharging of "
            "batteries is not counted",
        ),
    )


def _parts(balance: Balance) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for space, released in balance.spaces.items():
        cable_w = sum_of([found.watts for found in released if found.how == "cable"])
        rows.extend(
            (space or "not stated", str(found.thing[-1]), found.how, found.watts)
            for found in released
            if found.how != "cable"
        )
        if cable_w.high:
            count = sum(1 for found in released if found.how == "cable")
            rows.append(
                (space or "not stated", "1 cable" if count == 1 else f"{count:,} cables", "loss", cable_w)
            )
    return Table(
        "heat-parts",
        "Heat by space, its parts",
        (Column("space", "space"), Column("thing", "of"), Column("how", "by"), Column("w", "power", "W", 2)),
        tuple(rows),
    )
