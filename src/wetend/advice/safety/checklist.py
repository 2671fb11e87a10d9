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
from wetend.units.quantity import Pa

CLEAR_WORDS: Final[dict[str, str]] = {
    "trigger-locked": "Trigger locked",
    "guard-off": "Nozzle guard loosened slowly, then off",
    "hose-loosened": "Hose end loosened slowly under a rag, face and hands out of the line",
    "waited": "Waited until nothing more weeps, then undone and cleared",
}
BLOCKAGE_WORDS: Final = {
    "not asked": "Not looked at yet",
    "ran free": "No: both ran free",
    "suspected": "Yes, or not known",
    "cleared": "It was, and is cleared",
}
WAY_WORDS: Final = {
    "not yet": "Not yet",
    "gauge": "By the gauge",
    "hand": "Without a gauge, or with one in doubt",
}
DRIVE_WORDS: Final[dict[DriveKind, str]] = {
    "air": "air motor", "hydraulic": "hydraulic drive", "electric": "electric drive",
    "engine": "engine",
}  # fmt: skip
_HAZARDS: Final[dict[DriveKind, Hazard]] = {
    "hydraulic": "hydraulic-drive", "electric": "electric-drive",
    "engine": "engine-drive",
}  # fmt: skip
_BY_KIND: Final[dict[tuple[DriveKind, str], str]] = {
    ("air", "drive_off"): "Air shut at its isolating valve",
    ("hydraulic", "drive_off"): "Hydraulic supply off",
    ("electric", "drive_off"): "Isolator off",
    ("engine", "drive_off"): "Engine stopped",
    ("engine", "oil_let_down"): "Oil pressure let down, or driven by belt",
    ("electric", "rod_free"): "Rod free: it follows the drive turned by hand, the hose empty",
}
_FEW: Final = 2
_FREE_BOX: Final = (
    "Nozzle and hose ran free; if not: trigger locked, nozzle guard off slowly, hose end loosened "
    "slowly, wait, clear"
)
_ZERO_BOX: Final = (
    "Zero by the gauge: needle on its stop; or both hose ends opened slowly under a rag and rod "
    "free by hand"
)
_HAND_DONE: Final = (
    "dump valve open, gun tried into a bonded pail, both hose ends opened, rod free by hand"
)
CLEARING_CAUTION: Final = (
    "A blocked nozzle or hose holds the whole pressure. Trigger locked, face and hands out of the "
    "line, loosen a little and wait; never look into it, never blow it out with pressure on."
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
        Part("Around the pump", AROUND),
        Part(f"The {DRIVE_WORDS[drive]}", before, (emptied, *own)),
        Part("Hose and gun", HOSE, (caution("injection"),)),
        Part("Nozzle and hose", ("blockage",)),
        Part("To clear a blockage", ("clearing",), (caution("stored-pressure", CLEARING_CAUTION),)),
        Part("Zero", ("way",)),
        Part("By the gauge", ("needle", "gauge_reading", "gauge_resolution")),
        Part("Without a gauge", BY_HAND),
        *((Part("The air motor once more", after),) if after else ()),
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
        return f"without a gauge: {_HAND_DONE}"
    if ticked.gauge_reading is None:
        return "by the gauge: needle on its stop"
    least = ticked.gauge_resolution
    fine = f", on a gauge read to {_bar(least)}" if least else ""
    return f"by the gauge: it read {_bar(ticked.gauge_reading)}{fine}"


def _bar(pressure: Pa) -> str:
    return f"{pressure / 1e5:.3g} bar"


def _gauge_lacks(ticked: MakeSafe, *, doubted: bool) -> str:
    reading, least = ticked.gauge_reading, ticked.gauge_resolution
    if doubted:
        return (
            "This visit's readings have shown the gauge dead or wrong: prove zero without it, or "
            "fit another and read it under pressure first."
        )
    if reading is None and ticked.needle == "not looked":
        return "The gauge is not read."
    if reading is None:
        return "The needle is off its stop: that is pressure, or a gauge that can't prove zero."
    if least is None:
        return (
            "Enter the smallest pressure you can read on this gauge; a reading counts only up to "
            "that."
        )
    if least > COARSE:
        return (
            f"A gauge that can't be read below {_bar(least)} can't prove zero: use one that can "
            f"be read to {_bar(COARSE)}, or prove it without a gauge."
        )
    return (
        f"The gauge reads {_bar(reading)}, more than the {_bar(least)} that can be read on it: "
        "pressure."
    )


def _blockage_lacks(ticked: MakeSafe) -> str:
    if ticked.blockage == "not asked":
        return "Enter whether nozzle or hose may be blocked."
    left = [CLEAR_WORDS[step] for step in CLEARING if step not in ticked.clearing]
    still = f" Still to do: {'; '.join(left)}." if left else " Enter when it is cleared."
    return f"Nozzle or hose may be blocked and hide pressure.{still}"


def missing(ticked: MakeSafe, drive: DriveKind, *, doubted: bool = False) -> tuple[str, ...]:
    """What keeps zero from being proven, a sentence each, in the order of the list."""
    said: dict[str, Callable[[], str]] = {
        "blockage": lambda: _blockage_lacks(ticked),
        "way": lambda: "Choose how zero is proven: by the gauge, or without one.",
        "gauge_reading": lambda: _gauge_lacks(ticked, doubted=doubted),
        "dead_proven_by": lambda: "Enter who proved the drive dead at its terminals.",
    }
    lacks = ticked.lacking(drive, doubted=doubted)
    ticks = [title_of(name, drive) for name in lacks if name not in said]
    return (*_not_ticked(ticks), *(said[name]() for name in lacks if name in said))


def _not_ticked(titles: Sequence[str]) -> tuple[str, ...]:
    """The lines not ticked in one sentence; of many only the first, for they stand on the list."""
    if len(titles) <= _FEW:
        return (f"Not ticked: {'; '.join(titles)}.",) if titles else ()
    return (f"{len(titles)} lines are not ticked, the first: {titles[0]}.",)
