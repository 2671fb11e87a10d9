"""Atomic file writes: a file is complete or absent."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from wetend.errors import BadInput, StorageFailed, why_not
from wetend.records.temporary_files import begin_file, sweep
from wetend.units.message import Message

OWNER_FILE, OWNER_FOLDER = 0o600, 0o700
"""Modes of what only its owner may read."""
_NO_LINKS = (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EACCES)


def path_given(text: str | Path) -> Path:
    """The absolute path a person named.

    Raises:
        BadInput: it can't be a path.
    """
    try:
        if str(text).strip() and "\0" not in str(text):
            return Path(text).expanduser().absolute()
    except (RuntimeError, ValueError) as error:
        raise BadInput(Message("The path {text!r} is not a path.", text=str(text)[:80])) from error
    raise BadInput(Message("Name a file."))


def taken(path: Path) -> bool:
    """Whether anything is at a path.

    Raises:
        StorageFailed: the disk can't tell.
    """
    try:
        return path.exists() or path.is_symlink()
    except OSError as error:
        raise StorageFailed(
            Message(
                "{name} can't be looked at: {error}.", name=path.name[:80], error=why_not(error)
            )
        ) from error


def make_folder(folder: Path, *, private: bool = False) -> None:
    """Make a folder and those above it, to last; ``private`` ones only their owner may enter.

    Raises:
        StorageFailed: it can't be made.
    """
    try:
        missing = [f for f in (folder, *folder.parents) if not f.exists()]
        for made in reversed(missing):
            made.mkdir(mode=OWNER_FOLDER if private else 0o777, exist_ok=True)
            sync_folder(made.parent)
        folder.mkdir(exist_ok=True)  # refuses a file in its place
    except OSError as error:
        raise StorageFailed(
            Message(
                "The folder {folder} can't be made: {error}.", folder=folder, error=why_not(error)
            )
        ) from error


@contextmanager
def atomic_file(path: Path, *, replace: bool = True, private: bool = True) -> Iterator[BinaryIO]:
    """A file to write, and read back, that takes its name only once all of it is on disk.

    Left by an exception, it leaves nothing behind; what a killed write left in the same folder is
    cleared away first. A link is followed, so that it goes on leading to the file.

    Args:
        path: the file.
        replace: whether it may take the place of a file of that name.
        private: whether only its owner may read it.

    Raises:
        BadInput: what is there is no file, or is one that may not be replaced.
        StorageFailed: the disk failed.
    """
    try:
        path, mode = _place_and_mode(path, replace=replace, private=private)
        sweep(path.parent)
        part, handle = begin_file(path.parent, mode)
        try:
            with os.fdopen(handle, "w+b") as file:
                yield file
                file.flush()
                os.fsync(file.fileno())
                if os.name == "nt":
                    file.close()  # else it can't be renamed there
                name_file(part, path, replace=replace)
            sync_folder(path.parent)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        why = (
            Message("its folder does not exist") if error.errno == errno.ENOENT else why_not(error)
        )
        raise StorageFailed(
            Message("{name} can't be written: {why}.", name=path.name, why=why)
        ) from error


def write_atomic(path: Path, data: bytes, *, replace: bool = True, private: bool = True) -> None:
    """Write a file so that it is whole or absent; arguments as for :func:`atomic_file`.

    Raises:
        BadInput: what is there is no file, or is one that may not be replaced.
        StorageFailed: the disk failed.
    """
    with atomic_file(path, replace=replace, private=private) as file:
        file.write(data)


def move_atomic(path: Path, target: Path) -> None:
    """Give a file that is on disk another place on the same disk, to last.

    Raises:
        StorageFailed: the disk failed.
    """
    make_folder(target.parent, private=True)
    try:
        path.replace(target)
        sync_folder(target.parent)
    except OSError as error:
        raise StorageFailed(
            Message("{name} can't be written: {error}.", name=target.name, error=why_not(error))
        ) from error


def _place_and_mode(path: Path, *, replace: bool, private: bool) -> tuple[Path, int]:
    """Where a file is to be put, links followed, and its mode: that of the one it replaces.

    Raises:
        BadInput: what is there is no file, or is one that may not be replaced.
    """
    if not replace and taken(path):
        raise _is_there(path)
    place = path.resolve() if path.is_symlink() else path
    if private or not place.exists():
        mode = OWNER_FILE if private else 0o666
    else:
        mode = stat.S_IMODE(place.stat().st_mode)
    if place.exists() and not place.is_file():
        raise BadInput(
            Message("{value} can't be written; name another file.", value=path.name or path)
        )
    return place, mode


def _is_there(path: Path) -> BadInput:
    return BadInput(Message("There is already a file {name}; choose another name.", name=path.name))


def name_file(part: Path, path: Path, *, replace: bool) -> None:
    """Give a finished file its name; never over another unless it may.

    Raises:
        BadInput: there is another of that name.
        OSError: the disk failed.
    """
    if replace:
        part.replace(path)
        return
    try:
        os.link(part, path)
    except FileExistsError as error:
        raise _is_there(path) from error
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        if taken(path):
            raise _is_there(path) from error
        part.replace(path)


def sync_folder(folder: Path) -> None:
    """Make a new name in a folder last; Windows has no such call and needs none."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
