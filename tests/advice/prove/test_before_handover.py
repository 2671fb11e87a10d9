"""Proved before hand-over: pressure limit, bonding, and what is seen or tried."""

from __future__ import annotations

from typing import Any

import pytest

from wetend.advice.prove.acts import ACTS, GROUPS, in_group, warned
from wetend.advice.prove.answer import ProofTest
from wetend.advice.prove.proof import prove
from wetend.advice.ratings import weakest
from wetend.advice.reasons import Verdict
from wetend.pump.measurements import ProofReadings
from wetend.pump.toml import demo_coatings, demo_pump

BAR = 1e5


def pick(key: str, **readings: Any) -> ProofTest:
    proof = prove(demo_pump("quay-air"), demo_coatings()[0], ProofReadings(**readings))
    return next(t for t in proof.tests if t.key == key)


def test_the_limit_counts_at_the_pump_whichever_side_it_is_read() -> None:
    # 7 bar * 40 = 280 bar; the weakest rating is the wet end's 320 bar
    assert weakest(demo_pump("quay-air")) == (320 * BAR, "wet end")
    at_drive = pick("limit", limit_setting=7 * BAR)
    assert at_drive.value == pytest.approx(280 * BAR)
    assert at_drive.verdict is Verdict.PASS
    at_pump = pick("limit", limit_setting=280 * BAR, limit_where="pump's outlet")
    assert at_pump.value == 280 * BAR
    assert at_pump.verdict is Verdict.PASS
    assert pick("limit", limit_setting=8.8 * BAR).verdict is Verdict.FAIL
    high = pick("limit", limit_setting=340 * BAR, limit_where="pump's outlet")
    assert high.verdict is Verdict.FAIL


def test_a_limit_read_at_the_other_side_is_doubted() -> None:
    test = pick("limit", limit_setting=7 * BAR, limit_where="pump's outlet")
    assert test.verdict is Verdict.NOT_PROVEN
    assert "was it read at the outlet?" in test.why


@pytest.mark.parametrize(
    ("ohms", "verdict"),
    [(0.5, Verdict.PASS), (9.0, Verdict.PASS), (10.0, Verdict.NOT_PROVEN), (12.0, Verdict.FAIL),
     (2e6, Verdict.FAIL)],
)  # fmt: skip
def test_bonding_is_held_against_ten_ohm(ohms: float, verdict: Verdict) -> None:
    """Energy Safety Canada, Grounding and Bonding Safety Bulletin 26-2018: all metal, below 10."""
    test = pick("bonding", bonding=ohms)
    assert test.verdict is verdict
    assert "Bulletin 26-2018" in test.working.source


@pytest.mark.parametrize(
    "look",
    ["guards", "whip_checks", "hose_age", "hose_cover", "trigger_lock", "dump_valve", "gauge_zero"],
)
def test_each_look_is_yes_no_or_not_done(look: str) -> None:
    key = look.replace("_", "-")
    found = [pick(key, **{look: word}) for word in ("yes", "no", "not done")]
    assert [t.verdict for t in found] == [Verdict.PASS, Verdict.FAIL, Verdict.NOT_PROVEN]
    assert [t.seen for t in found] == ["yes", "no", ""]
    assert all(t.group == "handover" and t.how for t in found)


def test_every_reading_belongs_to_one_act() -> None:
    filled = [name for act in ACTS.values() for name in act.fields]
    own = {"gauge_spread", "bucket_spread", "note", "instruments"}
    assert sorted([*filled, *own]) == sorted(ProofReadings.model_fields)


def test_one_caution_a_hazard_in_each_group() -> None:
    for group in GROUPS:
        shown = [c for own in warned(act.cautions for act in in_group(group)) for c in own]
        hazards = [c.hazard for c in shown]
        assert hazards
        assert len(hazards) == len(set(hazards))
