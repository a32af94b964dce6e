"""Runs each rule in its own guard over each design, and places what they say."""

from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path as FilePath

from pydantic import ValidationError

from riserlint.analysis.built import Built
from riserlint.design.basis import BasisFile
from riserlint.design.models import Written
from riserlint.design.paths import Path, path_text
from riserlint.design.problems import DesignUnreadable, Problem, in_order
from riserlint.design.reading import (
    BASIS_NAME,
    Basis,
    Design,
    described,
    find_designs,
    grouped,
    looks_like_design,
    read_basis,
    read_design,
    relative_name,
    root_of,
)
from riserlint.design.wording import model_of, nearest_of
from riserlint.review import variances
from riserlint.review.answers import Answer, Level, NotApplicable, Passed, Rule
from riserlint.review.findings import (
    DesignReview,
    Finding,
    NotSubject,
    Passes,
    Review,
    TitleBlock,
)
from riserlint.review.placing import FlawedAnswer, placed, told_apart
from riserlint.review.plugins import Fault, Offered, RuleSet, crash_of


def review_paths(
    paths: Sequence[FilePath],
    rules: RuleSet,
    *,
    today: date,
    hold_at: Level,
    version: str,
    designs_only: bool = False,
) -> Review:
    """Return the review of designs, of folders of designs, or of all designs that use a named basis or parts file.

    With ``designs_only`` files that are none of these are passed over: a hook is handed whatever has changed.
    """
    files, not_found = designs_of(paths, designs_only=designs_only)
    return Review(
        tuple(review_design(file, rules.rules, today=today) for file in files),
        rules.rules,
        rules.faults,
        tuple(not_found),
        today,
        hold_at,
        version,
    )


def designs_of(paths: Iterable[FilePath], *, designs_only: bool = False) -> tuple[list[FilePath], list[str]]:
    """Return the design files that paths stand for, each once, and what was wrong with paths.

    A folder stands for the designs in it. A TOML file without a ``[design]`` table stands for the designs
    that use it as basis or as parts file.
    """
    files: dict[FilePath, FilePath] = {}
    wrong: list[str] = []
    for path in paths:
        try:
            found, complaint = _designs_at(path, designs_only=designs_only)
            for file in found:
                files.setdefault(file.resolve(), file)
        except (OSError, ValueError, RuntimeError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            where = getattr(error, "filename", None) or path
            complaint = f"{where}: can't be looked at: {reason}"
        if complaint:
            wrong.append(complaint)
    return [files[key] for key in sorted(files)], wrong


def _designs_at(path: FilePath, *, designs_only: bool) -> tuple[list[FilePath], str]:
    if path.is_dir():
        found = list(find_designs(path))
        nothing = f"{path}: no design in this folder (a design is a TOML file with a [design] table)"
        return found, "" if found else nothing
    if not path.exists():
        return [], f"{path}: there is no such file or folder"
    if not path.is_file():
        return [], f"{path}: is neither a file nor a folder"
    if looks_like_design(path):
        return [path], ""
    found = _users_of(path)
    nothing = f"{path}: no [design] table, and no design uses it as basis or parts file"
    return found, "" if found or designs_only else nothing


def _users_of(shared: FilePath) -> list[FilePath]:
    wanted = shared.resolve()
    # A basis beside the shared file ends the root of that folder only: designs elsewhere may name the file too.
    repository = next((folder for folder in wanted.parents if (folder / ".git").exists()), root_of(shared))
    return [file for file in find_designs(repository) if wanted in _used_by(file)]


def _used_by(file: FilePath) -> set[FilePath]:
    import tomli

    folder = file.resolve().parent
    used = {(root_of(file) / BASIS_NAME).resolve()}
    try:
        head = tomli.loads(file.read_text(encoding="utf-8-sig")).get("design")
    except (OSError, UnicodeDecodeError, tomli.TOMLDecodeError, RecursionError):
        return used
    parts = head.get("parts") if isinstance(head, dict) else None
    for part in parts if isinstance(parts, list) else []:
        if isinstance(part, str) and "\0" not in part:
            used.add((folder / part).resolve())
    return used


def review_design(file: FilePath, rules: Sequence[Offered], *, today: date) -> DesignReview:
    """Return the review of one design; it never raises for what a design, a rule or this package does."""
    name = file.name
    try:
        root = root_of(file)
        name = relative_name(file, root)
        return _reviewed(file, root, rules, today)
    except Exception as error:
        own = Fault("riserlint", "riserlint", crash_of(error))
        return DesignReview(name, None, (), (), (), (), (own,), False)


def _reviewed(file: FilePath, root: FilePath, rules: Sequence[Offered], today: date) -> DesignReview:
    name = relative_name(file, root)
    of_basis: tuple[Problem, ...] = ()
    try:
        basis = read_basis(file, root)
    except DesignUnreadable as error:
        basis, of_basis = Basis(BasisFile.model_construct(), None), error.problems
    try:
        design, problems = read_design(file, root, basis)
    except DesignUnreadable as error:
        return DesignReview(name, None, in_order((*of_basis, *error.problems)), (), (), (), (), False)
    block = title_block_of(design)
    built = Built(design, today)
    parameters: dict[str, Written] = {}
    if of_basis:
        block = block._replace(basis=f"{BASIS_NAME}, which can't be read")
        wrong = list(of_basis)
    else:
        parameters, wrong = _parameters(basis, rules)
    all_problems = in_order(
        _counted_in_utf16(problem, design) for problem in (*problems, *built.problems, *wrong)
    )
    if all_problems:
        return DesignReview(name, block, all_problems, (), (), (), (), False)
    answers = Answers(design)
    for offered in rules:
        answers.ask(offered, built, parameters[offered.rule.id])
    findings = answers.findings
    granted, on_variances = variances.judged(
        design.model.variance,
        {offered.rule.id: offered.rule for offered in rules},
        findings,
        today,
        answers.crashed,
    )
    findings = [finding._replace(variance=granted.get(index)) for index, finding in enumerate(findings)]
    findings.extend(placed(variances.RULE, answer, design) for answer in on_variances)
    return DesignReview(
        name,
        block,
        (),
        told_apart(findings, name),
        tuple(Passes(check, tuple(sorted(subjects))) for check, subjects in sorted(answers.passes.items())),
        tuple(sorted(answers.not_applicable)),
        tuple(answers.faults),
        basis.model.basis.hold_on_open,
    )


class Answers:
    """What rules say of one design, each rule asked in its own guard, each answer taken as it comes."""

    def __init__(self, design: Design) -> None:
        """Begin with nothing said."""
        self.design = design
        self.findings: list[Finding] = []
        self.passes: dict[str, list[str]] = {}
        self.not_applicable: list[NotSubject] = []
        self.faults: list[Fault] = []
        self._names: dict[Path, str] = {}

    @property
    def crashed(self) -> frozenset[str]:
        """The ids of the rules that did not say all that they had to say."""
        return frozenset(fault.plugin for fault in self.faults)

    def ask(self, offered: Offered, built: Built, parameters: Written) -> None:
        """Take the answers of one rule; what it said before a crash is kept."""
        rule = offered.rule
        names = {check.name: f"{rule.id}/{check.name}" for check in rule.checks}
        passed: dict[str, list[str]] = {check.name: [] for check in rule.checks}
        flaws: dict[str, None] = {}
        try:
            for answer in rule.review(built, parameters):
                kind = type(answer)
                if kind not in _SAID:
                    flaws[f"says something that is no answer: {kind.__name__}"] = None
                elif answer.check not in names:
                    flaws[f"answers the check {answer.check!r}, which it does not have"] = None
                elif isinstance(answer, Passed):
                    passed[answer.check].append(self._name(answer.subject))
                elif isinstance(answer, NotApplicable):
                    skipped = NotSubject(names[answer.check], self._name(answer.subject), answer.why)
                    self.not_applicable.append(skipped)
                else:
                    self._place(rule, answer, flaws)
        except (Exception, SystemExit) as error:
            flaws[crash_of(error)] = None
        self.passes.update({names[check]: subjects for check, subjects in passed.items() if subjects})
        self.faults.extend(Fault(rule.id, offered.distribution, flaw) for flaw in flaws)

    def _name(self, subject: Path) -> str:
        """Return the logical name of a thing; most things are named by many checks."""
        name = self._names.get(subject)
        if name is None:
            name = self._names[subject] = path_text(subject)
        return name

    def _place(self, rule: Rule, answer: Answer, flaws: dict[str, None]) -> None:
        try:
            self.findings.append(placed(rule, answer, self.design))
        except FlawedAnswer as flaw:
            flaws[str(flaw)] = None


_SAID = frozenset({Answer, Passed, NotApplicable})


def _counted_in_utf16(problem: Problem, design: Design) -> Problem:
    """Return a problem with its column in UTF-16 units, where nobody has counted it yet."""
    if problem.utf16_column or not problem.line:
        return problem
    source = next((source for source in design.sources if source.name == problem.file), None)
    if source is None:
        return problem
    before = source.positions.line_text(problem.line)[: problem.column - 1]
    return problem._replace(utf16_column=len(before.encode("utf-16-le", "surrogatepass")) // 2 + 1)


def _parameters(basis: Basis, rules: Sequence[Offered]) -> tuple[dict[str, Written], list[Problem]]:
    """Return each rule's parameters as the basis sets them, and what is wrong with them."""
    problems: list[Problem] = []
    given = basis.model.rule
    known = {offered.rule.id for offered in rules}
    parameters: dict[str, Written] = {}

    def add(path: Path, message: str, *, on_key: bool) -> None:
        if basis.source is None:
            problems.append(Problem(BASIS_NAME, 0, 0, path, message))
        else:
            problems.append(basis.source.problem(path, message, on_key=on_key))

    for name in given:
        if name not in known:
            add(("rule", name), f"there is no rule `{name}`{nearest_of(name, sorted(known))}", on_key=True)
    for offered in rules:
        rule = offered.rule
        written = given.get(rule.id, {})
        try:
            parameters[rule.id] = rule.parameters.model_validate(written)
        except ValidationError as error:
            for path, group in grouped(written, error.errors(include_url=False)):
                message, on_key = described(model_of(rule.parameters, path[:-1]), group)
                add(("rule", rule.id, *path), message, on_key=on_key)
    return parameters, problems


def title_block_of(design: Design) -> TitleBlock:
    """Return the title block of a design: what it says of itself, its basis, and the files that it was read from."""
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
