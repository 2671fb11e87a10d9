"""Stores of a depot of any size: every pump counts, each is reckoned once, and work is bounded."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from wetend.advice.stores import stock as advice
from wetend.errors import BadInput
from wetend.pump.costs import Costs
from wetend.records.store import Depot
from wetend.workflows import stores
from wetend.workflows.desk import Desk


@pytest.fixture
def desk(tmp_path: Path, copy_demo: Callable[[Path], Path]) -> Iterator[Desk]:
    with Depot.open(copy_demo(tmp_path / "depot.sqlite3")) as depot:
        yield Desk(depot, who="A. Tester")


@pytest.fixture
def reckoned(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Parts whose expected uses were reckoned."""
    found: list[str] = []
    real = advice.expected_uses

    def counted(fleet: object, part: str, *given: object, **more: object) -> float:
        found.append(part)
        return real(fleet, part, *given, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(advice, "expected_uses", counted)
    return found


@pytest.mark.parametrize(("room", "good"), [(0.0, False), (1e-4, True), (10.0, True),
                                            (10.1, False)])  # fmt: skip
def test_a_box_has_room_for_something_and_at_most_ten_cubic_metres(
    desk: Desk, room: float, good: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stores, "diagnosis_of", lambda *_, **__: None)  # it takes its time
    monkeypatch.setattr(stores, "leanings_of", lambda *_: {})
    visit = next(e.visit for e in desk.depot.entries(kinds=("visit-started",)) if e.visit)
    if good:
        assert stores.box(desk, visit, room=room).box.room <= room * (1 + 1e-9)
    else:
        with pytest.raises(BadInput):
            stores.box(desk, visit, room=room)


def test_what_was_reckoned_once_is_not_reckoned_again(desk: Desk, reckoned: list[str]) -> None:
    first = stores.view(desk)
    count = len(reckoned)
    assert count == 2 * 10 * first.pumps  # depot and van, ten parts a pump
    stores.view(desk, costs=Costs(crew_hour=999.0))
    assert len(reckoned) == count
    stores.plan(desk, Costs(), lead=9 * 86400.0)
    assert len(reckoned) > count


def test_more_pumps_than_are_reckoned_all_count(
    desk: Desk, reckoned: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = stores.view(desk)
    monkeypatch.setattr(stores, "MOST_AT_ONCE", 3)
    monkeypatch.setattr(advice, "_OF_A_KIND", 1)
    part = stores.view(desk)
    assert part.depot.reckoned < part.pumps == whole.pumps == whole.depot.reckoned
    assert f"of the {part.pumps} pumps" in part.depot.sampling_note
    assert whole.depot.sampling_note == ""
    assert [len(line.pumps) for line in part.depot.lines] == [
        len(line.pumps) for line in whole.depot.lines
    ]
    assert sum(len(line.pumps) for line in part.depot.lines) == 10 * part.pumps


def test_asking_for_ever_other_times_keeps_no_more_than_so_many(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stores, "_MOST_USES", 200)
    for days in range(2, 12):
        stores.plan(desk, Costs(), lead=days * 86400.0)
    known = stores.facts(desk)
    assert len(known.uses) <= 200 + 10 * len(known.pumps)
