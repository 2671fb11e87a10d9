"""A pump as a whole and its parts: areas, and descriptions that can't be."""

from __future__ import annotations

import math

import pytest
from pydantic import ValidationError

from wetend.pump.description import Pump
from wetend.pump.toml import DEMO_PUMPS, demo_pump

QUAY = demo_pump("quay-air")


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_demo_pumps_have_the_even_rhythm_of_twice_the_rod_area(key: str) -> None:
    # common practice: with A_b = 2 A_r both strokes deliver the same
    pump = demo_pump(key)
    assert pump.upper_area == pytest.approx(pump.rod_area, rel=0.05)
    assert pump.bore_area == pytest.approx(pump.rod_area + pump.upper_area, rel=1e-12)


def test_areas_and_displacement_by_hand() -> None:
    assert QUAY.bore_area == pytest.approx(math.pi * 0.019**2)
    assert QUAY.rod_area == pytest.approx(math.pi * 0.0135**2)
    assert QUAY.displacement == pytest.approx(math.pi * 0.019**2 * 0.08)


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ({"rod": {"diameter": 0.038}}, "thinner than the bore"),
        ({"foot_valve": {"ball_diameter": 0.08}}, "too big for this bore"),
        ({"rod": {"packed_from": 0.27}}, "packed_from must lie before"),
        ({"rod": {"packed_to": 0.4}}, "both on the rod"),
        ({"foot_valve": {"seat_bore": 0.022}}, "smaller than the ball"),
        ({"foot_valve": {"lift_low": 0.005}}, "lift_low must be less"),
        ({"cylinder": {"bore": -0.038}}, "greater than"),
        ({"drive": {"kind": "steam"}}, "'air', 'hydraulic', 'electric' or 'engine'"),
        ({"limits": {"made_up": 1}}, "Extra inputs"),
        ({"hose": {}}, "hose"),
    ],
)
def test_descriptions_that_cannot_be_are_refused(parts: dict[str, object], said: str) -> None:
    data = QUAY.model_dump()
    for part, fields in parts.items():
        data[part] = {**data[part], **fields} if part != "hose" else ()
    with pytest.raises(ValidationError, match=said):
        Pump.model_validate(data)


def test_stack_parts_need_names_of_their_own_and_soft_rings_their_stiffness() -> None:
    stack = QUAY.stack.model_dump()
    parts = list(stack["parts"])
    twice = {**stack, "parts": [*parts, parts[0]]}
    with pytest.raises(ValidationError, match="name of its own"):
        Pump.model_validate({**QUAY.model_dump(), "stack": twice})
    limp = {**stack, "parts": [{**p, "stiffness": None} for p in parts]}
    with pytest.raises(ValidationError, match="needs its stiffness"):
        Pump.model_validate({**QUAY.model_dump(), "stack": limp})


def test_a_described_pump_does_not_change() -> None:
    with pytest.raises(ValidationError, match="frozen"):
        QUAY.stroke = 0.1  # type: ignore[misc]
