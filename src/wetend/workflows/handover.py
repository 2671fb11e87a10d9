"""Stage seven: settings for the coating, the signature, the report."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.handover import SetUp, set_up
from wetend.errors import NoAnswer, UnknownName
from wetend.pump.readings import SetUpRequest, SignOff
from wetend.records.fold import Visit
from wetend.workflows.desk import Desk


@dataclass(frozen=True)
class HandoverView:
    """The hand-over page: the set-up sheet and the signature."""

    visit: Visit
    sheet: SetUp | None
    """``None`` until the coating is known, or when ``no_answer`` says why there is none."""
    no_answer: str


def save_set_up(desk: Desk, visit_id: str, request: SetUpRequest) -> Visit:
    """Keep what the settings are worked out for."""
    return desk.keep_in_visit("set-up", request, visit_id)


def sign_off(desk: Desk, visit_id: str, signed: SignOff) -> Visit:
    """Sign the visit off. Later entries are still kept; the record shows when."""
    return desk.keep_in_visit("sign-off", signed, visit_id)


def sheet_of(visit: Visit) -> tuple[SetUp | None, str]:
    """The set-up sheet of a visit, or why there is none."""
    if visit.coating is None:
        return None, ""
    try:
        return set_up(visit.pump, visit.coating, visit.set_up or SetUpRequest()), ""
    except (NoAnswer, UnknownName) as why:
        return None, str(why)


def view(desk: Desk, visit_id: str) -> HandoverView:
    """The hand-over as it stands."""
    visit = desk.visit(visit_id)
    sheet, no_answer = sheet_of(visit)
    return HandoverView(visit, sheet, no_answer)
