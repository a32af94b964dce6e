"""conductor-material: the metal and the gauge of what carries power are those that the standards count on.

Copper-clad aluminium looks like copper and loses more than half as much again, as heat in the bundle and as volts
at the device; its ends break. Conductors too light for fixed cable, and thin cords in numbers, do the same.
"""

from collections.abc import Iterable, Iterator

from riserlint import Built, NotApplicable, Rule, Run, Said, Written, hookimpl
from riserlint_rules.conductor_material.cables import cable_answers, unwritten_kinds
from riserlint_rules.conductor_material.checks import COPPER_CLAD, CORD_BUNDLE, GAUGE, THIN_CORD
from riserlint_rules.conductor_material.cord_bundles import bundle_answers
from riserlint_rules.conductor_material.cords import cord_answers


def review(built: Built, parameters: Written) -> Iterator[Said]:
    """Yield the answers for every kind of cable, and for the cords of every run that carries power."""
    del parameters
    yield from cable_answers(built)
    powered: list[Run] = []
    for run in built.runs.values():
        power = built.power.feeds.get(run.id)
        if power is None or power.grant.refused:
            yield NotApplicable(THIN_CORD.name, run.at, "carries no power")
            continue
        powered.append(run)
        yield from unwritten_kinds(run)
        yield from cord_answers(built, run)
    yield from bundle_answers(built, powered)


RULE = Rule(
    "conductor-material",
    "conductors that carry power are of copper, and not too thin",
    "Copper-clad aluminium and thin wire turn power into heat and leave too few volts; a meter for continuity sees "
    "nothing of it.",
    (COPPER_CLAD, GAUGE, THIN_CORD, CORD_BUNDLE),
    review,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
