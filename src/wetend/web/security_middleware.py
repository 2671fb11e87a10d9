"""The shield in front of every page: host, passcode, body size and headers.

Header names and values: W3C Content Security Policy Level 3 and the WHATWG Fetch standard.
"""

from __future__ import annotations

import asyncio
import ipaddress
from collections.abc import Callable, Mapping

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send
from starlette.types import Message as AsgiMessage

from wetend.errors import Refused, TooLarge, WetendError
from wetend.records.exchange import wire
from wetend.units.message import Message
from wetend.web.form_data import Typed, typed_from
from wetend.web.person import person_of
from wetend.web.security import (
    PASS_COOKIE,
    PASS_LIFE,
    PasscodeNeeded,
    TokenSigner,
    TooSlow,
    host_allowed,
    is_loopback,
)

SMALL_BODY = 1_000_000
LARGE_BODY = 20_000_000
_DRAINED = 64_000_000
_CARRIED_BODY = 200_000
_SLOWEST = 30.0
"""Seconds in which the next part of a request must come."""
_OPEN_PATHS = ("/static/", "/passcode", "/health", f"{wire.PATH}/")
"""Open without the passcode; an exchange asks for a device's token instead."""
_OPEN_PAGES = frozenset({"/injection"})
"""Shown without the passcode: what to do, and nothing of the record."""

HEADERS: Mapping[str, str] = {
    "X-Answered-By": "wetend",  # pages' scripts tell by it a guest network's log-in page
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
        "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=(self)",
}
"""Sent with every answer."""


def body_limit(path: str, content_type: str) -> int:
    """Most bytes a request may carry: photos and files may be larger than forms."""
    if path.startswith(f"{wire.PATH}/"):
        return wire.MOST_BYTES
    takes_files = path.endswith(("/photos", "/toml", "/import", "/listen"))
    return LARGE_BODY if takes_files and "multipart/form-data" in content_type else SMALL_BODY


def _too_large(limit: int) -> TooLarge:
    return TooLarge(
        Message(
            "That is more than {limit} MB, so nothing was saved. Upload a smaller photo "
            "or file; the rest of your visit is unchanged.",
            limit=limit // 1000000,
        )
    )


Answer = Callable[[Request, WetendError], Response]


class SecurityMiddleware:
    """ASGI middleware in front of every page: host, passcode, body size and headers."""

    def __init__(
        self, app: ASGIApp, *, keeper: TokenSigner, hosts: frozenset[str], answer: Answer
    ) -> None:
        """Stand before ``app``; refusals are shown by ``answer``."""
        self._app, self._keeper, self._hosts, self._answer = app, keeper, hosts, answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Check a request, then pass it on."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        request = Request(scope)
        sender = _with_headers(send, plain=scope["path"].startswith("/static/"))
        fault = self._fault(request)
        if isinstance(fault, PasscodeNeeded) and request.method == "POST":
            fault = PasscodeNeeded(str(fault), await _typed(request, scope, receive))
        if fault is not None:
            await self._answer(request, fault)(scope, receive, sender)
            return
        elsewhere = _from_elsewhere(request)
        if elsewhere:
            await RedirectResponse(elsewhere, 303)(scope, receive, sender)
            return
        limit = body_limit(request.url.path, request.headers.get("content-type", ""))
        declared = request.headers.get("content-length", "0")
        if not declared.isascii() or not declared.isdigit() or int(declared) > limit:
            await _drain(receive)
            await self._answer(request, _too_large(limit))(scope, receive, sender)
            return
        again = self._keeper.renewed(request.cookies.get(PASS_COOKIE, ""))
        if again:
            sender = _with_pass(sender, again, secure=request.url.scheme == "https")
        await self._app(scope, _counted(receive, limit), sender)

    def _fault(self, request: Request) -> WetendError | None:
        passcode = self._keeper.passcode
        header = request.headers.get("host", "")
        if not host_allowed(header, self._hosts, any_address=bool(passcode)):
            return Refused(
                Message("This server does not answer to that name. Use the address you were given.")
            )
        client = request.client.host if request.client else ""
        if not passcode and _is_address(client) and not is_loopback(client):
            return Refused(Message("Only this machine has access until a passcode is set."))
        path = request.url.path
        if _foreign(request):
            return Refused(
                Message("That came from another site, so nothing was done. Use this page.")
            )
        if path.startswith(_OPEN_PATHS) or path in _OPEN_PAGES:
            return None
        if not self._keeper.admitted(request.cookies.get(PASS_COOKIE, "")):
            return PasscodeNeeded(Message("Enter the passcode first."))
        return None


def _foreign(request: Request) -> bool:
    """Whether another site's page sent this, by the browser's own word.

    Sources: W3C Fetch Metadata Request Headers, Sec-Fetch-Site, -Mode and -Dest; RFC 6454, Origin.
    """
    headers = request.headers
    site, mode = headers.get("sec-fetch-site", ""), headers.get("sec-fetch-mode", "")
    if request.method not in ("GET", "HEAD", "OPTIONS"):
        origin = headers.get("origin", "")
        host = origin.partition("://")[2]
        elsewhere = bool(origin) and host.lower() != headers.get("host", "").lower()
        return elsewhere or site in ("cross-site", "same-site")
    if request.url.path.startswith("/static/") or site not in ("cross-site", "same-site"):
        return False
    return mode != "navigate" or headers.get("sec-fetch-dest", "document") != "document"


def _from_elsewhere(request: Request) -> str:
    """Where to send someone who follows another site's link with questions in its address.

    The page itself is theirs to see, but what it computes is asked for here and not elsewhere.
    """
    site = request.headers.get("sec-fetch-site", "")
    foreign = request.method == "GET" and site in ("cross-site", "same-site")
    return request.url.path if foreign and request.url.query else ""


async def _typed(request: Request, scope: Scope, receive: Receive) -> Typed | None:
    """What a form said that came when the pass had run out; files are not carried."""
    kind = request.headers.get("content-type", "")
    declared = request.headers.get("content-length", "")
    if "form" not in kind or not declared.isdigit() or int(declared) > _CARRIED_BODY:
        return None
    if request.url.path in ("/passcode", "/leave"):
        return None
    try:
        async with Request(scope, _counted(receive, _CARRIED_BODY)).form(max_files=4) as form:
            return await typed_from(request.url.path, form, person_of(request).system)
    except (HTTPException, WetendError):
        return None


def _with_pass(send: Send, cookie: str, *, secure: bool) -> Send:
    """Renew a pass while it is used."""
    response = Response()
    response.set_cookie(
        PASS_COOKIE, cookie, max_age=round(PASS_LIFE), path="/", httponly=True,
        samesite="strict", secure=secure,
    )  # fmt: skip
    renewing = [pair for pair in response.raw_headers if pair[0] == b"set-cookie"]

    async def sender(message: AsgiMessage) -> None:
        if message["type"] == "http.response.start":
            own = list(message.get("headers", []))
            sets = any(n == b"set-cookie" and v.startswith(PASS_COOKIE.encode()) for n, v in own)
            message = {**message, "headers": own if sets else [*own, *renewing]}
        await send(message)

    return sender


def _is_address(text: str) -> bool:
    try:
        ipaddress.ip_address(text)
    except ValueError:
        return False
    return True


def _with_headers(send: Send, *, plain: bool) -> Send:
    """Add the security headers, and keep people's pages out of shared caches."""

    async def sender(message: AsgiMessage) -> None:
        if message["type"] == "http.response.start":
            headers = list(message.get("headers", []))
            present = {name.lower() for name, _ in headers}
            extra = dict(HEADERS) if plain else {**HEADERS, "Cache-Control": "no-store"}
            for name, value in extra.items():
                if name.lower().encode() not in present:
                    headers.append((name.lower().encode(), value.encode()))
            message = {**message, "headers": headers}
        await send(message)

    return sender


async def _drain(receive: Receive) -> None:
    """Read and forget a body that is too large, so that the browser shows the answer."""
    seen = 0
    while seen < _DRAINED:
        message = await receive()
        seen += len(message.get("body", b""))
        if message["type"] != "http.request" or not message.get("more_body", False):
            return


def _counted(receive: Receive, limit: int) -> Receive:
    """Pass a body on and stop it once it is longer than it may be."""
    seen, whole = 0, False

    async def receiver() -> AsgiMessage:
        nonlocal seen, whole
        try:
            message: AsgiMessage = await asyncio.wait_for(receive(), None if whole else _SLOWEST)
        except TimeoutError as error:
            raise TooSlow(Message("The upload stopped half-way. Send it again.")) from error
        seen += len(message.get("body", b""))
        whole = not message.get("more_body", False)
        if seen > limit:
            raise _too_large(limit)
        return message

    return receiver
