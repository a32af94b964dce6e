"""The review as SARIF 2.1.0: results streamed one at a time, worst first, within a code host's limits."""

import gzip
from functools import cache
from typing import Any, Final
from urllib.parse import quote

import attr
import sarif_om as om

from riserlint.design.paths import Path, path_text
from riserlint.design.problems import Problem
from riserlint.design.sources import Location
from riserlint.reports.cautions import CAUTIONS, NOT_REVIEWED
from riserlint.reports.sarif_rules import Taxa, descriptors_of, sentence
from riserlint.reports.text import clause_words, compact_json
from riserlint.review.findings import DesignReview, Finding, Review
from riserlint.review.plugins import Fault
from riserlint.review.variances import RULE as VARIANCE_RULE

SCHEMA_URI: Final = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
#: Relative URIs of a log are relative to the repository that the designs are in, else to a design's root.
BASE_ID: Final = "ROOT"
#: A code host's limits on an upload, from memory: results of a run, and bytes of the gzip-packed log.
MOST_RESULTS: Final = 25_000
MOST_PACKED_BYTES: Final = 10_000_000
#: Related places of one result, and notifications of one run, that are written out; the rest is counted.
MOST_RELATED: Final = 100
MOST_NOTIFICATIONS: Final = 1_000
_FINGERPRINT: Final = "riserlint/v1"


class _Plain(dict[str, Any]):
    """A value that is JSON as it is."""


_PLAIN: Final = frozenset({str, int, float, bool, _Plain})


def sarif_text(
    review: Review, *, most_results: int = MOST_RESULTS, most_bytes: int = MOST_PACKED_BYTES
) -> str:
    """Return a review as one SARIF log; what does not fit is counted in a notification.

    Results are in one order over all designs: open business before what a variance covers, then worst first. At most
    ``most_results`` are written, and no more than keep the gzip-packed log within ``most_bytes``.

    Raises:
        ValueError: a number is not finite.
    """
    rules = [offered.rule for offered in review.rules]
    if any(finding.rule_id == VARIANCE_RULE.id for design in review.designs for finding in design.findings):
        rules = [*rules, VARIANCE_RULE]
    taxa = Taxa()
    index_of: dict[str, int] = {}
    descriptors: list[om.ReportingDescriptor] = []
    for rule in rules:
        for descriptor in descriptors_of(rule, taxa):
            index_of[descriptor.id] = len(descriptors)
            descriptors.append(descriptor)
    findings = sorted(
        (finding for design in review.designs for finding in design.findings),
        key=lambda finding: (not finding.counts, finding.sort_key()),
    )
    lines = [_dumps(_result(finding, index_of, taxa)) for finding in findings[:most_results]]
    while True:
        text = _log(review, descriptors, taxa, lines, len(findings) - len(lines))
        packed = _packed_size(text, most_bytes)
        if packed <= most_bytes or not lines:
            return text
        # Results pack about alike; what their share misses is caught by the next round.
        lines = lines[: min(len(lines) - 1, int(len(lines) * most_bytes / packed * 0.98))]


def _packed_size(text: str, enough: int) -> int:
    raw = text.encode("utf-8")
    return len(raw) if len(raw) <= enough else len(gzip.compress(raw, mtime=0))


def _log(
    review: Review, descriptors: list[om.ReportingDescriptor], taxa: Taxa, lines: list[str], left_out: int
) -> str:
    run = om.Run(
        tool=om.Tool(
            driver=om.ToolComponent(
                name="riserlint",
                semantic_version=review.version,
                version=review.version,
                rules=descriptors,
                notifications=[
                    om.ReportingDescriptor(id=name, short_description=om.MultiformatMessageString(text=words))
                    for name, words in _NOTIFICATIONS.items()
                ],
                supported_taxonomies=taxa.references(),
            )
        ),
        column_kind="utf16CodeUnits",
        original_uri_base_ids={
            BASE_ID: om.ArtifactLocation(
                description=om.Message(
                    text="The repository of the designs; without one the folder with basis.toml, else the design's own."
                )
            )
        },
        artifacts=_artifacts(review),
        taxonomies=taxa.components(),
        invocations=[_invocation(review, left_out)],
        properties=_properties(review),
    )
    head = _dumps(run)
    results = '"results":[' + ("\n" + ",\n".join(lines) + "\n" if lines else "") + "]"
    body = f"{head[:-1]},\n{results}}}"
    return f'{{"$schema":"{SCHEMA_URI}","version":"2.1.0","runs":[\n{body}\n]}}\n'


def _artifacts(review: Review) -> list[om.Artifact]:
    files = {
        name: digest
        for design in review.designs
        if design.title_block is not None
        for name, digest in design.title_block.files
    }
    return [
        om.Artifact(location=_artifact(name), hashes={"sha-256": digest}, roles=["analysisTarget"])
        for name, digest in sorted(files.items())
    ]


# -- serialising -------------------------------------------------------------------------------------------------


@cache
def _plan(cls: Any) -> tuple[tuple[str, str, object, bool], ...]:
    """Return, for a class of the object model, how each attribute is written: name, key, default, always kept.

    ``level`` is always kept: where it is absent, SARIF takes the rule's own default. ``Suppression.state`` is a slip
    of the object model: the standard's key is ``status``.
    """
    plan = []
    for field in attr.fields(cls):
        slip = (cls, field.name) == (om.Suppression, "state")
        key = "status" if slip else field.metadata["schema_property_name"]
        default = field.default.factory() if isinstance(field.default, attr.Factory) else field.default  # type: ignore[arg-type]
        plan.append((field.name, key, default, default is attr.NOTHING or key == "level"))
    return tuple(plan)


def _to_json(value: Any) -> Any:
    cls = type(value)
    if cls in _PLAIN:
        return value
    if cls is dict:
        return {key: _to_json(item) for key, item in value.items()}
    if cls is list or cls is tuple:
        return [_to_json(item) for item in value]
    if not attr.has(cls):
        return value  # a plain value of a class of its own, which the encoder takes as what it is
    out: dict[str, Any] = {}
    for name, key, default, keep in _plan(cls):
        item = getattr(value, name)
        if item is not None and (keep or item != default):
            out[key] = _to_json(item)
    return out


def _dumps(value: Any) -> str:
    return compact_json(_to_json(value))


# -- results -----------------------------------------------------------------------------------------------------


def _result(finding: Finding, index_of: dict[str, int], taxa: Taxa) -> om.Result:
    answer = finding.answer
    cited = list(dict.fromkeys(finding.citations))
    variance = finding.variance
    # The same place twice is invalid, and places beyond those that anybody looks at make logs large.
    places = list(dict.fromkeys(finding.related))
    related = [_location(place.location, place.path, place.message) for place in places[:MOST_RELATED]]
    # Either every result of a run says whether it is suppressed, or none does.
    suppressions = []
    if variance is not None:
        until = f", until {variance.until.isoformat()}" if variance.until is not None else ""
        justification = f"{variance.reason} (granted by {variance.granted_by}{until})"
        suppressions = [om.Suppression(kind="external", state="accepted", justification=justification)]
    return om.Result(
        rule_id=finding.name,
        rule_index=index_of[finding.name],
        kind=answer.kind,
        level=finding.level,
        message=om.Message(text=_message(finding)),
        locations=[_location(finding.location, answer.subject, None)],
        related_locations=related or None,
        partial_fingerprints={_FINGERPRINT: finding.fingerprint},
        taxa=[taxa.reference(citation) for citation in cited] or None,
        suppressions=suppressions,
        fixes=_fixes(finding),
        properties=_result_properties(finding, len(places) - len(related)),
    )


def _fixes(finding: Finding) -> list[om.Fix] | None:
    """Return the remedy as edits, for an editor or a code host to carry out; None where it is words only."""
    remedy = finding.answer.remedy
    if remedy is None or not finding.edits:
        return None
    by_file: dict[str, list[om.Replacement]] = {}
    for edit in finding.edits:
        replacement = om.Replacement(
            deleted_region=_region(edit.location), inserted_content=om.ArtifactContent(text=edit.text)
        )
        by_file.setdefault(edit.location.file, []).append(replacement)
    changes = [
        om.ArtifactChange(artifact_location=_artifact(file), replacements=replacements)
        for file, replacements in by_file.items()
    ]
    return [om.Fix(description=om.Message(text=sentence(remedy.text)), artifact_changes=changes)]


def _message(finding: Finding) -> str:
    answer = finding.answer
    held = answer.held_against
    memory = held is not None and held.known == "memory" and finding.level == "error"
    parts = [f"{answer.message.removesuffix('.')}{' (limit from memory)' if memory else ''}."]
    if answer.working:
        parts.append(f"Working: {answer.working}.")
    if answer.remedy is not None:
        parts.append(f"To mend it: {answer.remedy.text.removesuffix('.')}.")
    if answer.turns:
        parts.append(f"It {answer.turns}.")
    if finding.citations:
        parts.append(f"Clause: {'; '.join(clause_words(finding))}.")
    if finding.assumed:
        parts.append(f"Assumed by the basis: {', '.join(finding.assumed)}.")
    return " ".join(parts)


def _result_properties(finding: Finding, related_left_out: int) -> dict[str, Any]:
    answer = finding.answer
    properties: dict[str, Any] = {"at": path_text(answer.at)}
    if related_left_out:
        properties["relatedLeftOut"] = related_left_out
    for key in ("value", "limit", "margin"):
        number = getattr(answer, key)
        if number is not None:
            properties[key] = number
    if answer.unit:
        properties["unit"] = answer.unit
    if answer.held_against is not None:
        properties["known"] = answer.held_against.known
    if answer.missing:
        properties["missing"] = [path_text(path) for path in answer.missing]
    if answer.remedy is not None and answer.remedy.changes:
        properties["changes"] = [
            _Plain({"at": path_text(change.at), "value": change.value}) for change in answer.remedy.changes
        ]
    return properties


def _location(location: Location, path: Path, message: str | None) -> om.Location:
    logical = om.LogicalLocation(fully_qualified_name=path_text(path), name=str(path[-1]), kind=str(path[0]))
    return om.Location(
        physical_location=om.PhysicalLocation(
            artifact_location=_artifact(location.file), region=_region(location)
        ),
        logical_locations=[logical],
        message=None if message is None else om.Message(text=message),
    )


def _region(location: Location) -> om.Region:
    return om.Region(
        start_line=location.line,
        start_column=location.utf16_column,
        end_line=location.end_line,
        end_column=location.utf16_end_column,
    )


def _artifact(file: str) -> om.ArtifactLocation:
    return om.ArtifactLocation(uri=quote(file.encode("utf-8", "surrogateescape")), uri_base_id=BASE_ID)


# -- the run -----------------------------------------------------------------------------------------------------

_NOTIFICATIONS: Final = {
    "design-unreadable": "A design could not be read; no rule looked at it.",
    "rule-crashed": "A rule crashed; what it would have said is not known.",
    "plugin-not-loaded": "A plugin could not be loaded; its rules did not run.",
    "not-found": "A path gave nothing to review.",
    "results-left-out": "Results that did not fit into the log were counted only.",
    "notifications-left-out": "Notifications that did not fit into the log were counted only.",
    "not-reviewed": "What no rule of this review looks at.",
    "cautions": "The usual cautions.",
}
_NOTIFICATION_INDEX: Final = {name: index for index, name in enumerate(_NOTIFICATIONS)}


def _invocation(review: Review, left_out: int) -> om.Invocation:
    notifications = [_notification("not-found", "error", wrong) for wrong in review.not_found]
    for design in review.designs:
        notifications.extend(
            _notification("rule-crashed", "error", f"{design.file}: {_fault_words(fault)}")
            for fault in design.faults
        )
    for design in review.designs:
        notifications.extend(_of_problem(problem) for problem in design.problems)
    beyond = len(notifications) - MOST_NOTIFICATIONS
    if beyond > 0:
        del notifications[MOST_NOTIFICATIONS:]
        text = f"{beyond:,} more problems of reading were left out; the JSON report has them all."
        notifications.append(_notification("notifications-left-out", "error", text))
    if left_out:
        text = f"{left_out:,} more results, none worse than those in this log, were left out to keep it within limits."
        notifications.append(_notification("results-left-out", "warning", text))
    notifications.append(
        _notification("not-reviewed", "note", f"Not reviewed at all: {', '.join(NOT_REVIEWED)}.")
    )
    notifications.append(_notification("cautions", "note", " ".join(CAUTIONS)))
    configuration = [
        _notification("plugin-not-loaded", "error", _fault_words(fault)) for fault in review.faults
    ]
    status = review.exit_status
    return om.Invocation(
        execution_successful=int(status) != 2,
        exit_code=int(status),
        tool_execution_notifications=notifications,
        tool_configuration_notifications=configuration or None,
    )


def _fault_words(fault: Fault) -> str:
    source = f" ({fault.distribution})" if fault.distribution else ""
    return f"{fault.plugin}{source} {fault.message}"


def _notification(name: str, level: str, text: str) -> om.Notification:
    return om.Notification(
        descriptor=om.ReportingDescriptorReference(id=name, index=_NOTIFICATION_INDEX[name]),
        level=level,
        message=om.Message(text=text),
    )


def _of_problem(problem: Problem) -> om.Notification:
    notification = _notification("design-unreadable", "error", problem.message)
    physical = om.PhysicalLocation(artifact_location=_artifact(problem.file))
    if problem.line:
        physical.region = om.Region(start_line=problem.line, start_column=problem.utf16_column or None)
    name = path_text(problem.path)
    logical = [om.LogicalLocation(fully_qualified_name=name)] if name else None
    notification.locations = [om.Location(physical_location=physical, logical_locations=logical)]
    return notification


def _properties(review: Review) -> dict[str, Any]:
    return {
        "today": review.today.isoformat(),
        "holdAt": review.hold_at,
        "designs": [_design_properties(design) for design in review.designs],
    }


def _design_properties(design: DesignReview) -> dict[str, Any]:
    block = design.title_block
    properties: dict[str, Any] = {
        "file": design.file,
        "reviewed": design.reviewed,
        "passed": design.passed_count,
    }
    if block is not None:
        for key in ("title", "revision", "stage", "region", "date", "basis"):
            value = getattr(block, key)
            if value is not None:
                properties[key] = value
        properties["files"] = [{"name": name, "sha256": digest} for name, digest in block.files]
    return properties
