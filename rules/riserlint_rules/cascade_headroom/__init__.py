"""cascade-headroom: every port, budget, supply and inlet along the cascade can give what hangs on it.

A source that is asked for more than it has does not dim: it refuses ports or drops them, most likely at dusk
or after an outage, when all load comes at once. A switch that is fed over the cable passes on only what its
class leaves after its own use and its conversion, and what it lacks is missing further down as well. So all
loads are taken at their maximum and together, with the loss of each run by its resistance, voltage, current.
"""

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from riserlint import (
    Built,
    Gear,
    Rule,
    Said,
    Written,
    hookimpl,
)
from riserlint_rules.cascade_headroom.budgets import budget_answers, typical_answer
from riserlint_rules.cascade_headroom.checks import (
    BUDGET,
    INLET,
    LOOP,
    PORT,
    RESERVE,
    SHARED_SUPPLY,
    SUPPLY_FAILED,
    TWO_FEEDS,
    TYPICAL_ONLY,
)
from riserlint_rules.cascade_headroom.feeds import power_loop, redundant_supplies, two_feeds
from riserlint_rules.cascade_headroom.inlets import inlet_answers
from riserlint_rules.cascade_headroom.ports import port_answer


class Parameters(Written):
    """``reserve_share``: the share of each budget and inlet that must stay free; left out, none is asked."""

    reserve_share: Annotated[float, Field(ge=0, lt=1)] | None = None


def review(built: Built, parameters: Parameters) -> Iterator[Said]:
    """Yield the answers for ports, sources and inlets, and for gear with more than one feed."""
    power = built.power
    for loop in power.loops:
        yield power_loop(loop)
    for feed in power.feeds.values():
        yield port_answer(built, feed)
    for source in power.sources.values():
        yield from budget_answers(built, source, parameters.reserve_share)
        yield typical_answer(source)
        if isinstance(source.gear, Gear) and len(source.gear.supplies) > 1:
            yield from redundant_supplies(built, source, source.gear)
    for inlet in power.inlets.values():
        yield from inlet_answers(built, inlet, parameters.reserve_share)
    for gear in built.gear.values():
        given = [feed for feed in gear.feeds_in if not power.feeds[feed.run.id].unfed]
        if given and len(given) + len(gear.supplies) > 1:
            yield two_feeds(built, gear)


RULE = Rule(
    "cascade-headroom",
    "ports, budgets, supplies and inlets give what hangs on them",
    "An overloaded source refuses or drops ports, at dusk or after an outage, when all load comes at once; a "
    "switch fed over the cable passes on only what its class leaves after its own use and its conversion.",
    (PORT, BUDGET, INLET, RESERVE, SUPPLY_FAILED, SHARED_SUPPLY, TYPICAL_ONLY, LOOP, TWO_FEEDS),
    review,
    Parameters,
)


@hookimpl
def riserlint_rules() -> tuple[Rule, ...]:
    """Offer this rule."""
    return (RULE,)
