"""Field tables for command help: meaning, choices and unit of each field."""

from __future__ import annotations

from collections.abc import Callable, Collection
from functools import partial

from pydantic import BaseModel

from wetend.cli.help_format import Rows, Table
from wetend.units.fields import Field, fields_of
from wetend.units.kinds import System
from wetend.units.message import Message, joined, raised
from wetend.units.show import pretty

FIELDS = Message("Fields, with the unit of a bare number")
COSTS = Message("Costs, in your currency; the rest keep their usual values")


def name_of(field: Field) -> str:
    """How a field is given: ``bore=``, or entry by entry as ``heights.NAME=``."""
    return f"{field.name}.NAME=" if field.shape == "map" else f"{field.name}="


def _unit(field: Field, system: System) -> str:
    if field.unit is None:
        return {"yes-no": Message(" (yes | no)"), "number": Message(" (a number)"),
                "whole": Message(" (a whole number)")}.get(field.shape, "")  # fmt: skip
    shown = pretty(field.unit.shown_in(system))
    return (
        Message(" [{shown}]", shown=shown)
        if shown not in ("", "1")
        else Message(" (a share, 0 to 1, or with %)")
    )


def row_of(field: Field, system: System, *, no_longer: Collection[str] = ()) -> tuple[str, str]:
    """A field's name, and all that is to be known to give it."""
    offered = joined(" | ", (choice for choice in field.choices if choice not in no_longer))
    choices = Message(" ({offered})", offered=offered) if offered else ""
    many = Message(", several separated by commas") if field.many else ""
    need = Message("; required") if field.required else ""
    hint = Message(". {hint}", hint=field.hint) if field.hint else ""
    said = (raised(field.label), choices, _unit(field, system), many, need, hint)
    return name_of(field), joined("", said)


def rows_of(
    noun: type[BaseModel], system: System, *,
    without: Collection[str] = (), no_longer: Collection[str] = (),
) -> Rows:  # fmt: skip
    """A row for every field of a noun, in the order declared.

    Args:
        noun: what is described.
        system: the units of whoever reads it.
        without: fields that the program fills itself.
        no_longer: choices that only old entries hold.
    """
    asked = [f for f in fields_of(noun) if f.name not in without]
    return [row_of(f, system, no_longer=no_longer) for f in asked]


def fields(
    noun: type[BaseModel], title: str = FIELDS, *,
    without: Collection[str] = (), no_longer: Collection[str] = (),
) -> Table:  # fmt: skip
    """The table of a noun's fields, made when help is asked for; arguments as :func:`rows_of`."""
    return Table(title, partial(rows_of, noun, without=without, no_longer=no_longer))


def listed(title: str, rows: Callable[[], Rows]) -> Table:
    """A table of words that are no noun's fields."""
    return Table(title, lambda _system: rows())
