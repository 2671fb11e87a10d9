"""``wetend checks`` and ``find-fault``: what can hurt is printed before what is to be done."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from wetend.advice.diagnosis.checks import CHECKS
from wetend.advice.safety.hazards import DEFERS
from wetend.pump.toml import demo_pump, to_toml

from .conftest import Said

Say = Callable[..., Said]


def _flat(text: str) -> str:
    return " ".join(text.split())


def _after_its_cautions(out: str) -> list[str]:
    """Checks whose how is told, each after every one of its cautions."""
    flat, told, start = _flat(out), [], 0
    for check in sorted(CHECKS, key=lambda c: flat.find(_flat(c.how))):
        place = flat.find(_flat(check.how), start)
        if place < 0:
            continue
        for caution in check.cautions:
            assert _flat(caution.text) in flat[start:place], (check.key, caution.hazard)
        told.append(check.key)
        start = place
    return told


def test_how_a_check_is_done_comes_after_its_cautions(say: Say) -> None:
    said = say("checks", "last", "--how", "all")
    assert said.code == 0
    assert len(_after_its_cautions(said.out)) == len(CHECKS)
    one = say("checks", "last", "--how", "creep")
    assert _after_its_cautions(one.out) == ["creep"]
    assert _flat(one.out).count(DEFERS) == 1
    told = say("checks", "last", "--how", "creep", "--json").json[0]
    assert [c["hazard"] for c in told["cautions"]] == ["rod-moves"]
    assert say("checks", "last", "--how", "nosuch").code == 2


def test_the_next_check_and_opening_come_after_their_cautions(say: Say, tmp_path: Path) -> None:
    readings = tmp_path / "r.toml"
    readings.write_text('creep_down = "650 mm/min"\n', "utf-8")
    asked = ("find-fault", "--pump", "quay-air", "--coating", "epoxy-tank", "--readings",
             str(readings), "--particles", "4000")  # fmt: skip
    answer = say(*asked, "--json").json
    out = _flat(say(*asked).out)
    start = 0
    for cautions, before in (("cautions", "Next check:"), ("before_opening", "Open first:")):
        place = out.find(before)
        for caution in answer[cautions]:
            assert start < out.find(_flat(caution["text"])) < place
        start = place
    assert answer["cautions"] or answer["before_opening"]
    further = say(*asked, "--how").out
    assert len(_after_its_cautions(further[further.find("Remaining checks") :])) == len(
        answer["checks"]
    )


def test_a_wash_comes_before_the_spanner_and_what_it_cures_is_left_shut(
    say: Say, tmp_path: Path
) -> None:
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(described))
    say("visit", "start", "quay-air")
    say("coating", "last", "epoxy-tank")
    found = say(
        "checks", "last", "creep_down=650 mm/min", "creep_up=0 mm/min", "stall_pressure=270 bar"
    )
    told = _flat(found.out)
    assert "Next check: Wash it through the dump valve, stall it again." in told
    assert "stall it again first. Only if that changes nothing: The foot valve" in told
    better = _flat(say("checks", "last", "wash=better").out)
    assert "It was a lump under the foot-valve ball, and the wash carried it away" in better
    assert "Open first: Open nothing for it. Strain the coating" in better
    assert "Next check:" in better  # strokes not yet timed could still change that, and cost little
