"""Open answers gathered by what is missing, so that one more visit to site clears many of them."""

from collections.abc import Iterable
from typing import NamedTuple

from riserlint.analysis.loads import JOINT_SOLUTION
from riserlint.design.paths import Path, path_text
from riserlint.review.findings import Finding


class Gap(NamedTuple):
    """One thing that is not known, of one kind of thing: which things lack it, and the answers that turn on it."""

    what: str
    things: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def checks(self) -> tuple[str, ...]:
        """The checks that can't be told without it."""
        return tuple(sorted({finding.name for finding in self.findings}))


def gaps_of(findings: Iterable[Finding]) -> tuple[Gap, ...]:
    """Return what is missing, that on which most answers turn first.

    An answer counts for each thing that it misses. Answers that name nothing missing are gathered by their check.
    """
    things: dict[str, dict[str, None]] = {}
    turning: dict[str, list[Finding]] = {}
    for finding in findings:
        named = set()
        for path in finding.answer.missing:
            what, thing = _named(path)
            things.setdefault(what, {})[thing] = None
            named.add(what)
        if not named:
            what = finding.name
            things.setdefault(what, {})[finding.subject] = None
            named.add(what)
        for what in named:
            turning.setdefault(what, []).append(finding)
    gaps = [Gap(what, tuple(things[what]), tuple(turning[what])) for what in things]
    return tuple(sorted(gaps, key=lambda gap: (-len(gap.findings), gap.what)))


def kinds_of(paths: Iterable[Path]) -> tuple[tuple[str, int], ...]:
    """Return the kinds of what is missing, each with the number of things that lack it, the most first."""
    things: dict[str, set[str]] = {}
    for path in paths:
        what, thing = _named(path)
        things.setdefault(what, set()).add(thing)
    return tuple(
        sorted(((what, len(of)) for what, of in things.items()), key=lambda kind: (-kind[1], kind[0]))
    )


def _named(path: Path) -> tuple[str, str]:
    """Return the kind of thing with the key that is missing, and the thing."""
    kind = str(path[0])
    if kind == JOINT_SOLUTION:  # nothing to be found on site: the chain as a whole is not solved yet
        return "joint solution of the chain", path_text(path[1:2])
    keys = ".".join(str(part) for part in path[2:] if not isinstance(part, int))
    return f"{kind}.{keys}" if keys else kind, path_text(path[1:2]) if len(path) > 1 else kind
