"""The calculators by the question that a person has, and found by words."""

from __future__ import annotations

from collections.abc import Mapping

from wetend.advice.calculators.calculator import Calculator
from wetend.advice.calculators.catalogue import all_calculators
from wetend.units.message import Message

QUESTIONS: Mapping[str, tuple[str, ...]] = {
    Message("Is the coating right to spray?"): (
        "cup-viscosity", "thinning", "warm-viscosity", "viscosity-temperature", "rheology-fit",
    ),
    Message("Will this hose do?"): (
        "hose-loss", "line-loss", "longest-hose", "smallest-bore", "warmth-needed", "heated-hose",
    ),
    Message("Which nozzle, and how far does a litre go?"): (
        "nozzle-flow", "nozzle-to-suit", "nozzle-wear", "coverage",
    ),
    Message("What does the pump deliver?"): ("displacement", "bucket-test"),
    Message("Does the pump fill?"): (
        "suction-margin", "suction-remedy", "acceleration-head", "entrained-air", "ball-fall",
        "valve-opening",
    ),
    Message("Where does it leak, and how much?"): (
        "stall-creep", "seat-leak", "score-leak", "packing-wear", "gap-leak",
    ),
    Message("Does it hold?"): ("solvent-test", "pressure-hold", "outside-leak"),
    Message("Does it go together right?"): (
        "stack-clock", "thread-torque", "wrench-extension", "gland-turn", "ring-gland",
        "seat-contact",
    ),
    Message("Can this measurement be trusted?"): (
        "conformance", "uncertainty-budget", "acceptance-risk", "roundness", "photo-length",
    ),
    Message("How long does it last, and what to stock?"): (
        "replacement-age", "weibull-fit", "renewals", "power-law-process", "spares-stock",
        "critical-stock",
    ),
}  # fmt: skip
"""Each question with the calculators that answer it, the one most asked for first."""


_ALSO: Mapping[str, str] = {
    "stack-clock": Message("elbow, shims, foot-valve housing"),
    "coverage": Message("film, square metres, how much paint"),
    "hose-loss": Message("pressure drop"),
    "stall-creep": Message("foot valve, piston valve"),
    "conformance": Message("too near the limit, tolerance"),
    "gland-turn": Message("packings, gland nut"),
    "wrench-extension": Message("torque wrench, crow foot"),
    "suction-margin": Message("cavitation, NPSH"),
    "cup-viscosity": Message("flow cup, seconds"),
}
"""Words of the trade that some are looked for by."""


def text_of(calculator: Calculator) -> str:
    """All that a calculator is found by: name, title, what goes in and what comes out."""
    outputs = (out.label for out in calculator.outputs.values())
    return " ".join((calculator.name, calculator.title, *(f.label for f in calculator.fields),
                     *outputs, _ALSO.get(calculator.name, ""))).lower()  # fmt: skip


def grouped(words: str = "") -> tuple[tuple[str, tuple[Calculator, ...]], ...]:
    """The questions with their calculators: all, or those that hold all of these words."""
    wanted = words.lower().split()
    known = {c.name: c for c in all_calculators()}
    found = []
    for question, names in QUESTIONS.items():
        held = tuple(
            known[n] for n in names
            if all(w in f"{question.lower()} {text_of(known[n])}" for w in wanted)
        )  # fmt: skip
        if held:
            found.append((question, held))
    return tuple(found)
