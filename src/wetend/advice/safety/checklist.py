"""The make-safe list in words: what is asked for this pump, and what is still missing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import Hazard, caution
from wetend.pump.make_safe import (
    AROUND,
    BY_HAND,
    CLEARING,
    COARSE,
    DRIVE,
    HOSE,
    MakeSafe,
)
from wetend.pump.parts import DriveKind
from wetend.units.fields import fields_of
from wetend.units.message import Message, joined
from wetend.units.quantity import Pa
from wetend.units.stated import stated

CLEAR_WORDS: Final[dict[str, str]] = {
    "trigger-locked": Message("Trigger locked"),
    "guard-off": Message("Nozzle guard loosened slowly, then off"),
    "hose-loosened": Message(
        "Hose end loosened slowly under a rag, face and hands out of the line"
    ),
    "waited": Message("Waited until nothing more weeps, then undone and cleared"),
}
BLOCKAGE_WORDS: Final = {
    "not asked": Message("Not looked at yet"),
    "ran free": Message("No: both ran free"),
    "suspected": Message("Yes, or not known"),
    "cleared": Message("It was, and is cleared"),
}
WAY_WORDS: Final = {
    "not yet": Message("Not yet"),
    "gauge": Message("By the gauge"),
    "hand": Message("Without a gauge, or with one in doubt"),
}
DRIVE_WORDS: Final[dict[DriveKind, str]] = {
    "air": Message("air motor"),
    "hydraulic": Message("hydraulic drive"),
    "electric": Message("electric drive"),
    "engine": Message("engine"),
}
_HAZARDS: Final[dict[DriveKind, Hazard]] = {
    "hydraulic": "hydraulic-drive", "electric": "electric-drive",
    "engine": "engine-drive",
}  # fmt: skip
_BY_KIND: Final[dict[tuple[DriveKind, str], str]] = {
    ("air", "drive_off"): Message("Air shut at its isolating valve"),
    ("hydraulic", "drive_off"): Message("Hydraulic supply off"),
    ("electric", "drive_off"): Message("Isolator off"),
    ("engine", "drive_off"): Message("Engine stopped"),
    ("engine", "oil_let_down"): Message("Oil pressure let down, or driven by belt"),
    ("electric", "rod_free"): Message(
        "Rod free: it follows the drive turned by hand, the hose empty"
    ),
}
_FEW: Final = 2
_FREE_BOX: Final = Message(
    "Nozzle and hose ran free; if not: trigger locked, nozzle guard off slowly, "
    "hose end loosened slowly, wait, clear"
)
_ZERO_BOX: Final = Message(
    "Zero by the gauge: needle on its stop; or both hose ends opened slowly "
    "under a rag and rod free by hand"
)
_HAND_DONE: Final = Message(
    "dump valve open, gun tried into a bonded pail, both hose ends opened, rod free by hand"
)
CLEARING_CAUTION: Final = Message(
    "A blocked nozzle or hose holds the whole pressure. Trigger locked, face and "
    "hands out of the line, loosen a little and wait; never look into it, never "
    "blow it out with pressure on."
)


@dataclass(frozen=True)
class Part:
    """Lines of the list that belong together, with the cautions that stand before them."""

    title: str
    names: tuple[str, ...]
    cautions: tuple[Caution, ...] = ()


def title_of(name: str, drive: DriveKind) -> str:
    """What a line of the list is called for this kind of drive."""
    labels = {f.name: f.label for f in fields_of(MakeSafe)}
    return _BY_KIND.get((drive, name)) or labels[name]


def parts_of(drive: DriveKind, loaded: Caution | None = None) -> tuple[Part, ...]:
    """The list for a kind of drive, in the order it is worked through.

    Args:
        drive: the pump's kind of drive.
        loaded: the caution of a loaded hose, with this pump's force where it is known.
    """
    emptied = loaded or caution("loaded-hose")
    own = () if drive == "air" else (caution(_HAZARDS[drive]),)  # of air the lines say it all
    after = tuple(name for name in DRIVE[drive] if name == "air_moved")
    before = tuple(name for name in DRIVE[drive] if name not in after)
    return (
        Part(Message("Around the pump"), AROUND),
        Part(Message("The {drive_words}", drive_words=DRIVE_WORDS[drive]), before, (emptied, *own)),
        Part(Message("Hose and gun"), HOSE, (caution("injection"),)),
        Part(Message("Nozzle and hose"), ("blockage",)),
        Part(
            Message("To clear a blockage"),
            ("clearing",),
            (caution("stored-pressure", CLEARING_CAUTION),),
        ),
        Part(Message("Zero"), ("way",)),
        Part(Message("By the gauge"), ("needle", "gauge_reading", "gauge_resolution")),
        Part(Message("Without a gauge"), BY_HAND),
        *((Part(Message("The air motor once more"), after),) if after else ()),
    )


def boxes_of(drive: DriveKind) -> tuple[str, ...]:
    """The list as boxes to tick on paper."""
    ticked = (*AROUND, *(n for n in DRIVE[drive] if n != "air_moved"), *HOSE)
    return (
        *(title_of(name, drive) for name in ticked),
        _FREE_BOX,
        _ZERO_BOX,
        *(title_of(name, drive) for name in DRIVE[drive] if name == "air_moved"),
    )


def way_words(ticked: MakeSafe) -> str:
    """By what zero was proven: never a gauge where none was used."""
    if ticked.way == "hand":
        return Message("without a gauge: {hand_done}", hand_done=_HAND_DONE)
    if ticked.gauge_reading is None:
        return Message("by the gauge: needle on its stop")
    least = ticked.gauge_resolution
    read = _bar(ticked.gauge_reading)
    if not least:
        return Message("by the gauge: it read {pressure}", pressure=read)
    return Message(
        "by the gauge: it read {pressure}, on a gauge read to {least}",
        pressure=read,
        least=_bar(least),
    )


def _bar(pressure: Pa) -> str:
    return stated(f"{pressure / 1e5:.3g} bar")


def _gauge_lacks(ticked: MakeSafe, *, doubted: bool) -> str:
    reading, least = ticked.gauge_reading, ticked.gauge_resolution
    if doubted:
        return Message(
            "This visit's readings have shown the gauge dead or wrong: prove zero "
            "without it, or fit another and read it under pressure first."
        )
    if reading is None and ticked.needle == "not looked":
        return Message("The gauge is not read.")
    if reading is None:
        return Message(
            "The needle is off its stop: that is pressure, or a gauge that can't prove zero."
        )
    if least is None:
        return Message(
            "Enter the smallest pressure you can read on this gauge; a reading counts "
            "only up to that."
        )
    if least > COARSE:
        return Message(
            "A gauge that can't be read below {least} can't prove zero: use one that can "
            "be read to {coarse}, or prove it without a gauge.",
            least=_bar(least),
            coarse=_bar(COARSE),
        )
    return Message(
        "The gauge reads {reading}, more than the {least} that can be read on it: pressure.",
        reading=_bar(reading),
        least=_bar(least),
    )


def _blockage_lacks(ticked: MakeSafe) -> str:
    if ticked.blockage == "not asked":
        return Message("Enter whether nozzle or hose may be blocked.")
    left = [CLEAR_WORDS[step] for step in CLEARING if step not in ticked.clearing]
    if not left:
        return Message("Nozzle or hose may be blocked and hide pressure. Enter when it is cleared.")
    return Message(
        "Nozzle or hose may be blocked and hide pressure. Still to do: {steps}.",
        steps=joined("; ", left),
    )


def missing(ticked: MakeSafe, drive: DriveKind, *, doubted: bool = False) -> tuple[str, ...]:
    """What keeps zero from being proven, a sentence each, in the order of the list."""
    said: dict[str, Callable[[], str]] = {
        "blockage": lambda: _blockage_lacks(ticked),
        "way": lambda: Message("Choose how zero is proven: by the gauge, or without one."),
        "gauge_reading": lambda: _gauge_lacks(ticked, doubted=doubted),
        "dead_proven_by": lambda: Message("Enter who proved the drive dead at its terminals."),
    }
    lacks = ticked.lacking(drive, doubted=doubted)
    ticks = [title_of(name, drive) for name in lacks if name not in said]
    return (*_not_ticked(ticks), *(said[name]() for name in lacks if name in said))


def _not_ticked(titles: Sequence[str]) -> tuple[str, ...]:
    """The lines not ticked in one sentence; of many only the first, for they stand on the list."""
    if len(titles) <= _FEW:
        return (Message("Not ticked: {titles}.", titles=joined("; ", titles)),) if titles else ()
    return (
        Message(
            "{count} lines are not ticked, the first: {first}.",
            count=len(titles),
            first=titles[0],
        ),
    )
