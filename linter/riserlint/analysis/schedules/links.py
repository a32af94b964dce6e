"""The link schedule: what streams go over each link that is shared, against its rate."""

import math
from collections.abc import Iterator

from riserlint.analysis.built import Built
from riserlint.analysis.schedules.tables import Cell, Column, Table, exactly
from riserlint.analysis.traffic import LinkLoad
from riserlint.engineering.framing import wire_factor
from riserlint.engineering.span import Span
from riserlint.standards.traffic import FRAME_AROUND, FRAME_PAYLOAD, PACKET_HEADS


def link_tables(built: Built) -> Iterator[Table]:
    """Yield the links with their streams; nothing where no stream is described."""
    traffic = built.traffic
    if not traffic.streams.stated:
        return
    rows: list[tuple[Cell, ...]] = [_row(load, "") for load in traffic.links if load.carried.sources > 1]
    for ring in traffic.rings:
        rows.extend(_row(load, idle.id) for idle, load in ring.worst)
    yield Table(
        "links",
        "Links that several streams share",
        (
            Column("run", "run"),
            Column("into", "into"),
            Column("idle", "while idle"),
            Column("streams", "streams", "", 0),
            Column("average_mbps", "average", "Mbit/s", 1),
            Column("wire_mbps", "on the wire", "Mbit/s", 1),
            Column("peak_mbps", "peaks, on the wire", "Mbit/s", 1),
            Column("rate_mbps", "rate", "Mbit/s", 0),
            Column("share", "of it", "%", 0),
        ),
        tuple(rows),
        None,
        (
            "average: sum of the streams in the direction that carries more",
            f"on the wire = average × ({FRAME_PAYLOAD.value:g} + {FRAME_AROUND.value:g}) / ({FRAME_PAYLOAD.value:g} − "
            f"{PACKET_HEADS.value:g}) = average × {wire_factor():.4f}: full frames; of it = on the wire / rate",
            "while idle: of a ring the link that carries most of its rate, for each link that may be idle",
        ),
    )


def _row(load: LinkLoad, idle: str) -> tuple[Cell, ...]:
    average, peak = load.carried.average, load.carried.peak
    wire, rate = average * wire_factor(), load.rate
    share = None
    if math.isfinite(wire.high) and math.isfinite(rate.high):
        share = Span(100 * wire.low / rate.high, 100 * wire.high / rate.low)
    return (
        load.run.id,
        load.into.id,
        idle,
        exactly(load.carried.sources),
        average,
        wire,
        peak * wire_factor() if math.isfinite(peak.high) else None,
        rate,
        share,
    )
