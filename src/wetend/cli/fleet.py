"""``wetend fleet``: the fleet plan, and the simulation of maintenance policies."""

from __future__ import annotations

from typing import Annotated

import typer

from wetend.advice.fleet.month import Outcome
from wetend.advice.life.next_repack import NextRepack, do_text, when_text
from wetend.advice.reasons import Interval
from wetend.cli.arguments import quantity
from wetend.cli.desk import noun_from, opened, system_of
from wetend.cli.field_rows import COSTS, fields
from wetend.cli.help_format import group_app, helped
from wetend.cli.options import AsJson, CostsGiven
from wetend.cli.output import Sheet, one_output, word, write_data, write_json
from wetend.cli.progress_bar import metered
from wetend.pump.costs import Costs
from wetend.units import kinds
from wetend.units.message import Message, joined, raised
from wetend.units.quantity import M3, unit_of
from wetend.units.show import chance_text, rough, rounded, whole
from wetend.workflows import executors, fleet, life
from wetend.workflows.exporting import csv_text

app = group_app(Message("Which pumps need a visit, and what each maintenance policy costs."))


@app.command(
    cls=helped("wetend fleet month", "wetend fleet month crew_hour=220 --days 60",
               tables=[fields(Costs, COSTS)])
)  # fmt: skip
def month(
    ctx: typer.Context,
    costs: CostsGiven = None,
    days: Annotated[int, typer.Option(min=1, max=365, help="How far ahead to look.")] = 30,
    as_csv: Annotated[bool, typer.Option("--csv", help="Write all as CSV.")] = False,
    as_json: AsJson = False,
) -> None:
    """List the pumps that need attention, the most urgent first."""
    one_output(csv=as_csv, json=as_json)
    with opened(ctx) as desk:
        lines = fleet.due(desk, noun_from(Costs, costs or [], system_of(ctx)), days=days)
        shown = [d.key for d in lines if as_json or as_csv or d.word != "keep running"]
        again = life.repacks_of(desk, shown)
        if as_json:
            write_json([{**d.__dict__, "repack": again.get(d.key)} for d in lines])
            return
        rows = [[d.key, d.name, d.site, f"{d.chance:.3f}", d.due.isoformat() if d.due else "",
                 joined(", ", d.parts), d.likeliest, f"{d.crew_time / 3600:.1f}", d.word,
                 *_repack_cells(again.get(d.key))] for d in lines]  # fmt: skip
        head = [
            "key",
            "pump",
            "site",
            Message("chance of stopping"),
            Message("best day"),
            Message("replace then"),
            Message("likeliest to fail"),
            Message("crew hours at stake"),
            "word",
            Message("next repack, litres"),
            Message("one in ten by"),
        ]
        if as_csv:
            write_data(csv_text(head, rows))
            return
        sheet = Sheet(desk.system)
        sheet.table(
            [
                "",
                Message("pump"),
                Message("site"),
                Message("stops in the time"),
                Message("best day"),
                Message("replace then"),
                Message("next repack"),
            ],
            [
                [
                    sheet.verdict(d.verdict),
                    d.name,
                    d.site,
                    chance_text(d.chance),
                    d.due.isoformat() if d.due else "",
                    joined(", ", d.parts) if d.due else "",
                    _repack_text(again.get(d.key)),
                ]
                for d in lines
                if d.word != "keep running"
            ],
        )
        stops = sum(d.chance for d in lines)
        sheet.line(
            Message(
                "{lines} pumps; {stops} expected to stop in {days} days; {whole} crew hours "
                "at stake.",
                lines=len(lines),
                stops=rounded(stops),
                days=days,
                whole=whole(sum(d.crew_time for d in lines) / 3600),
            )
        )


def _repack_cells(repack: NextRepack | None) -> list[str]:
    if repack is None:
        return ["", ""]
    return [f"{repack.volume.middle * 1e3:.0f}", repack.by.isoformat() if repack.by else ""]


def _repack_text(repack: NextRepack | None) -> str:
    return joined(" ", (do_text(repack), raised(when_text(repack)))) if repack else ""


def _span(interval: Interval, factor: float = 1.0) -> str:
    low, middle, high = (whole(v * factor) for v in (interval.low, interval.middle, interval.high))
    return Message("{middle} ({low} to {high})", middle=middle, low=low, high=high)


def _outcome(o: Outcome) -> list[str]:
    against = "" if o.policy == "run to failure" else _span(o.against)
    return [word(o.policy), _span(o.cost), against, _span(o.crew_time, 1 / 3600), _span(o.failures),
            _span(o.visits)]  # fmt: skip


@app.command(cls=helped("wetend fleet simulate --months 24", tables=[fields(Costs, COSTS)]))
def simulate(
    ctx: typer.Context,
    costs: CostsGiven = None,
    months: Annotated[int, typer.Option(min=1, max=120, help="How many months to simulate.")] = 12,
    repeats: Annotated[
        int, typer.Option(min=2, max=400, help="How many times to simulate each.")
    ] = 40,
    seed: Annotated[int, typer.Option(min=0, help="The same seed, the same answer.")] = 1,
    service: Annotated[
        str, typer.Option(help="Service interval, like 3000L; without it, the best of this depot.")
    ] = "",
    executor: Annotated[
        str, typer.Option(envvar="WETEND_EXECUTOR", help=f"Where to run: {executors.KINDS}.")
    ] = "threads",
    as_json: AsJson = False,
) -> None:
    """Simulate the coming months: run to failure, service by litres, and by forecast."""
    given = noun_from(Costs, costs or [], system_of(ctx))
    litres = quantity("--service", service, kinds.VOLUME, bare="L") if service else None
    with (
        opened(ctx) as desk, metered("playing") as progress, executors.opened(executor) as workers
    ):  # fmt: skip
        answer = fleet.simulate(
            desk, workers, costs=given, months=months, replicas=repeats, seed=seed,
            service=litres, progress=progress,
        )  # fmt: skip
        system = desk.system
    if as_json:
        write_json(answer)
        return
    sheet = Sheet(system)
    sheet.heading(
        Message(
            "{pumps} pumps, {months} months, {replicas} runs",
            pumps=answer.pumps,
            months=answer.months,
            replicas=answer.replicas,
        )
    )
    sheet.table(
        [
            Message("policy"),
            Message("cost"),
            Message("against run to failure"),
            Message("crew hours lost"),
            Message("failures"),
            Message("visits"),
        ],
        [_outcome(o) for o in answer.outcomes],
    )
    if answer.best_of:
        sheet.line(
            Message(
                "By litres: every {service}, the best of {n} intervals for this depot.",
                service=rough(answer.service, unit_of(M3), sheet.system), n=answer.best_of,
            )
        )  # fmt: skip
    pays = answer.forecast_pays
    sheet.line(
        Message("The forecast costs {share} less than the best of the others.",
                share=chance_text(pays))
        if pays > 0.0
        else Message("The forecast does not pay here: it costs {share} more than the best of the "
                     "others.", share=chance_text(-pays))
    )  # fmt: skip
    sheet.line(
        Message("Median, and 90 % interval. Parts used by forecast: ")
        + joined(
            ", ",
            (
                Message("{count:.1f} {replace}", count=count, replace=part.replace("-", " "))
                for part, count in answer.outcomes[-1].parts.items()
            ),
        )
        + "."
    )
