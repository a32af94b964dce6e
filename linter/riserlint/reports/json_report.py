"""The review as JSON: a documented, versioned structure; its schema is made from :mod:`.json_models`."""

from typing import Any, Final

from riserlint.design.paths import path_text
from riserlint.design.problems import Problem
from riserlint.design.sources import Location
from riserlint.reports.cautions import CAUTIONS, NOT_REVIEWED
from riserlint.reports.gathered import gaps_of
from riserlint.reports.text import compact_json as _compact
from riserlint.review.findings import DesignReview, Finding, Review, TitleBlock
from riserlint.review.plugins import Fault
from riserlint.standards.record import Citation, Limit

#: The version of the structure (SemVer): a key that goes or changes its meaning raises the first number.
FORMAT_VERSION: Final = "1.0.0"


def json_text(review: Review) -> str:
    """Return a review as JSON: one line for each finding and each group of passes, the rest indented by hand.

    The compact encoder is used for each item: an indenting one leaves the fast path and costs several times as much.

    Raises:
        ValueError: a number is not finite.
    """
    designs = [_design_text(review, design) for design in review.designs]
    head = {
        "format_version": FORMAT_VERSION,
        "tool": {"name": "riserlint", "version": review.version},
        "today": review.today.isoformat(),
        "hold_at": review.hold_at,
        "exit_status": int(review.exit_status),
        "rules": [
            {"id": offered.rule.id, "title": offered.rule.title, "distribution": offered.distribution}
            for offered in review.rules
        ],
        "faults": [_fault(fault) for fault in review.faults],
        "not_found": list(review.not_found),
        "not_reviewed": list(NOT_REVIEWED),
        "cautions": list(CAUTIONS),
    }
    lines = [f"{_compact(key)}:{_compact(value)}" for key, value in head.items()]
    return "{" + ",\n".join(lines) + ',\n"designs":[\n' + ",\n".join(designs) + "\n]}\n"


def _design_text(review: Review, design: DesignReview) -> str:
    head = {
        "file": design.file,
        "title_block": title_block_data(design.title_block),
        "reviewed": design.reviewed,
        "problems": [_problem(problem) for problem in design.problems],
        "faults": [_fault(fault) for fault in design.faults],
        "counts": _counts(review, design),
    }
    lines = [f"{_compact(key)}:{_compact(value)}" for key, value in head.items()]
    findings = ",\n".join(_compact(_finding(review, design, finding)) for finding in design.findings)
    open_answers = [
        finding for finding in design.findings if finding.answer.kind == "open" and finding.counts
    ]
    gaps = ",\n".join(
        _compact(
            {
                "what": gap.what,
                "things": list(gap.things),
                "answers": len(gap.findings),
                "checks": list(gap.checks),
            }
        )
        for gap in gaps_of(open_answers)
    )
    passes = ",\n".join(
        _compact({"check": group.name, "subjects": list(group.subjects)}) for group in design.passes
    )
    skipped = ",\n".join(
        _compact({"check": name, "why": why, "subjects": subjects})
        for (name, why), subjects in _not_applicable(design).items()
    )
    for key, text in (
        ("findings", findings),
        ("gaps", gaps),
        ("passes", passes),
        ("not_applicable", skipped),
    ):
        lines.append(f"{_compact(key)}:[{text}]" if not text else f"{_compact(key)}:[\n{text}\n]")
    return "{" + ",\n".join(lines) + "}"


def _not_applicable(design: DesignReview) -> dict[tuple[str, str], list[str]]:
    groups: dict[tuple[str, str], list[str]] = {}
    for skipped in design.not_applicable:
        groups.setdefault((skipped.name, skipped.why), []).append(skipped.subject)
    return groups


def _counts(review: Review, design: DesignReview) -> dict[str, int]:
    counts = dict.fromkeys(("error", "warning", "note", "open", "review", "accepted", "holding"), 0)
    for finding in design.findings:
        if not finding.counts:
            counts["accepted"] += 1
            continue
        counts[finding.level if finding.answer.kind == "fail" else finding.answer.kind] += 1
        counts["holding"] += review.holding(finding, design)
    counts["pass"] = design.passed_count
    counts["not_applicable"] = len(design.not_applicable)
    return counts


def title_block_data(block: TitleBlock | None) -> dict[str, Any] | None:
    """Return a title block as plain values."""
    if block is None:
        return None
    return {
        "title": block.title,
        "revision": block.revision,
        "stage": block.stage,
        "region": block.region,
        "date": block.date,
        "basis": block.basis,
        "editions": dict(block.editions),
        "files": [{"name": name, "sha256": digest} for name, digest in block.files],
    }


def _finding(review: Review, design: DesignReview, finding: Finding) -> dict[str, Any]:
    answer = finding.answer
    variance = finding.variance
    return {
        "rule": finding.rule_id,
        "check": finding.check.name,
        "kind": answer.kind,
        "level": finding.level,
        "holds": review.holding(finding, design),
        "subject": finding.subject,
        "at": path_text(answer.at),
        "location": _location(finding.location),
        "message": answer.message,
        "value": answer.value,
        "limit": answer.limit,
        "unit": answer.unit,
        "margin": answer.margin,
        "held_against": None if answer.held_against is None else _limit(answer.held_against),
        "citations": [_citation(citation) for citation in finding.citations],
        "working": answer.working,
        "related": [
            {"at": path_text(place.path), "location": _location(place.location), "message": place.message}
            for place in finding.related
        ],
        "remedy": None
        if answer.remedy is None
        else {
            "text": answer.remedy.text,
            "changes": [
                {"at": path_text(change.at), "value": change.value} for change in answer.remedy.changes
            ],
        },
        "missing": [path_text(path) for path in answer.missing],
        "turns": answer.turns,
        "stated": list(finding.stated),
        "assumed": list(finding.assumed),
        "fingerprint": finding.fingerprint,
        "variance": None
        if variance is None
        else {
            "reason": variance.reason,
            "granted_by": variance.granted_by,
            "until": None if variance.until is None else variance.until.isoformat(),
        },
    }


def _location(location: Location) -> dict[str, Any]:
    return {
        "file": location.file,
        "line": location.line,
        "column": location.column,
        "end_line": location.end_line,
        "end_column": location.end_column,
    }


def _limit(limit: Limit) -> dict[str, Any]:
    return {
        "name": limit.name,
        "value": limit.value,
        "unit": limit.unit,
        "citation": str(limit.citation),
        "known": limit.known,
        "source": limit.source,
        "note": limit.note,
    }


def _citation(citation: Citation) -> dict[str, str]:
    return {"text": citation.text, "edition": citation.edition, "clause": citation.clause}


def _problem(problem: Problem) -> dict[str, Any]:
    return {
        "file": problem.file,
        "line": problem.line,
        "column": problem.column,
        "at": path_text(problem.path),
        "message": problem.message,
    }


def _fault(fault: Fault) -> dict[str, str]:
    return {"plugin": fault.plugin, "distribution": fault.distribution, "message": fault.message}
