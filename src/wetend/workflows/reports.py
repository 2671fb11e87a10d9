"""Assembles the PDF documents of a visit: report, cards, certificate, set-up sheet."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from wetend import __version__
from wetend.advice.faults.record import Fault
from wetend.advice.life.next_repack import NextRepack
from wetend.advice.rebuild.answer import StackFit
from wetend.advice.rebuild.fit import fit_stack
from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.measurements import ProofReadings, StackMeasured
from wetend.records.entries import Entry
from wetend.records.fold import Visit, as_signed
from wetend.reports.certificate import LaterProof, ProofCertificate, certificate
from wetend.reports.placard import Placard, placard_pdf, pocket_placard, wall_placard
from wetend.reports.rebuild_card import RebuildCard, rebuild_card
from wetend.reports.set_up import set_up_sheet
from wetend.reports.strip_card import strip_card
from wetend.reports.visit.report import VisitReport, visit_report
from wetend.units.message import Message
from wetend.units.quantity import Ratio
from wetend.workflows.checks import diagnosis_of, leanings_of
from wetend.workflows.desk import Desk
from wetend.workflows.handover import sheet_of
from wetend.workflows.incidents import of_visit
from wetend.workflows.inspect import judgements_of
from wetend.workflows.job import job_of
from wetend.workflows.life import repack_of_visit
from wetend.workflows.rebuild import fit_of, verdicts_of
from wetend.workflows.rebuild import plan_of as rebuild_plan_of
from wetend.workflows.standing import proof_of, signed_of
from wetend.workflows.strip import plan_of
from wetend.workflows.zero import record_of_visit, zero_of


@dataclass(frozen=True)
class Paper:
    """A PDF with the file name to offer it under."""

    name: str
    pdf: bytes


def hash_of(entries: Sequence[Entry]) -> str:
    """SHA-256 over a visit's entries in the order of their ids."""
    digest = hashlib.sha256()
    for entry in sorted(entries, key=lambda e: e.id):
        digest.update(entry.model_dump_json().encode())
        digest.update(b"\n")
    return digest.hexdigest()


def _name(visit: Visit, what: str) -> str:
    return f"{visit.pump.key}-{visit.started:%Y%m%d}-{visit.id[-6:]}-{what}.pdf"


def report_of(
    visit: Visit, *, issued: datetime, leanings: Mapping[Fault, Ratio] | None = None,
    repack: NextRepack | None = None,
) -> VisitReport:  # fmt: skip
    """Everything a visit's report shows, computed from its entries; signed, as it was signed.

    ``leanings``: see :func:`wetend.workflows.checks.diagnosis_of`; ``repack``: see
    :func:`wetend.workflows.life.repack_of_visit`.
    """
    whole, signed = visit, signed_of(visit)
    visit = as_signed(whole, whole.signatures[-1][0]) if whole.signatures else whole
    return VisitReport(
        pump=visit.pump, visit_id=visit.id, started=visit.started, issued=issued,
        version=__version__, entries_hash=hash_of(whole.entries), entries=len(whole.entries),
        who=next((e.who for e in reversed(visit.entries) if e.who), ""), start=visit.start,
        make_safe=visit.make_safe, zero=record_of_visit(visit), complaint=visit.complaint,
        coating=visit.coating,
        readings=visit.readings, diagnosis=diagnosis_of(visit, leanings=leanings or {}),
        plan=plan_of(visit),
        progress=visit.progress, judgements=judgements_of(visit), fit=fit_of(visit),
        proof=proof_of(visit)[0] if visit.proof else None,
        set_up=sheet_of(visit)[0] if visit.set_up else None, sign_off=visit.sign_off,
        photos=visit.photos, notes=visit.notes, rebuild=rebuild_plan_of(visit),
        rebuilt=visit.rebuilt.done if visit.rebuilt else (), repack=repack, site=visit.site,
        batches=visit.batches, job_cautions=job_of(visit, now=issued).cautions,
        incidents=tuple((r.happened, r.incident) for r in of_visit(visit)), fitted=visit.fitted,
        signed=signed,
    )  # fmt: skip


def write_report(desk: Desk, visit_id: str, *, issued: datetime | None = None) -> Paper:
    """The visit's report."""
    visit = desk.visit(visit_id)
    report = report_of(
        visit, issued=issued or datetime.now(UTC), leanings=leanings_of(desk, visit),
        repack=repack_of_visit(desk, visit),
    )  # fmt: skip
    return Paper(_name(visit, "report"), visit_report(report, desk.reader))


def write_strip_card(desk: Desk, visit_id: str, *, issued: datetime | None = None) -> Paper:
    """The strip card for the tool bag entered.

    Raises:
        BadInput: the tool bag is not entered yet.
    """
    visit = desk.visit(visit_id)
    plan = plan_of(visit)
    if plan is None:
        raise BadInput(Message("Enter the tools to hand first; the strip card follows from them."))
    done = visit.progress.done if visit.progress else ()
    pdf = strip_card(
        visit.pump, plan, issued=issued or datetime.now(UTC), visit_id=visit.id, done=done,
        zero=zero_of(visit, desk.who), job_cautions=job_of(visit, "strip", now=issued).cautions,
        reader=desk.reader,
    )  # fmt: skip
    return Paper(_name(visit, "strip"), pdf)


def _nominal(pump: Pump) -> StackFit:
    """A pump's seal stack with rings as described, and two of each size of shim."""
    return fit_stack(pump, StackMeasured(tin=tuple(s for s in pump.stack.shim_sizes for _ in "12")))


def _placard(
    desk: Desk, key: str, of: Callable[..., Placard], name: str, issued: datetime | None
) -> Paper:
    pump = desk.pump(key)
    made = of(pump, _nominal(pump), made=issued or datetime.now(UTC))
    return Paper(f"{pump.key}-{name}.pdf", placard_pdf(made, desk.reader))


def write_wall_sheet(desk: Desk, key: str, *, issued: datetime | None = None) -> Paper:
    """A pump taken apart, with its clearances and torques, for the wall (A3).

    Raises:
        NotFound: no such pump.
    """
    return _placard(desk, key, wall_placard, "wall-sheet", issued)


def write_pocket_card(desk: Desk, key: str, *, issued: datetime | None = None) -> Paper:
    """A pump's seal stack with its numbers, for the pocket (A6).

    Raises:
        NotFound: no such pump.
    """
    return _placard(desk, key, pocket_placard, "pocket-card", issued)


def write_rebuild_card(desk: Desk, visit_id: str, *, issued: datetime | None = None) -> Paper:
    """The rebuild card for what the strip took apart.

    Raises:
        BadInput: the tool bag is not entered yet.
    """
    visit = desk.visit(visit_id)
    plan = rebuild_plan_of(visit)
    if plan is None:
        raise BadInput(
            Message("Enter the tools to hand first; the rebuild card follows from them.")
        )
    card = RebuildCard(
        visit.pump, plan, fit_of(visit), issued or datetime.now(UTC), visit.id,
        visit.rebuilt.done if visit.rebuilt else (), zero_of(visit, desk.who),
        job_of(visit, "rebuild", now=issued).cautions,
    )  # fmt: skip
    return Paper(_name(visit, "rebuild"), rebuild_card(card, desk.reader))


def write_certificate(desk: Desk, visit_id: str, *, issued: datetime | None = None) -> Paper:
    """The proof certificate, or the record of a proof that did not pass.

    Raises:
        BadInput: there are no proof readings, or no limits to hold them against.
    """
    visit = desk.visit(visit_id)
    paper = certificate_of(visit, issued=issued or datetime.now(UTC))
    return Paper(_name(visit, "proof"), certificate(paper, desk.reader))


def certificate_of(whole: Visit, *, issued: datetime) -> ProofCertificate:
    """All that a visit's certificate shows: once signed, as it was signed, and apart what came.

    Raises:
        BadInput: there are no proof readings, or no limits to hold them against.
    """
    signed = signed_of(whole)
    visit = as_signed(whole, whole.signatures[-1][0]) if whole.signatures else whole
    later = _later_proof(whole, visit) if signed.proof_later else None
    proof, why = proof_of(visit)
    if visit.coating is None and whole.coating is not None:
        raise BadInput(
            Message(
                "It was signed before the coating was known, so nothing was proven then: "
                "sign again with today's readings for a certificate."
            )
        )
    if proof is None or visit.coating is None or (visit.proof is None and later is None):
        raise BadInput(why or Message("Choose the coating and enter proof readings first."))
    read = [e for e in visit.entries if e.kind == "proof"] or [visit.entries[-1]]
    return ProofCertificate(
        pump=visit.pump, coating=visit.coating, proof=proof,
        readings=visit.proof or ProofReadings(), visit_id=visit.id, issued=issued,
        read_at=read[-1].at, who=read[-1].who, device=read[-1].device, version=__version__,
        entries_hash=hash_of(whole.entries), entries=len(whole.entries),
        site=visit.start.site, signed=signed, later=later, marked=verdicts_of(visit),
    )  # fmt: skip


def _later_proof(whole: Visit, signed: Visit) -> LaterProof | None:
    """The proof as it reads with what was entered after the signature."""
    proof, _ = proof_of(whole)
    made = [e for e in whole.later if e.kind in ("proof", "coating")]
    if proof is None or whole.proof is None or not made:
        return None
    if whole.proof == signed.proof and whole.coating == signed.coating:
        return None
    return LaterProof(proof, whole.proof, made[-1].at, made[-1].who)


def write_set_up(desk: Desk, visit_id: str, *, issued: datetime | None = None) -> Paper:
    """The set-up sheet.

    Raises:
        BadInput: the coating is not known, or the pump can't spray it so; the sentence says why.
    """
    visit = desk.visit(visit_id)
    sheet, why = sheet_of(visit)
    if sheet is None or visit.coating is None:
        raise BadInput(why or Message("Choose the coating first."))
    pdf = set_up_sheet(
        visit.pump, visit.coating, sheet, issued=issued or datetime.now(UTC), reader=desk.reader,
        repack=repack_of_visit(desk, visit),
    )  # fmt: skip
    return Paper(_name(visit, "set-up"), pdf)
