"""Pumps and coatings in TOML: read, written, and the two demo pumps."""

from __future__ import annotations

from importlib import resources
from typing import Any, TypeVar

import tomli_w
from pydantic import TypeAdapter, ValidationError

from wetend.errors import BadInput, NotFound, TooLarge
from wetend.keeping import constant
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.known import refuse_unknown_materials, refuse_unknown_names
from wetend.units.decoding import toml_table
from wetend.units.fields import explain
from wetend.units.message import Message, joined
from wetend.units.noun import Noun

DEMO_PUMPS = ("quay-air", "yard-hydraulic")
_MOST = 200_000
_NounT = TypeVar("_NounT", bound=Noun)


def _parse(text: str) -> dict[str, Any]:
    if len(text) > _MOST:
        raise TooLarge(
            Message("The file is longer than 200,000 characters; a pump's description is shorter.")
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
        raise BadInput(Message("Coatings are written as [[coating]] tables."))
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
        raise NotFound(
            Message(
                "There is no demo pump “{key}”; there are {demo_pumps}.",
                key=key[:60],
                demo_pumps=joined(Message(" and "), DEMO_PUMPS),
            )
        )
    return pump_from_toml(_demo_text(f"{key}.toml"))


@constant("example coatings")
def demo_coatings() -> tuple[Coating, ...]:
    """The invented coatings of the demo depot."""
    return coatings_from_toml(_demo_text("coatings.toml"))


def toml_value(value: Any) -> str:
    """A plain value as TOML writes it, on one line.

    >>> toml_value("38 mm"), toml_value(1e-5), toml_value((1, 2))
    ('"38 mm"', '1e-05', '[1, 2]')
    """
    if isinstance(value, list | tuple):
        return "[" + joined(", ", (toml_value(v) for v in value)) + "]"
    plain = value if isinstance(value, bool | int | float) else str(value)
    return tomli_w.dumps({"x": plain}).removeprefix("x = ").removesuffix("\n")


def to_toml(noun: Noun) -> str:
    """A pump or coating as TOML text in SI numbers; reading it back gives an equal noun."""
    return tomli_w.dumps(noun.model_dump(mode="json", exclude_none=True))


def pump_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the pump TOML."""
    schema = TypeAdapter(Pump).json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
