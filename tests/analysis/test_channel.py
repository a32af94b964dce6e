"""What each family of texts leaves to a run: against published values, sums done by hand, and limit cases."""

import math
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint import Built, FamilyChannel, RunChannel, Span
from riserlint.design.reading import read_basis, read_design

HEAD = """\
[design]
title = "One run"
{region}
[space]
cool = {{ mean_c = 20 }}
warm = {{ mean_c = {celsius} }}
[cable]
link = {{ category = "{category}", strand = "solid", conductor_awg = 23, screen = "{screen}" }}
s24 = {{ strand = "stranded", conductor_awg = 24 }}
s26 = {{ strand = "stranded", conductor_awg = 26 }}
s28 = {{ strand = "stranded", conductor_awg = 28 }}
solid = {{ strand = "solid", conductor_awg = 24 }}
thin = {{ strand = "stranded", conductor_awg = 30 }}
odd = {{ conductor_awg = 26 }}
[inline]
sp = {{ kind = "surge-protector" }}
[run]
R = {{ cable = "link", space = "warm", bundle = "none", {keys} }}
"""


def channel(
    keys: str,
    *,
    region: str = "north-america",
    celsius: float = 20,
    category: str = "6",
    screen: str = "none",
) -> RunChannel:
    head = f'region = "{region}"' if region else ""
    text = HEAD.format(region=head, celsius=celsius, category=category, screen=screen, keys=keys)
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder).resolve()
        (root / ".git").mkdir()
        file = root / "design.toml"
        file.write_text(text, encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
        assert problems == []
        built = Built(design)
        assert built.problems == []
        return built.channel(built.runs["R"])


def family(
    keys: str,
    *,
    region: str = "north-america",
    celsius: float = 20,
    category: str = "6",
    screen: str = "none",
) -> FamilyChannel:
    [only] = channel(keys, region=region, celsius=celsius, category=category, screen=screen).families
    return only


def cords(*each: tuple[str, float]) -> str:
    inner = ", ".join(f'{{ cable = "{cable}", m = {metres} }}' for cable, metres in each)
    return f"link_m = 90, connections = 2, cords = [{inner}]"


# -- ANSI/TIA-568 ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "together_m"),
    [
        ("s24", 10.0),  # C = (102 − 90) / 1.2, published: university course copy of a TIA-568-B.1 summary
        ("s26", 8.0),  # 8 m beside 90 m, published: column by a former chair of the TIA committee
        ("s28", 12 / 1.95),  # D = 0.95 from memory
        ("solid", 12.0),  # D = 0 by the definition of D
    ],
)
def test_tia_cords_of_one_gauge(kind: str, together_m: float) -> None:
    just_right = family(cords((kind, together_m)))
    assert just_right.leaves().cords == pytest.approx((90.0, 90.0))


def test_tia_cords_of_mixed_gauge_by_hand() -> None:
    leaves = family(cords(("s24", 2), ("s26", 3)))
    assert leaves.use_m() == pytest.approx((6.9, 6.9))  # 1.2 × 2 + 1.5 × 3
    assert leaves.leaves().cords == pytest.approx((95.1, 95.1))
    assert leaves.cords_working("best") == "102 m − (1.2 × 2 m + 1.5 × 3 m)"


@pytest.mark.parametrize(
    ("celsius", "screen", "metres"),
    [
        (20, "none", 90.0),  # published
        (40, "none", 84.0),  # published: a maker's note that restates ANSI/TIA-568
        (48, "none", 81.7 - 3 / 5 * (81.7 - 79.5)),  # between rows from memory: 80.38 m, "about 80 m"
        (60, "none", 75.0),  # from memory
        (60, "foil", 83.0),  # from memory
        (5, "none", 90.0),  # a cold room gives nothing back
    ],
)
def test_tia_length_by_temperature(celsius: float, screen: str, metres: float) -> None:
    found = family(cords(("s24", 5)), celsius=celsius, screen=screen)
    assert found.leaves().heat == pytest.approx((metres, metres))


def test_tia_heat_does_not_depend_on_cords() -> None:
    few, many = (family(cords(("s24", metres)), celsius=48).leaves().heat for metres in (1, 20))
    assert few == many


# -- ISO/IEC 11801 ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("category", "more", "metres"),
    [
        # Four published cells: JIS X 5150-2:2021 (identical with ISO/IEC 11801-2:2017), licence examination
        ("5e", "connections = 2", 109 - 22.5),
        ("5e", "connections = 3", 107 - 22.5),
        ("6", "connections = 2", 107 - 3 - 22.5),
        ("6", "connections = 3", 106 - 3 - 22.5),
        # The others from memory
        ("7", "connections = 2", 107 - 2 - 22.5),
        ("6", "connections = 3, consolidation_point_m = 20", 106 - 3 - 22.5),
        ("6", "connections = 4, consolidation_point_m = 20", 105 - 3 - 22.5),
        # A thing in the run is a connection: two and a surge protector make a cross-connect
        ("6", 'connections = 2, through = ["sp"]', 106 - 3 - 22.5),
    ],
)
def test_iso_equations_with_15_m_of_stranded_cords(category: str, more: str, metres: float) -> None:
    keys = f'link_m = 80, cords = [{{ cable = "s24", m = 15 }}], {more}'
    found = family(keys, region="international", category=category)
    assert found.leaves().cords == pytest.approx((metres, metres))


def test_iso_ten_metres_of_cords_leave_89_m_for_class_e() -> None:
    found = family(cords(("s24", 5), ("s24", 5)), region="europe")
    assert found.leaves().cords == pytest.approx((89.0, 89.0))
    assert found.cords_working("best") == "107 m − 3 m − (1.5 × 5 m + 1.5 × 5 m)"


@pytest.mark.parametrize(
    ("celsius", "screen", "share"),
    [(40, "none", 0.08), (60, "none", 0.20), (48, "none", 0.128), (60, "foil", 0.08)],
)
def test_iso_heat_takes_a_share_of_the_length(celsius: float, screen: str, share: float) -> None:
    # 0.4 % and 0.6 % per kelvin unscreened, 0.2 % screened: Chinese national cabling standard, clause 3.3.3
    found = family(cords(("s24", 5), ("s24", 5)), region="europe", celsius=celsius, screen=screen)
    assert found.leaves().heat == pytest.approx((89 * (1 - share), 89 * (1 - share)))


def test_iso_is_capped_at_90_m_after_the_heat() -> None:
    assert family("connections = 2, cords_m = []", region="europe", celsius=22).leaves().heat == Span(
        90.0, 90.0
    )


def test_iso_has_no_equation_for_category_3() -> None:
    leaves = family(cords(("s24", 5)), region="europe", category="3").leaves()
    assert (leaves.cords, leaves.heat) == (None, None)
    assert leaves.link == Span(90.0, 90.0)


# -- what is not known -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "factor"),
    [
        ("odd", Span(1.0, 1.5)),
        ("thin", Span(1.95, math.inf)),
        ("s24", Span(1.2, 1.2)),
        ("solid", Span(1.0, 1.0)),
    ],
)
def test_factor_of_a_cord(kind: str, factor: Span) -> None:
    assert family(cords((kind, 5))).uses[0].factor == pytest.approx(factor)


def test_unknown_kind_of_plain_cords_is_missing_at_their_list() -> None:
    found = family("link_m = 88, connections = 2, cords_m = [5, 3]")
    assert found.leaves().cords == pytest.approx((102 - 1.95 * 8, 102 - 8.0))
    assert found.cords_missing == (("run", "R", "cords_m"),)


def test_unknown_kind_of_a_cord_is_missing_beside_its_metres() -> None:
    found = family("link_m = 88, connections = 2, cords = [{ m = 5 }]")
    assert found.cords_missing == (("run", "R", "cords", 0, "cable"),)


def test_a_cord_without_length_has_no_kind_to_ask_for() -> None:
    assert family("link_m = 88, connections = 2, cords_m = [0]").cords_missing == ()


def test_both_families_where_no_region_is_stated() -> None:
    assert [one.family for one in channel(cords(("s24", 5)), region="").families] == ["TIA", "ISO/IEC"]


def test_what_a_clause_turns_on_is_named() -> None:
    found = channel("connections = 2")
    assert found.clauses("link")[0].missing == (("run", "R", "link_m"),)
    assert found.clauses("channel")[0].missing == (("run", "R", "link_m"), ("run", "R", "cords_m"))
    assert found.clauses("channel")[0].limit == Span(-math.inf, 100.0)


# -- Category 8 ------------------------------------------------------------------------------------------------


def test_category_8_has_limits_of_its_own() -> None:
    # 30 m and two connections published (approval of ANSI/TIA-568-C.2-1), 24 m from memory
    found = family(cords(("s24", 5)), category="8")
    assert (found.link.value, found.channel.value, found.connections.value) == (24.0, 30.0, 2.0)
    assert found.leaves() == (Span(24.0, 24.0), Span(25.0, 25.0), None, None)


# -- what would do ---------------------------------------------------------------------------------------------


def test_cords_together_beside_a_link_by_hand() -> None:
    unknown = family(
        'link_m = 84, connections = 2, cords = [{ cable = "s24", m = 5 }, { cable = "s26", m = "unknown" }]'
    )
    # 102 − 84 = 18; 18 − 1.2 × 5 = 12; 12 / 1.5 = 8; 5 + 8 = 13
    assert unknown.cords_together_m(84.0, heat=False) == pytest.approx(13.0)


def test_hottest_mean_by_hand() -> None:
    # TIA: 81.7 m at 45 °C, 79.5 m at 50 °C; ISO/IEC: 89 × (1 − 0.004 × 20 − 0.006 × 5) = 79.21 m at 45 °C
    assert family(cords(("s24", 10))).hottest_celsius(80.6) == pytest.approx(47.5)
    assert family(cords(("s24", 10)), region="europe").hottest_celsius(79.21) == pytest.approx(45.0)


def test_cut_cords_make_room_for_the_link() -> None:
    found = channel('link_m = 90, connections = 2, cords = [{ cable = "s24", m = 12 }]')
    share = found.longest_cords_share("cords")
    assert share is not None
    assert 12 * share == pytest.approx(10.0, abs=1e-6)
    assert found.longest_link_m("cords") == pytest.approx(87.6)
    assert (
        channel('link_m = 91, connections = 2, cords = [{ cable = "s24", m = 12 }]').longest_cords_share(
            "cords"
        )
        is None
    )


@settings(max_examples=60, deadline=None)
@given(
    first=st.floats(0.1, 30),
    second=st.floats(0.1, 30),
    kinds=st.tuples(*[st.sampled_from(["s24", "s26", "s28", "solid"])] * 2),
    celsius=st.floats(20, 60),
    region=st.sampled_from(["north-america", "europe"]),
)
def test_no_clause_leaves_more_to_longer_cords_or_in_more_heat(
    first: float, second: float, kinds: tuple[str, str], celsius: float, region: str
) -> None:
    short = family(cords((kinds[0], first)), region=region, celsius=celsius).leaves()
    longer = family(cords((kinds[0], first), (kinds[1], second)), region=region, celsius=celsius).leaves()
    hotter = family(cords((kinds[0], first)), region=region, celsius=min(60, celsius + 5)).leaves()
    for worse in (longer, hotter):
        for before, after in zip(short, worse):
            assert before is not None
            assert after is not None
            assert after.high <= before.high + 1e-9
