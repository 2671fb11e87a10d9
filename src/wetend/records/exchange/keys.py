"""Keys of a set with a checksum each, and where two such sets differ.

Range-based set reconciliation: the count and the exclusive or of the checksums of a range of keys
are compared; only ranges that differ are divided further, and short ones are listed. See A. Meyer,
"Range-Based Set Reconciliation" (2023; from memory: the idea, not the encoding).
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from wetend.records.checksums import Tally

LISTED = 48
"""Ranges with no more keys than this, on either side, are listed rather than divided."""
_PARTS = 16
"""A range that differs is divided into so many."""
PAGE = 4000
"""Most keys of one answer."""
_END = "g"
"""After every key, which are hex digits."""

Span = tuple[str, str]
"""Keys from the first on, and before the second."""
WHOLE: Span = ("", _END)
Keyed = tuple[str, str]
"""A key and its checksum, in hex digits."""


class Keys(Protocol):
    """A set of keys that can be asked about, here or over a network."""

    def tallies(self, spans: Sequence[Span]) -> list[Tally]:
        """Count and mixed checksums of each span."""
        ...

    def listed(self, span: Span) -> list[Keyed]:
        """Its first keys in order, :data:`PAGE` at most."""
        ...


class KeyTable:
    """A set of keys at hand: any span's tally in a few steps, in 48 bytes a key."""

    def __init__(self, keyed: Iterable[Keyed]) -> None:
        """Take keys in their order, each with a checksum of 32 hex digits."""
        halves = array("Q")
        texts: list[bytes] = []
        for key, mark in keyed:
            texts.append(key.encode("ascii"))
            halves.extend((int(mark[:16], 16), int(mark[16:], 16)))
        self._keys = np.array(texts, dtype="S")
        self._mixed: NDArray[np.uint64] = np.zeros((len(texts) + 1, 2), dtype=np.uint64)
        marks = np.array(halves, dtype=np.uint64).reshape(-1, 2)
        np.bitwise_xor.accumulate(marks, axis=0, out=self._mixed[1:])

    def __len__(self) -> int:
        return len(self._keys)

    @property
    def bytes(self) -> int:
        """Bytes that it takes."""
        return int(self._keys.nbytes + self._mixed.nbytes)

    def _key(self, place: int) -> str:
        return bytes(self._keys[place]).decode("ascii")

    def _places(self, span: Span) -> tuple[int, int]:
        if not len(self._keys):
            return 0, 0
        low, high = np.searchsorted(self._keys, np.array([each.encode() for each in span]))
        return int(low), max(int(low), int(high))

    def _tally(self, low: int, high: int) -> Tally:
        first, second = (int(each) for each in self._mixed[high] ^ self._mixed[low])
        return Tally(high - low, first << 64 | second)

    def tallies(self, spans: Sequence[Span]) -> list[Tally]:
        """Count and mixed checksums of each span."""
        return [self._tally(*self._places(span)) for span in spans]

    def listed(self, span: Span) -> list[Keyed]:
        """Its first keys in order, :data:`PAGE` at most."""
        low, high = self._places(span)
        places = range(low, min(high, low + PAGE))
        return [(self._key(n), f"{self._tally(n, n + 1).mixed:032x}") for n in places]

    def divided(self, span: Span) -> list[Span]:
        """A span in parts with as many keys of this table each."""
        low, high = self._places(span)
        cuts = sorted({low + (high - low) * n // _PARTS for n in range(1, _PARTS)} - {low})
        edges = [span[0], *(self._key(cut) for cut in cuts), span[1]]
        return list(pairwise(edges))


@dataclass
class Difference:
    """Where two sets of keys differ; keys in their order."""

    lacking_here: list[Keyed] = field(default_factory=list)
    lacking_there: list[Keyed] = field(default_factory=list)
    differing: list[str] = field(default_factory=list)
    """Keys that both have, with another checksum each."""


def difference(here: KeyTable, there: Keys) -> Difference:
    """What each of two sets lacks of the other, with few and short questions.

    Args:
        here: the set at hand.
        there: the other, asked for the tallies of some spans at once and for lists.
    """
    found, spans = Difference(), [WHOLE]
    while spans:
        mine, theirs = here.tallies(spans), there.tallies(spans)
        further: list[Span] = []
        for span, own, other in zip(spans, mine, theirs, strict=True):
            if own == other:
                continue
            if min(own.count, other.count) <= LISTED:
                _compare(found, here, there, span)
            else:
                further += here.divided(span)
        spans = further
    for some in (found.lacking_here, found.lacking_there):
        some.sort()
    found.differing.sort()
    return found


def _each(keys: Keys, span: Span) -> dict[str, str]:
    """All keys of a span, page by page."""
    found: dict[str, str] = {}
    low, high = span
    while page := keys.listed((low, high)):
        found.update(page)
        if len(page) < PAGE:
            break
        low = f"{page[-1][0]}0"  # right after that key, in the order of texts
    return found


def _compare(found: Difference, here: KeyTable, there: Keys, span: Span) -> None:
    mine, theirs = _each(here, span), _each(there, span)
    found.lacking_here += [(k, m) for k, m in theirs.items() if k not in mine]
    found.lacking_there += [(k, m) for k, m in mine.items() if k not in theirs]
    found.differing += [k for k, m in mine.items() if theirs.get(k, m) != m]
