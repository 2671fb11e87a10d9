"""The tool with one more fault, invented: it is found, played, practised, carried for.

Collected by ``test_one_more.py`` alone, in a process of its own, with the plugin ``exhaust``.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from lacking import lacking, missing_numbers
from played import play
from typer.testing import CliRunner

from wetend.advice.diagnosis.causes import NOTHING_KNOWN
from wetend.advice.diagnosis.checks import CHECKS
from wetend.advice.diagnosis.diagnose import diagnose
from wetend.advice.diagnosis.hidden import HiddenPump
from wetend.advice.diagnosis.opening import JOBS, job_minutes
from wetend.advice.diagnosis.reading_off import read_off
from wetend.advice.diagnosis.suspicion import suspect
from wetend.advice.faults.tables import CAUSE, CAUSES, FAULT, FAULTS
from wetend.advice.practice.exercise import _hidden, debrief, replay
from wetend.advice.practice.share_code import Exercise, code_of, exercise_of
from wetend.advice.stores.call_box import faults_before_checks, wants_of
from wetend.cli.app import app
from wetend.errors import BadInput
from wetend.pump.readings import CheckReadings, Complaint
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.workflows import practice

PUMP, EPOXY = demo_pump("quay-air"), demo_coatings()[0]
NEW, CAUSED = FAULT["exhaust"], CAUSE["exhaust"]


def test_its_record_lacks_nothing() -> None:
    others = [fault for fault in FAULTS if fault is not NEW]
    assert lacking(NEW, others) == ()
    assert missing_numbers(FAULTS) == ()


def test_diagnosis_finds_it_in_a_pump_played_in_time() -> None:
    hidden = HiddenPump.drawn(PUMP, EPOXY, np.random.default_rng(3), causes=(CAUSED,))
    hidden.z[:] = 0.0
    shown = hidden.in_time
    fields = read_off([c.key for c in CHECKS], shown, np.random.default_rng(1))
    found = diagnose(PUMP, EPOXY, CheckReadings(**fields))
    first = found.findings[0]
    assert len(found.findings) == 13
    assert first.fault is NEW
    assert first.probability > 0.7
    assert first.size is not None
    assert first.size.interval.low < 1.5 < first.size.interval.high  # half and one, as set
    assert found.openings[0].title == "Clear the drive's exhaust"
    assert NEW.open_first in found.open_first


def test_a_sound_pump_is_not_said_to_have_it() -> None:
    shown = HiddenPump.drawn(PUMP, EPOXY, np.random.default_rng(3), causes=()).in_time
    fields = read_off(["watch", "creep", "supply"], shown, np.random.default_rng(1))
    found = diagnose(PUMP, EPOXY, CheckReadings(**fields))
    assert next(f.probability for f in found.findings if f.fault is NEW) < 0.2


def test_its_job_is_planned_with_the_others() -> None:
    assert JOBS[9].faults == (NEW,)
    assert job_minutes(PUMP, NOTHING_KNOWN, [9])[0, 0] == 6.0 + 6.0  # and the proof


def test_it_is_suspected_and_carried_for() -> None:
    assert NEW in [s.fault for s in suspect(Complaint(seen=("slow both ways",)))]
    assert faults_before_checks([NEW], {})[NEW] == 0.5
    assert wants_of({NEW: 0.5}) == {frozenset(): 1.0}


def test_simulation_plays_it_by_name() -> None:
    sound, slow = (play(PUMP, EPOXY, faults, cycles=2).summary for faults in ({}, {"exhaust": 1.0}))
    assert sound.up_time is not None
    assert slow.up_time is not None
    assert slow.up_time > 1.1 * sound.up_time


def test_it_can_be_practised() -> None:
    code = practice.new_code("quay-air", causes=["exhaust"], size="severe", seed=9)
    exercise = exercise_of(code)
    assert exercise.causes == (CAUSED,)
    assert replay(exercise, ["open-9"]).right
    told = debrief(exercise, ["open-9"])
    assert told.truth == ("drive's exhaust throttled, severe",)
    assert told.mended


def test_it_is_offered_by_the_commands(tmp_path: Path) -> None:
    listed = CliRunner().invoke(app, ["simulate", "--list", "--json"])
    assert listed.exit_code == 0, listed.output
    assert "exhaust" in [one["name"] for one in json.loads(listed.output)]


@pytest.mark.parametrize(
    ("code", "causes", "first", "lump"),
    [
        ("8809N-XQ4V", (0,), 0.4277699642047284, -1.5464760689954131),
        ("AQZZZ-8N85", (1, 13), 0.5143348745862605, 0.9605452443956779),
        ("8RGJB-H8Q0", (), 0.4662207705773409, -0.24123956403017568),
        ("ABS30-HVX7", (1, 3, 12), 0.8876988587675811, 0.4985856626898271),
    ],
)
def test_old_codes_mean_what_they_meant(
    code: str, causes: tuple[int, ...], first: float, lump: float
) -> None:
    """Written out by the program when it knew sixteen causes."""
    exercise = exercise_of(code)
    assert exercise.known == 16
    assert code_of(exercise) == code
    hidden = _hidden(exercise)
    assert hidden.causes == causes
    assert hidden.z[0, 0] == pytest.approx(first, rel=1e-12)
    assert hidden.z[0, -1] == pytest.approx(lump, rel=1e-12)


def test_new_codes_have_room_for_it() -> None:
    for causes in (None, (), (CAUSED,), (CAUSES[0], CAUSES[3], CAUSED)):
        for size in (None, "slight"):
            exercise = Exercise(1, 3, 65535, causes, size)
            code = code_of(exercise)
            assert len(code.replace("-", "")) == 12
            assert exercise_of(code.lower().replace("-", " ")) == exercise


def test_a_new_code_with_a_figure_wrong_is_told() -> None:
    code = code_of(Exercise(0, 0, 77, (CAUSED,)))
    wrong = code[:-1] + ("0" if code[-1] != "0" else "1")
    with pytest.raises(BadInput, match="letter or digit is wrong"):
        exercise_of(wrong)


def test_what_is_drawn_may_be_it() -> None:
    drawn = {
        cause
        for seed in range(60)
        for cause in HiddenPump.drawn(PUMP, EPOXY, np.random.default_rng(seed)).causes
    }
    before = {
        cause
        for seed in range(60)
        for cause in HiddenPump.drawn(PUMP, EPOXY, np.random.default_rng(seed), known=16).causes
    }
    assert CAUSED in drawn
    assert CAUSED not in before
