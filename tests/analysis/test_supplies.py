"""What a source has: watts by input voltage and ambient, and budgets of groups of ports.

The nameplates are invented; what counts at a voltage and an ambient is read off them by hand.
"""

import tempfile
from pathlib import Path

import pytest

from riserlint import Built, Gear, Span, supplies
from riserlint.design.paths import path_text
from riserlint.design.reading import read_basis, read_design

PLATE = "[{ w = 740, volts = 230 }, { w = 600, volts = 120 }]"
HOT = "[{ w = 740, max_c = 40 }, { w = 555, max_c = 50 }]"


def built(text: str, basis: str = "") -> Built:
    with tempfile.TemporaryDirectory() as name:
        root = Path(name).resolve()
        (root / ".git").mkdir()
        (root / "basis.toml").write_text(basis, encoding="utf-8")
        file = root / "design.toml"
        file.write_text(f'[design]\ntitle = "t"\n{text}', encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
        assert problems == []
        return Built(design)


def one_switch(gear: str, more: str = "", basis: str = "") -> tuple[Built, Gear]:
    found = built(f"{more}[switch]\ncore = {{ {gear} }}\n", basis)
    assert found.problems == []
    return found, found.gear["core"]


def missing(limit: supplies.Limited) -> list[str]:
    return [path_text(path) for path in limit.missing]


@pytest.mark.parametrize(
    ("source", "places", "watts", "unknown"),
    [
        ("db", "[circuit]\ndb = { volts = 230 }\n", (740, 740), []),
        ("db", "[circuit]\ndb = { volts = 208 }\n", (600, 600), []),
        ("db", "[circuit]\ndb = { volts = 100 }\n", (0, 600), ["switch.core.supplies[0].poe_w"]),
        ("db", "[circuit]\ndb = {}\n", (600, 740), ["circuit.db.volts"]),
        ("mains", "", (600, 740), ["switch.core.supplies[0].from"]),
        ("db", '[circuit]\ndb = { from = "dist" }\ndist = { volts = 120 }\n', (600, 600), []),
        ("db", '[circuit]\ndb = { from = "dist", volts = 230 }\ndist = { volts = 120 }\n', (740, 740), []),
        ("u", '[circuit]\ndb = { volts = 230 }\n[ups]\nu = { from = "db" }\n', (740, 740), []),
        ("u", '[circuit]\ndb = { volts = 230 }\n[ups]\nu = { from = "db", volts = 120 }\n', (600, 600), []),
        (
            "db",
            '[circuit]\ndb = { from = "u" }\n[ups]\nu = { from = "db" }\n',
            (600, 740),
            ["circuit.db.volts"],
        ),
    ],
)
def test_the_voltage_is_that_of_the_nearest_above_that_states_it(
    source: str, places: str, watts: tuple[float, float], unknown: list[str]
) -> None:
    found, core = one_switch(f'supplies = [{{ from = "{source}", poe_w = {PLATE} }}]', places)
    limit = supplies.supplied(found, core)
    assert limit is not None
    assert limit.watts == Span(*watts)
    assert missing(limit) == unknown


@pytest.mark.parametrize(
    ("space", "watts", "unknown"),
    [
        ("room = { max_c = 38 }", (740, 740), []),
        ("room = { max_c = 41 }", (555, 555), []),
        ("room = { max_c = 55 }", (0, 555), ["switch.core.pse.budget_w"]),
        ("room = {}", (0, 740), ["space.room.max_c"]),
    ],
)
def test_the_ambient_is_the_hottest_of_the_space(
    space: str, watts: tuple[float, float], unknown: list[str]
) -> None:
    found, core = one_switch(f'space = "room", pse = {{ budget_w = {HOT} }}', f"[space]\n{space}\n")
    limit = supplies.budget_of(found, core)
    assert limit.watts == Span(*watts)
    assert missing(limit) == unknown


def test_a_space_that_nobody_names_is_what_is_missing() -> None:
    found, core = one_switch(f"pse = {{ budget_w = {HOT} }}")
    assert missing(supplies.budget_of(found, core)) == ["switch.core.space"]


def test_an_assumed_ambient_counts_and_is_rested_on() -> None:
    found, core = one_switch(f"pse = {{ budget_w = {HOT} }}", basis="[assume]\nspace = { max_c = 45 }\n")
    limit = supplies.budget_of(found, core)
    assert limit.watts == Span(555, 555)
    assert ("basis", "assume", "space", "max_c") in limit.rests_on
    assert limit.words == "its budget, 555 W at 45 °C"


def test_two_supplies_at_different_voltages() -> None:
    places = "[circuit]\na = { volts = 230 }\nb = { volts = 120 }\n"
    listed = f'supplies = [{{ from = "a", poe_w = {PLATE} }}, {{ from = "b", poe_w = {PLATE} }}]'
    found, core = one_switch(f'{listed}, supply_mode = "combined"', places)
    limit = supplies.supplied(found, core)
    assert limit is not None
    assert limit.watts == Span(1340, 1340)
    assert limit.words == "its supplies (740 W at 230 V, 600 W at 120 V)"
    # With the first failed the other gives what it gives at its own 120 V, and the other way round.
    assert [lost.left.watts for lost in supplies.supplies_lost(found, core)] == [
        Span(600, 600),
        Span(740, 740),
    ]
    # A budget by voltage of a source with supplies at both: either may count.
    found, core = one_switch(f"{listed}, pse = {{ budget_w = {PLATE} }}, supply_mode = 'combined'", places)
    assert supplies.budget_of(found, core).watts == Span(600, 740)


def test_a_budget_is_not_more_than_the_supplies_give_at_their_voltage() -> None:
    places = "[circuit]\ndb = { volts = 120 }\n"
    supply = f'supplies = [{{ from = "db", poe_w = {PLATE} }}]'
    for budget, watts, at in (("700", 600, "poe_w"), ("500", 500, "budget_w"), ('"none"', 600, "poe_w")):
        found, core = one_switch(f"{supply}, pse = {{ budget_w = {budget} }}", places)
        limit = supplies.budget_of(found, core)
        assert limit.watts == Span(watts, watts)
        assert limit.at[-1] == at
    assert supplies.supplies_allow(found, core, 600)
    assert not supplies.supplies_allow(found, core, 601)


def test_an_injector_stands_where_its_run_passes() -> None:
    text = (
        "[space]\nhall = { max_c = 30 }\nroof = { max_c = 45 }\n"
        f"[inline]\ni = {{ kind = 'injector', pse = {{ budget_w = {HOT} }} }}\n"
        "[switch]\ncore = { ports = { 1 = {} } }\n[device]\ncam = {}\n"
        "[run]\nR = { from = 'core/1', to = 'cam', through = ['i'], "
        "route = [{ space = 'hall' }, { space = 'roof' }] }\n"
    )
    found = built(text)
    assert supplies.budget_of(found, found.inlines["i"]).watts == Span(555, 740)
    found = built(text.replace("'roof' }", "'hall' }"))
    assert supplies.budget_of(found, found.inlines["i"]).watts == Span(740, 740)


# -- problems of reading -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gear", "path", "message"),
    [
        (
            "pse = { groups = [{ ports = '1-4' }, { ports = '4-6' }] }, ports = { 1-8 = {} }",
            "switch.core.pse.groups[1].ports",
            'port 4 is in two groups: "1-4" and "4-6"',
        ),
        (
            "pse = { groups = [{ ports = '7-9' }] }, ports = { 1-8 = {} }",
            "switch.core.pse.groups[0].ports",
            'core has no port "9"',
        ),
        (
            "pse = { groups = [{ ports = '9-7' }] }, ports = { 1-8 = {} }",
            "switch.core.pse.groups[0].ports",
            "the range of ports '9-7' runs backwards",
        ),
        (
            "pse = { budget_w = [{ w = 1, volts = 230 }, { w = 1, max_c = 40 }] }",
            "switch.core.pse.budget_w[1]",
            "all points must state the same of `volts` and `max_c` as the first",
        ),
        (
            "supplies = [{ poe_w = [{ w = 1, volts = 230 }, { w = 2, volts = 230 }] }]",
            "switch.core.supplies[0].poe_w[1]",
            "two points hold for the same voltage and ambient",
        ),
        (
            "pse = { groups = [{ ports = '1', budget_w = [{ w = 1 }, { w = 2 }] }] }",
            "switch.core.pse.groups[0].budget_w[1]",
            "two points hold for the same voltage and ambient",
        ),
    ],
)
def test_groups_and_points_that_contradict_themselves_have_a_place(
    gear: str, path: str, message: str
) -> None:
    problems = built(f"[switch]\ncore = {{ {gear} }}\n").problems
    assert [(path_text(problem.path), problem.message) for problem in problems] == [(path, message)]
    assert problems[0].line == 4


def test_a_problem_of_a_part_is_told_once() -> None:
    text = (
        "[part]\np = { pse = { groups = [{ ports = '1' }, { ports = '1' }] }, ports = { 1-8 = {} } }\n"
        "[switch]\na = { part = 'p' }\nb = { part = 'p' }\n"
    )
    assert [path_text(problem.path) for problem in built(text).problems] == ["part.p.pse.groups[1].ports"]


def test_an_injector_has_no_groups() -> None:
    text = "[inline]\ni = { kind = 'injector', pse = { groups = [{ ports = '1' }] } }\n"
    assert [path_text(problem.path) for problem in built(text).problems] == ["inline.i.pse.groups"]


# -- what is not known may be less ------------------------------------------------------------------------------------


def test_supplies_alone_bound_a_budget_from_above_and_do_not_make_one() -> None:
    found, core = one_switch('supplies = [{ from = "mains", poe_w = 400 }], pse = { type = 4 }')
    limit = supplies.budget_of(found, core)
    assert limit.watts == Span(0, 400)
    assert missing(limit) == ["switch.core.pse.budget_w"]
    # ... and a switch that says that it has none of its own has what they give.
    found, core = one_switch('supplies = [{ from = "mains", poe_w = 400 }], pse = { budget_w = "none" }')
    assert supplies.budget_of(found, core).watts == Span(400, 400)


@pytest.mark.parametrize(
    ("at_m", "watts", "unknown"),
    [
        ("at_m = 5", (740, 740), []),
        ("at_m = 25", (555, 555), []),
        ("", (555, 740), ["inline.i.at_m"]),
        ("at_m = 5, space = 'plant'", (740, 740), []),
    ],
)
def test_an_injector_is_as_warm_as_the_stretch_that_it_stands_in(
    at_m: str, watts: tuple[float, float], unknown: list[str]
) -> None:
    comma = ", " if at_m else ""
    found = built(
        "[space]\nroom = { max_c = 30 }\nplant = { max_c = 45 }\n"
        f"[inline]\ni = {{ kind = 'injector', {at_m}{comma}pse = {{ budget_w = {HOT} }} }}\n"
        "[switch]\ncore = { ports = { 1-2 = { pse_class = 'none' } } }\n"
        "[device]\nd = { pd = { pd_class = 4 } }\n"
        "[run]\nR = { from = 'core/1', to = 'd', link_m = 40, through = ['i'], "
        "route = [{ space = 'room', m = 20 }, { space = 'plant', m = 20 }] }\n"
    )
    assert found.problems == []
    limit = supplies.budget_of(found, found.inlines["i"])
    assert limit.watts == Span(*watts)
    assert missing(limit) == unknown
