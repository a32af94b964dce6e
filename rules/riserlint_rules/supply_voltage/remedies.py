"""What would bring the voltage: a shorter link, thicker copper, another cable of the same file; computed."""

import math

from riserlint import Built, Cable, Change, FeedPower, Gear, Remedy, poe_limits, voltages
from riserlint_rules.supply_voltage.words import volts


def target_volts(built: Built, power: FeedPower) -> float:
    """Return the voltage with which nothing is left to say of a load: all that is judged of it holds.

    What it needs, what a permitted channel leaves, and so much that its port gives the watts, loss included.
    """
    needed = voltages.needed_volts(power)
    bars = [power.volts.low / 2, *(way.least_v for way in built.voltages.permitted(power))]
    if needed.volts is not None:
        bars.append(needed.volts.high)
    port_w, load_w = built.headroom.port(power).watts.high, power.load_w.high
    if power.chain is None and math.isfinite(port_w) and load_w < port_w:
        bars.append(power.volts.low * load_w / port_w)
    return max(bars)


def remedy(built: Built, power: FeedPower) -> Remedy:
    """Return what would bring the voltage, with the change of the cable's kind where that is enough."""
    least_v = target_volts(built, power)
    if not math.isfinite(least_v) or least_v <= 0:
        return Remedy("a source of a known voltage that is high enough")
    wire = built.voltages.wire(power, least_v)
    aim = f"for {volts(math.ceil(least_v * 10) / 10)} at {power.feed.load.id}"
    ways: list[str] = []
    if wire.ohm is not None:
        if wire.link_m is not None and wire.link_m >= 1:
            with_it = ", allowance included" if built.metres(power.feed.run).allowance_m else ""
            ways.append(f"a link of at most {math.floor(wire.link_m)} m{with_it}")
        if wire.awg is not None:
            ways.append(f"copper of {wire.awg} AWG or thicker at this length")
        if not ways:
            ways.append(f"at most {_down(wire.ohm)} Ω over the powered pairs")
        if _four_pairs_do(power, wire.ohm):
            ways.append("power over all four pairs")
    ways.append(
        "a source nearer to it" if wire.ohm is not None else "a source of more volts, or nearer to it"
    )
    return Remedy(f"{aim}: {', or '.join(ways)}", _thicker_cable(built, power, least_v))


def _down(ohm: float) -> str:
    return f"{math.floor(ohm * 100) / 100:g}"


def _four_pairs_do(power: FeedPower, ohm: float) -> bool:
    """Return whether the same wires on all four pairs, half the resistance, would do."""
    grant = power.grant
    if grant.pse_type is None or poe_limits.MOST_PAIRS[grant.pse_type].value <= grant.pairs.high:
        return False
    return grant.pairs.known and power.ohm.high / 2 <= ohm


def _thicker_cable(built: Built, power: FeedPower, least_v: float) -> tuple[Change, ...]:
    """Return the change of a run's kind of cable to the thinnest of the same file that would do.

    Of the same category and make and not rated lower; only of a run that lies in no bundle, whose heat would
    change, and where nothing that is not judged while its load is off can come to light by it.
    """
    run = power.feed.run
    stated, cable = run.value("cable"), run.cable
    alone = all(segment.bundle.value == "none" for segment in run.segments)
    if cable is None or not alone or stated.assumed or built.design.origin(stated.at) == "measured":
        return ()
    if power.best is None and not _nothing_hidden(power):
        return ()
    fit = [
        other
        for other in built.cables.values()
        if _like_but_thicker(cable, other) and built.voltages.holds_with(power, other, least_v)
    ]
    if not fit:
        return ()
    best = min(fit, key=lambda other: (-other.value("conductor_awg").value, other.id))
    return (Change(stated.at, best.id),)


def _like_but_thicker(cable: Cable, other: Cable) -> bool:
    same = all(
        other.value(key).value is not None and other.value(key).value == cable.value(key).value
        for key in ("category", "strand", "screen")
    )
    if not same or other.value("material").value != "copper":
        return False
    awg, new_awg = cable.value("conductor_awg").value, other.value("conductor_awg").value
    if awg is None or new_awg is None or new_awg > awg:
        return False
    if new_awg == awg and cable.value("material").value == "copper":
        return False
    rated, new_rated = cable.value("rated_c").value, other.value("rated_c").value
    return rated is None or (new_rated is not None and new_rated >= rated)


def _nothing_hidden(power: FeedPower) -> bool:
    """Return whether its source would be asked for no more than it is reckoned with now."""
    source, load = power.feed.source, power.feed.load
    if source is None or load.is_switch or power.chain is not None:
        return False
    root = not (isinstance(source, Gear) and source.feeds_in)
    return root and source.value("pse", "reserves").value in ("class", "cap")
