"""The nominal current of a bundle's cables against the code's ampacity table, where the code asks for it."""

import math
from collections.abc import Iterable
from typing import Literal, NamedTuple

from riserlint import (
    Answer,
    Built,
    BundleHeat,
    Cable,
    Change,
    Citation,
    Limit,
    NominalSupply,
    NotApplicable,
    Passed,
    Path,
    Remedy,
    Run,
    Said,
    Span,
    ampacity,
    at_most,
    conductor_limits,
    heat_limits,
    nominal_supply,
)
from riserlint_rules.bundle_heating.checks import AMPACITY

GATE_W = heat_limits.AMPACITY_GATE_W
EXEMPT_A, EXEMPT_AWG = heat_limits.AMPACITY_EXEMPT_A, heat_limits.AMPACITY_EXEMPT_AWG
BASE_C = heat_limits.AMPACITY_BASE_C.value
REGION: Path = ("design", "region")


class Kind(NamedTuple):
    """The live cables of a bundle that are of one kind and carry the same."""

    runs: tuple[Run, ...]
    cable: Cable | None
    supply: NominalSupply

    def stated(self, key: str) -> float | None:
        """Return a property of the cable, None where not known."""
        value: float | None = None if self.cable is None else self.cable.value(key).value
        return value

    def place(self, key: str) -> Path:
        """Return where a property of the cable is, or would be, written."""
        return (*self.runs[0].at, "cable") if self.cable is None else self.cable.value(key).at


class Verdict(NamedTuple):
    """What holds for one kind: ``word`` and the answer's parts."""

    word: Literal["exempt", "pass", "review", "open", "fail"]
    kind: Kind
    said: str
    amps: Span = Span(0.0, math.inf)
    working: str = ""
    missing: tuple[Path, ...] = ()
    remedy: Remedy | None = None
    record: Limit | None = None


_WORST_FIRST = ("fail", "open", "review", "pass", "exempt")


class Typed(NamedTuple):
    """The table that the basis holds, whether it can be used, and where it is (or would be) written."""

    table: "ampacity.AmpacityTable | None"
    usable: bool
    at: Path


def code_ampacity(built: Built, state: BundleHeat, typed: Typed) -> Said:
    """Return whether the nominal currents of a bundle are within the code's ampacity, by its worst kind."""
    at = state.bundle.at
    if built.region not in {None, "north-america"}:
        return NotApplicable(AMPACITY.name, at, "the table is of the code of North America")
    kinds = _kinds(built, state)
    half = _half_loaded(kinds)
    verdicts = [_judged(state, kind, half, typed) for kind in kinds]
    worst = min(
        verdicts,
        key=lambda verdict: (_WORST_FIRST.index(verdict.word), -verdict.kind.supply.conductor_a.high),
    )
    if worst.word == "exempt":
        return NotApplicable(AMPACITY.name, at, worst.said)
    if worst.word == "pass":
        return Passed(AMPACITY.name, at)
    if built.region is None:
        worst = worst._replace(word="open", missing=(REGION, *worst.missing), remedy=None)
    return _answer(built, state, worst, len(kinds) == 1)


def _answer(built: Built, state: BundleHeat, worst: Verdict, alone: bool) -> Answer:
    kind = worst.kind
    amps = kind.supply.conductor_a
    message = f"{state.bundle.id}: {worst.said}"
    if worst.word == "open":
        message = f"{state.bundle.id}: cannot tell whether the code's ampacity is kept: {worst.said}"
    failed = worst.word == "fail"
    rests_on = [kind.place(key) for key in ("conductor_awg", "rated_c") if kind.stated(key) is not None]
    remedy = worst.remedy
    if remedy is not None and remedy.changes:
        gauge = kind.place("conductor_awg")
        if not alone or built.design.origin(gauge) == "measured":
            remedy = remedy._replace(changes=())
    return Answer(
        AMPACITY.name,
        worst.word,  # type: ignore[arg-type]  # never "pass" or "exempt" here
        state.bundle.at,
        state.bundle.at,
        message,
        value=round(amps.low, 4) if failed else None,
        limit=round(worst.amps.high, 4) if failed else None,
        unit="A" if failed else "",
        margin=round(worst.amps.high - amps.low, 4) if failed else None,
        held_against=worst.record,
        working=worst.working,
        missing=worst.missing,
        remedy=remedy,
        rests_on=tuple(dict.fromkeys((*state.rests_on, *rests_on))),
    )


def _kinds(built: Built, state: BundleHeat) -> list[Kind]:
    found: dict[tuple[Cable | None, NominalSupply], list[Run]] = {}
    for run in state.live:
        found.setdefault((run.cable, nominal_supply(built.power.feeds[run.id])), []).append(run)
    return [Kind(tuple(runs), cable, supply) for (cable, supply), runs in found.items()]


def _half_loaded(kinds: Iterable[Kind]) -> Span:
    """Return the factor for half of the wires loaded, as a range: it needs every cable to be so."""
    factor = heat_limits.HALF_LOADED_FACTOR.value
    certain = all(kind.supply.pairs.high == 2 for kind in kinds)
    possible = all(kind.supply.pairs.low == 2 for kind in kinds)
    return Span(factor if certain else 1.0, factor if possible else 1.0)


def _judged(state: BundleHeat, kind: Kind, half: Span, typed: Typed) -> Verdict:
    watts, amps = kind.supply.watts, kind.supply.conductor_a
    awg = kind.stated("conductor_awg")
    large = awg is not None and awg <= EXEMPT_AWG.value
    gate = at_most(watts, GATE_W.value)
    if gate == "pass":
        if awg is None or large or at_most(amps, 0.0) == "pass":
            return Verdict("exempt", kind, f"at most {GATE_W.value:g} W over each cable")
        said = (
            f"{awg:g} AWG with {amps.high:.3f} A per conductor: look at the listing of the cable; up to "
            f"{GATE_W.value:g} W the table is not asked for with communications cable, but it is with Class 2 or 3 "
            f"cable thinner than {EXEMPT_AWG.value:g} AWG"
        )
        return Verdict("review", kind, said, record=EXEMPT_AWG)
    if large and at_most(amps, EXEMPT_A.value) == "pass":
        return Verdict("exempt", kind, f"at most {EXEMPT_A.value:g} A per conductor of {awg:g} AWG")
    mark = kind.stated("listed_a")
    if mark is not None and at_most(amps, mark) == "pass":
        return Verdict("pass", kind, f"listed LP for {mark:g} A")
    verdict = _by_table(state, kind, half, typed)
    if gate == "open" and verdict.word != "pass":
        # whether the table is asked for turns on the class
        missing = tuple(dict.fromkeys((*verdict.missing, *_class_missing(kind))))
        return verdict._replace(word="open", missing=missing, remedy=None)
    return verdict


def _class_missing(kind: Kind) -> tuple[Path, ...]:
    missing: dict[Path, None] = {}
    for run in kind.runs:
        if run.feed is not None:
            load, port = run.feed.load, run.feed.port
            values = [
                load.value(load.side, "pd_class"),
                *(() if port is None else (port.value("pse_class"),)),
            ]
            missing.update((value.at, None) for value in values if value.value is None)
    return tuple(missing)


def _by_table(state: BundleHeat, kind: Kind, half: Span, typed: Typed) -> Verdict:
    amps = kind.supply.conductor_a
    awg, rated = kind.stated("conductor_awg"), kind.stated("rated_c")
    carried = f"{_amps(amps)} per conductor, nominal, in a bundle of {_cables(state.cables)}"
    most = heat_limits.SUPERVISION_CABLES
    if state.cables.low > most.value:
        said = f"{carried}: above {most.value:g} cables the code asks for engineering supervision"
        return Verdict("review", kind, said, record=most)
    thinnest = heat_limits.SUPERVISION_AWG
    if awg is not None and awg > thinnest.value:
        said = (
            f"{carried}, {awg:g} AWG: below {thinnest.value:g} AWG the code asks for engineering supervision"
        )
        return Verdict("review", kind, said, record=thinnest)
    table = typed.table
    if table is None:
        said = (
            f"{carried}, at up to {kind.supply.watts.high:g} W a cable; the basis holds no ampacity table of the "
            "adopted edition"
        )
        return Verdict("open", kind, said, missing=(typed.at,))
    if not typed.usable:
        said = f"{carried}; the ampacity table in the basis contradicts itself"
        return Verdict("open", kind, said, missing=(typed.at,))
    record = Limit(
        "ampacity of the table in the basis",
        0.0,
        "A",
        Citation("NFPA 70", table.edition, "Table 725.144"),
        "stated",
        "typed into the basis of design from the user's copy of the edition",
    )
    missing = _missing(state, kind)
    found = _looked_up(table, state, kind, half)
    if found is None:
        said = f"{carried}; the table has no value for {_what(awg, rated)} in such a bundle"
        return Verdict("open", kind, said, missing=missing or (typed.at,), record=record)
    limit, working = found
    record = record._replace(value=round(limit.high, 4))
    verdict = at_most(amps, limit)
    said = f"{carried}, at most {_amps(limit)} at {_celsius(state.ambient_c)} by the table of {table.edition}"
    if verdict == "pass":
        return Verdict("pass", kind, said)
    if verdict == "open":
        missing = (*missing, *_class_missing(kind))
        return Verdict("open", kind, said, limit, working, missing or (typed.at,), None, record)
    remedy = _remedy(table, state, kind, half)
    return Verdict("fail", kind, said, limit, working, (), remedy, record)


def _missing(state: BundleHeat, kind: Kind) -> tuple[Path, ...]:
    unknown = [key for key in ("conductor_awg", "rated_c") if kind.stated(key) is None]
    keys = [kind.place(key) for key in unknown]
    if kind.cable is None:
        keys = [(*run.at, "cable") for run in kind.runs]
    here = [path for path in state.missing if path[-1] in {"others", "max_c", "space"}]
    return tuple(dict.fromkeys((*keys, *here)))


def _looked_up(
    table: "ampacity.AmpacityTable", state: BundleHeat, kind: Kind, half: Span
) -> tuple[Span, str] | None:
    """Return the ampacity at the ends of what is not known with its working; None: the table has no value."""
    awg, rated = kind.stated("conductor_awg"), kind.stated("rated_c")
    thinnest = int(heat_limits.SUPERVISION_AWG.value if awg is None else awg)
    thickest = int(conductor_limits.THICKEST_GAUGE.value if awg is None else awg)
    least_c = heat_limits.LEAST_RATED_C.value if rated is None else rated
    most_c = heat_limits.HIGHEST_RATED_C.value if rated is None else rated
    low = _corrected(table, (thinnest, least_c), state.cables.high, state.ambient_c.high, half.low)
    high = _corrected(table, (thickest, most_c), state.cables.low, state.ambient_c.low, half.high)
    if high is None:
        return None
    if low is None:
        return Span(0.0, high[0]), high[1]
    return Span(min(low[0], high[0]), high[0]), high[1]


def _corrected(
    table: "ampacity.AmpacityTable", wanted: tuple[int, float], cables: float, ambient_c: float, half: float
) -> tuple[float, str] | None:
    """Return a table's ampacity corrected for ambient and half loading, with its working."""
    row = ampacity.safe_row(table, *wanted)
    cell = None if row is None or math.isinf(cables) else ampacity.ampacity_a(table, *row, int(cables))
    if row is None or cell is None:
        return None
    warm = math.isfinite(ambient_c) and ambient_c > BASE_C
    factor = 0.0 if ambient_c == math.inf else ampacity.ambient_correction(row[1], ambient_c) if warm else 1.0
    bound = next(size for size in table.bundle_sizes if cables <= size)
    working = f"{cell:g} A ({row[0]} AWG, {row[1]} °C, up to {bound} cables)"
    if warm:
        working += f" × √(({row[1]} − {ambient_c:g}) / ({row[1]} − {BASE_C:g}))"
    if half != 1:
        working += f" × {half:g}"
    return cell * factor * half, f"{working} = {cell * factor * half:.3f} A"


def _remedy(table: "ampacity.AmpacityTable", state: BundleHeat, kind: Kind, half: Span) -> Remedy:
    amps = kind.supply.conductor_a.high
    awg, rated = kind.stated("conductor_awg"), kind.stated("rated_c")
    words = []
    changes: tuple[Change, ...] = ()
    if awg is not None and rated is not None and math.isfinite(state.ambient_c.high):
        row = ampacity.safe_row(table, int(awg), rated)
        factor = 0.0
        if row is not None:
            factor = half.low * min(1.0, ampacity.ambient_correction(row[1], state.ambient_c.high))
        largest = None if row is None or not factor else ampacity.largest_column(table, row, amps / factor)
        if largest is not None:
            words.append(f"at most {largest} cables in one bundle")
        for gauge in range(int(awg) - 1, int(conductor_limits.THICKEST_GAUGE.value) - 1, -1):
            found = _corrected(table, (gauge, rated), state.cables.high, state.ambient_c.high, half.low)
            if found is not None and amps <= found[0] and kind.cable is not None:
                words.append(f"{gauge} AWG in place of the gauge of cable {kind.cable.id}")
                changes = (Change((*kind.cable.at, "conductor_awg"), gauge),)
                break
    words.append(f"cable listed LP for {amps:.3f} A or more per conductor")
    return Remedy(", or ".join(words), changes)


def _what(awg: float | None, rated: float | None) -> str:
    gauge = "a gauge that is not known" if awg is None else f"{awg:g} AWG"
    return f"{gauge} rated {'unknown' if rated is None else f'{rated:g} °C'}"


def _amps(span: Span) -> str:
    low, high = f"{span.low:.3f} A", f"{span.high:.3f} A"
    return low if low == high else f"{span.low:.3f} to {high}"


def _cables(span: Span) -> str:
    return f"{span.low:g}" if span.known else f"{span.low:g} or more"


def _celsius(span: Span) -> str:
    if span.known:
        return f"{span.low:g} °C"
    return f"{span.low:g} °C or more" if math.isfinite(span.low) else "an unknown ambient"
