"""Read nouns from typed text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from wetend.errors import BadInput, Problem
from wetend.units.declared import Field, field_at, fields_of
from wetend.units.error_messages import bare_unit, explain
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.units.parse import plain_number, read_quantities, read_quantity
from wetend.units.suggestions import near_or_all

__all__ = ["Field", "explain", "field_at", "fields_of", "read", "ready"]

NounT = TypeVar("NounT", bound=BaseModel)


def ready(field: Field, typed: str, system: System | None) -> Any:
    """Typed text made ready for validation: series split, yes and no understood.

    Raises:
        BadInput: an item of a series can't be read, a comma may mean either, or neither yes nor no.
    """
    if field.many and field.shape == "quantity":
        assert field.unit is not None
        return read_quantities(typed, field.unit.kind, bare=bare_unit(field.unit, system))
    if field.many:
        return tuple(p.strip() for p in typed.replace("\n", ",").split(",") if p.strip())
    if field.shape == "yes-no":
        word = typed.strip().lower()
        if word not in _YES | _NO:
            raise BadInput(Message("“{typed}” is neither yes nor no.", typed=typed.strip()[:60]))
        return word in _YES
    if field.shape in ("number", "whole"):
        return plain_number(typed)
    return typed


def _in(field: Field, typed: str, bare: str) -> float:
    """A quantity typed under a word that says its unit, whatever the person's units are."""
    assert field.unit is not None
    return read_quantity(typed, field.unit.kind, bare=bare)


_YES = frozenset({"yes", "y", "true", "on", "1"})
_NO = frozenset({"no", "n", "false", "off", "0"})


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
    words: Mapping[str, tuple[str, str]] = getattr(noun, "typed_as", {})
    for given, value in typed.items():
        name, _, key = given.partition(".")
        name, bare = words.get(name, (name, ""))
        field = known.get(name)
        if field is not None and field.shape == "map":
            if key and isinstance(value, str) and value.strip():
                values.setdefault(name, {})[key] = value
            elif not key and value:
                sentence = Message(
                    "{label} is given entry by entry, as {name}.entry.",
                    label=field.label,
                    name=name,
                )
                problems.append(Problem(name, sentence))
            continue
        if field is None:
            sentence = Message(
                "There is no field “{name}”; {known}",
                name=name[:60],
                known=near_or_all(name, known),
            )
            problems.append(Problem(name, sentence))
            continue
        if isinstance(value, str):
            if not value.strip():
                continue
            try:
                values[name] = ready(field, value, system) if not bare else _in(field, value, bare)
            except BadInput as bad:
                problems.append(
                    Problem(name, Message("{label}: {bad}", label=field.label, bad=bad))
                )
        else:
            values[name] = tuple(v for v in value if v.strip())
    unread = {p.field for p in problems}
    try:
        built = noun.model_validate(values, context={"bare": system} if system else {})
    except ValidationError as error:
        problems += [
            p
            for p in explain(error, noun, system=system or "metric", bare=system).problems
            if p.field not in unread
        ]
    if problems:
        raise BadInput(joined(" ", (p.sentence for p in problems[:5])), tuple(problems))
    return built
