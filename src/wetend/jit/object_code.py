"""Compiled functions kept on disk as object code, and called without their compiler.

Reading the compiler in takes half a second, its library and the code alone a twentieth. A file
holds a checksum, a table of its functions, and object code as :mod:`.object_making` wrote it; one
that is damaged, or of another making, is as good as none.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from ctypes import CFUNCTYPE, byref, c_double, c_int32, c_int64, c_void_p
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

import numpy as np

from wetend.errors import NoAnswer
from wetend.lazy_import import llvm

MADE = "1"
"""Number of this kind of file; of another nothing is read."""
_LETTERS = {"float64": "d", "int64": "l"}
_FINE = (0, -2)
"""What a compiled function ends with where nothing went wrong: with an answer, and without."""
_CALLED = CFUNCTYPE(c_int32)


@dataclass(frozen=True)
class Kept:
    """A function in a file of object code."""

    symbol: str
    takes: str
    """A letter for each number, ``d`` real and ``l`` whole, with a figure behind it for arrays of
    so many dimensions; ``f`` for a function. Tuples are written as what is in them."""


class Function:
    """A compiled function at an address. It lets go of the interpreter while it runs."""

    def __init__(self, address: int, takes: str) -> None:
        """Nothing is called yet."""
        self.address, self._takes = address, takes
        self._call = _CALLED(address)

    def __call__(self, *given: Any) -> int:
        """Run it; what it gives, where that is a whole number.

        Args:
            given: numbers, arrays (row after row, without gaps), tuples of these, and functions.

        Raises:
            TypeError: they are of other kinds than it takes.
            NoAnswer: it went wrong inside.
        """
        takes: list[str] = []
        flat: list[Any] = []
        for value in given:
            _flatten(value, takes, flat)
        if "".join(takes) != self._takes:
            raise TypeError(f"compiled for {self._takes}, called with {''.join(takes)}")
        answer, error = c_int64(), c_void_p()
        if self._call(byref(answer), byref(error), *flat) not in _FINE:
            raise NoAnswer("The compiled calculation went wrong inside.")
        return answer.value


def _flatten(value: Any, takes: list[str], flat: list[Any]) -> None:
    """Put a value as compiled functions take it: every number and address by itself."""
    if isinstance(value, float):
        takes.append("d")
        flat.append(c_double(value))
    elif isinstance(value, int):
        takes.append("l")
        flat.append(c_int64(value))
    elif isinstance(value, tuple):
        for part in value:
            _flatten(part, takes, flat)
    elif isinstance(value, np.ndarray):
        if not value.flags.c_contiguous or not value.flags.writeable:
            raise TypeError("compiled for arrays without gaps that may be written")
        takes.append(f"{_LETTERS[value.dtype.name]}{value.ndim}")
        flat += (c_void_p(), c_void_p(), c_int64(value.size), c_int64(value.itemsize))
        flat.append(c_void_p(value.ctypes.data))
        flat += map(c_int64, value.shape)
        flat += map(c_int64, value.strides)
    elif isinstance(value, Function):
        takes.append("f")
        flat += (c_void_p(), c_void_p(), c_void_p(value.address))
    else:
        raise TypeError(f"compiled functions take no {type(value).__name__}")


def packed(
    functions: Mapping[str, Kept], pieces: Sequence[bytes], *,
    needs: Sequence[str], never: Sequence[str],
) -> bytes:  # fmt: skip
    """A file's bytes.

    Args:
        functions: what is in it, by name.
        pieces: object code.
        needs: what the code calls outside of it.
        never: what it would call for failures that can't happen in it.
    """
    table = {
        "made": MADE, "sizes": [len(piece) for piece in pieces], "needs": needs, "never": never,
        "functions": {name: [kept.symbol, kept.takes] for name, kept in functions.items()},
    }  # fmt: skip
    rest = b"\n".join((json.dumps(table).encode(), b"".join(pieces)))
    return sha256(rest).hexdigest().encode() + b"\n" + rest


def loaded(file: Path) -> dict[str, Callable[..., int]] | None:
    """The functions of a file, ready to be called; ``None`` where there is no sound one."""
    try:
        data = file.read_bytes()
    except OSError:
        return None
    said, _, rest = data.partition(b"\n")
    if said.decode("ascii", "replace") != sha256(rest).hexdigest():
        return None
    head, _, code = rest.partition(b"\n")
    table = json.loads(head)
    if table["made"] != MADE:
        return None
    engine, start = _engine(), 0
    if any(llvm.address_of_symbol(name) is None for name in table["needs"]):
        return None
    for name in table["never"]:  # where the compiler is read in later, it puts in its own
        if llvm.address_of_symbol(name) is None:
            llvm.add_symbol(name, llvm.address_of_symbol("abort"))
    for size in table["sizes"]:
        engine.add_object_file(llvm.ObjectFileRef.from_data(code[start : start + size]))
        start += size
    engine.finalize_object()
    _ENGINES.append(engine)
    return {
        name: Function(engine.get_function_address(symbol), takes)
        for name, (symbol, takes) in table["functions"].items()
    }


def can_not_be_made(file: Path) -> bool:
    """Whether it was found that here the compiler's work can't be kept so: the file is empty."""
    try:
        return file.stat().st_size == 0
    except OSError:
        return False


_ENGINES: list[Any] = []
"""Held as long as the process: their memory is the code."""


def _engine() -> Any:
    """What puts object code into memory."""
    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    machine = llvm.Target.from_default_triple().create_target_machine(jit=True)
    return llvm.create_mcjit_compiler(llvm.parse_assembly(""), machine)
