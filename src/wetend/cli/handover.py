"""``wetend handover``: the set-up sheet."""

from __future__ import annotations

import typer

from wetend.advice.life.next_repack import (
    NextRepack,
    do_text,
    volume_span_text,
    volume_text,
    when_text,
)
from wetend.advice.safety.hazards import caution
from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.output import Sheet
from wetend.cli.signed import write_signed
from wetend.cli.stage import keeper, save_and_show
from wetend.pump.readings import SetUpRequest
from wetend.units.message import Message, joined, raised
from wetend.units.quantity import CycleRate, M3PerS, Pa, unit_of
from wetend.workflows import handover
from wetend.workflows.handover import HandoverView

app = command_app()


def write(sheet: Sheet, seen: HandoverView) -> None:
    """The state of the pump and who has signed, the set-up sheet, and when to come back."""
    write_signed(sheet, seen.signed)
    if seen.moved:
        sheet.heading(Message("Since the signature the record says otherwise"))
        for label, now in seen.moved:
            sheet.said(Message("{label}: {now}", label=label, now=now))
        sheet.line(Message("What was signed stays as it is; sign again to hand this over."))
    _settings(sheet, seen)
    write_repack(sheet, seen.repack)
    if seen.fitted_missing:
        parts = joined(", ", seen.fitted_missing)
        sheet.line(
            Message(
                "To be replaced or turned, but not recorded yet: {parts}. Enter it once: wetend "
                "fitted VISIT",
                parts=parts,
            )
        )
    if not seen.visit.closed:
        sheet.caution(caution("rags"))
        sheet.line(Message("Flushed, cleaned up and tried: wetend sign-off VISIT technician=NAME"))


def write_repack(sheet: Sheet, repack: NextRepack | None) -> None:
    """The next repack with its chance and its day, and its evidence."""
    if repack is None:
        return
    sheet.heading(Message("Next repack"))
    sheet.line(do_text(repack))
    sheet.line(Message("{when}.", when=raised(when_text(repack))))
    volume, span = volume_text(repack), volume_span_text(repack)
    sheet.line(Message("After about {volume} ({span}).", volume=volume, span=span))
    for line in repack.basis:
        sheet.said(line)


def _settings(sheet: Sheet, seen: HandoverView) -> None:
    if seen.sheet is None:
        sheet.line(seen.no_answer or Message("Choose the coating first: wetend coating VISIT KEY"))
        return
    s = seen.sheet
    for each in s.cautions:
        sheet.caution(each)
    sheet.heading(Message("Settings for this coating"))
    for label, value in (
        (Message("pressure at the nozzle"), s.nozzle_pressure), (Message("hose loss"), s.hose_loss),
        (Message("lift"), s.lift_loss), (Message("pressure at the pump"), s.pump_pressure),
    ):  # fmt: skip
        sheet.gauge(label, value)
    sheet.gauge(Message("supply at the drive"), s.supply_pressure, at_most=True)
    sheet.figure(Message("stall pressure then"), s.stall_pressure, unit_of(Pa))
    sheet.figure(
        Message("weakest rating ({weakest_part})", weakest_part=s.weakest_part),
        s.weakest_rating,
        unit_of(Pa),
    )
    sheet.gauge(Message("suction margin"), s.suction_margin)
    sheet.figure(Message("flow"), s.flow, unit_of(M3PerS))
    sheet.figure(Message("cycles"), s.cycle_rate, unit_of(CycleRate))
    for setting in s.settings:
        sheet.said(
            Message(
                "{verdict}  {title}: {why}",
                verdict=sheet.verdict(setting.verdict),
                title=setting.title,
                why=setting.why,
            )
        )
    for advice in s.advice:
        sheet.said(Message("- {advice}", advice=advice))


@app.command(
    cls=helped('wetend handover last hose_lift="4 m" guns=2', tables=[fields(SetUpRequest)])
)
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Calculate the settings for this coating, and show the state of the pump."""
    save_and_show(
        ctx, name, keep=keeper(SetUpRequest, given, handover.save_set_up), view=handover.view,
        write=write, as_json=as_json, stage="handover",
    )  # fmt: skip
