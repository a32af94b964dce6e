"""circuit-load: what runs on a branch circuit all day stays within what its breaker carries all day.

A switch, a UPS and its recharging battery draw for hours, longer than a breaker is meant to carry its whole rating in
North America. The circuit trips at night, when the infrared lamps are on, or after an outage, when the battery
recharges; and everything that hangs on it is dark once that battery is empty.
"""

import math
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from riserlint import (
    Answer,
    Built,
    Check,
    CircuitLoad,
    CircuitPart,
    Limit,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Rule,
    Said,
    Span,
    Thing,
    at_most,
    hookimpl,
    parts_that_turn,
    supply_limits,
    supply_load,
)

CONTINUOUS = Check(
    "continuous",
    "a circuit carries more than its breaker may all day",
    "error",
    "sum over all that hangs on the circuit, single-phase, of W / (V × power factor): gear at its maximum at the "
    "source, behind a UPS over its efficiency, with the watts that recharge its battery; ≤ 0.8 × rating of the breaker "
    "(North America; 1 × for a 100 %-rated assembly), ≤ 1 × (IEC countries); a power factor that nobody states is 0.5 "
    "to 1; a warning where it is above only while another supply of gear is off",
    (supply_limits.CONTINUOUS_LOAD_FACTOR.citation,),
    (
        supply_limits.CONTINUOUS_LOAD_SHARE,
        supply_limits.FULLY_RATED_SHARE,
        supply_limits.IEC_CIRCUIT_SHARE,
        supply_limits.LOAD_POWER_FACTOR_LOW,
        supply_limits.LOAD_POWER_FACTOR_HIGH,
    ),
)
#: How many of the biggest loads a finding names.
FEW = 10


class Allowed(NamedTuple):
    """What share of its breaker a circuit may carry: the range, the limit, and what is not known of it."""

    share: Span
    limit: Limit
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]


def review(built: Built, _: object) -> Iterator[Said]:
    """Yield one answer for every circuit."""
    asked = built.design.asked
    any_breaker = any(
        circuit.value("breaker_a").value is not None or asked((*circuit.at, "breaker_a"))
        for circuit in built.circuits.values()
    )
    for circuit in built.circuits.values():
        breaker, volts = circuit.value("breaker_a"), circuit.value("volts")
        named = any(value.value is not None or asked(value.at) for value in (breaker, volts))
        if not named:
            why = "of it neither breaker nor volts are stated" if any_breaker else "no breaker is stated"
            yield NotApplicable(CONTINUOUS.name, circuit.at, why)
            continue
        load = built.circuit_loads.by_circuit[circuit.id]
        if load.parts:
            yield _judged(built, circuit, load)
        else:
            yield NotApplicable(CONTINUOUS.name, circuit.at, "nothing hangs on it")


def allowed(built: Built, circuit: Thing) -> Allowed:
    """Return what share of a breaker continuous load may take, by the region and by how the breaker is rated."""
    standard, full, iec = (
        supply_limits.CONTINUOUS_LOAD_SHARE,
        supply_limits.FULLY_RATED_SHARE,
        supply_limits.IEC_CIRCUIT_SHARE,
    )
    if built.region in ("europe", "international"):
        return Allowed(Span(iec.value, iec.value), iec, (), ())
    rated = circuit.value("rated_100")
    if rated.value is True:
        return Allowed(Span(full.value, full.value), full, (), (rated.at,))
    if built.region == "north-america" and rated.value is False:
        return Allowed(Span(standard.value, standard.value), standard, (), (rated.at,))
    missing: list[Path] = [] if built.region is not None else [("design", "region")]
    if rated.value is None:
        missing.append(rated.at)
    return Allowed(Span(standard.value, full.value), full if built.region else iec, tuple(missing[:1]), ())


def _judged(built: Built, circuit: Thing, load: CircuitLoad) -> Said:
    breaker, volts = circuit.value("breaker_a"), circuit.value("volts")
    may = allowed(built, circuit)
    rating = Span(0.0, math.inf) if breaker.value is None else Span(breaker.value, breaker.value)
    limit = Span(rating.low * may.share.low, rating.high * may.share.high)
    value, least = Span(0.0, math.inf), 0.0
    if volts.value is not None:
        value = Span(load.va.low / volts.value, load.va.high / volts.value)
        if math.isfinite(load.va.high):
            value = supply_load.amperes(load.va, volts.value)
        least = load.least_va / volts.value
    verdict = at_most(value, limit)
    if verdict == "pass":
        return Passed(CONTINUOUS.name, circuit.at)
    if verdict == "open":
        return _cannot_tell(circuit, load, value, limit, may)
    return _over(circuit, load, Span(least, value.low), limit.high, may)


def _over(circuit: Thing, load: CircuitLoad, value: Span, limit_a: float, may: Allowed) -> Answer:
    """Return that a circuit carries too much: ``value`` from what it surely does to the whole of what it shares."""
    breaker, volts = circuit.value("breaker_a").value, circuit.value("volts").value
    assert volts is not None
    surely = at_most(value.low, limit_a) == "fail"
    over_w = math.ceil(_exact((value.high - limit_a) * volts))
    shared = [part for part in load.parts if part.shared]
    while_off = "" if surely else ", while another supply of " + _named(shared) + " is off"
    share = f"{may.share.high:.0%} of " if may.share.high < 1 else ""
    biggest = sorted(load.parts, key=lambda part: (-part.va.low, part.thing.id))[:FEW]
    return Answer(
        CONTINUOUS.name,
        "fail",
        circuit.at,
        (*circuit.at, "breaker_a"),
        f"{circuit.id} carries {value.high:.2f} A{while_off}; {share}its breaker of {breaker:g} A is {limit_a:g} A",
        level=None if surely else "warning",
        value=value.high,
        limit=limit_a,
        unit="A",
        margin=limit_a - value.high,
        held_against=may.limit,
        working=f"({_sum(load)}) / {volts:g} V = {value.high:.2f} A > {limit_a:g} A",
        related=tuple(
            Related(part.thing.at, f"takes {_range(part.va, 'VA')}") for part in biggest if part.va.low
        ),
        remedy=Remedy(
            f"{over_w:,} VA or more of it on another circuit, or a breaker of "
            f"{_next_breaker(value.high / may.share.high):g} A or more with conductors for it"
        ),
        rests_on=_rests_on(circuit, load, may),
    )


def _cannot_tell(circuit: Thing, load: CircuitLoad, value: Span, limit: Span, may: Allowed) -> Answer:
    breaker, volts = circuit.value("breaker_a"), circuit.value("volts")
    missing: dict[Path, None] = {given.at: None for given in (breaker, volts) if given.value is None}
    if volts.value is not None and not load.va.known:
        most_va = Span(limit.low * volts.value, limit.high * volts.value)
        turning = _turning(load, most_va)
        missing.update((path, None) for part in turning for path in part.missing)
    missing.update((path, None) for path in may.missing)
    turns = ""
    if volts.value is not None:
        if breaker.value is None and math.isfinite(value.high):
            turns = (
                f"holds if its breaker is rated {math.ceil(_exact(value.high / may.share.low)):g} A or more"
            )
        elif breaker.value is not None and at_most(value, limit.high) == "pass":
            turns = "holds if its assembly is listed for 100 %"
        elif breaker.value is not None:
            turns = f"holds if all that runs on it takes {math.floor(_exact(limit.low * volts.value)):,} VA or less"
    carried = _range(value, "A") if volts.value is not None else _range(load.va, "VA")
    held = "" if breaker.value is None else f" of {breaker.value:g} A"
    return Answer(
        CONTINUOUS.name,
        "open",
        circuit.at,
        (*circuit.at, "breaker_a"),
        f"cannot tell whether {circuit.id} carries what runs on it all day: {carried} on a breaker{held}",
        held_against=may.limit if may.share.known else None,
        working=f"{_sum(load)}"
        + ("" if volts.value is None else f", / {volts.value:g} V = {_range(value, 'A')}"),
        missing=tuple(missing),
        turns=turns,
        rests_on=_rests_on(circuit, load, may),
    )


def _turning(load: CircuitLoad, most_va: Span) -> tuple[CircuitPart, ...]:
    """Return the parts of a load of which one alone, were it known, could decide; all open ones where none could."""
    return tuple(
        part
        for part in parts_that_turn(
            load.parts, lambda part: part.va, lambda va: at_most(va, most_va) != "open"
        )
        if not part.va.known
    )


def _rests_on(circuit: Thing, load: CircuitLoad, may: Allowed) -> tuple[Path, ...]:
    own = (circuit.value(key) for key in ("breaker_a", "volts"))
    found = [value.at for value in own if value.value is not None]
    found.extend(may.rests_on)
    found.extend(path for part in load.parts for path in part.rests_on)
    return tuple(dict.fromkeys(found))


def _next_breaker(rating_a: float) -> float:
    """Return the least standard rating that is enough, up to the table's last; above it the amperes themselves."""
    standard = (rating for rating in supply_limits.STANDARD_BREAKER_A.rows if rating >= rating_a)
    return next(standard, math.ceil(rating_a))


def _sum(load: CircuitLoad) -> str:
    parts = sorted(load.parts, key=lambda part: (-part.va.low, part.thing.kind, part.thing.id))
    words = [_words(part) for part in parts[:FEW]]
    if len(parts) > FEW:
        words.append(f"{len(parts) - FEW} others")
    return " + ".join(words)


def _words(part: CircuitPart) -> str:
    share = "" if part.share == (1, 1) else f" / {_range(part.share, 'efficiency')}"
    factor = "" if part.factor == (1, 1) else f" / {_range(part.factor, 'power factor')}"
    return f"{_what(part)} {_range(part.own_w, 'W')}{share}{factor}"


def _what(part: CircuitPart) -> str:
    if part.thing.kind == "ups":
        return f"recharge of {part.thing.id}"
    return f"what else runs on {part.thing.id}" if part.thing.kind == "circuit" else part.thing.id


def _named(parts: list[CircuitPart]) -> str:
    names = ", ".join(part.thing.id for part in parts[:2])
    return names if len(parts) <= 2 else f"{names} and {len(parts) - 2} more"


def _range(span: Span, unit: str) -> str:
    low, high = round(span.low, 2), round(span.high, 2)
    if low == high:
        return f"{low:g} {unit}"
    if math.isinf(high):
        return f"{low:g} {unit} or more" if low else f"an unknown number of {unit}"
    return f"{low:g} to {high:g} {unit}"


def _exact(value: float) -> float:
    """Return a value without the error of a float, so that 16.000000001 is not rounded up to 17."""
    return round(value, 6)


RULE = Rule(
    "circuit-load",
    "branch circuits carry what runs on them all day",
    "A breaker that is loaded for hours beyond what it may carry trips by night or after an outage, when infrared "
    "lamps and the recharging battery come together; then all that hangs on it lives as long as its battery.",
    (CONTINUOUS,),
    review,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
