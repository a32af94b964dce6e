"""What a class means in watts, what two signatures get from a port, what is left without negotiation."""

from itertools import product

from riserlint.standards import poe
from riserlint.standards.record import Limit

_LEAST_PSE_W = dict(poe.LOW_CLASS_PSE_WATTS.rows)
_ASSIGNED_BY_EVENTS = {row.events: row.assigned_class for row in poe.DEMOTION_TABLE.rows}
_STEPS = frozenset(_ASSIGNED_BY_EVENTS.values())
_DUAL_CLASSES = tuple(row.pd_class for row in poe.DUAL_SIGNATURE_TABLE.rows)


def rank(pd_class: int) -> int:
    """Return a class for comparing: class 0 counts as class 3, every other class as itself."""
    return pd_class or 3


def class_limit(pd_class: int, pse_type: int | None) -> Limit:
    """Return the most watts that a device of a single-signature class may draw, as a record.

    :param pd_class: 0 to 8
    :param pse_type: type of the source, 1 to 4; None where not known (class 3: the 13.0 W of clause 145)
    :raises ValueError: for a class or a type outside these

    Source: class table of IEEE Std 802.3-2022 (published).
    """
    table = poe.CLASS_TABLE
    return Limit(
        f"most watts at a device of class {pd_class}",
        poe.pd_watts(pd_class, pse_type),
        "W",
        table.citation,
        table.known,
        table.source,
        table.note,
    )


def dual_limit(first: int, second: int) -> Limit:
    """Return the most watts that a dual-signature device may draw over both modes, as a record.

    :param first: class of one mode, 1 to 5
    :param second: class of the other mode, 1 to 5
    :raises ValueError: for a class outside these

    Source: dual-signature table of IEEE Std 802.3-2022, clause 145 (memory).
    """
    table = poe.DUAL_SIGNATURE_TABLE
    return Limit(
        f"most watts at a dual-signature device of classes {first}D and {second}D",
        poe.dual_pd_watts(first) + poe.dual_pd_watts(second),
        "W",
        table.citation,
        table.known,
        table.source,
        table.note,
    )


def mode_limit(pd_class: int) -> Limit:
    """Return the most watts that one mode of a dual-signature device may draw, as a record.

    :param pd_class: class of the mode, 1 to 5
    :raises ValueError: for a class outside these

    Source: dual-signature table of IEEE Std 802.3-2022, clause 145 (memory).
    """
    table = poe.DUAL_SIGNATURE_TABLE
    return Limit(
        f"most watts at a mode of class {pd_class}D",
        poe.dual_pd_watts(pd_class),
        "W",
        table.citation,
        table.known,
        table.source,
        table.note,
    )


def granted_limit(requested: int, port_class: int, pse_type: int | None) -> Limit:
    """Return the watts that a device asks for by its class, as a record that says how the shortfall is known.

    Where the port's own class is what the device gets, the class table is enough (published). Where the
    device gets less than that, or nothing, the number of class events decides, which is from memory.

    :param requested: class asked for, 0 to 8
    :param port_class: highest class of the port, 0 to 8
    :raises ValueError: for a class or a type outside these
    """
    limit = class_limit(requested, pse_type)
    assigned = poe.demoted_class(requested, port_class)
    if assigned is not None and rank(assigned) in {rank(port_class), rank(requested)}:
        return limit
    table = poe.DEMOTION_TABLE
    return limit._replace(citation=table.citation, known=table.known, source=table.source)


def unnegotiated_class(requested: int) -> int:
    """Return the highest class that a device keeps if nobody answers the negotiation that it depends on.

    Meant is data link negotiation. A device of class 5 or higher stays at what two class events assign
    (class 4), one of class 4 at what one event assigns (class 3); classes 0 to 3 keep their class.

    :raises ValueError: for a class outside 0 to 8

    Source: events and classes of IEEE Std 802.3-2022, clauses 33 and 145 (memory).
    """
    one, two = _ASSIGNED_BY_EVENTS[1], _ASSIGNED_BY_EVENTS[2]
    poe.powered_pairs(requested)  # refuses what is no class
    if rank(requested) <= one:
        return requested
    return two if requested > two else one


def dual_granted_w(first: int, second: int, port_class: int, pse_type: int | None) -> float:
    """Return the most watts that a dual-signature device gets from a port, at the device.

    Each mode gets the class that it asks for, or a lower one that fewer class events assign (4 or 3), or
    nothing, so that both together stay within the watts of the port's class; the best such pair is returned.
    A source of Type 1 or 2 powers two pairs, hence one mode.

    :param first: class that one mode asks for, 1 to 5
    :param second: class that the other mode asks for, 1 to 5
    :param port_class: highest class of the port, 0 to 8
    :param pse_type: type of the source, None where it is not known (taken as one that powers four pairs)
    :raises ValueError: for a class or a type outside these

    Source: IEEE Std 802.3-2022, clause 145, and its least PSE output for low classes (memory).
    """
    return max(sum(watts) for watts in _dual_grants(first, second, port_class, pse_type))


def dual_granted_bears(
    first: int, second: int, port_class: int, pse_type: int | None, modes_w: tuple[float, float]
) -> bool:
    """Return whether one of the grants that give most bears what each mode draws, at the device.

    :param modes_w: watts of the first mode and of the second; the rest as in :func:`dual_granted_w`
    :raises ValueError: for a class or a type outside these

    Source: as :func:`dual_granted_w`.
    """
    grants = _dual_grants(first, second, port_class, pse_type)
    most = max(sum(watts) for watts in grants)
    return any(
        all(need <= have for need, have in zip(modes_w, watts)) for watts in grants if sum(watts) == most
    )


def _dual_grants(first: int, second: int, port_class: int, pse_type: int | None) -> list[tuple[float, float]]:
    """Return the watts of both modes, at the device, in every grant that the port has for them; nothing first."""
    two_pairs = pse_type is not None and poe.MOST_PAIRS[pse_type].value < 4
    most_pse_w = poe.pse_watts(port_class)
    found = [(0.0, 0.0)]
    for one, other in product(_mode_options(first), _mode_options(second)):
        if two_pairs and one and other:
            continue
        if _mode_pse_w(one) + _mode_pse_w(other) <= most_pse_w:
            found.append((_mode_pd_w(one), _mode_pd_w(other)))
    return found


def _mode_options(asked: int) -> tuple[int, ...]:
    """Return what a mode may be assigned; 0 is nothing."""
    poe.dual_pd_watts(asked)  # refuses what is no class
    return (0, *(step for step in _DUAL_CLASSES if step == asked or (step < asked and step in _STEPS)))


def _mode_pd_w(assigned: int) -> float:
    return poe.dual_pd_watts(assigned) if assigned else 0.0


def _mode_pse_w(assigned: int) -> float:
    return _LEAST_PSE_W.get(assigned, poe.dual_pse_watts(assigned)) if assigned else 0.0


def least_type(pd_class: int) -> int:
    """Return the lowest type of source that grants a class.

    :raises ValueError: for a class outside 0 to 8

    Source: highest class of each type, IEEE Std 802.3-2022, clauses 33 and 145 (published).
    """
    poe.powered_pairs(pd_class)  # refuses what is no class
    return next(pse_type for pse_type in poe.PSE_TYPES if poe.type_highest_class(pse_type) >= rank(pd_class))


def least_class(draw_w: float, pse_type: int | None) -> int | None:
    """Return the lowest single-signature class that carries a draw, None where no class does.

    :param draw_w: the most that the device draws, W
    :param pse_type: type of the source, None where it is not known
    """
    carrying = [
        pd_class for pd_class in poe.PD_CLASSES if pd_class and poe.pd_watts(pd_class, pse_type) >= draw_w
    ]
    return min(carrying, default=None)


def least_port_class(first: int, second: int) -> int | None:
    """Return the lowest class of a four-pair port that carries both modes of a dual-signature device in full.

    :raises ValueError: for a class outside 1 to 5

    Source: as :func:`dual_granted_w`.
    """
    asked_w = poe.dual_pd_watts(first) + poe.dual_pd_watts(second)
    carrying = [
        port for port in poe.PD_CLASSES if port and dual_granted_w(first, second, port, None) >= asked_w
    ]
    return min(carrying, default=None)
