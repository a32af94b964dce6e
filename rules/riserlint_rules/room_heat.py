"""room-heat: what gear releases in a room is carried off, and no gear stands warmer than its maker allows.

Nearly every watt that a source takes from the mains and does not send down a cable stays in its room as heat: own
use, conversion, the UPS's loss. A cabinet or a riser closet without ventilation warms up until gear protects
itself by switching off, on the hottest day and all at once. Charging a UPS's battery is left out of the sum: it is
over some hours after an outage.

Whether the cooling is enough is asked of a space with a switch, an injector, a UPS or gear on the mains in it, and
of one that states its cooling. Where a design states no cooling at all, nothing is asked unless the basis asks
(``ask = true``) or somebody wrote ``"unknown"``: most small designs stand in rooms that nobody cools.
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from riserlint import (
    Answer,
    Built,
    Change,
    Check,
    Citation,
    Limit,
    NotApplicable,
    Passed,
    Path,
    Related,
    Released,
    Remedy,
    Rule,
    Said,
    Span,
    Thing,
    Value,
    Written,
    at_most,
    heat_limits,
    hookimpl,
    path_text,
    watt_words,
)

BTU = heat_limits.BTU_PER_HOUR_PER_W
COOLING = Check(
    "cooling",
    "a space gets more heat than its cooling carries off",
    "error",
    "Σ own use + conversion loss + draw of devices + loss of cables by their metres there + loss of UPSs, at the "
    "maximum draw and the least volts, without the charging of batteries ≤ cooling_w; 1 W = 3.412 BTU/h",
    (),
    (BTU,),
)
RANGE = Check(
    "gear-range",
    "gear stands warmer than its maker allows",
    "error",
    "hottest temperature of the space (max_c) ≤ highest ambient that the maker allows (works_to_c)",
)
CHECKS = (COOLING, RANGE)
_DESIGN: Path = ("design", "spaces")
_GEAR: Path = ("design", "gear")
#: How many of the biggest parts of a sum a finding shows.
_FEW = 6


class Parameters(Written):
    """``[rule.room-heat]``: whether the cooling of every equipment space is asked for."""

    ask: bool = False


def review(built: Built, parameters: Parameters) -> Iterator[Said]:
    """Yield the answers for every space, and for all gear whose maker's limit is stated."""
    yield from _spaces(built, parameters)
    yield from _gear(built)


# -- cooling ------------------------------------------------------------------------------------------------------


def _spaces(built: Built, parameters: Parameters) -> Iterator[Said]:
    coolings: dict[str, Value[float]] = {
        name: space.value("cooling_w") for name, space in built.spaces.items()
    }
    asked = parameters.ask or any(
        value.value is not None or built.design.asked(value.at) for value in coolings.values()
    )
    if not asked:
        why = "no cooling is stated and the basis does not ask for it"
        yield NotApplicable(COOLING.name, _DESIGN, why if built.spaces else "no space is described")
        return
    for name, cooling in coolings.items():
        at: Path = ("space", name)
        own = cooling.value is not None and not cooling.assumed
        if name not in built.equipment_spaces and not own and not built.design.asked(cooling.at):
            yield NotApplicable(COOLING.name, at, "no switch, injector, UPS or gear on the mains is in it")
        else:
            yield _cooled(built, name, cooling)
    for thing, place in built.equipment_spaces.get(None, ()):
        yield Answer(
            COOLING.name,
            "open",
            thing.at,
            place,
            f"{thing.id}: cannot tell whether its heat is carried off; it is not known in which space it is",
            missing=(place,),
        )


def _cooled(built: Built, space: str, cooling: Value[float]) -> Said:
    at: Path = ("space", space)
    there = built.worst_balance.spaces.get(space, [])
    # What stands or lies in an unknown space may do so here.
    perhaps = built.worst_balance.spaces.get(None, [])
    certain_w = built.worst_balance.released_w(space)
    heat_w = Span(certain_w.low, certain_w.high + built.worst_balance.released_w(None).high)
    missing = [path for heat in there for path in heat.missing]
    missing.extend(path for heat in perhaps for path in (heat.place, *heat.missing))
    rests_on = _rests_on(built, there)
    if cooling.value is None:
        return Answer(
            COOLING.name,
            "open",
            at,
            cooling.at,
            f"{space}: cannot tell whether the heat of {_heat(heat_w)} is carried off",
            working=_sum(there, certain_w),
            missing=(cooling.at,),
            turns=f"holds with cooling of {_heat_up(heat_w.high)} or more"
            if math.isfinite(heat_w.high)
            else "",
            rests_on=rests_on,
        )
    verdict = at_most(heat_w, cooling.value)
    if verdict == "pass":
        return Passed(COOLING.name, at)
    limit = Limit(
        f"cooling of {space}",
        cooling.value,
        "W",
        Citation("design", "", path_text(cooling.at)),
        "stated",
        "what the space's cooling or ventilation carries off, as stated",
    )
    if verdict == "open":
        return Answer(
            COOLING.name,
            "open",
            at,
            cooling.at,
            f"{space}: cannot tell whether its cooling of {_heat(cooling.value)} carries off the heat of "
            f"{_heat(heat_w)}",
            held_against=limit,
            working=_sum(there, certain_w),
            missing=tuple(dict.fromkeys(missing)),
            rests_on=(cooling.at, *rests_on),
        )
    value = certain_w.high if certain_w.known else certain_w.low
    return Answer(
        COOLING.name,
        "fail",
        at,
        cooling.at,
        f"{space}: its gear and cables release {_heat(certain_w)}, its cooling carries off {_heat(cooling.value)}",
        value=round(value, 1),
        limit=cooling.value,
        unit="W",
        margin=round(cooling.value - value, 1),
        held_against=limit,
        working=f"{_sum(there, certain_w)} > {_heat(cooling.value)}{_uncounted(there)}",
        related=tuple(
            Related(thing, f"releases {_heat(watts)}")
            for thing, watts in _biggest(there)[:_FEW]
            if watts.high * 100 >= certain_w.low
        ),
        remedy=_remedy(built, space, cooling, heat_w, there),
        rests_on=(cooling.at, *rests_on),
    )


def _remedy(
    built: Built, space: str, cooling: Value[float], heat_w: Span, there: list[Released]
) -> Remedy | None:
    """Return the cooling that is enough, and the lightest single piece of gear without which this one is."""
    words: list[str] = []
    changes: tuple[Change, ...] = ()
    if math.isfinite(heat_w.high):
        words.append(f"cooling of at least {_heat_up(heat_w.high)}")
        # What is planned can be planned anew; what was found or measured on site is what it is.
        planned = built.design.model.design.stage not in {"as-found", "as-built"}
        if planned and built.design.origin(cooling.at) not in {"measured", "nameplate"}:
            changes = (Change(("space", space, "cooling_w"), math.ceil(heat_w.high)),)
    over_w = heat_w.high - float(cooling.value or 0.0)
    gear = [(watts, thing) for thing, watts in _biggest(there) if thing[0] != "run"]
    enough = [(watts.low, thing) for watts, thing in gear if watts.low >= over_w]
    if enough:
        watts_low, thing = min(enough)
        words.append(f"{thing[1]} ({watt_words.watts(watts_low)}) in another space")
    return Remedy(", or ".join(words), changes) if words else None


def _biggest(there: Iterable[Released]) -> list[tuple[Path, Span]]:
    """Return what each thing releases in all, the most first."""
    found: dict[Path, Span] = {}
    for heat in there:
        found[heat.thing] = found.get(heat.thing, Span(0.0, 0.0)) + heat.watts
    return sorted(found.items(), key=lambda item: (-item[1].high, -item[1].low, item[0]))


def _sum(there: list[Released], total_w: Span) -> str:
    """Return the sum of what is released: the biggest parts by name, the rest together."""
    parts = sorted(there, key=lambda heat: (-heat.watts.high, -heat.watts.low, heat.thing))
    words = [f"{heat.thing[1]} {_HOW[heat.how]}{watt_words.watts(heat.watts)}" for heat in parts[:_FEW]]
    rest = parts[_FEW:]
    if rest:
        rest_w = Span(sum(heat.watts.low for heat in rest), sum(heat.watts.high for heat in rest))
        words.append(f"{len(rest)} more {watt_words.watts(rest_w)}")
    return f"{' + '.join(words) or '0 W'} = {_heat(total_w)}"


def _uncounted(there: list[Released]) -> str:
    """Return what the sum leaves out, where there is something of it."""
    return "; without the charging of batteries" if any(heat.how == "ups" for heat in there) else ""


_HOW = {
    "own use": "own use ",
    "conversion": "conversion ",
    "load": "",
    "cable": "cable ",
    "ups": "conversion ",
}


_KEYS = (
    ("ac", "own_w"),
    ("ac", "efficiency"),
    ("inlet", "own_w"),
    ("inlet", "efficiency"),
    ("own_w",),
    ("efficiency",),
)


def _rests_on(built: Built, there: list[Released]) -> tuple[Path, ...]:
    """Return what the heat rests on: places, own use and efficiency of gear, and the power over each run."""
    found: dict[Path, None] = {}
    for heat in there:
        found[heat.place] = None
        name = str(heat.thing[1])
        if heat.how in {"cable", "load"}:
            gear = built.gear.get(name)
            runs = [name] if heat.how == "cable" else [feed.run.id for feed in gear.feeds_in] if gear else []
            for run in runs:
                found.update(dict.fromkeys(built.power.rests_on(built.power.feeds[run])))
        tables: dict[Any, Mapping[str, Thing]] = {"run": {}, "ups": built.ups, "inline": built.inlines}
        thing = tables.get(heat.thing[0], built.gear).get(name)
        if thing is not None:
            values = [thing.value(*keys) for keys in _KEYS if hasattr(thing.model, keys[0])]
            found.update((value.at, None) for value in values if value.value is not None)
    return tuple(found)


def _heat(watts: Span | float) -> str:
    """Return heat for a reader, in W and in BTU/h."""
    span = watts if isinstance(watts, Span) else Span(watts, watts)
    if math.isinf(span.high):
        return watt_words.watts(span)
    low, high = (f"{round(end * BTU.value):,}" for end in span)
    return f"{watt_words.watts(span)} ({low if low == high else f'{low} to {high}'} BTU/h)"


def _heat_up(watts: float) -> str:
    """Return heat rounded up to a whole watt: less would not do."""
    return _heat(float(math.ceil(watts)))


# -- the range of gear --------------------------------------------------------------------------------------------


def _gear(built: Built) -> Iterator[Said]:
    things: list[Thing] = [*built.gear.values(), *built.ups.values()]
    limits: list[tuple[Thing, Value[Any]]] = [(thing, thing.value("works_to_c")) for thing in things]
    if all(limit.value is None and not thing.asked(limit.at) for thing, limit in limits):
        yield NotApplicable(
            RANGE.name, _GEAR, "of no gear the highest ambient is stated that its maker allows"
        )
        return
    alike: dict[tuple[Path, str], list[tuple[Thing, Answer]]] = {}
    for thing, limit in limits:
        if limit.value is None and thing.asked(limit.at):
            yield _range_unknown(built, thing, limit)
        elif limit.value is None:
            yield NotApplicable(
                RANGE.name, thing.at, "the highest ambient that its maker allows is not stated"
            )
        else:
            said = _ranged(built, thing, limit)
            space = thing.value("space").value
            if isinstance(said, Answer) and limit.at[0] in {"part", "basis"} and space is not None:
                alike.setdefault((limit.at, space), []).append((thing, said))
            else:
                yield said
    for (limit_at, space), found in alike.items():
        yield found[0][1] if len(found) == 1 else _gathered(limit_at, space, found)


def _gathered(limit_at: Path, space: str, found: list[tuple[Thing, Answer]]) -> Answer:
    """Return one answer for gear of one part (or of which the basis assumes its limit) in one space.

    It is that of the first. The thing judged is the part, or the space: it stays the same as gear comes and goes.
    """
    first = found[0][1]
    _, _, words = first.message.partition(": ")
    kind = f"of part {limit_at[1]}" if limit_at[0] == "part" else "as the basis assumes them"
    return first._replace(
        subject=limit_at[:2] if limit_at[0] == "part" else ("space", space),
        distinct=space if limit_at[0] == "part" else path_text(limit_at),
        message=f"{found[0][0].id} and {len(found) - 1} more {kind}: {words}",
        related=(*first.related, *(Related(thing.at, "stands there too") for thing, _ in found[1:])),
        rests_on=tuple(dict.fromkeys(path for _, answer in found for path in answer.rests_on)),
    )


def _range_unknown(built: Built, thing: Thing, limit: Value[float]) -> Answer:
    space: Value[str] = thing.value("space")
    hottest = built.hottest_of(space)
    most = hottest.celsius.high
    return Answer(
        RANGE.name,
        "open",
        thing.at,
        limit.at,
        f"{thing.id}: cannot tell whether it stands within what its maker allows, in "
        f"{space.value or 'a space that is not known'}",
        missing=(limit.at, *hottest.missing),
        turns=f"holds if its maker allows {most:g} °C or more" if math.isfinite(most) else "",
        rests_on=hottest.rests_on,
    )


def _ranged(built: Built, thing: Thing, limit: Value[float]) -> Said:
    space: Value[str] = thing.value("space")
    hottest = built.hottest_of(space)
    most_c = float(limit.value or 0.0)
    verdict = at_most(hottest.celsius, most_c)
    if verdict == "pass":
        return Passed(RANGE.name, thing.at)
    record = Limit(
        f"highest ambient of {thing.id}",
        most_c,
        "°C",
        Citation("the maker's data", "", path_text(limit.at)),
        "stated",
        "as stated in the design",
    )
    where = space.value or "a space that is not known"
    if verdict == "open":
        return Answer(
            RANGE.name,
            "open",
            thing.at,
            hottest.missing[0],
            f"{thing.id}: cannot tell whether it stands within the {most_c:g} °C that its maker allows, in {where}",
            held_against=record,
            missing=hottest.missing,
            turns=f"holds if it is {most_c:g} °C or cooler there",
            rests_on=(limit.at,),
        )
    celsius = hottest.celsius.high
    return Answer(
        RANGE.name,
        "fail",
        thing.at,
        thing.at if space.value is None else space.at,
        f"{thing.id}: it gets {celsius:g} °C in {where}, its maker allows {most_c:g} °C",
        value=celsius,
        limit=most_c,
        unit="°C",
        margin=round(most_c - celsius, 6),
        held_against=record,
        working=f"{celsius:g} °C > {most_c:g} °C",
        related=(
            Related(hottest.rests_on[0], "the hottest that it gets there"),
            Related(limit.at, "what its maker allows"),
        ),
        remedy=Remedy(
            f"a space that stays at {most_c:g} °C or below, cooling that keeps {where} there, or gear for "
            f"{celsius:g} °C or more"
        ),
        rests_on=(*hottest.rests_on, limit.at),
    )


RULE = Rule(
    "room-heat",
    "the heat of equipment spaces carried off, gear within its range",
    "Almost every watt that a source takes and does not send down a cable stays in its room. A closet that "
    "nobody cools warms up until gear switches itself off, on the hottest day and all at once.",
    CHECKS,
    review,
    Parameters,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
