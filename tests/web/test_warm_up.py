"""The fleet's month is there before anybody asks."""

from threading import Event

from wetend.records.store import Depot
from wetend.web import warm_up
from wetend.workflows import checks, visits
from wetend.workflows.desk import Desk


def test_it_is_worked_out_at_the_start_and_ends_when_told(tmp_path, monkeypatch, copy_demo) -> None:
    asked, stop = Event(), Event()
    real = warm_up.fleet.view

    def watched(desk):
        seen = real(desk)
        assert seen.pumps == 6
        asked.set()
        return seen

    monkeypatch.setattr(warm_up.fleet, "view", watched)
    with Depot.open(copy_demo(tmp_path / "d.sqlite3")) as depot:
        thread = warm_up.keep_worked_out(depot, after=0.0, stop=stop)
        assert asked.wait(60)
        stop.set()
        thread.join(10)
        assert not thread.is_alive()


def test_open_visits_are_worked_out_and_then_there(tmp_path, copy_demo) -> None:
    with Depot.open(copy_demo(tmp_path / "o.sqlite3")) as depot:
        warm_up.work_out_open_visits(depot, after=0.0).join(120)
        desk = Desk(depot)
        opened = visits.open_visits(desk)
        assert len(opened) > 1
        before = checks._diagnosed.cache_info()
        for seen in opened:
            checks.view(desk, seen.id)
        after = checks._diagnosed.cache_info()
    assert after.misses == before.misses
    assert after.hits > before.hits
