"""Loads property tables that carry units, source and edition.

A table is a CSV file in ``data``: comment lines ``# title: ...``, ``# edition: ...`` and
``# note: ...``, then column names, then a row of units, then rows. Every row has a ``key`` and a
``source``; a cell may be blank where its column may.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Annotated, Generic, Literal, TypeVar

from pydantic import AfterValidator
from pydantic import Field as NounField

from wetend.errors import UnknownName
from wetend.units.fields import fields_of, read
from wetend.units.message import Message
from wetend.units.noun import Name, Noun, Slug, Text
from wetend.units.suggestions import near_or_all

Status = Literal["seen", "seen-library", "from memory", "made from others"]
"""How a row's figures came here: read in the source named, read in the library named, remembered,
or computed from other rows or sources, which the source column names."""


Title = Annotated[Name, AfterValidator(Message)]
"""What a row is called: a message."""


class Row(Noun):
    """What every row of every table has."""

    key: Slug
    source: Text = NounField(min_length=1)
    status: Status


RowT = TypeVar("RowT", bound=Row)


@dataclass(frozen=True)
class Table(Generic[RowT]):
    """A table of properties: what it is, its edition, and its rows by key."""

    title: str
    edition: str
    note: str
    rows: Mapping[str, RowT]

    def find(self, key: str) -> RowT:
        """The row with this key.

        Raises:
            UnknownName: there is none; the sentence lists those there are.
        """
        try:
            return self.rows[key]
        except KeyError:
            known = near_or_all(key, self.rows, Message("there are"))
            raise UnknownName(
                Message(
                    "“{key}” is not in the table of {title}; {known}",
                    key=key[:60],
                    title=self.title,
                    known=known,
                )
            ) from None

    def __iter__(self) -> Iterator[RowT]:
        return iter(self.rows.values())

    def __len__(self) -> int:
        return len(self.rows)


def _split(text: str) -> tuple[dict[str, str], list[str]]:
    """Comment lines as a mapping, and the remaining lines."""
    remarks: dict[str, str] = {}
    lines = []
    for line in text.splitlines():
        if line.startswith("#"):
            name, _, value = line.lstrip("# ").partition(":")
            remarks[name.strip()] = value.strip()
        elif line.strip():
            lines.append(line)
    return remarks, lines


def _typed(cell: str, unit: str) -> str:
    return f"{cell} {unit}".strip() if cell.strip() else ""


def parse(text: str, row: type[RowT]) -> Table[RowT]:
    """A table from CSV text; each cell is read in the unit that stands over it.

    Raises:
        BadInput: a cell can't be read, or a column is not a field of ``row``.
        ValueError: two rows share a key, or the title or edition is missing.
    """
    remarks, lines = _split(text)
    reader = csv.DictReader(lines, strict=True)
    measured = {field.name for field in fields_of(row) if field.unit is not None}
    units = next(reader)
    found: dict[str, RowT] = {}
    for cells in reader:
        typed = {n: _typed(c, units[n] if n in measured else "") for n, c in cells.items()}
        item = read(row, typed)
        if item.key in found:
            raise ValueError(Message("two rows are called {key}", key=item.key))
        found[item.key] = item
    if not remarks.get("title") or not remarks.get("edition"):
        raise ValueError(Message("a table needs its title and edition"))
    return Table(Message(remarks["title"]), remarks["edition"], remarks.get("note", ""), found)


def load(name: str, row: type[RowT]) -> Table[RowT]:
    """The table ``data/<name>.csv``.

    Raises:
        BadInput: a cell can't be read.
    """
    text = (files("wetend.materials") / "data" / f"{name}.csv").read_text(encoding="utf-8")
    return parse(text, row)
