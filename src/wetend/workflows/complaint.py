"""Stage one: the complaint, and making the pump safe."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.diagnosis.diagnose import Suspicion, suspect
from wetend.advice.diagnosis.not_running import LookAt, look_first
from wetend.pump.readings import Complaint
from wetend.records.fold import Visit
from wetend.workflows.desk import Desk
from wetend.workflows.zero import Gate, gate_of


@dataclass(frozen=True)
class ComplaintView:
    """The complaint page: what was said, what it suggests, and whether the pump is safe."""

    visit: Visit
    suspicions: tuple[Suspicion, ...]
    gate: Gate
    """Whether zero is proven for the user, and the list that proves it."""
    look_first: tuple[LookAt, ...] = ()
    """Where to look first on a pump that does not run, or does not give pressure, in order."""


def save_complaint(desk: Desk, visit_id: str, complaint: Complaint) -> Visit:
    """Save what the crew says."""
    return desk.keep_in_visit("complaint", complaint, visit_id)


def view(desk: Desk, visit_id: str) -> ComplaintView:
    """The complaint as it stands with first suspicions."""
    visit = desk.visit(visit_id)
    suspicions = suspect(visit.complaint) if visit.complaint else ()
    return ComplaintView(
        visit,
        suspicions,
        gate_of(desk, visit),
        look_first(visit.complaint, visit.pump.drive.kind),
    )
