"""Removes metadata from photos, above all the location.

A place stands not only among the tags for it: also in XMP, in makers' own notes, in a second
picture or a film behind the first. So what is kept is named here and all else is left out: the
picture itself byte for byte, its colours, which way up it is, and when it was taken.

Sources: ISO/IEC 10918-1, annex B (JPEG markers); PNG specification, sections 5 and 11; RFC 9649,
section 2 (WebP container); Exif 2.32 (CIPA DC-008), sections 4.5 and 4.6, from memory.
"""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Callable, Iterator

from wetend.errors import BadInput
from wetend.records.photos import NOT_WHOLE, Media, media_of

_EXIF_HEAD = b"Exif\0\0"
_ORIENTATION, _CHANGED, _MORE = 0x0112, 0x0132, 0x8769
_TAKEN, _DIGITIZED, _COLOURS = 0x9003, 0x9004, 0xA001
_FIRST, _SECOND = (_ORIENTATION, _CHANGED), (_TAKEN, _DIGITIZED, _COLOURS)
_SHORTS = {_ORIENTATION: range(1, 9), _COLOURS: (1, 2, 0xFFFF)}
_TIME = re.compile(rb"[0-9]{4}:[0-9]{2}:[0-9]{2} [0-9]{2}:[0-9]{2}:[0-9]{2}\0")
_TYPES = {2: (3, 1), 4: (4, 1), 20: (2, 20)}
"""Type and count of a value, by its bytes: a short, a long, a time as text."""

_START_OF_SCAN, _END, _APP0, _APP1, _APP15, _COMMENT = 0xDA, 0xD9, 0xE0, 0xE1, 0xEF, 0xFE
_ALONE = {0x01, *range(0xD0, 0xD8)}
_AFTER_SCAN = re.compile(rb"\xff+[^\x00\xff\xd0-\xd7]")
_APPS = {_APP0: b"JFIF\0", 0xE2: b"ICC_PROFILE\0", 0xEE: b"Adobe"}

_CHUNKS = {
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"cHRM", b"gAMA", b"iCCP", b"sBIT", b"sRGB",
    b"cICP", b"bKGD", b"hIST", b"pHYs", b"tIME", b"acTL", b"fcTL", b"fdAT",
}  # fmt: skip
_PIECES = {b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ANIM", b"ANMF", b"ICCP"}
_HAS_EXIF, _HAS_XMP = 0x08, 0x04


def without_location(data: bytes) -> bytes:
    """A photo with its picture as it was and nothing in it that says where it was taken.

    Done again it changes nothing more. Whether the picture is whole is for
    :func:`wetend.records.photos.check_photo` to say.

    Raises:
        BadInput: not a JPEG, PNG or WebP, or so torn that its pieces can't be told apart.
    """
    by_media: dict[Media, Callable[[bytes], Iterator[bytes]]] = {
        "image/jpeg": _jpeg, "image/png": _png, "image/webp": _webp
    }  # fmt: skip
    try:
        return b"".join(by_media[media_of(data)](data))
    except (struct.error, IndexError) as error:
        raise BadInput(NOT_WHOLE) from error


def _jpeg(data: bytes) -> Iterator[bytes]:
    """The segments kept, up to the end of the first picture."""
    yield data[:2]
    at = 2
    while True:
        if data[at] != 0xFF:
            raise BadInput(NOT_WHOLE)
        while data[at + 1] == 0xFF:  # fill bytes
            at += 1
        marker = data[at + 1]
        if marker == _END:
            yield data[at : at + 2]
            return
        length = 2 if marker in _ALONE else 2 + struct.unpack_from(">H", data, at + 2)[0]
        segment, at = data[at : at + length], at + length
        yield _segment(marker, segment)
        if marker == _START_OF_SCAN:
            following = _AFTER_SCAN.search(data, at)
            yield data[at : following.start() if following else None]
            if following is None:  # torn, as whoever unfolds it will find
                return
            at = following.start()


def _segment(marker: int, segment: bytes) -> bytes:
    if marker == _APP1 and segment[4:].startswith(_EXIF_HEAD):
        notes = _notes(segment[4 + len(_EXIF_HEAD) :])
        said = _EXIF_HEAD + notes
        return struct.pack(">BBH", 0xFF, _APP1, 2 + len(said)) + said if notes else b""
    if marker == _COMMENT or _APP0 <= marker <= _APP15:
        known = _APPS.get(marker)
        return segment if known and segment[4:].startswith(known) else b""
    return segment


def _png(data: bytes) -> Iterator[bytes]:
    """The chunks kept, up to the last of the picture."""
    yield data[:8]
    at, kind = 8, b""
    while kind != b"IEND" and at < len(data):
        length, kind = struct.unpack_from(">I4s", data, at)
        chunk, at = data[at : at + 12 + length], at + 12 + length
        if kind in _CHUNKS:
            yield chunk
        elif kind == b"eXIf" and (notes := _notes(chunk[8:-4])):
            sum_of = zlib.crc32(kind + notes)
            yield struct.pack(">I4s", len(notes), kind) + notes + struct.pack(">I", sum_of)


def _webp(data: bytes) -> Iterator[bytes]:
    """The pieces kept, with the size and the flags that then hold."""
    pieces = [(kind, piece) for kind, body in _pieces(data) if (piece := _piece(kind, body))]
    has_notes = any(kind == b"EXIF" for kind, _ in pieces)
    size = 4 + sum(len(piece) for _, piece in pieces)
    yield data[:4] + struct.pack("<I", size) + data[8:12]
    for kind, piece in pieces:
        if kind == b"VP8X":
            flags = piece[8] & ~(_HAS_XMP | _HAS_EXIF) | (_HAS_EXIF if has_notes else 0)
            yield piece[:8] + bytes([flags]) + piece[9:]
        else:
            yield piece


def _pieces(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    at, end = 12, min(len(data), 8 + struct.unpack_from("<I", data, 4)[0])
    while at < end:
        kind, length = struct.unpack_from("<4sI", data, at)
        yield kind, data[at + 8 : at + 8 + length]
        at += 8 + length + length % 2


def _piece(kind: bytes, body: bytes) -> bytes:
    if kind == b"EXIF":
        body = _notes(body.removeprefix(_EXIF_HEAD))
    elif kind not in _PIECES:
        return b""
    return kind + struct.pack("<I", len(body)) + body + bytes(len(body) % 2) if body else b""


def _notes(tiff: bytes) -> bytes:
    """Camera notes of what is kept, rewritten; blank where there is nothing of that to read."""
    try:
        order = {b"II*\0": "<", b"MM\0*": ">"}[tiff[:4]]
        first, pointer = _read(tiff, struct.unpack_from(f"{order}I", tiff, 4)[0], order, _FIRST)
    except (KeyError, struct.error):
        return b""
    try:
        second, _ = _read(tiff, pointer, order, _SECOND) if pointer else ({}, 0)
    except struct.error:
        second = {}
    if not first and not second:
        return b""
    if second:
        behind = 8 + len(_directory({**first, _MORE: bytes(4)}, 8))
        first[_MORE] = struct.pack(">I", behind)
        return b"MM\0*" + struct.pack(">I", 8) + _directory(first, 8) + _directory(second, behind)
    return b"MM\0*" + struct.pack(">I", 8) + _directory(first, 8)


def _read(
    tiff: bytes, at: int, order: str, wanted: tuple[int, ...]
) -> tuple[dict[int, bytes], int]:
    """Values of these tags in one directory, and where it says that the next stands."""
    found: dict[int, bytes] = {}
    pointer = 0
    for n in range(struct.unpack_from(f"{order}H", tiff, at)[0]):
        tag, kind, count, value = struct.unpack_from(f"{order}HHII", tiff, at + 2 + 12 * n)
        short = struct.unpack_from(f"{order}H", tiff, at + 10 + 12 * n)[0]
        if tag == _MORE and (kind, count) == (4, 1):
            pointer = value
        elif tag not in wanted:
            continue
        elif (kind, count) == (3, 1) and short in _SHORTS.get(tag, ()):
            found[tag] = struct.pack(">H", short)
        elif (kind, count) == (2, 20) and _TIME.fullmatch(text := tiff[value : value + 20]):
            found[tag] = text
    return found, pointer


def _directory(values: dict[int, bytes], at: int) -> bytes:
    """A directory as it stands at a place; longer values follow it."""
    lines, behind = b"", b""
    for tag in sorted(values):
        value = values[tag]
        kind, count = _TYPES[len(value)]
        place = at + 2 + 12 * len(values) + 4 + len(behind)
        held = value.ljust(4, b"\0") if len(value) <= 4 else struct.pack(">I", place)
        behind += value if len(value) > 4 else b""
        lines += struct.pack(">HHI", tag, kind, count) + held
    return struct.pack(">H", len(values)) + lines + bytes(4) + behind
