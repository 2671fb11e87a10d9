"""Screws and wrenches: statics by a second route."""

from __future__ import annotations

import math

import pytest

from wetend.errors import BadInput, NoAnswer
from wetend.physics import threads

SCREW = {"lead": 0.005, "friction": 0.12, "flank_angle": math.radians(30.0)}


def test_without_friction_all_the_work_lifts_the_load() -> None:
    torque = threads.raising_torque(1000.0, 0.02, lead=0.004, friction=0.0)
    assert threads.screw_efficiency(1000.0, 0.004, torque) == pytest.approx(1.0, rel=1e-12)
    assert threads.lowering_torque(1000.0, 0.02, lead=0.004, friction=0.0) == pytest.approx(-torque)


def test_square_thread_is_an_inclined_plane() -> None:
    """T = F d/2 tan(lambda + phi), with tan phi = f: block on a slope."""
    slope = math.atan(0.005 / (math.pi * 0.0225)) + math.atan(0.08)
    torque = threads.raising_torque(6000.0, 0.0225, lead=0.005, friction=0.08)
    assert torque == pytest.approx(6000.0 * 0.0225 / 2 * math.tan(slope), rel=1e-12)


def test_thread_that_locks_is_refused() -> None:
    with pytest.raises(NoAnswer, match="locks"):
        threads.raising_torque(1.0, 0.01, lead=0.04, friction=0.9)


def test_wrench_extension_is_nothing_square_on_and_most_in_line() -> None:
    square = threads.wrench_setting(100.0, 0.4, extension_length=0.2, angle=math.pi / 2)
    inline = threads.wrench_setting(100.0, 0.4, extension_length=0.2)
    back = threads.wrench_setting(100.0, 0.4, extension_length=0.2, angle=math.pi)
    assert square == pytest.approx(100.0, rel=1e-12)
    assert inline == pytest.approx(100.0 * 0.4 / 0.6, rel=1e-12)
    assert back == pytest.approx(200.0, rel=1e-12)
    with pytest.raises(BadInput, match="points back"):
        threads.wrench_setting(100.0, 0.4, extension_length=0.5, angle=math.pi)


def test_metric_thread_diameters() -> None:
    # ISO 724 multiplier 0.649519 (from memory)
    assert threads.pitch_diameter(0.056, 0.002) == pytest.approx(0.056 - 0.649519 * 0.002, rel=1e-7)
