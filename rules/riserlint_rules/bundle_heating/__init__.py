"""bundle-heating: no bundle gets hotter than its cables bear, the guidance allows or the code permits.

Powered cables heat each other, those in the middle of a tight bundle most, and more in a conduit or a hot void
than in open air. Heat raises the resistance and so the loss, shortens the reach, and beyond its rating ages the
insulation. The temperature is computed for each bundle from its own currents; ISO/IEC TS 29125 holds it against
the rating of the cable, TIA TSB-184-A limits the rise, and NFPA 70 has a table of ampacities above 60 W.
"""

from collections.abc import Iterable, Iterator

from riserlint import Answer, Built, NotApplicable, Passed, Path, Rule, Run, Said, hookimpl
from riserlint_rules.bundle_heating.ampacity_table import Typed, code_ampacity
from riserlint_rules.bundle_heating.checks import AMPACITY, RATING, RISE, TABLE, Parameters
from riserlint_rules.bundle_heating.temperature import rating, rise

#: Where the table is (or would be) typed.
TABLE_AT: Path = ("basis", "rule", "bundle-heating", "ampacity")


def review(built: Built, parameters: Parameters) -> Iterator[Said]:
    """Yield the answers for every bundle, and for the runs of which no bundle is known."""
    contradictions = [] if parameters.ampacity is None else parameters.ampacity.contradictions
    yield _table(parameters, contradictions)
    typed = Typed(
        None if parameters.ampacity is None else parameters.ampacity.table, not contradictions, TABLE_AT
    )
    for bundle in built.bundles.values():
        state = built.heat.bundles.get(bundle.id)
        if state is None or not state.live:
            why = "no run lies in it" if state is None else "no run in it carries power"
            for check in (RATING, RISE, AMPACITY):
                yield NotApplicable(check.name, bundle.at, why)
            continue
        yield rating(built, state)
        yield rise(built, state, parameters)
        yield code_ampacity(built, state, typed)
    for run in built.runs.values():
        yield from _alone(built, run)


def _table(parameters: Parameters, contradictions: list[str]) -> Said:
    subject: Path = ("basis", "ampacity")
    if parameters.ampacity is None:
        return NotApplicable(TABLE.name, subject, "the basis holds no ampacity table")
    if not contradictions:
        return Passed(TABLE.name, subject)
    first, more = contradictions[0], len(contradictions) - 1
    beside = f"; and {more} more" if more else ""
    return Answer(
        TABLE.name,
        "fail",
        subject,
        TABLE_AT,
        f"the ampacity table typed for {parameters.ampacity.edition} contradicts itself, so it is not used: "
        f"{first}{beside}",
        working="\n".join(contradictions),
    )


def _alone(built: Built, run: Run) -> Iterator[Said]:
    """Yield what is said of a run by itself: whether it lies in a bundle at all is not known of some."""
    unknown = tuple(segment.bundle.at for segment in run.segments if segment.bundle.value is None)
    power = None if run.feed is None else built.power.feeds.get(run.id)
    if power is None or (power.worst is not None and not power.worst.current_a):
        if unknown:
            yield NotApplicable(RATING.name, run.at, "carries no power")
    elif unknown:
        yield Answer(
            RATING.name,
            "open",
            run.at,
            unknown[0],
            f"{run.id} ({run.ends}): cannot tell how warm it gets; it is not known whether it lies in a bundle",
            missing=unknown,
        )
    elif all(segment.bundle.value == "none" for segment in run.segments):
        yield NotApplicable(RATING.name, run.at, "lies in no bundle")


RULE = Rule(
    "bundle-heating",
    "bundles within the temperature of their cables, the guidance and the code",
    "Powered cables heat each other. A bundle that is too large, too thin or too well enclosed loses more "
    "power, reaches less far, and beyond its rating its insulation ages and fails.",
    (RATING, RISE, AMPACITY, TABLE),
    review,
    Parameters,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
