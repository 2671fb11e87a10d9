"""What many will ask for is there before anybody asks."""

from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient

from wetend import keeping
from wetend.background import BACKGROUND
from wetend.errors import StorageFailed
from wetend.records.store import Depot
from wetend.web import server, warm_up
from wetend.workflows import checks, life_facts, visits
from wetend.workflows.desk import Desk

PATIENCE = 120.0


@pytest.fixture
def depot(tmp_path, copy_demo) -> Iterator[Depot]:
    """A demo depot of this test's own, on a process whose background is its own."""
    BACKGROUND.end(PATIENCE)
    with Depot.open(copy_demo(tmp_path / "d.sqlite3")) as opened:
        yield opened
    BACKGROUND.end(PATIENCE)


def test_the_month_is_computed_at_the_start_and_again_tomorrow(depot: Depot) -> None:
    done = warm_up.compute_month(depot, after=0.0)
    assert done.ended.wait(PATIENCE)
    assert done.standing == "done"
    again = warm_up.compute_month(depot, after=0.0)
    assert again is not done
    assert again.standing == "waiting"  # for tomorrow
    before = life_facts._KNOWN.figures()
    warm_up.fleet.view(Desk(depot))
    after = life_facts._KNOWN.figures()
    assert after.misses == before.misses
    assert after.hits > before.hits


def test_what_goes_wrong_at_the_start_is_reported(depot: Depot, monkeypatch) -> None:
    def fails(_: Desk) -> None:
        raise StorageFailed("The disk is gone.")

    monkeypatch.setattr(warm_up.fleet, "view", fails)
    assert warm_up.compute_month(depot, after=0.0).ended.wait(PATIENCE)
    assert "computing the fleet plan: The disk is gone." in BACKGROUND.figures().faults


def test_open_visits_are_computed_and_then_there(depot: Depot) -> None:
    assert warm_up.compute_open_visits(depot, after=0.0).ended.wait(PATIENCE)
    desk = Desk(depot)
    opened = visits.open_visits(desk)
    assert len(opened) > 1
    before = checks._diagnosed.figures()
    for seen in opened:
        checks.view(desk, seen.id)
    after = checks._diagnosed.figures()
    assert after.misses == before.misses
    assert after.hits > before.hits


def test_the_background_begins_and_ends_with_the_pages(
    tmp_path, copy_demo, monkeypatch: pytest.MonkeyPatch
) -> None:
    BACKGROUND.end(PATIENCE)
    monkeypatch.setattr(BACKGROUND, "_users", 0)  # servers of other tests stand in this process
    monkeypatch.setenv("WETEND_DEPOT", str(copy_demo(tmp_path / "d.sqlite3")))
    monkeypatch.delenv("WETEND_PASSCODE", raising=False)
    for name in ("_SOON", "_QUIET", "_LATER"):
        monkeypatch.setattr(server, name, 3600.0)
    app = server.from_environment()
    assert BACKGROUND.figures().waiting == ()
    with TestClient(app, base_url="http://localhost") as client:
        told = client.get("/memory.json").json()["background"]["waiting"]
        assert set(told) >= {
            "computing the fleet plan", "computing the checks of open visits",
            "looking the depot through for damage",
        }  # fmt: skip
        assert len(told) <= 4  # the model in motion waits too, unless other tests loaded it
        jobs = list(BACKGROUND._jobs.values())
    assert BACKGROUND.figures().waiting == ()
    assert {job.standing for job in jobs} == {"dropped"}
    app.state.depot.close()


def test_a_depot_that_closes_takes_what_was_computed_from_it_along(tmp_path, copy_demo) -> None:
    with Depot.open(copy_demo(tmp_path / "d.sqlite3")) as depot:
        where = str(depot.url)
        warm_up.fleet.view(Desk(depot))
        held = [h for h in life_facts._KNOWN._by_key.values() if h.owner == where]
        assert len(held) == 1
    assert not [h for h in life_facts._KNOWN._by_key.values() if h.owner == where]
    assert not [h for h in warm_up.fleet._LINES._by_key.values() if h.owner == where]
    assert any(f.name == "lives of a depot's pumps" for f in keeping.figures())
