"""What plugins do wrong, and that each of it is named with its distribution and never reads as a pass."""

import types
from collections.abc import Callable, Iterator
from typing import Any

import pluggy
import pytest

from fake_rule import LINK, SAMPLE, Folder, design, rule_of
from riserlint import Check, Fault, Rule, RuleSet, Written, hookimpl
from riserlint.review import plugins
from riserlint.review.plugins import load_rules, rules_of


def module(name: str, **members: Any) -> types.ModuleType:
    made = types.ModuleType(name)
    for key, value in members.items():
        setattr(made, key, value)
    return made


def offering(*rules: Any) -> Callable[[], tuple[Any, ...]]:
    @hookimpl
    def riserlint_rules() -> tuple[Any, ...]:
        return rules

    return riserlint_rules


def loaded(*modules: types.ModuleType) -> RuleSet:
    return rules_of({made.__name__: (made, f"{made.__name__}-dist") for made in modules})


def ids(found: RuleSet) -> list[str]:
    return [offered.rule.id for offered in found.rules]


def test_a_good_plugin_offers_its_rule_with_its_distribution() -> None:
    found = loaded(module("good", riserlint_rules=offering(SAMPLE)))
    assert [(offered.rule.id, offered.plugin, offered.distribution) for offered in found.rules] == [
        ("sample", "good", "good-dist")
    ]
    assert found.faults == ()


def test_rules_come_in_the_order_of_their_ids_whatever_the_order_of_modules() -> None:
    a, b = rule_of(lambda *_: (), name="a-rule"), rule_of(lambda *_: (), name="b-rule")
    one, two = module("one", riserlint_rules=offering(b)), module("two", riserlint_rules=offering(a))
    assert ids(loaded(one, two)) == ids(loaded(two, one)) == ["a-rule", "b-rule"]


NO_RULES = "offers no rules: no function in it is marked with riserlint.hookimpl as riserlint_rules"


def test_a_forgotten_mark_is_named() -> None:
    def riserlint_rules() -> tuple[Rule, ...]:
        return (SAMPLE,)

    found = loaded(module("bare", riserlint_rules=riserlint_rules))
    assert found == RuleSet((), (Fault("bare", "bare-dist", NO_RULES),))


def test_the_mark_of_another_project_is_named() -> None:
    other = pluggy.HookimplMarker("riser-lint")

    @other
    def riserlint_rules() -> tuple[Rule, ...]:
        return (SAMPLE,)

    found = loaded(module("foreign", riserlint_rules=riserlint_rules))
    assert found == RuleSet((), (Fault("foreign", "foreign-dist", NO_RULES),))


def test_each_misspelled_hook_is_named_and_the_right_one_beside_it_works() -> None:
    @hookimpl
    def riserlint_rule() -> tuple[Rule, ...]:
        return ()

    @hookimpl
    def riserlint_ruels() -> tuple[Rule, ...]:
        return ()

    members = {"riserlint_rule": riserlint_rule, "riserlint_ruels": riserlint_ruels}
    found = loaded(module("odd", riserlint_rules=offering(SAMPLE), **members))
    assert ids(found) == ["sample"]
    assert [fault.message for fault in found.faults] == [
        "implements the hook riserlint_ruels, which does not exist",
        "implements the hook riserlint_rule, which does not exist",
    ]


def test_a_hook_that_asks_for_arguments_is_no_plugin_for_this_version() -> None:
    @hookimpl
    def riserlint_rules(design: object) -> tuple[Rule, ...]:
        return (SAMPLE,)

    found = loaded(module("newer", riserlint_rules=riserlint_rules))
    assert found.rules == ()
    (fault,) = found.faults
    assert (fault.plugin, fault.distribution) == ("newer", "newer-dist")
    assert fault.message.startswith("is no plugin for this version: PluginValidationError: ")


def test_the_second_rule_of_one_id_is_refused_and_both_plugins_are_named() -> None:
    again = SAMPLE._replace(title="another one")
    found = loaded(
        module("a", riserlint_rules=offering(SAMPLE)), module("b", riserlint_rules=offering(again))
    )
    assert [offered.rule.title for offered in found.rules] == ["links are short"]
    assert found.faults == (Fault("b", "b-dist", "offers the rule sample again, which a (a-dist) offers"),)


def test_a_hook_shared_by_two_modules_is_found_twice_and_named() -> None:
    hook = offering(SAMPLE)
    found = loaded(module("a", riserlint_rules=hook), module("b", riserlint_rules=hook))
    assert ids(found) == ["sample"]
    assert found.faults == (Fault("b", "b-dist", "offers the rule sample again, which a (a-dist) offers"),)


def test_what_is_no_rule_is_named_and_the_rules_beside_it_are_kept() -> None:
    found = loaded(module("mixed", riserlint_rules=offering("channel-length", SAMPLE, None)))
    assert ids(found) == ["sample"]
    assert [fault.message for fault in found.faults] == [
        "offers 'NoneType' as a rule",
        "offers 'str' as a rule",
    ]


def test_a_hook_that_crashes_is_named_and_other_plugins_are_kept() -> None:
    @hookimpl
    def riserlint_rules() -> tuple[Rule, ...]:
        raise RuntimeError("no\nnetwork")

    found = loaded(
        module("bad", riserlint_rules=riserlint_rules), module("good", riserlint_rules=offering(SAMPLE))
    )
    assert ids(found) == ["sample"]
    message = "crashed while it was asked for its rules: RuntimeError: no network"
    assert found.faults == (Fault("bad", "bad-dist", message),)


def test_a_hook_that_leaves_the_program_has_crashed() -> None:
    @hookimpl
    def riserlint_rules() -> tuple[Rule, ...]:
        raise SystemExit(0)

    found = loaded(module("quits", riserlint_rules=riserlint_rules))
    assert found.faults == (
        Fault("quits", "quits-dist", "crashed while it was asked for its rules: SystemExit: 0"),
    )


def test_a_hook_that_returns_nothing_is_named() -> None:
    @hookimpl
    def riserlint_rules() -> None:
        return None

    found = loaded(module("empty", riserlint_rules=riserlint_rules))
    assert found.faults == (Fault("empty", "empty-dist", "offers 'NoneType' in place of its rules"),)


def test_a_generator_as_hook_works_and_its_crash_is_named() -> None:
    @hookimpl
    def riserlint_rules() -> Iterator[Rule]:
        yield SAMPLE

    assert ids(loaded(module("lazy", riserlint_rules=riserlint_rules))) == ["sample"]

    @hookimpl(specname="riserlint_rules")
    def halfway() -> Iterator[Rule]:
        yield SAMPLE
        raise RuntimeError("halfway")

    found = loaded(module("half", halfway=halfway))
    assert found == RuleSet(
        (), (Fault("half", "half-dist", "crashed while it was asked for its rules: RuntimeError: halfway"),)
    )


class Needs(Written):
    most_m: float


FLAWS = {
    "an id of other letters": (
        SAMPLE._replace(id="Channel_Length"),
        "offers the rule 'Channel_Length', but an id is made of lower-case words joined by hyphens",
    ),
    "an id that is no text": (
        SAMPLE._replace(id=["x"]),  # type: ignore[arg-type]
        "offers the rule ['x'], but an id is made of lower-case words joined by hyphens",
    ),
    "the id of the engine's own rule": (
        SAMPLE._replace(id="variance"),
        "offers the rule 'variance', but that id belongs to the engine",
    ),
    "no checks": (SAMPLE._replace(checks=()), "offers the rule 'sample', but it has no checks"),
    "two checks of one name": (
        SAMPLE._replace(checks=(LINK, LINK)),
        "offers the rule 'sample', but two of its checks have one name",
    ),
    "a check with a slash in its name": (
        SAMPLE._replace(checks=(LINK._replace(name="a/b"),)),
        "offers the rule 'sample', but its check 'a/b' is not made of lower-case words joined by hyphens",
    ),
    "a check that is none": (
        SAMPLE._replace(checks=("link",)),  # type: ignore[arg-type]
        "offers the rule 'sample', but its check 'link' is no Check",
    ),
    "a level that does not exist": (
        SAMPLE._replace(checks=(LINK._replace(level="fatal"),)),  # type: ignore[arg-type]
        "offers the rule 'sample', but its check link has the level 'fatal'",
    ),
    "a citation that is a text": (
        SAMPLE._replace(checks=(LINK._replace(citations=("TIA-568",)),)),  # type: ignore[arg-type]
        "offers the rule 'sample', but its check link cites something that is no Citation",
    ),
    "a limit that is a number": (
        SAMPLE._replace(checks=(LINK._replace(limits=(90.0,)),)),  # type: ignore[arg-type]
        "offers the rule 'sample', but its check link lists a limit that is no Limit",
    ),
    "a review that can't be called": (
        SAMPLE._replace(review=None),  # type: ignore[arg-type]
        "offers the rule 'sample', but its review can't be called",
    ),
    "parameters that are no model": (
        SAMPLE._replace(parameters=dict),  # type: ignore[arg-type]
        "offers the rule 'sample', but its parameters are no subclass of Written",
    ),
}


@pytest.mark.parametrize(("rule", "message"), FLAWS.values(), ids=FLAWS)
def test_a_flawed_rule_is_refused(rule: Rule, message: str) -> None:
    found = loaded(module("flawed", riserlint_rules=offering(rule)))
    assert found == RuleSet((), (Fault("flawed", "flawed-dist", message),))


def test_parameters_that_must_be_given_are_refused() -> None:
    found = loaded(module("needs", riserlint_rules=offering(SAMPLE._replace(parameters=Needs))))
    (fault,) = found.faults
    start = (
        "offers the rule 'sample', but its parameters can't be left out: ValidationError: 1 validation error"
    )
    assert fault.message.startswith(start)
    assert found.rules == ()


def test_a_module_that_raises_on_every_look_does_not_end_the_others() -> None:
    class Hostile(types.ModuleType):
        def __getattr__(self, name: str) -> object:
            raise RuntimeError("go away")

    found = loaded(Hostile("hostile"), module("good", riserlint_rules=offering(SAMPLE)))
    assert ids(found) == ["sample"]
    assert [fault.plugin for fault in found.faults] == ["hostile"]


# -- entry points ------------------------------------------------------------------------------------------------


class Point:
    """An entry point as the metadata of a distribution gives it."""

    def __init__(self, value: str, distribution: str | None) -> None:
        self.name = value
        self.value = value
        self.dist = None if distribution is None else types.SimpleNamespace(name=distribution)

    def load(self) -> object:
        import importlib

        made = importlib.import_module(self.value.partition(":")[0])
        attribute = self.value.partition(":")[2]
        return getattr(made, attribute) if attribute else made


GOOD = """
from riserlint import Check, Rule, hookimpl
@hookimpl
def riserlint_rules():
    return (Rule("{id}", "t", "w", (Check("c", "t", "note", "f"),), lambda built, parameters: ()),)
"""


@pytest.fixture
def installed(
    tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[[dict[str, str], list[Point]], RuleSet]]:
    import sys

    before = set(sys.modules)
    monkeypatch.syspath_prepend(tmp_path)

    def load(files: dict[str, str], points: list[Point]) -> RuleSet:
        for name, text in files.items():
            file = tmp_path / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8")
        monkeypatch.setattr(
            plugins, "entry_points", lambda group: points if group == "riserlint.rules" else []
        )
        return load_rules()

    yield load
    for name in set(sys.modules) - before:
        del sys.modules[name]


Load = Callable[[dict[str, str], list[Point]], RuleSet]


def test_each_module_of_a_package_is_a_rule_and_underscored_ones_are_not(installed: Load) -> None:
    files = {
        "pack_a/__init__.py": "",
        "pack_a/one.py": GOOD.format(id="one"),
        "pack_a/two.py": GOOD.format(id="two"),
        "pack_a/_shared.py": "raise RuntimeError('never imported on its own')",
    }
    found = installed(files, [Point("pack_a", "pack-a")])
    assert (ids(found), found.faults) == (["one", "two"], ())


def test_a_package_without_modules_stands_for_itself(installed: Load) -> None:
    found = installed({"pack_b/__init__.py": GOOD.format(id="alone")}, [Point("pack_b", "pack-b")])
    assert (ids(found), found.faults) == (["alone"], ())


def test_an_empty_package_is_named(installed: Load) -> None:
    found = installed({"pack_c/__init__.py": ""}, [Point("pack_c", "pack-c")])
    assert found == RuleSet((), (Fault("pack_c", "pack-c", NO_RULES),))


def test_a_module_that_crashes_at_import_is_named_and_its_siblings_are_kept(installed: Load) -> None:
    files = {
        "pack_d/__init__.py": "",
        "pack_d/bad.py": "import no_such_module_here",
        "pack_d/good.py": GOOD.format(id="good"),
        "pack_d/leaves.py": "raise SystemExit(0)",
        "pack_d/torn.py": "def (",
    }
    found = installed(files, [Point("pack_d", "pack-d")])
    assert ids(found) == ["good"]
    assert [(fault.plugin, fault.message) for fault in found.faults] == [
        ("pack_d.bad", "can't be loaded: ModuleNotFoundError: No module named 'no_such_module_here'"),
        ("pack_d.leaves", "can't be loaded: SystemExit: 0"),
        ("pack_d.torn", "can't be loaded: SyntaxError: invalid syntax (torn.py, line 1)"),
    ]


def test_an_entry_point_that_does_not_load_is_named_and_the_others_are_kept(installed: Load) -> None:
    points = [Point("no_such_package_here", "lost"), Point("pack_e", None)]
    found = installed({"pack_e.py": GOOD.format(id="kept")}, points)
    assert ids(found) == ["kept"]
    message = "can't be loaded: ModuleNotFoundError: No module named 'no_such_package_here'"
    assert found.faults == (Fault("no_such_package_here", "lost", message),)


def test_an_entry_point_to_a_function_is_named(installed: Load) -> None:
    found = installed({"pack_f.py": GOOD.format(id="f")}, [Point("pack_f:riserlint_rules", "pack-f")])
    message = "is no module or package, so it holds no rules"
    assert found == RuleSet((), (Fault("pack_f:riserlint_rules", "pack-f", message),))


def test_two_entry_points_to_one_module_are_one_plugin(installed: Load) -> None:
    found = installed({"pack_g.py": GOOD.format(id="g")}, [Point("pack_g", "one"), Point("pack_g", "two")])
    assert (ids(found), found.faults) == (["g"], ())


def test_no_plugin_at_all_is_a_fault(installed: Load) -> None:
    message = "no plugin is installed in the entry-point group riserlint.rules"
    assert installed({}, []) == RuleSet((), (Fault("riserlint.rules", "", message),))


def test_a_fault_of_a_plugin_outranks_findings(tmp_path: Any) -> None:
    rules = RuleSet((), (Fault("x", "x-dist", "can't be loaded"),))
    review = Folder(tmp_path).write({"a.toml": design()}).review(rules=rules)
    assert int(review.exit_status) == 2


def test_the_built_in_rules_come_through_the_same_door() -> None:
    found = load_rules()
    built_in = [offered for offered in found.rules if offered.plugin.startswith("riserlint_rules.")]
    assert "channel-length" in [offered.rule.id for offered in built_in]
    assert {offered.distribution for offered in built_in} == {"riserlint"}


def test_a_check_is_found_by_its_name() -> None:
    check: Check = SAMPLE.check("tidy")
    assert check.title == "the link is longer than is usual"
    with pytest.raises(KeyError):
        SAMPLE.check("none")
