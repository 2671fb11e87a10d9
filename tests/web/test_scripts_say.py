"""Scripts hold no sentence of their own: what they say stands in the page, in its words."""

from __future__ import annotations

import re
from importlib import resources

import pytest
from pseudo import PSEUDO, Pseudo

from .conftest import Person, Site

WEB = resources.files("wetend.web")
SCRIPTS = ("find", "hands", "ten", "acts", "hear", "keep", "motion", "photo", "steps", "taps")
_LITERAL = re.compile(r"\"([^\"\n]*)\"|`([^`]*)`")
_SENTENCE = re.compile(r"[A-Za-z]{2,},? [a-z]{2,} [a-z]{2,}")
_SHOWN = re.compile(r"textContent\s*=\s*[\"`][^\"`]*[A-Za-z]{2,}")
_ASKED = re.compile(r"\bsay([A-Z]\w*)")
_THERE = re.compile(r"\bdata-say-([a-z-]+)=")
_SAID = re.compile(r"\bdata-say-[a-z-]+=\"([^\"]*)\"")


def _code(script: str) -> str:
    text = WEB.joinpath("static", f"{script}.js").read_text("utf-8")
    return re.sub(r"(?m)^\s*//.*$|\s// .*$|/\* .*? \*/", "", text)


@pytest.mark.parametrize("script", SCRIPTS)
def test_no_script_holds_a_sentence(script: str) -> None:
    code = re.sub(r"\$\{[^}]*\}", "", _code(script))
    found = ["".join(groups) for groups in _LITERAL.findall(code)]
    assert [text for text in found if _SENTENCE.search(text)] == []
    assert _SHOWN.findall(code) == []


def test_all_that_scripts_say_stands_in_a_page() -> None:
    pages = "".join(
        file.read_text("utf-8")
        for file in WEB.joinpath("templates").iterdir()
        if file.name.endswith(".html")
    )
    there = {"".join(w.capitalize() for w in name.split("-")) for name in _THERE.findall(pages)}
    asked = {name for script in SCRIPTS for name in _ASKED.findall(_code(script))}
    assert asked == there


@pytest.mark.parametrize("path", ["/visits/{visit}/checks", "/simulate?pump={pump}"])
def test_what_scripts_say_is_translated(
    path: str, pseudo: Pseudo, shown: Site, reader: Person
) -> None:
    where = path.format(visit=shown.open_visit, pump=shown.pump)
    page = reader.get(where, headers={"accept-language": PSEUDO}).text
    said = _SAID.findall(page)
    assert len(said) > 8
    for text in said:
        assert not re.search(r"[A-Za-z]{2}", re.sub(r"\{\w+\}|&#?\w+;", "", text)), text
    assert pseudo.asked
