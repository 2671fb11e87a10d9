"""The make-safe list on any page, with the state of zero."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from starlette.responses import Response

from wetend.advice.reasons import Caution, Working
from wetend.advice.safety.checklist import (
    BLOCKAGE_WORDS,
    CLEAR_WORDS,
    WAY_WORDS,
    parts_of,
    title_of,
)
from wetend.advice.safety.zero import Zero
from wetend.errors import BadInput
from wetend.pump.make_safe import MakeSafe
from wetend.pump.parts import DriveKind
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.web.form_data import Typed, read_noun
from wetend.web.forms import Form, FormSpec, Section
from wetend.web.pages import go
from wetend.web.person import name_of, remember
from wetend.web.stage import RejectedForm, form_for
from wetend.workflows import zero as workflow
from wetend.workflows.desk import Desk

KEY = "make-safe"


@dataclass(frozen=True)
class GateView:
    """The safety gate on a page: whether zero is proven, and the list that proves it."""

    visit: str
    zero: Zero
    form: Form
    who: str
    """Who ticks: as typed just now, else as known of this browser."""
    loaded: Caution
    working: Working
    in_doubt: bool
    """Whether this visit's readings have shown the gauge dead or wrong."""
    back: str
    """The page to come back to."""
    open: bool
    """Whether the list is open: begun, or rejected with errors."""

    @property
    def ran(self) -> str:
        """Where it is said that the pump ran again."""
        return f"/visits/{self.visit}/ran"


def form_spec(drive: DriveKind, loaded: Caution | None = None) -> FormSpec:
    """The list as asked for at a pump with this kind of drive."""
    parts = parts_of(drive, loaded)
    used = {name for part in parts for name in part.names}
    return FormSpec(
        MakeSafe,
        key=KEY,
        submit=Message("Save the make-safe list"),
        labels={name: title_of(name, drive) for name in used},
        choices={
            "blockage": BLOCKAGE_WORDS,
            "clearing": CLEAR_WORDS,
            "way": WAY_WORDS,
        },
        leave_out=frozenset(MakeSafe.model_fields) - used,
        sections=tuple(Section(p.title, p.names, cautions=p.cautions) for p in parts),
    )


def gate_view(
    gate: workflow.Gate, visit: Visit, desk: Desk, back: str, again: RejectedForm | None = None
) -> GateView:
    """The gate as a page shows it.

    Args:
        gate: as it stands.
        visit: the visit.
        desk: who looks.
        back: the page it stands on; its list goes to ``back`` with ``/make-safe`` after it.
        again: a form of that page rejected with errors.
    """
    mine = again if again is not None and again.key == KEY else None
    asked = form_spec(visit.pump.drive.kind, gate.caution)
    form = form_for(asked, f"{back}/make-safe", gate.begun, again, system=desk.system)
    return GateView(
        visit=visit.id,
        zero=gate.zero,
        form=form,
        who=mine.typed.last("_who") if mine else desk.who,
        loaded=gate.caution,
        working=gate.working,
        in_doubt=gate.gauge_in_doubt,
        back=back,
        open=mine is not None or (not gate.zero.stands and gate.begun != MakeSafe()),
    )


def save_list(
    desk: Desk, visit_id: str, typed: Typed, *, back: str, page: Callable[[RejectedForm], Response]
) -> Response:
    """Save the list as ticked, under the name typed with it, and go back to its page.

    Args:
        desk: who sends it.
        visit_id: the visit.
        typed: the form.
        back: the page it stands on.
        page: that page again, with what can't be read.
    """
    who = name_of(typed.last("_who")) or desk.who
    try:
        ticked = read_noun(MakeSafe, typed.own, typed.system)
        workflow.save_list(replace(desk, who=who), visit_id, ticked)
    except BadInput as bad:
        return page(RejectedForm(KEY, typed, bad))
    response = go(back, saved="1", anchor="zero")
    if who != desk.who:
        remember(response, {"who": who})
    return response
