"""``wetend prove``: proof readings against this pump's limits."""

from __future__ import annotations

from typing import Annotated

import typer

from wetend.advice.prove.acts import FIRST_PRESSURE, GROUPS, warned
from wetend.advice.prove.proof import Proof, ProofTest
from wetend.advice.reasons import Verdict
from wetend.cli.desk import noun_from
from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.output import Sheet, word
from wetend.cli.signed import write_signed
from wetend.cli.stage import save_and_show
from wetend.cli.zero_lapse import warn_if_zero_ended
from wetend.pump.proof_readings import NOT_ASKED, ProofReadings
from wetend.pump.proof_readings import anew as started_anew
from wetend.units.message import Message
from wetend.workflows import prove
from wetend.workflows.desk import Desk
from wetend.workflows.prove import ProveView

app = command_app()
_OPEN = (Verdict.NOT_PROVEN, Verdict.FAIL)
"""Tests still to be done, or to be done again: their caution and how come before them."""


def write(sheet: Sheet, seen: ProveView) -> None:
    """The verdict, then each proof test with its limit, reading and verdict, group by group."""
    if seen.signed is not None and seen.signed.signatures:
        write_signed(sheet, seen.signed)
        if seen.signed.proof_later:
            sheet.heading(Message("Read after that signature, and not part of it"))
    if seen.proof is None:
        sheet.line(seen.no_answer or Message("Choose the coating first: wetend coating VISIT KEY"))
        return
    sheet.heading(
        Message(
            "{verdict}: {why}",
            verdict=sheet.verdict(seen.proof.verdict),
            why=sheet.retold(seen.proof.why),
        )
    )
    if seen.proof.on_fail:
        sheet.said(seen.proof.on_fail)
    kept = seen.visit.proof
    _tests(sheet, seen.proof, hold=kept is None or kept.rod_held == "not known")


def _tests(sheet: Sheet, proof: Proof, *, hold: bool) -> None:
    """``hold``: whether it is still to be said how the pressure hold is done."""

    def ask(test: ProofTest) -> bool:
        return test.verdict in _OPEN or (hold and test.act == "hold")

    live = any(ask(t) for t in proof.tests if t.group != "bench")
    for group, name in GROUPS.items():
        tests = [t for t in proof.tests if t.group == group]
        if not tests:
            continue
        sheet.heading(name)
        if group == "stall" and live:
            sheet.caution(FIRST_PRESSURE)
        cautions = warned(t.cautions if ask(t) else () for t in tests)
        seen: set[str] = set()
        for test, own in zip(tests, cautions, strict=True):
            for each in own:
                sheet.caution(each)
            if ask(test) and test.act not in seen:
                sheet.said(Message("  {how}", how=test.how))
                seen.add(test.act)
            _result(sheet, test)


def _result(sheet: Sheet, test: ProofTest) -> None:
    if test.verdict is Verdict.NOT_APPLICABLE:
        sheet.said(
            Message(
                "{verdict}  {title}. {why}",
                verdict=sheet.verdict(test.verdict),
                title=test.title,
                why=test.why,
            )
        )
        return
    unread = Message("not done yet") if test.by_looking else Message("not read yet")
    read = unread if test.value is None else sheet.show(test.value, test.unit)
    why = (
        ""
        if test.value is None and test.why.startswith("Not ")
        else Message(" {why}", why=test.why)
    )
    limit = (
        ""
        if test.by_looking
        else Message(
            ", {limit_is} {limit}", limit_is=test.limit_is, limit=sheet.show(test.limit, test.unit)
        )
    )
    verdicts = {
        "verdict": sheet.verdict(test.verdict),
        "title": test.title,
        "reading": word(test.seen) or read,
        "limit": limit,
        "why": why,
    }
    if test.good is not None and test.good < test.limit:
        good = sheet.show(test.good, test.unit)
        sheet.said(
            Message(
                "{verdict}  {title}: {reading}{limit}, good {good}.{why}", **verdicts, good=good
            )
        )
        return
    sheet.said(Message("{verdict}  {title}: {reading}{limit}.{why}", **verdicts))


@app.command(
    cls=helped(
        'wetend prove last solvent_lost="0 mL" solvent_head="50 mm" solvent_time="15 min"',
        'wetend prove last stall_pressure="270 bar" stall_settled="60 s" stall_time="60 s" '
        'stall_creep_up="0 mm" stall_creep_down="0 mm"',
        tables=[fields(ProofReadings, no_longer=(NOT_ASKED,))],
    )
)
def command(
    ctx: typer.Context,
    name: VisitName,
    given: Given = None,
    anew: Annotated[
        bool, typer.Option("--anew", help="Start a new proof: drop earlier readings.")
    ] = False,
    to_checks: Annotated[
        bool,
        typer.Option(
            "--to-checks", help="Copy the readings to the running checks, to find the fault."
        ),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Enter proof readings, and show each test with this pump's limit and its verdict.

    They are added to those read before, until --anew.
    """

    def keep(desk: Desk, visit_id: str) -> None:
        read = noun_from(ProofReadings, given or [], desk.system)
        if given or anew:
            prove.save(desk, visit_id, started_anew(read) if anew else read)
        if to_checks:
            prove.carry_to_checks(desk, visit_id)

    keeps = given or anew or to_checks
    save_and_show(
        ctx, name, keep=warn_if_zero_ended(keep) if keeps else None, view=prove.view, write=write,
        as_json=as_json, stage="prove",
    )  # fmt: skip
