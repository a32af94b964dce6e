"""Identities, limit cases, refusals and monotonicity of the length functions.

Published values are compared in ``tests/outside/test_cabling_lengths.py``; nothing here is a published value.
"""

import math
from typing import NamedTuple, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserlint.engineering.lengths import (
    iso_horizontal_equation,
    iso_horizontal_limit_m,
    iso_hottest_celsius,
    iso_temperature_share,
    measured_span,
    model_of,
    tia_cord_allowance_m,
    tia_cord_limit_m,
    tia_cord_use_m,
    tia_horizontal_limit_m,
    tia_hottest_celsius,
    tia_work_area_cord_limit_m,
)
from riserlint.standards.cabling import CABLING_LIMITS, CLASS_OF_CATEGORY, PERMANENT_LINK_TIA
from riserlint.standards.cabling_derating import (
    CORD_DERATINGS,
    HORIZONTAL_BY_TEMPERATURE_TIA,
    HorizontalClass,
    HorizontalModel,
)

CLASSES: tuple[HorizontalClass, ...] = get_args(HorizontalClass)
MODELS: tuple[HorizontalModel, ...] = get_args(HorizontalModel)

horizontal = st.floats(0.0, 90.0)
deratings = st.floats(0.0, 1.5)
temperatures = st.floats(-20.0, 60.0)
classes = st.sampled_from(CLASSES)
models = st.sampled_from(MODELS)
cords = st.floats(0.0, 40.0)
ratios = st.floats(1.0, 2.0)


class Channel(NamedTuple):
    category_class: HorizontalClass
    model: HorizontalModel
    cords_m: float
    cord_ratio: float
    celsius: float
    screened: bool


channels = st.builds(Channel, classes, models, cords, ratios, temperatures, st.booleans())


def iso_limit(channel: Channel) -> float:
    return iso_horizontal_limit_m(
        channel.category_class,
        channel.model,
        cords_m=channel.cords_m,
        cord_ratio=channel.cord_ratio,
        cp_cable_m=0.0,
        cp_ratio=1.5,
        celsius=channel.celsius,
        screened=channel.screened,
    )


# --- Cords --------------------------------------------------------------------------------------------------


@given(horizontal, deratings)
def test_cords_of_one_gauge_at_the_limit_use_exactly_the_allowance(
    horizontal_m: float, derating: float
) -> None:
    limit_m = tia_cord_limit_m(horizontal_m, derating)
    assert tia_cord_use_m([(limit_m, derating)]) == pytest.approx(
        tia_cord_allowance_m(horizontal_m), rel=1e-12
    )


@given(horizontal, deratings, st.floats(0.0, 1.0))
def test_cutting_a_cord_in_two_of_the_same_gauge_changes_nothing(
    horizontal_m: float, derating: float, share: float
) -> None:
    whole_m = tia_cord_limit_m(horizontal_m, derating)
    parts = [(share * whole_m, derating), ((1.0 - share) * whole_m, derating)]
    assert tia_cord_use_m(parts) == pytest.approx(tia_cord_use_m([(whole_m, derating)]), rel=1e-12, abs=1e-12)


@given(horizontal, st.floats(0.2, 1.5))
def test_stranded_cords_at_the_limit_keep_the_channel_within_its_length(
    horizontal_m: float, derating: float
) -> None:
    channel_m = horizontal_m + tia_cord_limit_m(horizontal_m, derating)
    assert channel_m <= CABLING_LIMITS["TIA"].channel.value + 1e-9


def test_cords_of_solid_conductors_can_exceed_the_channel_which_is_another_check() -> None:
    assert 90.0 + tia_cord_limit_m(90.0, 0.0) > CABLING_LIMITS["TIA"].channel.value


@given(horizontal, horizontal, deratings)
def test_more_horizontal_cable_never_allows_more_cord(one_m: float, other_m: float, derating: float) -> None:
    shorter_m, longer_m = sorted((one_m, other_m))
    assert tia_cord_limit_m(longer_m, derating) <= tia_cord_limit_m(shorter_m, derating)


@given(horizontal, deratings, deratings)
def test_a_lossier_cord_is_never_allowed_to_be_longer(horizontal_m: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert tia_cord_limit_m(horizontal_m, high) <= tia_cord_limit_m(horizontal_m, low)


def test_no_cord_is_left_where_the_horizontal_cable_takes_all() -> None:
    assert tia_cord_limit_m(102.0, 0.2) == 0.0
    assert tia_cord_limit_m(150.0, 0.2) == 0.0
    assert tia_cord_use_m([]) == 0.0


def test_finer_conductors_are_de_rated_more() -> None:
    values = [CORD_DERATINGS[gauge].value for gauge in sorted(CORD_DERATINGS)]
    assert values == sorted(values)
    assert len(set(values)) == len(values)


def test_a_mixed_set_of_cords_counts_each_by_its_own_gauge() -> None:
    # By hand: 5 m x 1.2 + 3 m x 1.5 = 10.5 m; with 90 m of cable 12 m are left, with 92 m only 10 m.
    use_m = tia_cord_use_m([(5.0, 0.2), (3.0, 0.5)])
    assert use_m == pytest.approx(10.5)
    assert tia_cord_allowance_m(90.0) == pytest.approx(12.0)
    assert tia_cord_allowance_m(92.0) == pytest.approx(10.0)


def test_a_work_area_cord_is_capped_and_never_negative() -> None:
    assert tia_work_area_cord_limit_m(10.0, 0.2, 5.0, 22.0) == 22.0
    assert tia_work_area_cord_limit_m(90.0, 0.2, 12.0, 22.0) == 0.0


@pytest.mark.parametrize(
    ("horizontal_m", "derating", "message"),
    [
        (-1.0, 0.2, "horizontal_m = -1 m: expected a finite value of at least 0 m"),
        (math.nan, 0.2, "horizontal_m = nan m: expected a finite value of at least 0 m"),
        (90.0, math.inf, "derating = inf: expected a finite value of at least 0"),
    ],
)
def test_impossible_cords_are_refused(horizontal_m: float, derating: float, message: str) -> None:
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole message is compared
        tia_cord_limit_m(horizontal_m, derating)
    assert str(caught.value) == message


# --- Heat, TIA ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("screened", [False, True])
def test_the_table_is_returned_at_its_own_rows(screened: bool) -> None:
    for celsius, unscreened_m, screened_m in HORIZONTAL_BY_TEMPERATURE_TIA.rows:
        assert tia_horizontal_limit_m(celsius, screened) == (screened_m if screened else unscreened_m)


@pytest.mark.parametrize("screened", [False, True])
@pytest.mark.parametrize("celsius", [-30.0, 0.0, 19.9, 20.0])
def test_cold_cable_keeps_the_permanent_links_limit(celsius: float, screened: bool) -> None:
    assert tia_horizontal_limit_m(celsius, screened) == PERMANENT_LINK_TIA.value


def test_half_way_between_two_rows_lies_half_way_between_their_lengths() -> None:
    assert tia_horizontal_limit_m(42.5, screened=False) == pytest.approx((84.0 + 81.7) / 2)


@given(temperatures, temperatures, st.booleans())
def test_warmer_cable_is_never_allowed_to_be_longer(one: float, other: float, screened: bool) -> None:
    cooler, warmer = sorted((one, other))
    assert tia_horizontal_limit_m(warmer, screened) <= tia_horizontal_limit_m(cooler, screened)


@given(temperatures)
def test_screened_cable_never_loses_more_to_heat(celsius: float) -> None:
    assert tia_horizontal_limit_m(celsius, screened=True) >= tia_horizontal_limit_m(celsius, screened=False)
    assert iso_temperature_share(celsius, screened=True) <= iso_temperature_share(celsius, screened=False)


@given(st.floats(20.0, 60.0), st.booleans())
def test_the_hottest_temperature_undoes_the_table(celsius: float, screened: bool) -> None:
    length_m = tia_horizontal_limit_m(celsius, screened)
    assert tia_hottest_celsius(length_m, screened) == pytest.approx(celsius, abs=1e-6)


def test_a_link_too_long_has_no_temperature_and_a_short_one_holds_to_the_end_of_the_table() -> None:
    assert tia_hottest_celsius(90.01, screened=False) is None
    assert tia_hottest_celsius(40.0, screened=False) == 60.0
    assert tia_hottest_celsius(90.0, screened=True) == pytest.approx(20.0)


@pytest.mark.parametrize("celsius", [60.1, math.inf, math.nan])
def test_hotter_than_the_table_is_refused(celsius: float) -> None:
    with pytest.raises(ValueError, match=r"expected at most 60 °C, the end of ANSI/TIA-568\.2-D, annex"):
        tia_horizontal_limit_m(celsius, screened=False)
    with pytest.raises(ValueError, match=r"expected at most 60 °C, the end of ISO/IEC 11801-2-2017, 8\.2"):
        iso_temperature_share(celsius, screened=True)


def test_a_refused_temperature_is_named_with_value_unit_range_and_source() -> None:
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole message is compared
        tia_horizontal_limit_m(71.0, screened=True)
    assert str(caught.value) == (
        "celsius = 71 °C: expected at most 60 °C, the end of "
        "ANSI/TIA-568.2-D, annex on higher temperatures (Annex G of C.2)"
    )


# --- ISO/IEC ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("connections", "consolidation_point", "model"),
    [
        (0, False, "interconnect-outlet"),
        (2, False, "interconnect-outlet"),
        (3, False, "cross-connect-outlet"),
        (4, False, None),
        (2, True, "interconnect-cp-outlet"),
        (3, True, "interconnect-cp-outlet"),
        (4, True, "cross-connect-cp-outlet"),
        (5, True, None),
    ],
)
def test_connections_choose_the_model(
    connections: int, consolidation_point: bool, model: HorizontalModel | None
) -> None:
    assert model_of(connections, consolidation_point) == model


@pytest.mark.parametrize(("connections", "consolidation_point"), [(-1, False), (0, True)])
def test_impossible_connections_are_refused(connections: int, consolidation_point: bool) -> None:
    with pytest.raises(ValueError, match=rf"connections = {connections}: expected at least \d"):
        model_of(connections, consolidation_point)


@given(channels)
def test_the_fixed_cable_is_never_longer_than_its_cap_nor_negative(channel: Channel) -> None:
    assert 0.0 <= iso_limit(channel) <= CABLING_LIMITS["ISO/IEC"].permanent_link.value


@given(channels, cords)
def test_more_cord_never_allows_more_fixed_cable(channel: Channel, other_m: float) -> None:
    fewer_m, more_m = sorted((channel.cords_m, other_m))
    assert iso_limit(channel._replace(cords_m=more_m)) <= iso_limit(channel._replace(cords_m=fewer_m))


@given(channels, temperatures)
def test_warmer_fixed_cable_is_never_allowed_to_be_longer(channel: Channel, other: float) -> None:
    cooler, warmer = sorted((channel.celsius, other))
    assert iso_limit(channel._replace(celsius=warmer)) <= iso_limit(channel._replace(celsius=cooler))


@given(channels)
def test_a_model_with_more_connections_never_allows_more_fixed_cable(channel: Channel) -> None:
    by_model = {model: iso_limit(channel._replace(model=model)) for model in MODELS}
    assert by_model["cross-connect-outlet"] <= by_model["interconnect-outlet"]
    assert by_model["interconnect-cp-outlet"] <= by_model["interconnect-outlet"]
    assert by_model["cross-connect-cp-outlet"] <= by_model["interconnect-cp-outlet"]
    assert by_model["cross-connect-cp-outlet"] <= by_model["cross-connect-outlet"]


@given(channels, st.floats(20.0, 60.0))
def test_the_hottest_temperature_undoes_the_reduction(channel: Channel, celsius: float) -> None:
    limit_m = iso_limit(channel._replace(celsius=celsius))
    hottest = iso_hottest_celsius(
        limit_m,
        channel.category_class,
        channel.model,
        cords_m=channel.cords_m,
        cord_ratio=channel.cord_ratio,
        cp_cable_m=0.0,
        cp_ratio=1.5,
        screened=channel.screened,
    )
    assert hottest is not None
    if limit_m < CABLING_LIMITS["ISO/IEC"].permanent_link.value:
        assert hottest == pytest.approx(celsius, abs=1e-6)
    else:  # the cap hides some of the heat: it may be as warm as asked, or warmer
        assert hottest >= celsius - 1e-6


def test_heat_is_taken_off_before_the_cap() -> None:
    # By hand: Class D interconnect, 10 m at X = 1.5: 109 - 15 = 94 m; at 40 °C 94 x 0.92 = 86.48 m.
    # Capped first it would be 90 x 0.92 = 82.8 m.
    assert iso_limit(Channel("D", "interconnect-outlet", 10.0, 1.5, 40.0, False)) == pytest.approx(86.48)
    assert iso_limit(Channel("D", "interconnect-outlet", 10.0, 1.5, 20.0, False)) == 90.0


def test_consolidation_point_cable_counts_by_its_own_ratio() -> None:
    # By hand: Class E interconnect with consolidation point: 106 - 3 - 10 x 1.5 - 8 x 1.2 = 78.4 m.
    limit_m = iso_horizontal_limit_m(
        "E",
        "interconnect-cp-outlet",
        cords_m=10.0,
        cord_ratio=1.5,
        cp_cable_m=8.0,
        cp_ratio=1.2,
        celsius=20.0,
        screened=True,
    )
    assert limit_m == pytest.approx(78.4)


def test_consolidation_point_cable_in_a_model_without_one_is_refused() -> None:
    with pytest.raises(
        ValueError,
        match=r"^cp_cable_m = 5 m: the model 'cross-connect-outlet' has no consolidation point, expected 0 m",
    ):
        iso_horizontal_limit_m(
            "E",
            "cross-connect-outlet",
            cords_m=10.0,
            cord_ratio=1.5,
            cp_cable_m=5.0,
            cp_ratio=1.0,
            celsius=20.0,
            screened=False,
        )


def test_class_without_an_equation_is_refused() -> None:
    with pytest.raises(
        ValueError, match=r"^class 'I/II', model 'interconnect-outlet': no horizontal equation in"
    ):
        iso_horizontal_equation("I/II", "interconnect-outlet")  # type: ignore[arg-type]


def test_every_class_but_that_of_category_8_has_an_equation_in_every_model() -> None:
    with_equation = {name for name in CLASS_OF_CATEGORY.values() if name != "I/II"}
    assert with_equation == set(CLASSES)
    for category_class in CLASSES:
        for model in MODELS:
            assert iso_horizontal_equation(category_class, model).constant_m > 100.0


def test_cords_that_take_all_leave_no_fixed_cable() -> None:
    assert iso_limit(Channel("E", "interconnect-outlet", 80.0, 1.5, 20.0, False)) == 0.0
    options = {"cords_m": 80.0, "cord_ratio": 1.5, "cp_cable_m": 0.0, "cp_ratio": 1.5}
    assert iso_hottest_celsius(0.0, "E", "interconnect-outlet", screened=False, **options) == 60.0
    assert iso_hottest_celsius(1.0, "E", "interconnect-outlet", screened=False, **options) is None


# --- Measured lengths ---------------------------------------------------------------------------------------


def test_a_tester_is_ten_times_as_uncertain_as_a_tape() -> None:
    assert measured_span(93.0, "tester") == pytest.approx((83.7, 102.3))
    assert measured_span(93.0, "tape") == pytest.approx((92.07, 93.93))


@given(st.floats(0.0, 1000.0), st.sampled_from(["tester", "tape"]))
def test_a_reading_lies_within_its_own_span(metres: float, by: str) -> None:
    span = measured_span(metres, "tape" if by == "tape" else "tester")
    assert span.low <= metres <= span.high


def test_an_unknown_instrument_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^measured by 'eye': expected 'tester' or 'tape'$"):
        measured_span(10.0, "eye")  # type: ignore[arg-type]
