"""``wetend life``: what is left of a pump's parts; what it did and what was fitted."""

from __future__ import annotations

from datetime import date
from typing import Annotated

import typer

from wetend.cli.desk import noun_from, opened, system_of
from wetend.cli.handover import write_repack
from wetend.cli.output import Sheet, write_json
from wetend.errors import BadInput
from wetend.pump.costs import Costs
from wetend.pump.usage import FITTED_WORDS, NozzleMeasured, PartFitted, Usage
from wetend.units.quantity import M3, unit_of
from wetend.units.show import chance_text, rough, rough_span, rounded, span_text, whole
from wetend.workflows import life
from wetend.workflows.life import LifeView

app = typer.Typer(
    add_completion=False, rich_markup_mode=None, no_args_is_help=True,
    help="What is left of each part, when to replace it, and what the pump did.",
)  # fmt: skip
AsJson = Annotated[bool, typer.Option("--json", help="Answer in JSON, SI.")]
Key = Annotated[str, typer.Argument(help="The pump's key.")]


def _parts(sheet: Sheet, seen: LifeView) -> None:
    rows = []
    for r in seen.parts:
        litres = rough_span(r.litres.low, r.litres.high, unit_of(M3), sheet.system)
        used = "" if r.used is None else rough(r.used, unit_of(M3), sheet.system)
        month = chance_text(r.month)
        rows.append([
            sheet.verdict(r.verdict), r.title, f"at least {used}" if r.assumed else used,
            span_text(r.days.low, r.days.high), litres, month,
        ])  # fmt: skip
    sheet.table(
        ["", "part", "pumped", "left, nine times in ten", "or pumped", "fails in a month"], rows
    )


def write(sheet: Sheet, seen: LifeView) -> None:
    """The life of a pump as text."""
    sheet.heading(f"Remaining life: {seen.pump.name}")
    _parts(sheet, seen)
    write_repack(sheet, seen.repack)
    for name, chance in seen.suspects:
        sheet.line(f"Under suspicion now: {name}, {chance_text(chance)}.")
    sheet.heading("What would change it")
    for c in seen.changes:
        f = c.factor
        low, middle, high = (rounded(v) for v in (f.low, f.middle, f.high))
        sheet.line(f"- {c.what}: litres times {middle} ({low} to {high})")
    sheet.line(f"Repairs: {seen.trend.word}. {seen.trend.why}")
    sheet.heading("Replace when")
    sheet.table(
        ["part", "advice", "at", "open anyway from", "a year", "saved"],
        [[w.title, w.advice, "" if w.age is None else rough(w.age, unit_of(M3), sheet.system),
          "" if w.along is None else rough(w.along, unit_of(M3), sheet.system),
          whole(w.year), chance_text(w.saving) if w.saving else ""] for w in seen.when],
    )  # fmt: skip
    sheet.line(f"{sheet.verdict(seen.or_new.verdict)}  {seen.or_new.word}: {seen.or_new.why}")


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError as error:
        raise BadInput(f"“{text[:40]}” is no day; write it like 2031-05-04.") from error


@app.command()
def show(
    ctx: typer.Context,
    key: Key,
    costs: Annotated[
        list[str] | None, typer.Argument(help="Costs as field=value, such as crew_hour=220.")
    ] = None,
    today: Annotated[str, typer.Option(help="Reckon to this day, like 2031-05-04.")] = "",
    as_json: AsJson = False,
) -> None:
    """Remaining life of every part in litres, strokes and days, and when to replace it."""
    given = noun_from(Costs, costs or [], system_of(ctx))
    with opened(ctx) as desk:
        seen = life.view(desk, key, costs=given, today=_day(today))
        if as_json:
            answer = {
                "pump": seen.pump.key, "today": seen.today.isoformat(),
                "parts": [{k: v for k, v in r.__dict__.items() if k != "draws"}
                          for r in seen.parts],
                "repack": seen.repack, "day": seen.day, "changes": seen.changes,
                "trend": seen.trend, "replace": seen.when, "open_anyway": seen.open_anyway,
                "repair_or_new": seen.or_new, "workings": seen.workings,
                "fault_leanings": seen.leaning, "failures": seen.failures,
            }  # fmt: skip
            write_json(answer)
        else:
            write(Sheet(desk.system), seen)


@app.command()
def used(ctx: typer.Context, key: Key, given: Annotated[list[str], typer.Argument()]) -> None:
    """Keep what a pump did: first= last= and cycles= or litres= or hours= or area=, coating= …"""
    noun = noun_from(Usage, given, system_of(ctx))
    with opened(ctx) as desk:
        life.save_usage(desk, key, noun)
        Sheet(desk.system).line(f"Kept use of {key}, {noun.first} to {noun.last}.")


@app.command()
def fitted(
    ctx: typer.Context,
    key: Key,
    given: Annotated[list[str], typer.Argument(help=f"part= one of {', '.join(FITTED_WORDS)}")],
) -> None:
    """Keep that a part was fitted outside a visit: part= why= [on=] [done=turned]."""
    noun = noun_from(PartFitted, given, system_of(ctx))
    with opened(ctx) as desk:
        life.save_fitted(desk, key, noun)
        Sheet(desk.system).line(
            f"Kept: {FITTED_WORDS[noun.part]} of {key}, {noun.done} ({noun.why})."
        )


@app.command()
def nozzle(ctx: typer.Context, key: Key, given: Annotated[list[str], typer.Argument()]) -> None:
    """Keep how worn a nozzle is: volume= time= pressure= [density=], or fan= fan_new=; [on=].

    Spray on the work or a test sheet, never into a pail: the volume is what is drawn from one.
    """
    noun = noun_from(NozzleMeasured, given, system_of(ctx))
    with opened(ctx) as desk:
        life.save_nozzle(desk, key, noun)
        Sheet(desk.system).line(f"Kept: the nozzle of {key} measured.")
