"""Ids of VLANs: which can be used, and whether the default VLAN is in use."""

from collections.abc import Iterator

from riserlint import (
    Answer,
    Built,
    Change,
    NotApplicable,
    Passed,
    Path,
    Port,
    Related,
    Remedy,
    Said,
    network_limits,
    vlan_ids,
)
from riserlint_rules.vlan_isolation.checks import DEFAULT, VLAN_ID


def id_answers(built: Built) -> Iterator[Said]:
    """Yield for each VLAN whether its id can be used, and whether another has it."""
    first: dict[int, str] = {}
    for name, vlan in built.design.model.vlan.items():
        subject: Path = ("vlan", name)
        at: Path = (*subject, "vid")
        if vlan.vid is None:
            message = f"cannot tell whether the id of VLAN {name} can be used: it is not written"
            turns = (
                f"holds from {network_limits.VLAN_ID_FIRST.value:g} to {network_limits.VLAN_ID_LAST.value:g}"
            )
            yield Answer(VLAN_ID.name, "open", subject, at, message, missing=(at,), turns=turns)
            continue
        problem = vlan_ids.vlan_id_problem(vlan.vid)
        if problem is not None:
            low = vlan.vid < network_limits.VLAN_ID_FIRST.value
            limit = network_limits.VLAN_ID_FIRST if low else network_limits.VLAN_ID_LAST
            yield Answer(
                VLAN_ID.name,
                "fail",
                subject,
                at,
                f"VLAN {name}: {problem}",
                value=vlan.vid,
                limit=limit.value,
                margin=vlan.vid - limit.value if low else limit.value - vlan.vid,
                held_against=limit,
                working=f"{vlan.vid} {'<' if low else '>'} {limit.value:g}",
                remedy=_free_id(built, at),
            )
        elif vlan.vid in first:
            other = first[vlan.vid]
            message = f"VLANs {other} and {name} both have id {vlan.vid}: on the wire they are one VLAN"
            related = (Related(("vlan", other, "vid"), f"id of VLAN {other}"),)
            remedy = Remedy("give one of them an id of its own, or make them one VLAN")
            yield Answer(
                VLAN_ID.name, "fail", subject, at, message, related=related, remedy=remedy, distinct=other
            )
        else:
            first[vlan.vid] = name
            yield Passed(VLAN_ID.name, subject)


def _free_id(built: Built, at: Path) -> Remedy:
    taken = {vlan.vid for vlan in built.design.model.vlan.values()}
    default = int(network_limits.VLAN_ID_DEFAULT.value)
    free = next(
        vid for vid in range(default + 1, int(network_limits.VLAN_ID_LAST.value) + 2) if vid not in taken
    )
    same = built.reach.ports.same
    alone = sum(name == same[str(at[1])] for name in same.values()) == 1
    return Remedy(f"take an id that is free, such as {free}", (Change(at, free),) if alone else ())


def default_answers(built: Built, vlan: str) -> Iterator[Said]:
    """Yield whether a VLAN in use is the default VLAN."""
    subject: Path = ("vlan", vlan)
    at: Path = (*subject, "vid")
    ports = built.reach.ports
    vid = ports.vid(vlan)
    default = network_limits.VLAN_ID_DEFAULT
    if vid is not None and vid != default.value:
        yield Passed(DEFAULT.name, subject)
        return
    users = [user.label for user in built.vlan_spread.users[vlan] if not user.routes]
    trunks = [port.label for port in _native_ports(built, vlan)]
    if not users and not trunks:
        yield NotApplicable(DEFAULT.name, subject, "nobody is in it, and no trunk sends it untagged")
        return
    if vid is None:
        message = f"cannot tell whether VLAN {vlan} is the default VLAN: its id is not written"
        turns = f"holds with any id but {default.value:g}"
        yield Answer(
            DEFAULT.name, "open", subject, at, message, held_against=default, missing=(at,), turns=turns
        )
    else:
        used = users or [f"untagged at {label}" for label in trunks]
        more = f" and {len(used) - 3} more" if len(used) > 3 else ""
        yield Answer(
            DEFAULT.name,
            "fail",
            subject,
            at,
            f"VLAN {vlan} is the default VLAN, in which every port is that nobody has set, and is in use: "
            f"{', '.join(used[:3])}{more}",
            value=vid,
            limit=default.value,
            held_against=default,
            working=f"its id, {vid}, is that of the default VLAN",
            remedy=_free_id(built, at),
        )


def _native_ports(built: Built, vlan: str) -> Iterator[Port]:
    for run in built.vlan_spread.links:
        for port in (run.from_port, run.to_port):
            if port is not None and built.reach.ports.kind(port.gear) == "managed":
                setting = built.reach.ports.setting(port)
                if setting.untagged == vlan and (setting.tagged or not setting.tagged_known):
                    yield port
