"""No watt is lost or won: what the sources give is what the loads take and what turns into heat.

The first law on every random cascade, whatever its switches do: watts at the source = watts of the devices + own use
of the switches + loss of every run + loss of every conversion + what a passed-on voltage loses in its switch.
"""

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outside.cascades import Cascade, built, cascades, large, text_of


def conserved(cascade: Cascade) -> bool:
    """Hold the sum of a cascade to 1e-9; return whether it has one."""
    power = built(text_of(cascade)).power
    source = power.sources["root"]
    if math.isinf(source.source_w.high):
        return False
    states = {name: feed.worst for name, feed in power.feeds.items()}
    loads = cable = conversion = passing = 0.0
    for node in cascade.all():
        state = states[node.name]
        assert state is not None
        cable += state.loss_w
        loads += node.watts
        # Over the run itself: what goes in, less what comes out, is its loss.
        assert state.source_w - state.device_w == pytest.approx(state.loss_w, rel=1e-9, abs=1e-9)
        given_out = 0.0
        for child in node.below:
            below = states[child.name]
            assert below is not None
            given_out += below.source_w
            passing += node.drop_v * below.current_a
        conversion += given_out / node.efficiency - given_out
    assert source.source_w.high == pytest.approx(loads + cable + conversion + passing, rel=1e-9, abs=1e-9)
    assert source.source_w == source.enforced_w
    return True


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(cascades("converts", "passes"))
def test_small_cascades(cascade: Cascade) -> None:
    conserved(cascade)


@settings(max_examples=6, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(100, 300))
def test_cascades_of_hundreds_of_links(seed: int, links: int) -> None:
    conserved(large(seed, links, ("converts", "passes")))


def test_a_cascade_that_works() -> None:
    assert conserved(large(9, 350, ("converts", "passes")))
