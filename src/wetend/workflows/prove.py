"""Stage six: proof tests of the rebuilt pump."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.handover.sign_off import Signed
from wetend.advice.prove.carry_back import as_checks
from wetend.advice.prove.proof import Proof
from wetend.errors import BadInput, Problem
from wetend.pump.measurements import ProofReadings
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.workflows.desk import Desk
from wetend.workflows.standing import opened_since, proof_of, signed_of
from wetend.workflows.zero import ended_by_readings


@dataclass(frozen=True)
class ProveView:
    """The proof page: each test with its limit, reading and verdict."""

    visit: Visit
    proof: Proof | None
    """``None`` until the coating is known; with no readings yet every test is not proven."""
    no_answer: str = ""
    """Why there is no proof though the coating is known."""
    signed: Signed | None = None
    """Who has signed, and under what; ``proof`` is of the readings as they stand now."""
    opened_since: bool = False
    """Whether steps of a strip were marked after these readings."""
    ends_zero: str = ""
    """Said before readings are kept while zero is proven."""


def save(desk: Desk, visit_id: str, readings: ProofReadings) -> Visit:
    """Save the proof readings.

    Raises:
        BadInput: they say "not asked", which only a proof kept before may.
    """
    if readings.older:
        sentence = Message(
            "Enter what keeps the rod from moving in the hold, or that it is not known."
        )
        raise BadInput(sentence, (Problem("rod_held", sentence),))
    before = desk.visit(visit_id).proof
    if before is not None and before.older and "rod_held" not in readings.model_fields_set:
        readings = readings.model_copy(update={"rod_held": "not known"})
    return desk.keep_in_visit("proof", readings, visit_id)


def carry_to_checks(desk: Desk, visit_id: str) -> Visit:
    """Save the proof readings as running checks, so that the fault is looked for with them.

    Raises:
        BadInput: nothing was read in a proof yet.
    """
    visit = desk.visit(visit_id)
    if visit.proof is None:
        raise BadInput(Message("No proof readings are saved yet; there is nothing to copy."))
    return desk.keep_in_visit("check-readings", as_checks(visit.proof, visit.readings), visit_id)


def view(desk: Desk, visit_id: str) -> ProveView:
    """The proof as it stands."""
    visit = desk.visit(visit_id)
    proof, no_answer = proof_of(visit)
    ends = ended_by_readings(desk, visit)
    return ProveView(visit, proof, no_answer, signed_of(visit), opened_since(visit), ends)
