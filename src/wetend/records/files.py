"""Write files so that each is whole or absent, whatever happens meanwhile."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from wetend.errors import BadInput, StorageFailed


def path_given(text: str | Path) -> Path:
    """The absolute path a person named.

    Raises:
        BadInput: it can't be a path.
    """
    try:
        if str(text).strip() and "\0" not in str(text):
            return Path(text).expanduser().absolute()
    except (RuntimeError, ValueError) as error:
        raise BadInput(f"The path {str(text)[:80]!r} leads nowhere.") from error
    raise BadInput("Name a file.")


def taken(path: Path) -> bool:
    """Whether anything is at a path.

    Raises:
        StorageFailed: the disk can't tell.
    """
    try:
        return path.exists() or path.is_symlink()
    except OSError as error:
        raise StorageFailed(f"{path.name[:80]} can't be looked at: {error.strerror}.") from error


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, to last.

    Raises:
        StorageFailed: it can't be made.
    """
    try:
        missing = [f for f in (folder, *folder.parents) if not f.exists()]
        folder.mkdir(parents=True, exist_ok=True)
        for made in reversed(missing):
            _sync_folder(made.parent)
    except OSError as error:
        raise StorageFailed(f"The folder {folder} can't be made: {error.strerror}.") from error


@contextmanager
def whole_file(path: Path) -> Iterator[BinaryIO]:
    """A file to write, and read back, that takes its name only once all of it is on disk.

    Left by an exception, it leaves nothing behind.

    Raises:
        StorageFailed: the disk failed.
    """
    part = path.with_name(f".{secrets.token_hex(8)}.part")
    try:
        try:
            with part.open("x+b") as file:
                yield file
                file.flush()
                os.fsync(file.fileno())
            part.replace(path)
            _sync_folder(path.parent)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        raise StorageFailed(f"{path.name} can't be written: {error.strerror}.") from error


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that it is whole or absent.

    Raises:
        StorageFailed: the disk failed.
    """
    with whole_file(path) as file:
        file.write(data)


def move_whole(path: Path, target: Path) -> None:
    """Give a file that is on disk another place on the same disk, to last.

    Raises:
        StorageFailed: the disk failed.
    """
    make_folder(target.parent)
    try:
        path.replace(target)
        _sync_folder(target.parent)
    except OSError as error:
        raise StorageFailed(f"{target.name} can't be written: {error.strerror}.") from error


def _sync_folder(folder: Path) -> None:
    """Make a new name in a folder last; Windows has no such call and needs none."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
