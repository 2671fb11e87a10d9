"""The second half of a visit's report: rebuild, proof, settings, hand-over."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from wetend.advice.handover.care import CareList
from wetend.advice.handover.set_up import SetUp
from wetend.advice.life.next_repack import (
    NextRepack,
    do_text,
    likely_text,
    volume_span_text,
    volume_text,
)
from wetend.advice.life.outlook import odds_text
from wetend.advice.prove.proof import Proof, ProofTest
from wetend.advice.reasons import Working
from wetend.advice.rebuild.fit import StackFit
from wetend.advice.rebuild.plan import RebuildPlan
from wetend.pump.description import Pump
from wetend.pump.readings import Note, Photo, SignOff
from wetend.pump.usage import FITTED_WORDS, PartFitted
from wetend.reports.blocks import (
    Answer,
    Block,
    Cell,
    Fine,
    Pairs,
    Picture,
    Points,
    Prose,
    Section,
    Signatures,
    Table,
)
from wetend.reports.drawn import faced, stacked
from wetend.reports.proof_rows import grouped, limit_cell, reading_cell, title_cell
from wetend.reports.visit.found import PRACTICE, warnings
from wetend.units.kinds import System
from wetend.units.message import Message, as_message, joined, raised
from wetend.units.quantity import NM, MLong, N, Pa, unit_of
from wetend.units.show import chance_text, day_text, fine_length, gauge, rough, show


def _shims(fit: StackFit, system: System) -> str:
    if not fit.shims:
        return Message("no shim")
    shims = joined(" + ", (fine_length(s, system) for s in fit.shims))
    return Message("{shims}, all on top of the cage", shims=shims)


def _torque(fit: StackFit, system: System) -> str:
    text = show(fit.torque, unit_of(NM), system)
    if fit.lever is None or fit.lever_force is None:
        return text
    pull, lever = show(fit.lever_force, unit_of(N), system), show(fit.lever, unit_of(MLong), system)
    return Message("{text} = {pull} on the {lever} lever", text=text, pull=pull, lever=lever)


def rebuild_section(
    pump: Pump, fit: StackFit | None, system: System, *, left: bool = True
) -> Section | None:
    """The stack as it went back; ``left``: it is still to be done, with what can hurt."""
    if fit is None:
        return None
    low, high = (fine_length(v, system) for v in (fit.lift_spread.low, fit.lift_spread.high))
    elbow = (
        Message("turns freely: set by hand before clamping")
        if fit.turns_freely
        else Message(
            "{clock}, 90 % interval {clock_low} to {clock_high}",
            clock=fit.clock,
            clock_low=fit.clock_low,
            clock_high=fit.clock_high,
        )
    )
    before = (
        Prose(_shims(fit, system), Message("shims"), "strong"),
        Answer(fit.elbow_verdict, Message("Elbow"), elbow),
        Answer(
            fit.lift_verdict,
            Message("Ball lift"),
            Message(
                "{lift}, 90 % interval {low} to {high}",
                lift=fine_length(fit.lift, system),
                low=low,
                high=high,
            ),
        ),
    )
    dial = Picture(faced(pump, fit), Message("Elbow on a clock face: {clock}", clock=fit.clock), 70)
    drawn = Picture(
        stacked(pump, fit),
        Message("The seal stack in section"),
        84,
        (dial,),
    )
    clamp = (
        (Message("clamp"), rough(fit.clamp, unit_of(N), system, digits=3)),
        (Message("torque"), _torque(fit, system)),
    )
    after = (Pairs(clamp, 1), Prose(fit.gland, Message("gland")))
    return Section(Message("Rebuild"), (*(warnings(fit) if left else ()), *before, drawn, *after))


def fitted_section(fitted: Sequence[PartFitted]) -> Section | None:
    """What was done with the parts, and why the old ones went; nothing where none was entered."""
    if not fitted:
        return None
    rows = tuple(
        (Cell(FITTED_WORDS[f.part], strong=f.begins_a_life),
         Cell(Message("fitted new") if f.done == "new" else Message(f.done)),
         Cell(Message(f.why) if f.begins_a_life else "", quiet=f.note),
         Cell(day_text(f.on) if f.on else ""))
        for f in fitted
    )  # fmt: skip
    head = (
        Message("part"),
        Message("done"),
        Message("why the old part was replaced"),
        Message("day"),
    )
    return Section(Message("Parts fitted"), (Table(head, rows, (1.6, 1.0, 2.0, 0.0)),))


def built_section(plan: RebuildPlan | None, done: Collection[str]) -> Section | None:
    """How far the rebuild was ticked off, and what was not; nothing where none was."""
    if plan is None or not plan.steps or not done:
        return None
    left = tuple(
        Message("{number}. {title}", number=s.number, title=s.title)
        for s in plan.steps
        if s.key not in done
    )
    ticked = len(plan.steps) - len(left)
    blocks: list[Block] = [
        Prose(
            Message(
                "{ticked} of {steps} steps marked as done.", ticked=ticked, steps=len(plan.steps)
            )
        )
    ]
    if left:
        blocks.append(Points(left, Message("not ticked")))
    return Section(Message("Built"), tuple(blocks))


def _proof_row(test: ProofTest, system: System) -> tuple[Cell, ...]:
    return (
        title_cell(test),
        reading_cell(test, system),
        limit_cell(test, system),
        Cell("" if test.probability is None else chance_text(test.probability)),
        Cell(Message(test.verdict.value), strong=True),
    )


def proof_section(proof: Proof | None, system: System) -> Section | None:
    """The proof's verdict, then its readings against their limits, group by group."""
    if proof is None:
        return None
    blocks: list[Block] = [Answer(proof.verdict, Message("Proof"), proof.why)]
    if proof.on_fail:
        blocks.append(Prose(proof.on_fail, Message("what to do next"), "strong"))
    head = (
        Message("test"),
        Message("reading, 95 %"),
        Message("limit from this pump"),
        Message("meets it"),
        Message("verdict"),
    )
    rows: list[tuple[Cell, ...]] = []
    for name, own in grouped(proof, lambda t: _proof_row(t, system)):
        rows += [(Cell(as_message(name), strong=True), *(Cell(""),) * 4), *own]
    table = Table(head, tuple(rows), (2.6, 1.4, 1.5, 0.0, 0.0), right=(1, 3))
    return Section(Message("Proof"), (*blocks, table))


def set_up_blocks(
    sheet: SetUp, system: System, repack: NextRepack | None = None
) -> tuple[Block, ...]:
    """Settings, what each is checked against, when to come back, and advice."""
    pressure = unit_of(Pa)
    limits = Pairs(
        (
            (Message("suction margin"), gauge(sheet.suction_margin, pressure, system)),
            (Message("loss to lift"), gauge(sheet.lift_loss, pressure, system)),
        )
    )
    settings = Table(
        (Message("checked"), Message("verdict"), Message("why")),
        tuple((Cell(s.title, s.verdict), Cell(Message(s.verdict.value), strong=True),
               Cell("", quiet=s.why))
              for s in sheet.settings),
        (1.3, 0.0, 3.0),
    )  # fmt: skip
    advice = tuple(a for a in sheet.advice)
    points = (Points(advice, Message("advice")),) if advice else ()
    return (settings, limits, *points, *again_blocks(repack))


def again_blocks(repack: NextRepack | None) -> tuple[Block, ...]:
    """The next repack: what to do, how sure, and from what."""
    if repack is None:
        return ()
    odds = Message("{odds}.", odds=raised(odds_text(repack.outlook)))
    rests = Message(
        "After about {volume}; {likely}, {span} (9 in 10), from {today}.",
        volume=volume_text(repack), likely=likely_text(repack), span=volume_span_text(repack),
        today=day_text(repack.today),
    )  # fmt: skip
    return (
        Prose(do_text(repack), Message("next repack"), "strong"),
        Prose(odds),
        Prose(joined(" ", (rests, *repack.basis)), style="quiet"),
    )


def set_up_section(
    sheet: SetUp | None, coating: str, system: System, repack: NextRepack | None = None
) -> Section | None:
    """What the settings of the first page are checked against, and when to come back."""
    if sheet is None:
        return None
    more = Prose(
        Message("Flush, shut down, store, start again: on the set-up sheet."), style="quiet"
    )
    return Section(
        Message("Settings for {coating}", coating=coating),
        (*set_up_blocks(sheet, system, repack), more),
    )


def care_section(
    lists: Sequence[CareList], *, more: str = "", own_page: bool = False
) -> Section | None:
    """The pump between jobs, each list under its name, the cautions of all before them."""
    if not lists:
        return None
    points = (Points(tuple(step.text for step in care.steps), care.title.lower()) for care in lists)
    steps = (step for care in lists for step in care.steps)
    last = Prose(joined(" ", filter(None, (more, PRACTICE))), style="quiet")
    blocks: tuple[Block, ...] = (*warnings(*steps), *points, last)
    return Section(Message("Between jobs"), blocks, own_page)


def record_section(notes: Sequence[Note], photos: Sequence[Photo]) -> Section | None:
    """Remarks, and photos by their hash."""
    blocks: list[Block] = [Prose(n.text, as_message(n.stage or "remark")) for n in notes]
    if photos:
        rows = tuple(
            (Cell(p.caption or Message("photo"), quiet=as_message(p.stage)), Cell(p.sha256))
            for p in photos
        )
        blocks.append(Table((Message("photo"), Message("SHA-256 of the file")), rows, (1.0, 2.6)))
    return Section(Message("Remarks and photos"), tuple(blocks)) if blocks else None


def sources_section(workings: Sequence[Working]) -> Section | None:
    """Where the calculations come from, each source once."""
    found: dict[str, dict[str, None]] = {}
    for each in workings:
        if each.source:
            found.setdefault(each.source, {})[each.title] = None
    if not found:
        return None
    lines = tuple(
        Message("{source}: {titles}", source=source, titles=joined("; ", titles))
        for source, titles in found.items()
    )
    return Section(Message("Calculations and their sources"), (Fine(lines),))


def hand_over_section(signed: SignOff | None) -> Section:
    """The signatures."""
    if signed is None:
        return Section(Message("Hand-over"), (
            Prose(Message("Not signed off: this visit is still open."), style="strong"),
            Signatures(((Message("technician"), ""), (Message("received by"), ""))),
        ))  # fmt: skip
    names = (
        (Message("technician"), signed.technician),
        (Message("received by"), signed.received_by),
    )
    return Section(Message("Hand-over"), (Signatures(names),), at_foot=True)
