"""The JSON report: every report is valid by the shipped schema, which is the one that the models make."""

import importlib.resources
import json
from datetime import date
from pathlib import Path
from typing import Any

import jsonschema_rs
import pytest

from fake_rule import CRASH, HEAD, LONG, SAMPLE, SHORT, UNKNOWN, Folder, design, rule_of, rule_set
from riserlint import Answer, Change, Fault, Remedy, Review, RuleSet
from riserlint.reports.json_models import Report, schema
from riserlint.reports.json_report import FORMAT_VERSION, json_text

SHIPPED = importlib.resources.files("riserlint.reports") / "review.schema.json"
VALIDATOR = jsonschema_rs.validator_for(schema())


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    return Folder(tmp_path.resolve())


def report_of(review: Review) -> dict[str, Any]:
    report: dict[str, Any] = json.loads(json_text(review))
    assert [f"{error.instance_path}: {error.message}" for error in VALIDATOR.iter_errors(report)] == []
    Report.model_validate(report)
    return report


def only(review: Review) -> dict[str, Any]:
    (one,) = report_of(review)["designs"]
    assert isinstance(one, dict)
    return one


VARIANCE = (
    '[[variance]]\nrule = "sample/link"\nat = "run.R-1"\n'
    'reason = "agreed"\ngranted_by = "client"\nuntil = 2027-06-30\n'
)


def test_the_shipped_schema_is_the_one_that_the_models_make() -> None:
    """Write it anew with ``python -m riserlint.reports.json_models > linter/riserlint/reports/review.schema.json``."""
    assert json.loads(SHIPPED.read_text(encoding="utf-8")) == schema()


def test_every_key_of_the_schema_is_in_the_models_and_no_other_is_let_in() -> None:
    made = schema()
    for name, part in {"Report": made, **made["$defs"]}.items():
        assert part["additionalProperties"] is False, name
        assert sorted(part["required"]) == sorted(part["properties"]), name


def test_the_schema_refuses_what_is_wrong(folder: Folder) -> None:
    report = report_of(folder.write({"a.toml": design(LONG)}).review())
    assert VALIDATOR.is_valid(report)
    for key, value in (("exit_status", 3), ("today", 5), ("extra", 1), ("hold_at", "fatal")):
        assert not VALIDATOR.is_valid({**report, key: value}), key
    del report["designs"][0]["findings"][0]["fingerprint"]
    assert not VALIDATOR.is_valid(report)


def test_a_clean_review(folder: Folder) -> None:
    report = report_of(folder.write({"a.toml": design(SHORT)}).review())
    assert {key: report[key] for key in ("format_version", "tool", "today", "hold_at", "exit_status")} == {
        "format_version": FORMAT_VERSION,
        "tool": {"name": "riserlint", "version": "9.8.7"},
        "today": "2026-11-25",
        "hold_at": "error",
        "exit_status": 0,
    }
    assert report["rules"] == [{"id": "sample", "title": "links are short", "distribution": "sample-rules"}]
    assert "fire alarm" in report["not_reviewed"]
    assert len(report["cautions"]) == 4
    (one,) = report["designs"]
    assert (one["file"], one["reviewed"], one["findings"]) == ("a.toml", True, [])
    assert one["passes"] == [{"check": "sample/link", "subjects": ["run.R-2"]}]
    assert one["counts"]["pass"] == 1


def test_a_review_of_nothing(folder: Folder) -> None:
    report = report_of(folder.write({}).review("gone.toml"))
    assert (report["designs"], report["exit_status"]) == ([], 2)
    assert report["not_found"] == [f"{folder.path}/gone.toml: there is no such file or folder"]


def test_a_failing_review_has_the_whole_finding(folder: Folder) -> None:
    one = only(folder.write({"a.toml": design(LONG)}).review())
    (link,) = [finding for finding in one["findings"] if finding["check"] == "link"]
    line = design(LONG).splitlines()[link["location"]["line"] - 1]
    assert line[link["location"]["column"] - 1 : link["location"]["end_column"] - 1] == "95.5"
    del link["location"], link["fingerprint"], link["related"]
    assert link == {
        "rule": "sample",
        "check": "link",
        "kind": "fail",
        "level": "error",
        "holds": True,
        "subject": "run.R-1",
        "at": "run.R-1.link_m",
        "message": "R-1: link of 95.5 m, at most 90 m",
        "value": 95.5,
        "limit": 90.0,
        "unit": "m",
        "margin": -5.5,
        "held_against": {
            "name": "longest link",
            "value": 90.0,
            "unit": "m",
            "citation": "Sample Standard 7-2020, 4.2",
            "known": "published",
            "source": "the text itself",
            "note": "",
        },
        "citations": [{"text": "Sample Standard 7", "edition": "2020", "clause": "4.2"}],
        "working": "95.5 m > 90 m",
        "remedy": {"text": "take 5.5 m off", "changes": [{"at": "run.R-1.link_m", "value": 90.0}]},
        "missing": [],
        "turns": "",
        "stated": [],
        "assumed": [],
        "variance": None,
    }


def test_open_answers_are_gathered_by_what_is_missing(folder: Folder) -> None:
    one = only(
        folder.write({"a.toml": design(UNKNOWN, UNKNOWN.replace("R-3", "R-8").replace("/3", "/8"))}).review()
    )
    assert one["gaps"] == [
        {"what": "run.link_m", "things": ["R-3", "R-8"], "answers": 2, "checks": ["sample/link"]}
    ]
    assert one["counts"] == {
        "error": 0,
        "warning": 0,
        "note": 0,
        "open": 2,
        "review": 0,
        "accepted": 0,
        "holding": 0,
        "not_applicable": 0,
        "pass": 0,
    }


def test_what_does_not_apply_is_grouped_by_its_reason(folder: Folder) -> None:
    runs = [f'R-{index} = {{ cable = "h", through = ["i-{index}"] }}' for index in (1, 2)]
    tail = '[inline]\ni-1 = { kind = "surge-protector" }\ni-2 = { kind = "surge-protector" }\n'
    one = only(folder.write({"a.toml": design(*runs, tail=tail)}).review())
    assert one["not_applicable"] == [
        {"check": "sample/link", "why": "a thing is in the run", "subjects": ["run.R-1", "run.R-2"]}
    ]


def test_a_variance_stands_with_its_finding(folder: Folder) -> None:
    one = only(folder.write({"a.toml": design(LONG, tail=VARIANCE)}).review())
    (link,) = [finding for finding in one["findings"] if finding["check"] == "link"]
    assert link["variance"] == {"reason": "agreed", "granted_by": "client", "until": "2027-06-30"}
    assert (link["holds"], one["counts"]["accepted"], one["counts"]["error"]) == (False, 1, 0)


def test_an_unreadable_design_has_problems_and_no_verdict(folder: Folder) -> None:
    review = folder.write({"a.toml": "[design\n", "b.toml": design("R-1 = { link_m = -1 }")}).review()
    first, second = report_of(review)["designs"]
    assert (first["title_block"], first["reviewed"]) == (None, False)
    assert first["problems"] == [
        {
            "file": "a.toml",
            "line": 1,
            "column": 8,
            "at": "",
            "message": "not TOML: expected ']' at the end of a table declaration",
        }
    ]
    assert second["title_block"]["title"] == "Pool"
    assert [problem["at"] for problem in second["problems"]] == ["run.R-1.link_m"]
    assert (second["findings"], second["passes"]) == ([], [])


def test_a_crashed_rule_and_a_lost_plugin_are_faults(folder: Folder) -> None:
    rules = RuleSet(rule_set(SAMPLE, CRASH).rules, (Fault("x.y", "x-dist", "can't be loaded"),))
    report = report_of(folder.write({"a.toml": design(LONG)}).review(rules=rules))
    assert report["faults"] == [{"plugin": "x.y", "distribution": "x-dist", "message": "can't be loaded"}]
    (one,) = report["designs"]
    assert (one["reviewed"], len(one["findings"])) == (False, 2)
    (fault,) = one["faults"]
    assert fault["message"].startswith("crashed with ZeroDivisionError: division by zero (fake_rule.py:")


def test_dates_and_tables_in_a_remedy_can_be_written(folder: Folder) -> None:
    changes = (
        Change(("run", "R-1", "cords"), [{"m": 2.5}]),
        Change(("ups", "u", "battery_date"), date(2026, 1, 2)),
        Change(("run", "R-1", "pairs"), None),
    )
    answer = Answer("link", "fail", ("run", "R-1"), ("run", "R-1"), "m", remedy=Remedy("all", changes))
    folder.write({"a.toml": design(LONG)})
    (finding,) = only(folder.review(rules=rule_set(rule_of(lambda *_: [answer]))))["findings"]
    assert [change["value"] for change in finding["remedy"]["changes"]] == [[{"m": 2.5}], "2026-01-02", None]


def test_the_report_is_the_same_on_every_run(folder: Folder) -> None:
    folder.write({"a.toml": design(LONG, SHORT, UNKNOWN, tail=VARIANCE), "b/c.toml": design(LONG)})
    assert json_text(folder.review()) == json_text(folder.review())


def test_one_finding_is_one_line(folder: Folder) -> None:
    text = json_text(folder.write({"a.toml": design(LONG, SHORT)}).review())
    assert sum('"fingerprint"' in line for line in text.splitlines()) == 2
    assert text.endswith("}\n")


def test_no_letter_of_a_design_acts_on_a_terminal_that_shows_the_report(folder: Folder) -> None:
    bad = "\\u001b]0;x\\u0007\\u009b31m\\u202eab\\u2028"
    head = HEAD.replace("Pool", f"Pool {bad} é水")
    review = folder.write({"a.toml": design(LONG, head=head)}).review()
    text = json_text(review)
    assert text.replace("\n", "").isprintable()
    assert "é水" in text
    title = report_of(review)["designs"][0]["title_block"]["title"]
    assert title == "Pool \x1b]0;x\x07\x9b31m\u202eab\u2028 é水"


def test_half_a_character_in_a_file_name_can_be_written(folder: Folder) -> None:
    folder.write({})
    file = Path(str(folder.path), b"\xff.toml".decode("utf-8", "surrogateescape"))
    file.write_text(design(LONG), encoding="utf-8")
    text = json_text(folder.review())
    assert json.loads(text.encode("utf-8"))["designs"][0]["file"] == "\udcff.toml"
