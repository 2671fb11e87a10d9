"""Plain words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from wetend.advice.diagnosis.answers import Finding
from wetend.advice.diagnosis.diagnose import Diagnosis, diagnose, predict
from wetend.advice.diagnosis.evidence import Reading
from wetend.advice.diagnosis.observables import OBSERVABLES
from wetend.advice.diagnosis.words import Formatter, leave_shut
from wetend.advice.faults.tables import FAULT, FAULTS
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.telling.reader import Reader

PUMP, EPOXY = demo_pump("quay-air"), demo_coatings()[0]
SOUND = predict(PUMP, EPOXY)
LEAKY = predict(PUMP, EPOXY, leaks={FAULT["foot-valve"]: 8e-6})


def _told() -> Diagnosis:
    readings = CheckReadings(
        up_times=(LEAKY.up_time,) * 6, down_times=(LEAKY.down_time,) * 6,
        creep_up=LEAKY.creep_up, creep_down=LEAKY.creep_down,
        stall_pressure=LEAKY.stall_pressure,
    )  # fmt: skip
    return diagnose(PUMP, EPOXY, readings)


def every_finding() -> tuple[Finding, ...]:
    """Every fault, its chance to be set."""
    return tuple(
        Finding(fault=fault, probability=0.0, word="", leak=None, share=None, open_first="",
                because="")
        for fault in FAULTS
    )  # fmt: skip


def test_the_sentence_names_the_reading_that_told_it() -> None:
    found = _told()
    assert found.findings[0].fault is FAULT["foot-valve"]
    assert "creep down at stall" in found.findings[0].because
    assert found.why.startswith("Foot valve not holding (")
    assert "foot valve" in found.open_first.lower()


def test_figures_come_in_the_readers_units() -> None:
    assert "mm/min" in _told().why
    assert "in/min" in Reader("imperial").tell(_told().why)


def test_what_speaks_against_a_fault_is_said() -> None:
    piston = next(f for f in _told().findings if f.fault is FAULT["piston-valve"])
    assert piston.word == "unlikely"
    assert "Against it: creep up at stall" in piston.because


@pytest.mark.parametrize(
    ("readings", "where"),
    [
        (
            CheckReadings(
                up_times=(0.9,) * 5, down_times=(0.9,) * 5, spray_pressure=1.9e7,
                stall_pressure=2.72e7, creep_up=0.0, creep_down=0.0, wet_cup="clean", drop=0.03,
            ),
            "nozzle",
        ),
        (
            CheckReadings(
                up_times=(SOUND.up_time,) * 8, down_times=(SOUND.down_time,) * 8, creep_up=0.0,
                creep_down=0.0, wet_cup="clean", early_drop="no",
            ),
            "nothing read so far says that it leaks",
        ),
    ],
)  # fmt: skip
def test_leave_the_wet_end_alone_is_a_real_answer(readings: CheckReadings, where: str) -> None:
    found = diagnose(PUMP, EPOXY, readings)
    assert found.leave_wet_end
    assert found.open_first.startswith("Leave the wet end shut")
    assert where in found.open_first


@pytest.mark.parametrize(
    ("inside", "sound", "explained", "check", "shut"),
    [
        (0.1, 0.5, True, None, True), (0.1, 0.5, True, "strokes", False),
        (0.3, 0.5, True, None, False), (0.3, 0.8, True, "strokes", True),
        (0.1, 0.8, False, None, False),
    ],
)  # fmt: skip
def test_the_wet_end_is_left_shut_where_it_is_sound_or_nothing_is_left_to_ask(
    inside: float, sound: float, explained: bool, check: str | None, shut: bool
) -> None:
    found = [replace(f, probability=inside if f.fault.inside else 0.6) for f in every_finding()]
    assert leave_shut(found, sound=sound, explained=explained, check=check) is shut


def test_a_stroke_of_twice_the_other_is_told_in_times_not_per_cent() -> None:
    teller = Formatter(SOUND)
    rhythm = OBSERVABLES["rhythm"]
    assert "2.9 times as long as the up-stroke" in teller.phrase(Reading(rhythm, 0.345, 0.02))
    assert "% slower than the up-stroke" in teller.phrase(Reading(rhythm, 0.8, 0.02))


def test_the_next_check_is_named_once() -> None:
    told = diagnose(PUMP, EPOXY, CheckReadings(cycle_rate=SOUND.cycle_rate)).next_check
    assert told.count("Look in the wet cup") <= 1


def test_cautions_stand_for_the_next_check_and_for_opening_each_once() -> None:
    """The check named brings its own; before anything is opened zero is proven."""
    asked = diagnose(PUMP, EPOXY, CheckReadings(cycle_rate=SOUND.cycle_rate))
    assert asked.best is not None
    assert asked.next_check.endswith(asked.best.how)
    assert asked.cautions == asked.best.cautions
    for told in (asked, _told()):
        said = [c.hazard for c in (*told.cautions, *told.before_opening)]
        assert len(said) == len(set(said))
        assert ("stored-pressure" in said) or told.open_first.startswith("Open nothing")
    assert "stored-pressure" in [c.hazard for c in _told().before_opening]


def test_readings_to_take_again_bring_the_cautions_of_their_checks() -> None:
    odd = CheckReadings(
        up_times=(LEAKY.up_time,) * 6, down_times=(LEAKY.down_time,) * 6,
        spray_pressure=LEAKY.spray_pressure, stall_pressure=9e6,
        creep_up=LEAKY.creep_up, creep_down=LEAKY.creep_down,
    )  # fmt: skip
    told = diagnose(PUMP, EPOXY, odd)
    assert told.next_check.startswith("Read again")
    assert told.best is None
    assert "rod-moves" in [c.hazard for c in told.cautions]


def test_creep_working_gives_leak_by_area() -> None:
    working = next(w for w in _told().workings if w.title == "Leak from creep down at stall")
    assert working.result[0].value == pytest.approx(PUMP.rod_area * LEAKY.creep_down)
    assert all(w.source and w.validity for w in _told().workings)
