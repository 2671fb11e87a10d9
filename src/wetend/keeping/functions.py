"""A memory before a function."""

from __future__ import annotations

import functools
import threading
from collections.abc import Callable, Hashable
from typing import Any, Generic, ParamSpec, TypeVar

from wetend.keeping.flights import Flights
from wetend.keeping.memory import Keep
from wetend.keeping.registry import Figures, register
from wetend.keeping.weight import estimated_bytes

P = ParamSpec("P")
R = TypeVar("R")
_NAMED = object()
"""Stands in a key between what is given by place and what by name."""


def _key(args: tuple[Any, ...], named: dict[str, Any]) -> Hashable:
    return (*args, _NAMED, *sorted(named.items())) if named else args


class KeptFunction(Generic[P, R]):
    """A function whose answers are held within so many bytes."""

    def __init__(self, function: Callable[P, R], memory: Keep[R]) -> None:
        """Put a memory before a function."""
        functools.update_wrapper(self, function)
        self._function, self.memory = function, memory

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> R:
        """The function's answer, from memory where it is there."""
        return self.memory.get(_key(args, kwargs), lambda: self._function(*args, **kwargs))

    def holds(self, *args: P.args, **kwargs: P.kwargs) -> bool:
        """Whether the answer to this call is there."""
        return self.memory.has(_key(args, kwargs))

    def forget(self) -> None:
        """Hold nothing any more."""
        self.memory.forget()

    def figures(self) -> Figures:
        """What is held and of what use it was."""
        return self.memory.figures()


def kept(
    name: str, *, most: int, grows: bool = False
) -> Callable[[Callable[P, R]], KeptFunction[P, R]]:
    """Hold a function's answers under its arguments; arguments must be hashable.

    Args:
        name: what is held, in a few words; no other memory has it.
        most: bytes to be held, estimated.
        grows: whether answers take more memory as they are used.

    >>> @kept("squares of this example", most=1_000_000)
    ... def square(number: int) -> int:
    ...     return number * number
    >>> square(12), square(12), square.figures().misses
    (144, 144, 1)
    """

    def put_before(function: Callable[P, R]) -> KeptFunction[P, R]:
        return KeptFunction(function, Keep(name, most=most, grows=grows))

    return put_before


class Constant(Generic[P, R]):
    """A function whose few answers never change: read once, held as long as the program runs."""

    def __init__(self, name: str, function: Callable[P, R], *, weighed: bool = True) -> None:
        """Put a memory before a function; not ``weighed`` is what another library holds anyway."""
        functools.update_wrapper(self, function)
        self.name, self._function, self._weighed = name, function, weighed
        self._lock, self._flights = threading.RLock(), Flights()
        self._values: dict[Hashable, R] = {}
        self._at_hand: Any = functools.cache(self._once)  # typed as taking no named arguments
        self._joined = 0
        register(self)

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> R:
        """The function's answer."""
        found: R = self._at_hand(*args, **kwargs)
        return found

    def _once(self, *args: Any, **kwargs: Any) -> R:
        key = _key(args, kwargs)
        while True:
            with self._lock:
                if key in self._values:
                    return self._values[key]
                other = self._flights.find(key)
                if other is None:
                    mine = self._flights.begin(key)
                    break
                self._joined += 1
            if other.answer():
                found: R = other.value
                return found
        try:
            value: R = mine.carry_out(lambda: self._function(*args, **kwargs))
            with self._lock:
                if not mine.outdated:
                    self._values[key] = value
        finally:
            with self._lock:
                self._flights.end(key, mine)
        return value

    def forget(self) -> None:
        """Read again when it is next asked for."""
        with self._lock:
            self._flights.outdate()
            self._values.clear()
        self._at_hand.cache_clear()

    def forget_owner(self, owner: str) -> None:
        """Nothing: what never changes belongs to nobody."""

    def figures(self) -> Figures:
        """What is held and of what use it was."""
        info = self._at_hand.cache_info()
        with self._lock:
            values = list(self._values.values())
        return Figures(
            self.name, len(values), estimated_bytes(*values) if self._weighed else 0, None,
            info.hits, self._joined, info.misses - self._joined, 0, 0,
        )  # fmt: skip


def constant(name: str, *, weighed: bool = True) -> Callable[[Callable[P, R]], Constant[P, R]]:
    """Hold what a function reads once from tables that the program ships, under its arguments.

    Args:
        name: what is held, in a few words; no other memory has it.
        weighed: whether its bytes are counted; not those of what another library holds anyway.
    """

    def put_before(function: Callable[P, R]) -> Constant[P, R]:
        return Constant(name, function, weighed=weighed)

    return put_before
