"""addressing: every host has an address of its own, in its subnet, and a gateway where it needs one.

Two hosts with one address take turns at being reached, and no lamp shows it. A camera with an address of the range that
a server gives out works until the day on which somebody else is given it. A prefix that lies in another one hides half
of it from the router, and a host outside its subnet talks to nobody.
"""

from collections.abc import Iterable, Iterator

from riserlint import Built, NotApplicable, Rule, Said, hookimpl
from riserlint_rules.addressing.checks import CHECKS, GATEWAY, Parameters
from riserlint_rules.addressing.hosts import host_answers
from riserlint_rules.addressing.networks import gateway_answers, network_answers, overlap_answers


def review(built: Built, parameters: Parameters) -> Iterator[Said]:
    """Yield the answers for every network and every address."""
    design = ("design",)
    if not built.design.model.vlan:
        yield NotApplicable(GATEWAY.name, design, "no VLANs are described")
    else:
        yield from gateway_answers(built)
    if not built.addresses.stated:
        for check in CHECKS:
            if check is not GATEWAY:
                yield NotApplicable(check.name, design, "no addresses are described")
        return
    yield from overlap_answers(built)
    yield from network_answers(built, parameters)
    yield from host_answers(built)


RULE = Rule(
    "addressing",
    "every host with an address of its own, in its subnet, and a gateway where it needs one",
    "Two hosts with one address take turns at being reached. A fixed address in a range that a server gives out works "
    "until somebody else is given it. A host outside its subnet, or without a gateway, talks to nobody beyond.",
    CHECKS,
    review,
    Parameters,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
