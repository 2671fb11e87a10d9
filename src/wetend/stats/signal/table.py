"""Columns of figures read from a log of any make: any delimiter, decimal sign, names and clock."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput, TooLarge
from wetend.progress import Progress, quiet, reported
from wetend.units.decoding import table_text
from wetend.units.message import Message

Floats = NDArray[np.float64]

MOST_BYTES = 20_000_000
MOST_ROWS = 500_000
_MOST_COLUMNS = 64
_DELIMITERS = ("\t", ";", "|", ",", None)
"""``None``: runs of blanks."""
_PLAIN = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?\Z")
_CLOCK = re.compile(r"(?:(\d{1,3}):)?(\d{1,2}):(\d{1,2}(?:\.\d*)?)\Z")


@dataclass(frozen=True)
class Table:
    """Columns of a log: a name and figures each, not-a-number where none could be read."""

    names: tuple[str, ...]
    columns: Floats
    """A row a column."""
    spoilt: int
    """Cells that held something, but no figure."""
    clock: frozenset[int] = frozenset()
    """Columns that hold times of day, in seconds."""


def _split(line: str, delimiter: str | None) -> list[str]:
    return [cell.strip().strip('"').strip() for cell in line.split(delimiter)]


def _figure(cell: str, decimal: str) -> float | None:
    text = cell.replace(",", ".") if decimal == "," else cell
    if not _PLAIN.match(text):
        return None
    value = float(text)
    return value if np.isfinite(value) else None


def _moment(cell: str, decimal: str) -> float | None:
    """Seconds of a time of day, or of a date with time."""
    text = cell.replace(",", ".") if decimal == "," else cell
    clock = _CLOCK.match(text)
    if clock:
        hours, minutes, seconds = clock.groups()
        return 3600.0 * int(hours or 0) + 60.0 * int(minutes) + float(seconds)
    if len(text) < 16 or not text[:4].isdigit():
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    return (moment.replace(tzinfo=None) - datetime(1970, 1, 1)).total_seconds()  # noqa: DTZ001


def _readable(cell: str, decimal: str) -> bool:
    return _figure(cell, decimal) is not None or _moment(cell, decimal) is not None


def _layout(lines: Sequence[str]) -> tuple[str | None, str]:
    """Delimiter and decimal sign under which most rows hold two or more figures alike."""
    sample = lines[len(lines) // 3 : len(lines) // 3 + 60] or lines
    best, chosen = -1.0, (",", ".")
    for delimiter in _DELIMITERS:
        for decimal in (".", ","):
            if delimiter == decimal:
                continue
            rows = [_split(line, delimiter) for line in sample]
            width = int(np.median([len(row) for row in rows]))
            same = sum(len(row) == width for row in rows) / len(rows)
            read = sum(_readable(c, decimal) for row in rows for c in row[:_MOST_COLUMNS])
            held = sum(1 for row in rows for c in row[:_MOST_COLUMNS] if c)
            score = same * read / max(held, 1) * (1.0 if width > 1 else 0.4)
            score += 1e-6 if decimal == "." else 0.0
            if score > best + 1e-9:
                best, chosen = score, (delimiter, decimal)  # type: ignore[assignment]
    return chosen


def _head(rows: Sequence[list[str]], decimal: str) -> int:
    """Rows before the figures begin."""
    for i, row in enumerate(rows[:200]):
        held = [c for c in row if c]
        if held and sum(_readable(c, decimal) for c in held) * 2 > len(held):
            return i
    raise BadInput(
        Message(
            "No rows of figures were found; a log has a row a reading, with columns "
            "apart by comma, semicolon, tab or blanks."
        )
    )


def _column(cells: Sequence[str], decimal: str) -> tuple[Floats, int, bool]:
    values = np.full(len(cells), np.nan)
    spoilt, clock = 0, False
    for i, cell in enumerate(cells):
        value = _figure(cell, decimal)
        if value is None and cell:
            value = _moment(cell, decimal)
            clock = clock or value is not None
        if value is not None:
            values[i] = value
        elif cell:
            spoilt += 1
    return values, spoilt, clock


def read_table(data: bytes, progress: Progress = quiet) -> Table:
    """Columns of figures from the bytes of a log.

    Delimiter (comma, semicolon, tab, bar or blanks), decimal sign (point or comma), headings and
    times (seconds, time of day, ISO 8601) are read from the figures themselves; UTF-8, UTF-16 and
    Windows-1252 are read. Source of the shape: RFC 4180, loosely held, since loggers are loose.

    Args:
        data: the file.
        progress: called with the rows read so far, and of how many.

    Raises:
        BadInput: no rows of figures.
        TooLarge: more bytes or rows than are taken.
    """
    if len(data) > MOST_BYTES:
        raise TooLarge(
            Message(
                "The log is larger than {most_bytes} MB; upload a part of it.",
                most_bytes=MOST_BYTES // 1000000,
            )
        )
    if b"\x00" in data[:2000] and data[:2] not in (b"\xff\xfe", b"\xfe\xff"):
        raise BadInput(Message("This is not text; save the log as CSV, or the recording as WAV."))
    lines = [line for line in table_text(data, lenient=True)[0].splitlines() if line.strip()]
    if len(lines) > MOST_ROWS:
        raise TooLarge(
            Message(
                "The log has {lines:,} rows, more than {most_rows:,}; upload the minutes "
                "that matter.",
                lines=len(lines),
                most_rows=MOST_ROWS,
            )
        )
    if not lines:
        raise BadInput(Message("The file is empty."))
    delimiter, decimal = _layout(lines)
    watched = reported(lines, progress, of=len(lines), every=5000)
    rows = [_split(line, delimiter)[:_MOST_COLUMNS] for line in watched]
    first = _head(rows, decimal)
    body = rows[first:]
    width = max(int(np.median([len(row) for row in body])), 1)
    return _table(body, rows[first - 1] if first else [], width, decimal)


def _table(body: list[list[str]], heads: list[str], width: int, decimal: str) -> Table:
    columns, spoilt, clocks = [], 0, set()
    for k in range(width):
        values, bad, clock = _column([row[k] if k < len(row) else "" for row in body], decimal)
        columns.append(values)
        spoilt += bad
        if clock:
            clocks.add(k)
    named = tuple(
        (heads[k] if k < len(heads) and heads[k] else Message("column {k}", k=k + 1))[:60]
        for k in range(width)
    )
    return Table(named, np.stack(columns), spoilt, frozenset(clocks))
