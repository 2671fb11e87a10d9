"""Stage two: running checks and the diagnosis from them."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass

from wetend.advice.diagnosis.causes import Around
from wetend.advice.diagnosis.diagnose import Diagnosis, Prediction, diagnose, make_ready, predict
from wetend.advice.diagnosis.not_running import LookAt, look_first
from wetend.advice.faults.record import Fault
from wetend.errors import BadInput, NoAnswer
from wetend.keeping import MB, kept
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckReadings, Sight, ToolBag
from wetend.records.fold import Visit
from wetend.units.quantity import Ratio
from wetend.workflows.desk import Desk
from wetend.workflows.life_facts import fault_leanings
from wetend.workflows.zero import ended_by_readings


@dataclass(frozen=True)
class ChecksView:
    """The checks page: readings, what a sound pump would read, and what explains them."""

    visit: Visit
    coatings: tuple[Coating, ...]
    healthy: Prediction | None
    """``None`` until the coating is known."""
    diagnosis: Diagnosis | None
    """``None`` until a coating and at least one reading are there."""
    look_first: tuple[LookAt, ...] = ()
    """Where to look before any stroke can be timed; see the complaint."""
    ends_zero: str = ""
    """Said before readings are kept while zero is proven."""


@dataclass(frozen=True)
class _Known:
    """What is known besides the readings, in a form that can be looked up."""

    bag: ToolBag
    leanings: tuple[tuple[Fault, Ratio], ...]
    seen: tuple[Sight, ...] = ()

    @property
    def around(self) -> Around:
        return Around(bag=self.bag, leanings=dict(self.leanings), seen=self.seen)


_NO_LEANING: Mapping[Fault, Ratio] = {}


@kept("diagnoses", most=48 * MB)
def _diagnosed(
    pump: Pump, coating: Coating, readings: CheckReadings, around: _Known
) -> Diagnosis | None:
    try:
        return diagnose(pump, coating, readings, around=around.around)
    except (BadInput, NoAnswer):  # no reading yet, or none this coating can answer
        return None


@kept("readings of sound pumps", most=8 * MB)
def _healthy(pump: Pump, coating: Coating) -> Prediction | None:
    try:
        return predict(pump, coating)
    except (BadInput, NoAnswer):  # the coating is not described well enough to flow
        return None


@kept("pumps made ready for readings", most=4 * MB)
def _made_ready(pump: Pump, coating: Coating, bag: ToolBag) -> None:
    with suppress(BadInput, NoAnswer):
        make_ready(pump, coating, around=Around(bag=bag))


def is_ready_for(visit: Visit) -> bool:
    """Whether nothing is left to be made ready before readings are taken."""
    coating = visit.coating
    return coating is None or _made_ready.holds(visit.pump, coating, visit.bag or ToolBag())


def make_ready_for(visit: Visit) -> None:
    """Compute what a visit's diagnosis will take besides the readings, while those are taken."""
    if visit.coating is not None:
        _made_ready(visit.pump, visit.coating, visit.bag or ToolBag())


def save(desk: Desk, visit_id: str, readings: CheckReadings) -> Visit:
    """Save the readings."""
    return desk.keep_in_visit("check-readings", readings, visit_id)


def diagnosis_of(
    visit: Visit, *, leanings: Mapping[Fault, Ratio] = _NO_LEANING
) -> Diagnosis | None:
    """What explains a visit's readings; ``None`` without coating or readings.

    ``leanings`` say how much likelier than usual the wear faults are by what the parts have lived
    through (:func:`wetend.workflows.life_facts.fault_leanings`).
    """
    if visit.coating is None or visit.readings is None:
        return None
    seen = visit.complaint.seen if visit.complaint else ()
    known = _Known(visit.bag or ToolBag(), tuple(leanings.items()), seen)
    return _diagnosed(visit.pump, visit.coating, visit.readings, known)


def leanings_of(desk: Desk, visit: Visit) -> Mapping[Fault, Ratio]:
    """What the parts' lives say of an open visit's faults; nothing of one that is over."""
    return {} if visit.closed else fault_leanings(desk, visit.pump.key)


def view(desk: Desk, visit_id: str) -> ChecksView:
    """The readings as they stand with the diagnosis."""
    visit = desk.visit(visit_id)
    healthy = _healthy(visit.pump, visit.coating) if visit.coating else None
    found = diagnosis_of(visit, leanings=leanings_of(desk, visit))
    first = look_first(visit.complaint, visit.pump.drive.kind)
    ends = ended_by_readings(desk, visit)
    return ChecksView(visit, desk.coatings(), healthy, found, first, ends)
