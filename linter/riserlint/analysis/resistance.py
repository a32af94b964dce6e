"""The resistance of a run's powered part as a range: gauge, material, strand, metres, contacts, temperature."""

import math
from typing import NamedTuple

from riserlint.design.models import Strand
from riserlint.design.paths import Path
from riserlint.engineering.conductors import at_temperature, conductor_ohm_per_m, unknown_gauge_ohm_per_m
from riserlint.engineering.span import Span
from riserlint.installation.things import Cable, InlineGear, Run
from riserlint.standards.cabling import CONNECTIONS_TIA
from riserlint.standards.conductors import (
    CONTACT_OHM,
    COPPER_CLAD_ALUMINIUM_FACTOR,
    REFERENCE_CELSIUS,
    STRANDED_FACTOR,
)

#: No cable of a building is colder than this; used only where a place's temperature is not known.
COLDEST_C = -20.0


class ConductorOhm(NamedTuple):
    """Ohm per metre of one conductor at 20 °C as a range, with what is missing and what it rests on."""

    per_m_20: Span
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]


class LoopOhm(NamedTuple):
    """Resistance of one pair, out and back, over the powered part of a run.

    ``copper`` is that of cable and cords at 20 °C, ``fixed`` that of contacts and things in the run, which are not
    corrected for temperature; their ``high`` is infinite where unbounded.
    """

    copper: Span
    fixed: Span
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]

    def at(self, celsius: Span) -> Span:
        """Return the resistance at a temperature of the conductors, of which the upper end may be infinite."""
        low = at_temperature(self.copper.low, max(celsius.low, COLDEST_C)) + self.fixed.low
        copper = self.copper.high
        if copper and (math.isinf(celsius.high) or math.isinf(copper)):
            return Span(low, math.inf)
        return Span(low, (at_temperature(copper, celsius.high) if copper else 0.0) + self.fixed.high)


def conductor_of(cable: Cable | None, where: Path, *, cord: bool) -> ConductorOhm:
    """Return the conductor resistance of a kind of cable, from the best to the worst that what is missing allows.

    ``where`` is the place of the missing kind itself. A cord's kind may be left out: then it may have any gauge
    that the standards know for cords.
    """
    if cable is None:
        low, high = unknown_gauge_ohm_per_m("cord" if cord else "horizontal", celsius=REFERENCE_CELSIUS.value)
        high *= COPPER_CLAD_ALUMINIUM_FACTOR.value * STRANDED_FACTOR.value
        return ConductorOhm(Span(low, high), (where,), ())
    missing: list[Path] = []
    rests_on: list[Path] = []
    found = {}
    for key in ("conductor_awg", "material", "strand"):
        value = cable.value(key)
        found[key] = value.value
        (missing if value.value is None else rests_on).append(value.at)
    awg, material, strand = found["conductor_awg"], found["material"], found["strand"]
    best_strand: Strand = strand or "solid"
    worst_strand: Strand = strand or "stranded"
    if awg is None:
        low, high = unknown_gauge_ohm_per_m("cord" if cord else "horizontal", celsius=REFERENCE_CELSIUS.value)
        low *= STRANDED_FACTOR.value if best_strand == "stranded" else 1.0
        # The caps of the standard are those of the cable as it is made, strand included.
        factor = COPPER_CLAD_ALUMINIUM_FACTOR.value
        low *= factor if material == "copper-clad-aluminium" else 1.0
        high *= 1.0 if material == "copper" else factor
        if cord:  # a thin stranded cord can be above the cap that is recalled for it
            thin = conductor_ohm_per_m(
                28, material="copper", strand=worst_strand, celsius=REFERENCE_CELSIUS.value
            )
            high = max(high, thin * (1.0 if material == "copper" else factor))
    else:
        celsius = REFERENCE_CELSIUS.value
        low = conductor_ohm_per_m(awg, material=material or "copper", strand=best_strand, celsius=celsius)
        high = conductor_ohm_per_m(
            awg, material=material or "copper-clad-aluminium", strand=worst_strand, celsius=celsius
        )
    return ConductorOhm(Span(low, high), tuple(missing), tuple(rests_on))


def connections_of(run: Run) -> tuple[Span, tuple[Path, ...]]:
    """Return the connections in a run's channel, things in the run counted, and what is missing.

    Not stated: from none to the most that the standards allow.
    """
    written = run.value("connections")
    inline = len(run.inlines)
    if written.value is None:
        return Span(inline, max(CONNECTIONS_TIA.value, inline)), (written.at,)
    return Span(written.value + inline, written.value + inline), ()


def loop_ohm(
    run: Run,
    link_m: Span,
    conductor: ConductorOhm,
    cords: tuple[tuple[Span, ConductorOhm], ...] | None,
) -> LoopOhm:
    """Return the loop resistance of one pair of a run's powered part.

    R = 2 (sum of metres × ohm per metre at temperature + contact resistance × connections + inline ohm).
    An injector at ``at_m`` of the link, from the ``from`` end, starts the powered part there; with its place
    unknown, anywhere on the run. Which cords and connections lie behind it is not written, so from none to all of
    them. ``cords`` of None are cords of which nothing is known.
    """
    injector = next((inline for inline in run.inlines if inline.is_injector), None)
    powered_m, missing_place = (link_m, ()) if injector is None else _behind(run, injector, link_m)
    missing = [*conductor.missing, *missing_place]
    rests_on = list(conductor.rests_on)
    low = powered_m.low * conductor.per_m_20.low
    high = _times(powered_m.high, conductor.per_m_20.high)
    if cords is None:
        high = math.inf
    else:
        for metres, kind in cords:
            if injector is None:
                low += metres.low * kind.per_m_20.low
            high += _times(metres.high, kind.per_m_20.high)
            if metres.high > 0:
                missing.extend(kind.missing)
                rests_on.extend(kind.rests_on)
    fixed, missing_fixed = fixed_ohm(run)
    missing.extend(missing_fixed)
    return LoopOhm(Span(2 * low, 2 * high), fixed, tuple(missing), tuple(rests_on))


def fixed_ohm(run: Run) -> tuple[Span, tuple[Path, ...]]:
    """Return what contacts and things in a run add to the loop of one pair, and what is missing for it.

    Twice the sum of contact resistance × connections and the ohms of the things, which stand in each conductor. An
    injector of which none are written adds nothing but its contact: the volts of a source are those at its output
    (IEEE Std 802.3), so that what is inside is before them. Written as unknown, they have no bound, as those of
    other things that state none: no standard sets one.
    """
    behind_injector = any(inline.is_injector for inline in run.inlines)
    connections, missing_connections = connections_of(run)
    missing = list(missing_connections)
    low = CONTACT_OHM.value * (0 if behind_injector else connections.low)
    high = CONTACT_OHM.value * connections.high
    for inline in run.inlines:
        ohm = inline.value("ohm")
        if ohm.value is not None:
            low += ohm.value if inline.is_injector or not behind_injector else 0.0
            high += ohm.value
        elif not inline.is_injector or inline.asked(ohm.at):
            missing.append(ohm.at)
            high = math.inf
    return Span(2 * low, 2 * high), tuple(missing)


def _behind(run: Run, injector: InlineGear, link_m: Span) -> tuple[Span, tuple[Path, ...]]:
    """Return the metres of the link between an injector and the end that takes the power, and what is missing."""
    start = injector.value("at_m")
    if start.value is None:
        return Span(0.0, link_m.high), (start.at,)
    if run.feed is not None and run.from_port is not None and run.feed.load is run.from_port.gear:
        return Span(min(start.value, link_m.low), min(start.value, link_m.high)), ()
    return Span(max(0.0, link_m.low - start.value), max(0.0, link_m.high - start.value)), ()


def _times(metres: float, ohm: float) -> float:
    return 0.0 if metres == 0 or ohm == 0 else metres * ohm
