"""Gear outdoors against the code of its enclosure."""

from collections.abc import Iterator

from riserlint import (
    Answer,
    Built,
    Change,
    Gear,
    NotApplicable,
    Passed,
    Path,
    Remedy,
    Said,
    Value,
    first_and_number,
    outdoor_limits,
)
from riserlint_rules.outdoor_protection.checks import WEATHER

#: Of any exposure outdoors, the least and the most that may be asked where the exposure is not known.
_NUMERALS = outdoor_limits.WATER_NUMERAL
_MOST = max(_NUMERALS.values(), key=lambda limit: limit.value)


def weather_ratings(built: Built) -> Iterator[Said]:
    """Yield an answer for all gear outdoors; gear of one part with one fault in one exposure together."""
    low: dict[tuple[Path, str], list[Gear]] = {}
    not_known: dict[Path, list[Gear]] = {}
    no_exposure: dict[Path, list[Gear]] = {}
    for gear in built.gear.values():
        space = built.spaces.get(gear.space or "")
        exposure = Value(None, gear.value("space").at) if space is None else space.value("exposure")
        if exposure.value == "indoor":
            yield NotApplicable(WEATHER.name, gear.at, "stands indoors")
            continue
        code = gear.value("ip")
        water = _water(code)
        if exposure.value is None:
            if water is None or water < _MOST.value:
                no_exposure.setdefault(exposure.at if space is not None else ("design",), []).append(gear)
            else:
                yield Passed(WEATHER.name, gear.at)
        elif water is None:
            at = code.at if code.value is not None or gear.part is None else (*gear.part_at, "ip")
            not_known.setdefault(at, []).append(gear)
        elif water < _NUMERALS[exposure.value].value:
            low.setdefault((code.at, exposure.value), []).append(gear)
        else:
            yield Passed(WEATHER.name, gear.at)
    for (at, exposure_word), gears in low.items():
        yield _too_low(built, at, exposure_word, gears)
    for at, gears in not_known.items():
        yield _open(
            at, gears, "the code of their enclosure is not known", f"IP?{_NUMERALS['outdoor'].value:g}"
        )
    for at, gears in no_exposure.items():
        if at == ("design",):
            placeless = _open(gears[0].value("space").at, gears, "its place is not known", "")
            yield placeless._replace(subject=at, missing=tuple(gear.value("space").at for gear in gears))
        else:
            yield _open(at, gears, f"the exposure of {at[1]} is not known", "")


def _water(code: Value[str]) -> int | None:
    """Return the second numeral of a code, None where it states none."""
    digit = "X" if code.value is None else code.value.removeprefix("IP")[1]
    return int(digit) if digit.isdigit() else None


def _too_low(built: Built, at: Path, exposure: str, gears: list[Gear]) -> Answer:
    code = gears[0].value("ip")
    water, limit = _water(code) or 0, _NUMERALS[exposure]
    written = code.value or ""
    wanted = f"IP{written.removeprefix('IP')[0]}{limit.value:g}"
    changes: tuple[Change, ...] = ()
    if at[0] != "basis" and built.design.origin(at) not in {"measured", "nameplate"}:
        changes = (Change(at, wanted),)
    where = {"sheltered": "on a sheltered wall", "outdoor": "outdoors", "underground": "underground"}[
        exposure
    ]
    return Answer(
        WEATHER.name,
        "fail",
        at[:2] if at[0] in {"part", "switch", "device"} else gears[0].at,
        at,
        f"gear of {written} stands {where}, where {wanted} or better is asked: "
        f"{first_and_number(gear.id for gear in gears)}",
        level="warning" if exposure == "sheltered" else None,
        value=water,
        limit=limit.value,
        unit=limit.unit,
        margin=water - limit.value,
        held_against=limit,
        working=f"second numeral {water} < {limit.value:g}",
        remedy=Remedy(f"gear of {wanted} or better, or an enclosure that is", changes),
        rests_on=(at,),
        distinct=exposure,
    )


def _open(at: Path, gears: list[Gear], why: str, wanted: str) -> Answer:
    return Answer(
        WEATHER.name,
        "open",
        at[:2],
        at,
        f"cannot tell whether gear bears the weather, {why}: {first_and_number(gear.id for gear in gears)}",
        held_against=_NUMERALS["outdoor"],
        missing=(at,),
        turns=f"holds with {wanted} or better in the rain" if wanted else "holds if it is indoors",
    )
