"""The age of batteries."""

from riserlint import (
    Answer,
    Citation,
    Limit,
    NotApplicable,
    Passed,
    Path,
    Remedy,
    Said,
    Thing,
    at_least,
    at_most,
    path_text,
    supply_limits,
)
from riserlint_rules.ups_coverage.asking import Asking
from riserlint_rules.ups_coverage.checks import BATTERY


def battery(asking: Asking, ups: Thing) -> Said:
    """Return the answer for the battery of one UPS."""
    held = asking.built.outage.batteries[ups.id]
    tested, life = ups.value("tested_capacity"), ups.value("design_life_years")
    date_at = ups.value("battery_date").at
    end = supply_limits.END_OF_LIFE_SHARE
    if tested.value is not None:
        return _tested(ups, tested.value, tested.at)
    if held.age_years is None or life.value is None:
        missing = tuple(value.at for value in (ups.value("battery_date"), life) if value.value is None)
        return Answer(
            BATTERY.name,
            "open",
            ups.at,
            missing[0] if missing else date_at,
            f"{ups.id}: cannot tell whether its battery is within its design life, or what it still holds",
            missing=missing,
            turns="" if life.value is None else f"holds if it is {life.value:g} years old or less",
        )
    if at_most(held.age_years, life.value) == "pass":
        return Passed(BATTERY.name, ups.at)
    stated = Limit(
        f"design life of the battery of {ups.id}",
        life.value,
        "years",
        Citation("nameplate", "", ups.id),
        "stated",
        path_text(life.at),
    )
    return Answer(
        BATTERY.name,
        "fail",
        ups.at,
        date_at,
        f"{ups.id}: its battery is {held.age_years:.1f} years old, its design life is {life.value:g} years: "
        "what it still holds is not known without a capacity test",
        value=held.age_years,
        limit=life.value,
        unit="years",
        margin=life.value - held.age_years,
        held_against=stated,
        citations=(end.citation,),
        working=f"{held.age_years:.1f} years > {life.value:g} years",
        remedy=Remedy("a capacity test, or a new battery"),
        rests_on=(date_at, life.at),
    )


def _tested(ups: Thing, share: float, at: Path) -> Said:
    end = supply_limits.END_OF_LIFE_SHARE
    chemistry = ups.value("chemistry")
    if at_least(share, end.value) == "pass":
        return Passed(BATTERY.name, ups.at)
    if chemistry.value == "lithium":
        return NotApplicable(BATTERY.name, ups.at, "lithium: no standard says at what share it ends")
    if chemistry.value is None:
        return Answer(
            BATTERY.name,
            "open",
            ups.at,
            at,
            f"{ups.id}: its battery was tested at {share:.0%} of its capacity: the end of life of lead-acid, of "
            "which nobody says that it is",
            held_against=end,
            missing=(chemistry.at,),
            turns="holds if it is lithium",
            rests_on=(at,),
        )
    return Answer(
        BATTERY.name,
        "fail",
        ups.at,
        at,
        f"{ups.id}: its battery was tested at {share:.0%} of its capacity, and is replaced at {end.value:.0%}",
        value=share,
        limit=end.value,
        unit=end.unit,
        margin=share - end.value,
        held_against=end,
        working=f"{share:g} < {end.value:g}",
        remedy=Remedy("a new battery"),
        rests_on=(at,),
    )
