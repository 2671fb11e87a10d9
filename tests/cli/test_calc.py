"""Calculators by command: found by words, filled from a pump, drawn to a file."""

from __future__ import annotations

import pytest


@pytest.fixture
def pump(say, tmp_path):
    """A depot with the example pump."""
    described = tmp_path / "pump.toml"
    described.write_text(say("pump", "example").out, "utf-8")
    say("pump", "describe", str(described))


def test_it_is_found_under_the_question_it_answers(say):
    said = say("calc", "--find", "creep").out
    assert said.index("Where does it leak") < said.index("stall-creep")
    assert say("calc", "--find", "creep", "--json").json[0]["calculators"] == ["stall-creep"]
    assert "No calculator matches" in say("calc", "--find", "zebra").out


@pytest.mark.usefixtures("pump")
def test_it_is_filled_from_a_pump_and_what_is_typed_comes_before(say):
    said = say("calc", "line-loss", "--pump", "quay-air", "--coating", "alkyd-topcoat")
    assert said.code == 0
    assert said.out.index("DANGER") < said.out.index("Filled from Quay")
    assert "With every number 5% off" in said.out
    own = say("calc", "line-loss", "--pump", "quay-air", "lengths=30m,3m", "--json").json
    assert own["inputs"]["lengths"] == [30.0, 3.0]
    moves = own["response"]["moves"]
    assert own["response"]["field"] == max(moves, key=moves.get)
    for refused in (("line-loss", "--pump", "no-such"), ("weibull-fit", "--pump", "quay-air")):
        said = say("calc", *refused)
        assert said.code != 0
        assert said.out == ""
        assert said.err.count("\n") == 1


def test_its_chart_is_a_file_of_its_own(say):
    svg = say(
        "calc", "nozzle-flow", "orifice=0.5mm", "pressure=200bar", "density=1.4kg/L", "--chart"
    )
    assert svg.out.startswith("<svg")
    refused = say("calc", "weibull-fit", "failures=1,2,3", "--chart")
    assert (refused.code, refused.out) == (2, "")
