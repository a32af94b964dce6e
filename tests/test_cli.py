"""The command: its arguments, where the report goes, and what it ends with."""

import json
import os
import re
import subprocess
import sys
import tomllib
from datetime import date
from pathlib import Path

import pytest

from fake_rule import CRASH, GEAR, HEAD, LONG, SAMPLE, SHORT, design, rule_of, rule_set
from riserlint import VERSION, Fault, RuleSet, load_rules
from riserlint.cli import main
from riserlint.review import plugins

ROOT = Path(__file__).parents[1]


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Work in a folder of its own, with one rule, on a page of 80 columns without colour."""
    for name in ("NO_COLOR", "FORCE_COLOR", "COLORTERM", "LINES", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("TERM", "dumb")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(plugins, "load_rules", lambda: rule_set(SAMPLE))
    (tmp_path / ".git").mkdir()
    (tmp_path / "long.toml").write_text(design(LONG), encoding="utf-8")
    (tmp_path / "short.toml").write_text(design(SHORT), encoding="utf-8")
    (tmp_path / "broken.toml").write_text("[design\n", encoding="utf-8")
    return tmp_path


def command(*arguments: str, **settings: str) -> subprocess.CompletedProcess[bytes]:
    """Run the command as a process of its own, with the built-in rules."""
    environment = {**os.environ, **settings}
    line = [sys.executable, "-m", "riserlint", *arguments]
    return subprocess.run(line, capture_output=True, env=environment, check=False)


# -- arguments ---------------------------------------------------------------------------------------------------


def test_the_version_is_that_of_the_distribution(capsys: pytest.CaptureFixture[str]) -> None:
    stated = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
    assert stated == VERSION
    with pytest.raises(SystemExit) as left:
        main(["--version"])
    assert left.value.code == 0
    assert capsys.readouterr().out == f"riserlint {VERSION}\n"


@pytest.mark.parametrize("arguments", [["--help"], ["review", "--help"]])
def test_help_shows_examples_and_the_exit_statuses(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        main(arguments)
    assert left.value.code == 0
    shown = capsys.readouterr().out
    assert "examples:\n  riserlint review designs/ " in shown
    for status in "012":
        assert re.search(rf"^  {status}  \w", shown, re.MULTILINE)
    assert "no approval" in shown


@pytest.mark.parametrize("arguments", [["--help"], ["review", "--help"], ["cite", "--help"]], ids=" ".join)
def test_help_fits_in_80_columns(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(arguments)
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) > 5
    assert [line for line in lines if len(line) > 80] == []


def test_every_example_of_the_help_is_a_command_that_is_understood(
    capsys: pytest.CaptureFixture[str],
) -> None:
    from riserlint.cli import _EXAMPLES, _parser

    examples = re.findall(r"^  riserlint (.*?)(?:   .*)?$", _EXAMPLES, re.MULTILINE)
    assert len(examples) >= 5
    for example in examples:
        assert _parser().parse_args(example.split()).command in {"review", "cite"}


WRONG = {
    "no command": ([], "the following arguments are required: COMMAND"),
    "an unknown command": (["fix"], "invalid choice: 'fix'"),
    "no path": (["review"], "the following arguments are required: PATH"),
    "an empty path": (["review", ""], "argument PATH: an empty text is no path"),
    "an unknown format": (["review", "a", "--format", "xml"], "invalid choice: 'xml'"),
    "an unknown hold point": (["review", "a", "--hold-at", "fatal"], "invalid choice: 'fatal'"),
    "a day that is none": (
        ["review", "a", "--today", "2026-02-30"],
        "argument --today: '2026-02-30' is no date; expected one such as 2026-11-25",
    ),
    "an option cut short": (["review", "a", "--form", "json"], "unrecognized arguments: --form json"),
}


@pytest.mark.parametrize(("arguments", "message"), WRONG.values(), ids=WRONG)
def test_wrong_arguments_end_with_2_and_say_why(
    arguments: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        main(arguments)
    assert left.value.code == 2
    out, error = capsys.readouterr()
    assert out == ""
    assert message in error


# -- exit status -------------------------------------------------------------------------------------------------

STATUSES: list[tuple[list[str], int]] = [
    (["short.toml"], 0),
    (["long.toml"], 1),
    (["short.toml", "long.toml"], 1),
    (["broken.toml"], 2),
    (["long.toml", "broken.toml"], 2),
    (["."], 2),
    (["gone.toml"], 2),
    (["long.toml", "gone.toml"], 2),
    (["short.toml", "--hold-at", "note"], 0),
    (["tidy.toml"], 0),
    (["tidy.toml", "--hold-at", "note"], 1),
    (["tidy.toml", "--hold-at", "warning"], 0),
]


@pytest.mark.parametrize("form", ["human", "json", "sarif"])
@pytest.mark.parametrize(("arguments", "status"), STATUSES, ids=str)
def test_exit_statuses(
    arguments: list[str], status: int, form: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (here / "tidy.toml").write_text(design('R-1 = { cable = "h", link_m = 60 }'), encoding="utf-8")
    assert main(["review", *arguments, "--format", form]) == status
    out, error = capsys.readouterr()
    assert out
    assert error == ""
    if form == "json":
        assert json.loads(out)["exit_status"] == status
    elif form == "sarif":
        assert json.loads(out)["runs"][0]["invocations"][0]["exitCode"] == status


def test_a_crashed_rule_outranks_what_holds_and_all_else_is_reported(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(plugins, "load_rules", lambda: rule_set(SAMPLE, CRASH))
    assert main(["review", "long.toml"]) == 2
    out = capsys.readouterr().out
    assert "ERROR    sample/link  run.R-1  STOPS RELEASE" in out
    assert "NOT REVIEWED by crash" in out


def test_a_plugin_that_did_not_load_outranks_a_clean_review(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(
        plugins, "load_rules", lambda: RuleSet((), (Fault("x", "x-dist", "can't be loaded"),))
    )
    assert main(["review", "short.toml"]) == 2
    assert "PLUGIN  x (x-dist) can't be loaded" in capsys.readouterr().out


def test_a_fault_of_the_report_itself_is_2_and_not_1(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(review: object) -> str:
        raise KeyError("own")

    monkeypatch.setattr("riserlint.reports.json_report.json_text", broken)
    assert main(["review", "short.toml", "--format", "json"]) == 2
    assert "KeyError: 'own'" in capsys.readouterr().err


def test_the_day_is_the_one_asked_for_else_that_of_the_clock(capsys: pytest.CaptureFixture[str]) -> None:
    main(["review", "short.toml", "--format", "json", "--today", "2031-05-06"])
    assert json.loads(capsys.readouterr().out)["today"] == "2031-05-06"
    before = date.today()  # noqa: DTZ011 - the reader's own day is meant
    main(["review", "short.toml", "--format", "json"])
    shown = date.fromisoformat(json.loads(capsys.readouterr().out)["today"])
    assert before <= shown <= date.today()  # noqa: DTZ011 - the same


def test_a_hook_is_not_stopped_by_files_that_are_no_design(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (here / "other.toml").write_text("x = 1\n", encoding="utf-8")
    assert main(["review", "short.toml", "other.toml"]) == 2
    assert main(["review", "short.toml", "other.toml", "--designs-only"]) == 0
    assert "1 design by 1 rule" in capsys.readouterr().out


def test_the_collector_is_at_work_again_after_a_review(capsys: pytest.CaptureFixture[str]) -> None:
    import gc

    main(["review", "short.toml"])
    assert gc.isenabled()
    assert capsys.readouterr().out


def test_what_a_plugin_prints_does_not_get_into_the_report(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def talk(*_: object) -> tuple[()]:
        print("talking")  # noqa: T201 - that is what is tried
        return ()

    monkeypatch.setattr(plugins, "load_rules", lambda: rule_set(rule_of(talk)))
    assert main(["review", "short.toml", "--format", "json"]) == 0
    out, error = capsys.readouterr()
    assert json.loads(out)["exit_status"] == 0
    assert error == "talking\n"


# -- files -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("form", ["human", "json", "sarif"])
def test_a_report_in_a_file_is_the_one_that_would_be_shown(
    form: str, here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["review", "long.toml", "--format", form, "--today", "2026-11-25"]
    assert main([*arguments, "--output", "report.out"]) == 1
    assert capsys.readouterr().out == ""
    written = (here / "report.out").read_text(encoding="utf-8")
    monkeypatch.setenv("COLUMNS", "100")
    assert main(arguments) == 1
    assert capsys.readouterr().out == written
    assert "\x1b" not in written


def test_the_old_report_is_there_as_long_as_the_new_one_is_not_whole(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (here / "report.json").write_text("old", encoding="utf-8")

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert main(["review", "long.toml", "--format", "json", "--output", "report.json"]) == 2
    assert (here / "report.json").read_text(encoding="utf-8") == "old"
    assert sorted(path.name for path in here.iterdir() if path.name.startswith((".riser", "report"))) == [
        "report.json"
    ]
    assert (
        capsys.readouterr().err
        == "riserlint: the report can't be written: [Errno 28] No space left on device\n"
    )


def test_a_new_report_replaces_the_old_one_and_keeps_who_may_read_it(here: Path) -> None:
    report = here / "report.json"
    report.write_text("old", encoding="utf-8")
    report.chmod(0o640)
    assert main(["review", "short.toml", "--format", "json", "--output", "report.json"]) == 0
    assert json.loads(report.read_text(encoding="utf-8"))["exit_status"] == 0
    assert report.stat().st_mode & 0o777 == 0o640
    os.umask(before := os.umask(0))
    assert main(["review", "short.toml", "--format", "json", "--output", "fresh.json"]) == 0
    assert (here / "fresh.json").stat().st_mode & 0o777 == 0o666 & ~before


def test_a_link_stays_a_link_and_its_file_is_written(here: Path) -> None:
    (here / "real.json").write_text("old", encoding="utf-8")
    (here / "link.json").symlink_to("real.json")
    assert main(["review", "short.toml", "--format", "json", "--output", "link.json"]) == 0
    assert (here / "link.json").is_symlink()
    assert json.loads((here / "real.json").read_text(encoding="utf-8"))["exit_status"] == 0


def test_a_device_is_written_to_and_never_replaced() -> None:
    assert main(["review", "short.toml", "--output", "/dev/null"]) == 0
    assert Path("/dev/null").is_char_device()


@pytest.mark.parametrize(
    ("name", "reason"), [("gone/report.json", "No such file or directory"), (".git", "Is a directory")]
)
def test_a_report_that_cant_be_written_is_2(
    name: str, reason: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["review", "short.toml", "--output", name]) == 2
    assert reason in capsys.readouterr().err


# -- streams -----------------------------------------------------------------------------------------------------


def test_it_runs_as_a_module_and_as_a_command() -> None:
    assert command("--version").stdout == f"riserlint {VERSION}\n".encode()
    script = Path(sys.executable).parent / "riserlint"
    done = subprocess.run([script, "--version"], capture_output=True, check=True)
    assert done.stdout == f"riserlint {VERSION}\n".encode()


@pytest.mark.parametrize("form", ["human", "json", "sarif"])
def test_a_reader_that_goes_away_is_no_fault(form: str) -> None:
    expected = command("review", "long.toml", "--format", form).returncode
    line = f'"{sys.executable}" -m riserlint review long.toml --format {form}; echo "$?" >&2'
    done = subprocess.run(["bash", "-c", f"({line}) | true"], capture_output=True, check=False)
    assert done.stderr.decode() == f"{expected}\n"


@pytest.mark.parametrize("form", ["human", "json", "sarif"])
def test_a_full_disk_at_the_other_end_is_2(form: str) -> None:
    with Path("/dev/full").open("wb") as full:
        line = [sys.executable, "-m", "riserlint", "review", "short.toml", "--format", form]
        done = subprocess.run(line, stdout=full, stderr=subprocess.PIPE, check=False)
    assert done.returncode == 2
    assert done.stderr == b"riserlint: the report can't be written: [Errno 28] No space left on device\n"


def test_a_closed_standard_output_is_2() -> None:
    line = f'"{sys.executable}" -m riserlint review short.toml >&-'
    done = subprocess.run(["bash", "-c", line], capture_output=True, check=False)
    assert done.returncode == 2
    assert b"the report can't be written: standard output is closed" in done.stderr


def test_a_terminal_without_unicode_still_gets_the_whole_page(here: Path) -> None:
    (here / "pool.toml").write_text(design(LONG, head=HEAD.replace("Pool", "Bäder 水")), encoding="utf-8")
    done = command("review", "pool.toml", PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    shown = done.stdout.decode("ascii")
    assert "B\\xe4der \\u6c34 - revision B" in shown
    assert "pool.toml -----" in shown
    assert "link_m = >95.5<" in shown
    assert shown.splitlines()[-1].strip()


@pytest.mark.parametrize("form", ["json", "sarif"])
def test_a_report_for_programs_is_utf8_whatever_the_terminal_is(form: str, here: Path) -> None:
    (here / "pool.toml").write_text(design(LONG, head=HEAD.replace("Pool", "Bäder 水")), encoding="utf-8")
    done = command("review", "pool.toml", "--format", form, PYTHONIOENCODING="latin-1", PYTHONUTF8="0")
    assert "Bäder 水" in done.stdout.decode("utf-8")
    json.loads(done.stdout.decode("utf-8"))


def test_a_pipe_gets_no_colour_and_a_location_on_one_line(here: Path) -> None:
    name = "d" * 100 + ".toml"
    (here / name).write_text(design(LONG, gear=GEAR), encoding="utf-8")
    shown = command("review", name, COLUMNS="60").stdout.decode("utf-8")
    assert "\x1b" not in shown
    assert re.search(rf"^    at        {re.escape(name)}:\d+:\d+$", shown, re.MULTILINE)


def test_the_same_files_options_version_and_day_give_the_same_bytes() -> None:
    for form in ("human", "json", "sarif"):
        line = ("review", ".", "--format", form, "--today", "2026-11-25")
        assert command(*line, PYTHONHASHSEED="1").stdout == command(*line, PYTHONHASHSEED="2").stdout


# -- cite --------------------------------------------------------------------------------------------------------


def test_all_rules_are_cited_with_their_checks_and_texts(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["cite"]) == 0
    out, error = capsys.readouterr()
    assert error == ""
    assert out.startswith(
        "sample: links are short\n"
        "  sample/link (error): the link is too long\n"
        "  sample/cords (error): the cords are too long\n"
        "  sample/tidy (warning): the link is longer than is usual\n"
        "  sample/look (warning): somebody must look at the run\n"
        "  texts: Sample Standard 7, Sample handbook\n\n"
        "variance: a variance counts only while it is valid and matches a finding\n"
    )


def test_one_rule_is_cited_with_formulas_limits_and_how_each_is_known(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["cite", "sample"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("sample: links are short\n  A long link loses frames.\n\nsample/link  (error)\n")
    assert (
        "\nsample/cords  (error)\n"
        "  the cords are too long\n"
        "  formula: sum of cords ≤ 5 m\n"
        "  limit:   longest cord: 5 m\n"
        "           Sample Standard 7-2020, 4.2\n"
        "           memory: recalled; no public page states it\n"
    ) in out
    assert "common practice: the trade does so" in out


def test_one_check_is_cited(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["cite", "sample/tidy"]) == 0
    out = capsys.readouterr().out
    assert "sample/tidy  (warning)" in out
    assert "sample/link" not in out


def test_the_engines_own_rule_is_cited(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["cite", "variance/expired"]) == 0
    assert "variance/expired  (error)" in capsys.readouterr().out


UNCITED = {
    "an unknown rule": ("smaple", 'riserlint: there is no rule "smaple"; did you mean `sample`?\n'),
    "an unknown check": ("sample/lnik", 'riserlint: sample has no check "lnik"; did you mean `link`?\n'),
    "nothing after the slash": (
        "sample/",
        'riserlint: sample has no check ""; known here: `cords`, `link`, `look`, `tidy`\n',
    ),
    "something that acts on the terminal": (
        "\x1b[31m",
        'riserlint: there is no rule "\\x1b[31m"; known here: `sample`, `variance`\n',
    ),
}


@pytest.mark.parametrize(("name", "message"), UNCITED.values(), ids=UNCITED)
def test_what_is_not_there_cant_be_cited(name: str, message: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["cite", name]) == 2
    assert capsys.readouterr() == ("", message)


def test_a_plugin_that_did_not_load_is_named_beside_what_is_cited(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    broken = RuleSet(rule_set(SAMPLE).rules, (Fault("x", "x-dist", "can't be loaded"),))
    monkeypatch.setattr(plugins, "load_rules", lambda: broken)
    for arguments in (["cite"], ["cite", "sample"]):
        assert main(arguments) == 2
        out, error = capsys.readouterr()
        assert out.startswith("sample: links are short\n")
        assert error == "riserlint: x (x-dist) can't be loaded\n"


def test_every_built_in_check_can_be_cited() -> None:
    from riserlint.reports.cited import cited_text

    rules = load_rules()
    for offered in rules.rules:
        for check in offered.rule.checks:
            cited = cited_text(rules, f"{offered.rule.id}/{check.name}")
            assert f"{offered.rule.id}/{check.name}  ({check.level})" in cited.text
            assert f"formula: {check.formula.split()[0]}" in cited.text


BUILT_IN = [None, *(offered.rule.id for offered in load_rules().rules), "variance"]


@pytest.mark.parametrize("columns", [60, 80, 120])
@pytest.mark.parametrize("name", BUILT_IN)
def test_what_is_cited_is_as_wide_as_the_terminal_and_no_wider(
    name: str | None, columns: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(plugins, "load_rules", load_rules)
    monkeypatch.setenv("COLUMNS", str(columns))
    assert main(["cite"] if name is None else ["cite", name]) == 0
    lines = capsys.readouterr().out.splitlines()
    # Beyond 100 columns a line is too long to be read.
    room = min(columns, 100)
    assert [line for line in lines if len(line) > room] == []
    assert max(len(line) for line in lines) > room * 0.8
