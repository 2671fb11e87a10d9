"""Exchange with whatever holds the other depot: a folder, a file, another kind of database."""

from __future__ import annotations

from pathlib import Path

import pytest

from wetend.errors import BadInput, NotFound
from wetend.pump.readings import Note
from wetend.records.entries import new_entry
from wetend.records.exchange.union import Exchanged
from wetend.records.store import Depot
from wetend.workflows.desk import Desk
from wetend.workflows.exchange import ON_A_STICK, with_other


def test_a_stick_carries_between_each_kind_of_database(depot: Depot, tmp_path: Path) -> None:
    stick, van = tmp_path / "stick", tmp_path / "van.sqlite3"
    stick.mkdir()
    depot.append(new_entry("note", Note(text="at the depot"), pump="p"))
    with Depot.open(van) as own:
        own.append(new_entry("note", Note(text="in the van"), pump="p"))
        assert with_other(Desk(own), str(stick)).sent == 1
    assert with_other(Desk(depot), str(stick)) == Exchanged(received=1, sent=1)
    with Depot.open(van) as own:
        assert with_other(Desk(own), str(stick)).received == 1
        assert own.entries() == depot.entries()
    assert (stick / ON_A_STICK).is_file()


def test_progress_ends_with_all_pieces_done(tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    with Depot.open(tmp_path / "a.sqlite3") as depot:
        depot.append(*(new_entry("note", Note(text=str(n)), pump="p") for n in range(450)))
        with_other(
            Desk(depot), str(tmp_path / "b.sqlite3"), create=True,
            progress=lambda done, of: told.append((done, of)),
        )  # fmt: skip
    assert told == [(200, 450), (400, 450), (450, 450)]


def test_a_depot_is_not_exchanged_with_itself_nor_with_nothing(tmp_path: Path) -> None:
    with Depot.open(tmp_path / "a.sqlite3") as depot:
        (tmp_path / "same.sqlite3").symlink_to(tmp_path / "a.sqlite3")
        for same in ("a.sqlite3", "same.sqlite3"):
            with pytest.raises(BadInput, match="this very depot"):
                with_other(Desk(depot), str(tmp_path / same))
        with pytest.raises(NotFound, match="There is no depot at b"):
            with_other(Desk(depot), str(tmp_path / "b.sqlite3"))
        assert not (tmp_path / "b.sqlite3").exists()
