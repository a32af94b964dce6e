"""Finding, loading and validating rule plugins; what fails to load is named and never reads as a pass."""

import importlib
import pkgutil
import re
from collections.abc import Iterable
from importlib.metadata import EntryPoint, entry_points
from pathlib import Path as FilePath
from types import FunctionType, ModuleType
from typing import Any, Final, NamedTuple

import pluggy

from riserlint.design.models import Written
from riserlint.review import hooks
from riserlint.review.answers import Check, Rule
from riserlint.standards.record import Citation, Limit

GROUP: Final = "riserlint.rules"
#: What a plugin may raise without ending the review; a plugin that asks to leave the program has crashed, too.
_CRASHES: Final = (Exception, SystemExit)
_WORDS: Final = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*\Z")
_LEVELS: Final = frozenset({"error", "warning", "note"})
#: Where an object lies in memory differs from run to run.
_ADDRESS: Final = re.compile(r"0x[0-9a-fA-F]{6,}")


class Fault(NamedTuple):
    """Something of a plugin that does not work: which plugin, from which distribution, and what happened."""

    plugin: str
    distribution: str
    message: str


class Offered(NamedTuple):
    """A rule and where it comes from."""

    rule: Rule
    plugin: str
    distribution: str


class RuleSet(NamedTuple):
    """The rules that were found, in the order of their ids, and what was wrong with plugins."""

    rules: tuple[Offered, ...]
    faults: tuple[Fault, ...]


def load_rules() -> RuleSet:
    """Return the rules of all installed plugins: the built-in ones come through the same door as any other."""
    # Reading the name of a distribution parses all of its metadata: once for each point.
    found = sorted(
        ((_distribution(point), point) for point in entry_points(group=GROUP)),
        key=lambda named: (named[0], named[1].name, named[1].value),
    )
    faults: list[Fault] = []
    modules: dict[str, tuple[ModuleType, str]] = {}
    for distribution, point in found:
        try:
            loaded = point.load()
        except _CRASHES as error:
            faults.append(Fault(point.value, distribution, f"can't be loaded: {_said(error)}"))
            continue
        if not isinstance(loaded, ModuleType):
            faults.append(Fault(point.value, distribution, "is no module or package, so it holds no rules"))
            continue
        for name in _module_names(loaded):
            try:
                module = importlib.import_module(name)
            except _CRASHES as error:
                faults.append(Fault(name, distribution, f"can't be loaded: {_said(error)}"))
                continue
            modules.setdefault(name, (module, distribution))
    if not found:
        faults.append(Fault(GROUP, "", f"no plugin is installed in the entry-point group {GROUP}"))
    return rules_of(modules, faults)


class _Manager(pluggy.PluginManager):
    """A manager that looks for hooks among the functions that are marked, and not at every name of a module."""

    def parse_hookimpl_opts(self, plugin: object, name: str) -> pluggy.HookimplOpts | None:
        value = vars(plugin).get(name)
        if not isinstance(value, FunctionType) or f"{hooks.PROJECT}_impl" not in vars(value):
            return None
        return super().parse_hookimpl_opts(plugin, name)


def rules_of(modules: dict[str, tuple[ModuleType, str]], faults: list[Fault] | None = None) -> RuleSet:
    """Return the rules that modules offer, each module with the name of its distribution."""
    faults = [] if faults is None else faults
    manager = _Manager(hooks.PROJECT)
    manager.add_hookspecs(hooks)
    for name, (module, distribution) in modules.items():
        try:
            manager.register(module, name=name)
        except Exception as error:
            faults.append(Fault(name, distribution, f"is no plugin for this version: {_said(error)}"))
            continue
        callers = manager.get_hookcallers(module) or []
        unknown = [caller.name for caller in callers if not caller.has_spec()]
        for hook_name in unknown:
            faults.append(Fault(name, distribution, f"implements the hook {hook_name}, which does not exist"))
        if len(unknown) == len(callers):
            message = (
                "offers no rules: no function in it is marked with riserlint.hookimpl as riserlint_rules"
            )
            faults.append(Fault(name, distribution, message))
    offered: dict[str, Offered] = {}
    for implementation in manager.hook.riserlint_rules.get_hookimpls():
        name = implementation.plugin_name
        distribution = modules[name][1]
        rules: list[object] = []
        try:
            answer: Any = implementation.function()
            if not isinstance(answer, Iterable):
                faults.append(
                    Fault(name, distribution, f"offers {type(answer).__name__!r} in place of its rules")
                )
                continue
            rules.extend(answer)
        except _CRASHES as error:
            faults.append(
                Fault(name, distribution, f"crashed while it was asked for its rules: {_said(error)}")
            )
            continue
        for rule in rules:
            if not isinstance(rule, Rule):
                faults.append(Fault(name, distribution, f"offers {type(rule).__name__!r} as a rule"))
            elif _is_words(rule.id) and rule.id in offered:
                first = offered[rule.id]
                message = (
                    f"offers the rule {rule.id} again, which {first.plugin} ({first.distribution}) offers"
                )
                faults.append(Fault(name, distribution, message))
            elif (flaw := _flaw(rule)) is not None:
                faults.append(Fault(name, distribution, f"offers the rule {rule.id!r}, but {flaw}"))
            else:
                offered[rule.id] = Offered(rule, name, distribution)
    return RuleSet(tuple(offered[key] for key in sorted(offered)), tuple(sorted(faults)))


def _flaw(rule: Any) -> str | None:
    """Return what is wrong with a rule, in words that follow "offers the rule …, but"."""
    if not _is_words(rule.id):
        return "an id is made of lower-case words joined by hyphens"
    if rule.id == "variance":
        return "that id belongs to the engine"
    if not (isinstance(rule.title, str) and isinstance(rule.why, str)):
        return "its title or its reason is no text"
    if not callable(rule.review):
        return "its review can't be called"
    if not isinstance(rule.checks, tuple) or not rule.checks:
        return "it has no checks"
    for check in rule.checks:
        flaw = _check_flaw(check)
        if flaw is not None:
            return flaw
    if len({check.name for check in rule.checks}) != len(rule.checks):
        return "two of its checks have one name"
    return _parameter_flaw(rule.parameters)


def _check_flaw(offered: Any) -> str | None:
    if not isinstance(offered, Check):
        return f"its check {offered!r} is no Check"
    check: Any = offered
    if not _is_words(check.name):
        return f"its check {check.name!r} is not made of lower-case words joined by hyphens"
    if check.level not in _LEVELS:
        return f"its check {check.name} has the level {check.level!r}"
    if not (isinstance(check.title, str) and isinstance(check.formula, str)):
        return f"its check {check.name} has a title or a formula that is no text"
    if not all(isinstance(citation, Citation) for citation in check.citations):
        return f"its check {check.name} cites something that is no Citation"
    if not all(isinstance(limit, Limit) for limit in check.limits):
        return f"its check {check.name} lists a limit that is no Limit"
    return None


def _parameter_flaw(parameters: object) -> str | None:
    if not (isinstance(parameters, type) and issubclass(parameters, Written)):
        return "its parameters are no subclass of Written"
    try:
        parameters.model_validate({})
    except Exception as error:
        return f"its parameters can't be left out: {_said(error)}"
    return None


def _is_words(name: object) -> bool:
    return isinstance(name, str) and _WORDS.match(name) is not None


def _module_names(loaded: ModuleType) -> list[str]:
    """Return the modules that an entry point stands for: those of a package, else (or if it has none) itself."""
    search = getattr(loaded, "__path__", ())
    inner = sorted(found.name for found in pkgutil.iter_modules(search) if not found.name.startswith("_"))
    return [f"{loaded.__name__}.{name}" for name in inner] or [loaded.__name__]


def _distribution(point: EntryPoint) -> str:
    return (point.dist.name if point.dist is not None else "") or ""


def crash_of(error: BaseException) -> str:
    """Return what happened and where, as one line that is the same on every run."""
    import traceback

    frames = traceback.extract_tb(error.__traceback__)
    place = f" ({FilePath(frames[-1].filename).name}:{frames[-1].lineno})" if frames else ""
    return f"crashed with {_said(error)}{place}"


def _said(error: BaseException) -> str:
    try:
        text = " ".join(str(error).split())
    except Exception:
        text = ""
    text = _ADDRESS.sub("0x…", text)
    return f"{type(error).__name__}: {text}" if text else type(error).__name__
