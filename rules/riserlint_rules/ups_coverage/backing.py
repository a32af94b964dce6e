"""Gear that no UPS keeps alive."""

from collections.abc import Iterator

from riserlint import (
    Answer,
    Feed,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Said,
    Standby,
    SupplyWay,
    Unbacked,
    path_text,
)
from riserlint_rules.ups_coverage.asking import Asking
from riserlint_rules.ups_coverage.checks import BACKED
from riserlint_rules.ups_coverage.mends import Mends, main_way
from riserlint_rules.ups_coverage.words import SHORT_TOO, counted, named, watts_words


def backed(asking: Asking) -> Iterator[Said]:
    """Yield the answers for all gear; what goes dark with other gear is answered there."""
    continuity = asking.built.continuity
    if not asking.in_force:
        yield from _nothing_to_cover(asking)
        return
    for loop in continuity.loops:
        yield _loop(asking, loop)
    for thing in continuity.powered():
        if thing.at in continuity.backed:
            yield Passed(BACKED.name, thing.at)
    by_circuit: dict[Path, list[Unbacked]] = {}
    escaping: list[Unbacked] = []
    for root in continuity.unbacked:
        for thing in root.dark:
            yield NotApplicable(BACKED.name, thing.at, f"hangs on {root.thing.id}, which is judged")
        unknown = [
            way.supplied for way in root.ways if way.supplied is not None and way.supplied.end == "unknown"
        ]
        why = _not_judged(asking, root)
        if why:
            yield NotApplicable(BACKED.name, root.thing.at, why)
        elif root.state == "escapes":
            escaping.append(root)
        elif len(unknown) == 1 and unknown[0].through and unknown[0].missing is not None:
            by_circuit.setdefault(unknown[0].missing, []).append(root)
        else:
            yield _unknown(asking, root)
    mends = Mends(asking, escaping)
    for root in escaping:
        yield _escapes(asking, root, mends)
    for at, roots in by_circuit.items():
        yield _unknown_circuit(at, roots)


def _nothing_to_cover(asking: Asking) -> Iterator[Said]:
    """Yield for gear without any UPS of which no standby is asked, as far as is known."""
    for root in asking.built.continuity.unbacked:
        unknown = asking.unknown((root.thing, *root.dark))
        if unknown and not _not_judged(asking, root):
            yield _unknown_standby(root, unknown)
        else:
            yield NotApplicable(BACKED.name, root.thing.at, "no UPS is described and no standby is asked")
        for thing in root.dark:
            yield NotApplicable(BACKED.name, thing.at, f"hangs on {root.thing.id}, which is judged")


def _not_judged(asking: Asking, root: Unbacked) -> str:
    """Return why it isn't judged whether a UPS keeps it alive; empty where it is."""
    if asking.none_asked((root.thing, *root.dark)):
        return "its role asks for no standby"
    ends = [None if way.supplied is None else way.supplied.end for way in root.ways]
    if root.state != "escapes":
        return ""
    if "loop" in ends:
        return "hangs on circuits that feed only each other"
    if all(end == "refused" for end in ends):
        return "its port gives it no power: poe-class judges that"
    return ""


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


def _escapes(asking: Asking, root: Unbacked, mends: Mends) -> Answer:
    thing = root.thing
    way = main_way(root)
    standby = asking.standby((thing, *root.dark))
    unknown = asking.unknown((thing, *root.dark))
    if unknown and standby is None and asking.none_asked((thing, *root.dark), at_best=True):
        return _unknown_standby(root, unknown)
    dark = counted(root.dark)
    words = "; ".join(_way_words(asking, way) for way in root.ways)
    asked = f"; {standby.who} asks {standby.minutes:g} min" if standby is not None else ""
    with_it = f", and with it {dark}" if dark else ""
    mend = mends.of(root)
    on_generator = any(way.supplied is not None and way.supplied.end == "generator" for way in root.ways)
    held_min = None if standby is None or on_generator else 0.0
    darkens = "goes dark until the generator has started" if on_generator else "goes dark with the mains"
    related = [Related(other.at, f"goes dark with {thing.id}") for other in root.dark]
    for name in way.supplied.through if way.supplied is not None else ():
        related.append(Related(("circuit", name, "from"), f"feeds {thing.id}"))
    if mend.short is not None:
        related.append(Related(mend.short, SHORT_TOO))
    return Answer(
        BACKED.name,
        "fail",
        thing.at,
        way.at,
        f"{thing.id} escapes every UPS ({words}): it {darkens}{with_it}{asked}",
        level="error" if standby is not None else None,
        value=held_min,
        limit=None if standby is None else standby.minutes,
        unit="" if standby is None else "min",
        margin=None if standby is None or held_min is None else -standby.minutes,
        held_against=None if standby is None else standby.limit,
        working="; ".join(
            words for words in (_inlet_sums(asking, root), _held_words(root, standby)) if words
        ),
        related=tuple(related),
        remedy=mend.remedy,
        rests_on=tuple(way.at for way in root.ways),
    )


def _held_words(root: Unbacked, standby: Standby | None) -> str:
    """Return what is held of the standby asked, with the way that leads past every UPS."""
    ways = [way.supplied for way in root.ways if way.supplied is not None]
    chains = [" ← ".join((root.thing.id, *way.through, way.end)) for way in ways if way.end != "refused"]
    if not chains:
        return ""
    held = f": 0 min < {standby.minutes:g} min" if standby is not None and ways[0].end == "mains" else ""
    return f"{', '.join(chains)}, no UPS on the way{held}"


def _way_words(asking: Asking, way: SupplyWay) -> str:
    if way.supplied is not None:
        over = "".join(f"circuit {name} on " for name in way.supplied.through)
        end = {"mains": "the mains", "generator": "the generator alone", "unknown": "nobody knows what"}
        return over + end.get(way.supplied.end, way.supplied.end)
    assert way.feed is not None
    source = way.feed.source
    name = "an unknown end" if source is None else source.id
    if way.carries == "fail":
        return f"the feed from {name} over {way.feed.run.id} can't carry it alone, {_inlet_sum(asking, way.feed)}"
    return f"{name} over {way.feed.run.id}"


def _inlet_sum(asking: Asking, feed: Feed) -> str:
    inlet = asking.built.power.inlets[feed.load.id]
    return f"{watts_words(inlet.asked_draw_w)} asked of {watts_words(inlet.available_w)}"


def _inlet_sums(asking: Asking, root: Unbacked) -> str:
    """Return the sums of the inlets that can't carry it alone; a socket has none."""
    feeds = [way.feed for way in root.ways if way.feed is not None and way.carries == "fail"]
    return "; ".join(f"{feed.run.id}: {_inlet_sum(asking, feed)}" for feed in feeds)


def _unknown_standby(root: Unbacked, unknown: tuple[Path, ...]) -> Answer:
    thing, way = root.thing, main_way(root)
    dark = counted(root.dark)
    fed = [] if root.state == "escapes" else [(*thing.at, "from")]
    roles = named([path_text(at[:2]) for at in unknown])
    return Answer(
        BACKED.name,
        "open",
        thing.at,
        unknown[0],
        f"cannot tell whether {thing.id}{f', and with it {dark},' if dark else ''} may go dark with the mains: "
        f"for how long {roles} has to stand by is not known",
        related=(
            Related(way.at, f"feeds {thing.id}"),
            *(Related(it.at, f"hangs on {thing.id}") for it in root.dark),
        ),
        missing=(*unknown, *fed),
        turns=f"holds if {path_text(unknown[0])} is 0" if len(unknown) == 1 else "",
        rests_on=tuple(way.at for way in root.ways if way.supplied is not None),
    )


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
