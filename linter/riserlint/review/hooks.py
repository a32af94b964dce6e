"""The hook that a plugin implements, and the marks for it."""

from collections.abc import Iterable
from typing import Final

import pluggy

from riserlint.review.answers import Rule

PROJECT: Final = "riserlint"

hookspec = pluggy.HookspecMarker(PROJECT)
#: Marks a plugin's implementation of a hook.
hookimpl = pluggy.HookimplMarker(PROJECT)


@hookspec
def riserlint_rules() -> Iterable[Rule]:
    """Return the rules that this plugin offers.

    Called once at the start of a review, before any design is read. Each rule's id must be unique over all
    plugins; a second rule of one id is refused and named, and the review can't pass.
    """
    raise NotImplementedError
