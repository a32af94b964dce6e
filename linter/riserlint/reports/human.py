"""The punch list: a review as a person reads it, at any width, with or without colour."""

from collections.abc import Iterator
from typing import Final

from rich.cells import cell_len, chop_cells
from rich.console import Console
from rich.segment import Segment, Segments

from riserlint.design.paths import path_text
from riserlint.design.problems import Problem
from riserlint.design.sources import Location
from riserlint.reports.cautions import CAUTIONS, NOT_REVIEWED
from riserlint.reports.gathered import gaps_of
from riserlint.reports.lines import broken
from riserlint.reports.text import clause_words, counted, number, plain
from riserlint.review.findings import DesignReview, ExitStatus, Finding, Review
from riserlint.review.plugins import Fault

_STYLES: Final = {
    "error": "bold red",
    "warning": "yellow",
    "note": "cyan",
    "review": "magenta",
    "open": "blue",
}
_LABEL: Final = 10
_INDENT: Final = 4
_FEW: Final = 6
_NARROWEST: Final = 40


#: A piece of a line: a text, plain or with a style.
_Piece = str | tuple[str, str]
#: Pieces that are handed to the console at once: it takes much longer over each line by itself.
_BATCH: Final = 2_000


class _Page:
    """Writes lines of one report, wrapped to its width by us: a location is never broken."""

    def __init__(self, console: Console) -> None:
        self.console = console
        self.width = max(_NARROWEST, console.width)
        self._pieces: list[_Piece] = []

    def line(self, *pieces: _Piece) -> None:
        """Write one line as it is, however long."""
        self._pieces.extend(pieces)
        self._pieces.append("\n")
        if len(self._pieces) > _BATCH:
            self.flush()

    def flush(self) -> None:
        """Hand to the console what has been written; whatever a text holds, it is no markup."""
        segments = [
            Segment(piece) if isinstance(piece, str) else Segment(piece[0], self.console.get_style(piece[1]))
            for piece in self._pieces
        ]
        self.console.print(Segments(segments), soft_wrap=True, end="")
        self._pieces.clear()

    def wrapped(self, text: str, indent: int, style: str = "", hanging: int = 0) -> None:
        """Write a text over as many lines as it needs; those after the first stand ``hanging`` further in."""
        for position, line in enumerate(broken(plain(text), self.width - indent - hanging)):
            self.line(" " * (indent + (hanging if position else 0)), (line, style))

    def headed(self, *pieces: tuple[str, str]) -> None:
        """Write the head of a block: pieces of their own styles on one line, or one below the other."""
        safe = [(plain(text), style) for text, style in pieces]
        if sum(cell_len(text) for text, _ in safe) <= self.width - 2:
            self.line("  ", *safe)
            return
        for position, (text, style) in enumerate(piece for piece in safe if piece[0].strip()):
            self.wrapped(text.strip(), 4 if position else 2, style)

    def labelled(self, label: str, text: str, style: str = "") -> None:
        """Write a label and a text beside it."""
        indent = _INDENT + _LABEL
        for position, line in enumerate(broken(plain(text), self.width - indent)):
            head = " " * _INDENT + label.ljust(_LABEL) if position == 0 else " " * indent
            self.line((head, "dim"), (line, style))

    def location(self, label: str, location: Location, style: str = "") -> None:
        """Write a label and a place in a file on one line, however long: a location is never broken."""
        place = plain(f"{location.file}:{location.line}:{location.column}")
        self.line(" " * _INDENT, (label.ljust(_LABEL), "dim"), (place, style))

    def rule(self, title: str) -> None:
        """Write a heading with a stroke to the edge."""
        *before, last = broken(plain(title), self.width - 4)
        for line in before:
            self.line((line, "bold"))
        self.line((last, "bold"), " ", ("─" * (self.width - cell_len(last) - 1), "dim"))


def print_review(review: Review, console: Console) -> None:
    """Print a review to a console that is handed in; nothing else is read or written."""
    page = _Page(console)
    for position, design in enumerate(review.designs):
        if position:
            page.line()
        _design(page, review, design)
    _faults(page, review)
    page.line()
    _summary(page, review)
    _cautions(page)
    page.flush()


def _design(page: _Page, review: Review, design: DesignReview) -> None:
    page.rule(design.file)
    _title_block(page, review, design)
    if design.problems:
        page.line()
        count = counted(len(design.problems), "problem")
        page.headed(("NOT REVIEWED  ", "bold red"), (f"{count} of reading; no rule looked at it", "red"))
        for problem in design.problems:
            _problem(page, problem)
        return
    open_answers = [
        finding for finding in design.findings if finding.answer.kind == "open" and finding.counts
    ]
    listed = [finding for finding in design.findings if finding.answer.kind != "open" and finding.counts]
    accepted = [finding for finding in design.findings if not finding.counts]
    for finding in listed:
        page.line()
        _finding(page, review, design, finding)
    if not listed and design.reviewed:
        page.line()
        among = " among what could be told" if open_answers else ""
        page.headed(("Nothing to put right", "green"), (among, ""))
    for fault in design.faults:
        page.line()
        page.wrapped(
            f"NOT REVIEWED by {fault.plugin}{_source_of(fault)}: it {fault.message}", 2, "bold red", 2
        )
    if open_answers:
        _gaps(page, open_answers)
    if accepted:
        _accepted(page, accepted)


def _title_block(page: _Page, review: Review, design: DesignReview) -> None:
    block = design.title_block
    if block is None:
        return
    words = [block.title]
    if block.revision:
        words.append(f"revision {block.revision}")
    words.extend(word for word in (block.stage, block.date) if word)
    page.labelled("design", " · ".join(words), "bold")
    region = block.region or "not stated"
    editions = ", ".join(f"{text}: {edition}" for text, edition in block.editions)
    page.labelled(
        "region", f"{region}; editions: {editions}" if editions else f"{region}; no editions stated"
    )
    page.labelled("basis", block.basis or "none")
    for name, digest in block.files:
        page.labelled("file", f"{name}  sha256 {digest[:16]}")
    page.labelled("reviewed", f"{review.today.isoformat()} by riserlint {review.version}")


def _finding(page: _Page, review: Review, design: DesignReview, finding: Finding) -> None:
    answer = finding.answer
    word = finding.level if answer.kind == "fail" else answer.kind
    style = _STYLES[word]
    stops = "  STOPS RELEASE" if review.holding(finding, design) else ""
    page.headed(
        (word.upper().ljust(9), style), (finding.name, "bold"), (f"  {finding.subject}", ""), (stops, style)
    )
    held = finding.held_against
    memory = held is not None and held.known == "memory" and finding.level == "error"
    page.wrapped(answer.message + (" (limit from memory)" if memory else ""), _INDENT)
    page.location("at", finding.location, "bold")
    _source_line(page, finding.location)
    if answer.working:
        page.labelled("working", answer.working)
    if answer.margin is not None and answer.limit is not None and answer.value is not None:
        unit = f" {answer.unit}" if answer.unit else ""
        page.labelled(
            "margin",
            f"{number(answer.margin)}{unit} (is {number(answer.value)}, limit {number(answer.limit)})",
        )
    if answer.remedy is not None:
        page.labelled("mend", answer.remedy.text, "green")
    if answer.turns:
        page.labelled("turns", answer.turns)
    clauses = clause_words(finding)
    if clauses:
        page.labelled("clause", "; ".join(clauses))
    if finding.stated:
        page.labelled("rests on", "; ".join(finding.stated))
    if finding.assumed:
        page.labelled("assumed", f"by the basis: {', '.join(finding.assumed)}")
    for place in finding.related[:_FEW]:
        page.location("see", place.location)
        page.labelled("", f"{path_text(place.path)}: {place.message}")
    if len(finding.related) > _FEW:
        page.labelled("see", f"and {counted(len(finding.related) - _FEW, 'more place')}")
    page.labelled("item", finding.fingerprint[:8], "dim")


def _source_line(page: _Page, location: Location) -> None:
    """Write the line of the file, cut round the value to fit, with the value set off by marks of our own."""
    source = location.source_line
    start = location.column - 1
    end = len(source) if location.end_line > location.line else max(location.end_column - 1, start)
    value = plain(source[start:end])
    before, after = plain(source[:start]).lstrip(), plain(source[end:]).rstrip()
    room = page.width - _INDENT - _LABEL - 2
    value = _head_of(value, room)
    room -= cell_len(value)
    left = max(room // 2, room - cell_len(after))
    before = _tail_of(before, left)
    after = _head_of(after, room - cell_len(before))
    page.line(" " * (_INDENT + _LABEL), (before, "dim"), (f"›{value}‹", "bold"), (after, "dim"))


def _head_of(text: str, room: int) -> str:
    """Return the beginning of a text that fits into a number of cells, with a mark where something is cut off."""
    if cell_len(text) <= room:
        return text
    return f"{chop_cells(text, room - 1)[0]}…" if room > 2 else "…"[:room]


def _tail_of(text: str, room: int) -> str:
    """Return the end of a text that fits into a number of cells, with a mark where something is cut off."""
    return _head_of(text[::-1], room)[::-1]


def _problem(page: _Page, problem: Problem) -> None:
    place = f"{problem.file}:{problem.line}:{problem.column}" if problem.line else problem.file
    page.line("  ", (plain(place), "bold"))
    where = f"{path_text(problem.path)}: " if problem.path else ""
    page.wrapped(f"{where}{problem.message}", _INDENT)


def _gaps(page: _Page, findings: list[Finding]) -> None:
    page.line()
    count = counted(len(findings), "answer")
    page.headed(("CANNOT TELL  ", "bold blue"), (f"{count}, by what is not known", ""))
    for gap in gaps_of(findings):
        things = ", ".join(gap.things[:_FEW])
        if len(gap.things) > _FEW:
            things += f" and {len(gap.things) - _FEW} more"
        turns = sorted({finding.answer.turns for finding in gap.findings if finding.answer.turns})
        hint = f"; {turns[0]}" if len(turns) == 1 else f"; {turns[0]}, {turns[1]}" if len(turns) == 2 else ""
        answers = "answer turns" if len(gap.findings) == 1 else "answers turn"
        checks = ", ".join(sorted({name.partition("/")[0] for name in gap.checks}))
        said = f"{gap.what} of {things}: {len(gap.findings):,} {answers} on it ({checks}){hint}"
        page.wrapped(said, _INDENT, hanging=2)


def _accepted(page: _Page, findings: list[Finding]) -> None:
    page.line()
    page.line("  ", ("ACCEPTED BY VARIANCE", "bold"))
    for finding in findings:
        variance = finding.variance
        assert variance is not None
        until = f" until {variance.until.isoformat()}" if variance.until is not None else ", without an end"
        text = (
            f"{finding.name} {finding.subject}: {variance.reason} (granted by {variance.granted_by}{until})"
        )
        page.wrapped(text, _INDENT, hanging=2)


def _source_of(fault: Fault) -> str:
    return f" ({fault.distribution})" if fault.distribution else ""


def _faults(page: _Page, review: Review) -> None:
    for fault in review.faults:
        page.line()
        page.wrapped(f"PLUGIN  {fault.plugin}{_source_of(fault)} {fault.message}", 0, "bold red", 2)
    for wrong in review.not_found:
        page.line()
        page.wrapped(f"NOT FOUND  {wrong}", 0, "bold red", 2)


def _summary(page: _Page, review: Review) -> None:
    page.rule("Summary")
    counts = {
        "error": 0,
        "warning": 0,
        "note": 0,
        "open": 0,
        "review": 0,
        "accepted": 0,
        "holding": 0,
        "pass": 0,
    }
    for design in review.designs:
        counts["pass"] += design.passed_count
        for finding in design.findings:
            if not finding.counts:
                counts["accepted"] += 1
                continue
            counts[finding.level if finding.answer.kind == "fail" else finding.answer.kind] += 1
            counts["holding"] += review.holding(finding, design)
    read = sum(1 for design in review.designs if not design.problems)
    of = "" if read == len(review.designs) else f"{read:,} of "
    page.labelled(
        "reviewed", f"{of}{counted(len(review.designs), 'design')} by {counted(len(review.rules), 'rule')}"
    )
    page.labelled(
        "found",
        f"{counted(counts['error'], 'error')}, {counted(counts['warning'], 'warning')}, "
        f"{counted(counts['note'], 'note')}, {counts['review']:,} to be looked at",
    )
    page.labelled("open", f"{counts['open']:,} cannot tell")
    page.labelled("accepted", f"{counts['accepted']:,} by variance")
    page.labelled("passed", f"{counts['pass']:,}")
    page.labelled("outside", f"not reviewed at all: {', '.join(NOT_REVIEWED)}")
    for text, style in _results(review, counts["holding"]):
        page.labelled("result", text, style)


def _results(review: Review, holding: int) -> Iterator[tuple[str, str]]:
    """Yield what comes out of it; that something could not be reviewed comes before all else."""
    missed = [design.file for design in review.designs if not design.reviewed]
    if review.faults:
        missed.append(f"{counted(len(review.faults), 'fault')} of plugins")
    if review.not_found:
        missed.append(f"{counted(len(review.not_found), 'path')} without a design")
    if missed:
        yield f"not all could be reviewed: {', '.join(missed)}", "bold red"
    if holding:
        open_too = any(design.holds_on_open for design in review.designs)
        what = counted(holding, "answer" if open_too else "finding")
        stop = "stops" if holding == 1 else "stop"
        yield f"held at the hold point ({review.hold_at}): {what} {stop} release", "bold red"
    elif review.exit_status is ExitStatus.CLEAR:
        yield f"nothing stops release (hold point: {review.hold_at})", "bold green"


def _cautions(page: _Page) -> None:
    page.line()
    page.rule("Cautions")
    for caution in CAUTIONS:
        page.wrapped(f"- {caution}", 2, "dim", 2)
