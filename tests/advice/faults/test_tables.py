"""What is read off the records of faults."""

from __future__ import annotations

from wetend.advice.faults.tables import FAULTS, MENDINGS

MINUTES = {
    "foot-valve": 12, "piston-valve": 20, "static": 10, "nozzle": 5, "starved": 10, "supply": 20,
    "changeover": 35, "outlet": 12, "outside": 8,
}  # fmt: skip
"""Of the jobs, in their order: what a diagnosis weighs against the minutes of one more check.
Common practice, no source."""


def test_a_job_takes_the_minutes_that_the_page_counts_with() -> None:
    assert [job.work_minutes for job in MENDINGS] == list(MINUTES.values())
    assert [job.number for job in MENDINGS] == list(range(len(MINUTES)))
    assert {fault.mending for fault in FAULTS} == set(MENDINGS)
