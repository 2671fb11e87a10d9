"""The act that comes next in a visit, as text: its cautions before what to do."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from wetend.cli.output import Sheet, plain
from wetend.pump.skipped import ActSkipped
from wetend.records.entries import PAYLOADS, EntryKind
from wetend.units.fields import fields_of
from wetend.units.message import Message, joined
from wetend.units.show import chance_text, minutes_text
from wetend.workflows.acts.act import STAGE_TITLES, Act, ActsView

_COMMANDS: Final[Mapping[EntryKind, str]] = {
    "complaint": "complaint", "coating": "coating", "check-readings": "checks",
    "make-safe": "make-safe", "tool-bag": "strip", "stack": "rebuild", "proof": "prove",
    "set-up": "handover", "sign-off": "sign-off", "part-fitted": "fitted",
}  # fmt: skip
"""Which command enters an act's fields; parts measured go by their own name."""


def command_of(act: Act, visit_id: str) -> str:
    """The command that enters an act's fields, or marks its step."""
    short = visit_id[-6:]
    if act.kind is None:
        return f"wetend {act.stage} {short} --done {act.key}"
    if act.kind == "coating":
        return f"wetend coating {short} KEY"
    typed = joined(" ", (f"{name}=…" for name in act.fields))
    if act.kind in _COMMANDS:
        return f"wetend {_COMMANDS[act.kind]} {short} {typed}"
    which = joined(" ", (f"{name}={value}" for name, value in act.fixed.items()))
    return joined(" ", filter(None, (f"wetend inspect {short} {act.kind}", which, typed)))


def _entries(sheet: Sheet, act: Act) -> None:
    if act.kind in (None, "coating", "part-fitted"):
        return
    assert act.kind is not None
    labels = {f.name: f.label for f in fields_of(PAYLOADS[act.kind])}
    for name in act.fields:
        label = labels.get(name.partition(".")[0], name)
        sound = act.sound.get(name)
        line = (
            Message("  {name}: {label}; sound or new: {sound}", name=name, label=label, sound=sound)
            if sound
            else Message("  {name}: {label}", name=name, label=label)
        )
        sheet.line(line)


def write_act(sheet: Sheet, seen: ActsView, act: Act) -> None:
    """One act: what stands in its way, its cautions, what to do, what to enter and how."""
    if seen.shut(act):
        sheet.gate(seen.gate.zero)
    for caution in act.cautions:
        sheet.caution(caution)
    sheet.heading(act.title)
    sheet.line(
        Message("{stage}, {minutes}", stage=STAGE_TITLES[act.stage],
                minutes=minutes_text(act.minutes))
    )  # fmt: skip
    for said in filter(None, (act.how, act.why)):
        sheet.said(said)
    if act.cannot is not None:
        sheet.line(Message("Could not be done: {why}", why=act.cannot))
    _entries(sheet, act)
    sheet.line(Message("Enter it: {command}", command=command_of(act, seen.visit.id)))


def write_believed(sheet: Sheet, seen: ActsView) -> None:
    """What is believed so far, in a line a fault."""
    for finding in seen.believed:
        sheet.line(
            Message("{fault}: {chance}", fault=finding.fault.title,
                    chance=chance_text(finding.probability))
        )  # fmt: skip


def write_left(sheet: Sheet, seen: ActsView) -> None:
    """What is left, with minutes and worth beside each."""
    sheet.table(
        [Message("act"), "", Message("minutes"), Message("saves")],
        [
            [a.name, a.title, minutes_text(a.minutes),
             minutes_text(a.worth) if a.worth is not None else ""]
            for a in seen.left
        ],
    )  # fmt: skip


def as_data(seen: ActsView, acts: tuple[Act, ...]) -> dict[str, Any]:
    """Acts as JSON types: with what is believed, and whether zero stands."""
    return {
        "visit": seen.visit.id,
        "next": plain(seen.next),
        "zero": plain(seen.gate.zero),
        "believed": [{"fault": f.fault.title, "probability": f.probability} for f in seen.believed],
        "acts": [
            {**plain(a), "command": command_of(a, seen.visit.id), "shut": seen.shut(a)}
            for a in acts
        ],
    }


def write_skipped(sheet: Sheet, act: Act, reason: str) -> None:
    """That an act is out of the queue, and why."""
    label = next(f.label for f in fields_of(ActSkipped) if f.name == "reason")
    sheet.line(Message("{act}. {label}: {why}", act=act.title, label=label, why=reason))
