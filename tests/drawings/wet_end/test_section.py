from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import pytest
from any_pump import accepted_pumps
from examples import costly
from hypothesis import given

from wetend.advice.reasons import Verdict
from wetend.drawings.wet_end import section as wet_end
from wetend.drawings.wet_end.sizes import sizes
from wetend.pump.description import Pump
from wetend.pump.measurements import PART_TITLES
from wetend.pump.toml import DEMO_PUMPS, demo_pump

PUMPS = {key: demo_pump(key) for key in DEMO_PUMPS}
ReadBack = Callable[[str], Any]


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_a_demo_pump_is_drawn_whole_with_its_parts_named(key: str, read_back: ReadBack) -> None:
    drawn = read_back(wet_end.section(PUMPS[key]))
    assert drawn.stays_inside()
    said = " ".join(drawn.texts)
    for part in ("gland nut", "cylinder", "piston rod", "cage", "soft ring"):
        assert part in said
    assert ("clamp ring" in said) == (PUMPS[key].stack.held_by == "clamp-ring")


@pytest.mark.parametrize("key", DEMO_PUMPS)
@pytest.mark.parametrize("verdict", list(Verdict))
def test_any_part_can_be_marked_and_says_its_verdict_in_words(
    key: str, verdict: Verdict, read_back: ReadBack
) -> None:
    marked = dict.fromkeys(PART_TITLES, verdict)
    drawn = read_back(wet_end.section(PUMPS[key], marked))
    assert drawn.stays_inside()
    said = " ".join(drawn.texts)
    assert said.count(verdict.value.split()[0]) >= 15
    assert f"cylinder: {verdict}" in (drawn.root[1].text or "")


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_the_section_is_to_scale(key: str) -> None:
    """The drawn lift is that between the ball on its cone and the described stop of the cage."""
    pump, s = PUMPS[key], sizes(PUMPS[key])
    assert s.cylinder.bore == pump.cylinder.bore / 2
    assert s.cylinder.high - s.cylinder.low == pytest.approx(pump.cylinder.length)
    assert s.foot.top == pytest.approx(pump.stack.depth)
    lift = s.foot.stop - s.foot.ball_z - s.foot.ball
    assert pump.foot_valve.lift_low < lift < pump.foot_valve.lift_high + 2e-3


_CUT = ("cylinder", "body", "foot-housing", "piston", "foot-seat", "cage", "gland-nut")
_NEVER_CUT = ("rod", "foot-ball", "piston-ball")


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_hollow_parts_are_hatched_and_solid_ones_never_cut_lengthwise(
    key: str, read_back: ReadBack
) -> None:
    """Solid bodies such as bolts, pins and shafts are never cut lengthwise; what is cut is hatched
    at 45 degrees, the cylinder otherwise than what it stands in.

    Sources: Westermann, textbook of technical drawing, ISBN 978-3-7100-2443-6, p. 64 (rule 9); EPO,
    Guidelines for search and examination as PCT authority, A-V 7.3.2. The clauses of ISO 128-3:2020
    themselves could not be seen.
    """
    hatched: dict[str, set[bool]] = {}
    for group in read_back(wet_end.section(PUMPS[key])).root.iter():
        name = group.get("data-part")
        for element in group.iter() if name else ():
            if "dw-hatch" in element.get("class", ""):
                runs = re.findall(r"l(-?[0-9.]+) (-?[0-9.]+)", element.get("d", ""))
                slopes = {float(y) / float(x) for x, y in runs if abs(float(x)) > 1}
                assert all(abs(slope) == pytest.approx(1, abs=0.05) for slope in slopes)
                hatched.setdefault(str(name), set()).update(slope > 0 for slope in slopes)
    assert set(_CUT) <= hatched.keys()
    assert not set(_NEVER_CUT) & hatched.keys()
    for beside in ("foot-housing", "body"):
        assert hatched["cylinder"].isdisjoint(hatched[beside]), beside


def test_a_ball_on_a_45_degree_cone_touches_at_its_radius_over_root_two() -> None:
    s, pump = sizes(PUMPS["quay-air"]), PUMPS["quay-air"]
    assert s.foot.resting is not None
    radius = pump.foot_valve.ball_diameter / 2
    touch = radius * math.cos(pump.foot_valve.seat_half_angle)
    seat = next(r for r in s.foot.rings if r.kind == "seat")
    on_cone = seat.high - (s.foot.resting.mouth - touch)
    assert s.foot.ball_z == pytest.approx(on_cone + radius * math.sin(math.pi / 4))


@costly(37)
@given(pump=accepted_pumps())
def test_any_valid_description_is_drawn_inside_its_sheet(read_back: ReadBack, pump: Pump) -> None:
    drawn = read_back(wet_end.section(pump))
    assert drawn.stays_inside()


@costly(37)
@given(accepted_pumps())
def test_no_size_is_negative_or_out_of_order(pump: Pump) -> None:
    s = sizes(pump)
    p, b = s.piston, s.body
    climb = [p.low, p.seat_low, p.nut, p.packed, p.flange, p.port_low, p.port_high, p.top]
    assert climb == sorted(climb)
    climb = [b.low, b.chamber_low, b.throat, b.box_low, b.box_high, b.top, b.head_top, b.cup_top,
             b.break_low, b.break_high, b.coupling_top]  # fmt: skip
    assert climb == sorted(climb)
    assert 0 < p.resting.bore <= p.resting.mouth <= p.chamber < s.cylinder.bore
    assert b.rod < b.box <= b.neck <= b.outer
    assert s.foot.pocket < s.foot.thread < s.foot.outer
