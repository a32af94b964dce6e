"""The bundle schedule and the heat by space."""

import math
from collections.abc import Iterator

from riserlint.analysis.balance import Balance
from riserlint.analysis.built import Built
from riserlint.analysis.bundle_load import MOST_CABLES
from riserlint.analysis.currents import most_current_a
from riserlint.analysis.heat import BundleHeat
from riserlint.analysis.power import Power
from riserlint.analysis.schedules.tables import Cell, Column, Table, exactly, summed
from riserlint.analysis.settled import Settled
from riserlint.engineering.span import Span
from riserlint.standards.heat import BTU_PER_HOUR_PER_W, REMOTE_POWERING


def heat_tables(built: Built, settled: Settled, balance: Balance) -> Iterator[Table]:
    """Yield the schedules of heat of a solution."""
    if settled.heat.bundles:
        yield _bundles(built, settled)
    yield _spaces(balance)
    yield _parts(balance)


def mean_current_ma(power: Power, state: BundleHeat) -> Span:
    """Return the mean current of all conductors of a bundle, those of dark cables counted, in mA.

    What goes out over a cable comes back over it, so that its eight wires carry twice its current together.
    Cables that are not in the file: from nothing to the worst that they may carry. Infinite where not bounded.
    """
    low = high = 0.0
    for run in state.live:
        feed = power.feeds[run.id]
        low += 2 * (0.0 if feed.best is None else feed.best.current_a)
        high += 2 * most_current_a(feed)
    others = state.cables.high - len({member.run.id for member in state.bundle.members})
    if state.other is not None:
        high += others * state.other.live_conductors * state.other.current_a
    if math.isinf(high):
        return Span(0.0, math.inf)
    dark = state.cables.high if math.isfinite(state.cables.high) else MOST_CABLES
    return Span(1000 * low / (8 * dark), 1000 * high / (8 * state.cables.low))


def remote_powering_category(mean_ma: Span) -> str:
    """Return the remote powering category that currents need, ``RP1 to RP2`` where it is not known which.

    Source: EN 50174-2 and ISO/IEC 14763-2 (the currents from memory).
    """

    def category(current_ma: float) -> str:
        fitting = (row.category for row in REMOTE_POWERING.rows if current_ma <= row.up_to_ma)
        return next(fitting, "above RP3")

    low, high = category(mean_ma.low), category(mean_ma.high)
    return low if low == high else f"{low} to {high}"


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
        rows.append((*row, remote_powering_category(current)) if european else row)
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
    last_k = settled.rounds[-1].change_k if settled.rounds else 0.0
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
        gear_w = summed([found.watts for found in released if found.how != "cable"])
        cable_w = summed([found.watts for found in released if found.how == "cable"])
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
            "cables by the share of their metres in the space; recharging of batteries is not counted",
        ),
    )


def _parts(balance: Balance) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for space, released in balance.spaces.items():
        cable_w = summed([found.watts for found in released if found.how == "cable"])
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
