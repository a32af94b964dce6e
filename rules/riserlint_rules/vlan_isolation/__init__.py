"""vlan-isolation: who is to be kept apart is, and who belongs together is together, port by port.

A VLAN is only what every port on the way says it is. One end of a trunk that was forgotten cuts a floor off;
one that sends another VLAN untagged joins two networks that a drawing shows apart; and a router that nobody told
to deny joins them all. Frames are followed as IEEE Std 802.1Q sends them, routes by the stated policy of the gateway.
"""

from collections.abc import Iterable, Iterator

from riserlint import Built, NotApplicable, Rule, Said, Written, hookimpl
from riserlint_rules.vlan_isolation.checks import (
    APART,
    CARRIED,
    DEFAULT,
    LEAK,
    MEMBER,
    NATIVE,
    POLICY,
    TRUNK,
    VLAN_ID,
)
from riserlint_rules.vlan_isolation.identifiers import default_answers, id_answers
from riserlint_rules.vlan_isolation.roles import apart_answers, member_answers, policy_answers, separations
from riserlint_rules.vlan_isolation.spread import carried_answers, kept_vlans, leak_answers
from riserlint_rules.vlan_isolation.trunks import end_answers, group_answers, native_answers, table_ends


def review(built: Built, parameters: Written) -> Iterator[Said]:
    """Yield the answers for every separation, VLAN and link between switches."""
    del parameters
    model = built.design.model
    pairs = tuple(separations(built))
    if not pairs:
        for check in (APART, POLICY, MEMBER, LEAK):
            yield NotApplicable(check.name, ("design",), "no role is to be kept apart from another")
    if not model.vlan:
        for check in (CARRIED, TRUNK, VLAN_ID, DEFAULT, NATIVE):
            yield NotApplicable(check.name, ("design",), "no VLANs are described")
    yield from member_answers(built, pairs)
    for pair in pairs:
        yield from apart_answers(built, pair)
    if pairs:
        yield from policy_answers(built, pairs)
    if not model.vlan:
        return
    yield from id_answers(built)
    for run in built.vlan_spread.links:
        yield from end_answers(built, run)
        yield from native_answers(built, run)
    yield from table_ends(built)
    yield from group_answers(built)
    kept = kept_vlans(built, pairs)
    for vlan in built.reach.ports.named:
        yield from carried_answers(built, built.vlan_spread.spread(vlan))
        yield from default_answers(built, vlan)
        if vlan in kept:
            yield from leak_answers(built, vlan)


RULE = Rule(
    "vlan-isolation",
    "roles that are to be kept apart are, over every port of the way",
    "A VLAN that is missing on one hop cuts a floor off; one that leaks, or an untagged VLAN that differs at the two "
    "ends of a trunk, lets a guest reach cameras and door controllers that a drawing shows on a network of their own.",
    (APART, POLICY, MEMBER, CARRIED, TRUNK, LEAK, VLAN_ID, DEFAULT, NATIVE),
    review,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
