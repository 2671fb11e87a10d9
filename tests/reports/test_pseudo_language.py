"""No sentence of a printed sheet escapes: in a language that only tests speak, no plain word."""

from __future__ import annotations

from pseudo import PSEUDO, Pseudo, described, escaped

from wetend.reports.visit.report import VisitReport
from wetend.telling.reader import Reader

from .test_other_units import documents, words

READER = Reader(language=PSEUDO)
OWN = (
    "Rowan Example", "North quay", "Fan pulses", "Runs fast going down.", "this morning",
    "Seat chipped across the cone.", "Seat turned over.", "Down-stroke time.", "after 4000 L",
    "Housing was dry, greased.", "The seat as found", "Site foreman", "cd" * 32,
    "v" * 32, "v" * 13, "wetend injection", "by the gauge: needle on its stop",
)  # fmt: skip
"""What people wrote, and a command."""


def test_no_sentence_escapes(whole: VisitReport, pseudo: Pseudo) -> None:
    own = [*OWN, *described(whole.pump), *described(whole.coating)]
    for document in documents(whole):
        left = escaped(words(document, READER), own)
        assert not left, "\n".join([document.title, *left])
    assert pseudo.asked
