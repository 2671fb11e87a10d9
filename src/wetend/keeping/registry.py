"""Every memory by its name: its figures, and how it is emptied."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True)
class Figures:
    """What one memory holds and of what use it was since the program began."""

    name: str
    entries: int
    bytes: int
    """Estimated."""
    most: int | None
    """Bytes it may hold; ``None`` for what is read once from tables the program ships."""
    hits: int
    """Calls answered from memory."""
    joined: int
    """Calls that waited for an equal one going on."""
    misses: int
    """Computations."""
    evictions: int
    """Answers evicted."""
    refused: int
    """Answers too large."""


class Memory(Protocol):
    """Something that can be reported on and emptied."""

    name: str

    def figures(self) -> Figures:
        """What it holds and of what use it was."""
        ...

    def forget(self) -> None:
        """Hold nothing any more."""
        ...

    def forget_owner(self, owner: str) -> None:
        """Hold nothing of this owner any more."""
        ...


_MEMORIES: dict[str, Memory] = {}
_LOCK = threading.Lock()


def register(memory: Memory) -> None:
    """List a memory under its name.

    Raises:
        ValueError: another has the name.
    """
    with _LOCK:
        if memory.name in _MEMORIES:
            raise ValueError(f"Two memories are named “{memory.name}”.")
        _MEMORIES[memory.name] = memory


def _all() -> list[Memory]:
    with _LOCK:
        return [_MEMORIES[name] for name in sorted(_MEMORIES)]


def figures() -> tuple[Figures, ...]:
    """Of every memory of the modules read in so far, by name."""
    return tuple(memory.figures() for memory in _all())


def forget(name: str) -> None:
    """Empty the memory of this name.

    Raises:
        KeyError: there is none.
    """
    with _LOCK:
        memory = _MEMORIES[name]
    memory.forget()


def forget_owner(owner: str) -> None:
    """Drop from every memory what belongs to an owner: a depot, by its address."""
    for memory in _all():
        memory.forget_owner(owner)


def forget_all() -> None:
    """Empty every memory."""
    for memory in _all():
        memory.forget()
