"""Command output: JSON, or text that fits a narrow screen."""

from __future__ import annotations

import dataclasses
import json
import math
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from enum import Enum
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from rich.console import Console
from rich.table import Table

from wetend.advice.reasons import Caution, Grade, Named, Verdict, Working
from wetend.advice.safety.hazards import DEFERS, but, caution
from wetend.advice.safety.zero import Zero
from wetend.errors import BadInput
from wetend.records.entries import Entry
from wetend.records.files import atomic_file, path_given, write_atomic
from wetend.telling.languages import spoken
from wetend.telling.reader import Reader
from wetend.units.kinds import System
from wetend.units.message import Message, Text, joined
from wetend.units.quantity import Pa, Unit, unit_of
from wetend.units.show import gauge, show

_SHAPES = {
    Verdict.KEEP: "●", Verdict.TURN: "◐", Verdict.DRESS: "◒", Verdict.REPLACE: "✕",
    Verdict.MEASURE_AGAIN: "?", Verdict.PASS: "●", Verdict.FAIL: "✕", Verdict.NOT_PROVEN: "?",
    Verdict.ENOUGH: "●", Verdict.WATCH: "▲", Verdict.NOT_APPLICABLE: "–",
}  # fmt: skip


def plain(value: Any) -> Any:
    """Any answer as JSON types: numbers SI, units by symbol, entries without their payload text."""
    if isinstance(value, Unit):
        return value.kind.si
    if isinstance(value, Entry):
        return {"id": value.id, "kind": value.kind, "at": value.at.isoformat(), "who": value.who}
    if isinstance(value, BaseModel):
        return value.model_dump(mode="json")
    if isinstance(value, Named):
        return value.called
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        shown = (f.name for f in dataclasses.fields(value) if f.repr)  # draws are not for showing
        return {name: plain(getattr(value, name)) for name in shown}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, dict):
        return {str(plain(k)): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(v) for v in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value if isinstance(value, str | int | float | bool | None) else str(value)


def write_json(value: Any) -> None:
    """Write an answer as JSON, in UTF-8 whatever the screen's encoding is."""
    write_data(json.dumps(plain(value), ensure_ascii=False, indent=2) + "\n")


def write_data(text: str) -> None:
    """Write what goes into a file or another program: UTF-8, no line changed, nothing lost."""
    raw = getattr(sys.stdout, "buffer", None)
    if raw is None or sys.stdout.isatty():
        sys.stdout.write(text)
        return
    sys.stdout.flush()
    raw.write(text.encode())
    raw.flush()


def write_file(path: str | Path, data: bytes) -> None:
    """Write a file a person named: whole, or not at all and what was there stays.

    Raises:
        BadInput: no file can be written there.
        StorageFailed: the disk failed.
    """
    write_atomic(path_given(path), data, private=False)


def may_be_written(*paths: str | Path | None) -> None:
    """Refuse at once, before any slow work, a file that could not be written in the end.

    Raises:
        BadInput: it is a folder, or the folder it is to go into is not there.
    """
    for path in paths:
        if path is None or str(path) in ("", "-"):
            continue
        place = path_given(path)
        if place.is_dir():
            raise BadInput(Message("“{path}” is a folder; name a file in it.", path=path))
        if not place.parent.is_dir():
            raise BadInput(
                Message(
                    "There is no folder “{parent}” for “{name}”.",
                    parent=place.parent,
                    name=place.name,
                )
            )


def one_output(**asked: bool) -> None:
    """Refuse two answers on one standard output.

    Raises:
        BadInput: more than one of the options, named as typed, would write there.
    """
    wanted = [f"--{name.replace('_', '-')}" for name, there in asked.items() if there]
    if len(wanted) > 1:
        raise BadInput(
            Message(
                "{wanted} both write to standard output: choose one, or name a file.",
                wanted=joined(Message(" and "), wanted),
            )
        )


def write_wrote(sheet: Sheet, path: str | Path, *, as_json: bool) -> None:
    """Say which file was written."""
    if as_json:
        write_json({"file": str(path)})
    else:
        sheet.line(Message("Wrote {path}", path=path))


@contextmanager
def file_with(path: Path | None, data: bytes) -> Iterator[None]:
    """Write a file that takes its name once what is done within is done: both or neither.

    Raises:
        BadInput: no file can be written there; nothing within was begun.
        StorageFailed: the disk failed.
    """
    if path is None:
        yield
        return
    with atomic_file(path_given(path), private=False) as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
        yield


def _least_width(columns: Sequence[str], rows: Sequence[Sequence[str]]) -> int:
    """The least width at which a table cuts no word in two."""
    words = ([max(map(len, cell.split()), default=0) for cell in line] for line in (columns, *rows))
    longest: list[int] = [max(lengths) for lengths in zip(*words, strict=True)]
    return sum(longest) + 2 * max(len(longest) - 1, 0)


_GRADES = {
    Grade.DANGER: Message("DANGER"),
    Grade.WARNING: Message("WARNING"),
    Grade.CARE: Message("CARE"),
}


def word(code: str) -> str:
    """The word for a code that the record holds, such as a verdict's; blank stays blank."""
    return Message(str(code)) if code and not isinstance(code, Text) else code


def caution_line(caution: Caution) -> Message:
    """A caution on a line of its own, its grade in capitals."""
    return Message("! {grade}: {text}", grade=_GRADES[caution.grade], text=caution.text)


class Sheet:
    """A plain text answer: headings, lines, tables and cautions. People's text is never markup."""

    def __init__(self, system: System = "metric") -> None:
        self.reader = Reader(system, spoken())
        self._cautioned = False
        self._at_head: tuple[Caution, ...] = ()
        self._console = Console(markup=False, highlight=False, emoji=False)

    @property
    def system(self) -> System:
        """The units of whoever reads it."""
        return self.reader.system

    def _print(self, text: str, style: str | None = None) -> None:
        self._console.print(self.reader.tell(text), style=style)

    def kept(self, entry: Entry, sentence: str, *, as_json: bool) -> None:
        """What was kept: the entry, or a line."""
        if as_json:
            write_json(entry)
        else:
            self.line(sentence)

    def heading(self, text: str) -> None:
        """A heading line."""
        self._print(text, style="bold")

    def line(self, text: str = "") -> None:
        """One line, wrapped to the screen."""
        self._print(text)

    def said(self, text: str) -> None:
        """One line of our own words, its quantities in the person's units too."""
        self.line(text)

    def retold(self, text: str) -> str:
        """Our own words, their quantities in the person's units too."""
        return self.reader.tell(text)

    def figure(self, label: str, value: float | None, unit: Unit) -> None:
        """A label and a figure in the person's units."""
        text = Message("not known") if value is None else show(value, unit)
        self._print(Message("  {label}: {text}", label=label, text=text))

    def gauge(self, label: str, pressure: Pa, *, at_most: bool = False) -> None:
        """A label and a pressure as a gauge shows it, in the person's units."""
        text = gauge(pressure, unit_of(Pa), at_most=at_most)
        self._print(Message("  {label}: {text}", label=label, text=text))

    def show(self, value: float, unit: Unit) -> str:
        """A figure in the person's units."""
        return show(value, unit, self.system)

    def verdict(self, verdict: Verdict) -> str:
        """A verdict as shape and word."""
        return Message("{shape} {verdict}", shape=_SHAPES[verdict], verdict=Message(verdict.value))

    def table(self, columns: list[str], rows: list[list[str]]) -> None:
        """A table; where the screen is too narrow for whole words, a block of lines a row."""
        columns = [self.reader.tell(column) for column in columns]
        rows = [[self.reader.tell(cell) for cell in row] for row in rows]
        if _least_width(columns, rows) > self._console.width:
            for row in rows:
                self._block(columns, row)
            return
        table = Table(box=None, pad_edge=False, header_style="bold")
        for column in columns:
            table.add_column(column, overflow="fold")
        for row in rows:
            table.add_row(*row)
        self._console.print(table)

    def _block(self, columns: list[str], row: list[str]) -> None:
        """A row as lines: what it is of first, then each cell behind its column's name."""
        named = next((place for place, name in enumerate(columns) if name), 0)
        self.line(joined("  ", (cell for cell in row[: named + 1] if cell)))
        for name, cell in list(zip(columns, row, strict=True))[named + 1 :]:
            if cell:
                self.line(
                    Message("  {name}: {cell}", name=name, cell=cell)
                    if name
                    else Message("  {cell}", cell=cell)
                )

    def caution(self, caution: Caution) -> None:
        """A caution, before the step it belongs to; before the first, what comes before it all."""
        if not but((caution,), self._at_head):
            return
        if not self._cautioned:
            self._cautioned = True
            self.line(DEFERS)
        self._print(caution_line(caution), style="bold")

    def gate(self, zero: Zero) -> None:
        """Whether zero is proven, before anything that needs it; a danger where it does not."""
        if zero.stands:
            self.said(zero.line)
        else:
            text = Message(
                "{line} Do not put a spanner to the pump until `wetend make-safe` proves it.",
                line=zero.line,
            )
            self.caution(caution("stored-pressure", text))

    def head(self, cautions: Sequence[Caution]) -> None:
        """The cautions of a whole visit, first; none of their hazards is shown again."""
        for each in cautions:
            self.caution(each)
        self._at_head = tuple(cautions)

    def working(self, working: Working) -> None:
        """The working of one sum."""
        self._print(Message("  {title}: {formula}", title=working.title, formula=working.formula))
        for part in (*working.given, *working.result):
            self._print(
                Message(
                    "    {label} = {value}",
                    label=part.label,
                    value=show(part.value, part.unit, self.system),
                )
            )
        self._print(Message("    Source: {source}", source=working.source))
        self._print(Message("    Valid for: {validity}", validity=working.validity))
