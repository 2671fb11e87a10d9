"""Stage four: parts measured and judged."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.inspect.judge import PartJudgement, judge, judge_all
from wetend.advice.reasons import Verdict
from wetend.advice.safety.site_hazards import refuse_chlorinated
from wetend.pump.measurements import Measured, SolventTest
from wetend.pump.parts import PartName
from wetend.records.entries import PAYLOADS, EntryKind
from wetend.records.fold import Visit
from wetend.workflows.desk import Desk

MEASURED_KINDS: tuple[EntryKind, ...] = (
    "ball", "seat", "rod", "cylinder", "seal-land", "packings", "solvent-test",
)  # fmt: skip
"""Entry kinds that are measurements, in the order they are taken."""


@dataclass(frozen=True)
class InspectView:
    """The inspection page: every measured part with its verdict, the worst first."""

    visit: Visit
    judgements: tuple[PartJudgement, ...]
    marked: dict[PartName, Verdict]
    """Verdicts by part, for the drawing."""


def save(desk: Desk, visit_id: str, measured: Measured) -> Visit:
    """Save one part's measurements.

    Raises:
        BadInput: nothing was measured, or a figure can't be of this part.
    """
    visit = desk.visit(visit_id)
    if isinstance(measured, SolventTest):
        refuse_chlorinated(visit.pump, measured.solvent)
    judge(visit.pump, visit.coating, measured)
    kind = next(k for k in MEASURED_KINDS if isinstance(measured, PAYLOADS[k]))
    return desk.keep_in_visit(kind, measured, visit_id)


def judgements_of(visit: Visit) -> tuple[PartJudgement, ...]:
    """Verdicts on everything measured in a visit."""
    return judge_all(visit.pump, visit.coating, visit.measured) if visit.measured else ()


def view(desk: Desk, visit_id: str) -> InspectView:
    """The inspection as it stands."""
    visit = desk.visit(visit_id)
    judgements = judgements_of(visit)
    marked = {j.part: j.verdict for j in reversed(judgements)}
    return InspectView(visit, judgements, marked)
