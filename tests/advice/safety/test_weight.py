"""What the wet end weighs, as it is said."""

from __future__ import annotations

import pytest

from wetend.advice.safety.weight import Weight, lifting
from wetend.pump.toml import demo_pump
from wetend.telling.reader import Reader


@pytest.mark.parametrize(
    ("weight", "metric", "imperial"),
    # by hand from 1 lb = 0.45359237 kg
    [(Weight(14.0, 14.0, estimated=False), "14 kg", "30.9 lb"),
     (Weight(24.6, 24.6, estimated=False), "24.6 kg", "54.2 lb"),
     (Weight(9.3, 21.0, estimated=True), "about 9.3 to 21 kg, estimated from its sizes",
      "about 21 to 46 lb, estimated from its sizes")],
)  # fmt: skip
def test_a_weight_has_no_idle_zero(weight: Weight, metric: str, imperial: str) -> None:
    assert weight.text() == metric
    assert Reader("imperial").tell(weight.text()) == imperial


def test_the_caution_says_it_so_too() -> None:
    pump = demo_pump("quay-air").model_copy(update={"mass": 14.0})
    assert "weighs 14 kg, within the usual limit of 25 kg" in lifting(pump).text
