"""Formats a model's fields as names and values in the reader's units."""

from __future__ import annotations

from collections.abc import Collection
from datetime import UTC, datetime
from statistics import fmean
from typing import Any

from wetend.advice.reasons import Interval
from wetend.units.fields import Field, fields_of
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.units.noun import Noun
from wetend.units.parse import to_unit
from wetend.units.quantity import S, Unit
from wetend.units.show import number, show, significant


def moment(at: datetime) -> str:
    """A moment as a report writes it (ISO 8601, UTC).

    >>> moment(datetime(2031, 5, 4, 14, 32, tzinfo=UTC))
    '2031-05-04 14:32 UTC'
    """
    return at.astimezone(UTC).strftime("%Y-%m-%d %H:%M UTC")


def between(spread: Interval, unit: Unit, system: System) -> str:
    """A central interval: ``"12.0 to 15.0 mL/min"``."""
    return Message(
        "{low} to {high}",
        low=number(spread.low, unit, system),
        high=show(spread.high, unit, system),
    )


def within(value: float, uncertainty: float, unit: Unit, system: System) -> str:
    """A value with its expanded uncertainty, coverage factor 2: ``"12.0 mm ± 0.12"``.

    Two significant figures for the uncertainty (JCGM 100:2008, 6.2 and 7.2.6).
    """
    shown = show(value, unit, system)
    if not uncertainty > 0:
        return shown
    spelling = unit.shown_in(system)
    zero, twice = (to_unit(v, unit.kind, spelling) for v in (0.0, 2 * uncertainty))
    return Message("{shown} ± {significant}", shown=shown, significant=significant(twice - zero, 2))


def time_text(seconds: S) -> str:
    """A time as planned by: seconds up to a minute and a half, then whole minutes.

    >>> time_text(45), time_text(315), time_text(7000)
    ('45 s', '5 min', '1 h 57 min')
    """
    if seconds < 90:
        return Message("{seconds:.0f} s", seconds=seconds)
    minutes = round(seconds / 60)
    return (
        Message("{minutes} min", minutes=minutes)
        if minutes < 90
        else Message("{hours} h {minutes} min", hours=minutes // 60, minutes=minutes % 60)
    )


def _word(value: Any, field: Field) -> str:
    """A value without a unit; one of the field's own words is translated."""
    text = str(value)
    return Message(text) if text in field.choices else text


def _series(values: Collection[Any], field: Field, system: System) -> str:
    if field.unit is None:
        return joined(", ", (_word(v, field) for v in values))
    if len(values) == 1:
        return show(next(iter(values)), field.unit, system)
    mean = show(fmean(values), field.unit, system)
    low, high = (number(edge, field.unit, system) for edge in (min(values), max(values)))
    return Message(
        "{mean} mean of {values}, {low} to {high}",
        mean=mean,
        values=len(values),
        low=low,
        high=high,
    )


_NOT_SAID = (
    "",
    "not looked",
    "not done",
    "not tried",
    "not felt",
    "not described",
)


def value_text(value: Any, field: Field, system: System) -> str:
    """One field's value in words; ``""`` where nothing was said."""
    if value is None or value == () or value in _NOT_SAID:
        return ""
    if field.many:
        return _series(value, field, system)
    if field.shape == "yes-no":
        return Message("yes") if value else Message("no")
    if field.unit:
        return show(value, field.unit, system)
    return _word(value, field)


def rows(
    noun: Noun, system: System, *, leave_out: Collection[str] = ()
) -> tuple[tuple[str, str], ...]:
    """Every field that says something, in the order declared."""
    pairs = []
    for field in fields_of(type(noun)):
        if field.name in leave_out:
            continue
        text = value_text(getattr(noun, field.name), field, system)
        if text:
            pairs.append((field.label, text))
    return tuple(pairs)
