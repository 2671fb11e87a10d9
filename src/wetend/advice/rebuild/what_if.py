"""What-if calculation for any set of shims, on top of the cage and under it."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from pydantic import Field

from wetend.advice.rebuild.answer import StackFit, Variant
from wetend.advice.rebuild.shims import ending
from wetend.advice.rebuild.stack import read_stack
from wetend.advice.rebuild.variants import variant_of
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.units.message import Message, joined
from wetend.units.noun import Noun
from wetend.units.quantity import M
from wetend.units.show import fine_length

Shim = Annotated[M, Field(ge=1e-5, le=0.02)]


class ShimsTried(Noun):
    """Shims as someone means to put them in."""

    on_top: tuple[Shim, ...] = Field(
        default=(), max_length=12, title=Message("Shims on top of the cage")
    )
    under: tuple[Shim, ...] = Field(
        default=(), max_length=12, title=Message("Shims under the cage")
    )


def _named(tried: ShimsTried) -> str:
    parts = []
    if tried.on_top:
        parts.append(
            Message("{join} on top", join=joined(" + ", (fine_length(s) for s in tried.on_top)))
        )
    if tried.under:
        parts.append(
            Message(
                "{join} under the cage", join=joined(" + ", (fine_length(s) for s in tried.under))
            )
        )
    return joined(", ", parts) or Message("no shims at all")


def what_if(
    pump: Pump, measured: StackMeasured, fit: StackFit, tried: ShimsTried
) -> tuple[Variant, Variant]:
    """The stack as computed, and as tried, to stand side by side.

    Raises:
        BadInput: the measured heights can't be this pump's.
    """
    state = read_stack(pump, measured)
    right = ending(state, fit.target, on_top=fit.shims)
    asked = ending(state, fit.target, on_top=tried.on_top, under=tried.under)
    made = variant_of(state, Message("as calculated"), right, right)
    other = variant_of(state, _named(tried), asked, right)
    same = sorted(tried.on_top) == sorted(fit.shims) and not tried.under
    return (
        replace(made, on_top=fit.shims, why=""),
        replace(other, on_top=tried.on_top, under=tried.under, why="" if same else other.why),
    )
