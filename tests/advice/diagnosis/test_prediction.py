"""What a pump is expected to read."""

from __future__ import annotations

import pytest

from wetend.advice.diagnosis.diagnose import predict
from wetend.advice.faults.tables import FAULT
from wetend.errors import BadInput
from wetend.pump.toml import demo_coatings, demo_pump

EPOXY = demo_coatings()[0]


@pytest.mark.parametrize(("key", "uneven"), [("quay-air", 0.06), ("yard-hydraulic", 0.25)])
def test_a_sound_pump_runs_evenly_and_stays_put_at_stall(key: str, uneven: float) -> None:
    """Common practice: the healthy rhythm is even where A_b is 2 A_r, a sound pump stays put. The
    second pump's areas are 4 % apart; as the hose holds its pressure from stroke to stroke and the
    drive has little to spare over it, its strokes differ by five times that.
    """
    read = predict(demo_pump(key), EPOXY)
    assert read.up_time == pytest.approx(read.down_time, rel=uneven)
    assert read.creep_up == read.creep_down == 0.0
    assert read.spray_pressure < read.stall_pressure


def test_the_leak_given_is_the_leak_at_stall() -> None:
    """Creep times area gives it back, to the little that stall pressure differs each way."""
    pump = demo_pump("quay-air")
    read = predict(pump, EPOXY, leaks={FAULT["foot-valve"]: 1e-6})
    assert read.creep_down * pump.rod_area == pytest.approx(1e-6, rel=0.05)
    read = predict(pump, EPOXY, leaks={FAULT["piston-valve"]: 1e-6})
    assert read.creep_up * pump.upper_area == pytest.approx(1e-6, rel=0.05)


def test_only_leaks_have_a_flow() -> None:
    with pytest.raises(BadInput, match="nozzle worn"):
        predict(demo_pump("quay-air"), EPOXY, leaks={FAULT["nozzle"]: 1e-6})
    with pytest.raises(BadInput, match="zero or more"):
        predict(demo_pump("quay-air"), EPOXY, leaks={FAULT["foot-valve"]: float("nan")})
