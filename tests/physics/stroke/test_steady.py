"""The steady stroke: a second route, the balances, closed forms, the trade's symptoms, and limits.

"Common practice" marks facts of the trade for which no source is given.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from wetend.physics.stroke.gap import Filling, GapPath, LeakRate, blend, leak_rate
from wetend.physics.stroke.losses import tabulate
from wetend.physics.stroke.parameters import (
    DriveLine,
    Leaks,
    OutletLine,
    StrokeParameters,
    StrokeState,
    nozzle_resistance,
    stall_force,
)
from wetend.physics.stroke.steady import steady

A_R = 570e-6
REFERENCE = 2.8e7
SEAT, RING = GapPath(0.005, 0.004), GapPath(0.12, 0.022)


@dataclass(frozen=True)
class Case:
    """A pump in plain numbers."""

    upper: float = A_R
    rod: float = A_R
    supply: float = 7e5
    friction: float = 330.0
    foot: float = 0.0
    piston: float = 0.0
    static: float = 0.0
    hose: float = 8e10
    filter: float = 3e9
    blocked: float = 0.0
    nozzle: float = 2.2e-7
    viscosity: float = 1.0
    filling: float = 1.0
    index: float = 1.0
    free: float = 0.2
    reversal: float = 0.0

    def rate(self, gap: float, path: GapPath) -> LeakRate:
        filling = Filling(0.3 if self.index == 1 else 3.0, self.index, 1200.0)
        return leak_rate(gap, path, filling, pressure=REFERENCE)

    def run(self) -> StrokeState:
        return steady(self.parameters())

    def parameters(self) -> StrokeParameters:
        return StrokeParameters(
            upper_area=self.upper,
            rod_area=self.rod,
            drive=DriveLine(
                stall_force(self.supply, 40.0, self.upper, self.rod), self.free, self.friction,
                0.08, self.reversal,
            ),
            outlet=OutletLine(
                tabulate(lambda q, s: self.hose * q * s, flow_high=6e-4),
                self.viscosity, self.filter + self.blocked, 0.0,
                nozzle_resistance(1200.0, self.nozzle, 0.85),
            ),
            leaks=Leaks(
                self.rate(self.foot, SEAT), self.rate(self.piston, RING),
                self.rate(self.static, RING), REFERENCE, 1.0 / self.index,
            ),
            filling=self.filling,
        )  # fmt: skip


SOUND = Case()


def _brent_speed(case: Case, *, up: bool) -> float:
    """The same balances solved for the delivered flow by SciPy's Brent, one pump at a time."""
    area = case.upper if up else case.rod
    force = case.supply * 40.0 * (case.upper + case.rod) / 2
    rates = (case.rate(case.piston if up else case.foot, RING if up else SEAT),
             case.rate(case.static, RING))  # fmt: skip

    def leak(p: float) -> float:
        ratio = np.array([max(p / REFERENCE, 1e-12)])
        return sum(float(blend(r, ratio, 1 / case.index)[0][0]) for r in rates)

    def taken(q: float) -> float:
        nozzle = 1200.0 / 2 * (q / (0.85 * case.nozzle)) ** 2
        return (case.filter + case.blocked + case.hose * case.viscosity) * q + nozzle

    def speed(p: float) -> float:
        left = 1 - (p * area + case.friction) / force
        return case.free * math.sqrt(max(left, 0.0))

    def over(q: float) -> float:
        p = taken(q)
        return q - (area * speed(p) - leak(p))

    flow = brentq(over, 0.0, area * case.free, xtol=1e-18, rtol=1e-14)
    return speed(taken(flow))


@costly(15)
@given(
    st.builds(
        Case,
        upper=st.floats(2e-4, 1.2e-3),
        rod=st.floats(2e-4, 1.2e-3),
        supply=st.floats(3e5, 8e5),
        friction=st.floats(0, 800),
        foot=st.floats(0, 1.5e-4),
        piston=st.floats(0, 8e-5),
        static=st.floats(0, 5e-5),
        hose=st.floats(1e9, 3e11),
        blocked=st.floats(0, 5e11),
        nozzle=st.floats(5e-8, 1e-6),
        viscosity=st.floats(0.3, 3.0),
        index=st.sampled_from([0.6, 0.72, 1.0]),
    )
)
def test_speed_agrees_with_brent(case: Case) -> None:
    state = case.run()
    # the table of a straight hose is straight lines in the root of flow: 1e-5 at worst
    assert state.up.speed[0] == pytest.approx(_brent_speed(case, up=True), rel=2e-4)
    assert state.down.speed[0] == pytest.approx(_brent_speed(case, up=False), rel=2e-4)


def test_volume_and_force_balance() -> None:
    case = replace(SOUND, foot=8e-5, piston=4e-5, static=2e-5)
    state = case.run()
    force = case.supply * 40.0 * (case.upper + case.rod) / 2
    for way, area in ((state.up, case.upper), (state.down, case.rod)):
        delivered = way.flow[0] + way.leak[0] + way.static_leak[0]
        assert area * way.speed[0] == pytest.approx(delivered, rel=1e-8)
        pull = force * (1 - (way.speed[0] / case.free) ** 2)
        assert way.pressure[0] * area + case.friction == pytest.approx(pull, rel=1e-8)


def test_closed_form_with_a_nozzle_alone() -> None:
    """No leak, hose, filter or friction: F (1 - x^2) = c (A v0 x)^2 A."""
    case = replace(SOUND, friction=0.0, hose=0.0, filter=0.0)
    state = case.run()
    square = 1200.0 / 2 / (0.85 * case.nozzle) ** 2 * (A_R * case.free) ** 2
    stall = case.supply * 40.0
    assert state.up.speed[0] / case.free == pytest.approx(
        math.sqrt(stall / (stall + square)), rel=1e-9
    )


def test_stall_is_supply_times_ratio_less_friction() -> None:
    state = SOUND.run()
    assert state.stall_pressure[0] == pytest.approx(7e5 * 40 - 330 / A_R, rel=1e-12)
    assert state.up.creep[0] == state.down.creep[0] == 0.0


def test_even_rhythm_when_bore_area_is_twice_the_rods() -> None:
    """Common practice: with A_b = 2 A_r both strokes deliver the same and take the same time."""
    state = SOUND.run()
    assert state.up.time[0] == pytest.approx(state.down.time[0], rel=1e-9)
    assert state.up.flow[0] == pytest.approx(state.down.flow[0], rel=1e-9)
    assert replace(SOUND, upper=0.8 * A_R).run().up.time[0] < state.up.time[0]


def test_creep_is_leak_over_area() -> None:
    case = replace(SOUND, foot=5e-5, piston=3e-5, static=1e-5)
    state = case.run()
    for way, rate, area in (
        (state.up, case.rate(case.piston, RING), case.upper),
        (state.down, case.rate(case.foot, SEAT), case.rod),
    ):
        ratio = way.stall_pressure / REFERENCE
        leak = blend(rate, ratio, 1.0)[0] + blend(case.rate(case.static, RING), ratio, 1.0)[0]
        assert way.creep[0] == pytest.approx(float(leak[0]) / area, rel=1e-9)


def test_foot_valve_not_holding() -> None:
    """Common practice: down-stroke quick, up-stroke normal; creeps down at stall."""
    state, sound = replace(SOUND, foot=1e-4).run(), SOUND.run()
    assert state.down.time[0] < 0.9 * sound.down.time[0]
    assert state.up.time[0] == sound.up.time[0]
    assert state.down.creep[0] > 1e-3
    assert state.up.creep[0] == 0.0


def test_piston_valve_or_packings_not_holding() -> None:
    """Common practice: up-stroke quick, down-stroke normal; creeps up at stall."""
    state, sound = replace(SOUND, piston=6e-5).run(), SOUND.run()
    assert state.up.time[0] < 0.9 * sound.up.time[0]
    assert state.down.time[0] == sound.down.time[0]
    assert state.up.creep[0] > 1e-3
    assert state.down.creep[0] == 0.0


def test_worn_nozzle() -> None:
    """Common practice: both quick, gauge low; it doesn't creep at stall."""
    state, sound = replace(SOUND, nozzle=4e-7).run(), SOUND.run()
    assert state.up.time[0] < 0.8 * sound.up.time[0]
    assert state.down.time[0] < 0.8 * sound.down.time[0]
    assert state.gauge[0] < 0.95 * sound.gauge[0]
    assert state.down.creep[0] == 0.0


def test_static_packings() -> None:
    """Common practice: a leak to the outside makes both quick; it creeps both ways."""
    state, sound = replace(SOUND, static=5e-5).run(), SOUND.run()
    assert state.up.time[0] < 0.95 * sound.up.time[0]
    assert state.down.time[0] < 0.95 * sound.down.time[0]
    assert min(state.up.creep[0], state.down.creep[0]) > 1e-4


def test_starved() -> None:
    """Common practice: quick drop at the start of the down-stroke, then normal."""
    case = replace(SOUND, filling=0.7)
    state, sound = case.run(), SOUND.run()
    dropped = 0.3 * 0.08 / case.free
    assert state.down.time[0] == pytest.approx(dropped + 0.7 * sound.down.time[0], rel=1e-9)
    assert state.up.time[0] == sound.up.time[0]
    swept = (case.upper + case.rod) * 0.08
    assert state.flow[0] / state.cycle_rate[0] == pytest.approx(0.7 * swept, rel=1e-9)


def test_blocked_filter() -> None:
    """Common practice: good stall pressure, poor spraying pressure; slow both ways."""
    state, sound = replace(SOUND, blocked=3e11).run(), SOUND.run()
    assert state.stall_pressure[0] == sound.stall_pressure[0]
    assert state.gauge[0] < 0.8 * sound.gauge[0]
    assert min(state.up.time[0] / sound.up.time[0], state.down.time[0] / sound.down.time[0]) > 1.1


def test_thick_coating_or_long_hose() -> None:
    """Common practice: good stall, poor pressure at the nozzle, gauge at the pump not low."""
    state, sound = replace(SOUND, viscosity=6.0).run(), SOUND.run()
    assert state.stall_pressure[0] == sound.stall_pressure[0]
    assert state.up.nozzle_pressure[0] < 0.8 * sound.up.nozzle_pressure[0]
    assert state.gauge[0] > sound.gauge[0]


def test_weak_drive() -> None:
    """Common practice: slow both ways, low stall."""
    state, sound = replace(SOUND, supply=4e5).run(), SOUND.run()
    assert state.stall_pressure[0] < 0.6 * sound.stall_pressure[0]
    assert min(state.up.time[0] / sound.up.time[0], state.down.time[0] / sound.down.time[0]) > 1.2


@pytest.mark.parametrize("which", ["foot", "piston", "static"])
def test_a_bigger_leak_never_slows_nor_raises_pressure(which: str) -> None:
    runs = [replace(SOUND, **{which: float(g)}).run() for g in np.linspace(0, 3e-4, 25)]
    for way in ("up", "down"):
        assert np.all(np.diff([getattr(r, way).time[0] for r in runs]) <= 1e-12)
        assert np.all(np.diff([getattr(r, way).gauge[0] for r in runs]) <= 1e-3)
        assert np.all(np.diff([getattr(r, way).creep[0] for r in runs]) >= -1e-15)
    assert np.all(np.diff([r.flow[0] for r in runs]) <= 1e-12)


def test_yield_stress_holds_a_weak_pump_still() -> None:
    """A hose that needs more than the stall pressure to start: nothing flows, the rod stands."""
    base = SOUND.parameters()
    stiff = tabulate(lambda q, s: s * (5e7 + 1e10 * q), flow_high=6e-4)
    state = steady(replace(base, outlet=replace(base.outlet, hose=stiff)))
    assert state.flow[0] == pytest.approx(0.0, abs=1e-12)
    assert state.up.gauge[0] == pytest.approx(state.up.stall_pressure[0], rel=1e-6)


def test_many_at_once_are_as_each_alone() -> None:
    gaps = np.linspace(0, 1.5e-4, 20000)
    base = SOUND.parameters()
    rate = leak_rate(gaps, SEAT, Filling(0.3, 1.0, 1200.0), pressure=REFERENCE)
    together = steady(replace(base, leaks=replace(base.leaks, foot=rate)))
    assert together.down.time.shape == gaps.shape
    for at in (0, 8191, 8192, 19999):
        alone = replace(SOUND, foot=float(gaps[at])).run()
        assert together.down.time[at] == pytest.approx(alone.down.time[0], rel=1e-9)
        assert together.gauge[at] == pytest.approx(alone.gauge[0], rel=1e-9)


@costly(37)
@given(
    st.builds(
        Case,
        upper=st.floats(1e-8, 0.2),
        rod=st.floats(1e-8, 0.2),
        supply=st.floats(0, 1e9),
        friction=st.floats(0, 1e6),
        foot=st.floats(0, 0.1),
        piston=st.floats(0, 0.1),
        static=st.floats(0, 0.1),
        hose=st.floats(0, 1e16),
        filter=st.floats(0, 1e16),
        blocked=st.floats(0, 1e16),
        nozzle=st.floats(1e-12, 1e-3),
        viscosity=st.floats(1e-3, 1e3),
        filling=st.floats(0, 1),
        index=st.floats(0.5, 2.0),
        free=st.floats(1e-6, 100.0),
        reversal=st.floats(0, 5),
    )
)
def test_always_finite_and_never_negative(case: Case) -> None:
    state = case.run()
    everything = [*vars(state.up).values(), *vars(state.down).values(), state.cycle_rate,
                  state.flow, state.gauge, state.stall_pressure]  # fmt: skip
    for value in everything:
        assert np.isfinite(value).all()
        assert (value >= 0).all()
    for way in (state.up, state.down):
        assert way.gauge[0] <= way.pressure[0] <= way.stall_pressure[0] * (1 + 1e-9) + 1e-6
