"""Chains that pass power through: how near they are to their collapse, and the voltage at their ports."""

import math
from collections.abc import Iterator
from typing import NamedTuple

from riserlint import (
    Answer,
    Built,
    Chain,
    Citation,
    Feed,
    Gear,
    Limit,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Said,
    Span,
    at_least,
    poe_limits,
    source_end,
)
from riserlint_rules.supply_voltage.checks import COLLAPSE, COLLAPSE_SHARE, PASSED_PORT
from riserlint_rules.supply_voltage.runs import chain_places
from riserlint_rules.supply_voltage.words import told_apart, volts


class Collapsing(NamedTuple):
    """How far a chain is from its collapse: the least and the greatest multiple of its loads, the weakest run."""

    share: Span
    weakest: Feed | None

    @property
    def certain(self) -> bool:
        """Whether it has no operating point, whatever is not known."""
        return self.share.high <= 1


def collapsing(chain: Chain) -> Collapsing:
    """Return how far a chain is from its collapse."""
    best, weakest = chain.collapse(worst=False)
    if chain.volts.known and chain.nodes(worst=True) == chain.nodes(worst=False):
        return Collapsing(Span(best, best), weakest)
    worst, at_worst = chain.collapse(worst=True)
    return Collapsing(Span(worst, best), at_worst or weakest)


def collapse(built: Built, chain: Chain, found: Collapsing, asked: float | None) -> Said:
    """Say how far a chain is from its collapse."""
    head = chain.links[0]
    gear = head.feed.load
    if head.grant.refused:
        return NotApplicable(COLLAPSE.name, gear.at, "the port gives it no power")
    (worst, best), weakest = found
    record = COLLAPSE_SHARE
    if asked is not None:
        record = Limit(
            "least share of its load at which a chain may collapse",
            asked,
            record.unit,
            Citation("basis of design", "", ""),
            "stated",
            "the basis",
        )
    verdict = at_least(found.share, record.value)
    if verdict == "pass":
        return Passed(COLLAPSE.name, gear.at)
    name = _name(built, chain)
    powers = [built.power.feeds[link.feed.run.id] for link in chain.links]
    rests_on = tuple(dict.fromkeys(path for power in powers for path in built.power.rests_on(power)))
    through = gear.value("inlet", "passes_through")
    if verdict == "open":
        missing = [path for power in powers for path in power.missing]
        missing.extend(built.headroom.hot_bundles((powers[0],)))
        most = "at any load" if math.isinf(best) else f"at {best:.2f} of its load at best"
        return Answer(
            COLLAPSE.name,
            "open",
            gear.at,
            through.at,
            f"{name}: cannot tell how near the chain is to its collapse: {most}, at worst {worst:.2f}",
            missing=tuple(dict.fromkeys(missing)),
            turns=f"holds if it collapses at {record.value:.3g} of its load or more",
            rests_on=rests_on,
        )
    fastest = "" if weakest is None else f"; voltage falls fastest over {weakest.run.id}"
    share = best / record.value
    says = (
        f"the chain has no operating point: it collapses at {best:.2f} of its load"
        if found.certain
        else f"the chain collapses at {best:.2f} of its load, at least {record.value:.3g} are asked"
    )
    return Answer(
        COLLAPSE.name,
        "fail",
        gear.at,
        through.at if weakest is None else (*weakest.run.at, "link_m"),
        f"{name}: {says}{fastest}",
        level="error" if found.certain else "warning",
        value=round(best, 3),
        limit=round(record.value, 3),
        unit="of the load",
        margin=round(best - record.value, 3),
        held_against=record,
        working=f"all loads together grown until no current solves the chain: × {best:.3f} < {record.value:.3g}",
        related=tuple(Related(link.feed.run.at, f"feeds {link.feed.load.id}") for link in chain.links),
        remedy=Remedy(
            f"loads of at most {math.floor(share * 100)} % of these, thicker conductors or a shorter run first where "
            "voltage falls fastest, or a switch in between that converts and so holds its own voltage"
        ),
        rests_on=(*(() if asked is None else (_SHARE_AT,)), *rests_on),
    )


_SHARE_AT: Path = ("basis", "rule", "supply-voltage", "least_collapse_share")


def passed_ports(built: Built, chain: Chain, found: Collapsing) -> Iterator[Said]:
    """Yield for each switch that passes power through whether its ports have the voltage of their type."""
    feeds: dict[Gear, list[Feed]] = {}
    for above, link in zip(chain.above, chain.links):
        if above >= 0 and isinstance(link.feed.source, Gear):
            feeds.setdefault(link.feed.source, []).append(link.feed)
    for source, below in feeds.items():
        if found.certain:
            why = "its chain has no operating point, which is judged as one"
            yield NotApplicable(PASSED_PORT.name, source.at, why)
        elif source.value("pse", "scheme").value == "passive":
            yield NotApplicable(PASSED_PORT.name, source.at, "a passive source is of no type")
        else:
            yield _passed_port(built, source, below)


def _passed_port(built: Built, source: Gear, feeds: list[Feed]) -> Said:
    """Say whether the ports in use have the voltage of their type: they all have that of the inlet."""
    feed, power = feeds[0], built.power.feeds[feeds[0].run.id]
    here = power.volts
    ports = ", ".join(sorted({feed.port.name for feed in feeds if feed.port is not None and feed.port.name}))
    where = f"{source.id}, port {ports}" if len(feeds) == 1 and ports else f"{source.id}, ports {ports}"
    pse_type = source.value("pse", "type")
    types = poe_limits.PSE_TYPES if pse_type.value is None else (pse_type.value,)
    least = [poe_limits.type_min_volts(one) for one in types]
    limit = Span(min(least), max(least))
    verdict = at_least(here, limit)
    if verdict == "pass":
        return Passed(PASSED_PORT.name, source.at)
    has, must = told_apart(here, limit)
    if verdict == "open":
        missing = [] if here.known else [*power.missing, *built.headroom.hot_bundles((power,))]
        if pse_type.value is None:
            missing.append(pse_type.at)
        return Answer(
            PASSED_PORT.name,
            "open",
            source.at,
            source_end(feed),
            f"{where}: cannot tell whether there is the voltage of its type: {has}, against {must}",
            missing=tuple(dict.fromkeys(missing)),
            turns=f"holds if all above it leave it {volts(limit.high)}",
            rests_on=built.power.rests_on(power),
        )
    stated = source.value("pse", "min_v").value
    held = "" if stated is None else f"; that it states {volts(stated)} is held by nothing"
    kind = "any type" if pse_type.value is None else f"Type {pse_type.value}"
    return Answer(
        PASSED_PORT.name,
        "fail",
        source.at,
        source_end(feed),
        f"{where}: {has}, as the switch passes power through; a source of {kind} holds {must} or more{held}",
        value=round(here.high, 3),
        limit=limit.low,
        unit="V",
        margin=round(here.high - limit.low, 3),
        held_against=poe_limits.PSE_MIN_VOLTS[pse_type.value or 1],
        working=f"{has} with all loads of the chain at their most < {must}",
        related=chain_places(built, power),
        remedy=Remedy(
            "thicker conductors or shorter runs above it, fewer watts behind it, or a switch that converts and so "
            "holds its own voltage"
        ),
        rests_on=built.power.rests_on(power),
    )


def _name(built: Built, chain: Chain) -> str:
    names = [link.feed.load.id for link in chain.links if link.passes]
    head = built.headroom.chain_text(chain.links[0].feed.load)
    return head if len(names) == 1 else f"{head} with {', '.join(names[1:])}"
