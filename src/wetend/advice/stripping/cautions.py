"""What can hurt a person or a part at one step of a strip. Common practice, no source."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from wetend.advice.reasons import Caution, Grade
from wetend.advice.stripping.tools import LEVERED, STRUCK
from wetend.pump.parts import PartName
from wetend.pump.strip_graph import Operation, Surface

_MANUAL = "The maker's manual comes first."
_WET: frozenset[PartName] = frozenset(
    {"outlet-filter", "suction-elbow", "strainer", "foot-housing", "clamp-ring", "cylinder"}
)  # fmt: skip
"""Parts that hold liquid, and perhaps pressure, back until they are opened."""
_MOVES: frozenset[PartName] = frozenset({"rod", "coupling", "drive"})

SURFACE_WORDS: dict[Surface, str] = {
    "rod": "chromed rod", "rod-end": "rod end", "seal-land": "seal land", "seat": "seat",
    "thread": "thread", "bore": "bore", "ball": "ball", "packings": "packings",
}  # fmt: skip
"""Surfaces in the trade's words."""


def cautions_at(
    operation: Operation,
    *,
    tools: Collection[str],
    bare: Collection[Surface],
    opened: Collection[PartName],
    loose: bool = False,
) -> tuple[Caution, ...]:
    """Cautions for one step, the gravest first.

    Args:
        operation: what is done.
        tools: keys of the tools used.
        bare: surfaces laid bare by earlier steps.
        opened: parts worked on in earlier steps; none at the first step.
        loose: the assembly is no longer held together.
    """
    found = [*_dangers(operation, set(tools), opened), *_cares(operation, set(tools), bare)]
    if loose and operation.needs_held:
        found.append(
            Caution(
                "The assembly is no longer held: block it on timber and have a second person hold "
                f"it before any lever pulls. {_MANUAL}"
            )
        )
    return tuple(dict.fromkeys(found))


def _dangers(
    operation: Operation, tools: set[str], opened: Collection[PartName]
) -> Iterator[Caution]:
    if not opened:
        yield Caution(
            "Stored pressure: no spanner before the drive is locked off, the dump valve is open "
            f"and zero is proven at the gauge and at the gun. {_MANUAL}"
        )
    for line in operation.cautions:
        yield Caution(f"{line.rstrip('.')}. {_MANUAL}")
    yield from moving(operation.part)
    if operation.part in _WET:
        yield from _wet(operation.part, opened)
    yield from swung(tools)


def moving(part: PartName) -> Iterator[Caution]:
    """What a part that can move of itself may do to a hand."""
    if part in _MOVES:
        yield Caution(
            "Crush and cut: a rod can move, drop or spring though it stands still. Keep hands "
            f"clear of its ends and chock it. {_MANUAL}"
        )


def swung(tools: Collection[str]) -> Iterator[Caution]:
    """What tools that slip or strike may do."""
    if LEVERED & set(tools):
        yield Caution(
            "A levered spanner slips: pull, don't push, feet set, hand and face out of its swing. "
            f"{_MANUAL}"
        )
    if STRUCK & set(tools):
        yield Caution("Eye protection when striking; keep the other hand off the struck end.")


def _wet(part: PartName, opened: Collection[PartName]) -> Iterator[Caution]:
    """Said once for each part, and of vapour once in a plan, so that it is still read."""
    if part not in opened:
        yield Caution(
            "Liquid and pressure can stay behind a stuck ball or a blocked filter: loosen a "
            f"little, let it weep, only then undo. {_MANUAL}"
        )
    if not _WET & set(opened):
        yield Caution(
            "Coating and solvent run out: gloves, eyes and breathing protection to the safety data "
            "sheet; no ignition source, air the place."
        )


def _cares(operation: Operation, tools: set[str], bare: Collection[Surface]) -> Iterator[Caution]:
    near = [SURFACE_WORDS[s] for s in operation.swings_near if s in bare]
    if near and tools:
        yield Caution(
            f"Bare and near the tool: {', '.join(near)}. Wrap it before you swing.", Grade.CARE
        )
    if operation.exposes or operation.unshields:
        surfaces = dict.fromkeys((*operation.exposes, *operation.unshields))
        words = ", ".join(SURFACE_WORDS[s] for s in surfaces)
        yield Caution(
            f"Now bare: {words}. Nothing hard may touch it; lay it on timber.", Grade.CARE
        )
