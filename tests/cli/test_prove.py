"""The proof and the signature by commands: verdict first, caution before the instruction."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from pypdf import PdfReader

from wetend.pump.toml import demo_pump, to_toml

READ = (
    "solvent_lost=0 mL", "solvent_head=50 mm", "solvent_time=15 min", "stall_pressure=270 bar",
    "stall_settled=60 s", "stall_time=60 s", "stall_creep_up=0 mm", "stall_creep_down=90 mm",
    "rod_held=drive vented", "wet_cup=clean", "guards=yes", "bonding=2 ohm",
)  # fmt: skip


@pytest.fixture
def visit(say: Callable, tmp_path) -> str:
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(described))
    made = say("visit", "start", "quay-air", "--json").json["visit"]
    say("coating", "last", "epoxy-tank")
    return made


def test_each_act_has_its_caution_before_its_how(say: Callable, visit: str) -> None:
    text = " ".join(say("prove", "last").out.split())
    order = [
        text.index(words)
        for words in (
            "not proven: Nothing is proven yet.", "On the bench", "DANGER: Solvent and coating",
            "Before closing the pump: pour", "At stall", "DANGER: First pressure after a rebuild",
            "DANGER: The rod can move", "To stop it on the way up, shut the gun in mid-stroke",
            "DANGER: A jet from a nozzle", "Only where nothing can move the rod",
            "Running", "DANGER: Catch only", "Nozzle out, low pressure", "Before hand-over",
            "DANGER: Fit guards", "Every guard on",
        )
    ]  # fmt: skip
    assert order == sorted(order)
    assert text.count("First pressure after a rebuild") == 1
    assert text.count("The rod can move at any moment") == 1


def test_a_test_done_well_carries_no_caution_any_more(say: Callable, visit: str) -> None:
    text = say("prove", "last", "solvent_lost=0 mL", "solvent_head=50 mm", "solvent_time=900 s").out
    bench = text.partition("At stall")[0]
    assert "pass  Solvent test" in bench
    assert "DANGER" not in bench


def test_readings_are_added_until_anew(say: Callable, visit: str) -> None:
    say("prove", "last", *READ)
    more = say("prove", "last", "trigger_lock=yes", "--json").json["visit"]["proof"]
    assert (more["stall_creep_down"], more["trigger_lock"]) == (0.09, "yes")
    fresh = say("prove", "last", "guards=no", "--anew", "--json").json["visit"]["proof"]
    assert (fresh["stall_creep_down"], fresh["guards"]) == (None, "no")


def test_a_failed_proof_signed_off_with_its_reason(say: Callable, visit: str, tmp_path) -> None:
    say("prove", "last", *READ)
    refused = say("sign-off", "last", "technician=R. Okafor (invented)")
    assert refused.code == 2
    for words in ("write why it is signed off", "inform the crew", "tag it"):
        assert words in refused.err
    signed = say(
        "sign-off", "last", "technician=R. Okafor (invented)", "reason=Berth must be cleared",
        "crew_told=yes", "tagged=yes",
    )  # fmt: skip
    assert signed.out.startswith("Signed off: FAILED")
    say("prove", "last", "stall_creep_down=0 mm")
    later = say("prove", "last").out
    assert later.startswith("Signed off: FAILED")
    assert "Read after that signature, and not part of it" in later
    seen = say("handover", "last", "--json").json["signed"]
    assert seen["signatures"][0]["standing"]["verdict"] == "fail"
    assert seen["now"]["verdict"] == "not proven"
    assert [e["what"] for e in seen["later"]] == ["proof readings"]
    assert "signed off, fail" in say("pump", "show", "quay-air").out
    paper = tmp_path / "report.pdf"
    say("report", visit, "--to", str(paper))
    pages = [" ".join(p.extract_text().split()) for p in PdfReader(paper).pages]
    first = pages[0]
    reason = first.index("Berth must be cleared")
    assert first.index("Signed off: FAILED") < reason < first.lower().index("in short")
    assert "The crew was informed; the pump is tagged." in first
    whole = " ".join(pages).lower()
    assert "after the signature" in whole
    assert "the record today: not proven" in whole
    card = tmp_path / "card.pdf"
    say("report", visit, "--kind", "certificate", "--to", str(card))
    pages = [" ".join(p.extract_text().split()) for p in PdfReader(card).pages]
    assert "Signed off: FAILED" in pages[0]
    assert "Entered after the signature and not part of it: 1 (below)." in pages[0]
    assert "after the signature of R. Okafor (invented)" in " ".join(pages[1:])


def test_not_asked_can_not_be_typed(say: Callable, visit: str) -> None:
    refused = say("prove", "last", "rod_held=not asked", "hold_start=200 bar")
    assert refused.code == 2
    assert "what keeps the rod from moving" in refused.err
