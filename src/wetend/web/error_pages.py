"""Error pages: one clear sentence, with the submitted form restored."""

from __future__ import annotations

import logging
from dataclasses import dataclass

from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response

from wetend.errors import WetendError
from wetend.units.message import Message
from wetend.web.access import StaleForm
from wetend.web.form_data import UNITS_FIELD, Texts, Typed
from wetend.web.pages import own_path, render
from wetend.web.security import PasscodeNeeded
from wetend.web.security_middleware import HEADERS

AGAIN_FIELD = "_again"
CARRIED = "_was."
"""Before the names of fields carried along with a passcode."""
_log = logging.getLogger(__name__)

_HEADINGS = {
    400: Message("That could not be read"),
    401: Message("Passcode"),
    403: Message("Not accepted"),
    404: Message("Not found"),
    405: Message("Method not allowed"),
    408: Message("Sent too slowly"),
    409: Message("Make it safe first"),
    413: Message("Too large"),
    422: Message("Please correct this"),
    429: Message("Too many attempts"),
    503: Message("The record can't be reached"),
}
_SENTENCES = {
    404: Message("There is no page at this address. Start again from the depot's first page."),
    405: Message("This address only accepts a form. Go back and send the form again."),
    400: Message("What was sent could not be read as a form. Go back and send it again."),
}
_BROKEN = Message(
    "Something went wrong on the server. Everything saved before is still there; "
    "go back and try again."
)


@dataclass(frozen=True)
class FaultPage:
    """What went wrong, how to continue, and what was typed."""

    heading: str
    sentence: str
    back: str
    again: str
    """Where to send what was typed again; empty when there is nothing to send."""
    kept: Texts
    units: str
    units_field: str = UNITS_FIELD


@dataclass(frozen=True)
class PasscodePage:
    """The page that asks for the passcode."""

    back: str
    sentence: str
    typed: Typed | None = None
    """A form sent when the pass had run out: carried along, and given back once inside."""
    again: str = AGAIN_FIELD
    carried: str = CARRIED


def carried(typed: Typed) -> Typed | None:
    """The form carried along with a passcode; ``None`` where there was none."""
    path = typed.last(AGAIN_FIELD)
    if not path or own_path(path) != path:
        return None
    texts = {n.removeprefix(CARRIED): t for n, t in typed.texts.items() if n.startswith(CARRIED)}
    return Typed(path, texts, {}, typed.system)


def give_back(request: Request, typed: Typed, sentence: str) -> Response:
    """The page that shows what was typed and sends it again."""
    view = FaultPage(
        Message("Please send this again"),
        sentence,
        _back(request),
        typed.path,
        typed.for_resending,
        typed.system,
    )
    return render(request, "fault.html", view, title=view.heading)


def _back(request: Request) -> str:
    """The page someone came from, where the browser says and it is ours."""
    came = request.headers.get("referer", "")
    base = f"{request.url.scheme}://{request.headers.get('host', '')}"
    return own_path(came.removeprefix(base)) if came.startswith(base) else "/"


def _stale(request: Request, error: StaleForm) -> Response:
    view = FaultPage(
        heading=Message("Please send this again"),
        sentence=Message(
            "{error} Nothing is lost: check what you typed and send it again.", error=error
        ),
        back=_back(request),
        again=error.typed.path,
        kept=error.typed.for_resending,
        units=error.typed.system,
    )
    return render(request, "fault.html", view, title=view.heading, status=error.status)


def answer(request: Request, error: WetendError) -> Response:
    """The page for an error raised on purpose."""
    if isinstance(error, PasscodeNeeded):
        back = own_path(request.url.path) if request.method == "GET" else "/"
        page = PasscodePage(back, "", error.typed)
        return render(
            request, "passcode.html", page, title=Message("Passcode"), status=error.status
        )
    if isinstance(error, StaleForm):
        return _stale(request, error)
    heading = _HEADINGS.get(error.status, Message("Something went wrong"))
    return _given_back(request, heading, str(error), error.status)


def _given_back(request: Request, heading: str, sentence: str, status: int) -> Response:
    """The page for what went wrong, with what was typed to send again."""
    typed: Typed | None = getattr(request.state, "typed", None)
    if typed is None or not any(t.strip() for texts in typed.own.values() for t in texts):
        view = FaultPage(heading, sentence, _back(request), "", {}, "")
    else:
        view = FaultPage(
            heading, sentence, _back(request), typed.path, typed.for_resending, typed.system
        )
    return render(request, "fault.html", view, title=heading, status=status)


def on_wetend(request: Request, error: Exception) -> Response:
    """Handler of the project's own errors."""
    assert isinstance(error, WetendError)
    if error.status >= 500:
        _log.error("%s %s: %s", request.method, request.url.path, error)
    return answer(request, error)


def on_http(request: Request, error: Exception) -> Response:
    """Handler of the framework's refusals: no such page, method not allowed."""
    status = error.status_code if isinstance(error, HTTPException) else 400
    heading = _HEADINGS.get(status, Message("Something went wrong"))
    view = FaultPage(heading, _SENTENCES.get(status, _SENTENCES[400]), _back(request), "", {}, "")
    return render(request, "fault.html", view, title=heading, status=status)


def on_gone(request: Request, error: Exception) -> Response:
    """Handler of a form whose sender went away in the middle: nobody reads it, nothing broke."""
    assert isinstance(error, ClientDisconnect)
    _log.info("%s %s: half sent", request.method, request.url.path)
    view = FaultPage(_HEADINGS[400], _SENTENCES[400], _back(request), "", {}, "")
    return render(request, "fault.html", view, title=view.heading, status=400)


def on_unread(request: Request, error: Exception) -> Response:
    """Handler of addresses the framework can't read."""
    assert isinstance(error, RequestValidationError)
    view = FaultPage(_HEADINGS[404], _SENTENCES[404], _back(request), "", {}, "")
    return render(request, "fault.html", view, title=view.heading, status=404)


def on_anything(request: Request, error: Exception) -> Response:
    """Handler of what nobody foresaw: logged in full, shown as one sentence."""
    _log.error("%s %s", request.method, request.url.path, exc_info=error)
    response = _given_back(request, Message("Something went wrong"), _BROKEN, 500)
    response.headers.update(HEADERS)  # this answer passes outside the shield
    return response
