"""First suspicion from what is seen, before any figure is read: the trade's symptom table."""

from __future__ import annotations

from wetend.advice.fault_finding.faults import Fault, Suspicion
from wetend.pump.readings import Complaint, Sight

_FOOT, _PISTON, _STATIC = Fault.FOOT_VALVE, Fault.PISTON_VALVE, Fault.STATIC_PACKINGS
_NOZZLE, _STARVED, _DRIVE, _FILTER = (
    Fault.NOZZLE, Fault.STARVED, Fault.DRIVE_WEAK, Fault.FILTER,
)  # fmt: skip

SIGNS: dict[Sight, dict[Fault, str]] = {
    "down-stroke quick": {
        _FOOT: "A quick down-stroke means the foot valve lets coating back.",
    },
    "up-stroke quick": {
        _PISTON: "A quick up-stroke means coating slips past piston valve, packings or a scored "
        "bore.",
    },
    "both strokes quick": {
        _NOZZLE: "Both strokes quick: a worn nozzle, a leak to the outside or an open bypass.",
        _STATIC: "Both strokes quick is also how leaking static packings look.",
    },
    "quick drop at the start of the down-stroke": {
        _STARVED: "A quick drop at first means the cylinder did not fill: starved or drawing air.",
    },
    "coating in the wet cup": {
        _STATIC: "Coating in the wet cup has come past the static packings.",
    },
    "gauge low while spraying": {
        _NOZZLE: "A low gauge while spraying, strokes quick: a worn nozzle or a leak outside.",
        _FILTER: "A low gauge while spraying, stall pressure good: a blocked filter.",
    },
    "gauge low at stall": {
        _DRIVE: "A gauge low at stall means the drive gives too little force.",
    },
    "slow both ways": {
        _DRIVE: "Slow both ways with a low stall means a weak drive supply.",
        _FILTER: "Slow both ways, stall good: filter or hose blocked, or a coating cold or thick.",
    },
    "creeps down at stall": {
        _FOOT: "A rod that creeps down at stall has a foot valve that doesn't hold.",
    },
    "creeps up at stall": {
        _PISTON: "A rod that creeps up at stall: piston valve or moving packings don't hold.",
    },
    "leak to the outside": {
        _STATIC: "A leak to the outside at the rod is the static packings'.",
    },
    "fan tails or pulses": {
        _FILTER: "A fan with tails lacks pressure at the nozzle: filter, hose or thick coating.",
        _NOZZLE: "A fan with tails is also how a worn nozzle sprays.",
    },
    "knocks at the turn": {
        _STARVED: "A knock at the turn means the cylinder did not fill.",
    },
    "will not prime": {
        _STARVED: "A pump that won't prime draws air or is blocked on the suction side.",
        _FOOT: "A pump that won't prime may have a foot valve stuck or not closing.",
    },
}
"""What each sight usually means; common practice, no source."""


def suspect(complaint: Complaint) -> tuple[Suspicion, ...]:
    """First suspicions from the complaint, the one with most signs first.

    By the trade's symptom table (common practice, no source). One suspicion a fault; its ``why``
    gives every sign that points there. Nothing seen gives nothing.

    >>> [s.fault.value for s in suspect(Complaint(seen=("down-stroke quick",)))]
    ['foot valve not holding']
    """
    told: dict[Fault, list[str]] = {}
    for sight in dict.fromkeys(complaint.seen):
        for fault, sentence in SIGNS[sight].items():
            told.setdefault(fault, []).append(sentence)
    ranked = sorted(told.items(), key=lambda item: -len(item[1]))
    return tuple(Suspicion(fault, " ".join(whys)) for fault, whys in ranked)
