"""Pictures of acts on pumps at random: nothing through another, nothing off the sheet.

``make explore TESTS=tests/drawings/acts`` draws 500 pumps for each of these.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape
from itertools import combinations

from any_pump import accepted_pumps, built_pumps, orders
from examples import costly
from hypothesis import assume, given
from hypothesis import strategies as st
from outlines import Grid

from wetend.drawings.acts.exploded import WIDE as EXPLODED_WIDE
from wetend.drawings.acts.exploded import exploded
from wetend.drawings.acts.picture import ActPictures
from wetend.drawings.acts.pieces import Box
from wetend.drawings.acts.state import Act, Standing
from wetend.drawings.acts.view import TALL, WIDE
from wetend.drawings.svg import text_width
from wetend.pump.description import Pump
from wetend.pump.strip_graph import Operation

_LONE = {
    "strainer", "outlet-filter", "coupling", "cage", "soft-ring", "foot-ball", "foot-seat", "shim",
    "static-packings", "moving-packings", "gland-nut", "wet-cup", "piston-ball", "piston-seat",
}  # fmt: skip
"""Parts that carry no other: given once, they are drawn no more."""
_WORDS = re.compile(r'<text class="([^"]*)" x="([\d.]+)" y="([\d.]+)" text-anchor="(\w+)">([^<]*)<')
_PAIR = re.compile(r"(-?[\d.]+) (-?[\d.]+)")
_LIT = re.compile(r'<g class="dw-lit" transform="matrix\(([^)]*)\)">(.*?)</g>')
_BOLD = re.compile(r'class="dw-accent-(?:thick|mid|line)" d="([^"]+)"')
_LIMIT = 20_000


@dataclass(frozen=True)
class Stage:
    """An operation, what is done before it, and the act it is."""

    operation: Operation
    done: tuple[str, ...]
    act: Act


def _stages(pump: Pump, order: list[Operation]) -> Iterator[Stage]:
    for number, operation in enumerate(order):
        done = tuple(o.key for o in order[:number])
        yield Stage(operation, done, Standing.after(pump, done).act(operation))


def _drawn(svg: str) -> set[str]:
    return set(re.findall(r'href="#act-([a-z-]+)"', svg))


def _lit_box(pictures: ActPictures, svg: str) -> Box:
    """The room of what is lit, on the sheet."""
    _, (matrix, inside) = _LIT.findall(svg)  # in the inset, and large
    scale, _, _, _, x, y = (float(n) for n in matrix.split())
    room: Box | None = None
    for part in _drawn(inside):
        box = pictures.pieces.all[part].box  # type: ignore[index]
        room = room.around(box) if room else box
    assert room is not None
    return Box(room.left * scale + x, room.top * scale + y,
               room.right * scale + x, room.bottom * scale + y)  # fmt: skip


def _labels(svg: str) -> list[Box]:
    """The room of every line of text."""
    boxes = []
    for cls, x, y, anchor, said in _WORDS.findall(svg):
        size = 15.0 if "dw-big" in cls else 11.0 if "dw-small" in cls else 12.0
        wide = text_width(unescape(said), size)
        left = float(x) - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        boxes.append(Box(left, float(y) - 0.8 * size, left + wide, float(y) + 0.25 * size))
    return boxes


def _crossing(one: Box, other: Box) -> bool:
    return one.grown(-0.4).touches(other)


def _arrows(svg: str) -> list[list[tuple[float, float]]]:
    on_sheet = re.sub(r'<g class="dw-tool-end".*', "", svg)  # those stand after the picture
    return [[(float(x), float(y)) for x, y in _PAIR.findall(d)]
            for d in _BOLD.findall(on_sheet)]  # fmt: skip


def _room_for_ball(pump: Pump) -> bool:
    """Whether the rings over and under the seat are described with a hole for a ball.

    A form takes others too; what can't be put together can't be drawn so.
    """
    kinds = [p.kind for p in pump.stack.parts]
    if "seat" not in kinds:
        return True
    at = kinds.index("seat")
    seat, under, over = pump.stack.parts[at], pump.stack.parts[:at], pump.stack.parts[at + 1 :]
    return all(min(p.inside, 0.9 * p.outside) > 0.32 * seat.outside for p in over) and all(
        min(p.inside, 0.9 * p.outside) >= min(pump.foot_valve.seat_bore, 0.8 * seat.outside)
        for p in under
    )


@costly(6, explored=500)
@given(st.data())
def test_no_part_lies_through_another_and_every_way_out_is_free(data: st.DataObject) -> None:
    """In any order that the strip graph lets through, of a pump in any mixture of arrangements."""
    pump = data.draw(st.one_of(built_pumps(), accepted_pumps()))
    assume(_room_for_ball(pump))
    grid = Grid(ActPictures(pump).pieces.all)
    assert not grid.overlaps()
    for stage in _stages(pump, data.draw(orders(pump.strip.operations))):
        assert not grid.in_the_way(stage.act), stage.operation.key


@costly(6, explored=500)
@given(st.data())
def test_every_state_is_drawn_on_its_sheet_without_what_is_off(data: st.DataObject) -> None:
    """Apart and together again: the same parts, what moves and its arrow within the margins."""
    pump = data.draw(st.one_of(built_pumps(), accepted_pumps()))
    pictures, off = ActPictures(pump), set[str]()
    for stage in _stages(pump, data.draw(orders(pump.strip.operations))):
        operation = stage.operation
        svg = pictures.strip(operation, stage.done)
        back = pictures.rebuild(operation, stage.done, "Back")
        assert not _drawn(svg) & off, operation.key
        assert _drawn(svg) == _drawn(back)
        off |= set(operation.gives) & _LONE
        for each in (svg, back):
            assert len(each.encode()) < _LIMIT
            box = _lit_box(pictures, each)
            assert 0 < box.left <= box.right < WIDE
            assert 0 < box.top <= box.bottom < TALL
            assert all(0 < x < WIDE and 0 < y < TALL for a in _arrows(each) for x, y in a)
            labels = _labels(each)
            assert all(label.top > TALL for label in labels), "over the picture"
            assert all(0 < b.left < b.right < WIDE for b in labels)
            tall = float(re.search(r'viewBox="0 0 [\d.]+ ([\d.]+)"', each)[1])  # type: ignore[index]
            assert all(b.bottom < tall for b in labels)
            assert not any(_crossing(a, b) for a, b in combinations(labels, 2))


@costly(6, explored=500)
@given(st.data())
def test_a_thread_is_turned_as_its_hand_says(data: st.DataObject) -> None:
    """Loosened, a right-hand thread turns anticlockwise seen from the end it comes off by, so the
    near side of what comes off downwards goes to the left; of a left-hand one to the right. Only
    the thread that holds the foot valve may be left-handed in a description.
    """
    pump = data.draw(built_pumps())
    pictures, seen = ActPictures(pump), 0
    for stage in _stages(pump, data.draw(orders(pump.strip.operations))):
        act = stage.act
        if not act.turned or act.way not in ("up", "down"):
            continue
        foot = act.part in ("foot-housing", "clamp-ring")
        left_hand = foot and pump.stack.hand == "left"
        loosened = (act.way == "up") != left_hand
        for svg, rightwards in (
            (pictures.strip(stage.operation, stage.done), loosened),
            (pictures.rebuild(stage.operation, stage.done, "Back"), not loosened),
        ):
            arcs = [a for a in _arrows(svg) if len(a) > 10]
            near = max(arcs, key=lambda a: sum(y for _, y in a) / len(a))  # the lower half is near
            assert (near[-1][0] > near[0][0]) == rightwards, stage.operation.key
        seen += foot
    assert seen


@costly(6, explored=500)
@given(accepted_pumps())
def test_taken_apart_labels_keep_clear_of_each_other_and_of_the_parts(pump: Pump) -> None:
    svg = exploded(pump)
    labels = _labels(svg)
    rings = [float(x) for x in re.findall(r'<circle class="dw-thin" cx="([\d.]+)"', svg)]
    assert all(b.left >= 0 and b.right <= EXPLODED_WIDE for b in labels)
    assert not any(_crossing(a, b) for a, b in combinations(labels, 2))
    parts = re.findall(r'<g transform="translate\(0 [^"]*"><g.*?</g></g>', svg)
    points = [float(x) for part in parts for x, _ in _PAIR.findall(part)]
    assert max(points) < min(rings) - 8.5
