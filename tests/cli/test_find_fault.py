"""``wetend find-fault``: files in, answers out, and bad files told of in a line."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.cli.app import run
from wetend.errors import BadInput, TooLarge
from wetend.pump.readings import CheckReadings
from wetend.pump.readings_file import readings_from, readings_schema

DOCS = Path(__file__).parents[2] / "docs" / "readings.md"
SAMPLE = re.findall(r"```toml\n(.*?)```", DOCS.read_text("utf-8"), re.DOTALL)[0]


def _ask(tmp_path: Path, readings: str, *more: str, name: str = "readings.toml") -> int:
    file = tmp_path / name
    file.write_text(readings, "utf-8")
    return run(["--depot", str(tmp_path / "depot.sqlite3"), "find-fault", "--pump", "quay-air",
                "--coating", "epoxy-tank", "--readings", str(file), "--particles", "4000",
                *more])  # fmt: skip


def test_the_documented_sample_is_a_foot_valve(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _ask(tmp_path, SAMPLE, "--json") == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["findings"][0]["fault"] == "foot valve not holding"
    assert {c["key"] for c in answer["checks"]}.isdisjoint({"bucket", "filter", "strokes", "creep"})
    assert answer["openings"][0]["inside"]
    assert len(answer["contributions"]) == 9


def test_the_same_in_json_and_in_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    as_json = json.dumps({"creep_down": "900 mm/min", "creep_up": 0.0, "wet_cup": "clean"})
    assert _ask(tmp_path, as_json, name="readings.json") == 0
    told = capsys.readouterr().out
    assert "foot valve not holding" in told
    assert "Order of repair" in told
    assert "Evidence from each reading" in told


def test_schema_names_every_reading(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["find-fault", "--schema"]) == 0
    schema = json.loads(capsys.readouterr().out)
    assert schema == readings_schema()
    assert set(schema["properties"]) == set(CheckReadings.model_fields)
    for name in CheckReadings.model_fields:
        assert f"`{name}`" in DOCS.read_text("utf-8")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("up_times = 3 3", "not valid TOML"),
        ('{"up_times": [1.4}', "not valid JSON"),
        ('{"wet_cup": "clean", "wet_cup": "coating in it"}', "given twice"),
        ('{"spray_pressure": NaN}', "not a number"),
        ('spray_pressure = "-5 bar"', "is -5 bar; it must be from 0 bar"),
        ('spray_pressure = "5 apples"', "apples"),
        ('colour = "red"', "not a field known here"),
        ('wet_cup = "damp"', "must be one of"),
        ("[1, 2]", "not valid TOML"),
        ("{" * 40000, "not valid JSON"),
        ("", "No reading was entered"),
        ("creep_down = true", "is not a number"),
        ("spray_pressure = 230", '"230 bar"'),
        ('spray_pressure = "230"', '"230 bar"'),
        ('bucket_volume = "5 L"', "two of the three"),
        ("cycle_rate = 22", '"22 cycles/min"'),
        ("creep_down = 900", '"900 mm/min"'),
        ('up_times = "1.2 s"', "a list, in square brackets"),
        ("up_times = [" + "1.4, " * 201 + "]", "more than 200 entries"),
        ('{"spray_pressure": 1' + "0" * 5000 + "}", "thousands of digits"),
        ("spray_pressure = 1" + "0" * 5000, "thousands of digits"),
    ],
)
def test_what_cannot_be_read_is_said_in_a_line(
    text: str, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _ask(tmp_path, text) == 2
    said = capsys.readouterr()
    assert told in said.err
    assert said.err.count("\n") == 1
    assert not said.out


@pytest.mark.parametrize("text", ['\ufeffwet_cup = "clean"', '\ufeff{"wet_cup": "clean"}'])
def test_a_byte_order_mark_is_passed_over(text: str) -> None:
    assert readings_from(text).wet_cup == "clean"


def test_bare_numbers_are_si() -> None:
    """As documented: pascals, metres a second, cycles a second; zero is zero in any unit."""
    read = readings_from(
        "spray_pressure = 2.25e7\ncreep_down = 0.015\ncycle_rate = 0.37\nstall_pressure = 0"
    )
    assert read.spray_pressure == 2.25e7
    assert read.creep_down == 0.015
    assert read.cycle_rate == 0.37
    assert read.stall_pressure == 0.0


def test_the_pumps_own_past_counts_where_the_depot_knows_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], copy_demo: Callable[[Path], Path]
) -> None:
    """The same pump as a file has no past; the prior of what wears differs, and only that."""
    depot = copy_demo(tmp_path / "depot.sqlite3")
    assert run(["--depot", str(depot), "pump", "toml", "north-quay"]) == 0
    described = tmp_path / "pump.toml"
    described.write_text(capsys.readouterr().out, "utf-8")
    readings = tmp_path / "readings.toml"
    readings.write_text('wet_cup = "clean"', "utf-8")
    chances = []
    for pump in ("north-quay", str(described)):
        assert run(["--depot", str(depot), "find-fault", "--pump", pump, "--coating", "epoxy-tank",
                    "--readings", str(readings), "--json"]) == 0  # fmt: skip
        found = json.loads(capsys.readouterr().out)["findings"]
        chances.append({f["fault"]: f["probability"] for f in found})
    wears = ("foot valve not holding", "piston valve or moving packings not holding")
    assert max(abs(chances[0][f] - chances[1][f]) for f in wears) > 0.03
    assert abs(chances[0]["drive weak"] - chances[1]["drive weak"]) < 0.03


def test_what_could_not_be_done_is_an_answer_by_itself(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing could be run: the usual chances stand, and a check not ruled out comes next."""
    assert _ask(tmp_path, 'could_not = ["watch", "strokes", "creep"]', "--json") == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["explained"]
    assert {c["key"] for c in answer["checks"]}.isdisjoint({"watch", "strokes", "creep"})
    assert answer["checks"]
    assert not answer["contributions"]


def test_missing_and_huge_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["find-fault", "--pump", "quay-air", "--coating", "epoxy-tank"]) == 2
    assert "--readings" in capsys.readouterr().err
    with pytest.raises(TooLarge):
        readings_from("a" * 60_000)
    with pytest.raises(BadInput):
        readings_from('{"note": []}')
