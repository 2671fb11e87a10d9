"""Readings of the running checks from a file, TOML or JSON, and the schema they follow."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

from pydantic import TypeAdapter, ValidationError

from wetend.errors import BadInput, TooLarge
from wetend.pump.readings import CheckReadings
from wetend.units.decoding import TOO_MANY_DIGITS, quoted_line, toml_table
from wetend.units.fields import explain
from wetend.units.message import Message

MOST = 50_000
"""Characters of the longest file read."""
_BARE: dict[str, tuple[float, float, str, str]] = {
    "spray_pressure": (1e4, math.inf, "Pa", "bar"),
    "stall_pressure": (1e4, math.inf, "Pa", "bar"),
    "supply_pressure": (1e4, math.inf, "Pa", "bar"),
    "cycle_rate": (0.0, 3.0, Message("a second"), "cycles/min"),
    "creep_up": (0.0, 1.0, "m/s", "mm/min"),
    "creep_down": (0.0, 1.0, "m/s", "mm/min"),
}
"""Readings often written as a number alone: what a bare SI number may be, what it would be, and
what is likely meant. A gauge shows no tenth of a bar, no pump does 180 cycles a minute."""


def _once(pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
    """A JSON object, none of its names given twice."""
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise BadInput(Message("The reading “{twice}” is given twice; keep one.", twice=twice[:60]))
    return found


def _no_constant(word: str) -> Any:
    raise BadInput(Message("“{word}” is not a number.", word=word))


def _json(text: str) -> Any:
    try:
        return json.loads(text, object_pairs_hook=_once, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        line = Message(
            "line {lineno}, {text}", lineno=error.lineno, text=quoted_line(text, error.lineno)
        )
        raise BadInput(Message("This is not valid JSON: {line}.", line=line)) from error
    except RecursionError as error:
        raise BadInput(Message("It is nested too deeply.")) from error
    except ValueError as error:  # more digits than Python turns into a number
        raise BadInput(TOO_MANY_DIGITS) from error


def _bare(value: Any) -> float | None:
    """A number given without a unit, as a number or in a text; ``None`` for all else.

    >>> _bare(230), _bare("230"), _bare("230 bar"), _bare(True)
    (230.0, 230.0, None, None)
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return None
    try:
        return float(value)
    except (ValueError, OverflowError):
        return None


def _mind_bare_numbers(found: dict[str, Any]) -> None:
    """Refuse a bare number that as SI is a slip: ``230`` for a gauge, ``22`` for cycles a minute.

    Raises:
        BadInput: such a number, with how to write what was likely meant.
    """
    for name, (least, most, unit, meant) in _BARE.items():
        value = _bare(found.get(name))
        if not value or not math.isfinite(value):
            continue
        if not least <= value <= most:
            label = CheckReadings.model_fields[name].title
            raise BadInput(
                Message(
                    "{label}: {value:g} without a unit is {value:g} {unit}; write the unit with "
                    'it, such as "{value:g} {meant}".',
                    label=label,
                    value=value,
                    unit=unit,
                    meant=meant,
                )
            )


def readings_from(text: str) -> CheckReadings:
    """Readings from TOML, or from JSON where the text begins with a brace.

    A figure is a text with its unit (``"230 bar"``) or a bare SI number; see ``docs/readings.md``.

    Raises:
        BadInput: it can't be read, or a reading is unknown, given twice or out of range.
        TooLarge: longer than any readings are.
    """
    if len(text) > MOST:
        raise TooLarge(Message("The file is longer than {most:,} characters.", most=MOST))
    text = text.removeprefix("\ufeff")  # some editors begin a file with a byte order mark
    found = _json(text) if text.lstrip().startswith("{") else toml_table(text)
    _mind_bare_numbers(found)
    try:
        return CheckReadings.model_validate(found)
    except ValidationError as error:
        raise explain(error, CheckReadings) from error


def readings_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the readings, for TOML and JSON alike."""
    schema = TypeAdapter(CheckReadings).json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
