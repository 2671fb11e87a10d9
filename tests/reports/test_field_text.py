from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest

from wetend.pump.readings import CheckReadings
from wetend.reports import field_text
from wetend.units.quantity import K, M, unit_of


def test_moments_are_told_in_utc() -> None:
    at = datetime(2031, 5, 4, 16, 32, tzinfo=timezone(timedelta(hours=2)))
    assert field_text.moment(at) == "2031-05-04 14:32 UTC"
    assert field_text.moment(at.astimezone(UTC)) == field_text.moment(at)


def test_an_expanded_uncertainty_is_twice_the_standard_one_to_two_figures() -> None:
    """JCGM 100:2008, 6.2.1 (coverage factor 2) and 7.2.6 (two digits at most), from memory."""
    assert field_text.within(0.012, 2.34e-5, unit_of(M), "metric") == "12.00 mm ± 0.047"
    assert field_text.within(0.012, 0.0, unit_of(M), "metric") == "12.00 mm"


def test_the_uncertainty_of_a_temperature_is_a_difference() -> None:
    """A kelvin and a degree Celsius are the same step (BIPM SI Brochure, 9th ed.), from memory."""
    assert field_text.within(293.15, 0.5, unit_of(K), "metric") == "20.0 °C ± 1.0"


def test_only_what_was_said_is_told() -> None:
    rows = dict(field_text.rows(CheckReadings(up_times=(1.0, 2.0), creep_up=0.0), "metric"))
    assert rows["Up-stroke times"] == "1.50 s mean of 2, 1.00 to 2.00"
    assert rows["Creep at stall, going up"] == "0 mm/min"
    assert "Wet cup" not in rows
    assert "Gauge at stall" not in rows


@pytest.mark.parametrize(
    ("seconds", "text"), [(0, "0 s"), (89, "89 s"), (90, "2 min"), (5400, "1 h 30 min")]
)
def test_planned_times_are_told_no_finer_than_they_are_known(seconds: float, text: str) -> None:
    assert field_text.time_text(seconds) == text
