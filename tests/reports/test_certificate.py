"""The proof certificate: readings, limits, risks, who and when, and a code to check it by."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from wetend.advice.prove.proof import prove
from wetend.advice.reasons import Verdict
from wetend.pump.measurements import ProofReadings
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.reports.certificate import ProofCertificate, certificate, certificate_document
from wetend.reports.qr import code

WHEN = datetime(2031, 5, 4, 11, 5, tzinfo=UTC)
COATING = next(c for c in demo_coatings() if c.key == "alkyd-topcoat")
PUMP = demo_pump("quay-air")
READINGS = ProofReadings(
    solvent_lost=0, solvent_head=0.05, solvent_time=3600, stall_pressure=2.4e7, stall_time=60,
    stall_creep_up=0.0, stall_creep_down=0.4, wet_cup="clean", instruments="gauge 7, steel rule",
    note="Third try.",
)  # fmt: skip


def paper(readings: ProofReadings = READINGS) -> ProofCertificate:
    return ProofCertificate(
        pump=PUMP, coating=COATING, proof=prove(PUMP, COATING, readings), readings=readings,
        visit_id="0190a0b1c2d37e4f8a9b0c1d2e3f4a5b", issued=WHEN, read_at=WHEN,
        who="Rowan Example", device="tablet 3", version="0.1.0",
        entries_hash="0123456789abcdef" * 4, entries=19, site="North quay",
        marked={"foot-seat": Verdict.TURN},
    )  # fmt: skip


def test_it_holds_who_when_with_what_and_every_test(pages: Callable[[bytes], list[str]]) -> None:
    made = paper()
    text = " ".join(pages(certificate(made)))
    said = ("Rowan Example", "2031-05-04 11:05 UTC", "gauge 7, steel rule", "tablet 3",
            "Third try.", "0.1.0", made.entries_hash, made.visit_id,
            "risk of a wrong pass")  # fmt: skip
    assert [each for each in said if each not in text] == []
    for test in made.proof.tests:
        assert test.title.split(":")[0] in text


def test_only_a_pass_is_called_a_certificate() -> None:
    failed = paper()
    assert failed.proof.verdict is Verdict.FAIL
    assert certificate_document(failed, "metric").title == "Record of a failed proof"
    assert "certificate" not in str(certificate_document(failed, "metric").plate)
    assert certificate_document(paper(ProofReadings()), "metric").title.endswith("not proven")
    passed = replace(failed, proof=replace(failed.proof, verdict=Verdict.PASS))
    assert certificate_document(passed, "metric").title == "Proof certificate"


def test_the_code_holds_visit_and_hash_and_the_same_paper_gives_the_same_bytes() -> None:
    made = paper()
    corner = certificate_document(made, "metric").corner
    assert corner is not None
    assert corner.svg == code(made.visit_id, made.entries_hash)
    assert certificate(made) == certificate(made)


def test_both_risks_stand_for_each_test_with_a_number() -> None:
    for test in paper().proof.tests:
        if test.probability is None:
            assert test.wrong_pass is test.wrong_fail is None
        else:
            assert test.wrong_pass + test.wrong_fail == pytest.approx(1)
            if test.verdict is Verdict.PASS:
                assert test.wrong_pass <= 0.05
            if test.verdict is Verdict.FAIL:
                assert test.wrong_fail <= 0.05
