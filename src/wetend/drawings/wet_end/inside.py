"""A still of a pump with a fault beside a sound one, both at the same place of the same stroke."""

from __future__ import annotations

from wetend.advice.simulation.film import Film
from wetend.advice.simulation.moment import Moment
from wetend.drawings.traces import NAMED
from wetend.drawings.wet_end.motion import beside
from wetend.drawings.words import AS_WRITTEN
from wetend.pump.description import Pump
from wetend.units.message import Words


def still(
    pump: Pump, this: Film, sound: Film, moment: Moment, *, named: str,
    reader: Words = AS_WRITTEN,
) -> str:  # fmt: skip
    """Both wet ends at the moment that shows the fault.

    Args:
        pump: as described.
        this: its run with the fault, a cycle.
        sound: a sound pump's.
        moment: when; the rods stand at the same share of the same stroke, at times of their own.
        named: what the fault is called in short.
        reader: who reads the words.
    """
    return beside(
        pump, this, sound, time=moment.this_time, sound_time=moment.sound_time, reader=reader,
        named=(named, NAMED[1]), title=moment.sentence,
    )  # fmt: skip
