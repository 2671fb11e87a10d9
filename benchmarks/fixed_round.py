"""The usual round of checks, done whole: what advice is compared with."""

from __future__ import annotations

from wetend.advice.diagnosis.hidden import HiddenPump
from wetend.advice.diagnosis.policy import (
    PARTICLES,
    Asked,
    PolicyRun,
    Trial,
    asked_at,
    opened_in_order,
)
from wetend.pump.readings import CheckKey

TEXTBOOK: tuple[CheckKey, ...] = (
    "wet-cup", "gauge-spray", "strokes", "gauge-stall", "creep", "supply", "early-drop", "cycles",
)  # fmt: skip
"""In this order. Common practice, no source."""


def play_fixed(
    asked: Asked, pump: HiddenPump, *, seed: int, particles: int = PARTICLES
) -> PolicyRun:
    """The round, then the order of opening that it leaves best."""
    trial, fields = Trial(pump, seed), asked_at(asked)
    for check in TEXTBOOK:
        fields |= trial.read(check)
    return opened_in_order(
        asked, trial, asked.stand(fields, TEXTBOOK, particles=particles), TEXTBOOK
    )
