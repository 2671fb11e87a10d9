"""Warns when readings entered by a command end a proof of zero."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from wetend.units.message import Message
from wetend.workflows.desk import Desk
from wetend.workflows.zero import zero_of

OVER = Message("Zero no longer holds: prove it again before a spanner touches the pump.")


def warn_if_zero_ended(keep: Callable[[Desk, str], Any]) -> Callable[[Desk, str], str]:
    """Save as ``keep`` does, and answer with a sentence where that has ended a zero that stood."""

    def kept(desk: Desk, visit_id: str) -> str:
        stood = zero_of(desk.visit(visit_id), desk.who).stands
        keep(desk, visit_id)
        over = stood and not zero_of(desk.visit(visit_id), desk.who).stands
        return OVER if over else ""

    return kept
