"""From what is written to what is built: references, ports, runs, parts, what is unknown and what is assumed."""

import tempfile
from pathlib import Path as FilePath

import pytest

from riserlint import Built
from riserlint.design.reading import read_basis, read_design
from riserlint.testing import review_text

HEAD = '[design]\ntitle = "Built"\n'
BASE = f"""{HEAD}
[space]
room = {{ max_c = 26 }}
[cable]
six = {{ category = "6A" }}
[bundle]
b-1 = {{ others = 0 }}
[part.floor]
inlet = {{ port = "up", pd_class = 8, own_w = 9 }}
ports = {{ 1-8 = {{ pse_class = 4 }} }}
[part.dome]
pd = {{ pd_class = 3, min_v = 37 }}
draw_w = {{ day = 6.5, night = 12.5 }}
[switch]
core = {{ ports = {{ 1-4 = {{ pse_class = 8, cap_w = 90 }}, up-1-2 = {{ pse_class = "none" }} }} }}
hall = {{ part = "floor" }}
[inline]
sp = {{ kind = "surge-protector" }}
inj = {{ kind = "injector", from = "mains" }}
[device]
cam = {{ part = "dome" }}
ap = {{ part = "dome", draw_w = {{ day = 15 }} }}
"""


def built(text: str, basis: str = "") -> Built:
    with tempfile.TemporaryDirectory() as folder:
        root = FilePath(folder).resolve()
        (root / ".git").mkdir()
        if basis:
            (root / "basis.toml").write_text(basis, encoding="utf-8")
        file = root / "design.toml"
        file.write_text(text, encoding="utf-8")
        design, problems = read_design(file, root, read_basis(file, root))
        assert problems == []
        return Built(design)


def problems(text: str, basis: str = "") -> list[tuple[str, str]]:
    """Return what is wrong with a design, each with the text of the file that it points at, to the line's end."""
    review = review_text(text, [], basis=basis)
    lines = text.splitlines()
    return [(lines[p.line - 1][p.column - 1 :], p.message) for p in review.problems]


# -- references ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("more", "at", "message"),
    [
        (
            '[run]\nR = { from = "coer/1" }',
            '"coer/1" }',
            'there is no switch or device "coer"; did you mean `core`?',
        ),
        (
            '[run]\nR = { cable = "sixx" }',
            '"sixx" }',
            'there is no cable "sixx"; did you mean `six`?',
        ),
        (
            '[run]\nR = { space = "attic" }',
            '"attic" }',
            'there is no space "attic"; known here: `room`',
        ),
        (
            '[run]\nR = { route = [{ space = "room", m = 3 }, { space = "room", bundle = "b-2" }] }',
            '"b-2" }] }',
            'there is no bundle "b-2"; did you mean `b-1`?',
        ),
        (
            '[run]\nR = { cords = [{ cable = "sox", m = 2 }] }',
            '"sox", m = 2 }] }',
            'there is no cable "sox"; did you mean `six`?',
        ),
        (
            '[run]\nR = { through = ["spp"] }',
            '"spp"] }',
            'there is no inline "spp"; did you mean `sp`?',
        ),
        (
            '[ups]\nu = { from = "DB1" }',
            '"DB1" }',
            'there is no circuit or ups "DB1"; known here: `u`',
        ),
        (
            '[pathway]\np = { space = "romo" }',
            '"romo" }',
            'there is no space "romo"; did you mean `room`?',
        ),
    ],
    ids=lambda value: value if value.startswith("there") else "",
)
def test_a_reference_to_what_is_not_there(more: str, at: str, message: str) -> None:
    assert problems(f"{BASE}{more}\n") == [(at, message)]


def test_all_broken_references_are_told_in_one_go() -> None:
    text = f'{BASE}[run]\nR = {{ from = "corr/1", to = "cma", cable = "sixx" }}\n'
    assert [at for at, _ in problems(text)] == [
        '"corr/1", to = "cma", cable = "sixx" }',
        '"cma", cable = "sixx" }',
        '"sixx" }',
    ]


def test_a_thing_that_was_refused_while_reading_is_not_missing_as_well() -> None:
    text = f'{HEAD}[cable]\nsix = 6\n[run]\nR = {{ cable = "six" }}\n'
    assert [message for _, message in problems(text)] == ["expected a table of keys in { }, found 6"]


def test_a_reference_may_be_unknown() -> None:
    text = f'{BASE}[run]\nR = {{ from = "core/1", to = "unknown", cable = "unknown", space = "unknown" }}\n'
    assert problems(text) == []
    run = built(text).runs["R"]
    assert (run.to_port, run.cable) == (None, None)
    assert run.ends == "core/1 to unknown"
    assert run.segments[0].space.value is None
    assert run.segments[0].space.at == ("run", "R", "space")


# -- ids and ports ---------------------------------------------------------------------------------------------


def test_a_switch_and_a_device_of_one_id() -> None:
    text = f"{HEAD}[switch]\nhall = {{}}\n[device]\nhall = {{}}\n"
    assert problems(text) == [
        ("hall = {}", '"hall" is already the id of a switch; a run\'s end must name one thing')
    ]


def test_a_circuit_and_a_ups_of_one_id() -> None:
    text = f"{HEAD}[circuit]\na = {{}}\n[ups]\na = {{}}\n"
    assert problems(text) == [
        ("a = {}", '"a" is already the id of a circuit; what feeds gear must be one thing')
    ]


def test_ranges_of_ports() -> None:
    core = built(BASE).gear["core"]
    assert list(core.ports) == ["1", "2", "3", "4", "up-1", "up-2"]
    assert core.ports["3"].value("pse_class") == (8, ("switch", "core", "ports", "1-4", "pse_class"), False)


@pytest.mark.parametrize(
    ("ports", "at", "message"),
    [
        ("{ 8-1 = {} }", "8-1 = {} } }", "the range of ports '8-1' runs backwards"),
        ("{ 1-2000 = {} }", "1-2000 = {} } }", "the range of ports '1-2000' is wider than 1024 ports"),
        ("{ 1-4 = {}, 3 = {} }", "3 = {} } }", 'port 3 is described twice: in "1-4" and in "3"'),
    ],
)
def test_a_range_that_is_wrong(ports: str, at: str, message: str) -> None:
    assert problems(f"{HEAD}[switch]\ns = {{ ports = {ports} }}\n") == [(at, message)]


@pytest.mark.parametrize(
    ("end", "message"),
    [
        ("core/5", 'core has no port "5"; it has 1, 2, 3, 4, up-1, up-2'),
        ("core", 'switch core has many ports: write "core/PORT"'),
    ],
)
def test_a_port_that_is_not_there(end: str, message: str) -> None:
    assert problems(f'{BASE}[run]\nR = {{ from = "{end}" }}\n') == [(f'"{end}" }}', message)]


def test_a_port_of_a_switch_whose_ports_nobody_listed_may_have_any_name() -> None:
    text = f'{HEAD}[switch]\ns = {{}}\n[run]\nR = {{ from = "s/17" }}\n'
    assert problems(text) == []
    port = built(text).runs["R"].from_port
    assert port is not None
    assert (port.label, port.value("pse_class").value) == ("s/17", None)


def test_two_runs_in_one_port() -> None:
    text = f'{BASE}[run]\nR-1 = {{ from = "core/1", to = "cam" }}\nR-2 = {{ from = "core/1", to = "ap" }}\n'
    assert problems(text) == [
        ('"core/1", to = "ap" }', "core/1 already holds run R-1; two runs can't end in one port")
    ]


def test_two_runs_to_a_device_without_named_ports() -> None:
    text = f'{BASE}[run]\nR-1 = {{ from = "core/1", to = "cam" }}\nR-2 = {{ from = "core/2", to = "cam" }}\n'
    assert problems(text) == [('"cam" }', "cam already holds run R-1; two runs can't end in one port")]
    assert problems(text.replace('"cam"', '"cam/a"', 1).replace('to = "cam"', 'to = "cam/b"')) == []


def test_a_run_from_a_thing_to_itself() -> None:
    text = f'{BASE}[run]\nR = {{ from = "core/1", to = "core/2" }}\n'
    assert problems(text) == [('"core/2" }', "both ends are at core")]


def test_the_inlet_is_the_end_that_a_switch_alone_names() -> None:
    run = built(f'{BASE}[run]\nR = {{ from = "core/1", to = "hall" }}\n').runs["R"]
    assert run.to_port is not None
    assert run.to_port.label == "hall/up"
    assert run.feed is not None
    assert run.feed.source is not None
    assert (run.feed.source.id, run.feed.load.id) == ("core", "hall")


@pytest.mark.parametrize("swapped", [False, True])
def test_power_flows_to_the_inlet_however_the_run_is_written(swapped: bool) -> None:
    ends = 'from = "hall/up", to = "core/1"' if swapped else 'from = "core/1", to = "hall/up"'
    feed = built(f"{BASE}[run]\nR = {{ {ends} }}\n").runs["R"].feed
    assert feed is not None
    assert feed.source is not None
    assert (feed.source.id, feed.load.id) == ("core", "hall")


# -- things in a run -------------------------------------------------------------------------------------------


def test_an_inline_thing_is_in_one_run_only() -> None:
    text = f'{BASE}[run]\nR-1 = {{ through = ["sp"] }}\nR-2 = {{ through = ["sp"] }}\n'
    assert problems(text) == [('"sp"] }', "inline sp is already in run R-1; it can be in one run only")]


def test_the_same_inline_thing_twice_in_a_run() -> None:
    assert problems(f'{BASE}[run]\nR = {{ through = ["sp", "sp"] }}\n') == [
        ('"sp"] }', "inline sp is already in run R; it can be in one run only")
    ]


def test_an_injector_is_the_source() -> None:
    text = f'{BASE}[run]\nR = {{ from = "core/up-1", to = "cam", through = ["inj", "sp"] }}\n'
    feed = built(text).runs["R"].feed
    assert feed is not None
    assert feed.source is not None
    assert feed.source.id == "inj"
    assert [one.id for one in built(text).runs["R"].inlines] == ["inj", "sp"]


# -- two words for one thing -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("more", "at", "message"),
    [
        (
            "[run]\nR = { cords_m = [2], cords = [{ m = 2 }] }",
            "cords_m = [2], cords = [{ m = 2 }] }",
            "`cords` and `cords_m` both say what the cords are; write one of them",
        ),
        (
            '[run]\nR = { space = "room", route = [{ space = "room" }] }',
            '"room", route = [{ space = "room" }] }',
            "`space` and `route` both say where the run lies; write one of them",
        ),
        (
            '[run]\nR = { bundle = "b-1", route = [{ space = "room" }] }',
            '"b-1", route = [{ space = "room" }] }',
            "`bundle` and `route` both say where the run lies; write one of them",
        ),
        (
            '[switch.x]\nfrom = "mains"\nsupplies = [{ from = "mains" }]',
            '"mains"',
            "`from` and `supplies` both say what feeds it; write one of them",
        ),
    ],
    ids=["cords", "space", "bundle", "supplies"],
)
def test_what_is_said_twice(more: str, at: str, message: str) -> None:
    assert problems(f"{BASE}{more}\n") == [(at, message)]


# -- unknown, none, missing ------------------------------------------------------------------------------------


def test_no_cords_is_not_unknown_cords() -> None:
    some = (
        '[run]\nA = { cords_m = [] }\nB = {}\nC = { cords_m = "unknown" }\nD = { cords_m = [2, "unknown"] }\n'
    )
    runs = built(f"{BASE}{some}").runs
    assert runs["A"].cords == ()
    assert (runs["B"].cords, runs["C"].cords) == (None, None)
    cords = runs["D"].cords
    assert cords is not None
    assert [cord.metres for cord in cords] == [
        (2, ("run", "D", "cords_m", 0), False),
        (None, ("run", "D", "cords_m", 1), False),
    ]


def test_unknown_and_left_out_are_the_same_value_and_only_one_was_asked_for() -> None:
    text = f'{BASE}[run]\nA = {{ link_m = "unknown" }}\nB = {{}}\n'
    installation = built(text)
    for name in ("A", "B"):
        assert installation.runs[name].value("link_m") == (None, ("run", name, "link_m"), False)
    assert installation.design.asked(("run", "A", "link_m"))
    assert not installation.design.asked(("run", "B", "link_m"))


def test_a_bundle_of_none_has_no_members() -> None:
    installation = built(f'{BASE}[run]\nA = {{ bundle = "none" }}\nB = {{ bundle = "b-1" }}\nC = {{}}\n')
    assert [member.run.id for member in installation.bundles["b-1"].members] == ["B"]
    assert installation.runs["A"].segments[0].bundle.value == "none"
    assert installation.runs["C"].segments[0].bundle.value is None


# -- parts and the basis ---------------------------------------------------------------------------------------


def test_a_part_gives_what_the_device_does_not_say() -> None:
    gear = built(BASE).gear
    assert gear["cam"].value("draw_w", "day") == (6.5, ("part", "dome", "draw_w", "day"), False)
    assert gear["ap"].value("draw_w", "day") == (15, ("device", "ap", "draw_w", "day"), False)
    assert gear["ap"].value("draw_w", "night") == (12.5, ("part", "dome", "draw_w", "night"), False)
    assert gear["hall"].value("inlet", "pd_class").value == 8


def test_what_a_part_leaves_out_is_missing_in_the_part() -> None:
    assert built(BASE).gear["cam"].value("draw_w", "start") == (
        None,
        ("part", "dome", "draw_w", "start"),
        False,
    )


def test_unknown_goes_before_the_part() -> None:
    text = BASE.replace(
        'ap = { part = "dome", draw_w = { day = 15 } }',
        'ap = { part = "dome", draw_w = { day = "unknown" } }',
    )
    assert built(text).gear["ap"].value("draw_w", "day") == (None, ("device", "ap", "draw_w", "day"), False)
    assert built(text).gear["ap"].value("draw_w", "night").value == 12.5


def test_a_whole_table_that_is_unknown_goes_before_the_part() -> None:
    text = BASE.replace('cam = { part = "dome" }', 'cam = { part = "dome", pd = "unknown" }')
    assert built(text).gear["cam"].value("pd", "pd_class") == (
        None,
        ("device", "cam", "pd", "pd_class"),
        False,
    )
    assert built(text).gear["cam"].value("draw_w", "day").value == 6.5


def test_what_a_switch_says_of_a_port_goes_before_its_part_key_by_key() -> None:
    text = BASE.replace(
        'hall = { part = "floor" }',
        'hall = { part = "floor", ports = { 2 = { cap_w = 12 }, 3 = { pse_class = "unknown" }, 9 = {} } }',
    )
    ports = built(text).gear["hall"].ports
    assert ports["1"].value("pse_class").value == 4
    assert ports["2"].value("cap_w") == (12, ("switch", "hall", "ports", "2", "cap_w"), False)
    assert ports["2"].value("pse_class") == (4, ("part", "floor", "ports", "1-8", "pse_class"), False)
    assert ports["3"].value("pse_class") == (None, ("switch", "hall", "ports", "3", "pse_class"), False)
    assert "9" in ports


BASIS = """
[assume.space]
mean_c = 24
[assume.cable]
conductor_awg = 24
[assume.run]
connections = 2
[assume.port]
pse_class = 4
[assume.draw_w]
start = 20
[assume.cord_cable]
strand = "stranded"
[assume.supply]
poe_w = 120
"""


def test_the_basis_assumes_what_nobody_says_and_the_value_says_so() -> None:
    spare = '[switch.spare]\nports = { 1 = {} }\nsupplies = [{ from = "mains" }]\n'
    installation = built(f"{BASE}{spare}[run]\nR = {{ cords_m = [2] }}\nS = {{ connections = 3 }}\n", BASIS)
    assert installation.runs["R"].value("connections") == (2, ("basis", "assume", "run", "connections"), True)
    assert installation.runs["S"].value("connections") == (3, ("run", "S", "connections"), False)
    assert installation.cables["six"].value("conductor_awg").assumed
    assert installation.gear["spare"].ports["1"].value("pse_class") == (
        4,
        ("basis", "assume", "port", "pse_class"),
        True,
    )
    assert installation.gear["core"].ports["1"].value("pse_class").value == 8
    assert installation.gear["cam"].value("draw_w", "start") == (
        20,
        ("basis", "assume", "draw_w", "start"),
        True,
    )
    poe_w = installation.gear["spare"].supplies[0].poe_w
    assert (poe_w.value, poe_w.at, poe_w.assumed) == (120, ("basis", "assume", "supply", "poe_w"), True)
    cords = installation.runs["R"].cords
    assert cords is not None
    assert cords[0].cable is not None
    assert cords[0].cable.value("strand") == ("stranded", ("basis", "assume", "cord_cable", "strand"), True)


def test_without_a_basis_nothing_is_assumed() -> None:
    cords = built(f"{BASE}[run]\nR = {{ cords_m = [2] }}\n").runs["R"].cords
    assert cords is not None
    assert cords[0].cable is None


# -- network ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ('[port.core]\n1-2 = { untagged = "video" }', 'there is no vlan "video"'),
        ("[port.cor]\n1 = {}", 'there is no switch or device "cor"; did you mean `core`?'),
        ("[port.core]\n9 = {}", 'core has no port "9"'),
        ("[port.core]\n1-2 = {}\n2 = {}", "the VLANs of core/2 are already written at port.core.1-2"),
        ('[flow]\nf = { from = "guests", to = "guests" }', 'there is no role "guests"'),
    ],
)
def test_the_network_refers_to_what_is_there(more: str, message: str) -> None:
    assert message in {said for _, said in problems(f"{BASE}{more}\n")}


def test_untagged_none_is_no_vlan() -> None:
    assert problems(f'{BASE}[port.core]\n1 = {{ untagged = "none", tagged = [] }}\n') == []
