"""A visit that goes wrong, by commands: zero lapses in mid-strip, a second person takes over, and
the first proof fails."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.pump.make_safe import AROUND, HOSE
from wetend.pump.toml import demo_pump, to_toml

ALL = (
    *(f"{name}=yes" for name in (*AROUND, "drive_off", "locked_off", "air_bled", "air_moved")),
    *(f"{name}=yes" for name in HOSE), "blockage=ran free", "needle=on its stop",
)  # fmt: skip
TOOLS = (
    "tools=timber-block,soft-drift,c-spanner,pipe-wrench,second-pipe-wrench,adjustable,hammer,"
    "hexagon-keys,circlip-pliers,packing-hook,slogging-spanner,breaker-bar,long-c-spanner"
)
LOOKS = ("guards", "whip_checks", "hose_age", "hose_cover", "trigger_lock", "dump_valve",
         "gauge_zero")  # fmt: skip
PUMP = demo_pump("quay-air")
PROOF = (
    "solvent_lost=0 mL", "solvent_head=50 mm", "solvent_time=15 min", "stall_pressure=270 bar",
    "stall_settled=60 s", "stall_time=60 s", "stall_creep_up=0 mm", "rod_held=drive vented",
    f"bucket_volume={PUMP.displacement * 59.4:.6f} m3", "bucket_cycles=60", "up_time=1.45 s",
    "down_time=1.45 s", "wet_cup=clean", "limit_setting=7 bar", "bonding=1 ohm",
    *(f"{look}=yes" for look in LOOKS),
)  # fmt: skip


def test_a_relapse_a_second_person_and_a_failed_proof(
    say: Callable, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(PUMP), "utf-8")
    say("pump", "describe", str(described))
    visit = say("visit", "start", "quay-air", "--json").json["visit"]
    say("coating", "last", "epoxy-tank")
    plan = say("strip", "last", TOOLS, "vice=no", "goal=whole", "--json").json["plan"]
    assert plan["possible"], plan["why_not"]
    steps = [step["operation"]["key"] for step in plan["steps"]]

    # half of the strip, then the crew runs the pump
    say("make-safe", "last", *ALL)
    for step in steps[:3]:
        assert say("strip", "last", "--done", step).code == 0
    monkeypatch.setenv("WETEND_WHO", "Crew lead (invented)")
    assert say("ran", "last", "why=crew flushed it").code == 0
    monkeypatch.setenv("WETEND_WHO", "A. Tester")
    refused = say("strip", "last", "--done", steps[3])
    assert refused.code == 2
    assert "the pump ran again: crew flushed it, " in refused.err
    seen = say("strip", "last", "--json").json
    assert seen["done"] == steps[:3]  # what was done stays done
    say("make-safe", "last", *ALL)
    rest = [word for step in steps[3:] for word in ("--done", step)]
    assert say("strip", "last", *rest).code == 0

    # another technician builds it up, and proves zero himself
    assert say("inspect", "last", "solvent-test", "head=50 mm", "time=2 min", "lost=0 mL").code == 0
    monkeypatch.setenv("WETEND_WHO", "B. Second")
    build = [s["key"] for s in say("rebuild", "last", "--json").json["plan"]["steps"]]
    refused = say("rebuild", "last", "--done", build[0])
    assert refused.code == 2
    assert "It holds for A. Tester alone" in refused.err
    say("make-safe", "last", *ALL)
    assert say("rebuild", "last", *[w for s in build for w in ("--done", s)]).code == 0

    # the proof fails: where to look, and zero is over
    failed = say("prove", "last", *PROOF, "stall_creep_down=200 mm")
    assert "fail: " in failed.out
    assert "Zero no longer holds" in failed.out
    opened = say("strip", "last", "--anew", "--json").json
    assert opened["done"] == []
    assert say("rebuild", "last", "--json").json["done"] == []
    assert say("strip", "last", "--anew").code == 0  # twice is once
    refused = say("strip", "last", "--done", steps[0])
    assert refused.code == 2
    assert "Since then: " in refused.err
    assert say("prove", "last", "--to-checks").code == 0
    found = say("checks", "last", "--json").json["diagnosis"]["findings"]
    assert found[0]["fault"] == "foot valve not holding"

    # opened again, built up, proved anew, signed
    say("make-safe", "last", *ALL)
    for stage, keys in (("strip", steps), ("rebuild", build)):
        assert say(stage, "last", *[w for k in keys for w in ("--done", k)]).code == 0
    passed = say("prove", "last", "--anew", *PROOF, "stall_creep_down=0 mm")
    assert "pass: Every test meets its limit." in " ".join(passed.out.split())
    signed = say("sign-off", "last", "technician=B. Second", "fitted=foot-valve ball and seat")
    assert signed.code == 0
    assert signed.out.startswith("Signed off: Passed\n")
    kinds = [e["what"] for e in say("visit", "record", visit[-6:], "--json").json]
    assert kinds.count("Make-safe list") == 4
    assert kinds.count("Strip, steps done") == 3 + 1 + 1 + 1
