"""``wetend visit next``: the caution before what to do; what is left; what can't be done."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.pump.toml import demo_coatings, demo_pump, to_toml


@pytest.fixture
def visit(say: Callable, tmp_path: Path) -> str:
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(described))
    made: str = say("visit", "start", "quay-air", "--json").json["visit"]
    say("coating", "last", demo_coatings()[0].key)
    return made


def test_the_next_act_says_its_caution_first_and_the_command_that_enters_it(
    say: Callable, visit: str
) -> None:
    assert "Ask the crew what they see" in say("visit", "next", "last").out
    say("complaint", "last", "seen=down-stroke quick")
    text = " ".join(say("visit", "next", "last").out.split())
    assert text.index("A jet goes through skin") < text.index("Tap at each turn of the rod")
    assert f"wetend checks {visit[-6:]} up_times=… down_times=…" in text


def test_left_lists_what_is_left_and_json_says_the_same(say: Callable, visit: str) -> None:
    said = say("visit", "next", "last", "--left", "--json").json
    assert said["next"]["key"] == "crew"
    names = [f"{a['stage']}/{a['key']}" for a in said["acts"]]
    assert {"checks/strokes", "make-safe/bonded", "rebuild/tin", "handover/sign"} <= set(names)
    text = say("visit", "next", "last", "--left").out
    assert all(name in text for name in ("checks/strokes", "handover/sign"))
    assert next(a for a in said["acts"] if a["key"] == "guards")["shut"]


def test_an_act_that_needs_zero_says_so_and_one_that_cannot_be_done_goes(
    say: Callable, visit: str
) -> None:
    text = " ".join(say("visit", "next", "last", "--act", "prove/guards").out.split())
    assert text.index("Zero is not proven") < text.index("Check that every guard")
    say("complaint", "last", "seen=down-stroke quick")
    gone = say("visit", "next", "last", "--cannot", "it does not run")
    assert "it does not run" in gone.out
    assert gone.code == 0
    assert say("visit", "next", "last", "--json").json["next"]["key"] != "strokes"
    strange = say("visit", "next", "last", "--act", "prove/song")
    assert strange.code == 2
    assert "no such act" in strange.err
