"""Looks are drawn on their tile, with what is magnified and how much, for any pump."""

from __future__ import annotations

from html import unescape
from xml.etree import ElementTree

import pytest
from any_pump import accepted_pumps
from examples import costly
from hypothesis import given
from svg_points import off_sheet

from wetend.advice.inspect.looks.table import looks_of
from wetend.drawings.looks.draw import PARTS, picture
from wetend.drawings.looks.tile import magnified
from wetend.pump.description import Pump
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

PUMPS = {key: demo_pump(key) for key in DEMO_PUMPS}
QUAY = PUMPS["quay-air"]


@pytest.mark.parametrize("key", PUMPS)
@pytest.mark.parametrize("part", PARTS)
def test_a_look_is_light_on_its_sheet_and_told_in_words(key: str, part: str) -> None:
    seen = set()
    for look in looks_of(PUMPS[key], demo_coatings()[0], part):
        svg = picture(PUMPS[key], part, look)
        root = ElementTree.fromstring(svg)
        assert len(svg) < 20_000
        assert off_sheet(svg) == []
        assert root[0].text == look.title
        assert f"{look.title}: {look.verdict.value}" in (root[1].text or "")
        drawn = [t.text or "" for t in root.iter("{http://www.w3.org/2000/svg}text")]
        if look.limit and look.size:
            assert any("×" in text for text in drawn), look.key
        seen.add(svg.partition("</desc>")[2])
    assert len(seen) == len(looks_of(PUMPS[key], demo_coatings()[0], part))  # no two alike


def test_the_magnification_stated_is_that_of_the_drawing() -> None:
    """A limit of 60 um drawn 13 px, a px being 1/96 in: 13 * 264.6 / 60 = 57.3."""
    assert magnified(13 / 60e-6) == 57
    look = next(x for x in looks_of(QUAY, None, "rod") if x.key == "limit")
    assert "loss ×57" in unescape(picture(QUAY, "rod", look))


def test_more_wear_is_drawn_deeper_against_the_same_limit() -> None:
    for part in ("rod", "cylinder", "foot-ball", "foot-seat"):
        worn, limit = (next(x for x in looks_of(QUAY, None, part) if x.key == key)
                       for key in ("worn", "limit"))  # fmt: skip
        assert worn.size < limit.size == limit.limit == worn.limit
        assert picture(QUAY, part, worn) != picture(QUAY, part, limit)


@costly(25)
@given(pump=accepted_pumps())
def test_whatever_a_form_accepts_has_its_looks_on_their_tiles(pump: Pump) -> None:
    for part in PARTS:
        for look in looks_of(pump, None, part):
            assert off_sheet(picture(pump, part, look)) == [], (part, look.key)
