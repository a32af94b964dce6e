"""What a device draws, held against its own class."""

from functools import cache
from typing import NamedTuple

from riserlint import (
    Answer,
    Built,
    Change,
    Draw,
    FeedPower,
    Gear,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Said,
    Span,
    Value,
    at_most,
    carrying,
    device_draw,
    granting,
    poe_limits,
    source_end,
    watt_words,
)
from riserlint_rules.poe_class.checks import DRAW

_MODES = tuple(row.pd_class for row in poe_limits.DUAL_SIGNATURE_TABLE.rows)


class _Asked(NamedTuple):
    """The class or two classes of a device, and the type of the source, which decides on 12.95 or 13.0 W."""

    first: Value[int]
    second: Value[int]
    dual: bool
    pse_type: int | None

    @property
    def missing(self) -> tuple[Path, ...]:
        values = (self.first, self.second) if self.dual else (self.first,)
        return tuple(value.at for value in values if value.value is None)

    @property
    def watts(self) -> Span:
        """The most that the device may draw, from the least to the most that what is unknown allows."""
        return _watts(self.first.value, self.second.value, self.pse_type, dual=self.dual)


@cache
def _watts(first: int | None, second: int | None, pse_type: int | None, *, dual: bool) -> Span:
    if dual:
        ones = _MODES if first is None else (_mode(first),)
        others = _MODES if second is None else (second,)
        sums = [granting.dual_limit(one, other).value for one in ones for other in others]
    else:
        classes = poe_limits.PD_CLASSES if first is None else (first,)
        types = poe_limits.PSE_TYPES if pse_type is None else (pse_type,)
        sums = [poe_limits.pd_watts(pd_class, one) for pd_class in classes for one in types]
    return Span(min(sums), max(sums))


def draw_class(built: Built, gear: Gear) -> Said:
    """Return whether a device draws no more than its own class lets it."""
    if gear.is_switch:
        return NotApplicable(DRAW.name, gear.at, "a switch: what it feeds is counted elsewhere")
    if not gear.has_inlet:
        return NotApplicable(DRAW.name, gear.at, "no powered-device side is described")
    feeds = [built.power.feeds[feed.run.id] for feed in gear.feeds_in]
    if len(feeds) == 1 and _plainly_within(feeds[0]):
        return Passed(DRAW.name, gear.at)
    if gear.value("pd", "scheme").value == "passive":
        return NotApplicable(DRAW.name, gear.at, "a passive device has no class")
    draw = (feeds[0].draw if feeds else None) or device_draw(gear, 0.0)
    watts = draw.maximum.low if draw.state else draw.typical
    if watts is None:
        return NotApplicable(DRAW.name, gear.at, "no draw is stated")
    asked = _asked(gear, feeds)
    verdict = at_most(watts, asked.watts)
    mode = None if verdict == "fail" else _mode_over(gear, draw, asked)
    if verdict == "pass" and mode is None:
        return Passed(DRAW.name, gear.at)
    state = draw.state or "typical"
    first = gear.value("feed_first")
    shared = len(feeds) + len(gear.supplies) > 1 and not (first.value == "inlet" and len(feeds) <= 1)
    if (verdict == "open" and mode is None) or (shared and first.value is None):
        return _cannot_tell(gear, watts, state, asked, first.at if shared else None)
    found = _over(built, gear, watts, state, asked) if mode is None else _over_mode(gear, state, mode)
    return found._replace(level="warning" if shared else None)


def modes_of(gear: Gear, draw: Draw) -> tuple[float, float] | None:
    """Return the watts of both modes at a device's greatest draw, None where that or their split is not stated."""
    second_w = gear.value("pd", "second_w").value
    if second_w is None or not draw.state:
        return None
    return max(0.0, draw.maximum.low - second_w), min(float(second_w), draw.maximum.low)


class _Mode(NamedTuple):
    """A mode that draws more than its class: where the class is written, the class, the watts."""

    at: Path
    pd_class: int
    watts: float


def _mode_over(gear: Gear, draw: Draw, asked: _Asked) -> _Mode | None:
    """Return a mode that draws more than its own class lets it; None where none does for certain."""
    drawn = modes_of(gear, draw) if asked.dual else None
    for value, mode_w in zip((asked.first, asked.second), drawn or ()):
        if value.value in _MODES and at_most(mode_w, poe_limits.dual_pd_watts(value.value)) == "fail":
            return _Mode(value.at, value.value, mode_w)
    return None


def _over_mode(gear: Gear, state: str, mode: _Mode) -> Answer:
    record = granting.mode_limit(mode.pd_class)
    split, draw_at = gear.value("pd", "second_w").at, gear.value("draw_w", state).at
    return Answer(
        DRAW.name,
        "fail",
        gear.at,
        draw_at,
        f"{gear.id}: one of its modes draws {mode.watts:.4g} W ({state}), at most {record.value:g} W in its class "
        f"{mode.pd_class}D",
        value=mode.watts,
        limit=record.value,
        unit="W",
        margin=round(record.value - mode.watts, 3),
        held_against=record,
        working=f"{mode.watts:.4g} W {watt_words.in_state(state)} > {record.value:g} W",
        related=(Related(mode.at, "the class of the mode"), Related(split, "how its modes share its draw")),
        remedy=Remedy("a device whose modes stay within their classes, or a supply of its own"),
        rests_on=(draw_at, split, mode.at),
    )


def _plainly_within(power: FeedPower) -> bool:
    """Return whether all is known of a device with one signature, and its draw is within its class."""
    grant, draw = power.grant, power.draw
    if grant.assigned is None or draw is None or not draw.state:
        return False
    return draw.maximum.high <= _watts(grant.requested, None, grant.pse_type, dual=False).low


def _asked(gear: Gear, feeds: list[FeedPower]) -> _Asked:
    first, second = gear.value("pd", "pd_class"), gear.value("pd", "second_class")
    dual = second.value is not None or gear.value("pd", "signature").value == "dual"
    types = [power.grant.pse_type for power in feeds]
    known = [pse_type for pse_type in types if pse_type is not None]
    return _Asked(first, second, dual, min(known) if known and len(known) == len(types) else None)


def _over(built: Built, gear: Gear, watts: float, state: str, asked: _Asked) -> Answer:
    most_w = asked.watts.high
    least = None if asked.dual else granting.least_class(watts, asked.pse_type)
    first, second = asked.first.value, asked.second.value
    if asked.dual:
        modes = (_mode(_MODES[-1] if first is None else first), _MODES[-1] if second is None else second)
        record, name = granting.dual_limit(*modes), f"its classes {modes[0]}D and {modes[1]}D"
    else:
        pd_class = poe_limits.PD_CLASSES[-1] if first is None else first
        record = granting.class_limit(pd_class, asked.pse_type)
        name = "any class" if first is None else f"class {pd_class}"
    other = "a device of less draw, or a supply of its own"
    draw_at = gear.value("draw_w", state).at
    return Answer(
        DRAW.name,
        "fail",
        gear.at,
        draw_at,
        f"{gear.id}: draws {watts:g} W ({state}), at most {most_w:g} W in {name}",
        value=watts,
        limit=most_w,
        unit="W",
        margin=round(most_w - watts, 3),
        held_against=record,
        working=f"{watts:g} W {watt_words.in_state(state)} > {most_w:g} W",
        related=(Related(asked.first.at, "the class that it asks for"),),
        remedy=Remedy(
            other if least is None else f"class {least}, at a port that gives it", _raised(built, gear, least)
        ),
        rests_on=(draw_at, asked.first.at),
    )


def _cannot_tell(gear: Gear, watts: float, state: str, asked: _Asked, feed_first: Path | None) -> Answer:
    missing, turns = asked.missing, ""
    if feed_first is not None:
        missing, turns = (*missing, feed_first), "holds if its other feed carries it"
    elif missing:
        least = None if asked.dual else granting.least_class(watts, asked.pse_type)
        turns = "" if least is None else f"holds with class {least} or higher"
    else:
        missing, turns = _types_at(gear), "holds with a source of Type 3 or 4"
    return Answer(
        DRAW.name,
        "open",
        gear.at,
        gear.value("draw_w", state).at,
        f"{gear.id}: draws {watts:g} W ({state}); cannot tell whether that is within its class",
        missing=missing,
        turns=turns,
        rests_on=(gear.value("draw_w", state).at,),
    )


def _types_at(gear: Gear) -> tuple[Path, ...]:
    """Return where the types of its sources would be written; of a device that no run reaches, itself."""
    types = [
        source_end(feed) if feed.source is None else feed.source.value("pse", "type").at
        for feed in gear.feeds_in
    ]
    return tuple(types) or (gear.at,)


def _raised(built: Built, gear: Gear, pd_class: int | None) -> tuple[Change, ...]:
    """Return the change to a class that carries the draw, if every port that feeds the device bears it."""
    if pd_class is None or not gear.feeds_in:
        return ()
    for feed in gear.feeds_in:
        grant = built.power.feeds[feed.run.id].grant
        if not isinstance(grant.port_class, int) or granting.rank(grant.port_class) < granting.rank(pd_class):
            return ()
        if not carrying.bears(built, feed, pd_class, poe_limits.pse_watts(pd_class) - grant.reserved_w.low):
            return ()
    return (Change((*gear.at, "pd", "pd_class"), pd_class),)


def _mode(pd_class: int) -> int:
    """Return a class of a mode; what is written beyond classes 1 to 5 is reported as that, elsewhere."""
    return max(_MODES[0], min(pd_class, _MODES[-1]))
