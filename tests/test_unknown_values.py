"""Whatever a design says less than before, no fault becomes a pass, and nothing that held or was open a fault.

One written value of an example design after the other becomes ``"unknown"``, and the design is reviewed again: the
answers may get wider, never turn.
"""

import shutil
import tempfile
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import pytest

from riserlint import Change, DesignReview, load_rules
from riserlint.design.reading import read_basis, read_design
from riserlint.review.engine import review_design
from riserlint.review.mending import edited, edits_of
from riserlint.review.plugins import Offered
from riserlint.testing import TODAY

FOLDER = Path(__file__).parent.parent / "example_designs"
RULES = ("bundle-heating", "channel-length", "conductor-material", "poe-class", "supply-voltage")
#: Designs, and whether they have faults that these rules see.
DESIGNS = {
    "car-park": False,
    "clinic": True,
    "marina": True,
    "museum-a": False,
    "museum-b": False,
    "orchard": True,
}
#: Of each design so many values are tried, other ones in each table: all of them would take minutes.
TRIED = 25
TABLES = {"run": None, "cable": None, "inline": None, "switch": ("pse", "ports"), "part": ("pse", "ports")}
#: What names a thing or says what it is belongs to no value that a survey lacks.
NAMES = {"id", "part", "kind", "from", "to", "through", "label"}
#: The volts of a source that states none are those that its type guarantees: a worse value, not an unknown one.
GUARANTEED = ("pse", "min_v")


@cache
def rules() -> tuple[Offered, ...]:
    return load_rules().rules  # all, as the basis sets parameters of others too


def values(tree: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Yield the paths of all scalars in a table, names left out."""
    if isinstance(tree, dict):
        for key, below in tree.items():
            if key not in NAMES:
                yield from values(below, (*path, key))
    elif isinstance(tree, list):
        for place, below in enumerate(tree):
            yield from values(below, (*path, place))
    elif tree not in ("unknown", "none"):
        yield path


def asked_of(text: str, design: str) -> list[tuple[str | int, ...]]:
    """Return some values of runs, cables, ports and sources that a design writes."""
    read = tomllib.loads(text)
    found: list[tuple[str | int, ...]] = []
    for table, keys in TABLES.items():
        for thing, content in read.get(table, {}).items():
            shown = content if keys is None else {key: content[key] for key in keys if key in content}
            paths = ((table, thing, *path) for path in values(shown))
            found.extend(path for path in paths if path[-2:] != GUARANTEED)
    return sorted(Random(design).sample(found, min(TRIED, len(found))), key=str)


def answers(review: DesignReview) -> dict[tuple[str, str], set[str]]:
    """Return what is said of each thing by each check."""
    said: dict[tuple[str, str], set[str]] = {}
    for finding in review.findings:
        if finding.rule_id not in RULES:
            continue
        said.setdefault((finding.name, finding.subject), set()).add(finding.answer.kind)
    for group in review.passes:
        if group.name.partition("/")[0] not in RULES:
            continue
        for subject in group.subjects:
            said.setdefault((group.name, subject), set()).add("pass")
    return said


@pytest.mark.parametrize("design", DESIGNS)
def test_a_value_that_is_not_known_turns_no_answer(design: str) -> None:
    with tempfile.TemporaryDirectory() as name:
        root = Path(name).resolve() / "site"
        shutil.copytree(FOLDER, root)
        (root / ".git").mkdir()
        file = root / f"{design}.toml"
        text = file.read_text(encoding="utf-8")
        read, problems = read_design(file, root, read_basis(file, root))
        assert problems == []
        before = answers(review_design(file, rules(), today=TODAY))
        assert any("fail" in kinds for kinds in before.values()) is DESIGNS[design]
        assert any("pass" in kinds for kinds in before.values())
        turned: list[str] = []
        tried = 0
        for path in asked_of(text, design):
            try:
                changed = edited(text, edits_of(read, (Change(path, "unknown"),)))
            except ValueError:
                continue
            file.write_text(changed, encoding="utf-8")
            review = review_design(file, rules(), today=TODAY)
            assert review.faults == ()
            if review.problems:  # a key that must be known
                continue
            tried += 1
            after = answers(review)
            for who, kinds in before.items():
                now = after.get(who, set())
                if "fail" in kinds and now == {"pass"}:
                    turned.append(f"{path}: {who} fails, and passes without it")
                if "fail" not in kinds and "fail" in now:
                    turned.append(f"{path}: {who} is {kinds}, and fails without it")
        assert turned == []
        assert tried >= TRIED // 2
