"""How the sums of many strokes are compiled: for any processor at hand, kept on disk.

What is kept lies in a folder named after a digest of all sources here, since a compiled function
holds copies of those it calls: after any change or upgrade a new folder is begun. The folder is
beside the sources where those can be written, else in the person's cache folder, else nowhere;
``WETEND_COMPILED`` names another place.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numba
from platformdirs import user_cache_path

Function = TypeVar("Function", bound=Callable[..., Any])

_HERE = Path(__file__).parent
_FUSED = {"contract"}
"""A product and a sum may be rounded once instead of twice; nothing else is let go, so infinities
and what is not a number stay what they are."""


def _kept_in() -> Path | None:
    """Folder for compiled code, or ``None`` where none can be written."""
    whole = hashlib.sha256()
    for path in sorted(_HERE.glob("*.py")):
        whole.update(path.read_bytes())
    name = f"compiled-{whole.hexdigest()[:16]}"
    chosen = os.environ.get("WETEND_COMPILED")
    for parent in (Path(chosen),) if chosen else (_HERE / "__pycache__", user_cache_path("wetend")):
        folder = parent / name
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(folder, os.W_OK):
            return folder
    return None


KEPT_IN = _kept_in()


def inner(function: Function) -> Function:
    """Compile a function that only compiled functions call; it is compiled into each of them."""
    return numba.njit(  # type: ignore[no-any-return]
        nogil=True, error_model="numpy", fastmath=_FUSED, no_cpython_wrapper=True,
        no_cfunc_wrapper=True,
    )(function)  # fmt: skip


def kept(function: Function) -> Function:
    """Compile a function at its first call, and keep it on disk.

    Division by nought gives an infinity, as in NumPy; it runs free of the interpreter's lock.
    """
    elsewhere, folder = numba.config.CACHE_DIR, KEPT_IN
    numba.config.CACHE_DIR = str(folder or "")
    try:
        made = numba.njit(
            cache=folder is not None, nogil=True, error_model="numpy", fastmath=_FUSED
        )(function)
    finally:
        numba.config.CACHE_DIR = elsewhere
    return made  # type: ignore[no-any-return]
