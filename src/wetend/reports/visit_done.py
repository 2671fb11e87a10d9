"""The second half of a visit's report: rebuild, proof, settings, hand-over."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.handover import SetUp
from wetend.advice.proof import Proof, ProofTest
from wetend.advice.reasons import Working
from wetend.advice.rebuild import StackFit
from wetend.drawings import clock, stack
from wetend.drawings.ink import standalone
from wetend.drawings.sizes_text import length_text
from wetend.pump.description import Pump
from wetend.pump.readings import Note, Photo, SignOff
from wetend.reports.blocks import (
    Answer,
    Block,
    Cell,
    Figures,
    Pairs,
    Picture,
    Points,
    Prose,
    Section,
    Signatures,
    Table,
)
from wetend.reports.told import between, percent
from wetend.units.kinds import System
from wetend.units.quantity import M3, NM, CycleRate, M, M3PerS, N, Pa, unit_of
from wetend.units.show import number, show


def _shims(fit: StackFit, system: System) -> str:
    if not fit.shims:
        return "no shim"
    return " + ".join(length_text(s, system) for s in fit.shims) + ", all on top of the cage"


def _torque(fit: StackFit, system: System) -> str:
    text = show(fit.torque, unit_of(NM), system)
    if fit.lever is None or fit.lever_force is None:
        return text
    pull, lever = show(fit.lever_force, unit_of(N), system), show(fit.lever, unit_of(M), system)
    return f"{text} = {pull} on the {lever} lever"


def rebuild_section(pump: Pump, fit: StackFit | None, system: System) -> Section | None:
    """The stack as it went back."""
    if fit is None:
        return None
    low, high = (length_text(v, system) for v in (fit.lift_spread.low, fit.lift_spread.high))
    elbow = (
        "turns freely: set by hand before clamping"
        if fit.turns_freely
        else f"{fit.clock}, between {fit.clock_low} and {fit.clock_high} nine times in ten"
    )
    face = clock.face(
        fit.stop_angle, fit.spread.low, fit.spread.high, fit.target,
        pump.stack.target_within, set_by_hand=fit.turns_freely,
    )  # fmt: skip
    facts: tuple[Block, ...] = (
        Prose(_shims(fit, system), "shims", "strong"),
        Answer(fit.elbow_verdict, "Elbow", elbow),
        Answer(fit.lift_verdict, "Ball lift",
               f"{length_text(fit.lift, system)}, between {low} and {high} nine times in ten"),
        Pairs((("clamp", show(fit.clamp, unit_of(N), system)),
               ("torque", _torque(fit, system))), 1),
        Prose(fit.gland, "gland"),
        Picture(standalone(face), f"Elbow on a clock face: {fit.clock}", 54),
    )  # fmt: skip
    drawn = Picture(
        standalone(stack.section(fit, pump, system=system)), "The seal stack in section", 96, facts
    )
    return Section("Rebuild", (drawn,))


def _proof_row(test: ProofTest, system: System) -> tuple[Cell, ...]:
    value = "not read"
    if test.value is not None:
        value = show(test.value, test.unit, system)
        if test.uncertainty:
            value += f" ± {number(2 * test.uncertainty, test.unit, system)}"
    return (
        Cell(test.title, test.verdict, quiet=test.why),
        Cell(value),
        Cell(f"{test.limit_is} {show(test.limit, test.unit, system)}"),
        Cell("" if test.probability is None else percent(test.probability)),
        Cell(str(test.verdict), strong=True),
    )


def proof_section(proof: Proof | None, system: System) -> Section | None:
    """The proof readings against their limits."""
    if proof is None:
        return None
    table = Table(
        ("test", "reading, 95 %", "limit from this pump", "meets it", "verdict"),
        tuple(_proof_row(t, system) for t in proof.tests), (2.6, 1.4, 1.5, 0.0, 0.0), right=(1, 3),
    )  # fmt: skip
    blocks: list[Block] = [Answer(proof.verdict, "Proof", proof.why), table]
    if proof.on_fail:
        blocks.append(Prose(proof.on_fail, "what to do next", "strong"))
    return Section("Proof", tuple(blocks))


def set_up_figures(sheet: SetUp, system: System) -> Figures:
    """The settings, large."""
    pressure, flow = unit_of(Pa), unit_of(M3PerS)
    repack = "unknown"
    if sheet.repack_after:
        repack = show(sheet.repack_after.middle, unit_of(M3), system)
    return Figures((
        ("supply at the drive", show(sheet.supply_pressure, pressure, system), ""),
        ("at the pump", show(sheet.pump_pressure, pressure, system),
         f"hose takes {show(sheet.hose_loss, pressure, system)}"),
        ("at the nozzle", show(sheet.nozzle_pressure, pressure, system), ""),
        ("flow", show(sheet.flow, flow, system), ""),
        ("cycles", show(sheet.cycle_rate, unit_of(CycleRate), system), ""),
        ("repack after", repack, between(sheet.repack_after, unit_of(M3), system) +
         ", nine times in ten" if sheet.repack_after else ""),
    ))  # fmt: skip


def set_up_blocks(sheet: SetUp, system: System) -> tuple[Block, ...]:
    """Settings, what each is checked against, and advice."""
    pressure = unit_of(Pa)
    limits = Pairs((
        ("stall pressure at that supply", show(sheet.stall_pressure, pressure, system)),
        (f"weakest rating: {sheet.weakest_part}", show(sheet.weakest_rating, pressure, system)),
        ("suction margin", show(sheet.suction_margin, pressure, system)),
        ("loss to lift", show(sheet.lift_loss, pressure, system)),
    ), 1)  # fmt: skip
    settings = Table(
        ("checked", "verdict", "why"),
        tuple((Cell(s.title, s.verdict), Cell(str(s.verdict), strong=True), Cell("", quiet=s.why))
              for s in sheet.settings),
        (1.3, 0.0, 3.0),
    )  # fmt: skip
    advice = (Points(sheet.advice, "advice"),) if sheet.advice else ()
    return (set_up_figures(sheet, system), limits, settings, *advice)


def set_up_section(sheet: SetUp | None, coating: str, system: System) -> Section | None:
    """The set-up sheet for the coating."""
    if sheet is None:
        return None
    return Section(f"Settings for {coating}", set_up_blocks(sheet, system))


def record_section(notes: Sequence[Note], photos: Sequence[Photo]) -> Section | None:
    """Remarks, and photos by their hash."""
    blocks: list[Block] = [Prose(n.text, n.stage or "remark") for n in notes]
    if photos:
        rows = tuple((Cell(p.caption or "photo", quiet=p.stage), Cell(p.sha256)) for p in photos)
        blocks.append(Table(("photo", "SHA-256 of the file"), rows, (1.0, 2.6)))
    return Section("Remarks and photos", tuple(blocks)) if blocks else None


def sources_section(workings: Sequence[Working]) -> Section | None:
    """Where the sums come from, each source once."""
    found = {f"{w.title}: {w.source}": None for w in workings if w.source}
    if not found:
        return None
    return Section("Sums and their sources", (Prose("\n".join(found), style="quiet"),))


def hand_over_section(signed: SignOff | None) -> Section:
    """What was found and fitted, what to watch, and the signatures."""
    if signed is None:
        return Section("Hand-over", (
            Prose("Not signed off: this visit is still open.", style="strong"),
            Signatures((("technician", ""), ("received by", ""))),
        ))  # fmt: skip
    said = (("found", signed.found), ("fitted", signed.fitted), ("watch", signed.watch),
            ("come back", signed.come_back))  # fmt: skip
    blocks: list[Block] = [Prose(text, name) for name, text in said if text]
    names = (("technician", signed.technician), ("received by", signed.received_by))
    return Section("Hand-over", (*blocks, Signatures(names)))
