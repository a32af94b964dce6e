"""start-surge: after an outage everything starts at once, and sources and UPSs have to bear it.

Cameras turn their heads, disks spin up and fans run at full speed, all in the same seconds after the mains are back
or a UPS is switched on again. A source that measures then drops ports, a UPS shuts down, and the site stays dark
though the power is there; unless ports are started one after the other, so that few of them start together.
"""

from collections.abc import Iterable, Iterator

from riserlint import Built, Rule, Said, hookimpl
from riserlint_rules.start_surge.budgets import budget_answers
from riserlint_rules.start_surge.checks import BUDGET, INRUSH, UPS
from riserlint_rules.start_surge.inrushes import inrush_answer
from riserlint_rules.start_surge.upses import ups_answers


def review(built: Built, _: object) -> Iterator[Said]:
    """Yield the answers for all sources, for all UPSs, and for the inrush of all devices that state it."""
    for source in built.power.sources.values():
        yield from budget_answers(built, source)
    for ups in built.ups.values():
        yield from ups_answers(built, ups)
    for power in built.power.feeds.values():
        yield inrush_answer(power)


RULE = Rule(
    "start-surge",
    "sources and UPSs bear that everything starts after an outage",
    "When the mains return all gear starts in the same seconds and draws more than it does later: a source that "
    "measures drops ports, a UPS shuts down, and what was to come back stays dark.",
    (BUDGET, UPS, INRUSH),
    review,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
