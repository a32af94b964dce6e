"""jacket-space: the jacket of every kind of cable suits the spaces that its runs pass.

A jacket that burns in a space that moves air, or from floor to floor, carries fire and smoke to where people are;
one that is not made for sun and water fails outdoors within a few years. In North America the code gives each place
a type of cable, and a higher type may stand in for a lower one. In Europe a class of reaction to fire is asked only
where the basis of design asks for one.
"""

from collections.abc import Iterable, Iterator

from riserlint import Built, NotApplicable, Places, Rule, Said, hookimpl
from riserlint_rules.jacket_space.checks import (
    ENTRANCE,
    FIRE,
    GENERAL,
    OUTDOOR,
    PLENUM,
    RISER,
    JacketParameters,
)
from riserlint_rules.jacket_space.entrance import entrances
from riserlint_rules.jacket_space.fire_class import fire_classes
from riserlint_rules.jacket_space.kinds import Kinds

_DESIGN = ("design",)


def review(built: Built, parameters: JacketParameters) -> Iterator[Said]:
    """Yield the answers for every kind of cable, and for every run of unlisted outdoor cable."""
    places = Places(built, every_space=True) if parameters.every_space else built.places
    by_type = built.region in {"north-america", None}
    if not places.asks:
        for check in (PLENUM, RISER, GENERAL, OUTDOOR, ENTRANCE):
            yield NotApplicable(check.name, _DESIGN, "no space says anything of air, floor or exposure")
    else:
        if not by_type:
            for check in (PLENUM, RISER, GENERAL, ENTRANCE):
                yield NotApplicable(check.name, _DESIGN, "cable types by place are those of North America")
        kinds = Kinds(built, places, dwelling=parameters.dwelling)
        yield from kinds.said(by_type=by_type)
        if by_type:
            yield from entrances(built, places, kinds.failed)
    if parameters.fire_class is None or built.region == "north-america":
        why = "the basis asks for no class" if parameters.fire_class is None else "a class of Europe"
        yield NotApplicable(FIRE.name, _DESIGN, why)
    else:
        yield from fire_classes(built, places, parameters.fire_class)


RULE = Rule(
    "jacket-space",
    "jackets that suit the spaces that their cables pass",
    "A jacket below what a space asks for carries fire and smoke to where people are; one that is not made for "
    "the weather cracks and lets water in.",
    (PLENUM, RISER, GENERAL, OUTDOOR, ENTRANCE, FIRE),
    review,
    JacketParameters,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
