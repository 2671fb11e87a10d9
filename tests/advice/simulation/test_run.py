"""A described pump played in time: parameters, faults, figures, and any input at all."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from played import play
from pydantic import BaseModel, ValidationError
from steady_twin import steady_twin

from wetend.advice.faults.tables import MOTION_FAULTS
from wetend.advice.pump_physics import Condition, Motion, stroke_parameters
from wetend.advice.simulation.faults import with_faults
from wetend.advice.simulation.parameters import motion_parameters
from wetend.errors import BadInput, NoAnswer, UnknownName, WetendError
from wetend.physics.stroke.steady import steady
from wetend.pump import parts
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

COATINGS = {c.key: c for c in demo_coatings()}
ALKYD = COATINGS["alkyd-topcoat"]


@pytest.mark.parametrize("key", DEMO_PUMPS)
@pytest.mark.parametrize("coating", COATINGS.values(), ids=lambda c: c.key)
def test_the_steady_model_is_told_the_same_pump(key, coating):
    """Made from the description by either way, the steady run is the same."""
    pump = demo_pump(key)
    condition = Condition(viscosity=1.3, foot_gap=60e-6, static_gap=20e-6, nozzle=1.1, supply=9e5)
    there = steady(stroke_parameters(pump, coating, condition))
    here = steady(steady_twin(motion_parameters(pump, coating, Motion(steady=condition))))
    for name in ("flow", "gauge", "cycle_rate", "stall_pressure"):
        assert getattr(here, name) == pytest.approx(getattr(there, name), rel=2e-3)


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_a_sound_demo_pump(key):
    """Rhythm near the steady model's, no creep, as much drawn as sprayed."""
    pump = demo_pump(key)
    figures = play(pump, ALKYD).summary
    plain = steady(stroke_parameters(pump, ALKYD))
    assert figures.up_time == pytest.approx(float(plain.up.time[0]), rel=0.12)
    assert figures.down_time == pytest.approx(float(plain.down.time[0]), rel=0.12)
    assert figures.flow == pytest.approx(float(plain.flow[0]), rel=0.06)
    assert figures.stall_up == pytest.approx(float(plain.up.stall_pressure[0]), rel=0.01)
    assert figures.stall_down == pytest.approx(float(plain.down.stall_pressure[0]), rel=0.01)
    assert figures.creep_up == figures.creep_down == pytest.approx(0.0, abs=1e-6)
    assert figures.drawn == pytest.approx(figures.flow, rel=0.01)
    assert figures.lost == 0.0


# what each fault does to which figure, +1 more, -1 less (trade rules: common practice, no source)
TELLS = {
    "foot-valve": {"creep_down": 1, "up_time": -1, "down_time": -1, "gauge": -1},
    "piston-valve": {"creep_up": 1, "gauge": -1},
    "packings": {"creep_up": 1, "gauge": -1},
    "score": {"creep_up": 1},
    "static-packings": {"lost": 1, "creep_up": 1, "creep_down": 1},
    "outside": {"lost": 1, "gauge": -1, "creep_up": 1, "creep_down": 1},
    "nozzle-worn": {"flow": 1, "gauge": -1, "cycle_rate": 1},
    "nozzle-blocked": {"flow": -1, "gauge": 1, "cycle_rate": -1},
    "filter": {"gauge": -1, "flow": -1},
    "line": {"gauge": 1, "flow": -1},
    "air": {"down_time": -1, "flow": -1},
    "drive-weak": {"stall_up": -1, "stall_down": -1, "up_time": 1, "down_time": 1, "flow": -1},
    "drive-slow": {"up_time": 1, "down_time": 1, "flow": -1},
    "starved": {"down_time": -1},
    "foot-lift": {"down_time": -1, "flow": -1},
    "foot-sticking": {"down_time": -1, "flow": -1},
}
SIZES = {"packings": 100e-6, "static-packings": 80e-6, "score": 400e-6, "starved": 5e5}


def test_every_fault_has_a_rule():
    assert TELLS.keys() == MOTION_FAULTS.keys()


@pytest.mark.parametrize("name", MOTION_FAULTS)
def test_a_fault_shows_in_the_figures_it_should(name):
    pump = demo_pump("quay-air")
    coating = COATINGS["epoxy-tank"] if name.startswith("foot-") else ALKYD
    sound = play(pump, coating).summary
    faulty = play(pump, coating, {name: SIZES.get(name, MOTION_FAULTS[name].typical)}).summary
    for figure, sign in TELLS[name].items():
        change = getattr(faulty, figure) - getattr(sound, figure)
        least = 5e-4 * abs(getattr(sound, figure)) + (1e-6 if "creep" in figure else 0.0)
        assert sign * change > least, figure


def test_faults_add_up_and_no_size_is_no_fault():
    pump = demo_pump("quay-air")
    both = with_faults(pump, {"foot-valve": 5e-5, "nozzle-worn": 0.2, "air": 0.0})
    assert both.steady.foot_gap == 5e-5
    assert both.steady.nozzle == pytest.approx(1.2)
    assert both.free_air == Motion().free_air
    none = with_faults(pump, dict.fromkeys(MOTION_FAULTS, 0.0))
    assert vars(none.steady) == vars(Condition())
    assert none.foot_lift is None


def test_a_shut_gun_has_no_strokes_but_its_stalls():
    figures = play(demo_pump("quay-air"), ALKYD, gun="shut").summary
    assert figures.up_time is None
    assert figures.flow is None
    assert figures.stall_up > 2e7


def test_what_is_not_a_fault_or_a_size_is_said():
    pump = demo_pump("quay-air")
    with pytest.raises(UnknownName, match="there are foot-valve"):
        play(pump, ALKYD, {"gremlins": 1.0})
    for size in (-1.0, float("nan"), float("inf"), 1.0):
        with pytest.raises(BadInput, match="foot valve not holding"):
            play(pump, ALKYD, {"foot-valve": size})
    with pytest.raises(BadInput, match="one pump"):
        motion_parameters(pump, ALKYD, Motion(steady=Condition(foot_gap=np.array([1e-5, 2e-5]))))


def test_a_pressure_beyond_the_liquid_is_said():
    pump = demo_pump("quay-air")
    drive = pump.drive.model_copy(update={"ratio": 500.0, "supply_rated": 2e6})
    with pytest.raises(NoAnswer, match="bar"):
        play(pump.model_copy(update={"drive": drive}), ALKYD)


SECTIONS: dict[str, type[BaseModel]] = {
    "cylinder": parts.Cylinder, "rod": parts.Rod, "foot_valve": parts.Valve,
    "piston_valve": parts.Valve, "moving_packings": parts.Packings,
    "static_packings": parts.Packings, "drive": parts.Drive, "filter": parts.Filter,
    "suction": parts.Suction, "nozzle": parts.Nozzle, "limits": parts.Limits,
}  # fmt: skip


def bounds(model: type[BaseModel], name: str) -> tuple[float, float] | None:
    """Least and most of a field, by its own declaration; ``None`` if it is not a number."""
    low, high = 0.0, math.inf
    for rule in model.model_fields[name].metadata:
        low = next((getattr(rule, k) for k in ("gt", "ge") if hasattr(rule, k)), low)
        high = next((getattr(rule, k) for k in ("lt", "le") if hasattr(rule, k)), high)
    return None if not math.isfinite(high) else (low, high)


def draw_number(draw: Any, low: float, high: float) -> float:
    """A number of a field: over its decades, its ends now and then."""
    if low < 0:
        return draw(st.floats(low, high))
    least = max(low, high * 1e-6)
    share = draw(st.one_of(st.floats(0.0, 1.0), st.sampled_from([0.0, 1.0])))
    return float(min(max(least * (high / least) ** share, least * (1 + 1e-9)), high * (1 - 1e-12)))


@st.composite
def pumps(draw: Any) -> Pump:
    """A pump the form accepts: a demo pump with any of its figures anywhere in their ranges."""
    pump = demo_pump(draw(st.sampled_from(DEMO_PUMPS)))
    data = pump.model_dump()
    chosen = draw(st.sets(st.sampled_from([
        (section, name) for section, model in SECTIONS.items() for name in model.model_fields
        if bounds(model, name) and isinstance(data[section][name], float)
    ]), max_size=8))  # fmt: skip
    for section, name in sorted(chosen):
        changed = {**data, section: dict(data[section])}
        low, high = bounds(SECTIONS[section], name) or (0.0, 1.0)
        changed[section][name] = draw_number(draw, low, high)
        try:
            pump = Pump.model_validate(changed)
            data = changed
        except ValidationError:  # the form would refuse it: leave it as it was
            continue
    return pump


@st.composite
def coatings(draw: Any) -> Coating:
    """A coating the form accepts."""
    numbers = {
        name: draw_number(draw, *(bounds(Coating, name) or (0.0, 1.0)))
        for name in ("density", "viscosity", "consistency", "index", "yield_stress",
                     "plastic_viscosity", "vapour_pressure")
    }  # fmt: skip
    law = draw(st.sampled_from(["newtonian", "power-law", "bingham", "herschel-bulkley"]))
    return Coating(key="any", name="any", law=law, **numbers)


@costly(25)
@given(
    pump=pumps(), coating=st.one_of(coatings(), st.sampled_from(list(COATINGS.values()))),
    faults=st.dictionaries(st.sampled_from(list(MOTION_FAULTS)), st.floats(1e-4, 1.0), max_size=3),
    gun=st.sampled_from(["open", "shut", "pulsed"]),
)  # fmt: skip
def test_any_pump_the_forms_accept_gets_an_answer_or_a_sentence(pump, coating, faults, gun):
    """It never hangs, blows up or says something that is not a number."""
    sizes = {name: share * MOTION_FAULTS[name].most for name, share in faults.items()}
    try:
        played = play(pump, coating, sizes, cycles=1, gun=gun)
    except WetendError as error:
        played, sentence = None, str(error)
    if played is None:
        assert sentence.endswith(".")
        return
    figures = [v for v in vars(played.summary).values() if v is not None]
    assert np.isfinite(figures).all()
    assert np.isfinite(played.trace.state).all()
    assert np.isfinite(played.trace.seen).all()
    assert np.all(np.diff(played.trace.t) >= 0)


def test_an_electric_drive_is_like_a_hydraulic_one_until_its_setting_lets_go() -> None:
    """Below the pressure set nothing tells them apart; at stall the electric one, whose setting is
    supply times ratio, goes no higher than the twentieth above it over which it lets go."""
    pump = demo_pump("yard-hydraulic")
    drive = pump.drive.model_copy(update={"kind": "electric"})
    electric = pump.model_copy(update={"drive": drive})
    coating = demo_coatings()[0]
    one, other = play(pump, coating), play(electric, coating)
    setting = pump.drive.supply_rated * pump.drive.ratio
    assert float(one.trace.gauge.max()) < setting
    assert one.summary.up_time == other.summary.up_time
    assert one.summary.flow == other.summary.flow
    assert one.summary.stall_down > setting
    assert setting < other.summary.stall_down < min(one.summary.stall_down, 1.05 * setting)
    assert other.summary.stall_up == one.summary.stall_up < setting


def test_a_hydraulic_pump_in_time_keeps_to_its_forces_and_its_displacement() -> None:
    """Stall pressure by statics, F less friction over each way's area; what is drawn is what is
    sprayed and lost; and a cycle sprays no more than bore area times stroke."""
    pump = demo_pump("yard-hydraulic")
    for coating in demo_coatings():
        played = play(pump, coating, {"packings": 50e-6})
        summary, drive = played.summary, played.parameters.drive
        net = drive.force - drive.friction
        assert summary.stall_down == pytest.approx(net / pump.rod_area, rel=0.01)
        assert summary.drawn == pytest.approx(summary.flow, rel=0.01)
        assert summary.flow / summary.cycle_rate < pump.bore_area * pump.stroke
        assert summary.creep_up > 1e-5
