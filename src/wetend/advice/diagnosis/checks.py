"""The running checks: what each costs, needs and reads, how to do it, and what can hurt in it.

Minutes, ways and errors are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from wetend.advice.diagnosis.acts import Act, cautions_of
from wetend.advice.faults.record import Fault, Key
from wetend.advice.faults.tables import CARRIED_AWAY, FAULTS
from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import caution
from wetend.pump.description import Pump
from wetend.pump.readings import CheckKey, CheckReadings
from wetend.units.message import Message
from wetend.units.quantity import Minutes
from wetend.units.stated import stated

PRESSURE_ON = Message("The pump running, gun and hose under pressure.")
STALLED = Message("The pump stalled against the shut gun.")
_ON_THE_WORK = Message("on the work or a test sheet")
_DONT_REACH_IN = caution(
    "rod-moves", Message("The rod can move at any moment, stalled too: look, don't reach in.")
)


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
    acts: tuple[Act, ...]
    """What is done in it that can hurt."""
    read_as: str
    """How it is read, and how well."""
    own: tuple[Caution, ...] = ()
    """What is said better for this very check than by its acts."""

    @property
    def clears(self) -> bool:
        """Whether it may put right what it looks for, with nothing opened."""
        return any(key in CARRIED_AWAY for key in self.reads)

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What to show right before it: one a hazard, the gravest first."""
        return cautions_of(self.acts, *self.own)


WATCHED: tuple[Key, ...] = (
    "rhythm", "cycle_rate", "spray_pressure", "drop", "turn_pause", "knock",
)  # fmt: skip
"""What is read on a pump that sprays, by one who stands beside it."""

CHECKS = (
    Check(
        "nozzle-turn",
        Message("Turn the nozzle and shoot it clear"),
        ("nozzle_turned",),
        0.5,
        Message(
            "Trigger locked, turn the nozzle half round in its guard. Gun pointed at a waste sheet "
            "in a safe place, shoot once; trigger locked, turn it back. Then spray {on_the_work}: "
            "better, or no change?",
            on_the_work=_ON_THE_WORK,
        ),
        Message("A nozzle that turns round in its holder."),
        ("sprays", "runs"),
        Message("Better or no change, by fan and gauge. A lump that went leaves nothing to open."),
        (
            caution(
                "spraying",
                Message(
                    "Turned round it shoots a bare jet: at a waste sheet in a safe place, then "
                    "only on the work or a test sheet, guard on, nobody before it. Trigger locked "
                    "before each turn; never wipe the nozzle or look into it."
                ),
            ),
        ),
    ),
    Check(
        "wet-cup",
        Message("Look in the wet cup"),
        ("wet_cup",),
        0.5,
        Message("Look in the wet cup from beside it: clean, or coating in it?"),
        Message("Nothing but eyes."),
        ("near the rod",),
        Message("Clean, or coating in it. Old coating in a cup never emptied misleads."),
        (_DONT_REACH_IN,),
    ),
    Check(
        "outside",
        Message("Look at hose and dump valve"),
        ("outside_looked",),
        1.0,
        Message("Look along hose, fittings and gun, and at the end of the dump hose: dry, or wet?"),
        PRESSURE_ON,
        ("looks for a leak", "runs"),
        Message("Dry or wet. A slow leak can hide under old coating."),
    ),
    Check(
        "look",
        Message("Look it over"),
        ("wet_cup", "outside_looked"),
        1.5,
        Message(
            "Look in the wet cup, then along hose, fittings and gun and at the end of the dump "
            "hose: clean and dry, or coating in it, or wet?"
        ),
        PRESSURE_ON,
        ("looks for a leak", "near the rod", "runs"),
        Message(
            "Clean or coating in it, dry or wet. Old coating misleads, and can hide a slow leak."
        ),
        (_DONT_REACH_IN,),
    ),
    Check(
        "changeover",
        Message("Watch the changeover"),
        ("turn_pause", "knock"),
        1.0,
        Message(
            "Spray {on_the_work} and watch the rod turn, top and bottom: does it knock, and how "
            "long does it stand? A breath is a second; a film tells tenths.",
            on_the_work=_ON_THE_WORK,
        ),
        PRESSURE_ON,
        ("sprays", "near the rod", "phone", "runs"),
        Message("Knocks or not; the pause to a tenth of a second."),
    ),
    Check(
        "early-drop",
        Message("Watch the down-stroke start"),
        ("drop",),
        1.0,
        Message(
            "Spray {on_the_work} and watch the start of the down-stroke against a rule fixed "
            "beside the rod, or film it: how far does the rod drop quickly, before it slows to "
            "normal?",
            on_the_work=_ON_THE_WORK,
        ),
        PRESSURE_ON,
        ("sprays", "near the rod", "phone", "runs"),
        Message("To about a thirtieth of the stroke. A sound pump drops that much too."),
    ),
    Check(
        "gauge-spray",
        Message("Read the gauge while spraying"),
        ("spray_pressure",),
        1.0,
        Message(
            "Spray {on_the_work} and read the gauge once the strokes are steady.",
            on_the_work=_ON_THE_WORK,
        ),
        PRESSURE_ON,
        ("sprays", "runs"),
        Message(
            "To half a division, about {pressure}; it swings at each turn.",
            pressure=stated("4 bar"),
        ),
    ),
    Check(
        "supply",
        Message("Read the supply"),
        ("supply_pressure",),
        1.0,
        Message("Read the supply pressure at the drive while the pump runs."),
        Message("A gauge at the drive."),
        ("at the drive", "runs"),
        Message("To half a division. Read it running: standing still hides a thin line."),
    ),
    Check(
        "air",
        Message("Look for bubbles"),
        ("air_seen",),
        1.0,
        Message(
            "Pump running slowly, dump hose held in a bonded metal pail: open the dump valve a "
            "little. Does it come back smooth, or with bubbles and froth?"
        ),
        Message("The pump running slowly, dump hose in a pail."),
        ("dumps", "runs"),
        Message("Smooth or bubbles. A coating just stirred shows some by itself."),
    ),
    Check(
        "cycles",
        Message("Count cycles at the nozzle"),
        ("cycle_rate",),
        1.5,
        Message(
            "Spray steadily {on_the_work} through the nozzle described, and count cycles for a "
            "minute by the watch.",
            on_the_work=_ON_THE_WORK,
        ),
        PRESSURE_ON,
        ("sprays", "runs"),
        Message("To half a cycle."),
    ),
    Check(
        "gauge-stall",
        Message("Read the gauge at stall"),
        ("stall_pressure",),
        1.5,
        Message("Shut the gun, trigger lock on, let the pump stall and read the gauge."),
        STALLED,
        ("stalls",),
        Message("To half a division, about {pressure}.", pressure=stated("4 bar")),
    ),
    Check(
        "strokes",
        Message("Time the strokes"),
        ("rhythm", "cycle_rate"),
        2.0,
        Message(
            "Spray steadily {on_the_work} and tap at each turn of the rod, eight strokes or more.",
            on_the_work=_ON_THE_WORK,
        ),
        PRESSURE_ON,
        ("sprays", "near the rod", "phone", "runs"),
        Message("A thumb on a screen is about 0.1 s; eight strokes bring it to 0.05 s."),
    ),
    Check(
        "suction-lifted",
        Message("Lift the suction, stalled"),
        ("suction_lifted",),
        2.0,
        Message(
            "Stall it on the down-stroke, gun shut and locked, and lift the suction's end clear of "
            "the coating: does it hold, or does coating run back out?"
        ),
        STALLED,
        ("stalls", "moves the suction"),
        Message("Holds or runs back. A slow drip takes a minute to show."),
    ),
    Check(
        "slow",
        Message("Run it slowly through the dump valve"),
        ("slow_drop", "air_seen"),
        2.0,
        Message(
            "Gun shut and locked, dump hose held in a bonded metal pail: open the dump valve until "
            "it strokes at a third of its pace, and watch the start of the down-stroke again. How "
            "far does it drop, and does the coating come back smooth, or with bubbles and froth? "
            "What a starved suction lacks comes in after all; with air it drops as before."
        ),
        Message("The pump running slowly, dump hose in a pail."),
        ("dumps", "near the rod", "runs"),
        Message("To about a thirtieth of the stroke."),
    ),
    Check(
        "wash",
        Message("Wash it through the dump valve, stall it again"),
        ("wash",),
        3.0,
        Message(
            "Strainer deep in clean coating, gun shut and locked, dump hose held in a bonded metal "
            "pail: open the dump valve wide and run it fast for half a minute, so that the seats "
            "are flushed. Shut it and stall it both ways: does it hold now, or is nothing changed?"
        ),
        Message("The pump running, dump hose in a pail; no spanner."),
        ("dumps", "stalls", "runs"),
        Message("Better or no change. A lump under a ball is the commonest fault of a foot valve."),
    ),
    Check(
        "watch",
        Message("Watch it run"),
        WATCHED,
        4.0,
        Message(
            "Spray steadily {on_the_work}. Tap at each turn of the rod, eight strokes or more each "
            "way; read the gauge once it is steady; then watch the start of the down-stroke "
            "against a rule fixed beside the rod, how long it stands at each turn, and whether it "
            "knocks.",
            on_the_work=_ON_THE_WORK,
        ),
        PRESSURE_ON,
        ("sprays", "near the rod", "phone", "runs"),
        Message(
            "Taps to a tenth of a second, the gauge to half a division, the drop to a thirtieth of "
            "the stroke."
        ),
    ),
    Check(
        "fresh-suction",
        Message("Feed it from a full pail"),
        ("fresh_suction",),
        6.0,
        Message(
            "Take the pressure off and prove zero. Put a short, wide suction into a full bonded "
            "metal pail of the same coating, thinned if the data sheet allows. Pressure on again, "
            "spray {on_the_work}: is the quick drop gone, or no better?",
            on_the_work=_ON_THE_WORK,
        ),
        Message("A short suction and a pail of coating; pressure off while it is changed."),
        (
            "pressure off",
            "open pail",
            "moves the suction",
            "sprays",
            "near the rod",
            "runs",
        ),
        Message("Better or no change."),
    ),
    Check(
        "creep",
        Message("Stall it and watch for creep"),
        ("creep_up", "creep_down", "stall_pressure"),
        3.0,
        Message(
            "Stall it, gun shut and locked, once going up and once going down; measure how far the "
            "rod creeps in a minute, and read the gauge."
        ),
        STALLED,
        ("stalls",),
        Message(
            "A rule reads to about {length}; watch longer for a slow creep.", length=stated("1 mm")
        ),
    ),
    Check(
        "nozzle",
        Message("Fit a nozzle known to be good"),
        ("nozzle_changed",),
        4.0,
        Message(
            "Take the pressure off, prove zero, lock the trigger and fit a new nozzle of the same "
            "size. Pressure on again, spray {on_the_work} and read gauge and fan: better, or no "
            "change?",
            on_the_work=_ON_THE_WORK,
        ),
        Message("A nozzle of the same size; pressure off."),
        ("pressure off", "sprays", "runs"),
        Message("Better or no change."),
    ),
    Check(
        "creep-place",
        Message("Stall it high, half-way and low"),
        ("creep_place",),
        5.0,
        Message(
            "Stall it on the up-stroke near the top, half-way and near the bottom: is the creep "
            "the same everywhere? A score leaks only where it is."
        ),
        STALLED,
        ("stalls",),
        Message("The same or not; to about {length} each.", length=stated("1 mm")),
    ),
    Check(
        "bucket",
        Message("Bucket test: out of a measuring pail"),
        ("cycle_volume", "cycle_rate"),
        6.0,
        Message(
            "Take the pressure off, prove zero and put the suction into a bonded metal measuring "
            "pail of the same coating. Pressure on again, spray {on_the_work} by the watch, "
            "counting cycles, and measure by how much the pail went down.",
            on_the_work=_ON_THE_WORK,
        ),
        Message("A measuring pail, a watch; pressure off while the suction is changed."),
        (
            "pressure off",
            "open pail",
            "moves the suction",
            "sprays",
            "runs",
        ),
        Message("Volume to one part in twenty. What leaks to the outside is counted with it."),
    ),
    Check(
        "filter",
        Message("Look at the outlet filter"),
        ("filter_looked",),
        8.0,
        Message(
            "Take the pressure off, prove zero, open the outlet filter and look: clean, or blocked?"
        ),
        Message("A part opened: the filter's housing."),
        ("opens",),
        Message("Clean or blocked."),
    ),
    Check(
        "solvent",
        Message("Pour solvent on the foot valve"),
        ("solvent_test",),
        20.0,
        Message(
            "Pressure off and zero proven, the foot valve off and its ball seated: pour solvent "
            "on. Does it hold for a minute, or weep?"
        ),
        Message("A part opened: the foot valve; solvent."),
        ("opens", "solvent"),
        Message("Holds or weeps. It finds leaks that no stroke time shows."),
    ),
)
"""Running checks, quickest first."""


def checks_for(pump: Pump) -> tuple[Check, ...]:
    """The checks that can be done on this pump."""
    turns = pump.nozzle.reversible
    return tuple(check for check in CHECKS if turns or check.key != "nozzle-turn")


def cleared_by(key: str) -> tuple[Fault, ...]:
    """Faults that a check may carry away.

    >>> [fault.title for fault in cleared_by("nozzle-turn")]
    ['nozzle part-blocked']
    """
    causes = {
        cause
        for check in CHECKS
        if check.key == key
        for read in check.reads
        for cause in CARRIED_AWAY.get(read, {})
    }
    return tuple(fault for fault in FAULTS if causes & set(fault.causes))


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
