"""The remote powering category that the currents of a bundle need, by European installation standards."""

import math

from riserlint.analysis.bundle_load import MOST_CABLES
from riserlint.analysis.currents import most_current_a
from riserlint.analysis.heat import BundleHeat
from riserlint.analysis.power import Power
from riserlint.engineering.span import Span
from riserlint.standards.heat import REMOTE_POWERING


def mean_current_ma(power: Power, state: BundleHeat) -> Span:
    """Return the mean current of all conductors of a bundle, those of dark cables counted, in mA.

    What goes out over a cable comes back over it, so that its eight wires carry twice its current together.
    Cables that are not in the file: from nothing to the worst that they may carry. Infinite where not bounded.
    """
    low = high = 0.0
    for run in state.live:
        feed = power.feeds[run.id]
        low += 2 * (0.0 if feed.best is None else feed.best.current_a)
        high += 2 * most_current_a(feed)
    others = state.cables.high - len({member.run.id for member in state.bundle.members})
    if state.other is not None:
        high += others * state.other.live_conductors * state.other.current_a
    if math.isinf(high):
        return Span(0.0, math.inf)
    dark = state.cables.high if math.isfinite(state.cables.high) else MOST_CABLES
    return Span(1000 * low / (8 * dark), 1000 * high / (8 * state.cables.low))


def category_words(mean_ma: Span) -> str:
    """Return the remote powering category that currents need, ``RP1 to RP2`` where it is not known which.

    Source: EN 50174-2 and ISO/IEC 14763-2 (the currents from memory).
    """

    def category(current_ma: float) -> str:
        fitting = (row.category for row in REMOTE_POWERING.rows if current_ma <= row.up_to_ma)
        return next(fitting, "above RP3")

    low, high = category(mean_ma.low), category(mean_ma.high)
    return low if low == high else f"{low} to {high}"
