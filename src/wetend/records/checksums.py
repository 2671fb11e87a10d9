"""Checksums that detect altered or missing entries.

A checksum is BLAKE2b of 16 bytes (RFC 7693) over all that is kept of one entry. The tally is the
number of entries and the exclusive or of their checksums, so it depends on the set alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import blake2b
from typing import Self

from wetend.units.message import Message

_TALLY = re.compile(r"([0-9]{1,15}) ([0-9a-f]{32})")


def checksum(values: Sequence[str | None]) -> str:
    """The checksum of texts, each told from the next and from none: 32 hex digits.

    >>> checksum(["ab", "c"]) == checksum(["a", "bc"]), checksum([""]) == checksum([None])
    (False, False)

    Raises:
        UnicodeEncodeError: a text holds what is no character.
    """
    text = "".join(["-" if v is None else f"{len(v)}:{v}" for v in values])
    return blake2b(text.encode(), digest_size=16).hexdigest()


def moment_text(at: datetime) -> str:
    """A time as it goes into a checksum: UTC, to the microsecond, as SQLite keeps it.

    >>> moment_text(datetime(2031, 5, 4, 12, 30, tzinfo=UTC))
    '2031-05-04 12:30:00.000000'
    """
    return at.astimezone(UTC).replace(tzinfo=None).isoformat(" ", "microseconds")


@dataclass(frozen=True)
class Tally:
    """How many entries there are, and all their checksums in one number."""

    count: int = 0
    mixed: int = 0

    def with_more(self, checksums: Iterable[str]) -> Self:
        """The tally once these entries have been added."""
        count, mixed = self.count, self.mixed
        for each in checksums:
            count, mixed = count + 1, mixed ^ int(each, 16)
        return type(self)(count, mixed)

    def __str__(self) -> str:
        return Message("{count} {mixed:032x}", count=self.count, mixed=self.mixed)

    @classmethod
    def read(cls, text: str | None) -> Self | None:
        """A tally from its text; ``None`` where it is none."""
        found = _TALLY.fullmatch(text or "")
        return cls(int(found[1]), int(found[2], 16)) if found else None
