"""What the owner can buy: the owner's own part numbers, and what was counted on shelf and van."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field, StringConstraints

from wetend.pump.costs import Money
from wetend.pump.usage import FittedPart
from wetend.units.noun import Keepable, Line, Name, Noun, Slug
from wetend.units.quantity import SAsDays

KEPT_UNDER = "stores--catalogue"
"""What these entries are kept under, as they belong to no one pump."""


def _each_once(values: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(values))


Number = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=60, pattern=r"^[^\n\t]*$"),
    Keepable,
]
"""A part number as the owner or the supplier writes it."""


class CatalogueItem(Noun):
    """One thing that can be bought: a part, or a kit of several, for pumps of one build."""

    number: Number = Field(title="Part number", description="Your own or the supplier's")
    name: Name = Field(title="Called", description="As the order should say it")
    parts: Annotated[tuple[FittedPart, ...], AfterValidator(_each_once)] = Field(
        min_length=1, max_length=13, title="What it is", description="Several: a kit"
    )
    pumps: Annotated[tuple[Slug, ...], AfterValidator(_each_once)] = Field(
        min_length=1, max_length=2000, title="Pumps it fits",
        description="It also fits pumps of the same build with the same part size",
    )  # fmt: skip
    supplier: Line = ""
    price: Money | None = Field(default=None, title="Price of a pack")
    pack: int = Field(default=1, ge=1, le=1000, title="Number in a pack")
    lead: SAsDays | None = Field(
        default=None, ge=0, le=3 * 365 * 86400.0, title="Lead time, from order to shelf"
    )
    note: Line = ""

    @property
    def is_kit(self) -> bool:
        """Whether it covers several parts."""
        return len(self.parts) > 1


class StockCounted(Noun):
    """What lay on the shelf and in the van when it was counted: pieces, of a kit kits."""

    number: Number = Field(title="Part number")
    shelf: int = Field(default=0, ge=0, le=100_000, title="On the shelf")
    van: int = Field(default=0, ge=0, le=100_000, title="In the van")
