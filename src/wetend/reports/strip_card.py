"""The strip card: one pump's safe order of opening, to take to the pump."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from wetend.advice.reasons import Caution
from wetend.advice.strip import Step as Planned
from wetend.advice.strip import StripPlan
from wetend.drawings import wet_end
from wetend.drawings.ink import standalone
from wetend.pump.description import Pump
from wetend.reports.blocks import Block, Document, Picture, Points, Prose, Section, Step, Warnings
from wetend.reports.press import press
from wetend.reports.told import moment, time_text
from wetend.units.show import chance_text

MAKE_SAFE = (
    "Drive supply shut and locked off, the key in your pocket.",
    "Gun opened into an earthed pail, then trigger lock on.",
    "Dump valve opened and left open.",
    "Zero proven at the gauge and at the gun. A blocked nozzle or hose can hide pressure.",
    "Pump, object and pail bonded and earthed, no ignition source, aired.",
    "Gloves, eyes and breathing protection to the safety data sheet.",
)
"""What must be ticked before the first spanner."""
INJECTION = Caution(
    "Coating under pressure goes through skin; the wound looks trivial and is a surgical "
    "emergency. Never feel for a leak. If it happens: hospital at once, and say what was injected."
)


def _step(planned: Planned, done: Collection[str]) -> Step:
    notes = [planned.turn_to] if planned.turn_to else []
    notes += planned.stand_ins
    if planned.shielded:
        notes.append(f"Still shielded: {', '.join(planned.shielded)}.")
    return Step(
        number=planned.number, title=planned.operation.title,
        tools=", ".join(planned.tools) or "by hand", how=planned.operation.how,
        notes=tuple(notes), cautions=planned.cautions, done=planned.operation.key in done,
        time=time_text(planned.time),
    )  # fmt: skip


def _tools(plan: StripPlan) -> tuple[str, ...]:
    return tuple(dict.fromkeys(tool for step in plan.steps for tool in step.tools))


def strip_document(
    pump: Pump, plan: StripPlan, *, issued: datetime, visit_id: str = "", done: Collection[str] = ()
) -> Document:
    """The card as blocks, ready for the press."""
    time = time_text(plan.time)
    head: list[Block] = [Prose(f"To open: {plan.goal}", style="strong")]
    sections = [
        Section("First make it safe", (
            Warnings((INJECTION,)), Points(MAKE_SAFE, "", (False,) * len(MAKE_SAFE)),
        )),
    ]  # fmt: skip
    if plan.possible:
        head.append(Prose(f"{len(plan.steps)} steps, about {time}; chance of spoiling a part "
                          f"{chance_text(plan.risk)}."))  # fmt: skip
        sections += [
            Section("Lay out", (Points(_tools(plan), "", (False,) * len(_tools(plan)), 3),)),
            Section("Open", tuple(_step(s, done) for s in plan.steps)),
        ]
    else:
        sections.append(Section("Cannot be done here", (Points(plan.why_not),)))
    if plan.possible:
        picture = Picture(
            standalone(wet_end.section(pump)), "The wet end in section", 70,
            (Points(plan.keep, "keep and protect"),),
        )  # fmt: skip
        sections.append(Section("The wet end", (picture,)))
    if plan.proof:
        sections.append(Section("Why this order", (Prose(plan.proof, style="quiet"),)))
    return Document(
        title="Strip card",
        subject=f"{pump.name}, {pump.build}" if pump.build else pump.name,
        author="wetend",
        made=issued,
        plate=(("document", "strip card"), ("pump", pump.key[:24]),
               ("visit", visit_id[:13] or "none"), ("issued", moment(issued))),
        head=tuple(head),
        corner=None,
        sections=tuple(sections),
    )  # fmt: skip


def strip_card(
    pump: Pump, plan: StripPlan, *, issued: datetime, visit_id: str = "", done: Collection[str] = ()
) -> bytes:
    """The card as a PDF file's bytes.

    Raises:
        WetendError: it could not be set.
    """
    return press(strip_document(pump, plan, issued=issued, visit_id=visit_id, done=done))
