"""management-exposure: nobody reaches the management of gear who has no business there.

Whoever reaches the management of a switch, a UPS or a recorder can switch everything off, and it mostly answers in the
network that was nearest at hand. A jack on an outside wall, a guest's wireless, a camera that was taken over: each is
followed over the ports of every switch, with whatever can be sent into the port that it hangs on.
"""

from collections.abc import Iterable, Iterator

from riserlint import (
    Answer,
    Built,
    Check,
    Endpoint,
    Exposed,
    Managed,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Rule,
    Said,
    Written,
    first_and_number,
    hookimpl,
    network_limits,
    vlan_words,
)

_CLAUSES = (
    network_limits.SEPARATE_NETWORKS.citation,
    network_limits.DENY_BY_DEFAULT.citation,
    network_limits.SUBNETS_ISOLATED.citation,
)
FROM_ROLE = Check(
    "from-role",
    "those who are not trusted reach the management of gear",
    "error",
    "from the ports and wireless names of roles that are called untrusted no frame, and nothing routed, gets to the "
    "VLAN in which gear is managed; of a port counts all that it carries, tagged too",
    _CLAUSES,
)
OUTDOOR_PORT = Check(
    "outdoor-port",
    "a port outdoors leads to the management of gear",
    "warning",
    "from a port that ends at a device outdoors no frame, and nothing routed, gets to the VLAN in which gear is "
    "managed",
    _CLAUSES,
)
OUTDOOR_TRUNK = Check(
    "outdoor-trunk",
    "the management of gear is carried to a cabinet outdoors",
    "note",
    "links to switches outdoors do not carry the VLAN in which gear is managed, unless the cabinet is locked",
    _CLAUSES,
)
CHECKS = (FROM_ROLE, OUTDOOR_PORT, OUTDOOR_TRUNK)
#: Where whoever passes by gets at a device.
_OUTDOORS = frozenset({"outdoor", "sheltered"})
#: So many ports or pieces of gear are named.
_FEW = 4


def review(built: Built, parameters: Written) -> Iterator[Said]:
    """Yield the answers for each VLAN in which gear is managed."""
    del parameters
    management = built.management
    if not management.managed and not management.unknown:
        for check in CHECKS:
            yield NotApplicable(check.name, ("design",), "in which VLAN gear is managed is not written")
        return
    for at in management.unknown:
        yield _unknown(at)
    outdoor = frozenset(
        name for name, space in built.spaces.items() if space.value("exposure").value in _OUTDOORS
    )
    outside, perhaps = _outside(built, outdoor)
    for managed in management.managed:
        yield from _from_roles(built, managed)
        yield from _from_outside(built, managed, outside, perhaps)
        yield _trunks(built, managed, outdoor)


def _unknown(at: Path) -> Answer:
    return Answer(
        FROM_ROLE.name,
        "open",
        at[:2],
        at,
        f"cannot tell from where the management of {at[1]} can be reached: in which VLAN it answers is not known",
        missing=(at,),
    )


def _gear(managed: Managed) -> str:
    return first_and_number((thing.id for thing in managed.gear), _FEW)


def _from_roles(built: Built, managed: Managed) -> Iterator[Said]:
    subject: Path = ("vlan", managed.vlan)
    roles = built.design.model.role
    asked: dict[str, tuple[bool, Path]] = {}
    for name, role in roles.items():
        at: Path = ("role", name, "untrusted")
        if role.untrusted or built.design.asked(at):
            asked[name] = bool(role.untrusted), at
    if not asked:
        yield NotApplicable(FROM_ROLE.name, subject, "no role is called untrusted")
        return
    for name, (untrusted, at) in asked.items():
        members = tuple(built.management.plugged(one) for one in built.reach.endpoints if one.role == name)
        if not members:
            yield NotApplicable(FROM_ROLE.name, subject, f"{name} has no member")
            continue
        found = built.management.exposed(managed, members)
        if found.talk == "never":
            yield Passed(FROM_ROLE.name, subject)
        elif found.talk == "always" and untrusted:
            yield _reached(built, managed, found, name)
        else:
            missing = found.missing if untrusted else (("role", name, "untrusted"), *found.missing)
            yield _perhaps(built, managed, found, name, at, missing)


def _reached(built: Built, managed: Managed, found: Exposed, role: str) -> Answer:
    return Answer(
        FROM_ROLE.name,
        "fail",
        ("vlan", managed.vlan),
        ("role", role, "untrusted"),
        f"{role} is not trusted and reaches the management of {_gear(managed)} in {managed.vlan}: {_way(found)}",
        working=_count(found.senders, "reach it"),
        related=_related(built, managed, found),
        remedy=Remedy(_advice(managed, found, role)),
        rests_on=_rests_on(managed, found),
        distinct=role,
    )


def _perhaps(
    built: Built, managed: Managed, found: Exposed, role: str, at: Path, missing: tuple[Path, ...]
) -> Answer:
    way = "" if found.route is None else f"; they may: {_way(found)}"
    return Answer(
        FROM_ROLE.name,
        "open",
        ("vlan", managed.vlan),
        at,
        f"cannot tell whether {role} reaches the management of {_gear(managed)} in {managed.vlan}{way}",
        missing=tuple(dict.fromkeys(missing)),
        related=_related(built, managed, found),
        distinct=role,
    )


def _way(found: Exposed) -> str:
    return "" if found.route is None else vlan_words.route_text(found.route)


def _count(senders: tuple[Endpoint, ...], does: str) -> str:
    return f"{first_and_number((one.label for one in senders), _FEW)} {does}"


def _advice(managed: Managed, found: Exposed, who: str) -> str:
    for step in () if found.route is None else found.route.steps:
        if step.after.kind == "router":
            return f"let {step.after.gear} deny what no flow states, or route {managed.vlan} nowhere"
    return f"a VLAN of its own for management, that no port of {who} carries"


def _related(built: Built, managed: Managed, found: Exposed) -> tuple[Related, ...]:
    places: dict[Path, str] = {}
    for thing in managed.gear[:_FEW]:
        places.setdefault((*thing.at, "managed_in"), f"{thing.id} is managed in {managed.vlan}")
    places.update(vlan_words.ports_on(found.route, built.reach.ports))
    return tuple(Related(at, text) for at, text in places.items())


def _rests_on(managed: Managed, found: Exposed) -> tuple[Path, ...]:
    steps = () if found.route is None else found.route.steps
    paths = [*((*thing.at, "managed_in") for thing in managed.gear), *(step.at for step in steps if step.at)]
    return tuple(dict.fromkeys(paths))


def _outside(
    built: Built, outdoor: frozenset[str]
) -> tuple[tuple[Endpoint, ...], tuple[tuple[Endpoint, Path], ...]]:
    """Return the devices that hang on a port outdoors, and those of which it is not known where they are."""
    sure: list[Endpoint] = []
    perhaps: list[tuple[Endpoint, Path]] = []
    for endpoint in built.reach.endpoints:
        gear = built.gear.get(str(endpoint.at[1])) if endpoint.at[0] == "device" else None
        if gear is None or endpoint.port is None:
            continue
        space = gear.value("space")
        if space.value in outdoor:
            sure.append(built.management.plugged(endpoint))
        elif built.places.in_use("exposure"):
            known = None if space.value is None else built.spaces[space.value].value("exposure")
            if known is None or known.value is None:
                perhaps.append((built.management.plugged(endpoint), space.at if known is None else known.at))
    return tuple(sure), tuple(perhaps)


def _from_outside(
    built: Built, managed: Managed, outside: tuple[Endpoint, ...], perhaps: tuple[tuple[Endpoint, Path], ...]
) -> Iterator[Said]:
    subject: Path = ("vlan", managed.vlan)
    if not outside and not perhaps:
        yield NotApplicable(OUTDOOR_PORT.name, subject, "no device is known to be outdoors")
        return
    found = built.management.exposed(managed, outside) if outside else Exposed("never", (), None, ())
    if found.talk == "always":
        first = found.senders[0]
        yield Answer(
            OUTDOOR_PORT.name,
            "fail",
            subject,
            first.at,
            f"from {len(found.senders):,} of {len(outside):,} ports outdoors the management of {_gear(managed)} in "
            f"{managed.vlan} can be reached: {_way(found)}",
            working=_count(found.senders, "hang on such ports"),
            related=_related(built, managed, found),
            remedy=Remedy(_advice(managed, found, "a device outdoors")),
            rests_on=_rests_on(managed, found),
        )
        return
    lost = [
        (endpoint, at)
        for endpoint, at in perhaps
        if built.management.exposed(managed, (endpoint,)).talk != "never"
    ]
    if found.talk == "never" and not lost:
        yield Passed(OUTDOOR_PORT.name, subject)
        return
    missing = (*found.missing, *(at for _, at in lost))
    yield Answer(
        OUTDOOR_PORT.name,
        "open",
        subject,
        found.senders[0].at if found.senders else lost[0][0].at,
        f"cannot tell whether the management of {_gear(managed)} in {managed.vlan} can be reached from a port outdoors",
        missing=tuple(dict.fromkeys(missing)),
        related=_related(built, managed, found),
    )


def _trunks(built: Built, managed: Managed, outdoor: frozenset[str]) -> Said:
    subject: Path = ("vlan", managed.vlan)
    runs = built.management.trunks_outdoors(managed.vlan, outdoor)
    if not runs:
        return Passed(OUTDOOR_TRUNK.name, subject)
    names = first_and_number((run.id for run in runs), _FEW)
    return Answer(
        OUTDOOR_TRUNK.name,
        "fail",
        subject,
        runs[0].at,
        f"{managed.vlan}, in which {_gear(managed)} is managed, is carried to switches outdoors over {names}",
        related=tuple(Related(run.at, run.ends) for run in runs[1:_FEW]),
        remedy=Remedy("cabinets that are locked and watched, or management over a way of its own"),
        rests_on=tuple(run.at for run in runs),
    )


RULE = Rule(
    "management-exposure",
    "nobody reaches the management of gear who has no business there",
    "Whoever reaches the management of a switch, a UPS or a recorder can switch everything off. It mostly answers in "
    "the network that was nearest at hand: that of the cameras, or one that a jack on the outside wall leads to.",
    CHECKS,
    review,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
