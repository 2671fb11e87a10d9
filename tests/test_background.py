"""Work in the background: equal jobs once, bounded, ended, and its failures reported."""

from __future__ import annotations

import logging
import threading
from collections.abc import Iterator
from threading import Event

import pytest
from pseudo import PSEUDO, Pseudo, changed

from wetend.background import Background
from wetend.errors import NotFound
from wetend.telling.reader import METRIC, Reader
from wetend.units.message import Message

PATIENCE = 60.0


@pytest.fixture
def pool() -> Iterator[Background]:
    made = Background(workers=2, most=12)
    yield made
    made.end(PATIENCE)


@pytest.fixture
def gate() -> Iterator[Event]:
    """Holds jobs up until it is set; set at the end in any case."""
    held = Event()
    yield held
    held.set()


def test_equal_jobs_that_wait_or_run_are_one(pool: Background, gate: Event) -> None:
    done = []

    def work(_: Event) -> None:
        gate.wait(PATIENCE)
        done.append(1)

    jobs = {id(pool.submit("same", work, title="a job")) for _ in range(20)}
    gate.set()
    assert len(jobs) == 1
    job = pool.submit("same", work, title="a job")
    assert job.ended.wait(PATIENCE)
    assert len(done) in (1, 2)  # 2 where the first had ended before the last was asked for


def test_no_more_threads_than_said_and_no_more_jobs(pool: Background, gate: Event) -> None:
    jobs = [pool.submit(n, lambda _: gate.wait(PATIENCE), title=f"job {n}") for n in range(14)]
    assert [job.standing for job in jobs[12:]] == ["dropped", "dropped"]
    assert all("try again" in job.fault and job.ended.is_set() for job in jobs[12:])
    told = pool.figures()
    assert len(told.running) + len(told.waiting) == 12
    assert len(told.running) <= 2
    assert told.refused == 2
    gate.set()
    assert all(job.ended.wait(PATIENCE) for job in jobs)
    assert [job.standing for job in jobs[:12]] == ["done"] * 12


def test_jobs_of_one_sort_run_one_at_a_time_and_leave_room_for_others(
    pool: Background, gate: Event
) -> None:
    running, most = [], []

    def work(_: Event) -> None:
        running.append(1)
        most.append(len(running))
        gate.wait(PATIENCE)
        running.pop()

    jobs = [pool.submit(n, work, title="months", alone="months") for n in range(10)]
    assert [job.standing == "dropped" for job in jobs] == [False] * 8 + [True] * 2
    other = pool.submit("other", lambda _: None, title="another")
    assert other.ended.wait(PATIENCE)
    gate.set()
    assert all(job.ended.wait(PATIENCE) for job in jobs)
    assert max(most) == 1
    assert len(most) == 8


def test_a_job_waits_for_its_time_unless_it_is_hurried(pool: Background) -> None:
    job = pool.submit("later", lambda _: None, title="later", after=3600.0)
    soon = pool.submit("soon", lambda _: None, title="soon")
    assert soon.ended.wait(PATIENCE)
    assert job.standing == "waiting"
    pool.hurry(job)
    assert job.ended.wait(PATIENCE)
    assert job.standing == "done"


def test_a_daily_job_waits_for_its_next_time(pool: Background) -> None:
    first = pool.submit("daily", lambda _: None, title="daily", again=lambda: 3600.0)
    assert first.ended.wait(PATIENCE)
    again = pool.submit("daily", lambda _: None, title="daily")
    assert again is not first
    assert again.standing == "waiting"
    pool.hurry(again)
    assert again.ended.wait(PATIENCE)
    assert pool.figures().done == 2


def test_what_fails_is_logged_and_reported_until_it_succeeds(
    pool: Background, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    fails = [True]

    def work(_: Event) -> None:
        if fails:
            raise ZeroDivisionError("a secret of the inside")

    with caplog.at_level(logging.WARNING):
        job = pool.submit("key", work, title="the work")
        assert job.ended.wait(PATIENCE)
    assert job.standing == "failed"
    assert "ZeroDivisionError" in caplog.text
    assert "log says" in pool.fault_of("key")
    assert "secret" not in pool.fault_of("key")
    assert pool.figures().faults == (f"the work: {job.fault}",)
    assert pool.submit("key", work, title="the work") is job  # not tried again at once
    monkeypatch.setattr("wetend.background._AGAIN", 0.0)
    fails.clear()
    again = pool.submit("key", work, title="the work")
    assert again.ended.wait(PATIENCE)
    assert pool.fault_of("key") == ""
    assert pool.figures().faults == ()


def test_a_refusal_is_reported_in_its_own_words(pool: Background) -> None:
    def work(_: Event) -> None:
        raise NotFound("There is no pump in this depot yet.")

    assert pool.submit("key", work, title="the month").ended.wait(PATIENCE)
    assert pool.fault_of("key") == "There is no pump in this depot yet."


def test_the_end_drops_what_waits_and_ends_what_runs(pool: Background) -> None:
    begun = Event()

    def work(halt: Event) -> None:
        begun.set()
        halt.wait(PATIENCE)

    running = pool.submit("runs", work, title="runs")
    later = pool.submit("waits", lambda _: None, title="waits", after=3600.0)
    assert begun.wait(PATIENCE)
    threads = list(pool._threads)
    pool.end(PATIENCE)
    assert running.standing == "done"
    assert later.standing == "dropped"
    assert not any(thread.is_alive() for thread in threads)
    assert pool.submit("after", lambda _: None, title="after").ended.wait(PATIENCE)


def test_the_last_application_to_leave_ends_it(pool: Background) -> None:
    pool.enter()
    pool.enter()
    job = pool.submit("waits", lambda _: None, title="waits", after=3600.0)
    pool.leave()
    assert job.standing == "waiting"
    pool.leave()
    assert job.standing == "dropped"


def test_idle_threads_are_used_before_new_ones_are_started() -> None:
    pool = Background(workers=4)
    for number in range(20):
        assert pool.submit(number, lambda _: None, title="short").ended.wait(PATIENCE)
    alive = [t for t in threading.enumerate() if t in pool._threads]
    assert len(alive) <= 3
    pool.end(PATIENCE)


def test_what_failed_is_said_in_the_readers_language(pool: Background, pseudo: Pseudo) -> None:
    def work(_: Event) -> None:
        raise NotFound(Message("There is no pump in this depot yet."))

    def worse(_: Event) -> None:
        raise ZeroDivisionError

    title = Message("computing the month")
    for job in (pool.submit("key", work, title=title), pool.submit("worse", worse, title=title)):
        assert job.ended.wait(PATIENCE)
    said = [Reader(METRIC.system, PSEUDO).tell(fault) for fault in pool.figures().faults]
    assert said == [
        f"{changed('computing the month')}: {changed('There is no pump in this depot yet.')}",
        changed("computing the month")
        + ": "
        + changed("it ended in an error; the server's log says which."),
    ]
