"""Stage three: the tool bag, the strip card, and how far the strip has come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wetend.advice.strip.bag import check_bag, tool_titles
from wetend.advice.strip.plan import StripPlan, plan_strip
from wetend.keeping import MB, kept
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import StripProgress, ToolBag
from wetend.pump.site import SiteFacts
from wetend.pump.strip_graph import Operation
from wetend.records.entries import new_entry
from wetend.records.fold import Visit
from wetend.workflows.desk import KEEPING, Desk
from wetend.workflows.marks import Mark, Marked, all_kept, as_marks, keep_marks
from wetend.workflows.zero import Gate, gate_of


@dataclass(frozen=True)
class StripView:
    """The strip page: tools to hand, the plan, what is done, and whether it may start."""

    visit: Visit
    tools: dict[str, str]
    plan: StripPlan | None
    """``None`` until the tool bag is entered."""
    gate: Gate
    """Whether zero is proven for the user, and the list that proves it."""
    done: tuple[str, ...]

    @property
    def may_begin_anew(self) -> bool:
        """Whether it has been put together again, as far as is known, and may be opened again."""
        return _together_again(self.visit)

    @property
    def order(self) -> tuple[Operation, ...]:
        """Operations in the order in which they are done: the order of the tray."""
        return order_of(self.visit)

    @property
    def coming(self) -> tuple[str, ...]:
        """Keys of the operations still to do, in order."""
        return tuple(o.key for o in self.order if o.key not in self.done)

    @property
    def may_start(self) -> bool:
        """Whether zero is proven."""
        return self.gate.zero.stands


@kept("plans of strips", most=8 * MB)
def _planned(
    pump: Pump, bag: ToolBag, done: tuple[str, ...], coating: Coating | None, site: SiteFacts | None
) -> StripPlan:
    return plan_strip(pump, bag, done=done, coating=coating, site=site)


def save_bag(desk: Desk, visit_id: str, bag: ToolBag) -> Visit:
    """Save where the strip happens and what is to hand.

    Raises:
        BadInput: a tool that neither the tool list nor the pump's description knows.
    """
    check_bag(desk.visit(visit_id).pump, bag)
    return desk.keep_in_visit("tool-bag", bag, visit_id)


def mark(
    desk: Desk, visit_id: str, *, done: tuple[str, ...] = (), undone: tuple[str, ...] = ()
) -> Visit:
    """Mark operations done now, and take marks off; the same marks again change nothing.

    Raises:
        NotSafe: zero does not stand for whoever is at the desk.
        BadInput: an operation this pump does not have.
    """
    return all_kept(keep(desk, visit_id, as_marks(done, undone)))


def keep(desk: Desk, visit_id: str, marks: Sequence[Mark]) -> Marked:
    """Save marks that a device sends, each judged by the moment it was made."""
    return keep_marks(desk, visit_id, marks, progress=StripProgress, steps=_steps)


def _together_again(visit: Visit) -> bool:
    """Whether a pump stripped in this visit was built up or proved since, as far as is known."""
    stripped = bool(visit.progress and visit.progress.done)
    return stripped and (visit.proof is not None or bool(visit.rebuilt and visit.rebuilt.done))


def begin_anew(desk: Desk, visit_id: str) -> Visit:
    """Open the pump again: the marks of its strip and rebuild count no more, and stay on record.

    Twice is once.
    """
    with KEEPING:
        visit = desk.visit(visit_id)
        if not _together_again(visit):
            return visit
        desk.keep_all([new_entry(
            "strip-progress", StripProgress(anew=True), pump=visit.pump.key, visit=visit.id,
            who=desk.who, place=desk.place, device=desk.device,
        )])  # fmt: skip
    return desk.visit(visit_id)


def _steps(visit: Visit) -> tuple[tuple[str, ...], set[str]]:
    """Operations that stand done, and every one of this pump."""
    done = visit.progress.done if visit.progress else ()
    return done, {o.key for o in visit.pump.strip.operations}


def plan_of(visit: Visit) -> StripPlan | None:
    """The strip plan for a visit's tool bag, from where the strip stands."""
    done = visit.progress.done if visit.progress else ()
    if visit.bag is None:
        return None
    return _planned(visit.pump, visit.bag, done, visit.coating, visit.site)


def order_of(visit: Visit) -> tuple[Operation, ...]:
    """Operations of a visit's strip, in the order in which they are done."""
    plan = plan_of(visit)
    return tuple(step.operation for step in plan.steps) if plan else ()


def view(desk: Desk, visit_id: str) -> StripView:
    """The strip as it stands."""
    visit = desk.visit(visit_id)
    done = visit.progress.done if visit.progress else ()
    return StripView(visit, tool_titles(visit.pump), plan_of(visit), gate_of(desk, visit), done)
