"""What is read and told, as people type it."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from wetend.errors import BadInput
from wetend.pump.readings import CheckReadings, ToolBag
from wetend.units.fields import read


def test_readings_typed_on_a_phone() -> None:
    typed = {"up_times": "1.4, 1.5, 1.45", "stall_pressure": "250 bar", "creep_down": "12 mm/min"}
    readings = read(CheckReadings, typed)
    assert readings.stall_pressure == 25e6
    assert readings.creep_down == pytest.approx(0.012 / 60)
    assert readings.up_times == (1.4, 1.5, 1.45)


def test_a_reading_in_no_known_unit_is_named() -> None:
    with pytest.raises(BadInput, match="apples"):
        read(CheckReadings, {"stall_pressure": "250 apples"})


def test_a_tool_is_a_key_not_a_path() -> None:
    with pytest.raises(ValidationError):
        ToolBag(tools=("../../etc/passwd",))
