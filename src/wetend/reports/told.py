"""What a noun holds, told as names and values in the units of whoever reads."""

from __future__ import annotations

from collections.abc import Collection
from datetime import UTC, datetime
from statistics import fmean
from typing import Any

from wetend.advice.reasons import Interval
from wetend.units.fields import Field, fields_of
from wetend.units.kinds import System
from wetend.units.noun import Noun
from wetend.units.quantity import Unit
from wetend.units.show import number, show


def moment(at: datetime) -> str:
    """A moment as a report writes it (ISO 8601, UTC).

    >>> moment(datetime(2031, 5, 4, 14, 32, tzinfo=UTC))
    '2031-05-04 14:32 UTC'
    """
    return at.astimezone(UTC).strftime("%Y-%m-%d %H:%M UTC")


def between(spread: Interval, unit: Unit, system: System) -> str:
    """A central interval: ``"12.0 to 15.0 mL/min"``."""
    return f"{number(spread.low, unit, system)} to {show(spread.high, unit, system)}"


def percent(share: float) -> str:
    """A probability or share: ``"84 %"``; never rounded up to certainty.

    >>> percent(0.843), percent(0.9999), percent(0.0)
    ('84 %', '> 99 %', '0 %')
    """
    if share < 1 and share > 0.995:
        return "> 99 %"
    return "< 1 %" if 0 < share < 0.005 else f"{share * 100:.0f} %"


def _series(values: Collection[Any], field: Field, system: System) -> str:
    if field.unit is None:
        return ", ".join(str(v) for v in values)
    if len(values) == 1:
        return show(next(iter(values)), field.unit, system)
    mean = show(fmean(values), field.unit, system)
    low, high = (number(edge, field.unit, system) for edge in (min(values), max(values)))
    return f"{mean} mean of {len(values)}, {low} to {high}"


def value_text(value: Any, field: Field, system: System) -> str:
    """One field's value in words; ``""`` where nothing was said."""
    if value is None or value == "" or value == () or value == "not looked":
        return ""
    if field.many:
        return _series(value, field, system)
    if field.shape == "yes-no":
        return "yes" if value else "no"
    return show(value, field.unit, system) if field.unit else str(value)


def rows(
    noun: Noun, system: System, *, leave_out: Collection[str] = ()
) -> tuple[tuple[str, str], ...]:
    """Every field that says something, in the order declared."""
    told = []
    for field in fields_of(type(noun)):
        if field.name in leave_out:
            continue
        text = value_text(getattr(noun, field.name), field, system)
        if text:
            told.append((field.label, text))
    return tuple(told)
