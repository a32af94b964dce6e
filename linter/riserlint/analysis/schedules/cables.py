"""The cable schedules: every run with its lengths, and what to order of each kind."""

import math
from collections.abc import Iterator
from typing import NamedTuple

from riserlint.analysis.built import Built
from riserlint.analysis.metres import RunMetres
from riserlint.analysis.resistance import conductor_of
from riserlint.analysis.schedules.tables import Cell, Column, Table, exactly
from riserlint.engineering.span import Span, sum_of
from riserlint.installation.things import Cable, Run


class _Kind(NamedTuple):
    """The runs of one kind of cable."""

    cable: Cable | None
    runs: list[RunMetres]


class _Cords(NamedTuple):
    """The cords of one kind."""

    cable: Cable | None
    metres: list[Span]


def cable_tables(built: Built) -> Iterator[Table]:
    """Yield the cable schedules; they do not hang on a solution."""
    kinds: dict[str, _Kind] = {}
    cords: dict[str, _Cords] = {}
    rows: list[tuple[Cell, ...]] = []
    for run in built.runs.values():
        metres = built.metres(run)
        name = "unknown" if run.cable is None else run.cable.id
        kinds.setdefault(name, _Kind(run.cable, [])).runs.append(metres)
        for cord in run.cords or ():
            kind = "unknown" if cord.cable is None else cord.cable.id or "assumed by the basis"
            known = exactly(cord.metres.value) or Span(0.0, math.inf)
            cords.setdefault(kind, _Cords(cord.cable, [])).metres.append(known)
        rows.append(_row(built, run, name, metres))
    yield Table(
        "cable-runs",
        "Cables by run",
        (
            Column("run", "run"),
            Column("from", "from"),
            Column("to", "to"),
            Column("cable", "cable"),
            Column("written_m", "link", "m", 1),
            Column("origin", "origin"),
            Column("allowance_m", "allowance", "m", 1),
            Column("cords_m", "cords", "m", 1),
            Column("channel_m", "channel", "m", 1),
        ),
        tuple(rows),
        None,
        (
            "link as written; channel = link + allowance + cords; a measured length with its uncertainty, as a range",
        ),
    )
    yield _orders(built, kinds)
    if cords:
        yield Table(
            "cords",
            "Cords by kind",
            (
                Column("cable", "cord"),
                Column("count", "cords", "", 0),
                Column("m", "together", "m", 1),
                Column("ohm_per_km", "20 °C", "Ω/km", 3),
            ),
            tuple(
                (
                    name,
                    exactly(len(kind.metres)),
                    sum_of(kind.metres),
                    conductor_of(kind.cable, (), cord=True).per_m_20 * 1000,
                )
                for name, kind in cords.items()
            ),
            None,
            ("Ω/km of one conductor",),
        )


def _row(built: Built, run: Run, name: str, metres: RunMetres) -> tuple[Cell, ...]:
    written = run.value("link_m")
    origin = "unknown"
    if written.value is not None:
        origin = "assumed" if written.assumed else built.design.origin(written.at) or "not stated"
    return (
        run.id,
        "unknown" if run.from_port is None else run.from_port.label,
        "unknown" if run.to_port is None else run.to_port.label,
        name,
        exactly(metres.link_written) or Span(0.0, math.inf),
        origin,
        exactly(metres.allowance_m),
        metres.cords,
        metres.channel,
    )


def _orders(built: Built, kinds: dict[str, _Kind]) -> Table:
    spare = built.design.basis.model.allowance.spare_share
    rows: list[tuple[Cell, ...]] = []
    for name, kind in kinds.items():
        written = sum_of([exactly(run.link_written) or Span(0.0, math.inf) for run in kind.runs])
        allowance = exactly(sum(run.allowance_m for run in kind.runs)) or Span(0.0, 0.0)
        together = written + allowance
        kept = together * (spare or 0.0)
        ohm = conductor_of(kind.cable, (), cord=False).per_m_20
        rows.append(
            (
                name,
                exactly(len(kind.runs)),
                written,
                allowance,
                kept,
                together + kept,
                ohm * 1000,
            )
        )
    return Table(
        "cables",
        "Cables by kind",
        (
            Column("cable", "cable"),
            Column("runs", "runs", "", 0),
            Column("written_m", "links", "m", 1),
            Column("allowance_m", "allowance", "m", 1),
            Column("spare_m", "spare", "m", 1),
            Column("order_m", "to order", "m", 1),
            Column("ohm_per_km", "20 °C", "Ω/km", 3),
        ),
        tuple(rows),
        None,
        (
            "links as written; Ω/km of one conductor; to order = links + allowance + spare",
            "allowance: what the basis adds to drawn lengths for rise, drop and slack",
            "spare: the basis states none"
            if spare is None
            else f"spare = {spare:g} × (links + allowance), as the basis states",
        ),
    )
