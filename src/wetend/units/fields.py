"""Read nouns from typed text, and list a noun's fields for forms, commands and documents.

One declaration of a field (type, unit, range, description) gives the label, the hint, the check and
the sentence said when it can't be read.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cache
from typing import Annotated, Any, Literal, TypeVar, Union

from pydantic import BaseModel, ValidationError
from pydantic_core import PydanticUndefined

from wetend.errors import BadInput, Problem
from wetend.units.kinds import System
from wetend.units.parse import plain_number, read_quantities
from wetend.units.quantity import Unit
from wetend.units.show import show

NounT = TypeVar("NounT", bound=BaseModel)
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


def _strip(annotation: Any) -> tuple[Any, Unit | None, bool]:
    """Bare type, unit and whether it is a series, seen through Annotated, Optional and tuple."""
    unit: Unit | None = None
    many = False
    while True:
        origin = typing.get_origin(annotation)
        if origin is dict:
            return dict, next(iter(typing.get_args(annotation)[1].__metadata__), None), False
        if origin is Annotated:
            annotation, *extras = typing.get_args(annotation)
            unit = next((e for e in extras if isinstance(e, Unit)), unit)
        elif origin in (Union, types.UnionType):
            annotation = next(a for a in typing.get_args(annotation) if a is not type(None))
        elif origin in (tuple, list):
            annotation, many = typing.get_args(annotation)[0], True
        else:
            return annotation, unit, many


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


@cache
def fields_of(noun: type[BaseModel]) -> tuple[Field, ...]:
    """The fields of a noun, in the order declared."""
    found = []
    for name, info in noun.model_fields.items():
        bare, unit, many = _strip(info.annotation)
        unit = next((m for m in info.metadata if isinstance(m, Unit)), unit)
        shape, choices = _shape(bare, unit)
        default = None if info.default is PydanticUndefined else info.default
        found.append(
            Field(
                name=name, label=info.title or name.replace("_", " "), shape=shape, unit=unit,
                choices=choices, many=many, required=info.is_required(), default=default,
                hint=info.description or "", noun=bare if shape == "noun" else None,
            )
        )  # fmt: skip
    return tuple(found)


def ready(field: Field, typed: str, system: System | None) -> Any:
    """Typed text made ready for validation: series split, yes and no understood.

    Raises:
        BadInput: an item of a series can't be read, a comma may mean either, or neither yes nor no.
    """
    if field.many and field.shape == "quantity":
        assert field.unit is not None
        bare = field.unit.shown_in(system) if system else field.unit.kind.si
        return read_quantities(typed, field.unit.kind, bare=bare)
    if field.many:
        return tuple(p.strip() for p in typed.replace("\n", ",").split(",") if p.strip())
    if field.shape == "yes-no":
        word = typed.strip().lower()
        if word not in _YES | _NO:
            raise BadInput(f"“{typed.strip()[:60]}” is neither yes nor no.")
        return word in _YES
    if field.shape in ("number", "whole"):
        return plain_number(typed)
    return typed


_YES = frozenset({"yes", "y", "true", "on", "1"})
_NO = frozenset({"no", "n", "false", "off", "0"})


_SENTENCES = {
    "missing": "is needed",
    "greater_than": "must be more than {gt}",
    "greater_than_equal": "must be at least {ge}",
    "less_than": "must be less than {lt}",
    "less_than_equal": "must be at most {le}",
    "finite_number": "must be an ordinary number",
    "float_parsing": "is not a number",
    "float_type": "is not a number",
    "int_parsing": "is not a whole number",
    "int_from_float": "is not a whole number",
    "bool_parsing": "is yes or no",
    "string_too_long": "is longer than {max_length} characters",
    "string_too_short": "is needed",
    "string_pattern_mismatch": "may hold small letters, figures and hyphens only",
    "literal_error": "must be one of {expected}",
    "enum": "must be one of {expected}",
    "tuple_type": "is a list, in square brackets",
    "list_type": "is a list, in square brackets",
    "dict_type": "is given entry by entry, as name.entry",
    "extra_forbidden": "is not a field known here",
    "too_long": "has more than {max_length} entries",
    "too_short": "needs at least {min_length}",
}


def _limits(context: Mapping[str, Any], field: Field | None, system: System) -> dict[str, Any]:
    """Limits of a broken rule, in the unit this person reads the field in."""
    if field is None or field.unit is None:
        return dict(context)
    return {k: show(v, field.unit, system)
            if isinstance(v, int | float) and v and not k.endswith("_length") else v
            for k, v in context.items()}  # fmt: skip


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


def explain(
    error: ValidationError, noun: type[BaseModel] | None = None, *, system: System = "metric"
) -> BadInput:
    """A validation error as plain sentences, one a field, limits in this person's units."""
    problems = []
    for item in error.errors(include_url=False):
        where = ".".join(str(part) for part in item["loc"]) or "input"
        field = field_at(noun, item["loc"]) if noun else None
        label = field.label if field else where
        pattern = _SENTENCES.get(item["type"])
        cause = item.get("ctx", {}).get("error")
        if pattern:
            sentence = f"{label} {pattern.format(**_limits(item.get('ctx', {}), field, system))}."
        elif isinstance(cause, Exception) and not item["loc"]:
            sentence = f"{str(cause)[:1].upper()}{str(cause)[1:]}."
        elif isinstance(cause, Exception):
            sentence = f"{label}: {cause}"
        else:
            sentence = f"{label}: {item['msg']}."
        problems.append(Problem(where, sentence))
    return BadInput(" ".join(p.sentence for p in problems[:5]), tuple(problems))


def read(
    noun: type[NounT], typed: Mapping[str, str | Sequence[str]], *, system: System | None = None
) -> NounT:
    """Build a noun from typed text, one entry a field; blank text means not given.

    Args:
        noun: what to build.
        typed: text as typed, or several texts for a series (form check-boxes, repeated fields).
        system: the units meant by bare numbers; ``None`` means SI.

    Raises:
        BadInput: with one :class:`Problem` for every field that can't be read.
    """
    values: dict[str, Any] = {}
    problems: list[Problem] = []
    known = {f.name: f for f in fields_of(noun)}
    for given, value in typed.items():
        name, _, key = given.partition(".")
        field = known.get(name)
        if field is not None and field.shape == "map":
            if key and isinstance(value, str) and value.strip():
                values.setdefault(name, {})[key] = value
            elif not key and value:
                told = f"{field.label} is given entry by entry, as {name}.entry."
                problems.append(Problem(name, told))
            continue
        if field is None:
            near = ", ".join(known)
            problems.append(Problem(name, f"There is no field “{name[:60]}”; known: {near}."))
            continue
        if isinstance(value, str):
            if not value.strip():
                continue
            try:
                values[name] = ready(field, value, system)
            except BadInput as bad:
                problems.append(Problem(name, f"{field.label}: {bad}"))
        else:
            values[name] = tuple(v for v in value if v.strip())
    unread = {p.field for p in problems}
    try:
        built = noun.model_validate(values, context={"bare": system} if system else {})
    except ValidationError as error:
        problems += [
            p
            for p in explain(error, noun, system=system or "metric").problems
            if p.field not in unread
        ]
    if problems:
        raise BadInput(" ".join(p.sentence for p in problems[:5]), tuple(problems))
    return built
