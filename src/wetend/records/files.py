"""Write files so that each is whole or absent, whatever happens meanwhile."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from wetend.errors import StorageFailed


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
    """A file to write that takes its name only once all of it is on disk.

    Left by an exception, it leaves nothing behind.

    Raises:
        StorageFailed: the disk failed.
    """
    part = path.with_name(f".{secrets.token_hex(8)}.part")
    try:
        try:
            with part.open("xb") as file:
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


def _sync_folder(folder: Path) -> None:
    """Make a new name in a folder last; Windows has no such call and needs none."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
