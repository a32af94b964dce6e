"""Text from a design made safe to show, and words for counts."""

import json
from datetime import date, time
from typing import Any

from riserlint.review.findings import Finding


def plain(text: str) -> str:
    """Return a text in which nothing acts on a terminal or hides: what can't be printed is shown by its number."""
    if text.isprintable():
        return text
    return "".join(letter if letter.isprintable() else _shown(letter) for letter in text)


def _shown(letter: str) -> str:
    code = ord(letter)
    if letter == "\t":
        return " "
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def compact_json(value: Any) -> str:
    """Return a value as JSON on one line; letters that act on a terminal or can't be encoded are written as numbers.

    Dates and times become text in their ISO form.

    Raises:
        ValueError: a number is not finite.
    """
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False, default=_plain_value)
    if text.isprintable():
        return text
    return "".join(letter if letter.isprintable() else json.dumps(letter)[1:-1] for letter in text)


def _plain_value(value: Any) -> str:
    if isinstance(value, date | time):
        return value.isoformat()
    raise TypeError(f"JSON has no form for {type(value).__name__}")


def counted(number: int, noun: str, plural: str | None = None) -> str:
    """Return a count with its noun: ``1 error``, ``2 errors``."""
    return f"{number:,} {noun if number == 1 else plural or noun + 's'}"


def clause_words(finding: Finding) -> list[str]:
    """Return the clauses of a finding; beside that of its limit, how the limit is known."""
    held = finding.held_against
    return [
        f"{citation} ({held.known})" if held is not None and citation == held.citation else str(citation)
        for citation in finding.citations
    ]


def number(value: float) -> str:
    """Return a number with as many digits as a reader can use."""
    return f"{value:.4g}" if abs(value) < 10_000 else f"{value:,.0f}"
