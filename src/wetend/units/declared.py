"""What a noun's fields are, for forms, commands, documents and refusals.

One declaration of a field (type, unit, range, description) gives the label, the hint, the check and
the sentence said when it can't be read.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Annotated, Any, Literal, Union

from pydantic import BaseModel
from pydantic_core import PydanticUndefined

from wetend.keeping import constant
from wetend.units.message import as_message
from wetend.units.quantity import Unit

Shape = Literal["quantity", "number", "whole", "yes-no", "choice", "text", "noun", "map"]


@dataclass(frozen=True)
class Field:
    """One field of a noun: what a form, a command or a document needs to know of it."""

    name: str
    label: str
    shape: Shape
    unit: Unit | None
    choices: tuple[str, ...]
    many: bool
    required: bool
    default: Any
    hint: str
    noun: type[BaseModel] | None = None
    least: float | None = None
    greatest: float | None = None
    """What a number, or each of a series or map, may be: from the least to the greatest, SI."""
    longest: int | None = None
    """Most characters of a text."""


def _strip(annotation: Any, metadata: Sequence[Any]) -> tuple[Any, list[Any], bool]:
    """Bare type, what is said of it and whether it is a series, seen through what holds it.

    What is said of the items of a series or map replaces what is said of it as a whole.
    """
    said, many, mapped = list(metadata), False, False
    while True:
        origin = typing.get_origin(annotation)
        if origin is dict:
            annotation, said, mapped = typing.get_args(annotation)[1], [], True
        elif origin is Annotated:
            annotation, *extras = typing.get_args(annotation)
            said += [m for e in extras for m in (getattr(e, "metadata", None) or [e])]
        elif origin in (Union, types.UnionType):
            annotation = next(a for a in typing.get_args(annotation) if a is not type(None))
        elif origin in (tuple, list):
            annotation, said, many = typing.get_args(annotation)[0], [], True
        else:
            return (dict if mapped else annotation), said, many


def _bound(said: Sequence[Any], *names: str) -> float | None:
    """The limit given under the first of these names."""
    found = (getattr(m, name, None) for m in said for name in names)
    return next((float(v) for v in found if isinstance(v, int | float)), None)


def _shape(bare: Any, unit: Unit | None) -> tuple[Shape, tuple[str, ...]]:
    if bare is dict:
        return "map", ()
    if unit is not None:
        return "quantity", ()
    if typing.get_origin(bare) is Literal:
        return "choice", tuple(str(a) for a in typing.get_args(bare))
    if isinstance(bare, type) and issubclass(bare, Enum):
        return "choice", tuple(str(e.value) for e in bare)
    if isinstance(bare, type) and issubclass(bare, BaseModel):
        return "noun", ()
    shapes: dict[Any, Shape] = {bool: "yes-no", int: "whole", float: "number"}
    return shapes.get(bare, "text"), ()


@constant("fields of nouns")
def fields_of(noun: type[BaseModel]) -> tuple[Field, ...]:
    """The fields of a noun, in the order declared."""
    found = []
    for name, info in noun.model_fields.items():
        bare, said, many = _strip(info.annotation, info.metadata)
        unit = next((m for m in said if isinstance(m, Unit)), None)
        shape, choices = _shape(bare, unit)
        default = None if info.default is PydanticUndefined else info.default
        longest = _bound(said, "max_length") if shape == "text" else None
        found.append(
            Field(
                name=name, label=as_message(info.title or name.replace("_", " ")),
                shape=shape, unit=unit,
                choices=choices, many=many, required=info.is_required(), default=default,
                hint=as_message(info.description or ""), noun=bare if shape == "noun" else None,
                least=_bound(said, "ge", "gt"), greatest=_bound(said, "le", "lt"),
                longest=None if longest is None else int(longest),
            )
        )  # fmt: skip
    return tuple(found)


def field_at(noun: type[BaseModel], path: Sequence[str | int]) -> Field | None:
    """The field a path such as ``("hose", 0, "bore")`` ends at; ``None`` where there is none.

    A path that goes on into one item of a series ends at the series.
    """
    found: Field | None = None
    for step in path:
        if isinstance(step, int):
            continue
        if found is not None and found.noun is None:
            return found
        within = found.noun if found is not None and found.noun is not None else noun
        found = next((f for f in fields_of(within) if f.name == step), None)
        if found is None:
            return None
    return found
