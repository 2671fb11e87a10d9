"""Which language a reader is answered in."""

from __future__ import annotations

import pytest

from wetend.telling import languages


@pytest.fixture(autouse=True)
def _three(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(languages, "languages", lambda: ("en", "de", "pt-BR"))


@pytest.mark.parametrize(
    ("accepted", "language"),
    [
        ("de", "de"), ("de-AT", "de"), ("DE", "de"), ("pt-br", "pt-BR"), ("fr", "en"), ("", "en"),
        ("en;q=0.5, de;q=0.8", "de"), ("de;q=0.5, en;q=0.8", "en"),
        ("fr, de;q=0.2", "de"),  # the best of those there are
        ("de;q=0, en;q=0.1", "en"),  # zero: not acceptable
        ("de;q=much, pt-BR;q=0.1", "pt-BR"), ("nonsense;;, <b>", "en"),
    ],
)  # fmt: skip
def test_the_most_wanted_of_those_there_are(accepted: str, language: str) -> None:
    """RFC 9110, section 12.5.4."""
    assert languages.understood(accepted) == language


def test_commands_speak_as_they_are_set(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(languages.LANGUAGE_SETTING, raising=False)
    assert languages.spoken() == "en"
    monkeypatch.setenv(languages.LANGUAGE_SETTING, "de")
    assert languages.spoken() == "de"
