"""The ambient of runs: hottest for the rating, mean by metres for resistance and length."""

import math
from typing import NamedTuple

from riserlint.design.paths import Path
from riserlint.engineering.span import Span
from riserlint.installation.build import Installation
from riserlint.installation.things import InlineGear, Run, Segment, Value

UNKNOWN = Span(-math.inf, math.inf)
_NO_RISE = Span(0.0, 0.0)


class Ambient(NamedTuple):
    """A temperature in degrees Celsius as a range, with what is missing and what it rests on."""

    celsius: Span
    missing: tuple[Path, ...]
    rests_on: tuple[Path, ...]


def space_celsius(installation: Installation, space: Value[str], key: str) -> tuple[float | None, Path]:
    """Return a space's temperature (``max_c`` or ``mean_c``; where only one is stated it serves for both).

    A ``max_c`` that is written as unknown stays so: the mean can only be lower.
    """
    if space.value is None:
        # A place that is not known still has the temperatures that the basis assumes for spaces.
        assumed = installation.design.basis.model.assume.space
        for name in (key, "max_c" if key == "mean_c" else "mean_c"):
            figure = None if assumed is None else getattr(assumed, name)
            if figure is not None:
                return figure, ("basis", "assume", "space", name)
        return None, space.at
    found = installation.celsius_of.get((space.value, key))
    if found is None:
        found = installation.celsius_of[(space.value, key)] = _celsius_of(installation, space.value, key)
    return found


def _celsius_of(installation: Installation, space_id: str, key: str) -> tuple[float | None, Path]:
    thing = installation.spaces[space_id]
    own = thing.model
    other = "max_c" if key == "mean_c" else "mean_c"
    if getattr(own, key) is not None:
        return getattr(own, key), (*thing.at, key)
    stated = getattr(own, other)
    assumption = installation.design.basis.model.assume.space
    assumed = None if assumption is None else getattr(assumption, key)
    assumed_at: Path = ("basis", "assume", "space", key)
    if key == "max_c" and thing.asked((*thing.at, key)):
        # Somebody asked for the hottest: no mean stands in for it, and nothing assumed that is below the mean.
        serves = assumed is not None and (stated is None or assumed >= stated)
        return (assumed, assumed_at) if serves else (None, (*thing.at, key))
    if stated is not None and (key == "mean_c" or assumed is None or assumed <= stated):
        # The hottest serves as mean, which is on the safe side; the mean as the hottest where nothing says more.
        return stated, (*thing.at, other)
    if assumed is not None:
        return assumed, assumed_at
    if assumption is not None and getattr(assumption, other) is not None:
        return getattr(assumption, other), ("basis", "assume", "space", other)
    return None, (*thing.at, key)


def hottest(installation: Installation, run: Run) -> Ambient:
    """Return the hottest ambient that a run passes."""
    missing: list[Path] = []
    rests_on: list[Path] = []
    low, high = -math.inf, -math.inf
    for segment in run.segments:
        celsius, path = space_celsius(installation, segment.space, "max_c")
        if celsius is None:
            missing.append(path)
            high = math.inf
        else:
            rests_on.append(path)
            low, high = max(low, celsius), max(high, celsius)
    return Ambient(Span(low, high), tuple(missing), tuple(rests_on))


def mean(installation: Installation, run: Run, rises: dict[int, Span] | None = None) -> Ambient:
    """Return the mean temperature of a run, weighted by the metres in each space.

    ``rises`` adds the rise of the bundle that each segment lies in, by the segment's position. Where the metres
    of a segment are not known the mean lies anywhere between the segments' temperatures.
    """
    if len(run.segments) == 1:
        return _part(installation, run.segments[0], (rises or {}).get(0, _NO_RISE))
    missing: list[Path] = []
    rests_on: list[Path] = []
    parts: list[tuple[Segment, Span]] = []
    for index, segment in enumerate(run.segments):
        part = _part(installation, segment, (rises or {}).get(index, _NO_RISE))
        parts.append((segment, part.celsius))
        missing.extend(part.missing)
        rests_on.extend(part.rests_on)
    lengths = [segment.metres.value for segment, _ in parts]
    if any(length is None for length in lengths) or not sum(length or 0.0 for length in lengths):
        low = min(span.low for _, span in parts)
        high = max(span.high for _, span in parts)
        if low != high:
            missing.extend(segment.metres.at for segment, _ in parts if segment.metres.value is None)
        return Ambient(Span(low, high), tuple(missing), tuple(rests_on))
    total = sum(length or 0.0 for length in lengths)
    low = sum((length or 0.0) * span.low for length, (_, span) in zip(lengths, parts) if length) / total
    high = sum((length or 0.0) * span.high for length, (_, span) in zip(lengths, parts) if length) / total
    return Ambient(Span(low, high), tuple(missing), tuple(rests_on))


def _part(installation: Installation, segment: Segment, rise: Span) -> Ambient:
    """Return the temperature of one stretch of a run."""
    celsius, path = space_celsius(installation, segment.space, "mean_c")
    if celsius is None:
        return Ambient(UNKNOWN, (path,), ())
    return Ambient(Span(celsius + rise.low, celsius + rise.high), (), (path,))


def space_of_inline(inline: InlineGear) -> Value[str]:
    """Return the space of a thing inside a run: that of the run, or by its metres of link that of its stretch."""
    run = inline.run
    if run is None:
        return Value(None, inline.at)
    if len({segment.space.value for segment in run.segments}) == 1:
        return run.segments[0].space
    at_m = inline.value("at_m")
    if at_m.value is None:
        return Value(None, at_m.at)
    end_m = 0.0
    for segment in run.segments:
        if segment.metres.value is None:
            return Value(None, segment.metres.at)
        end_m += segment.metres.value
        if at_m.value <= end_m:
            return segment.space
    return run.segments[-1].space
