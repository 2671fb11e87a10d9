"""Object code made of what the compiler compiled, and tried before it is kept."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import llvmlite.binding as llvm
from numba import types
from numba.core.datamodel import default_manager

from wetend.jit.object_code import Kept, packed

_FAILURES = frozenset({"numba_gil_ensure", "numba_gil_release", "numba_unpickle"})
"""What compiled code calls to raise an error; ours raises none."""
_TRIED = "import sys, pathlib; from wetend.jit.object_code import loaded; \
sys.exit(loaded(pathlib.Path(sys.argv[1])) is None)"
_LONGEST = 60.0


def letters(kind: Any) -> str:
    """How a type is written in a file of object code: see :class:`.object_code.Kept`."""
    if isinstance(kind, types.Array):
        return f"{letters(kind.dtype)}{kind.ndim}"
    if isinstance(kind, types.BaseTuple):
        return "".join(map(letters, kind))
    if isinstance(kind, types.FunctionType):
        return "f"
    return {types.float64: "d", types.int64: "l", types.boolean: "b"}[kind]


def keep(file: Path, compiled: Mapping[str, Any]) -> bool:
    """Write functions compiled for one signature each to a file; whether that could be done.

    A new process reads it before it takes its name, for what that can't make sense of ends it;
    where it can't, an empty file says so.
    """
    fresh = file.with_name(f"{file.name}.{os.getpid()}")
    fresh.write_bytes(_object_code(compiled) if _as_expected(compiled) else b"")
    sound = fresh.stat().st_size > 0 and _can_be_read(fresh)
    if not sound:
        fresh.write_bytes(b"")
    fresh.replace(file)
    return sound


def _can_be_read(file: Path) -> bool:
    try:
        tried = subprocess.run(  # noqa: S603  # nothing typed by people gets into the command
            [sys.executable, "-P", "-c", _TRIED, str(file)], check=False, timeout=_LONGEST,
            capture_output=True,
        )  # fmt: skip
    except (OSError, subprocess.TimeoutExpired):
        return False
    return tried.returncode == 0


def _as_expected(compiled: Mapping[str, Any]) -> bool:
    """Whether this compiler has functions take what :class:`.object_code.Function` hands over."""
    for function in compiled.values():
        (made,) = function.overloads.values()
        module = made.library._get_module_for_linking()
        takes = module.get_function(made.fndesc.llvm_func_name).arguments
        handed = sum(map(_handed, made.signature.args))
        if len(list(takes)) != 2 + handed:  # an answer's place and an error's before them
            return False
        for kind in made.signature.args:
            fields = getattr(default_manager.lookup(kind), "_fields", ())
            if isinstance(kind, types.FunctionType) and fields[-1:] != ("jit_addr",):
                return False
    return True


def _handed(kind: Any) -> int:
    """How many numbers and addresses are handed over for a type."""
    if isinstance(kind, types.Array):
        return 5 + 2 * int(kind.ndim)
    if isinstance(kind, types.BaseTuple):
        return sum(map(_handed, kind))
    return 3 if isinstance(kind, types.FunctionType) else 1


def _object_code(compiled: Mapping[str, Any]) -> bytes:
    found: dict[str, Kept] = {}
    pieces: list[bytes] = []
    needed: set[str] = set()
    for name, function in compiled.items():
        (made,) = function.overloads.values()
        symbol = made.fndesc.llvm_func_name
        found[name] = Kept(symbol, "".join(map(letters, made.signature.args)))
        # the compiler has no other way to what it made
        module = made.library._get_module_for_linking().clone()
        machine = made.library._codegen._tm
        _leave_alone(module, machine, symbol)
        pieces.append(machine.emit_object(module))
        for each in (*module.functions, *module.global_variables):
            if each.is_declaration and not each.name.startswith("llvm."):
                needed.add(each.name)
    never = needed & _FAILURES
    return packed(found, pieces, needs=sorted(needed - never), never=sorted(never))


def _leave_alone(module: Any, machine: Any, symbol: str) -> None:
    """Leave in a module only one function and what it calls: not what calls it from Python."""
    for each in (*module.functions, *module.global_variables):
        if not each.is_declaration:
            each.linkage = "external" if each.name == symbol else "internal"
    manager = llvm.create_new_module_pass_manager()
    manager.add_global_dead_code_eliminate_pass()
    builder = llvm.create_pass_builder(machine, llvm.create_pipeline_tuning_options())
    manager.run(module, builder)
