"""loss-share: where copper eats more of the power than the basis accepts, and what a thicker gauge would save.

Loss goes with the square of the current: two pairs, thin conductors and long runs turn a tenth of the power of
gear that never sleeps into warm cable. It is no fault, and the volts may be fine; it is paid for every year, first
at the source and then in cooling. So nothing is asked unless the basis says what share may be lost.

Limits are judged at the maximum draw and the least volts, as all limits are; the energy of a year is that of the
typical draw where it is stated for all that hangs on a run, else of the maximum.
"""

import math
from collections.abc import Iterable, Iterator
from typing import Annotated, NamedTuple

from pydantic import Field

from riserlint import (
    Answer,
    Built,
    Cable,
    Change,
    Check,
    Citation,
    FeedPower,
    Limit,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Rule,
    Run,
    RunLoss,
    Said,
    Span,
    Written,
    at_most,
    heat_limits,
    hookimpl,
    loss_of,
    poe_limits,
    sum_of,
    thicker_gauges,
    watt_words,
    with_gauge,
)

RUN = Check(
    "run",
    "a run loses more of its power than the basis accepts",
    "note",
    "I² R / (V I) ≤ share, I = 2 P / (V + √(V² − 4 R P)), at the maximum draw and the least volts; a thicker gauge: "
    "the same with R of the other gauge, lengths, temperature, load and volts kept",
    (),
    (heat_limits.HOURS_PER_YEAR,),
)
DESIGN = Check(
    "design",
    "the design loses more of its power than the basis accepts",
    "note",
    "Σ I² R of all runs / Σ watts at the ports of all sources that take nothing from another cable ≤ share",
    (),
    (heat_limits.HOURS_PER_YEAR,),
)
CHECKS = (RUN, DESIGN)
_DESIGN: Path = ("design", "copper")
_TITLE: Path = ("design", "title")
#: Places that a finding names at most, the worst first.
_FEW = 10
#: The types of source that power two pairs: the fewest that any powers.
_FEWEST_PAIRS = min(most.value for most in poe_limits.MOST_PAIRS.values())
_TWO_PAIRS = tuple(of_type for of_type, most in poe_limits.MOST_PAIRS.items() if most.value == _FEWEST_PAIRS)


class Parameters(Written):
    """``[rule.loss-share]``: the share that may be lost, and the hours of a year that gear runs."""

    most_share: Annotated[float, Field(gt=0, lt=1)] | None = None
    hours_per_year: Annotated[float, Field(gt=0, le=heat_limits.HOURS_PER_YEAR.value)] | None = None


class Lossy(NamedTuple):
    """A run with what it loses."""

    run: Run
    power: FeedPower
    lost: RunLoss


def review(built: Built, parameters: Parameters) -> Iterator[Said]:
    """Yield the answers for every run, those that fail together by kind of cable, and for the design."""
    if parameters.most_share is None:
        for check in CHECKS:
            yield NotApplicable(check.name, _DESIGN, "the basis states no share that may be lost")
        return
    asking = Asking(built, parameters.most_share, parameters.hours_per_year)
    yield from asking.runs()
    yield asking.design()


class Asking:
    """What is asked of one design."""

    def __init__(self, built: Built, share: float, hours: float | None) -> None:
        """Keep what is asked."""
        self.built = built
        self.share = share
        self.hours = heat_limits.HOURS_PER_YEAR.value if hours is None else hours
        #: Kinds of cable of which a run does not work: with a thicker gauge it would, and lose as much as it does.
        self._dark: set[Path] = set()
        self.limit = Limit(
            "share of the power that copper may take",
            share * 100,
            "%",
            Citation("basis of design", "", "rule.loss-share.most_share"),
            "stated",
            "the basis of design",
        )

    def runs(self) -> Iterator[Said]:
        """Yield the answers for all runs."""
        counted: dict[Path, int] = {}
        failed: dict[Path, list[Lossy]] = {}
        unsure: dict[Path, list[tuple[Run, FeedPower]]] = {}
        for run in self.built.runs.values():
            power = self.built.power.feeds.get(run.id)
            if power is None or power.unfed:
                yield NotApplicable(RUN.name, run.at, "carries no power")
                continue
            kind = run.at if run.cable is None else run.cable.at
            counted[kind] = counted.get(kind, 0) + 1
            lost = loss_of(power)
            if lost is None:
                if power.best is None:
                    self._dark.add(kind)
                why = (
                    "carries nothing"
                    if power.best is not None
                    else "nothing works over it, which is said elsewhere"
                )
                yield NotApplicable(RUN.name, run.at, why)
                continue
            verdict = at_most(lost.share, self.share)
            if verdict == "pass":
                yield Passed(RUN.name, run.at)
            elif verdict == "fail":
                failed.setdefault(kind, []).append(Lossy(run, power, lost))
            else:
                unsure.setdefault(kind, []).append((run, power))
        for kind, lossy in failed.items():
            yield self._failed(kind, lossy, counted[kind])
        for kind, runs in unsure.items():
            yield self._unsure(kind, runs, counted[kind])

    # -- runs of one kind of cable ------------------------------------------------------------------------------

    def _failed(self, kind: Path, lossy: list[Lossy], count: int) -> Answer:
        ordered = sorted(lossy, key=lambda found: (-found.lost.share.low, found.run.id))
        worst = ordered[0]
        which = _which(kind, len(lossy), count)
        most = f"{worst.run.id} ({worst.run.ends}) {_percents(worst.lost.share)},"
        if len(lossy) > 1:
            most = f"worst {most[:-1]}; all of them together"
        value = worst.lost.share.low * 100
        now_w, now_year_w = self._watts(lossy, None), self._year_watts(lossy, None)
        return Answer(
            RUN.name,
            "fail",
            kind,
            kind,
            f"{which} more than {_percent(self.share)} of the power at the source in copper: {most} "
            f"{watt_words.watts(now_w)} and {self._kwh(now_year_w)} a year{self._savings(lossy, now_w, now_year_w)}",
            value=round(value, 2),
            limit=round(self.share * 100, 6),
            unit="%",
            margin=round(self.share * 100 - value, 2),
            held_against=self.limit,
            working=f"{_link(worst.power)} > {_percent(self.share)}; {self._year_words(lossy)}",
            related=tuple(
                Related(found.run.at, f"{_percents(found.lost.share)}, {watt_words.watts(found.lost.loss_w)}")
                for found in ordered[:_FEW]
            ),
            remedy=self._remedy(kind, lossy),
            rests_on=self._rests_on(lossy),
        )

    def _rests_on(self, lossy: list[Lossy]) -> tuple[Path, ...]:
        return tuple(
            dict.fromkeys(path for found in lossy for path in self.built.power.rests_on(found.power))
        )

    def _savings(self, lossy: list[Lossy], now_w: Span, now_year_w: Span) -> str:
        """Return what each thicker gauge in use would save in those runs."""
        gauge = _gauge(lossy[0].run.cable)
        words = [
            f"{awg} AWG would save {watt_words.watts(_less(now_w, self._watts(lossy, awg)))} and "
            f"{self._kwh(_less(now_year_w, self._year_watts(lossy, awg)))} a year"
            for awg in (() if gauge is None else thicker_gauges(gauge))
        ]
        clad = _clad(lossy[0].run.cable)
        return f"; in place of {gauge} AWG{clad}, {', '.join(words)}" if words else ""

    def _remedy(self, kind: Path, lossy: list[Lossy]) -> Remedy | None:
        """Return the next gauge with which all those runs keep to the share, else what is left to do."""
        cable = lossy[0].run.cable
        gauge = _gauge(cable)
        for awg in () if gauge is None else thicker_gauges(gauge):
            found = [self._with(run, power, awg) for run, power, _ in lossy]
            if all(loss is not None and at_most(loss.share, self.share) == "pass" for loss in found):
                worst = max(loss.share.high for loss in found if loss is not None)
                changes = (Change((*kind, "conductor_awg"), awg),) if self._may_change(cable) else ()
                return Remedy(
                    f"{awg} AWG in place of {gauge} AWG{_clad(cable)}: {_percent(worst)} at most", changes
                )
        words = ["a higher voltage at the source", "a shorter way", "lighter gear"]
        if any(power.grant.pairs.low == 2 for _, power, _ in lossy):
            two_only = any(power.grant.pse_type in _TWO_PAIRS for _, power, _ in lossy)
            words.insert(0, "four powered pairs in place of two" + " from a source of Type 3 or 4" * two_only)
        first = "" if gauge is None else f"no gauge in use{_clad(cable)} is enough by itself: "
        return Remedy(f"{first}{', '.join(words[:-1])} or {words[-1]}")

    def _may_change(self, cable: Cable | None) -> bool:
        """Return whether the gauge stands in the design itself, nobody measured it, and all of the kind work."""
        if cable is None or cable.at in self._dark:
            return False
        at = cable.value("conductor_awg").at
        design = self.built.design
        return design.locate(at).file == design.name and design.origin(at) != "measured"

    def _unsure(self, kind: Path, runs: list[tuple[Run, FeedPower]], count: int) -> Answer:
        missing = tuple(dict.fromkeys(path for _, power in runs for path in power.missing))
        which = _which(kind, len(runs), count)
        return Answer(
            RUN.name,
            "open",
            kind,
            kind,
            f"cannot tell whether {which} more than {_percent(self.share)} of the power at the source in copper",
            held_against=self.limit,
            missing=missing,
            related=tuple(Related(run.at, f"carries power ({run.ends})") for run, _ in runs[:_FEW]),
            distinct="not known",
        )

    # -- the whole design ---------------------------------------------------------------------------------------

    def design(self) -> Said:
        """Return whether the whole design keeps to the share."""
        balance = self.built.worst_balance
        given_w, copper_w = balance.given_w, balance.copper_w
        if not given_w.high:
            return NotApplicable(DESIGN.name, _DESIGN, "no source gives power")
        # What is given is used or lost, so that the share is told by what is used, which is known better.
        used_w = balance.loads_w + balance.inner_w
        verdict = at_most(copper_w * (1 - self.share), used_w * self.share)
        if verdict == "pass":
            return Passed(DESIGN.name, _DESIGN)
        feeds = [found for found in self.built.power.feeds.values() if not found.unfed]
        if verdict == "open":
            missing = (path for found in feeds if not balance.loss_of(found).known for path in found.missing)
            return Answer(
                DESIGN.name,
                "open",
                _DESIGN,
                _TITLE,
                f"cannot tell whether the design loses more than {_percent(self.share)} of its power in copper: "
                f"{watt_words.watts(copper_w)} of {watt_words.watts(given_w)}",
                held_against=self.limit,
                missing=tuple(dict.fromkeys(missing)),
            )
        share = Span(
            copper_w.low / (copper_w.low + used_w.high),
            copper_w.high / (copper_w.high + used_w.low) if math.isfinite(copper_w.high) else 1.0,
        )
        lossy = [
            Lossy(found.feed.run, found, lost) for found in feeds if (lost := loss_of(found)) is not None
        ]
        kinds: dict[str, Span] = {}
        for run, power, _ in lossy:
            name = run.id if run.cable is None else run.cable.id
            kinds[name] = kinds.get(name, Span(0.0, 0.0)) + balance.loss_of(power)
        parts = sorted(kinds.items(), key=lambda item: (-item[1].high, item[0]))
        words = [f"{name} {watt_words.watts(loss_w)}" for name, loss_w in parts[:_FEW]]
        if parts[_FEW:]:
            words.append(f"others {watt_words.watts(sum_of(loss_w for _, loss_w in parts[_FEW:]))}")
        value = share.low * 100
        return Answer(
            DESIGN.name,
            "fail",
            _DESIGN,
            _TITLE,
            f"copper takes {watt_words.watts(copper_w)} of the {watt_words.watts(given_w)} that the sources give, "
            f"{_percents(share)}, more than {_percent(self.share)}; {self._kwh(self._year_watts(lossy, None))} a year",
            value=round(value, 2),
            limit=round(self.share * 100, 6),
            unit="%",
            margin=round(self.share * 100 - value, 2),
            held_against=self.limit,
            working=f"{' + '.join(words)} = {watt_words.watts(copper_w)}; {_share_sum(copper_w, used_w, given_w)} > "
            f"{_percent(self.share)}; {self._year_words(lossy)}",
            remedy=Remedy(f"a thicker gauge or more pairs where most is lost: {parts[0][0]}"),
            rests_on=self._rests_on(lossy),
        )

    # -- watts and a year's energy ------------------------------------------------------------------------------

    def _with(self, run: Run, power: FeedPower, awg: int) -> RunLoss | None:
        return with_gauge(power, self.built.metres(run), self.built.settled.conductor_celsius(run), awg)

    def _watts(self, lossy: list[Lossy], awg: int | None) -> Span:
        """Return what runs lose at the maximum draw, with another gauge if one is named."""
        return sum_of(
            _watts(found.lost if awg is None else self._with(found.run, found.power, awg)) for found in lossy
        )

    def _year_watts(self, lossy: list[Lossy], awg: int | None) -> Span:
        """Return what runs lose as a rule: at the typical draw, or at the maximum where that is not stated."""
        found = []
        for run, power, lost in lossy:
            if power.typical_w is None:
                found.append(_watts(lost if awg is None else self._with(run, power, awg)))
                continue
            typical = self.built.typical
            usual = typical.power.feeds[run.id]
            if awg is None:
                found.append(_watts(loss_of(usual)))
            else:
                celsius = typical.conductor_celsius(run)
                found.append(_watts(with_gauge(usual, self.built.metres(run), celsius, awg)))
        return sum_of(found)

    def _kwh(self, watts: Span) -> str:
        """Return the energy of a year for a reader."""
        low, high = (end * self.hours / 1000 for end in watts)
        if math.isinf(high):
            return f"{_figure(low)} kWh or more"
        first, last = _figure(low), _figure(high)
        return f"{first} kWh" if first == last else f"{first} to {last} kWh"

    def _year_words(self, lossy: list[Lossy]) -> str:
        usual = sum(power.typical_w is not None for _, power, _ in lossy)
        at = "the maximum" if not usual else "the typical"
        if 0 < usual < len(lossy):
            at = f"the typical draw for {usual} of {len(lossy)} runs and at the maximum"
        return (
            f"limits at the maximum draw, the year at {at} draw, {self.hours:,.0f} h, all at the least volts"
        )


def _which(kind: Path, several: int, count: int) -> str:
    """Return which runs lose something, for a reader."""
    if kind[0] != "cable":
        return f"{kind[1]} loses"
    return f"{several} of {count} powered runs of {kind[1]} {'loses' if several == 1 else 'lose'}"


def _gauge(cable: Cable | None) -> int | None:
    gauge: int | None = None if cable is None else cable.value("conductor_awg").value
    return gauge


def _watts(lost: RunLoss | None) -> Span:
    return Span(0.0, 0.0) if lost is None else lost.loss_w


def _less(before: Span, after: Span) -> Span:
    """Return what is saved, end by end: both grow with what is not known, and so does what lies between."""
    low = before.low - after.low
    return (
        Span(low, max(low, before.high - after.high)) if math.isfinite(before.high) else Span(low, math.inf)
    )


def _clad(cable: Cable | None) -> str:
    """Return that what is said of gauges keeps a cable's aluminium, where it is not copper throughout."""
    clad = cable is not None and cable.value("material").value == "copper-clad-aluminium"
    return " of the same copper-clad aluminium" if clad else ""


def _link(power: FeedPower) -> str:
    """Return what one run loses, with its numbers, at its worst where that is known."""
    state, ohm = (power.best, power.ohm.low) if power.worst is None else (power.worst, power.ohm.high)
    if state is None:
        return ""
    volts, load = f"{state.volts:.4g}", watt_words.watts(state.device_w, 2)
    share = state.loss_w / state.source_w
    if power.mode_links is not None:
        heavier = power.mode_links.low if state is power.best else power.mode_links.high
        mode_w = heavier * state.device_w
        current_a, each = mode_w / state.device_v, f"{ohm / heavier:.4g} Ω"
        return (
            f"{power.feed.run.id}: 2 × {watt_words.watts(mode_w, 2)} / ({volts} V + √({volts}² V² − 4 × "
            f"{watt_words.watts(mode_w, 2)} × {each})) = {current_a:.4f} A of the heavier mode, "
            f"{state.current_a - current_a:.4f} A of the other; squared each, × {each} = "
            f"{watt_words.watts(state.loss_w, 2)}; / {watt_words.watts(state.source_w, 2)} = {_percent(share)}"
        )
    return (
        f"{power.feed.run.id}: 2 × {load} / ({volts} V + √({volts}² V² − 4 × {load} × {ohm:.4g} Ω)) = "
        f"{state.current_a:.4f} A; squared × {ohm:.4g} Ω = {watt_words.watts(state.loss_w, 2)}; / "
        f"{watt_words.watts(state.source_w, 2)} = {_percent(share)}"
    )


def _share_sum(copper_w: Span, used_w: Span, given_w: Span) -> str:
    """Return the share that copper takes with its numbers; of a range the least, by which it fails."""
    least, most = watt_words.watts(copper_w.low), watt_words.watts(used_w.high)
    share = _percent(copper_w.low / (copper_w.low + used_w.high))
    if copper_w.known and given_w.known:
        return f"/ {watt_words.watts(given_w)} = {share}"
    return f"at least {least} / ({least} + {most} used) = {share}"


def _percent(share: float) -> str:
    return f"{round(share * 100, 1):g} %"


def _percents(share: Span) -> str:
    first, last = f"{round(share.low * 100, 1):g}", f"{round(share.high * 100, 1):g}"
    return f"{first} %" if first == last else f"{first} to {last} %"


def _figure(value: float) -> str:
    return f"{value:.1f}" if value < 10 else f"{value:,.0f}"


RULE = Rule(
    "loss-share",
    "no more of the power lost in copper than the basis accepts",
    "What a cable loses is paid for every hour of the year, at the source and again in cooling. Two pairs, thin "
    "conductors and long runs can lose a tenth; a thicker gauge costs once.",
    CHECKS,
    review,
    Parameters,
)


@hookimpl
def riserlint_rules() -> Iterable[Rule]:
    """Offer this rule."""
    return (RULE,)
