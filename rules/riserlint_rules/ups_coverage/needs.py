"""What backed gear needs."""

from collections.abc import Iterator

from riserlint import (
    Answer,
    NeedAnswer,
    NotApplicable,
    Passed,
    Related,
    Remedy,
    Said,
    Standby,
    path_text,
)
from riserlint_rules.ups_coverage.asking import Asking
from riserlint_rules.ups_coverage.checks import NEEDS


def needs(asking: Asking) -> Iterator[Said]:
    """Yield the answers for every need."""
    met = {need.asker.subject for need in asking.built.needs.answers}
    met -= {need.asker.subject for need in asking.built.needs.answers if need.kind != "met"}
    for need in asking.built.needs.answers:
        standby = asking.of_asker(need.asker.subject)
        who = path_text(need.asker.subject)
        if not need.asker.members:
            yield NotApplicable(NEEDS.name, need.asker.subject, "no gear has this role")
        elif need.kind == "absent":
            yield _absent(need, standby)
        elif not asking.in_force:
            yield NotApplicable(NEEDS.name, need.asker.subject, "no UPS is described and no standby is asked")
        elif asking.none_asked(need.asker.members):
            yield NotApplicable(NEEDS.name, need.asker.subject, "its role asks for no standby")
        elif not need.asked:
            yield NotApplicable(NEEDS.name, need.asker.subject, f"no gear of {who} is backed for certain")
        elif need.kind == "met":
            if need.asker.subject in met:
                met.discard(need.asker.subject)
                yield Passed(NEEDS.name, need.asker.subject)
        elif need.kind == "open":
            yield _need_open(need)
        else:
            yield _unmet(asking, need, standby)


def _absent(need: NeedAnswer, standby: Standby | None) -> Answer:
    who = path_text(need.asker.subject)
    return Answer(
        NEEDS.name,
        "fail",
        need.asker.subject,
        need.at,
        f"{who} needs {need.need}, and nothing in the design has that role",
        level="error" if standby is not None else None,
        related=(Related(("role", need.need), "is the role that nothing has"),),
        remedy=Remedy(f"describe the gear whose role is {need.need}, or take the need out"),
        rests_on=(need.at,),
        distinct=need.need,
    )


def _need_open(need: NeedAnswer) -> Answer:
    who = path_text(need.asker.subject)
    count = f"{len(need.members)} of {need.asked}"
    why = "no run in the design leads there"
    if need.node is not None:
        why = f"{need.node.id} is not known well enough"
    elif not need.providers:
        why = "no gear is described that has that role"
    return Answer(
        NEEDS.name,
        "open",
        need.asker.subject,
        need.at,
        f"{who}: cannot tell whether {count} that are backed reach {need.need} in an outage: {why}",
        related=tuple(Related(gear.at, f"needs {need.need}") for gear in need.members),
        missing=need.missing,
        turns=f"holds if runs lead from {who} to {need.need} over backed gear",
        distinct=need.need if need.node is None else f"{need.need} {need.node.id}",
    )


def _unmet(asking: Asking, need: NeedAnswer, standby: Standby | None) -> Answer:
    node = need.node
    assert node is not None
    who = path_text(need.asker.subject)
    ways = asking.built.continuity.ways[node.at]
    state = "is not backed" if node.at not in asking.built.continuity.backed else "does not pass frames on"
    is_it = any(provider is node for provider in need.providers)
    lose = "loses" if len(need.members) == 1 else "lose"
    where = f"{node.id}, which is needed," if is_it else f"{node.id}, on the way to {need.need},"
    asked = f"; {standby.who} asks {standby.minutes:g} min" if standby is not None else ""
    return Answer(
        NEEDS.name,
        "fail",
        need.asker.subject,
        need.at,
        f"{who}: {len(need.members)} of {need.asked} that are backed {lose} {need.need} in an outage: "
        f"{where} {state}{asked}",
        level="error" if standby is not None else None,
        related=(
            Related(ways[0].at if ways else node.at, f"feeds {node.id}"),
            *(Related(gear.at, f"needs {need.need}") for gear in need.members),
        ),
        remedy=Remedy(f"bring {node.id} onto a UPS too"),
        rests_on=(need.at,),
        distinct=f"{need.need} {node.id}",
    )
