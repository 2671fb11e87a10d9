"""One call that draws what a part may look like."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from wetend.advice.inspect.looks.look import Look
from wetend.drawings.looks import barrel, seals, valve
from wetend.drawings.looks.tile import tile
from wetend.drawings.words import AS_WRITTEN
from wetend.pump.description import Pump
from wetend.pump.measurements import PART_TITLES
from wetend.units.message import Message, Words

_DRAWS: Mapping[str, Callable[[Pump, Look], tuple[str, str]]] = {
    "foot-ball": lambda pump, look: valve.ball(pump.foot_valve, look),
    "piston-ball": lambda pump, look: valve.ball(pump.piston_valve, look),
    "foot-seat": lambda pump, look: valve.seat(pump.foot_valve, look),
    "piston-seat": lambda pump, look: valve.seat(pump.piston_valve, look),
    "rod": barrel.rod,
    "cylinder": barrel.cylinder,
    "seal-land": seals.land,
    "moving-packings": lambda pump, look: seals.rings(pump.moving_packings, look),
    "static-packings": lambda pump, look: seals.rings(pump.static_packings, look),
}
PARTS = tuple(_DRAWS)
"""Parts whose looks are drawn, as the inspection calls them."""
_TITLES: Mapping[str, str] = {
    **{str(part): title for part, title in PART_TITLES.items()},
    "seal-land": Message("seal land"),
}


def picture(pump: Pump, part: str, look: Look, *, reader: Words = AS_WRITTEN) -> str:
    """A part as it may look, drawn from this pump's sizes and the judge's limits.

    Args:
        pump: whose part.
        part: as the inspection calls it.
        look: one of its looks.
        reader: who reads the words.
    """
    inside, counted = _DRAWS[part](pump, look)
    return tile(_TITLES[part], look.title, look.verdict, inside, counted, reader)
