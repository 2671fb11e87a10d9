"""Depots that exchange end up the same, whatever is cut, repeated or out of order."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Sequence
from contextlib import suppress
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)
from sqlalchemy import text

from wetend.errors import Refused, StorageFailed
from wetend.pump.readings import Note, Photo
from wetend.records.entries import Entry, new_entry
from wetend.records.exchange.sides import DepotSide
from wetend.records.exchange.union import Exchanged, exchange
from wetend.records.fold import fold_visit
from wetend.records.ids import IdMaker
from wetend.records.store import Depot


def note(said: str = "hello", **other: Any) -> Entry:
    return new_entry("note", Note(text=said), pump="p", **other)


def united(one: Depot, other: Depot) -> Exchanged:
    return exchange(DepotSide(one), DepotSide(other))


@pytest.fixture
def other(tmp_path: Path) -> Any:
    with Depot.open(tmp_path / "other" / "depot.sqlite3") as opened:
        yield opened


def test_each_gets_what_it_lacks_on_each_kind_of_database(
    depot: Depot, other: Depot, fill: Callable[[Depot], str]
) -> None:
    visit = fill(depot)
    elsewhere = [note(str(n)) for n in range(450)]
    other.append(*elsewhere)
    found = united(depot, other)
    assert (found.received, found.sent) == (450, 5)
    assert (found.photos_received, found.photos_sent) == (0, 2)
    assert found.whole
    assert depot.entries() == other.entries()
    assert list(depot.photos.hashes()) == list(other.photos.hashes())
    assert fold_visit(depot.visit_entries(visit)) == fold_visit(other.visit_entries(visit))
    assert united(depot, other) == Exchanged()  # twice is once
    assert united(other, depot) == Exchanged()


def test_what_is_written_after_an_exchange_comes_after_all_that_came(
    depot: Depot, other: Depot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However far the other device's clock ran ahead."""
    monkeypatch.setattr("wetend.records.ids._MAKER", IdMaker())
    with monkeypatch.context() as ahead:
        ahead.setattr("wetend.records.ids.time.time_ns", lambda: 2_000_000_000_000_000_000)
        theirs = note("by a clock that runs ahead")
    other.append(theirs)
    monkeypatch.setattr("wetend.records.ids._MAKER", IdMaker())  # another program than theirs
    assert note().id < theirs.id
    united(depot, other)
    assert note("what is known better, here").id > theirs.id


def test_a_photo_put_in_place_of_another_brings_the_other_back_nowhere(
    depot: Depot, other: Depot, fill: Callable[[Depot], str]
) -> None:
    visit = fill(depot)
    united(depot, other)
    kept = depot.entries(kinds=("photo",))
    old = Photo.model_validate_json(kept[0].payload)
    picture = depot.photos.get(old.sha256)[0] + b"\0"  # another hash, the same picture
    new = depot.photos.put(picture)
    depot.append(
        new_entry("photo", new.model_copy(update={"in_place_of": old.sha256}), pump=kept[0].pump,
                  visit=visit, corrects=kept[0].id)
    )  # fmt: skip
    depot.photos.remove(old.sha256)
    united(other, depot)
    assert new.sha256 in other.photos
    united(depot, other)
    assert old.sha256 not in depot.photos


def test_an_entry_damaged_on_one_side_is_mended_by_the_other(depot: Depot, other: Depot) -> None:
    depot.append(note("sound"), note("spoilt"))
    united(depot, other)
    spoilt = other.entries()[1]
    with other.writing() as connection:
        connection.execute(text("UPDATE entries SET payload = '{}', checksum = 'none' "
                                f"WHERE id = '{spoilt.id}'"))  # fmt: skip
    assert len(other.entries()) == 1
    found = united(depot, other)
    assert found.sent == 1
    assert other.entries() == depot.entries()


def test_two_sound_entries_under_one_id_stay_and_are_named(depot: Depot, other: Depot) -> None:
    mine = note("mine")
    depot.append(mine, note("next"))
    other.append(mine.model_copy(update={"payload": Note(text="theirs").model_dump_json()}))
    found = united(depot, other)
    assert found.differing == [mine.id]
    assert not found.whole
    assert depot.entry(mine.id) == mine
    assert "theirs" in other.entry(mine.id).payload
    assert len(other.entries()) == 2


def test_invented_data_never_mixes_with_a_real_record(depot: Depot, other: Depot) -> None:
    other.append(note())
    other.call_demo()
    with pytest.raises(Refused, match="demo depot"):
        united(depot, other)
    assert depot.entries() == []


class Cut(DepotSide):
    """A side whose connection is cut after so many calls."""

    def __init__(self, depot: Depot, calls: int) -> None:
        super().__init__(depot)
        self.left = calls

    def _called(self) -> None:
        if self.left <= 0:
            raise StorageFailed("cut")
        self.left -= 1

    def tallies(self, *given: Any) -> Any:
        self._called()
        return super().tallies(*given)

    def listed(self, *given: Any) -> Any:
        self._called()
        return super().listed(*given)

    def entries(self, ids: Sequence[str]) -> list[Entry]:
        self._called()
        return super().entries(ids)

    def keep(self, entries: Sequence[Entry]) -> tuple[int, tuple[str, ...]]:
        self._called()
        kept = super().keep(entries)
        if self.left <= 0:
            raise StorageFailed("cut after it was kept, before it was said")
        return kept


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("empty") / "depot.sqlite3"
    Depot.open(place).close()
    return place


DEPOTS = st.integers(0, 2)


class Devices(RuleBasedStateMachine):
    """Three devices that write, correct, exchange in any order, are cut off and do it again."""

    template: Path

    @initialize()
    def begin(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="wetend-exchange-"))
        self.depots = []
        for number in range(3):
            place = self.folder / f"{number}.sqlite3"
            shutil.copyfile(self.template, place)
            self.depots.append(Depot.open(place))
        self.written: dict[str, Entry] = {}

    @rule(at=DEPOTS, count=st.integers(1, 60))
    def write(self, at: int, count: int) -> None:
        made = [note(f"{at} {n}", device=str(at)) for n in range(count)]
        self.depots[at].append(*made)
        self.written |= {entry.id: entry for entry in made}

    @rule(at=DEPOTS)
    def correct(self, at: int) -> None:
        known = self.depots[at].entries()
        if known:
            made = note("corrected", corrects=known[-1].id)
            self.depots[at].append(made)
            self.written[made.id] = made

    @rule(one=DEPOTS, other=DEPOTS, calls=st.integers(0, 9))
    def exchange_cut(self, one: int, other: int, calls: int) -> None:
        if one != other:
            with suppress(StorageFailed):
                exchange(DepotSide(self.depots[one]), Cut(self.depots[other], calls))

    @rule(one=DEPOTS, other=DEPOTS)
    def exchange_again(self, one: int, other: int) -> None:
        if one != other:
            exchange(DepotSide(self.depots[one]), DepotSide(self.depots[other]))
            assert self.depots[one].entries() == self.depots[other].entries()

    @rule(one=DEPOTS, other=DEPOTS)
    def same_piece_twice_and_backwards(self, one: int, other: int) -> None:
        some = self.depots[one].entries()[:5][::-1]
        for _ in range(2):
            assert DepotSide(self.depots[other]).keep(some)[1] == ()

    @invariant()
    def nothing_but_what_was_written(self) -> None:
        for depot in getattr(self, "depots", ()):
            assert all(self.written[e.id] == e for e in depot.entries())

    def teardown(self) -> None:
        if not hasattr(self, "depots"):
            return
        for one, other in pairwise((0, 1, 2, 0, 1)):
            exchange(DepotSide(self.depots[one]), DepotSide(self.depots[other]))
        for depot in self.depots:
            assert {e.id: e for e in depot.entries()} == self.written
            depot.close()
        shutil.rmtree(self.folder)


def test_any_devices_end_with_the_same_record(empty: Path) -> None:
    Devices.template = empty
    run_state_machine_as_test(Devices, settings=settings(max_examples=15, stateful_step_count=12))
