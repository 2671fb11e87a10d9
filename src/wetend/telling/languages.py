"""The languages there are: gettext catalogues that ship with the program or stand in a folder.

``WETEND_LOCALES`` names a folder of more: ``LANGUAGE/LC_MESSAGES/wetend.mo``. A language that is
not there, or a file that is no catalogue, is read as English.
"""

from __future__ import annotations

import gettext
import os
import re
import struct
from collections.abc import Iterable
from pathlib import Path

from wetend.keeping import constant

ENGLISH = "en"
DOMAIN = "wetend"
LANGUAGE_SETTING = "WETEND_LANGUAGE"
FOLDER_SETTING = "WETEND_LOCALES"
_SHIPPED = Path(__file__).parent / "locale"
_TAG = re.compile(r"[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8}){0,3}")


def _folders() -> Iterable[Path]:
    named = os.environ.get(FOLDER_SETTING, "")
    return (Path(named), _SHIPPED) if named else (_SHIPPED,)


@constant("languages")
def _catalogues() -> dict[str, gettext.NullTranslations]:
    """Each language's catalogue, read once."""
    found: dict[str, gettext.NullTranslations] = {ENGLISH: gettext.NullTranslations()}
    for folder in _folders():
        for file in sorted(folder.glob(f"*/LC_MESSAGES/{DOMAIN}.mo")):
            language = file.parent.parent.name.replace("_", "-")
            if language in found:
                continue
            try:
                with file.open("rb") as data:
                    found[language] = gettext.GNUTranslations(data)
            except (OSError, ValueError, struct.error):
                continue
    return found


def languages() -> tuple[str, ...]:
    """Every language there is a catalogue of, English first."""
    return tuple(_catalogues())


def catalogue(language: str) -> gettext.NullTranslations:
    """A language's catalogue; English where there is none."""
    known = _catalogues()
    return known.get(language) or known[ENGLISH]


def understood(accepted: str) -> str:
    """The first language there is of those that a browser says it accepts, the most wanted first.

    As RFC 9110, section 12.5.4, writes them. A language stands for its regions too.

    >>> understood("de;q=0.5, en;q=0.8"), understood("nonsense;;"), understood("")
    ('en', 'en', 'en')
    """
    wanted: list[tuple[float, str]] = []
    for part in accepted[:400].split(","):
        tag, _, weight = part.strip().partition(";q=")
        if _TAG.fullmatch(tag):
            try:
                wanted.append((-float(weight or 1), tag))
            except ValueError:
                continue
    for less, tag in sorted(wanted, key=lambda each: each[0]):
        if less == 0:
            continue
        known = {language.lower(): language for language in languages()}
        found = known.get(tag.lower()) or known.get(tag.split("-")[0].lower())
        if found:
            return found
    return ENGLISH


def spoken() -> str:
    """The language of commands, by the setting ``WETEND_LANGUAGE``; English where that is not "
    "set."""
    return understood(os.environ.get(LANGUAGE_SETTING, ""))
