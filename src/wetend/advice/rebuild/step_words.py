"""Titles and instructions of rebuild steps. Common practice, no source."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from wetend.pump.measurements import PART_TITLES
from wetend.pump.parts import PartName
from wetend.pump.strip_graph import Operation
from wetend.units.message import Message, joined

Role = Literal[
    "clean", "back", "hang", "tighten", "gland-on", "gland-set", "fill", "check", "look-over",
]  # fmt: skip
"""What kind of step it is. ``hang``: the wet end held again; ``tighten``: to its torque."""


@dataclass(frozen=True)
class Said:
    """A step's title, how it is done, and what must be true before the next."""

    title: str
    how: str
    check: str = ""


def role_of(operation: Operation) -> Role:
    """What putting back one operation of the strip amounts to.

    What was only cracked loose while the assembly was held is tightened while it is held again.
    """
    if operation.part == "gland-nut":
        on = "rod" in operation.unshields or "gland-nut" in operation.gives
        return "gland-on" if on else "gland-set"
    if operation.ends_hold:
        return "hang"
    if operation.needs_held and not operation.gives:
        return "tighten"
    return "back"


_FIRST_GIVEN: dict[PartName, Said] = {
    "cage": Said(
        Message("Fit ball, soft rings, cage and shims, in order"),
        Message(
            "Soft rings flat and not twisted. Shims lie on top of the cage: one "
            "underneath adds to the ball's lift."
        ),
        Message("The ball rattles free in its cage."),
    ),
    "foot-seat": Said(
        Message("Fit the seat, good face to the ball"),
        Message("Press it home square by thumbs or timber, going round; no drift on the cone."),
        Message("It lies flat: no light under it anywhere."),
    ),
    "piston-seat": Said(
        Message("Fit the piston valve, good face of the seat to the ball"),
        Message("Ball wiped dry, seat square; nothing hard on cone or ball."),
        Message("The ball rattles free."),
    ),
    "moving-packings": Said(
        Message("Fit the moving packings, ring by ring"),
        Message("Each ring greased, all new together, adapters where they were."),
    ),
    "static-packings": Said(
        Message("Fit the static packings, ring by ring"),
        Message("Each ring greased and pushed home by timber before the next, all new together."),
    ),
    "cylinder": Said(
        Message("Fit the cylinder over the piston"),
        Message(
            "Bore greased; lead each lip in with a thumb or smooth timber, turning "
            "gently, straight along the rod."
        ),
        Message("No lip is turned back: look in from the end with a light."),
    ),
    "rod": Said(
        Message("Lead the rod up through the packings"),
        Message(
            "Tape over edges and thread of its end, chrome greased; push with timber, turning."
        ),
        Message("No lip is turned back; the tape is off again."),
    ),
    "clamp-ring": Said(
        Message("Lift the housing up and screw the clamp ring on by hand"),
        Message("Elbow where it is to point, stack in place; ring greased, started by hand."),
        Message("By hand all the way: no crossed thread."),
    ),
    "foot-housing": Said(
        Message("Screw the foot-valve housing on by hand"),
        Message(
            "Thread greased; turn back until it drops into its start, then on by hand "
            "until it stops."
        ),
        Message("By hand all the way: no crossed thread."),
    ),
    "coupling": Said(
        Message("Couple the rod to the drive"),
        Message("Faces clean and dry, both halves as the pair they were, drawn up evenly."),
        Message("No gap, no rock; the rod stands in line with the drive."),
    ),
    "outlet-filter": Said(
        Message("Fit the outlet filter"),
        Message("Element clean and whole, held against a light; its ring greased."),
    ),
    "strainer": Said(
        Message("Refit suction tube and strainer"),
        Message(
            "Every joint airtight: air drawn in here looks like a foot valve that does not hold."
        ),
        Message("The elbow points where it was marked."),
    ),
}
"""By the first of these parts that the strip's operation gave."""

_BY_PART: dict[PartName, Said] = {
    "piston": Said(
        Message("Close the piston"), Message("Rod held by its flats, never by the chrome.")
    ),
    "drive": Said(
        Message("Let the drive rod down to the rod"),
        Message("Slowly, chock out last; no hand between the rods."),
    ),
    "outlet-filter": Said(
        Message("Refit the hose to the outlet"),
        Message("Cone and thread wiped, the outlet held against turning."),
    ),
    "suction-elbow": Said(
        Message("Refit the suction elbow"), Message("Face clean, its ring greased.")
    ),
}

_BY_ROLE: dict[Role, Said] = {
    "clean": Said(
        Message("Clean, lay out, grease"),
        Message(
            "Every part clean and dry, new ones beside the old. A film of grease that "
            "coating and solvent bear on threads, lands, rings and chrome; ball and seat "
            "dry."
        ),
        Message("Under the fingernail no burr on any land or thread, and no old coating."),
    ),
    "hang": Said(
        Message("Lift the wet end up and fasten it to the drive"),
        Message("Its weight on timber or a sling; nuts crosswise in two rounds."),
    ),
    "gland-on": Said(
        Message("Fit the gland nut, finger-loose"),
        Message("From here on it shields the rod; it must not press the packings yet."),
    ),
    "gland-set": Said(Message("Set the gland"), ""),
    "fill": Said(
        Message("Fill the wet cup"),
        Message(
            "The liquid that the coating's maker allows, to the mark: a dry rod cuts new "
            "packings. Plain solvent evaporates and burns."
        ),
    ),
    "look-over": Said(
        Message("Check everything before any pressure"),
        Message(
            "Tools and rags counted, guards back on. Drive still off, gun locked, dump "
            "valve open; then prove it, at low pressure first."
        ),
    ),
}

_CHECKS: dict[str, Said] = {
    "solvent-foot": Said(
        Message("Solvent test of the foot valve"),
        Message("A finger's width over the seated ball, two minutes by the watch."),
        Message(
            "It must not weep: if it does, clean, turn the ball and try again; then turn "
            "or replace the seat."
        ),
    ),
    "solvent-piston": Said(
        Message("Solvent test of the piston valve"),
        Message("A finger's width over the seated ball, two minutes by the watch."),
        Message(
            "It must not weep: if it does, clean, turn the ball and try again; then turn "
            "or replace the seat."
        ),
    ),
    "slide": Said(
        Message("Push the rod through its whole stroke"),
        Message("By hand with timber on its end, both ways."),
        Message("Even drag all the way: no catch, no scrape."),
    ),
}


def check_text(key: str) -> Said:
    """What a check between is called."""
    return _CHECKS[key]


def role_text(role: Role) -> Said:
    """What a step that belongs to no part is called."""
    return _BY_ROLE[role]


def said_of(operation: Operation, role: Role) -> Said:
    """What putting back one operation is called; the pump's own words come first."""
    common = _common(operation, role)
    return Said(
        operation.back_title or common.title, operation.back_how or common.how, common.check
    )


def _common(operation: Operation, role: Role) -> Said:
    if role in _BY_ROLE:
        return _BY_ROLE[role]
    part = PART_TITLES[operation.part]
    if role == "tighten":
        return Said(
            Message("Tighten the {part}", part=part),
            Message("What it screws into held, so that only this turns."),
        )
    given = next((p for p in _FIRST_GIVEN if p in operation.gives), None)
    if given:
        return _FIRST_GIVEN[given]
    return _BY_PART.get(
        operation.part, Said(Message("Refit the {operation}", operation=_named(operation)), "")
    )


def _named(operation: Operation) -> str:
    parts: Collection[PartName] = operation.gives[:3] or (operation.part,)
    return joined(", ", (PART_TITLES[p] for p in parts))
