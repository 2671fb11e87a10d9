"""What can be bought, and what was counted."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from wetend.pump.catalogue import CatalogueItem, StockCounted

ITEM = {"number": " SE-14 ", "name": "seat 14", "parts": ("foot-seat",), "pumps": ("quay-air",)}


def test_a_number_is_kept_without_the_blanks_around_it() -> None:
    assert CatalogueItem(**ITEM).number == "SE-14"
    with pytest.raises(ValidationError):
        CatalogueItem(**ITEM | {"number": "  "})
    with pytest.raises(ValidationError):
        CatalogueItem(**ITEM | {"number": "two\nlines"})


@pytest.mark.parametrize(
    ("parts", "kit"),
    [(("foot-seat",), False), (("foot-seat", "foot-seat"), False),
     (("foot-seat", "foot-ball"), True)],
)  # fmt: skip
def test_a_kit_covers_several_parts_each_counted_once(parts, kit: bool) -> None:
    assert CatalogueItem(**ITEM | {"parts": parts}).is_kit is kit


def test_nothing_less_than_none_is_counted() -> None:
    counted = StockCounted(number="SE-14", shelf=3)
    assert (counted.shelf, counted.van) == (3, 0)
    with pytest.raises(ValidationError):
        StockCounted(number="SE-14", van=-1)
