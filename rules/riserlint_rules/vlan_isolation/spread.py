"""A VLAN over the whole graph: where it breaks, and where it goes though nobody needs it there."""

from collections.abc import Iterable, Iterator

from riserlint import (
    Answer,
    Built,
    Change,
    Level,
    NotApplicable,
    OneVlan,
    Passed,
    Path,
    Related,
    Remedy,
    Said,
    VlanHop,
    VlanUser,
    vlan_words,
)
from riserlint_rules.vlan_isolation.checks import CARRIED, LEAK, TRUNK
from riserlint_rules.vlan_isolation.entries import joins_nobody, place_of, tagged_without
from riserlint_rules.vlan_isolation.roles import Separation

#: A VLAN that has to come off more links than this asks for a new port table, not for changes of the old one.
MOST_CHANGED = 50


def carried_answers(built: Built, spread: OneVlan) -> Iterator[Said]:
    """Yield whether a VLAN gets to all who use it, with the hop where it breaks."""
    subject: Path = ("vlan", spread.vlan)
    if len({user.gear for user in spread.users}) < 2 and not spread.hops:
        yield NotApplicable(CARRIED.name, subject, "it has no users at two switches")
        return
    told = False
    broken = len(spread.parts) > 1
    for hop in spread.hops:
        if hop.state == "form" or spread.vlan in built.vlan_spread.joined(hop.run):
            continue
        told = True
        if hop.state == "unknown":
            message = f"cannot tell whether VLAN {spread.vlan} gets over {hop.run.id} ({hop.run.ends})"
            at = hop.missing[0] if hop.missing else hop.run.at
            yield Answer(CARRIED.name, "open", subject, at, message, missing=hop.missing, distinct=hop.run.id)
            continue
        yield _missing(built, spread, hop, broken)
    if told:
        return
    if spread.hops:
        yield NotApplicable(
            CARRIED.name, subject, f"{spread.hops[0].run.id} changes its form: see {TRUNK.name}"
        )
    else:
        yield Passed(CARRIED.name, subject)


def _missing(built: Built, spread: OneVlan, hop: VlanHop, broken: bool) -> Answer:
    vlan, run = spread.vlan, hop.run
    ports = built.reach.ports
    ends = " and ".join(port.label for port in hop.lacking)
    setting = ports.setting(hop.lacking[0])
    broken = broken and (hop.breaks or not hop.loop)
    users = _parted(spread, hop) if broken else _at_two_switches(spread)
    verb = "do" if len(hop.lacking) > 1 else "does"
    level: Level = "error" if (broken and spread.asked) or hop.user else "warning"
    if hop.user:
        message = f"VLAN {vlan} does not get to {hop.user}: {ends} {verb} not carry it"
    elif hop.loop and not broken and hop.or_at:
        message = (
            f"VLAN {vlan} is missing at {ends} too, in one loop with {hop.or_at[0].id}: either of them joins its "
            "users, but in a loop every link has to carry it"
        )
    elif hop.loop and not broken:
        message = (
            f"VLAN {vlan} is missing at {ends}, in a loop: if {run.id} becomes the active link, {users} part"
        )
    else:
        message = f"VLAN {vlan} breaks at {run.id} ({run.ends}): {ends} {verb} not carry it, between {users}"
        message += _or_at(hop)
    related = tuple(
        Related(ports.setting(port).at, f"{port.label}: {vlan_words.setting_text(ports.setting(port))}")
        for port in (run.from_port, run.to_port)
        if port is not None and ports.has_own(port)
    )
    return Answer(
        CARRIED.name,
        "fail",
        ("vlan", vlan),
        place_of(setting, "tagged"),
        message,
        level,
        working=f"{vlan} is not among the VLANs of {ends}: {vlan_words.setting_text(setting)}",
        related=related,
        remedy=_missing_remedy(built, vlan, hop),
        distinct=run.id,
    )


def _or_at(hop: VlanHop) -> str:
    """Return the links of its loop of which one would do as well."""
    if not hop.or_at:
        return ""
    more = f" or {len(hop.or_at) - 2} more" if len(hop.or_at) > 2 else ""
    return (
        f"; mending {' or '.join(f'{run.id} ({run.ends})' for run in hop.or_at[:2])}{more} would do as well"
    )


def _gateway_first(users: Iterable[VlanUser]) -> list[VlanUser]:
    return sorted(users, key=lambda user: not user.routes)


def _at_two_switches(spread: OneVlan) -> str:
    """Return one user of each of two switches, the gateway first."""
    by_gear: dict[str, str] = {}
    for user in _gateway_first(spread.users):
        by_gear.setdefault(user.gear, user.label)
    return " and ".join(list(by_gear.values())[:2])


def _parted(spread: OneVlan, hop: VlanHop) -> str:
    """Return a user on the one side of a break and those on the other, the gateway's side first.

    An end that no user hangs together with lies between two breaks; then any part but the first serves.
    """
    sides = [side for side in dict.fromkeys(hop.sides) if side]
    for part in sorted(spread.parts, key=lambda part: not any(user.routes for user in part)):
        if len(sides) < 2 and part not in sides:
            sides.append(part)
    near, far = sorted(sides[:2], key=lambda side: not any(user.routes for user in side))
    more = f" with {len(far) - 1:,} more" if len(far) > 1 else ""
    return f"{_gateway_first(near)[0].label} and {far[0].label}{more}"


def _missing_remedy(built: Built, vlan: str, hop: VlanHop) -> Remedy:
    ports = built.reach.ports
    ends = [port for port in (hop.run.from_port, hop.run.to_port) if port is not None and ports.has_own(port)]
    if any(ports.setting(port).untagged == vlan for port in ends):
        return Remedy(f"send {vlan} in the same form at both ends of {hop.run.id}")
    text = f"add {vlan} to the tagged VLANs of {' and '.join(port.label for port in hop.lacking)}"
    if not all(ports.is_alone(port) for port in hop.lacking) or not joins_nobody(built, hop.run, {vlan}):
        return Remedy(text)
    return Remedy(
        text,
        tuple(
            Change(place_of(ports.setting(port), "tagged"), [*tagged_without(built, port, ()), vlan])
            for port in hop.lacking
        ),
    )


def kept_vlans(built: Built, pairs: Iterable[Separation]) -> set[str]:
    """Return the VLANs in which somebody is to be kept apart from somebody."""
    kept = {role for name, other, _ in pairs for role in (name, other)}
    users = built.vlan_spread.users
    return {vlan for vlan, found in users.items() if any(user.role in kept for user in found)}


def leak_answers(built: Built, vlan: str) -> Iterator[Said]:
    """Yield the links that tag a VLAN though nobody in it needs them."""
    ports = built.reach.ports
    idle = built.vlan_spread.idle(vlan)
    if not idle:
        yield Passed(LEAK.name, ("vlan", vlan))
        return
    ends = [port for run in idle for port in (run.from_port, run.to_port) if port is not None]
    tagged = [place_of(ports.setting(port), "tagged") for port in ends]
    changes: tuple[Change, ...] = ()
    if len(idle) <= MOST_CHANGED and all(ports.is_alone(port) for port in ends):
        changes = tuple(Change(at, tagged_without(built, port, (vlan,))) for port, at in zip(ends, tagged))
    more = f" and {len(idle) - 3} more" if len(idle) > 3 else ""
    runs = ", ".join(f"{run.id} ({run.ends})" for run in idle[:3]) + more
    yield Answer(
        LEAK.name,
        "fail",
        ("vlan", vlan),
        tagged[0],
        f"VLAN {vlan} is tagged on links that nobody in it needs: {runs}",
        related=tuple(Related(at, f"{port.label} tags {vlan}") for port, at in zip(ends[1:8], tagged[1:8])),
        remedy=Remedy(f"take {vlan} off both ends of {', '.join(run.id for run in idle[:3])}{more}", changes),
    )
