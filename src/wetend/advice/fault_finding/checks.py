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
_PHONE = "A phone only where solvent vapour can't be."
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


WATCHED: tuple[Key, ...] = (
    "rhythm", "cycle_rate", "spray_pressure", "drop", "turn_pause", "knock",
)  # fmt: skip
"""What is read on a pump that sprays, by one who stands beside it."""

CHECKS = (
    Check("wet-cup", "Look in the wet cup", ("wet_cup",), 0.5,
          "Look in the wet cup: clean, or coating in it? Keep hands off the rod.",
          "Nothing but eyes.", "A rod can move while stalled: look, don't reach in.",
          "Clean, or coating in it. Old coating in a cup never emptied misleads."),
    Check("outside", "Look at hose and dump valve", ("outside_looked",), 1.0,
          "Look along hose, fittings and gun, and at the end of the dump hose: dry, or wet?",
          PRESSURE_ON, _NEVER_FEEL, "Dry or wet. A slow leak can hide under old coating."),
    Check("look", "Look it over", ("wet_cup", "outside_looked"), 1.5,
          "Look in the wet cup, then along hose, fittings and gun and at the end of the dump hose: "
          "clean and dry, or coating in it, or wet? Keep hands off the rod.",
          PRESSURE_ON, f"A rod can move while stalled: look, don't reach in. {_NEVER_FEEL}",
          "Clean or coating in it, dry or wet. Old coating misleads, and can hide a slow leak."),
    Check("changeover", "Watch the changeover", ("turn_pause", "knock"), 1.0,
          "Spray and watch the rod turn, top and bottom: does it knock, and how long does it "
          "stand? A breath is a second; a film on the phone tells tenths.",
          PRESSURE_ON, f"{_GUN} Hands clear of rod and coupling. {_PHONE}",
          "Knocks or not; the pause to a tenth of a second."),
    Check("early-drop", "Watch the down-stroke start", ("drop",), 1.0,
          "Watch the start of the down-stroke against a rule beside the rod, or film it: how far "
          "does the rod drop quickly, before it slows to normal?",
          PRESSURE_ON, f"{_GUN} Hands clear of rod and coupling. {_PHONE}",
          "To about a thirtieth of the stroke. A sound pump drops that much too."),
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
    Check("strokes", "Time the strokes", ("rhythm", "cycle_rate"), 2.0,
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
    Check("slow", "Run it slowly through the dump valve", ("slow_drop", "air_seen"), 2.0,
          "Gun shut and locked, dump hose held in an earthed pail: open the dump valve until it "
          "strokes at a third of its pace, and watch the start of the down-stroke again. How far "
          "does it drop, and does the coating come back smooth, or with bubbles and froth? What a "
          "starved suction lacks comes in after all; with air it drops as before.",
          "The pump running slowly, dump hose in a pail.",
          "Hold the hose's end fast in the pail before the valve is opened; hands clear of rod and "
          "coupling.",
          "To about a thirtieth of the stroke."),
    Check("watch", "Watch it run", WATCHED, 4.0,
          "Spray steadily into an earthed pail. Tap at each turn of the rod, eight strokes or more "
          "each way; read the gauge once it is steady; then watch the start of the down-stroke "
          "against a rule beside the rod, how long it stands at each turn, and whether it knocks.",
          PRESSURE_ON, f"{_GUN} Hands clear of rod and coupling. {_PHONE}",
          "Taps to a tenth of a second, the gauge to half a division, the drop to a thirtieth of "
          "the stroke."),
    Check("fresh-suction", "Feed it from a full pail", ("fresh_suction",), 6.0,
          "Take the pressure off and prove zero. Put a short, wide suction into a full earthed "
          "pail of the same coating, thinned if the data sheet allows. Then spray: is the quick "
          "drop gone, or no better?",
          "A short suction and a pail of coating; pressure off while it is changed.",
          f"{_ZERO} {_GUN} Solvent vapour burns: no ignition source, bond and earth.",
          "Better or no change."),
    Check("creep", "Stall it and watch for creep",
          ("creep_up", "creep_down", "stall_pressure"), 3.0,
          "Stall it, gun shut and locked, once going up and once going down; measure how far the "
          "rod creeps in a minute, and read the gauge. It can move at any moment: hands clear of "
          "rod and coupling.",
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
    if {"up_time", "down_time"} & known:
        known |= {"rhythm"}
    if {"slow_turn", "turn_pause"} & known:
        known |= {"slow_turn", "turn_pause"}
    if "early_drop" in known:
        known |= {"drop"}
    if readings.changeover != "not felt":
        known |= {"turn_pause", "slow_turn", "knock"}
    for check in CHECKS:
        if check.key in readings.could_not:
            known |= set(check.reads)
    if "turn_pause" in known:
        known |= {"slow_turn"}
    return known
