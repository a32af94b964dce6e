"""The temperatures of spaces: what a space states, what serves for it, what the basis assumes."""

import tempfile
from pathlib import Path

import pytest

from riserlint.analysis.built import Built
from riserlint.design.reading import read_basis, read_design

_DESIGN = """
[design]
title = "Rooms"
[space]
room = {{ {space} }}
[switch]
core = {{ ports = {{ 1 = {{}} }} }}
[device]
cam = {{}}
[run]
R-1 = {{ from = "core/1", to = "cam", space = "room", bundle = "none" }}
"""


@pytest.mark.parametrize(
    ("space", "basis", "hottest_c", "mean_c"),
    [
        ("max_c = 50, mean_c = 30", "", 50, 30),
        ("max_c = 50", "", 50, 50),
        ("mean_c = 30", "", 30, 30),
        ("mean_c = 30", "[assume]\nspace = { max_c = 55 }\n", 55, 30),
        ("mean_c = 60", "[assume]\nspace = { max_c = 55 }\n", 60, 60),
        ("max_c = 50", "[assume]\nspace = { max_c = 55, mean_c = 24 }\n", 50, 50),
        ("", "[assume]\nspace = { max_c = 55, mean_c = 24 }\n", 55, 24),
        ("", "[assume]\nspace = { mean_c = 24 }\n", 24, 24),
    ],
)
def test_the_hottest_and_the_mean_of_a_space(space: str, basis: str, hottest_c: float, mean_c: float) -> None:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder).resolve()
        (root / "basis.toml").write_text(basis, encoding="utf-8")
        file = root / "design.toml"
        file.write_text(_DESIGN.format(space=space), encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
    assert problems == []
    built = Built(design)
    run = built.runs["R-1"]
    assert built.hottest(run).celsius == (hottest_c, hottest_c)
    assert built.mean_celsius(run).celsius == (mean_c, mean_c)
