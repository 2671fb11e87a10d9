"""Compile the functions of this folder, or read them back where they were compiled before.

``python -m wetend.physics.motion.compiling`` does all that an answer needs. Functions are compiled
with fixed signatures, kept on disk (:mod:`.kept`), and run free of the GIL. Division by zero
gives an infinity, as in NumPy; no bounds are checked.
"""

from __future__ import annotations

from collections.abc import Callable
from types import FunctionType
from typing import Any

import numba
from numba import types
from numba.core.errors import NumbaError

from wetend.keeping import constant
from wetend.physics.motion.compiled import TOLD, Kind
from wetend.physics.motion.kept import KEPT_IN, is_whole

Function = Callable[..., Any]


@constant("types of compiled functions", weighed=False)
def numba_type(kind: Kind) -> Any:
    """The compiler's own type."""
    if kind.form == "function":
        return types.FunctionType(signature_of(kind))
    parts = [numba_type(part) for part in kind.parts]
    if kind.form == "tuple":
        return types.Tuple(parts)  # type: ignore[no-untyped-call]
    if kind.form == "named":
        same = len(set(parts)) == 1
        return (
            types.NamedUniTuple(parts[0], len(parts), kind.cls)
            if same
            else types.NamedTuple(parts, kind.cls)
        )
    scalar = getattr(types, kind.name)
    return scalar if kind.form == "number" else types.Array(scalar, kind.size, "C")


@constant("signatures of compiled functions", weighed=False)
def signature_of(kind: Kind) -> Any:
    """The compiler's signature of a kind of function."""
    gives, *takes = (numba_type(part) for part in kind.parts)
    return gives(*takes)


@constant("compiled functions", weighed=False)
def made(function: Function) -> Any:
    """The compiled one of a function, with those it calls.

    Where all was compiled before it is read back alone: the machine code of those it calls is
    within its own, and reading each of them back too would take several times as long.
    """
    if is_whole():
        try:
            return _made(function, dict(function.__globals__))
        except NumbaError:  # not there after all
            return _made(function, _names_of(function))
    return _made(function, _names_of(function))


def _made(function: Function, names: dict[str, Any]) -> Any:
    """The compiled one of a function; ``names`` is what its names stand for."""
    told = TOLD[function]
    twin = FunctionType(function.__code__, names, function.__name__, function.__defaults__)
    twin.__qualname__, twin.__doc__ = function.__qualname__, function.__doc__
    options = dict.fromkeys(("no_cpython_wrapper", "no_cfunc_wrapper"), True) if told.inner else {}
    options["forceinline"] = told.inlined
    elsewhere = numba.config.CACHE_DIR
    numba.config.CACHE_DIR = str(KEPT_IN or "")
    try:
        return numba.njit(
            signature_of(told.signature), cache=KEPT_IN is not None, nogil=True,
            error_model="numpy", boundscheck=False, _nrt=False, **options,
        )(twin)  # fmt: skip
    finally:
        numba.config.CACHE_DIR = elsewhere


def _names_of(function: Function) -> dict[str, Any]:
    """What a function's names stand for, those of compiled functions for these."""
    names = dict(function.__globals__)
    for name in function.__code__.co_names:
        value = names.get(name)
        if isinstance(value, FunctionType) and value in TOLD:
            names[name] = made(value)
    return names


class FunctionPointer(types.WrapperAddressProtocol):  # type: ignore[misc]
    """A compiled function handed to another: its address with its signature, looked up once."""

    def __init__(self, function: Function) -> None:
        """Look the address up."""
        self._kept = made(function)
        self._signature = signature_of(TOLD[function].signature)
        library = self._kept.get_compile_result(self._signature)
        self._address: int = library.library.get_pointer_to_function(
            library.fndesc.llvm_cfunc_wrapper_name
        )

    def __wrapper_address__(self) -> int:
        """Where it is in memory."""
        return self._address

    def signature(self) -> Any:
        """What it takes and gives."""
        return self._signature
