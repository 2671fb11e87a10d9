"""``wetend practice``."""

from __future__ import annotations

import json

import pytest

from wetend.cli.app import run
from wetend.workflows.practice import new_code

CODE = new_code("yard-hydraulic", "epoxy-tank", ["nozzle"], seed=11)


def test_an_exercise_on_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["practice", CODE, "strokes", "open-3"]) == 0
    told = capsys.readouterr().out
    assert "nozzle worn" in told
    assert "It was bad" in told
    assert run(["practice", CODE, "strokes", "--json"]) == 0
    view = json.loads(capsys.readouterr().out)
    assert view["code"] == CODE
    assert view["debrief"] is None
    assert len(view["standing"]["readings"]["up_times"]) == 8


def test_giving_up_is_not_called_quick(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["practice", CODE, "wet-cup", "show"]) == 0
    assert "you stopped before that" in capsys.readouterr().out


def test_a_new_one_and_a_wrong_one(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["practice", "--pump", "quay-air", "--set", "foot,static"]) == 0
    assert "wet-cup" in capsys.readouterr().out
    assert run(["practice", "12345-6789"]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert run(["practice", CODE, "wetcup"]) == 2
    assert "“wetcup” is not a move" in capsys.readouterr().err
    assert run(["practice", "--set", "gremlins"]) == 2


def test_how_big_the_faults_are(capsys: pytest.CaptureFixture[str]) -> None:
    asked = ["practice", "--pump", "quay-air", "--coating", "epoxy-tank", "--set", "foot"]
    assert run([*asked, "--size", "severe", "--json"]) == 0
    code = json.loads(capsys.readouterr().out)["code"]
    assert run(["practice", code, "show"]) == 0
    truth = next(x for x in capsys.readouterr().out.splitlines() if "foot valve not" in x)
    assert truth.endswith(", severe")  # with or without the lump that a wash carries away
    assert run([*asked, "--size", "huge"]) == 2
    assert "slight, moderate, severe" in capsys.readouterr().err
