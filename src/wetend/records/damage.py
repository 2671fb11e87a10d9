"""Damaged entries: excluded from what is shown, and reported."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Any

from wetend.units.message import Message, joined


@dataclass(frozen=True)
class Damaged:
    """What can still be read of an entry that is damaged or lost; any of it may be spoilt too."""

    id: str
    kind: str = ""
    pump: str = ""
    visit: str = ""
    at: str = ""

    @property
    def named(self) -> str:
        """The entry in a few words.

        >>> Damaged("0197" * 8, "seat", "quay-air", at="2031-05-04 12:30:00.000000").named
        'seat of quay-air, 2031-05-04 (970197)'
        """
        kind = Message(self.kind or "entry")
        what = Message("{kind} of {pump}", kind=kind, pump=self.pump) if self.pump else kind
        dated = joined(", ", filter(None, (what, self.at[:10])))
        return Message("{entry} ({id})", entry=dated, id=self.id[-6:])

    @classmethod
    def of_row(cls, row: Sequence[Any]) -> Damaged:
        """What a damaged row says: id, kind, pump, visit, time and more, as kept."""
        made, kind, pump, visit, at = (_shown(value) for value in row[:5])
        return cls(made, kind, pump, visit, at)


def _shown(value: object) -> str:
    """A few characters that can be shown, whatever was read."""
    text = value.decode("utf-8", "replace") if isinstance(value, bytes) else str(value or "")
    return "".join(c if c.isprintable() else "?" for c in text[:64])


class DamageLog:
    """The damaged entries met so far. Safe to share between threads."""

    def __init__(self) -> None:
        self._met: dict[str, Damaged] = {}
        self._lock = Lock()

    def met(self, damaged: Iterable[Damaged]) -> None:
        """Note entries found damaged."""
        with self._lock:
            self._met |= {each.id: each for each in damaged}

    def sound(self, ids: Iterable[str]) -> None:
        """Strike entries that read well after all: repaired in the meantime."""
        if self._met:
            with self._lock:
                for made in ids:
                    self._met.pop(made, None)

    def all(self) -> tuple[Damaged, ...]:
        """Those noted, in the order of their ids."""
        with self._lock:
            return tuple(sorted(self._met.values(), key=lambda d: d.id))
