"""What a device draws and what a port grants: draw by state, class asked for and assigned, volts."""

import math
from typing import Literal, NamedTuple

from riserlint.design.paths import Path
from riserlint.engineering.granting import dual_granted_w
from riserlint.engineering.span import Span
from riserlint.installation.things import Feed, Gear, InlineGear
from riserlint.standards import poe

#: The most that any IEEE 802.3 device may draw without knowing its channel.
MOST_PD_W = max(poe.pd_watts(pd_class, None) for pd_class in poe.PD_CLASSES)
_NOTHING = Span(0.0, 0.0)
#: Voltage limits of any source of the standard, for a source of which no type is known.
_ANY_MIN_V = tuple(poe.type_min_volts(pse_type) for pse_type in poe.PSE_TYPES)
_ANY_MAX_V = tuple(poe.type_max_volts(pse_type) for pse_type in poe.PSE_TYPES)


#: What devices are taken to draw: the greatest of day, night and start, that of day and night, or one state.
LoadState = Literal["maximum", "running", "typical", "day", "night", "start"]


class Case(NamedTuple):
    """What an installation is solved for: the voltage of sources (the least, or the nominal), the state of loads.

    ``at_any_volts``: a load draws its watts at whatever voltage it gets, where it would be off in truth: for tables,
    which show the volts that there would be.
    """

    volts: Literal["least", "nominal"] = "least"
    load: LoadState = "maximum"
    at_any_volts: bool = False


#: What all limits are judged at.
WORST = Case()


class Draw(NamedTuple):
    """The draw of a device at its connector in watts.

    ``maximum`` is what it is taken to draw: mostly the greatest of day, night and start (they coincide, no
    diversity is taken off); with only a typical draw given it reaches up to the watts of the class. ``typical`` is
    None where not stated; ``only_typical`` says that nothing but typical is stated.
    """

    typical: float | None
    maximum: Span
    state: str
    only_typical: bool
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]


def device_draw(gear: Gear, most_w: float, load: LoadState = "maximum") -> Draw:
    """Return the draw of a device; ``most_w`` is the upper end of what is not known (its class's watts).

    A state that is not stated lies between the typical draw and the greatest that is stated. ``running``: once it
    has started, so without its start, which is then only the most that it can be.
    """
    most = _most_draw(gear, most_w, load)
    if load in {"maximum", "running"}:
        return most
    stated = gear.value("draw_w", load)
    if stated.value is not None:
        watts = float(stated.value)
        return most._replace(maximum=Span(watts, watts), state=load, missing=())
    low = min(most.typical or 0.0, most.maximum.high)
    return most._replace(maximum=Span(low, most.maximum.high), state=load, missing=(stated.at,))


def mains_draw(gear: Gear, load: LoadState = "maximum") -> Draw:
    """Return the draw of a device on the mains: by its states, else what its mains side states for all of them."""
    draw, own = device_draw(gear, math.inf, load), gear.value("ac", "own_w")
    if not draw.missing or own.value is None:
        return draw
    watts = float(own.value)
    return draw._replace(maximum=Span(watts, watts), missing=(), rests_on=(own.at,))


def _most_draw(gear: Gear, most_w: float, load: LoadState) -> Draw:
    typical = gear.value("draw_w", "typical")
    states = {key: gear.value("draw_w", key) for key in ("day", "night", "start")}
    if load == "running":
        start_w = states.pop("start").value
        most_w = most_w if start_w is None else float(start_w)
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
        scheme: ``ieee`` or ``passive`` of the source; ``ieee`` too where only a type or a class is stated;
            None where unknown.
        requested: the class that the device asks for (0 to 8), None where unknown.
        port_class: the highest class of the port (``none``: gives no power), None where unknown. Of a source
            of Type 1 whose class is not stated it is 3.
        assigned: the class that is assigned, None where unknown or where no power is given.
        refused: whether it is certain that the port gives no power to this device.
        device_w: the most that the device may draw by the assigned class, as a range.
        reserved_w: what a source that reserves by class takes from its budget, as a range.
        pairs: pairs that carry power, as a range (the worse for loss is the lower).
        missing: values that are not known.
        pse_type: the type of the source, None where unknown.
        load_scheme: ``ieee`` or ``passive`` of the device, told in the same way; None where unknown.
        dual: whether the device has two signatures; its modes' classes are ``requested`` and ``second``.
        second: the class of its second mode, None where unknown or where it has none.
        second_w: what the second mode takes of the greatest draw, None where not stated.
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
    pse_type: int | None = None
    load_scheme: str | None = None
    dual: bool = False
    second: int | None = None
    second_w: float | None = None

    @property
    def demoted(self) -> bool:
        """Whether it is certain that the device gets a lower class than it asks for."""
        return self.demotion == "always"

    @property
    def demotion(self) -> Literal["never", "always", "unknown"]:
        """Whether the device gets a lower class than it asks for; unknown where one of the two is.

        A device with two signatures is demoted where its modes together get less than their classes' watts.
        """
        if self.refused or "passive" in (self.scheme, self.load_scheme):
            return "never"
        if self.requested is None or (self.dual and self.second is None):
            return "never" if not self.dual and self.port_class == max(poe.PD_CLASSES) else "unknown"
        if not isinstance(self.port_class, int):
            return "unknown"
        if self.dual and self.second is not None:
            first = max(1, min(self.requested, 5))
            asked_w = poe.dual_pd_watts(first) + poe.dual_pd_watts(self.second)
            return "never" if self.device_w.high >= asked_w else "always"
        return "always" if (self.assigned or 3) < (self.requested or 3) else "never"

    def heavier_share(self, load_w: float) -> float:
        """Return the most of a load that one of its powered pairsets may carry, as a share of the load.

        Of two signatures each has a pairset of its own and draws at most the watts of its class; how a load is
        split below that is as stated, else not known. 1 of a single signature: it draws from all powered pairs alike.
        """
        if not self.dual or load_w <= 0:
            return 1.0
        if self.second_w is not None and self.second_w <= load_w:
            return max(self.second_w, load_w - self.second_w) / load_w
        most = max(row.pd_class for row in poe.DUAL_SIGNATURE_TABLE.rows)
        first = most if self.requested is None else max(1, min(self.requested, most))
        heavier_w = max(
            poe.dual_pd_watts(first), poe.dual_pd_watts(most if self.second is None else self.second)
        )
        return max(0.5, min(1.0, heavier_w / load_w))

    def mode_shares(self, load_w: float) -> Span | None:
        """Return the share of a load that the heavier of two modes takes, each over a pairset of its own.

        From an even split where the split is not stated; None of a single signature, or over two pairs.
        """
        if not self.dual or self.pairs.low < 4:
            return None
        if math.isinf(load_w):
            return Span(0.5, 1.0)
        share = self.heavier_share(load_w)
        return Span(0.5 if self.second_w is None else share, share)

    def second_share(self, load_w: float) -> float | None:
        """Return the share of a load that the heavier of two modes takes, None where it is one load or not known."""
        if not self.dual or self.second_w is None or self.pairs.low < 4 or not 0 < self.second_w <= load_w:
            return None
        return self.heavier_share(load_w)

    @property
    def cap(self) -> int:
        """The highest class that the port can have: its own, else the highest of its type, else 8."""
        if isinstance(self.port_class, int):
            return self.port_class
        return max(poe.PD_CLASSES) if self.pse_type is None else poe.type_highest_class(self.pse_type)


def port_class_of(feed: Feed) -> tuple[int | str | None, Path]:
    """Return the highest class that the source of a feed gives, and where it is (or would be) written."""
    source = feed.source
    if feed.injector is not None:
        value = feed.injector.value("pse_class")
    elif feed.port is not None:
        value = feed.port.value("pse_class")
    else:
        return None, source_end(feed)
    if value.value is None and source is not None and source.value("pse", "type").value == 1:
        # A Type 1 source has one class of its own: it grants up to class 3.
        return poe.type_highest_class(1), value.at
    return value.value, value.at


def source_end(feed: Feed) -> Path:
    """Return the path of the end of a feed's run that is not at the load."""
    last = feed.run.to_port
    return (*feed.run.at, "from" if last is not None and last.gear is feed.load else "to")


def grant_of(feed: Feed) -> Grant:
    """Return what is asked for and what is assigned over a feed."""
    load = feed.load
    source = feed.source
    scheme = None if source is None else source.value("pse", "scheme").value
    pse_type = None if source is None else source.value("pse", "type").value
    requested = load.value(load.side, "pd_class")
    port_class, port_at = port_class_of(feed)
    if scheme is None and (pse_type is not None or isinstance(port_class, int)):
        scheme = "ieee"
    load_scheme = load.value(load.side, "scheme").value
    if load_scheme is None:
        if requested.value is not None:
            load_scheme = "ieee"
        elif load.value(load.side, "passive_v").value is not None:
            load_scheme = "passive"
    missing: list[Path] = []
    if requested.value is None:
        missing.append(requested.at)
    if port_class is None:
        missing.append(port_at)
    pairs = feed.run.value("pairs").value
    known = Grant(
        scheme, requested.value, port_class, None, False, _NOTHING, _NOTHING,
        Span(2, 2) if pairs is None else Span(pairs, pairs), tuple(missing), pse_type, load_scheme,
    )  # fmt: skip
    # A device without a signature gets nothing from a source that looks for one.
    if port_class == "none" or (scheme == "ieee" and load_scheme == "passive"):
        return known._replace(refused=True)
    if scheme == "passive" or load_scheme == "passive":
        either = Span(2, 4) if pairs is None else known.pairs
        return known._replace(device_w=Span(0.0, MOST_PD_W), pairs=either, missing=())
    second = load.value(load.side, "second_class")
    if second.value is not None or load.value(load.side, "signature").value == "dual":
        if second.value is None:
            missing.append(second.at)
        second_w = load.value(load.side, "second_w").value
        of_two = known._replace(dual=True, second=second.value, second_w=second_w, missing=tuple(missing))
        return _dual(of_two, pairs)
    return _single(known, pairs)


def _single(known: Grant, pairs: int | None) -> Grant:
    """Return the grant of a single-signature device, with what is known of both ends filled in."""
    assigned: int | None = None
    least: int | None = None
    most = known.cap
    if known.requested is not None:
        found = poe.demoted_class(known.requested, known.cap)
        if isinstance(known.port_class, int):
            if found is None:
                return known._replace(refused=True)
            assigned = least = found
        most = known.requested if found is None else found
    if pairs is not None:
        number = known.pairs
    elif assigned is not None:
        number = Span(poe.powered_pairs(assigned), poe.powered_pairs(assigned))
    else:
        number = Span(2, poe.powered_pairs(most))
    return known._replace(
        assigned=assigned,
        device_w=Span(
            0.0 if least is None else poe.pd_watts(least, known.pse_type), poe.pd_watts(most, known.pse_type)
        ),
        reserved_w=Span(0.0 if least is None else poe.pse_watts(least), poe.pse_watts(most)),
        pairs=number,
    )


def _dual(known: Grant, pairs: int | None) -> Grant:
    """Return the grant of a dual-signature device: a class for each mode, the port carries the sum."""
    classes = tuple(row.pd_class for row in poe.DUAL_SIGNATURE_TABLE.rows)
    firsts = classes if known.requested is None else (max(1, min(known.requested, 5)),)
    seconds = classes if known.second is None else (known.second,)
    least_w, most_w = math.inf, 0.0
    reserved_w = 0.0
    for first in firsts:
        for second in seconds:
            asked_w = poe.dual_pd_watts(first) + poe.dual_pd_watts(second)
            got_w = dual_granted_w(first, second, known.cap, known.pse_type)
            most_w = max(most_w, got_w)
            least_w = min(least_w, got_w if got_w == asked_w and isinstance(known.port_class, int) else 0.0)
            reserved_w = max(reserved_w, poe.dual_pse_watts(first) + poe.dual_pse_watts(second))
    reserved_w = min(reserved_w, poe.pse_watts(known.cap))
    two_pairs = known.pse_type is not None and poe.MOST_PAIRS[known.pse_type].value < 4
    number = known.pairs if pairs is not None or two_pairs else Span(4, 4)
    return known._replace(
        device_w=Span(least_w, most_w),
        reserved_w=Span(reserved_w if least_w > 0 and len(firsts) == len(seconds) == 1 else 0.0, reserved_w),
        pairs=number,
    )


def reserved_by(feed: Feed, grant: Grant, source_w: Span) -> Span:
    """Return what the source takes from its budget for a port, by how it reserves.

    By class: the watts of the assigned class. By cap: the cap; one that is not stated lies between the class
    and the most that any port gives. By negotiation: between what the device asks at most, with the loss, and
    its class. By measurement, and from a passive source, what flows. Where it is not known by which, by class or by a
    cap that is stated.
    """
    source = feed.source
    mode = None if source is None else source.value("pse", "reserves").value
    if grant.refused:
        return Span(0.0, 0.0)
    if mode == "measured" or grant.scheme == "passive":
        return source_w
    if mode == "cap":
        cap = None if feed.port is None else feed.port.value("cap_w").value
        if cap is None:
            return Span(min(source_w.low, grant.reserved_w.low), poe.pse_watts(max(poe.PD_CLASSES)))
        return Span(cap, cap)
    if mode == "negotiation":
        return Span(min(source_w.low, grant.reserved_w.low), max(grant.reserved_w.high, source_w.low))
    stated = None if mode is not None or feed.port is None else feed.port.value("cap_w").value
    if stated is not None:  # it may go by the cap that somebody set
        return Span(min(stated, grant.reserved_w.low), max(stated, grant.reserved_w.high))
    return grant.reserved_w


#: What is not known of a chain that is written to pass power through: not a value, but its solution as a whole.
JOINT_SOLUTION = "joint-solution"


def passing_on(source: Gear | InlineGear | None) -> Path | None:
    """Return what is not known of a source that passes its own feed on, None for one that converts.

    Such a source has no port voltage of its own: it follows from the load of the whole chain.
    """
    if isinstance(source, Gear) and source.feeds_in and source.has_inlet:
        return coupled_by(source)
    return None


def coupled_by(gear: Gear) -> Path | None:
    """Return whether it passes power through, where that is not stated, else the joint solution of its chain."""
    through = gear.value("inlet", "passes_through")
    if through.value is False:
        return None
    return through.at if through.value is None else (JOINT_SOLUTION, gear.id)


def source_volts(source: Gear | InlineGear | None, *, nominal: bool = False) -> tuple[Span, tuple[Path, ...]]:
    """Return the least voltage of a source: stated, else that of its type, else of any type; and what is missing.

    A source that passes its own feed on has anything up to the highest voltage of the standard. ``nominal``: the
    nominal voltage instead, as stated, else anything from the least to the highest voltage of its type.
    """
    least, missing = _least_volts(source)
    if not nominal or source is None or passing_on(source) is not None:
        return least, missing
    stated = source.value("pse", "nominal_v")
    if stated.value is not None:
        return Span(float(stated.value), float(stated.value)), ()
    most = math.inf if source.value("pse", "scheme").value == "passive" else max(_ANY_MAX_V)
    return Span(least.low, max(least.high, most)), (stated.at,)


def _least_volts(source: Gear | InlineGear | None) -> tuple[Span, tuple[Path, ...]]:
    if source is None:
        return Span(min(_ANY_MIN_V), max(_ANY_MIN_V)), ()
    passes = passing_on(source)
    if passes is not None:
        most = math.inf if source.value("pse", "scheme").value == "passive" else max(_ANY_MAX_V)
        return Span(0.0, most), (passes,)
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
