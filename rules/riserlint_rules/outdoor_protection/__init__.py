"""outdoor-protection: copper that leaves a building is protected at its ends, and gear outdoors bears the weather.

Lightning need not strike a cable: a stroke nearby, or the earth of another building, drives enough into copper
outdoors to take the switch, and all that hangs on it, at once. A protector that conducts at the voltage of the
powered pairs, guards two of four pairs, or is not bonded, is none.
"""

from collections.abc import Iterable, Iterator

from riserlint import Built, NotApplicable, Places, Rule, Said, hookimpl, leaving_of
from riserlint_rules.outdoor_protection.checks import (
    BETWEEN,
    BONDED,
    PROTECTOR,
    SUITS,
    WEATHER,
    ProtectionParameters,
)
from riserlint_rules.outdoor_protection.leaving_runs import between_buildings, protected
from riserlint_rules.outdoor_protection.protectors import bonded, suits_power
from riserlint_rules.outdoor_protection.weather import weather_ratings

_DESIGN = ("design",)


def review(built: Built, parameters: ProtectionParameters) -> Iterator[Said]:
    """Yield the answers for every run that leaves a building, every protector, and all gear outdoors."""
    places = Places(built, every_space=True) if parameters.every_space else built.places
    exposed, of_building = places.in_use("exposure"), places.in_use("building")
    found = []
    if exposed or of_building:
        found = leaving_of(places, built.runs.values())
        yield from protected(built, places, found, parameters.sheltered)
    else:
        yield NotApplicable(PROTECTOR.name, _DESIGN, "no space says anything of exposure or building")
    if of_building:
        yield from between_buildings(places, found)
    else:
        yield NotApplicable(BETWEEN.name, _DESIGN, "no space says which building it is in")
    for inline in built.inlines.values():
        if not inline.is_injector:
            yield from suits_power(built, inline)
            yield bonded(built, inline)
    if exposed:
        yield from weather_ratings(built)
    else:
        yield NotApplicable(WEATHER.name, _DESIGN, "no space says anything of exposure")


RULE = Rule(
    "outdoor-protection",
    "runs that leave a building protected at their ends, gear outdoors that bears the weather",
    "A stroke nearby, or the earth of another building, drives enough into unprotected copper to take the switch "
    "and all that hangs on it.",
    (PROTECTOR, SUITS, BONDED, BETWEEN, WEATHER),
    review,
    ProtectionParameters,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
