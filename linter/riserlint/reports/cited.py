"""The clauses behind the rules: formula, limits, and how each is known."""

from typing import NamedTuple

from riserlint.design.wording import nearest_of
from riserlint.reports.text import plain
from riserlint.review.answers import Check, Rule
from riserlint.review.plugins import RuleSet
from riserlint.review.variances import RULE as VARIANCE_RULE
from riserlint.standards.record import Citation


class Cited(NamedTuple):
    """What is cited, what was wrong (for the error stream), and the exit status: 2 where something was wrong."""

    text: str
    complaint: str
    status: int


#: Lines are no longer than this however wide the terminal is, and no shorter than that however narrow.
_WIDEST, _NARROWEST = 100, 40


def cited_text(rules: RuleSet, name: str | None, width: int = 80) -> Cited:
    """Return what is cited for all rules, for one rule or for one check; a plugin that failed is named beside it.

    ``width`` is that of the terminal, in columns; only a word that is longer than a line is not broken.
    """
    width = max(_NARROWEST, min(width, _WIDEST))
    known = {offered.rule.id: offered.rule for offered in rules.rules}
    known[VARIANCE_RULE.id] = VARIANCE_RULE
    faults = "".join(
        f"riserlint: {plain(fault.plugin)}{f' ({plain(fault.distribution)})' if fault.distribution else ''} "
        f"{plain(fault.message)}\n"
        for fault in rules.faults
    )
    status = 2 if faults else 0
    if name is None:
        return Cited("".join(_listed(rule, width) for rule in known.values()), faults, status)
    rule_id, _, check_name = name.partition("/")
    rule = known.get(rule_id)
    if rule is None:
        wrong = f'riserlint: there is no rule "{plain(rule_id)}"{nearest_of(rule_id, sorted(known))}\n'
        return Cited("", wrong + faults, 2)
    checks = [check for check in rule.checks if name in {rule_id, f"{rule_id}/{check.name}"}]
    if not checks:
        names = [check.name for check in rule.checks]
        wrong = f'riserlint: {rule_id} has no check "{plain(check_name)}"{nearest_of(check_name, names)}\n'
        return Cited("", wrong + faults, 2)
    head = f"{_filled(f'{rule.id}: {rule.title}', '', width)}\n{_filled(rule.why, '  ', width)}\n"
    return Cited(head + "".join(_check(rule, check, width) for check in checks), faults, status)


def _listed(rule: Rule, width: int) -> str:
    texts = sorted({str(citation.text) for check in rule.checks for citation in _citations(check)})
    lines = [_filled(f"{rule.id}: {rule.title}", "", width) + "\n"]
    lines.extend(
        _filled(f"{rule.id}/{check.name} ({check.level}): {check.title}", "  ", width) + "\n"
        for check in rule.checks
    )
    if texts:
        lines.append(_filled(f"texts: {', '.join(texts)}", "  ", width) + "\n")
    return "".join(lines) + "\n"


def _citations(check: Check) -> list[Citation]:
    return list(dict.fromkeys((*check.citations, *(limit.citation for limit in check.limits))))


def _check(rule: Rule, check: Check, width: int) -> str:
    lines = [f"\n{rule.id}/{check.name}  ({check.level})\n", _filled(check.title, "  ", width) + "\n"]
    lines.append(_filled(f"formula: {check.formula}", "  ", width) + "\n")
    for citation in check.citations:
        lines.append(_filled(f"clause:  {citation}", "  ", width) + "\n")
    for limit in check.limits:
        unit = f" {limit.unit}" if limit.unit not in ("", "1") else ""
        lines.append(_filled(f"limit:   {limit.name}: {limit.value:g}{unit}", "  ", width) + "\n")
        lines.append(_filled(f"{limit.citation}", "           ", width) + "\n")
        lines.append(_filled(f"{limit.known}: {limit.source}", "           ", width) + "\n")
        if limit.note:
            lines.append(_filled(f"note: {limit.note}", "           ", width) + "\n")
    return "".join(lines)


def _filled(text: str, indent: str, width: int) -> str:
    import textwrap

    return textwrap.fill(
        plain(text),
        width,
        initial_indent=indent,
        subsequent_indent=f"{indent}  ",
        break_on_hyphens=False,
        break_long_words=False,
    )
