"""What was fitted is entered once: twice, late, taken back, from two devices, and who reads it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from wetend.errors import BadInput
from wetend.pump.measurements import PackingsMeasured
from wetend.pump.readings import RebuildProgress, SignOff, VisitStart
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.pump.usage import PartFitted
from wetend.records.entries import Entry, new_entry, payload_of
from wetend.records.fold import fold_visit
from wetend.records.store import Depot
from wetend.workflows import fitted, handover, inspect, life, pumps, record, visits
from wetend.workflows.desk import Desk
from wetend.workflows.fitted import Answer, changed, read_answer
from wetend.workflows.life_facts import facts

KEY = "quay-air"
NEW, BACK = Answer("new", "worn out"), Answer("put back")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        desk = Desk(depot, who="A. Tester")
        pumps.describe(desk, demo_pump(KEY))
        yield desk


@pytest.fixture
def visit(desk: Desk) -> str:
    begun = visits.start(desk, VisitStart(pump=KEY))
    visits.choose_coating(desk, begun, demo_coatings()[2])
    return begun


def kept(desk: Desk) -> list[Entry]:
    return list(desk.depot.entries(kinds=("part-fitted", "withdrawn")))


def lives(desk: Desk, part: str) -> int:
    return sum(each.part == part for each in facts(desk).pumps[KEY].lives)


def test_the_same_again_adds_nothing_and_otherwise_corrects(desk: Desk, visit: str) -> None:
    fitted.save(desk, visit, {"foot-ball": NEW, "rod": BACK})
    fitted.save(desk, visit, {"foot-ball": NEW, "rod": BACK})
    assert len(kept(desk)) == 2
    fitted.save(desk, visit, {"foot-ball": Answer("new", "damaged", "dropped")})
    now = desk.visit(visit).fitted
    assert [(f.part, f.done, f.why, f.note) for f in now] == [
        ("foot-ball", "new", "damaged", "dropped"), ("rod", "put back", "found worn", "")
    ]  # fmt: skip
    assert lives(desk, "foot-ball") == 1
    assert lives(desk, "rod") == 0  # put back: its life goes on


def test_taken_back_is_gone_however_often_it_was_corrected(desk: Desk, visit: str) -> None:
    for answer in (NEW, BACK, Answer("new", "planned")):
        fitted.save(desk, visit, {"foot-ball": answer})
    fitted.save(desk, visit, {"foot-ball": Answer(None)})
    assert desk.visit(visit).fitted == ()
    assert lives(desk, "foot-ball") == 0
    fitted.save(desk, visit, {"foot-ball": NEW})  # and said again it counts again
    assert lives(desk, "foot-ball") == 1


def test_taken_back_on_the_record_page_goes_back_to_what_was_said_before(
    desk: Desk, visit: str
) -> None:
    fitted.save(desk, visit, {"foot-ball": NEW})
    fitted.save(desk, visit, {"foot-ball": BACK})
    record.withdraw(desk, kept(desk)[-1].id)
    assert [f.done for f in desk.visit(visit).fitted] == ["new"]


def test_two_devices_merged_say_each_part_once(desk: Desk, visit: str) -> None:
    entries = list(desk.depot.visit_entries(visit))
    mine = new_entry("part-fitted", PartFitted(part="rod", done="new"), pump=KEY, visit=visit)
    theirs = new_entry("part-fitted", PartFitted(part="rod", done="put back"), pump=KEY,
                       visit=visit)  # fmt: skip
    for order in ((mine, theirs), (theirs, mine)):
        assert [f.done for f in fold_visit([*entries, *order]).fitted] == ["put back"]
    desk.depot.append(mine, theirs)
    assert lives(desk, "rod") == 0
    fitted.save(desk, visit, {"rod": Answer(None)})  # takes back both
    assert desk.visit(visit).fitted == ()


def test_a_form_opened_before_another_was_kept_undoes_nothing(desk: Desk, visit: str) -> None:
    opened = {"foot-ball": NEW}
    fitted.save(desk, visit, {"foot-ball": NEW})
    fitted.save(desk, visit, {"rod": Answer("new", "damaged")})  # somebody else, meanwhile
    fitted.save(desk, visit, changed(opened, {"foot-ball": BACK}))
    assert {f.part: f.done for f in desk.visit(visit).fitted} == {
        "foot-ball": "put back", "rod": "new"
    }  # fmt: skip


def test_entered_late_it_counts_from_the_day_it_was_built(desk: Desk) -> None:
    then = datetime.now(UTC) - timedelta(days=40)
    begun = visits.start(desk, VisitStart(pump=KEY))
    desk.depot.append(
        new_entry("rebuild-progress", RebuildProgress(done=("body",)), pump=KEY, visit=begun,
                  at=then)
    )  # fmt: skip
    fitted.save(desk, begun, {"static-packings": NEW})
    (packings,) = desk.visit(begun).fitted
    assert packings.on == then.date()
    fitted.save(desk, begun, {"static-packings": NEW}, on=date(2026, 1, 5))
    assert desk.visit(begun).fitted[0].on == date(2026, 1, 5)


def test_only_what_has_a_second_face_is_turned(desk: Desk, visit: str) -> None:
    with pytest.raises(BadInput, match="can't be turned"):
        fitted.save(desk, visit, {"foot-seat": NEW, "rod": Answer("turned")})
    assert not kept(desk)  # all or nothing
    with pytest.raises(BadInput, match="can be turned"):
        life.save_fitted(desk, KEY, PartFitted(part="rod", done="turned"))


def test_an_entry_of_the_old_form_keeps_its_meaning(desk: Desk, visit: str) -> None:
    made = new_entry("part-fitted", PartFitted(part="foot-seat"), pump=KEY, visit=visit)
    old = made.model_copy(update={"payload": json.dumps(
        {"part": "foot-seat", "why": "worn out", "on": None, "turned": True, "note": ""}
    )})  # fmt: skip
    noun = payload_of(old)
    assert isinstance(noun, PartFitted)
    assert (noun.done, noun.begins_a_life) == ("turned", True)
    plain = old.model_copy(update={"payload": old.payload.replace("true", "false")})
    new = payload_of(plain)
    assert isinstance(new, PartFitted)
    assert new.done == "new"


def test_sign_off_history_and_life_read_it(desk: Desk, visit: str) -> None:
    inspect.save(desk, visit, PackingsMeasured(set="moving", lips="torn"))
    assert handover.view(desk, visit).fitted_missing == ("moving packings",)
    fitted.save(desk, visit, fitted.proposed(fitted.view(desk, visit)))
    seen = handover.view(desk, visit)
    assert seen.fitted_missing == ()
    ready = handover.proposed(desk, seen)
    assert ready["fitted"] == "Moving packings new (found worn)."
    assert "orn lips" in ready["found"]
    assert pumps.view(desk, KEY).history[0].fitted == ready["fitted"]  # before it is signed, too
    signed = SignOff(technician="A", fitted="Both sets, own words.", reason="no coating left",
                     crew_told=True, tagged=True)  # fmt: skip
    handover.sign_off(desk, visit, signed)
    assert pumps.view(desk, KEY).history[0].fitted == "Both sets, own words."
    assert not facts(desk).pumps[KEY].parts["moving-packings"].assumed


def test_an_old_visit_keeps_the_words_typed_at_its_signing(desk: Desk, visit: str) -> None:
    handover.sign_off(desk, visit, SignOff(technician="A", fitted="Seat, ball, soft rings."))
    assert pumps.view(desk, KEY).history[0].fitted == "Seat, ball, soft rings."
    assert desk.visit(visit).fitted == ()


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("new", Answer("new", "found worn")),
        ("new, worn out, third this year", Answer("new", "worn out", "third this year")),
        ("turned, damaged", Answer("turned", "damaged")),
        ("put-back, cleaned", Answer("put back", "found worn", "cleaned")),
        ("nothing", Answer(None)),
    ],
)
def test_an_answer_in_words(text: str, answer: Answer) -> None:
    assert read_answer("foot_seat", text) == ("foot-seat", answer)


@pytest.mark.parametrize(
    ("part", "text", "told"),
    [("flux", "new", "not a part"), ("rod", "blessed", "can't be done"),
     ("rod", "new, because", "not a reason")],
)  # fmt: skip
def test_an_answer_that_is_none_says_why(part: str, text: str, told: str) -> None:
    with pytest.raises(BadInput, match=told):
        read_answer(part, text)
