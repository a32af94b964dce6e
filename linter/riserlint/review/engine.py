"""Runs each rule in its own guard over each design, and places what they say."""

import traceback
from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from riserlint.analysis.built import Built
from riserlint.design.models import Written
from riserlint.design.paths import Path, path_text
from riserlint.design.problems import DesignUnreadable, Problem
from riserlint.design.reading import Basis, Design, find_designs, looks_like_design, read_basis, read_design, root_of
from riserlint.design.wording import describe, nearest_of
from riserlint.review import variances
from riserlint.review.answers import Answer, Level, NotApplicable, Passed, Rule
from riserlint.review.findings import (
    DesignReview,
    Finding,
    FindingLevel,
    NotSubject,
    Passes,
    RelatedPlace,
    Review,
    TitleBlock,
    fingerprint_of,
)
from riserlint.review.plugins import Fault, Offered, RuleSet


def review_paths(
    paths: Sequence[FilePath],
    rules: RuleSet,
    *,
    today: date,
    hold_at: Level,
    version: str,
) -> Review:
    """Return the review of designs, of folders of designs, or of all designs that use a named basis or parts file."""
    files, not_found = designs_of(paths)
    return Review(
        tuple(review_design(file, rules.rules, today=today) for file in files),
        rules.rules,
        rules.faults,
        tuple(not_found),
        today,
        hold_at,
        version,
    )


def designs_of(paths: Iterable[FilePath]) -> tuple[list[FilePath], list[str]]:
    """Return the design files that paths stand for, each once, and what was wrong with paths.

    A folder stands for the designs in it. A TOML file without a ``[design]`` table stands for the designs
    that use it as basis or as parts file.
    """
    files: dict[FilePath, FilePath] = {}
    wrong: list[str] = []
    for path in paths:
        if path.is_dir():
            found = list(find_designs(path))
            if not found:
                wrong.append(f"{path}: no design in this folder (a design is a TOML file with a [design] table)")
        elif not path.exists():
            wrong.append(f"{path}: there is no such file or folder")
            found = []
        elif looks_like_design(path):
            found = [path]
        else:
            found = _users_of(path)
            if not found:
                wrong.append(f"{path}: no [design] table, and no design uses it as basis or parts file")
        for file in found:
            files.setdefault(file.resolve(), file)
    return [files[key] for key in sorted(files)], wrong


def _users_of(shared: FilePath) -> list[FilePath]:
    root = root_of(shared)
    wanted = shared.resolve()
    return [file for file in find_designs(root) if wanted in _used_by(file, root)]


def _used_by(file: FilePath, root: FilePath) -> set[FilePath]:
    import tomli

    used: set[FilePath] = set()
    folder = file.resolve().parent
    for candidate in (folder, *folder.parents):
        if (candidate / "basis.toml").is_file():
            used.add(candidate / "basis.toml")
            break
        if candidate == root:
            break
    try:
        head = tomli.loads(file.read_text(encoding="utf-8")).get("design")
    except (OSError, UnicodeDecodeError, tomli.TOMLDecodeError):
        return used
    parts = head.get("parts") if isinstance(head, dict) else None
    for part in parts if isinstance(parts, list) else []:
        if isinstance(part, str):
            used.add((folder / part).resolve())
    return used


def review_design(file: FilePath, rules: Sequence[Offered], *, today: date) -> DesignReview:
    """Return the review of one design; it never raises for what a design or a rule does."""
    root = root_of(file)
    shown_name = str(file)
    try:
        basis = read_basis(file, root)
        design, problems = read_design(file, root, basis)
    except DesignUnreadable as error:
        return _unread(shown_name, None, error.problems)
    built = Built(design)
    parameters, wrong = _parameters(basis, rules)
    problems = sorted({*problems, *built.problems, *wrong})
    if problems:
        return _unread(design.name, design, tuple(problems))
    said: list[tuple[str, Answer]] = []
    passes: dict[str, list[str]] = {}
    not_applicable: list[NotSubject] = []
    faults: list[Fault] = []
    for offered in rules:
        rule = offered.rule
        try:
            for answer in rule.review(built, parameters[rule.id]):
                if isinstance(answer, Passed):
                    passes.setdefault(f"{rule.id}/{answer.check}", []).append(path_text(answer.subject))
                elif isinstance(answer, NotApplicable):
                    name = f"{rule.id}/{answer.check}"
                    not_applicable.append(NotSubject(name, path_text(answer.subject), answer.why))
                else:
                    rule.check(answer.check)
                    said.append((rule.id, answer))
        except Exception as error:
            faults.append(Fault(rule.id, offered.distribution, _crash(error)))
    by_id = {offered.rule.id: offered.rule for offered in rules}
    granted, on_variances = variances.judged(design.model.variance, by_id, said, today)
    findings = [
        _placed(by_id[rule_id], answer, design, granted.get(index)) for index, (rule_id, answer) in enumerate(said)
    ]
    findings.extend(_placed(variances.RULE, answer, design, None) for answer in on_variances)
    findings.sort(key=Finding.sort_key)
    return DesignReview(
        design.name,
        _title_block(design),
        (),
        tuple(findings),
        tuple(Passes(name, tuple(sorted(subjects))) for name, subjects in sorted(passes.items())),
        tuple(sorted(not_applicable)),
        tuple(faults),
        basis.model.basis.hold_on_open,
    )


def _unread(name: str, design: Design | None, problems: tuple[Problem, ...]) -> DesignReview:
    block = None if design is None else _title_block(design)
    return DesignReview(name, block, problems, (), (), (), (), False)


def _crash(error: Exception) -> str:
    frame = traceback.extract_tb(error.__traceback__)[-1]
    place = f"{FilePath(frame.filename).name}:{frame.lineno}"
    text = " ".join(str(error).split())
    return f"crashed with {type(error).__name__}{': ' + text if text else ''} ({place})"


def _parameters(basis: Basis, rules: Sequence[Offered]) -> tuple[dict[str, Written], list[Problem]]:
    """Return each rule's parameters as the basis sets them, and what is wrong with them."""
    problems: list[Problem] = []
    given = basis.model.rule
    known = {offered.rule.id for offered in rules}
    parameters: dict[str, Written] = {}

    def problem(path: Path, message: str, *, key: bool) -> None:
        assert basis.source is not None
        line, column = basis.source.locate_key(path) if key else basis.source.locate_value(path)
        problems.append(Problem(basis.source.name, line, column, path, message))

    for name in given:
        if name not in known:
            problem(("rule", name), f"there is no rule `{name}`{nearest_of(name, sorted(known))}", key=True)
    for offered in rules:
        rule = offered.rule
        try:
            parameters[rule.id] = rule.parameters.model_validate(given.get(rule.id, {}))
        except ValidationError as error:
            for detail in error.errors(include_url=False):
                path: Path = ("rule", rule.id, *detail["loc"])
                on_key = detail["type"] in {"extra_forbidden", "missing"}
                problem(path, describe(detail, rule.parameters), key=on_key)
    return parameters, problems


def _placed(rule: Rule, answer: Answer, design: Design, variance: Any) -> Finding:
    check = rule.check(answer.check)
    level: FindingLevel = "none"
    if answer.kind == "fail":
        level = _capped(answer, answer.level or check.level, design)
    citations = [*((answer.held_against.citation,) if answer.held_against is not None else ())]
    for citation in (*check.citations, *answer.citations):
        if citation not in citations:
            citations.append(citation)
    rests_on = sorted({path_text(path): path for path in answer.rests_on}.items())
    return Finding(
        rule.id,
        rule.title,
        check,
        answer,
        level,
        design.locate(answer.at),
        tuple(RelatedPlace(place.at, design.locate(place.at), place.message) for place in answer.related),
        tuple(citations),
        tuple(name.removeprefix("basis.assume.") for name, path in rests_on if path[0] == "basis"),
        tuple(_stated(design, name, path) for name, path in rests_on if design.statement(path) is not None),
        fingerprint_of(rule.id, answer),
        variance,
    )


def _capped(answer: Answer, level: Level, design: Design) -> Level:
    """Return the level after two caps: a habit of the trade is a note; the basis may cap limits from memory."""
    held = answer.held_against
    if held is None:
        return level
    if held.known == "common practice":
        return "note"
    cap = design.basis.model.basis.memory_at_most
    if held.known == "memory" and cap is not None:
        order: tuple[Level, ...] = ("error", "warning", "note")
        return order[max(order.index(level), order.index(cap))]
    return level


def _stated(design: Design, name: str, path: Path) -> str:
    statement = design.statement(path)
    assert statement is not None
    words = [statement.origin or "stated"]
    if statement.by is not None:
        words.append(f"by {statement.by}")
    if statement.on is not None:
        words.append(f"on {statement.on}")
    return f"{name} {' '.join(words)}"


def _title_block(design: Design) -> TitleBlock:
    head = design.model.design
    basis = design.basis.model.basis
    basis_source = design.basis.source
    files = [(source.name, source.sha256) for source in design.sources]
    if basis_source is not None:
        files.append((basis_source.name, basis_source.sha256))
    title = None
    if basis_source is not None:
        title = basis.title or basis_source.name
        if basis.revision is not None:
            title = f"{title}, revision {basis.revision}"
    return TitleBlock(
        head.title,
        head.revision,
        head.stage,
        head.region or basis.region,
        None if head.date is None else head.date.isoformat(),
        title,
        tuple(sorted(basis.editions.items())),
        tuple(files),
    )
