"""What is ticked, seen and told: zero is proven by ticks and gauge together, never by one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from wetend.errors import BadInput
from wetend.pump.readings import CheckReadings, MakeSafe, ToolBag
from wetend.units.fields import fields_of, read

TICKS = [f.name for f in fields_of(MakeSafe) if f.shape == "yes-no"]
ALL = dict.fromkeys(TICKS, True)


def test_zero_is_proven_by_every_tick_and_the_gauge() -> None:
    assert MakeSafe.model_validate({**ALL, "gauge_reading": 0.0}).proven_zero
    assert len(TICKS) == 8


@pytest.mark.parametrize("left_out", TICKS)
def test_one_tick_short_is_not_proven(left_out: str) -> None:
    assert not MakeSafe.model_validate({**ALL, left_out: False, "gauge_reading": 0.0}).proven_zero


@given(gauge=st.none() | st.floats(0, 2e8))
def test_a_gauge_that_shows_pressure_or_was_not_read_is_not_zero(gauge: float | None) -> None:
    # a needle's width, 2 bar, is as near as a gauge of this range tells
    safe = MakeSafe.model_validate({**ALL, "gauge_reading": gauge})
    assert safe.proven_zero == (gauge is not None and gauge <= 2e5)


def test_nothing_ticked_is_not_proven() -> None:
    assert not MakeSafe().proven_zero


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
