"""The make-safe list as acts, one line each, with the cautions of its part."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from wetend.advice.safety.checklist import Part, missing, parts_of, title_of
from wetend.pump.make_safe import CLEARING, MakeSafe
from wetend.pump.parts import DriveKind
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.workflows.acts.act import Act
from wetend.workflows.zero import Gate

TITLES: Final = {
    "bonded": Message("Bond and earth pump, object and metal pail"),
    "protected": Message("Put on gloves, eye and breathing protection"),
    "drive_off": Message("Switch the drive's supply off"),
    "locked_off": Message("Lock it off, key in your pocket"),
    "key_out": Message("Take the key or ignition lead out"),
    "air_bled": Message("Bleed the air at the drive, hear its vent"),
    "oil_let_down": Message("Vent the pressure and return lines"),
    "accumulator_empty": Message("Empty the accumulator, if one is fitted"),
    "dead_proven_by": Message("Have the terminals proven dead"),
    "charge_waited": Message("Wait for the stored charge to drain"),
    "gun_opened": Message("Open the gun into a bonded metal pail"),
    "dump_opened": Message("Open the dump valve and leave it open"),
    "gun_dead": Message("Try the gun again: nothing comes"),
    "blockage": Message("Judge: may nozzle or hose be blocked?"),
    "clearing": Message("Clear the blockage, in this order"),
    "way": Message("Choose how to prove zero"),
    "needle": Message("Read the gauge: is the needle on its stop?"),
    "hose_ends_opened": Message("Open both hose ends slowly, under a rag"),
    "rod_free": Message("Move the rod by hand, the hose empty"),
    "air_moved": Message("Move the air motor by hand, the hose empty"),
}
"""What to do at each line, by field."""
_BY_KIND: Final[dict[tuple[DriveKind, str], str]] = {
    ("air", "drive_off"): Message("Shut the air at its isolating valve"),
    ("hydraulic", "drive_off"): Message("Switch the hydraulic supply off"),
    ("electric", "drive_off"): Message("Turn the isolator off"),
    ("engine", "drive_off"): Message("Stop the engine"),
    ("electric", "rod_free"): Message("Turn the drive by hand: the rod follows"),
}
_STILL_BLOCKED: Final = Message("Say whether nozzle and hose are cleared now")
_SAYS_MORE: Final = frozenset({"bonded", "protected", "gun_opened", "charge_waited"})
"""Lines of the list that say more than the title does."""
_MINUTES: Final = 0.5
"""A line of the list, in minutes. Common practice, no source."""


def _asked(part: Part, begun: MakeSafe) -> tuple[str, ...]:
    """The lines of a part that the answers so far call for."""
    unsaid = {
        "clearing": begun.blockage not in ("suspected", "cleared"),
        "needle": begun.way != "gauge",
        "hose_ends_opened": begun.way != "hand",
        "rod_free": begun.way != "hand",
    }
    names = [n for n in part.names if n not in ("gauge_reading", "gauge_resolution")]
    return tuple(n for n in names if not unsaid.get(n))


def _lacks(begun: MakeSafe, gate: Gate, drive: DriveKind) -> frozenset[str]:
    """Lines still to be done, as the rules of the list have it."""
    lacking = set(begun.lacking(drive, doubted=gate.gauge_in_doubt))
    if "gauge_reading" in lacking:
        lacking.add("way" if gate.gauge_in_doubt else "needle")
    if not set(CLEARING) <= set(begun.clearing):
        lacking.add("clearing")
    return frozenset(lacking)


def acts(visit: Visit, gate: Gate) -> Iterator[Act]:
    """The lines of the list for this pump's drive, in the order they are worked through."""
    begun, drive = gate.begun, visit.pump.drive.kind
    lacks = _lacks(begun, gate, drive)
    answered = begun.needle == "off its stop" or begun.gauge_reading is not None
    for part in parts_of(drive, gate.caution):
        for name in _asked(part, begun):
            blocked = name == "blockage" and begun.blockage in ("suspected", "cleared")
            said = (name == "needle" and answered) or (name == "way" and gate.gauge_in_doubt)
            why = missing(begun, drive, doubted=gate.gauge_in_doubt) if said else ()
            yield Act(
                name.replace("_", "-"),
                "make-safe",
                _STILL_BLOCKED if blocked else _BY_KIND.get((drive, name)) or TITLES[name],
                "make-safe",
                (name,),
                ("gauge_reading", "gauge_resolution") if name == "needle" else (),
                how=title_of(name, drive) if name in _SAYS_MORE else "",
                minutes=_MINUTES,
                cautions=part.cautions,
                done=name not in lacks,
                due=not gate.zero.stands,
                why=why[-1] if why else "",
            )
