"""For whoever reads other units, no sentence of ours stands in metric alone."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import UTC, datetime
from enum import Enum
from typing import Any

import pytest

from wetend.advice.rebuild.plan import Found, plan_rebuild
from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.pump.measurements import ProofReadings
from wetend.pump.readings import ToolBag
from wetend.reports.blocks import Document, Fine, Picture
from wetend.reports.certificate import ProofCertificate, certificate_document
from wetend.reports.rebuild_card import RebuildCard, rebuild_document
from wetend.reports.set_up import set_up_document
from wetend.reports.strip_card import strip_document
from wetend.reports.visit.report import VisitReport, visit_document
from wetend.telling.reader import Reader

METRIC = re.compile(r"\d ?(?:bar|mm|µm|L/min|N·m|kN|mm/min)(?![\w/²³·])(?! \()")
"""A quantity in a metric unit with no other in brackets after it."""
CODES = ("style", "hazard", "author", "grade")
"""Fields that hold no text to read."""
WHEN = datetime(2031, 5, 4, tzinfo=UTC)
BAG = ToolBag(tools=tuple(t for t in tool_titles() if t != "vice"), vice=True)


def words(value: Any, reader: Reader) -> Iterator[str]:
    """Every text of a document but the small print of sources and what drawings hold."""
    if isinstance(value, Fine):
        return
    if isinstance(value, Picture):
        for block in value.beside:
            yield from words(block, reader)
    elif isinstance(value, str) and not isinstance(value, Enum):
        yield reader.tell(value)
    elif isinstance(value, tuple):
        for each in value:
            yield from words(each, reader)
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            if field.name in CODES:
                continue
            yield from words(getattr(value, field.name), reader)


def documents(report: VisitReport) -> Iterator[Document]:
    """Every sheet a visit can give."""
    pump, coating = report.pump, report.coating
    yield visit_document(report, "imperial")
    plan = plan_strip(pump, BAG)
    yield strip_document(pump, plan, issued=WHEN)
    build = plan_rebuild(pump, BAG, found=Found(report.fit, 0.5))
    yield rebuild_document(RebuildCard(pump, build, report.fit, WHEN), "imperial")
    yield set_up_document(pump, coating, report.set_up, issued=WHEN, system="imperial")
    paper = ProofCertificate(
        pump=pump, coating=coating, proof=report.proof, readings=ProofReadings(), visit_id="v" * 32,
        issued=WHEN, read_at=WHEN, who="", device="", version="", entries_hash="0" * 64, entries=1,
    )  # fmt: skip
    yield certificate_document(paper, "imperial")


def test_no_sentence_stands_in_metric_alone(whole: VisitReport) -> None:
    for document in documents(whole):
        alone = [text for text in words(document, Reader("imperial")) if METRIC.search(text)]
        assert alone == [], document.title


def test_the_check_itself_finds_metric(whole: VisitReport) -> None:
    assert any(METRIC.search(text) for text in words(visit_document(whole, "metric"), Reader()))


@pytest.mark.parametrize("text", ["At most 3 mm (0.12 in).", "12 psi", "0.5 mm²"])
def test_what_the_check_lets_pass(text: str) -> None:
    assert not METRIC.search(text)
