"""The proof certificate: what was read against which limit, by whom, with what, and the risks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from wetend.advice.handover.sign_off import Signed
from wetend.advice.prove.proof import Proof, ProofTest
from wetend.advice.reasons import Verdict
from wetend.drawings.ink import standalone
from wetend.drawings.wet_end import section as wet_end
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import ProofReadings
from wetend.pump.parts import PartName
from wetend.reports.blocks import (
    Answer,
    Block,
    Cell,
    Document,
    Pairs,
    Picture,
    Prose,
    Section,
    Signatures,
    Table,
)
from wetend.reports.field_text import moment, rows
from wetend.reports.proof_rows import (
    LATER_HEADS,
    PROOF_HEADS,
    grouped,
    limit_cell,
    reading_cell,
    title_cell,
)
from wetend.reports.qr import code
from wetend.reports.signed_blocks import certificate_title, top
from wetend.reports.typeset import press
from wetend.reports.visit.done import sources_section
from wetend.telling.reader import METRIC, Reader
from wetend.units.kinds import System
from wetend.units.message import Message
from wetend.units.show import chance_text


@dataclass(frozen=True)
class LaterProof:
    """The proof as it reads today, with what was entered after the latest signature."""

    proof: Proof
    readings: ProofReadings
    read_at: datetime
    who: str


@dataclass(frozen=True)
class ProofCertificate:
    """Everything a proof certificate shows: once signed, what was signed, and apart what came."""

    pump: Pump
    coating: Coating
    proof: Proof
    readings: ProofReadings
    visit_id: str
    issued: datetime
    read_at: datetime
    """When the readings were entered."""
    who: str
    device: str
    version: str
    """Version of the program that calculated it."""
    entries_hash: str
    """SHA-256 of the visit's entries, 64 hexadecimal figures."""
    entries: int
    site: str = ""
    signed: Signed | None = None
    """Who has signed, and under what."""
    later: LaterProof | None = None
    """What was read, or with which coating it is judged, after the latest signature."""
    marked: Mapping[PartName, Verdict] = field(default_factory=dict)
    """Verdicts of the inspection, for the drawing."""


def _row(test: ProofTest, system: System) -> tuple[Cell, ...]:
    chance = test.probability
    return (
        title_cell(test),
        reading_cell(test, system),
        limit_cell(test, system),
        Cell("" if chance is None else chance_text(1 - chance)),
        Cell("" if chance is None else chance_text(chance)),
        Cell(Message(test.verdict.value), strong=True),
    )


def _tables(proof: Proof, system: System, *, later: bool = False) -> Iterator[Section]:
    head = (
        Message("test"),
        Message("reading, 95 %"),
        Message("limit"),
        Message("risk of a wrong pass"),
        Message("risk of a wrong fail"),
        Message("verdict"),
    )
    for name, lines in grouped(proof, lambda t: _row(t, system)):
        table = Table(head, lines, (2.2, 1.3, 1.3, 0.95, 0.95, 0.0), right=(1, 3, 4))
        yield Section((LATER_HEADS if later else PROOF_HEADS)[name], (table,))


def _signed(paper: ProofCertificate) -> tuple[Block, ...]:
    """What the signature says of these readings, if anybody has signed."""
    signed = paper.signed
    if signed is None or not signed.signatures:
        return (Prose(Message("Not signed off."), style="strong"),)
    return top(signed)


def _later(paper: ProofCertificate, system: System) -> tuple[Section, ...]:
    """What came after the signature, apart from what was signed and never in its place."""
    later, signed = paper.later, paper.signed
    if later is None or signed is None or not signed.signatures:
        return ()
    latest = signed.signatures[0]
    by = Message(", by {who}", who=later.who) if later.who else ""
    prose = Prose(
        Message(
            "Entered {read_at}{by}, after the signature of {technician}, {at}. That "
            "stands as it was signed: {word}. Nobody has signed what follows.",
            read_at=moment(later.read_at),
            by=by,
            technician=latest.technician,
            at=moment(latest.at),
            word=latest.standing.word,
        ),
        style="strong",
    )
    answer = Answer(later.proof.verdict, Message("The proof as it stands today"),
                    later.proof.why)  # fmt: skip
    as_read = Pairs(rows(later.readings, system, leave_out=("instruments",)), 1)
    tables = tuple(_tables(later.proof, system, later=True))
    return (Section(Message("After the signature"), (prose, answer, as_read)), *tables)


def _head(paper: ProofCertificate) -> tuple[Block, ...]:
    said = (
        (Message("site"), paper.site or paper.pump.site), (Message("coating"), paper.coating.name),
        (Message("read by"), paper.who), (Message("read"), moment(paper.read_at)),
        (Message("device"), paper.device), (Message("instruments"), paper.readings.instruments),
    )  # fmt: skip
    pairs = Pairs(tuple((name, text) for name, text in said if text), 1)
    return (
        Answer(paper.proof.verdict, Message("Proof"), paper.proof.why),
        *_signed(paper),
        pairs,
    )


def _sections(paper: ProofCertificate, system: System) -> Iterator[Section]:
    drawn = Picture(
        lambda reader: standalone(wet_end.section(paper.pump, paper.marked, reader=reader)),
        Message("The wet end in section"), 54,
        (Pairs(rows(paper.readings, system, leave_out=("note", "instruments")), 1),),
    )  # fmt: skip
    if paper.proof.on_fail:
        yield Section(
            Message("What to do next"),
            (Prose(paper.proof.on_fail, style="strong"),),
        )
    yield from _tables(paper.proof, system)
    yield Section(Message("As read"), (drawn,))
    if paper.readings.note:
        yield Section(Message("Remark"), (Prose(paper.readings.note),))
    latest = paper.signed.signatures[0] if paper.signed and paper.signed.signatures else None
    name, other = (latest.technician, latest.received_by) if latest else ("", "")
    lines = ((Message("technician"), name), (Message("received by"), other))
    yield Section(Message("Signed"), (Signatures(lines),))
    yield from _later(paper, system)
    yield Section(
        Message("The record"),
        (
            Pairs(
                (
                    (Message("visit"), paper.visit_id),
                    (Message("entries"), str(paper.entries)),
                    (Message("SHA-256 of the entries"), paper.entries_hash),
                ),
                1,
            ),
            Prose(
                Message(
                    "The QR code holds the visit and this hash: it shows whether the record has "
                    "been changed since."
                ),
                style="quiet",
            ),
        ),
    )
    sources = sources_section([test.working for test in paper.proof.tests])
    if sources is not None:
        yield sources


def certificate_document(paper: ProofCertificate, system: System = "metric") -> Document:
    """The certificate as blocks, ready for the press."""
    pump, title = paper.pump, certificate_title(paper.proof.verdict)
    picture = Picture(
        code(paper.visit_id, paper.entries_hash),
        Message(
            "QR code: visit {visit_id}, SHA-256 of its entries {entries_hash}",
            visit_id=paper.visit_id,
            entries_hash=paper.entries_hash,
        ),
        30,
    )
    return Document(
        title=title,
        subject=Message("{name}, {build}", name=pump.name, build=pump.build)
        if pump.build
        else pump.name,
        author=paper.who or "wetend",
        made=paper.issued,
        plate=(
            (
                Message("document"),
                Message("proof certificate")
                if title.startswith("Proof certificate")
                else Message("proof"),
            ),
            (Message("pump"), pump.key[:24]),
            (Message("visit"), paper.visit_id[:13]),
            (Message("issued"), moment(paper.issued)),
            (Message("sums"), paper.version[:16]),
        ),
        head=_head(paper),
        corner=picture,
        sections=tuple(_sections(paper, system)),
    )


def certificate(paper: ProofCertificate, reader: Reader = METRIC) -> bytes:
    """The certificate as a PDF file's bytes; the same certificate gives the same bytes.

    Raises:
        WetendError: it could not be set.
    """
    return press(certificate_document(paper, reader.system), reader)
