"""poe-class: every device gets the power over Ethernet that it asks for, in a way that it and its cable bear.

A device that gets a lower class than it asks for stays on and drops what nobody looks at: radios, heaters,
lamps. A port that is always live, two pairs where four are needed, a second signature on a source that knows
only one, or negotiation that nobody answers end the same way, or with damage. Clauses 33 and 145 of
IEEE Std 802.3 say what a class, a type of source and a number of pairs can give.
"""

from collections.abc import Iterable, Iterator

from riserlint import Built, Feed, FeedPower, Grant, NotApplicable, Passed, Rule, Said, Written, hookimpl
from riserlint_rules.poe_class.cables import cabling
from riserlint_rules.poe_class.checks import (
    CABLING,
    CLASSIFIED,
    DRAW,
    DUAL,
    GRANTED,
    LIVE,
    NEGOTIATION,
    PAIRS,
    PASSIVE,
    TYPE,
)
from riserlint_rules.poe_class.draws import draw_class
from riserlint_rules.poe_class.grants import granted_class, no_power, unfed
from riserlint_rules.poe_class.modes import dual_signature, negotiation, single_signature
from riserlint_rules.poe_class.sources import source_answers
from riserlint_rules.poe_class.wiring import passive_feed, powered_pairs


def review(built: Built, parameters: Written) -> Iterator[Said]:
    """Yield the answers for every source, device and feed."""
    del parameters
    for gear in built.gear.values():
        if gear.is_switch:
            yield from source_answers(gear)
    for inline in built.inlines.values():
        if inline.is_injector:
            yield from source_answers(inline)
    for gear in built.gear.values():
        yield draw_class(built, gear)
        if gear.has_inlet and not gear.feeds_in and not gear.supplies:
            yield unfed(gear)
    for run in built.runs.values():
        power = built.power.feeds.get(run.id)
        if power is None:
            yield NotApplicable(GRANTED.name, run.at, "carries no power")
        else:
            yield from _feed(built, power)


def _feed(built: Built, power: FeedPower) -> Iterator[Said]:
    grant, feed = power.grant, power.feed
    if grant.port_class == "none":
        yield no_power(feed, grant)
    elif "passive" in (grant.scheme, grant.load_scheme):
        yield passive_feed(feed, grant)
        yield from _not_classified(feed, "a passive feed")
    elif _nothing_stated(feed, grant):
        yield from _not_classified(feed, "neither end says anything of power")
    else:
        if grant.scheme == grant.load_scheme == "ieee":
            yield Passed(PASSIVE.name, feed.load.at)
        else:
            yield NotApplicable(PASSIVE.name, feed.load.at, "no passive feed is stated")
        yield dual_signature(built, power) if grant.dual else granted_class(built, power)
        if not grant.dual:
            yield single_signature(feed)
        yield negotiation(built, power)
        yield powered_pairs(feed, grant)
        yield cabling(feed, grant)


def _not_classified(feed: Feed, why: str) -> Iterator[Said]:
    for check in CLASSIFIED:
        subject = feed.run.at if check in (PAIRS, CABLING) else feed.load.at
        yield NotApplicable(check.name, subject, why)


def _nothing_stated(feed: Feed, grant: Grant) -> bool:
    """Return whether neither end says a word of power: then the run may as well carry data alone."""
    if grant.requested is not None or grant.port_class is not None or grant.scheme is not None:
        return False
    if feed.load.has_inlet or feed.source is None:
        return not feed.load.has_inlet
    return all(getattr(holder, "pse", None) is None for holder in (feed.source.model, feed.source.part))


RULE = Rule(
    "poe-class",
    "devices get the class that they ask for",
    "A device that gets less power than it asks for stays on and drops what nobody looks at; wrong volts, "
    "too few pairs or too light a cable end in failure or damage.",
    (GRANTED, TYPE, DRAW, PAIRS, DUAL, NEGOTIATION, PASSIVE, LIVE, CABLING),
    review,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
