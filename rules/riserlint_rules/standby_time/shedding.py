"""Gear that a stated shedding switches off, or robs of what it needs, before its standby is over."""

from collections.abc import Iterator

from riserlint import (
    Answer,
    Gear,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Said,
    Span,
    Standby,
    Standbys,
    Verdict,
    at_least,
    path_text,
)
from riserlint_rules.standby_time.checks import SHED
from riserlint_rules.standby_time.words import minutes_words, named


def shedding(standbys: Standbys) -> Iterator[Said]:
    """Yield the answers for gear by its role, and by the shedding that ends its use."""
    built = standbys.built
    if not built.blackout.sheds:
        for ups in built.ups.values():
            yield NotApplicable(SHED.name, ups.at, "no shedding is stated")
        return
    found: dict[tuple[Path, Path, Verdict], list[tuple[Gear, Span, Standby]]] = {}
    for gear in built.gear.values():
        standby = built.outage.own_standby(gear, standbys.asked_of_all)
        if standby is None or standby.minutes == 0 or gear.at not in built.continuity.backed:
            at = built.outage.unknown_standby(gear, standbys.asked_of_all)
            shed = built.blackout.sheds.get(gear.id)
            if at is not None and shed is not None:
                yield _unknown(gear, at, shed.minutes, shed.at)
            else:
                yield NotApplicable(SHED.name, gear.at, "no standby is asked of it, or no UPS keeps it alive")
            continue
        survival = built.blackout.survival(gear)
        verdict = at_least(survival.useful, standby.minutes)
        ended_by = survival.ended_late_by if verdict == "fail" else survival.ended_by
        if verdict == "pass" or ended_by[2:3] != ("sheds",):
            # A UPS that ends too soon is said of the UPS, a need that is dark at once of the need.
            yield Passed(SHED.name, gear.at)
            continue
        role = getattr(gear.model, "role", None)
        subject: Path = gear.at if role is None else ("role", role)
        found.setdefault((subject, ended_by, verdict), []).append((gear, survival.useful, standby))
    for (subject, shed_at, verdict), members in found.items():
        yield _early(standbys, subject, shed_at, members, fails=verdict == "fail")


def _unknown(gear: Gear, at: Path, minutes: float, shed_at: Path) -> Answer:
    return Answer(
        SHED.name,
        "open",
        gear.at,
        at,
        f"cannot tell whether {gear.id} is switched off too early, after {minutes:g} min: for how long it has to "
        "stand by is not known",
        missing=(at,),
        turns=f"holds if {minutes:g} min or less are asked",
        related=(Related(shed_at, "switches it off"),),
        rests_on=(shed_at,),
    )


def _early(
    standbys: Standbys,
    subject: Path,
    shed_at: Path,
    members: list[tuple[Gear, Span, Standby]],
    *,
    fails: bool,
) -> Answer:
    sheds = standbys.built.blackout.sheds
    gear, useful, standby = members[0]
    names = named([member.id for member, _, _ in members])
    direct = all(member.id in sheds and sheds[member.id].at == shed_at for member, _, _ in members)
    many = len(members) > 1
    loses = f"{'are' if many else 'is'} switched off" if direct else f"{'lose' if many else 'loses'} what "
    if not direct:
        loses += f"{'they need' if many else 'it needs'}, or power, to a shedding"
    after = next(f"{shed.minutes:g} min" for shed in sheds.values() if shed.at == shed_at)
    missing: tuple[Path, ...] = ()
    if not fails:
        missing = standbys.built.failures.missing(gear)
    start = "" if fails else "cannot tell whether it is so: "
    return Answer(
        SHED.name,
        "fail" if fails else "open",
        subject,
        (*shed_at, "after_min"),
        f"{start}{names} {loses} after {after}, {standby.who} asks {standby.minutes:g} min",
        value=useful.high if fails else None,
        limit=standby.minutes,
        unit="min",
        margin=useful.high - standby.minutes if fails else None,
        held_against=standby.limit,
        working=f"useful for {minutes_words(useful)} against {standby.minutes:g} min",
        related=tuple(Related(member.at, "goes with it") for member, _, _ in members),
        remedy=Remedy(f"switch it off after {standby.minutes:g} min at the earliest, or leave it on")
        if fails
        else None,
        missing=missing,
        turns="" if fails else f"holds if another way lives for {standby.minutes:g} min",
        rests_on=((*shed_at, "after_min"), standby.at),
        distinct=path_text(shed_at),
    )
