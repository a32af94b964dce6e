"""The category of the cabling."""

from functools import cache

from riserlint import (
    Answer,
    Feed,
    Grant,
    NotApplicable,
    Passed,
    Path,
    Remedy,
    Said,
    Span,
    at_least,
    granting,
    poe_limits,
    source_end,
)
from riserlint_rules.poe_class.checks import CABLING
from riserlint_rules.poe_class.places import At, cannot_tell, class_places, classes_involved


def cabling(feed: Feed, grant: Grant) -> Said:
    """Return whether the category of a run is what the type of its source is meant for."""
    run = feed.run
    if grant.refused:
        return NotApplicable(CABLING.name, run.at, "gets no power")
    needed = _needed_category(grant.pse_type, grant.port_class)
    category, at, missing = _category(feed)
    if category.low >= needed.high:
        return Passed(CABLING.name, run.at)
    verdict = at_least(category, needed)
    has = grant.port_class
    least_type = grant.pse_type or max(2, granting.least_type(has) if isinstance(has, int) else 2)
    record = poe_limits.LEAST_CATEGORY[least_type]
    if verdict == "open":
        places = list(missing)
        if not needed.known:
            source = feed.source
            places.append(source_end(feed) if source is None else source.value("pse", "type").at)
        message = f"{run.id} ({run.ends}): cannot tell whether its category is enough for its source"
        answer = cannot_tell(
            CABLING,
            At(run.at, "", at, ""),
            message,
            tuple(places),
            f"holds with category {record.value:g} or higher",
        )
        return answer._replace(held_against=record)
    class_needs_it = grant.assigned is not None and granting.least_type(grant.assigned) > 1
    why = f"class {grant.assigned}" if class_needs_it else f"a source of Type {least_type}"
    return Answer(
        CABLING.name,
        "fail",
        run.at,
        at,
        f"{run.id} ({run.ends}): category {category.high:g}, {why} is for {record.value:g} or higher",
        level="error" if class_needs_it else "warning",
        value=category.high,
        limit=record.value,
        unit="category",
        margin=category.high - record.value,
        held_against=record,
        working=f"category {category.high:g} < category {record.value:g}",
        related=classes_involved(feed),
        remedy=Remedy(f"cable and cords of category {record.value:g} or higher"),
        rests_on=(at, *class_places(feed)),
    )


@cache
def _needed_category(pse_type: int | None, port_class: int | str | None) -> Span:
    """Return the least category for a source: by its type, else by the types that have the class of its port."""
    lowest = granting.least_type(port_class) if isinstance(port_class, int) else 1
    types = [one for one in poe_limits.PSE_TYPES if one >= lowest] if pse_type is None else [pse_type]
    least = [poe_limits.type_least_category(one) for one in types]
    return Span(min(least), max(least))


def _category(feed: Feed) -> tuple[Span, Path, tuple[Path, ...]]:
    """Return the lowest category of cable and cords, where it stands, and what is missing of the cable's.

    Cords of which no category is stated are taken to be no worse than the cable.
    """
    run = feed.run
    missing: list[Path] = []
    stated = None if run.cable is None else run.cable.value("category")
    if stated is None or stated.value is None:
        at: Path = (*run.at, "cable") if stated is None else stated.at
        found = Span(3, 8)
        missing.append(at)
    else:
        number = int(stated.value[0])
        found, at = Span(number, number), stated.at
    for cord in run.cords or ():
        of_cord = None if cord.cable is None else cord.cable.value("category")
        if of_cord is not None and of_cord.value is not None and int(of_cord.value[0]) < found.high:
            number = int(of_cord.value[0])
            found, at = Span(min(found.low, number), number), of_cord.at
    return found, at, tuple(missing)
