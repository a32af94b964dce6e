"""Validation errors in the words of a design file: what was expected, what was found, what may be meant."""

from datetime import date, datetime, time
from typing import Any, get_args

from riserlint.design.models import Written
from riserlint.design.paths import Path

_NOUNS = {
    "float_type": "a number without quotes",
    "int_type": "a whole number without quotes",
    "int_from_float": "a whole number",
    "bool_type": "true or false",
    "string_type": "a text in quotes",
    "date_type": "a date such as 2026-03-02",
    "date_from_datetime_inexact": "a date without a time, such as 2026-03-02",
    "tuple_type": "a list in [ ]",
    "model_type": "a table of keys in { }",
    "dict_type": "a table of keys",
    "finite_number": "a finite number",
    "string_too_short": "at least one letter",
    "too_short": "at least one entry",
}
_BOUNDS = {
    "greater_than": ("a value greater than", "gt"),
    "greater_than_equal": ("a value of at least", "ge"),
    "less_than": ("a value less than", "lt"),
    "less_than_equal": ("a value of at most", "le"),
}


def expected(detail: Any) -> str:
    """Return what one pydantic error says was expected, as a noun phrase."""
    kind: str = detail["type"]
    context: dict[str, Any] = detail.get("ctx") or {}
    if kind == "literal_error":
        return str(context["expected"]).replace("'", '"')
    if kind in _NOUNS:
        return _NOUNS[kind]
    if kind in _BOUNDS:
        words, key = _BOUNDS[kind]
        return f"{words} {context[key]:g}"
    message: str = detail["msg"]
    return f"{message[:1].lower()}{message[1:]}"


def describe(detail: Any, model: type[Written] | None) -> str:
    """Return one validation error as a sentence; ``model`` is that of the table in which an unknown key stands."""
    kind: str = detail["type"]
    key = str(detail["loc"][-1]) if detail["loc"] else ""
    if kind == "extra_forbidden":
        return f"unknown key `{key}`" + nearest_key(key, model)
    if kind == "missing":
        return f"`{key}` is missing"
    return f"expected {expected(detail)}, found {shown(detail.get('input'))}"


def keys_of(model: type[Written]) -> list[str]:
    """Return the keys of a model as they are written."""
    return [info.alias or name for name, info in model.model_fields.items()]


def nearest_key(key: str, model: type[Written] | None) -> str:
    """Return a hint at the known key that comes nearest to an unknown one, or at those there are."""
    return "" if model is None else nearest_of(key, keys_of(model))


def nearest_of(key: str, known: list[str]) -> str:
    """Return "; did you mean …?" where one of the known words comes near, else the list of them if it is short."""
    from difflib import get_close_matches

    near = get_close_matches(key, known, n=1, cutoff=0.6)
    if near:
        return f"; did you mean `{near[0]}`?"
    if known and len(known) <= 20:
        return "; known here: " + ", ".join(f"`{word}`" for word in sorted(known))
    return ""


def shown(value: Any) -> str:
    """Return a value as it stands in TOML, shortened."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + (value if len(value) <= 40 else value[:37] + "…") + '"'
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return "a list" if value else "an empty list"
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return '"unknown"' if value is None else f"{value}"


def model_of(root: type[Written], path: Path) -> type[Written] | None:
    """Return the model of the table at ``path`` below a root model; None where there is no model."""
    annotation: Any = root
    for part in path:
        if isinstance(part, int):
            continue  # the model of a list's items has been found with the list
        if isinstance(annotation, type) and issubclass(annotation, Written):
            names = {info.alias or name: info.annotation for name, info in annotation.model_fields.items()}
            if part not in names:
                return None
            annotation = _inner(names[str(part)], keep_dict=True)
        elif _is_dict(annotation):
            annotation = _inner(get_args(annotation)[1], keep_dict=True)
        else:
            return None
    return annotation if isinstance(annotation, type) and issubclass(annotation, Written) else None


def _is_dict(annotation: Any) -> bool:
    return getattr(annotation, "__origin__", None) is dict


def _inner(annotation: Any, *, keep_dict: bool) -> Any:
    """Return the model (or the dict) inside optional, annotated and tuple types."""
    if isinstance(annotation, type) and issubclass(annotation, Written):
        return annotation
    if _is_dict(annotation) and keep_dict:
        return annotation
    for argument in get_args(annotation):
        inner = _inner(argument, keep_dict=keep_dict)
        if inner is not None:
            return inner
    return None
