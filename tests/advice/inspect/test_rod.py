"""A rod station by station: what the packings touch, and what no packing touches."""

from __future__ import annotations

import pytest

from wetend.advice.inspect.judge import judge
from wetend.advice.inspect.rod import in_packed_travel, packed
from wetend.advice.reasons import Verdict
from wetend.pump.measurements import RodMeasured
from wetend.pump.toml import demo_pump

PUMP = demo_pump("quay-air")
ROD = PUMP.rod
FROM, TO, MIDDLE = ROD.packed_from, ROD.packed_to, (ROD.packed_from + ROD.packed_to) / 2
BESIDE = 1e-3


def turned(*stations: float, worn: float = 0.0) -> RodMeasured:
    """Diameters at stations; those in the packed travel, its ends too, worn by so much."""
    sizes = tuple(ROD.diameter - worn * (FROM <= at <= TO) for at in stations)
    return RodMeasured(diameters=sizes, stations=stations, instrument="micrometer")


@pytest.mark.parametrize(
    ("at", "inside"),
    [(FROM, True), (TO, True), (MIDDLE, True), (FROM - BESIDE, False), (TO + BESIDE, False),
     (None, True)],
)  # fmt: skip
def test_the_packed_travel_holds_its_ends_and_what_nobody_placed(at, inside) -> None:
    # Common practice, no source: in doubt the packings run there.
    scratch = RodMeasured(scratch_depth=200e-6, scratch_at=at)
    assert in_packed_travel(ROD, scratch) is inside
    assert (judge(PUMP, None, scratch).verdict is Verdict.REPLACE) is inside


def test_diameters_at_the_ends_of_the_packed_travel_count_as_packed() -> None:
    measured = turned(FROM - BESIDE, FROM, MIDDLE, TO, TO + BESIDE, worn=40e-6)
    assert packed(ROD, measured) == (ROD.diameter - 40e-6,) * 3


@pytest.mark.parametrize(
    ("stations", "wear"),
    [
        ((FROM - BESIDE, MIDDLE), 40e-6), ((MIDDLE, TO + BESIDE), 40e-6),
        ((FROM, MIDDLE, TO), None),  # nothing unworn to hold it against
    ],
)  # fmt: skip
def test_wear_is_the_step_from_the_part_no_packing_touches_where_there_is_one(
    stations, wear
) -> None:
    found = judge(PUMP, None, turned(*stations, worn=40e-6))
    steps = [f.value for f in found.figures if f.value == pytest.approx(40e-6)]
    assert len(found.figures) >= len(stations)
    assert steps[-1:] == ([] if wear is None else [pytest.approx(wear)])


def test_each_station_is_called_packed_or_not_and_the_ends_are() -> None:
    places = (FROM - BESIDE, FROM, MIDDLE, TO, TO + BESIDE)
    labels = [f.label for f in judge(PUMP, None, turned(*places)).figures if "Diameter" in f.label]
    where = [label.rpartition(",")[2] for label in labels]
    assert len(where) == len(places)
    assert where[1] == where[2] == where[3]
    assert where[0] == where[4] != where[2]
