"""The compiled sums against the plain ones: two programs of one model."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.advice.fault_finding.causes import combinations_of_causes
from wetend.advice.fault_finding.prior import SIZES, Setting
from wetend.advice.pump_physics import stroke_parameters
from wetend.physics.stroke.behind import COMPILED
from wetend.physics.stroke.parameters import StrokeState
from wetend.physics.stroke.steady import steady
from wetend.pump.coating import Coating
from wetend.pump.toml import demo_coatings, demo_pump

PUMPS = 600


@pytest.mark.parametrize("coating", demo_coatings(), ids=lambda c: c.key)
def test_compiled_and_plain_agree(coating: Coating) -> None:
    """To nine figures: both stop on what is left over, not on each other's last step."""
    setting = Setting(demo_pump("quay-air"), coating, None, None)
    rng, rows = np.random.default_rng(3), combinations_of_causes()
    z, present = rng.standard_normal((PUMPS, SIZES)), rows[rng.integers(0, len(rows), PUMPS)]

    def run(start: int, stop: int) -> StrokeState:
        condition = setting.condition(z[start:stop], present[start:stop])
        return steady(stroke_parameters(setting.pump, setting.liquid, condition))

    assert COMPILED.get(wait=120.0) is not None
    whole = run(0, PUMPS)
    parts = [run(k, k + 100) for k in range(0, PUMPS, 100)]  # few enough for the plain way
    for name in ("cycle_rate", "flow", "gauge", "stall_pressure"):
        plain = np.concatenate([getattr(p, name) for p in parts])
        np.testing.assert_allclose(getattr(whole, name), plain, rtol=3e-9, atol=1e-15)
    for way in ("up", "down"):
        for name in ("time", "creep", "leak", "static_leak", "nozzle_pressure"):
            plain = np.concatenate([getattr(getattr(p, way), name) for p in parts])
            np.testing.assert_allclose(getattr(getattr(whole, way), name), plain, rtol=1e-8,
                                       atol=1e-9)  # fmt: skip
