"""Torn, altered and hostile backups are refused in a sentence and change nothing."""

from __future__ import annotations

import hashlib
import json
import random
import zipfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from restoring import restore

from wetend.errors import BadInput, TooLarge
from wetend.records.entries import Entry
from wetend.records.ids import new_id
from wetend.records.store import Depot

Members = dict[str, bytes]


def content(depot: Depot) -> tuple[list[Entry], list[tuple[bytes, str]]]:
    return depot.entries(), [depot.photos.get(sha) for sha in depot.photos.hashes()]


def unpack(path: Path) -> Members:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def pack(path: Path, members: Members) -> Path:
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return path


def refused(path: Path, *, match: str = "") -> None:
    """Restoring is refused and neither makes a record nor adds to one."""
    place = path.parent / "untouched.sqlite3"
    with pytest.raises(BadInput, match=match):
        restore(path, place)
    assert not place.exists()
    assert not place.with_suffix(".photos").exists()


@costly(37)
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
    refused(saved, match="damaged or altered")


@pytest.mark.parametrize(
    "name",
    ["../evil.png", "/etc/passwd", "photos/../../evil.png", "..\\evil.png", "C:\\evil.png",
     "photos/", "photos/evil.png", "photos/" + "a" * 64 + ".exe", "entries.jsonl/x", "x" * 3000],
)  # fmt: skip
def test_a_name_that_is_not_ours_is_refused(saved: Path, name: str) -> None:
    refused(pack(saved, {**unpack(saved), name: b"evil"}), match="unexpected file")


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
    with pytest.raises(TooLarge, match="unpack"):
        restore(saved, saved.with_name("new.sqlite3"))


def test_a_packed_photo_is_refused(saved: Path) -> None:
    """Photos are stored as they are, so a small file can't unfold to a large photo."""
    with zipfile.ZipFile(saved, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(f"photos/{'a' * 64}.png", bytes(10_000_000))
    refused(saved, match="unpack")


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
    return with_lines(members, lines_of(members), layout=3)


def _another_photo(members: Members) -> Members:
    one, other = (n for n in members if n.startswith("photos/"))
    return {**members, one: members[other]}


def _lost_photo(members: Members) -> Members:
    name = next(n for n in members if n.startswith("photos/"))
    return {n: d for n, d in members.items() if n != name}


@pytest.mark.parametrize(
    ("alter", "told"),
    [
        (_swap, "out of order"), (_twice, "out of order"), (_torn_line, "can't be read"),
        (_long_line, "can't be read"), (_one_less, "not those it counts"),
        (_other_text, "Entry .* was altered"), (_no_manifest, "no manifest"),
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


@pytest.mark.parametrize("data", [b"", b"hello", b"PK\x03\x04", b"PK\x05\x06" + bytes(18)])
def test_what_is_no_backup_is_refused(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "x.zip").write_bytes(data)
    refused(tmp_path / "x.zip", match="not a backup")


def test_a_backup_of_an_earlier_version_is_taken(saved: Path, tmp_path: Path) -> None:
    """Layout 1: the entries alone, without checksums."""
    members = unpack(saved)
    plain = [json.dumps(json.loads(line)["entry"]).encode() + b"\n" for line in lines_of(members)]
    earlier = pack(saved, with_lines(members, plain, layout=1))
    got = restore(earlier, tmp_path / "new.sqlite3")
    assert (got.new_entries, got.new_photos) == (5, 2)
