"""What can hurt a person or a part at one step of a strip. Common practice, no source."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from wetend.advice.reasons import Caution
from wetend.advice.tools import LEVERED, STRUCK
from wetend.pump.parts import PartName
from wetend.pump.strip_graph import Operation, Surface

_MANUAL = "The maker's manual comes first."
_WET: frozenset[PartName] = frozenset(
    {"outlet-filter", "suction-elbow", "strainer", "foot-housing", "clamp-ring", "cylinder",
     "foot-ball", "foot-seat", "static-packings"}
)  # fmt: skip
_MOVES: frozenset[PartName] = frozenset({"rod", "coupling", "drive", "piston"})

SURFACE_WORDS: dict[Surface, str] = {
    "rod": "chromed rod", "rod-end": "rod end", "seal-land": "seal land", "seat": "seat",
    "thread": "thread", "bore": "bore", "ball": "ball", "packings": "packings",
}  # fmt: skip
"""Surfaces in the trade's words."""


def cautions_at(
    operation: Operation,
    *,
    tools: Collection[str],
    first: bool,
    bare: Collection[Surface],
) -> tuple[Caution, ...]:
    """Cautions for one step, the gravest first.

    Args:
        operation: what is done.
        tools: keys of the tools used.
        first: whether this is the first step of the plan.
        bare: surfaces laid bare by earlier steps.
    """
    found = [*_dangers(operation, set(tools), first), *_cares(operation, set(tools), bare)]
    return tuple(dict.fromkeys(found))


def _dangers(operation: Operation, tools: set[str], first: bool) -> Iterator[Caution]:
    if first:
        yield Caution(
            "Stored pressure: no spanner before the drive is locked off, the dump valve is open "
            f"and zero is proven at the gauge and at the gun. {_MANUAL}"
        )
    for line in operation.cautions:
        yield Caution(f"{line.rstrip('.')}. {_MANUAL}")
    if operation.part in _MOVES:
        yield Caution(
            "Crush and cut: a rod can move, drop or spring though it stands still. Keep hands "
            f"clear of its ends and chock it. {_MANUAL}"
        )
    if operation.part in _WET:
        yield Caution(
            "Liquid and pressure can stay behind a stuck ball or a blocked filter: loosen a "
            "little, let it weep, only then undo. Gloves, eyes and breathing protection to the "
            "safety data sheet; solvent vapour: no ignition source, air the place."
        )
    if tools & LEVERED:
        yield Caution(
            "A levered spanner slips: pull, don't push, feet set, hand and face out of its swing. "
            f"{_MANUAL}"
        )
    if tools & STRUCK:
        yield Caution("Eye protection when striking; keep the other hand off the struck end.")


def _cares(operation: Operation, tools: set[str], bare: Collection[Surface]) -> Iterator[Caution]:
    near = [SURFACE_WORDS[s] for s in operation.swings_near if s in bare]
    if near and tools:
        yield Caution(
            f"Bare and near the tool: {', '.join(near)}. Wrap it before you swing.", "care"
        )
    if operation.exposes or operation.unshields:
        surfaces = dict.fromkeys((*operation.exposes, *operation.unshields))
        words = ", ".join(SURFACE_WORDS[s] for s in surfaces)
        yield Caution(f"Now bare: {words}. Nothing hard may touch it; lay it on timber.", "care")
