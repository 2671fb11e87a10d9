"""What a spraying pump reads, against the model in time, on lines and areas of every kind."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from wetend.advice.diagnosis.prediction import predict
from wetend.advice.simulation.parameters import motion_parameters
from wetend.physics.motion.simulate import Trace, simulate
from wetend.pump.description import Pump
from wetend.pump.toml import demo_coatings, demo_pump

COATINGS = {c.key: c for c in demo_coatings()}
QUAY, YARD = demo_pump("quay-air"), demo_pump("yard-hydraulic")


def _with(pump: Pump, part: str, **figures: object) -> Pump:
    return pump.model_copy(update={part: getattr(pump, part).model_copy(update=figures)})


def _line(pump: Pump, *lengths: tuple[float, float, float]) -> Pump:
    """Bore, length, and growth of a metre."""
    hose = [
        pump.hose[0].model_copy(update={"bore": bore, "length": length, "growth": growth * length})
        for bore, length, growth in lengths
    ]
    return pump.model_copy(update={"hose": tuple(hose)})


def _rod(pump: Pump, diameter: float) -> Pump:
    return _with(pump, "rod", diameter=diameter)


SHORT, PIPE = (0.0095, 1.0, 1e-12), (0.0095, 1.0, 0.0)
PUMPS: dict[str, Callable[[], Pump]] = {
    "1 m of hose and 1 m of pipe": lambda: _line(QUAY, SHORT, PIPE),
    "1 m of hose and 1 m of pipe, thin rod": lambda: _line(_rod(QUAY, 0.02), SHORT, PIPE),
    "half a metre of pipe": lambda: _line(QUAY, (0.0095, 0.5, 0.0)),
    "1 m of pipe, thin rod": lambda: _line(_rod(QUAY, 0.02), PIPE),
    "1 m of hose, thick rod": lambda: _line(_rod(QUAY, 0.033), SHORT),
    "100 m of hose": lambda: _line(QUAY, (0.0127, 100.0, 1e-12)),
    "as described, thin rod": lambda: _rod(QUAY, 0.018),
    "as described, thick rod": lambda: _rod(QUAY, 0.034),
    "bore 60, rod 40": lambda: _rod(_with(YARD, "cylinder", bore=0.06), 0.04),
    "electric, thick rod": lambda: _with(
        _rod(QUAY, 0.033), "drive", kind="electric", supply_rated=20e6, ratio=1.0
    ),
}


def _last(trace: Trace) -> tuple[float, float, float, float]:
    up, down = trace.strokes[-2:]
    time = up.time + down.time
    gauge = (up.gauge * up.time + down.gauge * down.time) / time
    return up.time, down.time, gauge, (up.delivered + down.delivered) / time


@pytest.mark.parametrize("coating", ["epoxy-tank", "alkyd-topcoat"])
@pytest.mark.parametrize("pump", PUMPS)
def test_strokes_are_those_of_the_model_in_time(pump: str, coating: str) -> None:
    """Stroke times, mean gauge and delivery within 3 %, the model in time run till it repeats."""
    made = PUMPS[pump]()
    in_time = _last(simulate(motion_parameters(made, COATINGS[coating]), cycles=40))
    told = predict(made, COATINGS[coating])
    steady = (told.up_time, told.down_time, told.spray_pressure, told.flow)
    assert steady == pytest.approx(in_time, rel=0.03)
