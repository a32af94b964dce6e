"""The command line: arguments in, a report out, an exit status."""

import argparse
import contextlib
import gc
import sys
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn, TextIO

from riserlint.version import VERSION

if TYPE_CHECKING:
    from rich.console import Console

    from riserlint.analysis.schedules.schedule import Schedule
    from riserlint.analysis.schedules.tables import Table
    from riserlint.review.findings import Review
    from riserlint.review.opening import Opened

#: Columns of a human report in a file, which has no width of its own.
_FILE_WIDTH = 100

_EXAMPLES = """\
examples:
  riserlint review designs/                      every design in a folder
  riserlint review pool.toml --hold-at warning   warnings stop release too
  riserlint review . --format sarif --output review.sarif
  riserlint review as-found.toml --today 2026-11-25
  riserlint cite                                 all rules with their clauses
  riserlint cite channel-length                  one rule: formulas and limits

exit status:
  0  nothing stops release
  1  a finding at or above the hold point stops release (or an open answer,
     where the basis holds on those)
  2  something could not be reviewed; everything else is still reported

This is a check of stated numbers, no approval: the local code, the authority
having jurisdiction and licensed practice decide.
"""

_SCHEDULE_EXAMPLES = """\
examples:
  riserlint schedule pool.toml                         all tables
  riserlint schedule pool.toml --table switches        one table
  riserlint schedule pool.toml --format csv --output pool.csv
  riserlint schedule pool.toml --volts nominal --load typical

exit status:
  0  the tables were printed
  2  the design can't be read, or there is no such table
"""


def command() -> NoReturn:
    """Run the command as a process of its own, and leave with its exit status."""
    gc.disable()
    status = main()
    gc.freeze()  # all goes with the process: a last collection would walk the whole design to free it piece by piece
    raise SystemExit(status)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status."""
    options = _parser().parse_args(arguments)
    try:
        if options.command == "schedule":
            return _schedule(options)
        return _cite(options.rule) if options.command == "cite" else _review(options)
    except Exception:
        # Status 1 would say that findings hold; nothing is known of them.
        import traceback

        traceback.print_exc()
        return 2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="riserlint",
        allow_abbrev=False,
        description="Reviews TOML designs of centrally powered low-voltage networks against the\nstandards.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"riserlint {VERSION}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    review = commands.add_parser(
        "review",
        help="review designs",
        allow_abbrev=False,
        description="Reviews design files, folders of designs, or every design that uses a named\nbasis or parts file.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    review.add_argument(
        "paths", nargs="+", type=_path, metavar="PATH", help="a design, or a folder with designs"
    )
    review.add_argument(
        "--format", choices=("human", "json", "sarif"), default="human", help="form of the report (human)"
    )
    review.add_argument(
        "--output", type=_path, metavar="FILE", help="write the report there, whole or not at all"
    )
    review.add_argument(
        "--hold-at",
        choices=("error", "warning", "note"),
        default="error",
        help="hold point: the level from which a finding stops release (error)",
    )
    review.add_argument(
        "--designs-only",
        action="store_true",
        help="pass over files that are no design and no basis or parts file of one (for hooks)",
    )
    review.add_argument(
        "--today",
        type=_date,
        metavar="DATE",
        help="the day on which variances and batteries are judged, as 2026-11-25 (the clock's)",
    )
    schedule = commands.add_parser(
        "schedule",
        help="print the computed tables of one design",
        allow_abbrev=False,
        description="Prints the computed tables of one design: power, cables, heat, network, outage.",
        epilog=_SCHEDULE_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    schedule.add_argument("design", type=_path, metavar="DESIGN", help="a design file")
    schedule.add_argument(
        "--format", choices=("human", "json", "csv"), default="human", help="form of the tables (human)"
    )
    schedule.add_argument(
        "--table",
        action="append",
        dest="tables",
        metavar="NAME",
        help="only this table (again for more); the names stand beside the titles; endpoint-reach comes only so",
    )
    schedule.add_argument(
        "--volts",
        choices=("least", "nominal"),
        default="least",
        help="voltage of the sources (least, which limits are judged at)",
    )
    schedule.add_argument(
        "--load",
        choices=("maximum", "typical", "day", "night", "start"),
        default="maximum",
        help="draw of the devices (maximum: the greatest of day, night and start)",
    )
    schedule.add_argument(
        "--output", type=_path, metavar="FILE", help="write the tables there, whole or not at all"
    )
    schedule.add_argument(
        "--today",
        type=_date,
        metavar="DATE",
        help="the day for which batteries have their age, as 2026-11-25 (the clock's)",
    )
    cite = commands.add_parser(
        "cite",
        help="show a rule's clauses, formulas and limits",
        allow_abbrev=False,
        description="Shows the rules, or one rule's checks with formulas, limits, clauses and how each is known.",
    )
    cite.add_argument(
        "rule", nargs="?", metavar="RULE", help="a rule or one of its checks, such as channel-length"
    )
    return parser


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        message = f"{text!r} is no date; expected one such as 2026-11-25"
        raise argparse.ArgumentTypeError(message) from None


def _path(text: str) -> Path:
    if not text:
        message = "an empty text is no path"
        raise argparse.ArgumentTypeError(message)
    return Path(text)


def _review(options: argparse.Namespace) -> int:
    from riserlint.review.engine import review_paths
    from riserlint.review.plugins import load_rules

    today: date = options.today or date.today()  # noqa: DTZ011 - the reader's own day is meant
    collects = gc.isenabled()
    gc.disable()  # models are many and live to the end: collecting while they are made costs a third of the time
    try:
        # What a plugin prints must not get between the lines of a report that another program reads.
        with contextlib.redirect_stdout(sys.stderr):
            review = review_paths(
                options.paths,
                load_rules(),
                today=today,
                hold_at=options.hold_at,
                version=VERSION,
                designs_only=options.designs_only,
            )
        return _written(lambda: _report(review, options), int(review.exit_status))
    finally:
        if collects:
            gc.enable()


def _schedule(options: argparse.Namespace) -> int:
    from riserlint.analysis.loads import Case
    from riserlint.analysis.schedules.schedule import SHOWN, TABLES, schedule_of
    from riserlint.design.problems import DesignUnreadable
    from riserlint.design.wording import nearest_of
    from riserlint.reports.writing import write_human_text
    from riserlint.review.opening import NotADesign, opened

    today: date = options.today or date.today()  # noqa: DTZ011 - the reader's own day is meant
    wrong = [name for name in options.tables or () if name not in TABLES]
    complaints = [f"there is no table {name}{nearest_of(name, list(TABLES))}" for name in wrong]
    if not complaints:
        try:
            design = opened(options.design, today)
        except NotADesign as error:
            complaints = [str(error)]
        except DesignUnreadable as error:
            complaints = [f"{p.file}:{p.line}:{p.column}: {p.message}" for p in error.problems]
        except OSError as error:
            complaints = [f"{options.design}: can't be looked at: {error.strerror or error}"]
    if complaints:
        if sys.stderr is not None:
            write_human_text("".join(f"riserlint: {line}\n" for line in complaints), sys.stderr)
        return 2
    wanted = frozenset(options.tables) if options.tables else SHOWN
    schedule = schedule_of(design.built, Case(options.volts, options.load, at_any_volts=True), wanted)
    return _written(lambda: _report_schedule(design, schedule, schedule.tables, options, today), 0)


def _report_schedule(
    design: "Opened",
    schedule: "Schedule",
    tables: tuple["Table", ...],
    options: argparse.Namespace,
    today: date,
) -> None:
    from riserlint.reports import writing

    if options.format == "human":
        from riserlint.reports.schedule_text import print_schedule

        console = _console(options.output)
        with console.capture() as captured:
            print_schedule(console, design.name, design.title_block, schedule, tables, VERSION, today)
        text = "".join(f"{line.rstrip()}\n" for line in captured.get().splitlines())
    elif options.format == "csv":
        from riserlint.reports.schedule_text import csv_text

        text = csv_text(tables)
    else:
        from riserlint.reports.schedule_json import schedule_json

        text = schedule_json(design.name, design.title_block, schedule, tables, VERSION, today)
    if options.output is not None:
        writing.write_whole(options.output, text)
    elif options.format == "human":
        writing.write_human_text(text, _stdout())
    else:
        writing.write_machine_text(text, _stdout())


def _report(review: "Review", options: argparse.Namespace) -> None:
    from riserlint.reports import writing

    if options.format == "human":
        text = _human_text(review, options.output)
    elif options.format == "json":
        from riserlint.reports.json_report import json_text

        text = json_text(review)
    else:
        from riserlint.reports.sarif import sarif_text

        text = sarif_text(review)
    if options.output is not None:
        writing.write_whole(options.output, text)
    elif options.format == "human":
        writing.write_human_text(text, _stdout())
    else:
        writing.write_machine_text(text, _stdout())


def _human_text(review: "Review", output: Path | None) -> str:
    from riserlint.reports.human import print_review

    console = _console(output)
    with console.capture() as captured:
        print_review(review, console)
    return captured.get()


def _console(output: Path | None) -> "Console":
    from rich.console import Console

    plain = {} if output is None else {"width": _FILE_WIDTH, "color_system": None, "force_terminal": False}
    return Console(highlight=False, markup=False, emoji=False, **plain)  # type: ignore[arg-type]


def _cite(name: str | None) -> int:
    import shutil

    from riserlint.reports.cited import cited_text
    from riserlint.reports.writing import write_human_text
    from riserlint.review.plugins import load_rules

    with contextlib.redirect_stdout(sys.stderr):
        cited = cited_text(load_rules(), name, shutil.get_terminal_size().columns)
    if cited.complaint and sys.stderr is not None:
        write_human_text(cited.complaint, sys.stderr)
    return _written(lambda: write_human_text(cited.text, _stdout()), cited.status)


def _stdout() -> TextIO:
    if sys.stdout is None:
        message = "standard output is closed"
        raise OSError(message)
    return sys.stdout


def _written(write: Callable[[], None], status: int) -> int:
    """Write a report; return its exit status, or 2 where it can't be written."""
    from riserlint.reports.writing import close_quietly

    try:
        write()
    except BrokenPipeError:
        close_quietly(sys.stdout)  # the reader went away (a pager was closed): nobody is left to tell
        return status
    except OSError as error:
        if sys.stdout is not None:
            close_quietly(sys.stdout)
        if sys.stderr is not None:
            sys.stderr.write(f"riserlint: the report can't be written: {error}\n")
        return 2
    return status


if __name__ == "__main__":
    command()
