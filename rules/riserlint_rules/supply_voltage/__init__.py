"""supply-voltage: what arrives at the end of every fed run is enough to work, with nothing near its collapse.

A device at too few volts draws more current for the same watts, which takes more volts on the way: it resets by
night when its lamps come on, and nobody sees why. Behind a switch that passes power through no voltage is held at
all: the whole chain sinks together, and ends together, while each single run still looks sound.
"""

from collections.abc import Iterable, Iterator
from typing import Annotated

from pydantic import Field

from riserlint import Built, NotApplicable, Rule, Said, Written, hookimpl
from riserlint_rules.supply_voltage.chains import collapse, collapsing, passed_ports
from riserlint_rules.supply_voltage.checks import CHANNEL, COLLAPSE, LEAST, OFF, PASSED_PORT
from riserlint_rules.supply_voltage.runs import run_answers


class Parameters(Written):
    """``least_collapse_share``: the least multiple of its load at which a chain may collapse.

    Left out, it is the least that any permitted channel has.
    """

    least_collapse_share: Annotated[float, Field(gt=1)] | None = None


def review(built: Built, parameters: Parameters) -> Iterator[Said]:
    """Yield the answers for every chain, every port in one, and every fed run."""
    power = built.power
    down: set[str] = set()
    for chain in power.chains.values():
        found = collapsing(chain)
        if found.certain:
            down.update(link.feed.run.id for link in chain.links)
        yield collapse(built, chain, found, parameters.least_collapse_share)
        yield from passed_ports(built, chain, found)
    for run in built.runs.values():
        feed = power.feeds.get(run.id)
        if feed is None:
            yield NotApplicable(LEAST.name, run.at, "carries no power")
        elif run.id in down:
            for check in (OFF, LEAST, CHANNEL):
                yield NotApplicable(
                    check.name, run.at, "its chain has no operating point, which is judged as one"
                )
        else:
            yield from run_answers(built, feed)


RULE = Rule(
    "supply-voltage",
    "loads get the voltage that they work at",
    "A load at too few volts resets or stays dark, mostly by night when its lamps come on; a chain that passes power "
    "through sinks as a whole and ends at once.",
    (OFF, LEAST, CHANNEL, PASSED_PORT, COLLAPSE),
    review,
    Parameters,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
