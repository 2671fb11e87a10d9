"""The proof certificate: what was read against which limit, by whom, with what, and the risks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from wetend.advice.proof import Proof, ProofTest
from wetend.advice.reasons import Verdict
from wetend.drawings import wet_end
from wetend.drawings.ink import standalone
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import ProofReadings
from wetend.pump.parts import PartName
from wetend.reports.blocks import (
    Answer,
    Block,
    Cell,
    Document,
    Fine,
    Pairs,
    Picture,
    Prose,
    Section,
    Signatures,
    Table,
)
from wetend.reports.press import press
from wetend.reports.qr import code
from wetend.reports.told import moment, rows, within
from wetend.units.kinds import System
from wetend.units.retell import retell
from wetend.units.show import chance_text, show

_TITLES = {
    Verdict.PASS: "Proof certificate",
    Verdict.FAIL: "Record of a failed proof",
    Verdict.NOT_PROVEN: "Record of proof, not proven",
}


@dataclass(frozen=True)
class ProofCertificate:
    """Everything a proof certificate shows."""

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
    """Version of the sums."""
    entries_hash: str
    """SHA-256 of the visit's entries, 64 hexadecimal figures."""
    entries: int
    site: str = ""
    technician: str = ""
    received_by: str = ""
    marked: Mapping[PartName, Verdict] = field(default_factory=dict)
    """Verdicts of the inspection, for the drawing."""


def _row(test: ProofTest, system: System) -> tuple[Cell, ...]:
    value = "not read"
    if test.seen:
        value = test.seen
    elif test.value is not None:
        value = within(test.value, test.uncertainty or 0.0, test.unit, system)
    limit = "" if test.seen else f"{test.limit_is} {show(test.limit, test.unit, system)}"
    chance = test.probability
    return (
        Cell(test.title, test.verdict, quiet=retell(test.why, system)),
        Cell(value),
        Cell(limit),
        Cell("" if chance is None else chance_text(1 - chance)),
        Cell("" if chance is None else chance_text(chance)),
        Cell(str(test.verdict), strong=True),
    )


def _table(proof: Proof, system: System) -> Table:
    return Table(
        ("test", "reading, 95 %", "limit", "wrong if passed", "wrong if failed", "verdict"),
        tuple(_row(t, system) for t in proof.tests),
        (2.2, 1.3, 1.3, 0.95, 0.95, 0.0), right=(1, 3, 4),
    )  # fmt: skip


def _head(paper: ProofCertificate, system: System) -> tuple[Block, ...]:
    said = (
        ("site", paper.site or paper.pump.site), ("coating", paper.coating.name),
        ("read by", paper.who or paper.technician), ("read", moment(paper.read_at)),
        ("device", paper.device), ("instruments", paper.readings.instruments),
    )  # fmt: skip
    pairs = Pairs(tuple((name, text) for name, text in said if text), 1)
    return (pairs, Answer(paper.proof.verdict, "Proof", retell(paper.proof.why, system)))


def _sections(paper: ProofCertificate, system: System) -> Iterator[Section]:
    drawn = Picture(
        standalone(wet_end.section(paper.pump, paper.marked, system=system)),
        "The wet end in section", 54,
        (Pairs(rows(paper.readings, system, leave_out=("note", "instruments")), 1),),
    )  # fmt: skip
    yield Section("Readings against this pump's limits", (_table(paper.proof, system),))
    if paper.proof.on_fail:
        yield Section(
            "What to do next", (Prose(retell(paper.proof.on_fail, system), style="strong"),)
        )
    yield Section("As read", (drawn,))
    if paper.readings.note:
        yield Section("Remark", (Prose(paper.readings.note),))
    lines = (("technician", paper.technician or paper.who), ("received by", paper.received_by))
    yield Section("Signed", (Signatures(lines),))
    yield Section("The record", (
        Pairs((("visit", paper.visit_id), ("entries", str(paper.entries)),
               ("SHA-256 of the entries", paper.entries_hash)), 1),
        Prose("The square code holds the visit and this hash: it tells whether the record was "
              "changed since.", style="quiet"),
    ))  # fmt: skip
    sources = tuple(dict.fromkeys(f"{t.title}: {t.working.source}" for t in paper.proof.tests))
    yield Section("Sums and their sources", (Fine(sources),))


def certificate_document(paper: ProofCertificate, system: System) -> Document:
    """The certificate as blocks, ready for the press."""
    pump, title = paper.pump, _TITLES[paper.proof.verdict]
    picture = Picture(
        code(paper.visit_id, paper.entries_hash),
        f"Square code: visit {paper.visit_id}, SHA-256 of its entries {paper.entries_hash}", 30,
    )  # fmt: skip
    return Document(
        title=title,
        subject=f"{pump.name}, {pump.build}" if pump.build else pump.name,
        author=paper.who or "wetend",
        made=paper.issued,
        plate=(
            ("document", "proof certificate" if paper.proof.verdict is Verdict.PASS else "proof"),
            ("pump", pump.key[:24]), ("visit", paper.visit_id[:13]),
            ("issued", moment(paper.issued)), ("sums", paper.version[:16]),
        ),
        head=_head(paper, system),
        corner=picture,
        sections=tuple(_sections(paper, system)),
    )  # fmt: skip


def certificate(paper: ProofCertificate, system: System = "metric") -> bytes:
    """The certificate as a PDF file's bytes; the same certificate gives the same bytes.

    Raises:
        WetendError: it could not be set.
    """
    return press(certificate_document(paper, system))
