"""Kinds of cable: the metal of all that carry power, the gauge of those that are fixed."""

from collections.abc import Iterator
from typing import NamedTuple

from riserlint import (
    Answer,
    Built,
    Cable,
    Change,
    NotApplicable,
    Passed,
    Path,
    Remedy,
    Run,
    Said,
    Value,
    conductor_limits,
    conductors,
)
from riserlint_rules.conductor_material.checks import COPPER_CLAD, GAUGE

_UNPOWERED = "no run that carries power uses it"
_CELSIUS = conductor_limits.REFERENCE_CELSIUS.value


class Use(NamedTuple):
    """A kind of cable with the powered runs that use it, as fixed cable and as cords."""

    cable: Cable
    links: list[str]
    cords: list[str]


def cable_answers(built: Built) -> Iterator[Said]:
    """Yield an answer for every kind of cable of the file, and for the one that the basis assumes for cords."""
    used = _used(built)
    for cable in built.cables.values():
        use = used.pop(cable.id, None)
        if use is None:
            yield NotApplicable(COPPER_CLAD.name, cable.at, _UNPOWERED)
            yield NotApplicable(GAUGE.name, cable.at, _UNPOWERED)
            continue
        yield _metal(built, use, cable.at, cable.id)
        if use.links:
            yield _gauge(built, use)
        else:
            yield NotApplicable(GAUGE.name, cable.at, "no run that carries power uses it as fixed cable")
    for use in used.values():
        yield _metal(built, use, ("basis", "cord_cable"), "the cords that the basis assumes")


def unwritten_kinds(run: Run) -> Iterator[Said]:
    """Yield an open answer for a powered run of which the kind of the cable or of cords is not written."""
    missing: list[Path] = []
    if run.cable is None:
        missing.append(run.value("cable").at)
    if run.cords is None:
        missing.append((*run.at, "cords_m"))
    else:
        missing.extend(cord.kind_at for cord in run.cords if cord.cable is None and cord.metres.value != 0)
    if missing:
        parts = "its cable" if run.cable is None else "its cords"
        if run.cable is None and len(missing) > 1:
            parts = "its cable and its cords"
        yield Answer(
            COPPER_CLAD.name,
            "open",
            run.at,
            missing[0],
            f"{run.id} ({run.ends}): cannot tell whether {parts} are of copper: the kind is not written",
            held_against=conductor_limits.COPPER_SHARE,
            missing=tuple(dict.fromkeys(missing)),
            turns="holds with conductors of copper",
        )


def _used(built: Built) -> dict[str, Use]:
    used: dict[str, Use] = {}
    for run in built.runs.values():
        power = built.power.feeds.get(run.id)
        if power is None or power.grant.refused:
            continue
        if run.cable is not None:
            _use_of(used, run.cable).links.append(run.id)
        for cord in run.cords or ():
            if cord.cable is not None and cord.metres.value != 0:
                cords = _use_of(used, cord.cable).cords
                if not cords or cords[-1] != run.id:
                    cords.append(run.id)
    return used


def _use_of(used: dict[str, Use], cable: Cable) -> Use:
    found = used.get(cable.id)
    if found is None:
        found = used[cable.id] = Use(cable, [], [])
    return found


def _users(runs: list[str]) -> str:
    more = f" and {len(runs) - 3} more" if len(runs) > 3 else ""
    return f"powered: {', '.join(runs[:3])}{more}"


def _metal(built: Built, use: Use, subject: Path, name: str) -> Said:
    cable = use.cable
    material, awg = cable.value("material"), cable.value("conductor_awg")
    if material.value == "copper":
        return Passed(COPPER_CLAD.name, subject)
    users = _users(use.links or use.cords)
    if material.value is None:
        return Answer(
            COPPER_CLAD.name,
            "open",
            subject,
            material.at,
            f"{name}: cannot tell whether its conductors are of copper ({users})",
            held_against=conductor_limits.COPPER_SHARE,
            missing=(material.at,),
            turns="holds with conductors of copper",
        )
    working = f"{conductor_limits.COPPER_CLAD_ALUMINIUM_FACTOR.value:g} times the resistance of copper"
    if awg.value is not None:
        ohm = 100 * _copper_per_m(cable, awg.value)[0]
        clad = ohm * conductor_limits.COPPER_CLAD_ALUMINIUM_FACTOR.value
        working = f"{awg.value} AWG: {clad:.4g} ohm per 100 m, of copper {ohm:.4g}"
    beside = conductor_limits.POWER_CONDUCTOR_COPPER_SHARE
    if built.region != "north-america":
        beside = conductor_limits.IEC_COPPER_SHARE
    changes = (Change(material.at, "copper"),) if _may_change(built, material) else ()
    return Answer(
        COPPER_CLAD.name,
        "fail",
        subject,
        material.at,
        f"{name}: conductors of copper-clad aluminium carry power, the cabling standards ask for copper ({users})",
        held_against=conductor_limits.COPPER_SHARE,
        citations=(beside.citation,),
        working=working,
        remedy=Remedy("cable and cords of copper", changes),
        rests_on=(material.at,),
    )


def _copper_per_m(cable: Cable, awg: int) -> tuple[float, float]:
    """Return the least and the greatest ohm per metre that a gauge has as copper, by its make where known."""
    strand = cable.value("strand").value
    solid = conductors.conductor_ohm_per_m(awg, material="copper", strand="solid", celsius=_CELSIUS)
    stranded = conductors.conductor_ohm_per_m(awg, material="copper", strand="stranded", celsius=_CELSIUS)
    return (stranded if strand == "stranded" else solid), (solid if strand == "solid" else stranded)


def _gauge(built: Built, use: Use) -> Said:
    """Judge the gauge as of copper, since another metal is a fault of its own."""
    record = conductor_limits.HORIZONTAL_OHM_PER_100M
    cable, awg = use.cable, use.cable.value("conductor_awg")
    if awg.value is None:
        return Answer(
            GAUGE.name,
            "open",
            cable.at,
            awg.at,
            f"{cable.id}: cannot tell whether its conductors are heavy enough: the gauge is not known "
            f"({_users(use.links)})",
            held_against=record,
            missing=(awg.at,),
            turns=f"holds with {_lightest_gauge()} AWG or thicker",
        )
    low, high = (100 * ohm for ohm in _copper_per_m(cable, awg.value))
    if high <= record.value:
        return Passed(GAUGE.name, cable.at)
    users = _users(use.links)
    if low <= record.value:
        strand = cable.value("strand")
        return Answer(
            GAUGE.name,
            "open",
            cable.at,
            strand.at,
            f"{cable.id}: cannot tell whether its conductors are heavy enough ({users})",
            held_against=record,
            missing=(strand.at,),
            turns=f"holds with at most {record.value:g} ohm per 100 m of conductor",
        )
    gauge = _lightest_gauge()
    changes = (Change(awg.at, gauge),) if _may_change(built, awg) else ()
    return Answer(
        GAUGE.name,
        "fail",
        cable.at,
        awg.at,
        f"{cable.id}: conductors of {awg.value} AWG have {low:.4g} ohm per 100 m of copper, at most {record.value:g} "
        f"({users})",
        value=round(low, 3),
        limit=record.value,
        unit=record.unit,
        margin=round(record.value - low, 3),
        held_against=record,
        working=f"{low:.4g} ohm/100 m > {record.value:g} ohm/100 m at 20 °C",
        remedy=Remedy(f"copper of {gauge} AWG or thicker", changes),
        rests_on=(awg.at,),
    )


def _lightest_gauge() -> int:
    """Return the thinnest gauge of which copper, stranded or not, is within the standard's limit."""
    limit = conductor_limits.HORIZONTAL_OHM_PER_100M.value
    return max(
        row.awg
        for row in conductor_limits.WIRE_TABLE.rows
        if 100
        * conductors.conductor_ohm_per_m(row.awg, material="copper", strand="stranded", celsius=_CELSIUS)
        <= limit
    )


def _may_change(built: Built, value: Value[str] | Value[int]) -> bool:
    return not value.assumed and built.design.origin(value.at) != "measured"
