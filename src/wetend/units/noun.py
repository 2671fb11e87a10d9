"""The base of every described thing: immutable, checked, nothing extra accepted."""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, StringConstraints

_NO_CHARACTER = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def _keepable(text: str) -> str:
    """Text that every database, drawing and report can hold.

    Source: Extensible Markup Language (XML) 1.0, production 2, Char.
    """
    if text.isprintable():  # much quicker, and true of nearly every line
        return text
    odd = _NO_CHARACTER.search(text)
    if odd:
        raise ValueError(f"the control character U+{ord(odd[0]):04X} can't be kept; take it out")
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


class Noun(BaseModel):
    """An immutable, validated description. Unknown fields and numbers not finite are refused."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, validate_default=False
    )
