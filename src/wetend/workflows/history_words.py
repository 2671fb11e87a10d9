"""Interprets the columns and cells of a foreign table: names, dates, parts, reasons."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Literal

from wetend.errors import BadInput
from wetend.units import kinds
from wetend.units.kinds import Kind, System
from wetend.units.message import Message
from wetend.units.parse import find_unit
from wetend.units.suggestions import near_or_all
from wetend.workflows.import_words import hours_of_people

DayOrder = Literal["year first", "day first", "month first"]

FIELDS: dict[str, tuple[str, ...]] = {
    "pump": ("pump", "machine", "unit", "equipment", "asset", "rig"),
    "day": ("day", "date", "when", "first", "from", "start", "datum"),
    "last": ("last", "to", "until", "end", "through"),
    "part": ("part", "component", "item", "spare", "fitted", "replaced"),
    "why": ("why", "reason", "cause", "type", "mode"),
    "pumped": ("pumped", "litres", "liters", "litre", "volume", "gallons", "consumption"),
    "cycles": ("cycles", "strokes", "count", "counter"),
    "at_work": ("hours", "hrs", "runtime", "time", "work"),
    "area": ("area", "m2", "square", "surface"),
    "coating": ("coating", "paint", "material", "product"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
}
"""Fields a row may give, and the words a column of that field is often named by."""
MEASURED: dict[str, tuple[Kind, str, str]] = {
    "pumped": (kinds.VOLUME, "L", "gal"),
    "at_work": (kinds.TIME, "h", "h"),
    "area": (kinds.AREA, "m^2", "ft^2"),
}
"""Fields that are quantities: what each is, and the unit of a bare number by a person's units."""
_EARLIER = {"litres": "pumped", "hours": "at_work"}
"""What mappings kept and tables taken out earlier call a field."""
_TAKEN_OUT = {"id", "visit", "at", "device", "version", "corrects"}
"""Columns of every table of entries that was taken out."""


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z0-9]+", text.lower())


_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAY = re.compile(
    r"(\d{1,4})[^\w:]+(\d{1,2}|[a-z]{3,9})[^\w:]+(\d{1,4})(?:[T ,]+\d{1,2}:\d{2}\S*)?\.?$", re.I
)
"""Three figures, or a month by name between two; a time of day after it is let go."""
_WEAK = frozenset({"type", "mode", "unit", "item", "count", "counter", "time", "first", "to",
                   "from", "start", "end", "through", "work", "material", "product",
                   "area"})  # fmt: skip
"""Words of headings that may mean something else as easily."""
_BESIDE = frozenset({"of", "the", "in", "at", "by", "key", "name", "fitted", "run", "total"})


def suggest(columns: Sequence[str]) -> dict[str, str]:
    """A first guess of which column gives which field; each column is used once.

    Hours of people, as of labour or travel, are no hours of the pump.
    """
    found: dict[str, str] = {}
    for field, names in FIELDS.items():
        for column in columns:
            words = _words(column)
            if field == "at_work" and hours_of_people(column):
                continue
            if column not in found.values() and any(n in words for n in names):
                found[field] = column
                break
    return found


def doubtful_columns(columns: Mapping[str, str]) -> frozenset[str]:
    """Fields whose column was guessed from a heading that says something else too."""
    found = set()
    for field, column in columns.items():
        kind = MEASURED[field][0] if field in MEASURED else None
        rest = set(_words(column)) - _BESIDE - set(_words(unit_in(column, kind) if kind else ""))
        names = set(FIELDS.get(field, ())) - _WEAK
        if (
            field != "note"
            and column not in (field, *_EARLIER)
            and (
                rest - set(FIELDS.get(field, ())) - {"m", "pumped", "spare", "us"}
                or not (set(_words(column)) & names)
            )
        ):
            found.add(field)
    return frozenset(found)


def day_figures(text: str) -> tuple[int, int, int] | None:
    """A date's figures as they stand; none where it is no date or its month has a name."""
    match = _DAY.match(text.strip())
    if match is None or not match[2].isdigit():
        return None
    return int(match[1]), int(match[2]), int(match[3])


def read_day(text: str, order: DayOrder) -> date:
    """A day from a cell; the year first, or a month by name, is always understood.

    Raises:
        BadInput: it is no day, or none that exists.

    >>> read_day("2031-05-04", "day first").isoformat(), read_day("4.5.31", "day first").isoformat()
    ('2031-05-04', '2031-05-04')
    >>> read_day("4 May 2031", "year first").isoformat()
    '2031-05-04'
    """
    match = _DAY.match(text.strip())
    named = match is not None and match[2][:3].lower() in _MONTHS
    if match is None or not (named or match[2].isdigit()):
        raise BadInput(Message("“{text}” is not a date; write it like 2031-05-04.", text=text[:30]))
    middle = _MONTHS.index(match[2][:3].lower()) + 1 if named else int(match[2])
    a, b, c = int(match[1]), middle, int(match[3])
    if len(match[1]) == 4:
        year, month, day = a, b, c
    elif named or order == "day first":
        year, month, day = c, b, a
    elif order == "month first":
        year, month, day = c, a, b
    else:
        raise BadInput(
            Message("“{text}” does not begin with the year; choose the date order.", text=text[:30])
        )
    year += 2000 if year < 70 else 1900 if year < 100 else 0
    try:
        found = datetime(year, month, day).date()  # noqa: DTZ001 - a calendar day, no moment
    except ValueError as error:
        raise BadInput(
            Message("“{text}” is a date that does not exist.", text=text[:30])
        ) from error
    if not 1970 <= year < 2200:
        raise BadInput(Message("“{text}” is outside the years 1970 to 2199.", text=text[:30]))
    return found


def by_field(wanted: Mapping[str, str]) -> dict[str, str]:
    """Columns by field, however a mapping calls the fields."""
    return {_EARLIER.get(name, name): column for name, column in wanted.items()}


def unit_in(heading: str, kind: Kind) -> str:
    """The unit that a column's heading says its numbers are in; blank where it says none.

    One of a single letter counts in brackets only.

    >>> unit_in("Litres pumped", kinds.VOLUME), unit_in("Pumped [m^3]", kinds.VOLUME)
    ('Litres', 'm^3')
    >>> unit_in("Time (h)", kinds.TIME), unit_in("h", kinds.TIME)
    ('h', '')
    """
    bracketed = re.findall(r"[\[(]\s*([^\])]+?)\s*[\])]", heading)
    for spelling in (*bracketed, *re.findall(r"[^\W\d_]{2,}[\^\d²³]*", heading)):
        try:
            find_unit(spelling, kind)
        except BadInput:
            continue
        return str(spelling)
    return ""


def taken_out_here(headings: Sequence[str]) -> bool:
    """Whether a table was taken out by this program."""
    return set(headings) >= _TAKEN_OUT


def bare_units(
    columns: Mapping[str, str], system: System, headings: Sequence[str] = ()
) -> dict[str, str]:
    """The unit of bare numbers of each field that is a quantity.

    A column's heading that names a unit goes before a person's own units. Tables that this program
    took out before its headings named units are in SI, whatever they are headed.
    """
    ours = taken_out_here(headings)
    found = {}
    for field, column in by_field(columns).items():
        if field in MEASURED and column:
            kind, metric, imperial = MEASURED[field]
            own = kind.si if ours else metric if system == "metric" else imperial
            said = "" if ours and column in _EARLIER else unit_in(column, kind)
            found[field] = said or own
    return found


def mapped(wanted: Mapping[str, str], columns: Sequence[str]) -> dict[str, int]:
    """Places of the columns that give each field.

    Raises:
        BadInput: an unknown field or a column that is not there.
    """
    places = {}
    for field, column in by_field(wanted).items():
        if field not in FIELDS:
            raise BadInput(
                Message(
                    "There is no field “{field}”; {known}",
                    field=field[:40],
                    known=near_or_all(field, FIELDS),
                )
            )
        if not column:
            continue
        if column not in columns:
            there = near_or_all(column, columns, Message("it has"))
            raise BadInput(
                Message(
                    "The table has no column “{column}”; {there}", column=column[:60], there=there
                )
            )
        places[field] = columns.index(column)
    return places
