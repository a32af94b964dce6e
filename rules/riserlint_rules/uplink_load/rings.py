"""Rings, and what is more than a ring."""

from riserlint import Answer, Passed, Related, Remedy, Ring, Said
from riserlint_rules.uplink_load.checks import RING
from riserlint_rules.uplink_load.words import held, mbps_words, mend, rate_limit, rate_words, working

#: So many links of a ring are named.
FEW = 4


def ring_answer(ring: Ring, share: float) -> Said:
    """Return whether every link of a ring carries what comes to it, whichever of them is idle."""
    subject = ring.runs[0].at
    judged = [(idle, load, held(load.carried.average, load.rate, share)) for idle, load in ring.worst]
    failing = [found for found in judged if found[2].verdict == "fail"]
    names = ", ".join(run.id for run in ring.runs[:FEW]) + (" …" if len(ring.runs) > FEW else "")
    if not failing:
        unsure = [found for found in judged if found[2].verdict == "open"]
        if not unsure:
            return Passed(RING.name, subject)
        _, load, asked = unsure[0]
        return Answer(
            RING.name,
            "open",
            subject,
            load.run.at,
            f"cannot tell whether the ring {names} carries {mbps_words(asked.wire)} whichever of its links is idle",
            working=working(load.carried.average, asked),
            missing=(*load.rate_missing, *load.carried.missing),
        )
    idle, load, asked = max(failing, key=lambda found: (found[2].wire.low / found[2].most.high, found[0].id))
    always = len(failing) == len(judged)
    when = "whichever of its links is idle" if always else f"while {idle.id} is idle"
    return Answer(
        RING.name,
        "fail",
        subject,
        load.run.at,
        f"the ring {names} does not carry its streams {when}: with {idle.id} idle {load.run.id} takes "
        f"{mbps_words(asked.wire)} on average, more than {rate_words(load, share)}",
        level="error" if always else None,
        value=round(asked.wire.low, 2),
        limit=round(asked.most.high, 2),
        unit="Mbit/s",
        margin=round(asked.most.high - asked.wire.low, 2),
        held_against=rate_limit(load, share),
        working=working(load.carried.average, asked),
        related=tuple(Related(run.at, run.ends) for run in ring.runs[:FEW] if run is not load.run),
        remedy=Remedy(mend(asked.wire.low, share, load.carried.sources, asked.most.high)),
        rests_on=tuple(run.at for run in ring.runs),
    )
