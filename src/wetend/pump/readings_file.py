"""Readings of the running checks from a file, TOML or JSON, and the schema they follow."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Sequence
from typing import Any

from pydantic import TypeAdapter, ValidationError

from wetend.errors import BadInput, TooLarge
from wetend.pump.readings import CheckReadings
from wetend.units.fields import explain

MOST = 50_000
"""Characters of the longest file read."""


def _once(pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
    """A JSON object, none of its names given twice."""
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise BadInput(f"The reading “{twice[:60]}” is given twice; keep one.")
    return found


def _no_constant(word: str) -> Any:
    raise BadInput(f"“{word}” is not a number that can be read off anything.")


def _json(text: str) -> Any:
    try:
        return json.loads(text, object_pairs_hook=_once, parse_constant=_no_constant)
    except (json.JSONDecodeError, RecursionError) as error:
        raise BadInput(f"This is not JSON that can be read: {error}.") from error


def _toml(text: str) -> Any:
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise BadInput(f"This is not TOML that can be read: {error}.") from error


def readings_from(text: str) -> CheckReadings:
    """Readings from TOML, or from JSON where the text begins with a brace.

    A figure is a text with its unit (``"230 bar"``) or a bare SI number; see ``docs/readings.md``.

    Raises:
        BadInput: it can't be read, or a reading is unknown, given twice or out of range.
        TooLarge: longer than any readings are.
    """
    if len(text) > MOST:
        raise TooLarge(f"The file is longer than {MOST:,} characters; readings are shorter.")
    found = _json(text) if text.lstrip("\ufeff \t\r\n").startswith("{") else _toml(text)
    try:
        return CheckReadings.model_validate(found)
    except ValidationError as error:
        raise explain(error, CheckReadings) from error


def readings_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the readings, for TOML and JSON alike."""
    schema = TypeAdapter(CheckReadings).json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
