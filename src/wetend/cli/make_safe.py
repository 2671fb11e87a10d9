"""``wetend make-safe``: the make-safe list, and whether zero is proven."""

from __future__ import annotations

import typer

from wetend.advice.safety.checklist import Part, parts_of, title_of
from wetend.cli.desk import noun_from, system_of
from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.output import Sheet
from wetend.cli.stage import save_and_show
from wetend.pump.make_safe import MakeSafe
from wetend.pump.parts import DriveKind
from wetend.units.fields import Field, fields_of
from wetend.units.message import Message, joined
from wetend.workflows import complaint, zero
from wetend.workflows.complaint import ComplaintView
from wetend.workflows.desk import Desk

app = command_app()
_FIELDS = {f.name: f for f in fields_of(MakeSafe)}


def write(sheet: Sheet, seen: ComplaintView) -> None:
    """Whether zero is proven; the list for this pump's drive, each caution before its lines."""
    gate, drive = seen.gate, seen.visit.pump.drive.kind
    sheet.gate(gate.zero)
    for part in parts_of(drive, gate.caution):
        if not _asked(part, gate.begun):
            continue
        for each in part.cautions:
            sheet.caution(each)
        sheet.heading(part.title)
        for name in part.names:
            sheet.line(_line(sheet, name, gate.begun, drive))
    if gate.gauge_in_doubt:
        sheet.said(
            Message("This visit's readings show the gauge dead or wrong: prove zero by hand.")
        )
    if gate.zero.missing:
        sheet.heading(Message("Still missing"))
    for lack in gate.zero.missing:
        sheet.said(Message("- {lack}", lack=lack))


def _asked(part: Part, ticked: MakeSafe) -> bool:
    """Whether a part is asked for as the list stands."""
    if "clearing" in part.names:
        return ticked.blockage in ("suspected", "cleared")
    if "needle" in part.names:
        return ticked.way != "hand"
    return "rod_free" not in part.names or ticked.way != "gauge"


def _line(sheet: Sheet, name: str, ticked: MakeSafe, drive: DriveKind) -> str:
    field, value = _FIELDS[name], getattr(ticked, name)
    done = value not in (field.default, None)
    return Message(
        "{mark} {title}: {value}",
        mark="●" if done else "○",
        title=title_of(name, drive),
        value=_value(sheet, field, value),
    )


def _value(sheet: Sheet, field: Field, value: object) -> str:
    if field.shape == "yes-no":
        return f"{field.name}={'yes' if value else 'no'}"
    if field.unit is not None and isinstance(value, float):
        return f"{field.name}={sheet.show(value, field.unit)}"
    if isinstance(value, tuple):
        value = ",".join(value)
    choices = Message(" ({choices})", choices=joined(" | ", field.choices)) if field.choices else ""
    return f"{field.name}={value or ''}{choices}"


@app.command(
    cls=helped(
        "wetend make-safe last",
        "wetend make-safe last drive_off=yes locked_off=yes air_bled=yes gun_opened=yes "
        'dump_opened=yes gun_dead=yes air_moved=yes blockage="ran free" way=gauge '
        'needle="on its stop" bonded=yes protected=yes',
        tables=[fields(MakeSafe)],
    )
)
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Tick the make-safe list, line by line or all at once; without fields, only show it.

    What is ticked is put to what you ticked before on this visit, as long as zero could stand.

    For every pump: drive_off locked_off bonded protected gun_opened dump_opened gun_dead blockage
    way. An air drive adds air_bled air_moved, a hydraulic one oil_let_down accumulator_empty, an
    electric one dead_proven_by charge_waited, an engine key_out oil_let_down.

    way=gauge wants needle="on its stop", or gauge_reading and gauge_resolution; way=hand wants
    hose_ends_opened and rod_free. blockage=suspected opens
    clearing=trigger-locked,guard-off,hose-loosened,waited; then blockage=cleared.

    Zero stands for whoever proved it, that day, until the pump runs again (`wetend ran`).
    """
    keep = None
    if given:
        said = noun_from(MakeSafe, given, system_of(ctx))

        def keep(desk: Desk, visit_id: str) -> None:
            zero.put_to_list(desk, visit_id, said)

    save_and_show(ctx, name, keep=keep, view=complaint.view, write=write, as_json=as_json)
