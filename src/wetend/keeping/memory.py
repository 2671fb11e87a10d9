"""A bounded memory of computed things: the least recently used go first (cachetools)."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from cachetools import LRUCache

from wetend.keeping.flights import Flight, Flights
from wetend.keeping.registry import Figures, register
from wetend.keeping.weight import estimated_bytes

V = TypeVar("V")
MB = 1_000_000
"""Bytes."""


@dataclass(eq=False, slots=True)
class _Held(Generic[V]):
    """One answer held, in the order of use."""

    key: Hashable
    value: V
    owner: str
    weight: int
    hits: int = 0


@dataclass(slots=True)
class _Counts:
    hits: int = 0
    joined: int = 0
    misses: int = 0
    evictions: int = 0
    refused: int = 0


class _Latest(LRUCache[_Held[Any], _Held[Any]]):
    """Answers within so many bytes; says which it drops to make room.

    It knows them by identity: pumps and readings take long to hash and to compare.
    """

    def __init__(self, most: int, dropped: Callable[[_Held[Any]], None]) -> None:
        super().__init__(most, getsizeof=lambda held: min(held.weight, most))
        self._dropped = dropped

    def popitem(self) -> tuple[_Held[Any], _Held[Any]]:
        """Drop the least recently used."""
        held, _ = super().popitem()
        self._dropped(held)
        return held, held


class Keep(Generic[V]):
    """Computed things under what they follow from; safe to share between threads.

    Equal calls at once compute once. An answer larger than all that may be held is not held, unless
    the newest always is.
    """

    def __init__(
        self, name: str, *, most: int, weigh: Callable[..., int] = estimated_bytes,
        grows: bool = False, newest: bool = False,
    ) -> None:  # fmt: skip
        """An empty memory, listed under its name.

        Args:
            name: what it holds, in a few words; no other memory has it.
            most: bytes it may hold, estimated.
            weigh: estimates the bytes of a key and its value together.
            grows: whether values take more memory as they are used: they are weighed again then.
            newest: whether the newest is held even where it alone takes more than ``most``.
        """
        self.name, self.most = name, most
        self._weigh, self._grows, self._newest = weigh, grows, newest
        self._lock = threading.RLock()
        self._counts, self._flights = _Counts(), Flights()
        self._by_key: dict[Hashable, _Held[V]] = {}
        self._latest = _Latest(most, self._evicted)
        register(self)

    def get(
        self, key: Hashable, make: Callable[[], V], *, owner: str = "",
        fits: Callable[[V], bool] | None = None,
    ) -> V:  # fmt: skip
        """What is held under a key, else what ``make`` computes, held from then on.

        Args:
            key: all that the answer follows from.
            make: computes it; an equal call meanwhile waits for this one.
            owner: to whom it belongs, such as a depot's address: see :meth:`forget_owner`.
            fits: whether what is held still answers; where it does not, it is computed again.
        """
        while True:
            with self._lock:
                held = self._by_key.get(key)
                if held is not None and (fits is None or fits(held.value)):
                    self._counts.hits += 1
                    self._used(held)
                    return held.value
                other = self._flights.find(key)
                if other is None:
                    self._counts.misses += 1
                    mine = self._flights.begin(key, owner)
                    break
                self._counts.joined += 1
            if other.answer() and (fits is None or fits(other.value)):
                value: V = other.value
                return value
        return self._computed(key, mine, make)

    def _computed(self, key: Hashable, mine: Flight, make: Callable[[], V]) -> V:
        try:
            value: V = mine.carry_out(make)
            weight = self._weigh(key, value)
            with self._lock:
                if not mine.outdated:
                    self._hold(_Held(key, value, mine.owner, weight))
        finally:
            with self._lock:
                self._flights.end(key, mine)
        return value

    def has(self, key: Hashable) -> bool:
        """Whether something is held under a key; this is no use of it."""
        with self._lock:
            return key in self._by_key

    def peek(self, key: Hashable) -> V | None:
        """What is held under a key; ``None`` where nothing is. Not counted."""
        with self._lock:
            held = self._by_key.get(key)
            if held is None:
                return None
            self._used(held)
            return held.value

    def put(self, key: Hashable, value: V, *, owner: str = "") -> None:
        """Hold this under a key, whatever was held there."""
        weight = self._weigh(key, value)
        with self._lock:
            self._hold(_Held(key, value, owner, weight))

    def drop(self, key: Hashable) -> None:
        """Hold nothing under a key any more."""
        with self._lock:
            self._drop(self._by_key.get(key))

    def _hold(self, held: _Held[V]) -> None:
        self._drop(self._by_key.get(held.key))
        if held.weight > self.most and not self._newest:
            self._counts.refused += 1
            return
        self._latest[held] = held
        self._by_key[held.key] = held

    def _used(self, held: _Held[V]) -> None:
        self._latest[held]
        held.hits += 1
        if self._grows and held.hits & (held.hits - 1) == 0:  # at the 1st, 2nd, 4th, 8th ... use
            held.weight = self._weigh(held.key, held.value)
            if held.weight > self.most and not self._newest:
                self._drop(held)
            else:
                self._latest[held] = held

    def _drop(self, held: _Held[V] | None) -> None:
        if held is not None:
            del self._by_key[held.key]
            del self._latest[held]

    def _evicted(self, held: _Held[Any]) -> None:
        del self._by_key[held.key]
        self._counts.evictions += 1

    def forget(self) -> None:
        """Hold nothing any more; what is being computed now is not held either."""
        with self._lock:
            self._flights.outdate()
            self._by_key.clear()
            self._latest.clear()

    def forget_owner(self, owner: str) -> None:
        """Hold nothing of this owner any more."""
        with self._lock:
            self._flights.outdate(owner)
            for held in [h for h in self._by_key.values() if h.owner == owner]:
                self._drop(held)

    def figures(self) -> Figures:
        """What it holds and of what use it was."""
        with self._lock:
            counts, weight = self._counts, sum(held.weight for held in self._by_key.values())
            return Figures(
                self.name, len(self._by_key), weight, self.most, counts.hits, counts.joined,
                counts.misses, counts.evictions, counts.refused,
            )  # fmt: skip
