"""Reads files named by the user."""

from __future__ import annotations

import sys
from pathlib import Path

from wetend.errors import BadInput, NotFound, TooLarge
from wetend.units.decoding import decoded
from wetend.units.message import Message


def bytes_of(path: Path, *, most: int) -> bytes:
    """What a file holds; ``-`` is standard input.

    Raises:
        NotFound: there is no such file.
        TooLarge: it is longer than is read.
        BadInput: it is a folder, or may not be read.
    """
    data = sys.stdin.buffer.read(most + 1) if str(path) == "-" else _read(path, most)
    if len(data) > most:
        size = (
            Message("{most} MB", most=most // 1000000)
            if most >= 1_000_000
            else Message("{most:,} bytes", most=most)
        )
        raise TooLarge(
            Message("{path} is larger than {size}; nothing was read.", path=_named(path), size=size)
        )
    return data


def _named(path: Path) -> str:
    return Message("Standard input") if str(path) == "-" else f"“{path}”"


def _read(path: Path, most: int) -> bytes:
    try:
        if path.is_dir():
            raise BadInput(Message("“{path}” is a folder; name a file in it.", path=path))
        if not path.exists():
            raise NotFound(Message("There is no file “{path}”.", path=path))
        with path.open("rb") as file:
            return file.read(most + 1)
    except PermissionError as error:
        raise BadInput(
            Message("“{path}” may not be read; check its permissions.", path=path)
        ) from error
    except (OSError, ValueError) as error:
        raise BadInput(Message("“{path}” can't be read.", path=str(path)[:120])) from error


def text_of(path: Path, *, most: int = 300_000) -> str:
    """A file's text, in UTF-8 or UTF-16, with or without a byte order mark.

    Raises:
        NotFound: there is no such file.
        TooLarge: it is longer than is read.
        BadInput: it can't be read, or is no text.
    """
    return decoded(bytes_of(path, most=most), _named(path))
