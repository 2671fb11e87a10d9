"""The rebuild card: order of assembly with sizes, lips, shims and torques."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from wetend.advice.reasons import Caution
from wetend.advice.rebuild.answer import StackFit
from wetend.advice.rebuild.plan import RebuildPlan, RebuildStep
from wetend.advice.safety.hazards import but, said_once
from wetend.advice.safety.zero import Zero
from wetend.drawings import packing_set
from wetend.drawings.ink import standalone
from wetend.pump.description import Pump
from wetend.reports.blocks import (
    Block,
    Document,
    Drawn,
    Fine,
    Picture,
    Points,
    Prose,
    Section,
    Step,
)
from wetend.reports.drawn import between, faced, put_back, stacked
from wetend.reports.field_text import moment, time_text
from wetend.reports.strip_card import MANUAL_FIRST, act, brief, laid_out, on_card, zero_blocks
from wetend.reports.typeset import press
from wetend.reports.visit.job import warned
from wetend.telling.reader import METRIC, Reader
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.units.quantity import NM, M, N, unit_of
from wetend.units.show import show


@dataclass(frozen=True)
class RebuildCard:
    """Everything a rebuild card shows."""

    pump: Pump
    plan: RebuildPlan
    fit: StackFit | None
    issued: datetime
    visit_id: str = ""
    done: Collection[str] = ()
    zero: Zero | None = None
    """Whether zero is proven for whoever prints it."""
    job_cautions: Sequence[Caution] = ()
    """What site and mixed coating ask for as it is printed."""


def _notes(step: RebuildStep, system: System) -> Iterator[str]:
    if step.turn_to:
        yield step.turn_to
    yield from (*step.notes, *step.stand_ins)
    if step.torque is not None:
        torque = show(step.torque, unit_of(NM), system)
        if step.pull is not None and step.lever is not None:
            pull, lever = (
                show(step.pull, unit_of(N), system), show(step.lever, unit_of(M), system),
            )  # fmt: skip
            torque = Message(
                "{torque} = {pull} on the {lever} lever", torque=torque, pull=pull, lever=lever
            )
        yield "\n" + Message("Torque: {torque}.", torque=torque)
    if step.check:
        yield "\n" + Message("Before you continue: {check}", check=step.check)


def _steps(card: RebuildCard, system: System) -> Iterator[Step]:
    new = said_once([but(step.cautions, card.job_cautions) for step in card.plan.steps])
    operations = {o.key: o for o in card.pump.strip.operations}
    apart = [step.key for step in card.plan.steps if step.key in operations]
    for step, cautions in zip(card.plan.steps, new, strict=True):
        drawn = between(card.pump, step.key, step.title)
        if step.key in operations:
            apart.remove(step.key)
            drawn = put_back(
                card.pump, operations[step.key], tuple(apart), step.title, step.used
            )  # fmt: skip
        picture = act(drawn, step.title) if drawn else None
        yield replace(_step(step, card, cautions, system), picture=picture)


def _step(
    step: RebuildStep, card: RebuildCard, cautions: tuple[Caution, ...], system: System
) -> Step:
    return Step(
        number=step.number,
        title=step.title,
        tools=joined(", ", map(brief, step.tools)) or Message("by hand"),
        how=step.how,
        notes=tuple(_notes(step, system)),
        cautions=on_card(cautions),
        done=step.key in card.done,
        time=time_text(step.time),
    )


def _packed(pump: Pump, part: Literal["static-packings", "moving-packings"]) -> Drawn:
    return lambda reader: standalone(packing_set.section(pump, part, reader=reader))


def _drawings(card: RebuildCard) -> Iterator[Picture]:
    """Each drawing once: the stack with its clock, then the packings."""
    pump, fit = card.pump, card.fit
    pictures = {s.picture for s in card.plan.steps}
    if fit is not None and pictures & {"stack", "clock"}:
        dial = Picture(
            faced(pump, fit), Message("Elbow on a clock face: {clock}", clock=fit.clock), 66
        )
        yield Picture(stacked(pump, fit), Message("The seal stack in section"), 80, (dial,))
    sets = [
        Picture(
            _packed(pump, part),
            Message(
                "{replace} in section, which way the lips face", replace=part.replace("-", " ")
            ),
            76,
        )
        for part in ("static-packings", "moving-packings")
        if part in pictures
    ]
    if sets:
        yield Picture(sets[0].svg, sets[0].alt, sets[0].wide, tuple(sets[1:]))


def rebuild_document(card: RebuildCard, system: System) -> Document:
    """The card as blocks, ready for the press."""
    pump, plan = card.pump, card.plan
    head: list[Block] = []
    sections = [
        Section(Message("Still safe?"), (
            *warned(card.job_cautions), *zero_blocks(pump, card.zero),
        )),
    ]  # fmt: skip
    if plan.possible:
        head.append(
            Prose(
                Message(
                    "{steps} steps, about {time}.", steps=len(plan.steps), time=time_text(plan.time)
                ),
                style="strong",
            )
        )
        lay_out = (*(Message("New: {p}", p=p) for p in plan.fresh), *laid_out(plan.steps))
        sections += [
            Section(Message("Lay out"), (Points(lay_out, "", (False,) * len(lay_out), 3),)),
            Section(Message("Build · {manual_first}", manual_first=MANUAL_FIRST), (
                Fine((plan.proof,)), *_steps(card, system),
            )),
            Section(Message("Present state"), tuple(_drawings(card))),
            Section(Message("Afterwards"), tuple(
                Prose(line) for line in plan.afterwards
            )),
        ]  # fmt: skip
    else:
        sections.append(
            Section(Message("Cannot be reassembled with these tools"), (Points(plan.why_not),))
        )
    return Document(
        title=Message("Rebuild card"),
        subject=Message("{name}, {build}", name=pump.name, build=pump.build)
        if pump.build
        else pump.name,
        author="wetend",
        made=card.issued,
        plate=(
            (Message("document"), Message("rebuild card")),
            (Message("pump"), pump.key[:24]),
            (Message("visit"), card.visit_id[:13] or Message("none")),
            (Message("issued"), moment(card.issued)),
        ),
        head=tuple(head),
        corner=None,
        sections=tuple(s for s in sections if s.blocks),
    )


def rebuild_card(card: RebuildCard, reader: Reader = METRIC) -> bytes:
    """The card as a PDF file's bytes.

    Raises:
        WetendError: it could not be set.
    """
    return press(rebuild_document(card, reader.system), reader)
