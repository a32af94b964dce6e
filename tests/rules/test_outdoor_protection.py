"""The rule outdoor-protection, row by row: a sentence, a design, and all that the rule is expected to say of it.

Published beside the checks: a protector at both ends and a bond (a city's public network standard); 42 m (140 ft) in
the ground and that the note is information (forum threads on 800.90); fibre between buildings (an electric utility's
note). Derived: 57 V is the highest voltage of a source (IEEE Std 802.3). From memory: that a Class 2 circuit has the
duty of article 800, four pairs, the numerals of IEC 60529.
"""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remedies import carried_out
from riserlint import poe_limits
from riserlint.review.findings import Finding
from riserlint.testing import Case, Expected, review_text, said
from riserlint_rules.outdoor_protection import RULE

SPACES = """office = { building = "main", exposure = "indoor" }
pier = { exposure = "outdoor" }
wall = { exposure = "sheltered" }
trench = { exposure = "underground" }
hut = { building = "hut", exposure = "indoor" }"""
GOOD = "ohm = 1, max_v = 60, pairs = 4, bonded = true"


def design(
    way: str = 'route = [{ space = "office", m = 10 }, { space = "pier", m = 30 }]',
    *,
    device: str = 'space = "pier", ip = "IP66"',
    through: tuple[str, ...] = (),
    inline: str = "",
    region: str = "north-america",
    spaces: str = SPACES,
    switch: str = 'space = "office"',
    pd: str = "pd_class = 3",
    more: str = "",
) -> str:
    """Return a design of one run from the office, with what a row changes."""
    names = ", ".join(f'"{name}"' for name in through)
    inside = f", through = [{names}]" if through else ""
    return f"""
[design]
title = "Boat house"
{f'region = "{region}"' if region else ""}
[space]
{spaces}
[inline]
{inline}
[switch]
core = {{ pse = {{ type = 3 }}, ports = {{ 1-8 = {{ pse_class = 4 }} }}, {switch} }}
[device]
cam = {{ pd = {{ {pd} }}, {device} }}
[run]
R-1 = {{ from = "core/1", to = "cam", link_m = 40, {way}{inside} }}
{more}"""


def protector(name: str, place: str = "", values: str = GOOD) -> str:
    return f'{name} = {{ kind = "surge-protector", {place}{", " if place else ""}{values} }}\n'


def guarded(*inlines: tuple[str, str], **options: Any) -> str:
    """Return the design with good protectors at places, by name."""
    text = "".join(protector(name, place) for name, place in inlines)
    return design(through=tuple(name for name, _ in inlines), inline=text, **options)


IN, OUT = ("a", 'space = "office"'), ("b", 'space = "pier"')
TO_HUT = 'route = [{ space = "office", m = 5 }, { space = "pier", m = 30 }, { space = "hut", m = 5 }]'
IN_HUT = 'space = "hut"'
BURIED = 'route = [{ space = "office", m = 5 }, { space = "trench", m = 30, bundle = "t" }, { space = "hut", m = 5 }]'
CONDUIT = '[bundle]\nt = { pathway = "p" }\n[pathway]\np = { raceway = "metal", bonded = true }\n'
WALL = 'route = [{ space = "office", m = 10 }, { space = "wall", m = 5 }]'
ON_WALL = 'space = "wall", ip = "IP54"'
PIER, RUN = "space.pier", "run.R-1"


def one(check: str, outcome: str, subject: str, points_at: str) -> tuple[Expected, ...]:
    return (Expected(check, outcome, subject, points_at),)


BETWEEN = Expected("between-buildings", "note", RUN, "R-1")
PROTECTOR = [
    Case("a protector at each end", guarded(IN, OUT)),
    Case("none at all", design(), one("protector", "error", PIER, '"outdoor"')),
    Case("in Europe neither", design(region="europe"), one("protector", "error", PIER, '"outdoor"')),
    Case("none at the end outdoors", guarded(IN), one("protector", "warning", PIER, '"outdoor"')),
    Case("none at the end in the building", guarded(OUT), one("protector", "error", PIER, '"outdoor"')),
    Case("two that say nothing of their place are one at each end", guarded(("a", ""), ("b", ""))),
    Case("one of unknown place", guarded(("a", "")), one("protector", "open", RUN, "a")),
    Case(
        "one by its metres is at the end that it is nearer to",
        guarded(("a", "at_m = 2")),
        one("protector", "warning", PIER, '"outdoor"'),
    ),
    Case(
        "gear outdoors is enough to leave the building",
        design('space = "office"'),
        one("protector", "error", PIER, '"outdoor"'),
    ),
    Case("a run that stays in", design('space = "office"', device='space = "office"')),
    Case(
        "runs with one fault in one space make one finding",
        design(more='R-2 = { from = "core/2", space = "pier" }\nR-3 = { from = "core/3", space = "pier" }\n'),
        one("protector", "error", PIER, '"outdoor"'),
    ),
    Case(
        "a run from gear outdoors to gear outdoors",
        design('space = "pier"', switch='space = "pier", ip = "IP66"'),
        one("protector", "warning", PIER, '"outdoor"'),
    ),
    Case(
        "on a sheltered wall alone a human has to look",
        design(WALL, device=ON_WALL),
        one("protector", "review", "space.wall", '"sheltered"'),
    ),
    Case(
        "unless the basis asks for protectors there",
        design(WALL, device=ON_WALL),
        one("protector", "error", "space.wall", '"sheltered"'),
        '[rule.outdoor-protection]\nsheltered = "protect"\n',
    ),
    Case(
        "or accepts it",
        design(WALL, device=ON_WALL),
        basis='[rule.outdoor-protection]\nsheltered = "accept"\n',
    ),
    Case("a protector in the building is enough for a sheltered wall", guarded(IN, way=WALL, device=ON_WALL)),
    Case(
        "a space of unknown exposure",
        design(
            'space = "loft"',
            device='space = "office"',
            spaces=SPACES + '\nloft = { building = "main" }',
        ),
        one("protector", "open", "space.loft", "loft"),
    ),
    Case(
        "a run of unknown place",
        design('space = "unknown"', device="", switch='vlans = "none"'),
        (
            *one("protector", "open", "design", '"unknown"'),
            *one("weather-rating", "open", "design", "core"),
        ),
    ),
    Case(
        "an end of unknown exposure, and out in the middle",
        guarded(
            ("a", 'space = "office"'),
            way='route = [{ space = "office", m = 9 }, { space = "pier", m = 9 }, { space = "loft", m = 9 }]',
            device='space = "loft", ip = "IP67"',
            spaces=SPACES + '\nloft = { building = "main" }',
        ),
        one("protector", "open", RUN, "loft"),
    ),
    Case(
        "nothing is asked of a design that says nothing of exposure and buildings",
        design('space = "a"', device='space = "a"', switch='space = "a"', spaces="a = { max_c = 40 }"),
    ),
    Case(
        "unless the basis asks it of every space",
        design(
            'space = "a"',
            device='space = "a", ip = "IP67"',
            switch='space = "a", ip = "IP67"',
            spaces="a = { max_c = 40 }",
        ),
        one("protector", "open", "space.a", "a"),
        "[rule.outdoor-protection]\nevery_space = true\n",
    ),
]
BUILDINGS = [
    Case(
        "between buildings with a protector at each end: a note that fibre would be better",
        guarded(IN, ("b", 'space = "hut"'), way=TO_HUT, device=IN_HUT),
        (BETWEEN,),
    ),
    Case(
        "between buildings without any",
        design(TO_HUT, device=IN_HUT),
        (*one("protector", "error", PIER, '"outdoor"'), BETWEEN),
    ),
    Case(
        "between buildings with one",
        guarded(IN, way=TO_HUT, device=IN_HUT),
        (*one("protector", "error", PIER, '"outdoor"'), BETWEEN),
    ),
    Case(
        "one of unknown place can't be at both ends",
        guarded(("a", ""), way=TO_HUT, device=IN_HUT),
        (*one("protector", "error", PIER, '"outdoor"'), BETWEEN),
    ),
    Case(
        "between buildings, nothing outdoors is written",
        design('route = [{ space = "office", m = 5 }, { space = "hut", m = 5 }]', device=IN_HUT),
        (*one("protector", "error", RUN, "R-1"), BETWEEN),
    ),
    Case(
        "a sheltered way into another building is no shelter",
        design(
            'route = [{ space = "office", m = 5 }, { space = "wall", m = 5 }, { space = "hut", m = 5 }]',
            device=IN_HUT,
        ),
        (*one("protector", "error", "space.wall", '"sheltered"'), BETWEEN),
    ),
    Case(
        "30 m in the ground, in bonded metal: a note",
        design(BURIED, device=IN_HUT, more=CONDUIT),
        (*one("protector", "note", "space.trench", '"underground"'), BETWEEN),
    ),
    Case(
        "43 m in the ground",
        design(BURIED.replace("30", "43"), device=IN_HUT, more=CONDUIT),
        (*one("protector", "error", "space.trench", '"underground"'), BETWEEN),
    ),
    Case(
        "in the ground in metal that is not bonded",
        design(BURIED, device=IN_HUT, more=CONDUIT.replace("true", "false")),
        (*one("protector", "error", "space.trench", '"underground"'), BETWEEN),
    ),
    Case("within one building", design('space = "office"', device='space = "office"')),
    Case(
        "a building that is not known",
        guarded(
            IN,
            ("b", 'space = "shed"'),
            way=TO_HUT.replace("hut", "shed"),
            device='space = "shed"',
            spaces=SPACES + '\nshed = { exposure = "indoor" }',
        ),
        one("between-buildings", "open", "space.shed", "shed"),
    ),
]


def with_values(values: str, **options: Any) -> str:
    return design(through=("a", "b"), inline=protector("a", values=values) + protector("b"), **options)


A = "inline.a"
SUITS = [
    Case("57 V is enough", with_values("ohm = 1, max_v = 57, pairs = 4, bonded = true")),
    Case(
        "50 V conducts on powered pairs",
        with_values("ohm = 1, max_v = 50, pairs = 4, bonded = true"),
        one("suits-power", "error", A, "50"),
    ),
    Case(
        "two pairs are not all",
        with_values("ohm = 1, max_v = 60, pairs = 2, bonded = true"),
        one("suits-power", "error", A, "2"),
    ),
    Case(
        "what is not stated of it can't be told",
        with_values("bonded = true"),
        one("suits-power", "open", A, "a"),
    ),
    Case(
        "ohms that are not known",
        with_values('ohm = "unknown", max_v = 60, pairs = 4, bonded = true'),
        one("suits-power", "open", A, '"unknown"'),
    ),
    Case(
        "on pairs without power its volts don't matter",
        with_values(
            "max_v = 6, bonded = true", pd="", device='space = "pier", ip = "IP66", from = "mains"'
        ).replace("pd = {  }, ", ""),
    ),
    Case(
        "a passive feed of 24 V asks for 24 V",
        with_values(
            "ohm = 1, max_v = 30, pairs = 4, bonded = true", pd='scheme = "passive", passive_v = 24'
        ).replace("type = 3", 'scheme = "passive", min_v = 24'),
    ),
    Case(
        "a protector before the injector is on no powered pairs",
        design(
            through=("a", "inj", "b"),
            inline=protector("a", values="ohm = 1, max_v = 6, pairs = 4, bonded = true")
            + 'inj = { kind = "injector", pse_class = 4, pse = { type = 2 } }\n'
            + protector("b"),
        ),
    ),
    Case(
        "one behind it is",
        design(
            through=("a", "inj", "b"),
            inline=protector("a")
            + 'inj = { kind = "injector", pse_class = 4, pse = { type = 2 } }\n'
            + protector("b", values="ohm = 1, max_v = 6, pairs = 4, bonded = true"),
        ),
        one("suits-power", "error", "inline.b", "6"),
    ),
    Case(
        "not bonded",
        with_values("ohm = 1, max_v = 60, pairs = 4, bonded = false"),
        one("bonded", "error", A, "false"),
    ),
    Case(
        "a bond of which nobody knows",
        with_values("ohm = 1, max_v = 60, pairs = 4"),
        one("bonded", "open", A, "a"),
    ),
]


def outdoors(values: str, where: str = "pier", **options: Any) -> str:
    """Return a protected run to a device of some enclosure."""
    return guarded(IN, OUT, device=f'space = "{where}"{", " if values else ""}{values}', **options)


CAM = "device.cam"
WEATHER = [
    Case("IP66 outdoors", outdoors('ip = "IP66"')),
    Case("IP44 is for splashing water", outdoors('ip = "IP44"')),
    Case("IP43 is not", outdoors('ip = "IP43"'), one("weather-rating", "error", CAM, '"IP43"')),
    Case("IP20 is for rooms", outdoors('ip = "IP20"'), one("weather-rating", "error", CAM, '"IP20"')),
    Case("IPX6 says nothing of dust, and enough of water", outdoors('ip = "IPX6"')),
    Case("IP6X says nothing of water", outdoors('ip = "IP6X"'), one("weather-rating", "open", CAM, '"IP6X"')),
    Case("a code that is not known", outdoors(""), one("weather-rating", "open", CAM, "cam")),
    Case(
        "IP20 on a sheltered wall",
        guarded(IN, way=WALL, device='space = "wall", ip = "IP20"'),
        one("weather-rating", "warning", CAM, '"IP20"'),
    ),
    Case(
        "IP66 in the ground",
        guarded(
            IN,
            OUT,
            device='space = "trench", ip = "IP66"',
            way='route = [{ space = "office" }, { space = "pier" }]',
        ),
        one("weather-rating", "error", CAM, '"IP66"'),
    ),
    Case("indoors nobody asks", design('space = "office"', device='space = "office"')),
    Case(
        "gear of one part in one place is one finding, at the part",
        outdoors(
            'part = "box"',
            more='[part]\nbox = { ip = "IP20" }\n[device.cam-2]\npart = "box"\nspace = "pier"\n',
        ),
        one("weather-rating", "error", "part.box", '"IP20"'),
    ),
    Case(
        "gear of one part of which nobody knows is one question",
        outdoors(
            'part = "box"',
            more='[part]\nbox = { vlans = "none" }\n[device.cam-2]\npart = "box"\nspace = "pier"\n',
        ),
        one("weather-rating", "open", "part.box", "box"),
    ),
    Case(
        "a space of unknown exposure, and gear for rooms",
        design(
            'space = "office"',
            device='space = "office"',
            spaces=SPACES + '\nloft = { building = "main" }',
            more='[device.cam-2]\nspace = "loft"\nip = "IP20"\n',
        ),
        one("weather-rating", "open", "space.loft", "loft"),
    ),
]
CASES = [*PROTECTOR, *BUILDINGS, *SUITS, *WEATHER]


@pytest.mark.parametrize("case", CASES, ids=[case.shows for case in CASES])
def test_row(case: Case) -> None:
    assert sorted(said(case, RULE)) == sorted(case.expected)


def test_every_check_fails_in_a_row_passes_in_another_and_can_be_open() -> None:
    outcomes: dict[str, set[str]] = {check.name: set() for check in RULE.checks}
    for case in CASES:
        review = review_text(case.design, [RULE], basis=case.basis)
        for finding in review.findings:
            outcomes[finding.check.name].add(finding.answer.kind)
        for passes in review.passes:
            outcomes[passes.name.partition("/")[2]].add("pass")
    assert all({"fail", "pass", "open"} <= found for found in outcomes.values()), outcomes


def found(text: str, check: str) -> Finding:
    (finding,) = [one for one in review_text(text, [RULE]).findings if one.check.name == check]
    return finding


def test_unprotected_runs_read_with_their_number_and_what_would_mend_them() -> None:
    text = design(more='R-2 = { from = "core/2", space = "pier" }\n')
    answer = found(text, "protector").answer
    assert answer.message == (
        "2 runs leave the building into pier without a surge protector at the end in the building: R-1, R-2"
    )
    assert answer.working == "2 runs, 4 ends without a protector"
    assert answer.remedy is not None
    assert answer.remedy.text == (
        "4 surge protectors for powered pairs (57 V or more on 4 pairs, bonded), at these ends; or fibre"
    )
    assert answer.remedy.changes == ()


@pytest.mark.parametrize(
    ("region", "text"), [("north-america", "NFPA 70"), ("europe", "IEC 62305-4"), ("", "NFPA 70")]
)
def test_the_region_picks_the_text_and_it_is_from_memory(region: str, text: str) -> None:
    held = found(design(region=region), "protector").answer.held_against
    assert held is not None
    assert held.citation.text == text
    assert held.known == "memory"


@pytest.mark.parametrize(("region", "text"), [("north-america", "NFPA 70"), ("international", "IEC 62305-4")])
def test_the_region_picks_the_text_of_the_bond(region: str, text: str) -> None:
    values = "ohm = 1, max_v = 60, pairs = 4, bonded = false"
    held = found(with_values(values, region=region), "bonded").answer.held_against
    assert held is not None
    assert held.citation.text == text


def test_a_protector_bears_the_highest_voltage_of_any_source() -> None:
    """57 V: the highest voltage at the connector of a source of each type (IEEE Std 802.3)."""
    assert {poe_limits.type_max_volts(pse_type) for pse_type in (1, 2, 3, 4)} == {57}
    answer = found(with_values("ohm = 1, max_v = 50, pairs = 4, bonded = true"), "suits-power").answer
    assert (answer.value, answer.limit, answer.margin) == (50, 57, -7)
    assert answer.working == "50 V < 57 V"


def test_an_open_protector_names_all_that_is_missing_of_it() -> None:
    answer = found(with_values("bonded = true"), "suits-power").answer
    assert answer.missing == (("inline", "a", "max_v"), ("inline", "a", "pairs"), ("inline", "a", "ohm"))


def test_what_is_short_in_volts_and_in_pairs_is_two_findings() -> None:
    text = with_values("ohm = 1, max_v = 6, pairs = 2, bonded = true")
    findings = review_text(text, [RULE]).findings
    assert {finding.answer.distinct for finding in findings} == {"pairs", "volts"}
    assert len({finding.fingerprint for finding in findings}) == 2


def test_a_space_that_the_protector_names_has_to_be_there() -> None:
    (problem,) = review_text(guarded(("a", 'space = "atic"')), [RULE]).problems
    assert problem.message.startswith('there is no space "atic"')


# -- remedies ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES, ids=[case.shows for case in CASES])
def test_the_remedies_of_every_row_hold(case: Case) -> None:
    carried_out(case.design, RULE, basis=case.basis)


@pytest.mark.parametrize(
    ("text", "check"),
    [
        (with_values("ohm = 1, max_v = 50, pairs = 4, bonded = true"), "suits-power"),
        (with_values("ohm = 1, max_v = 60, pairs = 2, bonded = true"), "suits-power"),
        (with_values("ohm = 1, max_v = 60, pairs = 4, bonded = false"), "bonded"),
        (outdoors('ip = "IP20"'), "weather-rating"),
    ],
)
def test_a_remedy_is_offered_as_a_change(text: str, check: str) -> None:
    assert carried_out(text, RULE) == [check]


def test_what_is_read_off_a_plate_or_measured_is_not_changed() -> None:
    assert carried_out(outdoors('ip = { is = "IP20", origin = "nameplate" }'), RULE) == []
    measured = '{ is = 50, origin = "measured" }'
    assert carried_out(with_values(f"ohm = 1, max_v = {measured}, pairs = 4, bonded = true"), RULE) == []


spaces = st.sampled_from(["office", "pier", "wall", "trench", "hut"])
ways = st.lists(st.tuples(spaces, st.integers(1, 30)), min_size=1, max_size=4)
values_of = st.tuples(
    st.sampled_from(["", "max_v = 50", "max_v = 57", "max_v = 80"]),
    st.sampled_from(["", "pairs = 2", "pairs = 4"]),
    st.sampled_from(["", "bonded = true", "bonded = false"]),
    st.sampled_from(["", "ohm = 1"]),
    st.sampled_from(["", 'space = "office"', 'space = "pier"', "at_m = 3"]),
)
inline_values = st.lists(values_of, max_size=2)


def drawn(way: list[tuple[str, int]], inlines: list[tuple[str, ...]], ip: str, end: str) -> str:
    names = tuple("ab"[: len(inlines)])
    text = "".join(
        protector(name, values=", ".join(value for value in values if value)).replace(", }", " }")
        for name, values in zip(names, inlines)
    )
    stretches = ", ".join(f'{{ space = "{space}", m = {metres} }}' for space, metres in way)
    return design(
        f"route = [{stretches}]", device=f'space = "{end}", ip = "{ip}"', through=names, inline=text
    )


@given(ways, inline_values, st.sampled_from(["IP20", "IP44", "IP6X", "IP67"]), spaces)
@settings(max_examples=30, deadline=None)
def test_remedies_hold_whatever_the_design(
    way: list[tuple[str, int]], inlines: list[tuple[str, ...]], ip: str, end: str
) -> None:
    carried_out(drawn(way, inlines, ip, end), RULE)


@given(ways, inline_values, spaces)
@settings(max_examples=60, deadline=None)
def test_a_good_protector_at_each_end_is_never_blamed(
    way: list[tuple[str, int]], inlines: list[tuple[str, ...]], end: str
) -> None:
    good = ("max_v = 60", "pairs = 4", "bonded = true", "ohm = 1", "")
    findings = review_text(drawn(way, [good, good], "IP67", end), [RULE]).findings
    assert {finding.check.name for finding in findings} <= {"between-buildings"}
    worse = review_text(drawn(way, inlines, "IP67", end), [RULE]).findings
    assert len(worse) >= len(findings)


@given(ways, spaces, spaces)
@settings(max_examples=60, deadline=None)
def test_an_exposure_that_is_not_known_is_open_where_knowing_it_would_turn_the_answer(
    way: list[tuple[str, int]], end: str, hidden: str
) -> None:
    text = drawn(way, [], "IP67", end)
    line = next(line for line in SPACES.splitlines() if line.startswith(hidden))

    def kinds(exposure: str) -> set[str]:
        word = line.split('exposure = "')[1].split('"')[0]
        changed = text.replace(line, line.replace(f'exposure = "{word}"', f'exposure = "{exposure}"'))
        findings = review_text(changed, [RULE]).findings
        return {finding.answer.kind for finding in findings if finding.check.name == "protector"}

    inside, outside, unknown = kinds("indoor"), kinds("outdoor"), kinds("unknown")
    if not inside and "fail" in outside:
        assert "open" in unknown
        assert "fail" not in unknown
    if "fail" in inside and "fail" in outside:
        assert unknown
