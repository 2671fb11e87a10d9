"""Imports as units: listed, withdrawn with all their rows, restored."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wetend.errors import BadInput, NotFound
from wetend.pump.usage import Imported, PartFitted, Usage
from wetend.records.corrections import standing, taken_back
from wetend.records.entries import NO_PUMP, Entry, Withdrawn, said_by
from wetend.units.fields import read
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.workflows.desk import Desk

_ROWS = ("usage", "part-fitted", "withdrawn")
Mark = tuple[str, str, str]
"""Pump, kind and what it says."""


def mark_of(pump: str, kind: str, noun: Noun) -> Mark:
    """What makes two facts the same, whichever way each came in."""
    return pump, kind, noun.model_dump_json(exclude={"brought_in"})


@dataclass(frozen=True)
class ImportLine:
    """One import, and whether it stands."""

    entry: Entry
    said: Imported
    withdrawn: bool


@dataclass(frozen=True)
class _Own:
    """An import with its rows and what withdrew them."""

    rows: tuple[Entry, ...]
    """Those not withdrawn, corrected ones too, the import's own entry among them."""
    withdrawals: tuple[Entry, ...]
    """Those by which the import as a whole is withdrawn, and that stand."""
    again: int
    """Rows withdrawn that stand again otherwise, such as imported a second time."""


def listed(desk: Desk) -> tuple[ImportLine, ...]:
    """Every import, the latest first."""
    entries = desk.depot.entries(pump=NO_PUMP, kinds=("import", "withdrawn"))
    stands = {s.entry.id for s in standing(entries)}
    lines = [
        ImportLine(entry, noun, entry.id not in stands)
        for entry in entries
        if isinstance(noun := said_by(entry), Imported)
    ]
    return tuple(reversed(lines))


def find(desk: Desk, letters: str) -> ImportLine:
    """The import that a person names by its id or its last letters, or `last` for the latest.

    Raises:
        NotFound: none, or more than one, goes by them.
    """
    lines, wanted = listed(desk), letters.strip().lower()
    if wanted == "last" and lines:
        return lines[0]
    hits = [x for x in lines if len(wanted) >= 4 and x.entry.id.endswith(wanted)]
    if len(hits) != 1:
        raise NotFound(
            Message(
                "No single import matches “{letters}”; `wetend imports list` lists them.",
                letters=letters[:40],
            )
        )
    return hits[0]


def _own(desk: Desk, import_id: str) -> _Own:
    near = desk.depot.entries(pump=NO_PUMP, kinds=("import", "withdrawn"))
    entries = sorted({*near, *desk.depot.entries(kinds=_ROWS)}, key=lambda e: e.id)
    gone_now = taken_back(entries)  # a row corrected since goes too, or it would stand again
    rows = [e for e in entries if e.id not in gone_now and _is_of(e, import_id)]
    undone = {e.corrects for e in entries if e.kind == "withdrawn"}
    back = [
        e for e in entries
        if e.kind == "withdrawn" and e.id not in undone and _takes_back(e, import_id)
    ]  # fmt: skip
    stands = {mark_of(s.entry.pump, s.entry.kind, s.noun) for s in standing(entries)}
    gone = {e.corrects for e in back}
    again = sum(
        mark_of(e.pump, e.kind, noun) in stands
        for e in entries
        if e.id in gone and isinstance(noun := said_by(e), Usage | PartFitted)
    )
    return _Own(tuple(rows), tuple(back), again)


def _is_of(entry: Entry, import_id: str) -> bool:
    if entry.id == import_id:
        return True
    if import_id not in entry.payload:  # quick: few rows are of one import
        return False
    noun = said_by(entry)
    return isinstance(noun, Usage | PartFitted) and noun.brought_in == import_id


def _takes_back(entry: Entry, import_id: str) -> bool:
    noun = said_by(entry) if import_id in entry.payload else None
    return isinstance(noun, Withdrawn) and noun.brought_in == import_id


def withdraw(desk: Desk, import_id: str, reason: str = "") -> int:
    """Withdraw an import with all its current rows: all or none. Twice is once.

    A row corrected since goes with it; one withdrawn by itself before stays so for good.

    Returns:
        How many rows were withdrawn.

    Raises:
        BadInput: the reason can't be kept.
    """
    rows = _own(desk, import_id).rows
    said = read(Withdrawn, {"reason": reason, "brought_in": import_id})
    _keep(desk, [desk.new("withdrawn", said, pump=e.pump, visit=e.visit, corrects=e.id)
                 for e in rows])  # fmt: skip
    return sum(e.id != import_id for e in rows)


def put_back(desk: Desk, import_id: str) -> int:
    """Restore a withdrawn import with its rows. Twice is once.

    Returns:
        How many rows were put back.

    Raises:
        BadInput: some of its rows are in the record again, and would count twice.
    """
    own = _own(desk, import_id)
    if own.again:
        raise BadInput(
            Message(
                "{again} of its rows are in the record again, imported or entered since: "
                "withdraw those first, or they would count twice. Nothing was restored.",
                again=own.again,
            )
        )
    back = own.withdrawals
    said = Withdrawn(reason="put back", brought_in="")
    _keep(desk, [desk.new("withdrawn", said, pump=e.pump, visit=e.visit, corrects=e.id)
                 for e in back])  # fmt: skip
    return len({e.corrects for e in back} - {import_id})


def _keep(desk: Desk, entries: Sequence[Entry]) -> None:
    if entries:
        desk.depot.append(*entries)
