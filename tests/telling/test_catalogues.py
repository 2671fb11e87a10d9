"""A language is a file: it is found, asked for, said; without it, or damaged, English is said."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from wetend.keeping import forget
from wetend.telling import languages
from wetend.telling.reader import Reader
from wetend.units.message import Message, joined, plural, raised
from wetend.units.quantity import Pa, unit_of
from wetend.units.show import show


def _written(folder: Path, language: str) -> Path:
    """A small catalogue, as gettext's own tools would compile it."""
    made = Catalog(locale="eo", domain="wetend")
    made.add("Set {p}.", "Agordu al {p}.")
    made.add("ball", "pilko")
    made.add(("{n} shim", "{n} shims"), ("{n} kojno", "{n} kojnoj"))
    file = folder / language / "LC_MESSAGES" / "wetend.mo"
    file.parent.mkdir(parents=True)
    with file.open("wb") as out:
        write_mo(out, made)
    return file


@pytest.fixture
def locales(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder of languages that the program looks into."""
    monkeypatch.setenv(languages.FOLDER_SETTING, str(tmp_path))
    forget("languages")
    yield tmp_path
    forget("languages")


def test_a_message_is_said_in_language_and_units(locales: Path) -> None:
    _written(locales, "eo")
    reader = Reader("imperial", "eo")
    said = Message("Set {p}.", p=show(2e7, unit_of(Pa)))
    # 14.5038 psi to the bar: NIST SP 811 (2008), appendix B.8
    assert reader.tell(said) == "Agordu al 2901 psi."
    assert said == "Set 200 bar."
    assert reader.tell(plural("{n} shim", "{n} shims", 1)) == "1 kojno"
    assert reader.tell(plural("{n} shim", "{n} shims", 3)) == "3 kojnoj"
    assert reader.tell(raised(Message("ball"))) == "Pilko"
    assert reader.tell(joined(", ", (Message("ball"), "Ball"))) == "pilko, Ball"


def test_peoples_own_text_is_never_translated(locales: Path) -> None:
    _written(locales, "eo")
    assert Reader(language="eo").tell("ball") == "ball"
    assert Reader(language="eo").tell(Message("Set {p}.", p="ball")) == "Agordu al ball."


def test_what_is_not_translated_is_said_in_english(locales: Path) -> None:
    _written(locales, "eo")
    assert Reader(language="eo").tell(Message("A seat")) == "A seat"
    assert Reader(language="xx").tell(Message("ball")) == "ball"


@pytest.mark.parametrize(
    ("accepted", "language"),
    [("eo", "eo"), ("eo-XX;q=0.9, en;q=0.2", "eo"), ("en, eo;q=0.5", "en"), ("eo;q=0", "en"),
     ("fr, eo", "eo"), ("*", "en"), ("eo;q=x", "en"), ("EO", "eo"), ("x" * 5000, "en")],
)  # fmt: skip
def test_the_browser_is_understood(locales: Path, accepted: str, language: str) -> None:
    # RFC 9110, 12.5.4: quality values; a range matches a more special tag by its beginning
    _written(locales, "eo")
    assert languages.understood(accepted) == language


def test_a_damaged_file_is_english(locales: Path) -> None:
    file = _written(locales, "eo")
    file.write_bytes(file.read_bytes()[:40])
    assert languages.languages() == ("en",)
    assert Reader(language="eo").tell(Message("ball")) == "ball"
