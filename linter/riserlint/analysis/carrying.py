"""Whether an installation bears a higher class on one feed without anything else getting worse."""

import math

from riserlint.analysis.built import Built
from riserlint.analysis.supplies import own_budget
from riserlint.design.paths import Path
from riserlint.engineering.granting import least_type, rank
from riserlint.installation.things import Feed, Gear
from riserlint.standards import poe


def bears(built: Built, feed: Feed, pd_class: int, extra_w: float) -> bool:
    """Return whether a feed can be granted a class for certain, with ``extra_w`` more taken from the budget.

    Certain is only what needs no other rule: the source is fed by the mains, its type has the class, its
    budget (if stated) has the watts left, and no supply states how much it gives; the channel is within the
    resistance that the standard assumes; the run lies in no bundle, and neither its pairs nor the cap of the
    port stand against it; and the device does not need a negotiation that the source has not.
    """
    port, source = feed.port, feed.source
    if port is None or not isinstance(source, Gear) or source.feeds_in:
        return False
    if (
        source.value("pse", "lldp").value is False
        and feed.load.value(feed.load.side, "needs_lldp").value is True
    ):
        return False
    pse_type = source.value("pse", "type").value
    if pse_type is None or poe.type_highest_class(pse_type) < rank(pd_class):
        return False
    if any(
        supply.poe_w.value is not None or supply.source.value not in {None, "mains"}
        for supply in source.supplies
    ):
        return False
    sums = built.power.sources.get(source.id)
    if sums is None or source.value("pse", "budget_w").value == "none":
        return False
    budget = own_budget(built, source)
    if budget is not None and sums.most_w + extra_w > budget.watts.low:
        return False
    if not built.headroom.group_bears(built.power.feeds[feed.run.id], extra_w):
        return False
    cap_w = port.value("cap_w").value
    if cap_w is not None and cap_w < poe.pse_watts(pd_class):
        return False
    return _channel_bears(built, feed, pd_class, pse_type)


def _channel_bears(built: Built, feed: Feed, pd_class: int, pse_type: int) -> bool:
    power = built.power.feeds[feed.run.id]
    written = feed.run.value("pairs").value
    pairs = poe.powered_pairs(pd_class) if written is None else int(written)
    if pairs < poe.powered_pairs(pd_class) or pairs > poe.MOST_PAIRS[pse_type].value:
        return False
    if any(segment.bundle.value != "none" for segment in feed.run.segments):
        return False
    # Out and back, the resistance goes with the inverse of the pairs that carry power.
    ohm = power.ohm.high * power.grant.pairs.low / pairs
    assumed_ohm = poe.assumed_loop_ohm(max(pse_type, least_type(pd_class)), pairs)
    holds = power.volts.low >= poe.type_min_volts(pse_type) and math.isfinite(ohm) and ohm <= assumed_ohm
    category = None if feed.run.cable is None else feed.run.cable.value("category").value
    return holds and category is not None and int(category[0]) >= poe.type_least_category(pse_type)


def raised_port(built: Built, feed: Feed, pd_class: int) -> Path | None:
    """Return where a higher class of a feed's port would be written, None where it is not certain to do no harm.

    Every port that shares the place is looked at: each feed that would get a higher class has to be borne. A
    port that its part describes gets a table of its own, so that no other switch changes.
    """
    port = feed.port
    if port is None or not isinstance(port.value("pse_class").value, int) or port.value("pse_class").assumed:
        return None
    if port.written_at[0] == "part":
        sharing, at = [port], (*port.gear.at, "ports", port.name)
    else:
        at = port.written_at
        sharing = [other for other in port.gear.ports.values() if other.written_at == at]
    extra_w = 0.0
    raised: list[tuple[Feed, int]] = []
    for other in sharing:
        out = None if other.run is None else other.run.feed
        if out is None or out.port is not other:
            continue
        grant = built.power.feeds[out.run.id].grant
        if grant.dual or grant.requested is None:
            return None
        assigned = poe.demoted_class(grant.requested, pd_class)
        if assigned is None or assigned == grant.assigned:
            continue
        raised.append((out, assigned))
        extra_w += poe.pse_watts(assigned) - grant.reserved_w.low
    borne = all(bears(built, out, assigned, extra_w) for out, assigned in raised)
    return (*at, "pse_class") if borne else None
