"""Backups read back the same; torn, altered and hostile ones change nothing."""

from __future__ import annotations

import hashlib
import io
import json
import random
import resource
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from wetend.errors import BadInput, NotFound, StorageFailed, TooLarge
from wetend.pump.readings import Complaint, Note, VisitStart
from wetend.pump.toml import demo_pump
from wetend.records import backup as backup_module
from wetend.records.backup import back_up, restore
from wetend.records.entries import Entry, new_entry
from wetend.records.fold import fold_visit
from wetend.records.ids import new_id
from wetend.records.store import Depot

Members = dict[str, bytes]


def picture(colour: str) -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (4, 4), colour).save(file, "PNG")
    return file.getvalue()


def fill(depot: Depot) -> str:
    """A pump, a visit with text in many scripts, and two photos."""
    pump, visit = demo_pump("quay-air"), new_id()
    photos = [depot.photos.put(picture(colour)) for colour in ("red", "blue")]
    depot.append(
        new_entry("pump-described", pump, pump=pump.key),
        new_entry("visit-started", VisitStart(pump=pump.key), pump=pump.key, visit=visit),
        new_entry(
            "complaint", Complaint(said="stößt, 漏れる\nيسرب 🛠 </script>"), pump=pump.key,
            visit=visit, who="Å",
        ),
        *(new_entry("photo", photo, pump=pump.key, visit=visit) for photo in photos),
    )  # fmt: skip
    return visit


def content(depot: Depot) -> tuple[list[Entry], list[tuple[bytes, str]]]:
    return depot.entries(), [depot.photos.get(sha) for sha in depot.photos.hashes()]


@pytest.fixture
def saved(tmp_path: Path) -> Path:
    """A backup of a small record."""
    with Depot.open(tmp_path / "old" / "depot.sqlite3") as depot:
        fill(depot)
        back_up(depot, tmp_path / "saved.zip")
    return tmp_path / "saved.zip"


def unpack(path: Path) -> Members:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def pack(path: Path, members: Members) -> Path:
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return path


def test_a_backup_restores_to_the_same_record(depot: Depot, tmp_path: Path) -> None:
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


def test_a_restore_merges_with_what_is_there(depot: Depot, depot_place: str, saved: Path) -> None:
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
    assert [json.loads(line)["id"] for line in lines] == sorted(
        json.loads(line)["id"] for line in lines
    )
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


def test_missing_and_damaged_photos_are_named(tmp_path: Path) -> None:
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


@contextmanager
def largest_file(size: int) -> Iterator[None]:
    """Let the system refuse to write files longer than this, as a full disk would."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_full_disk_leaves_no_half_backup(tmp_path: Path) -> None:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        fill(depot)
        with largest_file(600), pytest.raises(StorageFailed, match=r"saved\.zip can't be written"):
            back_up(depot, tmp_path / "to" / "saved.zip")
    assert list((tmp_path / "to").iterdir()) == []


def test_a_backup_that_does_not_read_back_is_not_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
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


def refused(path: Path, *, match: str = "") -> None:
    """Restoring is refused and neither makes a record nor adds to one."""
    place = path.parent / "untouched.sqlite3"
    with pytest.raises(BadInput, match=match):
        restore(path, place)
    assert not place.exists()
    assert not place.with_suffix(".photos").exists()


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(spot=st.floats(0, 1, exclude_max=True), bits=st.integers(1, 255))
def test_an_altered_byte_is_refused_or_changes_nothing(saved: Path, spot: float, bits: int) -> None:
    """A few bytes of a zip, such as its dates, carry nothing of ours; all others are told."""
    data = bytearray(saved.read_bytes())
    data[int(spot * len(data))] ^= bits
    altered = saved.with_name("altered.zip")
    altered.write_bytes(data)
    place = saved.with_name(f"{new_id()}.sqlite3")
    with suppress(BadInput):
        restore(altered, place)
        with Depot.open(place) as new, Depot.open(saved.parent / "old/depot.sqlite3") as old:
            assert content(new) == content(old)


def test_most_altered_bytes_are_refused(saved: Path) -> None:
    """So that the test above can't pass by accepting everything."""
    chance = random.Random(7)
    whole = saved.read_bytes()
    told = 0
    for _ in range(100):
        data = bytearray(whole)
        data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
        saved.with_name("altered.zip").write_bytes(data)
        try:
            restore(saved.with_name("altered.zip"), saved.with_name(f"{new_id()}.sqlite3"))
        except BadInput:
            told += 1
    assert told > 75


@pytest.mark.parametrize("part", [0.0, 0.1, 0.5, 0.9, 0.999])
def test_a_torn_backup_is_refused(saved: Path, part: float) -> None:
    data = saved.read_bytes()
    saved.write_bytes(data[: int(len(data) * part)])
    refused(saved, match="torn or altered")


@pytest.mark.parametrize(
    "name",
    ["../evil.png", "/etc/passwd", "photos/../../evil.png", "..\\evil.png", "C:\\evil.png",
     "photos/", "photos/evil.png", "photos/" + "a" * 64 + ".exe", "entries.jsonl/x", "x" * 3000],
)  # fmt: skip
def test_a_name_that_is_not_ours_is_refused(saved: Path, name: str) -> None:
    refused(pack(saved, {**unpack(saved), name: b"evil"}), match="no backup holds")


def test_a_name_given_twice_is_refused(saved: Path) -> None:
    with zipfile.ZipFile(saved, "a") as archive, pytest.warns(UserWarning, match="Duplicate"):
        archive.writestr("entries.jsonl", b"")
    refused(saved, match="names a file twice")


def test_a_bomb_is_refused(saved: Path) -> None:
    members = unpack(saved)
    with zipfile.ZipFile(saved, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        archive.writestr("manifest.json", members["manifest.json"])
        with archive.open("entries.jsonl", "w") as lines:
            for _ in range(50):
                lines.write(bytes(1_000_000))
    with pytest.raises(TooLarge, match="unfold"):
        restore(saved, saved.with_name("new.sqlite3"))


def test_a_packed_photo_is_refused(saved: Path) -> None:
    """Photos are stored as they are, so a small file can't unfold to a large photo."""
    with zipfile.ZipFile(saved, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(f"photos/{'a' * 64}.png", bytes(10_000_000))
    refused(saved, match="unfold")


def lines_of(members: Members) -> list[bytes]:
    return members["entries.jsonl"].splitlines(keepends=True)


def with_lines(members: Members, lines: list[bytes], **manifest: Any) -> Members:
    """Members with other entries, and a manifest that vouches for them."""
    data = b"".join(lines)
    said = json.loads(members["manifest.json"])
    said.update(entries=len(lines), entries_sha256=hashlib.sha256(data).hexdigest(), **manifest)
    return {**members, "entries.jsonl": data, "manifest.json": json.dumps(said).encode()}


def _swap(members: Members) -> Members:
    first, second, *rest = lines_of(members)
    return with_lines(members, [second, first, *rest])


def _twice(members: Members) -> Members:
    return with_lines(members, [lines_of(members)[0], *lines_of(members)])


def _torn_line(members: Members) -> Members:
    return with_lines(members, [*lines_of(members)[:-1], b'{"id": "01'])


def _long_line(members: Members) -> Members:
    return with_lines(members, [b" " * 3_000_000 + lines_of(members)[0]])


def _one_less(members: Members) -> Members:
    return {**members, "entries.jsonl": b"".join(lines_of(members)[:-1])}


def _other_text(members: Members) -> Members:
    return {**members, "entries.jsonl": members["entries.jsonl"].replace(b"quay", b"yard")}


def _no_manifest(members: Members) -> Members:
    return {n: d for n, d in members.items() if n != "manifest.json"}


def _no_entries(members: Members) -> Members:
    return {n: d for n, d in members.items() if n != "entries.jsonl"}


def _odd_manifest(members: Members) -> Members:
    return {**members, "manifest.json": b"[]"}


def _later_layout(members: Members) -> Members:
    return with_lines(members, lines_of(members), layout=2)


def _another_photo(members: Members) -> Members:
    name = next(n for n in members if n.startswith("photos/"))
    return {**members, name: picture("yellow")}


def _lost_photo(members: Members) -> Members:
    name = next(n for n in members if n.startswith("photos/"))
    return {n: d for n, d in members.items() if n != name}


@pytest.mark.parametrize(
    ("alter", "told"),
    [
        (_swap, "out of order"), (_twice, "out of order"), (_torn_line, "can't be read"),
        (_long_line, "can't be read"), (_one_less, "not those it counts"),
        (_other_text, "not those it counts"), (_no_manifest, "no manifest"),
        (_no_entries, "lacks files"), (_odd_manifest, "manifest can't be read"),
        (_later_layout, "later version"), (_another_photo, "was altered"),
        (_lost_photo, "lacks files"),
    ],
)  # fmt: skip
def test_an_altered_backup_is_refused(
    saved: Path, alter: Callable[[Members], Members], told: str
) -> None:
    refused(pack(saved, alter(unpack(saved))), match=told)


def test_an_untouched_repack_is_taken(saved: Path) -> None:
    """So that the test above refuses for what was altered, not for being packed anew."""
    members = unpack(saved)
    pack(saved, with_lines(members, lines_of(members)))
    assert restore(saved, saved.with_name("new.sqlite3")).new_entries == 5


def test_nothing_is_half_restored_where_one_entry_differs(
    depot: Depot, depot_place: str, saved: Path
) -> None:
    last = Entry.model_validate_json(lines_of(unpack(saved))[-1])
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
    members = unpack(saved)
    evil = b"\x89PNG\r\n\x1a\n<script>alert(1)</script>"
    sha = hashlib.sha256(evil).hexdigest()
    photos = {**json.loads(members["manifest.json"])["photos"], sha: len(evil)}
    members = with_lines(members, lines_of(members), photos=photos)
    pack(saved, {**members, f"photos/{sha}.png": evil})
    with pytest.raises(BadInput, match="torn or damaged"):
        restore(saved, depot_place)
    assert content(depot) == ([], [])
    assert [p for p in depot.photos.folder.rglob("*") if p.is_file()] == []


@pytest.mark.parametrize("data", [b"", b"hello", b"PK\x03\x04", b"PK\x05\x06" + bytes(18)])
def test_what_is_no_backup_is_refused(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "x.zip").write_bytes(data)
    refused(tmp_path / "x.zip", match="no backup|torn")


def test_a_backup_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match=r"no file none\.zip"):
        restore(tmp_path / "none.zip", tmp_path / "new.sqlite3")
    with pytest.raises(StorageFailed, match="can't be opened"):
        restore(tmp_path, tmp_path / "new.sqlite3")
    with pytest.raises(BadInput):
        restore("a\0b", tmp_path / "new.sqlite3")
