"""Bingham liquids: Buckingham and Reiner, and where laminar flow ends."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.physics.rheology.bingham import bingham, darby_melson, hedstrom
from wetend.physics.rheology.herschel_bulkley import nominal_rate


def test_buckingham_reiner_in_its_textbook_form() -> None:
    # Q = pi R^3 tau_w/(4 mu) (1 - 4/3 phi + phi^4/3); 5.22629e-4 m3/s also by integration, at a
    # wall stress given to five figures
    flow = np.pi * 0.02**3 / 4 * nominal_rate(31.960, bingham(15.0, 0.15))
    assert float(flow) == pytest.approx(5.22629e-4, rel=5e-5)
    wall = np.array([20.0, 50.0, 1000.0])
    phi = 15.0 / wall
    textbook = wall / 0.15 * (1 - 4 / 3 * phi + phi**4 / 3)
    assert nominal_rate(wall, bingham(15.0, 0.15)) == pytest.approx(textbook, rel=1e-12)


def test_darby_and_melson_fall_back_to_laminar_at_low_reynolds_number() -> None:
    assert float(darby_melson(50.0, 1e4, 0.9)) == pytest.approx(0.9, rel=1e-9)


@pytest.mark.parametrize(("number", "exponent"), [(2e3, -1.6725), (2e4, -1.5902), (1e6, -1.47)])
def test_darby_and_melson_turbulent_by_hand(number: float, exponent: float) -> None:
    """10^a Re^-0.193, a = -1.47 (1 + 0.146 exp(-2.9e-5 He)): Darby (2001), as given in a public
    script that cites it.
    """
    found = float(darby_melson(1e4, number, 1e-9))
    assert found == pytest.approx(10**exponent * 1e4**-0.193, rel=2e-4)


def test_hedstrom_number_grows_with_the_square_of_the_bore() -> None:
    liquid = bingham(5.0, 0.02, 1300.0)
    assert hedstrom(liquid, 0.02) == pytest.approx(4 * hedstrom(liquid, 0.01), rel=1e-12)
