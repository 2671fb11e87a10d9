"""Where and how each part of an inspection is measured, drawn from a pump's description."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from wetend.drawings.measuring import barrel, plates, seals, stack, valves
from wetend.drawings.measuring.plates import Plate
from wetend.drawings.words import AS_WRITTEN
from wetend.errors import NotFound
from wetend.keeping import MB, kept
from wetend.pump.description import Pump
from wetend.units.message import Message, Words

BENCHES: Mapping[str, tuple[str, Callable[[Pump], tuple[Plate, ...]]]] = {
    "foot-ball": (Message("Measuring the foot-valve ball"), lambda p: valves.ball(p.foot_valve)),
    "foot-seat": (Message("Measuring the foot-valve seat"), lambda p: valves.seat(p.foot_valve)),
    "foot-test": (
        Message("Solvent test of the foot valve"),
        lambda p: valves.solvent(p.foot_valve),
    ),
    "rod": (Message("Measuring the piston rod"), barrel.rod),
    "cylinder": (Message("Measuring the cylinder"), barrel.cylinder),
    "seal-land": (Message("Measuring the seal land"), seals.land),
    "moving-packings": (
        Message("Measuring the moving packings"),
        lambda p: seals.rings(p, "moving-packings"),
    ),
    "static-packings": (
        Message("Measuring the static packings"),
        lambda p: seals.rings(p, "static-packings"),
    ),
    "piston-ball": (
        Message("Measuring the piston-valve ball"),
        lambda p: valves.ball(p.piston_valve),
    ),
    "piston-seat": (
        Message("Measuring the piston-valve seat"),
        lambda p: valves.seat(p.piston_valve),
    ),
    "piston-test": (
        Message("Solvent test of the piston valve"),
        lambda p: valves.solvent(p.piston_valve),
    ),
    "stack": (Message("Measuring the seal stack"), stack.stack),
}
"""What is measured: its title, and its plates on a pump. Keys are those of the inspection's parts,
and ``"stack"`` for the heights of the rebuild."""


def _of(part: str) -> tuple[str, Callable[[Pump], tuple[Plate, ...]]]:
    if part not in BENCHES:
        raise NotFound(Message("There is no such part to measure. Choose one from the list."))
    return BENCHES[part]


@kept("pictures of measuring", most=4 * MB)
def measuring(pump: Pump, part: str, *, reader: Words = AS_WRITTEN) -> str:
    """Where one part is measured: instrument, places, directions, what not to touch.

    Raises:
        NotFound: there is no such part.

    >>> from wetend.pump.toml import demo_pump
    >>> measuring(demo_pump("quay-air"), "rod").startswith("<svg ")
    True
    """
    title, made = _of(part)
    return plates.drawn(title, made(pump), reader=reader)
