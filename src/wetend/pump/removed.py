"""A pump removed from the lists: described by mistake, sold, scrapped."""

from __future__ import annotations

from pydantic import Field

from wetend.units.message import Message
from wetend.units.noun import Line, Noun


class Removed(Noun):
    """Takes a pump out of lists, fleet and stores; it and all that depends on it stay kept."""

    reason: Line = Field(
        default="", title=Message("Why"), description=Message("Such as: described by mistake, sold")
    )
