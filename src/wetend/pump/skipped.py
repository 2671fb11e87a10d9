"""An act of a visit that could not be done, and why."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StringConstraints

from wetend.units.message import Message
from wetend.units.noun import Line, Noun

ActName = Annotated[
    str, StringConstraints(pattern=r"^[a-z-]{1,20}/[a-z0-9][a-z0-9-]{0,62}$", strip_whitespace=True)
]
"""An act's stage and key, such as ``"prove/hold"``."""


class ActSkipped(Noun):
    """An act that could not be done; folded, the latest of each act counts."""

    act: ActName = Field(title=Message("The act"))
    reason: Line = Field(default="", title=Message("Why it can't be done"))
    again: bool = Field(default=False, title=Message("It can be done after all"))
