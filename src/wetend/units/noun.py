"""The base of every described thing: immutable, checked, nothing extra accepted."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, StringConstraints

Line = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)]
"""One line of people's text: data, never markup."""
Text = Annotated[str, StringConstraints(strip_whitespace=True, max_length=4000)]
"""Several lines of people's text: data, never markup."""
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=80)]
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
