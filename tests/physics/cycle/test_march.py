"""The cycle: compiled and plain, and the two ends that can be solved otherwise."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import brentq

from wetend.advice.diagnosis.causes import combinations_of_causes
from wetend.advice.diagnosis.prior import SIZES, Setting
from wetend.advice.hose.compliance import cycle_figures
from wetend.advice.pump_physics import stroke_parameters
from wetend.physics.cycle.given import Cycled, OneCycle
from wetend.physics.cycle.kernel import COMPILED, cycles_of
from wetend.physics.cycle.march import settled
from wetend.physics.stroke.steady import steady
from wetend.pump.coating import Coating
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

PUMPS = 300


def _drawn(key: str, coating: Coating) -> NDArray[np.float64]:
    """Pumps sound and faulty, as a diagnosis draws them."""
    setting = Setting(demo_pump(key), coating, None, None)
    rng, rows = np.random.default_rng(3), combinations_of_causes()
    z, present = rng.standard_normal((PUMPS, SIZES)), rows[rng.integers(0, len(rows), PUMPS)]
    parameters = stroke_parameters(
        setting.pump, setting.liquid, setting.condition(z, present), table=setting.table
    )
    empty = np.linspace(0.0, 0.4, PUMPS)
    return cycle_figures(setting.pump, setting.liquid, parameters, steady(parameters), empty)


@pytest.mark.parametrize("coating", demo_coatings(), ids=lambda c: c.key)
@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_compiled_and_plain_agree(key: str, coating: Coating) -> None:
    """Plain, all go on until the last has settled; compiled, each stops by itself, and what is
    left is the square of what each stops at.
    """
    COMPILED.loaded()
    given = _drawn(key, coating)
    compiled, plain = cycles_of(given), settled(Cycled(*given))
    for name in ("up_time", "down_time", "gauge", "volume", "drop"):
        np.testing.assert_allclose(
            getattr(compiled, name), getattr(plain, name), rtol=1e-4, err_msg=name
        )
    assert np.all(np.isfinite(np.stack(compiled)))


BORE, ROD = 1.2e-3, 0.5e-3
FORCE, FREE, FRICTION, STROKE, NOZZLE = 15e3, 0.25, 400.0, 0.1, 3e15


def _plain_pump(volume: float, growth: float, **other: float) -> Cycled:
    """A tight pump that fills, whose rod turns at once, on a nozzle at its outlet."""
    figures = dict.fromkeys(Cycled._fields, 0.0) | {
        "force": FORCE, "bend": FORCE / FREE**2, "friction": FRICTION, "stroke": STROKE,
        "control": 1e12, "upper": BORE - ROD, "rod": ROD, "straight": 1.0, "nozzle": NOZZLE,
        "volume": volume, "growth": growth, "reference": 1e7, "power": 1.0, "intake": 1.0,
        "guess": 1e7, "drag": 1e-9,
    } | other  # fmt: skip
    return Cycled(*(np.array([figures[name]]) for name in Cycled._fields))


def _time(area: float, pressure: float) -> float:
    """Of a stroke against this pressure: F (1 - v^2/v0^2) = p A + F_f."""
    return STROKE / (FREE * ((FORCE - FRICTION - pressure * area) / FORCE) ** 0.5)


def _gauge(area: float) -> float:
    """Pressure that a way finds by itself: p = k (A v)^2."""
    return float(brentq(lambda p: NOZZLE * (area * STROKE / _time(area, p)) ** 2 - p, 0.0,
                        (FORCE - FRICTION) / area * (1 - 1e-12)))  # fmt: skip


def test_with_nothing_that_gives_each_stroke_finds_its_own_pressure() -> None:
    """The steady stroke's own balance, solved by Brent's method; a thousandth is for the hose's
    last give and for the first steps.
    """
    cycle = settled(_plain_pump(1e-9, 0.0))
    for area, time in ((BORE - ROD, cycle.up_time), (ROD, cycle.down_time)):
        assert float(time[0]) == pytest.approx(_time(area, _gauge(area)), rel=2e-3)
    assert float(cycle.volume[0]) == pytest.approx(BORE * STROKE, rel=3e-3)


def test_with_much_that_gives_both_share_one_pressure() -> None:
    """The pressure at which both strokes together deliver what the nozzle takes, by Brent."""
    areas = (BORE - ROD, ROD)

    def surplus(pressure: float) -> float:
        return BORE * STROKE / sum(_time(a, pressure) for a in areas) - (pressure / NOZZLE) ** 0.5

    shared = float(brentq(surplus, 1e5, (FORCE - FRICTION) / max(areas) * (1 - 1e-9)))
    cycle = settled(_plain_pump(1e-3, 1e-9))
    assert float(cycle.gauge[0]) == pytest.approx(shared, rel=3e-3)
    for area, time in zip(areas, (cycle.up_time, cycle.down_time), strict=True):
        assert float(time[0]) == pytest.approx(_time(area, shared), rel=5e-3)


def _ends(cycle: OneCycle) -> list[float]:
    return [float(cycle.up_time[0]), float(cycle.down_time[0])]


def test_between_them_more_that_gives_brings_the_strokes_closer_to_sharing() -> None:
    """Each way's time goes from its own to the shared one without turning back."""
    found = np.array([_ends(settled(_plain_pump(1e-5, g))) for g in 10.0 ** np.arange(-13, -8)])
    up, down = np.diff(found, axis=0).T
    assert np.all(up > -1e-3) or np.all(up < 1e-3)
    assert np.all(down > -1e-3) or np.all(down < 1e-3)


def test_a_hose_above_what_a_way_can_press_holds_the_rod_until_it_has_fallen() -> None:
    """A stroke that cannot press as high as the other leaves the hose begins by standing."""
    bore, rod = 3.0 * ROD, ROD
    pump = _plain_pump(1e-4, 2e-12, upper=bore - rod, rod=rod, nozzle=1e16)
    cycle = settled(pump)
    stall_up = (FORCE - FRICTION) / (bore - rod)
    assert float(cycle.end[0]) > stall_up
    assert np.all(np.isfinite(np.stack(cycle)))
    assert float(cycle.volume[0]) == pytest.approx(bore * STROKE, rel=5e-3)
