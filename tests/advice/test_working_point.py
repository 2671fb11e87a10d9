"""The pump at work: flow from the nozzle, losses adding up to the pump."""

from __future__ import annotations

import math

import pytest

from wetend.advice.working_point import Line, line_of, middle_pressure, string_loss, working_point
from wetend.physics.rheology.newtonian import newtonian
from wetend.pump.toml import demo_coatings, demo_pump

LIQUID = newtonian(0.28, 1180.0)


def test_flow_and_cycles_by_hand() -> None:
    # 21 thou, Cd 0.85, 150 bar, 1180 kg/m3: 0.85 * 2.2346e-7 * sqrt(2 * 1.5e7 / 1180) = 3.0286e-5
    # m3/s; over pi/4 * 0.038^2 * 0.080 = 9.0729e-5 m3 a cycle: 20.03 cycles a minute.
    point = working_point(demo_pump("quay-air"), LIQUID, nozzle_pressure=150e5)
    assert point.flow == pytest.approx(3.0286e-5, rel=1e-4)
    assert point.cycle_rate * 60 == pytest.approx(20.03, abs=0.01)


def test_hose_loss_by_hagen_poiseuille() -> None:
    # 128 mu L Q / (pi D^4) for 30 m of 9.5 mm and 3 m of 6.4 mm (Hagen-Poiseuille, any textbook).
    flow = 3e-5
    by_hand = sum(128 * 0.28 * length * flow / (math.pi * bore**4)
                  for bore, length in ((9.5e-3, 30.0), (6.4e-3, 3.0)))  # fmt: skip
    line = line_of(demo_pump("quay-air"))
    assert string_loss(line, LIQUID, flow) == pytest.approx(by_hand, rel=1e-9)


def test_pressures_add_up() -> None:
    pump = demo_pump("quay-air")
    point = working_point(pump, LIQUID, nozzle_pressure=150e5, line=line_of(pump, lift=10.0))
    assert point.lift_loss == pytest.approx(1180.0 * 9.80665 * 10.0)
    parts = point.nozzle_pressure + point.hose_loss + point.lift_loss + point.filter_loss
    assert point.pump_pressure == pytest.approx(parts)


def test_two_guns_share_all_but_their_own_last_length() -> None:
    pump = demo_pump("quay-air")
    one = Line(pump.nozzle.orifice, 0.85, 1, pump.hose)
    two = Line(pump.nozzle.orifice, 0.85, 2, pump.hose)
    main, whip = pump.hose
    flow = 3e-5
    main_loss = string_loss(Line(1e-3, 0.85, 1, (main,)), LIQUID, 2 * flow)
    whip_loss = string_loss(Line(1e-3, 0.85, 1, (whip,)), LIQUID, flow)
    assert string_loss(two, LIQUID, 2 * flow) == pytest.approx(main_loss + whip_loss)
    assert string_loss(one, LIQUID, flow) == pytest.approx(main_loss / 2 + whip_loss)


def test_one_shared_hose_carries_everything() -> None:
    hose = demo_pump("quay-air").hose[0]
    shared = Line(1e-3, 0.85, 2, (hose,))
    assert string_loss(shared, LIQUID, 2e-5) == string_loss(
        Line(1e-3, 0.85, 1, (hose,)), LIQUID, 2e-5
    )


def test_middle_of_the_data_sheet() -> None:
    assert middle_pressure(demo_coatings()[0]) == pytest.approx(200e5)
