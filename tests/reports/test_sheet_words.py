"""The sheet's own words (page numbers, verdicts, grades) come in in the reader's language."""

from __future__ import annotations

import io
from datetime import UTC, datetime

import pytest
from pseudo import PSEUDO, Pseudo, changed
from pypdf import PdfReader

from wetend.advice.reasons import Caution, Grade, Verdict
from wetend.reports.blocks import Answer, Document, Section, Warnings
from wetend.reports.typeset import press
from wetend.telling import languages
from wetend.telling.languages import ENGLISH
from wetend.telling.reader import Reader

SHEET = Document(
    title="t", subject="s", author="a", made=datetime(2031, 5, 4, tzinfo=UTC), plate=(), head=(),
    corner=None,
    sections=(
        Section("x", (Answer(Verdict.REPLACE, "rod"), Warnings((Caution("mind", Grade.CARE),)))),
        Section("y", (), own_page=True),
    ),
)  # fmt: skip


@pytest.mark.parametrize("language", [ENGLISH, PSEUDO])
def test_the_sheets_own_words_are_told(language: str, monkeypatch: pytest.MonkeyPatch) -> None:
    known = {ENGLISH: languages.catalogue(ENGLISH), PSEUDO: Pseudo()}
    monkeypatch.setattr(languages, "_catalogues", lambda: known)
    said = (lambda word: word) if language == ENGLISH else changed
    pdf = PdfReader(io.BytesIO(press(SHEET, Reader(language=language))))
    text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert said("page") in text
    assert f"1 {said('of')} 2" in text
    assert said("replace") in text
    assert said("care").upper() in text
