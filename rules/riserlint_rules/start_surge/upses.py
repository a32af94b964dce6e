"""UPSs against all that starts on them."""

import math
from collections.abc import Iterator

from riserlint import (
    Answer,
    Built,
    Citation,
    Limit,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Said,
    Span,
    Thing,
    UpsLoad,
    at_most,
    parts_that_turn,
    path_text,
    watt_words,
)
from riserlint_rules.start_surge.checks import UPS

#: How many of the greatest loads a finding names.
_FEW = 10


def ups_answers(built: Built, ups: Thing) -> Iterator[Said]:
    """Yield whether a UPS carries its load while all of it starts: its watts, and its volt-amperes."""
    outage, start = built.outage.load.by_ups[ups.id], built.start_load.by_ups[ups.id]
    if not start.parts:
        yield NotApplicable(UPS.name, ups.at, "nothing hangs on it")
        return
    if (start.watts, start.va) == (outage.watts, outage.va):
        yield NotApplicable(
            UPS.name, ups.at, "nothing on it is known to take more at start: ups-coverage judges it"
        )
        return
    rated_w, rated_va = ups.value("rated_w"), ups.value("rated_va")
    most_w = math.inf if rated_va.value is None else rated_va.value
    watts = Span(0.0, most_w) if rated_w.value is None else Span(rated_w.value, rated_w.value)
    least_va = rated_w.value or 0.0
    va = Span(least_va, math.inf) if rated_va.value is None else Span(rated_va.value, rated_va.value)
    yield _answer(ups, (start, outage), (start.watts, outage.watts), watts, rated_w.at, "W")
    yield _answer(ups, (start, outage), (start.va, outage.va), va, rated_va.at, "VA")


def _answer(
    ups: Thing, loads: tuple[UpsLoad, UpsLoad], asked: tuple[Span, Span], rated: Span, at: Path, unit: str
) -> Said:
    start, outage = asked
    verdict, in_outage = at_most(start, rated), at_most(outage, rated)
    if verdict == "pass":
        return Passed(UPS.name, ups.at)
    if in_outage == "fail" or (in_outage == "open" and verdict == "open"):
        return NotApplicable(
            UPS.name, ups.at, "it is not known to carry its load in an outage: ups-coverage says so"
        )
    name = "watts" if unit == "W" else "volt-amperes"
    most = _words(start, unit)
    known = {part.thing.at: part.watts.low for part in loads[1].parts}
    surging = sorted(
        (part for part in loads[0].parts if part.watts.low > known.get(part.thing.at, 0.0)),
        key=lambda part: (known.get(part.thing.at, 0.0) - part.watts.low, part.thing.id),
    )
    working = (
        " + ".join(f"{part.thing.id} {watt_words.watts(part.watts)}" for part in loads[0].parts[:_FEW])
        + (f" + {len(loads[0].parts) - _FEW} others" if len(loads[0].parts) > _FEW else "")
        + f": {most} at start, {_words(outage, unit)} later; rated {_words(rated, unit)}"
    )
    if verdict == "open":
        turning = parts_that_turn(
            loads[0].parts,
            lambda part: part.watts if unit == "W" else part.va,
            lambda sum_: at_most(sum_, rated) != "open",
        )
        missing = [path for part in turning for path in part.missing]
        if unit == "VA":
            missing.extend(path for part in turning for path in part.va_missing)
        if not rated.known:
            missing.append(at)
        return Answer(
            UPS.name,
            "open",
            ups.at,
            at,
            f"{ups.id}: cannot tell whether it carries {most} while all on it starts, rated {_words(rated, unit)}",
            working=working,
            missing=tuple(dict.fromkeys(missing)) or (at,),
            turns=f"holds if it is rated for {math.ceil(start.high):g} {unit} or more"
            if math.isfinite(start.high)
            else "",
            rests_on=loads[0].rests_on,
            distinct=name,
        )
    over = f"{'' if start.known else 'at least '}{start.low - rated.high:.1f} {unit}"
    return Answer(
        UPS.name,
        "fail",
        ups.at,
        at,
        f"{ups.id}: while all on it starts it is asked for {most}, {over} more than its "
        f"{rated.high:g} {unit}; later {_words(outage, unit)}",
        value=round(start.low, 3),
        limit=rated.high,
        unit=unit,
        margin=round(rated.high - start.low, 3),
        held_against=Limit(
            f"rated output of {ups.id}",
            rated.high,
            unit,
            Citation("nameplate", "", ups.id),
            "stated",
            path_text(at),
        ),
        working=working,
        related=tuple(
            Related(part.thing.at, f"takes {watt_words.watts(part.watts)} at start")
            for part in surging[:_FEW]
        ),
        remedy=Remedy(
            f"switch it on in steps, or a UPS rated for {math.ceil(start.low):g} {unit} or more, "
            f"or {math.ceil(start.low - rated.high):g} {unit} of it on another UPS"
        ),
        rests_on=(*loads[0].rests_on, at),
        distinct=name,
    )


def _words(value: Span, unit: str) -> str:
    return watt_words.watts(value).replace(" W", f" {unit}").replace("watts", unit)
