"""Preferences, and the passcode page."""

from __future__ import annotations

import logging
import math
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from wetend.units.message import Message
from wetend.web.access import Sent
from wetend.web.error_pages import PasscodePage, carried, give_back
from wetend.web.pages import own_path, render, signer_of
from wetend.web.person import SWITCHES, Person, person_of, remember
from wetend.web.security import ENDED, PASS_COOKIE, PASS_LIFE, Tries

router = APIRouter()
_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class PreferencesPage:
    """What a person may choose."""

    person: Person
    back: str
    switches: tuple[tuple[str, str, str], ...] = (
        ("sun", Message("Sun mode"), Message("Full contrast")),
        ("big", Message("Big text"), Message("A third larger")),
        ("awake", Message("Keep the screen on"), Message("While a page is open; needs script")),
        ("buzz", Message("Vibrate at a tap"), Message("Where the device can; needs script")),
        ("aloud", Message("Read aloud"),
         Message("A button on each page, in the browser's own voice; needs script")),
    )  # fmt: skip
    """What is on or off on this device: name, label, hint."""


@router.get("/preferences")
def show(request: Request, back: Annotated[str, Query(max_length=500)] = "/") -> Response:
    """The choices as they stand."""
    view = PreferencesPage(person_of(request), own_path(back))
    return render(request, "preferences.html", view, title=Message("Preferences"))


@router.post("/preferences")
def keep(typed: Sent) -> Response:
    """Remember the choices sent; those not sent stay as they are."""
    allowed = {"units": ("metric", "imperial"), **dict.fromkeys(SWITCHES, ("on", "off"))}
    chosen = {
        name: typed.last(name)
        for name in ("units", *SWITCHES, "who", "place", "device")
        if name in typed.texts and typed.last(name) in allowed.get(name, (typed.last(name),))
    }
    response = RedirectResponse(own_path(typed.last("back", "/")), status_code=303)
    remember(response, chosen)
    return response


@router.get("/passcode")
def ask(request: Request, back: Annotated[str, Query(max_length=500)] = "/") -> Response:
    """The passcode page."""
    return render(
        request, "passcode.html", PasscodePage(own_path(back), ""), title=Message("Passcode")
    )


@router.post("/passcode")
def enter(request: Request, typed: Sent) -> Response:
    """Let someone in who knows the passcode."""
    keeper, back = signer_of(request), own_path(typed.last("back", "/"))
    tries: Tries = request.app.state.tries
    address, form = request.client.host if request.client else "", carried(typed)
    wait = tries.wait(address)
    if wait > 0:
        sentence = (
            Message("{wait:.0f} seconds", wait=wait)
            if wait < 90
            else Message("{ceil} minutes", ceil=math.ceil(wait / 60))
        )
        view = PasscodePage(
            back,
            Message("Too many wrong attempts. Wait {wait}, then try again.", wait=sentence),
            form,
        )
        response = render(request, "passcode.html", view, title=Message("Passcode"), status=429)
        response.headers["Retry-After"] = str(math.ceil(wait))
        return response
    if not keeper.passcode_fits(typed.last("passcode")):
        _log.warning("wrong passcode from %s, try %d", address, tries.wrong(address))
        view = PasscodePage(back, Message("Wrong passcode."), form)
        return render(request, "passcode.html", view, title=Message("Passcode"), status=403)
    tries.right(address)
    response = (
        give_back(
            request,
            form,
            Message("You are signed in again. Nothing is lost: check it and send it."),
        )
        if form
        else RedirectResponse(back, status_code=303)
    )
    set_pass(response, keeper.pass_cookie(), secure=request.url.scheme == "https")
    return response


def set_pass(response: Response, cookie: str, *, secure: bool) -> None:
    """Let this browser in with a pass."""
    response.set_cookie(
        PASS_COOKIE, cookie, max_age=round(PASS_LIFE), path="/", httponly=True,
        samesite="strict", secure=secure,
    )  # fmt: skip


@router.post("/leave")
def leave(request: Request, _: Sent) -> Response:
    """End this browser's pass: a copy of its cookie lets nobody in any more."""
    keeper = signer_of(request)
    name = keeper.pass_of(request.cookies.get(PASS_COOKIE, ""))
    if name:
        keeper.ended.add(name)
        request.app.state.depot.note_done(f"{ENDED}{name}")
    response = RedirectResponse("/passcode", status_code=303)
    response.delete_cookie(PASS_COOKIE, path="/")
    return response
