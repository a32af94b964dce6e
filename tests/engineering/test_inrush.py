"""Inrush at a source that limits its current: the same charge takes longer."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserlint.engineering.inrush import limited_ms
from riserlint.standards import poe


@pytest.mark.parametrize(
    ("amperes", "ms", "limit", "lasts"),
    [(2, 10, 0.4, 50), (0.3, 60, 0.4, 60), (0.4, 5, 0.4, 5), (5, 0, 0.4, 0)],
)
def test_by_hand(amperes: float, ms: float, limit: float, lasts: float) -> None:
    assert limited_ms(amperes, ms, limit) == pytest.approx(lasts)


def test_a_capacitance_of_180_microfarad_is_charged_in_time() -> None:
    """180 µF (the most that a device may have without limiting its inrush itself, from memory) at 57 V: 10.3 mC."""
    millicoulomb = 180e-6 * 57 * 1000
    assert limited_ms(2, millicoulomb / 2, 0.4) == pytest.approx(25.65)
    assert limited_ms(2, millicoulomb / 2, 0.4) < poe.INRUSH_LEAST_MS.value


@given(st.floats(0.01, 100), st.floats(0, 1000), st.floats(0.01, 10))
def test_the_charge_is_kept_and_it_never_gets_faster(amperes: float, ms: float, limit: float) -> None:
    lasts = limited_ms(amperes, ms, limit)
    assert lasts >= ms
    assert lasts * min(limit, amperes) == pytest.approx(amperes * ms)


@pytest.mark.parametrize("values", [(0, 1, 1), (1, -1, 1), (1, 1, 0)])
def test_what_is_no_inrush_is_refused(values: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="outside"):
        limited_ms(*values)


def test_limits_by_class_from_memory() -> None:
    assert [poe.inrush_amperes(pd_class) for pd_class in (0, 4, 6, 8)] == [
        (0.4, 0.45),
        (0.4, 0.45),
        (0.4, 0.9),
        (0.8, 0.9),
    ]
    assert (poe.INRUSH_LEAST_MS.value, poe.INRUSH_MOST_MS.value) == (50, 75)
    with pytest.raises(ValueError, match="class"):
        poe.inrush_amperes(9)
