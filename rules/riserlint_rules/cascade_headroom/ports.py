"""Ports: what the run and the load ask, with the loss, against what the port gives."""

from riserlint import (
    Built,
    FeedPower,
    NotApplicable,
    Passed,
    Remedy,
    Said,
    at_most,
    watt_words,
)
from riserlint_rules.cascade_headroom.answers import cannot_tell, chain_places, failed
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
