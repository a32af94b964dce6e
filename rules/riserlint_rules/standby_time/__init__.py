"""standby-time: what is asked to stand by lives, and is useful, for the minutes that its role asks.

Cameras, doors and intercoms may need different minutes; the basis or the design states them, local code decides. An
outage is gone through event by event: a UPS behind another starts when that is empty, a load goes over to its other
feed, what is shed no longer counts.
"""

from collections.abc import Iterable, Iterator

from riserlint import Built, NoParameters, Rule, Said, Standby, Standbys, hookimpl
from riserlint_rules.standby_time.checks import RUNTIME, SHED
from riserlint_rules.standby_time.runtimes import runtimes
from riserlint_rules.standby_time.shedding import shedding


def review(built: Built, _parameters: NoParameters) -> Iterator[Said]:
    """Yield the answers for every UPS, and for what is switched off to save it."""
    standbys = Standbys(built, _asked_of_all(built))
    yield from runtimes(standbys)
    yield from shedding(standbys)


def _asked_of_all(built: Built) -> Standby | None:
    """Return the standby that the basis asks of all gear: one key for what must be covered and for how long."""
    rule, key = "ups-coverage", "standby_min"
    stated = built.design.basis.model.rule.get(rule, {}).get(key)
    # What is no number of minutes is said of the rule whose parameter it is.
    if isinstance(stated, bool) or not isinstance(stated, int | float) or stated < 0:
        return None
    return Standby(stated, ("basis", "rule", rule, key), "the basis of design")


RULE = Rule(
    "standby-time",
    "gear that stands by for as long as its role asks",
    "A battery that has aged is empty before anybody comes, and a camera whose recorder was switched off to save it "
    "records nothing: what counts is until when gear has power and all that it needs.",
    (RUNTIME, SHED),
    review,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
