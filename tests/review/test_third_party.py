"""A distribution of somebody else, really installed: its rule is found, and its crash stays its own."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from fake_rule import LONG, design

PROJECT = """\
[build-system]
requires = ["hatchling"]
build-backend = "hatchling.build"
[project]
name = "harbour-rules"
version = "1.0"
[project.entry-points."riserlint.rules"]
harbour = "harbour_rules"
[tool.hatch.build.targets.wheel]
packages = ["harbour_rules"]
"""

GOOD = '''\
"""House rule: nothing longer than the drum that the store keeps."""

from riserlint import Answer, Change, Check, Citation, Limit, Passed, Remedy, Rule, Written, hookimpl

HOUSE = Citation("House rules of the harbour", "2", "3.1")
DRUM = Limit("drum", 60.0, "m", HOUSE, "stated", "the house rules")
CHECK = Check("drum", "the link is longer than a drum", "warning", "link ≤ drum", (HOUSE,), (DRUM,))

class Parameters(Written):
    drum_m: float = DRUM.value

def review(built, parameters):
    print("a rule that prints does not spoil a report")
    for run in built.runs.values():
        link = run.value("link_m")
        if link.value is not None and link.value > parameters.drum_m:
            yield Answer("drum", "fail", run.at, link.at, f"{run.id}: longer than a drum", held_against=DRUM)
        else:
            yield Passed("drum", run.at)

@hookimpl
def riserlint_rules():
    return (Rule("house-drum", "links come from one drum", "Joints leak.", (CHECK,), review, Parameters),)
'''

CRASHING = """\
from riserlint import Check, Rule, hookimpl

CHECK = Check("never", "never said", "error", "1 / 0")

def review(built, parameters):
    yield 1 / 0

@hookimpl
def riserlint_rules():
    return (Rule("house-crash", "divides by nothing", "It shows something.", (CHECK,), review),)
"""


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder that the distribution is installed into, as a user's environment would hold it."""
    source = tmp_path_factory.mktemp("harbour")
    package = source / "harbour_rules"
    package.mkdir()
    (source / "pyproject.toml").write_text(PROJECT, encoding="utf-8")
    (package / "__init__.py").write_text("", encoding="utf-8")
    (package / "drum.py").write_text(GOOD, encoding="utf-8")
    (package / "crash.py").write_text(CRASHING, encoding="utf-8")
    (package / "torn.py").write_text("import a_module_that_is_not_there\n", encoding="utf-8")
    target = tmp_path_factory.mktemp("site")
    pip = [
        sys.executable,
        "-m",
        "pip",
        "install",
        "--quiet",
        "--no-build-isolation",
        "--no-deps",
        "--no-index",
    ]
    environment = {**os.environ, "PIP_DISABLE_PIP_VERSION_CHECK": "1"}
    subprocess.run([*pip, "--target", str(target), str(source)], check=True, env=environment)
    return target


def command(site: Path, folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(site), "PYTHONUTF8": "1"}
    return subprocess.run(
        [sys.executable, "-m", "riserlint", *arguments],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / ".git").mkdir()
    (tmp_path / "a.toml").write_text(design(LONG), encoding="utf-8")
    return tmp_path


def test_its_rule_speaks_and_its_crash_is_contained(site: Path, folder: Path) -> None:
    done = command(site, folder, "review", "a.toml", "--format", "json", "--today", "2026-11-25")
    assert done.returncode == 2, done.stderr
    report: dict[str, Any] = json.loads(done.stdout)
    rules = {rule["id"]: rule["distribution"] for rule in report["rules"]}
    assert (rules["house-drum"], rules["house-crash"]) == ("harbour-rules", "harbour-rules")
    assert rules["channel-length"] == "riserlint"
    (one,) = report["designs"]
    (drum,) = [finding for finding in one["findings"] if finding["rule"] == "house-drum"]
    assert (drum["level"], drum["subject"], drum["message"]) == (
        "warning",
        "run.R-1",
        "R-1: longer than a drum",
    )
    assert "channel-length" in {finding["rule"] for finding in one["findings"]}
    crashes = [fault for fault in one["faults"] if fault["distribution"] == "harbour-rules"]
    assert crashes == [
        {
            "plugin": "house-crash",
            "distribution": "harbour-rules",
            "message": "crashed with ZeroDivisionError: division by zero (crash.py:6)",
        }
    ]
    assert [fault for fault in report["faults"] if fault["distribution"] == "harbour-rules"] == [
        {
            "plugin": "harbour_rules.torn",
            "distribution": "harbour-rules",
            "message": "can't be loaded: ModuleNotFoundError: No module named 'a_module_that_is_not_there'",
        }
    ]
    assert "a rule that prints" in done.stderr


def test_its_parameters_are_set_in_the_basis(site: Path, folder: Path) -> None:
    (folder / "basis.toml").write_text("[rule.house-drum]\ndrum_m = 100\n", encoding="utf-8")
    done = command(site, folder, "review", "a.toml", "--format", "json")
    (one,) = json.loads(done.stdout)["designs"]
    assert one["problems"] == []
    assert {"check": "house-drum/drum", "subjects": ["run.R-1"]} in one["passes"]


def test_its_clauses_are_cited(site: Path, folder: Path) -> None:
    done = command(site, folder, "cite", "house-drum/drum")
    assert done.returncode == 2, "a plugin that does not load is named and is no success"
    assert "limit:   drum: 60 m" in done.stdout
    assert "House rules of the harbour-2, 3.1" in done.stdout
    assert "stated: the house rules" in done.stdout
    assert "harbour_rules.torn (harbour-rules) can't be loaded" in done.stderr


def test_without_it_there_is_no_such_rule(folder: Path) -> None:
    done = command(folder, folder, "cite", "house-drum")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith('riserlint: there is no rule "house-drum"')
