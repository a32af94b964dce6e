"""Thin cords in the powered path of a run: their gauge, and their length in all.

A cord is held against the cap of the standard by its gauge alone: the few per cent by which stranded wire is above
solid wire are a habit of reckoning, and the cap is that of stranded cords.
"""

import math
from collections.abc import Iterator

from riserlint import (
    Answer,
    Built,
    Cable,
    Change,
    Cord,
    NotApplicable,
    Passed,
    Path,
    Remedy,
    Run,
    Said,
    Span,
    at_most,
    conductor_limits,
    conductors,
    heat_limits,
)
from riserlint_rules.conductor_material.checks import THIN_CORD

THIN_AWG = int(heat_limits.SMALL_CORD_AWG.value)
_MOST_M = heat_limits.SMALL_CORD_LENGTH_M
_CAP = conductor_limits.CORD_28_AWG_OHM_PER_100M


def cord_answers(built: Built, run: Run) -> Iterator[Said]:
    """Yield the answers for the cords of a powered run."""
    cords = None if run.cords is None else [cord for cord in run.cords if cord.metres.value != 0]
    if cords is not None and not cords:
        yield NotApplicable(THIN_CORD.name, run.at, "it has no cords")
        return
    thin = [] if cords is None else [cord for cord in cords if (awg_of(cord) or 0) >= THIN_AWG]
    unknown = [] if cords is None else [cord for cord in cords if awg_of(cord) is None]
    yield _thin(built, run, cords is None, thin, unknown)


def awg_of(cord: Cord) -> int | None:
    """Return the gauge of a cord, None where it or the kind is not known."""
    return None if cord.cable is None else cord.cable.value("conductor_awg").value


def _ohm_per_100_m(awg: int) -> float:
    celsius = conductor_limits.REFERENCE_CELSIUS.value
    return 100 * conductors.conductor_ohm_per_m(awg, material="copper", strand="solid", celsius=celsius)


def _thin(built: Built, run: Run, unwritten: bool, thin: list[Cord], unknown: list[Cord]) -> Said:
    thinnest = max(thin, key=lambda cord: awg_of(cord) or 0, default=None)
    awg = None if thinnest is None else awg_of(thinnest)
    injector = any(inline.is_injector for inline in run.inlines)
    if thinnest is not None and awg is not None and awg > THIN_AWG:
        all_thinner = run.cords is not None and all((awg_of(cord) or 0) > THIN_AWG for cord in run.cords)
        return _thinner(built, run, thin, thinnest, awg, sure=all_thinner or not injector)
    metres = _metres(thin)
    metres = Span(metres.low, math.inf if unwritten else metres.high + _metres(unknown).high)
    verdict = at_most(metres, _MOST_M.value)
    if verdict == "pass" and unknown:
        return _gauge_unknown(run, unknown)
    if verdict == "fail" and injector:
        verdict = "open"
    if verdict == "pass":
        return Passed(THIN_CORD.name, run.at)
    words = f"{metres.low:g} m" if metres.known else f"{metres.low:g} m or more"
    where: Path = (*run.at, "cords_m") if not thin else thin[0].metres.at
    if verdict == "open":
        missing: list[Path] = [(*run.at, "cords_m")] if unwritten else []
        missing.extend(path for cord in unknown for path in gauge_missing(cord))
        missing.extend(cord.metres.at for cord in (*thin, *unknown) if cord.metres.value is None)
        behind = ", and which of them lie behind its injector is not written" if injector else ""
        return Answer(
            THIN_CORD.name,
            "open",
            run.at,
            missing[0] if missing else where,
            f"{run.id} ({run.ends}): cannot tell whether more than {_MOST_M.value:g} m of {THIN_AWG} AWG cords carry "
            f"power: {words} are known{behind}",
            held_against=_MOST_M,
            missing=tuple(dict.fromkeys(missing)),
            turns=f"holds with at most {_MOST_M.value:g} m of {THIN_AWG} AWG in all",
        )
    return Answer(
        THIN_CORD.name,
        "fail",
        run.at,
        where,
        f"{run.id} ({run.ends}): {words} of {THIN_AWG} AWG cords carry power, at most {_MOST_M.value:g} m",
        value=round(metres.low, 3),
        limit=_MOST_M.value,
        unit="m",
        margin=round(_MOST_M.value - metres.low, 3),
        held_against=_MOST_M,
        working=f"{' + '.join(f'{cord.metres.value or 0:g} m' for cord in thin)} > {_MOST_M.value:g} m",
        remedy=_thicker(built, thin, f"at most {_MOST_M.value:g} m of {THIN_AWG} AWG in all, or "),
        rests_on=_places(thin),
    )


def _gauge_unknown(run: Run, unknown: list[Cord]) -> Answer:
    """Return that short cords of an unknown gauge may be of none that the standards know for cords."""
    missing = tuple(dict.fromkeys(path for cord in unknown for path in gauge_missing(cord)))
    return Answer(
        THIN_CORD.name,
        "open",
        run.at,
        missing[0],
        f"{run.id} ({run.ends}): cannot tell whether its cords are too thin: the gauge of {len(unknown)} of them is "
        "not known",
        held_against=_CAP,
        missing=missing,
        turns=f"holds with {THIN_AWG} AWG or thicker",
    )


def _metres(cords: list[Cord]) -> Span:
    low = sum(cord.metres.value or 0.0 for cord in cords)
    return Span(low, math.inf if any(cord.metres.value is None for cord in cords) else low)


def gauge_missing(cord: Cord) -> tuple[Path, ...]:
    """Return where the gauge of a cord would be written, or its kind."""
    return (cord.kind_at if cord.cable is None else cord.cable.value("conductor_awg").at,)


def _places(cords: list[Cord]) -> tuple[Path, ...]:
    gauges = (cord.cable.value("conductor_awg").at for cord in cords if cord.cable is not None)
    return tuple(dict.fromkeys((*(cord.metres.at for cord in cords), *gauges)))


def _thinner(built: Built, run: Run, thin: list[Cord], cord: Cord, awg: int, *, sure: bool) -> Answer:
    """Return that a cord is too thin to carry power; not ``sure``: it does only if it lies behind the injector."""
    ohm = _ohm_per_100_m(awg)
    carries = "carries power" if sure else "may carry power, if it lies behind the injector"
    return Answer(
        THIN_CORD.name,
        "fail" if sure else "review",
        run.at,
        cord.metres.at,
        f"{run.id} ({run.ends}): a cord of {awg} AWG {carries}: {ohm:.3g} ohm per 100 m of conductor, at most "
        f"{_CAP.value:g}",
        value=round(ohm, 3),
        limit=_CAP.value,
        unit=_CAP.unit,
        margin=round(_CAP.value - ohm, 3),
        held_against=_CAP,
        working=f"{awg} AWG: {ohm:.4g} ohm/100 m > {_CAP.value:g} ohm/100 m at 20 °C",
        remedy=_thicker(built, thin, ""),
        rests_on=_places([cord]),
    )


def _thicker(built: Built, thin: list[Cord], first: str) -> Remedy:
    """Return cords of the next thicker gauge, with the change where the file has such a kind for all of them."""
    text = f"{first}cords of copper thicker than {THIN_AWG} AWG"
    changes: list[Change] = []
    for cord in thin:
        at = cord.kind_at
        other = _like_but_thicker(built, cord.cable)
        written = len(at) > 1 and at[-1] == "cable" and built.design.origin(at) != "measured"
        if other is None or not written:
            return Remedy(text)
        changes.append(Change(at, other.id))
    return Remedy(text, tuple(changes))


def _like_but_thicker(built: Built, cable: Cable | None) -> Cable | None:
    if cable is None:
        return None
    fit = [
        other
        for other in built.cables.values()
        if (other.value("conductor_awg").value or THIN_AWG) < THIN_AWG
        and other.value("material").value == "copper"
        and all(other.value(key).value == cable.value(key).value for key in ("category", "strand", "screen"))
    ]
    return min(fit, key=lambda other: (-other.value("conductor_awg").value, other.id), default=None)
