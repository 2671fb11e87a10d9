"""One computation for equal calls at once: the first computes, the others wait for its answer."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import Any

from wetend.errors import WetendError


@dataclass(eq=False)
class Flight:
    """A computation going on."""

    owner: str = ""
    thread: int = field(default_factory=threading.get_ident)
    ended: threading.Event = field(default_factory=threading.Event)
    value: Any = None
    fault: BaseException | None = None
    outdated: bool = False
    """Whether what it computes is not to be held: the memory was emptied meanwhile."""

    def carry_out(self, make: Callable[[], Any]) -> Any:
        """Compute, and note what came of it."""
        try:
            self.value = make()
        except BaseException as fault:
            self.fault = fault
            raise
        return self.value

    def answer(self) -> bool:
        """Wait for what another thread computes; whether its value answers this call too.

        A refusal in a sentence is everybody's. Anything else, such as a sender that hung up, is the
        affair of whoever computed: the others then compute for themselves.

        Raises:
            WetendError: the computation was refused.
        """
        self.ended.wait()
        if isinstance(self.fault, WetendError) and not self.fault.personal:
            raise self.fault
        return self.fault is None


class Flights:
    """Computations going on, by what is computed. Whoever calls it holds its owner's lock."""

    def __init__(self) -> None:
        """None is going on."""
        self._going: dict[Hashable, Flight] = {}

    def begin(self, key: Hashable, owner: str = "") -> Flight:
        """A new one, of this thread."""
        self._going[key] = made = Flight(owner)
        return made

    def find(self, key: Hashable) -> Flight | None:
        """The one to wait for; ``None`` where there is none, or it is this thread's own."""
        found = self._going.get(key)
        return None if found is None or found.thread == threading.get_ident() else found

    def end(self, key: Hashable, flight: Flight) -> None:
        """It is over."""
        if self._going.get(key) is flight:
            del self._going[key]
        flight.ended.set()

    def outdate(self, owner: str | None = None) -> None:
        """Hold nothing of what is being computed, for all or one owner; new calls start again."""
        for key, flight in list(self._going.items()):
            if owner is None or flight.owner == owner:
                flight.outdated = True
                del self._going[key]
