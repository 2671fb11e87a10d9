"""Import of an existing history: mapped, previewed, bad rows listed, all or nothing saved."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import TypeVar

from pydantic import ValidationError

from wetend.errors import BadInput
from wetend.progress import Progress, quiet, reported
from wetend.pump.usage import Imported, PartFitted, Usage
from wetend.records.corrections import standing
from wetend.records.entries import NO_PUMP, Entry, EntryKind, said_by
from wetend.units.fields import explain
from wetend.units.kinds import System
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.parse import read_quantity
from wetend.workflows.days import refuse_future
from wetend.workflows.desk import Desk
from wetend.workflows.history_table import History
from wetend.workflows.history_words import (
    FIELDS,
    MEASURED,
    DayOrder,
    bare_units,
    mapped,
    read_day,
    read_part,
    read_why,
    suggest,
)
from wetend.workflows.imports import Mark, mark_of
from wetend.workflows.pumps import described

__all__ = ["FIELDS", "BadRow", "Fact", "ImportPlan", "Preview", "keep", "preview", "suggest"]

NounT = TypeVar("NounT", bound=Noun)
SHOWN = 200
"""Bad rows listed at most; all are counted."""


@dataclass(frozen=True)
class ImportPlan:
    """How a table is to be understood."""

    columns: Mapping[str, str]
    """Column by field."""
    pump: str = ""
    """For all rows, where no column gives the pump."""
    days: DayOrder = "year first"
    system: System = "metric"
    """Units of bare numbers in a column whose heading names none."""


@dataclass(frozen=True)
class BadRow:
    """A row that can't be used: its number in the file, below the head, and why."""

    number: int
    sentence: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Fact:
    """What a row says of a pump."""

    pump: str
    kind: EntryKind
    noun: Noun
    day: date
    row: int


@dataclass(frozen=True)
class Preview:
    """What an import would do; nothing is saved yet."""

    facts: tuple[Fact, ...]
    """New ones."""
    bad: tuple[BadRow, ...]
    rows: int
    there: int
    """Facts that are in the record already, and are left as they are."""
    pumps: tuple[str, ...]
    file: str = ""
    act: str = ""
    """Alike for two imports that would keep the same facts at once: it is done once."""

    @property
    def uses(self) -> int:
        """How many of the facts are uses."""
        return sum(fact.kind == "usage" for fact in self.facts)


class _Reader:
    """Reads rows one by one."""

    def __init__(self, plan: ImportPlan, history: History, names: Mapping[str, str]) -> None:
        self.plan, self.names = plan, names
        self.width = len(history.columns)
        self.places = mapped(plan.columns, history.columns)
        self.bare = bare_units(plan.columns, plan.system, history.columns)
        if "day" not in self.places:
            raise BadInput(Message("Choose the column of the day."))
        if "pump" not in self.places and not plan.pump:
            raise BadInput(Message("Choose the column of the pump, or one pump for all rows."))
        if not {"part", "pumped", "cycles", "at_work", "area"} & set(self.places):
            raise BadInput(Message("Choose the column of the part fitted, or of the use."))

    def cell(self, row: Sequence[str], field: str) -> str:
        place = self.places.get(field)
        return row[place] if place is not None and place < len(row) else ""

    def pump(self, row: Sequence[str]) -> str:
        said = self.cell(row, "pump") or self.plan.pump
        found = self.names.get(said.strip().lower())
        if found is None:
            raise BadInput(
                Message(
                    "There is no pump “{said}” in this depot; describe it first.", said=said[:40]
                )
            )
        return found

    def facts(self, row: Sequence[str], number: int) -> Iterator[Fact]:
        if len(row) > self.width:
            raise BadInput(
                Message(
                    "The row has {row} cells, the header {width}.", row=len(row), width=self.width
                )
            )
        pump, day = self.pump(row), read_day(self.cell(row, "day"), self.plan.days)
        usage, fitted = self.usage(row, day), self.fitted(row, day)
        refuse_future(day=day, last=usage.last if usage is not None else None)
        if usage is None and fitted is None:
            raise BadInput(Message("The row has neither a part nor a use."))
        if usage is not None:
            yield Fact(pump, "usage", usage, usage.last, number)
        if fitted is not None:
            yield Fact(pump, "part-fitted", fitted, day, number)

    def number(self, row: Sequence[str], field: str) -> float | None:
        text = self.cell(row, field)
        if not text:
            return None
        if field == "cycles":
            plain = text.replace(" ", "").replace("\u202f", "").replace("\xa0", "")
            if not plain.isascii() or not plain.replace(".", "", 1).isdigit():
                raise BadInput(
                    Message("{field}: “{text}” is not a number.", field=field, text=text[:30])
                )
            return float(plain)
        return read_quantity(text, MEASURED[field][0], bare=self.bare[field])

    def usage(self, row: Sequence[str], day: date) -> Usage | None:
        given = {f: self.number(row, f) for f in ("cycles", "pumped", "at_work", "area")}
        if all(value is None for value in given.values()):
            return None
        last = self.cell(row, "last")
        coating = self.cell(row, "coating").lower().replace(" ", "-") or None
        return _built(Usage, {
            **given, "first": day, "last": read_day(last, self.plan.days) if last else day,
            "coating": coating, "note": self.cell(row, "note"),
        })  # fmt: skip

    def fitted(self, row: Sequence[str], day: date) -> PartFitted | None:
        part = self.cell(row, "part")
        if not part:
            return None
        turned = "turn" in part.lower()
        return _built(PartFitted, {
            "part": read_part(part), "why": read_why(self.cell(row, "why")), "on": day,
            "done": "turned" if turned else "new", "note": self.cell(row, "note"),
        })  # fmt: skip


def _built(noun: type[NounT], values: Mapping[str, object]) -> NounT:
    try:
        return noun.model_validate(values)
    except ValidationError as error:
        raise explain(error, noun) from error


def pump_names(desk: Desk) -> dict[str, str]:
    """Keys of the depot's pumps by key and by name, in small letters."""
    names: dict[str, str] = {}
    for pump in described(desk):
        names[pump.name.lower()] = pump.key
        names[pump.key] = pump.key
    return names


@dataclass(frozen=True)
class _There:
    """Facts of the record: those that stand, and those withdrawn."""

    stands: set[Mark]
    taken_back: Mapping[Mark, str]
    """With the latest id each was kept under."""


def _there(desk: Desk) -> _There:
    found = desk.depot.entries(kinds=("usage", "part-fitted", "withdrawn"))
    counts = {s.entry.id for s in standing(found)}
    stands: set[Mark] = set()
    taken_back: dict[Mark, str] = {}
    for entry in found:
        noun = said_by(entry) if entry.kind != "withdrawn" else None
        if noun is None:
            continue
        mark = mark_of(entry.pump, entry.kind, noun)
        if entry.id in counts:
            stands.add(mark)
        else:
            taken_back[mark] = entry.id
    return _There(stands, taken_back)


def preview(desk: Desk, history: History, plan: ImportPlan, progress: Progress = quiet) -> Preview:
    """What an import would keep, what it would leave out and why. saves nothing.

    Args:
        desk: who brings it in.
        history: the table.
        plan: how it is to be understood.
        progress: called with the rows weighed so far, and of how many.

    Raises:
        BadInput: the columns chosen can't be used.
    """
    reader = _Reader(plan, history, pump_names(desk))
    record = _there(desk)
    there = set(record.stands)
    facts: list[Fact] = []
    bad: list[BadRow] = []
    known = 0
    said = hashlib.sha256()
    rows = reported(history.rows, progress, of=len(history.rows), every=200)
    for number, row in enumerate(rows, start=1):
        try:
            for fact in reader.facts(row, number):
                mark = mark_of(fact.pump, fact.kind, fact.noun)
                known += mark in there
                if mark not in there:
                    facts.append(fact)
                    there.add(mark)
                    said.update("\n".join((*mark, record.taken_back.get(mark, ""), "")).encode())
        except BadInput as why:
            bad.append(BadRow(number, str(why), tuple(row[:8])))
    pumps = tuple(sorted({fact.pump for fact in facts}))
    return Preview(
        tuple(facts), tuple(bad), len(history.rows), known, pumps, history.name, said.hexdigest()
    )


def _entry(desk: Desk, fact: Fact, whole: str) -> Entry:
    at = datetime.combine(fact.day, time(12), tzinfo=UTC)
    noun = fact.noun.model_copy(update={"brought_in": whole})
    return desk.new(fact.kind, noun, pump=fact.pump, at=at)


def _imported(desk: Desk, seen: Preview) -> Entry:
    """The import itself, by which all its rows are found again."""
    fitted = len(seen.facts) - seen.uses
    noun = Imported(
        file=seen.file[:200], rows=seen.rows, uses=seen.uses, fitted=fitted, left_out=len(seen.bad)
    )
    return desk.new("import", noun, pump=NO_PUMP)


def keep(desk: Desk, seen: Preview, *, leave_out: bool = False) -> int:
    """Save what was previewed: all of it or, when something fails, none. How many were kept.

    The same facts sent twice, even at once from two places, are kept once; the second keeps none.

    Raises:
        BadInput: there are bad rows and nobody chose to leave them out.
        StorageFailed: the record could not be written; nothing was saved.
    """
    if seen.bad and not leave_out:
        raise BadInput(
            Message(
                "{bad} of {rows} rows can't be used; correct them, or choose to skip them. "
                "Nothing was saved.",
                bad=len(seen.bad),
                rows=seen.rows,
            )
        )
    if not seen.facts:
        return 0
    whole = _imported(desk, seen)
    rows = [_entry(desk, fact, whole.id) for fact in seen.facts]
    before = desk.depot.append(whole, *rows, act=f"import.{seen.act}")
    return len(rows) if before is None else 0
