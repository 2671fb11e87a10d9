"""A whole depot as JSON: every entry as kept, to be read by other programs and imported again.

One object, ``{"format": "wetend-depot", "version": ..., "entries": [...]}``, an entry a line; an
entry's ``payload`` is what it says, in SI. Photos are files and are not in it: a backup has them.
Importing is a union: an entry that is there already is left, and none is changed.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, BinaryIO

from pydantic import ValidationError

from wetend import __version__
from wetend.errors import BadInput, TooLarge
from wetend.records.entries import Entry
from wetend.units.fields import explain
from wetend.units.message import Message
from wetend.workflows.desk import Desk

FORMAT = "wetend-depot"
MOST_BYTES = 200_000_000
_PAYLOAD = ',"payload":'


@dataclass(frozen=True)
class Merged:
    """What an import of a depot did."""

    entries: int
    """In the file."""
    new: int
    """Not in this depot before."""


def is_depot_json(data: bytes) -> bool:
    """Whether a file looks like a depot written here."""
    return data[:200].lstrip().startswith(b"{") and FORMAT.encode() in data[:200]


def write_depot(desk: Desk, to: BinaryIO) -> int:
    """Write every entry of a depot as JSON; how many."""
    head = {"format": FORMAT, "version": __version__}
    to.write(f'{json.dumps(head)[:-1]}, "entries": ['.encode())
    count = 0
    for entry in desk.depot.each_entry():
        to.write((",\n" if count else "\n").encode() + _line(entry).encode())
        count += 1
    to.write(b"\n]}\n")
    return count


def _line(entry: Entry) -> str:
    stamp = entry.model_dump(mode="json", exclude={"payload"}, exclude_none=True)
    text = json.dumps(stamp, ensure_ascii=False, separators=(",", ":"))
    return f"{text[:-1]}{_PAYLOAD}{entry.payload}}}"


def read_depot(data: bytes) -> tuple[Entry, ...]:
    """The entries of a file written by :func:`write_depot`, also where another program laid it out.

    Raises:
        TooLarge: more bytes than are taken.
        BadInput: it is no depot, or an entry can't be one; says which.
    """
    if len(data) > MOST_BYTES:
        raise TooLarge(Message("The file is larger than {most} MB.", most=MOST_BYTES // 10**6))
    try:
        whole = json.loads(data)
    except (ValueError, RecursionError) as error:
        raise BadInput(Message("The file is not JSON, or is cut off. Nothing was read.")) from error
    if not isinstance(whole, dict) or whole.get("format") != FORMAT:
        raise BadInput(Message("The file is not a depot exported as JSON. Nothing was read."))
    listed = whole.get("entries")
    if not isinstance(listed, list):
        raise BadInput(Message("The file names no entries. Nothing was read."))
    exact = dict(_exact(data))
    return tuple(_entry(n, said, exact) for n, said in enumerate(listed, start=1))


def _exact(data: bytes) -> Iterator[tuple[str, str]]:
    """What entries say to the letter, by id, where the file is laid out as it was written."""
    for line in data.decode("utf-8", "replace").split("\n"):
        stamp, sign, payload = line.rstrip(",").partition(_PAYLOAD)
        if sign and line.startswith("{"):
            try:
                yield str(json.loads(stamp + "}")["id"]), payload[:-1]
            except (ValueError, KeyError):
                continue


def _entry(number: int, said: Any, exact: dict[str, str]) -> Entry:
    if not isinstance(said, dict):
        raise BadInput(Message("Entry {n} of the file is none. Nothing was saved.", n=number))
    values = dict(said)
    payload = values.get("payload")
    kept = exact.get(str(values.get("id")), "")
    if not isinstance(payload, str):
        plain = json.dumps(payload, ensure_ascii=False, separators=(",", ":"))
        values["payload"] = kept if kept and json.loads(kept) == payload else plain
    try:
        return Entry.model_validate(values)
    except ValidationError as error:
        raise BadInput(
            Message(
                "Entry {n} of the file can't be read: {why} Nothing was saved.",
                n=number, why=explain(error, Entry),
            )
        ) from error  # fmt: skip


def merge_depot(desk: Desk, entries: tuple[Entry, ...]) -> Merged:
    """Add the entries that are not there yet: all of them, or none. Twice is once.

    Raises:
        BadInput: an entry is there already and says something else.
        StorageFailed: the record could not be written; nothing was saved.
    """
    return Merged(len(entries), desk.depot.merge(entries))
