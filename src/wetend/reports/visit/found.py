"""The first half of a visit's report: complaint, running checks, strip, inspection."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean, stdev

from wetend.advice.diagnosis.diagnose import Diagnosis
from wetend.advice.diagnosis.not_running import look_first
from wetend.advice.diagnosis.words import worth_text
from wetend.advice.inspect.judge import Check, PartJudgement
from wetend.advice.safety.checklist import title_of
from wetend.advice.safety.zero import Proven, Record
from wetend.advice.strip.plan import StripPlan
from wetend.drawings import bars, strokes
from wetend.drawings.ink import standalone
from wetend.pump.description import Pump
from wetend.pump.make_safe import AROUND, BY_HAND, DRIVE, HOSE, MakeSafe
from wetend.pump.parts import DriveKind
from wetend.pump.readings import CheckReadings, Complaint, StripProgress
from wetend.reports.blocks import (
    Answer,
    Block,
    Cell,
    Pairs,
    Picture,
    Points,
    Prose,
    Section,
    Table,
    Warnings,
)
from wetend.reports.field_text import between, moment, rows, time_text, within
from wetend.reports.visit.job import warned
from wetend.units.kinds import System
from wetend.units.message import Message, Words, joined
from wetend.units.quantity import LeakFlow, unit_of
from wetend.units.show import chance_text, number, show

_LEAK = unit_of(LeakFlow)
_DROP = 0.05e-6 / 60
"""A drop a minute, m^3/s, of 20 drops to the millilitre (common practice, no source)."""


def _look_first(complaint: Complaint, drive: DriveKind) -> list[Block]:
    """Where to look first on a pump that does not run or gives no pressure."""
    causes = look_first(complaint, drive)
    if not causes:
        return []
    table = Table(
        (Message("check first, in this order"), Message("signs"), Message("then")),
        tuple((Cell(c.title), Cell("", quiet=c.shows),
               Cell("", quiet=c.do)) for c in causes),
        (1.2, 1.7, 2.4),
    )  # fmt: skip
    return [*warnings(*causes), table, Prose(PRACTICE, style="quiet")]


PRACTICE = Message("Common practice, no source; the maker's manual comes first.")


def complaint_section(
    complaint: Complaint | None,
    make_safe: MakeSafe | None,
    zero: Record,
    drive: DriveKind,
    system: System,
    *,
    left: bool = True,
) -> Section:
    """What the crew said, how it was made safe, how zero stood; ``left``: where to look."""
    blocks: list[Block] = []
    if complaint and complaint.said:
        blocks.append(Prose(complaint.said, Message("what the crew says")))
    if complaint:
        blocks.append(Pairs(rows(complaint, system, leave_out=("said",)), 1))
        blocks += _look_first(complaint, drive) if left else ()
    if make_safe is None:
        blocks.append(Prose(Message("The make-safe list was not filled in."), style="strong"))
        return Section(Message("Complaint"), tuple(blocks))
    ticked = (*AROUND, *DRIVE[drive], *HOSE, *(BY_HAND if make_safe.way == "hand" else ()))
    blocks.append(
        Points(
            tuple(title_of(name, drive) for name in ticked),
            Message("make-safe list, as last ticked"),
            tuple(bool(getattr(make_safe, name)) for name in ticked),
            2,
        )
    )
    blocks += [Prose(_proof(p)) for p in zero.proofs]
    if zero.missing or not zero.proofs:
        blocks.append(
            Prose(
                joined(" ", (Message("Zero NOT proven."), *zero.missing)),
                style="strong",
            )
        )
    return Section(Message("Complaint"), tuple(blocks))


def _proof(proof: Proven) -> str:
    """One proof of zero, and how long it stood."""
    sentence = Message("Zero proven by {who}, {at}, {way}.",
                   who=proof.who, at=moment(proof.at), way=proof.way)  # fmt: skip
    if not proof.ends:
        return sentence
    end = Message("It held until {at}: {why}.", at=moment(proof.ends[0].at), why=proof.ends[0].why)
    return joined(" ", (sentence, end))


def _mean(times: Sequence[float]) -> tuple[float | None, float]:
    """Mean and the standard uncertainty of the mean (JCGM 100:2008, 4.2.3)."""
    if not times:
        return None, 0.0
    return fmean(times), stdev(times) / len(times) ** 0.5 if len(times) > 1 else 0.0


def _stroke_picture(readings: CheckReadings, diagnosis: Diagnosis) -> list[Block]:
    if not (readings.up_times or readings.down_times):
        return []
    up, up_spread = _mean(readings.up_times)
    down, down_spread = _mean(readings.down_times)
    healthy = diagnosis.healthy

    def drawn(reader: Words) -> str:
        return standalone(
            strokes.compare(
                up, down, healthy.up_time, healthy.down_time, up_spread, down_spread, reader=reader
            )
        )

    return [Picture(drawn, Message("Stroke times against those of the healthy pump"), 74)]


def _leaks(diagnosis: Diagnosis, system: System) -> list[Block]:
    held = [f for f in diagnosis.findings if f.leak and f.probability >= 0.2]
    if not held:
        return []
    lines = tuple(
        (
            Cell(str(f.fault)),
            Cell(between(f.leak, _LEAK, system)),
            Cell(
                Message(
                    "{low} to {high}", low=chance_text(f.share.low), high=chance_text(f.share.high)
                )
                if f.share
                else ""
            ),
        )
        for f in held
        if f.leak
    )
    head = (
        Message("leak, if present"),
        Message("at stall, 90 % interval"),
        Message("of the stroke"),
    )
    return [Table(head, lines, (2.0, 1.4, 1.0), right=(1, 2))]


def checks_section(
    readings: CheckReadings | None,
    diagnosis: Diagnosis | None,
    system: System,
    *,
    left: bool = True,
) -> Section | None:
    """Readings, and what explains them; ``left``: what to do next too, with what can hurt."""
    if readings is None:
        return None
    blocks: list[Block] = [Pairs(rows(readings, system, leave_out=("note", "tap_spread")))]
    if readings.note:
        blocks.append(Prose(readings.note, Message("remark")))
    if diagnosis is None:
        return Section(Message("Running checks"), tuple(blocks))
    faults = Picture(
        lambda reader: standalone(bars.faults(diagnosis.findings, reader=reader)),
        Message("Probability of each fault"),
        74,
    )
    words: list[Block] = [Prose(diagnosis.why), *(_next_acts(diagnosis) if left else ())]
    words[:0] = [Prose(remark) for remark in diagnosis.remarks]
    if not diagnosis.explained:
        words.insert(
            0, Prose(Message("No combination of known faults fits these readings."), style="strong")
        )
    beside = (*_stroke_picture(readings, diagnosis), *words)
    picture = Picture(faults.svg, faults.alt, faults.wide, beside)
    leaks = _leaks(diagnosis, system)
    urgent = warned(diagnosis.urgent) if left else ()
    return Section(Message("Running checks"), (*urgent, *blocks, picture, *leaks))


def _next_acts(diagnosis: Diagnosis) -> list[Block]:
    """The next check and what to open first, each after what can hurt there."""
    worth = (
        (Prose(Message("It {best}.", best=worth_text(diagnosis.best)), style="quiet"),)
        if diagnosis.best
        else ()
    )
    return [
        *warned(diagnosis.cautions),
        Prose(diagnosis.next_check, Message("next best check")),
        *worth,
        *warned(diagnosis.before_opening),
        Prose(diagnosis.open_first, Message("open first"), "strong"),
    ]


def strip_section(
    pump: Pump, plan: StripPlan | None, progress: StripProgress | None, *, left: bool = True
) -> Section | None:
    """What was opened, in the order it was done; ``left``: what to protect too."""
    done = progress.done if progress else ()
    if not done and plan is None:
        return None
    titles = {o.key: o.title for o in pump.strip.operations}
    blocks: list[Block] = []
    if plan and plan.steps:
        time = time_text(plan.time)
        blocks.append(
            Prose(
                Message(
                    "Goal: {goal}. Planned {steps} steps, about {time}.",
                    goal=plan.goal,
                    steps=len(plan.steps),
                    time=time,
                )
            )
        )
        unticked = [s.operation.title for s in plan.steps if s.operation.key not in done]
    else:
        unticked = []
    items = [titles.get(key, key) for key in done]
    blocks.append(
        Points((*items, *unticked), "", (True,) * len(items) + (False,) * len(unticked), 3)
    )
    if left and plan and plan.keep:
        blocks.append(Points(plan.keep, Message("kept and protected"), columns=2))
    return Section(Message("Strip"), tuple(blocks))


def _limit(check: Check, system: System) -> str:
    low, high = check.lower, check.upper
    if low is not None and high is not None:
        return Message(
            "{low} to {high}",
            low=number(low, check.unit, system),
            high=show(high, check.unit, system),
        )
    if high is not None:
        return Message("at most {high}", high=show(high, check.unit, system))
    return Message("at least {low}", low=show(low, check.unit, system)) if low is not None else ""


def _check_row(judged: PartJudgement, check: Check, system: System) -> tuple[Cell, ...]:
    return (
        Cell(check.title, check.verdict, quiet=judged.title),
        Cell(within(check.value, check.uncertainty, check.unit, system)),
        Cell(_limit(check, system), quiet=check.limit_from),
        Cell(chance_text(check.probability)),
    )  # fmt: skip


def _answer(judged: PartJudgement, system: System) -> Answer:
    lost = ""
    if judged.leak is not None and judged.leak > _DROP:
        lost = Message(
            " It would leak {leak} at working pressure.", leak=show(judged.leak, _LEAK, system)
        )
    return Answer(judged.verdict, judged.title, judged.why + lost)


def inspect_section(
    judgements: Sequence[PartJudgement], system: System, *, left: bool = True
) -> Section | None:
    """Every part judged, with what was measured; ``left``: what to do with it too."""
    if not judgements:
        return None
    answers = tuple(_answer(j, system) for j in judgements)
    checks = tuple(_check_row(j, c, system) for j in judgements for c in j.checks)
    head = (Message("measured"), Message("value, 95 %"), Message("limit"), Message("conforms"))
    table = [Table(head, checks, (2.2, 1.6, 2.0, 0.0), right=(1, 3))] if checks else []
    advice = tuple(
        Message("{title}: {a}", title=j.title, a=a) for j in judgements for a in j.advice
    )
    points = [Points(advice, Message("advice"))] if left and advice else []
    return Section(Message("Inspection"), (*answers, *table, *_places(judgements, system), *points))


def _places(judgements: Sequence[PartJudgement], system: System) -> tuple[Table, ...]:
    """Sizes place by place and roundness, where they were taken."""
    rows = tuple(
        (Cell(f.label, quiet=j.title), Cell(show(f.value, f.unit, system)))
        for j in judgements for f in j.figures
    )  # fmt: skip
    return (
        (Table((Message("each position"), Message("figure")), rows, (3.0, 1.0), right=(1,)),)
        if rows
        else ()
    )


def warnings(*parts: object) -> tuple[Warnings, ...]:
    """The cautions that these answers carry, one a hazard, the gravest first."""
    return warned(c for part in parts for c in getattr(part, "cautions", ()))
