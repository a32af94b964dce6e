"""Every limit says where it comes from and how it is known; no rule holds a number of consequence."""

import ast
import importlib
import math
import pkgutil
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, get_args

import pytest

import riserlint.standards
from riserlint.standards.record import Citation, Known, Limit, Table

KNOWN = frozenset(get_args(Known))
RULES = Path(__file__).parents[2] / "rules" / "riserlint_rules"


def records() -> Iterator[tuple[str, Any]]:
    """Yield every record of the standards with its place, however deep it is held."""
    for found in pkgutil.iter_modules(riserlint.standards.__path__):
        module = importlib.import_module(f"riserlint.standards.{found.name}")
        for name, value in vars(module).items():
            if not (isinstance(value, type) or name.startswith("__")):
                yield from held(f"{found.name}.{name}", value, set())


def held(place: str, value: Any, seen: set[int]) -> Iterator[tuple[str, Any]]:
    if id(value) in seen:
        return
    seen.add(id(value))
    if is_record(value):
        yield place, value
    if isinstance(value, Mapping):
        for key, item in value.items():
            yield from held(f"{place}[{key!r}]", item, seen)
    elif isinstance(value, tuple | list | frozenset):
        names = getattr(value, "_fields", None)
        for index, item in enumerate(value):
            yield from held(f"{place}.{names[index]}" if names else f"{place}[{index}]", item, seen)


def is_record(value: Any) -> bool:
    """Return whether a value says how it is known: a limit, a table, or a shape of a module's own."""
    return isinstance(value, Limit | Table) or {"citation", "known", "source"} <= set(
        getattr(value, "_fields", ())
    )


RECORDS = list(dict(records()).items())


def test_there_are_records() -> None:
    assert len(RECORDS) > 150
    assert any(isinstance(record, Table) for _, record in RECORDS)


def complaints(record: Any) -> list[str]:
    """Return what is wrong with a record."""
    wrong = []
    if not isinstance(record.citation, Citation) or not record.citation.text.strip():
        wrong.append("it cites no text")
    elif record.citation.edition != record.citation.edition.strip():
        wrong.append("its edition has blanks round it")
    if record.known not in KNOWN:
        wrong.append(f"{record.known!r} is no word for how a value is known")
    if not record.source.strip():
        wrong.append("it has no source")
    elif record.known == "published" and re.fullmatch(
        r"\W*(?:from\s+)?(?:memory|recalled|recall)\b.*", record.source, re.I
    ):
        wrong.append("it is called published, and its source is what somebody recalls")
    if record.known == "stated":
        wrong.append("what is stated comes from a user, not from here")
    if not record.name.strip():
        wrong.append("it has no name")
    if isinstance(record, Limit) and not (
        isinstance(record.value, int | float) and math.isfinite(record.value)
    ):
        wrong.append(f"{record.value!r} is no number")
    if isinstance(record, Table) and (not record.columns or not record.rows):
        wrong.append("it is a table without columns or rows")
    return wrong


@pytest.mark.parametrize("record", [record for _, record in RECORDS], ids=[place for place, _ in RECORDS])
def test_a_record_says_where_it_comes_from(record: Any) -> None:
    assert complaints(record) == []


GOOD = Limit("longest link", 90.0, "m", Citation("Text", "2020", "4"), "published", "the text itself")


@pytest.mark.parametrize(
    ("wrong", "complaint"),
    [
        (GOOD._replace(citation=Citation("", "", "")), "it cites no text"),
        (GOOD._replace(known="heard"), "'heard' is no word for how a value is known"),  # type: ignore[arg-type]
        (GOOD._replace(source=" "), "it has no source"),
        (GOOD._replace(source="recalled"), "it is called published, and its source is what somebody recalls"),
        (
            GOOD._replace(source="from memory"),
            "it is called published, and its source is what somebody recalls",
        ),
        (GOOD._replace(known="stated"), "what is stated comes from a user, not from here"),
        (GOOD._replace(value=math.inf), "inf is no number"),
    ],
)
def test_a_wrong_record_is_found(wrong: Limit, complaint: str) -> None:
    assert complaints(GOOD) == []
    assert complaints(wrong) == [complaint]


# -- numbers in rules --------------------------------------------------------------------------------------------

#: Numbers that mean nothing of their own.
PLAIN = {
    0: "nothing, the first, a sum's start",
    1: "one of something, a factor that changes nothing",
    2: "two ends, a pair, the half",
    10: "digits",
    60: "minutes of an hour",
    100: "per cent",
    1000: "a thousandth of a unit",
    1e-9: "the error of a float",
}
#: Numbers that a rule may hold, with the reason: by rule (file or package) and number.
ALLOWED: dict[tuple[str, float], str] = {
    ("addressing", 4): "how many others a finding names",
    ("bundle_heating", 3): "how many runs a message names",
    ("conductor_material", 3): "how many runs a message names",
    ("management_exposure", 4): "how many ports and gear a message names",
    ("poe_class", 3): "the lowest category; the class that all ports source",
    ("poe_class", 4): "the pairs of a cable",
    ("poe_class", 8): "the highest category of cable that can be written",
    ("room_heat", 6): "how many parts of a sum a finding shows",
    ("standby_time", 3): "how many ids stand in one sentence; decimals of a share",
    ("ups_coverage", 3): "how many supplies are tried; decimals of a share",
    ("ups_coverage", 12): "how many places a finding names",
    ("uplink_load", 4): "how many links a message names",
    ("vlan_isolation", 3): "how many ports a message names",
    ("vlan_isolation", 50): "how many changes a remedy makes at most",
}


def numbers(source: str) -> Iterator[tuple[int, float]]:
    """Yield line and value of the numbers of a file, but for those that count digits or name a place in a list."""
    tree = ast.parse(source)
    passed: set[ast.AST] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Subscript):
            passed.update(ast.walk(node.slice))
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "round":
            passed.update(child for digits in node.args[1:] for child in ast.walk(digits))
        elif isinstance(node, ast.FormattedValue) and node.format_spec is not None:
            passed.update(ast.walk(node.format_spec))
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and type(node.value) in {int, float} and node not in passed:
            assert isinstance(node.value, int | float)
            yield node.lineno, node.value


def rule_files() -> list[Path]:
    return sorted(RULES.rglob("*.py"))


@pytest.mark.parametrize("file", rule_files(), ids=lambda file: str(file.relative_to(RULES)))
def test_a_rule_holds_no_number_of_consequence(file: Path) -> None:
    rule = file.relative_to(RULES).parts[0].removesuffix(".py")
    bare = [
        f"line {line}: {value}"
        for line, value in numbers(file.read_text(encoding="utf-8"))
        if value not in PLAIN and (rule, value) not in ALLOWED
    ]
    assert bare == [], f"{file.name} holds numbers that belong into standards/, or into ALLOWED with a reason"


def test_no_number_is_allowed_that_no_rule_holds() -> None:
    held_by_rules = {
        (file.relative_to(RULES).parts[0].removesuffix(".py"), value)
        for file in rule_files()
        for _, value in numbers(file.read_text(encoding="utf-8"))
    }
    assert set(ALLOWED) <= held_by_rules
    assert all(ALLOWED.values())


def test_a_bare_number_in_a_rule_is_found() -> None:
    source = 'LONGEST = 90\nx = row[3]\ny = round(x, 3)\nz = f"{x:.1f}"\nflag = True\nw = -0.15 * 2\n'
    assert [value for _, value in numbers(source) if value not in PLAIN] == [90, 0.15]
