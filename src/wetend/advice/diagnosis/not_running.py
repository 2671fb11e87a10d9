"""A pump that does not run, stops at the turn, does not stop, or gives no pressure: where to look.

One record a cause, the quickest and likeliest first; a complaint takes its own from them. Common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import caution
from wetend.pump.parts import DriveKind
from wetend.pump.readings import Complaint, Sight
from wetend.units.message import Message
from wetend.units.quantity import Minutes

STANDS: Final[Sight] = "does not run"
TURN: Final[Sight] = "stops at the turn"
RUNS_ON: Final[Sight] = "does not stop with the gun shut"
NO_PRESSURE: Final[Sight] = "runs but gives no pressure"
KNOCKS: Final[Sight] = "knocks at the turn"

_ANY: tuple[DriveKind, ...] = ("air", "hydraulic", "electric", "engine")
_JET = caution(
    "injection",
    Message(
        "A jet goes through skin: look from aside with a light, never feel for a "
        "leak. If hit: go to hospital at once."
    ),
)
_STARTS = caution(
    "rod-moves",
    Message(
        "It starts the moment its supply is back: hands clear of rod and coupling, gun locked, "
        "nobody at the nozzle."
    ),
)


@dataclass(frozen=True)
class LookAt:
    """One likely cause: what shows it, what to do, what can hurt there."""

    key: str
    title: str
    seen: tuple[Sight, ...]
    """Complaints that it explains."""
    minutes: Minutes
    """To look at it, in minutes."""
    shows: str
    do: str
    cautions: tuple[Caution, ...] = ()
    drives: tuple[DriveKind, ...] = _ANY
    """Kinds of drive that have it."""


CAUSES: Final = (
    LookAt(
        "blocked-ahead",
        Message("Stalled against a blockage ahead of it"),
        (STANDS,),
        1.0,
        Message(
            "The gauge stands near stall pressure though the gun is open; it strokes as soon as "
            "the dump valve is opened a little."
        ),
        Message(
            "Open the dump valve slowly into its pail until the gauge is down. Then turn the "
            "nozzle "
            "round; next gun filter, outlet filter and hose, in this order, zero proven before "
            "each."
        ),
        (
            caution(
                "stored-pressure",
                Message(
                    "What is blocked keeps its pressure after the dump valve is open: loosen it "
                    "slowly, let it weep, face and hands out of line."
                ),
            ),
        ),
    ),
    LookAt(
        "nothing-to-draw",
        Message("Nothing to draw: tin empty, or suction drawing air"),
        (NO_PRESSURE, RUNS_ON),
        1.0,
        Message("It races with light strokes; the dump hose brings froth or nothing."),
        Message(
            "Stop it at once: dry strokes burn packings. Fill the tin, strainer right under and "
            "clean, joints tight; prime slowly through the dump valve."
        ),
    ),
    LookAt(
        "dump-open",
        Message("Dump valve open or not tight"),
        (NO_PRESSURE, RUNS_ON),
        1.0,
        Message("The dump hose runs or drips with the valve shut."),
        Message(
            "Shut it. If it still runs: drive off and zero proven, its seat cleaned or the valve "
            "changed."
        ),
        (_JET,),
    ),
    LookAt(
        "leak-outside",
        Message("A leak to the outside"),
        (RUNS_ON, NO_PRESSURE),
        1.0,
        Message("Wet hose, fitting or gun; last of all coating in the wet cup."),
        Message(
            "Drive off and zero proven, then tighten or change it. A hose that weeps through its "
            "cover is finished."
        ),
        (_JET,),
    ),
    LookAt(
        "no-air",
        Message("No air at the drive"),
        (STANDS,),
        2.0,
        Message("The gauge at the drive reads nothing, or drops when it tries to stroke; no hiss."),
        Message(
            "Follow the line with the regulator wound out: compressor, shut-off and lock-out open, "
            "hose not kinked, filter bowl drained. Then wind the regulator in slowly."
        ),
        (_STARTS,),
        ("air",),
    ),
    LookAt(
        "no-oil",
        Message("No oil pressure at the drive"),
        (STANDS,),
        3.0,
        Message(
            "The supply gauge reads nothing; power pack standing, or a coupling not fully home."
        ),
        Message(
            "Oil at its level, couplings fully home, return valve opened first, then the supply: a "
            "shut return bursts seals. Then the pack on at its lowest setting."
        ),
        (_STARTS,),
        ("hydraulic",),
    ),
    LookAt(
        "no-current",
        Message("No current at the drive"),
        (STANDS,),
        3.0,
        Message("No lamp, no hum."),
        Message(
            "Isolator, emergency stop, fuse, residual-current breaker, plug, lead: looked at in "
            "this "
            "order. An authorised person tests for voltage. Unroll the whole lead from its drum."
        ),
        (_STARTS,),
        ("electric",),
    ),
    LookAt(
        "engine-off",
        Message("Engine stands, or its clutch or oil valve is not in"),
        (STANDS,),
        3.0,
        Message("It does not turn over, dies at once, or runs while the drive stands."),
        Message(
            "Stop switch, fuel and its cock, oil level (most engines stop themselves without), "
            "choke. Key or lead out before belt, clutch or plug is touched; then the oil valve."
        ),
        (caution("engine-drive"),),
        ("engine",),
    ),
    LookAt(
        "supply-low",
        Message("Supply set too low, or falling away"),
        (NO_PRESSURE, TURN),
        2.0,
        Message(
            "The gauge at the drive reads well under the set-up sheet, or drops at every stroke."
        ),
        Message(
            "Raise it in small steps. A drop at every stroke is a line too thin or a filter "
            "clogged: a higher setting does not help."
        ),
        (caution("weakest-part"),),
        ("air", "hydraulic", "engine"),
    ),
    LookAt(
        "gauge-dead",
        Message("The gauge is dead, not the pump"),
        (NO_PRESSURE,),
        1.0,
        Message("It strokes at its usual pace and sprays, and the gauge reads nothing."),
        Message(
            "Read another gauge. Until one reads, take the hose as under full pressure; zero is "
            "then proven without it."
        ),
        (
            caution(
                "stored-pressure",
                Message("A dead gauge shows zero with the hose under full pressure."),
            ),
        ),
    ),
    LookAt(
        "tripped",
        Message("Motor tripped"),
        (STANDS, TURN),
        5.0,
        Message("Motor hot, its trip or breaker out."),
        Message(
            "Let it cool. Find out why before it is set again: pump held fast, lead long, thin or "
            "coiled, voltage low, fan blocked. Set it once; if it trips again, leave it out."
        ),
        (caution("electric-drive"),),
        ("electric", "hydraulic"),
    ),
    LookAt(
        "ice",
        Message("Ice in the exhaust or pilot"),
        (STANDS, TURN),
        2.0,
        Message("White frost at the exhaust; slower and slower, and it runs again after standing."),
        Message(
            "Air shut off and bled; let it thaw by itself. Drain filter bowl and receiver, dry the "
            "air, run slower strokes; lubricate only as its maker says."
        ),
        (
            caution("air-drive"),
            caution(
                "heating",
                Message("No flame or hot-air gun near solvent: let the ice thaw by itself."),
            ),
        ),
        ("air",),
    ),
    LookAt(
        "air-valve",
        Message("Air valve or pilot stuck"),
        (STANDS, TURN),
        5.0,
        Message(
            "Supply is there and the rod stands; air blows steadily from the exhaust, or "
            "not at all."
        ),
        Message(
            "Air shut off and bled, vent heard. Work the valve by its own button if it has one; "
            "else valve and pilots out, cleaned, greased as the maker says, seals looked at. Never "
            "pushed free with the air on."
        ),
        (caution("air-drive"),),
        ("air",),
    ),
    LookAt(
        "oil-valve",
        Message("Changeover valve stuck, or relief valve set low or held open"),
        (STANDS, TURN),
        6.0,
        Message(
            "Rod stands, oil gets hot, the relief valve sings; the supply gauge stands at its "
            "setting."
        ),
        Message(
            "Pack off, pressure and return lines vented. Oil level and filter, then valve and "
            "pilots cleaned. The relief valve is set by a gauge, never above the weakest part."
        ),
        (caution("hydraulic-drive"),),
        ("hydraulic", "engine"),
    ),
    LookAt(
        "trip-gear",
        Message("Trip rod, tappet or sensor at the turn loose or worn"),
        (TURN,),
        4.0,
        Message("It always stops at the same turn."),
        Message(
            "Drive isolated and the hose emptied. Look for what should have been moved there; "
            "tighten and set it as the maker's manual says."
        ),
        (caution("loaded-hose"),),
    ),
    LookAt(
        "pressure-sensor",
        Message("Pressure sensor or its setting"),
        (RUNS_ON, NO_PRESSURE, STANDS),
        3.0,
        Message(
            "The motor runs on with the gauge above what was set, or stands with the "
            "gauge under it."
        ),
        Message(
            "Isolator off at once, dump valve open. Not run again before sensor, lead and setting "
            "are right: nothing else may hold the pressure."
        ),
        (caution("weakest-part"),),
        ("electric",),
    ),
    LookAt(
        "ball-stuck",
        Message("A lump under a ball, or a ball dried to its seat"),
        (NO_PRESSURE,),
        4.0,
        Message("Tin full, no froth, and yet one way runs light; usual after standing."),
        Message(
            "Wash it: fast through the dump valve, then stall it again. A foot-valve ball dried "
            "on: zero proven, suction off, pushed up from below with a timber dowel."
        ),
        (_JET,),
    ),
    LookAt(
        "both-valves",
        Message("Foot valve and piston both let by"),
        (RUNS_ON, NO_PRESSURE),
        4.0,
        Message("Gun shut, it creeps down and up, on and on; one alone stalls it one way."),
        Message(
            "Wash it first and stall it again. Then time the creep both ways: the running checks "
            "say which end to open."
        ),
        (caution("rod-moves"),),
    ),
    LookAt(
        "coupling",
        Message("Coupling or collets loose, rod broken, piston off"),
        (NO_PRESSURE, STANDS, KNOCKS),
        3.0,
        Message("The drive strokes and the pump's rod stands, or follows late with a knock."),
        Message(
            "Stop it. Drive isolated and locked, hose emptied; try for play by hand. Collets and "
            "coupling are changed as a pair; look at both rod ends."
        ),
        (caution("loaded-hose"),),
    ),
    LookAt(
        "packings-seized",
        Message("Packings seized: dry, swollen, or the gland too tight"),
        (STANDS, TURN),
        8.0,
        Message(
            "Supply is there, nothing is blocked, and the rod stands; usual after standing dry, or "
            "a gland just tightened. It frees when the gland nut is slackened."
        ),
        Message(
            "Drive isolated and zero proven: slacken the gland nut a turn, fill the wet cup, let "
            "it "
            "soak, then try the lowest supply. Then hand-tight and its flats again. Rings torn or "
            "burnt: a new set."
        ),
        (caution("stored-pressure"),),
    ),
    LookAt(
        "set-fast",
        Message("Two-pack gone off, or coating dried, in pump or hose"),
        (STANDS,),
        10.0,
        Message(
            "Gland slack and still fast; the drive strokes freely uncoupled; pot life is over, or "
            "the tin has a hard skin."
        ),
        Message(
            "Nothing dissolves a two-pack that has set: pump apart cold, hose and gun thrown away. "
            "A coating that only dried is soaked in its own thinner."
        ),
        (
            caution(
                "pot-life",
                Message(
                    "A set plug holds pressure behind it: drive isolated, joints slackened slowly, "
                    "out of line. Never heat or burn it out."
                ),
            ),
        ),
    ),
    LookAt(
        "motor-gear",
        Message("Brushes, belt or gear"),
        (STANDS, TURN),
        8.0,
        Message("The motor hums or runs, the rod stands; a smell of burning."),
        Message(
            "Isolator locked and proven dead: belt, gear and crank turned by hand; brushes to the "
            "length that the maker's manual gives."
        ),
        (caution("electric-drive"),),
        ("electric",),
    ),
)
"""Every cause, the quickest to look at and the likeliest first."""

NOT_RUNNING: Final = frozenset({STANDS, TURN, RUNS_ON, NO_PRESSURE})
"""Complaints that come before any stroke can be timed."""


def _once(causes: Sequence[LookAt]) -> Iterator[LookAt]:
    """The same, each hazard's caution at the first act that needs it only."""
    warned: set[str] = set()
    for cause in causes:
        fresh = tuple(c for c in cause.cautions if (c.hazard or c.text) not in warned)
        warned.update(c.hazard or c.text for c in fresh)
        yield replace(cause, cautions=fresh)


def look_first(complaint: Complaint | None, drive: DriveKind) -> tuple[LookAt, ...]:
    """Where to look first by what is seen, in order; none where the complaint asks for no such.

    A cause that explains more of what is seen comes before one that explains less. Each caution
    stands once, at the first act that needs it.

    >>> [c.key for c in look_first(Complaint(seen=("does not run",)), "air")][:3]
    ['blocked-ahead', 'no-air', 'ice']
    """
    seen = set(complaint.seen) if complaint else set()
    found = [c for c in CAUSES if drive in c.drives and seen & set(c.seen)]
    return tuple(_once(sorted(found, key=lambda c: -len(seen & set(c.seen)))))
