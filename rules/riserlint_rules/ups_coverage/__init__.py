"""ups-coverage: what must outlast the mains traces to a UPS, with all it needs, and the UPS can carry it.

Backup is a property of a path, not of a device: a camera on the UPS whose recorder, or a switch on the way to it, hangs
on a wall socket records nothing from the first second of an outage. And a UPS that carries everything on the drawing
may be too small for it at night. For how long it holds is what standby-time judges.
"""

from collections.abc import Iterable, Iterator

from riserlint import Built, NotApplicable, Rule, Said, hookimpl
from riserlint_rules.ups_coverage.asking import Asking
from riserlint_rules.ups_coverage.backing import backed
from riserlint_rules.ups_coverage.battery import battery
from riserlint_rules.ups_coverage.checks import (
    BACKED,
    BATTERY,
    NEEDS,
    SAME_UPS,
    VOLT_AMPERES,
    WATTS,
    Parameters,
)
from riserlint_rules.ups_coverage.needs import needs
from riserlint_rules.ups_coverage.ratings import ratings
from riserlint_rules.ups_coverage.same_ups import same_ups


def review(built: Built, parameters: Parameters) -> Iterator[Said]:
    """Yield the answers for all gear, for all needs, and for every UPS."""
    asking = Asking(built, parameters)
    yield from backed(asking)
    yield from needs(asking)
    for name, ups in built.ups.items():
        load = built.outage.load.by_ups[name]
        for check in (WATTS, VOLT_AMPERES):
            if load.parts:
                yield from ratings(asking, ups, load, check)
            else:
                yield NotApplicable(check.name, ups.at, "nothing hangs on it")
        yield battery(asking, ups)
    yield from same_ups(asking)


RULE = Rule(
    "ups-coverage",
    "backed gear, and all it needs, on UPSs that carry it",
    "In an outage what hangs on a wall socket goes dark at once, and takes along what it feeds and what can't do "
    "without it: a backed camera records nothing when its recorder or a switch on the way is not backed. A UPS that is "
    "too small drops everything; one whose battery has aged is empty before anybody comes.",
    (BACKED, NEEDS, WATTS, VOLT_AMPERES, BATTERY, SAME_UPS),
    review,
    Parameters,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
