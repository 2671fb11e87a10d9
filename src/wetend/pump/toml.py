"""Pumps and coatings in TOML: read, written, and the two demo pumps."""

from __future__ import annotations

import json
from importlib import resources
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from wetend.errors import BadInput, NotFound, TooLarge
from wetend.keeping import constant
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.known import refuse_unknown_materials, refuse_unknown_names
from wetend.units.decoding import toml_table
from wetend.units.fields import explain
from wetend.units.noun import Noun

DEMO_PUMPS = ("quay-air", "yard-hydraulic")
_MOST = 200_000
_NounT = TypeVar("_NounT", bound=Noun)


def _parse(text: str) -> dict[str, Any]:
    if len(text) > _MOST:
        raise TooLarge(
            "The file is longer than 200,000 characters; a pump's description is shorter."
        )
    return toml_table(text)


def _build(noun: type[_NounT], data: Any) -> _NounT:
    try:
        return noun.model_validate(data)
    except ValidationError as error:
        raise explain(error, noun, by_path=True) from error


def pump_from_toml(text: str) -> Pump:
    """A pump from TOML text.

    Raises:
        BadInput: not TOML, or a field is missing, unknown or out of range; the sentence names it.
    """
    pump = _build(Pump, _parse(text))
    refuse_unknown_materials(pump)
    return pump


def coatings_from_toml(text: str) -> tuple[Coating, ...]:
    """Coatings from TOML text with one ``[[coating]]`` table each."""
    rows = _parse(text).get("coating", [])
    if not isinstance(rows, list):
        raise BadInput("Coatings are written as [[coating]] tables.")
    coatings = tuple(_build(Coating, row) for row in rows)
    for coating in coatings:
        refuse_unknown_names(coating)
    return coatings


def _demo_text(name: str) -> str:
    return resources.files("wetend.pump").joinpath("demo", name).read_text("utf-8")


@constant("example pumps")
def demo_pump(key: str) -> Pump:
    """One of the two demo pumps."""
    if key not in DEMO_PUMPS:
        raise NotFound(f"There is no demo pump “{key[:60]}”; there are {' and '.join(DEMO_PUMPS)}.")
    return pump_from_toml(_demo_text(f"{key}.toml"))


@constant("example coatings")
def demo_coatings() -> tuple[Coating, ...]:
    """The invented coatings of the demo depot."""
    return coatings_from_toml(_demo_text("coatings.toml"))


def toml_value(value: Any) -> str:
    """A plain value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_value(v) for v in value) + "]"
    # a JSON string is a TOML string but for the delete character, which TOML wants written out
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")


def _tables(data: dict[str, Any], path: str) -> list[str]:
    plain = {k: v for k, v in data.items() if not _is_table(v) and v is not None}
    lines = [f"{key} = {toml_value(value)}" for key, value in plain.items()]
    for key, value in data.items():
        where = f"{path}.{key}" if path else key
        if isinstance(value, dict):
            lines += ["", f"[{where}]", *_tables(value, where)]
        elif _is_table(value):
            for row in value:
                lines += ["", f"[[{where}]]", *_tables(row, where)]
    return lines


def _is_table(value: Any) -> bool:
    return isinstance(value, dict) or (
        isinstance(value, list) and bool(value) and isinstance(value[0], dict)
    )


def to_toml(noun: Noun) -> str:
    """A pump or coating as TOML text in SI numbers; reading it back gives an equal noun."""
    return "\n".join(_tables(noun.model_dump(mode="json", exclude_none=True), "")) + "\n"


def pump_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the pump TOML."""
    schema = TypeAdapter(Pump).json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
