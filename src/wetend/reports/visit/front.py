"""The first page of a visit's report: for whoever pays and whoever sprays."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.diagnosis.diagnose import Diagnosis
from wetend.advice.handover.set_up import SetUp
from wetend.advice.inspect.judge import PartJudgement
from wetend.advice.life.next_repack import NextRepack, do_text
from wetend.advice.life.outlook import odds_text
from wetend.advice.prove.proof import Proof
from wetend.advice.stores.fitted_parts import NAMED, found_text, watch_text
from wetend.drawings.ink import standalone
from wetend.drawings.wet_end import section as wet_end
from wetend.pump.description import Pump
from wetend.pump.readings import Complaint, SignOff, VisitStart
from wetend.pump.usage import PartFitted, fitted_words
from wetend.reports.blocks import Answer, Block, Figures, Picture, Prose, Section
from wetend.reports.visit.found import warnings
from wetend.units.kinds import System
from wetend.units.message import Message, joined, raised
from wetend.units.quantity import CycleRate, M3PerS, Pa, unit_of
from wetend.units.show import chance_text, gauge, rough

_WIDE = 52.0
"""Width of the one drawing, mm."""


def wrong_blocks(
    start: VisitStart | None, complaint: Complaint | None, diagnosis: Diagnosis | None
) -> list[Block]:
    """What the crew said, and what the running checks named."""
    said = (complaint.said if complaint else "") or (start.reason if start else "")
    blocks: list[Block] = [Prose(said, Message("what was wrong"))] if said else []
    named = [f for f in diagnosis.findings if f.probability >= NAMED][:2] if diagnosis else []
    likely = joined("; ", (
        Message("{fault}, {chance}", fault=f.fault.title, chance=chance_text(f.probability))
        for f in named
    ))  # fmt: skip
    if named:
        blocks.append(Prose(Message("The running checks named: {faults}.", faults=likely)))
    return blocks


def done_blocks(
    signed: SignOff | None, judgements: Sequence[PartJudgement], fitted: Sequence[PartFitted],
    diagnosis: Diagnosis | None,
) -> list[Block]:  # fmt: skip
    """What was found and what was fitted: as signed, else as the record has it so far."""
    findings = diagnosis.findings if diagnosis and judgements else ()
    found = signed.found if signed else found_text(judgements, findings)
    parts = (signed.fitted if signed else "") or fitted_words(fitted)
    rows = ((Message("found"), found), (Message("fitted"), parts))
    return [Prose(text, name) for name, text in rows if text]


def ahead_blocks(
    signed: SignOff | None, judgements: Sequence[PartJudgement], sheet: SetUp | None,
    proof: Proof | None, repack: NextRepack | None, *, opened: bool,
) -> list[Block]:  # fmt: skip
    """What to watch, and when somebody comes next."""
    watch = signed.watch if signed else watch_text(judgements, sheet, proof, opened=opened)
    blocks: list[Block] = [Prose(watch, Message("watch"))] if watch else []
    if signed and signed.come_back:
        return [*blocks, Prose(signed.come_back, Message("come back"))]
    if repack:
        odds = Message("{odds}.", odds=raised(odds_text(repack.outlook)))
        said = joined(" ", (do_text(repack), odds))
        blocks.append(Prose(said, Message("come back")))
    return blocks


def set_up_figures(sheet: SetUp, system: System, *, big: bool = False) -> Figures:
    """The settings, large: what is set first, then what follows from it."""
    pressure = unit_of(Pa)
    lost = Message("hose loss {loss}", loss=gauge(sheet.hose_loss, pressure, system))
    supply = gauge(sheet.supply_pressure, pressure, system, at_most=True)
    never = Message(
        "weakest: {part}, {rating}", part=sheet.weakest_part,
        rating=gauge(sheet.weakest_rating, pressure, system, at_most=True),
    )  # fmt: skip
    return Figures((
        (Message("set the supply to"), supply, never),
        (Message("at the nozzle"), gauge(sheet.nozzle_pressure, pressure, system), ""),
        (Message("at the pump"), gauge(sheet.pump_pressure, pressure, system), lost),
        (Message("flow"), rough(sheet.flow, unit_of(M3PerS), system), ""),
        (Message("cycles"), rough(sheet.cycle_rate, unit_of(CycleRate), system), ""),
        (Message("stall pressure then"), gauge(sheet.stall_pressure, pressure, system), ""),
    ), big)  # fmt: skip


def in_short(
    pump: Pump,
    judgements: Sequence[PartJudgement],
    proof: Proof | None,
    before: Sequence[Block],
    ahead: Sequence[Block],
) -> Section | None:
    """One drawing with what was wrong, found, fitted and proven, and what is ahead, beside it."""
    tested = (Answer(proof.verdict, Message("Proof"), proof.why),) if proof else ()
    beside = (*before, *tested, *ahead)
    if not beside:
        return None
    marked = {j.part: j.verdict for j in reversed(judgements)}
    if not marked and proof is None:
        return Section(Message("In short"), beside)
    picture = Picture(
        lambda reader: standalone(wet_end.section(pump, marked, reader=reader)),
        Message("The wet end in section with the verdicts marked"), _WIDE, beside,
    )  # fmt: skip
    return Section(Message("In short"), (picture,))


def settings(sheet: SetUp | None, coating: str, system: System) -> Section | None:
    """How to set it, its cautions right before."""
    if sheet is None:
        return None
    blocks: tuple[Block, ...] = (*warnings(sheet), set_up_figures(sheet, system))
    return Section(Message("How to set it for {coating}", coating=coating), blocks)
