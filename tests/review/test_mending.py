"""Remedies as edits: what a change becomes in the text, letter by letter."""

import math
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import pytest
import tomli
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint import Change, Remedy
from riserlint.design.reading import Design, read_basis, read_design, root_of
from riserlint.review.mending import Edit, edited, edits_of, toml_key, toml_value
from riserlint.testing import mended

HEAD = '[design]\ntitle = "x"\n'


def after(text: str, *changes: tuple[Any, Any]) -> str:
    """Return the text below the head after changes; it is TOML and nothing but the changed values differs."""
    whole = mended(HEAD + text, Remedy("", tuple(Change(at, value) for at, value in changes)))
    wanted = tomli.loads(HEAD + text)
    for at, value in changes:
        _put(wanted, at, value)
    assert tomli.loads(whole) == wanted
    assert whole.startswith(HEAD)
    return whole.removeprefix(HEAD)


def _put(data: Any, at: tuple[Any, ...], value: Any) -> None:
    for part in at[:-1]:
        data = data.setdefault(part, {}) if isinstance(data, dict) else data[part]
    last = data.get(at[-1]) if isinstance(data, dict) else None
    if value is None:
        del data[at[-1]]
    elif isinstance(last, dict) and "is" in last:
        last["is"] = value
    else:
        data[at[-1]] = list(value) if isinstance(value, tuple) else value


LINK = ("run", "R-1", "link_m")

WRITTEN: dict[str, tuple[str, tuple[tuple[Any, Any], ...], str]] = {
    "a plain value": (
        '[run]\nR-1 = { to = "a", link_m = 95.5, pairs = 2 } # note\n',
        ((LINK, 90.0),),
        '[run]\nR-1 = { to = "a", link_m = 90, pairs = 2 } # note\n',
    ),
    "a value under a header": (
        "[run.R-1]\nlink_m = 95.5 # note\n",
        ((LINK, 89.5),),
        "[run.R-1]\nlink_m = 89.5 # note\n",
    ),
    "a value under a dotted key": ("[run]\nR-1.link_m = 95\n", ((LINK, 90),), "[run]\nR-1.link_m = 90\n"),
    "the value of one written in full": (
        '[run]\nR-1 = { link_m = { is = 95, origin = "drawing" } }\n',
        ((LINK, 90),),
        '[run]\nR-1 = { link_m = { is = 90, origin = "drawing" } }\n',
    ),
    "a value that is written as unknown": (
        '[run]\nR-1 = { link_m = "unknown" }\n',
        ((LINK, 5),),
        "[run]\nR-1 = { link_m = 5 }\n",
    ),
    "an item of a list": (
        "[run]\nR-1 = { cords_m = [ 2, 30 ] }\n",
        ((("run", "R-1", "cords_m", 1), 3),),
        "[run]\nR-1 = { cords_m = [ 2, 3 ] }\n",
    ),
    "a list as a whole": (
        "[run]\nR-1 = { cords_m = [\n 2, 30,\n] }\n",
        ((("run", "R-1", "cords_m"), (2, 3.5)),),
        "[run]\nR-1 = { cords_m = [2, 3.5] }\n",
    ),
    "an inline table as a whole": (
        "[device]\nc = { draw_w = { day = 3 } }\n",
        ((("device", "c", "draw_w"), {"day": 2, "night": 4.5}),),
        "[device]\nc = { draw_w = { day = 2, night = 4.5 } }\n",
    ),
    "a key of an inline table that is not there yet": (
        '[run]\nR-1 = { to = "a" } # note\n',
        ((LINK, 90),),
        '[run]\nR-1 = { to = "a", link_m = 90 } # note\n',
    ),
    "a key of an empty inline table": ("[run]\nR-1 = {}\n", ((LINK, 90),), "[run]\nR-1 = { link_m = 90 }\n"),
    "a key of an inline table with a blank": (
        "[run]\nR-1 = { }\n",
        ((LINK, 90),),
        "[run]\nR-1 = { link_m = 90 }\n",
    ),
    "a key of an inline table of several lines": (
        '[run]\nR-1 = {\n  to = "a", # note, with } and ,\n}\n',
        ((LINK, 90),),
        '[run]\nR-1 = { link_m = 90,\n  to = "a", # note, with } and ,\n}\n',
    ),
    "a key under a header": (
        '[run.R-1] # note\nto = "a"\n',
        ((LINK, 90),),
        '[run.R-1] # note\nlink_m = 90\nto = "a"\n',
    ),
    "a key under a header that ends the file": ("[run.R-1]", ((LINK, 90),), "[run.R-1]\nlink_m = 90\n"),
    "a key in a file with other line ends": (
        '[run.R-1]\r\nto = "a"\r\n',
        ((LINK, 90),),
        '[run.R-1]\r\nlink_m = 90\r\nto = "a"\r\n',
    ),
    "a nested table that is not there yet": (
        "[switch]\ncore = { space = 'r' }\n",
        ((("switch", "core", "pse", "budget_w"), 370.5),),
        "[switch]\ncore = { space = 'r', pse = { budget_w = 370.5 } }\n",
    ),
    "two keys of one table that is not there yet": (
        "[switch]\ncore = {}\n",
        ((("switch", "core", "pse", "type"), 4), (("switch", "core", "pse", "min_v"), 52)),
        "[switch]\ncore = { pse = { type = 4, min_v = 52 } }\n",
    ),
    "two keys of one table that is there": (
        "[switch.core]\n",
        ((("switch", "core", "space"), "r"), (("switch", "core", "part"), "p")),
        '[switch.core]\nspace = "r"\npart = "p"\n',
    ),
    "a thing of a table that is there": (
        "[run]\nR-2 = {}\n",
        ((LINK, 90),),
        "[run]\nR-1 = { link_m = 90 }\nR-2 = {}\n",
    ),
    "a thing beside one that has a header of its own": (
        "[run.R-2]\nlink_m = 5\n[device.c]\n",
        ((LINK, 90),),
        "[run.R-2]\nlink_m = 5\n[device.c]\n\n[run.R-1]\nlink_m = 90\n",
    ),
    "things of a table that is not there": (
        "[run.R-1]",
        ((("bundle", "b 1", "others"), 3), (("bundle", "b-2", "others"), 4)),
        '[run.R-1]\n\n[bundle."b 1"]\nothers = 3\n\n[bundle.b-2]\nothers = 4\n',
    ),
    "a key of a thing whose inner table has the only header": (
        "[switch.core.pse]\ntype = 3\n",
        ((("switch", "core", "space"), "r"),),
        '[switch.core.pse]\ntype = 3\n\n[switch.core]\nspace = "r"\n',
    ),
    "a key of a table in a list": (
        '[[variance]]\nrule = "a"\n[[variance]]\nrule = "b"\n',
        ((("variance", 1, "until"), date(2027, 1, 2)),),
        '[[variance]]\nrule = "a"\n[[variance]]\nuntil = 2027-01-02\nrule = "b"\n',
    ),
    "a text with everything in it": (
        '[run]\nR-1 = { to = "a" }\n',
        ((("run", "R-1", "to"), 'q"u\\o\nt\x7fé\U0001f9ef'),),
        '[run]\nR-1 = { to = "q\\"u\\\\o\\nt\\u007fé\U0001f9ef" }\n',
    ),
    "an id that needs quotes": (
        '[run]\n"R 1" = { link_m = 95 }\n',
        ((("run", "R 1", "link_m"), 90), (("run", "R 1", "pairs"), 4)),
        '[run]\n"R 1" = { link_m = 90, pairs = 4 }\n',
    ),
    "a first key taken out": (
        '[run]\nR-1 = { link_m = 95, to = "a" }\n',
        ((LINK, None),),
        '[run]\nR-1 = { to = "a" }\n',
    ),
    "a last key taken out": (
        '[run]\nR-1 = { to = "a", link_m = { is = 95, origin = "drawing" } }\n',
        ((LINK, None),),
        '[run]\nR-1 = { to = "a" }\n',
    ),
    "an only key taken out": ("[run]\nR-1 = { link_m = 95 }\n", ((LINK, None),), "[run]\nR-1 = {  }\n"),
    "a line taken out": ('[run.R-1]\nlink_m = 95 # m\nto = "a"', ((LINK, None),), '[run.R-1]\nto = "a"'),
    "a last line taken out": ('[run.R-1]\nto = "a"\nlink_m = 95', ((LINK, None),), '[run.R-1]\nto = "a"\n'),
    "changes at several places": (
        "[run]\nR-1 = { link_m = 95 }\n[switch]\ncore = { pse = { type = 3 } }\n",
        ((LINK, 90), (("switch", "core", "pse", "type"), 4), (("switch", "core", "pse", "min_v"), 52)),
        "[run]\nR-1 = { link_m = 90 }\n[switch]\ncore = { pse = { type = 4, min_v = 52 } }\n",
    ),
}


@pytest.mark.parametrize(("text", "changes", "expected"), WRITTEN.values(), ids=WRITTEN)
def test_a_change_becomes_an_edit(text: str, changes: tuple[tuple[Any, Any], ...], expected: str) -> None:
    assert after(text, *changes) == expected


def test_taking_out_what_is_not_there_changes_nothing() -> None:
    assert mended(HEAD, Remedy("", (Change(LINK, None),))) == HEAD


REFUSED: dict[str, tuple[str, tuple[tuple[Any, Any], ...]]] = {
    "a key of a value": ("[run]\nR-1 = { link_m = 95 }\n", (((*LINK, "deep"), 1),)),
    "an item that is not there": ("[run]\nR-1 = { cords_m = [1] }\n", ((("run", "R-1", "cords_m", 3), 1),)),
    "a table of several lines as a whole": ("[run.R-1]\nlink_m = 5\n", ((("run", "R-1"), 1),)),
    "a key of a table that is made of dotted keys": ("[run]\nR-1.to = 'a'\n", ((LINK, 90),)),
    "a value and a part of it": (
        "[run]\nR-1 = { cords_m = [1, 2] }\n",
        ((("run", "R-1", "cords_m"), [1]), (("run", "R-1", "cords_m", 0), 3)),
    ),
    "one value twice": ("[run]\nR-1 = { link_m = 95 }\n", ((LINK, 90), (LINK, 80))),
    "one new value twice": ("[run]\nR-1 = { }\n", ((LINK, 90), (LINK, 80))),
    "a value at the top": ("", ((("extra",), 1),)),
    "a thing taken out": ("[run.R-1]\nlink_m = 5\n", ((("run", "R-1"), None),)),
    "a dotted key taken out": ("[run]\nR-1.link_m = 5\n", ((LINK, None),)),
    "a dotted key taken out of an inline table": (
        "[switch]\nc = { pse.type = 3 }\n",
        ((("switch", "c", "pse", "type"), None),),
    ),
    "a key taken out of several lines": ("[run]\nR-1 = {\nto = 'a', # b,\nlink_m = 5 }\n", ((LINK, None),)),
    "an item taken out": ("[run]\nR-1 = { cords_m = [1] }\n", ((("run", "R-1", "cords_m", 0), None),)),
    "half a character": ("[run]\nR-1 = { to = 'a' }\n", ((("run", "R-1", "to"), "\ud800"),)),
}


@pytest.mark.parametrize(("text", "changes"), REFUSED.values(), ids=REFUSED)
def test_what_cant_be_written_is_refused(text: str, changes: tuple[tuple[Any, Any], ...]) -> None:
    with pytest.raises(
        ValueError, match=r"can't be (written|taken|opened)|two changes|no table|half a character"
    ):
        mended(HEAD + text, Remedy("", tuple(Change(at, value) for at, value in changes)))


def test_what_toml_has_no_form_for_is_refused() -> None:
    with pytest.raises(TypeError, match="TOML has no form for set"):
        toml_value([{1}])


def read(folder: Path, **files: str) -> Design:
    (folder / ".git").mkdir()
    for name, text in files.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    file = folder / "a.toml"
    design, problems = read_design(file, root_of(file), read_basis(file, root_of(file)))
    assert problems == []
    return design


def test_changes_of_parts_and_of_the_basis_are_edits_of_their_files(tmp_path: Path) -> None:
    gear, basis = "[part.p]\nac = { own_w = 5 }\n", "[basis]\n[assume.run]\nlink_m = 50\n"
    design = read(tmp_path, a=HEAD + 'parts = ["gear.toml"]\n', gear=gear, basis=basis)
    changes = (Change(("part", "p", "ac", "own_w"), 6), Change(("basis", "assume", "run", "link_m"), 60))
    edits = edits_of(design, changes)
    assert edits == (
        Edit("basis.toml", basis.index("50"), basis.index("50") + 2, "60"),
        Edit("gear.toml", gear.index("5"), gear.index("5") + 1, "6"),
    )
    assert edited(basis, edits[:1]) == "[basis]\n[assume.run]\nlink_m = 60\n"
    assert edited(gear, edits[1:]) == "[part.p]\nac = { own_w = 6 }\n"


def test_edits_of_a_file_come_last_first_so_that_each_can_be_done_in_turn(tmp_path: Path) -> None:
    text = HEAD + "[run]\nR-1 = { link_m = 95 }\nR-2 = { link_m = 96 }\n"
    design = read(tmp_path, a=text)
    edits = edits_of(design, (Change(LINK, 7), Change(("run", "R-2", "link_m"), 8)))
    assert [edit.text for edit in edits] == ["8", "7"]
    for edit in edits:
        text = text[: edit.start] + edit.text + text[edit.end :]
    assert tomli.loads(text)["run"] == {"R-1": {"link_m": 7}, "R-2": {"link_m": 8}}


# -- values ------------------------------------------------------------------------------------------------------

texts = st.text(st.characters(exclude_categories=["Cs"]))
scalars = (
    texts
    | st.integers(-(2**63), 2**63 - 1)
    | st.booleans()
    | st.floats(allow_nan=False)
    | st.dates()
    | st.times()
    | st.datetimes()
)
values = st.recursive(scalars, lambda inner: st.lists(inner) | st.dictionaries(texts, inner), max_leaves=12)


@settings(max_examples=300, deadline=None)
@given(values)
def test_a_value_is_read_back_as_it_was_written(value: Any) -> None:
    assert tomli.loads(f"key = {toml_value(value)}")["key"] == value


@settings(deadline=None)
@given(texts)
def test_a_key_is_read_back_as_it_was_written(key: str) -> None:
    assert tomli.loads(f"{toml_key(key)} = 1") == {key: 1}


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (90.0, "90"),
        (-0.5, "-0.5"),
        (1e300, "1e+300"),
        (2.0**53, "9007199254740992"),
        (math.inf, "inf"),
        (True, "true"),
        ("a", '"a"'),
        ((1, 2.5), "[1, 2.5]"),
        ([], "[]"),
        ({}, "{}"),
        ({"a b": [1]}, '{ "a b" = [1] }'),
        (date(2026, 3, 2), "2026-03-02"),
        (time(8, 30), "08:30:00"),
        (datetime(2026, 3, 2, 8, 30), "2026-03-02T08:30:00"),  # noqa: DTZ001 - TOML's local form is meant
    ],
)
def test_values_are_written_as_a_person_would(value: Any, written: str) -> None:
    assert toml_value(value) == written


def test_not_a_number_is_written_as_toml_has_it() -> None:
    assert math.isnan(tomli.loads(f"x = {toml_value(math.nan)}")["x"])
