"""Every different thing that a table says, with its reading: sure, to be confirmed, or not read."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from wetend.errors import BadInput
from wetend.units import kinds
from wetend.units.message import Message
from wetend.units.parse import find_unit
from wetend.units.show import pretty
from wetend.workflows.history_table import History
from wetend.workflows.history_words import MEASURED, DayOrder, day_figures, unit_in
from wetend.workflows.import_words import (
    LEAVE_OUT,
    Guess,
    folded,
    part_guess,
    part_options,
    why_guess,
    why_options,
)

Key = tuple[str, str]
"""Field and text, the text in small letters with single spaces."""
Options = tuple[tuple[str, str], ...]
MOST_DIFFERENT = 300
"""Different texts of a column that are read one by one; more are no list of words."""
AS_WRITTEN = "as written"
_UNITS = {
    "pumped": ("L", "m^3", "US gal", "imp gal", "mL"),
    "at_work": ("h", "min", "d"),
    "area": ("m^2", "ft^2"),
}
_KEPT = ("part", "why", "coating", "pump", "unit.pumped", "unit.at_work", "unit.area")
"""Readings that hold for the next table too."""
_NUMBER = re.compile(r"^\s*[+-]?([\d.,' \u202f\xa0]*\d)")
_UNCLEAR = re.compile(r"^[1-9]\d{0,2}[.,]\d{3}$")
_POINT = re.compile(
    r"^\d*\.(\d{1,2}|\d{4,})$|^0\.\d+$|^\d{1,3}(,\d{3})+\.\d+$|^\d{1,3}(,\d{3}){2,}$"
)
_COMMA = re.compile(
    r"^\d*,(\d{1,2}|\d{4,})$|^0,\d+$|^\d{1,3}(\.\d{3})+,\d+$|^\d{1,3}(\.\d{3}){2,}$"
)
_TOTAL = re.compile(
    r"(sub|grand )?totals?\b|sum\b|average\b|mean\b|(carried|brought) forward", re.IGNORECASE
)
_COUNTER = re.compile(r"counter|meter|reading|cumul|total|stand\b", re.IGNORECASE)


@dataclass(frozen=True)
class Reading:
    """One different text of a table and what it is read as."""

    field: str
    text: str
    """As the table has it first; of a column its heading."""
    count: int
    """Rows it stands in."""
    value: str
    """Blank: not read; the rows it stands in can't be used."""
    sure: bool
    """Whether it is what it says, or a person said so."""
    question: str
    """What is to be decided."""
    options: Options
    by_person: bool = False
    """Whether a person said so, now or at an import before."""

    @property
    def key(self) -> Key:
        """What it is found by."""
        return self.field, folded(self.text)

    @property
    def name(self) -> str:
        """A short name for forms, the same for the same field and text."""
        return hashlib.sha256("\n".join(self.key).encode()).hexdigest()[:8]

    @property
    def words(self) -> str:
        """What it is read as, in words."""
        return next((words for value, words in self.options if value == self.value), self.value)


def is_total(row: Sequence[str]) -> bool:
    """Whether a row is headed as a total of others, and no fact of its own."""
    return any(_TOTAL.match(cell) for cell in row[:3])


def _readings(
    column: Sequence[str], field: str, guess: Callable[[str], Guess], options: Options,
    question: str,
) -> list[Reading]:  # fmt: skip
    first: dict[str, str] = {}
    counts: Counter[str] = Counter()
    for cell in column:
        key = folded(cell)
        first.setdefault(key, cell)
        counts[key] += 1
    if len(counts) > MOST_DIFFERENT:
        raise BadInput(
            Message(
                "The column read as {field} holds more than {most} different texts: choose another "
                "column, or split the table.",
                field=field,
                most=MOST_DIFFERENT,
            )
        )
    found = []
    for key, count in counts.items():
        meant = guess(first[key])
        found.append(Reading(field, first[key], count, meant.value, meant.sure, question, options))
    return found


def _cells(history: History, place: int | None) -> list[str]:
    if place is None:
        return [""] * len(history.rows)
    return [row[place] if place < len(row) else "" for row in history.rows]


def number_style(numbers: Sequence[str]) -> tuple[int, str]:
    """How many numbers of a column could be read two ways, and what the others show.

    Returns:
        The count, and ``"point"``, ``"comma"`` or blank, where nothing or both is shown.

    >>> number_style(["1.250", "8,5"]), number_style(["1,250", "12.5"]), number_style(["1.250"])
    ((1, 'comma'), (1, 'point'), (1, ''))
    """
    bare = [m[1].strip() for text in numbers if (m := _NUMBER.match(text))]
    count = sum(bool(_UNCLEAR.match(text)) for text in bare)
    if not count:
        return 0, ""
    point, comma = (any(p.match(text) for text in bare) for p in (_POINT, _COMMA))
    return count, "" if point == comma else "point" if point else "comma"


def unclear(text: str) -> bool:
    """Whether a number could be thousands or a decimal.

    >>> unclear("1.250 L"), unclear("1250"), unclear("0.125")
    (True, False, False)
    """
    match = _NUMBER.match(text)
    return match is not None and _UNCLEAR.match(match[1].strip()) is not None


def plain_figures(text: str, style: str) -> str:
    """A number as its column writes it, with a decimal point and no thousands."""
    match = _NUMBER.match(text)
    if not style or match is None:
        return text
    number = match[1]
    if style == "comma":
        number = number.replace(".", "").replace(",", ".")
    else:
        number = number.replace(",", "")
    return text[: match.start(1)] + number + text[match.end(1) :]


def day_order(days: Sequence[str]) -> tuple[DayOrder, int, int, int]:
    """The order that dates show, how many fit only the day or only the month first, and either."""
    only_day = only_month = either = 0
    for text in days:
        figures = day_figures(text)
        if figures is None or figures[0] > 31:
            continue
        a, b, _ = figures
        only_day += a > 12 >= b
        only_month += b > 12 >= a
        either += a <= 12 and b <= 12
    if only_day and not only_month:
        return "day first", only_day, only_month, either
    if only_month and not only_day:
        return "month first", only_day, only_month, either
    return "year first", only_day, only_month, either


class Readings:
    """All readings of a table under a plan, and which of them were used."""

    def __init__(
        self, history: History, places: Mapping[str, int], *, columns: Mapping[str, str],
        said: Mapping[Key, str], days: DayOrder, guessed: frozenset[str], ours: bool,
        own_units: Mapping[str, str], pumps: Mapping[str, str], coatings: Sequence[str],
    ) -> None:  # fmt: skip
        self._history, self._places, self._columns = history, places, columns
        self._own_units, self._ours = own_units, ours
        found: list[Reading] = []
        found += self._headings(guessed)
        found += self._measures()
        found += self._pumps(pumps)
        found += self._parts()
        found += self._coatings(coatings)
        found += self._days(days)
        self._by_key = {r.key: self._answered(r, said) for r in found}
        self.used: set[Key] = set()

    @staticmethod
    def _answered(reading: Reading, said: Mapping[Key, str]) -> Reading:
        value = said.get(reading.key)
        if value is None or value not in {v for v, _ in reading.options}:
            return reading
        return replace(reading, value=value, sure=True, by_person=True)

    def _own(self, field: str) -> list[str]:
        return _cells(self._history, self._places.get(field))

    def _headings(self, guessed: frozenset[str]) -> list[Reading]:
        question = Message("Column: does it hold what is proposed?")
        return [
            Reading("column", self._columns[f], len(self._history.rows), f, False, question,
                    ((f, _FIELD_WORDS[f]), (LEAVE_OUT, Message("Leave the column out"))))
            for f in guessed if f in self._places
        ]  # fmt: skip

    def _measures(self) -> list[Reading]:
        found = []
        for field in ("pumped", "at_work", "area", "cycles"):
            if field not in self._places:
                continue
            heading = self._columns[field]
            cells = [c for c in self._own(field) if c]
            if field in MEASURED:
                found += self._unit(field, heading, cells)
            doubtful, style = number_style(cells)
            if doubtful:
                options = (("point", Message("1,250 is thousands, 1.250 a decimal")),
                           ("comma", Message("1.250 is thousands, 1,250 a decimal")))  # fmt: skip
                found.append(
                    Reading(f"numbers.{field}", heading, doubtful, style, bool(style),
                            Message("Numbers that could be thousands or decimals"), options)
                )  # fmt: skip
            if field in ("cycles", "at_work") and _COUNTER.search(heading):
                options = (("use", Message("Each row's own use")),
                           (LEAVE_OUT, Message("A counter running on: leave it out")))  # fmt: skip
                found.append(
                    Reading(f"counter.{field}", heading, len(cells), "", False,
                            Message("Use of each row, or a counter's reading?"), options)
                )  # fmt: skip
        return found

    def _unit(self, field: str, heading: str, cells: Sequence[str]) -> list[Reading]:
        bare = sum(bool(re.fullmatch(r"[\s+\-\d.,' \u202f\xa0]+", c)) for c in cells)
        if not bare:
            return []
        kind = MEASURED[field][0]
        said = unit_in(heading, kind)
        sure = bool(said) or self._ours
        value = said if said and not self._ours else self._own_units[field]
        if not self._ours and kind is kinds.VOLUME and said and find_unit(said, kind) == "gallon":
            known = re.search(r"\bU\.?S\.?(\b|G)", heading) is not None
            value, sure = "US gal", known
        options = tuple(
            (u, pretty(u)) for u in dict.fromkeys((*_UNITS[field], *([value] if value else [])))
        )
        question = Message("Unit of numbers without one")
        return [Reading(f"unit.{field}", heading, bare, value, sure, question, options)]

    def _pumps(self, pumps: Mapping[str, str]) -> list[Reading]:
        if "pump" not in self._places:
            return []
        cells = [
            cell for cell, row in zip(self._own("pump"), self._history.rows, strict=True)
            if cell and not is_total(row)
        ]  # fmt: skip
        options = (*((key, key) for key in sorted(set(pumps.values()))),
                   (LEAVE_OUT, Message("None of these: leave out")))  # fmt: skip

        def guess(text: str) -> Guess:
            found = pumps.get(folded(text))
            return Guess(found, sure=True) if found else Guess()

        question = Message("Which pump?")
        return _readings(cells, "pump", guess, options, question)

    def _parts(self) -> list[Reading]:
        if "part" not in self._places:
            return []
        parts = self._own("part")
        whys = [why for part, why in zip(parts, self._own("why"), strict=True) if part]
        read = _readings([p for p in parts if p], "part", part_guess, part_options(),
                         Message("Which part?"))  # fmt: skip
        blank = Guess("found worn")
        return read + _readings(
            whys, "why", lambda text: why_guess(text) if text else blank, why_options(),
            Message("Why was it fitted?"),
        )  # fmt: skip

    def _coatings(self, coatings: Sequence[str]) -> list[Reading]:
        if "coating" not in self._places:
            return []
        usual = Message("Keep the name; its wear counts as usual here")
        options = (
            *((key, key) for key in coatings), (AS_WRITTEN, usual),
            (LEAVE_OUT, Message("Leave out")),
        )  # fmt: skip

        def guess(text: str) -> Guess:
            key = folded(text).replace(" ", "-")
            return Guess(key, sure=True) if key in coatings else Guess(AS_WRITTEN)

        cells = [c for c in self._own("coating") if c]
        return _readings(cells, "coating", guess, options, Message("Which coating?"))

    def _days(self, days: DayOrder) -> list[Reading]:
        if days == "year first":
            return []
        texts = [*self._own("day"), *(self._own("last") if "last" in self._places else ())]
        _, only_day, only_month, either = day_order(texts)
        other = only_month if days == "day first" else only_day
        if not other or not either:
            return []
        text = Message(
            "{other} dates fit only another order than the one chosen, {either} could be either",
            other=other, either=either,
        )  # fmt: skip
        options = (("as chosen", Message("Read those in the order chosen")),
                   (LEAVE_OUT, Message("Leave those out")))  # fmt: skip
        return [Reading("days", text, either, "", False, Message("Dates of mixed order"), options)]

    @property
    def all(self) -> tuple[Reading, ...]:
        """Every one, in the order of the table's fields."""
        return tuple(self._by_key.values())

    def of(self, field: str, text: str) -> Reading | None:
        """The reading of a text, noted as used; none where none is needed."""
        reading = self._by_key.get((field, folded(text)))
        if reading is not None:
            self.used.add(reading.key)
        return reading

    def of_days(self) -> Reading | None:
        """Whether dates that could be either are read."""
        return next((r for r in self.all if r.field == "days"), None)

    def numbers(self, field: str) -> str:
        """How a column writes its numbers: ``point``, ``comma`` or blank, not known."""
        found = self.of(f"numbers.{field}", self._columns.get(field, ""))
        return found.value if found is not None else ""


_FIELD_WORDS = {
    "pump": Message("the pump"),
    "day": Message("the day"),
    "last": Message("the last day"),
    "part": Message("the part fitted"),
    "why": Message("why it was fitted"),
    "pumped": Message("what was pumped"),
    "cycles": Message("cycles"),
    "at_work": Message("hours the pump worked"),
    "area": Message("the area coated"),
    "coating": Message("the coating"),
    "note": Message("a remark"),
}


def lasting(readings: Sequence[Reading]) -> dict[str, str]:
    """Readings that a person confirmed or that were sure, to be kept for the next table."""
    return {f"{r.field}:{r.text[:120]}": r.value for r in readings
            if r.field in _KEPT and r.sure and r.value}  # fmt: skip


def read_key(text: str) -> Key:
    """Field and text of a reading kept as ``part:cyl o-ring``."""
    field, _, rest = text.partition(":")
    return field, folded(rest)
