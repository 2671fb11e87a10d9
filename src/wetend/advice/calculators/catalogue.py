"""All calculators by name."""

from __future__ import annotations

from wetend.advice.calculators import (
    balls,
    bench,
    clock,
    displacements,
    fillings,
    hose_lines,
    judging,
    leaks,
    liquids,
    lives,
    mechanics,
    photos,
    rheometry,
    scores,
    suctions,
    temperatures,
    wear_heat,
)
from wetend.advice.calculators.calculator import Calculator
from wetend.errors import UnknownName

CALCULATORS: tuple[Calculator, ...] = (
    *liquids.CALCULATORS,
    *hose_lines.CALCULATORS,
    *suctions.CALCULATORS,
    *fillings.CALCULATORS,
    *displacements.CALCULATORS,
    *rheometry.CALCULATORS,
    *temperatures.CALCULATORS,
    *wear_heat.CALCULATORS,
    *leaks.CALCULATORS,
    *scores.CALCULATORS,
    *mechanics.CALCULATORS,
    *balls.CALCULATORS,
    *clock.CALCULATORS,
    *bench.CALCULATORS,
    *judging.CALCULATORS,
    *photos.CALCULATORS,
    *lives.CALCULATORS,
)
"""Every calculator, family by family."""


def find_calculator(name: str) -> Calculator:
    """The calculator so named.

    Raises:
        UnknownName: there is none; the sentence lists those there are.
    """
    for calculator in CALCULATORS:
        if calculator.name == name:
            return calculator
    known = ", ".join(c.name for c in CALCULATORS)
    raise UnknownName(f"There is no calculator “{name[:60]}”; there are {known}.")
