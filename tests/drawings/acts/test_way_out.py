"""What moves in an act can really come away: its outline, moved along its way, meets nothing.

So the order of operations in a description is held against its sizes, and each picture against
what a fitter's hands find.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from outlines import Grid

from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.drawings.acts.pieces import Pieces
from wetend.drawings.acts.state import Act, Standing
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.pump.strip_graph import Operation
from wetend.pump.toml import DEMO_PUMPS, demo_pump


def _acts(pump: Pump) -> Iterator[tuple[Operation, Act]]:
    done: list[str] = []
    for step in plan_strip(pump, ToolBag(tools=tuple(tool_titles(pump)))).steps:
        yield step.operation, Standing.after(pump, done).act(step.operation)
        done.append(step.operation.key)


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_nothing_stands_in_the_way_of_what_comes_off(key: str) -> None:
    pump = demo_pump(key)
    grid = Grid(Pieces(pump).all)
    crossed = {o.key: met for o, act in _acts(pump) if (met := grid.in_the_way(act))}
    assert not crossed


def test_out_of_order_something_does() -> None:
    """The check can fail: a cylinder does not come off over a foot valve's seat, nor packings over
    the lower end that holds them.
    """
    pump = demo_pump("quay-air")
    grid = Grid(Pieces(pump).all)
    held = Act("moving-packings", ("rod", "piston", "piston-nut"), ("moving-packings",),
               ("moving-packings",), "down", turned=False, left_hand=False, bolted=False,
               struck=False)  # fmt: skip
    assert grid.in_the_way(held)["piston-nut"] > 50
