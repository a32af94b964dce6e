"""The punch list as a person sees it: whole pages at two widths, and that no text of a design acts on the reader.

The files under ``expected/`` are pages to be read and judged; after a change of the look, write them anew with
``RISERLINT_WRITE_EXPECTED=1 pytest tests/reports/test_human.py`` and read the difference.
"""

import io
import os
import re
from pathlib import Path

import pytest
from rich.cells import cell_len
from rich.console import Console

from fake_rule import (
    CRASH,
    GEAR,
    HEAD,
    LONG,
    SAMPLE,
    SHORT,
    UNKNOWN,
    Folder,
    design,
    rule_of,
    rule_set,
)
from riserlint import Answer, Fault, Related, Review, RuleSet
from riserlint.reports.cautions import CAUTIONS
from riserlint.reports.human import print_review
from riserlint.reports.text import number, plain

EXPECTED = Path(__file__).parent / "expected"
#: A line that names a place in a file; such a line is never broken.
LOCATION = re.compile(r"^ *(?:(?:at|see) +)?\S.*:\d+:\d+$")


@pytest.fixture(autouse=True)
def no_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in (
        "NO_COLOR",
        "FORCE_COLOR",
        "COLORTERM",
        "COLUMNS",
        "LINES",
        "TTY_COMPATIBLE",
        "TTY_INTERACTIVE",
    ):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "dumb")


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    return Folder(tmp_path.resolve())


def page(review: Review, width: int = 80) -> str:
    console = Console(file=io.StringIO(), width=width, highlight=False, markup=False, emoji=False)
    print_review(review, console)
    assert isinstance(console.file, io.StringIO)
    return console.file.getvalue()


def too_wide(text: str, width: int) -> list[str]:
    return [line for line in text.splitlines() if cell_len(line) > width and not LOCATION.match(line)]


VARIANCE = (
    '[[variance]]\nrule = "sample/link"\nat = "run.R-5"\nreason = "the route along the pier is agreed, and the camera '
    'is tested each year"\ngranted_by = "the client\'s engineer"\nuntil = 2027-06-30\n'
    '[[variance]]\nrule = "sample/link"\nat = "run.R-6"\nreason = "agreed"\n'
    'granted_by = "the client"\nuntil = 2026-06-30\n'
)


def clean(folder: Folder) -> Review:
    return folder.write({"pool.toml": design(SHORT)}).review()


def busy(folder: Folder) -> Review:
    """Return a review of two designs with every kind of finding in it."""
    basis = (
        '[basis]\ntitle = "House basis"\nrevision = "3"\n'
        'editions = { "ISO/IEC 11801-1" = "2017", "EN 50174-2" = "2018" }\n'
        "[assume]\nrun = { pairs = 4 }\n"
    )
    open_runs = [f'R-{20 + index} = {{ from = "core/{20 + index}", cable = "h" }}' for index in range(9)]
    first = design(
        'R-1 = { from = "core/1", to = "cam-1", cable = "h", '
        'link_m = { is = 95.5, origin = "measured", by = "tester", on = 2026-03-02 } }',
        SHORT,
        'R-4 = { from = "core/4", cable = "h", link_m = 20, cords_m = [4, 4] }',
        'R-5 = { from = "core/5", cable = "h", link_m = 92 }',
        "R-7 = { link_m = 5 }",
        *open_runs,
        head=HEAD + "date = 2026-11-02\n",
        tail=VARIANCE,
    )
    return folder.write(
        {"harbour/pool.toml": first, "harbour/pier.toml": design(SHORT, UNKNOWN), "basis.toml": basis}
    ).review()


def troubled(folder: Folder) -> Review:
    """Return a review in which little could be reviewed."""
    faults = (
        Fault("harbour_rules.drum", "harbour-rules", "can't be loaded: ImportError: no module named pier"),
    )
    folder.write(
        {
            "a.toml": design(SHORT),
            "b.toml": '[design]\ntitle = "Pool\n',
            "c.toml": design(
                "R-1 = { lnk_m = 5, cables = 'h' }", 'R-2 = { link_m = "12" }', 'R-3 = { cable = "hh" }'
            ),
        }
    )
    review = folder.review("a.toml", "b.toml", "c.toml", rules=RuleSet(rule_set(SAMPLE, CRASH).rules, faults))
    return review._replace(not_found=("gone.toml: there is no such file or folder",))


PAGES = {"clean": clean, "busy": busy, "troubled": troubled}


@pytest.mark.parametrize("width", [80, 120])
@pytest.mark.parametrize("name", PAGES)
def test_a_whole_page(folder: Folder, name: str, width: int) -> None:
    text = re.sub(r"\((test_human\.py|fake_rule\.py):\d+\)", r"(\1:1)", page(PAGES[name](folder), width))
    file = EXPECTED / f"{name}_{width}.txt"
    if os.environ.get("RISERLINT_WRITE_EXPECTED"):
        file.write_text(text, encoding="utf-8")
    assert text == file.read_text(encoding="utf-8")
    assert too_wide(text, width) == []


def test_a_page_has_no_trailing_blanks_and_no_colour(folder: Folder) -> None:
    text = page(busy(folder))
    assert "\x1b" not in text
    assert [line for line in text.splitlines() if line != line.rstrip()] == []


@pytest.mark.parametrize("width", [10, 40, 52, 61, 80, 200])
def test_no_line_is_wider_than_the_page_but_those_with_a_location(folder: Folder, width: int) -> None:
    assert too_wide(page(busy(folder), width), max(width, 40)) == []


def test_with_colour_the_text_is_the_same(folder: Folder) -> None:
    review = busy(folder)
    console = Console(
        file=io.StringIO(),
        width=80,
        force_terminal=True,
        color_system="truecolor",
        highlight=False,
        _environ={"TERM": "xterm-256color"},
    )
    print_review(review, console)
    assert isinstance(console.file, io.StringIO)
    coloured = console.file.getvalue()
    assert "\x1b[1;31mERROR    \x1b[0m\x1b[1msample/link\x1b[0m  run.R-1" in coloured
    assert "\x1b[2m    working   \x1b[0m95.5 m > 90 m\n" in coloured, (
        "what is said is not as faint as its label"
    )
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == page(review)


# -- what is on it -----------------------------------------------------------------------------------------------


def test_the_worst_comes_first_and_what_holds_is_marked(folder: Folder) -> None:
    heads = [line for line in page(busy(folder), 120).splitlines() if re.match(r"  [A-Z]+ +\w+/", line)]
    assert heads == [
        "  ERROR    sample/link  run.R-1  STOPS RELEASE",
        "  ERROR    sample/cords  run.R-4  STOPS RELEASE",
        '  ERROR    variance/expired  variance."sample/link at run.R-6"  STOPS RELEASE',
        "  NOTE     sample/tidy  run.R-1",
        "  NOTE     sample/tidy  run.R-5",
        "  REVIEW   sample/look  run.R-7",
    ]


def test_open_answers_are_gathered_and_counted_never_one_line_each(folder: Folder) -> None:
    text = page(busy(folder))
    assert "CANNOT TELL  9 answers, by what is not known" in text
    assert "run.link_m of R-20, R-21, R-22, R-23, R-24, R-25 and 3 more: 9 answers" in " ".join(text.split())
    assert text.count("cannot tell how long") == 0


def test_one_open_answer_says_where_it_turns(folder: Folder) -> None:
    text = page(folder.write({"a.toml": design(UNKNOWN)}).review())
    assert "run.link_m of R-3: 1 answer turns on it (sample); holds if the link is 90 m or less" in " ".join(
        text.split()
    )
    assert "Nothing to put right among what could be told" in text


def test_the_title_block(folder: Folder) -> None:
    lines = page(busy(folder), 120).splitlines()
    start = next(index for index, line in enumerate(lines) if line.startswith("harbour/pool.toml ─"))
    block = lines[start + 1 : start + 7]
    assert block[0] == "    design    Pool · revision B · construction · 2026-11-02"
    assert block[1] == "    region    europe; editions: EN 50174-2: 2018, ISO/IEC 11801-1: 2017"
    assert block[2] == "    basis     House basis, revision 3"
    assert re.fullmatch(r"    file      harbour/pool\.toml  sha256 [0-9a-f]{16}", block[3])
    assert re.fullmatch(r"    file      basis\.toml  sha256 [0-9a-f]{16}", block[4])
    assert block[5] == "    reviewed  2026-11-25 by riserlint 9.8.7"


def test_the_cautions_stand_once_and_at_the_end(folder: Folder) -> None:
    text = " ".join(page(busy(folder)).split())
    for caution in CAUTIONS:
        assert text.count(caution) == 1
    assert text.endswith(CAUTIONS[-1])


def test_what_is_not_reviewed_at_all_is_said(folder: Folder) -> None:
    assert "not reviewed at all: fire alarm, egress and locks" in " ".join(page(clean(folder)).split())


def test_a_design_that_no_rule_could_look_at_is_not_praised(folder: Folder) -> None:
    text = page(folder.write({"a.toml": design(SHORT)}).review(rules=rule_set(CRASH)))
    assert "Nothing to put right" not in text
    assert "NOT REVIEWED by crash (sample-rules): it crashed with ZeroDivisionError" in " ".join(text.split())
    assert "not all could be reviewed: a.toml" in text


def test_open_answers_that_hold_are_counted_as_such(folder: Folder) -> None:
    folder.write({"a.toml": design(UNKNOWN), "basis.toml": "[basis]\nhold_on_open = true\n"})
    assert "held at the hold point (error): 1 answer stops release" in page(folder.review("a.toml"))


def test_an_error_from_memory_says_so_in_its_first_line(folder: Folder) -> None:
    text = page(
        folder.write({"a.toml": design('R-4 = { cable = "h", link_m = 2, cords_m = [4, 4] }')}).review()
    )
    assert "R-4: cords of 8 m (limit from memory)" in text


def test_places_beyond_a_few_are_counted(folder: Folder) -> None:
    related = tuple(Related(("device", "cam-1"), f"place {index}") for index in range(9))
    answer = Answer("link", "fail", ("run", "R-1"), ("run", "R-1"), "m", related=related)
    folder.write({"a.toml": design(LONG)})
    text = page(folder.review(rules=rule_set(rule_of(lambda *_: [answer]))))
    assert text.count("    see       a.toml:") == 6
    assert "and 3 more places" in text
    assert "device.cam-1: place 5" in text


def test_a_number_is_not_torn_from_its_unit(folder: Folder) -> None:
    for width in range(44, 90):
        text = page(folder.write({"a.toml": design(LONG)}).review(), width)
        assert not re.search(r"\d\n +(m|W)\b", text), width


# -- the source line ---------------------------------------------------------------------------------------------


def shown_lines(text: str) -> list[str]:
    return [line for line in text.splitlines() if "›" in line]


def test_the_line_of_the_file_is_shown_with_the_value_set_off(folder: Folder) -> None:
    (line, _) = shown_lines(page(folder.write({"a.toml": design(LONG)}).review(), 120))
    assert line == '              R-1 = { from = "core/1", to = "cam-1", cable = "h", link_m = ›95.5‹ }'


@pytest.mark.parametrize("width", [40, 60, 80])
def test_a_long_line_is_cut_round_the_value(folder: Folder, width: int) -> None:
    run = (
        'R-1 = { from = "core/1", cable = "h", link_m = 95.5, to = "cam-1", cords_m = [1, 2], through = [] } # '
        + "x" * 200
    )
    for line in shown_lines(page(folder.write({"a.toml": design(run)}).review(), width)):
        assert "›95.5‹" in line
        assert cell_len(line) <= width
        assert line.endswith("…")


def test_a_value_that_is_longer_than_the_page_is_cut_too(folder: Folder) -> None:
    answer = Answer("link", "fail", ("run", "R-1"), ("run", "R-1", "cords_m", 0), "m")
    deep = Answer("link", "fail", ("run", "R-1"), ("run", "R-1", "cable"), "m")
    cable = "h" * 300
    gear = GEAR.replace("h = ", f"{cable} = ")
    folder.write({"a.toml": design(f'R-1 = {{ cable = "{cable}", cords_m = [1] }}', gear=gear)})
    text = page(folder.review(rules=rule_set(rule_of(lambda *_: [answer, deep]))))
    assert too_wide(text, 80) == []
    assert len(shown_lines(text)) == 2


# -- strings of a design -----------------------------------------------------------------------------------------

BAD = "\x1b[31m\x1b]8;;http://x\x07\x9b2J\u202eabc\u2066\r\n\x00[bold]x[/bold][/1]:smile:"


def test_no_string_of_a_design_acts_on_the_terminal_or_as_markup(folder: Folder) -> None:
    import json

    quoted = json.dumps(BAD).replace("\x7f", "\\u007f")
    run = f'"[red]R-1" = {{ from = "core/1", cable = {quoted}, link_m = 95.5 }} # \u202e[/red]'
    head = f"[design]\ntitle = {quoted}\nrevision = {quoted}\n"
    gear = GEAR + f"[cable.{quoted}]\n"
    variance = (
        f"[[variance]]\nrule = {quoted}\nat = {quoted}\nreason = {quoted}\ngranted_by = {quoted}\n"
        f"[[variance]]\nrule = 'sample/tidy'\nat = 'run.\"[red]R-1\"'\nreason = {quoted}\ngranted_by = {quoted}\n"
    )
    text = design(
        run, head=head, gear=gear.replace(f"[cable.{quoted}]", "[space.x]\n[cable.ok]\n"), tail=variance
    )
    shown = page(folder.write({"a [b].toml": text.replace(f"cable = {quoted}, ", "")}).review(), 100)
    assert shown.replace("\n", "").isprintable()
    assert "[red]R-1" in shown
    assert "\\x1b[31m" in shown
    assert "\\u202e" in shown
    assert "[bold]x[/bold][/1]:smile:" in " ".join(shown.split()).replace(" ", "")
    assert too_wide(shown, 100) == []
    unread = page(folder.write({"a [b].toml": text}).review(), 100)
    assert unread.replace("\n", "").isprintable()
    assert "NOT REVIEWED" in unread


def test_strings_of_plugins_and_paths_are_made_safe_too(folder: Folder) -> None:
    faults = (Fault(f"x{BAD}", f"y{BAD}", f"z{BAD}"),)
    review = folder.write({"a.toml": design(SHORT)}).review(rules=RuleSet((), faults))
    review = review._replace(not_found=(f"gone{BAD}",))
    assert page(review).replace("\n", "").isprintable()


def test_wide_letters_are_counted_by_their_cells(folder: Folder) -> None:
    name = "水" * 30
    folder.write(
        {
            f"{name}.toml": design(
                f'"{name}" = {{ cable = "h", link_m = 95.5 }} # {name}', head=HEAD.replace("Pool", name * 3)
            )
        }
    )
    text = page(folder.review(), 80)
    assert too_wide(text, 80) == []
    rules = [line for line in text.splitlines() if line.endswith("─")]
    assert {cell_len(line) for line in rules} == {80}


def test_a_very_long_id_is_folded_and_its_location_is_not(folder: Folder) -> None:
    name = "R-" + "x" * 400
    text = page(
        folder.write({f"{'d' * 90}.toml": design(f"{name} = {{ cable = 'h', link_m = 95.5 }}")}).review(), 80
    )
    assert too_wide(text, 80) == []
    assert re.search(rf"^    at        {'d' * 90}\.toml:14:\d+$", text, re.MULTILINE)


@pytest.mark.parametrize(
    ("text", "safe"),
    [
        ("plain é 水 ½", "plain é 水 ½"),
        ("a\tb", "a b"),
        ("\x1b[0m", "\\x1b[0m"),
        ("\x7f\x9b", "\\x7f\\x9b"),
        ("\u202e\u2028", "\\u202e\\u2028"),
        ("\udcff", "\\udcff"),
        ("\U000e0041", "\\U000e0041"),
        ("a\r\nb", "a\\x0d\\x0ab"),
    ],
)
def test_what_cant_be_printed_is_shown_by_its_number(text: str, safe: str) -> None:
    assert plain(text) == safe


@pytest.mark.parametrize(
    ("value", "shown"),
    [(0.123456, "0.1235"), (95.5, "95.5"), (-5.0, "-5"), (12345.6, "12,346"), (1e-9, "1e-09")],
)
def test_numbers_have_as_many_digits_as_a_reader_can_use(value: float, shown: str) -> None:
    assert number(value) == shown
