"""Calculators for seats, screws, wrenches and rings: right values passed on, clear refusals."""

from __future__ import annotations

import math

import pytest

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput
from wetend.physics import seals, threads, valves


def run(name: str, **typed: str) -> Calculation:
    return calculate(find_calculator(name), typed)


def test_seat_contact_alone_and_with_pressure() -> None:
    alone = run("seat-contact", ball_diameter="20 mm", half_angle="45 deg").outcome.values
    assert set(alone) == {"contact_diameter"}
    assert alone["contact_diameter"] == pytest.approx(0.020 * math.cos(math.pi / 4))
    full = run("seat-contact", ball_diameter="20 mm", half_angle="45 deg", pressure="200 bar",
               ball_modulus="200 GPa", ball_poisson="0.3", seat_modulus="600 GPa",
               seat_poisson="0.22").outcome.values  # fmt: skip
    modulus = valves.contact_modulus(200e9, 0.3, 600e9, 0.22)
    load = valves.seat_line_load(2e7, 0.020, math.pi / 4)
    assert full["contact_stress"] == pytest.approx(valves.line_contact_stress(load, 0.01, modulus))
    assert full["seating_force"] == pytest.approx(2e7 * math.pi / 4 * full["contact_diameter"] ** 2)


@pytest.mark.parametrize("angle", [20.0, 30.0, 60.0])
def test_a_seat_carries_what_presses_on_the_circle_it_touches(angle: float) -> None:
    """Statics, at any cone: pressure times the circle's area, and the spring."""
    full = run("seat-contact", ball_diameter="20 mm", half_angle=f"{angle} deg", pressure="200 bar",
               ball_modulus="200 GPa", seat_modulus="600 GPa", spring_force="25 N"
               ).outcome.values  # fmt: skip
    circle = 0.020 * math.cos(math.radians(angle))
    assert full["contact_diameter"] == pytest.approx(circle)
    assert full["seating_force"] == pytest.approx(2e7 * math.pi / 4 * circle**2 + 25.0)


def test_seat_contact_says_what_it_lacks() -> None:
    with pytest.raises(BadInput, match="seat modulus is needed") as refused:
        run("seat-contact", ball_diameter="20 mm", half_angle="45 deg", pressure="200 bar",
            ball_modulus="200 GPa")  # fmt: skip
    assert [p.field for p in refused.value.problems] == ["seat_modulus"]


def test_thread_torque_counts_flank_and_collar() -> None:
    found = run("thread-torque", force="18 kN", mean_diameter="54.7 mm", lead="2 mm",
                friction="0.12", flank_angle="30 deg", collar_friction="0.12",
                collar_diameter="62 mm").outcome.values  # fmt: skip
    expected = threads.raising_torque(
        18e3, 0.0547, lead=0.002, friction=0.12, flank_angle=math.pi / 6, collar_friction=0.12,
        collar_diameter=0.062,
    )  # fmt: skip
    assert found["raising_torque"] == pytest.approx(expected)


def test_thread_torque_wants_collar_friction_and_diameter_together() -> None:
    with pytest.raises(BadInput, match="collar diameter"):
        run("thread-torque", force="6 kN", mean_diameter="22.5 mm", lead="5 mm", friction="0.08",
            collar_friction="0.05")  # fmt: skip


def test_a_screw_that_runs_back_is_said_so() -> None:
    steep = run("thread-torque", force="6 kN", mean_diameter="22.5 mm", lead="20 mm",
                friction="0.08")  # fmt: skip
    assert any("run this screw back" in caution for caution in steep.cautions)
    tight = run("thread-torque", force="6 kN", mean_diameter="22.5 mm", lead="5 mm",
                friction="0.08")  # fmt: skip
    # friction 0.08 against a slope of 5 / (22.5 pi) = 0.0707: two thirds of a newton metre hold it
    assert 0 < tight.outcome.values["lowering_torque"] < 1
    assert not tight.outcome.cautions


def test_wrench_setting_square_on() -> None:
    found = run("wrench-extension", torque="140 N*m", wrench_length="450 mm",
                extension_length="150 mm", angle="90 deg").outcome.values  # fmt: skip
    assert found["wrench_setting"] == pytest.approx(140.0)


def test_ring_gland_with_stretch_and_its_cautions() -> None:
    given = {"section": "3.53 mm", "gland_depth": "2.8 mm", "gland_width": "4.6 mm"}
    found = run("ring-gland", **given, stretch="3 %").outcome.values
    assert found["squeeze"] == pytest.approx(seals.ring_squeeze(3.53e-3, 2.8e-3, stretch=0.03))
    assert found["fill"] == pytest.approx(seals.ring_fill(3.53e-3, 2.8e-3, 4.6e-3, stretch=0.03))
    loose = run("ring-gland", section="2 mm", gland_depth="2.1 mm", gland_width="3 mm")
    tight = run("ring-gland", section="2 mm", gland_depth="1.5 mm", gland_width="2 mm")
    assert "loose" in loose.cautions[0]
    assert "will not close" in tight.cautions[0]


@pytest.mark.parametrize(
    ("section", "nearest"),
    [("3.5 mm", "section 3.53 mm"), ("5.3 mm", "section 5.33 mm"),
     ("4.5 mm", "section 5.33 mm, beyond its tolerance")],
)  # fmt: skip
def test_ring_gland_names_the_nearest_standard_ring(section: str, nearest: str) -> None:
    found = run("ring-gland", section=section, gland_depth="2.8 mm", gland_width="6 mm")
    assert found.outcome.values["nearest"] == nearest
