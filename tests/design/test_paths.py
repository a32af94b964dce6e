"""The dotted names of places: what they look like, and that each one leads back to its place."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserlint import Path, parse_path, path_text


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (("run", "R-014", "link_m"), "run.R-014.link_m"),
        (("run", "R-1", "cords", 0, "m"), "run.R-1.cords[0].m"),
        (("run", "R-1", "cords_m", 12), "run.R-1.cords_m[12]"),
        (("variance", 0), "variance[0]"),
        (("space", "hall.1", "max_c"), 'space."hall.1".max_c'),
        (("device", 'the "good" one'), 'device."the \\"good\\" one"'),
        (("device", "back\\slash"), 'device."back\\\\slash"'),
        (("device", "küche"), 'device."küche"'),
        (("device", ""), 'device.""'),
        (("port", "core", "1-8", "tagged", 1), "port.core.1-8.tagged[1]"),
        (("ü", 3), '"ü"[3]'),
    ],
)
def test_a_path_and_its_text_are_each_other(path: Path, text: str) -> None:
    assert path_text(path) == text
    assert parse_path(text) == path


@pytest.mark.parametrize(
    "text",
    [".run", "run.", "run..R-1", "run R-1", "run[x]", "run[-1]", "[0]", 'run."open', "run.R-1[0", "run.ü"],
)
def test_what_is_no_dotted_name_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"is not a dotted name such as run\.R-014") as refused:
        parse_path(text)
    assert repr(text) in str(refused.value)


def test_an_empty_text_is_refused() -> None:
    with pytest.raises(ValueError, match="an empty text is not a dotted name"):
        parse_path("")


KEYS = st.text(max_size=12)
PATHS = st.builds(
    lambda first, rest: (first, *rest), KEYS, st.lists(st.one_of(KEYS, st.integers(0, 999)), max_size=5)
)


@given(PATHS)
def test_every_path_leads_back(path: Path) -> None:
    assert parse_path(path_text(path)) == path


@given(PATHS, PATHS)
def test_two_places_never_share_a_name(first: Path, second: Path) -> None:
    assert (path_text(first) == path_text(second)) == (first == second)
