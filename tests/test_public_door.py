"""The public door: what it names is there, sorted, and nothing else is offered."""

import ast
import inspect
import subprocess
import sys
import types
from pathlib import Path

import pytest

import riserlint
import riserlint.door

DOOR = Path(inspect.getfile(riserlint.door))


def imported() -> list[str]:
    """Return the names that the door takes in, as they are known in it."""
    tree = ast.parse(DOOR.read_text(encoding="utf-8"))
    return [
        alias.asname or alias.name
        for node in tree.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    ]


def test_all_is_sorted_and_says_each_name_once() -> None:
    names = riserlint.__all__
    # Sorted as the linter sorts it: constants, then classes, then the rest.
    assert len(set(names)) == len(names)
    kinds = [0 if name.isupper() else 1 if name[0].isupper() else 2 for name in names]
    assert kinds == sorted(kinds)
    for kind in range(3):
        group = [name for name, of in zip(names, kinds, strict=True) if of == kind]
        assert group == sorted(group)


def test_all_is_exactly_what_is_taken_in() -> None:
    assert sorted(riserlint.__all__) == sorted(imported())


def test_the_door_is_opened_by_the_first_name_and_not_before() -> None:
    code = """
import sys
import riserlint.cli
assert "riserlint.door" not in sys.modules and "pydantic" not in sys.modules
assert not hasattr(riserlint, "_no_name")
assert "riserlint.door" not in sys.modules
from riserlint import Rule, lengths
assert riserlint.Rule is Rule and riserlint.door.Rule is Rule
assert {"Rule", "lengths", "__doc__"} <= set(dir(riserlint))
"""
    subprocess.run([sys.executable, "-c", code], check=True)


def test_a_name_that_is_not_offered_is_refused() -> None:
    with pytest.raises(AttributeError, match="module 'riserlint' has no attribute 'Rulez'"):
        getattr(riserlint, "Rulez")  # noqa: B009 - the type checker refuses the plain attribute


def test_every_name_is_there_and_has_a_docstring_of_its_own() -> None:
    for name in riserlint.__all__:
        thing = getattr(riserlint, name)
        if isinstance(thing, type | types.FunctionType | types.ModuleType):
            assert inspect.getdoc(thing), name


def test_no_private_name_is_offered() -> None:
    assert [name for name in riserlint.__all__ if name.startswith("_")] == []


@pytest.mark.parametrize(
    "name",
    ["Rule", "Check", "Answer", "Passed", "NotApplicable", "Related", "Remedy", "Change", "Limit", "Citation",
     "Written", "hookimpl", "Built", "load_rules", "review_paths", "Review", "Finding", "Fault",
     "Problem", "RiserlintError"],
)  # fmt: skip
def test_what_authors_and_users_build_on_is_offered(name: str) -> None:
    assert name in riserlint.__all__


def test_modules_of_limits_and_engineering_are_offered_as_modules() -> None:
    modules = {name for name in riserlint.__all__ if isinstance(getattr(riserlint, name), types.ModuleType)}
    assert {"cabling_limits", "poe_limits", "heat_limits", "lengths", "loss"} <= modules
    for name in modules:
        layer = getattr(riserlint, name).__name__.split(".")[1]
        assert layer in ({"standards"} if name.endswith("_limits") else {"engineering", "analysis"}), name
