"""The whole pump in time: its Jacobian, what it conserves, another solver, and what faults do."""

from __future__ import annotations

import importlib
from dataclasses import replace

import numpy as np
import pytest
from steady_twin import steady_twin

from wetend.errors import BadInput, NoAnswer
from wetend.physics.motion import instant as seen
from wetend.physics.motion import layout as at
from wetend.physics.motion.parameters import Gun, Leak, LeakPaths
from wetend.physics.motion.simulate import (
    integrate,
    simulate,
    simulate_stall,
)
from wetend.physics.motion.start import at_bottom
from wetend.physics.motion.weights import weigh
from wetend.physics.motion.wet_end import field
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.steady import steady

THICK = Liquid("power-law", 1420.0, 0.0, 3.2, 0.72)
LEAK = Leak(1.5e-5, 3e-5, 2e7)


@pytest.fixture(scope="module")
def others():
    """``benchmarks/other_solvers.py``, which needs libraries that take long to read in."""
    return importlib.import_module("other_solvers")


def _shares(parameters, state, mode):
    """Jacobian by columns, and by central differences, each scaled to what an error may be."""
    p = at_bottom(parameters, trips=2).p
    n = len(state)
    dy, rows, unused = np.zeros(n), np.zeros((n, n - at.SUMS)), np.zeros((n, n - at.SUMS))
    weights = np.zeros(n)
    field(state, p, mode, dy, rows, True)
    weigh(state, p, weights)
    found = np.zeros_like(rows)
    for j in range(n - at.SUMS):
        ends = []
        for sign in (-1.0, 1.0):
            moved, out = state.copy(), np.zeros(n)
            moved[j] += sign * 1e-8 * weights[j]
            field(moved, p, mode, out, unused, False)
            ends.append(out)
        found[:, j] = (ends[1] - ends[0]) / (2e-8 * weights[j])
    scale = weights[None, : n - at.SUMS] / weights[:, None]
    return rows * scale, found * scale


@pytest.mark.parametrize("liquid", [None, THICK])
def test_the_jacobian_is_the_slope_of_the_right_hand_side(pump, liquid):
    leaks = LeakPaths(LEAK, LEAK, LEAK, LEAK, LEAK, LEAK)
    made = pump(liquid, leaks=leaks)
    electric = replace(made, drive=replace(made.drive, control=2e7, droop=6.0, drag=50.0))
    for parameters in (made, electric):
        trace = simulate(parameters, cycles=2)
        rng = np.random.default_rng(3)
        for k in rng.integers(0, len(trace.t), 40):
            given, wanted = _shares(parameters, trace.state[k].copy(), trace.mode[k].copy())
            rows = np.abs(given).max(axis=1, keepdims=True)
            assert np.all(np.abs(given - wanted) <= 3e-4 * rows + 5e-3 * np.abs(given) + 1e-2)


@pytest.mark.parametrize("liquid", [None, THICK])
@pytest.mark.parametrize("tolerance", [1e-2, 2e-3, 1e-5])
def test_no_liquid_is_made_or_lost(pump, liquid, tolerance):
    """What was drawn is in the spaces, delivered or lost: to 1e-9 of the displacement."""
    made = pump(liquid, leaks=LeakPaths(LEAK, LEAK, LEAK, LEAK, LEAK, LEAK))
    trace = simulate(made, cycles=4, rtol=tolerance)
    state = trace.state
    sums = state.shape[1] - at.SUMS
    held = state[:, [at.MS, at.M1, at.M2]].sum(axis=1) + state[:, at.FIRST_NODE : sums].sum(axis=1)
    out = state[:, sums + at.DELIVERED] + state[:, sums + at.LOST]
    balance = held + out - state[:, sums + at.DRAWN]
    displacement = made.chambers.bore_area * made.chambers.stroke
    assert np.abs(balance - balance[0]).max() < 1e-9 * displacement


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"leaks": LeakPaths(foot_seat=LEAK, packings=LEAK, static_packings=LEAK)},
        {"gun": Gun("pulsed", 0.4, 0.3)},
    ],
    ids=["sound", "leaking", "pulsed"],
)
def test_scipy_radau_at_1e_10_says_the_same(others, pump, changes):
    """The same right-hand side, guards and reactions, event by event."""
    made = pump(**changes)
    weights = others.stiff_weights(made)
    radau = others.march(at_bottom(made, trips=2), others.by_scipy("Radau", 1e-10, weights))
    wanted = others.strokes_of(radau)
    errors = []
    for tolerance in (2e-3, 1e-5, 1e-7):
        start = at_bottom(made, trips=2)
        _, rows, marks, _ = integrate(start, t_end=100.0, rtol=tolerance, cycles=20)
        turns = [(rows[int(k), 0], rows[int(k), 1 : 1 + len(start.y)])
                 for _, which, k in marks if which == at.G_TURN]  # fmt: skip
        errors.append(np.abs(others.strokes_of(turns) / wanted - 1).max())
    assert errors[0] < 2e-4
    assert errors[1] < 1e-6
    assert errors[2] < 2e-9


def test_cvode_says_the_same(others, pump):
    made = pump()
    weights = others.stiff_weights(made)
    cvode = others.strokes_of(
        others.march(at_bottom(made, trips=2), others.by_cvode(1e-6, weights))
    )
    strokes = simulate(made, cycles=1, rtol=1e-6).strokes
    ours = [s.time for s in strokes] + [s.delivered for s in strokes]
    assert ours == pytest.approx(cvode, rel=1e-6)


def test_balls_stay_between_seat_and_stop_and_the_rod_in_its_stroke(random_pumps):
    for parameters in random_pumps(10, seed=8):
        trace = simulate(parameters, cycles=3)
        for lift, valve in ((trace.foot_lift, parameters.foot_valve),
                            (trace.piston_lift, parameters.piston_valve)):  # fmt: skip
            assert lift.min() > -1e-4 * valve.lift
            assert lift.max() < valve.lift * (1 + 1e-4)
        assert trace.x.min() > -1e-4 * parameters.chambers.stroke
        assert trace.x.max() < parameters.chambers.stroke * (1 + 1e-4)
        lowest = parameters.liquid.vapour_pressure - parameters.liquid.atmosphere
        assert trace.seen[:, [seen.O_SUCTION, seen.O_BELOW, seen.O_ABOVE]].min() >= lowest - 1e-6


def settled(parameters):
    up, down = simulate(parameters, cycles=5).strokes[-2:]
    return up, down, (up.delivered + down.delivered) / (up.time + down.time)


def test_a_sound_pump_has_an_even_rhythm(pump):
    """A_b = 2 A_r very nearly: both strokes deliver the same and take the same time (trade rule:
    common practice, no source)."""
    up, down, _ = settled(pump())
    assert up.time == pytest.approx(down.time, rel=0.05)
    assert up.delivered == pytest.approx(down.delivered, rel=0.05)


def test_a_sound_pump_stays_put_at_stall_and_a_leaking_one_creeps(pump):
    """Foot valve: creeps down; piston valve or packings: creeps up (common practice, no source)."""
    small = Leak(1e-6, 3e-6, 2e7)
    foot, past = pump(leaks=LeakPaths(foot_seat=small)), pump(leaks=LeakPaths(packings=small))

    def creep(parameters, *, up):
        trace = simulate_stall(parameters, up=up, seconds=8.0)
        late = 0.5 * trace.t[-1]
        return abs(trace.x[-1] - np.interp(late, trace.t, trace.x)) / (trace.t[-1] - late)

    for up in (True, False):
        assert creep(pump(), up=up) < 1e-6
    assert creep(foot, up=True) < 1e-6
    assert creep(past, up=False) < 1e-6
    steadily = steady(steady_twin(foot)).down.creep[0]
    assert creep(foot, up=False) == pytest.approx(steadily, rel=0.02)
    steadily = steady(steady_twin(past)).up.creep[0]
    assert creep(past, up=True) == pytest.approx(steadily, rel=0.02)


def test_stall_pressure_is_the_force_less_friction_over_the_area(pump):
    made = pump()
    for up in (True, False):
        trace = simulate_stall(made, up=up, seconds=2.0)
        area = made.chambers.rod_area
        if up:
            area = made.chambers.bore_area - area
        stall = (made.drive.force - made.drive.friction) / area
        assert trace.gauge[-1] == pytest.approx(stall, rel=0.005)


def test_air_in_the_cylinder_gives_a_quick_drop_on_the_way_down(pump):
    """Quick at first, then normal (common practice, no source)."""
    made = pump()
    airy = replace(made, liquid=replace(made.liquid, free_air=0.15))
    trace = simulate(airy, cycles=4)
    turn = trace.strokes[-1].start
    down = (trace.t > turn + 0.06) & (trace.t < trace.strokes[-1].end)
    speed, place = -trace.v[down], trace.x[down]
    early = place > 0.9 * made.chambers.stroke
    assert speed[early].max() > 1.8 * np.median(speed[place < 0.5 * made.chambers.stroke])
    assert trace.strokes[-1].time < trace.strokes[-2].time


def test_a_starved_cylinder_draws_less_than_it_sweeps(pump):
    made = pump()
    up, down, flow = settled(replace(made, suction=replace(made.suction, blocked=2.5e9)))
    swept = made.chambers.bore_area * made.chambers.stroke
    assert up.drawn + down.drawn < 0.9 * swept
    assert flow < 0.99 * settled(made)[2]


def test_a_ball_that_lifts_too_far_comes_back_late(pump):
    """A shim under the cage adds to the lift; worst with thick coatings (common practice)."""
    made = pump(THICK)
    high = replace(made, foot_valve=replace(made.foot_valve, lift=0.010))

    def lost(parameters):
        up, down, _ = settled(parameters)
        return 1 - (up.drawn + down.drawn) / (2 * up.delivered + 2 * down.delivered) * 2

    def back(parameters):
        trace = simulate(parameters, cycles=3)
        turn = trace.strokes[-2].end
        shut = [e.time for e in trace.events if e.which == at.G_FOOT_SEAT and e.time > turn]
        return shut[0] - turn

    assert back(high) > back(made) + 0.01


def test_a_ball_that_sticks_holds_on_until_it_is_pushed_off(pump):
    made = pump()
    stuck = replace(made, foot_valve=replace(made.foot_valve, stick=3.0))
    trace = simulate(stuck, cycles=3)
    turn = trace.strokes[-2].end
    after = np.interp(turn + 0.04, trace.t, trace.foot_lift)
    assert after == pytest.approx(made.foot_valve.lift, rel=1e-3)


def test_a_weak_or_slow_drive(pump):
    made = pump()
    weak = replace(made, drive=replace(made.drive, force=0.6 * made.drive.force))
    slow = replace(made, drive=replace(made.drive, reversal=0.35))
    assert settled(weak)[0].time > 1.1 * settled(made)[0].time
    assert settled(weak)[0].gauge < 0.7 * settled(made)[0].gauge
    up, _, flow = settled(slow)
    assert flow < settled(made)[2]
    assert settled(made)[0].time < up.time < settled(made)[0].time + 0.3


def test_an_electric_drive_lets_go_at_its_setting(pump):
    made = pump(gun=Gun("shut"))
    watched = replace(made, drive=replace(made.drive, control=1.2e7))
    trace = simulate(watched, cycles=1, t_end=3.0)
    assert trace.gauge[-1] == pytest.approx(1.2e7, rel=0.06)


def test_a_hydraulic_drive_keeps_its_speed_until_its_pressure(pump):
    """Flow-limited below its pressure: a higher droop makes the knee sharper."""
    made = pump()
    firm = replace(made, drive=replace(made.drive, droop=8.0))
    up, _, _ = settled(firm)
    assert up.time < settled(made)[0].time
    assert up.time > made.chambers.stroke / made.drive.free_speed


def test_a_pulsed_gun_lets_the_pressure_rise_and_fall(pump):
    trace = simulate(pump(gun=Gun("pulsed", 0.5, 0.5)), cycles=2)
    shut = trace.mode[:, at.M_GUN] == 0
    assert shut.any()
    assert trace.seen[shut, seen.O_NOZZLE].max() == 0.0
    assert trace.gauge[shut].max() > 1.02 * trace.gauge[~shut].max() - 1e6
    assert np.ptp(trace.gauge) > 1e6


def test_a_shut_gun_stops_the_rod_and_the_run_ends_by_its_clock(pump):
    trace = simulate(pump(gun=Gun("shut")), cycles=2, t_end=5.0)
    assert trace.strokes == ()
    assert trace.t[-1] == 5.0
    assert abs(trace.v[-1]) < 1e-6


def test_what_the_sums_do_not_stand_for_is_refused(pump):
    made = pump()
    with pytest.raises(NoAnswer, match="bar"):
        simulate(replace(made, drive=replace(made.drive, force=1e7)))
    with pytest.raises(BadInput):
        simulate(made, rtol=0.0)
    with pytest.raises(BadInput):
        simulate(made, cycles=0)
    with pytest.raises(BadInput):
        simulate_stall(made, up=True, rtol=float("nan"))


@pytest.mark.parametrize("up", [True, False])
def test_a_stall_is_against_a_shut_gun_however_the_gun_is_worked_else(pump, up):
    """A gun worked open and shut in turn would let the stalled rod go, and its creep look large."""
    leaks = LeakPaths(foot_seat=Leak(1e-6, 1e-5))
    ends = [
        simulate_stall(pump(leaks=leaks, gun=Gun(use, 0.5, 0.5)), up=up, seconds=2.0)
        for use in ("shut", "pulsed")
    ]
    assert ends[0].x[-1] == ends[1].x[-1]
    assert not ends[1].seen[:, seen.O_NOZZLE].any()
