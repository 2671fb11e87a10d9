"""What is proposed at an act: sizes of this pump from earlier visits, tools of this person."""

from __future__ import annotations

from wetend.pump.measurements import StackMeasured
from wetend.pump.proof_readings import ProofReadings
from wetend.pump.readings import SetUpRequest, ToolBag
from wetend.records.entries import EntryKind
from wetend.records.fold import Visit
from wetend.units.noun import Noun
from wetend.workflows import checks, handover
from wetend.workflows.acts.act import Act
from wetend.workflows.acts.parts import goal_of
from wetend.workflows.desk import Desk

_WAITED = ("solvent_head", "solvent_time", "stall_settled", "stall_time", "hold_time",
           "limit_where", "instruments")  # fmt: skip
"""Of an earlier proof what says how it was done; what was read is read anew."""


def earlier(desk: Desk, visit: Visit, kind: EntryKind, *, by: str = "") -> Visit | None:
    """The latest other visit with an entry of this kind: of this pump, or by a person."""
    pump = None if by else visit.pump.key
    for entry in reversed(desk.depot.entries(pump=pump, kinds=(kind,))):
        if entry.visit not in (None, visit.id) and (not by or entry.who == by):
            return desk.visit(entry.visit or "")
    return None


def coating_before(desk: Desk, visit: Visit) -> str:
    """Key of the coating this pump last had; blank where none is known."""
    last = earlier(desk, visit, "coating")
    return last.coating.key if last and last.coating else ""


def _bag(desk: Desk, visit: Visit) -> ToolBag:
    """The tools of whoever is at the desk, and how far the readings say to open."""
    last = (earlier(desk, visit, "tool-bag", by=desk.who) if desk.who else None) or earlier(
        desk, visit, "tool-bag"
    )
    own = last.bag if last and last.bag else ToolBag()
    found = checks.diagnosis_of(visit, leanings=checks.leanings_of(desk, visit))
    goal = goal_of(found) or "whole"
    return ToolBag(place=own.place, vice=own.vice, tools=own.tools, goal=goal)


def _stack(desk: Desk, visit: Visit) -> StackMeasured:
    """Sizes as measured last, else as the pump's description has them."""
    last = earlier(desk, visit, "stack")
    new = {part.name: part.height for part in visit.pump.stack.parts}
    if last is None or last.stack is None:
        return StackMeasured(heights=new)
    known = {name: h for name, h in last.stack.heights.items() if name in new}
    return last.stack.model_copy(update={"heights": new | known})


def proposal_of(desk: Desk, visit: Visit, act: Act) -> Noun | None:
    """What a form not filled in yet is filled with; ``None`` where nothing is known."""
    if act.kind == "tool-bag" and visit.bag is None:
        return _bag(desk, visit)
    if act.kind == "stack":
        return _stack(desk, visit)
    if act.kind == "set-up":
        last = earlier(desk, visit, "set-up")
        return (last.set_up if last else None) or SetUpRequest()
    if act.kind == "proof":
        last = earlier(desk, visit, "proof")
        read = last.proof if last else None
        waited = {n: getattr(read, n) for n in _WAITED if read is not None}
        return ProofReadings.model_validate({n: v for n, v in waited.items() if v})
    return None


def signature_of(desk: Desk, visit_id: str) -> dict[str, str]:
    """What the sign-off says unless the person changes it."""
    return handover.proposed(desk, handover.view(desk, visit_id))
