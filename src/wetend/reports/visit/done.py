"""The second half of a visit's report: rebuild, proof, settings, hand-over."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from wetend.advice.handover.care import CareList
from wetend.advice.handover.set_up import SetUp
from wetend.advice.life.next_repack import NextRepack, volume_span_text, volume_text, when_text
from wetend.advice.prove.proof import Proof, ProofTest
from wetend.advice.reasons import Working
from wetend.advice.rebuild.fit import StackFit
from wetend.advice.rebuild.plan import RebuildPlan
from wetend.drawings import clock, stack
from wetend.drawings.ink import standalone
from wetend.drawings.sizes_text import length_text
from wetend.pump.description import Pump
from wetend.pump.readings import Note, Photo, SignOff
from wetend.pump.usage import FITTED_WORDS, PartFitted, fitted_words
from wetend.reports.blocks import (
    Answer,
    Block,
    Cell,
    Figures,
    Fine,
    Pairs,
    Picture,
    Points,
    Prose,
    Section,
    Signatures,
    Table,
)
from wetend.reports.proof_rows import grouped, limit_cell, reading_cell, title_cell
from wetend.reports.visit.found import PRACTICE, warnings
from wetend.units.kinds import System
from wetend.units.quantity import NM, CycleRate, M3PerS, MLong, N, Pa, unit_of
from wetend.units.retell import retell
from wetend.units.show import chance_text, day_text, gauge, rough, show


def _shims(fit: StackFit, system: System) -> str:
    if not fit.shims:
        return "no shim"
    return " + ".join(length_text(s, system) for s in fit.shims) + ", all on top of the cage"


def _torque(fit: StackFit, system: System) -> str:
    text = show(fit.torque, unit_of(NM), system)
    if fit.lever is None or fit.lever_force is None:
        return text
    pull, lever = show(fit.lever_force, unit_of(N), system), show(fit.lever, unit_of(MLong), system)
    return f"{text} = {pull} on the {lever} lever"


def rebuild_section(pump: Pump, fit: StackFit | None, system: System) -> Section | None:
    """The stack as it went back."""
    if fit is None:
        return None
    low, high = (length_text(v, system) for v in (fit.lift_spread.low, fit.lift_spread.high))
    elbow = (
        "turns freely: set by hand before clamping"
        if fit.turns_freely
        else f"{fit.clock}, 90 % interval {fit.clock_low} to {fit.clock_high}"
    )
    face = clock.face(
        fit.stop_angle, fit.spread.low, fit.spread.high, fit.target,
        pump.stack.target_within, set_by_hand=fit.turns_freely,
    )  # fmt: skip
    before = (
        Prose(_shims(fit, system), "shims", "strong"),
        Answer(fit.elbow_verdict, "Elbow", elbow),
        Answer(fit.lift_verdict, "Ball lift",
               f"{length_text(fit.lift, system)}, 90 % interval {low} to {high}"),
    )  # fmt: skip
    dial = Picture(standalone(face), f"Elbow on a clock face: {fit.clock}", 70)
    drawn = Picture(
        standalone(stack.section(fit, pump, system=system)), "The seal stack in section", 84,
        (dial,),
    )  # fmt: skip
    clamp = (
        ("clamp", rough(fit.clamp, unit_of(N), system, digits=3)),
        ("torque", _torque(fit, system)),
    )
    after = (Pairs(clamp, 1), Prose(retell(fit.gland, system), "gland"))
    return Section("Rebuild", (*warnings(system, fit), *before, drawn, *after))


def fitted_section(fitted: Sequence[PartFitted]) -> Section | None:
    """What was done with the parts, and why the old ones went; nothing where none was entered."""
    if not fitted:
        return None
    rows = tuple(
        (Cell(FITTED_WORDS[f.part], strong=f.begins_a_life),
         Cell("fitted new" if f.done == "new" else f.done),
         Cell(f.why if f.begins_a_life else "", quiet=f.note),
         Cell(day_text(f.on) if f.on else ""))
        for f in fitted
    )  # fmt: skip
    head = ("part", "done", "why the old part was replaced", "day")
    return Section("Parts fitted", (Table(head, rows, (1.6, 1.0, 2.0, 0.0)),))


def built_section(plan: RebuildPlan | None, done: Collection[str]) -> Section | None:
    """How far the rebuild was ticked off, and what was not; nothing where none was."""
    if plan is None or not plan.steps or not done:
        return None
    left = tuple(f"{s.number}. {s.title}" for s in plan.steps if s.key not in done)
    ticked = len(plan.steps) - len(left)
    blocks: list[Block] = [Prose(f"{ticked} of {len(plan.steps)} steps marked as done.")]
    if left:
        blocks.append(Points(left, "not ticked"))
    return Section("Built", tuple(blocks))


def _proof_row(test: ProofTest, system: System) -> tuple[Cell, ...]:
    return (
        title_cell(test, system),
        reading_cell(test, system),
        limit_cell(test, system),
        Cell("" if test.probability is None else chance_text(test.probability)),
        Cell(str(test.verdict), strong=True),
    )


def proof_sections(proof: Proof | None, system: System) -> tuple[Section, ...]:
    """The proof's verdict, then its readings against their limits, group by group."""
    if proof is None:
        return ()
    blocks: list[Block] = [Answer(proof.verdict, "Proof", retell(proof.why, system))]
    if proof.on_fail:
        blocks.append(Prose(retell(proof.on_fail, system), "what to do next", "strong"))
    head = ("test", "reading, 95 %", "limit from this pump", "meets it", "verdict")
    tables = (
        Section(
            f"Proof: {name[:1].lower()}{name[1:]}",
            (Table(head, rows, (2.6, 1.4, 1.5, 0.0, 0.0), right=(1, 3)),),
        )
        for name, rows in grouped(proof, lambda t: _proof_row(t, system))
    )
    return (Section("Proof", tuple(blocks)), *tables)


def set_up_figures(sheet: SetUp, system: System, repack: NextRepack | None) -> Figures:
    """The settings, large."""
    pressure, flow = unit_of(Pa), unit_of(M3PerS)
    again = ("not known", "")
    if repack:
        again = (
            volume_text(repack, system),
            f"{volume_span_text(repack, system)}; {when_text(repack)}",
        )
    return Figures((
        ("supply at the drive", gauge(sheet.supply_pressure, pressure, system, at_most=True), ""),
        ("at the pump", gauge(sheet.pump_pressure, pressure, system),
         f"hose loss {gauge(sheet.hose_loss, pressure, system)}"),
        ("at the nozzle", gauge(sheet.nozzle_pressure, pressure, system), ""),
        ("flow", show(sheet.flow, flow, system), ""),
        ("cycles", show(sheet.cycle_rate, unit_of(CycleRate), system), ""),
        ("next repack after", *again),
    ))  # fmt: skip


def set_up_blocks(
    sheet: SetUp, system: System, repack: NextRepack | None = None
) -> tuple[Block, ...]:
    """Settings, what each is checked against, when to come back, and advice."""
    pressure = unit_of(Pa)
    limits = Pairs((
        ("stall pressure at that supply", show(sheet.stall_pressure, pressure, system)),
        (f"weakest rating: {sheet.weakest_part}", show(sheet.weakest_rating, pressure, system)),
        ("suction margin", gauge(sheet.suction_margin, pressure, system)),
        ("loss to lift", gauge(sheet.lift_loss, pressure, system)),
    ))  # fmt: skip
    settings = Table(
        ("checked", "verdict", "why"),
        tuple((Cell(s.title, s.verdict), Cell(str(s.verdict), strong=True),
               Cell("", quiet=retell(s.why, system)))
              for s in sheet.settings),
        (1.3, 0.0, 3.0),
    )  # fmt: skip
    advice = tuple(retell(a, system) for a in sheet.advice)
    points = (Points(advice, "advice"),) if advice else ()
    figures = set_up_figures(sheet, system, repack)
    return (figures, *_rests_on(repack, system), limits, settings, *points)


def _rests_on(repack: NextRepack | None, system: System) -> tuple[Block, ...]:
    """From which day the next repack is calculated, and its evidence."""
    if repack is None:
        return ()
    counted = f"Next repack from {day_text(repack.today)}, 90 % interval."
    told = " ".join((counted, *repack.basis))
    return (Prose(retell(told, system), style="quiet"),)


def set_up_section(
    sheet: SetUp | None, coating: str, system: System, repack: NextRepack | None = None
) -> Section | None:
    """The set-up sheet for the coating."""
    if sheet is None:
        return None
    return Section(
        f"Settings for {coating}", (*warnings(system, sheet), *set_up_blocks(sheet, system, repack))
    )


def care_section(
    lists: Sequence[CareList], system: System, *, more: str = "", own_page: bool = False
) -> Section | None:
    """The pump between jobs, each list under its name, the cautions of all before them."""
    if not lists:
        return None
    points = (
        Points(tuple(retell(step.text, system) for step in care.steps), care.title.lower())
        for care in lists
    )
    steps = (step for care in lists for step in care.steps)
    last = Prose(" ".join(filter(None, (more, PRACTICE))), style="quiet")
    blocks: tuple[Block, ...] = (*warnings(system, *steps), *points, last)
    return Section("Between jobs", blocks, own_page)


def record_section(notes: Sequence[Note], photos: Sequence[Photo]) -> Section | None:
    """Remarks, and photos by their hash."""
    blocks: list[Block] = [Prose(n.text, n.stage or "remark") for n in notes]
    if photos:
        rows = tuple((Cell(p.caption or "photo", quiet=p.stage), Cell(p.sha256)) for p in photos)
        blocks.append(Table(("photo", "SHA-256 of the file"), rows, (1.0, 2.6)))
    return Section("Remarks and photos", tuple(blocks)) if blocks else None


def sources_section(workings: Sequence[Working]) -> Section | None:
    """Where the calculations come from, each source once."""
    found: dict[str, dict[str, None]] = {}
    for each in workings:
        if each.source:
            found.setdefault(each.source, {})[each.title] = None
    if not found:
        return None
    lines = tuple(f"{source}: {'; '.join(titles)}" for source, titles in found.items())
    return Section("Calculations and their sources", (Fine(lines),))


def hand_over_section(signed: SignOff | None) -> Section:
    """The signatures."""
    if signed is None:
        return Section("Hand-over", (
            Prose("Not signed off: this visit is still open.", style="strong"),
            Signatures((("technician", ""), ("received by", ""))),
        ))  # fmt: skip
    names = (("technician", signed.technician), ("received by", signed.received_by))
    return Section("Hand-over", (Signatures(names),))


def in_short(signed: SignOff | None, fitted: Sequence[PartFitted] = ()) -> Section | None:
    """What was found and fitted, what to watch and when to come back, before all detail."""
    if signed is None:
        return None
    parts = signed.fitted or fitted_words(fitted)
    said = (("found", signed.found), ("fitted", parts), ("watch", signed.watch),
            ("come back", signed.come_back))  # fmt: skip
    blocks = tuple(Prose(text, name) for name, text in said if text)
    return Section("In short", blocks) if blocks else None
