"""Whether a stack as measured can be of this pump, checked before anything is computed."""

from __future__ import annotations

from wetend.errors import BadInput, NoAnswer, Problem
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.units.message import Message
from wetend.units.quantity import M
from wetend.units.stated import stated
from wetend.units.suggestions import near_or_all

_TALLEST = 0.2
_THINNEST: M = 1e-5
"""No ring or shim is thinner: below this a number is a slip of the unit."""
_THICKEST = 0.02


def check_stack(pump: Pump, measured: StackMeasured) -> list[M]:
    """The height of every part of the stack, measured or as described.

    Raises:
        BadInput: a measured part this pump does not have, or a size that cannot be.
        NoAnswer: a clamp-ring stack without any soft ring has no squeeze to set, or a soft ring is
            too soft to bear its clamp.
    """
    heights = _heights(pump, measured)
    _tin(measured)
    soft = [p for p in pump.stack.parts if p.kind == "soft-ring" and p.stiffness]
    if pump.stack.held_by == "clamp-ring" and not soft:
        raise NoAnswer(
            Message(
                "A clamp-ring stack without a soft ring has no squeeze to set: describe its "
                "soft rings."
            )
        )
    least = min(pump.stack.clamp_low, pump.stack.clamp_high)
    for part, height in zip(pump.stack.parts, heights, strict=True):
        if part in soft and part.stiffness and least / part.stiffness >= height:
            flat = part.title or part.name.replace("-", " ")
            raise NoAnswer(
                Message(
                    "The least clamp would press the {flat} flat: check its stiffness, its "
                    "height and the clamp in the pump's description.",
                    flat=flat,
                )
            )
    return heights


def _problem(field: str, sentence: str) -> BadInput:
    return BadInput(sentence, (Problem(field, sentence),))


def _heights(pump: Pump, measured: StackMeasured) -> list[M]:
    known = {p.name: p for p in pump.stack.parts}
    for name in measured.heights:
        if name not in known:
            raise _problem(
                "heights",
                Message(
                    "This pump's stack has no part “{name}”; {there_are}",
                    name=name,
                    there_are=near_or_all(name, known, Message("it has")),
                ),
            )
    heights = [measured.heights.get(p.name, p.height) for p in pump.stack.parts]
    for part, height in zip(pump.stack.parts, heights, strict=True):
        if not _THINNEST <= height <= _TALLEST:
            raise _problem(
                "heights",
                Message(
                    "The height of “{name}” must be from {least} to {most}.",
                    name=part.name,
                    least=stated("0.01 mm"),
                    most=stated("200 mm"),
                ),
            )
    return heights


def _tin(measured: StackMeasured) -> None:
    if any(not _THINNEST <= shim <= _THICKEST for shim in measured.tin):
        raise _problem(
            "tin",
            Message(
                "Every shim must be from {least} to {most} thick.",
                least=stated("0.01 mm"),
                most=stated("20 mm"),
            ),
        )
