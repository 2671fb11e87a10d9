"""All calculators by name; a family is read in only when one of it is asked for."""

from __future__ import annotations

import importlib

from wetend.advice.calculators.calculator import Calculator
from wetend.errors import UnknownName
from wetend.keeping import constant
from wetend.units.message import Message
from wetend.units.suggestions import near_or_all

FAMILIES: dict[str, tuple[str, ...]] = {
    "liquids": (
        "cup-viscosity",
        "hose-loss",
        "nozzle-flow",
        "coverage",
    ),
    "hose_lines": (
        "line-loss",
        "longest-hose",
        "smallest-bore",
        "warmth-needed",
        "nozzle-to-suit",
    ),
    "suctions": (
        "suction-margin",
        "acceleration-head",
    ),
    "fillings": (
        "suction-remedy",
        "entrained-air",
    ),
    "displacements": ("displacement",),
    "rheometry": (
        "rheology-fit",
        "warm-viscosity",
        "thinning",
    ),
    "temperatures": ("viscosity-temperature",),
    "wear_heat": (
        "nozzle-wear",
        "heated-hose",
    ),
    "leaks": (
        "gap-leak",
        "seat-leak",
        "stall-creep",
    ),
    "scores": (
        "score-leak",
        "packing-wear",
    ),
    "mechanics": (
        "seat-contact",
        "thread-torque",
        "wrench-extension",
        "ring-gland",
    ),
    "balls": (
        "ball-fall",
        "valve-opening",
    ),
    "clock": ("stack-clock",),
    "bench": (
        "solvent-test",
        "bucket-test",
        "gland-turn",
    ),
    "holds": (
        "pressure-hold",
        "outside-leak",
    ),
    "judging": (
        "roundness",
        "conformance",
        "acceptance-risk",
        "uncertainty-budget",
    ),
    "photos": ("photo-length",),
    "lives": (
        "weibull-fit",
        "power-law-process",
        "replacement-age",
        "renewals",
        "spares-stock",
        "critical-stock",
    ),
}
"""The module of each family with the names of its calculators, in the order shown."""


@constant("calculators of a family")
def _family(module: str) -> dict[str, Calculator]:
    found = importlib.import_module(f"wetend.advice.calculators.{module}").CALCULATORS
    return {calculator.name: calculator for calculator in found}


def all_calculators() -> tuple[Calculator, ...]:
    """Every calculator, family by family."""
    return tuple(c for module in FAMILIES for c in _family(module).values())


def find_calculator(name: str) -> Calculator:
    """The calculator so named.

    Raises:
        UnknownName: there is none; the sentence lists those there are.
    """
    module = next((m for m, names in FAMILIES.items() if name in names), None)
    if module is not None:
        return _family(module)[name]
    known = near_or_all(
        name, (n for names in FAMILIES.values() for n in names), Message("there are")
    )
    raise UnknownName(
        Message("There is no calculator “{name}”; {known}", name=name[:60], known=known)
    )
