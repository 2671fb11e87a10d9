"""No sentence of a printed sheet escapes: in a language that only tests speak, no plain word."""

from __future__ import annotations

from pseudo import PSEUDO, Pseudo, escaped

from wetend.reports.visit.report import VisitReport
from wetend.telling.reader import Reader

from .test_other_units import documents, words

READER = Reader(language=PSEUDO)
OWN = ("Rowan Example", "North quay", "Fan pulses", "Runs fast going down.", "this morning")
"""What people wrote."""


def test_no_sentence_escapes(whole: VisitReport, pseudo: Pseudo) -> None:
    own = [*OWN, whole.pump.name, whole.pump.build, whole.pump.site, whole.coating.name]
    for document in documents(whole):
        left = escaped(words(document, READER), own)
        assert not left, "\n".join([document.title, *left])
    assert pseudo.asked
