"""A fitter reads minutes and chances: on no page, paper or command does a bit stand."""

from __future__ import annotations

import io
import re

import pytest
from pypdf import PdfReader

from wetend.cli.app import run

BITS = re.compile(r"\bbits?\b", re.IGNORECASE)


def words(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def test_the_checks_page_says_minutes_saved_and_what_is_settled(reader, shown) -> None:
    text = words(reader.get(f"/visits/{shown.open_visit}/checks").text)
    assert not BITS.search(text)
    assert re.search(r"Saves about \d+ min on average", text)
    assert re.search(r"Settles \w+", text)
    assert re.search(r"found about \d+ times in 100", text)


def test_the_report_says_it_too(reader, shown) -> None:
    pdf = reader.get(f"/visits/{shown.open_visit}/report.pdf").content
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    text = " ".join(text.split())
    assert not BITS.search(text)
    assert re.search(r"saves about \d+ min on average; settles", text)


def test_practice_says_it_in_minutes(reader) -> None:
    start = reader.get("/practice")
    assert not BITS.search(words(start.text))


@pytest.mark.parametrize("command", [("checks", "last"), ("practice", "--help")])
def test_commands_say_it_in_minutes(shown, monkeypatch, capsys, command) -> None:
    monkeypatch.setenv("WETEND_DEPOT", str(shown.path))
    monkeypatch.setenv("COLUMNS", "200")
    capsys.readouterr()
    assert run(list(command)) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert not BITS.search(out)
    if command[0] == "checks":
        assert re.search(r"saves about \d+ min on average", out)
