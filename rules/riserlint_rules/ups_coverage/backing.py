"""Gear that no UPS keeps alive."""

from collections.abc import Iterator

from riserlint import (
    Answer,
    Change,
    Gear,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Said,
    Span,
    Standby,
    SupplyWay,
    Thing,
    Unbacked,
    path_text,
)
from riserlint_rules.ups_coverage.asking import Asking
from riserlint_rules.ups_coverage.checks import BACKED, VOLT_AMPERES, WATTS
from riserlint_rules.ups_coverage.ratings import rating_verdict
from riserlint_rules.ups_coverage.words import counted, watts_words

#: Only so many UPSs are tried for gear that escapes: the nearest first.
_TRIED = 3


def backed(asking: Asking) -> Iterator[Said]:
    """Yield the answers for all gear; what goes dark with other gear is answered there."""
    continuity = asking.built.continuity
    if not asking.in_force:
        for thing in continuity.powered():
            yield NotApplicable(BACKED.name, thing.at, "no UPS is described and no standby is asked")
        return
    for loop in continuity.loops:
        yield _loop(asking, loop)
    for thing in continuity.powered():
        if thing.at in continuity.backed:
            yield Passed(BACKED.name, thing.at)
    by_circuit: dict[Path, list[Unbacked]] = {}
    for root in continuity.unbacked:
        for thing in root.dark:
            yield NotApplicable(BACKED.name, thing.at, f"hangs on {root.thing.id}, which is judged")
        unknown = [
            way.supplied for way in root.ways if way.supplied is not None and way.supplied.end == "unknown"
        ]
        if asking.none_asked((root.thing, *root.dark)):
            yield NotApplicable(BACKED.name, root.thing.at, "its role asks for no standby")
        elif root.state == "escapes":
            if any(way.supplied is not None and way.supplied.end == "loop" for way in root.ways):
                yield NotApplicable(BACKED.name, root.thing.at, "hangs on circuits that feed only each other")
            elif all(way.supplied is not None and way.supplied.end == "refused" for way in root.ways):
                yield NotApplicable(
                    BACKED.name, root.thing.at, "its port gives it no power: poe-class judges that"
                )
            else:
                yield _escapes(asking, root)
        elif len(unknown) == 1 and unknown[0].through and unknown[0].missing is not None:
            by_circuit.setdefault(unknown[0].missing, []).append(root)
        else:
            yield _unknown(asking, root)
    for at, roots in by_circuit.items():
        yield _unknown_circuit(at, roots)


def _loop(asking: Asking, loop: tuple[str, ...]) -> Answer:
    things = [asking.built.ups.get(name) or asking.built.circuits[name] for name in loop]
    first = next((thing for thing in things if thing.kind == "ups"), things[0])
    chain = " ← ".join((*loop, loop[0]))
    return Answer(
        BACKED.name,
        "fail",
        first.at,
        (*first.at, "from"),
        f"{first.id} is fed by itself ({chain}): no mains reach it, and nothing charges a battery in it",
        level="error",
        working=chain,
        related=tuple(
            Related((*thing.at, "from"), "is in the loop") for thing in things if thing is not first
        ),
        remedy=Remedy('lead one of them to "mains"'),
        rests_on=tuple((*thing.at, "from") for thing in things),
        distinct="loop",
    )


def _escapes(asking: Asking, root: Unbacked) -> Answer:
    thing = root.thing
    way = next((way for way in root.ways if way.supplied is not None), root.ways[0])
    standby = asking.standby((thing, *root.dark))
    dark = counted(root.dark)
    words = "; ".join(_way_words(asking, way) for way in root.ways)
    asked = f"; {standby.who} asks {standby.minutes:g} min" if standby is not None else ""
    with_it = f", and with it {dark}" if dark else ""
    on_generator = any(way.supplied is not None and way.supplied.end == "generator" for way in root.ways)
    darkens = "goes dark until the generator has started" if on_generator else "goes dark with the mains"
    related = [Related(other.at, f"goes dark with {thing.id}") for other in root.dark]
    for name in way.supplied.through if way.supplied is not None else ():
        related.append(Related(("circuit", name, "from"), f"feeds {thing.id}"))
    return Answer(
        BACKED.name,
        "fail",
        thing.at,
        way.at,
        f"{thing.id} escapes every UPS ({words}): it {darkens}{with_it}{asked}",
        level="error" if standby is not None else None,
        working=words,
        related=tuple(related),
        remedy=_plug_in(asking, root, way, standby),
        rests_on=tuple(way.at for way in root.ways),
    )


def _way_words(asking: Asking, way: SupplyWay) -> str:
    if way.supplied is not None:
        over = "".join(f"circuit {name} on " for name in way.supplied.through)
        end = {"mains": "the mains", "generator": "the generator alone", "unknown": "nobody knows what"}
        return over + end.get(way.supplied.end, way.supplied.end)
    assert way.feed is not None
    source = way.feed.source
    name = "an unknown end" if source is None else source.id
    if way.carries == "fail":
        inlet = asking.built.power.inlets[way.feed.load.id]
        sums = f"{watts_words(inlet.asked_draw_w)} asked of {watts_words(inlet.available_w)}"
        return f"the feed from {name} over {way.feed.run.id} can't carry it alone, {sums}"
    return f"{name} over {way.feed.run.id}"


def _unknown(asking: Asking, root: Unbacked) -> Answer:
    thing = root.thing
    missing: list[Path] = []
    for way in root.ways:
        if way.supplied is not None and way.supplied.missing is not None and way.supplied.end == "unknown":
            missing.append(way.supplied.missing)
        elif way.feed is not None and way.carries == "open":
            inlet = asking.built.power.inlets.get(thing.id)
            missing.extend(inlet.missing if inlet is not None else ((*thing.at, "from"),))
    dark = counted(root.dark)
    missing = list(dict.fromkeys(missing)) or [(*thing.at, "from")]
    return Answer(
        BACKED.name,
        "open",
        thing.at,
        missing[0],
        f"cannot tell whether a UPS keeps {thing.id} alive{f' and with it {dark}' if dark else ''}: "
        f"what feeds it is not known",
        related=tuple(Related(other.at, f"hangs on {thing.id}") for other in root.dark),
        missing=tuple(missing),
        turns=f"holds if {path_text(missing[0])} leads to a UPS" if missing[0][-1] == "from" else "",
    )


def _unknown_circuit(at: Path, roots: list[Unbacked]) -> Answer:
    hanging = [thing for root in roots for thing in (root.thing, *root.dark)]
    return Answer(
        BACKED.name,
        "open",
        at[:2],
        at,
        f"cannot tell whether a UPS keeps {counted(hanging)} alive: what feeds circuit {at[1]} is not known",
        related=tuple(Related(thing.at, f"hangs on {at[1]}") for thing in hanging),
        missing=(at,),
        turns=f"holds if {path_text(at)} leads to a UPS",
    )


def _plug_in(asking: Asking, root: Unbacked, way: SupplyWay, standby: Standby | None) -> Remedy:
    part = asking.built.outage.load.part(root.thing)
    needed = f"{watts_words(part.watts)}, {watts_words(part.va, 'VA')}"
    if not asking.built.ups:
        return Remedy(f"a UPS for {needed}")
    for name in (
        _nearest(asking, root.thing)[:_TRIED] if way.supplied is not None and way.feed is None else ()
    ):
        if _still_holds(asking, name, root, standby):
            load = asking.built.outage.load.with_added(name, root.thing)
            text = f"feed {root.thing.id} from {name}, which then carries {watts_words(load.watts)}"
            return Remedy(text, (Change(way.at, name),))
    return Remedy(f"feed it from a UPS with room for {needed}")


def _nearest(asking: Asking, thing: Thing) -> list[str]:
    """Return the UPSs, those in the same space first, then those that feed the most."""
    space = thing.value("space").value if isinstance(thing, Gear) else None
    loads = asking.built.outage.load.by_ups
    return sorted(
        asking.built.ups,
        key=lambda name: (
            space is None or asking.built.ups[name].value("space").value != space,
            -len(loads[name].parts),
            name,
        ),
    )


def _still_holds(asking: Asking, name: str, root: Unbacked, standby: Standby | None) -> bool:
    """Return whether a UPS keeps all that it is held to if it feeds one more, and no need turns up unmet."""
    outage = asking.built.outage
    above = asking.built.continuity.ups_above[name]
    if above.ups is not None or above.end == "loop":
        return False
    ups, before, after = (
        asking.built.ups[name],
        outage.load.by_ups[name],
        outage.load.with_added(name, root.thing),
    )
    for check in (WATTS, VOLT_AMPERES):
        verdict = rating_verdict(asking, ups, after, check)
        if verdict not in {"pass", rating_verdict(asking, ups, before, check)}:
            return False
    if not asking.built.needs.would_be_met(
        [thing for thing in (root.thing, *root.dark) if isinstance(thing, Gear)]
    ):
        return False
    asks = [found.minutes for holders, found in asking.asked.items() if name in holders]
    if standby is not None:
        asks.append(standby.minutes)
        # What it needs may hang on any other UPS, which is then asked for as long.
        if not all(asking.holds(other, standby.minutes) for other in asking.built.ups if other != name):
            return False
    return not asks or outage.minutes(name, Span(after.least_w, after.watts.high)).low >= max(asks)
