"""The user's preferences: units, look, name and place, each in its own cookie of this device."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import quote, unquote

from starlette.requests import Request
from starlette.responses import Response

from wetend.telling.languages import ENGLISH, understood
from wetend.telling.reader import Reader
from wetend.units.kinds import System
from wetend.units.message import joined
from wetend.web.form_data import clean

SWITCHES = ("sun", "big", "aloud", "awake", "buzz")
"""What is on or off on a device; all off unless switched on there."""
_YEAR = 365 * 24 * 3600
_LONGEST = 80


@dataclass(frozen=True)
class Person:
    """What one person chose: the units they read, how pages look and act, their name and place."""

    system: System = "metric"
    sun: bool = False
    big: bool = False
    """Larger text."""
    aloud: bool = False
    """Whether pages offer to be read aloud."""
    awake: bool = False
    """Whether the screen is kept on."""
    buzz: bool = False
    """Whether the device vibrates at a tap."""
    who: str = ""
    place: str = ""
    device: str = ""
    language: str = ENGLISH

    @property
    def reader(self) -> Reader:
        """Whom the pages are said to."""
        return Reader(self.system, self.language)


def name_of(text: str) -> str:
    """A name or place as kept: one line, not too long."""
    return joined(" ", clean(text).split())[:_LONGEST]


def _line(cookies: Mapping[str, str], name: str) -> str:
    return name_of(unquote(cookies.get(name, ""), errors="replace"))


def person_of(request: Request) -> Person:
    """The person as their cookies say; anything odd in a cookie counts as not chosen."""
    cookies = request.cookies
    return Person(
        system="imperial" if cookies.get("wetend-units") == "imperial" else "metric",
        **{name: cookies.get(f"wetend-{name}") == "on" for name in SWITCHES},
        who=_line(cookies, "wetend-who"),
        place=_line(cookies, "wetend-place"),
        device=_line(cookies, "wetend-device"),
        language=understood(request.headers.get("accept-language", "")),
    )


def remember(response: Response, choices: Mapping[str, str]) -> None:
    """Put choices into cookies for a year; names are ``units``, ``who``, ``place``, switches."""
    for name, value in choices.items():
        text = quote(name_of(value), safe="")
        response.set_cookie(
            f"wetend-{name}", text, max_age=_YEAR, path="/", httponly=True, samesite="lax"
        )
