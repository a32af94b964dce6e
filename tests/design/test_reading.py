"""Reading: every message that a wrong file can give, literally, and the text that it points at."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomli
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.design.problems import DesignUnreadable, Problem, in_order
from riserlint.design.reading import Design, looks_like_design, read_basis, read_design, root_of
from riserlint.design.wording import expected, shown

HEAD = '[design]\ntitle = "x"\n'
Read = Callable[..., tuple[Design | None, list[Problem]]]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Return a reader of ``a.toml`` in a folder with other files, given as text or bytes."""

    def reader(text: str | bytes, **others: str | bytes) -> tuple[Design | None, list[Problem]]:
        (tmp_path / ".git").mkdir(exist_ok=True)
        for name, content in {"a": text, **others}.items():
            raw = content.encode() if isinstance(content, str) else content
            (tmp_path / f"{name}.toml").write_bytes(raw)
        file = tmp_path / "a.toml"
        try:
            return read_design(file, root_of(file), read_basis(file, root_of(file)))
        except DesignUnreadable as error:
            return None, list(error.problems)

    return reader


def slice_at(text: str, problem: Problem) -> str:
    """Return the text from the place of a problem on: a word, a text in quotes, a header or a list."""
    line = re.split(r"\r?\n", text)[problem.line - 1]
    rest = line[problem.column - 1 :]
    found = re.match(r'"[^"]*"|\[[^]]*\]|[^\s,}\]=]+', rest)
    return found[0] if found else rest


# One row: what is written below the head, the text that is pointed at, the message.
ROWS: dict[str, tuple[str, str, str]] = {
    "unknown key in an inline table": (
        "[run]\nR-1 = { lnk_m = 5 }\n",
        "lnk_m",
        "unknown key `lnk_m`; did you mean `link_m`?",
    ),
    "unknown key under a header": (
        "[switch.core]\nspcae = 'r'\n",
        "spcae",
        "unknown key `spcae`; did you mean `space`?",
    ),
    "unknown key that is like none": (
        "[pathway]\np = { colour = 'red' }\n",
        "colour",
        "unknown key `colour`; known here: `bonded`, `fire_rated_shaft`, `insulation_mm`, `kind`, `raceway`, `space`",
    ),
    "unknown key of a table in a list": (
        "[ups]\nu = { runtime = [{ w = 3, min = 4, mni = 4 }] }\n",
        "mni",
        "unknown key `mni`; did you mean `min`?",
    ),
    "unknown key of a port": (
        "[part]\np = { ports = { 1-8 = { pse_clas = 4 } } }\n",
        "pse_clas",
        "unknown key `pse_clas`; did you mean `pse_class`?",
    ),
    "unknown table": ("[swich]\ncore = {}\n", "swich", "unknown key `swich`; did you mean `switch`?"),
    "unknown key of a reserved python name": (
        "[run]\nR-1 = { from_ = 'a' }\n",
        "from_",
        "unknown key `from_`; did you mean `from`?",
    ),
    "text for a number": (
        '[run]\nR-1 = { link_m = "71" }\n',
        '"71"',
        'expected a number without quotes, found "71"',
    ),
    "truth for a number": (
        "[run]\nR-1 = { link_m = true }\n",
        "true",
        "expected a number without quotes, found true",
    ),
    "number for a text": ("[run]\nR-1 = { cable = 6 }\n", "6", "expected a text in quotes, found 6"),
    "fraction for a whole number": (
        "[run]\nR-1 = { connections = 2.5 }\n",
        "2.5",
        "expected a whole number without quotes, found 2.5",
    ),
    "text for truth": (
        '[part]\np = { pse = { lldp = "yes" } }\n',
        '"yes"',
        'expected true or false, found "yes"',
    ),
    "text for a date": (
        '[ups]\nu = { battery_date = "2024-05-01" }\n',
        '"2024-05-01"',
        'expected a date such as 2026-03-02, found "2024-05-01"',
    ),
    "date with a time": (
        "[ups]\nu = { battery_date = 2024-05-01T10:00:00 }\n",
        "2024-05-01T10:00:00",
        "expected a date such as 2026-03-02, found 2024-05-01T10:00:00",
    ),
    "number for a list": ("[run]\nR-1 = { cords_m = 3 }\n", "3", "expected a list in [ ], found 3"),
    "list for a number": (
        "[run]\nR-1 = { link_m = [3] }\n",
        "link_m",
        "expected a number without quotes, found a list",
    ),
    "text for a table": (
        '[switch]\ncore = { pse = "type 3" }\n',
        '"type 3"',
        'expected a table of keys in { }, found "type 3"',
    ),
    "number for a thing": ("[switch]\ncore = 3\n", "3", "expected a table of keys in { }, found 3"),
    "a thing that is unknown": (
        '[device]\ncam = "unknown"\n',
        '"unknown"',
        'expected a table of keys in { }, found "unknown"',
    ),
    "table of tables for things": ("[[run]]\nlink_m = 3\n", "run", "expected a table of keys, found a list"),
    "an empty list": (
        "[run]\nR-1 = { route = [] }\n",
        "route",
        "expected at least one entry, found an empty list",
    ),
    "an empty text": ("[run]\nR-1 = { cable = '' }\n", "''", 'expected at least one letter, found ""'),
    "not a number": ("[run]\nR-1 = { link_m = nan }\n", "nan", "expected a finite number, found nan"),
    "infinity": ("[run]\nR-1 = { link_m = -inf }\n", "-inf", "expected a finite number, found -inf"),
    "below a bound": (
        "[run]\nR-1 = { link_m = -1 }\n",
        "-1",
        "expected a value of at least 0, found -1",
    ),
    "at a bound that is excluded": (
        "[ups]\nu = { rated_w = 0 }\n",
        "0",
        "expected a value greater than 0, found 0",
    ),
    "above a bound": (
        "[space]\ns = { max_c = 121 }\n",
        "121",
        "expected a value of at most 120, found 121",
    ),
    "colder than any place of cable": (
        "[space]\ns = { mean_c = -61 }\n",
        "-61",
        "expected a value of at least -60, found -61",
    ),
    "a mean hotter than the hottest": (
        "[space]\ns = { max_c = 30, mean_c = 40.5 }\n",
        "40.5",
        "expected at most max_c, 30, found 40.5",
    ),
    "a mean written in full that is hotter than the hottest": (
        '[space]\ns = { max_c = 30, mean_c = { is = 41, origin = "measured" } }\n',
        "41",
        "expected at most max_c, 30, found 41",
    ),
    "at an upper bound that is excluded": (
        "[cable]\nc = { listed_a = 5 }\n",
        "5",
        "expected a value less than 5, found 5",
    ),
    "a word of a list of words": (
        '[cable]\nc = { screen = "foiled" }\n',
        '"foiled"',
        'expected "none", "foil" or "braid", found "foiled"',
    ),
    "a number of a list of numbers": ("[run]\nR-1 = { pairs = 3 }\n", "3", "expected 2 or 4, found 3"),
    "a number or a word": (
        '[part]\np = { pse = { budget_w = "much" } }\n',
        '"much"',
        'expected a number without quotes or "none", found "much"',
    ),
    "a number below its bound, or a word": (
        "[part]\np = { pse = { budget_w = -1 } }\n",
        "-1",
        'expected a value of at least 0 or "none", found -1',
    ),
    "an item of a list": (
        '[run]\nR-1 = { cords_m = [2, "three"] }\n',
        '"three"',
        'expected a number without quotes, found "three"',
    ),
    "unknown in a list of names": (
        '[run]\nR-1 = { through = ["sp-1", "unknown"] }\n',
        '"unknown"',
        'expected a text in quotes, found "unknown"',
    ),
    "unknown in place of a table in a list": (
        '[run]\nR-1 = { route = [{ m = 3 }, "unknown"] }\n',
        '"unknown"',
        'expected a table of keys in { }, found "unknown"',
    ),
    "a required key": ("[inline]\ni = { at_m = 3 }\n", "i", "`kind` is missing"),
    "a required key that is unknown": (
        '[inline]\ni = { kind = "unknown" }\n',
        '"unknown"',
        "`kind` can't be unknown",
    ),
    "a required key of a table in a list": (
        "[[variance]]\nrule = 'a'\nat = 'b'\nreason = 'c'\n",
        "[[variance]",
        "`granted_by` is missing",
    ),
    "a required key of another name in python": ("[flow]\nf = { to = 'r' }\n", "f", "`from` is missing"),
    "a value in full that says something unknown": (
        "[run]\nR-1 = { link_m = { is = 3, form = 'drawing' } }\n",
        "form",
        "unknown key `form`; known here: `by`, `on`, `origin`",
    ),
    "a value in full with an unknown origin": (
        '[run]\nR-1 = { link_m = { is = 3, origin = "guess" } }\n',
        '"guess"',
        'expected "measured", "nameplate", "drawing", "stated" or "assumed", found "guess"',
    ),
    "a value in full with a date that is a text": (
        '[run]\nR-1 = { link_m = { is = 3, on = "2026" } }\n',
        '"2026"',
        'expected a date such as 2026-03-02, found "2026"',
    ),
    "a table in a value in full": (
        "[run]\nR-1 = { link_m = { is = { m = 3 } } }\n",
        "is",
        "expected a plain value after `is`, found a table",
    ),
    "a wrong value in a value in full": (
        "[run]\nR-1 = { link_m = { is = -3 } }\n",
        "-3",
        "expected a value of at least 0, found -3",
    ),
    "a wrong item in a value in full": (
        "[run]\nR-1 = { cords_m = { is = [2, -3] } }\n",
        "-3",
        "expected a value of at least 0, found -3",
    ),
    "an id with a meaning": (
        "[device]\nmains = {}\n",
        "mains",
        '"mains" can\'t be an id: it is a word with a meaning of its own',
    ),
    "an empty id": ('[run]\n"" = {}\n', '""', '"" can\'t be an id: it is a word with a meaning of its own'),
    "an id with a slash": (
        '[switch]\n"a/b" = {}\n',
        '"a/b"',
        "an id of switch can't hold a slash: `gear/port` names a port",
    ),
    "an id with a control character": (
        '[run]\n"a\\u001bb" = {}\n',
        '"a\\u001bb"',
        "an id can't hold control characters",
    ),
    "an id that turns the writing round": (
        '[run]\n"a\u202eb" = {}\n',
        '"a\u202eb"',
        "an id can't hold control characters",
    ),
}


@pytest.mark.parametrize(("body", "pointed", "message"), ROWS.values(), ids=ROWS)
def test_one_wrong_thing_is_one_problem_at_its_place(
    read: Read, body: str, pointed: str, message: str
) -> None:
    design, problems = read(HEAD + body)
    assert [(problem.message, slice_at(HEAD + body, problem)) for problem in problems] == [(message, pointed)]
    assert design is not None, "what could be read is kept"


HEADS: dict[str, tuple[str, list[tuple[int, int, str]]]] = {
    "no design": ("[run]\n", [(1, 1, "`design` is missing")]),
    "no title": ('[design]\nrevision = "A"\n', [(1, 2, "`title` is missing")]),
    "an empty title": ('[design]\ntitle = ""\n', [(2, 9, 'expected at least one letter, found ""')]),
    "an unknown title": ('[design]\ntitle = "unknown"\n', [(2, 9, "`title` can't be unknown")]),
    "a design that is no table": ("design = 3\n", [(1, 10, "expected a table of keys in { }, found 3")]),
    "a list of designs": (
        '[[design]]\ntitle = "x"\n',
        [(1, 3, "expected a table of keys in { }, found a list")],
    ),
    "an unknown stage": (
        '[design]\ntitle = "x"\nstage = "built"\n',
        [(3, 9, 'expected "concept", "construction", "as-found" or "as-built", found "built"')],
    ),
    "all of the head": (
        '[design]\nTitle = "x"\nregion = "mars"\ndate = 2026\n',
        [
            (1, 2, "`title` is missing"),
            (2, 1, "unknown key `Title`; did you mean `title`?"),
            (3, 10, 'expected "north-america", "europe" or "international", found "mars"'),
            (4, 8, "expected a date such as 2026-03-02, found 2026"),
        ],
    ),
}


@pytest.mark.parametrize(("text", "found"), HEADS.values(), ids=HEADS)
def test_a_wrong_head(read: Read, text: str, found: list[tuple[int, int, str]]) -> None:
    assert [(p.line, p.column, p.message) for p in read(text)[1]] == found


def test_several_problems_are_shown_in_one_go_in_the_order_of_their_place(read: Read) -> None:
    body = (
        "[inline]\n"
        'i = { ohm = "x", at_m = -1 }\n'
        "[[variance]]\nrule = 'a'\n[[variance]]\nat = 3\n"
        "[run]\n"
        'unknown = {}\nR-1 = { cords_m = [-1, "x"], lnik_m = 3, route = [{ m = -1 }, { m = -2, spcae = "s" }] }\n'
    )
    design, problems = read(HEAD + body)
    assert [(slice_at(HEAD + body, p), p.message) for p in problems] == [
        ("i", "`kind` is missing"),
        ('"x"', 'expected a number without quotes, found "x"'),
        ("-1", "expected a value of at least 0, found -1"),
        ("[[variance]", "`at` is missing"),
        ("[[variance]", "`granted_by` is missing"),
        ("[[variance]", "`reason` is missing"),
        ("[[variance]", "`granted_by` is missing"),
        ("[[variance]", "`reason` is missing"),
        ("[[variance]", "`rule` is missing"),
        ("3", "expected a text in quotes, found 3"),
        ("unknown", '"unknown" can\'t be an id: it is a word with a meaning of its own'),
        ("-1", "expected a value of at least 0, found -1"),
        ('"x"', 'expected a number without quotes, found "x"'),
        ("lnik_m", "unknown key `lnik_m`; did you mean `link_m`?"),
        ("-1", "expected a value of at least 0, found -1"),
        ("-2", "expected a value of at least 0, found -2"),
        ("spcae", "unknown key `spcae`; did you mean `space`?"),
    ]
    assert design is not None
    assert ("inline", "i") in design.dropped


def test_a_reference_to_a_thing_that_was_refused_is_no_second_problem(read: Read) -> None:
    from datetime import date

    from riserlint import Built

    design, problems = read(HEAD + '[switch]\ncore = 3\n[run]\nR-1 = { from = "core/1" }\n')
    assert design is not None
    assert [p.message for p in problems] == ["expected a table of keys in { }, found 3"]
    assert Built(design, date(2026, 11, 25)).problems == []


# -- files -------------------------------------------------------------------------------------------------------

FILES: dict[str, tuple[bytes, tuple[int, int], str]] = {
    "a syntax error": (
        b'[design]\ntitle = "x"\n[run\n',
        (3, 5),
        "not TOML: expected ']' at the end of a table declaration",
    ),
    "a text without end": (b'[design]\ntitle = "x\n', (2, 11), "not TOML: illegal character '\\n'"),
    "a key twice": (b'[design]\ntitle = "x"\ntitle = "y"\n', (3, 12), "not TOML: cannot overwrite a value"),
    "an id twice": (
        b'[design]\ntitle = "x"\n[run]\nR-1 = {}\nR-1 = {}\n',
        (5, 9),
        "not TOML: cannot overwrite a value",
    ),
    "another encoding": (
        '[design]\ntitle = "x"\n# Zürich'.encode("latin-1"),
        (3, 4),
        "not UTF-8: byte 0xfc can't be read; expected a TOML file in UTF-8",
    ),
    "UTF-16": (
        '[design]\ntitle = "x"\n'.encode("utf-16"),
        (1, 1),
        "not UTF-8: byte 0xff can't be read; expected a TOML file in UTF-8",
    ),
    "half a character at the end": (
        b'[design]\ntitle = "x"\n# \xe2\x82',
        (3, 3),
        "not UTF-8: byte 0xe2 can't be read; expected a TOML file in UTF-8",
    ),
    "a control character": (
        b'[design]\ntitle = "\x1b[31m"\n',
        (2, 10),
        "not TOML: illegal character '\\x1b'",
    ),
    "lists that are nested too deeply": (
        b'[design]\ntitle = "x"\ny = ' + b"[" * 20_000 + b"]" * 20_000,
        (0, 0),
        "lists or tables are nested too deeply",
    ),
    "tables that are nested too deeply": (
        b'[design]\ntitle = "x"\n[' + b"a." * 20_000 + b"a]\n",
        (0, 0),
        "lists or tables are nested too deeply",
    ),
}


@pytest.mark.parametrize(("raw", "place", "message"), FILES.values(), ids=FILES)
def test_a_file_that_is_no_toml(read: Read, raw: bytes, place: tuple[int, int], message: str) -> None:
    design, problems = read(raw)
    assert design is None
    assert [((p.line, p.column), p.message) for p in problems] == [(place, message)]


def test_a_byte_order_mark_is_no_part_of_the_text(read: Read) -> None:
    text = '[design]\r\ntitle = "x"\r\n[run]\r\nR-1 = { link_m = -3 }\r\n'
    design, problems = read(text.encode("utf-8-sig"))
    assert design is not None
    assert [(p.line, p.column, slice_at(text, p)) for p in problems] == [(4, 18, "-3")]
    _, broken = read("[run".encode("utf-8-sig"))
    assert [(p.line, p.column) for p in broken] == [(1, 5)]


def test_columns_are_counted_in_characters_and_in_utf16_units(read: Read) -> None:
    text = HEAD + '[device]\n"\U0001f4f7é" = { space = 3 }\n'
    _, (problem,) = read(text)
    assert (problem.column, problem.utf16_column, slice_at(text, problem)) == (18, 19, "3")
    _, (broken,) = read('# \U0001f4f7\nx = "\U0001f4f7" = 3\n')
    assert broken.utf16_column == broken.column + 1


def test_a_file_that_cant_be_opened(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    with pytest.raises(DesignUnreadable) as caught:
        read_design(file, tmp_path, read_basis(file, tmp_path))
    assert caught.value.problems == (
        Problem("a.toml", 0, 0, (), "can't be opened: No such file or directory"),
    )
    assert str(caught.value) == "a.toml:0:0: can't be opened: No such file or directory"


# -- parts files and the basis -----------------------------------------------------------------------------------


def with_parts(*names: str) -> str:
    return HEAD + "parts = [" + ", ".join(f"'{name}'" for name in names) + "]\n"


PARTS = {
    "missing": ("gaer.toml", 'there is no parts file "gaer.toml"'),
    "absolute": (
        "/etc/hosts",
        'expected a path relative to this file with forward slashes, found "/etc/hosts"',
    ),
    "backslash": (
        r"sub\gear.toml",
        r'expected a path relative to this file with forward slashes, found "sub\gear.toml"',
    ),
    "outside the root": (
        "../gear.toml",
        'parts file "../gear.toml" lies outside the root; nothing outside the root is read',
    ),
    "a folder": (".git", 'there is no parts file ".git"'),
    "a name that no file can have": ("x" * 5000, f'there is no parts file "{"x" * 5000}"'),
    "a link that leads outside": (
        "link.toml",
        'parts file "link.toml" lies outside the root; nothing outside the root is read',
    ),
    "a circle of links": ("loop.toml", 'there is no parts file "loop.toml"'),
}


@pytest.mark.parametrize(("name", "message"), PARTS.values(), ids=PARTS)
def test_a_parts_file_that_cant_be_had(read: Read, tmp_path: Path, name: str, message: str) -> None:
    (tmp_path / "link.toml").symlink_to("/etc/hosts")
    (tmp_path / "loop.toml").symlink_to("loop.toml")
    text = with_parts("gear.toml", name)
    design, problems = read(text, gear="[part.p]\n[cable.c]\n")
    assert [(p.file, p.message) for p in problems] == [("a.toml", message)]
    column = text.splitlines()[2].index(f"'{name}'") + 1
    assert (problems[0].line, problems[0].column) == (3, column)
    assert design is not None
    assert list(design.model.part) == ["p"]


def test_a_parts_file_with_a_zero_byte_in_its_name(read: Read) -> None:
    _, problems = read(HEAD + 'parts = ["a\\u0000b"]\n')
    assert [p.message for p in problems] == ['there is no parts file "a\0b"']


def test_a_part_that_is_described_twice(read: Read) -> None:
    text = with_parts("gear.toml", "more.toml") + "[part.p]\n[cable.c]\n"
    gear, more = "[part]\np = {}\nq = {}\n", "[cable]\nc = {}\n[part]\nq = {}\nr = {}\n"
    design, problems = read(text, gear=gear, more=more)
    assert [(p.file, p.line, p.column, p.message) for p in problems] == [
        ("gear.toml", 2, 1, "part `p` is already described in a.toml"),
        ("more.toml", 2, 1, "cable `c` is already described in a.toml"),
        ("more.toml", 4, 1, "part `q` is already described in gear.toml"),
    ]
    assert design is not None
    assert sorted(design.model.part) == ["p", "q", "r"]
    assert [source.name for source in design.sources] == ["a.toml", "gear.toml", "more.toml"]


def test_problems_of_parts_files_are_shown_with_those_of_the_design(read: Read) -> None:
    text = with_parts("gear.toml", "broken.toml", "run.toml") + "[run]\nR-1 = { link_m = -1 }\n"
    _, problems = read(
        text, gear="[part]\np = { ac = { own_w = -1 } }\n", broken="[part", run="[run]\nR = {}\n"
    )
    assert [(p.file, p.message) for p in problems] == [
        ("a.toml", "expected a value of at least 0, found -1"),
        ("broken.toml", "not TOML: expected ']' at the end of a table declaration"),
        ("gear.toml", "expected a value of at least 0, found -1"),
        ("run.toml", "unknown key `run`; known here: `cable`, `part`"),
    ]


BASES = {
    "an unknown table": (
        "[asume.cable]\nrated_c = 60\n",
        (1, 2),
        "unknown key `asume`; did you mean `assume`?",
    ),
    "an unknown kind": (
        "[assume.cabel]\nrated_c = 60\n",
        (1, 9),
        "unknown key `cabel`; did you mean `cable`?",
    ),
    "a share above all": ("[allowance]\nshare = 10\n", (2, 9), "expected a value of at most 1, found 10"),
    "an assumed mean hotter than the assumed hottest": (
        "[assume.space]\nmax_c = 30\nmean_c = 31\n",
        (3, 10),
        "expected at most max_c, 30, found 31",
    ),
    "an unknown edition": (
        "[basis]\neditions = { NEC = 2023 }\n",
        (2, 20),
        "expected a text in quotes, found 2023",
    ),
    "a cap at error": (
        '[basis]\nmemory_at_most = "error"\n',
        (2, 18),
        'expected "warning" or "note", found "error"',
    ),
    "a design in the basis": (
        HEAD,
        (1, 2),
        "unknown key `design`; known here: `allowance`, `assume`, `basis`, `rule`",
    ),
    "a syntax error": ("[basis\n", (1, 7), "not TOML: expected ']' at the end of a table declaration"),
}


@pytest.mark.parametrize(("basis", "place", "message"), BASES.values(), ids=BASES)
def test_a_wrong_basis(read: Read, basis: str, place: tuple[int, int], message: str) -> None:
    _, problems = read(HEAD, basis=basis)
    assert [(p.file, (p.line, p.column), p.message) for p in problems] == [("basis.toml", place, message)]


def test_the_basis_is_the_nearest_up_to_the_root(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    deep = tmp_path / "site" / "pool"
    deep.mkdir(parents=True)
    (tmp_path / "basis.toml").write_text('[basis]\ntitle = "far"\n', encoding="utf-8")
    file = deep / "a.toml"
    assert root_of(file) == tmp_path.resolve()
    assert read_basis(file, root_of(file)).model.basis.title == "far"
    (tmp_path / "site" / "basis.toml").write_text('[basis]\ntitle = "near"\n', encoding="utf-8")
    assert root_of(file) == (tmp_path / "site").resolve()
    assert read_basis(file, root_of(file)).model.basis.title == "near"


def test_without_a_basis_nothing_is_assumed_and_nothing_above_is_read(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    assert root_of(file) == tmp_path.resolve()
    basis = read_basis(file, root_of(file))
    assert basis.source is None
    assert basis.model.basis.hold_on_open is False
    assert basis.model.assume.run is None


# -- what is read ------------------------------------------------------------------------------------------------


def test_values_in_full_and_unknown_values(read: Read) -> None:
    body = (
        '[run]\nR-1 = { from = "unknown", link_m = { is = 3, origin = "measured", by = "tape" }, '
        'cords_m = [2, "unknown"], cable = { is = "unknown", origin = "drawing" } }\n'
    )
    design, problems = read(HEAD + 'origin = "drawing"\nrevision = "unknown"\n' + body)
    assert (problems, design is None) == ([], False)
    assert design is not None
    run = design.model.run["R-1"]
    assert (run.from_, run.link_m, run.cords_m, run.cable) == (None, 3, (2, None), None)
    at = ("run", "R-1")
    assert design.asked((*at, "from"))
    assert design.asked((*at, "cords_m", 1))
    assert design.asked((*at, "cable"))
    assert not design.asked((*at, "pairs"))
    assert design.asked(("design", "revision"))
    assert (design.origin((*at, "link_m")), design.origin((*at, "cords_m"))) == ("measured", "drawing")
    statement = design.statement((*at, "link_m"))
    assert statement is not None
    assert (statement.by, statement.on) == ("tape", None)


def test_what_the_basis_says_is_assumed_whatever_the_design_says_of_itself(read: Read) -> None:
    basis = '[assume]\nrun = { link_m = { is = 3, origin = "stated" }, pairs = 4, cable = "unknown" }\n'
    design, problems = read(HEAD + 'origin = "measured"\n', basis=basis)
    assert design is not None
    assert problems == []
    at = ("basis", "assume", "run")
    assert design.origin((*at, "link_m")) == "stated"
    assert design.origin((*at, "pairs")) == "assumed"
    assert design.asked((*at, "cable"))


def test_a_thing_may_have_the_id_is(read: Read) -> None:
    design, problems = read(HEAD + "[run]\nis = { link_m = 3 }\n")
    assert problems == []
    assert design is not None
    assert design.model.run["is"].link_m == 3


def test_a_file_that_cant_be_opened_may_be_a_design(tmp_path: Path) -> None:
    assert looks_like_design(tmp_path / "gone.toml")
    (tmp_path / "a.toml").write_text("[designs]\nx = 1\n", encoding="utf-8")
    assert not looks_like_design(tmp_path / "a.toml")


def test_problems_are_sorted_where_paths_mix_names_and_numbers() -> None:
    mixed = [
        Problem("a", 1, 1, ("x", "y"), "m"),
        Problem("a", 1, 1, ("x", 0), "m"),
        Problem("a", 1, 1, ("x", 0), "m"),
    ]
    assert in_order(mixed) == (mixed[0], mixed[1])


# -- words -------------------------------------------------------------------------------------------------------


def test_an_error_without_words_of_our_own_keeps_those_of_the_library() -> None:
    assert expected({"type": "value_error", "msg": "Value error, odd"}) == "value error, odd"


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (True, "true"),
        ("x" * 41, '"' + "x" * 37 + '…"'),
        ({"a": 1}, "a table"),
        ((), "an empty list"),
        (None, '"unknown"'),
        (7.5, "7.5"),
    ],
)
def test_a_value_is_shown_as_it_stands_in_the_file(value: Any, words: str) -> None:
    assert shown(value) == words


# -- anything at all ---------------------------------------------------------------------------------------------

_KEYS = st.sampled_from(
    ["design", "title", "run", "R-1", "is", "origin", "link_m", "cords_m", "route", "m", "variance", "rule", "parts",
     "part", "pse", "budget_w", "ports", "1-8", "flow", "from", "supplies", "unknown", "a/b"]
)  # fmt: skip
_VALUES = st.recursive(
    st.sampled_from(["unknown", "x", "", 3, -1, 2.5, True, float("nan")]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_KEYS, inner, max_size=4),
    max_leaves=14,
)


@settings(max_examples=400, deadline=None)
@given(data=st.dictionaries(_KEYS, _VALUES, max_size=5))
def test_whatever_a_file_says_it_is_read_or_its_problems_have_places(
    tmp_path_factory: pytest.TempPathFactory, data: dict[str, Any]
) -> None:
    from riserlint.review.mending import toml_key, toml_value

    folder = tmp_path_factory.getbasetemp() / "anything"
    folder.mkdir(exist_ok=True)
    text = "".join(f"{toml_key(key)} = {toml_value(value)}\n" for key, value in data.items())
    tomli.loads(text)
    file = folder / "a.toml"
    file.write_text(text, encoding="utf-8")
    try:
        _, problems = read_design(file, folder, read_basis(file, folder))
    except DesignUnreadable as error:
        problems = list(error.problems)
        assert problems
    for problem in problems:
        assert 1 <= problem.line <= text.count("\n") + 1
        assert 1 <= problem.column <= len(text) + 1
        assert problem.message


@pytest.mark.parametrize(
    "space",
    ["max_c = 30, mean_c = 30", "max_c = -60, mean_c = -60", "max_c = 120", 'max_c = "unknown", mean_c = 40'],
)
def test_temperatures_at_their_bounds_are_read(read: Read, space: str) -> None:
    _, problems = read(f"{HEAD}[space]\ns = {{ {space} }}\n")
    assert problems == []
