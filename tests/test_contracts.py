"""Layers and doors: the import contracts of pyproject.toml hold, and they would break if somebody broke them."""

import ast
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
RULES = ROOT / "rules" / "riserlint_rules"
ENGINE = ROOT / "linter" / "riserlint"
RULE_FILES = sorted(RULES.rglob("*.py"))


def checked(project: Path) -> subprocess.CompletedProcess[str]:
    paths = os.pathsep.join(str(project / root) for root in ("linter", "rules"))
    script = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"
    return subprocess.run(
        [sys.executable, "-c", script],
        cwd=project,
        env={**os.environ, "PYTHONPATH": paths, "PYTHONUTF8": "1"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


def test_the_import_contracts_hold() -> None:
    done = checked(ROOT)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "9 kept, 0 broken" in done.stdout


BREAKS = {
    "a design that looks up": (
        "linter/riserlint/design/paths.py",
        "import riserlint.review.engine",
        "one way",
    ),
    "an analysis that reports": (
        "linter/riserlint/analysis/metres.py",
        "import riserlint.reports.text",
        "one way",
    ),
    "engineering that reads": (
        "linter/riserlint/engineering/span.py",
        "import riserlint.design.models",
        "know nothing of designs",
    ),
    "a design with physics": (
        "linter/riserlint/design/paths.py",
        "import riserlint.standards.poe",
        "no physics",
    ),
    "an engine with a rule": (
        "linter/riserlint/review/plugins.py",
        "import riserlint_rules.channel_length",
        "knows no rule",
    ),
    "a rule with a sibling": (
        "rules/riserlint_rules/channel_length.py",
        "import riserlint_rules.poe_class",
        "nothing of each other",
    ),
    "a rule by the back door": (
        "rules/riserlint_rules/channel_length.py",
        "import riserlint.standards.cabling",
        "public door",
    ),
    "a review that is slow to load": ("linter/riserlint/review/engine.py", "import networkx", "slow to load"),
    "a new module without a layer": ("linter/riserlint/extras.py", "", "one way"),
}


@pytest.mark.parametrize(("file", "line", "contract"), BREAKS.values(), ids=BREAKS)
def test_a_contract_that_is_broken_is_found(tmp_path: Path, file: str, line: str, contract: str) -> None:
    for folder in ("linter", "rules"):
        shutil.copytree(ROOT / folder, tmp_path / folder, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    broken = tmp_path / file
    broken.write_text(
        (broken.read_text(encoding="utf-8") if broken.exists() else '"""New."""\n') + f"\n{line}\n"
    )
    done = checked(tmp_path)
    assert done.returncode == 1, done.stdout + done.stderr
    assert any(contract in text and "BROKEN" in text for text in done.stdout.splitlines()), done.stdout


def imported(file: Path) -> Iterator[tuple[int, str]]:
    """Yield line and module of each import in a file, those for the type checker included."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.lineno, "." * node.level + (node.module or "")


@pytest.mark.parametrize("file", RULE_FILES, ids=lambda file: str(file.relative_to(RULES)))
def test_a_rule_imports_the_public_door_its_own_package_and_the_standard_library(file: Path) -> None:
    own = "riserlint_rules." + file.relative_to(RULES).parts[0].removesuffix(".py")
    for line, module in imported(file):
        top = module.partition(".")[0]
        right = (
            module in {"riserlint", own}
            or module.startswith(f"{own}.")
            or module == "pydantic"  # the bounds of a rule's parameters are written as pydantic has them
            or (top in sys.stdlib_module_names and top != "importlib")
        )
        assert right, f"{file.name}:{line} imports {module}"


@pytest.mark.parametrize("file", RULE_FILES, ids=lambda file: str(file.relative_to(RULES)))
def test_a_rule_reads_no_files_and_no_clock(file: Path) -> None:
    forbidden = {"os", "io", "pathlib", "subprocess", "socket", "time", "random", "sys", "tomllib", "tomli"}
    found = {module.partition(".")[0] for _, module in imported(file)}
    assert found.isdisjoint(forbidden), found & forbidden


def test_no_rule_is_named_in_the_engine() -> None:
    names = {file.stem for file in RULES.glob("*.py")} | {
        folder.name for folder in RULES.iterdir() if folder.is_dir()
    }
    names -= {"__init__", "__pycache__"}
    assert "channel_length" in names
    allowed = {"cli.py", "answers.py", "findings.py"}  # examples in help and docstrings
    for file in sorted(ENGINE.rglob("*.py")):
        if file.name in allowed:
            continue
        tree = ast.parse(file.read_text(encoding="utf-8"))
        texts = {
            node.value
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant) and isinstance(node.value, str)
        }
        for name in names:
            assert name.replace("_", "-") not in texts, f"{file.name} names the rule {name}"
