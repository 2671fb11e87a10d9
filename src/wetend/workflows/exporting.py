"""Export of a depot as CSV tables in one archive.

An archive to restore from is a backup (:mod:`wetend.records.backup`); this one is for reading.
"""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, BinaryIO

from wetend.records.entries import BY_FIELD, PAYLOADS, Entry, said_by
from wetend.records.fold import fold_history
from wetend.units.fields import field_at
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.workflows.desk import Desk
from wetend.workflows.life_facts import facts, of_pump

_RISKY = ("=", "+", "-", "@", "\t", "\r")
_ABOUT = (
    "Tables of everything in the depot, one for each kind of entry.\r\n"
    "A column whose name ends in a unit, as pumped [m^3], holds numbers in that unit.\r\n"
    "entries.csv holds every entry as kept, corrected and withdrawn ones too.\r\n"
    "A text that a spreadsheet might take for a formula has an apostrophe before it.\r\n"
    "To move or keep a depot, use wetend backup instead.\r\n"
)


def safe_cell(value: object) -> str:
    """A cell's text; one that a spreadsheet might run gets an apostrophe before it.

    >>> safe_cell("=1+1"), safe_cell(-2.5), safe_cell(None)
    ("'=1+1", '-2.5', '')
    """
    if value is None:
        return ""
    if isinstance(value, str):
        return f"'{value}" if value.startswith(_RISKY) else value
    if isinstance(value, list | dict):
        return json.dumps(value, ensure_ascii=False)
    return str(value)


def csv_text(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table as CSV (RFC 4180), every cell safe."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return out.getvalue()


def _flat(value: Mapping[str, Any], prefix: str = "") -> Iterator[tuple[str, Any]]:
    for name, each in value.items():
        if isinstance(each, dict):
            yield from _flat(each, f"{prefix}{name}.")
        else:
            yield f"{prefix}{name}", each


_STAMP = ("id", "pump", "visit", "at", "who", "place", "device", "version", "corrects")


def _stamp(entry: Entry) -> list[object]:
    return [entry.id, entry.pump, entry.visit, entry.at.isoformat(), entry.who, entry.place,
            entry.device, entry.version, entry.corrects]  # fmt: skip


def _said(entry: Entry) -> Mapping[str, Any]:
    """What an entry says under the names of today; as kept, where this version can't read it."""
    noun = said_by(entry)
    if noun is None:
        kept: Mapping[str, Any] = json.loads(entry.payload)
        return kept
    return noun.model_dump(mode="json", exclude_unset=entry.kind in BY_FIELD)


def _headed(noun: type[Noun] | None, name: str) -> str:
    """A column's name with the unit of its numbers."""
    known = field_at(noun, name.split(".")) if noun is not None else None
    unit = known.unit.kind.si if known is not None and known.unit is not None else "1"
    return name if unit == "1" else Message("{name} [{unit}]", name=name, unit=unit)


def kind_table(entries: Sequence[Entry]) -> str:
    """Entries of one kind as a table: a column for every field any of them has, named with its
    unit.
    """
    read = [(e, dict(_flat(_said(e)))) for e in entries]
    fields = list(dict.fromkeys(name for _, values in read for name in values))
    noun = next((PAYLOADS[k] for k in PAYLOADS for e in entries[:1] if k == e.kind), None)
    rows = ([*_stamp(e), *(values.get(f) for f in fields)] for e, values in read)
    return csv_text([*_STAMP, *(_headed(noun, f) for f in fields)], rows)


def _tables(desk: Desk) -> Iterator[tuple[str, str]]:
    yield "read-me.txt", _ABOUT
    for kind in PAYLOADS:
        own = desk.depot.entries(kinds=(kind,))
        if own:
            yield f"{kind}.csv", kind_table(own)
    yield "visits.csv", _visits(desk)
    yield "remaining-life.csv", _lives(desk)
    yield (
        "entries.csv",
        csv_text(
            ["kind", *_STAMP, "payload"],
            ([e.kind, *_stamp(e), e.payload] for e in desk.depot.each_entry()),
        ),
    )


def _visits(desk: Desk) -> str:
    kinds = ("visit-started", "complaint", "sign-off", "withdrawn")
    history = fold_history(desk.depot.entries(kinds=kinds))
    head = ["id", "pump", "started", "complaint", "fitted", "closed"]
    return csv_text(head, ([v.id, v.pump, v.started.isoformat(), v.complaint, v.fitted, v.closed]
                           for v in history))  # fmt: skip


def _lives(desk: Desk) -> str:
    known = facts(desk)
    head = [
        "pump",
        "part",
        Message("pumped m3"),
        Message("days low"),
        Message("days middle"),
        Message("days high"),
        Message("m3 low"),
        Message("m3 middle"),
        Message("m3 high"),
        Message("chance of failing in 30 days"),
    ]

    def rows() -> Iterator[list[object]]:
        for key in sorted(known.in_use):
            for r in of_pump(known, key)[1]:
                days = [round(v / 86400, 2) for v in (r.time.low, r.time.middle, r.time.high)]
                pumped = [r.volume.low, r.volume.middle, r.volume.high]
                yield [key, r.part, r.used, *days, *pumped, r.month]

    return csv_text(head, rows())


def write_export(desk: Desk, to: BinaryIO) -> int:
    """Write the archive; how many tables it has."""
    count = 0
    with zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in _tables(desk):
            packed.writestr(name, text.encode())
            count += name.endswith(".csv")
    return count
