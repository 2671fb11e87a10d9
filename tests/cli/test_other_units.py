"""Bench stages by command, read in other units: no line of ours in metric alone."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from wetend.pump.toml import demo_pump, to_toml

METRIC = re.compile(r"\d ?(?:bar|mm|µm|L/min|N·m|kN|mm/min)(?![\w/²³·])(?! \()")


def test_bench_stages_answer_in_the_units_chosen(say: Callable, tmp_path: Path) -> None:
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(described))
    say("visit", "start", "quay-air")
    say("coating", "last", "glass-flake-polyester")
    say("strip", "last", "tools=c-spanner,pipe-wrench,tube,adjustable,second-adjustable,socket-set,"
        "soft-drift,hammer,open-spanners,strap-wrench,timber-block", "vice=yes")  # fmt: skip

    def told(*words: str) -> str:
        said = say("--units", "imperial", *words)
        assert said.code == 0, said.err
        return " ".join(said.out.split())

    answers = [
        told("inspect", "last", "cylinder", "diameters=38.06, 38.05, 38.02, 38.02 mm",
             "score_depth=40um", "score_width=0.4mm", "score_direction=lengthwise"),
        told("rebuild", "last", "tin=2x0.5mm,0.25mm", "lever=0.5m"),
        told("prove", "last", "stall_pressure=240bar", "stall_time=60s", "stall_creep_up=1mm"),
        told("handover", "last"), told("strip", "last"),
    ]  # fmt: skip
    assert "from the computed effect" in answers[0]
    assert "thou" in answers[0]
    for answer in answers:
        assert METRIC.findall(answer) == []
