"""What happens inside a pump with a fault: the moment that shows it, beside a sound pump."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import FAULT
from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import caution
from wetend.advice.simulation.film import CHANNELS, Film
from wetend.advice.simulation.moment import Moment, telling_moment
from wetend.errors import NotFound
from wetend.keeping import MB, kept
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import OLD_SIGHTS
from wetend.pump.toml import DEMO_PUMPS
from wetend.units.message import Message
from wetend.units.show import show
from wetend.units.suggestions import near_or_all
from wetend.workflows import pumps
from wetend.workflows.desk import Desk
from wetend.workflows.simulate import ONLY_A_PICTURE, played, pump_choices, pump_of

__all__ = ["InsideView", "as_json", "cautions_of", "fault_of", "inside", "pump_choices", "view"]


@dataclass(frozen=True, eq=False)
class InsideView:
    """A fault, and the moment of the stroke at which it shows."""

    fault: Fault
    pump: Pump
    coating: Coating
    size: str
    """Of the fault as simulated: its typical size."""
    motion: str
    """Name of the fault in the pump in motion."""
    moment: Moment
    this: Film
    sound: Film

    only: str = ONLY_A_PICTURE

    @property
    def signs(self) -> tuple[tuple[str, str], ...]:
        """What the crew sees of it, and why that points to it."""
        return signs_of(self.fault)

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """Before what is to be looked at first."""
        return cautions_of(self.fault)

    @property
    def sentence(self) -> str:
        """What is seen at that moment."""
        return self.moment.sentence


def signs_of(fault: Fault) -> tuple[tuple[str, str], ...]:
    """What the crew sees of a fault, and why that points to it."""
    return tuple((Message(s), sign.why) for s, sign in fault.signs.items() if s not in OLD_SIGHTS)


def cautions_of(fault: Fault) -> tuple[Caution, ...]:
    """Before a pump is opened for a fault."""
    return (caution("stored-pressure"),) if fault.inside else ()


def fault_of(key: str) -> Fault:
    """A fault by its id.

    Raises:
        NotFound: there is none.
    """
    if key not in FAULT:
        raise NotFound(
            Message("There is no fault “{key}”; {choice}", key=key, choice=near_or_all(key, FAULT))
        )
    return FAULT[key]


@kept("faults seen inside", most=8 * MB)
def _inside(pump: Pump, coating: Coating, key: str) -> InsideView:
    fault = FAULT[key]
    motion = fault.causes[0].motion[0]
    seen = played(pump, coating, {motion.name: motion.typical}, cycles=1, gun="open")
    return InsideView(
        fault, pump, coating, show(motion.typical, motion.unit), motion.name,
        telling_moment(fault, seen.this, seen.sound), seen.this, seen.sound,
    )  # fmt: skip


def view(desk: Desk, key: str, pump: str = "", coating: str = "") -> InsideView:
    """A fault inside a pump with a coating; not named, the first of the depot.

    Raises:
        NotFound: no such fault, pump or coating.
        NoAnswer: the calculation has no solution for this pump and coating.
    """
    return inside(
        key, pump_of(desk, pump or _first_pump(desk)),
        desk.coating(coating) if coating else desk.coatings()[0],
    )  # fmt: skip


def inside(key: str, pump: Pump, coating: Coating) -> InsideView:
    """A fault of its typical size inside this pump with this coating.

    Raises:
        NotFound: no such fault.
        NoAnswer: the calculation has no solution for this pump and coating.
    """
    return _inside(pump, coating, fault_of(key).id)


def as_json(seen: InsideView) -> dict[str, Any]:
    """A view as JSON types, SI."""
    moment = seen.moment
    return {
        "fault": seen.fault.id, "title": seen.fault.title, "pump": seen.pump.key,
        "coating": seen.coating.key, "size": seen.size, "sentence": seen.sentence,
        "moment": {
            "stroke": "up" if moment.up else "down", "share": moment.share, "shows": moment.key,
            "this": moment.this, "sound": moment.sound, "unit": CHANNELS[moment.key].unit.kind.si,
        },
        "signs": dict(seen.signs), "open_first": seen.fault.open_first, "cautions": seen.cautions,
        "only": seen.only,
    }  # fmt: skip


def _first_pump(desk: Desk) -> str:
    from_depot = pumps.described(desk)
    return from_depot[0].key if from_depot else DEMO_PUMPS[0]
