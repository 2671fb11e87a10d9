"""The strip card: one pump's safe order of opening, to take to the pump."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import datetime

from wetend.advice.reasons import Caution, Grade
from wetend.advice.rebuild.plan import RebuildStep
from wetend.advice.safety.checklist import boxes_of
from wetend.advice.safety.hazards import but, said_once
from wetend.advice.safety.zero import Zero
from wetend.advice.strip.plan import Step as Planned
from wetend.advice.strip.plan import StripPlan
from wetend.drawings.ink import standalone
from wetend.drawings.wet_end import section as wet_end
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
from wetend.reports.drawn import taken_off
from wetend.reports.field_text import moment, time_text
from wetend.reports.typeset import press
from wetend.reports.visit.job import warned
from wetend.telling.reader import METRIC, Reader
from wetend.units.message import Message, joined
from wetend.units.show import chance_text

STANDS = Message("It holds for that person, that day, until the pump runs again.")
"""Under a proof of zero on paper, which outlives it."""
NOT_PROVEN = Message("Zero is not proven: tick every line before using a spanner.")


def zero_blocks(pump: Pump, zero: Zero | None) -> tuple[Block, ...]:
    """Who proved zero, when and by what; else that it is not proven, and the list to tick."""
    if zero is not None and zero.stands:
        return (
            Prose(
                Message("{line} {stands}", line=zero.line, stands=STANDS),
                style="strong",
            ),
        )
    boxes = boxes_of(pump.drive.kind)
    lapsed = zero is not None and zero.proven is not None
    line = (
        Message("{line} {not_proven}", line=zero.line, not_proven=NOT_PROVEN)
        if zero and lapsed
        else NOT_PROVEN
    )
    return (Prose(line, style="strong"), Points(boxes, "", (False,) * len(boxes)))


MANUAL_FIRST = Message("the maker's manual comes first at every step")
"""Printed once above the steps of a card."""
_IN_PLACE = Message(" in place of ")
ACT_WIDE = 43.0
"""Width of an act's drawing on a card, mm: six acts a page."""


def on_card(cautions: Sequence[Caution]) -> tuple[Caution, ...]:
    """A step's cautions as a card sets them: one of each grade, the graver first."""
    said = {grade: joined(" ", (c.text for c in cautions if c.grade is grade)) for grade in Grade}
    return tuple(Caution(text, grade) for grade, text in said.items() if text)


def _shields(plan: StripPlan) -> dict[int, str]:
    """What is said of shields at which step: where each begins, and how far it lasts."""
    lasts: dict[tuple[int, str], int] = {}
    since: dict[str, int] = {}
    for step in plan.steps:
        since = {what: since.get(what, step.number) for what in step.shielded}
        lasts |= {(first, what): step.number for what, first in since.items()}
    said: dict[int, list[str]] = {}
    for (first, what), last in lasts.items():
        said.setdefault(first, []).append(
            Message("Shielded, up to step {last}: {what}.", last=last, what=what)
            if last > first
            else Message("Shielded: {what}.", what=what)
        )
    return {first: joined(" ", lines) for first, lines in said.items()}


def _stand_ins(plan: StripPlan) -> Iterator[tuple[str, ...]]:
    """Step by step what a stand-in costs; said once, then by the step that said it."""
    first: dict[str, int] = {}
    for step in plan.steps:
        lines = []
        for line in step.stand_ins:
            known = first.setdefault(line, step.number)
            name = line.partition(":")[0]
            lines.append(
                line
                if known == step.number
                else Message("{name}: see step {known}.", name=name, known=known)
            )
        yield tuple(lines)


def _steps(
    pump: Pump, plan: StripPlan, done: Collection[str], at_head: Sequence[Caution]
) -> Iterator[Step]:
    shields = _shields(plan)
    order = [step.operation.key for step in plan.steps]
    warned = said_once([but(step.cautions, at_head) for step in plan.steps])
    for number, (planned, stand_ins, cautions) in enumerate(
        zip(plan.steps, _stand_ins(plan), warned, strict=True)
    ):
        drawn = taken_off(pump, planned.operation, order[:number], planned.used)
        notes = (planned.turn_to, *stand_ins, shields.get(planned.number, ""))
        yield Step(
            number=planned.number, title=planned.operation.title,
            tools=joined(", ", map(brief, planned.tools)) or Message("by hand"),
            how=planned.operation.how,
            notes=tuple(n for n in notes if n),
            cautions=on_card(cautions),
            done=planned.operation.key in done, time=time_text(planned.time),
            picture=act(drawn, planned.operation.title),
        )  # fmt: skip


def act(drawn: Drawn, title: str) -> Picture:
    """An act's drawing beside its step."""
    return Picture(drawn, Message("Drawn: {title}", title=title), ACT_WIDE)


def brief(tool: str) -> str:
    """A tool's name; that it stands in for another, and the step's note says what that costs."""
    name, stands_in, _ = tool.partition(_IN_PLACE)
    return Message("{name} (stand-in)", name=name) if stands_in else name


def laid_out(steps: Iterable[Planned | RebuildStep]) -> tuple[str, ...]:
    """Tools to lay out, each once, whatever it stands in for."""
    used = (tool.partition(_IN_PLACE)[0] for step in steps for tool in step.tools)
    return tuple(dict.fromkeys(used))


def strip_document(
    pump: Pump,
    plan: StripPlan,
    *,
    issued: datetime,
    visit_id: str = "",
    done: Collection[str] = (),
    zero: Zero | None = None,
    job_cautions: Sequence[Caution] = (),
) -> Document:
    """The card as blocks, ready for the press."""
    time = time_text(plan.time)
    head: list[Block] = [Prose(Message("To open: {goal}", goal=plan.goal), style="strong")]
    why = (Fine((plan.proof,)),) if plan.proof else ()
    safe = [*warned(job_cautions), *zero_blocks(pump, zero)]
    if plan.possible:
        head = [
            Prose(
                Message(
                    "To open: {goal}. {steps} steps, about {time}; chance of damaging a part "
                    "{risk}.",
                    goal=plan.goal,
                    steps=len(plan.steps),
                    time=time,
                    risk=chance_text(plan.risk),
                ),
                style="strong",
            )
        ]
        tools = laid_out(plan.steps)
        lay_out = Points(tools, Message("lay out"), (False,) * len(tools), 3)
        picture = Picture(
            lambda reader: standalone(wet_end.section(pump, reader=reader)),
            Message("The wet end in section"), 54,
            (*safe, lay_out, Points(plan.keep, Message("keep and protect"))),
        )  # fmt: skip
        sections = [
            Section(Message("First make it safe"), (picture,)),
            Section(
                Message("Open · {manual_first}", manual_first=MANUAL_FIRST),
                (*why, *_steps(pump, plan, done, job_cautions)),
            ),
        ]
    else:
        sections = [
            Section(Message("First make it safe"), tuple(safe)),
            Section(Message("Cannot be done with these tools"), (Points(plan.why_not),)),
        ]
    return Document(
        title=Message("Strip card"),
        subject=Message("{name}, {build}", name=pump.name, build=pump.build)
        if pump.build
        else pump.name,
        author="wetend",
        made=issued,
        plate=(
            (Message("document"), Message("strip card")),
            (Message("pump"), pump.key[:24]),
            (Message("visit"), visit_id[:13] or Message("none")),
            (Message("issued"), moment(issued)),
        ),
        head=tuple(head),
        corner=None,
        sections=tuple(sections),
    )


def strip_card(
    pump: Pump,
    plan: StripPlan,
    *,
    issued: datetime,
    visit_id: str = "",
    done: Collection[str] = (),
    zero: Zero | None = None,
    job_cautions: Sequence[Caution] = (),
    reader: Reader = METRIC,
) -> bytes:
    """The card as a PDF file's bytes.

    Raises:
        WetendError: it could not be set.
    """
    return press(strip_document(
        pump, plan, issued=issued, visit_id=visit_id, done=done, zero=zero,
        job_cautions=job_cautions,
    ), reader)  # fmt: skip
