"""From files to a design: root, basis, parts files; all problems of a file in one go."""

import itertools
import os
import re
from collections.abc import Iterable, Iterator
from pathlib import Path as FilePath
from typing import Any, TypeVar

from pydantic import ValidationError

from riserlint.design.basis import AnyFile, BasisFile
from riserlint.design.models import DesignFile, Origin, PartsFile, Statement, Written
from riserlint.design.paths import Path
from riserlint.design.problems import DesignUnreadable, Problem, in_order
from riserlint.design.sources import Location, Source
from riserlint.design.wording import describe, expected, model_of, shown

BASIS_NAME = "basis.toml"
_RESERVED_IDS = frozenset({"", "unknown", "none", "mains", "generator"})

# The table may be opened by its name or by that of a table in it, plain or in quotes, after a byte-order mark; a
# header without its closing bracket is a design that can't be read, too.
_OPENS_DESIGN = re.compile(
    rb"""^(?:\xef\xbb\xbf)?[ \t]*(?:\[\[?[ \t]*(["']?)design\1[ \t]*(?:[\].\#]|\r?$)|(["']?)design\2[ \t]*[.=])""",
    re.MULTILINE,
)

ModelT = TypeVar("ModelT", bound=Written)
_KINDS: dict[type[Written], str] = {DesignFile: "design", PartsFile: "parts", BasisFile: "basis"}


class Basis:
    """The basis of design that applies to a design; an empty one where there is no ``basis.toml``."""

    def __init__(self, model: BasisFile, source: Source | None) -> None:
        """Keep the model and the file that it was read from."""
        self.model = model
        self.source = source


class Design:
    """A design as written: the model, and where everything in it stands.

    Attributes:
        name: the file relative to the repository (else to the root), with forward slashes.
        root: the folder outside which nothing is read.
        model: all that is written, kinds of gear and cable from parts files included.
        sources: the files read, the design's own first.
        basis: the basis of design that applies.
        dropped: the things that are written but were refused while reading, as (kind, id).
    """

    def __init__(
        self,
        root: FilePath,
        model: DesignFile,
        sources: tuple[Source, ...],
        owners: dict[Path, Source],
        basis: Basis,
        dropped: frozenset[tuple[str, str]],
    ) -> None:
        """Keep what was read."""
        self.root = root
        self.model = model
        self.sources = sources
        self.basis = basis
        self.dropped = dropped
        self.name = sources[0].name
        self._owners = owners

    def source_of(self, path: Path) -> Source:
        """Return the file in which the thing of a path is written."""
        return self.in_file(path)[0]

    def in_file(self, path: Path) -> tuple[Source, Path]:
        """Return the file in which a value is written, and its path there: without ``basis`` in the basis itself."""
        if path[:1] == ("basis",) and self.basis.source is not None:
            return self.basis.source, path[1:]
        return self._owners.get(path[:2], self.sources[0]), path

    def locate(self, path: Path) -> Location:
        """Return where a value stands, or where it would stand; paths under ``basis`` are looked up in the basis."""
        source, path = self.in_file(path)
        return source.locate(path)

    def statement(self, path: Path) -> Statement | None:
        """Return what is said of a value that is written in full."""
        source, path = self.in_file(path)
        return source.statements.get(path)

    def asked(self, path: Path) -> bool:
        """Return whether a value is written as unknown."""
        source, path = self.in_file(path)
        return path in source.asked

    def origin(self, path: Path) -> Origin | None:
        """Return the origin of a value: its own, else the one that the design's head gives all values of the design.

        A value of the basis that states no other origin is assumed.
        """
        statement = self.statement(path)
        if statement is not None and statement.origin is not None:
            return statement.origin
        return "assumed" if path[:1] == ("basis",) else self.model.design.origin


def root_of(path: FilePath) -> FilePath:
    """Return the root of a design: the nearest folder upwards with ``.git`` or ``basis.toml``, else its own."""
    folder = path.resolve() if path.is_dir() else path.resolve().parent
    for candidate in (folder, *folder.parents):
        if (candidate / ".git").exists() or (candidate / BASIS_NAME).is_file():
            return candidate
    return folder


def read_basis(design: FilePath, root: FilePath) -> Basis:
    """Return the basis for a design: the nearest ``basis.toml`` from the design's folder up to the root.

    Raises:
        DesignUnreadable: the file is there and can't be read as a basis.
    """
    folder = design.resolve().parent
    for candidate in (folder, *folder.parents):
        file = candidate / BASIS_NAME
        if file.is_file():
            return _read_basis_file(file, root)
        if candidate == root:
            break
    return Basis(BasisFile.model_construct(), None)


def _read_basis_file(file: FilePath, root: FilePath) -> Basis:
    name = relative_name(file, root)
    if not file.resolve().is_relative_to(root):
        message = f"{BASIS_NAME} is a link to a file outside the root; nothing outside the root is read"
        raise DesignUnreadable((Problem(name, 0, 0, (), message),))
    source = Source(file, name)
    model, problems, _ = _validate(source, BasisFile)
    if problems:
        raise DesignUnreadable(tuple(problems))
    assert model is not None
    return Basis(model, source)


def relative_name(file: FilePath, root: FilePath) -> str:
    """Return a file's name with forward slashes, relative to the repository that the root is in, else to the root.

    A basis in a folder of a repository makes that folder the root: what may be read ends there. Other programs
    still look for the files of a report from the repository down.
    """
    top = next((folder for folder in (root, *root.parents) if (folder / ".git").exists()), root)
    try:
        return file.resolve().relative_to(top).as_posix()
    except ValueError:
        return file.name


def read_design(file: FilePath, root: FilePath, basis: Basis) -> tuple[Design, list[Problem]]:
    """Return a design and the problems found while reading; with problems, what could be read is still returned.

    Raises:
        DesignUnreadable: nothing of it can be used (it can't be opened, is no TOML, or has no ``[design]``).
    """
    source = Source(file, relative_name(file, root))
    model, problems, dropped = _validate(source, DesignFile)
    if model is None:
        raise DesignUnreadable(tuple(problems))
    sources = [source]
    owners: dict[Path, Source] = {}
    parts: dict[str, Any] = dict(model.part)
    cables: dict[str, Any] = dict(model.cable)
    for index, written in enumerate(model.design.parts):
        at: Path = ("design", "parts", index)
        other, refusal = _open_parts(file, root, written)
        if other is None:
            problems.append(_problem(source, at, refusal, value=True))
            continue
        try:
            more = Source(other, relative_name(other, root))
        except DesignUnreadable as error:
            problems.extend(error.problems)
            continue
        shared, more_problems, more_dropped = _validate(more, PartsFile)
        problems.extend(more_problems)
        dropped |= more_dropped
        sources.append(more)
        if shared is None:
            continue
        for kind, mine, theirs in (("part", parts, shared.part), ("cable", cables, shared.cable)):
            for name, thing in theirs.items():
                if name in mine:
                    holder = owners.get((kind, name), source).name
                    problems.append(
                        _problem(more, (kind, name), f"{kind} `{name}` is already described in {holder}")
                    )
                    continue
                mine[name] = thing
                owners[(kind, name)] = more
    if model.design.parts:
        model = model.model_copy(update={"part": parts, "cable": cables})
    return Design(root, model, tuple(sources), owners, basis, frozenset(dropped)), list(in_order(problems))


def _open_parts(design: FilePath, root: FilePath, written: str) -> tuple[FilePath | None, str]:
    named = FilePath(written)
    if named.is_absolute() or "\\" in written:
        return None, f'expected a path relative to this file with forward slashes, found "{written}"'
    try:
        file = (design.resolve().parent / named).resolve()
        if not file.is_relative_to(root):
            return None, f'parts file "{written}" lies outside the root; nothing outside the root is read'
        if file.is_file():
            return file, ""
    except (OSError, ValueError, RuntimeError):
        pass  # a name that no file can have, or a circle of links
    return None, f'there is no parts file "{written}"'


def _problem(source: Source, path: Path, message: str, *, value: bool = False) -> Problem:
    return source.problem(path, message, on_key=not value)


def _validate(
    source: Source, model: type[ModelT]
) -> tuple[ModelT | None, list[Problem], set[tuple[str, str]]]:
    """Return the model, all problems, and the things that were left out so that the rest could be read."""
    problems = [
        source.problem(path, message, on_key=on_key) for path, message, on_key in source.statement_problems
    ]
    problems.extend(_id_problems(source))
    problems.extend(_temperature_problems(source))
    dropped: set[tuple[str, str]] = set()
    try:
        return _read_as(model, source.data), problems, dropped
    except ValidationError as error:
        details = error.errors(include_url=False)
    for detail in details:
        detail["loc"] = detail["loc"][1:]
    groups = grouped(source.data, details)
    for path, group in groups:
        problems.append(_detail_problem(source, model, path, group))
    data = dict(source.data)
    for path, group in groups:
        _leave_out(data, path[:-1] if group[0]["type"] == "missing" else path, dropped)
    try:
        return _read_as(model, data), problems, dropped
    except ValidationError:
        return None, problems, dropped


def _read_as(model: type[ModelT], data: dict[str, Any]) -> ModelT:
    """Return the data as a model; the places in its errors begin with the name of the kind of file."""
    kind = _KINDS[model]
    read = getattr(AnyFile.model_validate({kind: data}), kind)
    assert isinstance(read, model)
    return read


def _leave_out(data: dict[str, Any], path: Path, dropped: set[tuple[str, str]]) -> None:
    """Take the refused value out of a copy of the data, so that the rest can still be checked in the same go."""
    if path == () or (path == ("design",) and not isinstance(data.get("design"), dict)):
        data["design"] = {"title": "untitled"}
        return
    if len(path) == 2:
        dropped.add((str(path[0]), str(path[1])))
    if path == ("design", "title"):
        data["design"] = {**data["design"], "title": "untitled"}
        return
    # The items of a list are known by their position, so a list with a wrong item is left out as a whole.
    keys = [str(part) for part in itertools.takewhile(lambda part: isinstance(part, str), path)]
    here = data
    for key in keys[:-1]:
        child = here.get(key)
        if not isinstance(child, dict):
            return  # left out already, with the thing that held it
        here[key] = dict(child)
        here = here[key]
    here.pop(keys[-1], None)


def grouped(data: Any, details: Iterable[Any]) -> list[tuple[Path, list[Any]]]:
    """Return the errors by the place in the data that they speak of: the branches of a union are one place."""
    groups: dict[Path, list[Any]] = {}
    for detail in details:
        # Items that are refused themselves are not counted: a list that has them is not too short for that.
        if detail["type"] == "too_short" and len(detail["input"]) >= detail["ctx"]["min_length"]:
            continue
        groups.setdefault(_place_of(data, detail), []).append(detail)
    return list(groups.items())


def _place_of(data: Any, detail: Any) -> Path:
    path: list[str | int] = []
    here = data
    for part in detail["loc"]:
        if (isinstance(here, dict) and part in here) or (isinstance(here, list) and isinstance(part, int)):
            here = here[part]
            path.append(part)
    if detail["type"] == "missing":
        path.append(detail["loc"][-1])
    return tuple(path)


def _detail_problem(source: Source, model: type[Written], path: Path, group: list[Any]) -> Problem:
    if group[0]["type"] == "missing" and path in source.asked:
        return _problem(source, path, f"`{path[-1]}` can't be unknown", value=True)
    message, on_key = described(model_of(model, path[:-1]), group)
    return _problem(source, path, message, value=not on_key)


def described(holder: type[Written] | None, group: list[Any]) -> tuple[str, bool]:
    """Return what is wrong at one place, and whether it is the key; ``holder`` is the model of its table."""
    first = group[0]
    if len(group) == 1:
        return describe(first, holder), first["type"] in {"extra_forbidden", "missing"}
    either = " or ".join(dict.fromkeys(expected(detail) for detail in group))
    return f"expected {either}, found {shown(first.get('input'))}", False


def _id_problems(source: Source) -> list[Problem]:
    problems: list[Problem] = []
    for kind, things in source.data.items():
        if kind in {"design", "basis", "allowance", "assume", "rule", "variance"} or not isinstance(
            things, dict
        ):
            continue
        for name in things:
            if name in _RESERVED_IDS:
                message = f'"{name}" can\'t be an id: it is a word with a meaning of its own'
            elif "/" in name and kind in {"switch", "device", "inline"}:
                message = f"an id of {kind} can't hold a slash: `gear/port` names a port"
            elif not name.isprintable():
                message = "an id can't hold control characters"
            else:
                continue
            problems.append(_problem(source, (kind, name), message))
    return problems


def _temperature_problems(source: Source) -> list[Problem]:
    """Return where a mean temperature is above the hottest: one of the two is written wrong."""
    written: list[tuple[Path, Any]] = [(("assume", "space"), _table(source.data.get("assume")).get("space"))]
    written.extend((("space", name), space) for name, space in _table(source.data.get("space")).items())
    problems = []
    for path, space in written:
        mean_c, max_c = (_number(_table(space).get(key)) for key in ("mean_c", "max_c"))
        if mean_c is not None and max_c is not None and mean_c > max_c:
            message = f"expected at most max_c, {max_c:g}, found {shown(mean_c)}"
            problems.append(_problem(source, (*path, "mean_c"), message, value=True))
    return problems


def _table(value: Any) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def _number(value: Any) -> int | float | None:
    return value if isinstance(value, int | float) and not isinstance(value, bool) else None


def find_designs(path: FilePath) -> Iterator[FilePath]:
    """Yield the design files of a folder in the order of their names: TOML files that have a ``[design]`` table.

    Files and folders whose name starts with a dot are passed over. A TOML file that can't be parsed is yielded where
    a line of it opens ``[design]``, so that its problem is shown and does not pass for "no design".

    Raises:
        OSError: a folder below can't be looked into.
    """
    found: list[FilePath] = []
    for folder, folders, names in os.walk(path, onerror=_refused):
        folders[:] = [name for name in folders if not name.startswith(".")]
        found.extend(
            FilePath(folder, name) for name in names if name.endswith(".toml") and not name.startswith(".")
        )
    for file in sorted(found):
        if file.is_file() and looks_like_design(file):
            yield file


def _refused(error: OSError) -> None:
    """Raise for a folder that can't be looked into: what is in it would silently not be reviewed."""
    raise error


def looks_like_design(file: FilePath) -> bool:
    """Return whether a file opens a ``[design]`` table (or sets a key under ``design``), or can't be opened."""
    try:
        raw = file.read_bytes()
    except OSError:
        return True
    return _OPENS_DESIGN.search(raw) is not None
