"""A Casson coating through the whole program: read, calculated with, pumped, in time too."""

from __future__ import annotations

import math

import pytest
from played import play
from scipy.integrate import quad
from scipy.optimize import brentq
from steady_twin import steady_twin

from wetend.advice.calculators.calculator import calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.advice.diagnosis.diagnose import diagnose, predict
from wetend.advice.faults.valves import FOOT_VALVE
from wetend.advice.pump_physics import Condition, Motion, liquid_of, stroke_parameters
from wetend.advice.simulation.parameters import motion_parameters
from wetend.errors import BadInput
from wetend.physics.stroke.steady import steady
from wetend.pump.coating import Coating
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_pump
from wetend.units.fields import read

STRESS, VISCOSITY, DENSITY = 9.0, 0.25, 1350.0
TYPED = {"key": "casson-primer", "name": "Casson primer", "density": "1.35 kg/L", "law": "casson",
         "yield_stress": "9 Pa", "casson_viscosity": "250 mPa*s"}  # fmt: skip
COATING = read(Coating, TYPED)
PUMP = demo_pump("quay-air")
HOSE = {"law": "casson", "yield_stress": "9 Pa", "casson_viscosity": "250 mPa*s",
        "density": "1.35 kg/L", "bore": "9.5 mm", "length": "30 m"}  # fmt: skip


def calc(name: str, **typed: str):
    return calculate(find_calculator(name), typed).outcome


def nominal(wall: float) -> float:
    """8V/D from the law itself, (sqrt(t) - 3)^2 / 0.25, by SciPy's quadrature: no closed form."""
    rate = quad(lambda t: t * t * (math.sqrt(t) - math.sqrt(STRESS)) ** 2 / VISCOSITY, STRESS, wall)
    return 4.0 / wall**3 * float(rate[0])


def test_it_is_read_and_what_it_lacks_is_named() -> None:
    assert liquid_of(COATING).law == "casson"
    with pytest.raises(BadInput, match="casson coating needs casson_viscosity"):
        read(Coating, {k: v for k, v in TYPED.items() if k != "casson_viscosity"})
    with pytest.raises(BadInput, match="casson viscosity"):
        read(Coating, {**TYPED, "casson_viscosity": "0 Pa*s"})


def test_hose_loss_against_the_law_integrated() -> None:
    """2 L/min through 30 m of 9.5 mm, the wall stress sought by Brent on the quadrature."""
    flow, bore = 2e-3 / 60, 0.0095
    wall = brentq(lambda t: nominal(t) - 32 * flow / (math.pi * bore**3), 9.5, 5000.0)
    found = calc("hose-loss", **HOSE, flow="2 L/min").values["pressure_loss"]
    assert found == pytest.approx(4 * wall * 30.0 / bore, rel=1e-7)
    still = calc("hose-loss", **HOSE, flow="0 L/min")
    assert still.values["pressure_loss"] == pytest.approx(4 * STRESS * 30.0 / bore)
    assert any("just starts" in c for c in still.cautions)


def test_where_it_holds_less_a_sentence_says_so() -> None:
    fast = calc("hose-loss", **{**HOSE, "casson_viscosity": "2 mPa*s"}, flow="200 L/min")
    assert any("Turbulent friction of a Casson liquid was not found measured" in c
               for c in fast.cautions)  # fmt: skip
    with pytest.raises(BadInput, match="bingham"):
        calc("hose-loss", **HOSE, flow="2 L/min", turbulent="darby-melson")
    played = play(PUMP, COATING)
    assert played.summary.cycle_rate > 0
    told = diagnose(PUMP, COATING, CheckReadings(creep_down=1e-4))
    assert any("taken as newtonian, of its Casson viscosity" in w.validity for w in told.workings)


def test_leak_calculators_take_it_by_name() -> None:
    """A slit of 0.1 mm, by the law integrated; far above the yield stress, as newtonian less."""
    gap = {"diameter": "38 mm", "clearance": "0.1 mm", "length": "22 mm", "pressure": "20 bar"}
    casson = calc("gap-leak", **gap, law="casson", yield_stress="9 Pa",
                  casson_viscosity="250 mPa*s").values["flow"]  # fmt: skip
    thin = calc("gap-leak", **gap, viscosity="250 mPa*s").values["flow"]
    wall = 2e6 * 1e-4 / (2 * 0.022)
    rate = quad(lambda t: t * (math.sqrt(t) - 3.0) ** 2 / VISCOSITY, STRESS, wall)[0] / wall**2
    assert casson == pytest.approx(math.pi * 0.038 * 1e-8 / 2 * rate, rel=1e-4)
    assert 0.85 < casson / thin < 0.95
    with pytest.raises(BadInput, match="viscosity is not a parameter of the casson law"):
        calc("gap-leak", **gap, law="casson", yield_stress="9 Pa", casson_viscosity="1 Pa*s",
             viscosity="1 Pa*s")  # fmt: skip
    with pytest.raises(BadInput, match="ame the law"):
        calc("gap-leak", **gap, viscosity="250 mPa*s", casson_viscosity="1 Pa*s")


def test_readings_made_from_it_are_fitted_back() -> None:
    rates = [1.0, 5.0, 20.0, 80.0, 300.0, 1000.0]
    stresses = [(3.0 + math.sqrt(0.25 * r)) ** 2 for r in rates]
    found = calc("rheology-fit", law="casson", rates=", ".join(f"{r} 1/s" for r in rates),
                 stresses=", ".join(f"{s:.9g} Pa" for s in stresses)).values  # fmt: skip
    assert found["yield_stress"] == pytest.approx(STRESS, rel=1e-4)
    assert found["consistency"] == pytest.approx(VISCOSITY, rel=1e-4)
    assert found["spread"] < 1e-6


def test_the_steady_stroke_lies_between_the_newtonian_and_a_thicker_one() -> None:
    """More resistance than its own limit, less than newtonian of its stress at 10 /s over 10."""

    def newtonian(viscosity: float) -> Coating:
        return Coating(key="n", name="n", density=DENSITY, law="newtonian", viscosity=viscosity)

    thick = float((3.0 + math.sqrt(VISCOSITY * 10.0)) ** 2 / 10.0)
    limit, casson, heavy = (
        predict(PUMP, c, leaks={}) for c in (newtonian(VISCOSITY), COATING, newtonian(thick))
    )
    assert limit.up_time < casson.up_time < heavy.up_time
    assert limit.spray_pressure < casson.spray_pressure < heavy.spray_pressure


def test_both_models_of_the_pump_play_it_alike() -> None:
    """As of any demo coating: within the bounds that hold there."""
    figures, plain = play(PUMP, COATING).summary, steady(stroke_parameters(PUMP, COATING))
    assert figures.up_time == pytest.approx(float(plain.up.time[0]), rel=0.12)
    assert figures.down_time == pytest.approx(float(plain.down.time[0]), rel=0.12)
    assert figures.flow == pytest.approx(float(plain.flow[0]), rel=0.06)
    condition = Condition(viscosity=1.3, foot_gap=60e-6, static_gap=20e-6)
    there = steady(stroke_parameters(PUMP, COATING, condition))
    here = steady(steady_twin(motion_parameters(PUMP, COATING, Motion(steady=condition))))
    assert here.flow == pytest.approx(there.flow, rel=2e-3)


def test_a_leaking_foot_valve_is_found_with_it() -> None:
    read_back = predict(PUMP, COATING, leaks={FOOT_VALVE: 6e-6})
    found = diagnose(PUMP, COATING, CheckReadings(
        up_times=(read_back.up_time,) * 6, down_times=(read_back.down_time,) * 6,
        creep_up=read_back.creep_up, creep_down=read_back.creep_down,
        spray_pressure=read_back.spray_pressure, stall_pressure=read_back.stall_pressure,
    ))  # fmt: skip
    assert found.explained
    assert found.findings[0].fault is FOOT_VALVE
