"""The category of the cabling and the conductors of the cable."""

from collections.abc import Iterator
from functools import cache

from riserlint import (
    Answer,
    Built,
    Cable,
    Change,
    Feed,
    Grant,
    NotApplicable,
    Passed,
    Path,
    Remedy,
    Said,
    Span,
    Value,
    at_least,
    at_most,
    conductor_limits,
    conductor_of,
    conductors,
    granting,
    poe_limits,
    source_end,
)
from riserlint_rules.poe_class.checks import CABLING, CONDUCTOR
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


def conductors_of(built: Built) -> Iterator[Said]:
    """Yield an answer for every kind of cable that carries power."""
    used: dict[str, tuple[Cable, list[str]]] = {}
    for run in built.runs.values():
        if run.cable is not None and run.id in built.power.feeds:
            used.setdefault(run.cable.id, (run.cable, []))[1].append(run.id)
    for cable, runs in used.values():
        yield _conductor(built, cable, runs)


def _conductor(built: Built, cable: Cable, runs: list[str]) -> Said:
    record = conductor_limits.HORIZONTAL_OHM_PER_100M
    found = conductor_of(cable, cable.at, cord=False)
    ohm = Span(found.per_m_20.low * 100, found.per_m_20.high * 100)
    verdict = at_most(ohm, record.value)
    if verdict == "pass":
        return Passed(CONDUCTOR.name, cable.at)
    awg, material = cable.value("conductor_awg"), cable.value("material")
    users = f"powered: {', '.join(runs[:3])}{f' and {len(runs) - 3} more' if len(runs) > 3 else ''}"
    if verdict == "open":
        message = f"{cable.id}: cannot tell whether its conductors are heavy enough ({users})"
        here = At(cable.at, "", awg.at if awg.value is None else material.at, "")
        turns = f"holds with at most {record.value:g} ohm per 100 m of conductor"
        return cannot_tell(CONDUCTOR, here, message, found.missing, turns)._replace(held_against=record)
    clad = material.value == "copper-clad-aluminium"
    gauge = "a gauge not known, " if awg.value is None else f"{awg.value} AWG, "
    metal = {"copper": "copper", "copper-clad-aluminium": "copper-clad aluminium"}.get(
        str(material.value), "metal unknown"
    )
    return Answer(
        CONDUCTOR.name,
        "fail",
        cable.at,
        material.at if clad else awg.at,
        f"{cable.id}: conductors of {gauge}{metal} have {ohm.low:.4g} ohm per 100 m, "
        f"at most {record.value:g} ({users})",
        value=round(ohm.low, 3),
        limit=record.value,
        unit=record.unit,
        margin=round(record.value - ohm.low, 3),
        held_against=record,
        working=f"{ohm.low:.4g} ohm/100 m > {record.value:g} ohm/100 m at 20 °C",
        remedy=_heavier(built, awg, material),
        rests_on=found.rests_on,
    )


def _lightest_gauge() -> int:
    """Return the thinnest gauge of which copper, stranded or not, is within the standard's limit."""
    limit = conductor_limits.HORIZONTAL_OHM_PER_100M.value
    celsius = conductor_limits.REFERENCE_CELSIUS.value
    return max(
        row.awg
        for row in conductor_limits.WIRE_TABLE.rows
        if 100
        * conductors.conductor_ohm_per_m(row.awg, material="copper", strand="stranded", celsius=celsius)
        <= limit
    )


def _heavier(built: Built, awg: Value[int], material: Value[str]) -> Remedy:
    """Return the lightest copper that the standard's limit lets be."""
    gauge = _lightest_gauge()
    text = f"copper of {gauge} AWG or thicker"
    changes: list[Change] = []
    if material.value != "copper":
        changes.append(Change(material.at, "copper"))
    if awg.value is None or awg.value > gauge:
        changes.append(Change(awg.at, gauge))
    if any(value.assumed or built.design.origin(value.at) == "measured" for value in (awg, material)):
        return Remedy(text)
    return Remedy(text, tuple(changes))
