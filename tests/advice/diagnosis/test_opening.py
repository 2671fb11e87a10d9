"""What to open first, and how long it takes."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.advice.diagnosis.causes import NOTHING_KNOWN, Around
from wetend.advice.diagnosis.observables import SimulatedStrokes
from wetend.advice.diagnosis.opening import JOBS, job_minutes, opening_order
from wetend.advice.diagnosis.posterior import WeightedSample
from wetend.advice.faults.record import Cause
from wetend.advice.faults.tables import CAUSE, CAUSES, FAULTS
from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.pump.readings import ToolBag
from wetend.pump.toml import demo_pump
from wetend.stats.decision import ratio_order

PUMP = demo_pump("quay-air")


def _cloud(chances: dict[Cause, float]) -> WeightedSample:
    """One fault at a time, each with its chance."""
    present = np.zeros((len(chances), len(CAUSES)), dtype=bool)
    for row, cause in enumerate(chances):
        present[row, cause] = True
    weight = np.array(list(chances.values()))
    none = np.zeros((len(chances), 0))
    rows = np.arange(len(chances))
    return WeightedSample(rows, present, SimulatedStrokes({}, {}, {}), none, none, weight, weight)


def test_jobs_cover_every_fault_once() -> None:
    named = [fault for job in JOBS for fault in job.faults]
    assert sorted(map(str, named)) == sorted(map(str, FAULTS))


def test_minutes_come_from_the_strip_plan_of_these_tools() -> None:
    bag = ToolBag(tools=tuple(tool_titles(PUMP)), vice=True, goal="foot-valve")
    strip = plan_strip(PUMP, bag).expected / 60
    foot = job_minutes(PUMP, Around(bag=bag), [0])[0, 0]
    assert foot == pytest.approx(2 * strip + JOBS[0].work_minutes + 6)


def test_a_tool_that_is_missing_costs_its_fetching() -> None:
    least = job_minutes(PUMP, Around(bag=ToolBag(tools=("soft-drift",))), [0])[0, 0]
    assert least > job_minutes(PUMP, NOTHING_KNOWN, [0])[0, 0] + 60


def test_opening_on_from_where_it_stands_is_cheaper_than_from_the_start() -> None:
    both = job_minutes(PUMP, NOTHING_KNOWN, [0, 1])
    assert both[1, 1] <= both[0, 1]


def test_outside_jobs_alone_go_by_chance_over_minutes() -> None:
    """Kadane and Simon 1977."""
    chances = {
        CAUSE["nozzle"]: 0.2,
        CAUSE["starved"]: 0.35,
        CAUSE["supply"]: 0.15,
        CAUSE["filter"]: 0.3,
    }
    jobs = [3, 4, 5, 7]
    minutes = job_minutes(PUMP, NOTHING_KNOWN, jobs)[0]
    wanted = [JOBS[jobs[k]].title for k in ratio_order(list(chances.values()), minutes)]
    openings, to_fixed = opening_order(_cloud(chances), PUMP, NOTHING_KNOWN)
    assert [o.title for o in openings if o.chance > 0] == wanted
    assert openings[0].done_by == pytest.approx(openings[0].chance)
    assert 0 < to_fixed < minutes.sum()


def test_a_cheap_look_outside_comes_before_a_likelier_opening() -> None:
    openings, _ = opening_order(
        _cloud({CAUSE["packings"]: 0.6, CAUSE["nozzle"]: 0.4}), PUMP, NOTHING_KNOWN
    )
    assert openings[0].title == "Clear or change the nozzle"
    assert not openings[0].inside


def test_minutes_of_some_jobs_are_those_of_all_with_the_others_left() -> None:
    pump, some = demo_pump("quay-air"), [1, 4, 6]
    whole, part = (job_minutes(pump, NOTHING_KNOWN, jobs) for jobs in (range(len(JOBS)), some))
    for done in range(2 ** len(some)):
        behind = sum(1 << job for bit, job in enumerate(some) if done >> bit & 1)
        assert part[done].tolist() == whole[behind, some].tolist()
