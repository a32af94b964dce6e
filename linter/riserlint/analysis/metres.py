"""The lengths of runs: link, cords and channel as ranges, with what is missing and what they rest on."""

import math
from typing import NamedTuple

from riserlint.design.paths import Path
from riserlint.engineering.lengths import LengthMeasuredBy, measured_span
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import Run

UNKNOWN = Span(0.0, math.inf)


class RunMetres(NamedTuple):
    """The lengths of one run in metres.

    Attributes:
        link: the fixed cable from end to end; a drawn length with the basis's allowance, a measured one with
            the uncertainty of its instrument.
        link_written: the number in the file, None where unknown.
        measured: whether the link was measured (then a length over the limit but within the uncertainty is
            no fault).
        allowance_m: what the basis's allowance adds to a drawn length.
        cords: all cords together.
        channel: link and cords.
        missing: values that are not known.
        rests_on: values that the lengths rest on.
    """

    link: Span
    link_written: float | None
    measured: bool
    allowance_m: float
    cords: Span
    channel: Span
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]


def run_metres(installation: Installation, run: Run) -> RunMetres:
    """Return the lengths of a run."""
    design = installation.design
    missing: list[Path] = []
    rests_on: list[Path] = []
    written = run.value("link_m")
    link, measured, allowance = UNKNOWN, False, 0.0
    if written.value is None:
        missing.append(written.at)
    else:
        rests_on.append(written.at)
        link = Span(written.value, written.value)
        origin = None if written.assumed else design.origin(written.at)
        if origin == "measured":
            statement = design.statement(written.at)
            by: LengthMeasuredBy = "tester" if statement is None or statement.by is None else statement.by
            link, measured = measured_span(written.value, by), True
        elif origin == "drawing":
            rule = design.basis.model.allowance
            allowance = written.value * (rule.share or 0.0) + (rule.m or 0.0)
            link = Span(written.value + allowance, written.value + allowance)
            stated = (("share", rule.share), ("m", rule.m))
            rests_on.extend(("basis", "allowance", key) for key, figure in stated if figure)
    least_m = most_m = 0.0
    if run.cords is None:
        most_m = math.inf
        missing.append((*run.at, "cords_m"))
    else:
        for cord in run.cords:
            if cord.metres.value is None:
                most_m = math.inf
                missing.append(cord.metres.at)
            else:
                least_m += cord.metres.value
                most_m += cord.metres.value
                rests_on.append(cord.metres.at)
    cords = Span(least_m, most_m)
    channel = Span(link.low + least_m, link.high + most_m)
    return RunMetres(
        link, written.value, measured, allowance, cords, channel, tuple(missing), tuple(rests_on)
    )
