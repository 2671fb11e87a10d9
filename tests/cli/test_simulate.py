"""``wetend simulate``: figures, files, JSON, and one line for what can't be done."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.pump.toml import demo_coatings, demo_pump, to_toml


def test_a_leaking_piston_valve_quickens_the_up_stroke(say: Callable) -> None:
    """Common practice, no source: up-stroke quick, creeps up at stall."""
    said = say("simulate", "--pump", "yard-hydraulic", "--coating", "alkyd-topcoat",
               "--fault", "piston-valve=0.3mm", "--json")  # fmt: skip
    assert said.code == 0
    figures = said.json["figures"]
    assert figures["up-stroke"]["this"] < 0.95 * figures["up-stroke"]["sound"]
    assert figures["creep up at stall"]["this"] > 1e-3
    assert figures["creep down at stall"]["this"] < 1e-6
    assert figures["up-stroke"]["unit"] == "s"
    assert len(said.json["trace"]["this"]["time"]) == len(said.json["trace"]["this"]["below"])
    assert said.json["source"]
    assert said.json["validity"]


def test_a_bare_size_is_si(say: Callable) -> None:
    typed, bare = (
        say("simulate", "--fault", size, "--json").json["figures"]["down-stroke"]["this"]
        for size in ("foot-valve=200um", "foot-valve=0.0002")
    )
    assert typed == pytest.approx(bare, rel=1e-6)


def test_two_faults_at_once_and_the_person_s_units(say: Callable) -> None:
    said = say("--units", "imperial", "simulate", "--fault", "air=10%", "--fault", "nozzle-worn")
    assert said.code == 0
    assert "suction drawing air, 10.0 %" in said.out
    assert "nozzle worn, 30.0 %" in said.out
    assert "psi" in said.out
    assert "Source:" in said.out


def test_pump_and_coating_from_files_and_the_traces_to_files(say: Callable, tmp_path: Path) -> None:
    pump, coating = tmp_path / "pump.toml", tmp_path / "coating.toml"
    pump.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    coating.write_text("[[coating]]\n" + to_toml(demo_coatings()[2]), "utf-8")
    table, drawing = tmp_path / "motion.csv", tmp_path / "motion.svg"
    said = say("simulate", "--pump", str(pump), "--coating", str(coating), "--cycles", "2",
               "--csv", str(table), "--svg", str(drawing))  # fmt: skip
    assert said.code == 0
    rows = list(csv.reader(table.read_text("utf-8").splitlines()))
    assert rows[0][0] == "time"
    place = [float(row[rows[0].index("this.place")]) for row in rows[2:]]
    tops = [k for k in range(1, len(place) - 1) if place[k - 1] < place[k] >= place[k + 1]
            and place[k] > 0.079]  # fmt: skip
    assert len(tops) == 2  # two cycles of the 80 mm stroke
    assert drawing.read_text("utf-8").startswith("<svg ")


def test_a_stall_shows_the_creep(say: Callable) -> None:
    trace = say("simulate", "--fault", "foot-valve", "--gun", "stalled-down", "--json").json[
        "trace"
    ]
    assert trace["this"]["place"][-1] < trace["this"]["place"][0] - 0.01
    assert trace["sound"]["place"][-1] == pytest.approx(trace["sound"]["place"][0], abs=1e-5)


def test_the_faults_are_listed(say: Callable) -> None:
    assert "foot-valve" in say("simulate", "--list").out
    names = [each["name"] for each in say("simulate", "--list", "--json").json]
    assert "static-packings" in names


@pytest.mark.parametrize(
    "words",
    [
        ("--fault", "nose=1"),
        ("--fault", "foot-valve=3 parsec"),
        ("--fault", "foot-valve=-1mm"),
        ("--fault", "air=1e9"),
        ("--fault", "air", "--fault", "air"),
        ("--pump", "nope"),
        ("--pump", "nope.toml"),
        ("--coating", "nope"),
        ("--coating", "nope.toml"),
        ("--cycles", "0"),
        ("--gun", "sideways"),
        ("--csv", "/proc/nope/x.csv"),
    ],
    ids=" ".join,
)
def test_what_cannot_be_played_gets_one_line(say: Callable, words: tuple[str, ...]) -> None:
    said = say("simulate", *words)
    assert said.code in (1, 2)
    assert said.err.startswith("wetend: ")
    assert said.err.count("\n") == 1
    assert "inside" not in said.err
