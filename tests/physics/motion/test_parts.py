"""The parts of the model in time, each against the plain law it stands for."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from closed_forms import orifice_pressure
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from steady_twin import room

from wetend.physics.hose import hose_loss
from wetend.physics.motion import layout as at
from wetend.physics.motion.packing import (
    highest_pressure,
    hose_curve,
    odd_curve,
    opening_curve,
    pack,
    suction_curve,
)
from wetend.physics.motion.parameters import Hose, Outlet
from wetend.physics.motion.passages import ball_drag, content, curtain, curve, node, passage
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.gap import LeakRate, blend
from wetend.physics.valves import Seat, drag_coefficient, fall_speed, opening_loss, seat_opening

LIQUIDS = [
    Liquid("newtonian", 880.0, 0.0, 0.0008, 1.0),
    Liquid("newtonian", 1180.0, 0.0, 0.28, 1.0),
    Liquid("power-law", 1420.0, 0.0, 3.2, 0.72),
    Liquid("bingham", 2650.0, 6.0, 0.18, 1.0),
    Liquid("herschel-bulkley", 1360.0, 12.0, 6.5, 0.6),
]


@given(
    pressure=st.floats(1.5e3, 5e7), volume=st.floats(1e-6, 1e-2), air=st.floats(1e-4, 1.0),
    soft=st.floats(0.0, 1.0),
)  # fmt: skip
def test_a_space_holds_what_bulk_modulus_and_boyle_say(pressure, volume, air, soft):
    p = np.zeros(at.PARAMETERS)
    gas, give = 101325.0 - 1000.0, soft * volume / 2e5
    p[at.P_VAPOUR], p[at.P_BULK], p[at.P_GAS], p[at.P_AIR] = 1000.0, 1.6e9, gas, air
    held = content(p, pressure, volume, give)
    q = pressure - 1000.0
    liquid, bubbles = held * (1 - (q - gas) / 1.6e9), held * air * gas / q
    assert liquid + bubbles == pytest.approx(volume + give * (q - gas), rel=1e-9)
    found, with_content, with_volume = node(p, held, volume, give)
    assert found == pytest.approx(pressure, rel=1e-6)
    step = 1e-6 * held
    near = [node(p, held + d, volume, give)[0] for d in (-step, step)]
    assert (near[1] - near[0]) / (2 * step) == pytest.approx(with_content, rel=1e-3)
    step = 1e-6 * volume
    near = [node(p, held, volume + d, give)[0] for d in (-step, step)]
    assert (near[1] - near[0]) / (2 * step) == pytest.approx(with_volume, rel=1e-3)


def test_the_modulus_of_aerated_oil():
    """1/K = 1/B + r p0 / p^2 at pressure p (isothermal): H. E. Merritt, Hydraulic Control Systems
    (1967), section 2-3, from memory."""
    p = np.zeros(at.PARAMETERS)
    p[at.P_VAPOUR], p[at.P_BULK], p[at.P_GAS], p[at.P_AIR] = 0.0, 1.6e9, 101325.0, 0.01
    for pressure in (2e5, 1e6, 1e7):
        held = content(p, pressure, 1e-4, 0.0)
        _, with_content, _ = node(p, held, 1e-4, 0.0)
        merritt = 1 / (1 / 1.6e9 + 0.01 * 101325.0 / pressure**2)
        assert with_content * 1e-4 == pytest.approx(merritt, rel=0.03)


@given(content_=st.floats(1e-9, 1e-3), volume=st.floats(1e-6, 1e-3))
def test_no_pressure_below_the_vapour_pressure(content_, volume):
    p = np.zeros(at.PARAMETERS)
    p[at.P_VAPOUR], p[at.P_BULK], p[at.P_GAS], p[at.P_AIR] = 1000.0, 1.6e9, 100325.0, 0.003
    assert node(p, content_, volume, 0.0)[0] >= 1000.0


def test_room_is_the_same_law(pump):
    liquid = pump().liquid
    p = pack(pump())
    for over in (-5e4, 0.0, 1e6, 2e7):
        assert content(p, over + 101325.0, 1e-4, 0.0) == pytest.approx(1e-4 / room(liquid, over))


@pytest.mark.parametrize("power", [1.0, 1.4, 3.0])
def test_a_leak_is_that_of_the_steady_model(power):
    """Within a thousandth, from one bar on."""
    slow, fast, reference = 2e-5, 4e-5, 2e7
    for pressure in np.geomspace(1e5, 4e7, 12):
        ratio = np.array([pressure / reference])
        flow, slope = blend(LeakRate(np.array([slow]), np.array([fast])), ratio, power)
        found = passage(pressure, slow / reference**power, fast / math.sqrt(reference), power)
        assert found[0] == pytest.approx(float(flow[0]), rel=2e-3)
        assert found[1] == pytest.approx(float(slope[0]) / reference, rel=4e-3)


@given(
    drop=st.floats(-1e7, 1e7), slow=st.floats(1e-14, 1e-6), fast=st.floats(1e-10, 1e-6),
    power=st.sampled_from([0.5, 1.0, 1.4, 5.0]),
)  # fmt: skip
def test_slopes_of_a_passage(drop, slow, fast, power):
    slow = slow * 1e5 ** (1 - power)
    flow, slope, with_slow, with_fast = passage(drop, slow, fast, power)
    assert passage(-drop, slow, fast, power)[0] == pytest.approx(-flow, rel=1e-12)
    step = 1e-3 * (abs(drop) + 10.0)
    ends = [passage(drop + d, slow, fast, power)[0] for d in (-step, step)]
    assert (ends[1] - ends[0]) / (2 * step) == pytest.approx(slope, rel=2e-2)
    scale = abs(flow) + 1e-300
    for wanted, (a, b) in ((with_slow, (1e-5, 0.0)), (with_fast, (0.0, 1e-5))):
        low, high = (passage(drop, slow * math.exp(s * a), fast * math.exp(s * b), power)[0]
                     for s in (-1, 1))  # fmt: skip
        assert (high - low) / 2e-5 / scale == pytest.approx(wanted / scale, abs=1e-4)


@pytest.mark.parametrize("liquid", LIQUIDS, ids=lambda q: q.law)
def test_an_open_valve_passes_what_its_curtain_does(pump, liquid):
    """Inertial limit: rho/2 (Q/C_d A)^2 with the curtain of a ball on a cone."""
    p = pack(pump(liquid))
    valve = pump().foot_valve
    seat = Seat(valve.ball_diameter, valve.half_angle, valve.seat_bore, valve.seat_width)
    for lift in (1e-3, 2e-3, 3.3e-3):
        flow, slope, with_lift = curtain(p, at.P_BALLS, lift, 3e5)
        area = seat_opening(seat, lift)
        assert opening_loss(flow, area, density=liquid.density) < 3e5
        if liquid.consistency < 0.01:
            assert opening_loss(flow, area, density=liquid.density) == pytest.approx(3e5, rel=0.03)
        for k, step, wanted in ((0, 1e-7, with_lift), (1, 10.0, slope)):
            low, high = (curtain(p, at.P_BALLS, lift + (s * step if k == 0 else 0.0),
                                 3e5 + (s * step if k == 1 else 0.0))[0]
                         for s in (-1, 1))  # fmt: skip
            assert (high - low) / (2 * step) == pytest.approx(wanted, rel=1e-3)


@pytest.mark.parametrize("lift", [0.5e-3, 3.3e-3, 9e-3, 15e-3])
def test_the_opening_looked_up_is_the_exact_one(pump, lift):
    """Up to a lift at which the seat's hole is the narrowest place; linear near the seat."""
    valve = replace(pump().foot_valve, lift=lift)
    p = np.zeros(at.PARAMETERS)
    p[: at.CURVE_SIZE] = opening_curve(valve)
    seat = Seat(valve.ball_diameter, valve.half_angle, valve.seat_bore, valve.seat_width)
    for share in (1e-4, 1e-3, 0.03, 0.2, 0.5, 0.77, 1.0):
        exact = seat_opening(seat, share * lift)
        assert curve(p, 0, share * lift)[0] == pytest.approx(exact, rel=2e-3)


def test_a_nearly_shut_valve_leaks_like_a_slit(pump):
    """12 mu L Q / (w h^3): parallel plates of the gap square to the cone."""
    p = pack(pump())
    lift, drop = 30e-6, 1e5
    gap, width = lift * math.sin(math.pi / 4), math.pi * 0.022 * math.cos(math.pi / 4)
    slit = width * gap**3 * drop / (12 * 0.28 * 0.004)
    assert curtain(p, at.P_BALLS, lift, drop)[0] == pytest.approx(slit, rel=0.01)


def test_drag_of_the_ball_against_the_law_of_cheng(pump):
    """Abraham's form and Cheng's (Powder Technology 189 (2009) 395) within 15 % to Re 3000."""
    p = pack(pump())
    ball = at.P_BALLS
    viscosity, density, diameter = 0.28, 1180.0, 0.022
    for speed in np.geomspace(1e-4, 30.0, 30):
        reynolds = density * speed * diameter / viscosity
        cheng = math.pi / 8 * drag_coefficient(reynolds) * density * (speed * diameter) ** 2
        wall = p[ball + at.B_WALL] * speed
        force, slope = ball_drag(p, ball, speed)
        assert force - wall == pytest.approx(cheng, rel=0.15)
        near = ball_drag(p, ball, speed * 1.0001)[0] - ball_drag(p, ball, speed / 1.0001)[0]
        assert near / (speed * 2e-4) == pytest.approx(slope, rel=1e-3)


def test_a_sinking_ball_sinks_as_fast_as_its_law_says(pump):
    p = pack(pump())
    ball = at.P_BALLS
    steady = brentq(lambda v: ball_drag(p, ball, v)[0] - p[ball + at.B_WEIGHT], 1e-6, 10.0)
    law = fall_speed(0.022, 7650.0 - 1180.0, density=1180.0, viscosity=0.28, tube=0.038)
    assert steady == pytest.approx(law, rel=0.05)


@pytest.mark.parametrize("liquid", LIQUIDS, ids=lambda q: f"{q.law} {q.consistency}")
def test_the_hose_curve_is_the_hose_law(pump, liquid):
    """Laminar, turbulent and yielding: within half a per cent of the flow from a hundredth up."""
    made = pump(liquid)
    p = pack(made)
    most = highest_pressure(made)
    highest = float(p[at.P_HOSE_CURVE])
    for flow in np.geomspace(1e-6, 2e-4, 25):
        lost = float(hose_loss(liquid, flow, 0.0095, 15.0))
        if 1e-2 * highest < lost < min(most, highest):
            assert curve(p, at.P_HOSE_CURVE, lost)[0] == pytest.approx(flow, rel=5e-3)
            assert curve(p, at.P_HOSE_CURVE, -lost)[0] == pytest.approx(-flow, rel=5e-3)


@pytest.mark.parametrize("liquid", LIQUIDS, ids=lambda q: f"{q.law} {q.consistency}")
def test_the_suction_curve_is_the_hose_law(pump, liquid):
    p = pack(pump(liquid))
    for flow in np.geomspace(2e-6, 4e-4, 20):
        lost = float(hose_loss(liquid, flow, 0.025, 1.6))
        assert curve(p, at.P_SUCTION_CURVE, flow)[0] == pytest.approx(lost, rel=2e-2)


def test_several_hoses_and_a_blockage_add_up(pump):
    made = pump()
    liquid = made.liquid.liquid
    outlet = Outlet(1e9, (Hose(0.0095, 15.0), Hose(0.0064, 3.0)), 1e15, line_resistance=2e11)
    found = hose_curve(pump(outlet=outlet), 3e7)
    p = np.zeros(at.PARAMETERS)
    p[at.P_HOSE_CURVE : at.P_HOSE_CURVE + len(found)] = found
    flow = 4e-5
    lost = 2e11 * flow + sum(float(hose_loss(liquid, flow, h.bore, h.length)) for h in outlet.hoses)
    assert curve(p, at.P_HOSE_CURVE, lost)[0] == pytest.approx(flow, rel=5e-3)


def test_curves_are_kept_under_what_they_hang_on(pump):
    """One fault after another is played with the same hoses and tube; another liquid is another."""
    sound = pump()
    faulty = replace(
        sound,
        liquid=replace(sound.liquid, free_air=0.1),
        foot_valve=replace(sound.foot_valve, stick=0.3),
        suction=replace(sound.suction, blocked=1e9),
    )
    assert hose_curve(faulty, 3e7) is hose_curve(sound, 3e7)
    assert suction_curve(faulty) is suction_curve(sound)
    shut = replace(sound, outlet=replace(sound.outlet, line_resistance=1e11))
    quick = replace(sound, drive=replace(sound.drive, free_speed=1.5 * sound.drive.free_speed))
    for other, highest in ((pump(LIQUIDS[3]), 3e7), (shut, 3e7), (quick, 3e7), (sound, 1e6)):
        assert not np.array_equal(hose_curve(other, highest), hose_curve(sound, 3e7))
    for other in (pump(LIQUIDS[3]), quick):
        assert not np.array_equal(suction_curve(other), suction_curve(sound))


def test_a_curve_is_smooth_and_has_its_slope():
    x = np.linspace(0.0, 1.0, 300) ** 2 * 5.0
    p = np.zeros(at.PARAMETERS)
    p[: at.CURVE_SIZE] = odd_curve(x, x**1.5)
    for place in np.concatenate([np.linspace(-6, 6, 97), np.linspace(-0.01, 0.01, 21)]):
        value, slope = curve(p, 0, place)
        if 0.05 < abs(place) < 5.0:
            assert abs(value) == pytest.approx(abs(place) ** 1.5, rel=1e-3)
        step = 1e-6 * max(abs(place), 1e-3)
        near = curve(p, 0, place + step)[0] - curve(p, 0, place - step)[0]
        assert near / (2 * step) == pytest.approx(slope, rel=5e-2, abs=1e-6)


def test_the_nozzle_is_an_orifice_but_at_a_trickle(pump):
    made = pump()
    p = pack(made)
    for flow in np.geomspace(1e-6, 1e-4, 9):
        drop = orifice_pressure(flow, 0.5e-3, density=1180.0)
        found = passage(drop, p[at.P_NOZZLE_SLOW], p[at.P_NOZZLE_FAST], 1.0)[0]
        assert found == pytest.approx(flow, rel=10 / math.sqrt(drop))
