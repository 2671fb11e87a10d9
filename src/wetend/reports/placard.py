"""A sheet for the wall and a card for the pocket: a pump's drawing and numbers, black on white."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from wetend.advice.reasons import Caution
from wetend.advice.rebuild.answer import StackFit
from wetend.advice.rebuild.plan import Found, plan_rebuild
from wetend.advice.safety.hazards import caution
from wetend.advice.strip.bag import tool_titles
from wetend.drawings import stack
from wetend.drawings.acts.exploded import exploded
from wetend.drawings.ink import standalone
from wetend.pump.description import Pump
from wetend.pump.parts import Packings, Valve
from wetend.pump.readings import ToolBag
from wetend.reports.blocks import DISCLAIMER, Picture
from wetend.reports.typeset import press
from wetend.telling.reader import METRIC, Reader
from wetend.units.message import Message, joined, raised
from wetend.units.quantity import NM, CycleRate, M, MFine, N, Pa, Percent, unit_of
from wetend.units.show import show, show_limit

Row = tuple[str, str]
WALL_WIDE, POCKET_WIDE = 130.0, 80.0
"""Width of the drawing, mm."""


@dataclass(frozen=True)
class Group:
    """Numbers under one heading: what, and how much."""

    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Placard:
    """One sheet."""

    title: str
    subject: str
    author: str
    made: datetime
    """When it was made, UTC."""
    size: Literal["a3", "a6"]
    picture: Picture
    groups: tuple[Group, ...]
    cautions: tuple[Caution, ...]
    foot: str


def _fine(value: float) -> str:
    return show_limit(value, unit_of(MFine))


def _size(value: float) -> str:
    return show_limit(value, unit_of(M))


def _most(title: str, value: float | None) -> Iterator[Row]:
    """A limit, where the description has one."""
    if value:
        yield title, Message("at most {limit}", limit=_fine(value))


def _between(low: str, high: str) -> str:
    return Message("{low} to {high}", low=low, high=high)


def _bore(pump: Pump) -> Group:
    c, r = pump.cylinder, pump.rod
    return Group(Message("Cylinder and rod"), (
        (Message("bore"), _size(c.bore)),
        *_most(Message("bore, wear"), c.wear_limit),
        *_most(Message("bore, out of round"), c.oval_limit),
        *_most(Message("bore, scores"), c.score_limit),
        (Message("rod"), _size(r.diameter)),
        *_most(Message("rod, wear"), r.wear_limit),
        *_most(Message("rod, scratch"), r.scratch_limit),
    ))  # fmt: skip


def _valve(title: str, valve: Valve) -> Group:
    return Group(title, (
        (Message("ball"), _size(valve.ball_diameter)),
        (Message("ball's lift"), _between(_size(valve.lift_low), _size(valve.lift_high))),
        *_most(Message("ball, wear"), valve.ball_loss_limit),
        *_most(Message("ball, out of round"), valve.ball_round_limit),
        *_most(Message("seat, band"), valve.band_limit),
        *_most(Message("seat, chip"), valve.chip_limit),
    ))  # fmt: skip


def _packings(title: str, own: Packings) -> Group:
    lips = Message("lips down") if own.lips_face == "down" else Message("lips up")
    return Group(title, (
        (Message("V-rings"), Message("{count}, {lips}", count=own.rings, lips=lips)),
        (Message("set, free height"), _size(own.height)),
        *_most(Message("clearance"), own.clearance_limit),
    ))  # fmt: skip


def _torques(pump: Pump, fit: StackFit) -> Group:
    """Of every joint that has one, as it is called when it is put together."""
    every = ToolBag(tools=tuple(tool for tool in tool_titles(pump) if tool != "vice"), vice=True)
    plan = plan_rebuild(pump, every, found=Found(fit, None))
    return Group(Message("Torques"), (
        *((step.title, show(step.torque, unit_of(NM)))
          for step in plan.steps if step.torque is not None),
    ))  # fmt: skip


def _limits(pump: Pump) -> Group:
    most = pump.limits
    return Group(Message("Not above"), (
        (Message("outlet"), show(most.outlet_pressure, unit_of(Pa))),
        (Message("pace"), show(most.cycle_rate_high, unit_of(CycleRate))),
    ))  # fmt: skip


def _subject(pump: Pump) -> str:
    return Message("{name}, {build}", name=pump.name, build=pump.build) if pump.build else pump.name


_FOOT = joined(" ", (
    Message("From this pump's own description; limits as described there."), DISCLAIMER,
))  # fmt: skip


def placard_pdf(placard: Placard, reader: Reader = METRIC) -> bytes:
    """A wall sheet or a pocket card, as a PDF file's bytes.

    Raises:
        WetendError: it could not be set.
    """
    return press(placard, reader, template="placard.typ")


def wall_placard(pump: Pump, fit: StackFit, *, made: datetime) -> Placard:
    """The pump taken apart, with its clearances and torques, on A3.

    Args:
        pump: as described.
        fit: its seal stack with rings as described.
        made: when, UTC.
    """
    return Placard(
        title=Message("Taken apart"), subject=_subject(pump), author="wetend", made=made, size="a3",
        picture=Picture(
            lambda reader: standalone(exploded(pump, reader=reader), black=True),
            Message("The wet end taken apart along its axis"), WALL_WIDE,
        ),
        groups=(
            _bore(pump), _valve(Message("Foot valve"), pump.foot_valve),
            _valve(Message("Piston valve"), pump.piston_valve),
            _packings(Message("Moving packings"), pump.moving_packings),
            _packings(Message("Static packings"), pump.static_packings),
            _torques(pump, fit), _limits(pump),
        ),
        cautions=(caution("stored-pressure"),), foot=_FOOT,
    )  # fmt: skip


def _order(fit: StackFit) -> Group:
    """Rings from below, as they go in."""
    return Group(Message("From below"), tuple(
        (Message("{number} {ring}", number=n, ring=layer.title), _size(layer.height))
        for n, layer in enumerate(fit.layers, 1)
    ))  # fmt: skip


def _fitting(pump: Pump, fit: StackFit) -> Group:
    own = pump.stack
    shims = joined(" + ", map(_size, fit.shims)) if fit.shims else Message("none")
    rows: list[Row] = [(Message("shims, all on the cage"), shims)]
    if not fit.turns_freely:
        rows += [
            (Message("elbow stops at"), fit.clock),
            (Message("a quarter turn is"), _size(0.25 * own.pitch)),
        ]
    rows += [
        (Message("ball's lift"),
         _between(_size(pump.foot_valve.lift_low), _size(pump.foot_valve.lift_high))),
        *((raised(Message("{ring}, squeezed", ring=s.title or s.name)),
           _between(show_limit(s.low, unit_of(Percent)), show_limit(s.high, unit_of(Percent))))
          for s in fit.squeezes),
        (Message("clamped with"), show(fit.clamp, unit_of(N))),
        (Message("torque"), show(fit.torque, unit_of(NM))),
    ]  # fmt: skip
    return Group(Message("Fitted"), tuple(rows))


def pocket_placard(pump: Pump, fit: StackFit, *, made: datetime) -> Placard:
    """The seal stack in section with its numbers, on A6.

    Args:
        pump: as described.
        fit: its seal stack with rings as described.
        made: when, UTC.
    """
    return Placard(
        title=Message("Seal stack"), subject=_subject(pump), author="wetend", made=made, size="a6",
        picture=Picture(
            lambda reader: standalone(stack.section(fit, pump, reader=reader), black=True),
            Message("The seal stack in section"), POCKET_WIDE,
        ),
        groups=(_order(fit), _fitting(pump, fit)),
        cautions=(caution("stored-pressure"),),
        foot=joined(" ", (Message("With rings of the height described: measure yours."), _FOOT)),
    )  # fmt: skip
