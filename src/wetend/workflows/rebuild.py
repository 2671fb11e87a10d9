"""Stage five: rebuilding the seal stack and the whole wet end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from wetend.advice.inspect.judge import PartJudgement, judge_all
from wetend.advice.reasons import Verdict
from wetend.advice.rebuild.fit import StackFit, Variant, fit_stack
from wetend.advice.rebuild.plan import Found, RebuildPlan, plan_rebuild
from wetend.advice.rebuild.soft_rings import RingJudged, judge_rings
from wetend.advice.rebuild.what_if import ShimsTried, what_if
from wetend.keeping import MB, kept
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import Measured, StackMeasured
from wetend.pump.parts import PartName
from wetend.pump.readings import RebuildProgress, ToolBag
from wetend.pump.site import SiteFacts
from wetend.pump.strip_graph import Operation
from wetend.records.fold import Visit
from wetend.workflows.desk import Desk
from wetend.workflows.inspect import judgements_of
from wetend.workflows.marks import Mark, Marked, all_kept, as_marks, keep_marks
from wetend.workflows.strip import order_of
from wetend.workflows.zero import Gate, gate_of


@dataclass(frozen=True)
class RebuildView:
    """The rebuild page: measured heights, shims in the tin, the fit, and the order to build in."""

    visit: Visit
    fit: StackFit | None
    """``None`` until heights or the tin are entered."""
    plan: RebuildPlan | None
    """``None`` until the tool bag is entered."""
    gate: Gate
    """Whether zero is proven for the user, and the list that proves it."""
    done: tuple[str, ...]
    """Keys of the steps done."""
    rings: tuple[RingJudged, ...] = ()
    """Soft rings by their measured heights."""

    @property
    def laid(self) -> tuple[Operation, ...]:
        """What the strip took apart, in the order in which it lies on the tray."""
        keys = {step.key for step in self.plan.steps} if self.plan else set[str]()
        return tuple(o for o in order_of(self.visit) if o.key in keys)

    @property
    def apart(self) -> tuple[str, ...]:
        """Keys of the operations of the strip that are not yet put back."""
        return tuple(o.key for o in self.laid if o.key not in self.done)

    @property
    def coming(self) -> tuple[str, ...]:
        """Keys of the operations still to be put back, in order."""
        apart, steps = self.apart, self.plan.steps if self.plan else ()
        return tuple(s.key for s in steps if s.key in apart)

    @property
    def may_start(self) -> bool:
        """Whether zero is proven."""
        return self.gate.zero.stands


def save(desk: Desk, visit_id: str, stack: StackMeasured) -> Visit:
    """Save the measured heights and the shims in the tin."""
    return desk.keep_in_visit("stack", stack, visit_id)


@dataclass(frozen=True)
class TriedView:
    """The what-if page: the stack as calculated beside the stack as tried."""

    visit: Visit
    fit: StackFit | None
    """``None`` until heights or the tin are entered."""
    right: Variant | None
    tried: Variant | None


def try_shims(desk: Desk, visit_id: str, tried: ShimsTried | None) -> TriedView:
    """What happens with these shims fitted; nothing is saved."""
    visit = desk.visit(visit_id)
    fit = fit_of(visit)
    if fit is None or visit.stack is None or tried is None:
        return TriedView(visit, fit, None, None)
    return TriedView(visit, fit, *what_if(visit.pump, visit.stack, fit, tried))


@dataclass(frozen=True)
class _Stack:
    """A pump with its stack as measured; looked up by what that says, as heights go by name."""

    pump: Pump
    measured: StackMeasured = field(compare=False)
    said: str = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "said", self.measured.model_dump_json())


@dataclass(frozen=True)
class _Apart:
    """All that the order to build in depends on."""

    pump: Pump
    bag: ToolBag
    done: tuple[str, ...]
    """Operations of the strip."""
    stack: _Stack | None
    coating: Coating | None
    measured: tuple[Measured, ...]
    site: SiteFacts | None


def _stack_of(visit: Visit) -> _Stack | None:
    return _Stack(visit.pump, visit.stack) if visit.stack else None


def fit_of(visit: Visit) -> StackFit | None:
    """How a visit's stack goes back."""
    stack = _stack_of(visit)
    return _fitted(stack) if stack else None


@kept("stacks fitted", most=8 * MB)
def _fitted(stack: _Stack) -> StackFit:
    return fit_stack(stack.pump, stack.measured)


def verdicts_of(visit: Visit) -> dict[PartName, Verdict]:
    """What inspection says of each part, the worst word where there are several."""
    return _verdicts(judgements_of(visit))


def _verdicts(judgements: Sequence[PartJudgement]) -> dict[PartName, Verdict]:
    return {j.part: j.verdict for j in reversed(judgements)}


def plan_of(visit: Visit) -> RebuildPlan | None:
    """The order to build in: what the strip took apart, or all that its goal would."""
    if visit.bag is None:
        return None
    done = visit.progress.done if visit.progress else ()
    stack = _stack_of(visit)
    return _planned(
        _Apart(visit.pump, visit.bag, done, stack, visit.coating, visit.measured, visit.site)
    )


@kept("plans of rebuilds", most=8 * MB)
def _planned(apart: _Apart) -> RebuildPlan:
    fit, lever = None, None
    if apart.stack is not None:
        fit, lever = _fitted(apart.stack), apart.stack.measured.lever
    judged = judge_all(apart.pump, apart.coating, apart.measured) if apart.measured else ()
    found = Found(fit, lever, _verdicts(judged), apart.coating)
    return plan_rebuild(apart.pump, apart.bag, done=apart.done, found=found, site=apart.site)


def mark(
    desk: Desk, visit_id: str, *, done: tuple[str, ...] = (), undone: tuple[str, ...] = ()
) -> Visit:
    """Mark steps of the rebuild done now, and take marks off; the same again change nothing.

    Raises:
        NotSafe: zero does not stand for whoever is at the desk.
        BadInput: a step this rebuild does not have.
    """
    return all_kept(keep(desk, visit_id, as_marks(done, undone)))


def keep(desk: Desk, visit_id: str, marks: Sequence[Mark]) -> Marked:
    """Save marks that a device sends, each judged by the moment it was made."""
    return keep_marks(desk, visit_id, marks, progress=RebuildProgress, steps=_steps)


def _steps(visit: Visit) -> tuple[tuple[str, ...], set[str]]:
    """Steps that stand done, and every one of this rebuild."""
    plan = plan_of(visit)
    done = visit.rebuilt.done if visit.rebuilt else ()
    return done, {s.key for s in plan.steps} if plan else set()


def view(desk: Desk, visit_id: str) -> RebuildView:
    """The rebuild as it stands."""
    visit = desk.visit(visit_id)
    return RebuildView(
        visit, fit_of(visit), plan_of(visit), gate_of(desk, visit),
        visit.rebuilt.done if visit.rebuilt else (),
        judge_rings(visit.pump, visit.stack) if visit.stack else (),
    )  # fmt: skip
