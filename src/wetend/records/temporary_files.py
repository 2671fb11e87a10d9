"""Temporary files, named and locked so that leftovers of interrupted writes can be removed."""

from __future__ import annotations

import os
import re
import secrets
import shutil
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

if sys.platform != "win32":
    import fcntl

_PART = re.compile(r"(\.wetend-[0-9a-f]{16}\.part)(-wal|-shm|-journal)?")
"""A database under way has what SQLite keeps beside it too."""
_STAGE = re.compile(r"\.wetend-[0-9a-f]{16}\.staged")
_EARLIER = re.compile(r"\.[0-9a-f]{16}\.part|\.staged-[0-9a-f]{16}")
"""As an earlier version named them, without a lock."""
_LOCK = "lock"
_DAY = 86_400.0
_NEW = os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)


def begin_file(folder: Path, mode: int) -> tuple[Path, int]:
    """A new file in a folder and its handle, locked for as long as the handle is open.

    Raises:
        OSError: it can't be made.
    """
    while True:
        part = folder / f".wetend-{secrets.token_hex(8)}.part"
        handle = os.open(part, _NEW, mode)
        if _locked(handle) and os.fstat(handle).st_nlink:  # else swept before it was locked
            return part, handle
        os.close(handle)


@contextmanager
def staging_folder(folder: Path) -> Iterator[Path]:
    """A folder of its own within another, gone when left, locked for as long as it is there.

    Raises:
        OSError: it can't be made.
    """
    stage = folder / f".wetend-{secrets.token_hex(8)}.staged"
    stage.mkdir(mode=0o700)
    try:
        handle = os.open(stage / _LOCK, _NEW, 0o600)
        try:
            _locked(handle)
            yield stage
        finally:
            os.close(handle)
    finally:
        shutil.rmtree(stage, ignore_errors=True)


def sweep(folder: Path) -> int:
    """Clear away what killed writes left in a folder, nothing else; how much that was.

    Work under way holds a lock, which tells it from what was left behind; what an earlier version
    left carries none and goes after a day.
    """
    swept = 0
    with suppress(OSError):
        for entry in list(os.scandir(folder)):
            swept += _swept(Path(entry.path))
    return swept


def _swept(path: Path) -> bool:
    with suppress(OSError):
        if part := _PART.fullmatch(path.name):
            lock = path.with_name(part[1])
            return _remove_unlocked(path, lock if lock.exists() else None)
        if _STAGE.fullmatch(path.name):
            return _remove_unlocked(path, path / _LOCK)
        if _EARLIER.fullmatch(path.name) and time.time() - path.lstat().st_mtime > _DAY:
            return _remove_unlocked(path, None)
    return False


def _remove_unlocked(path: Path, lock: Path | None) -> bool:
    """Remove a file or folder nobody works on any more; whether it was removed."""
    handle = None
    try:
        if lock is not None and (lock.exists() or _is_new(path)):
            handle = os.open(lock, os.O_RDWR | getattr(os, "O_NOFOLLOW", 0))
            if not _locked(handle):
                return False
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            path.unlink()
    finally:
        if handle is not None:
            os.close(handle)
    return True


def _is_new(path: Path) -> bool:
    """Whether a folder was made so lately that its lock may be still to come."""
    return time.time() - path.lstat().st_mtime < _DAY


def _locked(handle: int) -> bool:
    """Take the lock that marks an open file as in use; false where another holds it.

    Windows needs none: there a file in use can't be deleted.
    """
    if sys.platform != "win32":
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError:
            return True  # a file system without locks
    return True
