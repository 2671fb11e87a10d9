"""Stage three: the tool bag, the strip card, and how far the strip has come."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from wetend.advice.strip import StripPlan, check_bag, plan_strip, tool_titles
from wetend.errors import BadInput, NotSafe
from wetend.pump.description import Pump
from wetend.pump.readings import StripProgress, ToolBag
from wetend.records.fold import Visit
from wetend.workflows.desk import Desk
from wetend.workflows.marks import MARKING, changed

NOT_SAFE = (
    "The strip does not start before the make-safe list is ticked and the gauge is read at zero."
)


@dataclass(frozen=True)
class StripView:
    """The strip page: tools to hand, the plan, what is done, and whether it may start."""

    visit: Visit
    tools: dict[str, str]
    plan: StripPlan | None
    """``None`` until the tool bag is told."""
    may_start: bool
    done: tuple[str, ...]


@lru_cache(maxsize=128)
def _planned(pump: Pump, bag: ToolBag, done: tuple[str, ...]) -> StripPlan:
    return plan_strip(pump, bag, done=done)


def save_bag(desk: Desk, visit_id: str, bag: ToolBag) -> Visit:
    """Keep where the strip happens and what is to hand.

    Raises:
        BadInput: a tool that neither the tool list nor the pump's description knows.
    """
    check_bag(desk.visit(visit_id).pump, bag)
    return desk.keep_in_visit("tool-bag", bag, visit_id)


def mark(
    desk: Desk, visit_id: str, *, done: tuple[str, ...] = (), undone: tuple[str, ...] = ()
) -> Visit:
    """Mark operations done, and take marks off; the same marks again change nothing.

    Raises:
        NotSafe: the make-safe list is not ticked with a zero reading.
        BadInput: an operation this pump does not have.
    """
    with MARKING:
        visit = desk.visit(visit_id)
        if not _safe(visit):
            raise NotSafe(NOT_SAFE)
        known = {o.key for o in visit.pump.strip.operations}
        so_far = visit.progress.done if visit.progress else ()
        more, back = changed(so_far, done, undone)
        strange = [key for key in more if key not in known]
        if strange:
            raise BadInput(f"This pump has no operation “{strange[0][:60]}”.")
        if not more and not back:
            return visit
        progress = StripProgress(done=more, undone=back)
        return desk.keep_in_visit("strip-progress", progress, visit_id)


def _safe(visit: Visit) -> bool:
    return bool(visit.make_safe and visit.make_safe.proven_zero)


def plan_of(visit: Visit) -> StripPlan | None:
    """The strip plan for a visit's tool bag, from where the strip stands."""
    done = visit.progress.done if visit.progress else ()
    return _planned(visit.pump, visit.bag, done) if visit.bag else None


def view(desk: Desk, visit_id: str) -> StripView:
    """The strip as it stands."""
    visit = desk.visit(visit_id)
    done = visit.progress.done if visit.progress else ()
    return StripView(visit, tool_titles(visit.pump), plan_of(visit), _safe(visit), done)
