"""Pumps for the model in time: one plain, and as many random ones as wanted."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from loaded import loaded
from random_pumps import ANGLE, STEEL, random_pump

from wetend.physics.motion.parameters import (
    AeratedLiquid,
    BallValve,
    Chambers,
    Drive,
    Hose,
    MotionParameters,
    Outlet,
    SuctionLine,
)
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.parameters import nozzle_resistance

BORE, ROD, STROKE = 0.038, 0.027, 0.08
BORE_AREA, ROD_AREA = math.pi / 4 * BORE**2, math.pi / 4 * ROD**2
FORCE = 280e5 * BORE_AREA / 2


def plain(liquid: Liquid | None = None, **changes: object) -> MotionParameters:
    """An air-driven pump of 38 mm bore on 15 m of hose."""
    made = MotionParameters(
        liquid=AeratedLiquid(liquid or Liquid("newtonian", 1180.0, 0.0, 0.28, 1.0)),
        drive=Drive(force=FORCE, free_speed=0.2, friction=330.0, mass=3.6, reversal=0.05),
        chambers=Chambers(BORE_AREA, ROD_AREA, STROKE, 2.7e-5, 1.3e-5),
        foot_valve=BallValve(0.022, STEEL, ANGLE, 0.014, 0.004, 0.0033, BORE),
        piston_valve=BallValve(0.018, STEEL, ANGLE, 0.011, 0.003, 0.0028, 0.024),
        suction=SuctionLine(0.025, 1.6, 0.5, 2.2e-5),
        outlet=Outlet(
            filter_resistance=3.3e9,
            hoses=(Hose(0.0095, 15.0, 5e-12),),
            nozzle=float(nozzle_resistance(1180.0, math.pi / 4 * 0.5e-3**2, 0.85)),
        ),
    )
    return replace(made, **changes)  # type: ignore[arg-type]


@pytest.fixture(scope="session")
def stiff() -> ModuleType:
    """The published problems of ``stiff_problems.py``, each compiled at its first call."""
    return loaded(Path(__file__).with_name("stiff_problems.py"))


@pytest.fixture(scope="session")
def pump() -> Callable[..., MotionParameters]:
    """The plain pump, with changes."""
    return plain


@pytest.fixture(scope="session")
def random_pumps() -> Callable[..., list[MotionParameters]]:
    """So many pumps at random, the same ones for the same seed."""

    def made(count: int, *, seed: int, give: float = 1.0) -> list[MotionParameters]:
        rng = np.random.default_rng(seed)
        return [random_pump(rng, give=give) for _ in range(count)]

    return made
