"""How many bytes of memory a thing takes with all that it holds, estimated in bounded time."""

from __future__ import annotations

import gc
import sys
from collections import deque
from enum import Enum
from types import BuiltinFunctionType, CodeType, FunctionType, ModuleType
from typing import Any

_SHARED = (type, ModuleType, FunctionType, BuiltinFunctionType, CodeType, Enum)
"""Kinds of things that the program holds anyway."""
_SAMPLED = 200
"""Things within one that are weighed; of more, these stand for all."""
_MOST = 10_000
"""Things weighed in all; the rest are taken to weigh as much as these on the average."""


def _array_bytes(array: Any) -> tuple[int, Any]:
    """Bytes of a NumPy array's data, and what holds them; a view holds its whole base."""
    base = array
    while getattr(base, "base", None) is not None:
        base = base.base
    return int(getattr(base, "nbytes", array.nbytes)), base


def estimated_bytes(*things: object) -> int:
    """Bytes that some things take together, what they share counted once.

    Large containers are weighed by an even sample of what they hold. Types, functions and members
    of enumerations count nothing: the program holds them anyway.

    >>> estimated_bytes(b"x" * 1000) > 1000
    True
    """
    seen: set[int] = set()
    waiting: deque[tuple[Any, float]] = deque((thing, 1.0) for thing in things)
    total, weighed = 0.0, 0.0
    while waiting and len(seen) < _MOST:
        thing, times = waiting.popleft()
        if id(thing) in seen or isinstance(thing, _SHARED):
            continue
        seen.add(id(thing))
        own = sys.getsizeof(thing, 64)
        if hasattr(type(thing), "nbytes") and hasattr(type(thing), "base"):
            data, base = _array_bytes(thing)
            owns = own > data  # else its size is that of the head alone
            own += 0 if owns or id(base) in seen else data
            seen.add(id(base))
        total, weighed = total + times * own, weighed + times
        within = gc.get_referents(thing)
        if len(within) > _SAMPLED:
            every = within
            within = every[:: len(every) // _SAMPLED | 1]  # odd: keys and values take turns
            times *= len(every) / len(within)
        waiting.extend((each, times) for each in within)
    if waiting:
        total += total / weighed * sum(times for _, times in waiting)
    return int(total)
