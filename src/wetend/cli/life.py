"""``wetend life``: what is left of a pump's parts; what it did and what was fitted."""

from __future__ import annotations

from typing import Annotated

import typer

from wetend.advice.life.outlook import act_text, days_text
from wetend.cli.arguments import day
from wetend.cli.desk import noun_from, opened, system_of
from wetend.cli.field_rows import COSTS, fields
from wetend.cli.handover import write_repack
from wetend.cli.help_format import group_app, helped
from wetend.cli.options import AsJson, Corrects, CostsGiven, Needed, PumpKey
from wetend.cli.output import Sheet, word, write_json
from wetend.pump.costs import Costs
from wetend.pump.usage import FITTED_WORDS, NozzleMeasured, PartFitted, Usage
from wetend.units.message import Message
from wetend.units.quantity import M3, unit_of
from wetend.units.show import chance_text, rough, rough_span, rounded, span_text, whole
from wetend.workflows import life, record
from wetend.workflows.desk import Desk
from wetend.workflows.life import LifeView

app = group_app(Message("Remaining life of each part, when to replace it, and use of the pump."))


def _parts(sheet: Sheet, seen: LifeView) -> None:
    rows = []
    for r in seen.parts:
        litres = rough_span(r.volume.low, r.volume.high, unit_of(M3), sheet.system)
        used = "" if r.used is None else rough(r.used, unit_of(M3), sheet.system)
        ahead = seen.outlooks.get(r.part)
        rows.append(
            [
                sheet.verdict(r.verdict),
                r.title,
                act_text(ahead) if ahead else "",
                chance_text(ahead.soon) if ahead else "",
                days_text(ahead) if ahead else "",
                span_text(r.time.low, r.time.high),
                litres,
                Message("at least {used}", used=used) if r.assumed else used,
            ]
        )
    sheet.table(
        [
            "",
            Message("part"),
            Message("do"),
            Message("fails in 4 weeks"),
            Message("failed by"),
            Message("left, 90 % interval"),
            Message("or pumped"),
            Message("pumped so far"),
        ],
        rows,
    )


def write(sheet: Sheet, seen: LifeView) -> None:
    """The life of a pump as text."""
    sheet.heading(Message("Remaining life: {name}", name=seen.pump.name))
    write_repack(sheet, seen.repack)
    _parts(sheet, seen)
    for name, chance in seen.suspects:
        sheet.line(
            Message("Suspected now: {name}, {chance}.", name=name, chance=chance_text(chance))
        )
    sheet.heading(Message("What would change it"))
    for c in seen.changes:
        f = c.factor
        low, middle, high = (rounded(v) for v in (f.low, f.middle, f.high))
        sheet.line(
            Message(
                "- {what}: litres times {middle} ({low} to {high})",
                what=c.what,
                middle=middle,
                low=low,
                high=high,
            )
        )
    sheet.line(Message("Repairs: {word}. {why}", word=word(seen.trend.word), why=seen.trend.why))
    sheet.heading(Message("When to replace"))
    sheet.table(
        [Message("part"), Message("advice"), Message("at"), Message("if open anyway, from"),
         Message("a year"), Message("saved")],
        [[w.title, w.advice, "" if w.age is None else rough(w.age, unit_of(M3), sheet.system),
          "" if w.along is None else rough(w.along, unit_of(M3), sheet.system),
          whole(w.year), chance_text(w.saving) if w.saving else ""] for w in seen.when],
    )  # fmt: skip
    sheet.line(
        Message(
            "{verdict}  {word}: {why}",
            verdict=sheet.verdict(seen.or_new.verdict),
            word=word(seen.or_new.word),
            why=seen.or_new.why,
        )
    )


@app.command(
    cls=helped("wetend life show quay-air", "wetend life show quay-air crew_hour=220",
               tables=[fields(Costs, COSTS)])
)  # fmt: skip
def show(
    ctx: typer.Context,
    key: PumpKey,
    costs: CostsGiven = None,
    today: Annotated[str, typer.Option(help="Calculate for this day, like 2031-05-04.")] = "",
    as_json: AsJson = False,
) -> None:
    """Show the remaining life of every part, and when to replace it."""
    given = noun_from(Costs, costs or [], system_of(ctx))
    with opened(ctx) as desk:
        seen = life.view(desk, key, costs=given, today=day("--today", today))
        if as_json:
            answer = {
                "pump": seen.pump.key, "today": seen.today.isoformat(),
                "parts": seen.parts, "outlooks": seen.outlooks, "best_on": seen.best_on,
                "repack": seen.repack, "day": seen.day, "changes": seen.changes,
                "trend": seen.trend, "replace": seen.when, "open_anyway": seen.open_anyway,
                "repair_or_new": seen.or_new, "workings": seen.workings,
                "fault_leanings": seen.leaning, "failures": seen.failures,
            }  # fmt: skip
            write_json(answer)
        else:
            write(Sheet(desk.system), seen)


def _entry(desk: Desk, key: str, letters: str) -> str | None:
    """The id of the entry that a person says is corrected."""
    return record.find(record.of_pump(desk, key), letters).id if letters else None


@app.command(
    cls=helped('wetend life used quay-air first=2025-05-01 last=2025-05-31 pumped="4200 L"',
               tables=[fields(Usage, without={"brought_in"})])
)  # fmt: skip
def used(
    ctx: typer.Context, key: PumpKey, given: Needed, corrects: Corrects = "",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Enter a pump's use between two days: cycles, volume pumped, working time or area."""
    noun = noun_from(Usage, given, system_of(ctx))
    with opened(ctx) as desk:
        entry = life.save_usage(desk, key, noun, corrects=_entry(desk, key, corrects))
        sentence = Message(
            "Saved use of {key}, {first} to {last}.", key=key, first=noun.first, last=noun.last
        )
        Sheet(desk.system).kept(entry, sentence, as_json=as_json)


@app.command(
    cls=helped('wetend life fitted quay-air part=foot-ball why="worn out" on=2025-05-04',
               tables=[fields(PartFitted, without={"brought_in"})])
)  # fmt: skip
def fitted(
    ctx: typer.Context,
    key: PumpKey,
    given: Needed,
    corrects: Corrects = "",
    as_json: AsJson = False,
) -> None:
    """Record a part fitted outside a visit."""
    noun = noun_from(PartFitted, given, system_of(ctx))
    with opened(ctx) as desk:
        entry = life.save_fitted(desk, key, noun, corrects=_entry(desk, key, corrects))
        sentence = Message(
            "Saved: {fitted_words} of {key}, {done} ({why}).",
            fitted_words=FITTED_WORDS[noun.part],
            key=key,
            done=noun.done,
            why=noun.why,
        )
        Sheet(desk.system).kept(entry, sentence, as_json=as_json)


@app.command(
    cls=helped('wetend life nozzle quay-air volume="1.5 L" time="60 s" pressure="200 bar"',
               tables=[fields(NozzleMeasured)])
)  # fmt: skip
def nozzle(
    ctx: typer.Context, key: PumpKey, given: Needed, corrects: Corrects = "",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Record the wear of a nozzle, by volume and time or by the width of its fan.

    Spray on the work or a test sheet, never into a pail: the volume is what is drawn from one.
    """
    noun = noun_from(NozzleMeasured, given, system_of(ctx))
    with opened(ctx) as desk:
        entry = life.save_nozzle(desk, key, noun, corrects=_entry(desk, key, corrects))
        Sheet(desk.system).kept(
            entry, Message("Saved: nozzle of {pump} measured.", pump=key), as_json=as_json
        )
