"""Where a photo was taken is taken out of its file, and the picture stays as it was."""

from __future__ import annotations

import struct
import zlib
from contextlib import suppress
from io import BytesIO

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from phone_photos import ON_ITS_SIDE, PHOTOS, PLACE, TAKEN, notes
from PIL import Image, ImageOps

from wetend.errors import BadInput
from wetend.records.photo_notes import without_location
from wetend.records.photos import check_photo


def pixels(data: bytes, *, turned: bool = False) -> bytes:
    with Image.open(BytesIO(data)) as picture:
        return (ImageOps.exif_transpose(picture) if turned else picture).convert("RGB").tobytes()


def inflated(data: bytes) -> bytes:
    """A PNG's compressed texts unfolded after it, so that a place in them is found."""
    found, at = [data], 8
    while data[:4] == b"\x89PNG" and at + 8 <= len(data):
        length, kind = struct.unpack_from(">I4s", data, at)
        if kind == b"zTXt":
            found.append(zlib.decompress(data[at + 8 : at + 8 + length].split(b"\0", 1)[1][1:]))
        at += 12 + length
    return b"".join(found)


@pytest.mark.parametrize("kind", PHOTOS)
def test_no_trace_of_the_place_is_left(kind: str) -> None:
    made = PHOTOS[kind]()
    assert PLACE in inflated(made)  # else this test would see nothing
    kept = without_location(made)
    assert PLACE not in inflated(kept)
    assert b"GPS" not in kept
    with Image.open(BytesIO(kept)) as picture:
        assert dict(picture.getexif().get_ifd(0x8825)) == {}
        assert not picture.info.get("xmp")
        assert not picture.info.get("comment")
        assert getattr(picture, "n_frames", 1) == 1


@pytest.mark.parametrize("kind", PHOTOS)
def test_the_picture_its_colours_its_turn_and_its_time_stay(kind: str) -> None:
    made = PHOTOS[kind]()
    kept = without_location(made)
    assert check_photo(kept) == check_photo(made)
    assert pixels(kept) == pixels(made)
    assert pixels(kept, turned=True) == pixels(made, turned=True)
    with Image.open(BytesIO(kept)) as picture, Image.open(BytesIO(made)) as before:
        assert picture.info.get("icc_profile") == before.info.get("icc_profile")
        read = picture.getexif()
        assert (read[0x0112], read[0x0132]) == (ON_ITS_SIDE, TAKEN)
        assert dict(read.get_ifd(0x8769)) == {0x9003: TAKEN, 0xA001: 1}
        assert ImageOps.exif_transpose(picture).size == (40, 60)


@pytest.mark.parametrize("turn", range(10))
@pytest.mark.parametrize("colours", [0, 1, 2, 3, 0xFFFF])
def test_every_turn_and_colour_space_there_is_stays_and_nothing_else(
    turn: int, colours: int
) -> None:
    """Exif 2.32: turns are 1 to 8; colours 1 (sRGB), 0xFFFF (another), and by custom 2 (Adobe)."""
    said = Image.Exif()
    said[0x0112] = turn
    said.get_ifd(0x8769)[0xA001] = colours
    file = BytesIO()
    Image.new("RGB", (8, 8)).save(file, "JPEG", exif=said)
    with Image.open(BytesIO(without_location(file.getvalue()))) as picture:
        read = picture.getexif()
        assert read.get(0x0112) == (turn if 1 <= turn <= 8 else None)
        assert read.get_ifd(0x8769).get(0xA001) == (colours if colours in (1, 2, 0xFFFF) else None)


@pytest.mark.parametrize("kind", PHOTOS)
def test_done_again_it_changes_nothing_more(kind: str) -> None:
    kept = without_location(PHOTOS[kind]())
    assert without_location(kept) == kept


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_photo_without_notes_stays_byte_for_byte(form: str) -> None:
    file = BytesIO()
    Image.linear_gradient("L").convert("RGB").save(file, form)
    assert without_location(file.getvalue()) == file.getvalue()


def test_a_lossless_picture_with_shades_stays_as_it_is() -> None:
    file = BytesIO()
    made = Image.linear_gradient("L").convert("RGBA").resize((61, 41))
    made.putalpha(Image.radial_gradient("L").resize((61, 41)))
    made.save(file, "WEBP", lossless=True, exif=notes())
    kept = without_location(file.getvalue())
    assert len(kept) < len(file.getvalue())
    with Image.open(BytesIO(kept)) as picture, Image.open(BytesIO(file.getvalue())) as before:
        assert picture.mode == "RGBA"
        assert picture.tobytes() == before.tobytes()


@pytest.mark.parametrize("kind", PHOTOS)
def test_a_torn_photo_is_still_seen_to_be_torn(kind: str) -> None:
    """Cut off within the picture: taking notes out must not make it look whole."""
    clean = without_location(PHOTOS[kind]())
    for part in (0.5, 0.7, 0.9):
        with pytest.raises(BadInput, match="photo is damaged"):
            check_photo(without_location(clean[: int(len(clean) * part)]))


@pytest.mark.parametrize("data", [b"", b"GIF89a" + bytes(40), b"\xff\xd8\xff", b"\xff\xd8\xffx"])
def test_what_is_no_photo_is_told_so(data: bytes) -> None:
    with pytest.raises(BadInput):
        check_photo(without_location(data))


@costly(37)
@given(
    kind=st.sampled_from(sorted(PHOTOS)),
    spoil=st.lists(st.tuples(st.integers(0, 3000), st.integers(0, 255)), min_size=1, max_size=8),
)
def test_spoilt_notes_end_in_a_sentence_or_a_photo(kind: str, spoil: list[tuple[int, int]]) -> None:
    data = bytearray(PHOTOS[kind]())
    for where, value in spoil:
        data[where % len(data)] = value
    with suppress(BadInput):
        check_photo(without_location(bytes(data)))
