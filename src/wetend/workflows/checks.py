"""Stage two: running checks read, the fault inferred."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from wetend.advice.diagnosis import Diagnosis, Prediction, diagnose, predict
from wetend.advice.fault_finding.causes import Around
from wetend.errors import BadInput, NoAnswer
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckReadings, ToolBag
from wetend.records.fold import Visit
from wetend.workflows.desk import Desk


@dataclass(frozen=True)
class ChecksView:
    """The checks page: readings, what a sound pump would read, and what explains them."""

    visit: Visit
    coatings: tuple[Coating, ...]
    healthy: Prediction | None
    """``None`` until the coating is known."""
    diagnosis: Diagnosis | None
    """``None`` until a coating and at least one reading are there."""


@lru_cache(maxsize=256)
def _diagnosed(
    pump: Pump, coating: Coating, readings: CheckReadings, bag: ToolBag
) -> Diagnosis | None:
    try:
        return diagnose(pump, coating, readings, around=Around(bag=bag))
    except (BadInput, NoAnswer):  # no reading yet, or none this coating can answer
        return None


@lru_cache(maxsize=256)
def _healthy(pump: Pump, coating: Coating) -> Prediction | None:
    try:
        return predict(pump, coating)
    except (BadInput, NoAnswer):  # the coating is not described well enough to flow
        return None


def save(desk: Desk, visit_id: str, readings: CheckReadings) -> Visit:
    """Keep the readings."""
    return desk.keep_in_visit("check-readings", readings, visit_id)


def diagnosis_of(visit: Visit) -> Diagnosis | None:
    """What explains a visit's readings; ``None`` without coating or readings."""
    if visit.coating is None or visit.readings is None:
        return None
    bag = visit.bag or ToolBag()
    return _diagnosed(visit.pump, visit.coating, visit.readings, bag)


def view(desk: Desk, visit_id: str) -> ChecksView:
    """The readings as they stand with the diagnosis."""
    visit = desk.visit(visit_id)
    healthy = _healthy(visit.pump, visit.coating) if visit.coating else None
    return ChecksView(visit, desk.coatings(), healthy, diagnosis_of(visit))
