"""What a setting asks of drive and suction."""

from __future__ import annotations

import math

import pytest

from wetend.advice.handover.duty import (
    Duty,
    ball_return,
    duty_of,
    most_pressure,
    stall_at,
    suction_state,
    supply_cap,
    supply_needed,
    warmed,
    with_hose,
)
from wetend.advice.pump_physics import Condition, stroke_parameters
from wetend.physics.stroke.steady import steady
from wetend.pump.description import Pump
from wetend.pump.readings import SetUpRequest
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

LINING, PRIMER, TOPCOAT, FLAKE = demo_coatings()


def duty(pump: Pump | None = None, **request: float) -> Duty:
    return duty_of(pump or demo_pump("quay-air"), TOPCOAT, SetUpRequest(**request))


def even(pump: Pump) -> Pump:
    """The pump with a bore of twice the rod's area, so that both strokes are alike."""
    rod = pump.rod.model_copy(update={"diameter": pump.cylinder.bore / math.sqrt(2)})
    return pump.model_copy(update={"rod": rod})


class TestSupply:
    @pytest.mark.parametrize("key", DEMO_PUMPS)
    @pytest.mark.parametrize("coating", [LINING, PRIMER, TOPCOAT], ids=lambda c: c.key)
    def test_the_stroke_model_gives_the_pressure_back(self, key: str, coating: object) -> None:
        """Fed the supply advised, the steady model sprays at the nozzle pressure asked for."""
        pump = even(demo_pump(key))
        task = duty_of(pump, coating, SetUpRequest())  # type: ignore[arg-type]
        point = task.at(1.3e7)
        supply = supply_needed(task, point)
        state = steady(stroke_parameters(pump, task.liquid, Condition(supply=supply)))
        assert float(state.up.nozzle_pressure[0]) == pytest.approx(1.3e7, rel=0.005)
        assert float(state.down.flow[0]) == pytest.approx(point.flow, rel=0.003)

    def test_frictionless_and_slow_is_pressure_over_ratio(self) -> None:
        pump = demo_pump("quay-air")
        calm = pump.model_copy(update={
            "drive": pump.drive.model_copy(update={"friction": 0.0, "free_speed": 1e-3}),
            "moving_packings": pump.moving_packings.model_copy(update={"friction": 0.0}),
            "static_packings": pump.static_packings.model_copy(update={"friction": 0.0}),
        })  # fmt: skip
        task = duty(calm)
        point = task.at(1.5e7)
        assert supply_needed(task, point) == pytest.approx(point.pump_pressure / 40, rel=1e-4)

    def test_faster_than_the_drive_can_run_takes_unlimited_supply(self) -> None:
        pump = demo_pump("quay-air")
        slow = pump.model_copy(update={"drive": pump.drive.model_copy(update={"free_speed": 30.0})})
        task = duty(slow)
        assert supply_needed(task, task.at(1.5e7)) == math.inf

    def test_stall_is_reckoned_on_the_harder_stroke(self) -> None:
        # 7 bar at 40 to 1 is 280 bar as the mean of both ways; the smaller area, A_u, gives more.
        pump = demo_pump("quay-air")
        by_hand = 280e5 * pump.bore_area / 2 / pump.upper_area
        assert stall_at(pump, 7e5) == pytest.approx(by_hand)

    def test_cap_keeps_the_weakest_part(self) -> None:
        pump = demo_pump("quay-air")
        limits = pump.limits.model_copy(update={"outlet_pressure": 200e5})
        weak = pump.model_copy(update={"limits": limits})
        assert stall_at(weak, supply_cap(weak)) == pytest.approx(200e5)
        assert supply_cap(pump) == pump.drive.supply_rated

    def test_most_pressure_uses_the_cap_up(self) -> None:
        task = duty()
        most = most_pressure(task)
        assert supply_needed(task, task.at(most)) == pytest.approx(7e5, rel=1e-6)
        assert most_pressure(with_hose(task, bore=12.7e-3)) > most


class TestSuction:
    def test_margin_by_hand(self) -> None:
        # The up-stroke draws A_b / A_u = 2.0196 times the delivery; Hagen-Poiseuille in the tube.
        task, flow = duty(), 3e-5
        pump = task.pump
        state = suction_state(task, flow)
        intake = flow * pump.bore_area / pump.upper_area
        assert state.intake == pytest.approx(intake)
        line = 128 * 0.28 * 1.6 * intake / (math.pi * 0.025**4)
        assert state.line_loss == pytest.approx(line, rel=1e-6)
        speed = intake / (math.pi / 4 * 0.025**2)
        turn = 1180.0 * 1.6 * speed / 0.05
        assert state.turn_pressure == pytest.approx(turn)
        spent = 1180 * 9.80665 * 0.5 + line + turn + state.valve_loss + 1180 * speed**2 / 2
        assert state.margin == pytest.approx(101325 - spent - 1000, rel=1e-6)

    def test_higher_lift_leaves_less(self) -> None:
        task = duty()
        suction = task.pump.suction.model_copy(update={"lift": 3.0})
        high = duty(task.pump.model_copy(update={"suction": suction}))
        drop = suction_state(task, 3e-5).margin - suction_state(high, 3e-5).margin
        assert drop == pytest.approx(1180 * 9.80665 * 2.5)

    def test_warmer_draws_easier(self) -> None:
        task = duty()
        warm = suction_state(warmed(task, 10.0), 3e-5)
        assert warm.margin > suction_state(task, 3e-5).margin


class TestBall:
    def test_never_more_than_the_lift_over_the_stroke(self) -> None:
        task = duty_of(demo_pump("quay-air"), FLAKE, SetUpRequest())
        assert 0 < ball_return(task, 3e-5, 7700.0) < 3.3 / 80

    def test_thicker_is_later_and_a_spring_helps(self) -> None:
        # Common practice, no source: the ball comes back late in thick coatings.
        pump = demo_pump("quay-air")
        thin = ball_return(duty_of(pump, TOPCOAT, SetUpRequest()), 3e-5, 7700.0)
        task = duty_of(pump, LINING, SetUpRequest())
        thick = ball_return(task, 3e-5, 7700.0)
        valve = pump.foot_valve.model_copy(update={"spring_force": 20.0})
        sprung = duty_of(pump.model_copy(update={"foot_valve": valve}), LINING, SetUpRequest())
        assert thin < thick
        assert ball_return(sprung, 3e-5, 7700.0) < thick

    def test_floating_ball_is_carried_back(self) -> None:
        task = duty_of(demo_pump("quay-air"), PRIMER, SetUpRequest())
        assert ball_return(task, 3e-5, 2000.0) == pytest.approx(3.3 / 80)

    @pytest.mark.parametrize(("spring", "floats"), [(0.95, True), (1.1, False)])
    def test_a_spring_weaker_than_what_lifts_the_ball_does_not_bring_it_back(
        self, spring: float, floats: bool
    ) -> None:
        """Archimedes: the liquid lifts by the weight of a ball's volume of it, less the ball's."""
        pump = demo_pump("quay-air")
        density = duty_of(pump, PRIMER, SetUpRequest()).liquid.density
        volume = math.pi / 6 * pump.foot_valve.ball_diameter**3
        lifts = volume * (density - 900.0) * 9.80665
        valve = pump.foot_valve.model_copy(update={"spring_force": spring * lifts})
        task = duty_of(pump.model_copy(update={"foot_valve": valve}), PRIMER, SetUpRequest())
        most = valve.lift_middle / pump.stroke
        assert (ball_return(task, 3e-5, 900.0) == pytest.approx(most, rel=1e-12)) is floats

    def test_standing_still_is_never_late(self) -> None:
        assert ball_return(duty(), 0.0, 7700.0) == 0.0
