"""A whole visit by commands alone, complaint to signed hand-over, and found again later."""

from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from wetend.pump.toml import DEMO_PUMPS, demo_pump, to_toml

AROUND = (
    "bonded=yes", "protected=yes", "gun_opened=yes", "dump_opened=yes", "gun_dead=yes",
    "blockage=ran free", "needle=on its stop",
)  # fmt: skip
SAFE = {
    "quay-air": ("drive_off=yes", "locked_off=yes", "air_bled=yes", "air_moved=yes", *AROUND),
    "yard-hydraulic": (
        "drive_off=yes", "locked_off=yes", "oil_let_down=yes", "accumulator_empty=yes", *AROUND,
    ),
}  # fmt: skip
TOOLS = (
    "tools=timber-block,soft-drift,c-spanner,pipe-wrench,second-pipe-wrench,"
    "adjustable,hammer,tube,hexagon-keys,circlip-pliers,packing-hook"
)


@pytest.mark.parametrize("build", DEMO_PUMPS)
def test_a_visit_by_commands_alone(say: Callable, tmp_path: Path, build: str) -> None:
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump(build)), "utf-8")
    assert say("pump", "describe", str(described), "--json").json["key"] == build
    visit = say("visit", "start", build, "--reason", "quick on the way down", "--json").json[
        "visit"
    ]

    suspicions = say("complaint", "last", "said=drops", "seen=down-stroke quick", "--json").json
    assert suspicions["suspicions"][0]["fault"] == "foot valve not holding"
    refused = say("strip", "last", "--done", "slacken-gland")
    assert refused.code == 2
    assert "wetend make-safe last" in refused.err
    assert say("make-safe", "last", *SAFE[build], "--json").json["gate"]["zero"]["stands"]

    say("coating", "last", "epoxy-tank")
    sound = say("checks", "last", "--json").json["healthy"]
    up, down = sound["up_time"], sound["down_time"] * 0.75
    found = say(
        "checks", "last", f"up_times={up:.2f}, {up + 0.04:.2f}, {up - 0.03:.2f} s",
        f"down_times={down:.2f}, {down + 0.03:.2f}, {down - 0.02:.2f} s", "creep_up=0 mm/min",
        "creep_down=250 mm/min", "stall_pressure=270 bar", "--json",
    ).json["diagnosis"]  # fmt: skip
    assert found["findings"][0]["fault"] == "foot valve not holding"
    assert found["findings"][0]["leak"]["low"] > 0

    # strokes were timed since, so that zero has lapsed
    refused = say("strip", "last", "--done", "slacken-gland")
    assert refused.code == 2
    assert "strokes timed" in refused.err
    assert say("make-safe", "last", *SAFE[build]).code == 0
    plan = say("strip", "last", TOOLS, "vice=no", "goal=whole", "--json").json["plan"]
    assert plan["possible"], plan["why_not"]
    assert plan["steps"][0]["operation"]["key"] == "slacken-gland"
    done = [step["operation"]["key"] for step in plan["steps"]]
    assert say("strip", "last", *[w for key in done for w in ("--done", key)]).code == 0

    pump = demo_pump(build)
    ball, rod, bore = pump.foot_valve.ball_diameter, pump.rod.diameter, pump.cylinder.bore
    for part, *given in (
        ("ball", f"diameters={ball - 2e-5}, {ball - 1e-5} m", "marks=fine marks"),
        ("seat", "chip_depth=160 um", "chip_width=1.5 mm", "concentric=yes"),
        ("rod", f"diameters={rod - 1e-5}, {rod - 2e-5} m", "chrome=whole", "ends=sound"),
        ("cylinder", f"diameters={bore + 3e-5}, {bore + 4e-5} m", "score_direction=none"),
        ("seal-land", "gap=5 um", "mark_depth=0 um", "thread=sound"),
        ("packings", "set=moving", "lips=sharp"),
        ("packings", "set=static", "lips=worn round"),
        ("solvent-test", "head=50 mm", "time=2 min", "lost=3 mL"),
    ):
        assert say("inspect", "last", part, *given).code == 0, part
    judged = {j["part"]: j["verdict"] for j in say("inspect", "last", "--json").json["judgements"]}
    assert judged["foot-seat"] == "turn over"
    assert judged["rod"] == "keep"

    heights = [f"heights.{p.name}={p.height} m" for p in pump.stack.parts]
    fit = say(
        "rebuild", "last", *heights, "tin=2x0.5, 2x0.25, 0.1, 1 mm", "lever=0.5 m", "--json"
    ).json["fit"]
    assert fit["lift_verdict"] == "enough"
    assert ":" in fit["clock"]

    proof = say(
        "prove", "last", "solvent_lost=0 mL", "solvent_head=50 mm", "solvent_time=2 min",
        "stall_pressure=265 bar", "stall_time=1 min", "stall_creep_up=0.3 mm",
        "stall_creep_down=0.3 mm", "wet_cup=clean", "--json",
    ).json["proof"]  # fmt: skip
    assert {t["verdict"] for t in proof["tests"]} == {"pass", "not proven", "not applicable"}
    assert proof["verdict"] == "not proven"

    sheet = say("handover", "last", "hose_lift=4 m", "--json").json["sheet"]
    assert sheet["weakest_rating"] > sheet["stall_pressure"] > sheet["pump_pressure"] > 0
    words = ("technician=A. Tester", "found=seat chipped", "fitted=seat turned")
    refused = say("sign-off", "last", *words)
    assert refused.code == 2
    assert "write why it is signed off anyway" in refused.err
    signed = say(
        "sign-off", "last", *words, "reason=bucket to follow", "crew_told=yes", "tagged=yes"
    )
    assert signed.code == 0
    assert signed.out.startswith("Signed off: NOT PROVEN")

    report = tmp_path / "report.pdf"
    assert say("report", visit[-8:], "--to", str(report)).code == 0
    text = "".join(page.extract_text() for page in PdfReader(report).pages)
    assert "A. Tester" in text
    assert "seat turned" in text
    assert text.index("Signed off: NOT PROVEN") < text.index("bucket to follow")
    assert text.index("bucket to follow") < text.lower().index("in short")

    history = say("pump", "show", build, "--json").json["history"]
    assert [v["id"] for v in history] == [visit]
    assert history[0]["closed"]
    assert history[0]["fitted"] == "seat turned"
