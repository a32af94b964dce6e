"""Single runs: the voltage at the load against off, against what it needs, against a permitted channel."""

from collections.abc import Iterator
from itertools import pairwise

from riserlint import (
    Answer,
    Built,
    Check,
    Citation,
    FeedPower,
    Limit,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Said,
    Span,
    at_least,
    poe_limits,
    source_end,
    voltages,
    watt_words,
)
from riserlint_rules.supply_voltage.checks import (
    CHANNEL,
    CLASS_TABLE,
    LEAST,
    LEAST_MODE_VOLTS,
    LEAST_VOLTS,
    OFF,
)
from riserlint_rules.supply_voltage.remedies import remedy
from riserlint_rules.supply_voltage.words import against_assumed, link_sum, told_apart, volts

_OFF_V = poe_limits.PD_OFF_VOLTS.value


def run_answers(built: Built, power: FeedPower) -> Iterator[Said]:
    """Yield whether a load is off, whether it has the voltage that it needs, and whether its channel is sound."""
    run, needed = power.feed.run, voltages.needed_volts(power)
    why = _not_judged(built, power)
    if why:
        for check in (OFF, LEAST, CHANNEL):
            yield NotApplicable(check.name, run.at, why)
        return
    arrives = built.voltages.at_load(power)
    if _is_off(power, arrives):
        yield _off(built, power, arrives)
        for check in (LEAST, CHANNEL):
            yield NotApplicable(check.name, run.at, "its load is off")
        return
    least = _least(built, power, needed, arrives)
    off_known = arrives.low > (0.0 if voltages.is_passive(power.grant) else _OFF_V)
    if off_known:
        yield Passed(OFF.name, run.at)
    elif isinstance(least, Passed) or needed.volts is None:
        yield _cannot_tell(built, power, OFF, f"whether {power.feed.load.id} is off", arrives, _OFF_V)
    else:
        yield NotApplicable(OFF.name, run.at, "answered with the least voltage that it must work at")
    yield least
    if isinstance(least, Passed):
        yield _channel(built, power)
    elif least.kind == "fail":
        yield NotApplicable(CHANNEL.name, run.at, "the load has less than it must work at")
    else:
        yield NotApplicable(CHANNEL.name, run.at, "answered with the least voltage that it must work at")


def _not_judged(built: Built, power: FeedPower) -> str:
    why = built.headroom.no_load(power)
    if why:
        return why
    if power.load_w.high == 0:
        return "it takes nothing over this feed"
    grant, load = power.grant, power.feed.load
    if not load.has_inlet and grant.port_class is None and grant.scheme is None:
        return "neither end says anything of power"
    if _unfit_passive(power):
        return "its source has less than it works at, which is judged as a passive feed"
    return ""


def _unfit_passive(power: FeedPower) -> bool:
    """Return whether the source of a passive feed has too few volts itself for what its device states."""
    feed, grant = power.feed, power.grant
    if feed.source is None or not grant.scheme == grant.load_scheme == "passive":
        return False
    gives = feed.source.value("pse", "min_v").value
    takes, least = (feed.load.value(feed.load.side, key).value for key in ("passive_v", "min_v"))
    if gives is None or takes is None or least is None:
        return False
    return bool(gives < takes and gives < least)


def _is_off(power: FeedPower, arrives: Span) -> bool:
    return arrives.high <= (0.0 if voltages.is_passive(power.grant) else _OFF_V)


def _off(built: Built, power: FeedPower, arrives: Span) -> Answer:
    run, load = power.feed.run, power.feed.load
    passive = voltages.is_passive(power.grant)
    asked = watt_words.watts(power.load_w.low)
    brings = ""
    if power.chain is None:
        most = built.voltages.most_watts(power, 0.0 if passive else _OFF_V)
        brings = "nothing" if most is None else f"at most {watt_words.watts(most)}"
    if arrives.high:
        text = f"{volts(arrives.high)} arrive with its {asked}, at {volts(_OFF_V)} or less it is off"
        text += f"; this run brings {brings}" if brings else ""
    else:
        text = f"{asked} cannot be carried over this run" + (f", which brings {brings}" if brings else "")
    return Answer(
        OFF.name,
        "fail",
        run.at,
        (*run.at, "link_m"),
        f"{where(built, power)}: {load.id} is off: {text}",
        value=round(arrives.high, 3),
        limit=None if passive else _OFF_V,
        unit="V",
        margin=None if passive else round(arrives.high - _OFF_V, 3),
        held_against=None if passive else poe_limits.PD_OFF_VOLTS,
        working=link_sum(power, arrives),
        related=chain_places(built, power),
        remedy=remedy(built, power),
        rests_on=built.power.rests_on(power),
    )


def _least(built: Built, power: FeedPower, needed: voltages.NeededVolts, arrives: Span) -> Passed | Answer:
    run, load = power.feed.run, power.feed.load
    if needed.volts is None:
        message = f"cannot tell whether {volts(arrives)} are enough for {load.id}, which is passive and states no least"
        return Answer(
            LEAST.name,
            "open",
            run.at,
            source_end(power.feed),
            f"{where(built, power)}: {message}",
            missing=_distinct((*needed.missing, *(() if arrives.known else _missing(built, power)))),
            turns=f"holds if it works at {volts(arrives.low)}" if arrives.low else "",
            rests_on=built.power.rests_on(power),
        )
    verdict = at_least(arrives, needed.volts)
    if verdict == "pass":
        return Passed(LEAST.name, run.at)
    if verdict == "open":
        what = f"whether {load.id} has the voltage that it must work at"
        answer = _cannot_tell(built, power, LEAST, what, arrives, needed.volts)
        return answer._replace(missing=_distinct((*answer.missing, *needed.missing)))
    held = _needed_limit(needed)
    has, must = told_apart(arrives, needed.volts)
    asks = "it states" if needed.stated_at is not None else f"{_class_words(needed)} must work at"
    return Answer(
        LEAST.name,
        "fail",
        run.at,
        (*run.at, "link_m"),
        f"{where(built, power)}: {load.id} has {has}, {asks} {must}",
        value=round(arrives.high, 3),
        limit=round(needed.volts.low, 3),
        unit="V",
        margin=round(arrives.high - needed.volts.low, 3),
        held_against=held,
        working=f"{link_sum(power, arrives)} < {must}",
        related=chain_places(built, power),
        remedy=remedy(built, power),
        rests_on=(*(() if needed.stated_at is None else (needed.stated_at,)), *built.power.rests_on(power)),
    )


def _needed_limit(needed: voltages.NeededVolts) -> Limit:
    volts_low = 0.0 if needed.volts is None else needed.volts.low
    if needed.stated_at is not None:
        by = Citation("the design", "", "")
        return Limit("least voltage at which the load works", volts_low, "V", by, "stated", "the design")
    records = (*(LEAST_VOLTS[found] for found in needed.classes), LEAST_MODE_VOLTS)
    return next(record for record in records if record.value >= volts_low)


def _class_words(needed: voltages.NeededVolts) -> str:
    names = [str(found) for found in needed.classes]
    return (
        f"a class {names[0]} device"
        if len(names) == 1
        else f"a device of its class ({names[0]} to {names[-1]})"
    )


def _channel(built: Built, power: FeedPower) -> Said:
    """Return whether as much arrives as over every channel of the standard that the feed may be, or over none."""
    run, grant = power.feed.run, power.grant
    ways = built.voltages.permitted(power)
    if not ways:
        return NotApplicable(
            CHANNEL.name, run.at, "no channel of the standard is set for its class, type and pairs"
        )
    verdicts = {at_least(way.arrives, way.least_v) for way in ways}
    if verdicts == {"pass"}:
        return Passed(CHANNEL.name, run.at)
    if verdicts != {"fail"} or grant.scheme is None:
        return _channel_open(built, power, ways)
    way = min(ways, key=lambda way: way.least_v - way.arrives.high)
    type_words = _way_words(way)
    has, must = told_apart(way.arrives, way.least_v)
    assumed = against_assumed(power, way)
    remedied = remedy(built, power)
    if len(ways) > 1:
        remedied = Remedy(
            f"{poe_limits.assumed_loop_ohm(way.pse_type, way.pairs):g} Ω or less: shorter, or thicker"
        )
    return Answer(
        CHANNEL.name,
        "fail",
        run.at,
        (*run.at, "link_m"),
        f"{where(built, power)}: {power.feed.load.id} has {has}, a permitted channel leaves {must} ({type_words}): "
        f"{assumed}",
        value=round(way.arrives.high, 3),
        limit=round(way.least_v, 3),
        unit="V",
        margin=round(way.arrives.high - way.least_v, 3),
        held_against=Limit(
            f"least voltage that a permitted channel leaves, {type_words}",
            way.least_v,
            "V",
            CLASS_TABLE.citation,
            "derived",
            "(V + √(V² − 4 R P)) / 2 of the least voltage of the type, the assumed ohm and the watts of the class",
        ),
        working=f"{link_sum(power, way.arrives)} < {must}; {assumed}",
        related=chain_places(built, power),
        remedy=remedied,
        rests_on=built.power.rests_on(power),
    )


def _way_words(way: voltages.Permitted) -> str:
    return f"class {way.assigned} from Type {way.pse_type} over {way.pairs} pairs"


def _channel_open(built: Built, power: FeedPower, ways: tuple[voltages.Permitted, ...]) -> Answer:
    """Return that the channel cannot be told; of several that it may be, the one that leaves the least to spare."""
    tight = min(ways, key=lambda way: way.arrives.low - way.least_v)
    what = f"whether the channel leaves what a permitted one does ({_way_words(tight)}"
    what += ")" if len(ways) == 1 else ", which it may be)"
    answer = _cannot_tell(built, power, CHANNEL, what, tight.arrives, tight.least_v)
    if len(ways) == 1:
        return answer
    grant, source = power.grant, power.feed.source
    unknown = list(grant.missing)
    if grant.pse_type is None:
        unknown.append(source_end(power.feed) if source is None else source.value("pse", "type").at)
    return answer._replace(missing=_distinct((*answer.missing, *unknown)), turns="")


def _cannot_tell(
    built: Built, power: FeedPower, check: Check, what: str, arrives: Span, limit: Span | float
) -> Answer:
    run, load = power.feed.run, power.feed.load
    asked = limit.high if isinstance(limit, Span) else limit
    wire = built.voltages.wire(power, asked)
    turns = ""
    if wire.link_m is not None and wire.link_m >= 1:
        turns = f"holds if the link is {int(wire.link_m)} m or less"
    elif wire.ohm is not None:
        turns = f"holds with {wire.ohm:.3g} Ω or less over the powered pairs"
    has, must = told_apart(arrives, limit)
    return Answer(
        check.name,
        "open",
        run.at,
        source_end(power.feed),
        f"{where(built, power)}: cannot tell {what}: {has} at {load.id}, against {must}",
        missing=_missing(built, power),
        turns=turns,
        rests_on=built.power.rests_on(power),
    )


def _missing(built: Built, power: FeedPower) -> tuple[Path, ...]:
    return _distinct((*power.missing, *built.headroom.hot_bundles((power,))))


def _distinct(paths: tuple[Path, ...]) -> tuple[Path, ...]:
    return tuple(dict.fromkeys(paths))


def where(built: Built, power: FeedPower) -> str:
    """Return a run with the chain that feeds its load."""
    return f"{power.feed.run.id} ({built.headroom.chain_text(power.feed.load)})"


def chain_places(built: Built, power: FeedPower) -> tuple[Related, ...]:
    """Return the gear that feeds a load, the root first, as places."""
    chain = built.headroom.chain(power.feed.load)
    return tuple(Related(above.at, f"feeds {below.id}") for above, below in pairwise(chain))
