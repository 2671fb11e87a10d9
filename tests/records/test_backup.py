"""Backups read back the same, and a restore brings all of one or nothing."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from restoring import restore

from wetend.errors import BadInput, NotFound, StorageFailed
from wetend.pump.readings import Note
from wetend.records import backup as backup_module
from wetend.records.backup import back_up
from wetend.records.entries import Entry, new_entry
from wetend.records.fold import fold_visit
from wetend.records.store import Depot

Members = dict[str, bytes]
Fill = Callable[[Depot], str]


def content(depot: Depot) -> tuple[list[Entry], list[tuple[bytes, str]]]:
    return depot.entries(), [depot.photos.get(sha) for sha in depot.photos.hashes()]


def unpack(path: Path) -> Members:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_a_backup_restores_to_the_same_record(depot: Depot, tmp_path: Path, fill: Fill) -> None:
    visit = fill(depot)
    made = back_up(depot, tmp_path / "b" / "saved.zip")
    assert (made.entries, made.photos, made.missing) == (5, 2, ())
    place = tmp_path / "new" / "depot.sqlite3"
    got = restore(made.path, place, photos=tmp_path / "new photos")
    assert (got.entries, got.new_entries, got.photos, got.new_photos) == (5, 5, 2, 2)
    with Depot.open(place, photos=tmp_path / "new photos") as again:
        assert content(again) == content(depot)
        assert fold_visit(again.visit_entries(visit)) == fold_visit(depot.visit_entries(visit))


def test_a_backup_restores_to_either_database(depot_place: str, saved: Path) -> None:
    restore(saved, depot_place)
    with Depot.open(depot_place) as depot, Depot.open(saved.parent / "old/depot.sqlite3") as old:
        assert content(depot) == content(old)


def test_restoring_twice_changes_nothing(depot_place: str, saved: Path) -> None:
    restore(saved, depot_place)
    with Depot.open(depot_place) as depot:
        before = content(depot)
    again = restore(saved, depot_place)
    assert (again.entries, again.new_entries, again.photos, again.new_photos) == (5, 0, 2, 0)
    with Depot.open(depot_place) as depot:
        assert content(depot) == before


def test_a_restore_merges_with_what_is_there(
    depot: Depot, depot_place: str, saved: Path, picture: Callable[[str], bytes]
) -> None:
    own = new_entry("note", Note(text="own"), pump="p")
    depot.append(own)
    own_photo = depot.photos.put(picture("green"))
    restore(saved, depot_place)
    assert own in depot.entries()
    assert len(depot.entries()) == 6
    assert own_photo.sha256 in depot.photos
    assert len(list(depot.photos.hashes())) == 3


def test_the_backup_itself_is_as_documented(saved: Path) -> None:
    members = unpack(saved)
    manifest = json.loads(members["manifest.json"])
    lines = members["entries.jsonl"].splitlines()
    assert manifest["entries"] == len(lines) == 5
    assert manifest["entries_sha256"] == hashlib.sha256(members["entries.jsonl"]).hexdigest()
    ids = [json.loads(line)["entry"]["id"] for line in lines]
    assert ids == sorted(ids)
    assert all(len(json.loads(line)["checksum"]) == 32 for line in lines)
    for name in members:
        if name.startswith("photos/"):
            sha = hashlib.sha256(members[name]).hexdigest()
            assert name == f"photos/{sha}.png"
            assert manifest["photos"][sha] == len(members[name])


def test_a_backup_never_takes_another_file_s_name(saved: Path) -> None:
    before = saved.read_bytes()
    with (
        Depot.open(saved.parent / "old" / "depot.sqlite3") as depot,
        pytest.raises(BadInput, match=r"already a file saved\.zip"),
    ):
        back_up(depot, saved)
    assert saved.read_bytes() == before


def test_missing_and_damaged_photos_are_named(tmp_path: Path, fill: Fill) -> None:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        fill(depot)
        one, other = depot.photos.hashes()
        depot.photos.path_of(one, "image/png").write_bytes(b"spoilt")
        depot.photos.path_of(other, "image/png").unlink()
        made = back_up(depot, tmp_path / "saved.zip")
    assert (made.entries, made.photos, made.missing) == (5, 0, (one, other))
    assert restore(tmp_path / "saved.zip", tmp_path / "new.sqlite3").missing == (one, other)


def test_what_a_later_version_wrote_goes_through_whole(tmp_path: Path) -> None:
    later = new_entry("note", Note(text="x"), pump="p").model_copy(update={"kind": "hologram"})
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        depot.merge([later])
        back_up(depot, tmp_path / "saved.zip")
    assert restore(tmp_path / "saved.zip", tmp_path / "new.sqlite3").unread == 1
    with Depot.open(tmp_path / "new.sqlite3") as depot:
        assert depot.entries() == [later]


def test_a_full_disk_leaves_no_half_backup(tmp_path: Path, fill: Fill, largest_file: Any) -> None:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        fill(depot)
        with largest_file(600), pytest.raises(StorageFailed, match=r"saved\.zip can't be written"):
            back_up(depot, tmp_path / "to" / "saved.zip")
    assert list((tmp_path / "to").iterdir()) == []


def test_a_backup_that_does_not_read_back_is_not_kept(
    tmp_path: Path, fill: Fill, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that swaps a byte after it was written."""
    write = backup_module._write

    def spoil(depot: Depot, file: Any) -> Any:
        written = write(depot, file)
        file.seek(100)
        file.write(b"\xff\x00\xff")
        return written

    monkeypatch.setattr(backup_module, "_write", spoil)
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        fill(depot)
        with pytest.raises(StorageFailed, match="does not read back"):
            back_up(depot, tmp_path / "to" / "saved.zip")
    assert list((tmp_path / "to").iterdir()) == []


def test_nothing_is_half_restored_where_one_entry_differs(
    depot: Depot, depot_place: str, saved: Path
) -> None:
    with Depot.open(saved.parent / "old/depot.sqlite3") as old:
        last = old.entries()[-1]
    depot.append(last.model_copy(update={"who": "somebody else"}))
    before = content(depot)
    with pytest.raises(BadInput, match="differs"):
        restore(saved, depot_place)
    assert content(depot) == before
    assert [p for p in depot.photos.folder.rglob("*") if p.is_file()] == []


def test_nothing_is_half_restored_where_one_photo_is_none(
    depot: Depot, depot_place: str, saved: Path
) -> None:
    """A file that is named by its hash and counted, but is no picture."""
    evil = b"\x89PNG\r\n\x1a\n<script>alert(1)</script>"
    sha = hashlib.sha256(evil).hexdigest()
    members = unpack(saved)
    manifest = json.loads(members["manifest.json"])
    manifest["photos"][sha] = len(evil)
    members |= {"manifest.json": json.dumps(manifest).encode(), f"photos/{sha}.png": evil}
    with zipfile.ZipFile(saved, "w") as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    with pytest.raises(BadInput, match="photo is damaged"):
        restore(saved, depot_place)
    assert content(depot) == ([], [])
    assert [p for p in depot.photos.folder.rglob("*") if p.is_file()] == []


def test_a_backup_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match=r"no file none\.zip"):
        restore(tmp_path / "none.zip", tmp_path / "new.sqlite3")
    with pytest.raises(StorageFailed, match="can't be opened"):
        restore(tmp_path, tmp_path / "new.sqlite3")
    with pytest.raises(BadInput):
        restore("a\0b", tmp_path / "new.sqlite3")
