"""A description as TOML for people to edit: figures with units, each field with what it means."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from wetend.pump.toml import toml_value
from wetend.units.declared import Field, fields_of
from wetend.units.parse import read_quantity, to_unit
from wetend.units.quantity import Unit

_WIDE = 100
_COLUMN = 32
"""Where what is said of a short line begins."""
_FIGURES = (
    'Every figure carries its unit, such as "38 mm", "1 1/2 in", "21 thou" or "200 bar"; a number '
    "without one is SI. Take figures from the maker's manual where it gives them, and then say "
    'limits_from = "maker".'
)
_LEFT_OUT = (
    "A line that begins with # is left out; take the # away to give that field too. When done: "
    "wetend pump describe FILE"
)


def figure(value: float, unit: Unit) -> str:
    """A figure with its unit, in no more digits than it takes to read back the same; else SI.

    >>> from wetend.units.quantity import M, MFine, unit_of
    >>> figure(0.038, unit_of(M)), figure(15e-6, unit_of(MFine))
    ('"38 mm"', '"15 um"')
    """
    if unit.metric == "1":
        return toml_value(value)
    shown = to_unit(value, unit.kind, unit.metric)
    for digits in range(1, 17):
        text = f"{shown:.{digits}g} {unit.metric}"
        if "e" not in text.partition(" ")[0] and _same(text, value, unit):
            return f'"{text}"'
    return toml_value(value)


def _same(text: str, value: float, unit: Unit) -> bool:
    return read_quantity(text, unit.kind, bare=unit.metric) == value


def _inline(noun: BaseModel) -> str:
    """A noun within a row, on one line; what is as usual is left out."""
    pairs = [f"{f.name} = {_value(f, getattr(noun, f.name))}"
             for f in fields_of(type(noun)) if getattr(noun, f.name) != f.default]  # fmt: skip
    return "{ " + ", ".join(pairs) + " }"


def _value(field: Field, value: Any) -> str:
    if isinstance(value, tuple | list):
        return "[" + ", ".join(_value(field, v) for v in value) + "]"
    if isinstance(value, BaseModel):
        return _inline(value)
    if field.unit is not None and isinstance(value, float | int):
        return figure(value, field.unit)
    return toml_value(value)


def _meaning(field: Field) -> str:
    label = field.label if field.label != field.name.replace("_", " ") else ""
    choices = " | ".join(field.choices)
    comment = ". ".join(filter(None, (label, field.hint)))
    return " ".join(filter(None, (comment, f"({choices})" if choices else "")))


def _comment(text: str) -> list[str]:
    return [f"# {line}" for line in textwrap.wrap(text, _WIDE - 2, break_on_hyphens=False)]


def _line(text: str, meaning: str) -> Iterator[str]:
    beside = f"{text:<{_COLUMN}}  # {meaning}"
    if not meaning:
        yield text
    elif len(beside) <= _WIDE:
        yield beside
    else:
        yield from (*_comment(meaning), text)


def _usual(field: Field) -> str:
    """What stands in a line that is left out: the usual value, or the unit to give it in."""
    if field.default is None:
        return f'"? {field.unit.metric}"' if field.unit else '""'
    if field.unit is not None and isinstance(field.default, float):
        shown = to_unit(field.default, field.unit.kind, field.unit.metric)
        return f'"{shown:.6g} {field.unit.metric}"' if field.unit.metric != "1" else f"{shown:.6g}"
    return _value(field, field.default)


def _plain(noun: BaseModel, *, explained: bool, in_row: bool) -> Iterator[str]:
    """The fields that are no tables of their own; those left as usual only as comments."""
    for field in fields_of(type(noun)):
        value = getattr(noun, field.name)
        if field.shape == "noun" and not in_row:
            continue
        meaning = _meaning(field) if explained else ""
        if field.required or value != field.default:
            yield from _line(f"{field.name} = {_value(field, value)}", meaning)
        elif explained and field.shape != "noun":
            yield from _line(f"# {field.name} = {_usual(field)}", meaning)


def _tables(noun: BaseModel, path: str, *, known: set[Any]) -> Iterator[str]:
    """A noun's own fields, then those that are tables of their own; each kind is explained once."""
    yield from _plain(noun, explained=type(noun) not in known, in_row=False)
    known.add(type(noun))
    for field in fields_of(type(noun)):
        value = getattr(noun, field.name)
        if field.shape != "noun" or value is None:
            continue
        where = f"{path}.{field.name}" if path else field.name
        about = _about(field) if field.noun not in known else []
        if isinstance(value, BaseModel):
            yield from ("", *about, f"[{where}]", *_tables(value, where, known=known))
            continue
        for row in value:
            new = field.noun not in known
            yield from ("", *(about if new else ()), f"[[{where}]]")
            yield from _plain(row, explained=new, in_row=True)
            known.add(field.noun)


def _about(field: Field) -> list[str]:
    said = field.hint or (field.noun.__doc__ if field.noun else "") or ""
    return _comment(said.strip().split("\n\n")[0])


def readable(noun: BaseModel) -> str:
    """A noun as TOML with units and comments; reading it back gives an equal noun."""
    about = [line for block in (_FIGURES, _LEFT_OUT) for line in (*_comment(block), "#")][:-1]
    return "\n".join([*about, "", *_tables(noun, "", known=set())]) + "\n"
