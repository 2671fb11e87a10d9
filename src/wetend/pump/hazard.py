"""Keys of the hazards of the work, and what a pump's own description warns of at a step."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, model_validator

from wetend.units.noun import Line, Noun

Hazard = Literal[
    "injection", "stored-pressure", "loaded-hose", "weakest-part", "low-pressure-first",
    "rod-moves", "pinch", "trapped-liquid", "run-back", "spraying", "catching", "dump-hose", "fire",
    "phone", "confined-space", "chlorinated-solvent", "isocyanate", "hardener", "lead", "health",
    "pot-life", "rags", "noise", "hot-drive", "lifting", "not-held", "lever", "hard-pull", "blow",
    "springs-out", "no-tube", "electric-drive", "hydraulic-drive", "air-drive", "engine-drive",
    "heating", "thread-short", "surface", "stack", "thread", "measuring",
]  # fmt: skip
"""What can hurt a person, a part or the work; :mod:`wetend.advice.safety.hazards` says each."""


class StepCaution(Noun):
    """What can go wrong at one step of this very pump.

    Text alone will do; with its hazard named it takes that hazard's grade, and stands in place of
    what is usually said of it.
    """

    text: Line = Field(min_length=1)
    hazard: Hazard | None = None

    @model_validator(mode="before")
    @classmethod
    def _text_alone(cls, given: Any) -> Any:
        return {"text": given} if isinstance(given, str) else given
