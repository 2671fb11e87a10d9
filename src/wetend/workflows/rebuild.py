"""Stage five: the seal stack put back."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.rebuild import StackFit, fit_stack
from wetend.pump.measurements import StackMeasured
from wetend.records.fold import Visit
from wetend.workflows.desk import Desk


@dataclass(frozen=True)
class RebuildView:
    """The rebuild page: measured heights, shims in the tin, and the fit."""

    visit: Visit
    fit: StackFit | None
    """``None`` until heights or the tin are told."""


def save(desk: Desk, visit_id: str, stack: StackMeasured) -> Visit:
    """Keep the measured heights and the shims in the tin."""
    return desk.keep_in_visit("stack", stack, visit_id)


def fit_of(visit: Visit) -> StackFit | None:
    """How a visit's stack goes back."""
    return fit_stack(visit.pump, visit.stack) if visit.stack else None


def view(desk: Desk, visit_id: str) -> RebuildView:
    """The rebuild as it stands."""
    visit = desk.visit(visit_id)
    return RebuildView(visit, fit_of(visit))
