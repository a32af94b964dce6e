"""Gear with two feeds: which carries it, and whether each could alone."""

from typing import NamedTuple

from riserlint.analysis import watt_words
from riserlint.analysis.headroom import Headroom
from riserlint.analysis.power import Power
from riserlint.engineering.span import at_most
from riserlint.installation.things import Gear


class SecondFeed(NamedTuple):
    """Gear with several feeds.

    ``cases`` says what each feed is asked alone; ``weak`` which of them cannot carry the gear alone;
    ``unstated`` whether a supply of its own or the power over its run may come first.
    """

    feeds: int
    cases: tuple[str, ...]
    weak: tuple[str, ...]
    unstated: bool


def second_feed(power: Power, headroom: Headroom, gear: Gear) -> SecondFeed:
    """Return what is known of the feeds of gear that has more than one.

    A feed is weak where its source holds as things are, and its budget fails once it carries the gear alone;
    and an inlet that its switch's own supply stands in for, where it is short.
    """
    first = gear.value("feed_first").value
    cases, weak = [], []
    powering = [feed for feed in gear.feeds_in if not power.feeds[feed.run.id].unfed]
    for feed in powering:
        carried = power.feeds[feed.run.id]
        cases.append(f"over {feed.run.id}: {watt_words.watts(carried.alone_w)} at the source")
        source = None if feed.source is None else power.sources.get(feed.source.id)
        if source is None:
            continue
        alone_w, budget_w = headroom.asked_alone(source, gear), headroom.budget(source.gear).watts
        if at_most(alone_w, budget_w) == "fail" and at_most(source.enforced_w, budget_w) != "fail":
            name = source.gear.id
            weak.append(f"{name} would be asked {watt_words.watts(alone_w)} of {watt_words.watts(budget_w)}")
    if gear.supplies:
        cases.append("from its own supply: nothing over the runs")
    inlet = power.inlets.get(gear.id)
    if inlet is not None and gear.supplies and first != "inlet" and not power.feeds[inlet.feed.run.id].unfed:
        judged = headroom.inlet(inlet)
        if "fail" in (judged.draw, judged.promise):
            asked, given = watt_words.watts(judged.asked_w), watt_words.watts(inlet.available_w)
            weak.append(f"its inlet can pass on {given} of the {asked} that its ports ask")
    unstated = bool(gear.supplies) and first is None
    return SecondFeed(len(powering) + len(gear.supplies), tuple(cases), tuple(weak), unstated)
