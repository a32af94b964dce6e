"""Finding, loading and validating rule plugins; what fails to load is named and never reads as a pass."""

import importlib
import pkgutil
from importlib.metadata import EntryPoint, entry_points
from types import ModuleType
from typing import Any, Final, NamedTuple

import pluggy

from riserlint.review import hooks
from riserlint.review.answers import Rule

GROUP: Final = "riserlint.rules"


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
    found = sorted(entry_points(group=GROUP), key=lambda point: (_distribution(point), point.name, point.value))
    faults: list[Fault] = []
    modules: dict[str, tuple[ModuleType, str]] = {}
    for point in found:
        distribution = _distribution(point)
        try:
            loaded = point.load()
        except Exception as error:
            faults.append(Fault(point.value, distribution, f"can't be loaded: {_said(error)}"))
            continue
        if not isinstance(loaded, ModuleType):
            faults.append(Fault(point.value, distribution, "is no module or package, so it holds no rules"))
            continue
        for name in _module_names(loaded):
            try:
                module = importlib.import_module(name)
            except Exception as error:
                faults.append(Fault(name, distribution, f"can't be loaded: {_said(error)}"))
                continue
            modules.setdefault(name, (module, distribution))
    if not found:
        faults.append(Fault(GROUP, "", f"no plugin is installed in the entry-point group {GROUP}"))
    return rules_of(modules, faults)


def rules_of(modules: dict[str, tuple[ModuleType, str]], faults: list[Fault] | None = None) -> RuleSet:
    """Return the rules that modules offer, each module with the name of its distribution."""
    faults = [] if faults is None else faults
    manager = pluggy.PluginManager(hooks.PROJECT)
    manager.add_hookspecs(hooks)
    for name, (module, distribution) in modules.items():
        try:
            manager.register(module, name=name)
        except (ValueError, pluggy.PluginValidationError) as error:
            faults.append(Fault(name, distribution, f"is no plugin for this version: {_said(error)}"))
            continue
        callers = manager.get_hookcallers(module) or []
        unknown = [caller.name for caller in callers if not caller.has_spec()]
        for hook_name in unknown:
            faults.append(Fault(name, distribution, f"implements the hook {hook_name}, which does not exist"))
        if len(unknown) == len(callers):
            message = "offers no rules: no function in it is marked with riserlint.hookimpl as riserlint_rules"
            faults.append(Fault(name, distribution, message))
    offered: dict[str, Offered] = {}
    for implementation in manager.hook.riserlint_rules.get_hookimpls():
        name = implementation.plugin_name
        distribution = modules[name][1]
        try:
            rules: Any = list(implementation.function())
        except Exception as error:
            faults.append(Fault(name, distribution, f"crashed while it was asked for its rules: {_said(error)}"))
            continue
        for rule in rules:
            if not isinstance(rule, Rule):
                faults.append(Fault(name, distribution, f"offers {type(rule).__name__!r} as a rule"))
            elif rule.id in offered:
                first = offered[rule.id]
                message = f"offers the rule {rule.id} again, which {first.plugin} ({first.distribution}) offers"
                faults.append(Fault(name, distribution, message))
            elif (flaw := _flaw(rule)) is not None:
                faults.append(Fault(name, distribution, f"offers the rule {rule.id!r}, but {flaw}"))
            else:
                offered[rule.id] = Offered(rule, name, distribution)
    return RuleSet(tuple(offered[key] for key in sorted(offered)), tuple(sorted(faults)))


def _flaw(rule: Rule) -> str | None:
    import re

    words = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*\Z")
    if not isinstance(rule.id, str) or not words.match(rule.id):
        return "an id is made of lower-case words joined by hyphens"
    if rule.id == "variance":
        return "that id belongs to the engine"
    if not rule.checks:
        return "it has no checks"
    names = [check.name for check in rule.checks]
    if len(set(names)) != len(names):
        return "two of its checks have one name"
    bad = next((name for name in names if not words.match(name)), None)
    return None if bad is None else f"its check {bad!r} is not made of lower-case words joined by hyphens"


def _module_names(loaded: ModuleType) -> list[str]:
    search = getattr(loaded, "__path__", None)
    if search is None:
        return [loaded.__name__]
    return sorted(
        f"{loaded.__name__}.{found.name}" for found in pkgutil.iter_modules(search) if not found.name.startswith("_")
    )


def _distribution(point: EntryPoint) -> str:
    return point.dist.name if point.dist is not None else ""


def _said(error: BaseException) -> str:
    text = " ".join(str(error).split())
    return f"{type(error).__name__}: {text}" if text else type(error).__name__
