"""The secret that signs a depot's forms, kept so that an open form outlives a restart."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

_LENGTH = 32


def lasting_secret(file: Path | None) -> bytes:
    """The secret kept in a file that only its owner may read, made when there is none.

    Two servers started at once agree on whichever wrote first. Where it can't be kept, or is torn,
    a fresh one is given: forms then open at the last start are asked to be sent again.

    Args:
        file: where it is kept; None for nowhere.

    Returns:
        32 bytes.
    """
    fresh = secrets.token_bytes(_LENGTH)
    if file is None:
        return fresh
    try:
        _write_new(file, fresh)
    except FileExistsError:
        return _read(file) or fresh
    except OSError:
        return fresh
    return fresh


def _write_new(file: Path, secret: bytes) -> None:
    """Write the file with its name taken only once it is whole, and never over another."""
    part = file.with_name(f".{secrets.token_hex(8)}.part")
    try:
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as out:
            out.write(secret)
        os.link(part, file)
    finally:
        part.unlink(missing_ok=True)


def _read(file: Path) -> bytes | None:
    try:
        kept = file.read_bytes()
    except OSError:
        return None
    return kept if len(kept) == _LENGTH else None
