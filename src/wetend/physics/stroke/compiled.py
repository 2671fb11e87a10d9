"""How the sums of many strokes are compiled: for any processor at hand, kept on disk."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import numba

from wetend.physics.stroke.kept import KEPT_IN

Function = TypeVar("Function", bound=Callable[..., Any])

_FUSED = {"contract"}
"""A product and a sum may be rounded once instead of twice; nothing else is let go, so infinities
and what is not a number stay what they are."""


def inner(function: Function) -> Function:
    """Compile a function that only compiled functions call; it is compiled into each of them."""
    return numba.njit(  # type: ignore[no-any-return]
        nogil=True, error_model="numpy", fastmath=_FUSED, _nrt=False, no_cpython_wrapper=True,
        no_cfunc_wrapper=True,
    )(function)  # fmt: skip


def kept(function: Function) -> Function:
    """Compile a function at its first call, and keep it on disk.

    Division by zero gives an infinity, as in NumPy; it runs free of the interpreter's lock, and
    makes no array of its own.
    """
    elsewhere, folder = numba.config.CACHE_DIR, KEPT_IN
    numba.config.CACHE_DIR = str(folder or "")
    try:
        made = numba.njit(
            cache=folder is not None, nogil=True, error_model="numpy", fastmath=_FUSED, _nrt=False
        )(function)
    finally:
        numba.config.CACHE_DIR = elsewhere
    return made  # type: ignore[no-any-return]
