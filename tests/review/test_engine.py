"""The engine: each rule in its own guard, levels and parameters, finding designs, and what a review ends with."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from fake_rule import (
    HABIT,
    HEAD,
    LIMIT,
    LINK,
    LONG,
    REMEMBERED,
    SAMPLE,
    SHORT,
    TIDY,
    UNKNOWN,
    Folder,
    design,
    rule_of,
    rule_set,
)
from riserlint import (
    Answer,
    Built,
    Change,
    DesignReview,
    ExitStatus,
    Fault,
    Limit,
    NotApplicable,
    Passed,
    Problem,
    Related,
    Remedy,
    Said,
)

RUN = ("run", "R-1")


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    return Folder(tmp_path.resolve())


def fail(at: tuple[str | int, ...] = (*RUN, "link_m"), **more: Any) -> Answer:
    return Answer("link", "fail", more.pop("subject", RUN), at, more.pop("message", "too long"), **more)


def only(review: Any) -> DesignReview:
    (one,) = review.designs
    assert isinstance(one, DesignReview)
    return one


def one_rule(folder: Folder, *answers: object, text: str = "") -> DesignReview:
    """Return the review with a rule that says just these answers."""
    said: Any = answers
    rule = rule_of(lambda *_: iter(said))
    folder.write({"a.toml": text or design(LONG)})
    return only(folder.review("a.toml", rules=rule_set(rule)))


def named(review: DesignReview) -> list[tuple[str, str, str]]:
    return [(finding.name, finding.level, finding.subject) for finding in review.findings]


# -- crashes -----------------------------------------------------------------------------------------------------


def crashing(built: Built, parameters: object) -> Iterator[Said]:
    yield fail(message="found before the crash")
    yield Passed("link", ("run", "R-9"))
    raise ZeroDivisionError("at 0x7f00deadbeef")


def test_a_crash_keeps_what_was_found_before_it_and_what_other_rules_find(folder: Folder) -> None:
    folder.write({"a.toml": design(LONG)})
    review = folder.review(rules=rule_set(rule_of(crashing, name="crasher"), SAMPLE))
    one = only(review)
    assert named(one) == [
        ("crasher/link", "error", "run.R-1"),
        ("sample/link", "error", "run.R-1"),
        ("sample/tidy", "note", "run.R-1"),
    ]
    assert [(group.name, group.subjects) for group in one.passes] == [("crasher/link", ("run.R-9",))]
    (fault,) = one.faults
    assert (fault.plugin, fault.distribution) == ("crasher", "sample-rules")
    assert fault.message.startswith("crashed with ZeroDivisionError: at 0x… (test_engine.py:")
    assert not one.reviewed
    assert review.exit_status is ExitStatus.NOT_REVIEWED


def test_no_variance_hides_a_crash(folder: Folder) -> None:
    variances = "".join(
        f'[[variance]]\nrule = "{rule}"\nat = "run.R-1"\nreason = "r"\ngranted_by = "g"\n'
        for rule in ("crasher", "crasher/link")
    )
    folder.write({"a.toml": design(LONG, tail=variances)})
    review = folder.review(rules=rule_set(rule_of(crashing, name="crasher")))
    assert [finding.counts for finding in only(review).findings] == [False]
    assert len(only(review).faults) == 1
    assert review.exit_status is ExitStatus.NOT_REVIEWED


def test_that_a_variance_matches_nothing_is_not_told_of_a_rule_that_crashed(folder: Folder) -> None:
    tail = '[[variance]]\nrule = "crasher"\nat = "run.R-2"\nreason = "r"\ngranted_by = "g"\n'
    folder.write({"a.toml": design(LONG, tail=tail)})
    assert named(only(folder.review(rules=rule_set(rule_of(crashing, name="crasher"))))) == [
        ("crasher/link", "error", "run.R-1")
    ]


@pytest.mark.parametrize("error", [RuntimeError("x"), RecursionError("deep"), SystemExit(0), MemoryError()])
def test_whatever_a_rule_raises_is_contained(folder: Folder, error: BaseException) -> None:
    def crash() -> Said:
        raise error

    def raising(built: Built, parameters: object) -> Iterator[Said]:
        yield crash()

    folder.write({"a.toml": design(LONG)})
    review = folder.review(rules=rule_set(rule_of(raising), SAMPLE))
    assert [fault.message.split(" (")[0] for fault in only(review).faults] == [
        f"crashed with {type(error).__name__}" + (f": {error}" if str(error) else "")
    ]
    assert ("sample/link", "error", "run.R-1") in named(only(review))
    assert review.exit_status is ExitStatus.NOT_REVIEWED


def test_a_crash_on_one_design_leaves_the_others_reviewed(folder: Folder) -> None:
    def picky(built: Built, parameters: object) -> Iterator[Said]:
        if built.design.name == "a.toml":
            raise ValueError("not this one")
        yield fail()

    folder.write({"a.toml": design(LONG), "b.toml": design(LONG)})
    first, second = folder.review(rules=rule_set(rule_of(picky))).designs
    assert (first.findings, first.reviewed) == ((), False)
    assert (named(second), second.reviewed) == ([("other/link", "error", "run.R-1")], True)


def test_a_fault_of_the_package_itself_is_contained(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(design: object, today: object) -> None:
        raise KeyError("own")

    monkeypatch.setattr("riserlint.review.engine.Built", broken)
    folder.write({"a.toml": design(LONG)})
    review = folder.review()
    (fault,) = only(review).faults
    assert (only(review).file, fault.plugin) == ("a.toml", "riserlint")
    assert fault.message.startswith("crashed with KeyError: 'own' (test_engine.py:")
    assert review.exit_status is ExitStatus.NOT_REVIEWED


# -- flawed answers ----------------------------------------------------------------------------------------------

FLAWED = {
    "a check it does not have": (
        fail()._replace(check="lnik"),
        "answers the check 'lnik', which it does not have",
    ),
    "a pass of a check it does not have": (
        Passed("lnik", RUN),
        "answers the check 'lnik', which it does not have",
    ),
    "a check that is not applicable and not there": (
        NotApplicable("lnik", RUN, "no"),
        "answers the check 'lnik', which it does not have",
    ),
    "nothing": (None, "says something that is no answer: NoneType"),
    "a text": ("too long", "says something that is no answer: str"),
    "an unknown kind": (
        fail()._replace(kind="maybe"),  # type: ignore[arg-type]
        "says something that can't be reported: an answer of link has the kind 'maybe'",
    ),
    "an unknown level": (
        fail(level="fatal"),
        "says something that can't be reported: an answer of link has the level 'fatal'",
    ),
    "no message": (
        fail(message=""),
        "says something that can't be reported: an answer of link has no message",
    ),
    "a name in place of a path": (
        fail(at="run.R-1"),  # type: ignore[arg-type]
        "says something that can't be reported: an answer of link names 'run.R-1', "
        "which is no path such as ('run', 'R-014')",
    ),
    "an empty path": (
        fail(at=()),
        "says something that can't be reported: an answer of link names (), "
        "which is no path such as ('run', 'R-014')",
    ),
    "a text in place of a number": (
        fail(value="95 m"),
        "says something that can't be reported: an answer of link has '95 m' as its value",
    ),
    "a number in place of a limit": (
        fail(held_against=90.0),
        "says something that can't be reported: an answer of link is held against something that is no limit",
    ),
    "a working that is no text": (
        fail(working=3),
        "says something that can't be reported: an answer of link has something else than text in one of "
        "unit, working, turns, distinct",
    ),
    "a remedy that TOML can't write": (
        fail(remedy=Remedy("do it", (Change((*RUN, "link_m"), {1, 2}),))),
        "says something that can't be reported: an answer of link has a remedy with a value that can't be written: "
        "TOML has no form for set",
    ),
}


@pytest.mark.parametrize(("answer", "message"), FLAWED.values(), ids=FLAWED)
def test_an_answer_that_is_none_is_a_fault_and_those_after_it_are_kept(
    folder: Folder, answer: object, message: str
) -> None:
    one = one_rule(folder, answer, fail())
    assert one.faults == (Fault("other", "sample-rules", message),)
    assert named(one) == [("other/link", "error", "run.R-1")]
    assert one.passes == ()


def test_a_number_without_end_is_left_out_and_its_finding_stays(folder: Folder) -> None:
    (finding,) = one_rule(folder, fail(value=float("inf"), limit=90, margin=float("nan"))).findings
    assert (finding.answer.value, finding.answer.limit, finding.answer.margin) == (None, 90.0, None)


# -- places ------------------------------------------------------------------------------------------------------


def test_a_value_that_is_not_written_is_found_at_the_nearest_thing_that_would_hold_it(folder: Folder) -> None:
    from riserlint.testing import pointed_at

    text = design(LONG)
    missing, absent_table, listed = one_rule(
        folder,
        fail(at=(*RUN, "cords_m"), distinct="a"),
        fail(at=("bundle", "b-1"), distinct="b"),
        fail(at=("switch", "core", "pse", "budget_w"), distinct="c"),
        text=text,
    ).findings[0:3]
    by_path = {finding.answer.distinct: pointed_at(finding) for finding in (missing, absent_table, listed)}
    assert by_path == {"a": "R-1", "b": "design", "c": "core"}


def test_a_value_written_in_full_is_pointed_at_where_it_is(folder: Folder) -> None:
    from riserlint.testing import pointed_at

    link = '{ is = 95.5, origin = "measured", by = "tape", on = 2026-03-02 }'
    run = f"R-1 = {{ link_m = {link}, cords_m = {{ is = [2, 9] }} }}"
    text = design(run)
    at, item = (*RUN, "link_m"), (*RUN, "cords_m", 1)
    length, cord = one_rule(folder, fail(at, rests_on=(at,)), fail(item, distinct="cord"), text=text).findings
    assert (pointed_at(length), pointed_at(cord)) == ("95.5", "9")
    assert length.stated == ("run.R-1.link_m measured by tape on 2026-03-02",)


def test_an_assumed_value_is_named_and_found_in_the_basis(folder: Folder) -> None:
    basis = '[basis]\ntitle = "House basis"\n[assume.cable]\nrated_c = { is = 60, origin = "nameplate" }\n'
    folder.write({"basis.toml": basis})
    at = ("basis", "assume", "cable", "rated_c")
    (finding,) = one_rule(folder, fail(rests_on=(at,), related=(Related(at, "assumed here"),))).findings
    assert finding.assumed == ("cable.rated_c",)
    assert finding.stated == ()
    place = finding.related[0].location
    assert (place.file, place.source_line[place.column - 1 : place.end_column - 1]) == ("basis.toml", "60")


# -- levels ------------------------------------------------------------------------------------------------------


def basis_with(line: str) -> str:
    return f'[basis]\ntitle = "House basis"\n{line}\n'


@pytest.mark.parametrize(
    ("limit", "basis_line", "stated", "expected"),
    [
        (LIMIT, "", None, "error"),
        (LIMIT, 'memory_at_most = "note"', None, "error"),
        (REMEMBERED, "", None, "error"),
        (REMEMBERED, 'memory_at_most = "warning"', None, "warning"),
        (REMEMBERED, 'memory_at_most = "note"', "warning", "note"),
        (REMEMBERED, 'memory_at_most = "warning"', "note", "note"),
        (HABIT, "", None, "note"),
        (HABIT, 'memory_at_most = "warning"', "warning", "note"),
        (None, 'memory_at_most = "note"', "warning", "warning"),
    ],
)
def test_levels_are_capped_by_how_the_limit_is_known(
    folder: Folder, limit: Limit | None, basis_line: str, stated: Any, expected: str
) -> None:
    folder.write({"basis.toml": basis_with(basis_line)})
    assert [f.level for f in one_rule(folder, fail(held_against=limit, level=stated)).findings] == [expected]


@pytest.mark.parametrize("kind", ["open", "review"])
def test_what_is_no_fail_has_no_level(folder: Folder, kind: Any) -> None:
    assert [f.level for f in one_rule(folder, fail(level="error")._replace(kind=kind)).findings] == ["none"]


def test_a_habit_of_the_trade_is_a_note_though_its_check_says_warning(folder: Folder) -> None:
    assert TIDY.level == "warning"
    folder.write({"a.toml": design(LONG)})
    assert ("sample/tidy", "note", "run.R-1") in named(only(folder.review()))


def test_findings_come_worst_first_then_by_place(folder: Folder) -> None:
    long_2 = LONG.replace("R-1", "R-0").replace("core/1", "core/9").replace("cam-1", "cam-2")
    one = only(folder.write({"a.toml": design(UNKNOWN, LONG, long_2, "R-9 = { link_m = 3 }")}).review())
    assert [(f.level, f.answer.kind, f.subject) for f in one.findings] == [
        ("error", "fail", "run.R-1"),
        ("error", "fail", "run.R-0"),
        ("note", "fail", "run.R-1"),
        ("note", "fail", "run.R-0"),
        ("none", "review", "run.R-9"),
        ("none", "open", "run.R-3"),
    ]


# -- identity ----------------------------------------------------------------------------------------------------


def test_two_findings_of_one_identity_get_two_fingerprints(folder: Folder) -> None:
    same = (fail((*RUN, "to")), fail((*RUN, "from")))
    one, two = one_rule(folder, *same).findings
    assert one.fingerprint != two.fingerprint
    turned = one_rule(folder, *reversed(same)).findings
    assert {f.answer.at: f.fingerprint for f in turned} == {f.answer.at: f.fingerprint for f in (one, two)}


def test_one_id_in_two_designs_is_two_objects(folder: Folder) -> None:
    folder.write({"a.toml": design(LONG), "b.toml": design(LONG)})
    first, second = folder.review().designs
    assert {f.fingerprint for f in first.findings}.isdisjoint({f.fingerprint for f in second.findings})


# -- parameters --------------------------------------------------------------------------------------------------


def problems(review: Any) -> list[tuple[str, tuple[int, int], str]]:
    """Return file, line and column, and message of each problem."""
    found = []
    for one in review.designs:
        for problem in one.problems:
            assert isinstance(problem, Problem)
            found.append((problem.file, (problem.line, problem.column), problem.message))
    return found


def with_basis(folder: Folder, basis: str) -> Any:
    return folder.write({"a.toml": design(SHORT), "basis.toml": basis}).review("a.toml")


def test_a_parameter_of_the_basis_reaches_its_rule(folder: Folder) -> None:
    one = only(with_basis(folder, "[rule.sample]\nmost_m = 10\n"))
    assert [finding.answer.message for finding in one.findings] == ["R-2: link of 12 m, at most 10 m"]


PARAMETERS = {
    "unknown rule": (
        "[rule.smaple]\nmost_m = 10\n",
        (1, 7),
        "there is no rule `smaple`; did you mean `sample`?",
    ),
    "unknown key": (
        "[rule]\nsample = { mots_m = 10 }\n",
        (2, 12),
        "unknown key `mots_m`; did you mean `most_m`?",
    ),
    "wrong type": (
        '[rule.sample]\n# a comment\nmost_m = "10"\n',
        (3, 10),
        'expected a number without quotes, found "10"',
    ),
    "a number that is none": (
        "[rule.sample]\nmost_m = nan\n",
        (2, 10),
        "expected a finite number, found nan",
    ),
    "no table": ("rule = 3\n", (1, 8), "expected a table of keys, found 3"),
    "a rule that is no table": (
        "[rule]\nsample = 3\n",
        (2, 10),
        "expected a table of keys, found 3",
    ),
    "a rule that is unknown": (
        '[rule]\nsample = "unknown"\n',
        (2, 10),
        'expected a table of keys, found "unknown"',
    ),
}


@pytest.mark.parametrize(("basis", "place", "message"), PARAMETERS.values(), ids=PARAMETERS)
def test_a_wrong_parameter_is_a_problem_at_its_place_and_there_is_no_verdict(
    folder: Folder, basis: str, place: tuple[int, int], message: str
) -> None:
    review = with_basis(folder, basis)
    assert problems(review) == [("basis.toml", place, message)]
    assert only(review).findings == ()
    assert review.exit_status is ExitStatus.NOT_REVIEWED


def test_all_wrong_parameters_are_shown_in_one_go_beside_the_problems_of_the_design(folder: Folder) -> None:
    basis = "[rule.smaple]\nmost_m = 10\n[rule.sample]\nmost_m = true\nmore = 1\n"
    folder.write({"a.toml": design("R-2 = { link_m = -1 }"), "basis.toml": basis})
    assert problems(folder.review("a.toml")) == [
        ("a.toml", (14, 18), "expected a value of at least 0, found -1"),
        ("basis.toml", (1, 7), "there is no rule `smaple`; did you mean `sample`?"),
        ("basis.toml", (4, 10), "expected a number without quotes, found true"),
        ("basis.toml", (5, 1), "unknown key `more`; known here: `most_m`, `names`"),
    ]


def test_a_basis_that_cant_be_read_does_not_hide_the_problems_of_the_design(folder: Folder) -> None:
    folder.write({"a.toml": design("R-2 = { link_m = -1 }"), "basis.toml": "[basis\n"})
    review = folder.review("a.toml")
    assert problems(review) == [
        ("a.toml", (14, 18), "expected a value of at least 0, found -1"),
        ("basis.toml", (1, 7), "not TOML: expected ']' at the end of a table declaration"),
    ]
    block = only(review).title_block
    assert block is not None
    assert block.basis == "basis.toml, which can't be read"


# -- what holds --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("run", "basis_line", "hold_at", "status"),
    [
        (SHORT, "", "error", 0),
        (LONG, "", "error", 1),
        (UNKNOWN, "", "note", 0),
        (UNKNOWN, "hold_on_open = true", "error", 1),
        ('R-1 = { cable = "h", link_m = 60 }', "", "error", 0),
        ('R-1 = { cable = "h", link_m = 60 }', "", "warning", 0),
        ('R-1 = { cable = "h", link_m = 60 }', "", "note", 1),
        ("R-1 = { link_m = 6 }", "hold_on_open = true", "note", 0),
    ],
)
def test_exit_status(folder: Folder, run: str, basis_line: str, hold_at: Any, status: int) -> None:
    folder.write({"a.toml": design(run), "basis.toml": basis_with(basis_line)})
    assert int(folder.review("a.toml", hold_at=hold_at).exit_status) == status


def test_what_could_not_be_reviewed_outranks_what_holds_and_all_else_is_reported(folder: Folder) -> None:
    review = folder.write({"a.toml": design(LONG), "b.toml": HEAD + "[run\n"}).review()
    assert [one.reviewed for one in review.designs] == [True, False]
    assert named(review.designs[0])[0] == ("sample/link", "error", "run.R-1")
    assert review.exit_status is ExitStatus.NOT_REVIEWED


# -- finding designs ---------------------------------------------------------------------------------------------


def files(review: Any) -> list[str]:
    return [one.file for one in review.designs]


def test_a_folder_stands_for_the_designs_in_it_and_hidden_folders_are_passed_over(folder: Folder) -> None:
    folder.write(
        {
            "z.toml": design(SHORT),
            "deep/er/a.toml": design(SHORT),
            "gear.toml": "[part.x]\n",
            "notes.txt": HEAD,
            ".venv/b.toml": design(SHORT),
            "deep/.hidden/c.toml": design(SHORT),
            ".d.toml": design(SHORT),
            "pyproject.toml": '[project]\nname = "design"\n# [design]\n',
        }
    )
    review = folder.review()
    assert files(review) == ["deep/er/a.toml", "z.toml"]
    assert review.not_found == ()


def test_a_hidden_folder_that_is_named_is_searched(folder: Folder) -> None:
    folder.write({".plans/b.toml": design(SHORT)})
    assert files(folder.review(".plans")) == [".plans/b.toml"]


@pytest.mark.parametrize(
    "opening",
    [
        '[design]\ntitle = "x"\n',
        '  [ design ]\ntitle = "x"\n',
        '["design"]\ntitle = "x"\n',
        "['design']\ntitle = 'x'\n",
        'design = { title = "x" }\n',
        'design.title = "x"\n',
        '"design".title = "x"\n',
        '\ufeff[design]\ntitle = "x"\n',
        '# first\r\n[design]\r\ntitle = "x"\r\n',
        '[design.title]\nis = "x"\n',
        '[design] # the head\ntitle = "x"\n',
    ],
)
def test_a_design_is_found_however_its_table_is_opened(folder: Folder, opening: str) -> None:
    review = folder.write({"a.toml": opening}).review()
    assert (files(review), [one.problems for one in review.designs]) == (["a.toml"], [()])


def test_a_design_with_a_syntax_error_is_found_and_named(folder: Folder) -> None:
    assert len(problems(folder.write({"a.toml": "[design\n", "b.toml": "[design # ]\n"}).review())) == 2
    (folder.path / "b.toml").unlink()
    review = folder.write({"a.toml": '[design]\ntitle = "Pool\n'}).review()
    assert problems(review) == [("a.toml", (2, 14), "not TOML: illegal character '\\n'")]
    assert review.exit_status is ExitStatus.NOT_REVIEWED


def test_a_design_named_twice_is_reviewed_once(folder: Folder) -> None:
    folder.write({"sub/a.toml": design(SHORT)})
    assert files(folder.review("sub/a.toml", "sub", ".", "sub/../sub/a.toml")) == ["sub/a.toml"]


USES = HEAD + 'parts = ["../lib/gear.toml"]\n'


def test_a_parts_file_stands_for_the_designs_that_name_it(folder: Folder) -> None:
    folder.write(
        {
            "lib/gear.toml": "[part.x]\n",
            "one/a.toml": USES,
            "two/b.toml": USES,
            "two/c.toml": HEAD,
            "two/d.toml": HEAD + 'parts = ["\\u0000"]\n',
            "two/e.toml": HEAD + "parts = 7\n",
        }
    )
    assert files(folder.review("lib/gear.toml")) == ["one/a.toml", "two/b.toml"]


def test_a_parts_file_beside_a_basis_of_its_own_still_stands_for_designs_elsewhere(folder: Folder) -> None:
    folder.write({"lib/gear.toml": "[part.x]\n", "lib/basis.toml": "[basis]\n", "one/a.toml": USES})
    assert files(folder.review("lib/gear.toml")) == ["one/a.toml"]


def test_a_basis_stands_for_the_designs_below_it(folder: Folder) -> None:
    folder.write(
        {
            "basis.toml": "[basis]\n",
            "a.toml": HEAD,
            "sub/b.toml": HEAD,
            "own/basis.toml": "[basis]\n",
            "own/c.toml": HEAD,
        }
    )
    assert files(folder.review("basis.toml")) == ["a.toml", "sub/b.toml"]
    assert files(folder.review("own/basis.toml")) == ["own/c.toml"]


def test_without_a_repository_files_are_named_from_their_root(tmp_path: Path) -> None:
    (tmp_path / "own").mkdir()
    (tmp_path / "own/basis.toml").write_text("[basis]\n", encoding="utf-8")
    (tmp_path / "own/c.toml").write_text(HEAD, encoding="utf-8")
    assert files(Folder(tmp_path).review()) == ["c.toml"]


def test_a_broken_basis_stands_for_its_designs_too(folder: Folder) -> None:
    review = folder.write({"basis.toml": "[basis\n", "a.toml": HEAD}).review("basis.toml")
    assert [(one.file, len(one.problems)) for one in review.designs] == [("a.toml", 1)]


def test_paths_that_give_nothing_are_named_and_outrank_what_was_found(folder: Folder) -> None:
    folder.write({"a.toml": design(SHORT), "other.toml": "x = 1\n", "empty/readme.txt": ""})
    review = folder.review("a.toml", "gone.toml", "other.toml", "empty")
    assert files(review) == ["a.toml"]
    assert review.not_found == (
        f"{folder.path}/gone.toml: there is no such file or folder",
        f"{folder.path}/other.toml: no [design] table, and no design uses it as basis or parts file",
        f"{folder.path}/empty: no design in this folder (a design is a TOML file with a [design] table)",
    )
    assert review.exit_status is ExitStatus.NOT_REVIEWED


def test_a_hook_passes_over_files_that_are_no_concern_of_a_design(folder: Folder) -> None:
    folder.write({"a.toml": design(SHORT), "other.toml": "x = 1\n"})
    review = folder.review("a.toml", "other.toml", designs_only=True)
    assert (files(review), review.not_found, int(review.exit_status)) == (["a.toml"], (), 0)


def test_a_name_that_no_file_can_have_is_named(folder: Folder) -> None:
    review = folder.review("x" * 5000, "a\0b")
    assert [text.rpartition(": ")[2] for text in review.not_found] == [
        "File name too long",
        "there is no such file or folder",
    ]
    assert review.exit_status is ExitStatus.NOT_REVIEWED


def test_a_pipe_is_no_design_and_is_not_waited_for(folder: Folder) -> None:
    os.mkfifo(folder.path / "pipe.toml")
    review = folder.review("pipe.toml")
    assert review.not_found == (f"{folder.path}/pipe.toml: is neither a file nor a folder",)


def test_a_folder_that_cant_be_looked_into_is_named(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    folder.write({"a.toml": design(SHORT)})

    def walk(top: Any, onerror: Any = None, **_: Any) -> Iterator[Any]:
        yield (str(top), ["shut"], ["a.toml"])
        onerror(PermissionError(13, "Permission denied", f"{top}/shut"))

    monkeypatch.setattr("riserlint.design.reading.os.walk", walk)
    assert folder.review().not_found == (f"{folder.path}/shut: can't be looked at: Permission denied",)


def test_a_basis_that_leads_out_of_the_root_is_not_read(folder: Folder, tmp_path: Path) -> None:
    inside = Folder(folder.path / "inside")
    inside.path.mkdir()
    (folder.path / "elsewhere.toml").write_text("[basis]\nhold_on_open = true\n", encoding="utf-8")
    (inside.path / "basis.toml").symlink_to(folder.path / "elsewhere.toml")
    inside.write({"a.toml": HEAD})
    message = "basis.toml is a link to a file outside the root; nothing outside the root is read"
    assert [problem.message for problem in only(inside.review("a.toml")).problems] == [message]


# -- the rest ----------------------------------------------------------------------------------------------------


def test_the_title_block_says_what_was_read(folder: Folder) -> None:
    import hashlib

    head = HEAD.replace('region = "europe"\n', "date = 2026-01-31\n") + 'parts = ["gear.toml"]\n'
    basis = (
        '[basis]\ntitle = "House basis"\nrevision = "3"\nregion = "international"\n'
        'editions = { "ISO/IEC 11801-1" = "2017" }\n'
    )
    folder.write({"a.toml": head, "gear.toml": "[part.x]\n", "basis.toml": basis})
    block = only(folder.review("a.toml")).title_block
    assert block is not None
    assert block._replace(files=()) == (
        "Pool",
        "B",
        "construction",
        "international",
        "2026-01-31",
        "House basis, revision 3",
        (("ISO/IEC 11801-1", "2017"),),
        (),
    )
    assert block.files == tuple(
        (name, hashlib.sha256((folder.path / name).read_bytes()).hexdigest())
        for name in ("a.toml", "gear.toml", "basis.toml")
    )


def test_passes_and_what_does_not_apply_are_kept(folder: Folder) -> None:
    text = design(
        SHORT, 'R-4 = { cable = "h", through = ["i"] }', tail='[inline]\ni = { kind = "surge-protector" }\n'
    )
    one = only(folder.write({"a.toml": text}).review())
    assert [tuple(group) for group in one.passes] == [("sample/link", ("run.R-2",))]
    assert [tuple(skipped) for skipped in one.not_applicable] == [
        ("sample/link", "run.R-4", "a thing is in the run")
    ]


def test_the_same_files_give_the_same_review(folder: Folder) -> None:
    folder.write({"a.toml": design(LONG, SHORT, UNKNOWN), "b/c.toml": design(UNKNOWN)})
    assert folder.review() == folder.review()


def test_a_check_has_a_level_of_its_own() -> None:
    assert LINK.level == "error"
