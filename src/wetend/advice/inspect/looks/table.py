"""The looks of each part of an inspection, by its key."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from wetend.advice.inspect.looks import barrel, seals, valve
from wetend.advice.inspect.looks.look import Look, Looks
from wetend.keeping import MB, kept
from wetend.pump.coating import Coating
from wetend.pump.description import Pump

_TABLE: Mapping[str, Callable[[Pump, Coating | None, int], Looks]] = {
    "foot-ball": lambda pump, coating, _: valve.balls(pump, coating, "foot"),
    "piston-ball": lambda pump, coating, _: valve.balls(pump, coating, "piston"),
    "foot-seat": lambda pump, coating, used: valve.seats(pump, coating, "foot", used),
    "piston-seat": lambda pump, coating, used: valve.seats(pump, coating, "piston", used),
    "rod": lambda pump, coating, _: barrel.rods(pump, coating),
    "cylinder": lambda pump, coating, _: barrel.cylinders(pump, coating),
    "seal-land": lambda *_: seals.lands(),
    "moving-packings": lambda pump, *_: seals.packings(pump, "moving"),
    "static-packings": lambda pump, *_: seals.packings(pump, "static"),
}


@kept("looks of parts", most=4 * MB)
def looks_of(
    pump: Pump, coating: Coating | None, part: str, *, faces_used: int = 0
) -> tuple[Look, ...]:
    """What one part may look like on this pump, from new to condemned.

    Args:
        pump: whose limits they are drawn from.
        coating: of the visit; with one, limits may follow from what damage leaks.
        part: as the inspection calls it; one that is a test has no looks.
        faces_used: faces of a seat used already, which decides between turning and replacing.
    """
    made = _TABLE.get(part)
    return tuple(made(pump, coating, faces_used)) if made else ()
