"""Who feeds whom: the order in which power is solved, and loops of power."""

from riserlint.installation.build import Installation
from riserlint.installation.things import Gear


def sources_last(installation: Installation) -> list[Gear]:
    """Return all gear that takes power, each after all that it feeds (in a loop: wherever the walk began)."""
    order: list[Gear] = []
    state: dict[str, int] = {}
    for start in installation.gear.values():
        if start.id in state:
            continue
        stack: list[tuple[Gear, int]] = [(start, 0)]
        state[start.id] = 1
        while stack:
            gear, index = stack.pop()
            if index < len(gear.feeds_out):
                stack.append((gear, index + 1))
                child = gear.feeds_out[index].load
                if child.id not in state:
                    state[child.id] = 1
                    stack.append((child, 0))
            else:
                order.append(gear)
    return order


def loops_of(installation: Installation) -> tuple[tuple[Gear, ...], ...]:
    """Return the loops of power: gear that feeds itself through others."""
    loops: list[tuple[Gear, ...]] = []
    done: set[str] = set()
    for start in installation.gear.values():
        trail: list[Gear] = []
        seen: dict[str, int] = {}
        here: Gear | None = start
        while here is not None and here.id not in done:
            if here.id in seen:
                loops.append(tuple(trail[seen[here.id] :]))
                break
            seen[here.id] = len(trail)
            trail.append(here)
            above = [feed.source for feed in here.feeds_in if isinstance(feed.source, Gear)]
            here = above[0] if above else None
        done.update(seen)
    return tuple(loops)
