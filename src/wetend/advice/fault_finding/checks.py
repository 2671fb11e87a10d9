"""The running checks: what each costs, needs and reads, how to do it, and its caution.

Minutes, ways and errors are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from wetend.advice.fault_finding.observables import Key
from wetend.pump.readings import CheckKey, CheckReadings
from wetend.units.quantity import Minutes

PRESSURE_ON = "The pump running, gun and hose under pressure."
STALLED = "The pump stalled against the shut gun."
_STAND_CLEAR = "It can move at any moment: hands clear of rod and coupling, trigger lock on."
_GUN = "Spray into an earthed pail; never point the nozzle at anyone."
_ZERO = (
    "Drive shut and locked off, gun and dump valve opened into an earthed pail, zero proven at "
    "gauge and gun first. A blockage can hide pressure."
)
_NEVER_FEEL = "A jet goes through skin: look from aside with a light, never feel for a leak."


@dataclass(frozen=True)
class Check:
    """One running check."""

    key: CheckKey
    title: str
    reads: tuple[Key, ...]
    minutes: Minutes
    """In minutes."""
    how: str
    needs: str
    caution: str
    read_as: str
    """How it is read, and how well."""


CHECKS = (
    Check("wet-cup", "Look in the wet cup", ("wet_cup",), 0.5,
          "Look in the wet cup: clean, or coating in it? Keep hands off the rod.",
          "Nothing but eyes.", "A rod can move while stalled: look, don't reach in.",
          "Clean, or coating in it. Old coating in a cup never emptied misleads."),
    Check("outside", "Look at hose and dump valve", ("outside_looked",), 1.0,
          "Look along hose, fittings and gun, and at the end of the dump hose: dry, or wet?",
          PRESSURE_ON, _NEVER_FEEL, "Dry or wet. A slow leak can hide under old coating."),
    Check("changeover", "Watch the changeover", ("slow_turn", "knock"), 1.0,
          "Spray and watch the rod turn, top and bottom: even, slow to turn, or a knock?",
          PRESSURE_ON, f"{_GUN} Hands clear of rod and coupling.",
          "Even, slow or knocks. A pause under a tenth of a second isn't seen."),
    Check("early-drop", "Watch the down-stroke start", ("early_drop",), 1.0,
          "Watch the start of the down-stroke: does the rod drop quickly, then slow to normal?",
          PRESSURE_ON, f"{_GUN} Hands clear of rod and coupling.",
          "Yes or no. Less than a twentieth of the stroke is hardly seen."),
    Check("gauge-spray", "Read the gauge while spraying", ("spray_pressure",), 1.0,
          "Trigger the gun into an earthed pail and read the gauge once the strokes are steady. "
          "Never point the nozzle at anyone.",
          PRESSURE_ON, _GUN, "To half a division, about 4 bar; it swings at each turn."),
    Check("supply", "Read the supply", ("supply_pressure",), 1.0,
          "Read the supply pressure at the drive while the pump runs.",
          "A gauge at the drive.", "Keep clear of moving parts of the drive.",
          "To half a division. Read it running: standing still hides a thin line."),
    Check("air", "Look for bubbles", ("air_seen",), 1.0,
          "Open the dump valve a little with the pump running slowly, its hose in an earthed pail: "
          "does it come back smooth, or with bubbles and froth?",
          "The pump running slowly, dump hose in a pail.",
          "Hold the hose's end fast in the pail before the valve is opened.",
          "Smooth or bubbles. A coating just stirred shows some by itself."),
    Check("cycles", "Count cycles at the nozzle", ("cycle_rate",), 1.5,
          "Spray steadily through the nozzle described, pail earthed, and count cycles for a "
          "minute. An earthed pail catches what is sprayed.",
          PRESSURE_ON, _GUN, "To half a cycle."),
    Check("gauge-stall", "Read the gauge at stall", ("stall_pressure",), 1.5,
          "Shut the gun, trigger lock on, let the pump stall and read the gauge. The hose stays "
          "under full pressure.",
          STALLED, _STAND_CLEAR, "To half a division, about 4 bar."),
    Check("strokes", "Time the strokes", ("up_time", "down_time"), 2.0,
          "Spray steadily into an earthed pail and tap at each turn of the rod, eight strokes or "
          "more.",
          PRESSURE_ON, f"{_GUN} Hands clear of the rod.",
          "A thumb on a screen is about 0.1 s; eight strokes bring it to 0.05 s."),
    Check("suction-lifted", "Lift the suction, stalled", ("suction_lifted",), 2.0,
          "Stall it on the down-stroke, gun shut and locked, and lift the suction's end clear of "
          "the coating: does it hold, or does coating run back out? Eyes protected, hands clear of "
          "the rod.",
          STALLED, f"{_STAND_CLEAR} What runs back can spurt: face away, eyes protected.",
          "Holds or runs back. A slow drip takes a minute to show."),
    Check("fresh-suction", "Feed it from a full pail", ("fresh_suction",), 4.0,
          "Put a short, wide suction into a full earthed pail of the same coating, thinned if the "
          "data sheet allows, and spray: is it better?",
          "A short suction and a pail of coating.",
          f"{_GUN} Solvent vapour burns: no ignition source, bond and earth.",
          "Better or no change."),
    Check("creep", "Stall it and watch for creep", ("creep_up", "creep_down"), 3.0,
          "Stall it, gun shut and locked, once going up and once going down; measure how far the "
          "rod creeps in a minute. It can move at any moment: hands clear of rod and coupling.",
          STALLED, _STAND_CLEAR,
          "A rule reads to about 1 mm; watch longer for a slow creep."),
    Check("nozzle", "Fit a nozzle known to be good", ("nozzle_changed",), 4.0,
          "Lock the gun, take the pressure off, fit a new nozzle of the same size, and read gauge "
          "and fan again: better, or no change?",
          "A nozzle of the same size; pressure off.", _ZERO, "Better or no change."),
    Check("creep-place", "Stall it high, half-way and low", ("creep_place",), 5.0,
          "Stall it on the up-stroke near the top, half-way and near the bottom: is the creep the "
          "same everywhere? A score leaks only where it is. Hands clear: it can move at any "
          "moment.",
          STALLED, _STAND_CLEAR, "The same or not; to about 1 mm each."),
    Check("bucket", "Bucket test", ("cycle_volume", "cycle_rate"), 6.0,
          "Spray into an earthed pail by the watch, counting cycles, and measure what was caught. "
          "Keep the nozzle away from skin.",
          "A measuring pail, a watch.", _GUN, "Volume to one part in twenty."),
    Check("filter", "Look at the outlet filter", ("filter_looked",), 8.0,
          "Take the pressure off, prove zero, open the outlet filter and look: clean, or blocked?",
          "A part opened: the filter's housing.", _ZERO, "Clean or blocked."),
    Check("solvent", "Pour solvent on the foot valve", ("solvent_test",), 20.0,
          "With the foot valve off and its ball seated, pour solvent on: does it hold for a "
          "minute, or weep?",
          "A part opened: the foot valve; solvent.",
          f"{_ZERO} Solvent: gloves, eyes, no ignition source.",
          "Holds or weeps. It finds leaks that no stroke time shows."),
)  # fmt: skip
"""Running checks, quickest first."""


def known_keys(readings: CheckReadings, read: Collection[Key]) -> set[Key]:
    """What needs no further check: read already, or answered by «could not do»."""
    known = set(read)
    if {"flow", "cycle_volume"} & known:
        known |= {"cycle_volume", "cycle_rate"}
    if {"slow_turn", "knock"} & known:
        known |= {"slow_turn", "knock"}
    for check in CHECKS:
        if check.key in readings.could_not:
            known |= set(check.reads)
    return known
