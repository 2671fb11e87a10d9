"""Limits how many forms are processed at once, so that other pages stay fast.

What a form changes is computed before it is kept; sixteen forms computed side by side would take
sixteen seventeenths of the interpreter from whoever only reads.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from weakref import WeakKeyDictionary

AT_ONCE = 2
"""Forms worked on at the same time; the others wait for their turn in the order they came."""
LONG_AT_ONCE = 2
"""The same of files that take seconds, which hold no form up."""


class SlotLimit:
    """A limited number of slots; each is released when its work ends."""

    def __init__(self, at_once: int) -> None:
        self._at_once = at_once
        self._by_loop: WeakKeyDictionary[asyncio.AbstractEventLoop, asyncio.Semaphore]
        self._by_loop = WeakKeyDictionary()

    @asynccontextmanager
    async def taken(self) -> AsyncIterator[Turn]:
        """Wait for a slot and hold it."""
        loop = asyncio.get_running_loop()
        turn = Turn(self._by_loop.setdefault(loop, asyncio.Semaphore(self._at_once)))
        await turn.take()
        try:
            yield turn
        finally:
            turn.give_back()


class Turn:
    """One slot, which may be released early."""

    def __init__(self, free: asyncio.Semaphore) -> None:
        self._free, self._held = free, False

    async def take(self) -> None:
        """Wait for the slot."""
        await self._free.acquire()
        self._held = True

    def give_back(self) -> None:
        """Release the slot; a second call does nothing."""
        if self._held:
            self._held = False
            self._free.release()


FORMS = SlotLimit(AT_ONCE)
FILES = SlotLimit(LONG_AT_ONCE)
