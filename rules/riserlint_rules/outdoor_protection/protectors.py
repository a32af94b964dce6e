"""Surge protectors: what they bear on powered pairs, and their bond."""

from collections.abc import Iterator

from riserlint import (
    Answer,
    Built,
    Change,
    Citation,
    InlineGear,
    Limit,
    NotApplicable,
    Passed,
    Path,
    Remedy,
    Run,
    Said,
    Value,
    outdoor_limits,
)
from riserlint_rules.outdoor_protection.checks import BONDED, SUITS


def suits_power(built: Built, inline: InlineGear) -> Iterator[Said]:
    """Yield whether a protector in a run that carries power bears the voltage, guards all pairs, states its ohms."""
    run = inline.run
    if run is None or not _powered(built, run, inline):
        yield NotApplicable(SUITS.name, inline.at, "on no powered pairs")
        return
    volts, pairs, ohm = inline.value("max_v"), inline.value("pairs"), inline.value("ohm")
    limit = _volts_asked(built, run)
    failed = False
    for value, record, what in ((volts, limit, "volts"), (pairs, outdoor_limits.PROTECTED_PAIRS, "pairs")):
        if value.value is not None and value.value < record.value:
            failed = True
            yield _falls_short(built, inline, value, record, what)
    missing = tuple(value.at for value in (volts, pairs, ohm) if value.value is None)
    if missing:
        yield Answer(
            SUITS.name,
            "open",
            inline.at,
            missing[0],
            f"surge protector {inline.id} in {run.id}: cannot tell whether it suits powered pairs",
            held_against=limit,
            missing=missing,
            turns=f"holds with {limit.value:g} V or more on {outdoor_limits.PROTECTED_PAIRS.value:g} pairs, and its "
            "ohms stated",
        )
    elif not failed:
        yield Passed(SUITS.name, inline.at)


def _powered(built: Built, run: Run, inline: InlineGear) -> bool:
    """Return whether a thing in a run is where power flows: not refused, and behind the injector if there is one."""
    power = built.power.feeds.get(run.id)
    if power is None or power.grant.refused or power.grant.port_class == "none":
        return False
    injector = power.feed.injector
    if injector is None:
        return True
    behind = run.inlines.index(inline) > run.inlines.index(injector)
    load_last = run.to_port is not None and run.to_port.gear is power.feed.load
    return behind == load_last


def _volts_asked(built: Built, run: Run) -> Limit:
    power = built.power.feeds[run.id]
    limit = outdoor_limits.PROTECTOR_VOLTS
    load = power.feed.load
    passive = load.value(load.side, "passive_v")
    if "passive" not in {power.grant.scheme, power.grant.load_scheme} or passive.value is None:
        return limit
    stated = Citation("design", "", f"the passive feed of {load.id}")
    return limit._replace(value=passive.value, citation=stated, known="stated", source="the design")


def _falls_short(built: Built, inline: InlineGear, value: Value[float], record: Limit, what: str) -> Answer:
    unit = "V" if what == "volts" else "pairs"
    has = value.value or 0
    words = "bears" if what == "volts" else "protects"
    changes: tuple[Change, ...] = ()
    if not value.assumed and built.design.origin(value.at) != "measured":
        changes = (Change(value.at, int(record.value) if what == "pairs" else record.value),)
    return Answer(
        SUITS.name,
        "fail",
        inline.at,
        value.at,
        f"surge protector {inline.id} {words} {has:g} {unit}, powered pairs ask for {record.value:g} {unit}",
        value=has,
        limit=record.value,
        unit=unit,
        margin=round(has - record.value, 3),
        held_against=record,
        working=f"{has:g} {unit} < {record.value:g} {unit}",
        remedy=Remedy(f"a protector of {record.value:g} {unit} or more", changes),
        rests_on=(value.at,),
        distinct=what,
    )


def bonded(built: Built, inline: InlineGear) -> Said:
    """Return whether a protector is bonded."""
    if inline.run is None:
        return NotApplicable(BONDED.name, inline.at, "in no run")
    stated, limit = inline.value("bonded"), outdoor_limits.BONDED
    if built.region in {"europe", "international"}:
        limit = outdoor_limits.BONDED_ZONES
    if stated.value:
        return Passed(BONDED.name, inline.at)
    rests_on: tuple[Path, ...] = (stated.at,)
    if stated.value is None:
        message = f"surge protector {inline.id} in {inline.run.id}: cannot tell whether it is bonded"
        return Answer(
            BONDED.name,
            "open",
            inline.at,
            stated.at,
            message,
            held_against=limit,
            missing=(stated.at,),
            turns="holds if it is bonded to the building's earth",
        )
    changes: tuple[Change, ...] = ()
    if not stated.assumed and built.design.origin(stated.at) != "measured":
        changes = (Change(stated.at, True),)
    return Answer(
        BONDED.name,
        "fail",
        inline.at,
        stated.at,
        f"surge protector {inline.id} in {inline.run.id} is not bonded: it has nowhere to lead a surge to",
        value=0,
        limit=limit.value,
        unit=limit.unit,
        margin=-limit.value,
        held_against=limit,
        working="bonded = false",
        remedy=Remedy("bond it to the building's earth, short and straight", changes),
        rests_on=rests_on,
    )
