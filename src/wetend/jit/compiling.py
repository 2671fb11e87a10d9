"""Compile functions, or read them back where they were compiled before.

Functions are compiled with fixed signatures, kept on disk (:mod:`.folder`), and run free of the
interpreter's lock. Division by zero gives an infinity, as in NumPy; no bounds are checked, and no
compiled function asks for memory.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Sequence
from types import FunctionType
from typing import Any

import numba
from numba import types
from numba.core.errors import NumbaError

from wetend.jit.folder import CompiledCode, code_of
from wetend.jit.kinds import SPECS, Kind
from wetend.jit.object_making import keep
from wetend.keeping import constant

Function = Callable[..., Any]

_FUSED = {"contract"}
"""Nothing else is let go, so infinities and what is not a number stay what they are."""


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
    returns, *takes = (numba_type(part) for part in kind.parts)
    return returns(*takes)


def _code(function: Function) -> CompiledCode:
    return code_of(function.__module__.rpartition(".")[0])


@constant("compiled functions", weighed=False)
def made(function: Function) -> Any:
    """The compiled one of a function, with those it calls.

    Where all was compiled before it is read back alone: the machine code of those it calls is
    within its own, and reading each of them back too would take several times as long.
    """
    if _code(function).is_whole():
        try:
            return _made(function, dict(function.__globals__))
        except NumbaError:  # not there after all
            return _made(function, _names_of(function))
    return _made(function, _names_of(function))


def _made(function: Function, names: dict[str, Any]) -> Any:
    """The compiled one of a function; ``names`` is what its names stand for."""
    spec, folder = SPECS[function], _code(function).folder
    code = (spec.one or function).__code__
    twin = FunctionType(code, names, function.__name__, function.__defaults__)
    twin.__qualname__, twin.__doc__ = function.__qualname__, function.__doc__
    options = dict.fromkeys(("no_cpython_wrapper", "no_cfunc_wrapper"), True) if spec.inner else {}
    options["forceinline"] = spec.inlined
    elsewhere = numba.config.CACHE_DIR
    numba.config.CACHE_DIR = str(folder or "")
    try:
        return numba.njit(
            signature_of(spec.signature), cache=folder is not None, nogil=True,
            error_model="numpy", boundscheck=False, _nrt=False,
            fastmath=_FUSED if spec.fused else False, **options,
        )(twin)  # fmt: skip
    finally:
        numba.config.CACHE_DIR = elsewhere


def _names_of(function: Function) -> dict[str, Any]:
    """What a function's names stand for, those of compiled functions for these."""
    names = dict(function.__globals__)
    for name in (SPECS[function].one or function).__code__.co_names:
        value = names.get(name)
        if isinstance(value, FunctionType) and value in SPECS:
            names[name] = made(value)
    return names


class FunctionPointer(types.WrapperAddressProtocol):  # type: ignore[misc]
    """A compiled function to be called, or handed to another by its address and signature."""

    def __init__(self, function: Function) -> None:
        """Compile it, or read it back."""
        self._made = made(function)
        self._signature = signature_of(SPECS[function].signature)
        self._address: int | None = None

    def __call__(self, *given: Any) -> Any:
        """Run it."""
        return self._made(*given)

    def __wrapper_address__(self) -> int:
        """Where it is in memory, looked up once."""
        if self._address is None:
            result = self._made.get_compile_result(self._signature)
            self._address = result.library.get_pointer_to_function(
                result.fndesc.llvm_cfunc_wrapper_name
            )
        return self._address

    def signature(self) -> Any:
        """What it takes and returns."""
        return self._signature


def functions_of(native: Sequence[Function]) -> dict[str, FunctionPointer]:
    """These functions compiled, by name."""
    return {function.__name__: FunctionPointer(function) for function in native}


def keep_all(module: str) -> None:
    """Compile what a module lists as ``NATIVE`` and keep it, where there is a place for it."""
    listed = importlib.import_module(module).NATIVE
    code = code_of(module.rpartition(".")[0])
    compiled = {function.__name__: made(function) for function in listed}
    if code.object_file is not None:
        keep(code.object_file, compiled)
    code.mark_whole()
