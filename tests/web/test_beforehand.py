"""The fleet's month is there before anybody asks."""

from threading import Event

from wetend.records.store import Depot
from wetend.web import beforehand
from wetend.workflows.demo import build_demo


def test_it_is_worked_out_at_the_start_and_ends_when_told(tmp_path, monkeypatch) -> None:
    asked, stop = Event(), Event()
    real = beforehand.fleet.view

    def watched(desk):
        seen = real(desk)
        assert seen.pumps == 6
        asked.set()
        return seen

    monkeypatch.setattr(beforehand.fleet, "view", watched)
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        build_demo(depot)
        thread = beforehand.keep_worked_out(depot, after=0.0, stop=stop)
        assert asked.wait(60)
        stop.set()
        thread.join(10)
        assert not thread.is_alive()
