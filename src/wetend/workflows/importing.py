"""Import of an existing history: mapped, previewed, bad rows listed, all or nothing saved."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
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
    by_field,
    day_figures,
    mapped,
    read_day,
    suggest,
    taken_out_here,
)
from wetend.workflows.import_readings import (
    AS_WRITTEN,
    Key,
    Reading,
    Readings,
    is_total,
    lasting,
    plain_figures,
    read_key,
    unclear,
)
from wetend.workflows.import_words import LEAVE_OUT, folded, parts_meant
from wetend.workflows.imports import Mark, listed, mark_of
from wetend.workflows.pumps import described

__all__ = ["FIELDS", "BadRow", "Fact", "ImportPlan", "Preview", "accepted", "keep", "preview",
           "read_all", "remembered", "suggest"]  # fmt: skip

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
    """Units proposed for bare numbers in a column whose heading names none."""
    readings: Mapping[Key, str] = field(default_factory=dict)
    """What a person says that a text is to be read as."""
    guessed: frozenset[str] = frozenset()
    """Fields whose column is a guess that nobody confirmed."""


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
    readings: tuple[Reading, ...] = ()
    """Every different text with what it is read as."""
    doubts: tuple[Reading, ...] = ()
    """Those that facts rest on and nobody confirmed."""
    twice: tuple[tuple[int, int], ...] = ()
    """Rows that say what an earlier row says, with that row: counted once."""
    act: str = ""
    """Alike for two imports that would keep the same facts at once: it is done once."""

    @property
    def uses(self) -> int:
        """How many of the facts are uses."""
        return sum(fact.kind == "usage" for fact in self.facts)


class _Reader:
    """Reads rows one by one."""

    def __init__(
        self, plan: ImportPlan, history: History, names: Mapping[str, str],
        coatings: Sequence[str] = (),
    ) -> None:  # fmt: skip
        self.plan, self.names = plan, names
        self.width = len(history.columns)
        self.columns = by_field(plan.columns)
        self.places = mapped(plan.columns, history.columns)
        self.bare = bare_units(plan.columns, plan.system, history.columns)
        if "day" not in self.places:
            raise BadInput(Message("Choose the column of the day."))
        if "pump" not in self.places and not plan.pump:
            raise BadInput(Message("Choose the column of the pump, or one pump for all rows."))
        self.readings = Readings(
            history, self.places, columns=self.columns, said=plan.readings, days=plan.days,
            guessed=plan.guessed, ours=taken_out_here(history.columns), own_units=self.bare,
            pumps=names, coatings=coatings,
        )  # fmt: skip
        for reading in self.readings.all:
            self._let_go(reading)
        if not {"part", "pumped", "cycles", "at_work", "area"} & set(self.places):
            raise BadInput(Message("Choose the column of the part fitted, or of the use."))

    def _let_go(self, reading: Reading) -> None:
        """Leave a column out that a person says to leave out."""
        about = reading.field.partition(".")
        if reading.value == LEAVE_OUT and about[0] in ("column", "counter"):
            gone = about[2] or next(
                (f for f, c in self.columns.items() if folded(c) == reading.key[1]), ""
            )
            self.places.pop(gone, None)

    def cell(self, row: Sequence[str], field: str) -> str:
        place = self.places.get(field)
        return row[place] if place is not None and place < len(row) else ""

    def read(self, field: str, text: str, bad: str) -> str:
        """What a text is read as; blank where it is left out.

        Raises:
            BadInput: nobody said yet what it means.
        """
        reading = self.readings.of(field, text)
        if reading is None or not reading.value:
            raise BadInput(bad)
        return "" if reading.value == LEAVE_OUT else reading.value

    def pump(self, row: Sequence[str]) -> str:
        said = self.cell(row, "pump")
        if said:
            return self.read(
                "pump", said,
                Message(
                    "There is no pump “{said}” in this depot; choose which it is, or describe it "
                    "first.",
                    said=said[:40],
                ),
            )  # fmt: skip
        found = self.names.get(self.plan.pump.strip().lower())
        if found is None:
            raise BadInput(
                Message(
                    "There is no pump “{said}” in this depot; describe it first.",
                    said=self.plan.pump[:40],
                )
                if self.plan.pump
                else Message("The row names no pump.")
            )
        return found

    def day(self, text: str) -> date:
        figures = day_figures(text)
        mixed = self.readings.of_days()
        if mixed is not None and figures and max(figures[:2]) <= 12 and (
            self.read("days", mixed.text, Message(
                "“{text}” could be either order of day and month, and the table mixes them.",
                text=text[:30],
            )) == ""
        ):  # fmt: skip
            raise BadInput(Message("“{text}” could be either order; left out.", text=text[:30]))
        return read_day(text, self.plan.days)

    def facts(self, row: Sequence[str], number: int) -> Iterator[Fact]:
        if len(row) > self.width:
            raise BadInput(
                Message(
                    "The row has {row} cells, the header {width}.", row=len(row), width=self.width
                )
            )
        if is_total(row):
            raise BadInput(Message("The row looks like a total."))
        for named in ("pump", "day", "last"):
            self.asked(named)
        pump = self.pump(row)
        if not pump:
            return
        day = self.day(self.cell(row, "day"))
        usage, fitted = self.usage(row, day), self.fitted(row, day)
        refuse_future(day=day, last=usage.last if usage is not None else None)
        if usage is None and not fitted:
            if self.cell(row, "part"):
                return
            raise BadInput(Message("The row has neither a part nor a use."))
        if usage is not None:
            yield Fact(pump, "usage", usage, usage.last, number)
        for each in fitted:
            yield Fact(pump, "part-fitted", each, day, number)

    def number(self, row: Sequence[str], field: str) -> float | None:
        text = self.cell(row, field)
        if not text:
            return None
        self.asked(field)
        style = self.said("numbers", field) if unclear(text) else self.readings.numbers(field)
        text = plain_figures(text, style)
        if field == "cycles":
            plain = text.replace(" ", "").replace("\u202f", "").replace("\xa0", "")
            if not plain.isascii() or not plain.replace(".", "", 1).isdigit():
                raise BadInput(
                    Message("{field}: “{text}” is not a number.", field=field, text=text[:30])
                )
            return float(plain)
        unit = self.readings.of(f"unit.{field}", self.columns[field])
        bare = unit.value if unit is not None else self.bare[field]
        return read_quantity(text, MEASURED[field][0], bare=bare)

    def asked(self, field: str) -> None:
        """Note what a column's numbers rest on.

        Raises:
            BadInput: it must be said first what they are.
        """
        heading = self.columns.get(field, "")
        column = self.readings.of("column", heading)
        if column is not None and not column.value:
            raise BadInput(column.question)
        self.said("counter", field)

    def said(self, about: str, field: str) -> str:
        """What is said of a column's numbers; blank where nothing has to be.

        Raises:
            BadInput: it must be said first.
        """
        heading = self.columns.get(field, "")
        reading = self.readings.of(f"{about}.{field}", heading)
        if reading is not None and not reading.value:
            raise BadInput(
                Message(
                    "{field}: say first: {question}",
                    field=heading[:40], question=reading.question,
                )
            )  # fmt: skip
        return reading.value if reading is not None else ""

    def usage(self, row: Sequence[str], day: date) -> Usage | None:
        given = {f: self.number(row, f) for f in ("cycles", "pumped", "at_work", "area")}
        if all(value is None for value in given.values()):
            return None
        last, coating = self.cell(row, "last"), None
        if said := self.cell(row, "coating"):
            self.asked("coating")
            coating = self.read(
                "coating", said, Message("Which coating is “{said}”?", said=said[:40])
            )
            if coating == AS_WRITTEN:
                coating = said.lower().replace(" ", "-")
        return _built(Usage, {
            **given, "first": day, "last": self.day(last) if last else day,
            "coating": coating or None, "note": self.cell(row, "note"),
        })  # fmt: skip

    def fitted(self, row: Sequence[str], day: date) -> tuple[PartFitted, ...]:
        part = self.cell(row, "part")
        if not part:
            return ()
        self.asked("part")
        known = self.read(
            "part", part,
            Message("“{part}” is not a part followed here; choose which it is, or leave it out.",
                    part=part[:40]),
        )  # fmt: skip
        if not known:
            return ()
        self.asked("why")
        said = self.cell(row, "why")
        why = self.read(
            "why", said, Message("“{said}”: choose why the part was fitted.", said=said[:40])
        )
        return tuple(
            _built(PartFitted, {
                "part": each, "why": why, "on": day, "done": "turned" if turned else "new",
                "note": self.cell(row, "note"),
            })
            for each, turned in parts_meant(known)
        )  # fmt: skip


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


def read_all(desk: Desk, history: History, plan: ImportPlan) -> tuple[Reading, ...]:
    """Every different text of a table and what it is read as under a plan.

    Raises:
        BadInput: the columns chosen can't be used.
    """
    coatings = [coating.key for coating in desk.coatings()]
    return _Reader(plan, history, pump_names(desk), coatings).readings.all


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
    reader = _Reader(plan, history, pump_names(desk), [c.key for c in desk.coatings()])
    record = _there(desk)
    there = set(record.stands)
    facts: list[Fact] = []
    bad: list[BadRow] = []
    first: dict[Mark, int] = {}
    twice: list[tuple[int, int]] = []
    known = 0
    said = hashlib.sha256()
    rows = reported(history.rows, progress, of=len(history.rows), every=200)
    for number, row in enumerate(rows, start=1):
        try:
            for fact in reader.facts(row, number):
                mark = mark_of(fact.pump, fact.kind, fact.noun)
                known += mark in there and mark not in first
                if mark in first:
                    twice.append((number, first[mark]))
                if mark not in there:
                    facts.append(fact)
                    first[mark] = number
                    there.add(mark)
                    said.update("\n".join((*mark, record.taken_back.get(mark, ""), "")).encode())
        except BadInput as why:
            bad.append(BadRow(number, str(why), tuple(row[:8])))
    pumps = tuple(sorted({fact.pump for fact in facts}))
    all_read, used = reader.readings.all, reader.readings.used
    doubts = tuple(r for r in all_read if r.value and not r.sure and r.key in used)
    return Preview(
        tuple(facts), tuple(bad), len(history.rows), known, pumps, history.name, all_read,
        doubts if facts else (), tuple(twice), said.hexdigest(),
    )  # fmt: skip


def accepted(plan: ImportPlan, seen: Preview) -> ImportPlan:
    """The plan with every reading that is proposed taken as it is proposed."""
    said = {r.key: r.value for r in seen.readings if r.value}
    return replace(plan, readings={**said, **plan.readings}, guessed=frozenset())


def remembered(desk: Desk) -> dict[Key, str]:
    """Readings confirmed at imports before that stand: the latest of each text counts."""
    found: dict[Key, str] = {}
    for line in reversed(listed(desk)):
        if not line.withdrawn:
            found |= {read_key(text): value for text, value in line.said.readings.items()}
    return found


def _entry(desk: Desk, fact: Fact, whole: str) -> Entry:
    at = datetime.combine(fact.day, time(12), tzinfo=UTC)
    noun = fact.noun.model_copy(update={"brought_in": whole})
    return desk.new(fact.kind, noun, pump=fact.pump, at=at)


def _imported(desk: Desk, seen: Preview) -> Entry:
    """The import itself, by which all its rows are found again."""
    fitted = len(seen.facts) - seen.uses
    noun = Imported(
        file=seen.file[:200], rows=seen.rows, uses=seen.uses, fitted=fitted,
        left_out=len(seen.bad), readings=lasting(seen.readings),
    )  # fmt: skip
    return desk.new("import", noun, pump=NO_PUMP)


def keep(desk: Desk, seen: Preview, *, leave_out: bool = False) -> int:
    """Save what was previewed: all of it or, when something fails, none. How many were kept.

    The same facts sent twice, even at once from two places, are kept once; the second keeps none.

    Raises:
        BadInput: a reading is doubtful and nobody confirmed it, or there are bad rows and nobody
            chose to leave them out.
        StorageFailed: the record could not be written; nothing was saved.
    """
    if seen.doubts:
        raise BadInput(
            Message(
                "Doubtful readings: {count}, such as “{text}” as {words}: confirm or change "
                "them first. Nothing was saved.",
                count=len(seen.doubts), text=seen.doubts[0].text[:40],
                words=seen.doubts[0].words,
            )
        )  # fmt: skip
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
