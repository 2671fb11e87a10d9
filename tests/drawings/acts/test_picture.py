"""The picture of an act: what is off is gone, what moves is lit, the arrow goes the right way."""

from __future__ import annotations

import re

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.rebuild.plan import plan_rebuild
from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import StripPlan, plan_strip
from wetend.drawings.acts.picture import ActPictures
from wetend.drawings.acts.state import Standing
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.pump.strip_graph import Operation
from wetend.pump.toml import DEMO_PUMPS, demo_pump

PUMPS = {key: demo_pump(key) for key in DEMO_PUMPS}
QUAY = PUMPS["quay-air"]
_LIMIT = 20_000


def _plan(pump: Pump) -> StripPlan:
    return plan_strip(pump, ToolBag(tools=tuple(tool_titles(pump))))


def _operation(pump: Pump, key: str) -> Operation:
    return next(o for o in pump.strip.operations if o.key == key)


def _drawn(svg: str) -> set[str]:
    return set(re.findall(r'href="#act-([a-z-]+)"', svg))


def _lit(svg: str) -> set[str]:
    return {p for g in re.findall(r'<g class="dw-lit"[^>]*>(.*?)</g>', svg) for p in _drawn(g)}


@pytest.mark.parametrize("key", PUMPS)
def test_every_step_of_a_strip_has_a_picture_without_what_is_off(key: str) -> None:
    """And what the step brings away is lit in it, unless it was drawn as going with its group."""
    pictures, off, done = ActPictures(PUMPS[key]), set[str](), list[str]()
    for step in _plan(PUMPS[key]).steps:
        svg = pictures.strip(step.operation, done)
        assert svg, step.operation.key
        assert len(svg) < _LIMIT
        assert _lit(svg), step.operation.key
        assert not _drawn(svg) & off, step.operation.key
        assert _drawn(svg) <= set(re.findall(r'id="act-([a-z-]+)"', pictures.stock))
        done.append(step.operation.key)
        lone = {"strainer", "outlet-filter", "coupling", "cage", "soft-ring", "foot-ball",
                "foot-seat", "shim", "static-packings", "moving-packings", "gland-nut",
                "wet-cup", "piston-ball", "piston-seat"}  # fmt: skip
        off |= set(step.operation.gives) & lone


def test_a_group_that_came_away_is_shown_by_itself() -> None:
    """The cage is lifted out of the housing on the bench: no cylinder stands over it any more."""
    done = ["suction-off", "foot-crack", "foot-housing-off"]
    svg = ActPictures(QUAY).strip(_operation(QUAY, "cage-out"), done)
    assert _lit(svg) == {"cage", "soft-ring", "foot-ball"}
    assert {"foot-housing", "foot-seat"} <= _drawn(svg)
    assert not _drawn(svg) & {"cylinder", "body", "rod", "strainer"}


def test_what_only_slackens_stays_where_it_is() -> None:
    act = Standing.after(QUAY, ()).act(_operation(QUAY, "slacken-gland"))
    assert act.moving == ()
    assert act.lit == ("gland-nut",)
    assert act.turned
    assert not act.bolted


def test_the_rest_of_the_pump_hangs_on_while_one_part_comes_off() -> None:
    act = Standing.after(QUAY, ()).act(_operation(QUAY, "collets-off"))
    assert act.moving == ("coupling",)
    assert {"drive", "rod", "body", "cylinder", "foot-housing"} <= set(act.shown)


def test_the_wet_end_comes_down_from_the_drive_as_one() -> None:
    done = ["slacken-gland", "collets-off", "suction-off", "hose-off"]
    act = Standing.after(QUAY, done).act(_operation(QUAY, "wet-end-off"))
    assert {"body", "cylinder", "rod", "piston", "foot-housing"} <= set(act.moving)
    assert act.shown == ("drive",)
    assert act.way == "down"
    later = Standing.after(QUAY, [*done, "wet-end-off", "cylinder-crack"])
    assert "drive" not in later.act(_operation(QUAY, "cylinder-off")).shown


def test_tie_bolts_are_turned_and_not_the_cylinder() -> None:
    """Of the clamp-ring pump the cylinder is held by bolts; of the other it is screwed in."""
    yard = PUMPS["yard-hydraulic"]
    bolted = Standing.after(yard, ()).act(_operation(yard, "tie-bolts-crack"))
    screwed = Standing.after(QUAY, ()).act(_operation(QUAY, "cylinder-crack"))
    assert (bolted.bolted, bolted.turned) == (True, False)
    assert (screwed.bolted, screwed.turned) == (False, True)


def _arc(svg: str) -> tuple[tuple[float, float], tuple[float, float]]:
    """Start and end of the near half of the turn, which is drawn heavy."""
    drawn = re.search(r'class="dw-accent-thick" d="([^"]+)"', svg)
    assert drawn
    points = [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", drawn[1])]
    return points[0], points[-1]


@pytest.mark.parametrize(
    ("key", "done", "right"),
    [("slacken-gland", (), True), ("foot-crack", ("suction-off",), False)],
)
def test_a_right_hand_thread_turns_the_right_way(
    key: str, done: tuple[str, ...], right: bool
) -> None:
    """Anticlockwise looked at from the end it comes off by: for a nut seen from above the near side
    goes to the right, for a housing that comes off downwards to the left; back the other way.
    """
    pictures, operation = ActPictures(QUAY), _operation(QUAY, key)
    (x0, _), (x1, _) = _arc(pictures.strip(operation, done))
    assert (x1 > x0) == right
    (y0, _), (y1, _) = _arc(pictures.rebuild(operation, done, "Back"))
    assert (y1 > y0) != right


@pytest.mark.parametrize("key", PUMPS)
def test_putting_back_goes_the_way_it_came_from_and_shows_the_same_parts(key: str) -> None:
    pump = PUMPS[key]
    pictures, done = ActPictures(pump), list[str]()
    for step in _plan(pump).steps:
        off = pictures.strip(step.operation, done)
        on = pictures.rebuild(step.operation, done, step.operation.title)
        assert _drawn(on) == _drawn(off)
        assert on != off
        done.append(step.operation.key)


@pytest.mark.parametrize("key", PUMPS)
def test_steps_of_a_rebuild_that_put_nothing_back_are_drawn_too(key: str) -> None:
    pump, pictures = PUMPS[key], ActPictures(PUMPS[key])
    bag = ToolBag(tools=tuple(tool_titles(pump)))
    plan = plan_rebuild(pump, bag, done=[o.key for o in pump.strip.operations])
    own = [s for s in plan.steps if s.key not in {o.key for o in pump.strip.operations}]
    bare = {s.key for s in own if not pictures.between(s.key, s.title)}
    assert bare == set()
    assert len(own) >= 5
    solvent = pictures.between("solvent-foot", "Solvent test")
    assert _lit(solvent) == {"foot-seat", "foot-ball"}
    assert "dw-wash" in solvent  # the liquid over the ball


def test_a_picture_that_stands_alone_points_to_nothing() -> None:
    svg = ActPictures(QUAY).strip(_operation(QUAY, "slacken-gland"), (), alone=True)
    assert "href" not in svg
    assert 'data-part="gland-nut"' in svg


def test_names_from_people_are_data() -> None:
    named = _operation(QUAY, "slacken-gland").model_copy(update={"title": "<b>&\x07"})
    svg = ActPictures(QUAY).strip(named, ())
    assert "<b>" not in svg
    assert "&lt;b&gt;&amp;" in svg


@costly(25)
@given(st.data())
def test_any_subset_of_operations_done_leaves_a_picture_of_the_next(data: st.DataObject) -> None:
    """Done in any order that people may have taken: nothing breaks and nothing leaves the sheet."""
    pump = PUMPS[data.draw(st.sampled_from(sorted(PUMPS)))]
    keys = [o.key for o in pump.strip.operations]
    done = data.draw(st.lists(st.sampled_from(keys), unique=True, max_size=len(keys) - 1))
    operation = _operation(pump, data.draw(st.sampled_from([k for k in keys if k not in done])))
    svg = ActPictures(pump).strip(operation, done)
    act = Standing.after(pump, done).act(operation)
    assert _lit(svg)  # what holds it, where it is off already
    assert not set(act.shown) & set(act.moving)
    assert "nan" not in svg
    assert "inf" not in svg


def test_a_strip_described_for_the_other_foot_valve_shows_what_this_pump_has() -> None:
    """A form lets a pump held by its thread come apart as one with a clamp ring, and back."""
    yard = PUMPS["yard-hydraulic"]
    threaded = QUAY.model_copy(update={"strip": yard.strip})
    act = Standing.after(threaded, ()).act(_operation(threaded, "clamp-ring-crack"))
    assert (act.lit, act.turned) == (("foot-housing",), True)
    clamped = yard.model_copy(update={"strip": QUAY.strip})
    act = Standing.after(clamped, ()).act(_operation(clamped, "foot-crack"))
    assert (act.lit, act.turned) == (("clamp-ring",), True)


def test_a_soft_ring_under_the_seat_stays_while_the_cage_comes_out() -> None:
    parts = QUAY.stack.parts
    under = parts[1].model_copy(update={"name": "under-seat"})
    stack = QUAY.stack.model_copy(update={"parts": (under, *parts)})
    pictures = ActPictures(QUAY.model_copy(update={"stack": stack}))
    seat, rings = (pictures.pieces.all[p].box for p in ("foot-seat", "soft-ring"))
    assert rings.bottom <= seat.bottom - 3
    assert 'data-part="soft-ring"' in pictures.pieces.all["foot-seat"].markup
