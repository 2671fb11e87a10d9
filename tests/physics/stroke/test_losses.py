"""The tabulated hose against the hose itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from wetend.physics.hose import hose_loss
from wetend.physics.rheology.herschel_bulkley import herschel_bulkley
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.rheology.newtonian import newtonian
from wetend.physics.stroke.losses import LossTable, tabulate

FLOW_HIGH = 6e-4


def _thick(liquid: Liquid, scale: float) -> Liquid:
    return replace(
        liquid, yield_stress=liquid.yield_stress * scale, consistency=liquid.consistency * scale
    )


def _table(liquid: Liquid) -> LossTable:
    return tabulate(
        lambda flow, scale: hose_loss(_thick(liquid, scale), flow, 0.0095, 30.0),
        flow_high=FLOW_HIGH,
    )


@pytest.mark.parametrize(
    ("liquid", "rows"),
    [
        (newtonian(3.0, 1200.0), 1),
        (herschel_bulkley(12.0, 6.5, 0.6, 1360.0), 7),
        (newtonian(0.001, 870.0), 7),
    ],
)
def test_table_follows_the_hose(liquid: Liquid, rows: int) -> None:
    """Straight lines between 256 columns: worst where few columns span much flow."""
    table = _table(liquid)
    assert len(table.scales) == rows
    flows = np.geomspace(2e-6, FLOW_HIGH, 60)
    for scale in (0.6, 1.0, 1.7):
        exact = hose_loss(_thick(liquid, scale), flows, 0.0095, 30.0)
        read = table.at(flows, np.full_like(flows, scale))[0]
        np.testing.assert_allclose(read, exact, rtol=5e-3)


def test_between_viscosities_it_errs_only_where_flow_turns_turbulent() -> None:
    """Straight lines between 7 viscosities: exact for laminar flow, off by up to a fifth of a small
    loss where one row is turbulent and the next is not.
    """
    thick, thin = herschel_bulkley(12.0, 6.5, 0.6, 1360.0), newtonian(0.001, 870.0)
    flows = np.geomspace(2e-6, FLOW_HIGH, 60)
    for liquid, off in ((thick, 5e-3), (thin, 0.2)):
        exact = hose_loss(_thick(liquid, 1.3), flows, 0.0095, 30.0)
        read = _table(liquid).at(flows, np.full_like(flows, 1.3))[0]
        np.testing.assert_allclose(read, exact, rtol=off)


def test_at_no_flow_the_yield_stress_remains() -> None:
    liquid = herschel_bulkley(12.0, 6.5, 0.6, 1360.0)
    loss, _ = _table(liquid).at(np.zeros(1), np.ones(1))
    assert loss[0] == pytest.approx(4 * 12.0 * 30.0 / 0.0095, rel=1e-9)


def test_outside_the_table_it_goes_on_rising() -> None:
    table = _table(newtonian(0.3, 1200.0))
    flows = np.array([0.9, 1.0, 1.5, 4.0]) * FLOW_HIGH
    for scale in (0.01, 1.0, 50.0):
        losses, slopes = table.at(flows, np.full(4, scale))
        assert np.all(np.diff(losses) > 0)
        assert np.all(slopes >= 0)
