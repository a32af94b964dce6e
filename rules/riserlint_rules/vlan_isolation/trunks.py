"""The two ends of a link: whether they agree, and whether they send an access VLAN untagged."""

from collections.abc import Iterator

from riserlint import (
    Answer,
    Built,
    Change,
    Level,
    NotApplicable,
    Passed,
    Port,
    PortSetting,
    Related,
    Remedy,
    Run,
    Said,
    network_limits,
    vlan_ids,
    vlan_words,
)
from riserlint_rules.vlan_isolation.checks import NATIVE, TRUNK
from riserlint_rules.vlan_isolation.entries import joins_nobody, place_of, tagged_without


def table_ends(built: Built) -> Iterator[Said]:
    """Yield the answers for links to devices that have VLANs of their own written."""
    ports = built.reach.ports
    runs: dict[str, Run] = {}
    for gear_id in sorted(ports.with_table):
        gear = built.gear[gear_id]
        if ports.kind(gear) == "device":
            for port in gear.ports.values():
                if port.run is not None and ports.has_own(port):
                    runs[port.run.id] = port.run
    for run in runs.values():
        yield from end_answers(built, run)


def group_answers(built: Built) -> Iterator[Said]:
    """Yield for each aggregated link whether its ports are alike, and both its ends say that it is one."""
    ports = built.reach.ports
    by_group: dict[tuple[str, str], list[Port]] = {}
    for run in built.vlan_spread.links:
        for port, other in ((run.from_port, run.to_port), (run.to_port, run.from_port)):
            if port is None or other is None or ports.setting(port).group is None:
                continue
            by_group.setdefault((port.gear.id, str(ports.setting(port).group)), []).append(port)
            if ports.kind(other.gear) == "managed" and ports.setting(other).group is None:
                yield _one_end_alone(built, run, port, other)
    for (gear, group), members in by_group.items():
        settings = [ports.setting(port) for port in members]
        first = settings[0]
        odd = next((place for place, setting in enumerate(settings) if _unlike(first, setting)), None)
        if odd is not None:
            yield _odd_one(group, members[0], members[odd], first, settings[odd])
        else:
            yield Passed(TRUNK.name, ("port", gear))


def _unlike(one: PortSetting, other: PortSetting) -> bool:
    return one.known and other.known and (one.untagged, one.tagged) != (other.untagged, other.tagged)


def _one_end_alone(built: Built, run: Run, port: Port, other: Port) -> Answer:
    ours = built.reach.ports.setting(port)
    return Answer(
        TRUNK.name,
        "fail",
        run.at,
        place_of(ours, "group"),
        f"{run.id}: {port.label} is part of the aggregated link {ours.group}, {other.label} is part of none: one end "
        "spreads frames over several links, the other takes them for a loop",
        working=f"group {ours.group} at {port.label}, none at {other.label}",
        citations=(network_limits.AGGREGATED_ALIKE.citation,),
        related=(Related(built.reach.ports.setting(other).at, f"{other.label}: no group"),),
        remedy=Remedy("a group at both ends, or at none"),
        distinct=f"group {port.label}",
    )


def _odd_one(group: str, one: Port, other: Port, ours: PortSetting, theirs: PortSetting) -> Answer:
    return Answer(
        TRUNK.name,
        "fail",
        ("port", one.gear.id),
        place_of(theirs),
        f"{one.label} and {other.label} are one aggregated link, {group}, and carry other VLANs: "
        f"{vlan_words.setting_text(ours)}; {vlan_words.setting_text(theirs)}",
        working=f"{vlan_words.setting_text(ours)} ≠ {vlan_words.setting_text(theirs)}",
        citations=(network_limits.AGGREGATED_ALIKE.citation,),
        related=(Related(place_of(ours), one.label),),
        remedy=Remedy("the same VLANs on all ports of the group"),
        distinct=f"group {group}",
    )


def end_answers(built: Built, run: Run) -> Iterator[Said]:
    """Yield whether the two ends of a link agree, each difference once."""
    one, two = run.from_port, run.to_port
    ports = built.reach.ports
    if one is None or two is None:
        return
    if any(ports.kind(port.gear) not in {"managed", "device"} for port in (one, two)):
        return
    ours, theirs = ports.setting(one), ports.setting(two)
    if not ours.listed and not theirs.listed:
        yield NotApplicable(TRUNK.name, run.at, "neither end is listed")
        return
    answers = list(_differences(built, run, one, two))
    if not ours.known or not theirs.known:
        missing = tuple(path for port in (one, two) for path in ports.missing(port))
        message = f"cannot tell whether both ends of {run.id} agree: {_ends_text(ours, theirs, one, two)}"
        yield Answer(
            TRUNK.name, "open", run.at, place_of(ours if ours.listed else theirs), message, missing=missing
        )
    elif not answers:
        yield Passed(TRUNK.name, run.at)
    yield from answers


def _ends_text(ours: PortSetting, theirs: PortSetting, one: Port, two: Port) -> str:
    return (
        f"{one.label} has {vlan_words.setting_text(ours)}; {two.label} has {vlan_words.setting_text(theirs)}"
    )


def _differences(built: Built, run: Run, one: Port, two: Port) -> Iterator[Said]:
    ports = built.reach.ports
    joined = built.vlan_spread.joined(run)
    if joined:
        ours, theirs = ports.setting(one), ports.setting(two)
        yield Answer(
            TRUNK.name,
            "fail",
            run.at,
            place_of(theirs, "untagged"),
            f"{run.id} joins two VLANs: {one.label} sends {ours.untagged} untagged, {two.label} takes it into "
            f"{theirs.untagged}",
            working=f"untagged {ours.untagged} at {one.label}, but untagged {theirs.untagged} at {two.label}",
            citations=(network_limits.NATIVE_MISMATCH.citation,),
            related=(Related(place_of(ours, "untagged"), f"{one.label}: {vlan_words.setting_text(ours)}"),),
            remedy=_untagged_remedy(built, run, one, two),
            distinct="untagged",
        )
    for port, other in ((one, two), (two, one)):
        yield from _form(built, run, port, other, joined)
        yield from _one_sided(built, run, port, other, joined)


def _untagged_remedy(built: Built, run: Run, one: Port, two: Port) -> Remedy:
    """Return the change that sends nothing untagged, and tagged what the link has to carry of the two VLANs."""
    ports = built.reach.ports
    joined = built.vlan_spread.joined(run)
    needed = sorted(vlan for vlan in joined if run.id in built.vlan_spread.crossing[vlan])
    text = f"send the same VLAN untagged at {one.label} and {two.label}, or none"
    if needed:
        text = f"{text}; carry {' and '.join(needed)} tagged at both"
    changes: list[Change] = []
    for port in (one, two):
        setting = ports.setting(port)
        if not ports.is_alone(port) or not setting.known:
            return Remedy(text)
        changes.append(Change(place_of(setting, "untagged"), "none"))
        added = [vlan for vlan in needed if vlan not in setting.tagged]
        if added:
            changes.append(Change(place_of(setting, "tagged"), [*tagged_without(built, port, ()), *added]))
    return Remedy(text, tuple(changes) if not needed or joins_nobody(built, run, joined) else ())


def _form(built: Built, run: Run, port: Port, other: Port, joined: frozenset[str]) -> Iterator[Said]:
    here, there = built.reach.ports.setting(port), built.reach.ports.setting(other)
    vlan = there.untagged
    if vlan is None or vlan not in here.tagged or vlan in there.tagged or vlan in joined:
        return
    needed = run.id in built.vlan_spread.crossing.get(vlan, ())
    level: Level = "error" if needed else "warning"
    message = f"{run.id}: {port.label} tags {vlan}, {other.label} sends it untagged, so that frames go one way at most"
    yield Answer(
        TRUNK.name,
        "fail",
        run.at,
        place_of(there, "untagged"),
        message,
        level,
        related=(Related(place_of(here, "tagged"), f"{port.label}: {vlan_words.setting_text(here)}"),),
        remedy=Remedy(f"send {vlan} tagged at both ends, or untagged at both"),
        distinct=f"form of {vlan}",
    )


def _one_sided(built: Built, run: Run, port: Port, other: Port, joined: frozenset[str]) -> Iterator[Said]:
    """Yield what only one end carries, and nobody needs there; what is needed is the check ``carried``."""
    ports = built.reach.ports
    here, there = ports.setting(port), ports.setting(other)
    if not there.known:
        return
    carried = set(here.tagged) | ({here.untagged} if here.untagged is not None else set())
    extra = sorted(
        vlan
        for vlan in carried - joined
        if there.form(vlan) == "none" and run.id not in built.vlan_spread.crossing[vlan]
    )
    if not extra:
        return
    changes: list[Change] = []
    if ports.is_alone(port):
        if any(vlan in here.tagged for vlan in extra):
            left = tagged_without(built, port, extra)
            changes.append(Change(place_of(here, "tagged"), left))
        if here.untagged in extra:
            changes.append(Change(place_of(here, "untagged"), "none"))
    far = vlan_words.setting_text(there)
    message = f"{run.id}: only {port.label} carries {', '.join(extra)}; {other.label} has {far}"
    yield Answer(
        TRUNK.name,
        "fail",
        run.at,
        place_of(here, "tagged" if any(vlan in here.tagged for vlan in extra) else "untagged"),
        message,
        "warning",
        related=(Related(place_of(there), f"{other.label}: {vlan_words.setting_text(there)}"),),
        remedy=Remedy(
            f"take {', '.join(extra)} off {port.label}, or put it on {other.label}", tuple(changes)
        ),
        distinct=port.label,
    )


def native_answers(built: Built, run: Run) -> Iterator[Said]:
    """Yield whether a trunk sends the VLAN of an access port untagged."""
    ports = built.reach.ports
    one, two = run.from_port, run.to_port
    if one is None or two is None or {ports.kind(one.gear), ports.kind(two.gear)} != {"managed"}:
        return
    ours, theirs = ports.setting(one), ports.setting(two)
    if not ours.listed or not theirs.listed:
        return
    number = {vlan: index for index, vlan in enumerate(ports.named)}
    said = False
    for port, here, there in ((one, ours, theirs), (two, theirs, ours)):
        access = built.vlan_spread.access.get(port.gear.id, {})
        sent = None if here.untagged is None else number[here.untagged]
        if not vlan_ids.double_tagging_possible({number[vlan] for vlan in access}, sent):
            continue
        vlan = here.untagged or ""
        if there.tagged_known and not there.tagged - {vlan}:
            continue
        said = True
        if not there.tagged_known:
            other = two if port is one else one
            message = f"cannot tell what {run.id} carries besides {vlan}, which {port.label} sends untagged"
            yield Answer(
                NATIVE.name,
                "open",
                run.at,
                place_of(here, "untagged"),
                message,
                missing=ports.missing(other),
                distinct=port.label,
            )
            continue
        yield Answer(
            NATIVE.name,
            "fail",
            run.at,
            place_of(here, "untagged"),
            f"{run.id}: {port.label} sends {vlan} untagged, the VLAN of {access[vlan]} at {port.gear.id}: a frame with "
            f"two tags leaves {vlan} over this trunk",
            working=f"untagged {vlan} is among the VLANs of access ports ({', '.join(sorted(access))}); "
            f"tagged at the far end: {', '.join(sorted(there.tagged - {vlan}))}",
            related=(Related(("vlan", vlan), f"VLAN of {access[vlan]}"),),
            remedy=_native_remedy(built, one, two, vlan),
            distinct=port.label,
        )
    if not said:
        yield Passed(NATIVE.name, run.at)


def _native_remedy(built: Built, one: Port, two: Port, vlan: str) -> Remedy:
    text = f"send {vlan} tagged at both ends, and untagged a VLAN that nobody is in, or none"
    ports = built.reach.ports
    changes: list[Change] = []
    for port in (one, two):
        setting = ports.setting(port)
        if (
            not ports.is_alone(port)
            or setting.untagged != vlan
            or vlan in setting.tagged
            or not setting.known
        ):
            return Remedy(text)
        changes.append(Change(place_of(setting, "untagged"), "none"))
        changes.append(Change(place_of(setting, "tagged"), [*tagged_without(built, port, ()), vlan]))
    return Remedy(text, tuple(changes))
