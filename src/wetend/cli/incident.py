"""``wetend incident``: near misses and injuries, recorded and listed."""

from __future__ import annotations

from typing import Annotated

import typer

from wetend.cli.desk import noun_from, opened
from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given
from wetend.cli.output import Sheet, word, write_json
from wetend.pump.site import Incident
from wetend.units.message import Message, joined
from wetend.units.quantity import Pa, unit_of
from wetend.workflows import incidents, visits
from wetend.workflows.incidents import Recorded

app = command_app()


def write(sheet: Sheet, found: tuple[Recorded, ...]) -> None:
    """All that stand, the latest first."""
    if not found:
        sheet.line(Message("No near miss or injury is recorded."))
    for each in found:
        said = each.incident
        at = f"{each.happened.astimezone():%Y-%m-%d %H:%M}"
        sheet.heading(
            Message(
                "{at}  {kind}, {pump}  ({id})",
                at=at,
                kind=word(said.kind),
                pump=each.entry.pump,
                id=each.entry.id[-6:],
            )
        )
        pressure = sheet.show(said.pressure, unit_of(Pa)) if said.pressure is not None else ""
        hospital = Message("went to hospital") if said.to_hospital == "yes" else ""
        parts = (
            said.said,
            said.liquid,
            pressure,
            hospital,
            said.informed and Message("informed: {names}", names=said.informed),
        )
        sheet.line("  " + joined("; ", (part for part in parts if part)))


def _as_json(each: Recorded) -> dict[str, object]:
    entry = each.entry
    kept = {
        "id": entry.id,
        "happened": each.happened,
        "pump": entry.pump,
        "visit": entry.visit,
        "who": entry.who,
    }
    return {**kept, **each.incident.model_dump()}


@app.command(
    cls=helped(
        'wetend incident kind="near miss" said="hose burst at the pump" ago=10min --pump quay-air',
        tables=[fields(Incident)],
    )
)
def command(
    ctx: typer.Context,
    given: Given = None,
    visit: Annotated[str, typer.Option(help="Save it with this visit.")] = "",
    pump: Annotated[str, typer.Option(help="Without a visit: the pump's key.")] = "",
    withdraw: Annotated[str, typer.Option(help="Withdraw one: its id or last letters.")] = "",
    put_back: Annotated[
        str, typer.Option(help="Restore a withdrawn one: its id or last letters.")
    ] = "",
    reason: Annotated[str, typer.Option(help="Why it is withdrawn.")] = "",
    as_json: AsJson = False,
) -> None:
    """Record a near miss or an injury; without fields, list those recorded.

    Someone hurt by a jet: `wetend injection` first.
    """
    with opened(ctx) as desk:
        if withdraw:
            incidents.withdraw(desk, withdraw, reason)
        if put_back:
            incidents.put_back(desk, put_back)
        if given:
            visit_id = visits.find(desk, visit) if visit else None
            incidents.record(
                desk, noun_from(Incident, given, desk.system), visit_id=visit_id, pump=pump
            )
        found = incidents.listed(desk)
        if as_json:
            write_json([_as_json(each) for each in found])
        else:
            write(Sheet(desk.system), found)
