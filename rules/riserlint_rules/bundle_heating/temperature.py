"""The temperature of a bundle against the rating of its cables, and its rise against the guidance."""

import math
from typing import NamedTuple

from riserlint import (
    OTHERS_AS_RUNS,
    Answer,
    Built,
    BundleHeat,
    BundleLoad,
    Change,
    Check,
    Citation,
    Limit,
    NotApplicable,
    Passed,
    Path,
    Remedy,
    Said,
    Span,
    at_most,
    bundle_heat,
    conductor_limits,
    conductors,
    heat_limits,
    remote_powering,
)
from riserlint_rules.bundle_heating.checks import RATING, RISE, Parameters

_PLACES = {
    "open-tray": "in open tray",
    "free-air": "in free air",
    "closed-conduit": "in closed conduit",
    "insulated": "in insulation",
    None: "in a pathway of unknown kind",
}
_RATED = Citation("temperature rating of the cable", "", "its listing or data sheet")


class Question(NamedTuple):
    """One comparison: what is found against what, with the record, and the temperature that would hold."""

    check: Check
    found: Span
    limits: Span
    record: Limit
    limit_c: float


def rating(built: Built, state: BundleHeat) -> Said:
    """Return whether the centre of a bundle stays at or below the lowest rating of its live cables."""
    verdict = at_most(state.celsius, state.rated_c)
    if verdict == "pass":
        return Passed(RATING.name, state.bundle.at)
    known = state.rated_c.known
    limit = state.rated_c.low if known else state.rated_c.high
    record = Limit(
        "temperature rating of the cable", limit, "°C", _RATED, "stated", "as stated in the design"
    )
    if not known:
        record = heat_limits.HIGHEST_RATED_C if verdict == "fail" else heat_limits.LEAST_RATED_C
    if verdict == "open":
        return _open(built, state, Question(RATING, state.celsius, state.rated_c, record, state.rated_c.low))
    shown = f"the cables are rated {limit:g} °C" if known else f"no such cable is rated above {limit:g} °C"
    message = (
        f"{state.bundle.id}: {_count(state)} {_PLACES[state.enclosed]} at {_c(state.ambient_c)} reach "
        f"{_c(state.celsius)} at the centre, {_c(state.rise_k, 'K')} above the ambient; {shown}"
    )
    if state.unstable:
        message = (
            f"{state.bundle.id}: {_count(state)} {_PLACES[state.enclosed]} at {_c(state.ambient_c)} have no stable "
            f"temperature: heat raises their resistance faster than it is carried off; {shown}"
        )
    return _fail(built, state, Question(RATING, state.celsius, Span(limit, limit), record, limit), message)


def rise(built: Built, state: BundleHeat, parameters: Parameters) -> Said:
    """Return whether the rise of a bundle's centre stays within the guidance, or what the basis states."""
    record = heat_limits.BUNDLE_RISE_K
    if parameters.rise_k is not None:
        cited = Citation("basis of design", "", "rule.bundle-heating.rise_k")
        record = Limit(record.name, parameters.rise_k, "K", cited, "stated", "the basis of design")
    limit = record.value
    verdict = at_most(state.rise_k, limit)
    if verdict == "pass":
        return Passed(RISE.name, state.bundle.at)
    question = Question(RISE, state.rise_k, Span(limit, limit), record, state.ambient_c.high + limit)
    if verdict == "open":
        return _open(built, state, question)
    if state.unstable:
        return NotApplicable(RISE.name, state.bundle.at, "it has no stable temperature")
    message = (
        f"{state.bundle.id}: {_count(state)} {_PLACES[state.enclosed]} get {_c(state.rise_k, 'K')} warmer at the "
        f"centre than the {_c(state.ambient_c)} around them; at most {limit:g} K"
    )
    return _fail(built, state, question, message)


def _fail(built: Built, state: BundleHeat, question: Question, message: str) -> Answer:
    found, limit = question.found, question.limits.high
    value = found.high if math.isfinite(found.high) else found.low
    return Answer(
        question.check.name,
        "fail",
        state.bundle.at,
        state.bundle.at,
        message,
        value=round(value, 2),
        limit=limit,
        unit=question.record.unit,
        margin=round(limit - value, 2),
        held_against=question.record,
        working=_working(built, state),
        remedy=_remedy(built, state, question.check, question.limit_c),
        rests_on=built.heat.rests_on(state),
    )


def _open(built: Built, state: BundleHeat, question: Question) -> Answer:
    check, limits, unit = question.check, question.limits, question.record.unit
    held = f"{limits.low:g} {unit}" if limits.known else f"{limits.low:g} to {limits.high:g} {unit}"
    what = "the temperature of its centre" if check is RATING else "its rise"
    message = (
        f"{state.bundle.id}: cannot tell whether {what} stays at or below {held}: {_count(state)} "
        f"{_PLACES[state.enclosed]} at {_c(state.ambient_c)} give {_c(question.found, unit)}"
    )
    missing = state.missing
    if check is RISE:
        missing = tuple(path for path in missing if path[-1] != "rated_c")
    if any(path[-1] == OTHERS_AS_RUNS for path in missing):
        message += "; how much the cables carry that are not in the file is not known: write them as runs"
    if not missing:
        message += "; it turns on where the powered ones lie and how evenly their pairs share the current"
    return Answer(
        check.name,
        "open",
        state.bundle.at,
        state.bundle.at,
        message,
        held_against=question.record,
        working=_working(built, state),
        missing=missing,
        turns=_turns(state, check, missing, question.limit_c),
        rests_on=built.heat.rests_on(state),
    )


def _turns(state: BundleHeat, check: Check, missing: tuple[Path, ...], limit_c: float) -> str:
    """Return the value at which an open answer turns, where one thing is missing and it can be computed."""
    keys = {path[-1] for path in missing}
    most = state.most
    if keys == {"rated_c"} and state.bounded and state.worst is not None:
        return f"holds if the cables are rated {math.ceil(state.worst.temperature_c - 1e-9)} °C or more"
    if most is None or not keys:
        return ""
    if keys == {OTHERS_AS_RUNS}:
        start = (
            "holds if they carry little enough"
            if _dark_holds(state, most, limit_c)
            else "turns on what they carry"
        )
        return f"{start}: write the {_others(state, most):g} cables that are not in the file as runs"
    if keys <= {"others", "others_powered", OTHERS_AS_RUNS}:
        if not math.isfinite(state.cables.high) and math.isfinite(state.ambient_c.high):
            more = most.most_others(state.other, limit_c)
            return (
                ""
                if more is None
                else f"holds with up to {more} cables more than are written, whatever they carry"
            )
        dark = _dark_holds(state, most, limit_c)
        return "holds if the cables that are not in the file carry nothing" if dark else ""
    if keys <= {"pathway", "kind"} and math.isfinite(state.cables.high + state.ambient_c.high):
        conduit = most.enclosure._replace(surface_factor=heat_limits.ENCLOSED_FACTOR.value, insulation=None)
        return "holds unless it lies in insulation" if most._replace(enclosure=conduit).holds(limit_c) else ""
    if keys <= {"max_c", "mean_c", "space"} and check is RATING and math.isfinite(state.cables.high):
        hottest = most.hottest_ambient(limit_c)
        return (
            "" if hottest is None else f"holds if it is {math.floor(hottest * 10) / 10:g} °C or cooler there"
        )
    return ""


def _dark_holds(state: BundleHeat, most: BundleLoad, limit_c: float) -> bool:
    """Return whether a bundle holds if the cables that are not in the file carry nothing."""
    if state.other is None or not most.groups or not math.isfinite(limit_c):
        return False
    others = _others(state, most)
    return others > 0 and most._replace(groups=most.groups[:-1], dark_cables=others).holds(limit_c)


def _others(state: BundleHeat, most: BundleLoad) -> int:
    """Return how many cables are not in the file, in a load whose last group they are."""
    return int(state.cables.high) - sum(group.cables for group in most.groups[:-1])


def _remedy(built: Built, state: BundleHeat, check: Check, limit_c: float) -> Remedy | None:
    """Return what would hold: the largest bundle of such cables here, the thinnest thicker gauge."""
    load = state.most
    if load is None or not math.isfinite(load.ambient_c):
        return None
    if load.ambient_c >= limit_c:
        return Remedy(
            f"the space alone is at {load.ambient_c:g} °C: another route, or cable with a higher rating"
        )
    largest = load.largest(limit_c)
    words = [
        f"at most {largest} such cables in one bundle here"
        if largest
        else "not even one such cable holds here: another pathway"
    ]
    change = _thicker(built, state, load, limit_c)
    if change is not None:
        words.append(f"{change.value} AWG in place of the gauge of cable {change.at[1]}")
    if check is RATING and state.bounded:
        needed = math.ceil(state.celsius.high - 1e-9)
        if needed <= heat_limits.HIGHEST_RATED_C.value:
            words.append(f"cable rated {needed} °C or more")
    return Remedy(", or ".join(words), () if change is None else (change,))


def _thicker(built: Built, state: BundleHeat, load: BundleLoad, limit_c: float) -> Change | None:
    """Return the change of gauge that is enough, where all live cables are of one kind that nobody measured.

    The currents are kept, though a thicker conductor lowers them: what holds so, holds.
    """
    kinds = {run.cable for run in state.live}
    cable = next(iter(kinds))
    if len(kinds) != 1 or cable is None or not state.bounded:
        return None
    gauge = cable.value("conductor_awg")
    if gauge.value is None or built.design.origin(gauge.at) == "measured":
        return None
    now_mm = conductors.awg_diameter_mm(gauge.value)
    for awg in range(gauge.value - 1, int(conductor_limits.THICKEST_GAUGE.value) - 1, -1):
        if load.with_resistance((now_mm / conductors.awg_diameter_mm(awg)) ** 2).holds(limit_c):
            return Change((*cable.at, "conductor_awg"), awg)
    return None


def _working(built: Built, state: BundleHeat) -> str:
    """Return the sum with this bundle's numbers: heat, diameter, the parts of the rise; in Europe its category."""
    parts = [_sum_of(state)]
    if built.region in {"europe", "international"} and math.isfinite(state.cables.high):
        mean_ma = remote_powering.mean_current_ma(built.power, state)
        if math.isfinite(mean_ma.high):
            low, high = f"{mean_ma.low:.0f}", f"{mean_ma.high:.0f}"
            shown = high if low == high else f"{low} to {high}"
            words = remote_powering.category_words(mean_ma)
            parts.append(
                f"mean of all conductors {shown} mA: remote powering category {words} (currents from memory)"
            )
    return "; ".join(part for part in parts if part)


def _sum_of(state: BundleHeat) -> str:
    load, steady, end = state.least, state.best, "at the best"
    if state.bounded:
        load, steady, end = state.most, state.worst, "at the worst"
    elif state.most is not None and not state.cables.known and math.isfinite(state.most.ambient_c):
        load, steady, end = state.most, state.most.steady(), "at the worst for the cables that are written"
    if load is None or steady is None:
        return ""
    hot = conductors.at_temperature(1.0, steady.temperature_c)
    live = [group for group in load.groups if group.live_conductors]
    lines = [_heat_terms(live, hot, steady), _diameter(load, steady)]
    parts = [f"{load.ambient_c:g} °C", f"{steady.surface_rise_k:.2f} K at the surface"]
    if load.enclosure.surface_factor != 1:
        parts[-1] += f" ({load.enclosure.surface_factor:g} × free air)"
    if steady.insulation_rise_k:
        parts.append(f"{steady.insulation_rise_k:.2f} K across the insulation")
    resistance = steady.core_rise_k / steady.heat_w_per_m if steady.heat_w_per_m else 0.0
    parts.append(f"{steady.core_rise_k:.2f} K inside (q × {resistance:.3f} K m/W)")
    lines.append(f"{' + '.join(parts)} = {steady.temperature_c:.2f} °C {end}")
    return "; ".join(lines)


def _heat_terms(live: list["bundle_heat.CableGroup"], hot: float, steady: "bundle_heat.BundleState") -> str:
    if not live:
        return "q = 0"
    if len(live) <= 3:
        terms = [
            f"{group.cables} × {group.live_conductors} × ({group.current_a:.4f} A)² × "
            f"{group.ohm_per_m_20 * hot:.5f} Ω/m"
            for group in live
        ]
        return f"q = {' + '.join(terms)} = {steady.heat_w_per_m:.3f} W/m"
    amps = [group.current_a for group in live]
    return (
        f"q = Σ n i² r over {sum(group.cables for group in live)} cables, i from {min(amps):.4f} to {max(amps):.4f} A, "
        f"r up to {max(group.ohm_per_m_20 for group in live) * hot:.5f} Ω/m, = {steady.heat_w_per_m:.3f} W/m"
    )


def _diameter(load: BundleLoad, steady: "bundle_heat.BundleState") -> str:
    sizes = {group.outer_mm for group in load.groups}
    packed = load.cables <= len(heat_limits.PACKED_CIRCLE.rows)
    if len(sizes) > 1:
        return f"D = {steady.diameter_mm:.1f} mm"
    outer_mm = next(iter(sizes))
    if packed:
        circle = heat_limits.PACKED_CIRCLE.rows[load.cables - 1]
        return f"D = {circle:g} × {outer_mm:g} mm = {steady.diameter_mm:.1f} mm"
    share = heat_limits.PACKING.value
    return f"D = {outer_mm:g} mm × √({load.cables} / {share:g}) = {steady.diameter_mm:.1f} mm"


def _count(state: BundleHeat) -> str:
    live = len(state.live)
    if not state.cables.known:
        return f"{state.cables.low:g} cables and an unknown number more, {live} powered"
    return f"{state.cables.low:g} cables, {live} of them powered,"


def _c(span: Span, unit: str = "°C") -> str:
    """Return degrees for a reader."""
    low, high = f"{span.low:.1f}", f"{span.high:.1f}"
    if not math.isfinite(span.low):
        return f"unknown {unit}"
    if not math.isfinite(span.high):
        return f"{low} {unit} or more"
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"
