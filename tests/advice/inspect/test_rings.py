"""What a worn bore or rod leaves open past new packings, and the limits that follow from it."""

from __future__ import annotations

import math

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.inspect import rod
from wetend.advice.inspect.damage import Path, leak_through, limits_of, working_pressure
from wetend.advice.inspect.judge import judge
from wetend.advice.inspect.rings import open_gap
from wetend.advice.reasons import Verdict
from wetend.physics.leakage import seat_gap
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.scored import Score, score_flow
from wetend.physics.slits import annulus_leak, short_slit_leak, slit_flow
from wetend.pump.measurements import BallMeasured, CylinderMeasured, RodMeasured
from wetend.pump.toml import demo_coatings, demo_pump

PUMPS = {key: demo_pump(key) for key in ("quay-air", "yard-hydraulic")}
COATINGS = {c.key: c for c in demo_coatings()}


@given(
    gap=st.floats(5e-6, 100e-6), share=st.floats(0, 1), reach=st.floats(0, 60e-6),
    index=st.floats(0.3, 1.0),
)  # fmt: skip
@costly(15)
def test_an_oval_bore_passes_what_a_ring_off_its_centre_does(gap, share, reach, index) -> None:
    """Two lobes or one, the ring's gaps are the same ones in another order; by Gauss's rule there,
    evenly round here."""
    liquid = Liquid("power-law", 1400.0, 0.0, 3.0, index)
    even = open_gap(reach + gap, share * gap, reach=reach, index=index)
    told = float(slit_flow(liquid, even, breadth=math.pi * 0.038, length=0.022, pressure=2e7))
    known = annulus_leak(liquid, 0.038, gap, length=0.022, pressure=2e7, eccentricity=share)
    assert told == pytest.approx(known, rel=1e-5)


def test_lips_that_reach_leave_nothing_open() -> None:
    assert open_gap(30e-6, 20e-6, reach=60e-6, index=0.7) == 0.0
    assert open_gap(55e-6, 20e-6, reach=60e-6, index=0.7) > 0.0


@pytest.mark.parametrize("key", sorted(COATINGS))
@pytest.mark.parametrize("gap", [10e-6, 60e-6, 300e-6])
def test_a_short_slit_by_two_routes(key: str, gap: float) -> None:
    """Drag and ends in series: sought by the flow here, by the pressure drag takes there. A yield
    stress changes drag's power a little: two in a thousand."""
    limits = limits_of(PUMPS["quay-air"], COATINGS[key])
    path = Path(seat_gap(gap, 2e-3, 1e-3), gap, 1e-3, "")
    known = short_slit_leak(
        limits.liquid, gap, breadth=2e-3, length=1e-3, pressure=working_pressure(limits)
    )
    assert leak_through(limits, path) == pytest.approx(known, rel=2e-3)


@pytest.mark.parametrize("key", sorted(COATINGS))
@pytest.mark.parametrize("width", [0.1e-3, 0.35e-3, 3e-3])
def test_a_score_passes_what_its_solved_section_does(key: str, width: float) -> None:
    """Sections solved one by one, where the judgement goes between solved ones; half a per cent,
    one with a yield stress. Its ends count for nothing along 22 mm of packings here."""
    quay, limits = PUMPS["quay-air"], limits_of(PUMPS["quay-air"], COATINGS[key])
    section, length = Score("triangle", 40e-6, width), quay.moving_packings.height
    pressure = working_pressure(limits)
    known = score_flow(section, limits.liquid, length=length, pressure=pressure)
    measured = CylinderMeasured(score_depth=40e-6, score_width=width, score_direction="lengthwise")
    told = judge(quay, COATINGS[key], measured).leak
    assert told == pytest.approx(known, rel=0.01 if limits.liquid.yield_stress else 0.005)


def worn(pump, title: str, size: float):
    """Measurements that show just this, the part as new otherwise."""
    bore, thick, ball = pump.cylinder.bore, pump.rod.diameter, pump.foot_valve.ball_diameter
    return {
        "Growth of the bore": CylinderMeasured(diameters=(bore + size,), per_height=1),
        "Bore out of round": CylinderMeasured(diameters=(bore, bore + size)),
        "Taper of the bore": CylinderMeasured(diameters=(bore, bore + size), per_height=1),
        "Rod's loss of diameter": RodMeasured(diameters=(thick - size,)),
        "Ball out of round": BallMeasured(diameters=(ball, ball - size)),
        "Run-out": RodMeasured(run_out=size),
    }[title]


ALLOWED = {
    "Growth of the bore": "piston_leak", "Bore out of round": "piston_leak",
    "Taper of the bore": "piston_leak", "Rod's loss of diameter": "outside_leak",
    "Ball out of round": "foot_leak", "Run-out": "outside_leak",
}  # fmt: skip


def check_of(judged, title: str):
    return next(c for c in judged.checks if c.title == title)


@pytest.mark.parametrize("pump", PUMPS.values(), ids=PUMPS)
@pytest.mark.parametrize("key", sorted(COATINGS))
@pytest.mark.parametrize("title", ALLOWED)
def test_a_limit_on_size_says_whose_it_is_and_leaks_no_more_than_allowed(
    monkeypatch, pump, key, title
) -> None:
    """Put the limit back in as the wear: it passes just the leak allowed, or less where the trade's
    own figure is the stricter one; where that one is doubled the computed one takes over."""
    coating, leak = COATINGS[key], getattr(limits_of(pump, COATINGS[key]), ALLOWED[title])
    slack = pump.model_copy(
        update={
            "cylinder": pump.cylinder.model_copy(
                update=dict.fromkeys(("wear_limit", "oval_limit", "taper_limit"), 5e-3)
            ),
            "rod": pump.rod.model_copy(update={"wear_limit": 5e-3}),
            "foot_valve": pump.foot_valve.model_copy(update={"ball_round_limit": 5e-3}),
        }
    )
    judge.forget()
    monkeypatch.setattr(rod, "RUN_OUT_LIMIT", 5e-3)
    computed = check_of(judge(slack, coating, worn(slack, title, 10e-6)), title)
    assert computed.limit_from.startswith("from the computed effect")
    at_limit = judge(slack, coating, worn(slack, title, computed.upper))
    assert at_limit.leak == pytest.approx(leak, rel=1e-3)
    monkeypatch.undo()
    judge.forget()
    told = check_of(judge(pump, coating, worn(pump, title, 10e-6)), title)
    assert told.upper <= computed.upper * 1.001
    assert told.upper == pytest.approx(computed.upper, rel=1e-6) or "alone" in told.limit_from


def test_the_makers_limit_on_size_stands_and_without_a_coating_the_trades_does() -> None:
    quay = PUMPS["quay-air"]
    made = quay.model_copy(
        update={"cylinder": quay.cylinder.model_copy(update={"limits_from": "maker"})}
    )
    oval = worn(quay, "Bore out of round", 10e-6)
    for coating in COATINGS.values():
        sources = {c.limit_from for c in judge(made, coating, oval).checks}
        assert sources == {"from the maker"}
    assert {c.limit_from for c in judge(quay, None, oval).checks} == {"common practice"}


def test_wear_tells_how_much_of_a_new_sets_lips_it_takes() -> None:
    quay = PUMPS["quay-air"]
    bore = judge(quay, None, worn(quay, "Growth of the bore", 60e-6))
    # half the growth, of the 60 um at which the set is done: by hand
    assert bore.figures[0].value == pytest.approx(0.5)
    thin = judge(quay, None, worn(quay, "Rod's loss of diameter", 20e-6))
    assert thin.figures[0].value == pytest.approx(10 / 50)


@pytest.mark.parametrize("pump", PUMPS.values(), ids=PUMPS)
@pytest.mark.parametrize("key", sorted(COATINGS))
def test_a_new_ball_is_kept_in_every_coating(pump, key) -> None:
    """Grade 100, whose diameters differ by 2.5 um (ISO 3290-1, from memory), by micrometer."""
    ball = worn(pump, "Ball out of round", 2.5e-6)
    assert judge(pump, COATINGS[key], ball).verdict is Verdict.KEEP
