"""Today: what is next on an open visit, and what a pump wants, until a visit to it begins."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from wetend.advice.reasons import Verdict
from wetend.errors import NotFound
from wetend.pump.catalogue import CatalogueItem, StockCounted
from wetend.pump.readings import Note, SignOff, VisitStart
from wetend.records.store import Depot
from wetend.workflows import catalogue, fleet, today, visits
from wetend.workflows.acts.queue import next_act
from wetend.workflows.desk import Desk


@pytest.fixture
def desk(tmp_path: Path, copy_demo: Callable[[Path], Path]) -> Iterator[Desk]:
    with Depot.open(copy_demo(tmp_path / "depot.sqlite3")) as depot:
        yield Desk(depot, who="A. Tester")


def test_the_next_act_is_said_once_it_is_computed_and_anew_after_an_entry(desk: Desk) -> None:
    first = today.view(desk).open_visits[0]
    assert first.act == ""
    today.compute_act(desk, first.visit.id)
    act = next_act(desk, first.visit.id)
    assert act is not None
    assert today.view(desk).open_visits[0].act == act.title
    visits.add_note(desk, first.visit.id, Note(text="Wet cup topped up", stage="checks"))
    assert today.view(desk).open_visits[0].act == ""  # computed again in the background
    assert not today.act_known(desk, desk.visit(first.visit.id))


def _sign(desk: Desk, pump: str, proof: str, reason: str) -> str:
    visit = visits.start(desk, VisitStart(pump=pump, reason="weeps"))
    signed = SignOff(technician="A. Tester", proof=proof, reason=reason)  # type: ignore[arg-type]
    desk.keep("sign-off", signed, pump=pump, visit=visit)
    return visit


def test_an_open_visit_says_its_next_stage_and_how_long_it_has_stood(desk: Desk) -> None:
    seen = today.view(desk)
    assert {o.pump: o.stage for o in seen.open_visits} == {
        "North quay": "strip", "East yard": "prove",
    }  # fmt: skip
    for each in seen.open_visits:
        latest = max(e.at for e in desk.depot.entries(visit=each.visit.id))
        assert each.last == latest
        assert timedelta(seconds=each.stood) == pytest.approx(
            datetime.now(UTC) - latest, abs=timedelta(minutes=1)
        )


@pytest.mark.parametrize(
    ("proof", "verdict"), [("fail", Verdict.FAIL), ("not proven", Verdict.NOT_PROVEN)]
)
def test_a_pump_handed_over_unproven_wants_something_until_the_next_visit(
    desk: Desk, proof: str, verdict: Verdict
) -> None:
    _sign(desk, "bridge-deck", proof, "bucket to follow on Thursday")
    first = today.view(desk).wants[0]
    assert (first.key, first.reasons[0].verdict) == ("bridge-deck", verdict)
    assert "bucket to follow on Thursday" in first.reasons[0].text
    visits.start(desk, VisitStart(pump="bridge-deck"))
    assert "bridge-deck" not in {w.key for w in today.view(desk).wants}


def test_one_signed_off_as_passed_wants_nothing_for_that(desk: Desk) -> None:
    _sign(desk, "bridge-deck", "pass", "")
    assert "bridge-deck" not in {w.key for w in today.view(desk).wants}


def test_a_part_counted_and_used_up_is_said_with_the_pump_that_wants_it(desk: Desk) -> None:
    item = CatalogueItem(number="X-1", name="Packing set", parts=("moving-packings",),
                         pumps=("tank-farm",))  # fmt: skip
    catalogue.save(desk, item)

    def short() -> str:
        want = next(w for w in today.view(desk).wants if w.key == "blast-hall")
        return " ".join(r.text for r in want.reasons if r.word == "short of a part")

    before = short()
    catalogue.count(desk, StockCounted(number="X-1", shelf=0, van=0))
    assert before == ""  # never counted: nobody knows
    for number in [s.item.number for s in catalogue.items_of(desk)]:
        catalogue.count(desk, StockCounted(number=number, shelf=0, van=0))
    assert "moving packings" in short()
    for number in [s.item.number for s in catalogue.items_of(desk)]:
        catalogue.count(desk, StockCounted(number=number, shelf=1, van=0))
    assert short() == ""


def test_a_large_fleet_does_not_wait_for_its_plan(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(today, "AT_ONCE", 2)
    _sign(desk, "bridge-deck", "fail", "")
    seen = today.view(desk)
    assert not seen.planned
    assert [w.key for w in seen.wants] == ["bridge-deck"]  # what the record says is said at once
    fleet.due(desk, today.Costs())
    again = today.view(desk)
    assert again.planned
    assert len(again.wants) > 1


def test_a_visit_whose_pump_cannot_be_read_is_listed_all_the_same(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    lost = today.view(desk).open_visits[0].visit.id
    real = Desk.visit

    def visit(self: Desk, visit_id: str) -> object:
        if visit_id == lost:
            raise NotFound("Its pump is not described in this record.")
        return real(self, visit_id)

    monkeypatch.setattr(Desk, "visit", visit)
    shown = {o.visit.id: o.stage for o in today.view(desk).open_visits}
    assert shown[lost] == ""
    assert len(shown) == 2
