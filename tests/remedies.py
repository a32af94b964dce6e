"""What every remedy that is data promises, for the tests of all rules: its finding goes, and no error comes."""

from riserlint import Rule, load_rules
from riserlint.testing import mended, review_text


def carried_out(text: str, rule: Rule, *, basis: str = "") -> list[str]:
    """Carry out each remedy of a rule alone and review again with all rules; return the names of their checks.

    Raises:
        AssertionError: a design can't be read, a rule crashed, a finding outlives its remedy, or an error is new.
    """
    rules = [offered.rule for offered in load_rules().rules]
    before = review_text(text, rules, basis=basis)
    assert not before.problems
    assert not before.faults
    errors = {finding.fingerprint for finding in before.findings if finding.level == "error"}
    done = []
    for finding in before.findings:
        remedy = finding.answer.remedy
        if finding.rule_id != rule.id or remedy is None or not remedy.changes:
            continue
        after = review_text(mended(text, remedy, basis=basis), rules, basis=basis)
        assert not after.problems
        assert not after.faults
        left = {other.fingerprint: other for other in after.findings}
        assert finding.fingerprint not in left, f"{finding.answer.message}: {remedy.text}"
        new = [
            other.answer.message
            for key, other in left.items()
            if other.level == "error" and key not in errors
        ]
        assert not new, new
        done.append(finding.check.name)
    return done
