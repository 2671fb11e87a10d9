"""Filling: by hand in the simple cases, and each remedy put back."""

from __future__ import annotations

from dataclasses import replace

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.physics.filling import (
    Inlet,
    cylinder_pressure,
    fill_share,
    greatest_flow,
    remedies,
    suction_margin,
)
from wetend.physics.hose import hose_loss
from wetend.physics.lines import Line, Piece
from wetend.physics.rheology.newtonian import newtonian
from wetend.physics.rheology.temperature import at_temperature
from wetend.physics.suction import suction_pressure

THICK = newtonian(6.0, 1420.0)
INLET = Inlet(Line((Piece(0.025, 1.6),), rise=0.5), vapour_pressure=1098.0)


def test_it_is_the_pressure_at_the_foot_valve_by_the_suction_sums() -> None:
    loss = float(hose_loss(THICK, 1e-4, 0.025, 1.6))
    by_sum = suction_pressure(1420.0, 0.5, loss=loss, acceleration=3000.0)
    found = cylinder_pressure(THICK, INLET, 1e-4, acceleration=3000.0)
    assert found == pytest.approx(by_sum)
    more = replace(INLET, ball=500.0, valve=1e11, feed=2e4)
    assert cylinder_pressure(THICK, more, 1e-4, acceleration=3000.0) == pytest.approx(
        by_sum - 500.0 - 1e3 + 2e4
    )


@costly(10)
@given(st.floats(-2, 2), st.floats(0.008, 0.05), st.floats(-1.0, 5.0), st.floats(0, 3e12))
def test_greatest_flow_leaves_no_margin(
    log_viscosity: float, bore: float, lift: float, valve: float
) -> None:
    liquid = newtonian(10.0**log_viscosity, 1300.0)
    inlet = Inlet(Line((Piece(bore, 2.0),), rise=lift), vapour_pressure=2000.0, valve=valve)
    most = greatest_flow(liquid, inlet)
    assert suction_margin(liquid, inlet, most) == pytest.approx(0.0, abs=5.0)
    assert fill_share(liquid, inlet, 2 * most) == pytest.approx(0.5)
    assert fill_share(liquid, inlet, 0.5 * most) == 1.0


def test_nothing_is_drawn_where_the_lift_is_too_high_and_air_takes_its_share() -> None:
    high = replace(INLET, line=Line(INLET.line.pieces, rise=9.0))
    assert greatest_flow(THICK, high) == 0.0
    assert fill_share(THICK, high, 1e-5) == 0.0
    foamy = replace(INLET, entrained=0.1)
    pressure = cylinder_pressure(THICK, foamy, 2e-5)
    assert fill_share(THICK, foamy, 2e-5) == pytest.approx(1 / (1 + 0.1 * 101325 / pressure))
    assert fill_share(THICK, foamy, 0.0) == 1.0


def test_each_remedy_put_back_leaves_the_margin_wanted() -> None:
    flow, margin = 1e-4, 2e4
    assert suction_margin(THICK, INLET, flow) < margin
    found = remedies(THICK, INLET, flow, margin=margin, reference=283.15)
    assert suction_margin(THICK, INLET, flow * found.slower) == pytest.approx(margin, rel=1e-6)
    wide = replace(INLET, line=Line((Piece(found.bore, 1.6),), 0.5))
    assert suction_margin(THICK, wide, flow) == pytest.approx(margin, rel=1e-6)
    warm = at_temperature(THICK, found.warmer, 283.15)
    assert suction_margin(warm, INLET, flow) == pytest.approx(margin, rel=1e-6)
    low = replace(INLET, line=Line(INLET.line.pieces, found.lift))
    assert suction_margin(THICK, low, flow) == pytest.approx(margin, rel=1e-6)
    fed = replace(INLET, feed=found.feed)
    assert suction_margin(THICK, fed, flow) == pytest.approx(margin, rel=1e-6)


def test_with_margin_enough_nothing_changes_and_what_can_not_help_is_none() -> None:
    thin = newtonian(0.01, 1000.0)
    easy = remedies(thin, INLET, 1e-5, margin=2e4, reference=293.15)
    assert (easy.slower, easy.warmer, easy.feed) == (1.0, 293.15, 0.0)
    assert easy.bore == pytest.approx(0.025)
    assert easy.lift == pytest.approx(0.5)
    high = replace(INLET, line=Line(INLET.line.pieces, rise=9.0))
    hopeless = remedies(thin, high, 1e-5, margin=2e4, reference=293.15)
    assert (hopeless.slower, hopeless.bore, hopeless.warmer) == (None, None, None)
    assert hopeless.lift < 9.0
