"""The base of every described thing: immutable, checked, nothing extra accepted."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal, TypeVar, cast

from pydantic import AfterValidator, BaseModel, ConfigDict, StringConstraints

from wetend.units.message import Message

_NO_CHARACTER = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def _keepable(text: str) -> str:
    """Text that every database, drawing and report can hold.

    Source: Extensible Markup Language (XML) 1.0, production 2, Char.
    """
    if text.isprintable():  # much quicker, and true of nearly every line
        return text
    odd = _NO_CHARACTER.search(text)
    if odd:
        raise ValueError(
            Message("the control character U+{ord:04X} can't be saved; remove it", ord=ord(odd[0]))
        )
    return text


Keepable = AfterValidator(_keepable)
"""Refuses what no database, drawing or report can hold; for text of any length."""

Line = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200), Keepable]
"""One line of people's text: data, never markup."""
Text = Annotated[str, StringConstraints(strip_whitespace=True, max_length=4000), Keepable]
"""Several lines of people's text: data, never markup."""
Name = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=80), Keepable
]
"""What something is called."""
Slug = Annotated[
    str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,62}$", strip_whitespace=True)
]
"""A short id: small letters, figures and hyphens."""


Known = Literal["not known", "no", "yes"]
"""What is asked and may be left open: not knowing is an answer, and never taken for no."""


class Noun(BaseModel):
    """An immutable, validated description. Unknown fields and numbers not finite are refused."""

    typed_as: ClassVar[Mapping[str, tuple[str, str]]] = {}
    """Words still typed for a field, each with the field and the unit of a bare number."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, validate_default=False, defer_build=True
    )


NounT = TypeVar("NounT", bound=Noun)


def overlaid(base: NounT, patch: NounT) -> NounT:
    """``base`` with the fields that ``patch`` names put over it; the others stay as they are.

    Raises:
        ValidationError: together they make no sense.
    """
    values = {name: getattr(base, name) for name in base.model_fields_set}
    values |= {name: getattr(patch, name) for name in patch.model_fields_set}
    return type(base).model_validate(values)


def alike(one: object, other: object) -> bool:
    """Whether two values of a field are the same as people read them, to a part in a million.

    A form shows seven figures of a number, so what comes back can differ in those behind.
    """
    if isinstance(one, float) and isinstance(other, float | int):
        return math.isclose(one, other, rel_tol=2e-6, abs_tol=1e-15)
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(alike(v, other[k]) for k, v in one.items())
    return one == other


def change(base: NounT | None, new: NounT, *, always: frozenset[str] = frozenset()) -> NounT | None:
    """What ``new`` changes: a noun that names only those fields; ``None`` where nothing changed.

    A field that ``base`` has and ``new`` has not is named with its default, which empties it.
    Without ``base`` the defaults stand in for it.

    Args:
        base: as it was when the person began to change it.
        new: as it is now.
        always: fields named whatever they say, such as which end of the pump is meant.
    """
    info = type(new).model_fields
    before = {
        name: field.get_default(call_default_factory=True) if base is None else getattr(base, name)
        for name, field in info.items()
    }
    changed = {name for name in info if not alike(getattr(new, name), before[name])}
    if base is not None and not changed - always:
        return None
    named = {name for name in info if name in changed | always or info[name].is_required()}
    values = {name: getattr(new, name) for name in info}
    return cast("NounT", type(new).model_construct(_fields_set=named, **values))
