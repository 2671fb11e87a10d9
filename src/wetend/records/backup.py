"""Backup of a record into one verified file, and its all-or-nothing restore."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import BinaryIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile

from wetend import __version__
from wetend.errors import BadInput, NotFound, StorageFailed, why_not
from wetend.pump.readings import Photo
from wetend.records.archive import ENTRIES, MANIFEST, PHOTOS, Archive, EntryLine, Manifest
from wetend.records.checksums import Tally
from wetend.records.damage import Damaged
from wetend.records.entries import said_by
from wetend.records.files import atomic_file, make_folder, path_given, taken
from wetend.records.health_check import file_state, lost_of
from wetend.records.photo_keeping import with_entries
from wetend.records.photos import SUFFIX
from wetend.records.rows import checksum_of
from wetend.records.store import Depot
from wetend.units.message import Message


@dataclass(frozen=True)
class BackupReport:
    """What a backup holds."""

    path: Path
    entries: int
    photos: int
    missing: tuple[str, ...]
    """Hashes of photos that entries speak of but that are not on the shelf, or damaged there."""
    damaged: tuple[Damaged, ...]
    """Entries that are damaged in the depot, and so not in the backup."""
    lost: int | None
    """Entries gone from the depot without a trace; ``None`` where its count is damaged."""

    @property
    def whole(self) -> bool:
        """Whether all that was ever kept is in it."""
        return not (self.missing or self.damaged or self.lost) and self.lost is not None


@dataclass(frozen=True)
class RestoreReport:
    """What a restore brought."""

    entries: int
    new_entries: int
    mended: int
    """Entries that were damaged here."""
    photos: int
    new_photos: int
    unread: int
    """Entries kept whole that this version can't read."""
    missing: tuple[str, ...]
    """Hashes of photos that the backup itself lacked."""


def back_up(depot: Depot, target: str | Path) -> BackupReport:
    """Write all entries and photos into one ``.zip``, read it back, and only then name it.

    The depot is looked through in full; what is damaged is left out and named.

    Raises:
        BadInput: there is a file of this name already.
        StorageFailed: the disk failed, or what was written does not read back the same.
    """
    path = path_given(target)
    if taken(path):  # said before the work is done
        raise BadInput(
            Message("There is already a file {name}; choose another name.", name=path.name)
        )
    make_folder(path.parent, private=True)
    file_state(depot)
    with atomic_file(path, replace=False) as file:
        written, lost = _write(depot, file)
        _read_back(file, written)
    return BackupReport(
        path, written.entries, len(written.photos), written.missing, depot.damaged, lost
    )


def _read_back(file: BinaryIO, written: Manifest) -> None:
    try:
        archive = Archive(file)
        _read_through(archive)
    except BadInput as error:
        raise StorageFailed(
            Message("The backup does not read back and was deleted: {error}", error=error)
        ) from error
    if archive.manifest != written:
        raise StorageFailed(Message("The backup does not read back the same and was deleted."))


def _write(depot: Depot, file: BinaryIO) -> tuple[Manifest, int | None]:
    """The manifest, and how many entries are gone from the depot without a trace."""
    digest = hashlib.sha256()
    made = Tally()
    spoken_of: set[str] = set()
    replaced: set[str] = set()
    with ZipFile(file, "w", ZIP_DEFLATED) as archive:
        with archive.open(ENTRIES, "w", force_zip64=True) as lines, depot.snapshot() as now:
            for entry in now.entries:
                mark = checksum_of(entry)
                line = EntryLine(checksum=mark, entry=entry).model_dump_json().encode() + b"\n"
                lines.write(line)
                digest.update(line)
                made = made.with_more([mark])
                photo = said_by(entry) if entry.kind == "photo" else None
                if isinstance(photo, Photo):
                    spoken_of.add(photo.sha256)
                    replaced.add(photo.in_place_of)
            lost = lost_of(depot, now.tally, made)
        photos = dict(_write_photos(depot, archive))
        manifest = Manifest(
            made_at=datetime.now(UTC), made_by=__version__, entries=made.count,
            entries_sha256=digest.hexdigest(), photos=photos,
            missing=tuple(sorted(spoken_of - replaced - photos.keys())),
        )  # fmt: skip
        archive.writestr(MANIFEST, manifest.model_dump_json(indent=1))
    return manifest, None if lost is None else max(lost - len(depot.damaged), 0)


def _write_photos(depot: Depot, archive: ZipFile) -> Iterator[tuple[str, int]]:
    """Write every sound photo; a damaged one is left out and so counted as missing."""
    for sha in depot.photos.hashes():
        try:
            data, media = depot.photos.get(sha)
        except (NotFound, StorageFailed):
            continue
        archive.writestr(f"{PHOTOS}{sha}.{SUFFIX[media]}", data, ZIP_STORED)
        yield sha, len(data)


def _read_through(archive: Archive) -> int:
    """Check all of an archive; how many entries this version can't read."""
    for _ in archive.photos():
        pass
    return sum(said_by(entry) is None for entry in archive.entries())


def restore_into(opening: Callable[[], Depot], source: str | Path) -> RestoreReport:
    """Merge a backup into a record: all of it or nothing.

    The whole backup is checked before the record is opened. Entries that are there already stay;
    one that is damaged there is replaced.

    Raises:
        NotFound: there is no such backup.
        BadInput: it is torn or altered, or an entry differs from the one kept under its id.
        StorageFailed: a disk or the server failed.
    """
    with _opened(path_given(source)) as file:
        archive = Archive(file)
        unread = _read_through(archive)
        with opening() as depot:
            new_entries, mended, new_photos = _merge(archive, depot)
    manifest = archive.manifest
    return RestoreReport(
        entries=manifest.entries, new_entries=new_entries, mended=mended,
        photos=len(manifest.photos), new_photos=new_photos, unread=unread,
        missing=manifest.missing,
    )  # fmt: skip


@contextmanager
def _opened(path: Path) -> Iterator[BinaryIO]:
    try:
        file = path.open("rb")
    except FileNotFoundError as error:
        raise NotFound(
            Message("There is no file {name} to restore from.", name=path.name)
        ) from error
    except OSError as error:
        raise StorageFailed(
            Message("{name} can't be opened: {error}.", name=path.name, error=why_not(error))
        ) from error
    with file:
        yield file


def _merge(archive: Archive, depot: Depot) -> tuple[int, int, int]:
    """Photos take their names when all entries are in and none is yet kept for good."""
    with depot.photos.staged() as stage, with_entries(depot, stage):
        for _, data in archive.photos():
            stage.put(data)
        new, mended = depot.merge_and_mend(archive.entries(), last=stage.keep)
        return new, mended, len(stage.moved)
