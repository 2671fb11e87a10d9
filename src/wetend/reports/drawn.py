"""Drawings of documents, each drawn once its reader is known."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from wetend.advice.rebuild.answer import StackFit
from wetend.drawings import clock, stack
from wetend.drawings.acts.between import between_of
from wetend.drawings.acts.picture import pictures_of
from wetend.drawings.ink import standalone
from wetend.pump.description import Pump
from wetend.pump.strip_graph import Operation
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


def taken_off(
    pump: Pump, operation: Operation, done: Collection[str], used: Sequence[str]
) -> Drawn:
    """An operation of the strip with its tools, after those done before it."""
    return lambda reader: standalone(
        pictures_of(pump, reader=reader).strip(operation, done, used=used, alone=True)
    )


def put_back(
    pump: Pump, operation: Operation, apart: Collection[str], title: str, used: Sequence[str]
) -> Drawn:
    """An operation put back with its tools, while those others are still apart."""
    return lambda reader: standalone(
        pictures_of(pump, reader=reader).rebuild(operation, apart, title, used=used, alone=True)
    )


def between(pump: Pump, key: str, title: str) -> Drawn | None:
    """A step of the rebuild that puts nothing back; ``None`` for one that is no single act."""
    if between_of(key) is None:
        return None
    return lambda reader: standalone(
        pictures_of(pump, reader=reader).between(key, title, alone=True)
    )
