"""The pump taken apart: each part once, clear of the next, in the order it lies along the pump."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from wetend.drawings.acts.exploded import ORDER, WIDE, exploded, named
from wetend.drawings.acts.pieces import Pieces
from wetend.pump.toml import DEMO_PUMPS, demo_pump

PUMPS = {key: demo_pump(key) for key in DEMO_PUMPS}
_NS = "{http://www.w3.org/2000/svg}"
_POINT = re.compile(r"[ML](-?[\d.]+) (-?[\d.]+)")


@pytest.mark.parametrize("key", PUMPS)
def test_every_piece_has_a_number_and_a_place_in_the_order(key: str) -> None:
    pump = PUMPS[key]
    parts = named(pump)
    assert [n.number for n in parts] == list(range(1, len(parts) + 1))
    assert {n.part for n in parts} == set(Pieces(pump).all)
    assert len({part for row in ORDER for part in row}) == sum(map(len, ORDER))


@pytest.mark.parametrize("key", PUMPS)
def test_rows_stand_clear_of_one_another_and_on_the_sheet(key: str) -> None:
    svg = exploded(PUMPS[key])
    height = float(re.search(r'viewBox="0 0 [\d.]+ ([\d.]+)"', svg)[1])  # type: ignore[index]
    below = 0.0
    rows: dict[tuple[str, ...], list[tuple[float, float]]] = {}
    groups = ElementTree.fromstring(svg).findall(f"{_NS}g[@transform]")
    for group, own in zip(groups, named(PUMPS[key]), strict=True):
        shift = float(group.attrib["transform"].removeprefix("translate(0 ").removesuffix(")"))
        inside = ElementTree.tostring(group, encoding="unicode")
        row = next(r for r in ORDER if own.part in r)
        points = [(float(x), float(y) + shift) for x, y in _POINT.findall(inside)]
        rows.setdefault(row, []).extend(points)
    assert len(rows) >= 15
    for row, points in rows.items():
        top, bottom = min(y for _, y in points), max(y for _, y in points)
        assert top > below, row
        assert bottom < height
        assert all(-0.5 <= x <= WIDE + 0.5 for x, _ in points), row
        below = bottom


def test_how_many_and_which_way_they_face_is_said() -> None:
    """As the description has it: five V-rings with lips up on the piston, two soft rings."""
    pump = PUMPS["quay-air"]
    said = {n.part: n.notes for n in named(pump)}
    assert said["moving-packings"] == (f"{pump.moving_packings.rings} V-rings", "lips up")
    assert said["static-packings"][1] == "lips down"
    assert said["soft-ring"] == ("2 of them",)


def test_the_name_of_the_pump_is_data() -> None:
    pump = PUMPS["quay-air"].model_copy(update={"name": "<i>A&B"})
    assert "&lt;i&gt;A&amp;B" in exploded(pump)
