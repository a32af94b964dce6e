"""What a device draws and what a port grants: draw by state, requested and assigned class, volts of a source."""

import math
from typing import NamedTuple

from riserlint.design.paths import Path
from riserlint.engineering.span import Span
from riserlint.installation.things import Feed, Gear, InlineGear, Thing
from riserlint.standards import poe

#: The most that any IEEE 802.3 device may draw without knowing its channel.
MOST_PD_W = max(poe.pd_watts(pd_class, None) for pd_class in poe.PD_CLASSES)
#: Voltage limits of any source of the standard, for a source of which no type is known.
_ANY_MIN_V = tuple(poe.type_min_volts(pse_type) for pse_type in poe.PSE_TYPES)


class Draw(NamedTuple):
    """The draw of a device at its connector in watts.

    ``maximum`` is the greatest of day, night and start (they coincide, no diversity is taken off); with only a
    typical draw given it reaches up to the watts of the class. ``typical`` is None where not stated;
    ``only_typical`` says that nothing but typical is stated.
    """

    typical: float | None
    maximum: Span
    state: str
    only_typical: bool
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]


def device_draw(gear: Gear, most_w: float) -> Draw:
    """Return the draw of a device; ``most_w`` is the upper end of what is not known (its class's watts)."""
    typical = gear.value("draw_w", "typical")
    states = {key: gear.value("draw_w", key) for key in ("day", "night", "start")}
    known = {key: value for key, value in states.items() if value.value is not None}
    rests_on = tuple(value.at for value in (typical, *known.values()) if value.value is not None)
    if known:
        state = max(known, key=lambda key: float(known[key].value or 0.0))
        most = float(known[state].value or 0.0)
        return Draw(typical.value, Span(most, most), state, False, (), rests_on)
    low = typical.value or 0.0
    missing = ((*states["night"].at[:-1], "night"),)
    return Draw(typical.value, Span(low, max(low, most_w)), "", typical.value is not None, missing, rests_on)


class Grant(NamedTuple):
    """The class that a device asks for over a feed, and what the source assigns.

    Attributes:
        scheme: ``ieee`` or ``passive`` of the source; None where unknown.
        requested: the class that the device asks for (0 to 8), None where unknown.
        port_class: the highest class of the port (``none``: gives no power), None where unknown.
        assigned: the class that is assigned, None where unknown or where no power is given.
        refused: whether it is certain that the port gives no power to this device.
        device_w: the most that the device may draw by the assigned class, as a range.
        reserved_w: what a source that reserves by class takes from its budget, as a range.
        pairs: pairs that carry power, as a range (the worse for loss is the lower).
        missing: values that are not known.
    """

    scheme: str | None
    requested: int | None
    port_class: int | str | None
    assigned: int | None
    refused: bool
    device_w: Span
    reserved_w: Span
    pairs: Span
    missing: tuple[Path, ...]

    @property
    def demoted(self) -> bool:
        """Whether the device gets a lower class than it asks for."""
        if self.assigned is None or self.requested is None:
            return False
        return (self.assigned or 3) < (self.requested or 3)


def source_thing(feed: Feed) -> Thing | None:
    """Return the thing whose ``pse`` describes the source of a feed."""
    return feed.source


def port_class_of(feed: Feed) -> tuple[int | str | None, Path]:
    """Return the highest class that the source of a feed gives, and where it is (or would be) written."""
    if feed.injector is not None:
        value = feed.injector.value("pse_class")
        return value.value, value.at
    if feed.port is None:
        return None, (*feed.run.at, "from")
    value = feed.port.value("pse_class")
    found = value.value
    if found is None:
        pse_type = feed.port.gear.value("pse", "type").value
        if pse_type == 1:
            return 3, value.at  # a Type 1 source has one class of its own: it grants up to class 3
    return found, value.at


def grant_of(feed: Feed) -> Grant:
    """Return what is asked for and what is assigned over a feed."""
    load = feed.load
    source = feed.source
    missing: list[Path] = []
    scheme = None if source is None else source.value("pse", "scheme")
    scheme_word = None if scheme is None else scheme.value
    if scheme_word is None and source is not None:
        pse_type = source.value("pse", "type").value
        scheme_word = "ieee" if pse_type is not None else None
    requested = load.value(load.side, "pd_class")
    port_class, port_at = port_class_of(feed)
    if requested.value is None:
        missing.append(requested.at)
    if port_class is None:
        missing.append(port_at)
    if scheme_word == "passive" or load.value(load.side, "scheme").value == "passive":
        pairs = feed.run.value("pairs")
        number = Span(2, 4) if pairs.value is None else Span(pairs.value, pairs.value)
        nothing = Span(0.0, MOST_PD_W)
        return Grant(scheme_word, requested.value, port_class, None, False, nothing, Span(0.0, 0.0), number, ())
    second = load.value(load.side, "second_class").value
    if second is not None and requested.value is not None:
        return _dual(feed, scheme_word, requested.value, second, port_class, tuple(missing))
    if port_class == "none":
        zero = Span(0.0, 0.0)
        return Grant(scheme_word, requested.value, "none", None, True, zero, zero, Span(2, 2), tuple(missing))
    assigned = None
    refused = False
    if requested.value is not None and isinstance(port_class, int):
        assigned = poe.demoted_class(requested.value, port_class)
        refused = assigned is None
    least, most = _class_range(requested.value, port_class, assigned)
    pse_type = None if source is None else source.value("pse", "type").value
    device_w = Span(0.0 if least is None else poe.pd_watts(least, pse_type), poe.pd_watts(most, pse_type))
    reserved_w = Span(0.0 if least is None else poe.pse_watts(least), poe.pse_watts(most))
    if refused:
        device_w = reserved_w = Span(0.0, 0.0)
    written_pairs = feed.run.value("pairs").value
    if written_pairs is not None:
        pairs = Span(written_pairs, written_pairs)
    elif assigned is not None:
        number = poe.powered_pairs(assigned)
        pairs = Span(number, number)
    else:
        pairs = Span(2, 4) if most > 4 else Span(2, 2)
    return Grant(
        scheme_word, requested.value, port_class, assigned, refused, device_w, reserved_w, pairs, tuple(missing)
    )


def _class_range(requested: int | None, port_class: int | str | None, assigned: int | None) -> tuple[int | None, int]:
    """Return the least (None: nothing at all) and the greatest class that may be assigned."""
    if assigned is not None:
        return assigned, assigned
    if requested is not None:
        return (None if port_class is None else 0), requested
    return None, port_class if isinstance(port_class, int) else max(poe.PD_CLASSES)


def _dual(
    feed: Feed, scheme: str | None, first: int, second: int, port_class: int | str | None, missing: tuple[Path, ...]
) -> Grant:
    """Return the grant of a dual-signature device: each pairset has a class of its own, the port gives the sum."""
    device_w = poe.dual_pd_watts(max(1, min(first, 5))) + poe.dual_pd_watts(second)
    reserved_w = poe.dual_pse_watts(max(1, min(first, 5))) + poe.dual_pse_watts(second)
    refused = port_class == "none"
    if refused:
        device_w = reserved_w = 0.0
    return Grant(
        scheme,
        first,
        port_class,
        None,
        refused,
        Span(device_w, device_w),
        Span(reserved_w, reserved_w),
        Span(4, 4),
        missing,
    )


def source_volts(source: Gear | InlineGear | None) -> tuple[Span, tuple[Path, ...]]:
    """Return the least voltage of a source: stated, else that of its type, else of any type; and what is missing."""
    if source is None:
        return Span(min(_ANY_MIN_V), max(_ANY_MIN_V)), ()
    stated = source.value("pse", "min_v")
    if stated.value is not None:
        return Span(stated.value, stated.value), ()
    pse_type = source.value("pse", "type")
    if source.value("pse", "scheme").value == "passive":
        return Span(0.0, math.inf), (stated.at,)
    if pse_type.value is not None:
        volts = poe.type_min_volts(pse_type.value)
        return Span(volts, volts), ()
    return Span(min(_ANY_MIN_V), max(_ANY_MIN_V)), (pse_type.at,)
