"""The models of a design, found from the outermost one: for tests that hold something for every key."""

from collections.abc import Iterator
from typing import Any, get_args

from riserlint.design.models import Written


def models_in(annotation: Any) -> Iterator[type[Written]]:
    """Yield the models that a type is made of."""
    if isinstance(annotation, type) and issubclass(annotation, Written):
        yield annotation
    for inner in get_args(annotation):
        yield from models_in(inner)


def models_below(*outermost: type[Written]) -> set[type[Written]]:
    """Return some models and all that their keys hold."""
    found: set[type[Written]] = set()
    waiting = list(outermost)
    while waiting:
        model = waiting.pop()
        if model not in found:
            found.add(model)
            for field in model.model_fields.values():
                waiting.extend(models_in(field.annotation))
    return found
