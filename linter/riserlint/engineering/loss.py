"""One powered link: a source of constant voltage, a resistance, and a device that draws constant power."""

import math
from collections.abc import Iterable
from typing import NamedTuple

from riserlint.standards import conductors, poe
from riserlint.standards.record import Limit


class Segment(NamedTuple):
    """A length of one cable: metres, and ohms per metre of one conductor at its temperature."""

    length_m: float
    conductor_ohm_per_m: float


class LinkState(NamedTuple):
    """The operating point of a link: volts at the source, current, what the device gets, what is lost."""

    volts: float
    current_a: float
    device_v: float
    device_w: float
    source_w: float
    loss_w: float


def pairset_ohm(loop_ohm_one_pair: float, pairs: int) -> float:
    """Return the resistance, out and back, that a load sees over the powered pairs.

    Over 2 pairs each way is two wires side by side, so R_loop / 2; over 4 pairs R_loop / 4.

    :param loop_ohm_one_pair: R_loop, the two wires of one pair in series, ohm
    :param pairs: pairs that carry power, 2 or 4
    :raises ValueError: for another number of pairs or a resistance below 0
    """
    _check_at_least_zero("loop resistance", loop_ohm_one_pair, "ohm")
    _check_pairs(pairs)
    return loop_ohm_one_pair / pairs


def link_loop_ohm(segments: Iterable[Segment], connections: int, *, inline_loop_ohm: float) -> float:
    """Return the loop resistance of one pair of a link, its two wires in series.

    Sum of 2 × length × r over the segments, plus 0.4 ohm per connection (0.2 ohm in each conductor),
    plus what inline gear adds. The 0.4 ohm is a limit value and is not corrected for temperature.

    :param segments: cable and cords, r being at the temperature of each
    :param connections: connections along the link
    :param inline_loop_ohm: loop resistance of surge protectors and the like, ohm
    :returns: ohm
    :raises ValueError: for a value below 0

    Source: ISO/IEC 11801:2002, the form of its permanent link formula (memory).
    """
    _check_at_least_zero("number of connections", connections, "")
    _check_at_least_zero("inline resistance", inline_loop_ohm, "ohm")
    total = inline_loop_ohm + 2 * conductors.CONTACT_OHM.value * connections
    for segment in segments:
        _check_at_least_zero("length", segment.length_m, "m")
        _check_at_least_zero("conductor resistance", segment.conductor_ohm_per_m, "ohm/m")
        total += 2 * segment.length_m * segment.conductor_ohm_per_m
    return total


def solve_link(source_v: float, ohm: float, device_w: float) -> LinkState | None:
    """Return the operating point of a link whose device draws constant power, or None if there is none.

    V I − R I² = P has the root on the high-voltage branch I = 2P / (V + √(V² − 4RP)), which also holds
    at R = 0. There is no operating point where V² < 4RP.

    :param source_v: V, volts held at the source
    :param ohm: R, resistance out and back over the powered pairs (see :func:`pairset_ohm`)
    :param device_w: P, watts that the device draws at its connector
    :raises ValueError: for a voltage that is not positive, or a resistance or power below 0
    """
    if not (0 < source_v < math.inf and 0 <= ohm < math.inf and 0 <= device_w < math.inf):
        _check_positive_volts(source_v)
        _check_at_least_zero("resistance", ohm, "ohm")
        _check_at_least_zero("power", device_w, "W")
    discriminant = source_v * source_v - 4 * ohm * device_w
    if discriminant < 0:
        return None
    root = math.sqrt(discriminant)
    current_a = 2 * device_w / (source_v + root)
    return LinkState(
        volts=source_v,
        current_a=current_a,
        device_v=(source_v + root) / 2,
        device_w=device_w,
        source_w=source_v * current_a,
        loss_w=current_a * current_a * ohm,
    )


def solve_modes(source_v: float, ohm: float, device_w: float, heavier: float) -> LinkState | None:
    """Return the operating point of a link to a device of two modes, or None if the heavier has none.

    Each mode is a load of its own over a pairset of its own: two links with one source, whose currents add up.
    The voltage at the device is that of the heavier mode.

    :param source_v: V, volts held at the source
    :param ohm: what the heavier mode's load sees: the resistance of its pairset, out and back, times ``heavier``
    :param device_w: P, watts of both modes together
    :param heavier: the share of P that the heavier mode draws, 0.5 to 1
    :raises ValueError: as :func:`solve_link`, and for a share outside these
    """
    if not 0.5 <= heavier <= 1:
        msg = f"the heavier of two modes draws 0.5 to 1 of their watts, not {heavier}"
        raise ValueError(msg)
    # s P over R is one current as P over s R is, s times as large.
    first = solve_link(source_v, ohm, device_w)
    second = solve_link(source_v, ohm * (1 - heavier) / heavier, device_w)
    if first is None or second is None:
        return None
    current_a = heavier * first.current_a + (1 - heavier) * second.current_a
    source_w = source_v * current_a
    return first._replace(current_a=current_a, source_w=source_w, loss_w=max(0.0, source_w - device_w))


def highest_ohm(source_v: float, device_w: float, least_device_v: float) -> float | None:
    """Return the highest resistance over which a device keeps its least voltage, or None if there is none.

    R = (V − Vd) Vd / P, Vd being the least voltage, but not below V / 2: there the link ends.

    :param source_v: V, volts held at the source
    :param device_w: P, watts at the device
    :param least_device_v: volts that the device must have
    :returns: ohm over the powered pairs; infinite for a device that draws nothing; None if even the
        source's own voltage is too low
    :raises ValueError: for a voltage that is not positive or a power below 0
    """
    _check_positive_volts(source_v)
    _check_positive_volts(least_device_v)
    _check_at_least_zero("power", device_w, "W")
    if least_device_v > source_v:
        return None
    if device_w == 0:
        return math.inf
    device_v = max(least_device_v, source_v / 2)
    return (source_v - device_v) * device_v / device_w


def highest_device_watts(
    source_v: float, ohm: float, least_device_v: float = poe.PD_OFF_VOLTS.value
) -> float | None:
    """Return the most watts that a device can draw with its least voltage left, or None if there are none.

    P = (V − Vd) Vd / R, Vd being the least voltage, but not below V / 2: there P is V² / 4R, the most
    that the link carries at all.

    :param source_v: V, volts held at the source
    :param ohm: R, resistance out and back over the powered pairs
    :param least_device_v: volts that the device must have; an IEEE 802.3 device is off at 30 V and below,
        so that the default is a limit that is approached and not reached
    :returns: watts at the device; infinite without resistance; None if even the source's own voltage is
        too low
    :raises ValueError: for a voltage that is not positive or a resistance below 0
    """
    _check_positive_volts(source_v)
    _check_positive_volts(least_device_v)
    _check_at_least_zero("resistance", ohm, "ohm")
    if least_device_v > source_v:
        return None
    if ohm == 0:
        return math.inf
    device_v = max(least_device_v, source_v / 2)
    return (source_v - device_v) * device_v / ohm


def device_watts_from_source_watts(source_v: float, ohm: float, source_w: float) -> float | None:
    """Return the watts that arrive of those that the source gives, or None beyond what the link carries.

    P_PD = P_PSE − I² R with I = P_PSE / V. This is the direction of the class table and of extended power.
    Beyond P_PSE = V² / 2R a further watt at the source lessens what arrives; no device works there.

    :param source_v: V, volts held at the source
    :param ohm: R, resistance out and back over the powered pairs
    :param source_w: P_PSE, watts at the source
    :raises ValueError: for a voltage that is not positive, or a resistance or power below 0
    """
    _check_positive_volts(source_v)
    _check_at_least_zero("resistance", ohm, "ohm")
    _check_at_least_zero("power", source_w, "W")
    current_a = source_w / source_v
    if 2 * current_a * ohm > source_v:
        return None
    return source_w - current_a * current_a * ohm


def current_per_conductor_a(current_a: float, pairs: int) -> float:
    """Return the current in each wire of balanced pairs: I / 2 over 2 pairs, I / 4 over 4.

    The current goes out on half the pairs and back on the other half, two wires to a pair.

    :raises ValueError: for a number of pairs other than 2 or 4 or a current below 0
    """
    _check_at_least_zero("current", current_a, "A")
    _check_pairs(pairs)
    return current_a / pairs


def current_per_pair_a(current_a: float, pairs: int) -> float:
    """Return the current in one pair, its two wires together: I over 2 pairs, I / 2 over 4.

    This is also the current of a pairset, as the same current goes out on one pair and back on another.

    :raises ValueError: as :func:`current_per_conductor_a`
    """
    return 2 * current_per_conductor_a(current_a, pairs)


def class_nominal_current_a(pd_class: int, pse_type: int) -> float:
    """Return the nominal current of a class: its watts at the source over the type's least voltage.

    :returns: total amperes, out (and back); divide with :func:`current_per_conductor_a`
    :raises ValueError: for a class or type that does not exist, or a class above the type's highest

    Source: IEEE Std 802.3-2022, class and type tables; the quotient is derived.
    """
    _check_class_of_type(pd_class, pse_type)
    return poe.pse_watts(pd_class) / poe.type_min_volts(pse_type)


def channel_least_volts(pd_class: int, pse_type: int, pairs: int | None = None) -> float:
    """Return the least voltage that a channel within the standard leaves at a device at its full class.

    V_PD = (V + √(V² − 4RP)) / 2 with the type's least voltage, the resistance that the standard assumes
    over the powered pairs, and the class's watts at the device. Below it the channel is worse than the
    standard's, though the device may still work.

    :param pd_class: assigned class, 0 to 8
    :param pse_type: type of the source, 1 to 4
    :param pairs: pairs that carry power; None for those that the class needs (2 up to class 4, 4 above)
    :returns: volts at the device
    :raises ValueError: for a class or type that does not exist, a class above the type's highest, fewer
        pairs than the class needs or more than the type powers

    Source: IEEE Std 802.3-2022, class and type tables; the voltage is derived.
    """
    _check_class_of_type(pd_class, pse_type)
    needed = poe.powered_pairs(pd_class)
    powered = needed if pairs is None else pairs
    if powered < needed:
        msg = f"class {pd_class} needs {needed} powered pairs, not {powered} ({poe.CLASS_TABLE.citation})"
        raise ValueError(msg)
    ohm = poe.assumed_loop_ohm(pse_type, powered)
    state = solve_link(poe.type_min_volts(pse_type), ohm, poe.pd_watts(pd_class, pse_type))
    if state is None:
        msg = f"class {pd_class} has no operating point over {ohm} ohm from a Type {pse_type} PSE"
        raise ValueError(msg)
    return state.device_v


def least_device_volts(pd_class: int) -> float:
    """Return the least voltage at which a device must work by its class alone, whatever feeds it.

    The lowest that any source and channel within the standard leave: the least of
    :func:`channel_least_volts` over the types that grant the class. A class 3 device must work at 37 V
    though it may never meet a Type 1 source.

    :param pd_class: class of the device, 0 to 8
    :returns: volts at the device
    :raises ValueError: for a class outside 0 to 8

    Source: IEEE Std 802.3-2022, class and type tables; the voltage is derived.
    """
    poe.pse_watts(pd_class)
    granting = (pse_type for pse_type in poe.PSE_TYPES if pd_class <= poe.type_highest_class(pse_type))
    return min(channel_least_volts(pd_class, pse_type) for pse_type in granting)


def least_mode_volts(pd_class: int) -> float:
    """Return the least voltage at which one mode of a dual-signature device must work by its class alone.

    Up to class 4 that of a device of one signature. Class 5 of a mode is granted by a Type 4 source alone, over
    one pairset: V = (52 + √(52² − 4 × 12.5 × 35.6)) / 2.

    :param pd_class: class of the mode, 1 to 5
    :returns: volts at the device
    :raises ValueError: for a class outside 1 to 5

    Source: IEEE Std 802.3-2022, clause 145, dual-signature table (memory); the voltage is derived.
    """
    device_w = poe.dual_pd_watts(pd_class)
    if pd_class < 5:
        return least_device_volts(pd_class)
    pse_type = max(poe.PSE_TYPES)
    state = solve_link(poe.type_min_volts(pse_type), poe.assumed_loop_ohm(pse_type, 2), device_w)
    if state is None:
        msg = f"class {pd_class} of a mode has no operating point ({poe.DUAL_SIGNATURE_TABLE.citation})"
        raise ValueError(msg)
    return state.device_v


def permitted_collapse_share() -> Limit:
    """Return the least share of its load at which a link that the standard permits collapses, as a record.

    A link ends at P = V² / 4R, so the share is V² / (4 R P), with the least voltage of a type, the resistance
    that the standard assumes over the pairs, and the watts of a class: the least over all types and classes.
    A class 8 device behind a Type 4 source has it: 52² / (4 × 6.25 × 71.3) = 1.52.

    Source: IEEE Std 802.3-2022, class and type tables; the share is derived.
    """
    least = min(
        poe.type_min_volts(pse_type) ** 2
        / (4 * poe.assumed_loop_ohm(pse_type, poe.powered_pairs(pd_class)) * poe.pd_watts(pd_class, pse_type))
        for pse_type in poe.PSE_TYPES
        for pd_class in poe.PD_CLASSES
        if pd_class <= poe.type_highest_class(pse_type)
    )
    return Limit(
        name="least share of its load at which a permitted channel collapses",
        value=least,
        unit="of the load",
        citation=poe.CLASS_TABLE.citation,
        known="derived",
        source="V² / (4 R P), the least over the classes and types of the standard",
        note="Class 8 behind a Type 4 source: 52² / (4 × 6.25 × 71.3).",
    )


def _check_class_of_type(pd_class: int, pse_type: int) -> None:
    poe.pse_watts(pd_class)
    highest = poe.type_highest_class(pse_type)
    if pd_class > highest:
        msg = f"a Type {pse_type} PSE grants no class {pd_class}; its highest is {highest}"
        raise ValueError(msg)


def _check_pairs(pairs: int) -> None:
    if pairs not in (2, 4):
        msg = f"power runs over 2 or 4 pairs, not {pairs}"
        raise ValueError(msg)


def _check_positive_volts(volts: float) -> None:
    if not 0 < volts < math.inf:
        msg = f"voltage {volts} V is not a finite number above 0"
        raise ValueError(msg)


def _check_at_least_zero(name: str, value: float, unit: str) -> None:
    if not 0 <= value < math.inf:
        msg = f"{name} {value} {unit}".rstrip() + " is not a finite number of 0 or more"
        raise ValueError(msg)
