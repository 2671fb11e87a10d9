"""Time-ordered ids made on the device: UUID version 7.

Source: RFC 9562, Universally Unique IDentifiers (UUIDs), section 5.7 for the layout and section
6.2, method 2 (monotonic random), for the order of ids made within one millisecond.
"""

from __future__ import annotations

import secrets
import threading
import time

from wetend.errors import BadInput
from wetend.units.message import Message

_TAIL_BITS = 74
_TAIL_END = 1 << _TAIL_BITS
_LATEST = (1 << 48) - 1


def _pack(milliseconds: int, tail: int) -> str:
    """Lay out 48 bits of time, the version, 12 bits, the variant and 62 bits as 32 hex digits."""
    high, low = tail >> 62, tail & ((1 << 62) - 1)
    return f"{milliseconds << 80 | 0x7 << 76 | high << 64 | 0b10 << 62 | low:032x}"


def _unpack(made: str) -> tuple[int, int]:
    """The time and the random tail of an id."""
    number = int(made, 16)
    return number >> 80, (number >> 64 & 0xFFF) << 62 | number & ((1 << 62) - 1)


class IdMaker:
    """Makes ids that only ever grow, whatever the clock does; safe to share between threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._last = (0, 0)

    def seen(self, made: str) -> None:
        """Take note of an id made elsewhere: ids made here from now on are later.

        So what a person writes comes after what they have read, though another clock runs ahead.
        """
        with self._lock:
            self._last = max(self._last, _unpack(made))

    def make(self, *, after: str | None = None) -> str:
        """The next id, later than every id made here before and later than ``after``.

        Within a millisecond, or when the clock steps back, the random tail grows by a random
        step; a full tail borrows the next millisecond.

        Raises:
            BadInput: ``after`` lies at the end of time.
        """
        with self._lock:
            self._last = _next(self._last, time.time_ns() // 1_000_000)
            if after is None or _pack(*self._last) > after:
                return _pack(*self._last)
        return _pack(*_next(_unpack(after), 0))


def _next(last: tuple[int, int], now: int) -> tuple[int, int]:
    milliseconds, tail = last
    if now > milliseconds:
        return now, secrets.randbits(_TAIL_BITS - 1)
    tail += 1 + secrets.randbits(32)
    if tail < _TAIL_END:
        return milliseconds, tail
    if milliseconds >= _LATEST:
        raise BadInput(
            Message("No later id can be made; the clock of the device that made this is wrong.")
        )
    return milliseconds + 1, secrets.randbits(_TAIL_BITS - 1)


_MAKER = IdMaker()


def new_id(*, after: str | None = None) -> str:
    """A new id of 32 hex digits, later than ``after`` and all this process made or has seen."""
    return _MAKER.make(after=after)


def seen(made: str) -> None:
    """Take note of an id read or received: ids made from now on are later than it."""
    _MAKER.seen(made)
