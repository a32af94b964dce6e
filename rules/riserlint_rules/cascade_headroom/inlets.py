"""Inlets of switches that are fed over the cable: what they can pass on against what is asked of them."""

import math
from collections.abc import Iterator

from riserlint import (
    Built,
    Change,
    InletPower,
    Limit,
    Limited,
    NotApplicable,
    Passed,
    Remedy,
    Said,
    Span,
    watt_words,
)
from riserlint_rules.cascade_headroom.answers import cannot_tell, chain_places, failed, first_places, names_of
from riserlint_rules.cascade_headroom.budgets import reserve_kept
from riserlint_rules.cascade_headroom.checks import CLASS_TABLE, CONVERSION, INLET


def inlet_answers(built: Built, inlet: InletPower, share: float | None) -> Iterator[Said]:
    """Yield whether an inlet is enough for what its switch uses, draws and promises, and who runs out first."""
    gear, headroom = inlet.gear, built.headroom
    why = headroom.no_inlet(inlet)
    if why:
        yield NotApplicable(INLET.name, gear.at, why)
        return
    judged = headroom.inlet(inlet)
    source = built.power.sources.get(gear.id)
    powers = (built.power.feeds[inlet.feed.run.id],)
    limit = Limited(inlet.available_w, gear.value("inlet", "pd_class").at, "its inlet", judged.missing, ())
    if judged.verdict != "fail":
        yield reserve_kept(built, gear, limit, judged.asked_w, powers=powers, share=share, of="inlet")
    if judged.verdict == "pass":
        yield Passed(INLET.name, gear.at)
        return
    asked, given = watt_words.told_apart(judged.asked_w, inlet.available_w)
    where = f"{gear.id} ({headroom.chain_text(gear)})"
    by_draw = source is None or judged.draw == "fail"
    by = "by what its ports draw" if source is None or by_draw else watt_words.counts_by(source)
    working = watt_words.inlet_sum(inlet, source)
    compared = f"{by}: {asked} > {given}"
    if judged.verdict == "open":
        together = (
            " (it passes its feed on: the whole chain has to be solved together)" if inlet.coupled else ""
        )
        message = (
            f"{where}: cannot tell whether its inlet is enough{together}: {asked} asked, {given} to pass on"
        )
        yield cannot_tell(
            built, INLET, gear.at, limit, message, powers=powers, asked_w=judged.asked_w, working=working
        )
        return
    largest = "" if source is None or not by_draw else watt_words.largest_link(built, source.feeds)
    lower = headroom.first_short(gear)
    words = f"{gear.id} runs out first"
    if lower:
        words = f"{names_of(lower)} runs out first, and {gear.id} is short even if that takes only its grant"
        if headroom.short_only_by_below(inlet, judged):
            words = f"{names_of(lower)} runs out first, and {gear.id} is short only by it: mend that first"
    verb = "draw" if by_draw else "reserve"
    dropped = by_draw and source is not None and inlet.asked_draw_w.low > source.source_w.high
    verb = f"{verb}, with the drop before them," if dropped else verb
    message = f"{where}: its ports {verb} {asked}, its inlet can pass on {given}; {words}"
    if inlet.own_w.low > inlet.granted_w.high:
        own_w, gets = watt_words.watts(inlet.own_w), watt_words.watts(inlet.granted_w)
        message = f"{where}: it uses {own_w} itself, and its inlet gets {gets}"
        compared = f"{own_w} > {gets}"
    yield failed(
        INLET,
        gear.at,
        limit,
        message,
        asked_w=judged.asked_w,
        allowed_w=inlet.available_w,
        held_against=Limit(
            "watts that an inlet can pass on",
            inlet.available_w.high,
            "W",
            CLASS_TABLE.citation,
            "derived",
            CONVERSION,
        ),
        working="; ".join(part for part in (working, compared, largest) if part),
        related=(*first_places(built, lower), *chain_places(built, gear)),
        remedy=_larger_inlet(built, inlet, judged.asked_w, share or 0.0),
        rests_on=headroom.rests_on(powers),
    )


def _larger_inlet(built: Built, inlet: InletPower, asked_w: Span, share: float) -> Remedy:
    over = asked_w.low - inlet.available_w.high * (1 - share)
    kept = watt_words.with_reserve(share)
    away = (
        f"feed {watt_words.at_least(over)} or more of it from elsewhere"
        if over > 0
        else "a switch that uses less itself"
    )
    pd_class, needed, free = built.headroom.class_for(inlet, asked_w.high / (1 - share))
    if math.isinf(needed):
        return Remedy(f"{kept}{away}")
    needs = f"the {watt_words.watts(needed)} that its inlet needs"
    if pd_class is None:
        return Remedy(f"{kept}no class brings {needs}, so {away}")
    changes = (Change((*inlet.gear.at, "inlet", "pd_class"), pd_class),) if free else ()
    return Remedy(
        f"{kept}an inlet of class {pd_class}, and a port that gives it, for {needs}; or {away}", changes
    )
