"""Proof readings kept before the rod was asked for keep their meaning."""

from __future__ import annotations

import json

from wetend.advice.prove.proof import prove
from wetend.advice.reasons import Verdict
from wetend.pump.proof_readings import ProofReadings, anew
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.units.noun import overlaid

NEW = ("stall_settled", "rod_held", "limit_setting", "limit_where", "guards", "whip_checks",
       "hose_age", "hose_cover", "bonding", "trigger_lock", "dump_valve", "gauge_zero")  # fmt: skip
OLD_KEYS = ["solvent", "hold", "stall-up", "stall-down", "gauge", "rating", "bucket", "rhythm",
            "wet-cup"]  # fmt: skip


def old_payload(**change: object) -> str:
    """A payload as the version before wrote it: every field of its time, no later one."""
    pump = demo_pump("quay-air")
    read = ProofReadings(
        solvent_lost=0.0, solvent_head=0.05, solvent_time=900.0, stall_pressure=2.7e7,
        stall_time=60.0, stall_creep_up=0.02, stall_creep_down=0.0, hold_start=2.6e7,
        hold_end=2.59e7, hold_time=180.0, bucket_volume=pump.displacement * 60 * 1.04,
        bucket_cycles=60.0, up_time=1.45, down_time=1.45, wet_cup="clean",
    )  # fmt: skip
    held = {k: v for k, v in read.model_dump().items() if k not in NEW}
    return json.dumps({**held, **change})


def test_an_old_proof_passes_by_the_tests_of_its_time() -> None:
    """A hold was judged, 20 mm of creep and a bucket 4 % over passed, nothing else was asked."""
    kept = ProofReadings.model_validate_json(old_payload())
    assert kept.older
    proof = prove(demo_pump("quay-air"), demo_coatings()[0], kept)
    assert [t.key for t in proof.tests] == OLD_KEYS
    assert {t.key: t.verdict for t in proof.tests} == dict.fromkeys(OLD_KEYS, Verdict.PASS)
    assert proof.verdict is Verdict.PASS


def test_an_old_proof_that_failed_still_does() -> None:
    kept = ProofReadings.model_validate_json(old_payload(hold_end=1.5e7))
    proof = prove(demo_pump("quay-air"), demo_coatings()[0], kept)
    assert [t.key for t in proof.tests if t.verdict is Verdict.FAIL] == ["hold"]


def test_a_new_one_is_read_back_as_it_was_kept() -> None:
    for read in (ProofReadings(), ProofReadings(rod_held="drive vented", bonding=2.0)):
        for partly in (True, False):
            kept = read.model_dump_json(exclude_unset=partly)
            assert ProofReadings.model_validate_json(kept) == read
            assert not ProofReadings.model_validate_json(kept).older


def test_a_new_one_that_names_all_that_was_asked_before_is_not_taken_for_an_old_one() -> None:
    names = json.loads(old_payload())
    read = ProofReadings.model_validate(names)
    assert "rod_held" not in read.model_fields_set
    back = ProofReadings.model_validate_json(read.model_dump_json(exclude_unset=True))
    assert not back.older


def test_a_proof_begun_anew_empties_what_was_read_before() -> None:
    old = ProofReadings.model_validate_json(old_payload())
    fresh = overlaid(old, anew(ProofReadings(guards="yes")))
    assert fresh == ProofReadings(guards="yes")
    assert not fresh.older
