"""``wetend checks`` and ``find-fault``: what can hurt is printed before what is to be done."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from wetend.advice.fault_finding.checks import CHECKS
from wetend.advice.hazards import DEFERS

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
    assert len(_after_its_cautions(further[further.find("Checks left") :])) == len(answer["checks"])
