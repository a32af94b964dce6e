"""The inrush of a device: how long it lasts where its source limits the current."""

from riserlint.engineering.span import refuse_unless


def limited_ms(inrush_a: float, inrush_ms: float, limit_a: float) -> float:
    """Return how long an inrush lasts at a source that limits its current, ms.

    The same charge has to flow: t = inrush time × inrush current / limit, and no less than the inrush time.

    :param inrush_a: current of the device's inrush from a source that does not limit it, A
    :param inrush_ms: how long it lasts then, ms
    :param limit_a: what the source limits to, A
    :raises ValueError: a current that is not above 0, a time below 0

    Source: derived (charge of the device's capacitance, taken as independent of how it is charged).
    """
    refuse_unless(inrush_a > 0, "inrush", inrush_a, "A", "above 0")
    refuse_unless(limit_a > 0, "limit", limit_a, "A", "above 0")
    refuse_unless(inrush_ms >= 0, "time of inrush", inrush_ms, "ms", "0 or more")
    return inrush_ms * max(1.0, inrush_a / limit_a)
