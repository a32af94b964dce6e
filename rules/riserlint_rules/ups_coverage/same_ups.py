"""Two supplies, of which either is to carry gear alone, on the same UPS."""

from collections.abc import Iterator

from riserlint import Answer, Gear, NotApplicable, Passed, Related, Remedy, Said
from riserlint_rules.ups_coverage.asking import Asking
from riserlint_rules.ups_coverage.checks import SAME_UPS


def same_ups(asking: Asking) -> Iterator[Said]:
    """Yield the answers for gear with several supplies."""
    for gear in asking.built.gear.values():
        if len(gear.supplies) > 1:
            yield _of(asking, gear)


def _of(asking: Asking, gear: Gear) -> Said:
    if gear.value("supply_mode").value != "redundant":
        return NotApplicable(SAME_UPS.name, gear.at, "no supply of it is said to carry it alone")
    found = [
        asking.built.continuity.supplied(supply.source.value, supply.source.at) for supply in gear.supplies
    ]
    upses = {supplied.ups for supplied in found if supplied.end != "unknown"}
    if len(upses) > 1:
        return Passed(SAME_UPS.name, gear.at)
    (ups,) = upses or {None}
    if ups is None:
        return NotApplicable(SAME_UPS.name, gear.at, "none of its supplies is known to lead to a UPS")
    places = tuple(supply.source.at for supply in gear.supplies)
    missing = tuple(supplied.missing for supplied in found if supplied.missing is not None)
    if missing:
        return Answer(
            SAME_UPS.name,
            "open",
            gear.at,
            missing[0],
            f"cannot tell whether the supplies of {gear.id} hang on {ups} alone: what feeds one of them is not known",
            missing=missing,
            turns=f"holds if it is not {ups}",
            rests_on=places,
        )
    return Answer(
        SAME_UPS.name,
        "fail",
        gear.at,
        places[1],
        f"all {len(places)} supplies of {gear.id} hang on {ups}: each is to carry it alone, but {ups} takes them all "
        "when it fails",
        related=(Related(places[0], f"hangs on {ups} too"),),
        remedy=Remedy("one of them on another UPS, or on a circuit past this one"),
        rests_on=places,
    )
