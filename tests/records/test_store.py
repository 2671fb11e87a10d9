"""The depot's record: all or nothing, the same on both databases, failures in a sentence."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from pydantic import ValidationError
from sqlalchemy import text

from wetend.errors import BadInput, NotFound, StorageFailed
from wetend.pump.description import Pump
from wetend.pump.readings import Complaint, Note, VisitStart
from wetend.records.entries import Entry, new_entry
from wetend.records.ids import new_id
from wetend.records.store import Depot


def note(said: str = "hello", pump: str = "p", **other: str) -> Entry:
    return new_entry("note", Note(text=said), pump=pump, **other)


def tiny_png() -> bytes:
    file = BytesIO()
    Image.new("RGB", (2, 2), "red").save(file, "PNG")
    return file.getvalue()


def test_what_is_appended_is_read_back(depot: Depot, demo_pumps: tuple[Pump, ...]) -> None:
    visit = new_id()
    made = [new_entry("pump-described", p, pump=p.key) for p in demo_pumps]
    made.append(
        new_entry(
            "visit-started", VisitStart(pump="quay-air"), pump="quay-air", visit=visit,
            who="A. Å. Ωμέγα", place="quay 3", device="phone",
            at=datetime(2024, 2, 29, 23, 59, 59, 123456, tzinfo=UTC),
        )
    )  # fmt: skip
    depot.append(*made)
    assert depot.entries() == made
    assert depot.entry(made[-1].id) == made[-1]
    assert depot.entries(visit=visit) == made[-1:]
    assert depot.entries(pump="quay-air") == [made[0], made[2]]
    assert depot.entries(kinds=("pump-described",)) == made[:2]
    assert depot.entries(pump="quay-air", kinds=("visit-started", "note")) == made[-1:]
    assert depot.entries(kinds=()) == []
    assert depot.visit_entries(visit) == [made[0], made[2]]


def test_entries_come_in_the_order_of_their_ids(depot: Depot) -> None:
    made = [note(str(n)) for n in range(40)]
    for entry in reversed(made):
        depot.append(entry)
    assert depot.entries() == made


def test_what_is_written_comes_after_what_was_read(depot: Depot) -> None:
    """Another device, its clock an hour fast, wrote first; what is said here now still counts."""
    hour = 3_600_000 << 80
    fast = note("fast").model_copy(update={"id": f"{int(new_id(), 16) + hour:032x}"})
    depot.merge([fast])
    depot.entries()
    depot.append(after := note("after"))
    assert depot.entries() == [fast, after]


def test_what_is_not_there_is_not_found(depot: Depot) -> None:
    with pytest.raises(NotFound, match="no such entry"):
        depot.entry(new_id())
    with pytest.raises(NotFound, match="no such visit"):
        depot.visit_entries(new_id())
    assert depot.entries(pump="nobody") == []


@pytest.mark.parametrize("odd", ["", "'; drop table entries; --", "%", "\x00", "\ud800", "é" * 500])
def test_odd_names_to_look_for_find_nothing(depot: Depot, odd: str) -> None:
    depot.append(note())
    assert depot.entries(pump=odd) == []
    assert depot.entries(visit=odd) == []
    assert depot.entries(kinds=(odd,)) == []
    with pytest.raises(NotFound):
        depot.entry(odd)
    assert len(depot.entries()) == 1


def test_the_same_entry_again_changes_nothing(depot: Depot) -> None:
    first, second = note("one"), note("two")
    depot.append(first)
    depot.append(second, first, first)
    assert depot.entries() == [first, second]
    assert depot.merge([first, second]) == 0


def test_another_entry_under_a_kept_id_is_refused_whole(depot: Depot) -> None:
    kept = note("kept")
    depot.append(kept)
    other = note("new")
    forged = kept.model_copy(update={"who": "somebody else"})
    with pytest.raises(BadInput, match=f"{kept.id}.*differs"):
        depot.append(other, forged)
    assert depot.entries() == [kept]


def test_one_bad_entry_keeps_all_out(depot: Depot) -> None:
    torn = note().model_copy(update={"payload": "{"})
    with pytest.raises(BadInput, match="can't be read"):
        depot.append(note("good"), torn)
    assert depot.entries() == []


def test_entries_of_a_later_version_are_kept_and_handed_on(depot: Depot) -> None:
    later = note().model_copy(update={"kind": "hologram", "payload": '{"depth": 3}'})
    with pytest.raises(BadInput, match="does not know"):
        depot.append(later)
    assert depot.merge([later, note()]) == 2
    assert depot.entries()[0] == later


def test_no_entry_carries_what_a_database_can_t_hold() -> None:
    """PostgreSQL keeps no NUL in text; such an entry is refused before it gets there."""
    with pytest.raises(ValidationError, match="U\\+0000"):
        Entry.model_validate({**note().model_dump(), "kind": "hologram", "payload": "a\0b"})


def test_a_record_is_the_same_after_closing(depot_place: str) -> None:
    with Depot.open(depot_place) as depot:
        made = note()
        depot.append(made)
    with Depot.open(depot_place) as depot:
        assert depot.entries() == [made]


@costly(10)
@given(said=st.text(max_size=200), who=st.text(max_size=60))
def test_any_text_is_kept_as_data(depot: Depot, said: str, who: str) -> None:
    try:
        made = new_entry("complaint", Complaint(said=said), pump="p", visit=new_id(), who=who)
    except (ValueError, BadInput):
        return
    depot.append(made)
    assert depot.entry(made.id) == made


def test_threads_append_at_once(depot: Depot) -> None:
    """Writers that carry some of the same entries, in opposite orders, do not block each other."""
    shared = [note(str(n)) for n in range(20)]

    def write(number: int) -> None:
        own = note(f"own {number}")
        batch = [*shared, own]
        depot.append(*(batch if number % 2 else reversed(batch)))

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(write, range(16)))
    assert len(depot.entries()) == 36


def test_opening_at_once_makes_one_record(depot_place: str) -> None:
    gate = threading.Barrier(4)

    def enter(number: int) -> None:
        gate.wait()
        with Depot.open(depot_place) as depot:
            depot.append(note(str(number)))

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(enter, range(4)))
    with Depot.open(depot_place) as depot:
        assert len(depot.entries()) == 4


def test_two_of_one_id_in_one_go_are_refused_whole(depot: Depot) -> None:
    made = note("one")
    with pytest.raises(BadInput, match="differs"):
        depot.append(made, made.model_copy(update={"who": "somebody else"}))
    assert depot.entries() == []


def test_a_long_merge_is_one_transaction(depot: Depot) -> None:
    """The entry that does not fit comes batches later than the first ones written."""
    kept = note("kept")
    depot.append(kept)
    many = [note(str(n)) for n in range(1200)]
    with pytest.raises(BadInput):
        depot.merge([*many, kept.model_copy(update={"who": "other"})])
    assert depot.entries() == [kept]
    assert depot.merge([*many, kept]) == 1200
    assert depot.entries() == [kept, *many]


def test_a_row_spoilt_by_hand_says_which(depot: Depot) -> None:
    made, sound = note(), note("sound")
    depot.append(made, sound)
    with depot._writer.begin() as connection:
        connection.execute(
            text("update entries set pump = 'No Slug' where id = :made"), {"made": made.id}
        )
    assert depot.damaged == ()
    assert depot.entries() == [sound]
    assert [d.id for d in depot.damaged] == [made.id]
    with pytest.raises(StorageFailed, match=f"Entry {made.id} is damaged"):
        depot.entry(made.id)


@pytest.mark.postgresql
def test_postgresql_by_url_needs_a_folder_for_photos(
    postgresql_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("WETEND_PHOTOS", raising=False)
    with Depot.open(postgresql_url) as depot, pytest.raises(StorageFailed, match="WETEND_PHOTOS"):
        depot.photos.put(tiny_png())
    with Depot.open(postgresql_url, photos=tmp_path / "shelf") as depot:
        assert depot.photos.put(tiny_png()).sha256 in depot.photos
