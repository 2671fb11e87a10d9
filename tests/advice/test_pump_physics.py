"""Pump and coating as described, turned into what the physics takes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from wetend.advice.pump_physics import (
    Condition,
    foot_path,
    liquid_of,
    loss_table,
    rated_stall,
    stroke_parameters,
    viscosity_spread,
)
from wetend.errors import NoAnswer, UnknownName
from wetend.physics.hose import hose_loss
from wetend.physics.stroke.steady import steady
from wetend.pump.coating import Coating
from wetend.pump.toml import demo_coatings, demo_pump

PUMP = demo_pump("quay-air")
EPOXY, ZINC, ALKYD, FLAKE = demo_coatings()


def _cup(cup: str, time: float) -> Coating:
    return Coating(key="by-cup", name="By cup", density=1300.0, cup=cup, cup_time=time)


def test_each_law_comes_through() -> None:
    assert (liquid_of(EPOXY).consistency, liquid_of(EPOXY).index) == (3.2, 0.72)
    assert (liquid_of(ZINC).yield_stress, liquid_of(ZINC).consistency) == (6.0, 0.18)
    assert liquid_of(ALKYD).consistency == 0.28
    assert (liquid_of(FLAKE).yield_stress, liquid_of(FLAKE).index) == (12.0, 0.6)


def test_a_cup_reading_alone_is_enough() -> None:
    """Ford 4 in 80 s is 290.7 mm2/s (as in the table of cups), times density."""
    liquid = liquid_of(_cup("ford-4", 80.0))
    assert liquid.consistency == pytest.approx(290.7135e-6 * 1300.0, rel=1e-6)
    state = steady(stroke_parameters(PUMP, _cup("ford-4", 80.0)))
    assert 0.5 < state.up.time[0] < 5.0


def test_a_cup_that_cannot_be_says_so() -> None:
    with pytest.raises(UnknownName):
        liquid_of(_cup("egg-cup", 20.0))
    with pytest.raises(NoAnswer):
        liquid_of(_cup("ford-4", 1.0))


def test_warm_is_thin() -> None:
    warm, cold = liquid_of(EPOXY, 303.15), liquid_of(EPOXY, 283.15)
    assert warm.consistency < liquid_of(EPOXY).consistency < cold.consistency
    assert liquid_of(EPOXY, EPOXY.temperature).consistency == pytest.approx(3.2)


def test_hose_string_adds_up() -> None:
    liquid, flow = liquid_of(ALKYD), 4e-5
    exact = sum(float(hose_loss(liquid, flow, h.bore, h.length)) for h in PUMP.hose)
    read = loss_table(PUMP, liquid).at(np.array([flow]), np.ones(1))[0]
    assert read[0] == pytest.approx(exact, rel=1e-3)


def test_rated_stall_is_where_the_sound_pump_stalls() -> None:
    state = steady(stroke_parameters(PUMP, EPOXY))
    assert state.stall_pressure[0] == pytest.approx(rated_stall(PUMP), rel=1e-9)


def test_condition_reaches_the_model() -> None:
    sound = steady(stroke_parameters(PUMP, EPOXY))
    for condition, quicker in (
        (Condition(foot_gap=8e-5), True),
        (Condition(nozzle=1.5), True),
        (Condition(supply=4e5), False),
        (Condition(drive=0.7), False),
        (Condition(filter_blocked=3e11), False),
        (Condition(line_blocked=3e11), False),
        (Condition(filling=0.7), True),
        (Condition(free_speed=0.5), False),
    ):
        down = steady(stroke_parameters(PUMP, EPOXY, condition)).down.time[0]
        assert bool(down < sound.down.time[0]) is quicker, condition


def test_foot_path_is_a_tenth_of_the_contact_circle() -> None:
    path = foot_path(PUMP)
    assert path.width == pytest.approx(0.1 * math.pi * 0.022 * math.cos(math.pi / 4))
    assert path.length == PUMP.foot_valve.seat_width


def test_a_coating_known_by_a_cup_alone_is_less_sure_than_one_described() -> None:
    cup = _cup("ford-4", 80.0)
    # cup 5 %, watch 0.7 %, 2 K at 4 %, and 0.15 ln 5 for how much it may thin up to 1,000 /s
    by_hand = math.sqrt(0.05**2 + (0.5 / 75.5) ** 2 + (3500 * 2 / 293.15**2) ** 2
                        + (0.15 * math.log(5)) ** 2)  # fmt: skip
    assert viscosity_spread(cup) == pytest.approx(by_hand, rel=1e-3)
    assert viscosity_spread(_cup("zahn-2", 35.0)) > viscosity_spread(cup) > EPOXY.spread
    assert viscosity_spread(EPOXY) == EPOXY.spread
    surer = Coating(key="x", name="X", density=1300.0, viscosity=0.4, cup="ford-4", cup_time=80.0,
                    spread=0.05)  # fmt: skip
    assert viscosity_spread(surer) == 0.05
