"""How functions of this folder are compiled: with a fixed signature, kept on disk, free of the GIL.

A fixed signature is compiled when its module is first imported; later processes read it back. What
is kept lies in a folder named after a digest of all sources here, since a compiled function holds
copies of those it calls: after any change or upgrade a new folder is begun. The folder is beside
the sources where those can be written, else in the person's cache folder, else nowhere;
``WETEND_COMPILED`` names another place.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numba
from numba import types
from platformdirs import user_cache_path

Real = types.float64
Whole = types.int64
Flag = types.boolean
Reals = types.Array(Real, 1, "C")
Wholes = types.Array(Whole, 1, "C")
Table = types.Array(Real, 2, "C")
WholeTable = types.Array(Whole, 2, "C")
Nothing = types.void

Function = TypeVar("Function", bound=Callable[..., Any])

_HERE = Path(__file__).parent


def _digest() -> str:
    whole = hashlib.sha256()
    for path in sorted(_HERE.glob("*.py")):
        whole.update(path.read_bytes())
    return whole.hexdigest()[:16]


def _kept_in() -> Path | None:
    """Folder for compiled code, or ``None`` where none can be written."""
    name = f"compiled-{_digest()}"
    chosen = os.environ.get("WETEND_COMPILED")
    places = (_HERE / "__pycache__", user_cache_path("wetend"))
    for parent in (Path(chosen),) if chosen else places:
        folder = parent / name
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(folder, os.W_OK):
            return folder
    return None


KEPT_IN = _kept_in()


def _compile(function: Function, signature: Any, **options: bool) -> Function:
    elsewhere = numba.config.CACHE_DIR
    numba.config.CACHE_DIR = str(KEPT_IN or "")
    try:
        made = numba.njit(
            signature, cache=KEPT_IN is not None, nogil=True, error_model="numpy",
            boundscheck=False, _nrt=False, **options,
        )(function)  # fmt: skip
    finally:
        numba.config.CACHE_DIR = elsewhere
    return made  # type: ignore[no-any-return]


def compiled(signature: Any) -> Callable[[Function], Function]:
    """Compile a function for this one signature.

    Division by nought gives an infinity, as in NumPy; no bounds are checked.
    """
    return lambda function: _compile(function, signature)


def inner(signature: Any) -> Callable[[Function], Function]:
    """Compile a function that only compiled functions call: quicker to compile."""
    return lambda function: _compile(
        function, signature, no_cpython_wrapper=True, no_cfunc_wrapper=True
    )


class Handed(types.WrapperAddressProtocol):  # type: ignore[misc]
    """A compiled function handed to another: its address with its signature, looked up once."""

    def __init__(self, function: Callable[..., Any], signature: Any) -> None:
        """Look the address up."""
        made = function.get_compile_result(signature)  # type: ignore[attr-defined]
        self._kept = function
        self._signature = signature
        self._address: int = made.library.get_pointer_to_function(
            made.fndesc.llvm_cfunc_wrapper_name
        )

    def __wrapper_address__(self) -> int:
        """Where it is in memory."""
        return self._address

    def signature(self) -> Any:
        """What it takes and gives."""
        return self._signature


def pack_type(cls: type, *members: Any) -> Any:
    """Compiled type of a named tuple."""
    return types.NamedTuple(members, cls)


def numbers(cls: type) -> Any:
    """Compiled type of a named tuple of real numbers."""
    count = len(cls._fields)  # type: ignore[attr-defined]
    return types.NamedUniTuple(Real, count, cls)


def reals(count: int) -> Any:
    """Compiled type of a plain tuple of real numbers."""
    return types.UniTuple(Real, count)  # type: ignore[no-untyped-call]
