"""Resolves which entries are current after corrections and withdrawals.

An entry and all of its kind that correct it, directly or in turn, are one thread, of which only the
latest that is not withdrawn stands. A withdrawal can itself be withdrawn. All this depends on the
set of entries alone, never on the order they came in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

from wetend.records.entries import Entry, Withdrawn, said_by
from wetend.units.noun import Noun

Key = tuple[str, str | None, str]
"""Pump, visit and id: an entry corrects and withdraws within its own visit only."""


@dataclass(frozen=True)
class Said:
    """An entry together with its parsed payload."""

    entry: Entry
    noun: Noun


def standing(entries: Iterable[Entry]) -> tuple[Said, ...]:
    """The latest of each thread that is readable and not withdrawn, in the order of their ids."""
    given = list(entries)
    if not all(a.id < b.id for a, b in pairwise(given)):  # in order already, and each once?
        given = sorted(set(given), key=lambda e: (e.id, e.kind, e.payload))
    read = [Said(e, noun) for e in given if (noun := said_by(e)) is not None]
    if all(e.corrects is None for e in given):
        return tuple(read)
    withdrawn = _withdrawn(read)
    by_key = {_key(e, e.id): e for e in given}
    threads: dict[tuple[str, Key], Said] = {}
    for said in read:
        if _key(said.entry, said.entry.id) not in withdrawn and not _withdraws(said):
            threads[_root(said.entry, by_key)] = said
    return tuple(sorted(threads.values(), key=lambda s: s.entry.id))


def taken_back(entries: Iterable[Entry]) -> frozenset[str]:
    """Ids of the entries, readable or not, that are withdrawn by a withdrawal that stands."""
    withdrawals = [Said(e, noun) for e in entries if (noun := said_by(e)) and _is_withdrawal(noun)]
    return frozenset(key[2] for key in _withdrawn(withdrawals))


def _is_withdrawal(noun: Noun) -> bool:
    return isinstance(noun, Withdrawn)


def _key(entry: Entry, entry_id: str) -> Key:
    return entry.pump, entry.visit, entry_id


def _withdraws(said: Said) -> bool:
    return _is_withdrawal(said.noun)


def _withdrawn(read: Iterable[Said]) -> set[Key]:
    """What is withdrawn by a withdrawal that is not withdrawn: the latest are decided first."""
    found: set[Key] = set()
    for entry in (said.entry for said in sorted(filter(_withdraws, read), key=_latest_first)):
        if entry.corrects is not None and _key(entry, entry.id) not in found:
            found.add(_key(entry, entry.corrects))
    return found


def _latest_first(said: Said) -> int:
    return -int(said.entry.id, 16)


def _root(entry: Entry, by_key: Mapping[Key, Entry]) -> tuple[str, Key]:
    """Kind and first of an entry's thread; it is named even where it has not arrived here yet."""
    while entry.corrects is not None:
        key = _key(entry, entry.corrects)
        if key not in by_key:
            return entry.kind, key
        if by_key[key].kind != entry.kind:
            break
        entry = by_key[key]
    return entry.kind, _key(entry, entry.id)
