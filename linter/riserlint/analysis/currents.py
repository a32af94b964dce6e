"""The currents of a feed that count: the highest for heat, the nominal one for the code's ampacity."""

import math
from functools import lru_cache
from typing import NamedTuple

from riserlint.analysis.power import FeedPower
from riserlint.engineering.loss import LinkState, class_nominal_current_a
from riserlint.engineering.span import Span
from riserlint.standards import poe
from riserlint.standards.heat import UNBALANCED_PAIRSET


class NominalSupply(NamedTuple):
    """What a source supplies over one cable by the assigned class, as ranges.

    ``watts`` at the source; ``conductor_a`` the nominal current of each wire that carries it; ``pairs`` the
    pairs that do.
    """

    watts: Span
    conductor_a: Span
    pairs: Span


def nominal_supply(power: FeedPower) -> NominalSupply:
    """Return the nominal supply of a feed.

    The watts of the assigned class over the least voltage of the source's type (of any type that grants it,
    where not known), shared by the wires of the powered pairs. A passive source has no class: its computed
    maximum.
    """
    grant = power.grant
    if grant.refused:
        return NominalSupply(Span(0.0, 0.0), Span(0.0, 0.0), grant.pairs)
    if "passive" in (grant.scheme, grant.load_scheme):
        low_a = 0.0 if power.best is None else power.best.current_a / grant.pairs.high
        return NominalSupply(
            power.source_w, Span(low_a, most_current_a(power) / grant.pairs.low), grant.pairs
        )
    if grant.dual:
        # Each mode has a pairset, two wires out and two back, of its own.
        most_w = max(poe.dual_pse_watts(row.pd_class) for row in poe.DUAL_SIGNATURE_TABLE.rows)
        volts = min(poe.type_min_volts(pse_type) for pse_type in poe.PSE_TYPES if pse_type > 2)
        return NominalSupply(
            grant.reserved_w, Span(0.0, min(most_w, grant.reserved_w.high) / volts / 2), grant.pairs
        )
    return NominalSupply(
        *_of_class(grant.assigned, grant.reserved_w, grant.pse_type, grant.pairs), grant.pairs
    )


@lru_cache(maxsize=256)  # the feeds of a design are of few kinds
def _of_class(
    assigned: int | None, reserved_w: Span, of_type: int | None, on_pairs: Span
) -> tuple[Span, Span]:
    """Return watts and amperes per conductor of a class; of those that may be assigned where that is not known."""
    classes = (assigned,) if assigned is not None else _classes(reserved_w)
    watts = [poe.pse_watts(pd_class) for pd_class in classes]
    amps = [
        class_nominal_current_a(pd_class, pse_type) / pairs
        for pd_class in classes
        for pse_type in _types(pd_class, of_type)
        for pairs in {int(pairs) for pairs in on_pairs if assigned is not None or pd_class <= 4 or pairs == 4}
    ]
    least_w = reserved_w.low if assigned is None else min(watts)
    return Span(least_w, max(watts)), Span(min(amps) if least_w else 0.0, max(amps))


def _classes(reserved_w: Span) -> tuple[int, ...]:
    """Return the classes whose watts lie in a range."""
    return tuple(c for c in poe.PD_CLASSES if reserved_w.low <= poe.pse_watts(c) <= reserved_w.high) or (0,)


def _types(pd_class: int, pse_type: int | None) -> tuple[int, ...]:
    """Return the type of the source, or where not known (or not able to) those that grant a class."""
    granting = tuple(t for t in poe.PSE_TYPES if pd_class <= poe.type_highest_class(t))
    return (pse_type,) if pse_type in granting else granting


def most_current_a(power: FeedPower) -> float:
    """Return the highest current of a feed, infinite where nothing bounds it.

    Where the operating point at the worst is not known (a length or cords are missing) the device is on only
    above 30 V, so that its current is below its watts / 30 V. A load that has no bound is cut off by its
    source above the watts of its class.
    """
    if power.worst is not None:
        return power.worst.current_a
    load = power.feed.load
    if "passive" in (power.grant.scheme, power.grant.load_scheme):
        least_v = load.value(load.side, "min_v").value
    else:
        least_v = poe.PD_OFF_VOLTS.value
    watts = power.load_w.high if math.isfinite(power.load_w.high) else power.grant.device_w.high
    return math.inf if least_v is None else watts / float(least_v)


def unevenness(power: FeedPower, pairs: int) -> float:
    """Return by how much the current that counts for heat can exceed the even share, over all conductors.

    With a share d more on one pairset and less on the other, heat grows by 1 + d², the current that gives it
    by the root of that.
    """
    if not power.grant.dual:
        return class_unevenness(power.grant.assigned, pairs)
    return math.sqrt(1.0 + heavier_excess(power, pairs).high ** 2)


def least_unevenness(power: FeedPower, pairs: int) -> float:
    """Return by how much that current exceeds the even share at the least: 1 but for two modes of known watts."""
    if not power.grant.dual or not power.load_w.known:
        return 1.0
    return math.sqrt(1.0 + heavier_excess(power, pairs).low ** 2)


def heavier_excess(power: FeedPower, pairs: int) -> Span:
    """Return by what share the heavier pairset may carry more than half of a feed's current.

    Of one signature by the unbalance that its class allows. Of two each pairset has a load of its own, so that it
    is their split that counts: as stated, else anything from even to the heavier class.
    """
    shares = power.modes if pairs == 4 else None
    if shares is None:
        most = pairset_excess(power.grant.assigned, pairs)
        return Span(most, most)
    return Span(_excess(shares.low, power.best), _excess(shares.high, power.worst))


def _excess(share: float, state: LinkState | None) -> float:
    """Return the same at an operating point: the heavier mode has the lower voltage, so more than its watts' share."""
    if state is None or not 0 < state.current_a < math.inf:
        return 2.0 * share - 1.0
    return min(1.0, 2.0 * share * state.device_w / state.device_v / state.current_a - 1.0)


@lru_cache(maxsize=64)
def class_unevenness(assigned: int | None, pairs: int) -> float:
    """Return the same by class alone; of a class that is not listed, the most of all.

    Source: IEEE Std 802.3-2022, Table 145-16 (memory).
    """
    return math.sqrt(1.0 + pairset_excess(assigned, pairs) ** 2)


@lru_cache(maxsize=64)
def pairset_excess(assigned: int | None, pairs: int) -> float:
    """Return by what share the heavier pairset may carry more than half; of a class not listed, the most of all.

    0 over two pairs, where there is one pairset.

    Source: IEEE Std 802.3-2022, Table 145-16 (memory).
    """
    if pairs == 2:
        return 0.0
    shares = {
        row.pd_class: row.pairset_a
        / (class_nominal_current_a(row.pd_class, 3 if row.pd_class <= 6 else 4) / 2)
        - 1.0
        for row in UNBALANCED_PAIRSET.rows
    }
    return shares.get(-1 if assigned is None else assigned, max(0.0, *shares.values()))
