"""Drawings of documents, each drawn once its reader is known."""

from __future__ import annotations

from wetend.advice.rebuild.answer import StackFit
from wetend.drawings import clock, stack
from wetend.drawings.ink import standalone
from wetend.pump.description import Pump
from wetend.reports.blocks import Drawn


def faced(pump: Pump, fit: StackFit) -> Drawn:
    """The elbow on its clock face."""
    return lambda reader: standalone(
        clock.face(
            fit.stop_angle, fit.spread.low, fit.spread.high, fit.target,
            pump.stack.target_within, set_by_hand=fit.turns_freely, reader=reader,
        )
    )  # fmt: skip


def stacked(pump: Pump, fit: StackFit) -> Drawn:
    """The seal stack in section."""
    return lambda reader: standalone(stack.section(fit, pump, reader=reader))
