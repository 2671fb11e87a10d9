"""First suspicion from what is seen, before any figure is read: the trade's symptom table."""

from __future__ import annotations

from wetend.advice.diagnosis.faults import Fault, Suspicion
from wetend.pump.readings import Complaint, Sight

_FOOT, _LATE, _PISTON, _STATIC = (
    Fault.FOOT_VALVE, Fault.FOOT_LATE, Fault.PISTON_VALVE, Fault.STATIC_PACKINGS,
)  # fmt: skip
_NOZZLE, _BLOCKED, _FILTER, _OUTSIDE = (
    Fault.NOZZLE, Fault.NOZZLE_BLOCKED, Fault.FILTER, Fault.OUTSIDE,
)  # fmt: skip
_STARVED, _AIR, _WEAK, _SLOW = Fault.STARVED, Fault.AIR, Fault.DRIVE_WEAK, Fault.DRIVE_SLOW

_PULSES = "A fan that pulses with the strokes: a valve or packings on one side don't hold."
_TAILS = (
    "Tails mean too little pressure at the nozzle: filter or hose blocked, hose long or thin, "
    "coating cold or thick."
)
_TAILS_NOZZLE = "A worn nozzle takes the pressure away, and sprays tails too."
_EMPTY = "A quick drop at first means the cylinder did not fill: starved or drawing air."
_KNOCK = (
    "A knock at the turn: the cylinder did not fill, or coupling or collets have play; try those "
    "with the drive locked off."
)
_STANDS = "A pump that stands with pressure on its gauge is stalled against a blockage ahead of it."
_TURN = "A pump that stops at the turn: its changeover sticks, is iced up, or lacks supply."
_RUNS_ON = "A pump that runs on with the gun shut loses what it delivers, or has nothing to deliver"

SIGNS: dict[Sight, dict[Fault, str]] = {
    "does not run": {
        _FILTER: _STANDS,
        _BLOCKED: _STANDS,
        _WEAK: "A pump that stands without pressure lacks its supply, or something holds it fast.",
    },
    "stops at the turn": {_SLOW: _TURN, _WEAK: _TURN},
    "does not stop with the gun shut": {
        _OUTSIDE: f"{_RUNS_ON}: first dump valve and hose.",
        _STARVED: f"{_RUNS_ON}: is the tin empty?",
    },
    "runs but gives no pressure": {
        _STARVED: "No pressure: first the tin, the strainer and the suction's joints.",
        _AIR: "No pressure: first the tin, the strainer and the suction's joints.",
        _OUTSIDE: "No pressure with coating in it: a dump valve open, or a leak outside.",
        _FOOT: "No pressure: a lump under a ball, or a ball dried to its seat.",
    },
    "down-stroke quick": {
        _FOOT: "A quick down-stroke means the foot valve lets coating back.",
    },
    "up-stroke quick": {
        _PISTON: "A quick up-stroke means coating slips past piston valve, packings or a scored "
        "bore.",
    },
    "both strokes quick": {
        _NOZZLE: "Both strokes quick: a worn nozzle, a leak to the outside or an open bypass.",
        _OUTSIDE: "Both strokes quick: a worn nozzle, a leak to the outside or an open bypass.",
        _STATIC: "Both strokes quick is also how leaking static packings look.",
    },
    "quick drop at the start of the down-stroke": {
        _STARVED: _EMPTY,
        _AIR: _EMPTY,
        _LATE: "A quick drop at first is also how a foot-valve ball looks that comes home late.",
    },
    "coating in the wet cup": {
        _STATIC: "Coating in the wet cup has come past the static packings.",
    },
    "gauge low while spraying": {
        _NOZZLE: "A low gauge while spraying, strokes quick: a worn nozzle or a leak outside.",
        _FILTER: "A low gauge while spraying, stall pressure good: a blocked filter.",
    },
    "gauge low at stall": {
        _WEAK: "A gauge low at stall means the drive gives too little force.",
    },
    "slow both ways": {
        _WEAK: "Slow both ways with a low stall means a weak drive supply.",
        _FILTER: "Slow both ways, stall good: filter or hose blocked, or a coating cold or thick.",
        _BLOCKED: "Slow both ways with a good gauge: a part-blocked nozzle.",
    },
    "creeps down at stall": {
        _FOOT: "A rod that creeps down at stall has a foot valve that doesn't hold.",
    },
    "creeps up at stall": {
        _PISTON: "A rod that creeps up at stall: piston valve or moving packings don't hold.",
    },
    "leak to the outside": {
        _OUTSIDE: "A leak to the outside: first hose, dump valve and fittings, looked at from "
        "aside with a light.",
        _STATIC: "Only where it comes out at the rod is a leak the static packings'.",
    },
    "fan pulses": {_FOOT: _PULSES, _PISTON: _PULSES},
    "fan with tails": {
        _FILTER: _TAILS,
        _WEAK: "Tails mean too little pressure at the nozzle: is the supply set too low, or weak?",
        _NOZZLE: _TAILS_NOZZLE,
        _BLOCKED: "A fan with one heavy side or a gap: a part-blocked nozzle; turn it first.",
    },
    "fan tails or pulses": {
        _FILTER: _TAILS,
        _FOOT: _PULSES,
        _PISTON: _PULSES,
        _NOZZLE: _TAILS_NOZZLE,
    },
    "knocks at the turn": {_STARVED: _KNOCK, _AIR: _KNOCK},
    "will not prime": {
        _STARVED: "A pump that won't prime draws air or is blocked on the suction side.",
        _AIR: "A pump that won't prime draws air or is blocked on the suction side.",
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
