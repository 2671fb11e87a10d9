"""The layout of a backup file, and its validation.

A backup is one ``.zip`` with three things: ``manifest.json``; ``entries.jsonl``, a line an entry in
the order of their ids, with the checksum it is kept with (in layout 1, of earlier versions, without
one); and ``photos/``, each file named by its SHA-256. Nothing else may be in it,
and no name in it is ever used as a path.
"""

from __future__ import annotations

import hashlib
import re
import struct
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from typing import IO, Annotated, Literal
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from pydantic import Field, ValidationError

from wetend.errors import BadInput, TooLarge
from wetend.records.entries import Entry, Moment
from wetend.records.photos import MOST_BYTES
from wetend.records.rows import checksum_of
from wetend.units.message import Message
from wetend.units.noun import Line, Noun

MANIFEST = "manifest.json"
ENTRIES = "entries.jsonl"
PHOTOS = "photos/"
_MOST_MANIFEST = 64_000_000
_MOST_ENTRIES = 4_000_000_000
_MOST_RATIO = 200
_LONGEST_LINE = 2_000_000
_PHOTO = re.compile(r"photos/[0-9a-f]{64}\.(jpg|png|webp)")
_TORN = (
    BadZipFile, OSError, EOFError, ValueError, RuntimeError, LookupError, OverflowError,
    MemoryError, struct.error, zlib.error,
)  # fmt: skip

Hash = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class EntryLine(Noun):
    """A line of the entries, as of layout 2."""

    checksum: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
    entry: Entry


class Manifest(Noun):
    """What a backup says it holds."""

    format: Literal["wetend-backup"] = "wetend-backup"
    layout: int = Field(default=2, ge=1)
    made_at: Moment
    made_by: Line
    entries: int = Field(ge=0)
    entries_sha256: Hash
    photos: dict[Hash, Annotated[int, Field(ge=0, le=MOST_BYTES)]]
    """Size of each photo in bytes, by its hash."""
    missing: tuple[Hash, ...] = ()
    """Photos that entries speak of but that were not there, or damaged, when it was made."""


@contextmanager
def _whole() -> Iterator[None]:
    """Turn what a torn archive makes the reader stumble over into one sentence."""
    try:
        yield
    except _TORN as error:
        raise BadInput(
            Message("This backup is damaged or altered, or not a backup; nothing was done.")
        ) from error


class Archive:
    """A backup whose layout, sizes and manifest hold; its content is checked as it is read.

    Raises:
        BadInput: it is torn or altered, or no backup.
        TooLarge: it would unfold to more than a backup can be.
    """

    def __init__(self, file: IO[bytes]) -> None:
        with _whole():
            opened = self._zip = ZipFile(file)
        members = {info.filename: info for info in opened.infolist()}
        if len(members) != len(opened.infolist()):
            raise BadInput(Message("This backup names a file twice; nothing was done."))
        for info in members.values():
            _check_member(info)
        self.manifest = self._read_manifest(members)
        self._photos = {name[len(PHOTOS) :].split(".")[0]: name for name in members if "/" in name}
        if self._photos.keys() != self.manifest.photos.keys() or ENTRIES not in members:
            raise BadInput(Message("This backup lacks files it should hold, or holds others."))

    def _read_manifest(self, members: dict[str, ZipInfo]) -> Manifest:
        if MANIFEST not in members:
            raise BadInput(Message("This is not a backup of this program: it has no manifest."))
        with _whole():
            said = self._zip.read(MANIFEST)
        try:
            manifest = Manifest.model_validate_json(said)
        except ValidationError as error:
            raise BadInput(
                Message("This backup's manifest can't be read; nothing was done.")
            ) from error
        if manifest.layout not in (1, 2):
            raise BadInput(
                Message("This backup was made by a later version; update the program first.")
            )
        return manifest

    def entries(self) -> Iterator[Entry]:
        """The entries in the order of their ids.

        Raises:
            BadInput: one is torn, out of order, or they are not those the manifest counts.
        """
        seen, last, digest = 0, "", hashlib.sha256()
        with _whole():
            lines = self._zip.open(ENTRIES)
        with lines:
            while line := _line(lines):
                digest.update(line)
                entry = _entry(line) if self.manifest.layout == 1 else _summed_entry(line)
                if entry.id <= last:
                    raise BadInput(
                        Message("This backup's entries are out of order; nothing was done.")
                    )
                seen, last = seen + 1, entry.id
                yield entry
        if (seen, digest.hexdigest()) != (self.manifest.entries, self.manifest.entries_sha256):
            raise BadInput(
                Message("This backup's entries are not those it counts; nothing was done.")
            )

    def photos(self) -> Iterator[tuple[str, bytes]]:
        """Each photo's hash and bytes.

        Raises:
            BadInput: one is not what its name says.
        """
        for sha, name in self._photos.items():
            with _whole():
                data = self._zip.read(name)
            if hashlib.sha256(data).hexdigest() != sha or len(data) != self.manifest.photos[sha]:
                raise BadInput(
                    Message(
                        "Photo {sha} in this backup was altered; nothing was done.", sha=sha[:12]
                    )
                )
            yield sha, data


def _check_member(info: ZipInfo) -> None:
    if info.flag_bits & 1:
        raise BadInput(Message("This backup is encrypted; unlock it first."))
    if _PHOTO.fullmatch(info.filename):
        fits = info.compress_type == ZIP_STORED and info.file_size <= MOST_BYTES
    elif info.filename in (MANIFEST, ENTRIES):
        most = _MOST_MANIFEST if info.filename == MANIFEST else _MOST_ENTRIES
        fits = info.compress_type in (ZIP_STORED, ZIP_DEFLATED) and info.file_size <= most
        fits = fits and info.file_size <= _MOST_RATIO * max(info.compress_size, 1000)
    else:
        raise BadInput(Message("This backup holds an unexpected file; nothing was done."))
    if not fits:
        raise TooLarge(
            Message("This backup would unpack to more than the limit; nothing was done.")
        )


def _line(lines: IO[bytes]) -> bytes:
    with _whole():
        return lines.readline(_LONGEST_LINE)


def _entry(line: bytes) -> Entry:
    try:
        return Entry.model_validate_json(line)
    except ValidationError as error:
        raise BadInput(
            Message("An entry in this backup can't be read; nothing was done.")
        ) from error


def _summed_entry(line: bytes) -> Entry:
    try:
        read = EntryLine.model_validate_json(line)
    except ValidationError as error:
        raise BadInput(
            Message("An entry in this backup can't be read; nothing was done.")
        ) from error
    if read.checksum != checksum_of(read.entry):
        raise BadInput(
            Message("Entry {id} in this backup was altered; nothing was done.", id=read.entry.id)
        )
    return read.entry
