"""Signing off: what it needs, what it stands for, and what comes after it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from wetend.advice.reasons import Verdict
from wetend.errors import BadInput
from wetend.pump.measurements import BallMeasured, ProofReadings
from wetend.pump.readings import SignOff, StripProgress, VisitStart
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.records.entries import Entry, Withdrawn, new_entry, said_by
from wetend.records.store import Depot
from wetend.reports.blocks import Answer
from wetend.reports.certificate import ProofCertificate, certificate_document
from wetend.workflows import handover, pumps, visits
from wetend.workflows import prove as stage
from wetend.workflows.desk import Desk
from wetend.workflows.reports import certificate_of, report_of
from wetend.workflows.standing import signed_of
from wetend.workflows.visits import choose_coating

PUMP = demo_pump("quay-air")
LOOKS = ("guards", "whip_checks", "hose_age", "hose_cover", "trigger_lock", "dump_valve",
         "gauge_zero")  # fmt: skip
GOOD = ProofReadings(
    solvent_lost=0.0, solvent_head=0.05, solvent_time=900.0, stall_pressure=2.7e7, stall_time=60.0,
    stall_settled=60.0, stall_creep_up=0.0, stall_creep_down=0.0, rod_held="drive vented",
    bucket_volume=PUMP.displacement * 59.4, bucket_cycles=60.0, up_time=1.45, down_time=1.45,
    wet_cup="clean", limit_setting=7e5, bonding=1.0, **dict.fromkeys(LOOKS, "yes"),
)  # fmt: skip
BAD = GOOD.model_copy(update={"stall_creep_down": 0.2})
SIGNED = SignOff(technician="R. Okafor (invented)", fitted="seat")
ALL_THE_SAME = SIGNED.model_copy(
    update={"reason": "Kit comes tomorrow", "crew_told": True, "tagged": True}
)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        at = Desk(depot, who="A. Tester")
        pumps.describe(at, PUMP)
        yield at


@pytest.fixture
def visit(desk: Desk) -> str:
    """A visit whose foot ball was measured, so that a proof is due."""
    made = visits.start(desk, VisitStart(pump=PUMP.key))
    choose_coating(desk, made, demo_coatings()[0])
    desk.keep_in_visit("ball", BallMeasured(), made)
    return made


def test_a_passed_pump_is_signed_without_more(desk: Desk, visit: str) -> None:
    stage.save(desk, visit, GOOD)
    signed = signed_of(handover.sign_off(desk, visit, SIGNED))
    assert signed.shown.verdict is Verdict.PASS
    assert signed.shown.word == "Passed"
    assert signed.signatures[0].about_crew == ""


@pytest.mark.parametrize("readings", [BAD, GOOD.model_copy(update={"wet_cup": "not looked"}), None])
def test_one_that_did_not_pass_needs_why_crew_and_tag(
    desk: Desk, visit: str, readings: ProofReadings | None
) -> None:
    if readings is not None:
        stage.save(desk, visit, readings)
    with pytest.raises(BadInput) as refused:
        handover.sign_off(desk, visit, SIGNED)
    assert [p.field for p in refused.value.problems] == ["reason", "crew_told", "tagged"]
    assert not desk.visit(visit).closed
    for lacks in ({"reason": ""}, {"crew_told": False}, {"tagged": False}):
        with pytest.raises(BadInput):
            handover.sign_off(desk, visit, ALL_THE_SAME.model_copy(update=lacks))
    shown = signed_of(handover.sign_off(desk, visit, ALL_THE_SAME)).signatures[0]
    assert shown.standing.verdict is (Verdict.FAIL if readings is BAD else Verdict.NOT_PROVEN)
    assert shown.reason == "Kit comes tomorrow"
    assert shown.about_crew == "The crew was informed; the pump is tagged."


def test_nobody_signs_a_verdict_of_their_own(desk: Desk, visit: str) -> None:
    stage.save(desk, visit, BAD)
    forged = ALL_THE_SAME.model_copy(
        update={"proof": "pass", "proof_why": "fine", "entries_seen": 9}
    )
    kept = handover.sign_off(desk, visit, forged).sign_off
    assert kept is not None
    assert kept.proof == "fail"
    assert kept.proof_why.startswith("Failed: Stall hold going down")
    assert kept.entries_seen == len(desk.visit(visit).entries) - 1


def test_a_wet_end_left_shut_needs_no_proof(desk: Desk) -> None:
    made = visits.start(desk, VisitStart(pump=PUMP.key))
    signed = signed_of(handover.sign_off(desk, made, SIGNED))
    assert signed.shown.verdict is Verdict.NOT_APPLICABLE
    assert "no proof was due" in signed.shown.why


def test_something_to_watch_passes(desk: Desk, visit: str) -> None:
    stage.save(desk, visit, GOOD.model_copy(update={"stall_creep_up": 0.012}))
    signed = signed_of(handover.sign_off(desk, visit, SIGNED))
    assert signed.shown.verdict is Verdict.WATCH
    assert "points to watch: Stall hold going up" in signed.shown.why


def test_later_readings_never_change_what_was_signed(desk: Desk, visit: str) -> None:
    stage.save(desk, visit, BAD)
    handover.sign_off(desk, visit, ALL_THE_SAME)
    stage.save(desk, visit, GOOD)
    signed = signed_of(desk.visit(visit))
    assert signed.shown.verdict is Verdict.FAIL
    assert signed.now.verdict is Verdict.PASS
    assert [(later.what, later.who) for later in signed.later] == [("proof readings", "A. Tester")]
    assert signed.proof_later
    report = report_of(desk.visit(visit), issued=desk.visit(visit).started)
    assert report.proof is not None
    assert report.proof.verdict is Verdict.FAIL
    assert report.entries == len(desk.visit(visit).entries)


def test_signing_again_leaves_the_first_signature_as_it_was(desk: Desk, visit: str) -> None:
    stage.save(desk, visit, BAD)
    handover.sign_off(desk, visit, ALL_THE_SAME)
    stage.save(desk, visit, GOOD)
    handover.sign_off(desk, visit, SIGNED.model_copy(update={"technician": "B. Second"}))
    signed = signed_of(desk.visit(visit))
    assert [(s.technician, s.standing.verdict) for s in signed.signatures] == [
        ("B. Second", Verdict.PASS), ("R. Okafor (invented)", Verdict.FAIL),
    ]  # fmt: skip
    assert signed.later == ()


def _from_elsewhere(desk: Desk, visit: str, readings: ProofReadings) -> Entry:
    """Proof readings another device made before now; they reach the record when appended."""
    return new_entry("proof", readings, pump=PUMP.key, visit=visit, who="C. Other")


def test_readings_that_arrive_late_are_told_and_change_nothing(desk: Desk, visit: str) -> None:
    stage.save(desk, visit, GOOD)
    elsewhere = _from_elsewhere(desk, visit, BAD)
    handover.sign_off(desk, visit, SIGNED)
    desk.depot.append(elsewhere)
    latest = signed_of(desk.visit(visit)).signatures[0]
    assert latest.standing.verdict is Verdict.PASS
    told = " ".join(latest.remarks)
    assert "only after the signature: 1" in told
    assert "Judged again today: FAILED" in told


def test_a_withdrawn_signature_opens_the_visit_again(desk: Desk, visit: str) -> None:
    stage.save(desk, visit, GOOD)
    handover.sign_off(desk, visit, SIGNED)
    signature = desk.visit(visit).signatures[0][0]
    desk.depot.append(
        new_entry("withdrawn", Withdrawn(), pump=PUMP.key, visit=visit, corrects=signature.id)
    )
    assert signed_of(desk.visit(visit)).signatures == ()


def test_opened_again_after_its_proof_it_is_not_proven(desk: Desk, visit: str) -> None:
    stage.save(desk, visit, GOOD)
    desk.keep_in_visit("strip-progress", StripProgress(done=("suction-off",)), visit)
    proof = stage.view(desk, visit).proof
    assert proof is not None
    assert proof.verdict is Verdict.NOT_PROVEN
    assert "prove it again" in proof.why
    with pytest.raises(BadInput):
        handover.sign_off(desk, visit, SIGNED)
    stage.save(desk, visit, GOOD)
    assert signed_of(handover.sign_off(desk, visit, SIGNED)).shown.verdict is Verdict.PASS


def _before(entry: Entry, *later: str) -> Entry:
    """An entry as the version before kept it: whole, without the fields that came later."""
    said = said_by(entry)
    assert said is not None
    held = {k: v for k, v in said.model_dump(mode="json").items() if k not in later}
    return entry.model_copy(update={"payload": json.dumps(held)})


NEW_IN_PROOF = ("rod_held", "stall_settled", "limit_setting", "limit_where", "bonding", *LOOKS)
NEW_IN_SIGN_OFF = ("reason", "crew_told", "tagged", "proof", "proof_why", "entries_seen")
OLD = GOOD.model_copy(update={"hold_start": 2.6e7, "hold_end": 2.59e7, "hold_time": 180.0})


def test_old_signatures_and_proofs_read_as_they_did(desk: Desk, visit: str) -> None:
    """A record of the version before: passed by its own tests, no verdict in its signature."""
    read = new_entry("proof", OLD, pump=PUMP.key, visit=visit)
    signed = new_entry("sign-off", SIGNED, pump=PUMP.key, visit=visit)
    desk.depot.append(_before(read, *NEW_IN_PROOF), _before(signed, *NEW_IN_SIGN_OFF))
    found = signed_of(desk.visit(visit))
    assert found.shown.verdict is Verdict.PASS
    assert found.signatures[0].remarks == ()
    proof = stage.view(desk, visit).proof
    assert proof is not None
    assert len(proof.tests) == 9


def test_an_old_proof_gone_on_with_is_asked_all_that_is_asked_today(desk: Desk, visit: str) -> None:
    read = new_entry("proof", OLD, pump=PUMP.key, visit=visit)
    desk.depot.append(_before(read, *NEW_IN_PROOF))
    stage.save(desk, visit, ProofReadings(guards="yes"))
    proof = stage.view(desk, visit).proof
    assert proof is not None
    verdicts = {t.key: t.verdict for t in proof.tests}
    assert verdicts["hold"] is Verdict.NOT_APPLICABLE
    assert verdicts["guards"] is Verdict.PASS
    assert verdicts["solvent"] is Verdict.PASS
    assert verdicts["trigger-lock"] is Verdict.NOT_PROVEN


def test_not_asked_is_no_answer_today(desk: Desk, visit: str) -> None:
    with pytest.raises(BadInput, match="what keeps the rod from moving"):
        stage.save(desk, visit, GOOD.model_copy(update={"rod_held": "not asked"}))


def certificate(desk: Desk, visit: str) -> ProofCertificate:
    whole = desk.visit(visit)
    return certificate_of(whole, issued=whole.started)


def test_the_certificate_shows_what_was_signed_and_apart_what_came_later(
    desk: Desk, visit: str
) -> None:
    stage.save(desk, visit, BAD)
    handover.sign_off(desk, visit, ALL_THE_SAME)
    assert certificate(desk, visit).later is None
    stage.save(desk, visit, GOOD)
    paper = certificate(desk, visit)
    assert paper.proof.verdict is Verdict.FAIL
    assert paper.readings.stall_creep_down == BAD.stall_creep_down
    assert paper.later is not None
    assert paper.later.proof.verdict is Verdict.PASS
    made = certificate_document(paper, "metric")
    assert made.title == "Record of a failed proof"
    assert isinstance(made.head[0], Answer)
    assert made.head[0].verdict is Verdict.FAIL
    apart = next(s for s in made.sections if s.title == "After the signature")
    said = " ".join(str(block) for block in apart.blocks)
    assert "after the signature of R. Okafor (invented)" in said
    assert "That stands as it was signed: FAILED" in said
    assert "Nobody has signed what follows" in said
    names = [s.title for s in made.sections]
    assert names.index("Signed") < names.index("After the signature")


def test_signed_without_readings_its_certificate_stays_not_proven(desk: Desk, visit: str) -> None:
    handover.sign_off(desk, visit, ALL_THE_SAME)
    with pytest.raises(BadInput, match="enter proof readings first"):
        certificate(desk, visit)
    stage.save(desk, visit, GOOD)
    paper = certificate(desk, visit)
    assert paper.proof.verdict is Verdict.NOT_PROVEN
    assert paper.later is not None
    assert certificate_document(paper, "metric").title == "Record of proof, not proven"
    handover.sign_off(desk, visit, SIGNED)
    again = certificate(desk, visit)
    assert (again.proof.verdict, again.later) == (Verdict.PASS, None)


def test_signed_before_the_coating_was_known_there_is_no_certificate(desk: Desk) -> None:
    made = visits.start(desk, VisitStart(pump=PUMP.key))
    desk.keep_in_visit("ball", BallMeasured(), made)
    handover.sign_off(desk, made, ALL_THE_SAME)
    choose_coating(desk, made, demo_coatings()[0])
    stage.save(desk, made, GOOD)
    with pytest.raises(BadInput, match="signed before the coating was known"):
        certificate(desk, made)


def test_what_the_record_says_otherwise_since_it_was_signed_is_shown_and_overwrites_nothing(
    desk: Desk, visit: str
) -> None:
    stage.save(desk, visit, GOOD)
    handover.sign_off(desk, visit, SIGNED.model_copy(update={"found": "My own words."}))
    assert handover.view(desk, visit).moved == ()
    desk.keep_in_visit("ball", BallMeasured(marks="dents or scars"), visit)
    seen = handover.view(desk, visit)
    (moved,) = (now for label, now in seen.moved if label == "found")
    assert "Foot-valve ball" in moved
    assert seen.visit.sign_off is not None
    assert seen.visit.sign_off.found == "My own words."
    handover.sign_off(desk, visit, ALL_THE_SAME)  # signed again: nothing is later than that
    assert handover.view(desk, visit).moved == ()
