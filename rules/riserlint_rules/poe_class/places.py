"""Where a finding about a feed points, and how it is worded."""

from typing import NamedTuple

from riserlint import Answer, Check, Feed, Grant, Path, Related, poe_limits, source_end

#: The highest class that sources which power two pairs give: a port of a higher one tells what its source has.
_TWO_PAIRS_CLASS = max(
    poe_limits.type_highest_class(pse_type)
    for pse_type in poe_limits.PSE_TYPES
    if poe_limits.MOST_PAIRS[pse_type].value < 4
)


class At(NamedTuple):
    """A feed as a finding needs it: the thing judged, its distinction, the place, words for the source."""

    subject: Path
    distinct: str
    at: Path
    source: str


def at_feed(feed: Feed) -> At:
    """Return where findings about a feed point: at the end of its run where the power comes from."""
    load = feed.load
    distinct = feed.run.id if len(load.feeds_in) > 1 else ""
    if feed.injector is not None:
        return At(load.at, distinct, feed.injector.value("pse_class").at, f"injector {feed.injector.id}")
    source = "its source" if feed.port is None else f"port {feed.port.label}"
    return At(load.at, distinct, source_end(feed), source)


def fed_otherwise(feed: Feed) -> bool:
    """Return whether something else may feed the load: a supply, or another feed that has power."""
    load = feed.load
    return bool(load.supplies) or any(
        other is not feed and (other.port is None or other.port.value("pse_class").value != "none")
        for other in load.feeds_in
    )


def may_power_two_pairs(grant: Grant) -> bool:
    """Return whether a source of which no type is known may be one that powers two pairs alone."""
    return grant.pse_type is None and (grant.port_class is None or grant.cap <= _TWO_PAIRS_CLASS)


def type_at(feed: Feed) -> Path:
    """Return where the type of a feed's source is, or would be, written."""
    return source_end(feed) if feed.source is None else feed.source.value("pse", "type").at


def class_places(feed: Feed) -> tuple[Path, ...]:
    """Return the places of the classes and the type that a grant rests on."""
    places = [feed.load.value(feed.load.side, "pd_class").at]
    if feed.injector is not None:
        places.append(feed.injector.value("pse_class").at)
    elif feed.port is not None:
        places.append(feed.port.value("pse_class").at)
    if feed.source is not None:
        places.append(feed.source.value("pse", "type").at)
    return tuple(places)


def classes_involved(feed: Feed) -> tuple[Related, ...]:
    """Return the two classes of a feed as places of a finding."""
    asked = feed.load.value(feed.load.side, "pd_class")
    found = [Related(asked.at, "the class that it asks for")] if asked.value is not None else []
    if feed.port is not None and feed.injector is None:
        gives = feed.port.value("pse_class")
        if gives.value is not None:
            found.append(Related(gives.at, "the class of the port"))
    return tuple(found)


def cannot_tell(
    check: Check,
    here: At,
    message: str,
    missing: tuple[Path, ...],
    turns: str,
    *,
    rests_on: tuple[Path, ...] = (),
) -> Answer:
    """Return an open answer about a feed."""
    return Answer(
        check.name,
        "open",
        here.subject,
        here.at,
        message,
        missing=tuple(dict.fromkeys(missing)),
        turns=turns,
        rests_on=rests_on,
        distinct=here.distinct,
    )
