"""The tray: every part that comes off lies in one place, in the order of the strip."""

from __future__ import annotations

import re

import pytest

from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.drawings.acts.picture import pictures_of
from wetend.drawings.acts.pieces import Pieces
from wetend.drawings.acts.tray import places, tray
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.pump.strip_graph import Operation
from wetend.pump.toml import DEMO_PUMPS, demo_pump


def _order(pump: Pump) -> list[Operation]:
    return [s.operation for s in plan_strip(pump, ToolBag(tools=tuple(tool_titles(pump)))).steps]


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_apart_every_part_but_the_drive_lies_in_one_place(key: str) -> None:
    pump = demo_pump(key)
    order = _order(pump)
    laid = places(pump, order, [o.key for o in order])
    parts = [part for place in laid for part in place.parts]
    assert sorted(parts) == sorted(p for p in Pieces(pump).all if p != "drive")
    assert [place.number for place in laid] == list(range(1, len(laid) + 1))
    assert all(place.there for place in laid)
    assert not any(place.following for place in laid)


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_what_is_done_lies_there_and_the_next_place_is_framed(key: str) -> None:
    pump = demo_pump(key)
    order = _order(pump)
    for done in range(len(order) + 1):
        apart, coming = [o.key for o in order[:done]], [o.key for o in order[done:]]
        laid = places(pump, order, apart, coming)
        assert {p.key for p in laid if p.there} <= set(apart)
        framed = [p for p in laid if p.following]
        assert len(framed) == (1 if {p.key for p in laid} & set(coming) else 0)
        assert all(p.key in coming for p in framed)
        svg = pictures_of(pump).tray(order, apart, coming)
        assert svg.count("dw-lying") == sum(p.there for p in laid)
        assert svg.count("dw-ghost") == sum(not p.there for p in laid)
        assert len(svg) < 12_000


def test_a_group_lies_together_until_its_parts_are_taken_from_it() -> None:
    """The rod comes out with its piston; opened, the valve lies in a place of its own."""
    pump = demo_pump("quay-air")
    order = _order(pump)
    keys = [o.key for o in order]
    group = {p.key: p.parts for p in places(pump, order, keys[: keys.index("rod-out") + 1])}
    assert {"rod", "piston", "piston-ball", "moving-packings"} <= set(group["rod-out"])
    apart = {p.key: p.parts for p in places(pump, order, keys)}
    assert set(apart["rod-out"]) == {"rod", "piston"}
    assert set(apart["piston-valve-out"]) == {"piston-ball", "piston-seat"}


def test_rings_and_seats_say_which_way_they_faced() -> None:
    pump = demo_pump("quay-air")
    laid = places(pump, _order(pump), [o.key for o in _order(pump)])
    notes = {part: place.notes(pump) for place in laid for part in place.parts}
    assert notes["moving-packings"] == (f"lips {pump.moving_packings.lips_face}",)
    assert notes["foot-seat"] == ("ball's face up",)
    assert notes["coupling"] == ()


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_each_part_stays_within_its_place(key: str) -> None:
    pump = demo_pump(key)
    order = _order(pump)
    laid = places(pump, order, [o.key for o in order])
    pieces, svg = Pieces(pump), tray(pump, laid, alone=True)
    frames = re.findall(r'<rect class="[^"]*dw-open" x="([\d.]+)" y="([\d.]+)" width="([\d.]+)"'
                        r' height="([\d.]+)"', svg)  # fmt: skip
    moves = re.findall(r'<g transform="matrix\(([\d.]+) 0 0 [\d.]+ ([-\d.]+) ([-\d.]+)\)">', svg)
    assert len(frames) == len(moves) == len(laid)
    for place, frame, move in zip(laid, frames, moves, strict=True):
        (left, top, wide, tall), (scale, x, y) = map(float, frame), map(float, move)
        for part in place.parts:
            box = pieces.all[part].box
            assert left <= box.left * scale + x <= box.right * scale + x <= left + wide, part
            assert top <= box.top * scale + y <= box.bottom * scale + y <= top + tall, part


def test_a_strip_that_takes_nothing_off_has_no_tray() -> None:
    pump = demo_pump("quay-air")
    slacken = next(o for o in pump.strip.operations if o.key == "slacken-gland")
    assert places(pump, [slacken], ["slacken-gland"]) == ()
    assert tray(pump, ()) == ""
