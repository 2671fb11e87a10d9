"""Calculators by name, for the pages and the command line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from wetend.advice.calculators.calculator import (
    Calculation,
    Calculator,
    calculate,
    described,
)
from wetend.advice.calculators.catalogue import all_calculators, find_calculator
from wetend.units.kinds import System


def run(
    name: str, typed: Mapping[str, str | Sequence[str]], *, system: System | None = None
) -> Calculation:
    """Run the calculator so named on typed text.

    Raises:
        UnknownName: no such calculator.
        BadInput: a field can't be read or is out of range.
    """
    return calculate(find_calculator(name), typed, system=system)


def catalogue() -> list[dict[str, Any]]:
    """Every calculator with its fields, units and source, ready for JSON."""
    return [described(c) for c in all_calculators()]


def names() -> tuple[str, ...]:
    """Names of all calculators."""
    return tuple(c.name for c in all_calculators())


def find(name: str) -> Calculator:
    """The calculator so named.

    Raises:
        UnknownName: no such calculator.
    """
    return find_calculator(name)
