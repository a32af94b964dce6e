"""The rule jacket-space, row by row: a sentence, a design, and all that the rule is expected to say of it.

Published beside the checks: the order CMP, CMR, CMG = CM, CMX and the place of each (a summary of the flame ratings
of NFPA 70, 1999; a maker's note with the same order); 15 m (50 ft) of unlisted outdoor cable from the point of
entrance (a code question answered in a trade paper, forum threads that quote 800.48); the classes of EN 13501-6 and
the minimum that BS 6701 recommends, Cca-s1b,d2,a2 (trade papers of 2018). From memory: the exceptions of 300.22(C)
and 800.113, the Class 2 types beside the communications types, 3 m of CMX.
"""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remedies import carried_out
from riserlint.engineering.jackets import compared, lowest_mark, parts_of, step_of
from riserlint.testing import Case, Expected, pointed_at, review_text, said
from riserlint_rules.jacket_space import RULE

SPACES = """room = { floor = 0, air = "none", exposure = "indoor" }
void = { floor = 0, air = "plenum", exposure = "indoor" }
upper = { floor = 1, air = "none", exposure = "indoor" }
pier = { floor = 0, air = "none", exposure = "outdoor" }
eaves = { floor = 0, air = "none", exposure = "sheltered" }
flue = { floor = 0, air = "duct", exposure = "indoor" }"""


def design(
    cable: str = 'jacket = "CMR"',
    place: str = 'space = "room"',
    *,
    region: str = "north-america",
    spaces: str = SPACES,
    more: str = "",
    device: str = "",
) -> str:
    """Return a design of one run with what a row changes."""
    region = f'region = "{region}"' if region else ""
    return f"""
[design]
title = "Library annex"
{region}
[space]
{spaces}
[cable]
blue = {{ {cable} }}
[switch]
core = {{ ports = {{ 1-8 = {{ pse_class = "none" }} }} }}
[device]
cam = {{ from = "mains"{device} }}
[run]
R-1 = {{ from = "core/1", to = "cam", cable = "blue", link_m = 40{", " if place else ""}{place} }}
{more}"""


def route(*stretches: str) -> str:
    return "route = [" + ", ".join(f"{{ {stretch} }}" for stretch in stretches) + "]"


def pathway(values: str, bundle: str = "b") -> str:
    return f'[bundle]\n{bundle} = {{ pathway = "p" }}\n[pathway]\np = {{ {values} }}\n'


IN_BUNDLE = 'space = "void", bundle = "b"'
UP = route('space = "room", m = 10', 'space = "upper", m = 30')
SHAFT = 'shaft = { air = "none", exposure = "indoor" }'
UP_SHAFT = route('space = "room", m = 10', 'space = "shaft", m = 4, bundle = "b"', 'space = "upper", m = 26')
FROM_PIER = 'space = "pier", m = 20', 'space = "room", m = 15'
CABLE = "cable.blue"


def one(check: str, outcome: str, points_at: str, subject: str = CABLE) -> tuple[Expected, ...]:
    return (Expected(check, outcome, subject, points_at),)


PLENUM = [
    Case("CMP may lie in a plenum", design('jacket = "CMP"', 'space = "void"')),
    Case("so may CL2P, which holds for PoE as CMP does", design('jacket = "CL2P"', 'space = "void"')),
    Case(
        "CM may not",
        design('jacket = "CM"', 'space = "void"'),
        one("plenum", "error", '"CM"'),
    ),
    Case("nor may CMR", design(place='space = "void"'), one("plenum", "error", '"CMR"')),
    Case("nor may CL3R", design('jacket = "CL3R"', 'space = "void"'), one("plenum", "error", '"CL3R"')),
    Case(
        "metal raceway lets a lower type be",
        design('jacket = "CM"', IN_BUNDLE, more=pathway('raceway = "metal"')),
    ),
    Case(
        "plastic raceway does not",
        design('jacket = "CM"', IN_BUNDLE, more=pathway('raceway = "nonmetallic"')),
        one("plenum", "error", '"CM"'),
    ),
    Case(
        "a tray is no raceway",
        design('jacket = "CM"', IN_BUNDLE, more=pathway('kind = "open-tray"')),
        one("plenum", "error", '"CM"'),
    ),
    Case(
        "a closed conduit may be metal: it is not known",
        design('jacket = "CM"', IN_BUNDLE, more=pathway('kind = "closed-conduit"')),
        one("plenum", "open", '"CM"'),
    ),
    Case(
        "with CMP nobody needs to know the conduit",
        design('jacket = "CMP"', IN_BUNDLE, more=pathway('kind = "closed-conduit"')),
    ),
    Case(
        "a space that does not say whether it moves air, in a design where another does",
        design(
            'jacket = "CM"', 'space = "loft"', spaces=SPACES + '\nloft = { floor = 0, exposure = "indoor" }'
        ),
        one("plenum", "open", '"CM"'),
    ),
    Case(
        "CMP does there, whatever it is",
        design(
            'jacket = "CMP"', 'space = "loft"', spaces=SPACES + '\nloft = { floor = 0, exposure = "indoor" }'
        ),
    ),
    Case(
        "a duct is looked at by a human",
        design('jacket = "CMP"', 'space = "flue"'),
        one("plenum", "review", '"CMP"'),
    ),
    Case(
        "a jacket that is not known is asked for where a plenum asks",
        design("", 'space = "void"'),
        one("plenum", "open", "blue"),
    ),
    Case(
        "many runs of one kind make one finding",
        design(
            'jacket = "CM"',
            'space = "void"',
            more='R-2 = { from = "core/2", cable = "blue", space = "void" }\n'
            'R-3 = { from = "core/3", cable = "blue", space = "void" }\n',
        ),
        one("plenum", "error", '"CM"'),
    ),
    Case("nothing is asked in Europe", design('jacket = "CM"', 'space = "void"', region="europe")),
    Case(
        "without a region it is not known whether the code of North America applies",
        design('jacket = "CM"', 'space = "void"', region=""),
        one("plenum", "open", '"CM"'),
    ),
    Case("without a region CMP does all the same", design('jacket = "CMP"', 'space = "void"', region="")),
    Case(
        "a run of no known kind through a plenum",
        design('jacket = "CMP"', 'space = "void"', more='R-2 = { from = "core/2", space = "void" }\n'),
        (Expected("plenum", "open", "design", "R-2"),),
    ),
    Case(
        "a run of no known place",
        design('jacket = "CMR"', "", spaces='void = { air = "plenum" }'),
        one("plenum", "open", '"CMR"'),
    ),
    Case(
        "a jacket without any mark",
        design('jacket = "none"', 'space = "void"'),
        one("plenum", "error", '"none"'),
    ),
]
RISER = [
    Case("CMR may pass from floor to floor", design(place=UP)),
    Case("CM may not", design('jacket = "CM"', UP), one("riser", "error", '"CM"')),
    Case("CL2 may not", design('jacket = "CL2"', UP), one("riser", "error", '"CL2"')),
    Case("on one floor CM does", design('jacket = "CM"')),
    Case(
        "gear at the end stands on another floor than the route",
        design('jacket = "CM"', device=', space = "upper"'),
        one("riser", "error", '"CM"'),
    ),
    Case(
        "a stretch of its own in metal raceway",
        design(
            'jacket = "CM"', UP_SHAFT, spaces=f"{SPACES}\n{SHAFT}", more=pathway('raceway = "rigid-metal"')
        ),
    ),
    Case(
        "a stretch of its own in a fire-rated shaft",
        design(
            'jacket = "CM"',
            UP_SHAFT,
            spaces=f"{SPACES}\n{SHAFT}",
            more=pathway('raceway = "none", fire_rated_shaft = true'),
        ),
    ),
    Case(
        "a shaft that is not fire-rated",
        design(
            'jacket = "CM"',
            UP_SHAFT,
            spaces=f"{SPACES}\n{SHAFT}",
            more=pathway('raceway = "none", fire_rated_shaft = false'),
        ),
        one("riser", "error", '"CM"'),
    ),
    Case(
        "a shaft of which nobody knows whether it is fire-rated",
        design(
            'jacket = "CM"',
            UP_SHAFT,
            spaces=f"{SPACES}\n{SHAFT}",
            more=pathway('raceway = "none", fire_rated_shaft = "unknown"'),
        ),
        one("riser", "open", '"CM"'),
    ),
    Case(
        "raceway on one of the two floors: whether it goes through the floor is to be looked at",
        design(
            'jacket = "CM"',
            route('space = "room", m = 10, bundle = "b"', 'space = "upper", m = 30'),
            more=pathway('raceway = "metal"'),
        ),
        one("riser", "review", '"CM"'),
    ),
    Case(
        "a space of unknown floor on the way",
        design(
            'jacket = "CM"',
            route('space = "room", m = 10', 'space = "loft", m = 30'),
            spaces=SPACES + '\nloft = { air = "none", exposure = "indoor" }',
        ),
        one("riser", "open", '"CM"'),
    ),
    Case(
        "in a plenum and from floor to floor are two findings",
        design('jacket = "CM"', route('space = "void", m = 10', 'space = "upper", m = 30')),
        (*one("plenum", "error", '"CM"'), *one("riser", "error", '"CM"')),
    ),
]
GENERAL = [
    Case("CM may lie in any room", design('jacket = "CM"')),
    Case("CMG is as good as CM", design('jacket = "CMG"')),
    Case("CMX may not", design('jacket = "CMX"'), one("general", "error", '"CMX"')),
    Case("cable without a mark may not", design('jacket = "none"'), one("general", "error", '"none"')),
    Case(
        "CMX in raceway may, of any material",
        design('jacket = "CMX"', 'space = "room", bundle = "b"', more=pathway('raceway = "nonmetallic"')),
    ),
    Case(
        "3 m of CMX may, where they are exposed",
        design('jacket = ["CMX", "outdoor"]', route('space = "pier", m = 37', 'space = "room", m = 3')),
        one("general", "review", "jacket"),
    ),
    Case(
        "in a dwelling CMX may",
        design('jacket = "CMX"'),
        basis="[rule.jacket-space]\ndwelling = true\n",
    ),
    Case(
        "CMX from floor to floor is one finding, not three",
        design('jacket = "CMX"', UP),
        one("riser", "error", '"CMX"'),
    ),
    Case(
        "a space that is not known to be indoors",
        design(
            'jacket = ["CMX", "outdoor"]',
            'space = "yard"',
            spaces=SPACES + '\nyard = { floor = 0, air = "none" }',
        ),
        one("general", "open", "jacket"),
    ),
]
OUTDOOR = [
    Case("a mark for outdoors", design('jacket = ["CMX", "outdoor"]', 'space = "pier"')),
    Case("CMR outdoors", design(place='space = "pier"'), one("outdoor-jacket", "warning", '"CMR"')),
    Case(
        "a note on a sheltered wall", design(place='space = "eaves"'), one("outdoor-jacket", "note", '"CMR"')
    ),
    Case(
        "sun and water know no region",
        design(place='space = "pier"', region="europe"),
        one("outdoor-jacket", "warning", '"CMR"'),
    ),
    Case(
        "a jacket that is not known is asked for outdoors, in Europe too",
        design("", 'space = "pier"', region="europe"),
        one("outdoor-jacket", "open", "blue"),
    ),
    Case("indoors in Europe it is not asked for", design("", region="europe")),
    Case(
        "a space of unknown exposure",
        design(place='space = "yard"', spaces=SPACES + '\nyard = { floor = 0, air = "none" }'),
        one("outdoor-jacket", "open", '"CMR"'),
    ),
]
ENTRANCE = [
    Case("15 m of unlisted outdoor cable indoors", design('jacket = "outdoor"', route(*FROM_PIER))),
    Case(
        "16 m of it",
        design('jacket = "outdoor"', route('space = "pier", m = 20', 'space = "room", m = 16')),
        one("entrance-length", "error", "route", "run.R-1"),
    ),
    Case(
        "10 m and 6 m in two rooms one after the other",
        design(
            'jacket = "outdoor"',
            route('space = "pier", m = 20', 'space = "room", m = 10', 'space = "hall", m = 6'),
            spaces=SPACES + '\nhall = { floor = 0, air = "none", exposure = "indoor" }',
        ),
        one("entrance-length", "error", "route", "run.R-1"),
    ),
    Case(
        "a building that it passes through is entered from both sides",
        design(
            'jacket = "outdoor"',
            route('space = "pier", m = 20', 'space = "room", m = 29', 'space = "pier", m = 5'),
        ),
    ),
    Case(
        "bonded rigid metal conduit moves the point of entrance",
        design(
            'jacket = "outdoor"',
            route('space = "pier", m = 20', 'space = "room", m = 30, bundle = "b"', 'space = "room", m = 10'),
            more=pathway('raceway = "rigid-metal", bonded = true'),
        ),
    ),
    Case(
        "rigid conduit of unknown bond may",
        design(
            'jacket = "outdoor"',
            route('space = "pier", m = 20', 'space = "room", m = 30, bundle = "b"', 'space = "room", m = 10'),
            more=pathway('raceway = "rigid-metal"'),
        ),
        one("entrance-length", "open", '"blue"', "run.R-1"),
    ),
    Case(
        "thin-walled conduit does not",
        design(
            'jacket = "outdoor"',
            route('space = "pier", m = 20', 'space = "room", m = 30, bundle = "b"', 'space = "room", m = 10'),
            more=pathway('raceway = "metal", bonded = true'),
        ),
        one("entrance-length", "error", "route", "run.R-1"),
    ),
    Case(
        "metres that are not known",
        design('jacket = "outdoor"', route('space = "pier", m = 20', 'space = "room"')),
        one("entrance-length", "open", '"blue"', "run.R-1"),
    ),
    Case(
        "it does not come from outdoors",
        design('jacket = "outdoor"'),
        one("entrance-length", "error", '"blue"', "run.R-1"),
    ),
    Case(
        "from outdoors into a plenum is the plenum's finding",
        design('jacket = "outdoor"', route('space = "pier", m = 20', 'space = "void", m = 30')),
        one("plenum", "error", '"outdoor"'),
    ),
    Case(
        "listed outdoor cable may go on",
        design('jacket = ["CMR", "outdoor"]', route('space = "pier", m = 9', 'space = "room", m = 60')),
    ),
    Case("it stays outdoors", design('jacket = "outdoor"', 'space = "pier"')),
    Case(
        "no such limit in Europe",
        design(
            'jacket = "outdoor"', route('space = "pier", m = 9', 'space = "room", m = 60'), region="europe"
        ),
    ),
]
ASKS_UK = '[rule.jacket-space]\nfire_class = "Cca-s1b,d2,a2"\n'


def european(fire_class: str, place: str = 'space = "room"') -> str:
    stated = f'fire_class = "{fire_class}", ' if fire_class else ""
    return design(f'{stated}jacket = "outdoor"', place, region="europe")


FIRE = [
    Case("the class that is asked for", european("Cca-s1b-d2-a2"), basis=ASKS_UK),
    Case("a better one in every part", european("B2ca-s1a-d1-a1"), basis=ASKS_UK),
    Case("no fuel at all", european("Aca"), basis=ASKS_UK),
    Case(
        "a lower main class",
        european("Dca-s1a-d1-a1"),
        one("fire-class", "error", '"Dca-s1a-d1-a1"'),
        ASKS_UK,
    ),
    Case("more smoke", european("B2ca-s2-d1-a1"), one("fire-class", "error", '"B2ca-s2-d1-a1"'), ASKS_UK),
    Case("more acid", european("B2ca-s1a-d1-a3"), one("fire-class", "error", '"B2ca-s1a-d1-a3"'), ASKS_UK),
    Case("no further classes at all", european("Eca"), one("fire-class", "error", '"Eca"'), ASKS_UK),
    Case("its smoke is not stated", european("B2ca"), one("fire-class", "open", '"B2ca"'), ASKS_UK),
    Case("its class is not stated", european(""), one("fire-class", "open", "blue"), ASKS_UK),
    Case("outdoors no class is asked for", european("", 'space = "pier"'), basis=ASKS_UK),
    Case("nobody asks for a class", european("Fca")),
    Case("a class of Europe is not asked in North America", design(), basis=ASKS_UK),
    Case(
        "it is not known whether it is outdoors alone",
        design(
            'fire_class = "Fca", jacket = "outdoor"',
            'space = "yard"',
            region="europe",
            spaces=SPACES + "\nyard = {}",
        ),
        one("fire-class", "open", '"Fca"'),
        ASKS_UK,
    ),
]
NOTHING = [
    Case(
        "a design that says nothing of its spaces is asked nothing",
        design("", 'space = "a"', spaces="a = { max_c = 30 }"),
    ),
    Case(
        "unless the basis asks it of every space",
        design('jacket = "CMR"', 'space = "a"', spaces="a = { max_c = 30 }"),
        (*one("plenum", "open", '"CMR"'), *one("outdoor-jacket", "open", '"CMR"')),
        "[rule.jacket-space]\nevery_space = true\n",
    ),
]
CASES = [*PLENUM, *RISER, *GENERAL, *OUTDOOR, *ENTRANCE, *FIRE, *NOTHING]


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


def test_a_cable_in_a_plenum_reads_with_its_marks_its_place_and_its_runs() -> None:
    text = design(
        'jacket = "CL2"', 'space = "void"', more='R-2 = { from = "core/2", cable = "blue", space = "void" }\n'
    )
    (finding,) = review_text(text, [RULE]).findings
    answer = finding.answer
    assert answer.message == "cable blue (CL2) lies in void, a plenum, where CMP or higher is asked: R-1, R-2"
    assert answer.working == "CL2, step 2 < CMP, step 4 of the order of substitution"
    assert (answer.value, answer.limit, answer.margin) == (2, 4, -2)
    assert answer.remedy is not None
    assert answer.remedy.changes[0].value == "CL2P"
    assert pointed_at(finding) == '"CL2"'


def test_the_lowest_jacket_that_would_do_does_for_all_places_of_the_kind() -> None:
    text = design(
        'jacket = "CMX"', route('space = "pier", m = 5', 'space = "room", m = 5', 'space = "upper", m = 30')
    )
    findings = review_text(text, [RULE]).findings
    assert {finding.check.name for finding in findings} == {"riser", "outdoor-jacket"}
    for finding in findings:
        assert finding.answer.remedy is not None
        assert finding.answer.remedy.changes[0].value == ["CMR", "outdoor"]


def test_an_open_answer_names_what_is_missing_and_where_it_turns() -> None:
    text = design('jacket = "CM"', IN_BUNDLE, more=pathway('kind = "closed-conduit"'))
    (finding,) = review_text(text, [RULE]).findings
    assert finding.answer.missing == (("pathway", "p", "raceway"),)
    assert finding.answer.turns == "holds with CMP or higher"


def test_what_is_not_asked_is_not_applicable_and_says_why() -> None:
    review = review_text(design("", 'space = "a"', spaces="a = { max_c = 30 }"), [RULE])
    assert {skipped.why for skipped in review.not_applicable} == {
        "no space says anything of air, floor or exposure",
        "the basis asks for no class",
    }


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (design('fire_class = "Bca"'), 'expected a class such as "Cca-s1b-d1-a1" or "Eca", found "Bca"'),
        (
            design('fire_class = "Eca-s1"'),
            'expected a class such as "Cca-s1b-d1-a1" or "Eca", found "Eca-s1"',
        ),
        (design(device=', ip = "66"'), 'expected a code such as "IP66", found "66"'),
    ],
)
def test_a_class_or_a_code_that_there_is_not_is_refused(text: str, message: str) -> None:
    (problem,) = review_text(text, [RULE]).problems
    assert problem.message == message


# -- the orders ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("higher", "lower"),
    list(
        itertools.combinations([("CMP", "CL2P"), ("CMR", "CL2R"), ("CMG", "CM", "CL2"), ("CMX", "CL2X")], 2)
    ),
)
def test_a_higher_type_stands_in_for_a_lower_one_and_never_the_reverse(
    higher: tuple[str, ...], lower: tuple[str, ...]
) -> None:
    """The order as the published summaries have it."""
    for above, below in itertools.product(higher, lower):
        assert step_of([above]) > step_of([below])


@pytest.mark.parametrize("group", [("CMP", "CL3P"), ("CMR", "CL3R"), ("CMG", "CM", "CL3"), ("CMX", "CL3X")])
def test_types_of_one_place_are_of_one_step(group: tuple[str, ...]) -> None:
    assert len({step_of([mark]) for mark in group}) == 1


@pytest.mark.parametrize("step", [1, 2, 3, 4])
@pytest.mark.parametrize("family", ["CM", "CL2", "CL3"])
def test_the_lowest_mark_of_a_step_is_of_that_step_and_family(step: int, family: str) -> None:
    mark = lowest_mark(step, (family,))
    assert step_of([mark]) == step
    assert mark.startswith(family)


def test_there_is_no_fifth_step() -> None:
    with pytest.raises(ValueError, match="no type of cable has step 5"):
        lowest_mark(5)


MAINS = ["Aca", "B1ca", "B2ca", "Cca", "Dca", "Eca", "Fca"]
FURTHER = [
    f"-{smoke}-{droplets}-{acidity}"
    for smoke, droplets, acidity in itertools.product(
        ("s1a", "s1b", "s1", "s2", "s3"), ("d0", "d1", "d2"), ("a1", "a2", "a3")
    )
]
classes = st.one_of(
    st.sampled_from(["Aca", "Eca", "Fca"]),
    st.builds(lambda main, further: main + further, st.sampled_from(MAINS[1:5]), st.sampled_from(FURTHER)),
)


def meets(has: str, asked: str) -> bool:
    return all(part.meets for part in compared(has, asked))


@given(classes, classes, classes)
def test_classes_are_in_an_order(one: str, two: str, three: str) -> None:
    assert meets(one, one)
    if meets(one, two) and meets(two, three):
        assert meets(one, three)
    if meets(one, two) and meets(two, one):
        assert parts_of(one) == parts_of(two)


@pytest.mark.parametrize("wrong", ["Bca", "Cca-x1", "", "Cca s1"])
def test_no_class_is_refused(wrong: str) -> None:
    with pytest.raises(ValueError, match="is no class such as"):
        parts_of(wrong)


# -- remedies ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES, ids=[case.shows for case in CASES])
def test_the_remedies_of_every_row_hold(case: Case) -> None:
    carried_out(case.design, RULE, basis=case.basis)


@pytest.mark.parametrize(
    ("text", "basis", "check"),
    [
        (design('jacket = "CM"', 'space = "void"'), "", "plenum"),
        (design('jacket = "CM"', UP), "", "riser"),
        (design('jacket = "none"'), "", "general"),
        (design(place='space = "pier"'), "", "outdoor-jacket"),
        (european("Eca"), ASKS_UK, "fire-class"),
    ],
)
def test_a_remedy_is_offered_as_a_change(text: str, basis: str, check: str) -> None:
    assert carried_out(text, RULE, basis=basis) == [check]


def test_a_measured_or_assumed_jacket_is_not_changed() -> None:
    read = design('jacket = { is = "CM", origin = "measured" }', 'space = "void"')
    assert carried_out(read, RULE) == []
    assumed = '[assume]\ncable = { jacket = "CM" }\n'
    (finding,) = review_text(design("", 'space = "void"'), [RULE], basis=assumed).findings
    assert finding.level == "error"
    assert finding.assumed == ("cable.jacket",)
    assert carried_out(design("", 'space = "void"'), RULE, basis=assumed) == []


MARKS = ["CMP", "CMR", "CMG", "CM", "CMX", "CL3P", "CL3R", "CL3", "CL2P", "CL2R", "CL2", "CL2X", "outdoor"]
stretches = st.lists(
    st.builds(
        lambda space, m, bundle: f'space = "{space}", m = {m}{bundle}',
        st.sampled_from(["room", "void", "upper", "pier", "eaves", "flue"]),
        st.integers(1, 25),
        st.sampled_from(["", ', bundle = "b"']),
    ),
    min_size=1,
    max_size=4,
)
pathways = st.sampled_from(
    [
        'raceway = "metal"',
        'raceway = "rigid-metal", bonded = true',
        'raceway = "nonmetallic"',
        'kind = "closed-conduit"',
        'raceway = "none", fire_rated_shaft = true',
    ]
)
jacket_marks = st.lists(st.sampled_from(MARKS), min_size=1, max_size=2, unique=True)


def with_marks(marks: list[str], way: list[str], carries: str) -> str:
    stated = ", ".join(f'"{mark}"' for mark in marks)
    return design(f"jacket = [{stated}]", route(*way), more=pathway(carries))


@given(jacket_marks, stretches, pathways)
@settings(max_examples=30, deadline=None)
def test_remedies_hold_whatever_the_design(marks: list[str], way: list[str], carries: str) -> None:
    carried_out(with_marks(marks, way, carries), RULE)


@given(jacket_marks, stretches, pathways)
@settings(max_examples=60, deadline=None)
def test_a_jacket_of_all_marks_passes_but_for_ducts(marks: list[str], way: list[str], carries: str) -> None:
    findings = review_text(with_marks(["CMP", "outdoor"], way, carries), [RULE]).findings
    assert all(finding.answer.kind == "review" and "duct" in finding.answer.message for finding in findings)
    before = review_text(with_marks(marks, way, carries), [RULE]).findings
    assert len(findings) <= len(before)


@given(jacket_marks, stretches, pathways)
@settings(max_examples=60, deadline=None)
def test_what_is_not_known_never_passes_or_fails_where_knowing_it_could_turn_it(
    marks: list[str], way: list[str], carries: str
) -> None:
    """An unknown air of a space: a fail then holds with either, and a pass too."""
    text = with_marks(marks, way, carries)
    loose = text.replace('air = "plenum"', 'air = "unknown"')
    sealed = text.replace('air = "plenum"', 'air = "none"')

    def kinds(design_text: str) -> set[tuple[str, str]]:
        return {(f.check.name, f.answer.kind) for f in review_text(design_text, [RULE]).findings}

    open_or_more = {check for check, kind in kinds(loose) if check == "plenum"}
    plenum_fails = {check for check, kind in kinds(text) if check == "plenum" and kind == "fail"}
    sealed_fails = {check for check, kind in kinds(sealed) if check == "plenum" and kind == "fail"}
    assert plenum_fails | sealed_fails <= open_or_more
    assert ("plenum", "fail") not in kinds(loose)
