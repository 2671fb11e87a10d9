"""What to open and put right, how long each takes with the tools to hand, and in what order.

Order of least expected time to fixed: exact over all orders of the likeliest jobs, work shared
between jobs inside the wet end counted once. Times besides the strip plan's are common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.answers import Opening
from wetend.advice.diagnosis.causes import Around
from wetend.advice.diagnosis.posterior import WeightedSample
from wetend.advice.faults.record import Fault, Goal
from wetend.advice.faults.tables import FAULTS, MENDINGS
from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.keeping import MB, kept
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.stats.decision import covered, least_cost_order, ratio_order
from wetend.units.quantity import Held, Minutes

Array = NDArray[np.float64]
MinutesArray = Annotated[Array, Held("min")]

PROVE_MINUTES: Minutes = 6.0
"""Minutes to put pressure on again and see whether it is right."""
FETCH_MINUTES: Minutes = 60.0
"""Minutes to fetch a tool that isn't there."""


@dataclass(frozen=True)
class Job:
    """One thing to open or put right."""

    title: str
    faults: tuple[Fault, ...]
    work_minutes: Minutes
    """In minutes: looking, cleaning, fitting; strip and rebuild not counted."""
    goal: Goal | None = None
    """How far the wet end is opened for it."""


JOBS = tuple(
    Job(
        mending.title, tuple(fault for fault in FAULTS if fault.mending == mending),
        mending.work_minutes, mending.goal,
    )
    for mending in MENDINGS
)  # fmt: skip
"""Jobs, one bit each in a set of them."""


def needed_sets(cloud: WeightedSample, jobs: Sequence[int]) -> NDArray[np.intp]:
    """For each pump, which of these jobs it needs, as a set: bit k for ``jobs[k]``."""
    sets = np.zeros(len(cloud.weight), dtype=np.intp)
    for bit, job in enumerate(jobs):
        columns = [cause for fault in JOBS[job].faults for cause in fault.causes]
        sets |= cloud.present[:, columns].any(axis=1).astype(np.intp) << bit
    return sets


def job_chances(cloud: WeightedSample) -> Array:
    """Chance of each job being needed."""
    return np.array([float(cloud.weight[needed_sets(cloud, [k]) > 0].sum())
                     for k in range(len(JOBS))])  # fmt: skip


def _minutes_to(pump: Pump, bag: ToolBag, goal: str) -> Minutes:
    """Minutes to open so far with these tools, or with all of them when one has to be fetched."""
    wanted = {"goal": goal}
    plan = plan_strip(pump, bag.model_copy(update=wanted))
    if plan.possible:
        return plan.expected / 60.0
    full = bag.model_copy(update={**wanted, "tools": tuple(tool_titles(pump)), "vice": True})
    return plan_strip(pump, full).expected / 60.0 + FETCH_MINUTES


@kept("minutes to open", most=8 * MB)
def _opened(pump: Pump, bag: ToolBag) -> dict[frozenset[str], Minutes]:
    """Minutes to have opened each set of goals."""
    if not bag.tools:
        bag = bag.model_copy(update={"tools": tuple(tool_titles(pump)), "vice": True})
    goals = [job.goal for job in JOBS if job.goal]
    each = {goal: _minutes_to(pump, bag, goal) for goal in (*goals, "whole")}
    found: dict[frozenset[str], Minutes] = {frozenset(): 0.0}
    for number in range(1, 2 ** len(goals)):
        chosen = frozenset(g for bit, g in enumerate(goals) if number >> bit & 1)
        least = max(each[g] for g in chosen)
        found[chosen] = max(least, min(each["whole"], sum(each[g] for g in chosen)))
    return found


@kept("minutes of jobs", most=8 * MB)
def _all_minutes(pump: Pump, bag: ToolBag) -> Array:
    """Minutes of every job by the set of jobs done already."""
    opened = _opened(pump, bag)
    table = np.empty((2 ** len(JOBS), len(JOBS)))
    for done in range(len(table)):
        before = frozenset(job.goal for bit, job in enumerate(JOBS) if done >> bit & 1) - {None}
        for bit, job in enumerate(JOBS):
            after = before | {job.goal} if job.goal else before
            strip = max(opened[after] - opened[before], 0.0)  # type: ignore[index]
            table[done, bit] = 2.0 * strip + job.work_minutes + PROVE_MINUTES
    table.flags.writeable = False
    return table


def job_minutes(pump: Pump, around: Around, jobs: Sequence[int]) -> MinutesArray:
    """Minutes of each of these jobs by the set of them done already: open, work, close, prove."""
    each = 1 << np.array(jobs, dtype=np.intp)
    done = (np.arange(2 ** len(jobs))[:, None] >> np.arange(len(jobs)) & 1) @ each
    return _all_minutes(pump, around.bag)[done][:, list(jobs)]


def every_job(pump: Pump, around: Around) -> Array:
    """Minutes of all jobs: see :func:`job_minutes`."""
    return job_minutes(pump, around, range(len(JOBS)))


def table_of(cloud: WeightedSample, jobs: Sequence[int]) -> Array:
    """Chance of each set of these jobs being the set needed."""
    sets = needed_sets(cloud, jobs)
    counted = np.bincount(sets, cloud.weight, minlength=2 ** len(jobs))
    return np.asarray(counted, dtype=float)


def opening_order(
    cloud: WeightedSample, pump: Pump, around: Around
) -> tuple[tuple[Opening, ...], Minutes]:
    """Jobs in the order of least expected time to fixed, and that time in minutes."""
    needed, minutes = table_of(cloud, range(len(JOBS))), every_job(pump, around)
    plan, held = least_cost_order(needed, minutes), covered(needed)
    chances = job_chances(cloud)
    found, done = [], 0
    for k in plan.order():
        after = done | 1 << k
        job = JOBS[k]
        found.append(
            Opening(
                title=job.title, faults=job.faults, minutes=float(minutes[done, k]),
                chance=float(chances[k]), inside=job.goal is not None,
                done_by=float(min(held[after], 1.0)),
            )
        )  # fmt: skip
        done = after
    return tuple(found), float(plan.cost[0])


def likeliest_jobs(cloud: WeightedSample, pump: Pump, around: Around, most: int) -> list[int]:
    """The jobs most worth a thought: by chance over minutes."""
    costs = every_job(pump, around)[0]
    chances = job_chances(cloud)
    return sorted(ratio_order(chances * chances, costs)[:most])
