"""What has been compiled of this folder already, and whose turn it is to compile the rest."""

from __future__ import annotations

import time
from pathlib import Path

from wetend.physics.stroke.compiled_folder import kept_in

_DONE, _CLAIM = "whole", "begun"
KEPT_IN = kept_in(Path(__file__).parent)
"""Folder for compiled code, or ``None`` where none can be written."""
OBJECT_FILE = KEPT_IN / "native.object" if KEPT_IN is not None else None
"""The same as object code, which is read without the compiler."""


def is_whole() -> bool:
    """Whether everything an answer needs has been compiled and kept."""
    return KEPT_IN is not None and (KEPT_IN / _DONE).exists()


def mark_whole() -> None:
    """Say that everything an answer needs is kept now."""
    if KEPT_IN is not None:
        (KEPT_IN / _DONE).touch()
        let_go()


def claim(longest: float) -> bool:
    """Whether it falls to this process to compile; a claim older than so many seconds is dead."""
    if KEPT_IN is None:
        return True
    place = KEPT_IN / _CLAIM
    try:
        if place.exists() and time.time() - place.stat().st_mtime > longest:
            place.unlink()
        place.touch(exist_ok=False)
    except FileExistsError:
        return False
    except OSError:
        return True
    return True


def let_go() -> None:
    """Give the claim up."""
    if KEPT_IN is not None:
        (KEPT_IN / _CLAIM).unlink(missing_ok=True)


def wait_for_whole(longest: float, pause: float) -> None:
    """Wait until another process has compiled everything, or gives up."""
    end = time.monotonic() + longest
    while not is_whole() and time.monotonic() < end and KEPT_IN and (KEPT_IN / _CLAIM).exists():
        time.sleep(pause)
