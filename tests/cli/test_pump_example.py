"""A description to start from, by command."""

from __future__ import annotations

import pytest

from wetend.pump.toml import demo_pump, pump_from_toml

RATINGS = ("supply_rated=150bar", "outlet_pressure=300bar", "hose_rated=310bar",
           "filter_rated=320bar", "nozzle_rated=330bar")  # fmt: skip


def test_with_sizes_it_is_in_proportion_and_says_what_to_measure(say):
    said = say("pump", "example", "yard-hydraulic", "bore=45mm", "rod=32mm", "stroke=4in", *RATINGS)
    assert said.code == 0
    made = pump_from_toml(said.out)
    assert made.cylinder.bore == pytest.approx(45e-3)
    assert made.stroke == pytest.approx(0.1016)
    assert made.limits.outlet_pressure == pytest.approx(300e5)
    assert "stack" in made.guessed
    assert "Measure thread pitch" in said.err


def test_without_the_ratings_it_asks_for_them_and_guesses_none(say):
    said = say("pump", "example", "quay-air", "bore=45mm", "rod=32mm", "stroke=4in", *RATINGS[1:])
    assert (said.code, said.out) == (2, "")
    assert "Supply, at most is required" in said.err


def test_without_sizes_it_is_the_demo_pump(say):
    assert pump_from_toml(say("pump", "example").out) == demo_pump("quay-air")


@pytest.mark.parametrize(
    "sizes", [("bore=45mm",), ("bore=45mm", "rod=46mm", "stroke=0.1"), ("colour=red",)]
)
def test_sizes_that_make_no_pump_are_refused_in_a_line(say, sizes):
    said = say("pump", "example", "quay-air", *sizes)
    assert said.code == 2
    assert said.out == ""
    assert said.err.count("\n") <= 2


def test_a_step_is_drawn_as_svg(say, tmp_path):
    described = tmp_path / "pump.toml"
    described.write_text(say("pump", "example").out, "utf-8")
    say("pump", "describe", str(described))
    svg = say("pump", "draw", "quay-air", "--step", "foot-crack").out
    assert svg.startswith("<svg ")
    assert 'data-tool="long-c-spanner"' in svg
    refused = say("pump", "draw", "quay-air", "--step", "foot-crak")
    assert refused.code == 2
    assert "did you mean foot-crack" in refused.err


def test_a_label_is_written_for_the_address_that_phones_use(say, tmp_path):
    described = tmp_path / "pump.toml"
    described.write_text(say("pump", "example").out, "utf-8")
    say("pump", "describe", str(described))
    made = say("pump", "label", "quay-air", "http://192.168.1.20:8642/", "--json").json
    assert made["address"] == "http://192.168.1.20:8642/pumps/quay-air"
    assert made["svg"].startswith("<svg")
    refused = say("pump", "label", "quay-air", "192.168.1.20")
    assert (refused.code, refused.out) == (2, "")
