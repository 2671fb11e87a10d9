"""The run beside a sound one: what is cut out of it, and what only time shows."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.advice.faults.tables import MOTION_FAULTS
from wetend.advice.simulation.view import fault_sizes, faults_asked, show_motion, working_of
from wetend.errors import BadInput, NoAnswer
from wetend.pump.simulation import SimulationRequest
from wetend.pump.toml import demo_coatings, demo_pump

PUMP = demo_pump("quay-air")
COATINGS = {c.key: c for c in demo_coatings()}
ALKYD = COATINGS["alkyd-topcoat"]


def test_the_film_shows_whole_cycles_from_the_bottom_turn() -> None:
    one, two = (show_motion(PUMP, ALKYD, {}, cycles=n).this for n in (1, 2))
    for shown, cycles in ((one, 1), (two, 2)):
        place = shown.film["place"]
        assert abs(place[0]) < 1e-6
        assert abs(place[-1]) < 1e-6
        assert place.max() == pytest.approx(PUMP.stroke, abs=1e-6)
        assert shown.film.length * shown.summary.cycle_rate == pytest.approx(cycles, rel=0.02)


def test_without_a_fault_both_are_the_same_pump() -> None:
    showing = show_motion(PUMP, ALKYD, {})
    assert showing.this.summary == showing.sound.summary
    assert showing.this.timing == showing.sound.timing
    assert np.array_equal(showing.this.film["below"], showing.sound.film["below"])


def test_liquid_is_kept_over_the_cycles_shown() -> None:
    """What goes through the foot valve over a cycle comes out at the outlet, tight pump.

    Within 1 %: the outlet's flow reads more pulses than the instants kept resolve.
    """
    film = show_motion(PUMP, ALKYD, {}, cycles=2).this.film
    drawn, out = (np.trapezoid(film[key], film.t) for key in ("foot_flow", "outlet"))
    assert out == pytest.approx(drawn, rel=0.01)


def test_a_ball_that_lifts_too_far_comes_back_late_worst_in_thick_coatings() -> None:
    """Common practice, no source: shims under the cage add to the lift."""
    late = {}
    for key in ("alkyd-topcoat", "epoxy-tank"):
        showing = show_motion(PUMP, COATINGS[key], {"foot-lift": 8e-3})
        late[key] = showing.this.timing.foot_delay - showing.sound.timing.foot_delay
    assert late["epoxy-tank"] > late["alkyd-topcoat"] > 0


def test_a_starved_pump_does_not_fill_and_drops_early() -> None:
    showing = show_motion(PUMP, ALKYD, {"starved": 6e5})
    assert showing.this.timing.filling < 0.9 * showing.sound.timing.filling
    assert showing.this.summary.down_time < showing.sound.summary.down_time


@pytest.mark.parametrize("fault", ["foot-valve", "piston-valve", "packings", "static-packings"])
def test_a_leak_is_no_starvation(fault: str) -> None:
    """What leaks back was in the cylinder, however little of it is drawn in on balance."""
    showing = show_motion(PUMP, ALKYD, {fault: MOTION_FAULTS[fault].typical})
    assert showing.this.timing.filling == pytest.approx(showing.sound.timing.filling, abs=0.01)
    assert showing.this.summary.drawn / showing.this.summary.cycle_rate < PUMP.displacement


def test_a_stall_is_shown_until_the_rod_has_crept_to_the_end() -> None:
    fault = {"foot-valve": 3e-4}
    showing = show_motion(PUMP, ALKYD, fault, gun="stalled-down")
    place = showing.this.film["place"]
    assert place[0] == pytest.approx(PUMP.stroke / 2)
    assert place[-1] == pytest.approx(0.0, abs=1e-4)
    assert showing.sound.film["place"][-1] == pytest.approx(PUMP.stroke / 2, abs=1e-5)
    up = show_motion(PUMP, ALKYD, fault, gun="stalled-up")
    assert up.this.film["place"][-1] == pytest.approx(PUMP.stroke / 2, abs=1e-5)


def test_the_stall_is_the_same_however_the_gun_was_worked() -> None:
    spraying, worked = (
        show_motion(PUMP, ALKYD, {"foot-valve": 2e-4}, gun=gun).this.summary
        for gun in ("open", "pulsed")
    )
    for name in ("creep_up", "creep_down", "stall_up", "stall_down"):
        assert getattr(worked, name) == pytest.approx(getattr(spraying, name), rel=0.02, abs=1e-6)


def test_a_drive_too_weak_to_move_is_said_so() -> None:
    with pytest.raises(NoAnswer, match="drive"):
        show_motion(PUMP, ALKYD, {"drive-weak": 0.99})


def test_sizes_are_read_in_each_fault_s_own_unit() -> None:
    asked = SimulationRequest(
        pump="p", coating="c", fault="foot-valve", size="20", also="air", also_size="12"
    )
    assert faults_asked(asked, "metric") == pytest.approx({"foot-valve": 20e-6, "air": 0.12})
    assert faults_asked(asked, "imperial")["foot-valve"] == pytest.approx(20 * 25.4e-6)  # thou


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"fault": "nose"}, "fault"),
        ({"size": "3 parsec"}, "size"),
        ({"size": "-1 mm"}, "size"),
        ({"also": "air", "also_size": "1e9"}, "also_size"),
    ],
)
def test_what_cannot_be_read_is_laid_to_its_field(given: dict[str, str], field: str) -> None:
    with pytest.raises(BadInput) as told:
        faults_asked(SimulationRequest(pump="p", coating="c", **given), "metric")
    assert [p.field for p in told.value.problems] == [field]


def test_the_working_names_what_was_put_in() -> None:
    faults = fault_sizes({"foot-valve": "0.2 mm"})
    working = working_of(PUMP, ALKYD, faults, show_motion(PUMP, ALKYD, faults))
    given = {figure.label: figure.value for figure in working.given}
    assert given["foot valve not holding"] == 2e-4
    assert given["stroke"] == PUMP.stroke
    assert {figure.label for figure in working.result} == {"up-stroke", "down-stroke"}
