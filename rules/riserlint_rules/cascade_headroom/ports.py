"""Ports: what the run and the load ask, with the loss, against what the port gives."""

from riserlint import (
    Answer,
    Built,
    FeedPower,
    Limit,
    NotApplicable,
    Passed,
    Remedy,
    Said,
    at_most,
    poe_limits,
    watt_words,
)
from riserlint_rules.cascade_headroom.answers import by_design, cannot_tell, chain_places, failed
from riserlint_rules.cascade_headroom.checks import PORT, PORT_WATTS


def port_answer(built: Built, power: FeedPower) -> Said:
    """Say whether a port gives what its run and its load ask."""
    run, load = power.feed.run, power.feed.load
    if built.headroom.port_holds(power):
        return Passed(PORT.name, run.at)
    why = built.headroom.no_port(power)
    if why:
        return NotApplicable(PORT.name, run.at, why)
    where = f"{run.id} ({built.headroom.chain_text(load)})"
    if power.best is None:
        return _not_carried(built, power, where)
    limit = built.headroom.port(power)
    verdict = at_most(power.source_w, limit.watts)
    if verdict == "pass":
        return Passed(PORT.name, run.at)
    asked, given = watt_words.told_apart(power.source_w, limit.watts)
    if verdict == "open":
        message = (
            f"{where}: cannot tell whether its port gives the {asked} that it asks: {given} ({limit.words})"
        )
        return cannot_tell(built, PORT, run.at, limit, message, powers=(power,), asked_w=power.source_w)
    assigned = power.grant.assigned
    by_class = assigned is not None and limit.at[-1] != "cap_w"
    return failed(
        PORT,
        run.at,
        limit,
        f"{where}: {asked} at the port, which gives {given} ({limit.words})",
        asked_w=power.source_w,
        allowed_w=limit.watts,
        held_against=PORT_WATTS[assigned or 0] if by_class else None,
        working=f"{watt_words.link_sum(built, power)} > {given}",
        related=chain_places(built, load),
        remedy=Remedy("thicker conductors or a shorter run, or a load of fewer watts"),
        rests_on=built.power.rests_on(power),
    )


def _not_carried(built: Built, power: FeedPower, where: str) -> Answer:
    run, load = power.feed.run, power.feed.load
    off, most = poe_limits.PD_OFF_VOLTS, built.headroom.most_carried(power)
    least_v = load.value(load.side, "min_v").value or 0.0
    if power.grant.scheme == "passive" or least_v > off.value:
        off = Limit(
            "least voltage at which the load works", least_v, "V", by_design(), "stated", "the design"
        )
    volts, load_w = power.volts.high, watt_words.watts(power.load_w.low)
    brings = "nothing" if most is None else f"at most {watt_words.watts(most)}"
    return Answer(
        PORT.name,
        "fail",
        run.at,
        (*run.at, "link_m"),
        f"{where}: {load_w} cannot be carried over this run, which brings {brings} before {load.id} is off",
        value=round(power.load_w.low, 3),
        limit=None if most is None else round(most, 3),
        unit="W",
        margin=None if most is None else round(most - power.load_w.low, 3),
        held_against=off,
        working=f"{watt_words.resistance(built, power)}; (V − Vd) Vd / R with V = {volts:g} V, "
        f"Vd = {max(off.value, volts / 2):g} V: {brings} < {load_w}",
        related=chain_places(built, load),
        remedy=Remedy(
            f"a shorter run, thicker conductors, {_more_pairs(power)}or a source nearer to the load"
        ),
        rests_on=built.power.rests_on(power),
    )


def _more_pairs(power: FeedPower) -> str:
    """Return the advice to power all pairs, empty where they are."""
    grant = power.grant
    most = max(limit.value for limit in poe_limits.MOST_PAIRS.values())
    if grant.pairs.low == most:
        return ""
    two_pairs = grant.pse_type is not None and poe_limits.MOST_PAIRS[grant.pse_type].value < most
    return "four pairs from a source of Type 3 or 4, " if two_pairs else "four pairs, "
