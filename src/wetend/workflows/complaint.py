"""Stage one: the complaint heard, the pump made safe."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.diagnosis import Suspicion, suspect
from wetend.advice.fault_finding.not_running import LookAt, look_first
from wetend.pump.readings import Complaint, MakeSafe
from wetend.records.fold import Visit
from wetend.workflows.desk import Desk


@dataclass(frozen=True)
class ComplaintView:
    """The complaint page: what was said, what it suggests, and whether the pump is safe."""

    visit: Visit
    suspicions: tuple[Suspicion, ...]
    safe: bool
    look_first: tuple[LookAt, ...] = ()
    """Where to look first on a pump that does not run, or does not give pressure, in order."""


def save_make_safe(desk: Desk, visit_id: str, ticked: MakeSafe) -> Visit:
    """Keep the make-safe list as ticked."""
    return desk.keep_in_visit("make-safe", ticked, visit_id)


def save_complaint(desk: Desk, visit_id: str, complaint: Complaint) -> Visit:
    """Keep what the crew says."""
    return desk.keep_in_visit("complaint", complaint, visit_id)


def view(desk: Desk, visit_id: str) -> ComplaintView:
    """The complaint as it stands with first suspicions."""
    visit = desk.visit(visit_id)
    suspicions = suspect(visit.complaint) if visit.complaint else ()
    return ComplaintView(
        visit,
        suspicions,
        bool(visit.make_safe and visit.make_safe.proven_zero),
        look_first(visit.complaint, visit.pump.drive.kind),
    )
