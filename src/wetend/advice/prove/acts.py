"""The acts of proving a rebuilt pump, each with instructions, caution and readings.

An act may be judged by several tests: one stall shows both valves, the outside and the gauge. How
each is done is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import caution, for_screen
from wetend.units.message import Message
from wetend.units.stated import stated

Group = Literal["bench", "stall", "running", "handover"]

GROUPS: Final[dict[Group, str]] = {
    "bench": Message("On the bench"),
    "stall": Message("At stall"),
    "running": Message("Running"),
    "handover": Message("Before hand-over"),
}
"""The four groups of acts in the order they are done."""

FIRST_PRESSURE: Final = caution("low-pressure-first")
"""Stands once, before the first act that brings pressure."""


@dataclass(frozen=True)
class Act:
    """One thing to do and read."""

    key: str
    group: Group
    title: str
    how: str
    fields: tuple[str, ...]
    """Fields of the proof readings that it fills."""
    caution: Caution | None = None
    also: tuple[Caution, ...] = ()
    """Further hazards of the same act."""

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What to show right before it, one a hazard, the gravest first."""
        return for_screen(*((self.caution,) if self.caution else ()), *self.also)


def solvent_how(solvent: str) -> str:
    """How a ball is tried with a solvent, by its name."""
    return Message(
        "Before closing the pump: pour {solvent} over the seated foot-valve "
        "ball, wait two minutes or more, catch and count what comes through (20 drops are "
        "about {volume}).",
        solvent=solvent,
        volume=stated("1 mL"),
    )


_ACTS = (
    Act(
        "solvent",
        "bench",
        Message("Solvent on the seated ball"),
        solvent_how(Message("the coating's solvent")),
        ("solvent_lost", "solvent_head", "solvent_time"),
        caution("fire"),
    ),
    Act(
        "stall",
        "stall",
        Message("Stall hold, both ways"),
        Message(
            "To stop it on the way up, shut the gun in mid-stroke while the rod goes up, away from "
            "the turns; for the way down, while it goes down. Let the hose take up its pressure "
            "for a minute, mark the rod, wait a minute or more, read how far it moved. The first "
            "minute's travel is not creep."
        ),
        ("stall_pressure", "stall_settled", "stall_time", "stall_creep_up", "stall_creep_down"),
        caution("rod-moves"),
    ),
    Act(
        "hold",
        "stall",
        Message("Pressure hold"),
        Message(
            "Only where nothing can move the rod: shut in the drive's own fluid on both sides, or "
            "shut a cock at the outlet. Gun and dump valve shut, bring it to working pressure, "
            "hold, "
            "read the gauge now and a minute or more later. With the drive vented skip it: the "
            "hose then moves the rod, and the stall both ways shows outside leakage."
        ),
        ("rod_held", "hold_start", "hold_end", "hold_time"),
        caution("injection"),
    ),
    Act(
        "bucket",
        "running",
        Message("Bucket against displacement"),
        Message(
            "Nozzle out, low pressure: catch forty cycles or more in a measuring pail, counting "
            "from one upper turn to another; up and down are one cycle."
        ),
        ("bucket_volume", "bucket_cycles"),
        caution("catching"),
        (
            caution(
                "stored-pressure",
                Message("Nozzle out only with the drive isolated and zero proven."),
            ),
            caution("noise"),
        ),
    ),
    Act(
        "rhythm",
        "running",
        Message("Strokes timed"),
        Message("Spraying steadily, tap a dozen turns and take the mean of each way."),
        ("up_time", "down_time"),
        caution("spraying"),
        (caution("phone"), caution("noise")),
    ),
    Act(
        "wet-cup",
        "running",
        Message("Wet cup"),
        Message(
            "Wipe the cup, fill it fresh, run ten minutes under pressure, look for coating in it."
        ),
        ("wet_cup",),
        caution(
            "rod-moves",
            Message(
                "The rod moves while you look: no finger in the cup unless the drive is isolated "
                "and zero is proven."
            ),
        ),
    ),
    Act(
        "guards",
        "handover",
        Message("Guards and whip checks"),
        Message("Every guard on and fast, a whip check over every joint of air and paint hose."),
        ("guards", "whip_checks"),
        caution(
            "stored-pressure",
            Message("Fit guards and whip checks only with the drive isolated and zero proven."),
        ),
    ),
    Act(
        "hose",
        "handover",
        Message("Hose, age and cover"),
        Message(
            "Read the date on each ferrule against the age that its maker or the site allows. Look "
            "the cover over from end to end: no cut, blister, kink or bare braid, none loose at a "
            "ferrule."
        ),
        ("hose_age", "hose_cover"),
        caution(
            "injection",
            Message(
                "Look with the pressure off and never slide a hand along a hose under pressure: a "
                "jet from a pin-hole goes through skin and glove."
            ),
        ),
    ),
    Act(
        "bonding",
        "handover",
        Message("Bonding"),
        Message(
            "With an ohmmeter, bare metal to bare metal: pump to its earth point, pump to the "
            "pail, "
            "pump to the object. Enter the largest. For the gun over its hose the hose maker's "
            "figure counts."
        ),
        ("bonding",),
        caution(
            "fire",
            Message(
                "A meter can spark: where there may be vapour only one approved for that zone, or "
                "measure before any solvent is opened."
            ),
        ),
    ),
    Act(
        "limit",
        "handover",
        Message("Relief valve or regulator"),
        Message(
            "Raise the supply slowly against the shut gun until relief valve or regulator holds "
            "it, "
            "never past the weakest rating; read the highest that the gauge shows, at the drive's "
            "supply or at the pump's outlet."
        ),
        ("limit_setting", "limit_where"),
        caution("weakest-part"),
    ),
    Act(
        "trigger-lock",
        "handover",
        Message("Trigger lock"),
        Message(
            "At low pressure, nozzle guard on, gun at the work or a test sheet: lock the trigger "
            "and squeeze hard. Nothing may come."
        ),
        ("trigger_lock",),
        caution(
            "spraying",
            Message(
                "It may fire: aim at the work or a test sheet, nozzle guard on, nobody in front."
            ),
        ),
    ),
    Act(
        "dump-valve",
        "handover",
        Message("Dump valve"),
        Message(
            "Drive off, dump hose tied into a bonded metal pail: open it, the gauge falls at once. "
            "Shut it, bring up low pressure: no drip from its end for a minute."
        ),
        ("dump_valve",),
        caution(
            "catching",
            Message(
                "It comes out with force: dump hose tied into a bonded metal pail, face out "
                "of line."
            ),
        ),
    ),
    Act(
        "gauge-zero",
        "handover",
        Message("Gauge back to zero"),
        Message(
            "With the drive isolated, gun tried and dump valve open, the needle rests on its stop. "
            "One that hangs above it, or is bent past it, is changed before the pump goes back."
        ),
        ("gauge_zero",),
    ),
)

ACTS: Final[dict[str, Act]] = {act.key: act for act in _ACTS}
"""Every act by key, in the order it is done."""


def in_group(group: Group) -> tuple[Act, ...]:
    """The acts of one group, in order."""
    return tuple(act for act in _ACTS if act.group == group)


def warned(acts: Iterable[Sequence[Caution]]) -> Iterator[tuple[Caution, ...]]:
    """Each act's cautions but those whose hazard was named above it already."""
    named: set[str] = set()
    for cautions in acts:
        yield tuple(c for c in cautions if c.hazard not in named)
        named.update(c.hazard for c in cautions)
