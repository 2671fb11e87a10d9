"""Reads a foreign table: CSV in any common dialect, or a spreadsheet.

Limits keep a hostile or broken file from doing harm, and the reading of each in bounds: size, rows,
columns, cells, length of a cell, blank rows, and for a spreadsheet what it unpacks to. Nothing in a
file is ever run; formulas count by the value kept.
"""

from __future__ import annotations

import csv
import importlib
import io
import re
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from wetend.errors import BadInput, TooLarge, WetendError
from wetend.progress import Progress, quiet, reported
from wetend.units.decoding import table_text
from wetend.units.message import Message
from wetend.workflows.history_words import FIELDS

MOST_BYTES = 30_000_000
MOST_UNPACKED = 120_000_000
MOST_ROWS = 200_000
MOST_COLUMNS = 200
MOST_CELLS = 4_000_000
MOST_SHEET_CELLS = 1_000_000
"""A spreadsheet's cells take longer to unpack than a CSV file's."""
MOST_BLANK = 1000
"""After so many blank rows in a row the table has ended: a stray cell may stand in the sheet's
last row, a million further down."""
LONGEST_CELL = 2000
LIMITS = Message(
    "at most {most_rows:,} rows and {most_columns} columns; {most_cells} million "
    "cells as CSV, {most_sheet_cells} million as .xlsx",
    most_rows=MOST_ROWS,
    most_columns=MOST_COLUMNS,
    most_cells=MOST_CELLS // 10**6,
    most_sheet_cells=MOST_SHEET_CELLS // 10**6,
)
"""What is taken, for people to know before they send a file."""
HEADINGS = frozenset(word for names in FIELDS.values() for word in names)
_SEPARATORS = {
    ",": Message("comma"),
    ";": Message("semicolon"),
    "\t": Message("tab"),
    "|": Message("bar"),
}
_DELIMITERS = ",;\t|"
_TOP = 12
"""Rows at the top among which the header is looked for."""
_A_HEADER = 2
_CONTROL = {c: " " for c in range(32) if c not in (9, 10, 13)}


@dataclass(frozen=True)
class History:
    """A table read: its columns, its rows as text, and how it was read."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    read_as: str
    """Encoding and separator, or the sheet: for people to check."""
    name: str = ""
    """The file's, where it is known."""


def read_history(data: bytes, name: str = "", progress: Progress = quiet) -> History:
    """A table from a file's bytes: the kind is read from the content, never by the name.

    Args:
        data: the file.
        name: the file's, where it is known.
        progress: called with the rows read so far.

    Raises:
        TooLarge: more bytes, rows or columns than are taken.
        BadInput: it is no table that can be read; says why.
    """
    if len(data) > MOST_BYTES:
        raise TooLarge(
            Message(
                "The file is larger than {most_bytes} MB; split it.",
                most_bytes=MOST_BYTES // 1000000,
            )
        )
    if not data.strip():
        raise BadInput(Message("The file is empty."))
    if data[:4] == b"PK\x03\x04":
        rows = reported(_sheet_rows(data), progress)
        return _named(rows, Message("spreadsheet, first sheet"), MOST_SHEET_CELLS, name)
    if data[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1":
        raise BadInput(
            Message("That is an old spreadsheet file; save it as .xlsx or CSV and try again.")
        )
    text, encoding = table_text(data)
    delimiter = _delimiter(text)
    separator = _SEPARATORS[delimiter]
    rows = reported(_csv_rows(text, delimiter), progress, of=text.count("\n"))
    return _named(
        rows,
        Message("{encoding}, separated by {separator}", encoding=encoding, separator=separator),
        MOST_CELLS,
        name,
    )


def _delimiter(text: str) -> str:
    """The separator that is most often in the first line outside quotes."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    bare = "".join(first.split('"')[::2])
    return max(_DELIMITERS, key=lambda d: (bare.count(d), -_DELIMITERS.index(d)))


def _csv_rows(text: str, delimiter: str) -> Iterator[Sequence[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        yield from reader
    except csv.Error as error:
        raise BadInput(
            Message(
                "The file is damaged or not CSV near line {line_num}: {error}. Nothing was read.",
                line_num=reader.line_num,
                error=error,
            )
        ) from error


def _sheet_rows(data: bytes) -> Iterator[Sequence[str]]:
    try:
        openpyxl: Any = importlib.import_module("openpyxl")
    except ImportError as error:
        raise BadInput(
            Message(
                "Spreadsheets need the extra: install wetend with [spreadsheet], or save it as CSV."
            )
        ) from error
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(item.file_size for item in packed.infolist()) > MOST_UNPACKED:
                raise TooLarge(
                    Message(
                        "The spreadsheet unpacks to more than {most_unpacked} MB; save the sheet "
                        "as CSV.",
                        most_unpacked=MOST_UNPACKED // 10**6,
                    )
                )
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        sheet.reset_dimensions()  # else a row missing comes as wide as the widest
        for row in sheet.iter_rows(values_only=True):
            yield [_cell(value) for value in row[: MOST_COLUMNS + 1]]
    except WetendError:
        raise
    except Exception as error:  # a broken file breaks its reader in any way it likes
        raise BadInput(
            Message(
                "The spreadsheet is damaged or not a spreadsheet; save it again or as CSV. "
                "Nothing was read."
            )
        ) from error


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return str(value)


def _clean(cell: str) -> str:
    return cell.translate(_CONTROL).strip()


def _whole(row: Sequence[str]) -> tuple[str, ...]:
    """A row's cells cleaned, without blank ones at its end."""
    cells = [_clean(cell) for cell in row]
    while cells and not cells[-1]:
        cells.pop()
    return tuple(cells)


def _named(rows: Iterator[Sequence[str]], read_as: str, most_cells: int, name: str) -> History:
    columns: tuple[str, ...] = ()
    kept: list[tuple[str, ...]] = []
    top: list[list[str]] = []
    blank = seen = 0
    for row in rows:
        cells = _whole(row)
        seen += len(row)
        if any(len(cell) > LONGEST_CELL for cell in cells):
            raise TooLarge(
                Message(
                    "Row {kept} holds a text of more than {longest_cell} letters.",
                    kept=len(kept) + 1,
                    longest_cell=LONGEST_CELL,
                )
            )
        if seen > most_cells:
            raise TooLarge(
                Message(
                    "More than {most_cells:,} cells; leave out columns that are not needed, or "
                    "split the file.",
                    most_cells=most_cells,
                )
            )
        blank = 0 if cells else blank + 1
        if blank > MOST_BLANK:
            read_as = Message(
                "{read_as}, down to {most_blank:,} blank rows",
                read_as=read_as,
                most_blank=MOST_BLANK,
            )
            break
        if not cells:
            continue
        if columns:
            kept.append(cells)
        else:
            top.append([_clean(cell) for cell in row])
        if len(top) == _TOP and not columns:
            columns, kept, read_as = _settled(top, read_as)
        if len(kept) > MOST_ROWS:
            raise TooLarge(
                Message("More than {most_rows:,} rows; split the file.", most_rows=MOST_ROWS)
            )
    if not columns and top:
        columns, kept, read_as = _settled(top, read_as)
    if not columns or not kept:
        raise BadInput(Message("The file has no row below its header."))
    return History(columns, tuple(kept), read_as, _clean(name)[:200])


def _settled(
    top: Sequence[list[str]], read_as: str
) -> tuple[tuple[str, ...], list[tuple[str, ...]], str]:
    """Columns and rows of a table's beginning: titles above the header are passed over.

    A header over two rows, the upper one merged over several columns, is read as one.
    """
    scores = [_headlike(row) for row in top]
    place = next((n for n, score in enumerate(scores) if score >= _A_HEADER), 0)
    head, below = top[place], place + 1
    if below < len(top) and _is_lower_half(head, top[below]):
        head, below = _joined(head, top[below]), below + 1
    if below > 1:
        read_as = Message(
            "{read_as}, header in row {row} of those not blank", read_as=read_as, row=below
        )
    return _head(head), [_whole(row) for row in top[below:]], read_as


def _headlike(cells: Sequence[str]) -> int:
    """How many cells hold a word that a column is headed by; none in a row with figures."""
    if any(re.fullmatch(r"[\d\W]*\d[\d\W]*", cell) for cell in cells):
        return 0
    return sum(bool(HEADINGS & set(re.findall(r"[a-z0-9]+", cell.lower()))) for cell in cells)


def _is_lower_half(head: Sequence[str], row: Sequence[str]) -> bool:
    """Whether a row completes a header: under its gaps too, and made of such words alone."""
    filled = [(n, cell) for n, cell in enumerate(row) if cell]
    gaps = any(n >= len(head) or not head[n] for n, _ in filled)
    return gaps and len(filled) > 1 and _headlike(row) == len(filled)


def _joined(head: Sequence[str], row: Sequence[str]) -> list[str]:
    found: list[str] = []
    over = ""
    for n in range(max(len(head), len(row))):
        upper, lower = (cells[n] if n < len(cells) else "" for cells in (head, row))
        over = upper or over
        found.append(f"{over} {lower}".strip() if lower and over else lower or upper)
    return found


def _head(cells: Sequence[str]) -> tuple[str, ...]:
    """Column names, made different where two are the same or blank."""
    if len(cells) > MOST_COLUMNS:
        raise TooLarge(
            Message(
                "More than {most_columns} columns; leave out what is not needed.",
                most_columns=MOST_COLUMNS,
            )
        )
    names: list[str] = []
    for place, cell in enumerate(cells, start=1):
        name = cell[:80] or Message("column {place}", place=place)
        while name in names:
            name = Message("{name} again", name=name)
        names.append(name)
    return tuple(names)
