"""The power schedules: runs with volts and watts, their currents, their resistance; switches; the whole."""

import math
from collections.abc import Iterator

from riserlint.analysis.balance import Balance
from riserlint.analysis.built import Built
from riserlint.analysis.currents import heavier_excess
from riserlint.analysis.loads import Grant
from riserlint.analysis.power import FeedPower
from riserlint.analysis.resistance import LoopOhm
from riserlint.analysis.schedules.tables import NO_SOLUTION, Cell, Column, Table
from riserlint.analysis.settled import Settled
from riserlint.analysis.supplies import budget_of
from riserlint.engineering.conductors import worst_conductor_share
from riserlint.engineering.span import Span
from riserlint.installation.things import Gear, InlineGear, Port
from riserlint.standards.conductors import CONTACT_OHM, COPPER_PER_KELVIN, WITHIN_PAIR_UNBALANCE


def power_tables(built: Built, settled: Settled, balance: Balance) -> Iterator[Table]:
    """Yield the power schedules of a solution."""
    feeds = [settled.power.feeds[run.id] for run in built.runs.values() if run.id in settled.power.feeds]
    yield _runs(feeds, balance)
    yield _currents(feeds)
    yield _resistance(built, settled, feeds)
    yield _switches(built, settled, balance)
    yield _whole(balance)


def _label(port: Port | None) -> str:
    return "unknown" if port is None else port.label


def _ends(power: FeedPower, value: str) -> Span:
    """Return one value of the operating points at both ends, from the least to the greatest."""
    found = [getattr(state, value) for state in (power.best, power.worst) if state is not None]
    if len(found) < 2:
        return Span(min(found, default=0.0), math.inf)
    return Span(min(found), max(found))


def _volts(power: FeedPower) -> Cell:
    if power.worst is None:
        return "not known" if power.best is not None else "none"
    found = [state.device_v for state in (power.best, power.worst) if state is not None]
    return Span(min(found), max(found))


def _runs(feeds: list[FeedPower], balance: Balance) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for power in feeds:
        loss_w = balance.loss_of(power)
        rows.append(
            (
                power.feed.run.id,
                _label(power.feed.run.from_port),
                _label(power.feed.run.to_port),
                _class_words(power.grant),
                power.volts,
                power.source_w,
                loss_w,
                _percent(loss_w, power.source_w),
                _volts(power),
                power.load_w,
            )
        )
    return Table(
        "runs",
        "Power by run",
        (
            Column("run", "run"),
            Column("from", "from"),
            Column("to", "to"),
            Column("class", "class"),
            Column("source_v", "source", "V"),
            Column("source_w", "source", "W"),
            Column("loss_w", "loss", "W"),
            Column("loss_percent", "loss", "%", 1),
            Column("load_v", "load", "V"),
            Column("load_w", "load", "W"),
        ),
        tuple(rows),
        ("all", None, None, None, None, None, balance.copper_w, None, None, None),
        (
            "class: the one assigned, of two signatures those that both modes ask for; source, load: at the port and "
            "at the device or inlet",
            "load V = source V − A × Ω (tables currents, resistance); W = V × A; loss = A² × Ω = source W − load W",
            *((_MODES,) if any(power.modes for power in feeds) else ()),
        ),
    )


_MODES = (
    "of two signatures each mode is a link of its own: s W of the heavier over 2 × pair, warm / pairs (s: heavier "
    "mode), the rest over another such pairset; A is the sum of both, load V that of the heavier, loss = source W − "
    "load W"
)


def _class_words(grant: Grant) -> str:
    """Return the class assigned; of two signatures those of both modes."""
    if grant.refused:
        return "none"
    if "passive" in (grant.scheme, grant.load_scheme):
        return "passive"
    if grant.dual:
        return " + ".join(
            "unknown" if mode is None else str(mode) for mode in (grant.requested, grant.second)
        )
    return "unknown" if grant.assigned is None else str(grant.assigned)


def _percent(part_w: Span, whole_w: Span) -> Span | None:
    """Return a share in percent at both ends of what is not known, the lesser first."""
    if not whole_w.low or not math.isfinite(whole_w.high):
        return None
    least, most = 100 * part_w.low / whole_w.low, 100 * part_w.high / whole_w.high
    return Span(min(least, most), max(least, most))


def _currents(feeds: list[FeedPower]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for power in feeds:
        pairs = power.grant.pairs
        amperes = _ends(power, "current_a")
        pair_a = Span(2 * amperes.low / pairs.high, 2 * amperes.high / pairs.low)
        wire_ma = Span(1000 * amperes.low / pairs.high, 1000 * amperes.high / pairs.low)
        share = _heavier_share(power)
        of_pair = 1000 * worst_conductor_share(WITHIN_PAIR_UNBALANCE.value)
        worst_ma = Span(amperes.low * share.low * of_pair, amperes.high * share.high * of_pair)
        rows.append((power.feed.run.id, pairs, amperes, pair_a, wire_ma, share, worst_ma))
    return Table(
        "currents",
        "Currents by run",
        (
            Column("run", "run"),
            Column("pairs", "pairs", "", 0),
            Column("current_a", "out, and back", "A", 4),
            Column("pair_a", "pair, pairset", "A", 4),
            Column("conductor_ma", "conductor", "mA", 1),
            Column("heavier_share", "heavier", "", 4),
            Column("worst_conductor_ma", "worst conductor", "mA", 1),
        ),
        tuple(rows),
        None,
        (
            "pairs: those that carry power; A = source W / source V (table runs)",
            "pair, and pairset = 2 × A / pairs; conductor = A / pairs",
            "heavier: the share of A that the heavier pairset carries; all over two pairs, over four by its class's "
            "unbalance (IEEE 802.3, from memory), of two signatures by what its mode takes",
            "worst conductor = A × heavier × "
            f"(1 + {WITHIN_PAIR_UNBALANCE.value:g}) / 2, the unbalance in a pair (TIA-568, from memory)",
        ),
    )


def _heavier_share(power: FeedPower) -> Span:
    """Return the share of a feed's current that the heavier pairset carries; all of it over two pairs."""
    pairs = power.grant.pairs
    excess = heavier_excess(power, int(pairs.high))
    low = excess.low if pairs.known else 0.0
    return Span(1.0 if pairs.high == 2 else (1 + low) / 2, 1.0 if pairs.low == 2 else (1 + excess.high) / 2)


def _resistance(built: Built, settled: Settled, feeds: list[FeedPower]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    shares = {power.feed.run.id: modes for power in feeds if (modes := power.modes) is not None}
    for power in feeds:
        run = power.feed.run
        loop: LoopOhm = settled.power.loop(run)
        celsius = settled.conductor_celsius(run)
        metres = built.metres(run)
        rows.append(
            (
                run.id,
                run.cable.id if run.cable is not None else "unknown",
                metres.link,
                metres.cords,
                loop.copper,
                loop.fixed,
                celsius,
                loop.at(celsius),
                power.grant.pairs,
                *((shares.get(run.id),) if shares else ()),
                power.ohm,
            )
        )
    working: tuple[str, ...] = (
        "pair, 20 °C = 2 × (link m × Ω/km + cords m × Ω/km) / 1000 (tables cables, cords), its two wires in series",
        f"contacts: 2 × {CONTACT_OHM.value:g} Ω a connection, and surge protectors and injectors in the run",
        f"pair, warm = pair, 20 °C × (1 + {COPPER_PER_KELVIN.value:g} × (°C − 20)) + contacts",
        "load sees = pair, warm / pairs",
    )
    if shares:
        working += (
            "of two signatures: × 2 × the share of the load that the heavier mode takes, since each has a pairset of "
            "its own (0.5: both alike)",
        )
    columns = (
        Column("run", "run"),
        Column("cable", "cable"),
        Column("link_m", "link", "m", 1),
        Column("cords_m", "cords", "m", 1),
        Column("copper_ohm", "pair, 20 °C", "Ω", 3),
        Column("fixed_ohm", "contacts", "Ω", 2),
        Column("celsius", "wires", "°C", 1),
        Column("loop_ohm", "pair, warm", "Ω", 3),
        Column("pairs", "pairs", "", 0),
        *((Column("heavier_share", "heavier mode", "", 2),) if shares else ()),
        Column("ohm", "load sees", "Ω", 3),
    )
    return Table("resistance", "Resistance by run, out and back", columns, tuple(rows), None, working)


def _switches(built: Built, settled: Settled, balance: Balance) -> Table:
    rows: list[tuple[Cell, ...]] = []
    drops = any(found.drop_w.high for found in balance.switches.values())
    for name, found in balance.switches.items():
        source = settled.power.sources[name]
        budget = budget_of(built, found.gear)
        fed = _fed_by(found.gear)
        free: Cell = None
        if math.isfinite(budget.watts.low):
            least, most = source.enforced_w
            free = (
                NO_SOLUTION if math.isinf(least) else Span(budget.watts.low - most, budget.watts.high - least)
            )
        rows.append(
            (
                name,
                fed,
                found.inlet_w,
                found.own_w,
                found.conversion_w,
                *((found.drop_w,) if drops else ()),
                found.delivered_w,
                found.allocated_w,
                budget.watts if math.isfinite(budget.watts.low) else None,
                free,
            )
        )
    return Table(
        "switches",
        "Power by switch",
        (
            Column("switch", "switch"),
            Column("fed", "fed by"),
            Column("inlet_w", "taken", "W"),
            Column("own_w", "own use", "W"),
            Column("conversion_w", "convert", "W"),
            *((Column("drop_w", "drop", "W"),) if drops else ()),
            Column("delivered_w", "ports", "W"),
            Column("allocated_w", "reserved", "W"),
            Column("budget_w", "budget", "W"),
            Column("free_w", "free", "W"),
        ),
        tuple(rows),
        None,
        (
            f"taken = own use + convert + {'drop + ' if drops else ''}ports; ports = sum of source W of its runs "
            "(table runs); convert = ports × (1 / efficiency − 1)",
            *(
                (
                    "drop: of a switch that passes power through, its volts lost × A of its ports (table currents)",
                )
                if drops
                else ()
            ),
            "free = budget − reserved, or where it measures budget − ports; no budget: its inlet is the limit",
        ),
    )


def _fed_by(gear: Gear | InlineGear) -> str:
    """Return what feeds a source: the ports of its runs, and what its supplies are plugged into."""
    names = [supply.source.value or "unknown" for supply in gear.supplies]
    if isinstance(gear, Gear):
        names = [*("unknown" if feed.port is None else feed.port.label for feed in gear.feeds_in), *names]
    return ", ".join(dict.fromkeys(names)) or "unknown"


def _whole(balance: Balance) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (what, watts, _percent(watts, balance.given_w))
        for what, watts in (
            ("taken by devices", balance.loads_w),
            ("lost in cables, cords and contacts", balance.copper_w),
            ("own use and conversion of switches fed over a cable", balance.inner_w),
        )
    ]
    return Table(
        "whole",
        "The whole design",
        (Column("what", "what"), Column("w", "power", "W", 1), Column("percent", "of what is given", "%", 1)),
        tuple(rows),
        ("given at the ports of sources that no run feeds", balance.given_w, None),
        ("given = sum of the three above it",),
    )
