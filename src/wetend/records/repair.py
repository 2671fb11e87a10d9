"""Repairs a depot: recovers damaged entries from a backup, and drops the rest.

An SQLite file is rewritten from its sound entries and takes the damaged one's place whole; the
damaged one is kept beside it. Nothing else may have it open meanwhile, so that nothing entered
there is lost. A PostgreSQL database is repaired in one transaction.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import time
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path

from wetend.errors import StorageFailed, why_not
from wetend.records.backup import RestoreReport, restore_into
from wetend.records.carving import entries_in_log
from wetend.records.damage import Damaged
from wetend.records.engine import locate
from wetend.records.entries import Entry
from wetend.records.files import OWNER_FILE, OWNER_FOLDER, sync_folder
from wetend.records.health_check import HealthReport, examine, open_to_others
from wetend.records.integrity import SEEN, State, index_of, log_of, logs_put_aside
from wetend.records.new_database import filling, finish, under_way
from wetend.records.quarantine import set_aside
from wetend.records.recovery import fill, rescue
from wetend.records.store import Depot
from wetend.records.temporary_files import sweep
from wetend.units.message import Message

_WAIT_SECONDS = 2.0


@dataclass(frozen=True)
class RepairReport:
    """What was done, and how the depot is now."""

    before: HealthReport
    after: HealthReport
    restored: RestoreReport | None
    """What a backup brought; ``None`` without one."""
    from_logs: int
    """Entries found in a damaged log."""
    left_out: tuple[Damaged, ...]
    """Damaged entries that could not be brought back."""
    lost: int | None
    """Entries that are gone without a trace; ``None`` where it is not known."""
    put_aside: str
    """Where the damaged file is kept; blank where it did not have to be rewritten."""
    tightened: int
    """Files and folders that others could read and no longer can."""
    swept: int
    """Pieces that killed writes had left."""


def mend(
    where: str | Path, *, photos: str | Path | None = None, backup: Path | None = None
) -> RepairReport:
    """Mend the depot at a place, as :meth:`Depot.open` names it.

    Raises:
        NotFound: there is no depot, or no such backup.
        BadInput: the backup can't be used; nothing was done.
        StorageFailed: the disk failed, or another program has the depot open; nothing was done.
    """
    with Depot.open(where, photos=photos, create=False) as depot:
        before, file, shelf = examine(depot), depot.file, depot.photos.folder
        if depot.read_only:
            raise StorageFailed(depot.closed_to_writing)
    aside = ""
    if file is not None and _to_be_written_anew(before):
        aside, restored = _write_anew(file, shelf, backup)
    else:
        restored = _restored(where, shelf, backup)
    with Depot.open(where, photos=shelf, create=False) as depot:
        found = _take_from_logs(depot)
        if file is None and not before.whole:
            set_aside(depot)
        for sha in (s for s in before.damaged_photos if not depot.photos.holds(s)):
            depot.photos.put_aside(sha)
        tightened, swept = _tighten(depot), _sweep(depot)
        after = examine(depot)
        there = {entry.id for entry in depot.each_entry()} if before.damaged else set()
    return RepairReport(
        before=before, after=after, restored=restored, from_logs=found,
        left_out=tuple(each for each in before.damaged if each.id not in there),
        lost=_still_lost(before, after), put_aside=aside, tightened=tightened, swept=swept,
    )  # fmt: skip


def _to_be_written_anew(found: HealthReport) -> bool:
    return (
        found.file is not State.SOUND
        or not found.counted
        or bool(found.damaged)
        or bool(found.missing)
    )


def _still_lost(before: HealthReport, after: HealthReport) -> int | None:
    if before.should_be is None:
        return None if before.file is not State.SOUND else 0
    return min(before.missing or 0, max(before.should_be - after.entries, 0))


def _restored(where: str | Path, shelf: Path | None, backup: Path | None) -> RestoreReport | None:
    if backup is None:
        return None
    return restore_into(lambda: Depot.open(where, photos=shelf), backup)


def _write_anew(
    file: Path, shelf: Path | None, backup: Path | None
) -> tuple[str, RestoreReport | None]:
    """Write a file again from what is sound in it and in a backup; where the old one is kept."""
    _be_alone(file)
    try:
        before, rescued = _stamp(file), rescue(file)
        with under_way(file.parent) as part:
            with filling(part, locate(file)) as engine:
                fill(engine, rescued)
            restored = _restored(part, shelf, backup)
            finish(part, locate(file))
            if _stamp(file) != before:
                raise StorageFailed(
                    Message("The depot was written to in the meantime; nothing was done.")
                )
            aside = _kept_beside(file)
            part.replace(file)
            sync_folder(file.parent)
    except OSError as error:
        raise StorageFailed(
            Message("{name} can't be repaired: {error}.", name=file.name, error=why_not(error))
        ) from error
    return str(aside), restored


def _be_alone(file: Path) -> None:
    """Fold the log into the file, which SQLite does for nobody while another has it open.

    Raises:
        StorageFailed: another has.
    """
    try:
        with closing(sqlite3.connect(file, timeout=_WAIT_SECONDS)) as connection:
            mode = connection.execute("PRAGMA journal_mode=DELETE").fetchone()[0]
    except sqlite3.DatabaseError as error:
        if "locked" not in str(error):
            return  # too damaged to be asked, and so to be written by others
        mode = "wal"
    if mode != "delete":
        raise StorageFailed(
            Message("The depot is in use; stop the server and any other command, then repair it.")
        )


def _stamp(file: Path) -> list[tuple[int, int]]:
    """What changes when a file or its log is written."""
    found = (p.stat() for p in (file, log_of(file)) if p.exists())
    return [(s.st_size, s.st_mtime_ns) for s in found]


def _kept_beside(file: Path) -> Path:
    """Keep a damaged file, and its log where there still is one, under another name."""
    aside = file.with_name(f"{file.name}.damaged-{time.strftime('%Y%m%d-%H%M%S', time.gmtime())}")
    try:
        os.link(file, aside)
    except FileExistsError:
        raise
    except OSError:
        shutil.copy2(file, aside)  # a disk without links
    aside.chmod(OWNER_FILE)
    if log_of(file).exists():
        log_of(file).replace(log_of(aside))
    index_of(file).unlink(missing_ok=True)
    return aside


def _take_from_logs(depot: Depot) -> int:
    """Bring back what damaged logs hold whole, and mark them as dealt with; how many were new."""
    if depot.file is None:
        return 0
    new = 0
    for log in logs_put_aside(depot.file):
        found: dict[str, Entry] = {e.id: e for e in entries_in_log(log.read_bytes())}
        new += depot.merge(found[made] for made in sorted(found))
        log.replace(log.with_name(f"{log.name}{SEEN}"))
    return new


def _tighten(depot: Depot) -> int:
    """Shut files and folders to others that were open to them."""
    done = 0
    for path in open_to_others(depot):
        with suppress(OSError):  # somebody else's: named again in what is found afterwards
            path.chmod(OWNER_FOLDER if path.is_dir() else OWNER_FILE)
            done += 1
    return done


def _sweep(depot: Depot) -> int:
    shelf = depot.photos.folder
    folders = [shelf, *(p for p in shelf.glob("??") if p.is_dir())] if shelf else []
    folders += [depot.file.parent] if depot.file else []
    return sum(map(sweep, folders))
