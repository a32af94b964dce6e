"""Roles that are to be kept apart: whether they are, whether the policy agrees, whether they have members."""

from collections.abc import Iterable, Iterator

from riserlint import (
    Answer,
    Built,
    Change,
    Endpoint,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Route,
    Said,
    vlan_words,
)
from riserlint_rules.vlan_isolation.checks import APART, MEMBER, POLICY

#: A role, another, and where it is written that they are to be kept apart.
Separation = tuple[str, str, Path]


def separations(built: Built) -> Iterator[Separation]:
    """Yield each separation once, as it is written first: it holds both ways."""
    seen: set[frozenset[str]] = set()
    for name, role in built.design.model.role.items():
        for index, other in enumerate(role.apart_from):
            if frozenset((name, other)) not in seen:
                seen.add(frozenset((name, other)))
                yield name, other, ("role", name, "apart_from", index)


def member_answers(built: Built, pairs: Iterable[Separation]) -> Iterator[Said]:
    """Yield for each role of a separation whether it is defined and has members."""
    told: set[str] = set()
    for name, other, at in pairs:
        if other not in built.design.model.role:
            message = f'{name} is to be kept apart from "{other}", a role that nobody defines'
            text = "define it under [role], or name the role that is meant"
            yield Answer(
                MEMBER.name, "fail", ("role", name), at, message, "error", remedy=Remedy(text), distinct=other
            )
            continue
        for role in (name, other):
            if role in told:
                continue
            told.add(role)
            if built.reach.members.get(role):
                yield Passed(MEMBER.name, ("role", role))
                continue
            message = f"{role} is to be kept apart, and no device, wireless name or outlet has this role"
            remedy = Remedy("give it to what belongs to it, or take the separation out")
            yield Answer(MEMBER.name, "fail", ("role", role), ("role", role), message, remedy=remedy)


def apart_answers(built: Built, pair: Separation) -> Iterator[Said]:
    """Yield whether two roles are kept apart, with the way by which they can talk where they are not."""
    name, other, at = pair
    subject: Path = ("role", name)
    members = built.reach.members
    ours, theirs = members.get(name, ()), members.get(other, ())
    if name == other:
        yield _from_each_other(built, name, at, ours)
        return
    if not ours or not theirs:
        empty = name if not ours else other
        yield NotApplicable(APART.name, subject, f"{empty} has no member, so nothing of {other} is shown")
        return
    ways = ((ours, theirs), (theirs, ours))
    talks = [built.reach.roles_talk(name, other), built.reach.roles_talk(other, name)]
    if talks == ["never", "never"]:
        yield Passed(APART.name, subject)
        return
    certain = "always" in talks
    way = ways[talks.index("always" if certain else "unknown")]
    route = built.reach.path(*way, certain=certain)
    if certain and route is not None:
        yield Answer(
            APART.name,
            "fail",
            subject,
            at,
            f"{name} and {other} are to be kept apart and can talk: {vlan_words.route_text(route)}",
            related=_related(built, route),
            remedy=Remedy(_apart_advice(route)),
            rests_on=_rests_on(route),
            distinct=other,
        )
        return
    missing = route.missing if route is not None else ()
    lost = [endpoint for endpoint in (*ours, *theirs) if endpoint.anywhere]
    missing = (*missing, *(path for endpoint in lost for path in endpoint.missing))
    why = (
        f"they may talk: {vlan_words.route_text(route)}"
        if route is not None
        else f"nobody says where {lost[0].label} is"
    )
    yield Answer(
        APART.name,
        "open",
        subject,
        at,
        f"cannot tell whether {name} and {other} are kept apart; {why}",
        related=() if route is None else _related(built, route),
        missing=tuple(dict.fromkeys(missing)),
        distinct=other,
    )


def _from_each_other(built: Built, name: str, at: Path, members: tuple[Endpoint, ...]) -> Said:
    """Return whether the members of a role are kept apart from each other, as isolated ports see to."""
    subject: Path = ("role", name)
    if _each_alone(built, members):
        return Passed(APART.name, subject)
    wired = [one for one in members if one.at[0] == "device" and not one.anywhere and not one.missing]
    for place, one in enumerate(wired):
        others = tuple(wired[place + 1 :])
        if others and built.reach.talk((one,), others) == "always":
            route = built.reach.path((one,), others, certain=True)
            if route is not None:
                return _hear_each_other(built, name, at, route, wired)
    message = (
        f"{name}: that its members are kept apart from each other is a setting of access points and of switches "
        "(isolated = true) to look at"
    )
    return Answer(APART.name, "review", subject, at, message, distinct=name)


def _hear_each_other(built: Built, name: str, at: Path, route: Route, members: list[Endpoint]) -> Answer:
    ports = [one.port for one in members]
    at_one_switch = len({"" if port is None else port.gear.id for port in ports}) == 1
    changes: list[Change] = []
    text = "a VLAN of its own for each switch, and isolated ports in it"
    if at_one_switch and all(port is not None and built.reach.ports.has_own(port) for port in ports):
        text = "isolated ports for all of them"
        places = (built.reach.ports.setting(port).at for port in ports if port is not None)
        changes = [Change((*place, "isolated"), True) for place in dict.fromkeys(places)]
    return Answer(
        APART.name,
        "fail",
        ("role", name),
        at,
        f"{name} is to be kept apart from each other, and {route.first.label} and {route.last.label} can talk: "
        f"{vlan_words.route_text(route)}",
        related=_related(built, route),
        remedy=Remedy(text, tuple(changes)),
        rests_on=_rests_on(route),
        distinct=name,
    )


def _each_alone(built: Built, members: tuple[Endpoint, ...]) -> bool:
    """Return whether no member of a role reaches another one, as isolated ports of one switch see to."""
    if len(members) < 2 or any(one.anywhere or one.missing for one in members):
        return False
    places = {place for one in members for place in one.sends}
    if len(places) < len(members):
        return False  # some share a place, and hear each other
    return all(
        built.reach.talk((one,), tuple(other for other in members if other is not one)) == "never"
        for one in members
    )


def policy_answers(built: Built, pairs: Iterable[Separation]) -> Iterator[Said]:
    """Yield for each flow, and for each role with needs, whether it crosses a separation."""
    model = built.design.model
    apart = {frozenset((name, other)): at for name, other, at in pairs}
    for flow_id, flow in model.flow.items():
        at = apart.get(frozenset((flow.from_, flow.to)))
        subject: Path = ("flow", flow_id)
        if at is None:
            yield Passed(POLICY.name, subject)
            continue
        service = "" if flow.service is None else f" by {flow.service}"
        message = f"flow {flow_id} lets {flow.from_} reach {flow.to}{service}, which are to be kept apart"
        remedy = Remedy("take the flow out, or the separation")
        related = (Related(at, "to be kept apart"),)
        yield Answer(POLICY.name, "fail", subject, (*subject, "to"), message, related=related, remedy=remedy)
    needing: list[tuple[Path, str, tuple[str, ...]]] = [
        (("role", name), name, role.needs) for name, role in model.role.items() if role.needs
    ]
    needing.extend(
        (("device", name), device.role, device.needs)
        for name, device in model.device.items()
        if device.role is not None and device.needs
    )
    for who, name, needs in needing:
        crossing = [
            (index, need, at)
            for index, need in enumerate(needs)
            if (at := apart.get(frozenset((name, _role_of(built, need))))) is not None
        ]
        if not crossing:
            yield Passed(POLICY.name, who)
        for index, need, at in crossing:
            message = f"{who[1]} needs {need} and is to be kept apart from it"
            related = (Related(at, "to be kept apart"),)
            here: Path = (*who, "needs", index)
            remedy = Remedy("keep the need, or the separation")
            yield Answer(
                POLICY.name,
                "fail",
                who,
                here,
                message,
                related=related,
                remedy=remedy,
                distinct=need,
            )
    if not model.flow and not needing:
        yield NotApplicable(POLICY.name, ("design",), "no flow and no need is written")


def _role_of(built: Built, need: str) -> str:
    """Return the role that a need stands for: itself, or that of the gear that it names."""
    if need in built.design.model.role:
        return need
    device = built.design.model.device.get(need)
    return need if device is None or device.role is None else device.role


def _related(built: Built, route: Route) -> tuple[Related, ...]:
    places: dict[Path, str] = {}
    for endpoint in (route.first, route.last):
        places.setdefault(endpoint.at, endpoint.label)
    for at, text in vlan_words.ports_on(route, built.reach.ports).items():
        places.setdefault(at, text)
    for step in route.steps:
        if step.run is None and step.at and step.after.kind == "router":
            places.setdefault(
                step.at, f"{step.after.gear} routes" if step.after.gear != "\x00" else "not written"
            )
    return tuple(Related(at, text) for at, text in places.items())


def _rests_on(route: Route) -> tuple[Path, ...]:
    return tuple(dict.fromkeys(step.at for step in route.steps if step.at))


def _apart_advice(route: Route) -> str:
    for step in route.steps:
        if step.after.kind == "router":
            return f"let {step.after.gear} deny what no flow states, or route only one of the two VLANs"
        left, entered = step.before.vlan, step.after.vlan
        if step.run is not None and left and entered and left != entered and step.before.kind == "gear":
            return f"give both ends of {step.run.id} the same untagged VLAN, or none"
        if step.run is None:
            return f'state joins = "none" for {step.after.gear}, if it is so'
    return f"put {route.first.role} and {route.last.role} in VLANs of their own"
