"""What can hurt a person or a part at one step of a strip. Common practice, no source."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import caution, for_screen, merged
from wetend.advice.safety.site_hazards import exposure
from wetend.advice.safety.weight import lifting
from wetend.advice.strip.tools import LEVERED, NO_TUBE_ON, SPANNERS, STRUCK
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.hazard import StepCaution
from wetend.pump.parts import PartName
from wetend.pump.site import SiteFacts
from wetend.pump.strip_graph import Operation, Surface
from wetend.units.message import Message, joined

_WET: frozenset[PartName] = frozenset(
    {"outlet-filter", "suction-elbow", "strainer", "foot-housing", "clamp-ring", "cylinder"}
)  # fmt: skip
"""Parts that hold liquid, and perhaps pressure, back until they are opened."""
_DRIVEN: frozenset[PartName] = frozenset({"coupling", "drive"})

SURFACE_WORDS: dict[Surface, str] = {
    "rod": Message("chromed rod"),
    "rod-end": Message("rod end"),
    "seal-land": Message("seal land"),
    "seat": Message("seat"),
    "thread": Message("thread"),
    "bore": Message("bore"),
    "ball": Message("ball"),
    "packings": Message("packings"),
}
"""Surfaces in the trade's words."""


@dataclass(frozen=True)
class Scene:
    """What makes a hazard of this very job: the pump, the coating in it, the site."""

    pump: Pump
    coating: Coating | None = None
    site: SiteFacts | None = None


def cautions_at(
    operation: Operation,
    scene: Scene,
    *,
    tools: Collection[str],
    bare: Collection[Surface],
    opened: Collection[PartName],
    loose: bool = False,
) -> tuple[Caution, ...]:
    """Cautions for one step, one a hazard, the gravest first.

    Args:
        operation: what is done.
        scene: the pump, the coating in it, the site.
        tools: keys of the tools used.
        bare: surfaces laid bare by earlier steps.
        opened: parts worked on in earlier steps; none at the first step.
        loose: the assembly is no longer held together.
    """
    found = [
        *own(operation.cautions),
        *_pressed(operation, opened),
        *moved(operation, scene, opened),
        *_wet(operation, scene, opened),
        *swung(operation, tools),
        *merged(_bared(operation, tools, bare)),
    ]
    if loose and operation.needs_held:
        found.append(caution("not-held"))
    return for_screen(*found)


def own(cautions: Collection[StepCaution]) -> Iterator[Caution]:
    """What the pump's own description warns of."""
    for each in cautions:
        text = each.text if each.text.endswith(".") else f"{each.text}."
        yield caution(each.hazard, text) if each.hazard else Caution(text)


def _pressed(operation: Operation, opened: Collection[PartName]) -> Iterator[Caution]:
    """Of pressure: at the first step whatever it is, then what a part may hold back by itself."""
    if not opened:
        yield caution("stored-pressure")
    hides = any(c.hazard == "stored-pressure" for c in operation.cautions)
    if operation.part in _WET and operation.part not in opened and not hides:
        yield caution("trapped-liquid")


def moved(
    operation: Operation, scene: Scene, opened: Collection[PartName] = ()
) -> Iterator[Caution]:
    """What moves, drops or is pushed by hand at a step, and what may still be hot."""
    if operation.part in _DRIVEN:
        yield caution(
            "rod-moves",
            Message(
                "The rod can move, drop or spring though it stands still: hands clear of its "
                "ends, chock it."
            ),
        )
        if not _DRIVEN & set(opened):
            yield caution("hot-drive")
    if operation.part == "rod":
        yield caution("pinch")
    if operation.ends_hold:
        yield lifting(scene.pump, scene.site)


def swung(operation: Operation, tools: Collection[str]) -> Iterator[Caution]:
    """What tools that slip or strike may do."""
    used = set(tools)
    if LEVERED & used or (operation.needs_held and SPANNERS & used):
        yield caution("lever")
    if STRUCK & used:
        yield caution("blow")
    if operation.needs_held and NO_TUBE_ON & used:
        yield caution("no-tube")


def _wet(operation: Operation, scene: Scene, opened: Collection[PartName]) -> Iterator[Caution]:
    """Of the liquid that runs out: said once in a plan, so that it is still read."""
    if operation.part not in _WET or _WET & set(opened):
        return
    if scene.coating is None or scene.coating.burns:
        yield caution(
            "fire",
            Message(
                "Coating and solvent run out and their vapour burns: no flame, spark or hot "
                "surface, ventilate."
            ),
        )
    yield from exposure(scene.coating)


def _bared(
    operation: Operation, tools: Collection[str], bare: Collection[Surface]
) -> Iterator[Caution]:
    yield from near_bare(operation, tools, bare)
    if operation.exposes or operation.unshields:
        surfaces = dict.fromkeys((*operation.exposes, *operation.unshields))
        words = joined(", ", (SURFACE_WORDS[s] for s in surfaces))
        yield caution(
            "surface",
            Message("Now bare: {words}. Nothing hard may touch it; lay it on timber.", words=words),
        )


def near_bare(
    operation: Operation, tools: Collection[str], bare: Collection[Surface]
) -> Iterator[Caution]:
    """That a tool swings near a surface laid bare before."""
    near = [SURFACE_WORDS[s] for s in operation.swings_near if s in bare]
    if near and tools:
        words = joined(", ", near)
        yield caution(
            "surface",
            Message("Bare and near the tool: {words}. Wrap it before you swing.", words=words),
        )
