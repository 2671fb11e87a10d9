"""SQLite's write-ahead log read without SQLite: its pages, and whether any of it is damaged.

SQLite takes a log to end at the first frame that does not fit, so damage in the middle loses, in
silence, all that was committed after it. Source: SQLite documentation, «Database File Format»,
section 4, The Write-Ahead Log; «WAL-mode File Format», section 2, The WAL-Index File Format.
"""

from __future__ import annotations

import struct
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

_HEADER, _FRAME, _INDEX_HEADER = 32, 24, 48
_MAGIC = 0x377F0682
_MASK = 0xFFFFFFFF
Sum = tuple[int, int]


@dataclass(frozen=True)
class Log:
    """What a log holds."""

    pages: dict[int, bytes] = field(default_factory=dict)
    """By number, the latest image of each page that was committed."""
    size: int = 0
    """The database's pages after the last commit; zero where none is in the log."""
    beyond: tuple[bytes, ...] = ()
    """Images of pages that were never committed, or lie beyond damage."""
    damaged: bool = False
    """Whether frames that fit follow one that does not, or the last is not whole."""
    fit: int = 0
    """Frames that fit, from the first on."""
    salts: bytes = b""
    """What tells this log from those kept in the same file before it; blank without a header."""


@dataclass(frozen=True)
class _Frame:
    page: int
    size: int
    salts: bytes
    stored: Sum
    head: bytes
    image: bytes


def read_log(data: bytes) -> Log:
    """Read a log's bytes; one that is empty, or whose header says nothing, holds nothing."""
    if len(data) < _HEADER + _FRAME:
        return Log()
    page_size = int.from_bytes(data[8:12], "big")
    order = ">" if data[3] & 1 else "<"
    header_sound = int.from_bytes(data[:4], "big") & ~1 == _MAGIC and _sum(
        data[:24], (0, 0), order
    ) == struct.unpack(">II", data[24:32])
    if not header_sound:
        return _headless(data)
    frames = list(_frames(data, page_size))
    salts, before = data[16:24], _sum(data[:24], (0, 0), order)
    fit = 0
    for frame in frames:
        if frame.salts != salts or not _fits(frame, before, order):
            break
        fit, before = fit + 1, frame.stored
    pages, size = _committed(frames[:fit])
    own = [frame for frame in frames[fit:] if frame.salts == salts]
    spoilt = bool(own) and (_fit_later(frames, fit, salts, order) or frames[fit].salts == salts)
    uncommitted = frames[_last_commit(frames[:fit]) : fit]
    beyond = tuple(frame.image for frame in (*uncommitted, *own))
    return Log(pages, size, beyond, spoilt, fit, salts)


def committed_by(index: bytes, log: Log) -> int | None:
    """Frames of a log that its index says were committed; ``None`` where it says nothing of it.

    SQLite writes the index's header, twice over and in this machine's order of bytes, when all of a
    write is on disk and before it says so to anybody.
    """
    head = index[:_INDEX_HEADER]
    if len(head) < _INDEX_HEADER or head != index[_INDEX_HEADER : 2 * _INDEX_HEADER]:
        return None
    order = "<" if sys.byteorder == "little" else ">"
    sound = _sum(head[:40], (0, 0), order) == struct.unpack("=II", head[40:48])
    if not (sound and head[12] == 1 and log.salts and head[32:40] == log.salts):
        return None
    return int.from_bytes(head[16:20], sys.byteorder)


def _headless(data: bytes) -> Log:
    """A log whose header is spoilt: SQLite passes all of it over."""
    for order in "<>":
        frames = list(_frames(data, 4096))
        if any(_fits(later, earlier.stored, order) for earlier, later in pairwise(frames)):
            return Log(beyond=tuple(frame.image for frame in frames), damaged=True)
    return Log()


def _frames(data: bytes, page_size: int) -> Iterator[_Frame]:
    if page_size < 512:
        return
    step = _FRAME + page_size
    for start in range(_HEADER, len(data) - step + 1, step):
        head = data[start : start + _FRAME]
        page, size = struct.unpack(">II", head[:8])
        stored = struct.unpack(">II", head[16:24])
        yield _Frame(page, size, head[8:16], stored, head[:8], data[start + _FRAME : start + step])


def _fits(frame: _Frame, before: Sum, order: str) -> bool:
    return _sum(frame.image, _sum(frame.head, before, order), order) == frame.stored


def _fit_later(frames: list[_Frame], fit: int, salts: bytes, order: str) -> bool:
    """Whether a frame of this log's own fits beyond the first that does not."""
    return any(
        frame.salts == salts and _fits(frame, earlier.stored, order)
        for earlier, frame in pairwise(frames[fit:])
    )


def _sum(data: bytes, before: Sum, order: str) -> Sum:
    """The log's checksum, over pairs of 32-bit words."""
    s0, s1 = before
    for x0, x1 in struct.iter_unpack(f"{order}II", data):
        s0 = (s0 + x0 + s1) & _MASK
        s1 = (s1 + x1 + s0) & _MASK
    return s0, s1


def _last_commit(frames: list[_Frame]) -> int:
    """How many frames there are up to and with the last that commits."""
    return max((n for n, frame in enumerate(frames, 1) if frame.size), default=0)


def _committed(frames: list[_Frame]) -> tuple[dict[int, bytes], int]:
    kept = frames[: _last_commit(frames)]
    return {frame.page: frame.image for frame in kept}, kept[-1].size if kept else 0
