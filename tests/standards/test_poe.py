"""Look-ups of the PoE tables: demotion, events, refusals, and agreement of the tables with one another."""

import pytest

from riserlint.standards import poe


@pytest.mark.parametrize(
    ("requested", "cap", "assigned"),
    [
        (0, 3, 0),
        (3, 0, 3),
        (2, 8, 2),
        (5, 5, 5),
        (8, 8, 8),
        (8, 7, 6),
        (7, 6, 6),
        (8, 5, 4),
        (6, 5, 4),
        (5, 4, 4),
        (8, 3, 3),
        (4, 0, 3),
        (4, 2, None),
        (3, 2, None),
        (0, 2, None),
        (2, 1, None),
    ],
)
def test_demotion_goes_only_by_the_steps_of_the_class_events(
    requested: int, cap: int, assigned: int | None
) -> None:
    """Steps 3, 4 and 6 for 1, 2 or 3, and 4 events: IEEE Std 802.3-2022 clause 145, from memory."""
    assert poe.demoted_class(requested, cap) == assigned


@pytest.mark.parametrize("requested", poe.PD_CLASSES)
@pytest.mark.parametrize("cap", poe.PD_CLASSES)
def test_demotion_never_gives_more_than_asked_or_than_the_port_has(requested: int, cap: int) -> None:
    assigned = poe.demoted_class(requested, cap)
    least_w = min(poe.pse_watts(requested), poe.pse_watts(cap))
    if assigned is None:
        assert poe.pse_watts(cap) < poe.pse_watts(3)
        assert poe.pse_watts(requested) > poe.pse_watts(cap)
    else:
        assert poe.pse_watts(assigned) <= least_w


@pytest.mark.parametrize(
    ("pd_class", "pse_type", "events"),
    [(0, 1, 1), (3, 4, 1), (4, 2, 2), (4, 3, 3), (5, 3, 4), (6, 4, 4), (7, 4, 5), (8, 4, 5)],
)
def test_events_that_grant_a_class(pd_class: int, pse_type: int, events: int) -> None:
    """IEEE Std 802.3-2022, Tables 145-11 to 145-13, from memory."""
    assert poe.granting_events(pd_class, pse_type) == events


@pytest.mark.parametrize("pse_type", [3, 4])
def test_the_events_that_grant_a_class_do_not_demote_it(pse_type: int) -> None:
    most = {row.events: row.assigned_class for row in poe.DEMOTION_TABLE.rows}
    for pd_class in range(poe.type_highest_class(pse_type) + 1):
        assert pd_class <= most[poe.granting_events(pd_class, pse_type)]


def test_class_three_takes_less_from_the_older_clause() -> None:
    """12.95 W: a maker's note that restates clause 33; 13.0 W: trade association overview, April 2018."""
    for pd_class in (0, 3):
        assert [poe.pd_watts(pd_class, pse_type) for pse_type in (1, 2, 3, 4)] == [12.95, 12.95, 13.0, 13.0]
        assert poe.pd_watts(pd_class, None) == 13.0


@pytest.mark.parametrize("pd_class", poe.PD_CLASSES)
def test_peak_is_the_class_watts_times_its_factor(pd_class: int) -> None:
    """1.11 times for class 4, 1.05 times above, less than a third more below; from memory."""
    watts, peak = poe.pd_watts(pd_class, 3), poe.peak_watts(pd_class)
    if pd_class >= 5:
        assert peak == pytest.approx(1.05 * watts, abs=0.05 + 1e-9)
    elif pd_class == 4:
        assert peak == pytest.approx(1.11 * watts, abs=0.05)
    else:
        assert watts < peak < watts * 4 / 3


@pytest.mark.parametrize("pd_class", [1, 2, 3, 4])
def test_one_mode_of_a_dual_signature_device_takes_what_the_single_class_takes(pd_class: int) -> None:
    assert poe.dual_pse_watts(pd_class) == poe.pse_watts(pd_class)
    assert poe.dual_pd_watts(pd_class) == poe.pd_watts(pd_class, 3)


def test_types_are_told_apart_by_volts_class_pairs_and_cabling() -> None:
    """Volts and classes: a maker's note and a distributor's table that restate IEEE Std 802.3."""
    types = poe.PSE_TYPES
    assert [poe.type_min_volts(pse_type) for pse_type in types] == [44, 50, 50, 52]
    assert [poe.type_max_volts(pse_type) for pse_type in types] == [57, 57, 57, 57]
    assert [poe.type_highest_class(pse_type) for pse_type in types] == [3, 4, 6, 8]
    assert [poe.type_least_category(pse_type) for pse_type in types] == [3, 5, 5, 5]
    assert [poe.assumed_loop_ohm(pse_type, 2) for pse_type in types] == [20, 12.5, 12.5, 12.5]
    assert [poe.assumed_loop_ohm(pse_type, 4) for pse_type in (3, 4)] == [6.25, 6.25]


@pytest.mark.parametrize("pse_type", poe.PSE_TYPES)
def test_the_highest_class_of_a_type_needs_no_more_pairs_than_it_powers(pse_type: int) -> None:
    assert poe.powered_pairs(poe.type_highest_class(pse_type)) == poe.MOST_PAIRS[pse_type].value


def test_what_does_not_exist_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="PD class 9 is not one of 0 to 8"):
        poe.pse_watts(9)
    with pytest.raises(ValueError, match="PD class -1 is not one of 0 to 8"):
        poe.demoted_class(8, -1)
    with pytest.raises(ValueError, match="dual-signature class 6 is not one of 1 to 5"):
        poe.dual_pd_watts(6)
    with pytest.raises(ValueError, match="PSE type 5 is not one of 1 to 4"):
        poe.pd_watts(3, 5)
    with pytest.raises(ValueError, match="a Type 2 PSE does not power 4 pairs"):
        poe.assumed_loop_ohm(2, 4)
    with pytest.raises(ValueError, match="a Type 3 PSE does not power 3 pairs"):
        poe.assumed_loop_ohm(3, 3)
    with pytest.raises(ValueError, match="a Type 1 PSE grants no class 4; its highest is 3"):
        poe.granting_events(4, 1)


def test_a_value_that_is_only_remembered_says_so() -> None:
    limits = [
        *poe.PSE_MIN_VOLTS.values(),
        *poe.PSE_MAX_VOLTS.values(),
        *poe.PD_MIN_VOLTS_AT_HIGHEST_CLASS.values(),
        *poe.NOMINAL_PAIRSET_AMPERES.values(),
        *poe.ASSUMED_PAIRSET_OHM.values(),
        *poe.HIGHEST_CLASS.values(),
        *poe.MOST_PAIRS.values(),
        *poe.LEAST_CATEGORY.values(),
    ]
    assert len(limits) == 8 * len(poe.PSE_TYPES)
    for limit in limits:
        assert limit.source
        assert ("recalled" in limit.source) == (limit.known == "memory"), limit.name
