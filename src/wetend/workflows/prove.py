"""Stage six: the rebuilt pump proved."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.proof import Proof
from wetend.advice.proof import prove as judge_proof
from wetend.advice.proof_carry import as_checks
from wetend.errors import BadInput, NoAnswer, UnknownName
from wetend.pump.measurements import ProofReadings
from wetend.records.fold import Visit
from wetend.workflows.desk import Desk


@dataclass(frozen=True)
class ProveView:
    """The proof page: each test with its limit, reading and verdict."""

    visit: Visit
    proof: Proof | None
    """``None`` until the coating is known; with no readings yet every test is not proven."""
    no_answer: str = ""
    """Why there is no proof though the coating is known."""


def save(desk: Desk, visit_id: str, readings: ProofReadings) -> Visit:
    """Keep the proof readings."""
    return desk.keep_in_visit("proof", readings, visit_id)


def carry_to_checks(desk: Desk, visit_id: str) -> Visit:
    """Keep the proof readings as running checks, so that the fault is looked for with them.

    Raises:
        BadInput: nothing was read in a proof yet.
    """
    visit = desk.visit(visit_id)
    if visit.proof is None:
        raise BadInput("No proof readings are kept yet; there is nothing to take back.")
    return desk.keep_in_visit("check-readings", as_checks(visit.proof, visit.readings), visit_id)


def proof_of(visit: Visit) -> tuple[Proof | None, str]:
    """The verdict on a visit's proof readings, or why there is none."""
    if visit.coating is None:
        return None, ""
    try:
        return judge_proof(visit.pump, visit.coating, visit.proof or ProofReadings()), ""
    except (NoAnswer, UnknownName) as why:
        return None, str(why)


def view(desk: Desk, visit_id: str) -> ProveView:
    """The proof as it stands."""
    visit = desk.visit(visit_id)
    proof, no_answer = proof_of(visit)
    return ProveView(visit, proof, no_answer)
