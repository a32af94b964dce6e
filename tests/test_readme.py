"""README is true: its tables come from the rules and the models, its excerpt from a real review."""

import io
import re
from datetime import date
from pathlib import Path

import pytest
from rich.console import Console

from every_model import models_below
from riserlint import load_rules, review_paths
from riserlint.analysis.schedules.schedule import TABLES
from riserlint.cli import main
from riserlint.design.models import DesignFile
from riserlint.design.wording import keys_of
from riserlint.reports.cautions import NOT_REVIEWED
from riserlint.reports.human import print_review
from riserlint.review.findings import ExitStatus

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
TODAY = date(2026, 11, 25)


def rule_table() -> str:
    """Return README's table of rules, made from the rules themselves."""
    lines = ["| rule | checks |", "| --- | --- |"]
    for offered in load_rules().rules:
        checks = "; ".join(f"`{check.name}` ({check.level}): {check.title}" for check in offered.rule.checks)
        lines.append(f"| **{offered.rule.id}**: {offered.rule.title} | {checks} |")
    return "\n".join(lines)


def test_the_table_of_rules_is_that_of_the_rules() -> None:
    assert rule_table() in README, f"README's table of rules should be:\n{rule_table()}"


def test_the_excerpt_is_real_output_at_80_columns() -> None:
    block = README.split("## What it says")[1].split("```text\n")[1].split("```")[0]
    design = ROOT / "example_designs" / "museum-a.toml"
    review = review_paths([design], load_rules(), today=TODAY, hold_at="error", version="0.1.0")
    stream = io.StringIO()
    print_review(review, Console(file=stream, width=80, color_system=None, force_terminal=False))
    shown = stream.getvalue()
    for part in block.split("[…]\n"):
        assert part.strip("\n") in shown


def test_the_schedule_s_excerpt_is_real_output_at_80_columns(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    block = README.split("## The schedule")[1].split("```text\n")[1].split("```")[0]
    line, excerpt = block.split("\n[…]\n")
    arguments = line.removeprefix("$ riserlint ").split()
    arguments[1] = str(ROOT / arguments[1])
    assert main(arguments) == 0
    assert excerpt.strip("\n") in capsys.readouterr().out


def test_every_table_of_the_schedule_is_named() -> None:
    section = README.split("## The schedule")[1].split("```text")[0]
    assert set(re.findall(r"`([a-z-]+)`", section)) >= set(TABLES)


def test_every_key_of_a_design_is_in_its_table() -> None:
    table = README.split("### All tables and keys")[1].split("## The rules")[0]
    words = set(re.findall(r"[a-z_0-9]+", table))
    missing = {
        f"{model.__name__}.{key}"
        for model in models_below(DesignFile)
        for key in keys_of(model)
        if key not in words
    }
    assert missing == set()


def test_the_first_design_is_the_example() -> None:
    first = (ROOT / "example_designs" / "first.toml").read_text(encoding="utf-8")
    block = README.split("```toml\n[design]")[1].split("```")[0]
    assert f"[design]{block}".strip() == first[first.index("[design]") :].strip()


def test_its_exit_statuses_are_those_of_the_command() -> None:
    rows = re.findall(r"^\| (\d) \|", README, re.MULTILINE)
    assert [int(row) for row in rows] == [int(status) for status in ExitStatus]


def test_the_links_lead_somewhere() -> None:
    links = [link for link in re.findall(r"\]\(([^)]+)\)", README) if "://" not in link]
    assert links
    assert [link for link in links if not (ROOT / link).exists()] == []


def test_it_lists_what_is_not_reviewed_as_the_reports_do() -> None:
    cautions = " ".join(README.split("## Cautions")[1].split())
    assert f"Not reviewed at all: {', '.join(NOT_REVIEWED)}." in cautions
