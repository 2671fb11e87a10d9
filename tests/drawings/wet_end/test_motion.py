from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from wetend.advice.simulation.film import CHANNELS, Film
from wetend.drawings.wet_end import motion
from wetend.drawings.wet_end.pose import pose
from wetend.pump.description import Pump
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.telling.reader import Reader

ReadBack = Callable[[str], Any]
PUMPS = {key: demo_pump(key) for key in DEMO_PUMPS}
SIZES = {"m": 1.0, "Pa": 2.4e7, "m^3/s": 8e-5}


def film(pump: Pump, shares: list[dict[str, float]]) -> Film:
    """Instants given as shares: of the stroke, of a usual lift, of 240 bar and of 4.8 L/min."""
    lift = 0.5 * (pump.foot_valve.lift_low + pump.foot_valve.lift_high)
    rows = {key: np.array([s.get(key, 0.0) for s in shares]) for key in CHANNELS}
    for key, row in rows.items():
        usual = {"place": pump.stroke, "foot_lift": lift, "piston_lift": lift}
        rows[key] = row * usual.get(key, SIZES[CHANNELS[key].unit.kind.si])
    return Film(np.linspace(0.0, 2.0, len(shares)), rows)


SHARES = st.fixed_dictionaries(
    {key: st.floats(-0.001, 1.0) if c.unit.kind.si == "m" else st.floats(-2.0, 2.0)
     for key, c in CHANNELS.items()}
)  # fmt: skip


ODD = {
    ("stroke",): (0.006, 1.0),
    ("cylinder", "bore"): (0.006, 0.5),
    ("cylinder", "length"): (0.011, 2.0),
    ("cylinder", "outside"): (0.006, 0.7),
    ("rod", "diameter"): (0.0041, 0.4),
    ("foot_valve", "ball_diameter"): (0.003, 0.2),
    ("foot_valve", "seat_bore"): (0.0011, 0.2),
    ("piston_valve", "ball_diameter"): (0.003, 0.2),
    ("moving_packings", "height"): (0.0005, 0.3),
    ("static_packings", "height"): (0.0005, 0.3),
    ("stack", "depth"): (0.001, 0.5),
    ("stack", "thread_diameter"): (0.001, 0.5),
    ("suction", "bore"): (0.0011, 0.3),
}


@st.composite
def odd_pumps(draw: st.DrawFn) -> Pump:
    """Any pump that may be described, as far as its sizes go; its stack may lack seat and cage."""
    data = PUMPS[draw(st.sampled_from(DEMO_PUMPS))].model_dump()
    for path in draw(st.lists(st.sampled_from(sorted(ODD)), max_size=6, unique=True)):
        holder = data
        for name in path[:-1]:
            holder = holder[name]
        holder[path[-1]] = draw(st.floats(*ODD[path]))
    if draw(st.booleans()):
        data["stack"]["parts"] = [
            {"name": f"r{i}", "kind": kind, "stiffness": 1e8, "height": draw(st.floats(1e-5, 0.2)),
             "outside": draw(st.floats(0.001, 0.4)), "inside": draw(st.floats(0, 0.4))}
            for i, kind in enumerate(draw(st.lists(
                st.sampled_from(["seat", "soft-ring", "cage", "shim", "spacer"]),
                min_size=2, max_size=8)))
        ]  # fmt: skip
    try:
        return Pump.model_validate(data)
    except ValidationError:
        return PUMPS["quay-air"]


@costly(30)
@given(pump=odd_pumps(), shares=st.lists(SHARES, min_size=2, max_size=3), time=st.floats(0, 2))
def test_any_pump_that_may_be_described_can_be_set_in_motion(
    read_back: ReadBack, pump: Pump, shares: list[dict[str, float]], time: float
) -> None:
    seen = film(pump, shares)
    read_back(motion.beside(pump, seen, seen, time=time))
    read_back(motion.strip(pump, seen, seen, [("one", 0.0), ("two", time)]))
    scene, _ = motion.scenes(pump, seen, seen)
    posed = pose(scene, seen.at(time))
    assert all(np.isfinite(v) for v in posed.values())
    assert 0 < scene.roof < scene.seat < scene.floor < scene.height <= 400
    assert scene.roof - 1 <= posed["seam"] <= scene.floor + 1


def _column(svg: str, k: int) -> ElementTree.Element:
    root = ElementTree.fromstring(svg)
    return next(e for e in root.iter() if e.get("data-column") == str(k))


def _moved(column: ElementTree.Element, name: str) -> float:
    held = next(e for e in column.iter() if e.get("data-move") == name)
    return -float(re.findall(r"-?[\d.]+", held.get("transform", ""))[1])


@costly(20)
@given(
    key=st.sampled_from(DEMO_PUMPS),
    shares=st.lists(SHARES, min_size=2, max_size=4),
    time=st.floats(-1.0, 3.0),
)
def test_whatever_a_run_has_seen_is_drawn_within_the_sheet(
    read_back: ReadBack, key: str, shares: list[dict[str, float]], time: float
) -> None:
    pump = PUMPS[key]
    seen, sound = film(pump, shares), film(pump, [{}, {"place": 1.0}])
    drawn = read_back(motion.beside(pump, seen, sound, time=time))
    assert drawn.width == 328
    for element in drawn.root.iter():
        for name in ("fill-opacity", "height", "width"):
            held = element.get(name, "0")
            assert held == "100%" or float(held) >= 0
    scene, _ = motion.scenes(pump, seen, sound)
    posed = pose(scene, seen.at(time))
    assert all(np.isfinite(v) for v in posed.values())
    assert scene.roof - 1 <= posed["seam"] <= scene.floor + 1
    assert 0 < scene.roof < scene.seat < scene.floor < scene.height <= 400


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_the_piston_stands_where_the_run_says(key: str) -> None:
    pump = PUMPS[key]
    seen = film(pump, [{"place": 0.0}, {"place": 1.0, "foot_lift": 1.0}])
    low, half, top = (_column(motion.beside(pump, seen, seen, time=t), 0) for t in (0.0, 1.0, 2.0))
    assert _moved(low, "piston") == 0
    assert _moved(half, "piston") == pytest.approx(_moved(top, "piston") / 2, abs=0.02)
    assert _moved(top, "piston") > 50
    assert _moved(low, "foot") == 0
    assert _moved(top, "foot") > 2


def test_the_ball_rises_to_the_stop_of_its_cage_and_no_further() -> None:
    pump = PUMPS["quay-air"]
    far = film(pump, [{}, {"place": 1.0, "foot_lift": 6.0}])
    scene, _ = motion.scenes(pump, far, far)
    usual, _ = motion.scenes(pump, *[film(pump, [{}, {"place": 1.0, "foot_lift": 1.0}])] * 2)
    assert scene.foot < usual.foot  # drawn less than to scale where the cage has no more height


def test_leaks_show_only_while_the_ball_is_down() -> None:
    pump = PUMPS["quay-air"]
    seen = film(pump, [{"place": 1.0, "foot_flow": -0.5, "foot_lift": 0.0},
                       {"place": 0.0, "foot_flow": -0.5, "foot_lift": 1.0}])  # fmt: skip
    scene, _ = motion.scenes(pump, seen, seen)
    assert pose(scene, seen.at(0.0))["arrow-foot"] < -0.3
    assert pose(scene, seen.at(2.0))["arrow-foot"] == 0.0


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_a_strip_has_a_still_for_each_moment(key: str, read_back: ReadBack) -> None:
    pump = PUMPS[key]
    seen = film(pump, [{}, {"place": 1.0, "below": 1.0}, {}])
    stills = [(f"moment {k}", 2.0 * k / 5) for k in range(6)]
    drawn = read_back(motion.strip(pump, seen, seen, stills))
    said = " ".join(drawn.texts)
    assert all(name in said for name, _ in stills)
    assert sum(e.tag.endswith("}svg") for e in drawn.root.iter()) == 7
    with pytest.raises(ValueError, match="at least one"):
        motion.strip(pump, seen, seen, [])


def test_figures_are_told_in_the_persons_units() -> None:
    assert motion.reading("below", 2.4e7) == "240 bar"
    assert motion.reading("below", -4.0) == "0 bar"
    assert motion.reading("drawn", -5e-5) == "−3.0 L/min"
    assert Reader("imperial").tell(motion.reading("below", 2.4e7)).endswith(" psi")
