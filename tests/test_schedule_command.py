"""The schedule command: its tables can be redone by hand from what they print, in three forms."""

import csv
import importlib.resources
import io
import json
import math
import re
from pathlib import Path
from typing import Any

import jsonschema_rs
import pytest

from riserlint.analysis.remote_powering import category_words
from riserlint.analysis.schedules.schedule import TABLES
from riserlint.cli import main
from riserlint.engineering.span import Span
from riserlint.engineering.surface_cooling import surface_heat_w_per_m
from riserlint.reports.schedule_models import schema

EXAMPLES = Path(__file__).parents[1] / "example_designs"
DESIGNS = sorted(file.name for file in EXAMPLES.glob("*.toml") if file.name != "basis.toml")
SHIPPED = importlib.resources.files("riserlint.reports") / "schedule.schema.json"
VALIDATOR = jsonschema_rs.validator_for(schema())

Row = dict[str, str]


@pytest.fixture(autouse=True)
def page(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("NO_COLOR", "FORCE_COLOR", "COLORTERM", "LINES", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("TERM", "dumb")


def printed(name: str, capsys: pytest.CaptureFixture[str], *more: str) -> str:
    assert main(["schedule", str(EXAMPLES / name), *more]) == 0
    return capsys.readouterr().out


def in_json(name: str, capsys: pytest.CaptureFixture[str], *more: str) -> dict[str, Any]:
    report: dict[str, Any] = json.loads(printed(name, capsys, "--format", "json", *more))
    return report


def in_csv(name: str, table: str, capsys: pytest.CaptureFixture[str]) -> list[Row]:
    text = printed(name, capsys, "--format", "csv", "--table", table)
    return list(csv.DictReader(io.StringIO(text, newline="")))


def near(value: float, digits: int, terms: int = 1) -> Any:
    """What a reader may be off by who adds up so many numbers that were rounded to so many digits."""
    return pytest.approx(value, abs=0.5 * 10**-digits * (terms + 1))


def written(folder: Path, text: str) -> str:
    """Write a design of its own root, and return its path."""
    (folder / ".git").mkdir(exist_ok=True)
    file = folder / "d.toml"
    file.write_text(f'[design]\ntitle = "d"\n{text}', encoding="utf-8")
    return str(file)


# -- redone by hand ------------------------------------------------------------------------------------------------


def test_every_run_can_be_redone_from_what_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    """Ohm's law and the sums, with the printed digits alone, for a design in which all is known."""
    name = "museum-b.toml"
    ohm_per_km = {row["cable"]: float(row["20 °C [Ω/km]"]) for row in in_csv(name, "cables", capsys)}
    (cords,) = in_csv(name, "cords", capsys)
    currents = {row["run"]: row for row in in_csv(name, "currents", capsys)}
    resistance = {row["run"]: row for row in in_csv(name, "resistance", capsys)}
    rows = [row for row in in_csv(name, "runs", capsys) if row["from"]]
    assert len(rows) == 10
    for row in rows:
        amperes, ohms = currents[row["run"]], resistance[row["run"]]
        pair_20 = (
            2
            / 1000
            * (
                float(ohms["link [m]"]) * ohm_per_km[ohms["cable"]]
                + float(ohms["cords [m]"]) * float(cords["20 °C [Ω/km]"])
            )
        )
        assert float(ohms["pair, 20 °C [Ω]"]) == near(pair_20, 3)
        warm = pair_20 * (1 + 0.00393 * (float(ohms["wires [°C]"]) - 20)) + float(ohms["contacts [Ω]"])
        assert float(ohms["pair, warm [Ω]"]) == pytest.approx(warm, abs=2e-3)
        ohm = warm / int(ohms["pairs"])
        assert float(ohms["load sees [Ω]"]) == pytest.approx(ohm, abs=1e-3)
        volts, load_w = float(row["source [V]"]), float(row["load [W]"])
        current = 2 * load_w / (volts + math.sqrt(volts**2 - 4 * load_w * ohm))
        assert float(amperes["out, and back [A]"]) == pytest.approx(current, abs=2e-4)
        assert float(row["source [W]"]) == pytest.approx(volts * current, abs=0.015)
        assert float(row["load [V]"]) == pytest.approx(volts - current * ohm, abs=0.006)
        assert float(row["loss [W]"]) == near(float(row["source [W]"]) - load_w, 2, 2)
        assert float(row["loss [%]"]) == pytest.approx(
            100 * float(row["loss [W]"]) / float(row["source [W]"]), abs=0.2
        )
        pairs = int(amperes["pairs"])
        assert float(amperes["pair, pairset [A]"]) == near(2 * current / pairs, 4, 2)
        assert float(amperes["conductor [mA]"]) == near(1000 * current / pairs, 1, 2)


def test_the_switches_and_the_whole_can_be_redone(capsys: pytest.CaptureFixture[str]) -> None:
    name = "museum-b.toml"
    runs = [row for row in in_csv(name, "runs", capsys) if row["from"]]
    for row in in_csv(name, "switches", capsys):
        fed = [run for run in runs if run["from"].split("/")[0] == row["switch"]]
        ports = sum(float(run["source [W]"]) for run in fed)
        assert float(row["ports [W]"]) == near(ports, 2, len(fed))
        taken = float(row["own use [W]"]) + float(row["convert [W]"]) + ports
        assert float(row["taken [W]"]) == near(taken, 2, len(fed) + 2)
        if row["budget [W]"]:
            assert float(row["free [W]"]) == near(float(row["budget [W]"]) - float(row["reserved [W]"]), 2)
    *parts, given = in_csv(name, "whole", capsys)
    assert float(given["power [W]"]) == near(sum(float(part["power [W]"]) for part in parts), 1, 3)
    spaces = in_csv(name, "heat", capsys)
    of_parts = in_csv(name, "heat-parts", capsys)
    for space in spaces:
        watts = [float(part["power [W]"]) for part in of_parts if part["space"] == space["space"]]
        assert float(space["together [W]"]) == near(sum(watts), 1, 1)
        # One IT Btu is 1055.05585262 J (from memory)
        assert float(space["together [BTU/h]"]) == pytest.approx(sum(watts) * 3600 / 1055.05585262, abs=1)


@pytest.mark.parametrize("name", DESIGNS)
@pytest.mark.parametrize(
    "case", [(), ("--volts", "nominal", "--load", "typical"), ("--load", "start")], ids=str
)
def test_the_relations_hold_at_both_ends_of_every_range(
    name: str, case: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    report = in_json(name, capsys, *case)
    VALIDATOR.validate(report)
    tables = {table["name"]: table["rows"] for table in report["tables"]}
    currents = {row["run"]: row for row in tables["currents"]}
    resistance = {row["run"]: row for row in tables["resistance"]}
    told = 0
    for row in tables["runs"]:
        amperes, ohms = currents[row["run"]]["current_a"], resistance[row["run"]]["ohm"]
        if row["source_v"]["low"] != row["source_v"]["high"] or row["load_w"]["high"] is None:
            continue
        for end, other in (("low", "high"), ("high", "low")):
            if row["source_w"][end] is None or amperes[end] is None:
                continue
            told += 1
            volts, current, ohm = row["source_v"][end], amperes[end], ohms[end]
            assert row["source_w"][end] == pytest.approx(volts * current, rel=1e-9)
            assert row["loss_w"][end] == pytest.approx(current**2 * ohm, rel=1e-6, abs=1e-9)
            assert row["load_v"][other] == pytest.approx(volts - current * ohm, rel=1e-9)
    assert told or name == "marina.toml" or "nominal" in case
    for table in report["tables"]:
        for row in table["rows"]:
            for value in row.values():
                if isinstance(value, dict) and None not in value.values():
                    assert value["low"] <= value["high"] + 1e-9


def test_a_nominal_voltage_is_the_one_stated(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (
        '[design]\ntitle = "d"\n[switch]\n'
        "core = { pse = { type = 3, nominal_v = 54 }, ports = { 1 = { pse_class = 4 } } }\n"
        "[device]\nd = { pd = { pd_class = 3 }, draw_w = { typical = 5, night = 9 } }\n[cable]\n"
        'c = { category = "6", conductor_awg = 23, material = "copper", strand = "solid" }\n'
        "[space]\ns = { max_c = 20 }\n[run]\n"
        'R = { from = "core/1", to = "d", cable = "c", link_m = 50, cords_m = [], connections = 0, space = "s", '
        'bundle = "none" }\n'
    )
    (tmp_path / ".git").mkdir()
    file = tmp_path / "d.toml"
    file.write_text(text, encoding="utf-8")
    expected = {
        ("least", "maximum"): (50, 9),
        ("nominal", "maximum"): (54, 9),
        ("nominal", "typical"): (54, 5),
        ("least", "night"): (50, 9),
    }
    for (volts, load), (source_v, load_w) in expected.items():
        report = in_json(str(file), capsys, "--volts", volts, "--load", load)
        (row,) = report["tables"][0]["rows"]
        assert row["source_v"] == {"low": source_v, "high": source_v}
        assert row["load_w"] == {"low": load_w, "high": load_w}
    # By day it draws from what it draws typically to the most that is stated.
    (row,) = in_json(str(file), capsys, "--load", "day")["tables"][0]["rows"]
    assert row["load_w"] == {"low": 5, "high": 9}


# -- bundles -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("low", "high", "category"),
    [
        (100, 212, "RP1"),
        (212.1, 300, "RP2"),
        (499, 500, "RP2"),
        (100, 300, "RP1 to RP2"),
        (501, 510, "above RP3"),
        (100, math.inf, "RP1 to above RP3"),
    ],
)
def test_the_remote_powering_category_follows_from_the_mean_current(
    low: float, high: float, category: str
) -> None:
    """RP1 up to 212 mA on average, RP2 up to 500 mA (EN 50174-2 / ISO/IEC 14763-2, currents from memory)."""
    assert category_words(Span(low, high)) == category


def test_a_bundle_s_mean_current_is_that_of_all_its_wires(capsys: pytest.CaptureFixture[str]) -> None:
    """What goes out over a cable comes back over it: mean = 2 × sum of A / (8 × cables)."""
    report = in_json("car-park.toml", capsys)
    tables = {table["name"]: table["rows"] for table in report["tables"]}
    text = (EXAMPLES / "car-park.toml").read_text(encoding="utf-8")
    for row in tables["bundles"]:
        members = [line.split(" ")[0] for line in text.splitlines() if f'bundle = "{row["bundle"]}"' in line]
        amperes = [found["current_a"] for found in tables["currents"] if found["run"] in members]
        assert len(amperes) == row["powered"]["low"]
        total = sum(found["high"] for found in amperes)
        assert row["mean_conductor_ma"]["high"] == pytest.approx(
            1000 * 2 * total / (8 * row["cables"]["low"])
        )


@pytest.mark.parametrize("name", ["car-park.toml", "campus.toml", "museum-b.toml"])
def test_the_rise_of_a_bundle_is_redone_from_what_is_printed(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """q = Σ N n i² r and conduction through a cylinder's wall, any heat-transfer textbook."""
    report = in_json(name, capsys)
    tables = {table["name"]: table["rows"] for table in report["tables"]}
    bundles = {row["bundle"]: row for row in tables.get("bundles", [])}
    for row in tables.get("bundle-rise", []):
        figures = {key: found["high"] for key, found in row.items() if key != "bundle"}
        bundle = bundles[row["bundle"]]
        cables = [
            {key: found["high"] for key, found in group.items() if isinstance(found, dict)}
            for group in tables["bundle-heat"]
            if group["bundle"] == row["bundle"]
        ]
        assert sum(group["cables"] for group in cables) == bundle["cables"]["high"]
        hot = 1 + 0.00393 * (bundle["celsius"]["high"] - 20)  # copper, IEC 60028 (from memory)
        q = sum(
            group["cables"] * group["wires"] * (group["wire_ma"] / 1000) ** 2 * group["ohm_per_km_20"] / 1000
            for group in cables
            if group["w_per_m"]
        )
        assert figures["w_per_m"] == pytest.approx(q * hot, rel=1e-9)
        parts = figures["surface_k"] + figures["insulation_k"] + figures["core_k"]
        assert bundle["rise_k"]["high"] == pytest.approx(parts, rel=1e-9)
        assert figures["core_k"] == pytest.approx(figures["w_per_m"] * figures["core_k_m_per_w"], rel=1e-9)
        wall = math.log(figures["outer_mm"] / figures["diameter_mm"]) / (2 * math.pi * 0.04)
        assert figures["insulation_k"] == pytest.approx(figures["w_per_m"] * wall, rel=1e-9)
        free_k = figures["surface_k"] / figures["factor"]
        cooled = surface_heat_w_per_m(figures["outer_mm"] / 1000, free_k, bundle["ambient_c"]["high"])
        assert figures["w_per_m"] == pytest.approx(cooled, rel=1e-6)  # held against the library ht elsewhere
    assert ("bundle-rise" in tables) == any(row["rise_k"]["high"] is not None for row in bundles.values())


# -- forms ---------------------------------------------------------------------------------------------------------


def test_the_shipped_schema_is_the_one_that_the_models_make() -> None:
    """Write it anew with ``python -m riserlint.reports.schedule_models``."""
    assert json.loads(SHIPPED.read_text(encoding="utf-8")) == schema()


@pytest.mark.parametrize("name", DESIGNS)
def test_all_tables_stand_in_one_page_that_fits(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    page = printed(name, capsys)
    missing = {table for table in TABLES if f"({table})" not in page}
    assert missing <= {
        "bundles",
        "bundle-heat",
        "bundle-rise",
        "cords",
        "ports",
        "vlans",
        "links",
        "reach",
        "vlan-reach",
        "endpoint-reach",
        "subnets",
        "addresses",
    }  # not every design has them
    assert max(len(line.rstrip()) for line in page.splitlines()) <= 80
    assert "\x1b" not in page
    assert "qualified electrician" in page


def test_a_long_id_is_folded_behind_a_stroke_and_no_number_is_torn(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name = "camera-over-the-north-gate-of-the-lower-yard"
    file = written(
        tmp_path, f'[device]\n{name} = {{ draw_w = {{ day = 9 }} }}\n[run]\nR-0001 = {{ to = "{name}" }}\n'
    )
    page = printed(file, capsys, "--table", "runs")
    assert max(map(len, page.splitlines())) <= 80
    words = [f"{word}\\b" for word in name.split("-")]
    assert re.search("R-0001.*?" + "-.*?".join(words), page, re.DOTALL)
    assert name not in page


def test_the_day_is_that_of_the_option_and_the_same_day_gives_the_same_bytes(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A battery of six years whose life is five: of its capacity nothing is known any more."""
    pages = {
        day: printed("museum-b.toml", capsys, "--today", day)
        for day in ("2026-11-26", "2026-11-26", "2036-01-01")
    }
    assert "riserlint 0" in pages["2036-01-01"]
    assert ", 2036-01-01" in pages["2036-01-01"]
    assert pages["2026-11-26"] == printed("museum-b.toml", capsys, "--today", "2026-11-26")
    ages = {
        day: in_json("museum-b.toml", capsys, "--table", "upses", "--today", day)["tables"][0]["rows"][0]
        for day in pages
    }
    assert ages["2036-01-01"]["left_percent"]["low"] == 0 < ages["2026-11-26"]["left_percent"]["low"]


def test_csv_of_several_tables_names_each(capsys: pytest.CaptureFixture[str]) -> None:
    text = printed("museum-b.toml", capsys, "--format", "csv", "--table", "switches", "--table", "heat")
    blocks = text.split("\r\n\r\n")
    assert [block.split("\r\n")[0] for block in blocks] == ["switches", "heat"]


def test_an_id_is_no_formula_of_a_spreadsheet_and_no_markup(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / ".git").mkdir()
    file = tmp_path / "d.toml"
    file.write_text(
        '[design]\ntitle = "d \\u001b[31m"\n[switch]\n'
        '"=1+1" = { pse = { type = 3 }, ports = { 1 = { pse_class = 4 } } }\n'
        '[device]\n"[red]d" = { pd = { pd_class = 3 } }\n[run]\n"@R" = { from = "=1+1/1", to = "[red]d" }\n',
        encoding="utf-8",
    )
    (row, _) = in_csv(str(file), "runs", capsys)
    assert (row["run"], row["from"], row["to"]) == ("'@R", "'=1+1/1", "[red]d")
    page = printed(str(file), capsys)
    assert "[red]d" in page
    assert "\x1b" not in page


def test_a_schedule_in_a_file_is_the_one_that_would_be_shown(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for form in ("json", "csv"):
        shown = printed("museum-b.toml", capsys, "--format", form)
        file = tmp_path / form
        assert printed("museum-b.toml", capsys, "--format", form, "--output", str(file)) == ""
        with file.open(encoding="utf-8", newline="") as stream:
            assert stream.read() == shown


def test_what_can_t_be_printed_is_said_and_ends_with_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / ".git").mkdir()
    broken = tmp_path / "broken.toml"
    broken.write_text(
        '[design]\ntitle = "d"\nrevison = "A"\n[run]\nR = { from = "x/1", to = "y" }\n', encoding="utf-8"
    )
    other = tmp_path / "other.toml"
    other.write_text("[tool]\n", encoding="utf-8")
    design = str(EXAMPLES / "museum-b.toml")
    for arguments, said in (
        ([str(broken)], ["broken.toml:3:1: unknown key `revison`", "broken.toml:5:14:"]),
        ([str(other)], ["is no design"]),
        ([str(tmp_path / "none.toml")], ["there is no such file"]),
        ([str(tmp_path)], ["is no file"]),
        ([design, "--table", "swiches"], ["there is no table swiches; did you mean `switches`?"]),
    ):
        assert main(["schedule", *arguments]) == 2
        shown = capsys.readouterr()
        assert shown.out == ""
        for words in said:
            assert words in shown.err, shown.err


def test_continuity_and_failures_by_hand(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """50 W on a UPS of 30 min at 50 W; the camera needs the recorder, which is switched off after 10 min.

    core 20 W and rec 30 W; after 10 min 20 W are left, (1 - 10/30) of the battery and 30 x 50/20 = 75 min: 60 min.
    """
    (tmp_path / ".git").mkdir()
    file = tmp_path / "d.toml"
    file.write_text(
        """
[design]
title = "d"
[space]
room = { max_c = 25, mean_c = 25 }
[role]
camera = { needs = ["rec"], standby_min = 20 }
[ups.u]
from = "mains"
space = "room"
chemistry = "lithium"
tested_capacity = 1
runtime = [{ w = 10, min = 150 }, { w = 100, min = 15 }]
sheds = [{ after_min = 10, gear = ["rec"] }]
[switch]
core = { from = "u", ac = { own_w = 20 } }
[device]
rec = { from = "u", draw_w = { day = 30 } }
cam = { from = "mains", role = "camera" }
cam-2 = { from = "u", role = "camera", draw_w = { day = 0 } }
[run]
a = { from = "core/1", to = "rec", link_m = 1 }
b = { from = "core/2", to = "cam", link_m = 1 }
c = { from = "core/3", to = "cam-2", link_m = 1 }
""",
        encoding="utf-8",
    )
    rows = {row["what"]: row for row in in_csv(str(file), "continuity", capsys)}
    assert {name: (row["power [min]"], row["useful [min]"]) for name, row in rows.items()} == {
        "ups.u": ("60.0", ""),
        "switch.core": ("60.0", "60.0"),
        "device.rec": ("10.0", "10.0"),
        "device.cam": ("0.0", "0.0"),
        "device.cam-2": ("60.0", "10.0"),
    }
    assert rows["device.cam-2"]["asked [min]"] == "20"
    assert rows["device.cam-2"]["ended by"] == "ups.u.sheds[0]"
    assert rows["device.cam"]["ended by"] == "no UPS"
    assert rows["switch.core"]["ended by"] == "ups.u"
    failures = {
        row["what fails"]: (row["no power"], row["no need"], row["may"])
        for row in in_csv(str(file), "failures", capsys)
    }
    # The UPS takes core, rec and cam-2, and from cam what it needs.
    assert failures["ups.u"] == ("3", "1", "0")
    assert failures["switch.core"] == ("1", "2", "0")
    assert failures["run.a"] == ("0", "2", "0")
    assert failures["device.cam.from"] == ("1", "0", "0")


# -- cases, and what has no end ------------------------------------------------------------------------------------

_WIRED = """
[cable]
c = { category = "6", conductor_awg = 23, material = "copper", strand = "solid" }
[space]
s = { max_c = 20 }
[run.R]
from = "core/1"
to = "d"
cable = "c"
link_m = 50
cords_m = []
connections = 0
space = "s"
bundle = "none"
"""


def test_gear_on_the_mains_and_a_ups_follow_the_state_of_the_loads(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Typical 12 + 5 W, by night 30 + 9 W and the loss of the run; the UPS wastes a ninth of what it carries."""
    file = written(
        tmp_path,
        '[ups]\nu = { from = "mains", efficiency = 0.9 }\n[switch]\n'
        'core = { from = "u", ac = { own_w = 10, efficiency = 1 }, pse = { type = 3 }, '
        "ports = { 1 = { pse_class = 4 } } }\n[device]\n"
        "d = { pd = { pd_class = 3 }, draw_w = { typical = 5, night = 9 } }\n"
        'm = { from = "u", draw_w = { typical = 12, night = 30 } }\n' + _WIRED,
    )
    for load, own_w, far_w in (("typical", 12, 5), ("night", 30, 9)):
        report = in_json(file, capsys, "--load", load)
        tables = {table["name"]: table["rows"] for table in report["tables"]}
        heat = {(row["thing"], row["how"]): row["w"] for row in tables["heat-parts"]}
        assert heat["m", "load"] == {"low": own_w, "high": own_w}
        assert heat["d", "load"] == {"low": far_w, "high": far_w}
        (run,) = tables["runs"]
        carried_w = own_w + 10 + run["source_w"]["high"]
        assert heat["u", "ups"]["high"] == pytest.approx(carried_w * (1 / 0.9 - 1))


def test_a_drop_between_inlet_and_ports_stands_in_its_own_column(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Taken = own use + drop + ports; the drop is the volts lost × the amperes of the ports behind it."""
    file = written(
        tmp_path,
        "[switch]\nhead = { pse = { type = 3 }, ports = { 1 = { pse_class = 4 } } }\n"
        'core = { inlet = { port = "in", pd_class = 4, own_w = 3, passes_through = true, drop_v = 1.5 }, '
        'pse = { type = 3, budget_w = "none" }, ports = { 1 = { pse_class = 3 } } }\n'
        "[device]\nd = { pd = { pd_class = 3 }, draw_w = { night = 9 } }\n"
        + _WIRED
        + '[run.A]\nfrom = "head/1"\nto = '
        '"core/in"\ncable = "c"\nlink_m = 30\ncords_m = []\nconnections = 0\nspace = "s"\nbundle = "none"\n',
    )
    rows = {row["switch"]: row for row in in_csv(file, "switches", capsys)}
    amperes = {row["run"]: float(row["out, and back [A]"]) for row in in_csv(file, "currents", capsys)}
    core = {name: float(value) for name, value in rows["core"].items() if name.endswith("[W]") and value}
    assert core["drop [W]"] == pytest.approx(1.5 * amperes["R"], abs=0.006)
    assert core["convert [W]"] == 0
    assert core["taken [W]"] == near(core["own use [W]"] + core["drop [W]"] + core["ports [W]"], 2, 3)
    parts = {(row["of"], row["by"]): row["power [W]"] for row in in_csv(file, "heat-parts", capsys)}
    assert float(parts["core", "drop"]) == near(core["drop [W]"], 2)


def test_of_two_signatures_the_load_sees_the_pairset_of_the_heavier_mode(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """25 of 35 W over two of the four pairs: its volts are those of 25 W over half of the resistance of one pair."""
    for stated, low, high in (("second_w = 10, ", 25 / 35, 25 / 35), ("", 0.5, 25.5 / 35)):
        file = written(
            tmp_path,
            "[switch]\ncore = { pse = { type = 4 }, ports = { 1 = { pse_class = 8 } } }\n[device]\n"
            f'd = {{ pd = {{ signature = "dual", {stated}pd_class = 4, second_class = 3 }}, '
            "draw_w = { night = 35 } }\n" + _WIRED,
        )
        report = in_json(file, capsys)
        tables = {table["name"]: table["rows"][0] for table in report["tables"] if table["rows"]}
        ohms, run = tables["resistance"], tables["runs"]
        assert run["class"] == "4 + 3"
        # A mode of class 4 draws 25.5 W at most (IEEE Std 802.3-2022, Table 145-26).
        assert ohms["heavier_share"] == pytest.approx({"low": low, "high": high})
        for end, share in (("low", low), ("high", high)):
            assert ohms["ohm"][end] == pytest.approx(ohms["loop_ohm"][end] / 4 * 2 * share)
        volts, mode_w, ohm = 52, 35 * high, ohms["loop_ohm"]["high"] / 2
        current = 2 * mode_w / (volts + math.sqrt(volts**2 - 4 * mode_w * ohm))
        amps = tables["currents"]
        assert amps["current_a"]["high"] * amps["heavier_share"]["high"] == pytest.approx(current)
        # Within a pair 3 % of unbalance (TIA-568, from memory): 1.03 / 2 of the pair's current.
        assert amps["worst_conductor_ma"]["high"] == pytest.approx(1000 * current * 1.03 / 2)
        assert run["load_v"]["low"] == pytest.approx(volts - current * ohm)


def test_watts_without_a_solution_and_a_budget_without_a_known_rest(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """300 W over 400 m are more than any current brings; behind a run of unknown length at most 40 W stay free."""
    passive = (
        '[switch]\ncore = {{ pse = {{ scheme = "passive", min_v = 48, budget_w = 50, reserves = "measured" }}, '
        "ports = {{ 1 = {{}} }} }}\n[device]\n"
        'd = {{ pd = {{ scheme = "passive", passive_v = 48 }}, draw_w = {{ day = {} }} }}\n'
    )
    wired = _WIRED.replace("[run.R]", "[run.R]\npairs = 2")
    far = in_json(written(tmp_path, passive.format(300) + wired.replace("50", "400")), capsys)
    tables = {table["name"]: table["rows"] for table in far["tables"]}
    assert tables["runs"][0]["source_w"] == "no solution"
    assert tables["switches"][0]["free_w"] == "no solution"
    VALIDATOR.validate(far)
    near_it = written(tmp_path, passive.format(10) + wired.replace("link_m = 50", ""))
    (row,) = in_csv(near_it, "switches", capsys)
    assert row["free [W]"] == "40.00 or less"
    (cells,) = in_json(near_it, capsys, "--table", "switches")["tables"][0]["rows"]
    assert cells["free_w"] == {"low": None, "high": 40}


def test_the_ups_table_by_hand(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """40 W on a UPS of 200 W whose battery a test found at 80 %: as 50 W on a new one, log-log 10 W 150, 100 W 15 min.

    Watts × minutes are the same at both points, so 1500 W min / 50 W = 30 min.
    """
    file = written(
        tmp_path,
        '[ups.u]\nfrom = "mains"\nrated_w = 200\nrated_va = 300\nchemistry = "lithium"\ntested_capacity = 0.8\n'
        "runtime = [{ w = 10, min = 150 }, { w = 100, min = 15 }]\n"
        '[device]\nm = { from = "u", draw_w = { day = 40 }, ac = { power_factor = 0.8 } }\n',
    )
    (row,) = in_csv(file, "upses", capsys)
    assert row == {
        "UPS": "u",
        "rated [W]": "200",
        "carries [W]": "40.0",
        "free [W]": "160.0",
        "rated [VA]": "300",
        "carries [VA]": "50",
        "age [years]": "",
        "left [%]": "80",
        "as if new [W]": "50.0",
        "runtime [min]": "30.0",
    }


def test_a_fitter_reads_the_vlans_of_each_port_in_the_order_of_the_ports(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = written(
        tmp_path,
        """
[vlan]
doors = { vid = 30, gateway = "none" }
cams = { vid = 4 }
spare = {}
[switch]
core = { vlans = "802.1Q" }
desk = { vlans = "none" }
[device]
cam = {}
[ssid]
guests = { vlan = "doors" }
[port.core]
9-10 = { untagged = "cams", tagged = [] }
1 = { untagged = "none", tagged = ["doors", "cams"] }
2 = { tagged = [] }
[run]
a = { from = "core/10", to = "cam" }
b = { from = "core/1", to = "desk/1" }
c = { from = "core/3", to = "unknown" }
""",
    )
    rows = [tuple(row.values()) for row in in_csv(file, "ports", capsys)]
    assert rows == [
        ("core", "1", "b", "desk/1", "none", "4 cams, 30 doors"),
        ("core", "2", "", "", "unknown", "none"),
        ("core", "3", "c", "unknown", "unknown", "unknown"),
        ("core", "9", "", "", "4 cams", "none"),
        ("core", "10", "a", "cam", "4 cams", "none"),
        ("desk", "1", "b", "core/1", "as it comes", "as it comes"),
    ]
    vlans = [tuple(row.values()) for row in in_csv(file, "vlans", capsys)]
    assert vlans == [
        ("spare", "unknown", "unknown", "0", "0", "", ""),
        ("cams", "4", "unknown", "2", "1", "core", ""),
        ("doors", "30", "none", "0", "1", "core", "guests"),
    ]


def test_the_address_schedule_by_hand(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A /28 has 14 hosts; 4 are given out, the gateway and one of two typed in lie outside: 14 - 4 - 2 = 8."""
    file = written(
        tmp_path,
        """
[vlan.cams]
vid = 20
gateway = "r"
subnet = "10.0.0.0/28"
gateway_address = "10.0.0.1"
pools = [{ first = "10.0.0.10", last = "10.0.0.13" }]
[switch]
core = { vlans = "802.1Q", address = "10.0.0.2", managed_in = "cams" }
[device]
b = { address = "10.0.0.12", reserved = true }
a = { address = "pool" }
r = {}
[port.core]
1-2 = { untagged = "cams", tagged = [] }
[run]
x = { from = "core/1", to = "a" }
y = { from = "core/2", to = "b" }
""",
    )
    (row,) = in_csv(file, "subnets", capsys)
    assert tuple(row.values()) == (
        "cams", "10.0.0.0/28", "r 10.0.0.1", "10.0.0.10 to 10.0.0.13", "14", "3", "4", "8",
    )  # fmt: skip
    rows = [tuple(row.values()) for row in in_csv(file, "addresses", capsys)]
    assert rows == [
        ("switch.core", "10.0.0.2", "cams", ""),
        ("device.b", "10.0.0.12", "cams", "yes"),
        ("device.a", "asks for one", "cams", ""),
    ]


def test_the_link_schedule_by_hand(capsys: pytest.CaptureFixture[str]) -> None:
    """16 × 6 = 96 Mbit/s; × 1538 / 1460 = 101.13; of 100: 101 %. With U-C idle 30 streams go over U-A: 189.6."""
    rows = {(row["run"], row["while idle"]): row for row in in_csv("depot.toml", "links", capsys)}
    shared = rows["U-B", ""]
    assert (shared["streams"], shared["average [Mbit/s]"], shared["on the wire [Mbit/s]"]) == (
        "16",
        "96.0",
        "101.1",
    )
    assert (shared["rate [Mbit/s]"], shared["of it [%]"]) == ("100", "101")
    assert rows["U-A", "U-C"]["on the wire [Mbit/s]"] == "189.6"
    assert rows["O-2", ""]["streams"] == "46"


def test_the_reach_schedule_by_hand(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two cameras in one VLAN, a recorder in another behind a router that denies all but one flow."""
    file = written(
        tmp_path,
        """
[role]
camera = {}
recorder = {}
[vlan]
cams = { vid = 20, gateway = "router" }
office = { vid = 30, gateway = "router" }
[gateway]
router = { default = "deny" }
[flow]
video = { from = "camera", to = "recorder" }
[switch]
core = { vlans = "802.1Q" }
[device]
cam-1 = { role = "camera" }
cam-2 = { role = "camera" }
rec = { role = "recorder" }
router = { joins = "route" }
[port.core]
1-2 = { untagged = "cams", tagged = [] }
3 = { untagged = "office", tagged = [] }
4 = { untagged = "none", tagged = ["cams", "office"] }
[run]
a = { from = "core/1", to = "cam-1" }
b = { from = "core/2", to = "cam-2" }
c = { from = "core/3", to = "rec" }
d = { from = "core/4", to = "router/lan" }
""",
    )
    roles = {(row["from"], row["to"]): row for row in in_csv(file, "reach", capsys)}
    there, back = roles["camera", "recorder"], roles["recorder", "camera"]
    assert (there["frames"], there["packets"]) == ("no", "yes")
    assert there["way"] == "cams → router → office, by flow video"
    assert (back["frames"], back["packets"], back["way"]) == ("no", "no", "")
    vlans = {(row["from"], row["to"]): row["packets"] for row in in_csv(file, "vlan-reach", capsys)}
    assert vlans == {("cams", "office"): "no", ("office", "cams"): "no"}
    pairs = {(row["from"], row["to"]): row for row in in_csv(file, "endpoint-reach", capsys)}
    assert pairs["cam-1", "cam-2"]["frames"] == "yes"
    assert pairs["cam-1", "cam-2"]["way"] == "cam-1 → core/1 (cams) → core/2 to cam-2"
    assert pairs["cam-1", "rec"]["packets"] == "no"
    assert "endpoint-reach" not in printed(file, capsys)
