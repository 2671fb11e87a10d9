"""Tools where they grip, true to size; what must not be touched; by what it is still shielded."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from wetend.advice.rebuild.plan import plan_rebuild
from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.advice.strip.tools import TOOLS
from wetend.advice.strip.ways import ways_of
from wetend.drawings.acts.picture import ActPictures
from wetend.drawings.acts.pushed import PUSHED
from wetend.drawings.acts.risks import risks_of
from wetend.drawings.acts.state import Standing
from wetend.drawings.acts.tool_shapes import SIDES
from wetend.drawings.acts.view import TALL, WIDE, View, seen
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.pump.strip_graph import Operation
from wetend.pump.toml import DEMO_PUMPS, demo_pump

PUMPS = {key: demo_pump(key) for key in DEMO_PUMPS}
QUAY, YARD = PUMPS["quay-air"], PUMPS["yard-hydraulic"]
_NS = "{http://www.w3.org/2000/svg}"
_NOT_DRAWN = {"rag", "tube", "feeler"}
"""Padding, what lengthens a handle beyond the sheet, and what measures."""


def _operation(pump: Pump, key: str) -> Operation:
    return next(o for o in pump.strip.operations if o.key == key)


def _before(pump: Pump, key: str) -> list[str]:
    """Operations done before one in the plan of the whole strip."""
    bag = ToolBag(tools=tuple(tool_titles(pump)), vice=True)
    keys = [s.operation.key for s in plan_strip(pump, bag).steps]
    return keys[: keys.index(key)]


def _picture(pump: Pump, key: str, *used: str) -> str:
    given = used or None
    return ActPictures(pump).strip(_operation(pump, key), _before(pump, key), used=given)


def _drawn(svg: str) -> dict[str, str]:
    """Tools drawn at the pump, and the part that each is at."""
    found = re.findall(r'<g class="dw-tool(?: dw-go)?" data-tool="([^"]+)" data-at="([^"]+)"', svg)
    return dict(found)


def _words(svg: str) -> list[str]:
    root = ElementTree.fromstring(svg)
    return ["".join(e.itertext()) for e in root.iter(f"{_NS}text")]


def test_every_tool_that_works_on_a_part_has_its_drawing() -> None:
    assert set(TOOLS) == set(SIDES) | set(PUSHED) | {"vice"} | _NOT_DRAWN


@pytest.mark.parametrize("key", PUMPS)
def test_every_way_of_every_operation_shows_its_tools(key: str) -> None:
    """Stand-ins too: with each of them the picture changes, and stays within its weight."""
    pump, pictures = PUMPS[key], ActPictures(PUMPS[key])
    everything = frozenset(tool_titles(pump))
    for operation in pump.strip.operations:
        bags = [everything, *(everything - {c.tool} for n in operation.needs for c in n.any_of)]
        before = _before(pump, operation.key)
        bare = pictures.strip(operation, before, used=())
        for bag in bags:
            for way in ways_of(operation, bag, tool_change=15):
                used = [c.tool for c in way.choices]
                svg = pictures.strip(operation, before, used=used)
                if set(used) - _NOT_DRAWN:
                    assert svg != bare, (operation.key, used)
                    assert "dw-tool" in svg, (operation.key, used)
                assert len(svg) < 20_000


def test_the_spanner_opens_as_far_as_the_part_is_wide_and_reaches_as_far_as_it_is_long() -> None:
    """A strap wrench of 300 mm round the cylinder: from its wall to the handle's end 300 mm."""
    done = _before(QUAY, "cylinder-off")
    operation = _operation(QUAY, "cylinder-off")
    pictures = ActPictures(QUAY)
    svg = pictures.strip(operation, done, used=("strap-wrench",))
    act = seen(Standing.after(QUAY, done).act(operation, ("strap-wrench",)), pictures.pieces.all)
    view = View(pictures.pieces, act, back=False, alone=False)
    scale = view._near.scale
    found = re.search(r'data-tool="strap-wrench" data-at="cylinder">(.*?)</g>', svg)
    assert found
    handle, right, left = (
        [float(x) for x in re.findall(r"[ML](-?[\d.]+) ", d)]
        for d in re.findall(r' d="([^"]+)"', found[1])
    )
    opening = (min(right) - max(left)) / scale
    assert opening == pytest.approx(QUAY.cylinder.outside, abs=2.5 / scale)
    assert max(left) - min(handle) == pytest.approx(0.300 * scale, abs=1.5)


def test_what_is_held_against_the_turn_is_another_part() -> None:
    assert _drawn(_picture(QUAY, "foot-crack")) == {
        "long-c-spanner": "foot-housing", "strap-wrench": "cylinder",
    }  # fmt: skip
    assert _drawn(_picture(QUAY, "collets-off")) == {
        "adjustable": "coupling", "second-adjustable": "drive",
    }  # fmt: skip
    assert _drawn(_picture(YARD, "piston-nut-off")) == {
        "pin-spanner": "piston-nut", "open-spanners": "piston", "vice": "piston",
    }  # fmt: skip


def _turn(svg: str, tool: str) -> bool | None:
    """Whether the arrow round a tool seen from the end goes anticlockwise; none: it holds."""
    found = re.search(
        rf'class="dw-tool-end" data-tool="{tool}".*?(?=<g class="dw-tool-end"|<text)', svg
    )
    assert found
    arc = re.search(r'class="dw-accent-mid" d="([^"]+)"', found[0])
    if arc is None:
        return None
    points = [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", arc[1])]
    (ax, ay), (bx, by) = points[0], points[1]
    return ax * by - ay * bx < 0  # y runs down


def test_from_the_end_a_right_hand_thread_is_loosened_anticlockwise() -> None:
    svg = _picture(QUAY, "foot-crack")
    assert _turn(svg, "long-c-spanner") is True
    assert _turn(svg, "strap-wrench") is None
    back = ActPictures(QUAY).rebuild(_operation(QUAY, "foot-crack"), ["suction-off"], "Back")
    assert _turn(back, "long-c-spanner") is False
    left = QUAY.model_copy(update={"stack": QUAY.stack.model_copy(update={"hand": "left"})})
    assert _turn(_picture(left, "foot-crack"), "long-c-spanner") is False


def test_a_seat_is_tapped_out_upside_down_and_pressed_home_upright() -> None:
    out = _picture(QUAY, "seat-out", "soft-drift", "hammer", "timber-block")
    assert f"matrix(1 0 0 -1 0 {TALL:g})" in out
    assert 'href="#act-suction-elbow"' not in out
    home = ActPictures(QUAY).rebuild(
        _operation(QUAY, "seat-out"), _before(QUAY, "seat-out"), "Seat home", used=()
    )
    assert "matrix(1 0 0 -1" not in home


def test_by_hand_no_tool_is_drawn() -> None:
    svg = _picture(QUAY, "foot-housing-off")
    assert "dw-tool" not in svg.replace('<g class="dw-tools"></g>', "")


def test_the_rod_is_shielded_by_the_gland_nut_until_that_is_off() -> None:
    """Common practice, no source: the nut is left on as a shield (the description's unshields)."""
    operation = _operation(QUAY, "cylinder-crack")
    shielded = risks_of(QUAY, operation, ["slacken-gland"], back=False)
    assert (shielded.bare, shielded.shielded, shielded.by) == ((), ("rod",), "gland nut")
    svg = ActPictures(QUAY).strip(operation, ["slacken-gland"])
    assert "dw-shielded" in svg
    assert "dw-risk" not in svg
    assert "Chromed rod: shielded by the gland nut" in _words(svg)
    bare = ActPictures(QUAY).strip(operation, ["slacken-gland", "collets-off", "gland-nut-off"])
    assert "dw-risk" in bare
    assert "dw-tick" in bare  # by its pattern, not its colour
    assert "dw-shielded" not in bare
    assert "Nothing hard on: chromed rod" in _words(bare)


def test_what_an_act_lays_bare_is_marked_where_it_lies_but_not_when_it_is_covered_again() -> None:
    operation, done = _operation(QUAY, "cylinder-off"), _before(QUAY, "cylinder-off")
    assert set(risks_of(QUAY, operation, done, back=False).bare) >= {"bore", "packings", "thread"}
    assert not {"bore", "packings"} & set(risks_of(QUAY, operation, done, back=True).bare)


@pytest.mark.parametrize("key", PUMPS)
def test_plans_name_the_tools_that_their_pictures_show(key: str) -> None:
    pump = PUMPS[key]
    bag = ToolBag(tools=tuple(tool_titles(pump)), vice=True)
    steps = plan_strip(pump, bag).steps
    assert all(len(s.used) == len(s.operation.needs) for s in steps)
    back = plan_rebuild(pump, bag, done=[s.operation.key for s in steps]).steps
    pictures = ActPictures(pump).rebuild_steps([(s.key, s.title, s.used) for s in back])
    for step, svg in zip(back, pictures, strict=True):
        if "hammer" not in step.used:
            assert 'dw-accent-mid" d="M' not in svg.partition("dw-tool-end")[0], step.key


def _timber_below(svg: str) -> bool | None:
    """Whether the timber lies below the middle of what is lit; none where there is no timber."""
    found = re.search(r'<g class="dw-timber"><rect class="[^"]*" x="[^"]+" y="([^"]+)"', svg)
    guide = re.search(r'class="dw-centre" d="M[^ ]+ [^L]+L[^ ]+ ([^"]+)"', svg)
    if found is None:
        return None
    assert guide
    return float(found[1]) > float(guide[1])


@pytest.mark.parametrize(
    ("key", "tool", "out_from_below"),
    [("rod-out", "timber-block", False), ("static-packings-out", "timber-dowel", True)],
)
def test_what_pushes_a_part_stands_behind_it_on_its_way_out_and_in(
    key: str, tool: str, out_from_below: bool
) -> None:
    operation, done = _operation(QUAY, key), _before(QUAY, key)
    pictures = ActPictures(QUAY)
    out = pictures.strip(operation, done, used=(tool,))
    back = pictures.rebuild(operation, done, "Back", used=(tool,))
    assert _timber_below(out) == out_from_below
    assert _timber_below(back) != out_from_below


def test_a_seat_is_not_pressed_home_against_timber_and_a_chock_is_taken_away() -> None:
    seat = _operation(QUAY, "seat-out")
    pressed = ActPictures(QUAY).rebuild(seat, _before(QUAY, "seat-out"), "Home",
                                        used=("timber-block",))  # fmt: skip
    assert _timber_below(pressed) is False
    drive = _operation(YARD, "ram-up")
    down = ActPictures(YARD).rebuild(drive, ["coupling-off"], "Down", used=("timber-block",))
    assert _timber_below(down) is None


def test_the_arrows_round_tie_bolts_of_a_short_cylinder_stay_on_the_sheet() -> None:
    """Found by exploring: bolts stand outside the cylinder, wide on the sheet where it is short."""
    pump = demo_pump("yard-hydraulic")
    short = pump.cylinder.model_copy(update={"length": 0.03125})
    pump = pump.model_copy(update={"cylinder": short})
    crack = next(o for o in pump.strip.operations if o.key == "tie-bolts-crack")
    svg = re.sub(r'<g class="dw-tool-end".*', "", ActPictures(pump).strip(crack, ()))
    drawn = re.findall(r'class="dw-accent-(?:thick|mid|line)" d="([^"]+)"', svg)
    assert len(drawn) >= 4
    for path in drawn:
        for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path):
            assert 0 < float(x) < WIDE
            assert 0 < float(y) < TALL
