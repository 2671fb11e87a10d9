"""What the owner can buy: the owner's own part numbers, and what was counted on shelf and van."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field, StringConstraints

from wetend.pump.costs import Money
from wetend.pump.usage import FittedPart
from wetend.units.message import Message
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

    number: Number = Field(
        title=Message("Part number"), description=Message("Your own or the supplier's")
    )
    name: Name = Field(title=Message("Called"), description=Message("As the order should say it"))
    parts: Annotated[tuple[FittedPart, ...], AfterValidator(_each_once)] = Field(
        min_length=1,
        max_length=13,
        title=Message("What it is"),
        description=Message("Several: a kit"),
    )
    pumps: Annotated[tuple[Slug, ...], AfterValidator(_each_once)] = Field(
        min_length=1, max_length=2000, title=Message("Pumps it fits"),
        description=Message("It also fits pumps of the same build with the same part size"),
    )  # fmt: skip
    supplier: Line = ""
    price: Money | None = Field(default=None, title=Message("Price of a pack"))
    pack: int = Field(default=1, ge=1, le=1000, title=Message("Number in a pack"))
    least: int = Field(default=1, ge=1, le=1000, title=Message("Packs in an order, at least"))
    lead: SAsDays | None = Field(
        default=None, ge=0, le=3 * 365 * 86400.0, title=Message("Lead time, from order to shelf")
    )
    note: Line = ""

    @property
    def is_kit(self) -> bool:
        """Whether it covers several parts."""
        return len(self.parts) > 1


class StockCounted(Noun):
    """What lay on the shelf and in the van when it was counted: pieces, of a kit kits."""

    number: Number = Field(title=Message("Part number"))
    shelf: int = Field(default=0, ge=0, le=100_000, title=Message("On the shelf"))
    van: int = Field(default=0, ge=0, le=100_000, title=Message("In the van"))
    ordered: int = Field(
        default=0, ge=0, le=100_000, title=Message("On order"),
        description=Message("Ordered and not yet here; the next count says what is left of it"),
    )  # fmt: skip
