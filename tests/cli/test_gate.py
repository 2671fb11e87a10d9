"""The gate by commands: the list ticked line by line, what shuts it, and how the refusal helps."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.pump.make_safe import AROUND, CLEARING, HOSE
from wetend.pump.toml import demo_pump, to_toml

AIR = ("drive_off", "locked_off", "air_bled", "air_moved")
ZERO = ("blockage=ran free", "needle=on its stop")
ALL = (*(f"{name}=yes" for name in (*AROUND, *AIR, *HOSE)), *ZERO)
TOOLS = "tools=c-spanner,pipe-wrench,adjustable,hammer,soft-drift"


@pytest.fixture
def visit(say: Callable, tmp_path: Path) -> str:
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(described))
    made = say("visit", "start", "quay-air", "--json").json["visit"]
    say("strip", "last", TOOLS, "vice=yes", "goal=whole")
    return made


def test_the_list_is_shown_with_each_caution_before_its_lines_and_what_lacks(
    say: Callable, visit: str
) -> None:
    text = " ".join(say("make-safe", "last").out.split())
    assert text.index("pushes the rod up with 16000 N") < text.index("○ Air shut at its isolating")
    assert text.index("Never feel for a leak") < text.index("○ Gun opened into a bonded metal pail")
    assert "accumulator" not in text
    assert "! DANGER: Zero is not proven. The list has not been ticked on this visit." in text
    assert "hose_ends_opened=no" in text
    assert "needle=not looked (not looked | on its stop | off its stop)" in text


def test_lines_are_ticked_one_after_another_until_zero_stands(say: Callable, visit: str) -> None:
    for line in ALL[:-1]:
        told = say("make-safe", "last", line, "--json").json["gate"]["zero"]
        assert not told["stands"], line
    assert "The gauge is not read" not in told["why_not"]
    assert "Choose how zero is proven" in told["why_not"]
    told = say("make-safe", "last", ALL[-1], "--json").json["gate"]["zero"]
    assert told["stands"]
    assert told["proven"]["who"] == "A. Tester"
    assert say("strip", "last", "--done", "slacken-gland").code == 0
    text = say("strip", "last").out
    assert "Zero proven by A. Tester, " in text
    assert "! DANGER: Zero" not in text


@pytest.mark.parametrize("stage", ["strip", "rebuild"])
def test_a_refusal_says_what_ended_zero_and_which_command_proves_it(
    say: Callable, visit: str, stage: str
) -> None:
    say("make-safe", "last", *ALL)
    say("ran", "last", "why=crew flushed it")
    refused = say(stage, "last", "--done", "suction-off")
    assert refused.code == 2
    assert "Since then: the pump ran again: crew flushed it, " in refused.err
    assert "wetend make-safe last" in refused.err
    shown = " ".join(say(stage, "last").out.split())
    assert "! DANGER: Zero was proven by A. Tester, " in shown
    assert shown.index("! DANGER: Zero") < shown.index("1. ")
    # and the list begins anew: not one line of the one before
    assert say("make-safe", "last", "--json").json["gate"]["begun"]["bonded"] is False


def test_ran_needs_no_reason_and_twice_is_over_once(say: Callable, visit: str) -> None:
    say("make-safe", "last", *ALL)
    assert say("ran", "last").code == 0
    assert "the pump ran again" in say("ran", "last").out
    assert say("make-safe", "last", *ALL, "--json").json["gate"]["zero"]["stands"]


def test_a_tick_taken_back_shuts_the_gate(say: Callable, visit: str) -> None:
    say("make-safe", "last", *ALL)
    told = say("make-safe", "last", "dump_opened=no", "--json").json["gate"]["zero"]
    assert not told["stands"]
    assert told["missing"] == ["Not ticked: Dump valve opened and left open."]


def test_another_name_is_another_person_and_none_is_nobody(
    say: Callable, visit: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    say("make-safe", "last", *ALL)
    refused = say("--who", "Bo Example", "strip", "last", "--done", "slacken-gland")
    assert refused.code == 2
    assert "you are Bo Example" in refused.err
    monkeypatch.delenv("WETEND_WHO")
    assert "enter your name" in say("strip", "last", "--done", "slacken-gland").err
    nameless = say("make-safe", "last", *ALL, "--json").json["gate"]["zero"]
    assert not nameless["stands"]


def test_a_blockage_by_commands_opens_its_own_steps(say: Callable, visit: str) -> None:
    say("make-safe", "last", *ALL)
    text = " ".join(say("make-safe", "last", "blockage=suspected").out.split())
    assert text.index("A blocked nozzle or hose holds the whole pressure") < text.index("clearing=")
    assert "may be blocked and hide pressure" in text
    say("make-safe", "last", f"clearing={','.join(CLEARING[:3])}", "blockage=cleared")
    assert "Still to do: Waited" in " ".join(say("make-safe", "last").out.split())
    done = ("make-safe", "last", f"clearing={','.join(CLEARING)}", "--json")
    assert say(*done).json["gate"]["zero"]["stands"]


def test_a_gauge_too_coarse_and_one_that_reads_pressure_are_told_apart(
    say: Callable, visit: str
) -> None:
    def why(*gauge: str) -> str:
        given = [line for line in ALL if not line.startswith("needle")]
        told = say("make-safe", "last", *given, "needle=not looked", *gauge, "--json")
        return told.json["gate"]["zero"]["why_not"]

    assert "can't prove zero" in why("gauge_reading=2 bar", "gauge_resolution=10 bar")
    assert ("more than the 1 bar that can be read on it") in why(
        "gauge_reading=2 bar", "gauge_resolution=1 bar"
    )
    assert why("gauge_reading=0.5 bar", "gauge_resolution=1 bar") == ""
    shown = " ".join(say("make-safe", "last").out.split())
    assert "by the gauge: it read 0.5 bar, on a gauge read to 1 bar." in shown
    assert "gauge_resolution=1.00 bar" in shown


@pytest.mark.parametrize(
    ("stage", "reading"), [("checks", "stall_pressure=230bar"), ("prove", "hold_start=200bar")]
)
def test_readings_under_pressure_say_that_they_ended_zero(
    say: Callable, visit: str, stage: str, reading: str
) -> None:
    assert "Zero no longer holds" not in say(stage, "last", reading).out
    say("make-safe", "last", *ALL)
    assert "Zero no longer holds" not in say(stage, "last", "note=looked only").out
    assert "Zero no longer holds" in say(stage, "last", reading.replace("=2", "=1")).out
    assert "Zero no longer holds" not in say(stage, "last", reading).out
