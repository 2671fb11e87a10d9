"""Photos: only whole pictures of fair size, kept under their hash, never under people's names."""

from __future__ import annotations

import hashlib
import struct
import zlib
from contextlib import suppress
from io import BytesIO
from pathlib import Path

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from wetend.errors import BadInput, NotFound, StorageFailed, TooLarge
from wetend.records.photos import MOST_BYTES, PhotoShelf, check_photo


def picture(form: str, size: tuple[int, int] = (40, 30), mode: str = "RGB") -> bytes:
    file = BytesIO()
    made = Image.effect_noise(size, 60).convert(mode)
    made.save(file, form)
    return file.getvalue()


PICTURES = {
    "image/jpeg": picture("JPEG"), "image/png": picture("PNG"), "image/webp": picture("WEBP")
}  # fmt: skip


def chunk(kind: bytes, data: bytes) -> bytes:
    """A PNG chunk: length, type, data, CRC (PNG specification, section 5.3)."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png_claiming(width: int, height: int) -> bytes:
    """A few bytes of PNG that say they unfold to a picture of this size."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = zlib.compress(b"\0" * 100)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


@pytest.fixture
def shelf(tmp_path: Path) -> PhotoShelf:
    return PhotoShelf(tmp_path / "photos")


@pytest.mark.parametrize("media", PICTURES)
def test_a_photo_is_kept_under_its_hash(shelf: PhotoShelf, media: str) -> None:
    data = PICTURES[media]
    photo = shelf.put(data)
    assert photo.sha256 == hashlib.sha256(data).hexdigest()
    assert photo.media == media
    assert shelf.get(photo.sha256) == (data, media)
    assert photo.sha256 in shelf
    assert list(shelf.hashes()) == [photo.sha256]
    names = [p.name for p in shelf.folder.rglob("*") if p.is_file()]
    assert [n.split(".")[0] for n in names] == [photo.sha256]


def test_a_photo_put_twice_is_kept_once(shelf: PhotoShelf) -> None:
    assert shelf.put(PICTURES["image/png"]) == shelf.put(PICTURES["image/png"])
    assert len(list(shelf.hashes())) == 1


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
def test_every_kind_of_png_is_taken(mode: str) -> None:
    file = BytesIO()
    Image.new(mode, (8, 8)).save(file, "PNG")
    assert check_photo(file.getvalue()) == "image/png"


@pytest.mark.parametrize(
    "data",
    [
        b"", b"\xff", b"hello", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"%PDF-1.7",
        b"GIF89a" + bytes(40), b"BM" + bytes(60), b"MM\x00*" + bytes(60),
        b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF\x00\x00\x00\x00WEBP",
        b"\xff\xd8\xff\xe0<script>alert(1)</script>", b"\x89PNG\r\n\x1a\n" + bytes(200),
    ],
)  # fmt: skip
def test_what_is_no_photo_is_refused(shelf: PhotoShelf, data: bytes) -> None:
    with pytest.raises(BadInput):
        shelf.put(data)
    assert list(shelf.hashes()) == []


def test_other_formats_are_refused_whatever_they_are() -> None:
    for form in ("GIF", "BMP", "TIFF", "ICO", "PPM"):
        with pytest.raises(BadInput, match="JPEG, PNG or WebP"):
            check_photo(picture(form))


@pytest.mark.parametrize("media", PICTURES)
def test_a_torn_photo_is_refused(media: str) -> None:
    whole = picture(media.split("/")[1].upper(), (200, 150))
    for part in (0.3, 0.6, 0.9):
        with pytest.raises(BadInput, match="photo is damaged"):
            check_photo(whole[: int(len(whole) * part)])


def test_a_photo_of_too_many_bytes_is_refused() -> None:
    with pytest.raises(TooLarge, match="15 MB"):
        check_photo(b"\xff\xd8\xff" + bytes(MOST_BYTES))


@pytest.mark.parametrize("side", [8001, 9500, 13000, 14000, 2**31 - 1])
def test_a_small_file_that_unfolds_to_a_huge_picture_is_refused(side: int) -> None:
    """Whether the picture library warns, refuses or says nothing at that size."""
    with pytest.raises(BadInput) as refused:
        check_photo(png_claiming(side, side))
    assert isinstance(refused.value, TooLarge) or side > 2**30


def test_a_text_bomb_in_a_photo_is_refused() -> None:
    """A compressed comment that unfolds to 200 MB (PNG specification, section 11.3.3.3, zTXt)."""
    bomb = chunk(b"zTXt", b"c\0\0" + zlib.compress(bytes(200_000_000), 9))
    good = PICTURES["image/png"]
    with pytest.raises(BadInput):
        check_photo(good[:33] + bomb + good[33:])


@costly(37)
@given(
    media=st.sampled_from(sorted(PICTURES)),
    spoil=st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 255)), min_size=1, max_size=8),
)
def test_spoilt_bytes_never_end_in_a_traceback(media: str, spoil: list[tuple[int, int]]) -> None:
    data = bytearray(PICTURES[media])
    for where, value in spoil:
        data[where % len(data)] = value
    with suppress(BadInput):
        assert check_photo(bytes(data)) == media


@pytest.mark.parametrize(
    "sha",
    ["", "x", "../../etc/passwd", "a" * 63, "A" * 64, "g" * 64, "a" * 64, "a" * 64 + "\n", "\0"],
)
def test_only_a_hash_finds_a_photo(shelf: PhotoShelf, sha: str) -> None:
    shelf.put(PICTURES["image/png"])
    assert sha not in shelf
    with pytest.raises(NotFound):
        shelf.get(sha)


def test_a_photo_altered_on_disk_is_not_shown(shelf: PhotoShelf) -> None:
    photo = shelf.put(PICTURES["image/png"])
    path = shelf.path_of(photo.sha256, photo.media)
    path.write_bytes(PICTURES["image/png"] + b"more")
    with pytest.raises(StorageFailed, match="damaged on disk"):
        shelf.get(photo.sha256)
    assert shelf.put(PICTURES["image/png"]) == photo
    assert shelf.get(photo.sha256)[0] == PICTURES["image/png"]


def test_strangers_files_in_the_folder_are_not_photos(shelf: PhotoShelf) -> None:
    photo = shelf.put(PICTURES["image/png"])
    folder = shelf.path_of(photo.sha256, photo.media).parent
    for name in (".0123.part", "holiday.jpg", "b" * 64 + ".exe", "thumbs.db"):
        (folder / name).write_bytes(b"x")
    assert list(shelf.hashes()) == [photo.sha256]


def test_photos_put_aside_are_kept_together_or_not_at_all(shelf: PhotoShelf) -> None:
    there = shelf.put(PICTURES["image/png"])
    with suppress(KeyboardInterrupt), shelf.staged() as stage:
        stage.put(PICTURES["image/jpeg"])
        raise KeyboardInterrupt
    assert list(shelf.hashes()) == [there.sha256]
    with shelf.staged() as stage:
        for data in PICTURES.values():
            stage.put(data)
        assert list(shelf.hashes()) == [there.sha256]
        stage.keep()
    assert len(stage.moved) == 2
    assert len(list(shelf.hashes())) == 3
    assert [p.name for p in shelf.folder.iterdir() if p.name.startswith(".")] == []


def test_a_shelf_that_can_t_be_written_says_so(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(StorageFailed):
        PhotoShelf(tmp_path / "file").put(PICTURES["image/png"])


def test_photos_are_their_owner_s_alone(shelf: PhotoShelf) -> None:
    photo = shelf.put(PICTURES["image/png"])
    path = shelf.path_of(photo.sha256, photo.media)
    assert path.stat().st_mode & 0o777 == 0o600
    assert path.parent.stat().st_mode & 0o777 == 0o700
    assert shelf.folder.stat().st_mode & 0o777 == 0o700
