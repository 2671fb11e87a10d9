"""Units, sun mode, name and place; and the passcode page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from wetend.web.access import Sent
from wetend.web.faults import PasscodePage
from wetend.web.pages import keeper_of, own_path, render
from wetend.web.person import Person, person_of, remember
from wetend.web.security import PASS_COOKIE, Tries

router = APIRouter()
_WEEK = 7 * 24 * 3600


@dataclass(frozen=True)
class PreferencesPage:
    """What a person may choose."""

    person: Person
    back: str


@router.get("/preferences")
def show(request: Request, back: Annotated[str, Query(max_length=500)] = "/") -> Response:
    """The choices as they stand."""
    view = PreferencesPage(person_of(request), own_path(back))
    return render(request, "preferences.html", view, title="Preferences")


@router.post("/preferences")
def keep(typed: Sent) -> Response:
    """Remember the choices sent; those not sent stay as they are."""
    allowed = {"units": ("metric", "imperial"), "sun": ("on", "off")}
    chosen = {
        name: typed.last(name)
        for name in ("units", "sun", "who", "place", "device")
        if name in typed.texts and typed.last(name) in allowed.get(name, (typed.last(name),))
    }
    response = RedirectResponse(own_path(typed.last("back", "/")), status_code=303)
    remember(response, chosen)
    return response


@router.get("/passcode")
def ask(request: Request, back: Annotated[str, Query(max_length=500)] = "/") -> Response:
    """The passcode page."""
    return render(request, "passcode.html", PasscodePage(own_path(back), ""), title="Passcode")


@router.post("/passcode")
def enter(request: Request, typed: Sent) -> Response:
    """Let someone in who knows the passcode."""
    keeper, back = keeper_of(request), own_path(typed.last("back", "/"))
    tries: Tries = request.app.state.tries
    if not tries.allow(request.client.host if request.client else ""):
        view = PasscodePage(back, "Too many tries. Wait a minute, then try again.")
        response = render(request, "passcode.html", view, title="Passcode", status=429)
        response.headers["Retry-After"] = "60"
        return response
    if not keeper.passcode_fits(typed.last("passcode")):
        view = PasscodePage(back, "That is not the passcode.")
        return render(request, "passcode.html", view, title="Passcode", status=403)
    response = RedirectResponse(back, status_code=303)
    response.set_cookie(
        PASS_COOKIE, keeper.pass_cookie(), max_age=_WEEK, path="/", httponly=True,
        samesite="strict", secure=request.url.scheme == "https",
    )  # fmt: skip
    return response


@router.post("/leave")
def leave(_: Sent) -> Response:
    """Forget this browser's passcode."""
    response = RedirectResponse("/passcode", status_code=303)
    response.delete_cookie(PASS_COOKIE, path="/")
    return response
