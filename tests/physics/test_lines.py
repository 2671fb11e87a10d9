"""Lines of several hoses: sums of their parts, and each inverse question turned round."""

from __future__ import annotations

import math

import pytest
from examples import costly
from fluids.fittings import Hooper2K
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from wetend.errors import BadInput, NoAnswer
from wetend.physics.hose import hose_loss
from wetend.physics.lines import (
    FITTINGS,
    Line,
    Piece,
    heated_loss,
    line_flow,
    line_loss,
    longest_last_hose,
    nozzle_to_suit,
    smallest_bore,
    temperature_along,
    temperature_needed,
    two_k,
)
from wetend.physics.nozzle import orifice_flow
from wetend.physics.rheology.herschel_bulkley import herschel_bulkley
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.rheology.newtonian import newtonian
from wetend.physics.rheology.power_law import power_law
from wetend.physics.rheology.temperature import at_temperature
from wetend.physics.suction import static_head

COATING = power_law(3.2, 0.72, 1420.0)
TWO = Line((Piece(0.0127, 15.0), Piece(0.0095, 20.0)), rise=8.0)


@pytest.mark.parametrize(
    ("name", "theirs"),
    [
        ("elbow 90", "Elbow, 90°, Standard (R/D = 1), Screwed"),
        ("elbow 45", "Elbow, 45°, Standard (R/D = 1), All types"),
        ("tee straight", "Tee, Run, Screwed"),
        ("tee branch", "Elbow, Used as, Standard, Screwed"),
        ("ball valve", "Valve, Gate, Full line size, Beta = 1"),
        ("needle valve", "Valve, Globe, Angle or Y-type"),
        ("lift check valve", "Valve, Check, Lift"),
    ],
)
def test_fittings_against_the_fluids_library(name: str, theirs: str) -> None:
    # its table of Hooper's constants; the library takes the bore in inches
    for reynolds in (10.0, 1000.0, 1e5):
        known = Hooper2K(Di=0.375, Re=reynolds, name=theirs)
        assert two_k(FITTINGS[name], reynolds, 0.375 * 0.0254) == pytest.approx(known)


def test_a_line_is_the_sum_of_its_parts() -> None:
    flow = 5e-5
    liquid = newtonian(0.28, 1180.0)
    parts = [float(hose_loss(liquid, flow, p.bore, p.length)) for p in TWO.pieces]
    narrowing = (
        0.5 * (1 - (0.0095 / 0.0127) ** 2) * 1180 / 2 * (flow * 4 / math.pi / 0.0095**2) ** 2
    )
    total = sum(parts) + narrowing + static_head(1180.0, 8.0)
    assert line_loss(liquid, flow, TWO) == pytest.approx(total, rel=1e-12)
    wider = Line(TWO.pieces[::-1])
    # Borda and Carnot: rho (V1 - V2)^2/2
    speeds = [flow * 4 / math.pi / d**2 for d in (0.0095, 0.0127)]
    step = 1180 / 2 * (speeds[0] - speeds[1]) ** 2
    assert line_loss(liquid, flow, wider) == pytest.approx(sum(parts) + step, rel=1e-12)


def test_one_hose_cut_in_two_is_the_same_hose() -> None:
    whole = Line((Piece(0.0095, 30.0),))
    cut = Line((Piece(0.0095, 12.0), Piece(0.0095, 18.0)))
    for flow in (0.0, 1e-6, 1e-4):
        assert line_loss(COATING, flow, cut) == pytest.approx(line_loss(COATING, flow, whole))


LIQUIDS = st.builds(
    Liquid, st.just("herschel-bulkley"), st.just(1300.0), st.floats(0, 50), st.floats(0.01, 10),
    st.floats(0.3, 1.2),
)  # fmt: skip


@costly(10)
@given(LIQUIDS, st.floats(4, 7.5))
def test_flow_is_the_inverse_of_loss(liquid: Liquid, log_pressure: float) -> None:
    pressure = 10.0**log_pressure
    flow = line_flow(liquid, pressure, TWO)
    if flow > 0:
        assert line_loss(liquid, flow, TWO) == pytest.approx(pressure, rel=1e-6)
    else:
        assert line_loss(liquid, 1e-14, TWO) >= pressure * (1 - 1e-9)


def test_inverse_questions_of_the_hose_turn_round() -> None:
    flow, pressure = 4e-5, 30e5
    bore = smallest_bore(COATING, flow, 30.0, pressure)
    assert float(hose_loss(COATING, flow, bore, 30.0)) == pytest.approx(pressure, rel=1e-9)
    length = longest_last_hose(COATING, flow, TWO, 0.0095, 90e5)
    longer = Line((*TWO.pieces, Piece(0.0095, length)), TWO.rise)
    assert line_loss(COATING, flow, longer) == pytest.approx(90e5, rel=1e-9)
    with pytest.raises(NoAnswer, match="already costs"):
        longest_last_hose(COATING, flow, TWO, 0.0095, 1e5)
    with pytest.raises(NoAnswer, match="No hose"):
        smallest_bore(COATING, flow, 30.0, 0.0)
    assert smallest_bore(newtonian(1e-3), 1e-12, 1.0, 1e7) == 1e-4


def test_warming_that_is_needed_is_just_enough() -> None:
    flow, line = 4e-5, Line((Piece(0.0095, 30.0),))
    pressure = 0.6 * line_loss(COATING, flow, line)
    warm = temperature_needed(COATING, flow, line, pressure, reference=283.15)
    there = at_temperature(COATING, warm, 283.15)
    assert line_loss(there, flow, line) == pytest.approx(pressure, rel=1e-9)
    assert temperature_needed(COATING, flow, line, 2 * pressure, reference=283.15) == 283.15
    with pytest.raises(NoAnswer, match="larger or shorter"):
        temperature_needed(COATING, flow, line, 0.01 * pressure, reference=283.15)


@costly(10)
@given(LIQUIDS, st.floats(-6, -4), st.floats(1e5, 300e5))
def test_nozzle_and_line_settle_where_both_agree(
    liquid: Liquid, log_flow: float, spare: float
) -> None:
    flow = 10.0**log_flow
    size, left = nozzle_to_suit(liquid, flow, line_loss(liquid, flow, TWO) + spare, TWO)
    assert left == pytest.approx(spare, rel=1e-6)
    assert float(orifice_flow(left, size, density=1300.0)) == pytest.approx(flow, rel=1e-6)


def test_a_line_that_takes_everything_leaves_no_nozzle() -> None:
    stiff = herschel_bulkley(500.0, 5.0, 0.6, 1400.0)
    assert line_flow(stiff, 1e5, TWO) == 0.0
    with pytest.raises(NoAnswer, match="none is left"):
        nozzle_to_suit(COATING, 1e-3, 1e5, TWO)
    with pytest.raises(NoAnswer, match="faster"):
        line_flow(newtonian(0.001), 1e13, TWO)
    with pytest.raises(BadInput, match="at least one"):
        line_flow(COATING, 1e5, Line(()))


@pytest.mark.parametrize(("bore", "length"), [(0.0, 1.0), (math.nan, 1.0), (0.01, -1.0)])
def test_impossible_pieces_are_refused(bore: float, length: float) -> None:
    with pytest.raises(BadInput, match="hose's"):
        Piece(bore, length)


def test_a_heated_hose_warms_by_its_law_and_loses_the_integral() -> None:
    how = {"bore": 0.0095, "flow": 3e-5, "density": 1420.0, "transfer": 80.0}
    half = temperature_along(283.15, 323.15, length=10.0, **how)
    whole = temperature_along(half, 323.15, length=10.0, **how)
    assert whole == pytest.approx(temperature_along(283.15, 323.15, length=20.0, **how))
    assert temperature_along(283.15, 323.15, length=1e6, **how) == pytest.approx(323.15)
    still = {**how, "flow": 0.0}
    assert temperature_along(283.15, 323.15, length=1.0, **still) == 323.15

    def gradient(x: float) -> float:
        warm = at_temperature(COATING, temperature_along(283.15, 323.15, length=x, **how), 293.15)
        return float(hose_loss(warm, 3e-5, 0.0095, 1.0))

    exact, _ = quad(gradient, 0.0, 20.0, epsrel=1e-10)
    found = heated_loss(COATING, 3e-5, Piece(0.0095, 20.0), reference=293.15, inlet=283.15,
                        surroundings=323.15, transfer=80.0)  # fmt: skip
    assert found == pytest.approx(exact, rel=1e-9)


def test_downhill_it_runs_by_itself() -> None:
    down = Line((Piece(0.0127, 10.0),), rise=-10.0)
    thin = newtonian(0.05, 1000.0)
    flow = line_flow(thin, 0.0, down)
    assert flow > 0
    assert line_loss(thin, flow, down) == pytest.approx(0.0, abs=1.0)
