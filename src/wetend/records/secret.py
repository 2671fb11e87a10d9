"""The persistent secret that signs a depot's forms, so that open forms survive a restart."""

from __future__ import annotations

import secrets
from pathlib import Path

from wetend.errors import BadInput, StorageFailed
from wetend.records.files import write_atomic

_LENGTH = 32


def persistent_secret(file: Path | None) -> bytes:
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
        write_atomic(file, fresh, replace=False)
    except BadInput:
        return _read(file) or fresh
    except StorageFailed:
        return fresh
    return fresh


def _read(file: Path) -> bytes | None:
    try:
        kept = file.read_bytes()
    except OSError:
        return None
    return kept if len(kept) == _LENGTH else None
