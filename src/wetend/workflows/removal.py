"""Remove a pump from the lists, and restore it: nothing that was entered for it goes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.removed import Removed
from wetend.pump.usage import NozzleMeasured, PartFitted, Usage
from wetend.records.corrections import standing
from wetend.records.entries import Entry, Withdrawn
from wetend.records.fold import fold_history, removals
from wetend.units.fields import read
from wetend.units.message import Message, joined, plural
from wetend.workflows.desk import DESCRIBED_KINDS, KEEPING, Desk

_COUNTED: Mapping[type, Callable[[int], str]] = {
    Usage: lambda n: plural("{n} use", "{n} uses", n),
    PartFitted: lambda n: plural("{n} part fitted", "{n} parts fitted", n),
    NozzleMeasured: lambda n: plural("{n} nozzle reading", "{n} nozzle readings", n),
}
"""How many of each kind of entry."""


@dataclass(frozen=True)
class RemovalView:
    """A pump, whether it is removed from the lists, and what depends on it."""

    pump: Pump
    removed: bool
    at: datetime | None
    who: str
    reason: str
    visits: int
    open_visits: int
    attached: str
    """What depends on it, in words; blank where nothing does."""


def view(desk: Desk, key: str) -> RemovalView:
    """Whether a pump is removed from the lists, and what depends on it.

    Raises:
        NotFound: no such pump.
    """
    pump, entries = desk.pump(key), desk.depot.entries(pump=key)
    history = fold_history(entries)
    unfinished = sum(not visit.closed for visit in history)
    out = removals(entries)
    last = out[-1] if out else None
    noun = last.noun if last else None
    return RemovalView(
        pump=pump, removed=last is not None, at=last.entry.at if last else None,
        who=last.entry.who if last else "",
        reason=noun.reason if isinstance(noun, Removed) else "",
        visits=len(history), open_visits=unfinished,
        attached=_attached(entries, len(history), unfinished),
    )  # fmt: skip


def _attached(entries: list[Entry], visits: int, unfinished: int) -> str:
    counts: Counter[type] = Counter(
        type(said.noun) for said in standing(entries) if said.entry.visit is None
    )
    counted: list[str] = []
    if unfinished:
        counted.append(
            plural("{n} visit ({open} open)", "{n} visits ({open} open)", visits, open=unfinished)
        )
    elif visits:
        counted.append(plural("{n} visit", "{n} visits", visits))
    counted += [said(counts[noun]) for noun, said in _COUNTED.items() if counts[noun]]
    return joined(Message(" and "), filter(None, (joined(", ", counted[:-1]), *counted[-1:])))


def remove(desk: Desk, key: str, reason: str = "") -> RemovalView:
    """Remove a pump from the lists. Twice is once.

    Raises:
        NotFound: no such pump.
        BadInput: the reason can't be kept.
    """
    said = read(Removed, {"reason": reason})
    with KEEPING:
        if not view(desk, key).removed:
            desk.keep("pump-removed", said, pump=key)
    return view(desk, key)


def restore(desk: Desk, key: str) -> RemovalView:
    """Restore a pump to the lists. Twice is once.

    Raises:
        NotFound: no such pump.
    """
    desk.pump(key)
    with KEEPING:
        found = removals(desk.depot.entries(pump=key))
        desk.keep_all([
            desk.new("withdrawn", Withdrawn(reason="restored"), pump=key, corrects=out.entry.id)
            for out in found
        ])  # fmt: skip
    return view(desk, key)


def refuse_removed(desk: Desk, key: str) -> None:
    """Refuse to begin anything new with a pump that is removed from the lists.

    Raises:
        BadInput: it is.
    """
    if removals(desk.depot.entries(pump=key, kinds=DESCRIBED_KINDS)):
        raise BadInput(
            Message(
                "Pump “{key}” was removed from the lists; restore it first, on its page or "
                "by `wetend pump restore {key}`.",
                key=key,
            )
        )
