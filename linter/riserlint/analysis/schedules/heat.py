"""The bundle schedule and the heat by space."""

import math
from collections.abc import Iterator

from riserlint.analysis.balance import Balance
from riserlint.analysis.built import Built
from riserlint.analysis.remote_powering import category_words, mean_current_ma
from riserlint.analysis.schedules.tables import Cell, Column, Table, exactly
from riserlint.analysis.settled import Settled
from riserlint.engineering.span import sum_of
from riserlint.standards.heat import BTU_PER_HOUR_PER_W


def heat_tables(built: Built, settled: Settled, balance: Balance) -> Iterator[Table]:
    """Yield the schedules of heat of a solution."""
    if settled.heat.bundles:
        yield _bundles(built, settled)
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
