"""required-flow: what must talk can, from network to network and back.

A camera in a network of its own reaches its recorder over a gateway alone. A policy that denies what no flow states
stops it where nobody thought of that flow; a filter that knows no connections lets the pictures out and the
acknowledgements not back. On every switch all lamps are green.
"""

from collections.abc import Iterable, Iterator

from riserlint import (
    Answer,
    Built,
    Change,
    Check,
    NotApplicable,
    Passed,
    Related,
    Remedy,
    RequiredFlow,
    Rule,
    Said,
    Written,
    hookimpl,
    network_limits,
    vlan_words,
)

DENIED = Check(
    "denied",
    "the policy of a gateway stops what is needed",
    "error",
    "where the gateway denies what no flow states, one is stated between the role that needs and the role needed",
    (network_limits.DENY_BY_DEFAULT.citation, network_limits.PERMIT_ONLY_WHAT_IS_NEEDED.citation),
)
WAY_BACK = Check(
    "way-back",
    "replies to what is needed do not come back",
    "error",
    "the gateway has both networks, and lets replies to a stated flow back by itself, or a flow is stated back",
    (network_limits.DENY_BY_DEFAULT.citation,),
)
CHECKS = (DENIED, WAY_BACK)


def review(built: Built, parameters: Written) -> Iterator[Said]:
    """Yield the answers for every need, for those in each VLAN."""
    del parameters
    if not built.design.model.vlan:
        for check in CHECKS:
            yield NotApplicable(check.name, ("design",), "no VLANs are described")
        return
    for flow in built.requirements.flows():
        yield _said(built, flow)


def _said(built: Built, flow: RequiredFlow) -> Said:
    subject = flow.at[:2]
    if flow.outcome == "met":
        return Passed(DENIED.name, subject)
    if flow.outcome == "local":
        return NotApplicable(
            DENIED.name, subject, f"{flow.need} is a question of one network, or of its gateway"
        )
    if flow.outcome == "denied":
        return _denied(built, flow)
    if flow.outcome in {"one-way", "no-return"}:
        return _one_way(built, flow)
    if flow.outcome == "elsewhere":
        return Answer(
            DENIED.name,
            "review",
            subject,
            flow.at,
            f"{_who(flow)} needs {flow.need} in {flow.far}, which another gateway routes: see that {flow.gateway} has "
            "a way to it, and back",
            related=_related(built, flow),
            distinct=f"another gateway {_distinct(flow)}",
        )
    return Answer(
        WAY_BACK.name if flow.missing[0][-1] == "replies" else DENIED.name,
        "open",
        subject,
        flow.at,
        f"cannot tell whether {_who(flow)} reaches {flow.need}{_over(flow)}",
        missing=flow.missing,
        turns=_turns(flow),
        related=_related(built, flow),
        distinct=_distinct(flow),
    )


def _who(flow: RequiredFlow) -> str:
    return f"{flow.who} in {flow.vlan}" if flow.vlan else flow.who


def _over(flow: RequiredFlow) -> str:
    return f" in {flow.far} over {flow.gateway}" if flow.gateway else ""


def _distinct(flow: RequiredFlow) -> str:
    return f"{flow.need} {flow.vlan}"


def _turns(flow: RequiredFlow) -> str:
    key = flow.missing[0][-1] if flow.missing else ""
    return {
        "default": f"holds if {flow.gateway} permits what no flow states",
        "replies": f"holds if {flow.gateway} lets replies back",
        "gateway": f"holds if {flow.gateway} routes it",
    }.get(str(key), "")


def _way(flow: RequiredFlow) -> str:
    if flow.route is None:
        return f"{flow.who} → {flow.gateway}"
    return vlan_words.route_text(flow.route)


def _related(built: Built, flow: RequiredFlow) -> tuple[Related, ...]:
    found = vlan_words.ports_on(flow.route, built.reach.ports)
    if flow.gateway:
        found.setdefault(built.reach.ports.policy(flow.gateway)[1], f"the policy of {flow.gateway}")
    return tuple(Related(at, text) for at, text in found.items())


def _denied(built: Built, flow: RequiredFlow) -> Answer:
    one, other = flow.roles
    model = built.design.model
    changes: tuple[Change, ...] = ()
    if one is None or other is None:
        text = f"a role for {flow.who if one is None else flow.need}, and a flow between the two"
    else:
        text = f"a flow from {one} to {other}"
        apart = any(
            first in model.role and second in model.role[first].apart_from
            for first, second in ((one, other), (other, one))
        )
        name = f"{one}-to-{other}"
        if apart:
            text += ", and no separation of the two"
        elif not _comes_back(built, flow):
            text += ", and replies that come back"
        elif name not in model.flow:
            changes = (Change(("flow", name, "from"), one), Change(("flow", name, "to"), other))
    return Answer(
        DENIED.name,
        "fail",
        flow.at[:2],
        flow.at,
        f"{_who(flow)} needs {flow.need} in {flow.far}, and {flow.gateway} stops it: it denies what no flow states",
        working=f"{_way(flow)} → stops: no flow from {one or flow.who} to {other or flow.need}, none back",
        related=_related(built, flow),
        remedy=Remedy(text, changes),
        rests_on=(flow.at, built.reach.ports.policy(flow.gateway)[1]),
        distinct=_distinct(flow),
    )


def _comes_back(built: Built, flow: RequiredFlow) -> bool:
    """Return whether what answers a new flow would come back for certain."""
    back = any((other.to, other.from_) == flow.roles for other in built.design.model.flow.values())
    return back or built.reach.ports.replies(flow.gateway)[0] is True


def _one_way(built: Built, flow: RequiredFlow) -> Answer:
    if flow.outcome == "no-return":
        why = f"nothing routes {flow.far}, so that no reply finds its way back"
        remedy = Remedy(f"a gateway for {flow.far}, or {flow.need} in {flow.vlan}")
        at = built.addresses.networks[flow.far].gateway_at
        working = f"{_way(flow)}; gateway of {flow.far}: none"
    else:
        why = f"{flow.gateway} lets no replies back"
        one, other = flow.roles
        if any((stated.from_, stated.to) == (other, one) for stated in built.design.model.flow.values()):
            one, other = other, one
        remedy = Remedy(f"a gateway that lets replies back by itself, or a flow from {other} to {one}")
        at = built.reach.ports.replies(flow.gateway)[1]
        working = f"{_way(flow)} → {flow.need}; a flow from {one} to {other}, none back"
    return Answer(
        WAY_BACK.name,
        "fail",
        flow.at[:2],
        flow.at,
        f"{_who(flow)} needs {flow.need} in {flow.far}, and {why}",
        working=working,
        related=(Related(at, "written here"), *_related(built, flow)),
        remedy=remedy,
        rests_on=(flow.at, at),
        distinct=_distinct(flow),
    )


RULE = Rule(
    "required-flow",
    "what must talk can, from network to network and back",
    "A camera in a network of its own reaches its recorder over a gateway alone. Where that denies what nobody thought "
    "of, or lets no replies back, all lamps are green and nothing is recorded.",
    CHECKS,
    review,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
