"""What a class means, what two signatures get from a port, and what is left without negotiation."""

import pytest

from riserlint.engineering import granting
from riserlint.standards import poe

#: Watts at the device, classes 1 to 8: trade association white paper "Overview of 802.3bt", April 2018
#: (docslib.org/doc/13215261); 12.95 W of clause 33: a maker's note that restates the standard.
PUBLISHED_W = {1: 3.84, 2: 6.49, 3: 13.0, 4: 25.5, 5: 40.0, 6: 51.0, 7: 62.0, 8: 71.3}


@pytest.mark.parametrize(("pd_class", "watts"), PUBLISHED_W.items())
def test_the_watts_of_a_class_are_the_published_ones(pd_class: int, watts: float) -> None:
    limit = granting.class_limit(pd_class, 3)
    assert (limit.value, limit.unit, limit.known) == (watts, "W", "published")


def test_class_3_is_12_95_watts_from_a_source_of_clause_33() -> None:
    assert granting.class_limit(3, 1).value == granting.class_limit(0, 2).value == 12.95


@pytest.mark.parametrize(("pd_class", "watts"), PUBLISHED_W.items())
def test_the_least_class_for_a_draw_is_the_one_whose_watts_it_just_fills(pd_class: int, watts: float) -> None:
    assert granting.least_class(watts, 3) == pd_class
    assert granting.least_class(watts + 0.01, 3) == (pd_class + 1 if pd_class < 8 else None)


@pytest.mark.parametrize(
    ("pd_class", "pse_type"), [(0, 1), (1, 1), (3, 1), (4, 2), (5, 3), (6, 3), (7, 4), (8, 4)]
)
def test_the_least_type_for_a_class(pd_class: int, pse_type: int) -> None:
    """Highest classes 3, 4, 6 and 8 of Types 1 to 4: the same white paper."""
    assert granting.least_type(pd_class) == pse_type


@pytest.mark.parametrize(
    ("requested", "port", "known"),
    [(6, 4, "published"), (4, 4, "published"), (8, 7, "memory"), (6, 5, "memory"), (3, 2, "memory")],
)
def test_only_what_the_class_events_decide_rests_on_memory(requested: int, port: int, known: str) -> None:
    assert granting.granted_limit(requested, port, 3).known == known


@pytest.mark.parametrize(("requested", "kept"), [(0, 0), (1, 1), (3, 3), (4, 3), (5, 4), (6, 4), (8, 4)])
def test_what_a_device_keeps_without_negotiation(requested: int, kept: int) -> None:
    """One event assigns class 3 at most, two events class 4: IEEE Std 802.3-2022, from memory."""
    assert granting.unnegotiated_class(requested) == kept


@pytest.mark.parametrize(
    ("first", "second", "port", "pse_type", "watts"),
    [
        (4, 4, 6, 3, 51.0),  # 30 + 30 W at the source of the 60 W of class 6
        (5, 5, 8, 4, 71.2),  # 45 + 45 W of 90 W
        (5, 4, 7, 4, 61.1),  # 45 + 30 W of 75 W
        (3, 3, 4, 3, 26.0),  # 14 + 14 W of 30 W
        (5, 5, 6, 3, 51.0),  # both modes go down to 4
        (5, 5, 7, 4, 61.1),  # one of them does
        (4, 4, 5, 3, 38.5),  # 30 + 14 W of 45 W
        (4, 4, 4, 2, 25.5),  # two pairs: one mode
        (4, 3, 3, 1, 13.0),  # two pairs, class 3
        (2, 1, 2, 3, 6.49),  # 6.7 + 4 W are over 7 W
        (1, 1, 1, 3, 3.84),
    ],
)
def test_two_signatures_share_the_watts_of_the_port(
    first: int, second: int, port: int, pse_type: int, watts: float
) -> None:
    """Watts of dual-signature classes, 3.84, 6.49, 13.0, 25.5 and 35.6 W at a mode: from memory."""
    assert granting.dual_granted_w(first, second, port, pse_type) == pytest.approx(watts)
    assert granting.dual_granted_w(second, first, port, pse_type) == pytest.approx(watts)


@pytest.mark.parametrize(("first", "second", "port"), [(1, 1, 3), (3, 3, 4), (4, 3, 5), (4, 4, 6), (5, 5, 8)])
def test_the_least_port_for_two_signatures(first: int, second: int, port: int) -> None:
    assert granting.least_port_class(first, second) == port
    asked = granting.dual_limit(first, second).value
    assert granting.dual_granted_w(first, second, port, None) == pytest.approx(asked)
    assert granting.dual_granted_w(first, second, port - 1, None) < asked


@pytest.mark.parametrize("port", poe.PD_CLASSES)
def test_two_signatures_never_get_more_than_they_ask_nor_than_a_single_signature_may_draw(port: int) -> None:
    for first in range(1, 6):
        for second in range(1, 6):
            got = granting.dual_granted_w(first, second, port, None)
            assert got <= granting.dual_limit(first, second).value
            # Two pairsets of low class lose less than one: 26.0 W of two class 3 modes against 25.5 W.
            assert got <= poe.pd_watts(port, None) + 0.5 or (first, second) == (1, 1)


@pytest.mark.parametrize(
    "call",
    [
        lambda: granting.class_limit(9, None),
        lambda: granting.class_limit(3, 5),
        lambda: granting.unnegotiated_class(9),
        lambda: granting.least_type(-1),
        lambda: granting.dual_limit(6, 1),
        lambda: granting.dual_granted_w(0, 1, 4, 3),
        lambda: granting.dual_granted_w(1, 1, 9, 3),
    ],
)
def test_what_is_no_class_or_type_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match="is not one of"):
        call()
