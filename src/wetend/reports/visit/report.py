"""The visit report: findings, work done and proof."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime

from wetend.advice.diagnosis.diagnose import Diagnosis
from wetend.advice.handover.set_up import SetUp
from wetend.advice.handover.sign_off import Signed
from wetend.advice.inspect.judge import PartJudgement
from wetend.advice.life.next_repack import NextRepack
from wetend.advice.prove.proof import Proof
from wetend.advice.reasons import Caution, Working
from wetend.advice.rebuild.fit import StackFit
from wetend.advice.rebuild.plan import RebuildPlan
from wetend.advice.safety.zero import Record
from wetend.advice.strip.plan import StripPlan
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.guesses import guess_line
from wetend.pump.make_safe import MakeSafe
from wetend.pump.readings import (
    CheckReadings,
    Complaint,
    Note,
    Photo,
    SignOff,
    StripProgress,
    VisitStart,
)
from wetend.pump.site import Flushed, Incident, Mixed, SiteFacts
from wetend.pump.usage import PartFitted
from wetend.reports.blocks import Block, Document, Pairs, Picture, Prose, Section
from wetend.reports.field_text import moment
from wetend.reports.qr import code
from wetend.reports.signed_blocks import later_section, top
from wetend.reports.typeset import press
from wetend.reports.visit import done, found, front, job
from wetend.telling.reader import METRIC, Reader
from wetend.units.kinds import System
from wetend.units.message import Message


@dataclass(frozen=True)
class VisitReport:
    """Everything a visit's report shows. What is ``None`` or empty was not done."""

    pump: Pump
    visit_id: str
    started: datetime
    issued: datetime
    """When the report was made: given, so that the same report gives the same bytes."""
    version: str
    """Version of the program that calculated it."""
    entries_hash: str
    """SHA-256 of the visit's entries, 64 hexadecimal figures."""
    entries: int
    who: str = ""
    start: VisitStart | None = None
    make_safe: MakeSafe | None = None
    zero: Record = field(default_factory=lambda: Record(()))
    """Every proof of zero, and what the last list lacks."""
    complaint: Complaint | None = None
    coating: Coating | None = None
    readings: CheckReadings | None = None
    diagnosis: Diagnosis | None = None
    plan: StripPlan | None = None
    progress: StripProgress | None = None
    judgements: tuple[PartJudgement, ...] = ()
    fit: StackFit | None = None
    proof: Proof | None = None
    set_up: SetUp | None = None
    sign_off: SignOff | None = None
    photos: tuple[Photo, ...] = ()
    notes: tuple[Note, ...] = ()
    rebuild: RebuildPlan | None = None
    rebuilt: tuple[str, ...] = ()
    """Keys of the rebuild's steps done."""
    fitted: tuple[PartFitted, ...] = ()
    """What was done with the parts."""
    repack: NextRepack | None = None
    """As the pump's life has it, of a signed visit as of its signing."""
    site: SiteFacts | None = None
    batches: tuple[Mixed | Flushed, ...] = ()
    job_cautions: tuple[Caution, ...] = ()
    """What the site and the pot-life clock say as the report is made."""
    incidents: tuple[tuple[datetime, Incident], ...] = ()
    signed: Signed | None = None
    """Who has signed and under what; everything else is as it was signed."""


def _head(report: VisitReport) -> tuple[Block, ...]:
    start = report.start
    said = (
        (Message("site"), (start.site if start else "") or report.pump.site),
        (Message("called by"), start.called_by if start else ""),
        (Message("reason"), start.reason if start else ""),
        (Message("started"), moment(report.started)),
        (Message("technician"), report.who),
        (Message("coating"), report.coating.name if report.coating else ""),
    )
    pairs = Pairs(tuple((name, text) for name, text in said if text), 1)
    line = guess_line(report.pump)
    guessed = (Prose(line),) if line else ()
    if report.signed is None and report.sign_off is None:
        return (Prose(Message("DRAFT: not signed off."), style="strong"), pairs, *guessed)
    return (*top(report.signed), pairs, *guessed)


def _workings(report: VisitReport) -> tuple[Working, ...]:
    held: list[Working] = []
    for part in (report.diagnosis, report.fit, report.set_up):
        held += part.workings if part else ()
    held += [c.working for j in report.judgements for c in j.checks]
    held += [t.working for t in report.proof.tests] if report.proof else []
    return tuple(held)


def _front(report: VisitReport, system: System) -> tuple[Section, ...]:
    """The first page: what was wrong, done and proven, how to set it, what to watch, who signed."""
    coating = report.coating.name if report.coating else Message("this coating")
    words = [
        *front.wrong_blocks(report.start, report.complaint, report.diagnosis),
        *front.done_blocks(report.sign_off, report.judgements, report.fitted, report.diagnosis),
    ]
    ahead = front.ahead_blocks(
        report.sign_off, report.judgements, report.set_up, report.proof, report.repack,
        opened=report.fit is not None,
    )  # fmt: skip
    sections = (
        front.in_short(report.pump, report.judgements, report.proof, words, ahead),
        front.settings(report.set_up, coating, system),
        done.hand_over_section(report.sign_off),
    )
    return tuple(s for s in sections if s is not None)


def _annex(report: VisitReport, system: System) -> tuple[Section, ...]:
    """Everything else, in the order of the visit; cautions only while an act is left to do."""
    coating = report.coating.name if report.coating else Message("this coating")
    left = report.sign_off is None
    sections = (
        later_section(report.signed),
        job.incidents_section(report.incidents, system),
        job.site_section(report.site, report.batches, report.job_cautions if left else (), system),
        found.complaint_section(
            report.complaint, report.make_safe, report.zero, report.pump.drive.kind, system,
            left=left,
        ),
        found.checks_section(report.readings, report.diagnosis, system, left=left),
        found.strip_section(report.pump, report.plan, report.progress, left=left),
        found.inspect_section(report.judgements, system, left=left),
        done.rebuild_section(report.pump, report.fit, system, left=left),
        done.fitted_section(report.fitted),
        done.built_section(report.rebuild, report.rebuilt),
        done.proof_section(report.proof, system),
        done.set_up_section(report.set_up, coating, system, report.repack),
        done.record_section(report.notes, report.photos),
        done.sources_section(_workings(report)),
    )  # fmt: skip
    return tuple(s for s in sections if s is not None)


def _sections(report: VisitReport, system: System) -> tuple[Section, ...]:
    first, *rest = _annex(report, system)
    begun = replace(first, own_page=report.sign_off is not None)
    return (*_front(report, system), begun, *rest)


def visit_document(report: VisitReport, system: System) -> Document:
    """The report as blocks, ready for the press."""
    pump = report.pump
    picture = Picture(
        code(report.visit_id, report.entries_hash),
        Message(
            "QR code: visit {visit_id}, SHA-256 of its entries {entries_hash}",
            visit_id=report.visit_id,
            entries_hash=report.entries_hash,
        ),
        30,
    )
    record = Section(
        Message("The record"),
        (
            Pairs(
                (
                    (Message("visit"), report.visit_id),
                    (Message("entries"), str(report.entries)),
                    (Message("SHA-256 of the entries"), report.entries_hash),
                ),
                1,
            ),
            Prose(
                Message("The QR code on the first page holds the visit and this hash."),
                style="quiet",
            ),
        ),
    )
    return Document(
        title=Message("Visit report"),
        subject=Message("{name}, {build}", name=pump.name, build=pump.build)
        if pump.build
        else pump.name,
        author=report.who or "wetend",
        made=report.issued,
        plate=(
            (Message("document"), Message("visit report")),
            (Message("pump"), pump.key[:24]),
            (Message("visit"), report.visit_id[:13]),
            (Message("issued"), moment(report.issued)),
            (Message("sums"), report.version[:16]),
        ),
        head=_head(report),
        corner=picture,
        sections=(*_sections(report, system), record),
    )


def visit_report(report: VisitReport, reader: Reader = METRIC) -> bytes:
    """The report as a PDF file's bytes; the same report gives the same bytes.

    Raises:
        WetendError: it could not be set.
    """
    return press(visit_document(report, reader.system), reader)
